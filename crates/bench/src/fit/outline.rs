//! The outside of the part along its axis, from the front face: thread, groove, body, flange and steps.

use super::{Fit, groove};
use crate::job::{Body, Make};
use flankwise_thread::{Element, Length};

/// What stands at a place along the outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The screw's thread.
    Thread,
    /// The groove at its end.
    Groove,
    /// The body of a nut, or the plain part of a screw.
    Body,
    /// The flange.
    Flange,
    /// The step of this number, counted from none.
    Step(usize),
}

/// A length of the outside that has one diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// From the front face to its beginning.
    pub from: Length,
    /// And to its end.
    pub to: Length,
    /// Diameter, at its aim.
    pub diameter: Length,
    /// What it is.
    pub what: What,
}

impl Stretch {
    fn holds(&self, place: Length) -> bool {
        place > self.from && place < self.to
    }
    /// How long it is.
    pub fn length(&self) -> Length {
        self.to - self.from
    }
}

/// Lengths this close are the same place.
pub(super) const SAME: Length = Length::um(1.0);

/// Where the thread begins: at the front face, or on a screw behind the steps that follow one another from there.
pub fn thread_from(make: &Make) -> Length {
    if make.part == Element::Internal {
        return Length::ZERO;
    }
    let body = &make.body;
    let flange = body.flange_from.zip(body.flange_thickness).filter(|_| body.flange.is_some());
    let mut ends: Vec<(Length, Length)> =
        body.steps.iter().map(|s| (s.from_end, s.from_end + s.length)).collect();
    ends.extend(flange.map(|(from, thick)| (from, from + thick)));
    ends.sort_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
    ends.into_iter().fold(Length::ZERO, |at, (from, to)| if from <= at + SAME { at.max(to) } else { at })
}

/// Where the flange stands; none without its thickness. On a nut at the front face unless the job says otherwise, on a
/// screw behind its thread.
pub(super) fn flange(make: &Make, length: Length) -> Option<Stretch> {
    let Body { flange, flange_thickness, flange_from, .. } = &make.body;
    let (diameter, thick) = (*flange).zip(*flange_thickness)?;
    let from = flange_from.unwrap_or_else(|| match make.part {
        Element::Internal => Length::ZERO,
        Element::External => thread_from(make) + length + groove(make),
    });
    Some(Stretch { from, to: from + thick, diameter, what: What::Flange })
}

/// Diameter of the body of a nut, or of the plain part of a screw, which is the thread's own where none is given.
pub(super) fn plain(fit: &Fit, make: &Make) -> Option<Length> {
    let given = fit.body.map(|b| b.aim).or(make.body.outside);
    given.or(match fit.part {
        Element::Internal => make.body.flange,
        Element::External => Some(fit.blank.aim),
    })
}

/// The whole outside, end to end. Empty for a nut whose body is not known.
pub fn outside(fit: &Fit, make: &Make) -> Vec<Stretch> {
    let Some(plain) = plain(fit, make) else { return Vec::new() };
    let whole = fit.part_length(make);
    // What stands first goes before the rest.
    let mut all = Vec::new();
    if fit.part == Element::External {
        let from = thread_from(make);
        let to = from + fit.length;
        all.push(Stretch { from, to, diameter: fit.blank.aim, what: What::Thread });
        if let Some(diameter) = fit.relief_diameter {
            all.push(Stretch { from: to, to: to + groove(make), diameter, what: What::Groove });
        }
    }
    let steps = fit.steps.iter().enumerate();
    all.extend(steps.map(|(i, s)| Stretch {
        from: s.from,
        to: s.from + s.length,
        diameter: s.size.aim,
        what: What::Step(i),
    }));
    all.extend(flange(make, fit.length));
    all.push(Stretch { from: Length::ZERO, to: whole, diameter: plain, what: What::Body });

    let mut places: Vec<Length> = all.iter().flat_map(|s| [s.from, s.to]).filter(|p| *p <= whole).collect();
    places.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
    places.dedup_by(|a, b| (*a - *b).abs() < SAME);
    let mut line: Vec<Stretch> = places
        .windows(2)
        .filter_map(|ends| {
            let here = all.iter().find(|s| s.holds((ends[0] + ends[1]) / 2.0))?;
            Some(Stretch { from: ends[0], to: ends[1], ..*here })
        })
        .collect();
    line.dedup_by(|next, before| {
        let same = next.what == before.what;
        if same {
            before.to = next.to;
        }
        same
    });
    line
}

/// Diameter at a place along the outside: the smaller where two meet. None beyond the part.
pub(super) fn diameter_at(outside: &[Stretch], place: Length) -> Option<Length> {
    outside
        .iter()
        .filter(|s| place >= s.from - SAME && place <= s.to + SAME)
        .map(|s| s.diameter)
        .reduce(Length::min)
}

/// Flats that meet the outside somewhere; none where nothing would come off.
pub(super) fn flats(outside: &[Stretch], make: &Make) -> Option<Length> {
    let largest = outside.iter().map(|s| s.diameter).reduce(Length::max);
    make.body.flats.filter(|flats| largest.is_none_or(|d| *flats < d))
}
