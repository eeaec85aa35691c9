//! Pieces of an outline as functions of one coordinate.

use super::{Point, Segment};

/// A piece this short along the axis has no radius of its own, mm.
const UPRIGHT: f64 = 1e-9;

/// A piece of an outline as a function of z, or of the radius. Lines square to that coordinate are none: what they
/// join is told by their neighbours.
#[derive(Clone, Copy)]
pub(super) struct Graph {
    pub(super) from: f64,
    pub(super) to: f64,
    curve: Curve,
}

#[derive(Clone, Copy)]
enum Curve {
    Line {
        at: Point,
        slope: f64,
    },
    Arc {
        centre: Point,
        radius: f64,
        /// −1 for the lower half of the circle, 1 for the upper.
        half: f64,
    },
}

impl Graph {
    /// `None` for an upright line.
    pub(super) fn of((from, segment): (Point, Segment)) -> Option<Self> {
        let to = segment.end();
        if to.z - from.z < UPRIGHT {
            return None;
        }
        let curve = match segment {
            Segment::Line { to } => Curve::Line { at: from, slope: (to.r - from.r) / (to.z - from.z) },
            // With z rising, counter-clockwise runs along the bottom of the circle.
            Segment::Arc { centre, ccw, .. } => Curve::Arc {
                centre,
                radius: f64::hypot(from.z - centre.z, from.r - centre.r),
                half: if ccw { -1.0 } else { 1.0 },
            },
        };
        Some(Self { from: from.z, to: to.z, curve })
    }

    /// As a function of the radius, z and r exchanged; `None` for a level line. No arc of a form goes over its top.
    pub(super) fn over_radius((from, segment): (Point, Segment)) -> Option<Self> {
        let exchanged = |q: Point| Point { z: q.r, r: q.z };
        let (from, to) = (exchanged(from), exchanged(segment.end()));
        let rises = to.z > from.z;
        let (start, end) = if rises { (from, to) } else { (to, from) };
        Self::of((
            start,
            match segment {
                Segment::Line { .. } => Segment::Line { to: end },
                // Exchanging the coordinates turns the sense of an arc, and so does running it backwards.
                Segment::Arc { centre, ccw, .. } => {
                    Segment::Arc { to: end, centre: exchanged(centre), ccw: ccw != rises }
                }
            },
        ))
    }

    pub(super) fn moved(self, dz: f64) -> Self {
        let curve = match self.curve {
            Curve::Line { at, slope } => Curve::Line { at: Point { z: at.z + dz, ..at }, slope },
            Curve::Arc { centre, radius, half } => {
                Curve::Arc { centre: Point { z: centre.z + dz, ..centre }, radius, half }
            }
        };
        Self { from: self.from + dz, to: self.to + dz, curve }
    }

    /// The other coordinate there.
    pub(super) fn at(&self, z: f64) -> f64 {
        match self.curve {
            Curve::Line { at, slope } => at.r + (z - at.z) * slope,
            Curve::Arc { centre, radius, half } => {
                centre.r + half * (radius * radius - (z - centre.z).powi(2)).max(0.0).sqrt()
            }
        }
    }

    /// Where both have the same slope, if that is at one place.
    pub(super) fn level_with(&self, other: &Self) -> Option<f64> {
        // A point of an arc with the slope tan ψ lies at z = centre − half · radius · sin ψ.
        let on_arc = |centre: Point, radius: f64, half: f64, sin: f64| centre.z - half * radius * sin;
        match (self.curve, other.curve) {
            (Curve::Line { .. }, Curve::Line { .. }) => None,
            (Curve::Line { slope, .. }, Curve::Arc { centre, radius, half })
            | (Curve::Arc { centre, radius, half }, Curve::Line { slope, .. }) => {
                Some(on_arc(centre, radius, half, slope / slope.hypot(1.0)))
            }
            (
                Curve::Arc { centre, radius, half },
                Curve::Arc { centre: other_centre, radius: other_radius, half: other_half },
            ) => {
                let sin = (other_centre.z - centre.z) / (other_half * other_radius - half * radius);
                (sin.abs() <= 1.0).then(|| on_arc(centre, radius, half, sin))
            }
        }
    }
}
