//! How the tool moves in from pass to pass.

use crate::job::Infeed;
use flankwise_thread::{Angle, Length};

/// Between the compound and the flank: the following edge shaves lightly instead of rubbing.
const OFF_FLANK: Angle = Angle::deg(0.5);
/// The same for modified flank infeed.
const OFF_FLANK_MODIFIED: Angle = Angle::deg(3.0);
/// Flanks nearer to upright leave nothing to lean on.
const LEAST_SLOPE: Angle = Angle::deg(4.0);

/// How the tool is fed in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Feed {
    /// By the cross-slide; the compound lies parallel to the axis and is touched only to widen.
    Straight,
    /// By the compound, swung so far from the cross-slide.
    Swung(Angle),
    /// By the cross-slide, the tool shifted along the axis by the compound, which lies parallel to it; the path
    /// leans so far from the radius.
    Shifted(Angle),
    /// As [`Self::Shifted`], but leaning to one side and the other in turn, so that the flanks cut alternately and
    /// the tool stays about where it touched on.
    Alternating(Angle),
}

impl Feed {
    /// Chooses the feed for an infeed style. Straight in where the flanks are within 4° of upright.
    pub fn of(infeed: Infeed, half: Angle, compound_dial: bool) -> Self {
        let off = match infeed {
            Infeed::Radial => return Self::Straight,
            Infeed::Flank | Infeed::Alternating => OFF_FLANK,
            Infeed::ModifiedFlank => OFF_FLANK_MODIFIED,
        };
        if half < LEAST_SLOPE {
            return Self::Straight;
        }
        let lean = half - off;
        match (infeed, compound_dial) {
            (Infeed::Alternating, _) => Self::Alternating(lean),
            (_, true) => Self::Swung(lean),
            (_, false) => Self::Shifted(lean),
        }
    }
    /// Lean of the path from the radius.
    pub const fn lean(self) -> Angle {
        match self {
            Self::Straight => Angle::ZERO,
            Self::Swung(a) | Self::Shifted(a) | Self::Alternating(a) => a,
        }
    }
}

/// Travel of a compound swung by `angle` from the cross-slide for a radial depth: depth / cos.
pub fn compound_travel(depth: Length, angle: Angle) -> Length {
    depth * (1.0 / angle.cos())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn upright_flanks_are_fed_straight() {
        for infeed in [Infeed::Radial, Infeed::Flank, Infeed::ModifiedFlank, Infeed::Alternating] {
            assert_eq!(Feed::of(infeed, Angle::deg(0.0), true), Feed::Straight, "{infeed:?}");
        }
        let lean = Feed::of(Infeed::Alternating, Angle::deg(15.0), true).lean();
        assert!((lean.to_deg() - 14.5).abs() < 1e-12);
    }
}
