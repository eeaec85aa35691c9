//! One pitch of a thread in the axial plane, as exact lines and arcs.

use super::graph::Graph;

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

/// A place on an outline: a piece, and how far along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Number of the piece.
    pub piece: usize,
    /// From 0 at its start to 1 at its end: of a line by length, of an arc by angle.
    pub share: f64,
}

/// One pitch of a thread's outline in the axial plane, from the bottom of a groove to that of the next, one pitch
/// on.
///
/// On the pitch line the middle of the groove is at z = 0, so that a screw's outline moved by half a pitch mates
/// with the nut's, whatever the flanks. The outline starts in the middle of the flat that fillets leave at the root:
/// at z = 0 too where the flanks are alike. `z` never falls along it.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// First point.
    pub start: Point,
    /// The pieces in order.
    pub segments: Vec<Segment>,
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

    /// The pieces in order, each with the point where it starts.
    pub fn pieces(&self) -> impl DoubleEndedIterator<Item = (Point, Segment)> + ExactSizeIterator + '_ {
        let from = |i: usize| i.checked_sub(1).map_or(self.start, |before| self.segments[before].end());
        (0..self.segments.len()).map(move |i| (from(i), self.segments[i]))
    }

    /// Moved along the axis by `dz` millimetres.
    pub fn moved(&self, dz: f64) -> Self {
        let at = |q: Point| Point { z: q.z + dz, ..q };
        let segment = |s: &Segment| match *s {
            Segment::Line { to } => Segment::Line { to: at(to) },
            Segment::Arc { to, centre, ccw } => Segment::Arc { to: at(to), centre: at(centre), ccw },
        };
        Self { start: at(self.start), segments: self.segments.iter().map(segment).collect() }
    }

    /// The mirror image in the plane z = 0, again from left to right.
    pub fn mirrored(&self) -> Self {
        let at = |q: Point| Point { z: -q.z, ..q };
        let segments = self.pieces().rev().map(|(from, segment)| match segment {
            Segment::Line { .. } => Segment::Line { to: at(from) },
            // Mirrored and run backwards, an arc keeps its sense.
            Segment::Arc { centre, ccw, .. } => Segment::Arc { to: at(from), centre: at(centre), ccw },
        });
        Self { start: at(self.end()), segments: segments.collect() }
    }

    /// Whether a piece is straight; `false` where there is none of that number.
    pub fn is_line(&self, piece: usize) -> bool {
        matches!(self.segments.get(piece), Some(Segment::Line { .. }))
    }

    /// The point at a place; the end of the outline where it has no such piece.
    pub fn at(&self, place: Place) -> Point {
        let Some((from, segment)) = self.pieces().nth(place.piece) else { return self.end() };
        match segment {
            Segment::Line { to } => {
                let between = |a: f64, b: f64| a + (b - a) * place.share;
                Point { z: between(from.z, to.z), r: between(from.r, to.r) }
            }
            Segment::Arc { to, centre, ccw } => Sweep::new(from, to, centre, ccw).point(place.share),
        }
    }

    /// Unit direction (dz, dr) in which the outline runs at a place; (0, 0) where it has no such piece.
    pub fn direction(&self, place: Place) -> (f64, f64) {
        let Some((from, segment)) = self.pieces().nth(place.piece) else { return (0.0, 0.0) };
        match segment {
            Segment::Line { to } => {
                let (dz, dr) = (to.z - from.z, to.r - from.r);
                let length = dz.hypot(dr);
                (dz / length, dr / length)
            }
            Segment::Arc { to, centre, ccw } => {
                let sweep = Sweep::new(from, to, centre, ccw);
                let (sin, cos) = (sweep.from + sweep.turn * place.share).sin_cos();
                if ccw { (-sin, cos) } else { (sin, -cos) }
            }
        }
    }

    /// Radius at `z`, the outline repeated every pitch; on an upright flank, that of one of its ends.
    pub fn radius(&self, z: f64) -> f64 {
        let (start, end) = (self.start.z, self.end().z);
        let z = start + (z - start).rem_euclid(end - start);
        let mut graphs = self.pieces().filter_map(Graph::of);
        graphs.find(|graph| z <= graph.to).map_or(self.end().r, |graph| graph.at(z))
    }

    /// The part between two places along the axis, the outline repeated every pitch as often as it takes. Empty but
    /// for its start where `to` is not beyond `from`. An upright line at either end is left out.
    pub fn between(&self, from: f64, to: f64) -> Self {
        let pitch = self.end().z - self.start.z;
        let mut part = Self { start: Point { z: from, r: self.radius(from) }, segments: Vec::new() };
        let first = ((from - self.start.z) / pitch).floor() as i64;
        let last = ((to - self.start.z) / pitch).ceil() as i64;
        for moved in (first..last).map(|i| self.moved(i as f64 * pitch)) {
            for (start, segment) in moved.pieces() {
                let end = segment.end();
                let upright_inside = end.z <= start.z && start.z > from && start.z < to;
                if !upright_inside && (end.z.min(to) - start.z.max(from) <= 0.0) {
                    continue;
                }
                let cut = if end.z > to { Point { z: to, r: moved.radius(to) } } else { end };
                part.segments.push(match segment {
                    Segment::Line { .. } => Segment::Line { to: cut },
                    Segment::Arc { centre, ccw, .. } => Segment::Arc { to: cut, centre, ccw },
                });
            }
        }
        part
    }

    /// The groove from the middle of one crest to the middle of the next: what a tool of the full form cuts.
    pub fn groove(&self) -> Self {
        let out = |r: f64| (r - self.start.r).abs();
        let highest = self.pieces().map(|(from, _)| out(from.r)).fold(0.0, f64::max);
        let crest = self.pieces().map(|(from, _)| from).filter(|at| out(at.r) >= highest - 1e-9);
        let (first, last) =
            crest.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), at| (a.min(at.z), b.max(at.z)));
        let middle = (first + last) / 2.0;
        self.between(middle - (self.end().z - self.start.z), middle)
    }

    /// The outline as a chain of points, arcs divided so that no chord strays from its arc by more than
    /// `tolerance`, in millimetres.
    pub fn points(&self, tolerance: f64) -> Vec<Point> {
        let mut points = vec![self.start];
        for segment in &self.segments {
            let from = points[points.len() - 1];
            if let Segment::Arc { to, centre, ccw } = *segment {
                let sweep = Sweep::new(from, to, centre, ccw);
                let step = 2.0 * (1.0 - (tolerance / sweep.radius).min(1.0)).acos();
                let pieces = (sweep.turn.abs() / step).ceil().max(1.0) as usize;
                points.extend((1..pieces).map(|i| sweep.point(i as f64 / pieces as f64)));
            }
            points.push(segment.end());
        }
        points
    }
}

/// An arc by angle about its centre.
struct Sweep {
    centre: Point,
    radius: f64,
    from: f64,
    /// Positive counter-clockwise.
    turn: f64,
}

impl Sweep {
    fn new(from: Point, to: Point, centre: Point, ccw: bool) -> Self {
        let angle = |p: Point| (p.r - centre.r).atan2(p.z - centre.z);
        let radius = f64::hypot(from.z - centre.z, from.r - centre.r);
        let turn = (angle(to) - angle(from)).rem_euclid(std::f64::consts::TAU);
        let turn = if ccw { turn } else { turn - std::f64::consts::TAU };
        Self { centre, radius, from: angle(from), turn }
    }

    fn point(&self, share: f64) -> Point {
        let (sin, cos) = (self.from + self.turn * share).sin_cos();
        Point { z: self.centre.z + self.radius * cos, r: self.centre.r + self.radius * sin }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Element, Thread};

    fn outline(designation: &str, element: Element) -> Outline {
        designation.parse::<Thread>().expect("a thread").outline(element)
    }

    #[test]
    fn part_of_an_outline_is_the_outline_there() {
        for designation in ["Tr 22x5", "1/2-12 BSW", "Sq 25x5"] {
            let whole = outline(designation, Element::External);
            let pitch = whole.end().z - whole.start.z;
            for (from, to) in [(0.1, 0.9), (-0.7, 0.2), (0.3, 2.6), (0.0, 1.0)] {
                let part = whole.between(from * pitch, to * pitch);
                assert_eq!((part.start.z, part.end().z), (from * pitch, to * pitch));
                for w in part.points(1e-4).windows(2) {
                    assert!(w[1].z >= w[0].z);
                    // On an upright wall the radius is not one.
                    let upright = w[1].z - w[0].z < 1e-9;
                    let on = [w[0], w[1]].map(|q| (whole.radius(q.z) - q.r).abs() < 1e-8);
                    assert!(upright || on[0] || on[1], "{designation} {w:?}");
                    assert!(upright || designation == "Sq 25x5" || (on[0] && on[1]), "{designation} {w:?}");
                }
            }
        }
        assert!(outline("Tr 22x5", Element::External).between(2.0, 1.0).segments.is_empty());
    }

    #[test]
    fn groove_runs_from_crest_to_crest() {
        // Crest 0.36603 P wide; Whitworth's crest is a point on an arc.
        for (designation, pitch) in [("Tr 22x5", 5.0), ("1/2-12 BSW", 25.4 / 12.0)] {
            for (element, deepest) in
                [(Element::External, f64::min as fn(f64, f64) -> f64), (Element::Internal, f64::max)]
            {
                let groove = outline(designation, element).groove();
                assert!(
                    (groove.start.z + pitch / 2.0).abs() < 1e-9
                        && (groove.end().z - pitch / 2.0).abs() < 1e-9
                );
                let bottom = groove.points(1e-4).iter().map(|q| q.r).reduce(deepest).expect("points");
                assert!((groove.radius(0.0) - bottom).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn directions_follow_the_outline() {
        let outline = outline("1/2-12 BSW", Element::External);
        for piece in 0..outline.segments.len() {
            for share in [0.2, 0.5, 0.8] {
                let near = |share: f64| outline.at(Place { piece, share });
                let (a, b) = (near(share - 1e-6), near(share + 1e-6));
                let (dz, dr) = outline.direction(Place { piece, share });
                let length = (b.z - a.z).hypot(b.r - a.r);
                assert!(((b.z - a.z) / length - dz).abs() < 1e-6 && ((b.r - a.r) / length - dr).abs() < 1e-6);
            }
        }
    }
}
