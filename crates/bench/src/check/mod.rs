//! Check: what to measure, with what, the limits, and the verdict.

pub use flankwise_thread::wires;

use crate::fit::Fit;
use crate::job::{Job, MadeFeature};
use crate::report::{Outcome, Section};
use flankwise_thread::Length;

/// One thing to measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// What.
    pub feature: MadeFeature,
    /// In words, with the gauge: `over three 2.1 mm wires`.
    pub how: String,
    /// Wire or ball diameter, if one is used.
    pub wire: Option<Length>,
    /// Smallest permitted value.
    pub min: Length,
    /// Largest permitted value.
    pub max: Length,
    /// What the aim would read.
    pub aim: Length,
    /// Standard uncertainty of the measurement.
    pub u: Length,
    /// Guard band: accept between `min + guard` and `max - guard` (ISO 14253-1).
    pub guard: Length,
}

/// A verdict by ISO 14253-1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Proved within the limits.
    Pass,
    /// Proved outside.
    Fail,
    /// Too near a limit for this measurement to tell.
    CannotTell,
}

/// A reading of the part, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Index into the job's `made`.
    pub index: usize,
    /// Verdict.
    pub verdict: Verdict,
    /// What to do, in words: how much deeper, which side.
    pub advice: String,
}

/// The plan and the verdicts.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Things to measure.
    pub measures: Vec<Measure>,
    /// Readings judged.
    pub judged: Vec<Judged>,
    /// Over all; none without readings.
    pub verdict: Option<Verdict>,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Plans the proof and judges the readings.
pub fn work(_fit: &Fit, _job: &Job) -> Outcome<Check> {
    todo!()
}

impl Check {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
