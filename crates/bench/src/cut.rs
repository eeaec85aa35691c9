//! Cut: the passes, and the order of operations.

use crate::fit::Fit;
use crate::job::Job;
use crate::report::{Note, Outcome, Section, Step};
use crate::setup::Setup;
use crate::tool::Tool;
use flankwise_thread::{Force, Length};

/// Kind of pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PassKind {
    /// A scratch to check the pitch by.
    Scratch,
    /// Takes metal.
    Cutting,
    /// Widens the groove to one side at full depth.
    Widening,
    /// Repeats the depth to take out the deflection.
    Spring,
}

/// One pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Number, from 1.
    pub number: u32,
    /// Kind.
    pub kind: PassKind,
    /// Radial depth of this pass.
    pub step: Length,
    /// Radial depth from the blank's surface.
    pub depth: Length,
    /// Diameter at the tool tip.
    pub diameter: Length,
    /// What the cross-slide readout or dial shows, zeroed at touch-on, as it counts (radius or diameter).
    pub readout: Length,
    /// Move along the compound from touch-on, where it feeds; zero for radial infeed.
    pub compound: Length,
    /// Axial shift of the tool against radial infeed (flank infeed, widening).
    pub axial_shift: Length,
    /// Chip area, mm².
    pub area_mm2: f64,
    /// Tangential force.
    pub force: Force,
    /// Deflection of the bar at the tip, radial component.
    pub deflection: Length,
}

/// The passes and the order of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Passes in order.
    pub passes: Vec<Pass>,
    /// Division of the dial or readout that `readout` was rounded to; none if there is none in the job.
    pub division: Option<Length>,
    /// Whether `readout` counts on the diameter.
    pub readout_on_diameter: bool,
    /// Time in the cut with returns, seconds.
    pub seconds: f64,
    /// Work to be done in order, with cautions.
    pub operations: Vec<Step>,
    /// Cautions that belong to the threading itself, for the view at the lathe.
    pub cautions: Vec<Note>,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Plans the passes.
pub fn work(_fit: &Fit, _tool: &Tool, _setup: Option<&Setup>, _job: &Job) -> Outcome<Cut> {
    todo!()
}

impl Cut {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
