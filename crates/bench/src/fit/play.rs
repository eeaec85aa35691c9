//! Axial play of two threads, from what is missing of their ridges.
//!
//! A thread is thinner than its basic profile by an axial amount at the pitch line, here called what is *missing*:
//! from the screw's ridge, or (as a wider groove) from the nut's. It holds allowance, tolerance and wear alike, and
//! it serves a square thread too, where the pitch diameter says nothing about play. Then
//!
//! ```text
//! play = missing(nut) + missing(screw)
//! missing(nut) = (D2 - basic) · k,  missing(screw) = (basic - d2) · k,  k = (tan α_leading + tan α_following) / 2
//! ```
//!
//! which for equal flanks is play = (D2 - d2) tan α.

use flankwise_thread::{Angle, Element, Length, Source};

/// Origin of the relation between pitch diameters and play.
pub const SOURCE: Source =
    Source::derived("geometry of the flanks; Machinery's Handbook 31, p. 2135 prints 0.259 for Acme");

/// Axial play for a unit of difference between pitch diameters; zero for upright flanks.
pub fn slope(leading: Angle, following: Angle) -> f64 {
    f64::midpoint(leading.tan(), following.tan())
}

/// What is missing of `element` at pitch diameter `at`; `basic` is the basic pitch diameter.
pub fn missing(element: Element, at: Length, basic: Length, slope: f64) -> Length {
    match element {
        Element::Internal => (at - basic) * slope,
        Element::External => (basic - at) * slope,
    }
}

/// The pitch diameter at which `missing` is missing of `element`; the basic one for upright flanks, which have no
/// other.
pub fn pitch_diameter(element: Element, missing: Length, basic: Length, slope: f64) -> Length {
    if slope <= 0.0 {
        return basic;
    }
    match element {
        Element::Internal => basic + missing / slope,
        Element::External => basic - missing / slope,
    }
}

/// Axial width of the groove of `element` at diameter `at`, where `missing` is missing at the basic pitch line.
pub fn groove_width(
    element: Element,
    at: Length,
    missing: Length,
    basic: Length,
    pitch: Length,
    slope: f64,
) -> Length {
    let outward = (at - basic) * slope;
    match element {
        // A nut's groove narrows outward, a screw's widens.
        Element::Internal => pitch / 2.0 + missing - outward,
        Element::External => pitch / 2.0 + missing + outward,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ways_of_reckoning_agree() {
        let (basic, k) = (Length::mm(19.5), slope(Angle::deg(15.0), Angle::deg(15.0)));
        let (nut, screw) = (Length::mm(19.6), Length::mm(19.3));
        let sum = missing(Element::Internal, nut, basic, k) + missing(Element::External, screw, basic, k);
        assert!((sum - (nut - screw) * k).abs() < Length::um(1e-6));
        let back = pitch_diameter(Element::External, missing(Element::External, screw, basic, k), basic, k);
        assert!((back - screw).abs() < Length::um(1e-6));
    }

    /// At its pitch diameter a groove is half a pitch wide: the definition (ISO 5408).
    #[test]
    fn groove_is_half_a_pitch_at_its_pitch_diameter() {
        let (basic, p, k) = (Length::mm(19.5), Length::mm(5.0), slope(Angle::deg(3.0), Angle::deg(30.0)));
        for (element, at) in [(Element::Internal, 19.7), (Element::External, 19.2)] {
            let at = Length::mm(at);
            let m = missing(element, at, basic, k);
            assert!((groove_width(element, at, m, basic, p, k) - p / 2.0).abs() < Length::um(1e-6));
        }
    }

    /// Asymmetric flanks: for axial play a the pitch diameters of a 3°/30° buttress differ by 3.17582 a
    /// (IS 4696 part 1, metric buttress).
    #[test]
    fn buttress_play_factor() {
        let k = slope(Angle::deg(3.0), Angle::deg(30.0));
        assert!((1.0 / k - 3.17582).abs() < 1e-5);
    }
}
