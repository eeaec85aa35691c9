//! Length over which nut and screw are engaged: one choice for all who ask.

use super::strength;
use crate::job::Make;
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
    /// What carries at least.
    pub shortest: Length,
    /// Over what errors of the lead add up at most.
    pub longest: Length,
}

impl Engaged {
    /// For a part whose thread is `length` long.
    pub fn of(make: &Make, length: Length, nominal: Length) -> Self {
        let known = |of: Length| Self { shortest: of.min(length), longest: of.min(length) };
        match (make.part, mate_length(make)) {
            (_, Some(mates)) => known(mates),
            (Element::Internal, None) => known(length),
            (Element::External, None) => Self {
                shortest: (nominal * strength::USUAL_NUT.0).min(length),
                longest: (nominal * strength::USUAL_NUT.1).min(length),
            },
        }
    }

    /// Whether it is known, rather than usual.
    pub fn known(self) -> bool {
        self.shortest == self.longest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nut_is_as_long_as_it_is_and_an_unknown_one_lies_in_the_usual_range() {
        let mm = Length::mm;
        let nut = Make::default();
        assert_eq!(Engaged::of(&nut, mm(44.0), mm(22.0)), Engaged { shortest: mm(44.0), longest: mm(44.0) });
        let mut screw = Make { part: Element::External, ..Make::default() };
        let unknown = Engaged::of(&screw, mm(600.0), mm(22.0));
        assert_eq!(unknown, Engaged { shortest: mm(33.0), longest: mm(44.0) });
        assert!(!unknown.known());
        screw.run.nut_length = Some(mm(40.0));
        assert!(Engaged::of(&screw, mm(600.0), mm(22.0)).known());
        assert_eq!(Engaged::of(&screw, mm(30.0), mm(22.0)).longest, mm(30.0));
    }
}
