//! A bar in its bore, in section: does it go in, reach the bottom of the groove, and come out again.
//!
//! The section is square to the axis, the work's axis at the origin, x towards the cutting edge, y up. The edge
//! is at half the height of the bar (a round bar with its tip on the diameter), so bar and edge lie at the same
//! height above the work's axis.

use crate::job::BarShape;
use flankwise_thread::Length;

/// The bar in section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shank {
    /// Round or square.
    pub shape: BarShape,
    /// Diameter, or side.
    pub size: Length,
    /// From the front of the bar to the edge.
    pub tip: Length,
}

/// The work in section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Smallest diameter of the bore before threading.
    pub bore: Length,
    /// Largest diameter at the bottom of the groove.
    pub bottom: Length,
    /// Height of the edge above the work's axis.
    pub height: Length,
    /// Room wanted between bar or tip and the bore, all round.
    pub clearance: Length,
}

/// What became of a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// Goes into the bore at all, touching allowed.
    pub enters: bool,
    /// With the edge at the bottom of the groove, the bar stands clear of the bore.
    pub reaches: bool,
    /// Travel of the cross-slide between the bar's back and the edge touching the clearance; negative where it
    /// does not pass.
    pub room: Length,
}

impl Passage {
    /// Goes in, cuts to depth, comes out.
    pub fn passes(&self) -> bool {
        self.reaches && self.room >= Length::ZERO
    }
}

/// Judges `shank` in `opening`.
pub fn passage(shank: &Shank, opening: &Opening) -> Passage {
    let radius = opening.bore * 0.5;
    let inner = radius - opening.clearance;
    Passage {
        enters: free_travel(shank, radius, opening.height) >= Length::ZERO,
        reaches: reaches(shank, opening),
        room: free_travel(shank, inner, opening.height),
    }
}

/// Travel along x within which both the bar and the edge lie inside a circle of this radius.
fn free_travel(shank: &Shank, radius: Length, height: Length) -> Length {
    let (half, h, r) = (shank.size.to_mm() / 2.0, height.to_mm().abs(), radius.to_mm());
    let edge = r * r - h * h;
    let back = match shank.shape {
        // The bar's circle lies inside: its centre within r − half of the axis.
        BarShape::Round => (r > half).then(|| (r - half).powi(2) - h * h),
        // The back corner that is farther from the axis lies inside.
        BarShape::Square => Some(r * r - (half + h).powi(2)),
    };
    match back {
        Some(back) if back >= 0.0 && edge >= 0.0 => {
            let most_back = match shank.shape {
                BarShape::Round => -back.sqrt(),
                BarShape::Square => half - back.sqrt(),
            };
            let most_front = edge.sqrt() - half - shank.tip.to_mm();
            Length::mm(most_front - most_back)
        }
        // Too thick even in the middle: by how much, measured across.
        _ => Length::mm((2.0 * (r - half - h) - shank.tip.to_mm()).min(-1e-3)),
    }
}

fn reaches(shank: &Shank, opening: &Opening) -> bool {
    let (half, h) = (shank.size.to_mm() / 2.0, opening.height.to_mm().abs());
    let (r, bottom) = ((opening.bore * 0.5 - opening.clearance).to_mm(), opening.bottom.to_mm() / 2.0);
    let edge = (bottom * bottom - h * h).sqrt();
    let x = edge - half - shank.tip.to_mm();
    let reach = match shank.shape {
        BarShape::Round => x.hypot(h) + half,
        BarShape::Square => (x.abs() + half).hypot(h + half),
    };
    // NaN (an edge above the bore) compares false.
    reach <= r + 1e-9
}

/// Length of tip that a bar of this shape needs to reach the bottom without rubbing: `least`, or more where the
/// front corners of a square bar would touch first. None where its corners do not go into the bore at all.
pub fn tip_for(shape: BarShape, size: Length, opening: &Opening, least: Length) -> Option<Length> {
    if shape == BarShape::Round {
        return Some(least);
    }
    let (half, h) = (size.to_mm() / 2.0, opening.height.to_mm().abs());
    let (r, bottom) = ((opening.bore * 0.5 - opening.clearance).to_mm(), opening.bottom.to_mm() / 2.0);
    let front = (r * r - (half + h).powi(2)).sqrt();
    let needed = (bottom * bottom - h * h).sqrt() - front;
    needed.is_finite().then(|| least.max(Length::mm(needed)))
}

/// Largest round bar that passes `opening` with a tip of this length, to 1 µm; none where none does.
pub fn largest_round(opening: &Opening, tip: Length) -> Option<Length> {
    let fits =
        |mm: f64| passage(&Shank { shape: BarShape::Round, size: Length::mm(mm), tip }, opening).passes();
    let (mut lo, mut hi) = (0.001, opening.bore.to_mm());
    if !fits(lo) {
        return None;
    }
    while hi - lo > 1e-4 {
        let mid = 0.5 * (lo + hi);
        if fits(mid) { lo = mid } else { hi = mid }
    }
    Some(Length::mm(lo))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 3/8 in round bar goes into the 13 mm bore of a Tr 16x3 nut and comes out again (the sum in words: bar
    /// 9.525 + tip 2.25 + twice 0.25 = 12.275 mm).
    #[test]
    fn three_eighths_bar_passes_a_13_mm_bore() {
        let opening = Opening {
            bore: Length::mm(13.0),
            bottom: Length::mm(16.5),
            height: Length::ZERO,
            clearance: Length::mm(0.25),
        };
        let shank = Shank { shape: BarShape::Round, size: Length::inch(0.375), tip: Length::mm(2.25) };
        let p = passage(&shank, &opening);
        assert!(p.enters && p.passes(), "{p:?}");
        assert!((p.room.to_mm() - 0.725).abs() < 1e-9);
        let largest = largest_round(&opening, shank.tip).expect("some bar");
        assert!((largest.to_mm() - 10.25).abs() < 1e-3);
    }

    #[test]
    fn a_bar_above_centre_has_less_room() {
        let mut opening = Opening {
            bore: Length::mm(17.0),
            bottom: Length::mm(22.5),
            height: Length::ZERO,
            clearance: Length::mm(0.25),
        };
        let tip = Length::mm(3.25);
        let on_centre = largest_round(&opening, tip).expect("some bar");
        opening.height = Length::mm(1.5);
        assert!(largest_round(&opening, tip).expect("some bar") < on_centre);
    }

    #[test]
    fn a_square_bar_needs_its_corners() {
        let opening = Opening {
            bore: Length::mm(17.0),
            bottom: Length::mm(22.5),
            height: Length::ZERO,
            clearance: Length::mm(0.25),
        };
        let of = |shape, size| {
            let size = Length::mm(size);
            let tip = tip_for(shape, size, &opening, Length::mm(3.25)).unwrap_or(Length::mm(3.25));
            passage(&Shank { shape, size, tip }, &opening)
        };
        assert!(of(BarShape::Round, 12.0).passes());
        assert!(!of(BarShape::Square, 12.0).passes());
        assert!(of(BarShape::Square, 9.0).passes());
        // With the tip of a round bar, its front corners (8.0, 4.5) would rub in the bore of radius 8.5.
        let short = Shank { shape: BarShape::Square, size: Length::mm(9.0), tip: Length::mm(3.25) };
        assert!(!passage(&short, &opening).reaches);
    }

    #[test]
    fn a_short_tip_rubs_before_the_bottom() {
        let opening = Opening {
            bore: Length::mm(17.0),
            bottom: Length::mm(22.5),
            height: Length::ZERO,
            clearance: Length::mm(0.25),
        };
        let p =
            passage(&Shank { shape: BarShape::Round, size: Length::mm(8.0), tip: Length::mm(2.0) }, &opening);
        assert!(p.enters && !p.reaches && !p.passes());
    }
}
