//! A bar in its bore, in section: does it go in, reach the bottom of the groove, and come out again.
//!
//! The section is square to the axis, the work's axis at the origin, x towards the cutting edge, y up. The edge
//! is at half the height of the bar (a round bar with its tip on the diameter), so bar and edge lie at the same
//! height above the work's axis.

use super::bar::Section;
use crate::job::{Bar, BarShape};
use flankwise_thread::Length;

/// The bar in section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shank {
    /// Its section; a flat lies at its back, away from the edge.
    pub section: Section,
    /// From the front of the section to the edge.
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

/// Judges the part of a bar that goes into the bore, so long from its front, its edge `tip` in front of its first
/// section. What is thicker behind stands behind the edge by half of what it is thicker.
pub fn passage_of(bar: &Bar, tip: Length, inside: Length, opening: &Opening) -> Passage {
    let whole = Passage { enters: true, reaches: true, room: Length::mm(f64::INFINITY) };
    sections_inside(bar, inside).iter().fold(whole, |so_far, section| {
        let tip = tip + (bar.section_at(Length::ZERO).size - section.size) * 0.5;
        let one = passage(&Shank { section: *section, tip }, opening);
        Passage {
            enters: so_far.enters && one.enters,
            reaches: so_far.reaches && one.reaches,
            room: so_far.room.min(one.room),
        }
    })
}

/// The thickest section of every part within reach: bars only grow from front to back.
fn sections_inside(bar: &Bar, inside: Length) -> Vec<Section> {
    let just = Length::um(0.01);
    bar.steps(inside).windows(2).map(|w| bar.section_at(w[1] - just)).collect()
}

/// Where along x the centre of a section may lie so that all of it is within a circle of this radius about the work's
/// axis: backmost and foremost. None where it is too thick.
fn places(section: &Section, radius: f64, height: f64) -> Option<(f64, f64)> {
    let over = |x: f64| farthest(section, x, height) - radius;
    // Convex along x: first the place where it lies best.
    let (mut back, mut front) = (-radius, radius);
    for _ in 0..80 {
        let (a, b) = (back + (front - back) / 3.0, front - (front - back) / 3.0);
        if over(a) < over(b) { front = b } else { back = a }
    }
    let best = 0.5 * (back + front);
    if over(best) > 1e-9 {
        return None;
    }
    let limit = |mut out: f64| {
        let mut within = best;
        for _ in 0..60 {
            let middle = 0.5 * (within + out);
            if over(middle) <= 0.0 { within = middle } else { out = middle }
        }
        within
    };
    Some((limit(-2.0 * radius), limit(2.0 * radius)))
}

/// Farthest that a point of a section lies from the work's axis, its centre at (x, height), mm.
fn farthest(section: &Section, x: f64, height: f64) -> f64 {
    let half = section.size.to_mm() / 2.0;
    match section.shape {
        BarShape::Round => x.hypot(height) + half,
        BarShape::Square => (x.abs() + half).hypot(height.abs() + half),
        BarShape::Flatted => {
            // The disc's farthest point lies straight out from the axis; where the flat has taken it off, a corner of
            // the flat does.
            let flat = section.flat.map_or(half, |f| f.to_mm() - half).clamp(0.0, half);
            let from_axis = x.hypot(height);
            if from_axis == 0.0 || half * x / from_axis >= -flat {
                from_axis + half
            } else {
                let corner = (half * half - flat * flat).sqrt();
                (x - flat).hypot(height.abs() + corner)
            }
        }
    }
}

/// Travel along x within which both the bar and the edge lie inside a circle of this radius.
fn free_travel(shank: &Shank, radius: Length, height: Length) -> Length {
    let (half, h, r) = (shank.section.size.to_mm() / 2.0, height.to_mm(), radius.to_mm());
    let edge = (r * r - h * h).sqrt() - half - shank.tip.to_mm();
    match places(&shank.section, r, h) {
        Some((back, front)) if edge.is_finite() => Length::mm(edge.min(front) - back),
        // Too thick even in the middle: by how much, measured across.
        _ => Length::mm((2.0 * (r - half - h.abs()) - shank.tip.to_mm()).min(-1e-3)),
    }
}

fn reaches(shank: &Shank, opening: &Opening) -> bool {
    let (half, h) = (shank.section.size.to_mm() / 2.0, opening.height.to_mm());
    let r = (opening.bore * 0.5 - opening.clearance).to_mm();
    let x = edge_at_bottom(opening) - half - shank.tip.to_mm();
    // NaN (an edge above the bore) compares false.
    farthest(&shank.section, x, h) <= r + 1e-9
}

/// x of the edge when it stands at the bottom of the groove, mm.
fn edge_at_bottom(opening: &Opening) -> f64 {
    let (h, bottom) = (opening.height.to_mm(), opening.bottom.to_mm() / 2.0);
    (bottom * bottom - h * h).sqrt()
}

/// Length of tip that a bar needs to reach the bottom without rubbing: `least`, or more where what stands in the bore
/// (a square's corners, a thicker part behind) would touch first. None where it does not go into the bore at all.
pub fn tip_for(bar: &Bar, inside: Length, opening: &Opening, least: Length) -> Option<Length> {
    let r = (opening.bore * 0.5 - opening.clearance).to_mm();
    let front_half = bar.section_at(Length::ZERO).size.to_mm() / 2.0;
    sections_inside(bar, inside).iter().try_fold(least, |tip, section| {
        let (_, front) = places(section, r, opening.height.to_mm())?;
        let needed = edge_at_bottom(opening) - front_half - front;
        needed.is_finite().then(|| tip.max(Length::mm(needed)))
    })
}

/// Largest round bar that passes `opening` with a tip of this length, to 1 µm; none where none does.
pub fn largest_round(opening: &Opening, tip: Length) -> Option<Length> {
    let fits = |mm: f64| {
        passage(&Shank { section: Section::plain(BarShape::Round, Length::mm(mm)), tip }, opening).passes()
    };
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
    use crate::job::{BarMaterial, BarPart};

    fn opening(bore: f64, bottom: f64) -> Opening {
        let mm = Length::mm;
        Opening { bore: mm(bore), bottom: mm(bottom), height: Length::ZERO, clearance: mm(0.25) }
    }

    fn round(size: Length, tip: f64) -> Shank {
        Shank { section: Section::plain(BarShape::Round, size), tip: Length::mm(tip) }
    }

    fn bar(shape: BarShape, size: f64) -> Bar {
        Bar::plain(shape, Length::mm(size), None, BarMaterial::Steel)
    }

    const INSIDE: Length = Length::mm(30.0);

    /// A 3/8 in round bar goes into the 13 mm bore of a Tr 16x3 nut and comes out again (the sum in words: bar
    /// 9.525 + tip 2.25 + twice 0.25 = 12.275 mm).
    #[test]
    fn three_eighths_bar_passes_a_13_mm_bore() {
        let opening = opening(13.0, 16.5);
        let shank = round(Length::inch(0.375), 2.25);
        let p = passage(&shank, &opening);
        assert!(p.enters && p.passes(), "{p:?}");
        assert!((p.room.to_mm() - 0.725).abs() < 1e-6, "{p:?}");
        let largest = largest_round(&opening, shank.tip).expect("some bar");
        assert!((largest.to_mm() - 10.25).abs() < 1e-3);
    }

    #[test]
    fn a_bar_above_centre_has_less_room() {
        let mut opening = opening(17.0, 22.5);
        let tip = Length::mm(3.25);
        let on_centre = largest_round(&opening, tip).expect("some bar");
        opening.height = Length::mm(1.5);
        assert!(largest_round(&opening, tip).expect("some bar") < on_centre);
    }

    #[test]
    fn a_square_bar_needs_its_corners() {
        let opening = opening(17.0, 22.5);
        let least = Length::mm(3.25);
        let of = |shape, size| {
            let bar = bar(shape, size);
            let tip = tip_for(&bar, INSIDE, &opening, least).unwrap_or(least);
            passage_of(&bar, tip, INSIDE, &opening)
        };
        assert!(of(BarShape::Round, 12.0).passes());
        assert!(!of(BarShape::Square, 12.0).passes());
        assert!(of(BarShape::Square, 9.0).passes());
        // With the tip of a round bar, its front corners (8.0, 4.5) would rub in the bore of radius 8.5.
        assert!(!passage_of(&bar(BarShape::Square, 9.0), least, INSIDE, &opening).reaches);
    }

    #[test]
    fn a_short_tip_rubs_before_the_bottom() {
        let p = passage(&round(Length::mm(8.0), 2.0), &opening(17.0, 22.5));
        assert!(p.enters && !p.reaches && !p.passes());
    }

    /// A flat at the back lets a bar back out farther: 13.5 mm round does not pass this bore, with 11 mm left it does.
    #[test]
    fn a_flat_at_the_back_gives_room() {
        let opening = opening(17.0, 22.5);
        let whole = bar(BarShape::Round, 13.5);
        let flatted = Bar { flat: Some(Length::mm(11.0)), ..bar(BarShape::Flatted, 13.5) };
        let room = |bar: &Bar| passage_of(bar, Length::mm(3.25), INSIDE, &opening).room;
        assert!(room(&whole) < Length::ZERO && room(&flatted) > Length::ZERO, "{:?}", room(&flatted));
        // The same by trying points of the outline.
        let (r, half, flat) = (8.25, 6.75, 4.25);
        let fits = |x: f64| {
            (0..3600).all(|i| {
                let (sin, cos) = (f64::from(i) / 10.0).to_radians().sin_cos();
                (x + (half * cos).max(-flat)).hypot(half * sin) <= r + 1e-9
            })
        };
        let back = (0..40_000).map(|i| f64::from(i) * -1e-4).rfind(|x| fits(*x)).expect("a place");
        let by_trying = r - half - 3.25 - back;
        assert!((room(&flatted).to_mm() - by_trying).abs() < 1e-3, "{:?} {by_trying}", room(&flatted));
    }

    /// What stands outside the bore may be as thick as it likes; what goes in counts with its own thickness.
    #[test]
    fn a_stepped_bar_is_judged_by_what_goes_in() {
        let opening = opening(17.0, 22.5);
        let part = |length: f64, size: f64| BarPart { length: Length::mm(length), size: Length::mm(size) };
        let stepped = |length| Bar { front: vec![part(length, 10.0)], ..bar(BarShape::Round, 20.0) };
        let tip = Length::mm(3.25);
        let slim = passage_of(&bar(BarShape::Round, 10.0), tip, INSIDE, &opening);
        assert_eq!(passage_of(&stepped(31.0), tip, INSIDE, &opening), slim);
        assert!(!passage_of(&stepped(29.0), tip, INSIDE, &opening).enters);
        // A taper from 8 to 14 mm over 60 mm is 11 mm thick at the mouth, its middle 1.5 mm further behind the edge.
        let taper = Bar { front: vec![part(60.0, 8.0)], tapers: true, ..bar(BarShape::Round, 14.0) };
        let room = passage_of(&taper, tip, INSIDE, &opening).room;
        let there = passage(&round(Length::mm(11.0), 3.25 - 1.5), &opening).room;
        assert!((room - there).abs() < Length::um(1.0), "{room:?} {there:?}");
    }
}
