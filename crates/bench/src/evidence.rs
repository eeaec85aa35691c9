//! Evidence: the readings, checked, each with a standard uncertainty (GUM) from instrument and method.

use crate::job::{Condition, Feature, Job, Leaf, Observed, Quantity, Trial};
use crate::report::{Outcome, Section};
use flankwise_thread::{Element, Length, Source};

/// A reading with its uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// Index into the job's readings.
    pub index: usize,
    /// On the screw or in the nut.
    pub part: Element,
    /// What.
    pub feature: Feature,
    /// Value. A count over a span is already divided: it is a pitch.
    pub value: Quantity,
    /// Standard uncertainty, in the same kind as the value.
    pub u: Quantity,
    /// Place along the part.
    pub place: Option<Length>,
    /// Wire diameter, for readings over wires.
    pub wire: Option<Length>,
    /// Where the uncertainty comes from.
    pub source: Source,
}

/// Checked evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Readings.
    pub readings: Vec<Weighed>,
    /// Leaves tried.
    pub leaves: Vec<Leaf>,
    /// Parts tried by hand.
    pub trials: Vec<Trial>,
    /// What eyes and fingers say.
    pub observed: Observed,
    /// Condition, assumed `Used` where not said.
    pub condition: Condition,
    /// The owner's story.
    pub story: Option<String>,
    /// Where the part comes from.
    pub context: crate::job::Context,
    /// Indices of readings that look like blunders (unit slip, swapped digits), each with words.
    pub suspects: Vec<(usize, String)>,
}

/// Weighs the job's readings.
pub fn work(_job: &Job) -> Outcome<Evidence> {
    todo!()
}

impl Evidence {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
