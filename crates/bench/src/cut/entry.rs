//! Whether what a person enters at the lathe can be, before anything is planned from it.

use super::course::{Course, Place, Setting};
use super::reached::{self, Silent};
use super::seat::{self, Section, Unfit};
use super::{PassKind, follow};
use crate::fit::Fit;
use crate::job::{Job, MadeFeature, MadeReading};
use crate::setup::Setup;
use crate::tool::Tool;
use flankwise_thread::{Element, Length};

/// A pass that goes deeper than asked by less than this is no slip. Chosen here.
const EASE: Length = Length::mm(0.05);

/// How a number stands to what is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Standing {
    /// As was to be expected, or it tells no depth.
    Likely,
    /// It can be, but is worth a second look: the radial depth that it tells, and the one to be expected.
    Unlikely {
        /// Told by the number.
        told: Length,
        /// To be expected.
        expected: Length,
    },
    /// By this number the wire or ball did not lie on the flanks: it tells nothing.
    Silent(Unfit),
    /// It cannot be: what can, from and to, counted as the number is.
    Impossible {
        /// Least accepted.
        from: Length,
        /// Most accepted.
        to: Length,
    },
}

/// What entries are held against: the plan, and the place that the passes done have reached.
pub struct Entries<'a> {
    course: Course<'a>,
    here: Place,
    next: Option<Setting>,
}

impl<'a> Entries<'a> {
    /// The plan of a job as far as it is done.
    pub fn of(fit: &'a Fit, tool: &'a Tool, setup: Option<&Setup>, job: &'a Job) -> Self {
        let course = Course::new(fit, tool, setup, job, &mut Vec::new());
        let followed = follow::follow(&course, &mut Vec::new());
        let next = followed.passes.get(followed.done).map(Setting::of);
        Self { here: followed.here, course, next }
    }

    /// The radial depth, from touch-on, that the next pass was set to. Less deep than the groove it would cut nothing.
    pub fn depth(&self, depth: Length) -> Standing {
        let reached = match self.next {
            Some(next) => self.course.seated(self.here, next.tip).depth,
            None => self.here.depth,
        };
        let least = if self.here.taken == 0 { Length::um(1.0) } else { reached };
        let (from, to) = (least, self.course.bounds().depth);
        if depth < from - self.course.near() || depth > to {
            return Standing::Impossible { from, to };
        }
        let Some(next) = self.next else { return Standing::Likely };
        // A scratch may be as deep as a first pass.
        let step = if next.kind == PassKind::Scratch { self.course.first } else { next.depth - reached };
        let deeper = depth > next.depth + step.max(EASE);
        let beyond = depth > self.course.permitted(&self.here).max(next.depth) + self.course.near();
        if deeper || beyond || reached::wrong_sense(next.depth, depth) {
            Standing::Unlikely { told: depth, expected: next.depth }
        } else {
            Standing::Likely
        }
    }

    /// A wire or ball that lay amiss: one that can never serve in this thread is refused; one that only does not yet may
    /// stand, and is said to tell no depth.
    fn unfit(&self, wire: Option<Length>, why: Unfit) -> Standing {
        let fit = self.course.fit;
        let finished = Section::finished(fit);
        let never = wire.and_then(|w| seat::unfit(&fit.thread, fit.part, &finished, w));
        never.map_or(
            if why == Unfit::OnTheEdge { Standing::Likely } else { Standing::Silent(why) },
            Standing::Silent,
        )
    }

    /// A reading of the groove as it is now.
    pub fn reading(&self, reading: &MadeReading) -> Standing {
        let at = |depth| reached::reads(&self.course, &self.here, reading, depth);
        let (Some(shallow), Some(deep)) = (at(Length::ZERO), at(self.course.bounds().depth)) else {
            return Standing::Likely;
        };
        let (mut from, mut to) = (shallow.min(deep).max(Length::ZERO), shallow.max(deep));
        // Wires on the crest, or balls against the bore, are as far as a groove that is no groove lets them go.
        if let (MadeFeature::OverWires, Some(wire)) = (reading.feature, reading.wire) {
            match self.course.fit.part {
                Element::Internal => from = (self.course.blank - wire * 2.0).max(Length::ZERO),
                Element::External => to = self.course.blank + wire * 2.0,
            }
        }
        // What the gauge may be wrong by is no slip.
        let ease = Length::mm(0.1);
        if reading.value <= Length::ZERO && reading.feature != MadeFeature::Play
            || reading.value < Length::ZERO
            || reading.value < from - ease
            || reading.value > to + ease
        {
            return Standing::Impossible { from, to };
        }
        match reached::depth(&self.course, &self.here, reading) {
            Ok(measured) if reached::contradicts(&self.course, &self.here, measured) => {
                Standing::Unlikely { told: measured.depth, expected: reached::expected(&self.here) }
            }
            Ok(_) | Err(Silent::OfNoDepth) => Standing::Likely,
            Err(Silent::Unfit(why)) => self.unfit(reading.wire, why),
        }
    }
}
