//! Basic sizes and outlines of a thread in the axial plane.

use crate::limits::Element;
use crate::{Angle, Length};

/// Sizes of a form at basic (no tolerance, no allowance) for one diameter and pitch, clearances included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basic {
    /// Nominal (basic major) diameter.
    pub d: Length,
    /// Pitch.
    pub p: Length,
    /// Basic pitch diameter, d2 = D2.
    pub d2: Length,
    /// Basic minor diameter of the internal thread.
    pub d1_internal: Length,
    /// Minor diameter of the external thread at its design maximum (root clearance included).
    pub d3: Length,
    /// Major diameter of the internal thread at its design minimum (root clearance included).
    pub d4_internal: Length,
    /// Angle of the leading flank to the plane square to the axis.
    pub flank_leading: Angle,
    /// Angle of the following flank to that plane.
    pub flank_trailing: Angle,
    /// Crest width of the external thread at d (axial); zero where rounded to the apex.
    pub crest_width: Length,
    /// Root width of the external groove at d3 (axial), before fillets.
    pub root_width: Length,
    /// Root width of the internal groove at D4 (axial), before fillets.
    pub root_width_internal: Length,
    /// Crest is rounded (Whitworth) rather than flat.
    pub rounded_crest: bool,
    /// Fillet radius at the external root: maximum where the standard gives a maximum, else nominal.
    pub root_radius: Length,
    /// Fillet radius at the internal root.
    pub root_radius_internal: Length,
}

/// A point of the axial plane: `z` along the axis, `r` from the axis, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Along the axis, mm.
    pub z: f64,
    /// From the axis, mm.
    pub r: f64,
}

/// One piece of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Straight to `to`.
    Line {
        /// End point.
        to: Point,
    },
    /// Circular arc to `to` about `centre`; `ccw` in the (z, r) plane.
    Arc {
        /// End point.
        to: Point,
        /// Centre.
        centre: Point,
        /// Counter-clockwise in the (z, r) plane.
        ccw: bool,
    },
}

/// One pitch of a thread's outline in the axial plane: starts in the middle of a groove at z = 0 and ends in
/// the middle of the next at z = P.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// First point.
    pub start: Point,
    /// The pieces in order.
    pub segments: Vec<Segment>,
}

impl Basic {
    /// Outline of one pitch of `element`: root fillets as true arcs, crests flat, or rounded where the form rounds
    /// them ([`Basic::rounded_crest`]), with the root's radius.
    ///
    /// A fillet that would not fit into half the root is cut down to the one that just does, so that the outline
    /// always closes.
    pub fn outline(&self, element: Element) -> Outline {
        let (root_r, crest_r, width, radius) = match element {
            Element::External => (self.d3, self.d, self.root_width, self.root_radius),
            Element::Internal => {
                (self.d4_internal, self.d1_internal, self.root_width_internal, self.root_radius_internal)
            }
        };
        // Depth below is measured out of the groove, so that one drawing serves both elements.
        let outward = if element == Element::External { 1.0 } else { -1.0 };
        let root = root_r.to_mm() / 2.0;
        let depth = (crest_r.to_mm() / 2.0 - root).abs();
        let p = self.p.to_mm();
        let place = |z: f64, up: f64| Point { z, r: root + outward * up };
        let half = width.to_mm() / 2.0;
        let fillet = |flank: Angle| Fillet::new(flank, radius.to_mm(), half);
        let crest = |flank: Angle| {
            Fillet::new(flank, if self.rounded_crest { radius.to_mm() } else { 0.0 }, f64::MAX)
        };
        // The groove's right-hand wall is the flank that faces -z; which one leads depends on the hand, and every
        // family here has equal flanks. The first wall is drawn with `flank_leading`.
        let (first, second) = (self.flank_leading, self.flank_trailing);
        let mut path = Path {
            place,
            ccw_up: outward > 0.0,
            outline: Outline { start: place(0.0, 0.0), segments: vec![] },
        };
        path.rising(&fillet(first), &crest(first), half, depth);
        let rise = half + depth * first.tan();
        let fall = p - half - depth * second.tan();
        if fall - rise > 1e-12 && !self.rounded_crest {
            path.line(fall, depth);
        }
        path.falling(&fillet(second), &crest(second), p - half, depth);
        path.line_unless_there(p, 0.0);
        path.outline
    }
}

/// An arc between a line along the axis and a flank.
struct Fillet {
    /// Flank to the plane square to the axis.
    flank: f64,
    radius: f64,
    /// Length of tangent from the corner to either end of the arc.
    tangent: f64,
}

impl Fillet {
    /// The fillet of `radius`, or the largest whose tangent is no longer than `room`.
    fn new(flank: Angle, radius: f64, room: f64) -> Self {
        let flank = flank.to_rad();
        // Between line and flank the outline turns by 90° less the flank angle.
        let half_turn = ((std::f64::consts::FRAC_PI_2 - flank) / 2.0).tan();
        let tangent = (radius * half_turn).min(room);
        Self { flank, radius: tangent / half_turn, tangent }
    }
}

/// Builds an [`Outline`] in the coordinates z and height out of the groove.
struct Path<F: Fn(f64, f64) -> Point> {
    place: F,
    /// Counter-clockwise keeps its sense when drawn (else the drawing is mirrored).
    ccw_up: bool,
    outline: Outline,
}

impl<F: Fn(f64, f64) -> Point> Path<F> {
    fn line(&mut self, z: f64, up: f64) {
        self.outline.segments.push(Segment::Line { to: (self.place)(z, up) });
    }

    /// A line, left out where the path already stands there.
    fn line_unless_there(&mut self, z: f64, up: f64) {
        let (to, at) = ((self.place)(z, up), self.outline.end());
        if f64::hypot(to.z - at.z, to.r - at.r) > 1e-9 {
            self.line(z, up);
        }
    }

    fn arc(&mut self, to: (f64, f64), centre: (f64, f64), ccw: bool) {
        self.outline.segments.push(Segment::Arc {
            to: (self.place)(to.0, to.1),
            centre: (self.place)(centre.0, centre.1),
            ccw: ccw == self.ccw_up,
        });
    }

    /// From the groove's bottom up the flank that begins at `corner`.
    fn rising(&mut self, root: &Fillet, crest: &Fillet, corner: f64, depth: f64) {
        let (sin, cos) = root.flank.sin_cos();
        let t = root.tangent;
        self.line_unless_there(corner - t, 0.0);
        if root.radius > 0.0 {
            self.arc((corner + t * sin, t * cos), (corner - t, root.radius), true);
        }
        let top = corner + depth * root.flank.tan();
        let t = crest.tangent;
        self.line_unless_there(top - t * sin, depth - t * cos);
        if crest.radius > 0.0 {
            self.arc((top + t, depth), (top + t, depth - crest.radius), false);
        }
    }

    /// From the crest down the flank that ends at `corner`.
    fn falling(&mut self, root: &Fillet, crest: &Fillet, corner: f64, depth: f64) {
        let (sin, cos) = root.flank.sin_cos();
        let top = corner - depth * root.flank.tan();
        let t = crest.tangent;
        self.line_unless_there(top - t, depth);
        if crest.radius > 0.0 {
            self.arc((top + t * sin, depth - t * cos), (top - t, depth - crest.radius), false);
        }
        let t = root.tangent;
        self.line_unless_there(corner - t * sin, t * cos);
        if root.radius > 0.0 {
            self.arc((corner + t, 0.0), (corner + t, root.radius), true);
        }
    }
}

impl Segment {
    /// Where the piece ends.
    pub fn end(&self) -> Point {
        match *self {
            Self::Line { to } | Self::Arc { to, .. } => to,
        }
    }
}

impl Outline {
    /// Where the outline ends.
    pub fn end(&self) -> Point {
        self.segments.last().map_or(self.start, Segment::end)
    }

    /// The outline as a chain of points, arcs divided so that no chord strays from its arc by more than
    /// `tolerance`, in millimetres.
    pub fn points(&self, tolerance: f64) -> Vec<Point> {
        let mut points = vec![self.start];
        for segment in &self.segments {
            let from = points[points.len() - 1];
            if let Segment::Arc { to, centre, ccw } = *segment {
                let angle = |p: Point| (p.r - centre.r).atan2(p.z - centre.z);
                let radius = f64::hypot(from.z - centre.z, from.r - centre.r);
                let turn = (angle(to) - angle(from)).rem_euclid(std::f64::consts::TAU);
                let turn = if ccw { turn } else { turn - std::f64::consts::TAU };
                let step = 2.0 * (1.0 - (tolerance / radius).min(1.0)).acos();
                let pieces = (turn.abs() / step).ceil().max(1.0) as usize;
                points.extend((1..pieces).map(|i| {
                    let (sin, cos) = (angle(from) + turn * i as f64 / pieces as f64).sin_cos();
                    Point { z: centre.z + radius * cos, r: centre.r + radius * sin }
                }));
            }
            points.push(segment.end());
        }
        points
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Family;

    fn arcs(outline: &Outline) -> Vec<(Point, Point, Point)> {
        let starts = std::iter::once(outline.start).chain(outline.segments.iter().map(Segment::end));
        let arc = |(from, segment): (Point, &Segment)| match *segment {
            Segment::Arc { to, centre, .. } => Some((from, to, centre)),
            Segment::Line { .. } => None,
        };
        starts.zip(&outline.segments).filter_map(arc).collect()
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
}
