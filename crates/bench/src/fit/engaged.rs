//! Length over which nut and screw are engaged: one choice for all who ask.

use super::{kinds, strength};
use crate::job::{HoleKind, Make};
use flankwise_thread::{Element, Length};

/// Length of the mate's thread, where the job has it.
pub(super) fn mate_length(make: &Make) -> Option<Length> {
    match make.part {
        Element::Internal => make.mate_length,
        Element::External => make.run.nut_length.or(make.mate_length),
    }
}

/// A nut that is made, or named in the job, is as long as it is. Of one that is not known only the usual range is: a
/// short nut carries less, a long one gathers more error of the lead, so strength is reckoned with the shortest and
/// leads with the longest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engaged {
    /// Shortest that is sure.
    pub shortest: Length,
    /// What of that carries one way: less where the nut is in two pieces, or holes cross its thread.
    pub carries: Length,
    /// Over what errors of the lead add up at most.
    pub longest: Length,
}

impl Engaged {
    /// For a part whose thread is `length` long.
    pub fn of(make: &Make, length: Length, nominal: Length) -> Self {
        let (shortest, longest) = match (make.part, mate_length(make)) {
            (_, Some(mates)) => (mates, mates),
            (Element::Internal, None) => (length, length),
            (Element::External, None) => (nominal * strength::USUAL_NUT.0, nominal * strength::USUAL_NUT.1),
        };
        let (shortest, longest) = (shortest.min(length), longest.min(length));
        let whole = (shortest - crossed(make, length, nominal)).max(Length::ZERO);
        Self { shortest, longest, carries: whole * kinds::each_way(make) }
    }

    /// Whether it is known, rather than usual.
    pub fn known(self) -> bool {
        self.shortest == self.longest
    }
}

/// Length of thread that a hole across takes away: it opens two round places of it, as much as all the way round over
/// 2 (π/4) d² / (π D).
pub(super) fn taken_across(hole: Length, nominal: Length) -> Length {
    hole * (hole / nominal) / 2.0
}

/// Length of thread that the part's holes across take away.
fn crossed(make: &Make, length: Length, nominal: Length) -> Length {
    let holes = make.body.holes.iter().filter(|h| h.kind == HoleKind::Cross && h.from_end < length);
    holes.map(|h| taken_across(h.diameter, nominal)).fold(Length::ZERO, |all, one| all + one)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Hole, NutKind};

    #[test]
    fn a_nut_is_as_long_as_it_is_and_an_unknown_one_lies_in_the_usual_range() {
        let mm = Length::mm;
        let nut = Make::default();
        let all = mm(44.0);
        let whole = Engaged { shortest: all, longest: all, carries: all };
        assert_eq!(Engaged::of(&nut, all, mm(22.0)), whole);
        let two = Make { nut: NutKind::TwoPiece, ..Make::default() };
        assert_eq!(Engaged::of(&two, all, mm(22.0)), Engaged { carries: mm(22.0), ..whole });
        let mut screw = Make { part: Element::External, ..Make::default() };
        let unknown = Engaged::of(&screw, mm(600.0), mm(22.0));
        assert_eq!(unknown, Engaged { shortest: mm(33.0), longest: mm(44.0), carries: mm(33.0) });
        assert!(!unknown.known());
        screw.run.nut_length = Some(mm(40.0));
        assert!(Engaged::of(&screw, mm(600.0), mm(22.0)).known());
        assert_eq!(Engaged::of(&screw, mm(30.0), mm(22.0)).longest, mm(30.0));
    }

    /// A hole of 11 mm across a thread of 22 opens two discs of 95 mm² of the 69 mm² that each millimetre of it has all
    /// round: 2.75 mm of thread.
    #[test]
    fn a_hole_across_takes_thread_away() {
        let mm = Length::mm;
        let hole = Hole {
            kind: HoleKind::Cross,
            diameter: mm(11.0),
            from_end: mm(20.0),
            depth: None,
            thread: None,
            count: 1,
            angle: None,
        };
        let mut nut = Make::default();
        nut.body.holes.push(hole);
        let carries = Engaged::of(&nut, mm(44.0), mm(22.0)).carries;
        assert!((carries - mm(41.25)).abs() < Length::um(1e-6), "{carries:?}");
    }
}
