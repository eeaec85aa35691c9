//! What the shadow of a screw shows of its axial section.
//!
//! A shadow's edge is not the axial section: a point a little in front of or behind the axial plane stands
//! lower, but has been screwed along, and near the plane the second outweighs the first. So every ridge
//! looks thicker, and every flank flatter, than it is. For a straight flank seen square to the axis from far
//! away, the edge at height `h` lies outside the axial section's line by
//!
//! ```text
//! E(h) = max over f of  p·f − (h/cos f − h)·tan a ,   h/cos f ≤ R
//! ```
//!
//! with `p` the lead over 2π, `a` the flank angle in the axial section, `R` the major radius and `f` the angle
//! of the touching point off the axial plane. Derived for this project from the equation of the helicoid and
//! checked in the tests against the greatest height over all angles, computed by brute force.

use std::f64::consts::TAU;

/// The screw surface behind an outline; lengths in any one unit.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Helicoid {
    /// Lead divided by 2π.
    pub(crate) advance: f64,
    pub(crate) major_radius: f64,
}

impl Helicoid {
    pub(crate) fn new(lead: f64, major_radius: f64) -> Self {
        Self { advance: lead / TAU, major_radius }
    }

    /// How far the shadow's edge lies outside the axial section's line, at height `h` over the axis, on a flank
    /// whose angle has the tangent `t`. With `t` too small for the flank to be seen, the rim of the crest makes
    /// the edge, which is included here.
    pub(crate) fn excess(&self, h: f64, t: f64) -> f64 {
        let p = self.advance;
        let rim = (h / self.major_radius).clamp(-1.0, 1.0).acos();
        let f = if t * h <= 1e-12 {
            rim
        } else {
            // The maximum lies where sin f / cos² f = k.
            let k = p / (h * t);
            let sine = ((1.0 + 4.0 * k * k).sqrt() - 1.0) / (2.0 * k);
            if sine.is_finite() { sine.clamp(0.0, 1.0).asin().min(rim) } else { 0.0 }
        };
        p * f - (h / f.cos() - h) * t
    }

    /// The tangent of the flattest flank that stays hidden behind the rim of the crest at height `h`: of all
    /// flanks steeper than this the shadow is the same.
    pub(crate) fn hidden_below(&self, h: f64) -> f64 {
        let r = self.major_radius;
        self.advance * h / (r * (r * r - h * h).max(1e-12).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The edge at height `h` by trying all angles: where the section's line, lifted to height `h` at angle `f`,
    /// is pushed furthest out.
    fn by_trial(screw: Helicoid, h: f64, t: f64) -> f64 {
        (0..=200_000)
            .map(|i| f64::from(i) * 1.5 / 200_000.0)
            .filter(|f| h / f.cos() <= screw.major_radius * (1.0 + 1e-12))
            .map(|f| screw.advance * f - (h / f.cos() - h) * t)
            .fold(0.0, f64::max)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]
        #[test]
        fn excess_is_the_greatest(
            lead in 0.5..12.0_f64, radius in 4.0..20.0_f64, part in 0.55..0.999_f64, angle in 0.0..45.0_f64,
        ) {
            let (screw, t) = (Helicoid::new(lead, radius), angle.to_radians().tan());
            let h = part * radius;
            let (closed, tried) = (screw.excess(h, t), by_trial(screw, h, t));
            prop_assert!((closed - tried).abs() < 1e-4 * radius, "{closed} against {tried}");
        }
    }

    /// A square screw of 20 mm with 4 mm lead hides flanks up to 4.9° at its root, a 32 x 6 up to 3.1°.
    #[test]
    fn steep_flanks_hide() {
        let at = |lead: f64, major: f64, root: f64| {
            Helicoid::new(lead, major / 2.0).hidden_below(root / 2.0).atan().to_degrees()
        };
        assert!((at(4.0, 20.0, 16.0) - 4.86).abs() < 0.05, "{}", at(4.0, 20.0, 16.0));
        assert!((at(6.0, 32.0, 21.586) - 3.1).abs() < 0.05, "{}", at(6.0, 32.0, 21.586));
    }
}
