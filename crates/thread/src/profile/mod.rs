//! Basic sizes of a thread, and its outline in the axial plane.
//!
//! # Which way the flanks face
//!
//! Outlines of screw and nut share one frame: `z` runs along the axis, and the end of the screw that enters the nut
//! lies towards −z. The leading flank of either is the one that faces its mate on entering (ISO 5408:2009, from
//! memory): on the screw it faces −z, on the nut +z, so that leading flank meets leading flank. In a groove the
//! wall at +z is therefore the leading flank of a screw and the following flank of a nut.
//!
//! The hand does not change the outline: a left-hand thread is the mirror image of the right-hand one in a plane
//! through the axis, and only its helix runs the other way ([`crate::helicoid`]). Turning a nut end for end keeps the
//! hand and exchanges its leading and following flanks.
//!
//! A buttress form with 3° and 30° that takes its load on the flank that leads on entering has `flank_leading` 3° and
//! `flank_trailing` 30°; one that takes it on the following flank has them the other way round.

mod draw;
mod graph;
pub mod material;
pub mod mating;
mod outline;

pub use outline::{Outline, Place, Point, Segment};

use crate::limits::Element;
use crate::{Angle, Length};

/// Sizes of a form at basic (no tolerance, no allowance) for one diameter and pitch, clearances included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basic {
    /// Nominal (basic major) diameter.
    pub d: Length,
    /// Pitch.
    pub p: Length,
    /// Basic pitch diameter, d2 = D2: ridge and groove are each half a pitch wide there.
    pub d2: Length,
    /// Basic minor diameter of the internal thread.
    pub d1_internal: Length,
    /// Minor diameter of the external thread at its design maximum (root clearance included).
    pub d3: Length,
    /// Major diameter of the internal thread at its design minimum (root clearance included).
    pub d4_internal: Length,
    /// Angle of the leading flank to the plane square to the axis; see the module for where it faces.
    pub flank_leading: Angle,
    /// Angle of the following flank to that plane.
    pub flank_trailing: Angle,
    /// Crest width of the external thread at d (axial), what rounding leaves of it; zero where rounded all over.
    pub crest_width: Length,
    /// Root width of the external groove at d3 (axial), before fillets.
    pub root_width: Length,
    /// Root width of the internal groove at D4 (axial), before fillets.
    pub root_width_internal: Length,
    /// Radius at the external crest, tangent to crest and flank; zero where the crest is flat.
    pub crest_radius: Length,
    /// Radius at the internal crest.
    pub crest_radius_internal: Length,
    /// Fillet radius at the external root: maximum where the standard gives a maximum, else nominal.
    pub root_radius: Length,
    /// Fillet radius at the internal root.
    pub root_radius_internal: Length,
}

/// Sizes that a thread has, or is to have, in place of the basic ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Major diameter.
    pub major: Length,
    /// Pitch diameter.
    pub pitch: Length,
    /// Minor diameter.
    pub minor: Length,
    /// Radius at the root; `None` for that of the form.
    pub root_radius: Option<Length>,
    /// Radius at the crest; `None` for that of the form.
    pub crest_radius: Option<Length>,
}

impl Basic {
    /// A form with straight flanks and sharp corners: `external` d, d2, d3 and `internal` D4, D1, flanks leading and
    /// following; the flats as wide as those leave them.
    pub fn straight(p: Length, external: [Length; 3], internal: [Length; 2], flanks: [Angle; 2]) -> Self {
        let ([d, d2, d3], [d4_internal, d1_internal]) = (external, internal);
        let [flank_leading, flank_trailing] = flanks;
        Self {
            d,
            p,
            d2,
            d1_internal,
            d3,
            d4_internal,
            flank_leading,
            flank_trailing,
            crest_width: Length::ZERO,
            root_width: Length::ZERO,
            root_width_internal: Length::ZERO,
            crest_radius: Length::ZERO,
            crest_radius_internal: Length::ZERO,
            root_radius: Length::ZERO,
            root_radius_internal: Length::ZERO,
        }
        .with_widths()
    }

    /// The widths of crest and roots that follow from diameters, flanks and crest radius, whatever was there before:
    /// both flanks run straight through the pitch line, where ridge and groove are half a pitch wide.
    pub fn with_widths(self) -> Self {
        let rounded =
            self.crest_radius * (corner_tangent(self.flank_leading) + corner_tangent(self.flank_trailing));
        Self {
            crest_width: (self.width_beyond(self.d - self.d2) - rounded).max(Length::ZERO),
            root_width: self.width_beyond(self.d2 - self.d3),
            root_width_internal: self.width_beyond(self.d4_internal - self.d2),
            ..self
        }
    }

    /// Width of a groove or ridge, so far on diameter beyond the pitch line towards where it narrows; below zero
    /// where the flanks have met before.
    fn width_beyond(&self, on_diameter: Length) -> Length {
        self.p * 0.5 - on_diameter * (0.5 * (self.flank_leading.tan() + self.flank_trailing.tan()))
    }

    /// This form with an element at other sizes; the other element stays as it is.
    ///
    /// The flanks keep their angles and pass the given pitch diameter where ridge and groove are half a pitch wide.
    pub fn at(&self, element: Element, sizes: &Sizes) -> Self {
        let radius = |given: Option<Length>, form: Length| given.unwrap_or(form).max(Length::ZERO);
        let moved = match element {
            Element::External => Self {
                d: sizes.major,
                d2: sizes.pitch,
                d3: sizes.minor,
                root_radius: radius(sizes.root_radius, self.root_radius),
                crest_radius: radius(sizes.crest_radius, self.crest_radius),
                ..*self
            }
            .with_widths(),
            Element::Internal => Self {
                d4_internal: sizes.major,
                d2: sizes.pitch,
                d1_internal: sizes.minor,
                root_radius_internal: radius(sizes.root_radius, self.root_radius_internal),
                crest_radius_internal: radius(sizes.crest_radius, self.crest_radius_internal),
                ..*self
            }
            .with_widths(),
        };
        match element {
            Element::External => Self { root_width_internal: self.root_width_internal, ..moved },
            Element::Internal => Self { root_width: self.root_width, crest_width: self.crest_width, ..moved },
        }
    }

    /// Outline of one pitch of `element` at these sizes; see [`Outline`] for where it lies.
    ///
    /// Radii that do not fit between the flanks, or along them, are cut down to those that just do, and flanks that
    /// meet before they reach a diameter end there in a corner, so that the outline always closes.
    pub fn outline(&self, element: Element) -> Outline {
        draw::outline(self, element)
    }

    /// Outline of one pitch of `element` at other sizes; see [`Basic::at`].
    pub fn outline_at(&self, element: Element, sizes: &Sizes) -> Outline {
        self.at(element, sizes).outline(element)
    }
}

/// Length of the tangent from the corner between flank and crest (or root) to an arc of radius 1 in it: between the
/// two the outline turns by 90° less the flank angle.
fn corner_tangent(flank: Angle) -> f64 {
    ((std::f64::consts::FRAC_PI_2 - flank.to_rad()) / 2.0).tan()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Family;

    fn arcs(outline: &Outline) -> Vec<(Point, Point, Point)> {
        let arc = |(from, segment): (Point, Segment)| match segment {
            Segment::Arc { to, centre, .. } => Some((from, to, centre)),
            Segment::Line { .. } => None,
        };
        outline.pieces().filter_map(arc).collect()
    }

    fn distance(a: Point, b: Point) -> f64 {
        f64::hypot(a.z - b.z, a.r - b.r)
    }

    #[test]
    fn arcs_have_the_radius_of_the_form() {
        let (d, p) = (Length::mm(20.0), Length::mm(2.0));
        // Whitworth r = 0.137329 P (Machinery's Handbook, 31st ed., p. 2087); ISO 68-1 root H/6 = 0.144338 P;
        // ISO 2901 R2 = ac = 0.25 at P 2.
        for (family, radius, count) in [
            (Family::Whitworth, 0.137329 * 2.0, 4),
            (Family::MetricIso, 0.144338 * 2.0, 2),
            (Family::MetricTrapezoidal, 0.25, 2),
        ] {
            let arcs = arcs(&family.form().outline(d, p, Element::External));
            assert_eq!(arcs.len(), count, "{family:?}");
            for (from, to, centre) in arcs {
                assert!((distance(from, centre) - radius).abs() < 2e-6, "{family:?}");
                assert!((distance(to, centre) - radius).abs() < 2e-6, "{family:?}");
            }
        }
    }

    #[test]
    fn outline_goes_round_corners_without_a_kink() {
        for family in [Family::Whitworth, Family::MetricIso] {
            let points =
                family.form().outline(Length::mm(20.0), Length::mm(2.0), Element::External).points(1e-6);
            let turn = |w: &[Point]| {
                let (a, b) =
                    ((w[1].r - w[0].r).atan2(w[1].z - w[0].z), (w[2].r - w[1].r).atan2(w[2].z - w[1].z));
                (b - a).abs()
            };
            // The crest of the ISO form is flat and has two corners of 60°.
            let corners = points.windows(3).filter(|w| turn(w) > 0.02).count();
            assert_eq!(corners, if family == Family::MetricIso { 2 } else { 0 }, "{family:?}");
        }
    }

    #[test]
    fn crest_flat_is_as_wide_as_said() {
        for family in
            [Family::MetricTrapezoidal, Family::Acme, Family::MetricIso, Family::Unified, Family::Square]
        {
            let basic = family.form().basic(Length::mm(30.0), Length::mm(4.0));
            let top = basic.d.to_mm() / 2.0;
            let outline = basic.outline(Element::External);
            let crest: Vec<_> =
                outline.points(1e-3).into_iter().filter(|q| (q.r - top).abs() < 1e-9).collect();
            let width = crest[crest.len() - 1].z - crest[0].z;
            assert!((width - basic.crest_width.to_mm()).abs() < 1e-9, "{family:?}: {width}");
        }
    }

    /// Thread of one pitch 1 mm with a pitch diameter of 10 mm, depths in pitches from the pitch line out and in.
    fn form(leading: f64, trailing: f64, screw: (f64, f64), nut: (f64, f64)) -> Basic {
        let at = |from_pitch_line: f64| Length::mm(10.0 + 2.0 * from_pitch_line);
        let external = [at(screw.0), at(0.0), at(-screw.1)];
        let flanks = [leading, trailing].map(Angle::deg);
        Basic::straight(Length::mm(1.0), external, [at(nut.1), at(-nut.0)], flanks)
    }

    /// DIN 513: 3° and 30°, D1 = d − 1.5 P, d2 = d − 0.75 P, d3 = d − 1.73554 P, R = 0.12427 P (from memory; see
    /// the published check of the family).
    fn buttress() -> Basic {
        Basic { root_radius: Length::mm(0.12427), ..form(3.0, 30.0, (0.375, 0.49277), (0.375, 0.375)) }
    }

    #[test]
    fn buttress_widths_are_those_of_both_flanks() {
        let basic = buttress();
        // Crest width of DIN 513 is 0.26384 P (from memory).
        assert!((basic.crest_width.to_mm() - 0.26384).abs() < 1e-5);
        // Its root is one arc: what is left of the flat is nothing, and nothing of the radius is cut.
        let arcs = arcs(&basic.outline(Element::External));
        assert_eq!(arcs.len(), 2);
        for (from, _, centre) in &arcs {
            assert!((distance(*from, *centre) - 0.12427).abs() < 5e-6);
        }
        assert!((arcs[0].2.z + 1.0 - arcs[1].2.z).abs() < 2e-5);
    }

    #[test]
    fn leading_flank_of_the_screw_faces_its_mate() {
        // Left wall of the ridge, which faces -z, has 3°; half a pitch apart at the pitch line.
        let screw = buttress().outline(Element::External).points(1e-4);
        let wall = |rising: bool| {
            let steepest = |w: &&[Point]| (w[1].r > w[0].r) == rising && (w[1].r - w[0].r).abs() > 0.3;
            let w = screw.windows(2).find(steepest).expect("a flank");
            let slope = (w[1].z - w[0].z) / (w[1].r - w[0].r);
            (slope.atan().to_degrees(), w[0].z + (5.0 - w[0].r) * slope)
        };
        assert!((wall(true).0 - 3.0).abs() < 1e-6 && (wall(false).0 + 30.0).abs() < 1e-6);
        assert!((wall(true).1 - 0.25).abs() < 1e-9 && (wall(false).1 - 0.75).abs() < 1e-9);
    }

    /// DIN 405 (Machinery's Handbook gives no radii; from memory): h3 = 0.5 P, D1 = d − 0.9 P, D4 = d + 0.1 P with
    /// R1 = 0.23851 P on the screw, R2 = 0.25597 P at the nut's crest, R3 = 0.22105 P at its root. Each is the
    /// radius that rounds the 30° groove or ridge all over, so a larger one is cut down to it.
    #[test]
    fn knuckle_is_round_all_over() {
        let large = Length::mm(1.0);
        let basic = Basic {
            crest_radius: large,
            root_radius: large,
            crest_radius_internal: large,
            root_radius_internal: large,
            ..form(15.0, 15.0, (0.25, 0.25), (0.2, 0.3))
        };
        for (element, root, crest) in
            [(Element::External, 0.23851, 0.23851), (Element::Internal, 0.22105, 0.25597)]
        {
            let radii: Vec<_> = arcs(&basic.outline(element))
                .iter()
                .map(|(from, _, centre)| distance(*from, *centre))
                .collect();
            let expected = [root, crest, crest, root];
            assert_eq!(radii.len(), 4);
            assert!(radii.iter().zip(expected).all(|(r, e)| (r - e).abs() < 5e-6), "{element:?}: {radii:?}");
        }
    }

    #[test]
    fn what_does_not_fit_is_cut_down_and_still_closes() {
        // Flanks that meet before the crest, or before the root, or both; radii larger than the form.
        for (screw, radius) in [((1.0, 0.3), 0.0), ((0.3, 1.0), 0.0), ((1.0, 1.0), 0.5), ((0.05, 0.05), 0.4)]
        {
            let r = Length::mm(radius);
            let basic = Basic { root_radius: r, crest_radius: r, ..form(20.0, 35.0, screw, (0.3, 0.3)) };
            let outline = basic.outline(Element::External);
            let (start, end) = (outline.start, outline.end());
            assert!((end.z - start.z - 1.0).abs() < 1e-9 && (end.r - start.r).abs() < 1e-9);
            for w in outline.points(1e-5).windows(2) {
                assert!(w[1].z >= w[0].z - 1e-9, "{screw:?}: {w:?}");
            }
        }
    }

    #[test]
    fn exchanged_flanks_mirror_the_outline() {
        let basic = buttress();
        let turned =
            Basic { flank_leading: basic.flank_trailing, flank_trailing: basic.flank_leading, ..basic };
        for element in [Element::External, Element::Internal] {
            let mirrored = basic.outline(element).mirrored().moved(1.0).points(1e-4);
            let other = turned.outline(element).points(1e-4);
            assert_eq!(mirrored.len(), other.len());
            assert!(mirrored.iter().zip(&other).all(|(a, b)| distance(*a, *b) < 1e-12));
        }
    }

    #[test]
    fn other_sizes_move_the_flanks_to_their_pitch_diameter() {
        let sizes = Sizes {
            major: Length::mm(10.7),
            pitch: Length::mm(9.9),
            minor: Length::mm(9.0),
            root_radius: Some(Length::mm(0.05)),
            crest_radius: None,
        };
        let at = buttress().at(Element::External, &sizes);
        assert_eq!((at.d, at.d2, at.d3), (sizes.major, sizes.pitch, sizes.minor));
        let slope = Angle::deg(3.0).tan() + Angle::deg(30.0).tan();
        assert!((at.root_width.to_mm() - (0.5 - 0.45 * slope)).abs() < 1e-12);
        assert!((at.crest_width.to_mm() - (0.5 - 0.4 * slope)).abs() < 1e-12);
        assert_eq!(at.root_width_internal, buttress().root_width_internal);
    }
}
