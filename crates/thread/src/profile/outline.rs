//! One pitch of a thread in the axial plane, as exact lines and arcs.

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
