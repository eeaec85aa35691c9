//! First-order formulas of the handbooks for rake, height and cant. The profile itself is taken from the helicoid
//! ([`super::profile`]); these stand beside it as the check that a person can do on paper.
//!
//! The rake face of an external tool points at the axis from outside, that of an internal tool away from it, which turns
//! the sign of what a height off centre does.

use super::profile::Stance;
use flankwise_thread::{Angle, Element, Length};

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

/// Flank angle to grind at this rake, height and cant so that `axial` is cut at diameter `dia`: the three above,
/// each taken by itself.
pub fn ground_half_angle(axial: Angle, stance: &Stance, dia: Length, element: Element) -> Angle {
    let tilt = effective_rake(stance.rake, stance.height, dia, element);
    Angle::atan(canted_half_angle(axial, stance.cant).tan() * tilt.cos())
}

/// Relief of a flank, axially, that comes from radial clearance alone: tan α_f = tan A tan α_r.
pub fn flank_clearance(half: Angle, radial: Angle) -> Angle {
    Angle::atan(half.tan() * radial.tan())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn off_centre_turns_with_the_element() {
        let (rake, h, d) = (Angle::deg(5.0), Length::mm(0.5), Length::mm(20.0));
        let delta = off_centre(h, d);
        assert_eq!(effective_rake(rake, h, d, Element::External), rake + delta);
        assert_eq!(effective_rake(rake, h, d, Element::Internal), rake - delta);
    }
}
