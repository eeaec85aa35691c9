//! Planes to cut a helicoid with.

use super::{Helicoid, Vector};
use crate::{Angle, Element, Length};

/// A plane with an origin and two directions to measure in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    origin: Vector,
    along: Vector,
    out: Vector,
}

impl Plane {
    /// From an origin and two directions, which are made square to each other and of unit length: `out` within the
    /// plane, away from the axis, is kept, and `along` turned to be square to it. `None` where they do not span a
    /// plane.
    pub fn new(origin: Vector, along: Vector, out: Vector) -> Option<Self> {
        let unit = |v: Vector| (v.length() > 1e-12).then(|| v.scaled(1.0 / v.length()));
        let out = unit(out)?;
        let along = unit(along - out.scaled(along.dot(out)))?;
        Some(Self { origin, along, out })
    }

    /// The axial plane at `turn`: `along` the axis, `out` the radius; the origin on the axis.
    pub fn axial(turn: Angle) -> Self {
        let (sin, cos) = turn.to_rad().sin_cos();
        Self {
            origin: Vector { x: 0.0, y: 0.0, z: 0.0 },
            along: Vector { x: 0.0, y: 0.0, z: 1.0 },
            out: Vector { x: cos, y: sin, z: 0.0 },
        }
    }

    /// The plane square to the axis at `z`: `along` is x, `out` is y; the origin on the axis.
    pub fn transverse(z: f64) -> Self {
        Self {
            origin: Vector { x: 0.0, y: 0.0, z },
            along: Vector { x: 1.0, y: 0.0, z: 0.0 },
            out: Vector { x: 0.0, y: 1.0, z: 0.0 },
        }
    }

    /// The plane square to the helix at diameter `at`, through the radius at θ = 0 and `z`, with its origin there on
    /// that diameter; `out` is the radius.
    pub fn normal(helicoid: &Helicoid, at: Length, z: f64) -> Self {
        let (sin, cos) = helicoid.lead_angle(at).to_rad().sin_cos();
        Self {
            origin: Vector { x: at.to_mm() / 2.0, y: 0.0, z },
            along: Vector { x: 0.0, y: -sin, z: cos },
            out: Vector { x: 1.0, y: 0.0, z: 0.0 },
        }
    }

    /// Where coordinates are measured from.
    pub fn origin(&self) -> Vector {
        self.origin
    }
    /// The first direction, of unit length.
    pub fn along(&self) -> Vector {
        self.along
    }
    /// The second direction, of unit length, square to the first.
    pub fn out(&self) -> Vector {
        self.out
    }
    /// The direction square to the plane: `along` × `out`.
    pub fn square(&self) -> Vector {
        self.along.cross(self.out)
    }
    /// The point with these coordinates.
    pub fn point(&self, along: f64, out: f64) -> Vector {
        self.origin + self.along.scaled(along) + self.out.scaled(out)
    }
    /// Coordinates of a point, dropped onto the plane.
    pub fn coordinates(&self, point: Vector) -> (f64, f64) {
        let from = point - self.origin;
        (from.dot(self.along), from.dot(self.out))
    }
}

/// How the rake face of a threading tool stands, as it cuts at `x > 0` with its face up (`y`).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Inside or outside: from which side of the surface the tool comes.
    pub element: Element,
    /// Diameter that the tip reaches.
    pub tip: Length,
    /// Height of the tip above the axis.
    pub height: Length,
    /// Top rake: positive where the face falls away behind the tip, away from the cut.
    pub rake: Angle,
    /// Turn about the radius: at the lead angle the face is square to the helix there. Negative follows a left-hand
    /// helix.
    pub cant: Angle,
    /// Turn in the face itself, by which the middle of the tool leans from square to the axis: positive with the outer
    /// end towards +z.
    pub tilt: Angle,
}

impl Face {
    /// A face in the axial plane, flat and on centre.
    pub fn radial(element: Element, tip: Length) -> Self {
        let (height, none) = (Length::ZERO, Angle::ZERO);
        Self { element, tip, height, rake: none, cant: none, tilt: none }
    }

    /// The plane of the face: origin at the tip, at z = 0; `out` from the axis along the tool's middle, `along` to
    /// the side of +z. `None` where a tip so high or low does not reach its diameter.
    pub fn plane(&self) -> Option<Plane> {
        let (r, y) = (self.tip.to_mm() / 2.0, self.height.to_mm());
        let x = (r * r - y * y).sqrt();
        if x.is_nan() || x <= 0.0 {
            return None;
        }
        // Turned about the radius first, then about the line of the tip, then in the face.
        let (sin, cos) = self.cant.to_rad().sin_cos();
        let along = Vector { x: 0.0, y: -sin, z: cos };
        let up = Vector { x: 0.0, y: cos, z: sin };
        let radius = Vector { x: 1.0, y: 0.0, z: 0.0 };
        let (sin, cos) = self.rake.to_rad().sin_cos();
        let fall = match self.element {
            Element::External => -sin,
            Element::Internal => sin,
        };
        let out = radius.scaled(cos) + up.scaled(fall);
        let (sin, cos) = self.tilt.to_rad().sin_cos();
        Some(Plane {
            origin: Vector { x, y, z: 0.0 },
            along: along.scaled(cos) - out.scaled(sin),
            out: out.scaled(cos) + along.scaled(sin),
        })
    }
}
