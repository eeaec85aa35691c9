//! The surface of a thread: an [`Outline`] carried along a helix, and its sections by planes.
//!
//! # Frame
//!
//! `z` along the axis, `x` and `y` across it, the turn θ from `x` towards `y`; millimetres. With the rise
//! `h = Ph / 2π` for each radian, negative for a left-hand thread, the point (z, r) of the outline lies at
//!
//! ```text
//! (r cos θ, r sin θ, z + h θ)
//! ```
//!
//! On a lathe: `z` towards the chuck, `x` from the axis to the person in front, `y` up. The end of a screw that enters
//! its nut points to the tailstock ([`crate::profile`] says which flank leads). A nut in the chuck has its mouth to the
//! tailstock, so it is the outline turned end for end: [`Outline::mirrored`], which keeps the hand.
//!
//! # Sections
//!
//! A plane meets the helix of each point of the outline where one equation in θ holds. It is solved to the last bits
//! for every point that is asked for, so a section is exact at each of its points; only a chain of chords through
//! them ([`Section::points`]) strays, by no more than the tolerance it is asked with.
//!
//! Own derivation; `tests/helicoid.rs` holds it against closed forms and an independent sweep.

mod plane;
mod section;
mod vector;

pub use plane::{Face, Plane};
pub use section::{Flank, NoSection, Section, SectionPoint};
pub use vector::Vector;

use crate::profile::{Outline, Place, Point};
use crate::{Angle, Element, Hand, Length, Thread};
use std::f64::consts::TAU;

/// A helicoid: an outline in the axial plane, and the helix that carries it.
#[derive(Clone, Debug, PartialEq)]
pub struct Helicoid {
    outline: Outline,
    /// Along the axis for each radian, mm; negative for a left-hand thread.
    rise: f64,
}

impl Helicoid {
    /// From the outline at θ = 0, and the lead and hand of its helix.
    pub fn new(outline: Outline, lead: Length, hand: Hand) -> Self {
        let sign = match hand {
            Hand::Right => 1.0,
            Hand::Left => -1.0,
        };
        Self { outline, rise: sign * lead.to_mm() / TAU }
    }

    /// The surface of `element` of a thread at basic sizes.
    pub fn of(thread: &Thread, element: Element) -> Self {
        Self::new(thread.outline(element), thread.lead(), thread.hand)
    }

    /// The outline at θ = 0.
    pub fn outline(&self) -> &Outline {
        &self.outline
    }

    /// Rise along the axis for each radian of turn, mm; negative for a left-hand thread.
    pub fn rise(&self) -> f64 {
        self.rise
    }

    /// The same helix with another part of the outline, or another outline.
    pub fn with_outline(&self, outline: Outline) -> Self {
        Self { outline, rise: self.rise }
    }

    /// The mirror image in the plane of `x` and `z`: the same outline, the other hand.
    pub fn mirrored(&self) -> Self {
        Self { outline: self.outline.clone(), rise: -self.rise }
    }

    /// Lead angle at a diameter, negative for a left-hand thread: tan λ = Ph / (π d) (ISO 5408:2009, 4.10).
    pub fn lead_angle(&self, at: Length) -> Angle {
        Angle::atan(2.0 * self.rise / at.to_mm())
    }

    /// A point of the axial plane, carried by `turn`.
    pub fn carried(&self, point: Point, turn: Angle) -> Vector {
        let (sin, cos) = turn.to_rad().sin_cos();
        Vector { x: point.r * cos, y: point.r * sin, z: point.z + self.rise * turn.to_rad() }
    }

    /// A point of the surface.
    pub fn point(&self, place: Place, turn: Angle) -> Vector {
        self.carried(self.outline.at(place), turn)
    }

    /// Unit normal at a point of the surface, on the side away from the axis: out of the metal of a screw, into that of
    /// a nut. On an upright flank, to the side of +z where the outline falls there, else of −z.
    pub fn normal(&self, place: Place, turn: Angle) -> Vector {
        let (r, (dz, dr)) = (self.outline.at(place).r, self.outline.direction(place));
        let (sin, cos) = turn.to_rad().sin_cos();
        // Square to the outline's direction and to the helix, at θ = 0; then turned.
        let at_zero = Vector { x: r * dz, y: self.rise * dr, z: -r * dr };
        let n = Vector {
            x: at_zero.x * cos - at_zero.y * sin,
            y: at_zero.x * sin + at_zero.y * cos,
            z: at_zero.z,
        };
        n.scaled(1.0 / n.length())
    }

    /// Radius of the surface at `z` and `turn`, the outline repeated every pitch; on an upright flank, that of one of
    /// its ends.
    pub fn radius(&self, z: f64, turn: Angle) -> f64 {
        self.outline.radius(z - self.rise * turn.to_rad())
    }

    /// The axial section at `turn`: the outline itself, carried along the axis.
    pub fn axial(&self, turn: Angle) -> Outline {
        self.outline.moved(self.rise * turn.to_rad())
    }

    /// The axial point that is carried through a point in space: what a cutting edge there cuts.
    pub fn axial_of(&self, point: Vector) -> Point {
        let turn = point.y.atan2(point.x);
        Point { z: point.z - self.rise * turn, r: point.x.hypot(point.y) }
    }

    /// The section by a plane; see [`Section`].
    pub fn section(&self, plane: Plane) -> Section<'_> {
        Section::new(self, plane)
    }
}
