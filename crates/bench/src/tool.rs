//! Tool: the grind, and the bar that carries it.

use crate::fit::{Fit, Size};
use crate::job::{Bar, Job};
use crate::report::{Outcome, Section};
use flankwise_thread::{Angle, Length};

/// One bar looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct BarTrial {
    /// The bar.
    pub bar: Bar,
    /// Enters the bore with the tip retracted.
    pub enters: bool,
    /// Can be backed out of the groove and withdrawn.
    pub withdraws: bool,
    /// Room left when withdrawn; negative where it does not pass.
    pub room: Length,
    /// Stiffness at the tip, N/mm.
    pub stiffness_n_per_mm: f64,
    /// Stick-out over diameter.
    pub slenderness: f64,
    /// Words where it fails or is doubtful.
    pub words: String,
}

/// The tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Included angle to grind in the rake face.
    pub included_angle: Angle,
    /// Angle of the leading flank to the plane square to the axis, as ground.
    pub flank_leading: Angle,
    /// Of the following flank.
    pub flank_trailing: Angle,
    /// Tip width to grind.
    pub tip_width: Size,
    /// Largest corner radius at the tip.
    pub corner_radius: Length,
    /// Relief under the leading flank, lead angle included.
    pub relief_leading: Angle,
    /// Relief under the following flank.
    pub relief_trailing: Angle,
    /// Front clearance needed.
    pub front_clearance: Angle,
    /// Height of tool below the edge that still clears the bore at that clearance.
    pub heel: Length,
    /// Back rake ground.
    pub rake: Angle,
    /// Lead angle at the diameter that governs.
    pub lead_angle: Angle,
    /// Length of tip beyond the bar: depth of thread and clearance.
    pub tip_length: Length,
    /// Stick-out.
    pub stick_out: Length,
    /// Largest round bar that enters and withdraws.
    pub largest_bar: Length,
    /// Bars of the job, looked at.
    pub bars: Vec<BarTrial>,
    /// Index into `bars` of the one to use; none where the largest round bar is to be got.
    pub bar: Option<usize>,
    /// Stiffness at the tip of the bar used, N/mm.
    pub stiffness_n_per_mm: f64,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Designs the tool.
pub fn work(_fit: &Fit, _job: &Job) -> Outcome<Tool> {
    todo!()
}

impl Tool {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
