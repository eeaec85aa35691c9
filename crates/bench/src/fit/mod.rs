//! Fit: sizes for this mate, and the body of the part.

pub mod iso286;
pub mod play;
pub mod strength;

use crate::evidence::Evidence;
use crate::identity::Identity;
use crate::job::Job;
use crate::report::{Outcome, Section, Step};
use flankwise_thread::{Element, Length, Limits, Thread};

/// A size with its permitted range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// What to aim at.
    pub aim: Length,
    /// Smallest permitted.
    pub min: Length,
    /// Largest permitted.
    pub max: Length,
}

/// The mate at one place of its travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Place along the mate from its end.
    pub place: Length,
    /// The mate's pitch diameter there.
    pub mate_pitch_diameter: Length,
    /// Its standard uncertainty.
    pub u: Length,
    /// Axial play of the part made to the aimed sizes.
    pub play: Length,
    /// Axial play of a part made to the book's middle of tolerance.
    pub play_by_book: Length,
}

/// Sizes of the part to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The thread.
    pub thread: Thread,
    /// Nut (`Internal`) or screw (`External`) is made.
    pub part: Element,
    /// Limits by the book, in the class asked or the default one.
    pub book: Option<Limits>,
    /// Bore to finish before threading (nut: minor diameter; screw: outside diameter to turn).
    pub blank: Size,
    /// Diameter at the bottom of the groove (nut: major; screw: minor).
    pub bottom: Size,
    /// Pitch diameter.
    pub pitch_diameter: Size,
    /// Radial depth of cut from the blank to the bottom, at the aims.
    pub depth: Length,
    /// Axial width of the groove at its bottom, at the aims: the widest tip that may be ground.
    pub groove_bottom_width: Length,
    /// Axial width of the groove at the blank's surface.
    pub groove_top_width: Length,
    /// Length of thread.
    pub length: Length,
    /// Thread goes right through.
    pub through: bool,
    /// Room beyond the thread: relief groove, or through.
    pub relief: Option<Length>,
    /// Material key of the part.
    pub material: &'static str,
    /// The mate along its travel; empty where it was not measured.
    pub stations: Vec<Station>,
    /// Outside diameter of the body, with its fit, if known.
    pub body: Option<Size>,
    /// Stock to order: diameter and length.
    pub stock: Option<(Length, Length)>,
    /// Order of operations of the part, thread included as one step (the cut stage details it).
    pub operations: Vec<Step>,
    /// Thread engagement H1.
    pub engagement: Length,
    /// The section's figures and tables that are not in fields above.
    pub detail: Vec<crate::report::Block>,
}

/// Computes sizes.
pub fn work(_evidence: &Evidence, _identity: &Identity, _job: &Job) -> Outcome<Fit> {
    todo!()
}

impl Fit {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
