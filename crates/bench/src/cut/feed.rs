//! How the tool moves in from pass to pass.

use super::groove::Flanks;
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
    /// Chooses the feed for an infeed style: its path leans from the flank that it follows, which of an alternating one
    /// is each in turn, so that no flank is cut into. Straight in where that flank is within 4° of upright.
    pub fn of(infeed: Infeed, flanks: Flanks, compound_dial: bool) -> Self {
        let off = match infeed {
            Infeed::Radial => return Self::Straight,
            Infeed::Flank | Infeed::Alternating => OFF_FLANK,
            Infeed::ModifiedFlank => OFF_FLANK_MODIFIED,
        };
        let followed = match infeed {
            Infeed::Alternating => flanks.steeper(),
            _ => Angle::atan(flanks.behind),
        };
        if followed < LEAST_SLOPE {
            return Self::Straight;
        }
        let lean = followed - off;
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

/// A shift of the tool along the axis by a swung compound, as its dials can set it: on along the compound, and back on
/// the cross-slide by what that goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sideways {
    /// On along the compound.
    pub on: Length,
    /// Back on the cross-slide, radially.
    pub back: Length,
    /// What the tool moves along the axis.
    pub axial: Length,
    /// What it moves in, radially, since both dials have divisions; negative out.
    pub deeper: Length,
}

/// So many divisions of the compound may be left out for a shift that leaves the depth better as it is.
const LEFT_OUT: u32 = 3;

/// The shift of about `axial`, and no more, that `compound` divisions of the one dial and `radial` ones of the other
/// make with the depth left as it is; exact where a dial is not known.
pub fn sideways(axial: Length, lean: Angle, compound: Option<Length>, radial: Option<Length>) -> Sideways {
    let of = |on: Length| {
        let goes_in = on * lean.cos();
        let back = radial.map_or(goes_in, |step| super::device::round_to(goes_in, step));
        Sideways { on, back, axial: on * lean.sin(), deeper: goes_in - back }
    };
    let wanted = axial * (1.0 / lean.sin());
    let Some(division) = compound.filter(|d| *d > Length::ZERO) else { return of(wanted) };
    let most = ((wanted / division + 1e-6).floor() as u32).max(1);
    let least = most.saturating_sub(LEFT_OUT).max(most.div_ceil(2));
    let shift = |n: u32| of(division * f64::from(n));
    let kept = |s: &Sideways| radial.is_none_or(|step| s.deeper.abs() <= step * 0.25);
    let by_depth = |a: &Sideways, b: &Sideways| a.deeper.abs().to_mm().total_cmp(&b.deeper.abs().to_mm());
    let shifts = || (least..=most).rev().map(shift);
    shifts().find(kept).or_else(|| shifts().min_by(by_depth)).unwrap_or_else(|| of(wanted))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On and back close a triangle: what is left over in depth is less than half a division.
    #[test]
    fn a_shift_of_the_swung_compound_stays_on_both_dials() {
        let (division, lean) = (Length::inch(0.001), Angle::deg(14.0));
        for axial in [0.0005, 0.002, 0.0043, 0.011].map(Length::inch) {
            let s = sideways(axial, lean, Some(division), Some(division));
            let whole = |l: Length| (l / division - (l / division).round()).abs() < 1e-9;
            assert!(whole(s.on) && whole(s.back), "{s:?}");
            assert!((s.on * lean.cos() - s.back - s.deeper).abs() < Length::um(1e-6));
            assert!(s.deeper.abs() <= division * 0.5, "{s:?}");
            assert!(s.axial <= axial + Length::um(1e-3) || s.on == division, "{s:?}");
            assert!((s.axial - s.on * lean.sin()).abs() < Length::um(1e-6));
        }
        let exact = sideways(Length::mm(0.1), lean, None, None);
        assert!((exact.axial - Length::mm(0.1)).abs() < Length::um(1e-6) && exact.deeper == Length::ZERO);
    }

    #[test]
    fn upright_flanks_are_fed_straight() {
        for infeed in [Infeed::Radial, Infeed::Flank, Infeed::ModifiedFlank, Infeed::Alternating] {
            assert_eq!(Feed::of(infeed, Flanks::even(0.0), true), Feed::Straight, "{infeed:?}");
        }
        let lean = Feed::of(Infeed::Alternating, Flanks::even(Angle::deg(15.0).tan()), true).lean();
        assert!((lean.to_deg() - 14.5).abs() < 1e-12);
    }
}
