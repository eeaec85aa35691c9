//! Draws an [`Outline`] from sizes.

use super::{Basic, Outline, Point, Segment, corner_tangent};
use crate::{Angle, Element};

/// See [`Basic::outline`]. Heights are measured out of the groove's bottom, so that one drawing serves both elements.
pub(super) fn outline(basic: &Basic, element: Element) -> Outline {
    let (root_dia, crest_dia, width, root_radius, crest_radius, rising, falling) = match element {
        Element::External => (
            basic.d3,
            basic.d,
            basic.root_width,
            basic.root_radius,
            basic.crest_radius,
            basic.flank_leading,
            basic.flank_trailing,
        ),
        Element::Internal => (
            basic.d4_internal,
            basic.d1_internal,
            basic.root_width_internal,
            basic.root_radius_internal,
            basic.crest_radius_internal,
            basic.flank_trailing,
            basic.flank_leading,
        ),
    };
    let out = if element == Element::External { 1.0 } else { -1.0 };
    let root = root_dia.to_mm() / 2.0;
    let depth = out * (crest_dia.to_mm() / 2.0 - root);
    let pitch_line = out * (basic.d2.to_mm() / 2.0 - root);
    let p = basic.p.to_mm();
    let (tan_rising, tan_falling) = (rising.tan(), falling.tan());
    // The middle of the groove lies at z = 0 on the pitch line, and off it elsewhere unless the flanks are alike.
    let middle = -pitch_line * (tan_rising - tan_falling) / 2.0;
    let width = width.to_mm();
    let foot =
        |flank: Angle| Wall { tan: flank.tan(), tangent: corner_tangent(flank), flank: flank.to_rad() };
    let (up_wall, down_wall) = (foot(rising), foot(falling));

    // Where flanks meet early, root or crest is their meeting point.
    let slope = tan_rising + tan_falling;
    let meeting = |room: f64| if slope > 0.0 { room / slope } else { f64::INFINITY };
    let floor = if width < 0.0 { meeting(-width).min(depth) } else { 0.0 };
    let top = depth.min(meeting(p - width)).max(floor);
    let ground = (width + floor * slope).max(0.0);
    let crest = (p - width - top * slope).max(0.0);

    let tangents = up_wall.tangent + down_wall.tangent;
    let mut root_radius = root_radius.to_mm().max(0.0).min(ground / tangents);
    let mut crest_radius = crest_radius.to_mm().max(0.0).min(crest / tangents);
    for wall in [&up_wall, &down_wall] {
        let (used, length) = ((root_radius + crest_radius) * wall.tangent, (top - floor) / wall.flank.cos());
        if used > length {
            root_radius *= length / used;
            crest_radius *= length / used;
        }
    }

    // Corners between the flanks and the lines of root and crest.
    let right_foot = middle + width / 2.0 + floor * tan_rising;
    let left_foot = middle - width / 2.0 - floor * tan_falling;
    let start =
        (left_foot + root_radius * down_wall.tangent + right_foot - root_radius * up_wall.tangent) / 2.0;
    let place = |z: f64, up: f64| Point { z, r: root + out * up };
    let mut path = Path {
        place,
        ccw_up: out > 0.0,
        outline: Outline { start: place(start, floor), segments: Vec::with_capacity(9) },
    };
    path.rising(&up_wall, right_foot, floor, top, root_radius, crest_radius);
    path.falling(&down_wall, left_foot + p, floor, top, root_radius, crest_radius);
    path.line(start + p, floor);
    path.outline
}

/// A flank, as a wall of the groove.
struct Wall {
    /// Angle to the plane square to the axis, radians.
    flank: f64,
    tan: f64,
    /// See [`corner_tangent`].
    tangent: f64,
}

/// Builds an [`Outline`] in the coordinates z and height out of the groove.
struct Path<F: Fn(f64, f64) -> Point> {
    place: F,
    /// Counter-clockwise keeps its sense when drawn (else the drawing is mirrored).
    ccw_up: bool,
    outline: Outline,
}

/// Pieces shorter than this are left out, mm: a millionth of a micrometre.
const NOTHING: f64 = 1e-9;

impl<F: Fn(f64, f64) -> Point> Path<F> {
    /// A line, left out where the path already stands there.
    fn line(&mut self, z: f64, up: f64) {
        let (to, at) = ((self.place)(z, up), self.outline.end());
        if f64::hypot(to.z - at.z, to.r - at.r) > NOTHING {
            self.outline.segments.push(Segment::Line { to });
        }
    }

    fn arc(&mut self, to: (f64, f64), centre: (f64, f64), ccw: bool) {
        self.outline.segments.push(Segment::Arc {
            to: (self.place)(to.0, to.1),
            centre: (self.place)(centre.0, centre.1),
            ccw: ccw == self.ccw_up,
        });
    }

    /// From the groove's bottom up the wall that begins at `foot`, onto the crest.
    fn rising(&mut self, wall: &Wall, foot: f64, floor: f64, top: f64, root_radius: f64, crest_radius: f64) {
        let (sin, cos) = wall.flank.sin_cos();
        let t = root_radius * wall.tangent;
        self.line(foot - t, floor);
        if t > NOTHING {
            self.arc((foot + t * sin, floor + t * cos), (foot - t, floor + root_radius), true);
        }
        let edge = foot + (top - floor) * wall.tan;
        let t = crest_radius * wall.tangent;
        self.line(edge - t * sin, top - t * cos);
        if t > NOTHING {
            self.arc((edge + t, top), (edge + t, top - crest_radius), false);
        }
    }

    /// From the crest down the wall that ends at `foot`.
    fn falling(&mut self, wall: &Wall, foot: f64, floor: f64, top: f64, root_radius: f64, crest_radius: f64) {
        let (sin, cos) = wall.flank.sin_cos();
        let edge = foot - (top - floor) * wall.tan;
        let t = crest_radius * wall.tangent;
        self.line(edge - t, top);
        if t > NOTHING {
            self.arc((edge + t * sin, top - t * cos), (edge - t, top - crest_radius), false);
        }
        let t = root_radius * wall.tangent;
        self.line(foot - t * sin, floor + t * cos);
        if t > NOTHING {
            self.arc((foot + t, floor), (foot + t, floor + root_radius), true);
        }
    }
}
