//! The grind: angles in the rake face, reliefs, heel, and the width of the tip.
//!
//! Sections are drawn square to the axis: x towards the cutting edge, y up, the axis of the work at the origin.
//! The rake face of an external tool points at the axis from outside, that of an internal tool away from it,
//! which turns the sign of what a height off centre does.

use crate::fit::{Fit, Size};
use flankwise_thread::{Angle, Element, Length, Source};

/// Angle between the rake face and the radius through the edge, at an edge `height` above centre on diameter
/// `dia`: rake + δ for an external tool, rake − δ for an internal one, with sin δ = 2 height / dia. An internal
/// edge above centre loses rake and gains clearance.
pub fn effective_rake(rake: Angle, height: Length, dia: Length, element: Element) -> Angle {
    match element {
        Element::External => rake + off_centre(height, dia),
        Element::Internal => rake - off_centre(height, dia),
    }
}

/// δ with sin δ = 2 height / dia: by so much clearance and rake change when the edge is `height` off centre on a
/// surface of diameter `dia`.
pub fn off_centre(height: Length, dia: Length) -> Angle {
    Angle::rad((2.0 * (height / dia)).clamp(-1.0, 1.0).asin())
}

/// Flank angle that is cut by a flank ground at `ground` in a rake face that leans by `tilt` from the radius:
/// tan A = tan A_t / cos tilt (first order).
pub fn cut_half_angle(ground: Angle, tilt: Angle) -> Angle {
    Angle::atan(ground.tan() / tilt.cos())
}

/// Half angle to grind when the whole tool is canted by the lead angle, so that its face is square to the helix:
/// tan A_n = tan A cos λ.
pub fn canted_half_angle(axial: Angle, lead: Angle) -> Angle {
    Angle::atan(axial.tan() * lead.cos())
}

/// Length of the rake face between the surface of the blank and the bottom of the groove, for an edge that
/// reaches the bottom: longer than the radial depth when the face leans or lies off centre. None where a face
/// so placed does not meet both diameters.
pub fn length_along_face(
    bottom: Length,
    blank: Length,
    rake: Angle,
    height: Length,
    element: Element,
) -> Option<Length> {
    let (r, surface, h) = (bottom.to_mm() / 2.0, blank.to_mm() / 2.0, height.to_mm());
    let x = (r * r - h * h).sqrt();
    // The point s along the face lies at x ± s cos γ, h − s sin γ; its radius is to be that of the surface.
    let (b, back) = match element {
        Element::External => (x * rake.cos() - h * rake.sin(), 1.0),
        Element::Internal => (x * rake.cos() + h * rake.sin(), -1.0),
    };
    let s = back * ((b * b + surface * surface - r * r).sqrt() - b);
    (s.is_finite() && s > 0.0).then_some(Length::mm(s))
}

/// Half angle to grind in the rake face so that `axial` is cut between the two diameters, exact at both ends of
/// the flank: tan A_t = tan A · depth / length along the face.
pub fn ground_half_angle(axial: Angle, depth: Length, along_face: Length) -> Angle {
    Angle::atan(axial.tan() * (depth / along_face))
}

/// Relief of a flank, axially, that comes from radial clearance alone: tan α_f = tan A tan α_r.
pub fn flank_clearance(half: Angle, radial: Angle) -> Angle {
    Angle::atan(half.tan() * radial.tan())
}

/// Reliefs under the leading and the following flank, seen along the cross-slide. The groove runs away from the
/// leading flank by the lead angle, so that side is ground steeper by it and the following side less.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reliefs {
    /// Leading flank: clearance + λ.
    pub leading: Angle,
    /// Following flank: clearance − λ, or [`LEAST_RELIEF`] where that is more.
    pub trailing: Angle,
    /// The following flank is at the least relief, since the lead angle alone clears it by more.
    pub floored: bool,
}

/// Least relief ground on a flank: an upright or overhanging side can't be ground and checked by hand.
pub const LEAST_RELIEF: Angle = Angle::deg(1.0);

/// Reliefs for lead angle `lead` and working clearance `clearance`.
pub fn reliefs(lead: Angle, clearance: Angle) -> Reliefs {
    let trailing = clearance - lead;
    let floored = trailing < LEAST_RELIEF;
    Reliefs { leading: clearance + lead, trailing: trailing.max(LEAST_RELIEF), floored }
}

/// Side of the tool, as one stands at the lathe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// Towards the chuck.
    Chuck,
    /// Towards the tailstock.
    Tailstock,
}

/// The side whose flank leads, for a spindle that turns forwards and a tool at the front with its face up: a
/// right-hand thread is fed towards the chuck, inside as outside.
pub const fn leading_side(hand: flankwise_thread::Hand) -> Side {
    match hand {
        flankwise_thread::Hand::Right => Side::Chuck,
        flankwise_thread::Hand::Left => Side::Tailstock,
    }
}

impl Reliefs {
    /// The relief on `side` of the tool for a thread of this hand.
    pub fn on(&self, side: Side, hand: flankwise_thread::Hand) -> Angle {
        if leading_side(hand) == side { self.leading } else { self.trailing }
    }
}

/// How far below the edge the front of an internal tool still clears a bore of diameter `bore`, at front clearance
/// `front` and an edge `height` above centre: D cos a sin(a + δ), which is (D/2) sin 2a on centre. Zero or less
/// means that it rubs from the edge down.
pub fn heel(bore: Length, front: Angle, height: Length) -> Length {
    bore * (front.cos() * (front + off_centre(height, bore)).sin())
}

/// Front clearance at which the heel clears down to `below`, by bisection; none if not even 45° does.
pub fn front_for_heel(bore: Length, below: Length, height: Length) -> Option<Angle> {
    let (mut lo, mut hi) = (0.0, 45.0);
    if heel(bore, Angle::deg(hi), height) < below {
        return None;
    }
    for _ in 0..50 {
        let mid = 0.5 * (lo + hi);
        if heel(bore, Angle::deg(mid), height) < below { lo = mid } else { hi = mid }
    }
    Some(Angle::deg(hi))
}

/// Axial width of a groove at `beyond` (on the diameter) past the pitch diameter towards its bottom:
/// P/2 − beyond · tan A, with the mean of both flanks' tangents.
pub fn groove_width(pitch: Length, beyond: Length, mean_tan: f64) -> Length {
    pitch * 0.5 - beyond * mean_tan
}

/// Radius that rounds a tip of width `tip` off completely, tangent to both flanks: (w/2) / tan(45° − A/2).
pub fn full_radius(tip: Length, half: Angle) -> Length {
    tip * 0.5 * (1.0 / (Angle::deg(45.0) - half * 0.5).tan())
}

/// Tolerance that a tip is ground and measured to by hand: the smaller of 0.03 mm and a sixth of the width.
pub const TIP_TOLERANCE: Source =
    Source::choice("0.03 mm, or a sixth of a narrow tip: what hand grinding and a micrometer hold");

/// The first part of [`TIP_TOLERANCE`].
const GRINDS_TO: Length = Length::mm(0.03);

/// Narrowest tip to aim at, as a share of the widest: a narrower one is weak and needs many passes to the side.
const NARROWEST: f64 = 0.6;

/// Width of the tip. The widest still leaves the smallest permitted pitch diameter (of a nut; the largest of a
/// screw) when the tip stands at the aimed bottom; a wider one would cut the groove too wide whatever is done.
/// The narrowest is a matter of work: a tip may be narrow, and the groove is then widened to the side.
pub fn tip_width(fit: &Fit, mean_tan: f64) -> Size {
    let pd = &fit.pitch_diameter;
    let slack = match fit.part {
        Element::Internal => pd.aim - pd.min,
        Element::External => pd.max - pd.aim,
    };
    let groove = fit.groove_bottom_width;
    let narrowest_groove = groove - slack.max(Length::ZERO) * mean_tan;
    // Where the tolerance of the pitch diameter would swallow a narrow root, the groove at its aim governs.
    let max = if narrowest_groove > groove * NARROWEST { narrowest_groove } else { groove };
    let tolerance = GRINDS_TO.min(max / 6.0);
    Size { aim: max - tolerance, min: max * NARROWEST, max }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::Hand;

    #[test]
    fn off_centre_turns_with_the_element() {
        let (rake, h, d) = (Angle::deg(5.0), Length::mm(0.5), Length::mm(20.0));
        let delta = off_centre(h, d);
        assert_eq!(effective_rake(rake, h, d, Element::External), rake + delta);
        assert_eq!(effective_rake(rake, h, d, Element::Internal), rake - delta);
        // Above centre an internal tool clears deeper.
        assert!(heel(d, Angle::deg(10.0), h) > heel(d, Angle::deg(10.0), Length::ZERO));
    }

    #[test]
    fn exact_length_along_the_face_agrees_with_first_order_for_a_shallow_groove() {
        for element in [Element::External, Element::Internal] {
            let depth = Length::mm(0.02);
            let bottom = Length::mm(20.0);
            let blank = match element {
                Element::External => bottom + depth * 2.0,
                Element::Internal => bottom - depth * 2.0,
            };
            let (rake, h) = (Angle::deg(8.0), Length::mm(0.6));
            let s = length_along_face(bottom, blank, rake, h, element).expect("meets both");
            let tilt = effective_rake(rake, h, bottom, element);
            let back = cut_half_angle(ground_half_angle(Angle::deg(30.0), depth, s), tilt);
            assert!((back.to_deg() - 30.0).abs() < 0.02, "{element:?}: {}", back.to_deg());
        }
    }

    #[test]
    fn plain_face_on_centre_needs_no_correction() {
        let s = length_along_face(
            Length::mm(22.5),
            Length::mm(17.0),
            Angle::ZERO,
            Length::ZERO,
            Element::Internal,
        );
        assert!((s.expect("meets").to_mm() - 2.75).abs() < 1e-12);
    }

    #[test]
    fn the_two_hands_mirror_each_other() {
        let r = reliefs(Angle::deg(5.0), Angle::deg(8.0));
        assert_eq!(r.on(Side::Chuck, Hand::Right), r.on(Side::Tailstock, Hand::Left));
        assert_eq!(r.on(Side::Tailstock, Hand::Right), r.on(Side::Chuck, Hand::Left));
        assert!(r.on(Side::Chuck, Hand::Right) > r.on(Side::Tailstock, Hand::Right));
    }

    #[test]
    fn steep_lead_leaves_the_least_relief() {
        let r = reliefs(Angle::deg(12.0), Angle::deg(4.0));
        assert!(r.floored);
        assert_eq!(r.trailing, LEAST_RELIEF);
    }

    /// A P/8 flat between 60° flanks rounds off at 0.108 P; a Whitworth root (P/6 wide where the apex is cut by
    /// H/6) at 0.1373 P (BS 84).
    #[test]
    fn rounds_off_at_the_standards_radii() {
        let r = full_radius(Length::mm(1.0 / 8.0), Angle::deg(30.0));
        assert!((r.to_mm() - 0.10825).abs() < 1e-4);
        let r = full_radius(Length::mm(1.0 / 6.0), Angle::deg(27.5));
        assert!((r.to_mm() - 0.13733).abs() < 1e-4);
    }
}
