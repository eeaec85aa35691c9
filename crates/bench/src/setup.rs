//! Setup: gears, speed, half-nuts.

use crate::fit::Fit;
use crate::job::{Job, Lathe};
use crate::report::{Outcome, Section};
use crate::tool::Tool;
use flankwise_thread::Length;

/// A gear train.
#[derive(Clone, Debug, PartialEq)]
pub struct Train {
    /// Driving gears, from the stud on.
    pub drivers: Vec<u32>,
    /// Driven gears, each in mesh with the driver of the same index.
    pub driven: Vec<u32>,
    /// Gearbox setting, if the lathe has one.
    pub gearbox: Option<String>,
    /// Lead it cuts.
    pub lead: Length,
    /// Error of the lead in parts per million, signed: positive cuts too long.
    pub error_ppm: f64,
    /// Fits the banjo, and no gear runs into a stud.
    pub meshes: bool,
    /// Why not, if not.
    pub why_not: String,
}

/// Whether the half-nuts may be opened between passes.
#[derive(Clone, Debug, PartialEq)]
pub enum HalfNuts {
    /// At any place.
    Anywhere,
    /// At these marks of the threading dial (1-based), in words.
    Marks(Vec<u32>, String),
    /// At multiples of this carriage shift only; there is no dial that shows it.
    Shift(Length),
    /// Never: keep them closed and reverse the spindle.
    KeepClosed,
}

/// The lathe as set up.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Trains, best first among those that mesh.
    pub trains: Vec<Train>,
    /// How many trains were looked at.
    pub searched: usize,
    /// Error of lead over the thread's length, with the first train.
    pub error_over_length: Length,
    /// Half-nut rule for the first train.
    pub half_nuts: HalfNuts,
    /// Spindle speed to use, rev/min (from the lathe's list where it has one).
    pub rpm: f64,
    /// Speed from surface speed, rev/min.
    pub rpm_surface: f64,
    /// Highest speed at which the person can stop in the room there is; none with the thread right through.
    pub rpm_reaction: Option<f64>,
    /// Overrun at the speed used.
    pub overrun: Length,
    /// Remaining figures, tables and steps (holding, centring order).
    pub detail: Vec<crate::report::Block>,
}

/// All trains of a lathe for a lead, best first among those that mesh, then those that do not; at most `most`.
/// Also says how many were looked at.
pub fn trains(_lathe: &Lathe, _lead: Length, _most: usize) -> (Vec<Train>, usize) {
    todo!()
}

/// Sets up the lathe.
pub fn work(_fit: &Fit, _tool: &Tool, _job: &Job) -> Outcome<Setup> {
    todo!()
}

impl Setup {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
