//! Where a plane meets a helicoid.

use super::{Helicoid, Plane, Vector};
use crate::Angle;
use crate::profile::{Place, Point};
use std::f64::consts::FRAC_PI_2;
use std::fmt;

/// The curve in which a plane meets a helicoid, point by point of its outline.
///
/// A plane meets one helix more than once, or never. Taken is the meeting on the side of the axis to which the plane's
/// `out` direction points (of a plane square to the axis there is but one).
#[derive(Clone, Debug)]
pub struct Section<'a> {
    helicoid: &'a Helicoid,
    plane: Plane,
    /// Square to the plane, turned so that its distance grows with the turn where the meeting is sought.
    normal: Vector,
    /// Distance of the plane from the origin along it.
    offset: f64,
}

/// A point of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionPoint {
    /// The place of the outline that is carried there.
    pub place: Place,
    /// By how much it is carried.
    pub turn: Angle,
    /// Coordinate in the plane, mm.
    pub along: f64,
    /// Coordinate in the plane, mm.
    pub out: f64,
}

impl SectionPoint {
    fn distance(&self, other: &Self) -> f64 {
        (self.along - other.along).hypot(self.out - other.out)
    }
}

/// A straight piece of the outline, as the plane cuts it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flank {
    /// Piece of the outline.
    pub piece: usize,
    /// Its first end.
    pub from: SectionPoint,
    /// Its other end.
    pub to: SectionPoint,
    /// Angle of the chord between them to the plane's `out` direction: the flank angle to grind. Positive where
    /// `along` grows with `out`.
    pub angle: Angle,
    /// How far the curve strays from the chord at most, mm; positive to the side of +`along`.
    pub bow: f64,
    /// Where it does.
    pub bow_at: SectionPoint,
}

/// A point of the outline whose helix does not meet the plane on the side that is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoSection {
    /// The point.
    pub at: Point,
}

impl fmt::Display for NoSection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "the plane does not meet the thread at diameter {:.4} mm: it lies outside it there",
            2.0 * self.at.r
        )
    }
}

impl std::error::Error for NoSection {}

impl<'a> Section<'a> {
    pub(super) fn new(helicoid: &'a Helicoid, plane: Plane) -> Self {
        let (square, out) = (plane.square(), plane.out());
        // The rate at which the distance from the plane grows with the turn, at a place on the `out` side, is led by
        // this; of a plane square to the axis by the rise alone.
        let growth = if out.x.hypot(out.y) > 0.0 { square.y * out.x - square.x * out.y } else { 0.0 };
        let normal = if growth < 0.0 { square.scaled(-1.0) } else { square };
        Self { helicoid, plane, normal, offset: normal.dot(plane.origin()) }
    }

    /// The plane.
    pub fn plane(&self) -> &Plane {
        &self.plane
    }

    /// The point of the section at a place of the outline.
    ///
    /// # Errors
    /// Where the helix of that place does not meet the plane.
    pub fn at(&self, place: Place) -> Result<SectionPoint, NoSection> {
        let point = self.helicoid.outline().at(place);
        let turn = Angle::rad(self.turn(point).ok_or(NoSection { at: point })?);
        let (along, out) = self.plane.coordinates(self.helicoid.carried(point, turn));
        Ok(SectionPoint { place, turn, along, out })
    }

    /// Root of `distance(θ) = r (nx cos θ + ny sin θ) + nz (z + h θ) − offset`, which is
    /// `r a sin(θ + β) + b θ + c` with `a sin β = nx`, `a cos β = ny`.
    fn turn(&self, point: Point) -> Option<f64> {
        let n = self.normal;
        let swing = point.r * n.x.hypot(n.y);
        let beta = n.x.atan2(n.y);
        let rate = n.z * self.helicoid.rise();
        let rest = n.z * point.z - self.offset;
        let distance = |turn: f64| swing * (turn + beta).sin() + rate * turn + rest;
        let slope = |turn: f64| swing * (turn + beta).cos() + rate;
        let (lo, hi) = if rate.abs() >= swing {
            if rate == 0.0 {
                return None;
            }
            // Steep enough to grow or fall throughout: the sine moves the root by no more than its height.
            let (middle, reach) = (-rest / rate, (swing / rate).abs() * (1.0 + 1e-9) + 1e-12);
            (middle - reach, middle + reach)
        } else {
            // The stretch about the middle of the `out` side over which the distance grows.
            let reach = if rate < 0.0 { (-rate / swing).acos() } else { FRAC_PI_2 };
            (-beta - reach, -beta + reach)
        };
        root(distance, slope, lo, hi)
    }

    /// The section as a chain of points, no chord straying from the curve by more than `tolerance` mm, corners
    /// included.
    ///
    /// # Errors
    /// Where a helix of the outline does not meet the plane.
    pub fn points(&self, tolerance: f64) -> Result<Vec<SectionPoint>, NoSection> {
        let pieces = self.helicoid.outline().segments.len();
        let mut points = vec![self.at(Place { piece: 0, share: 0.0 })?];
        for piece in 0..pieces {
            let from = self.at(Place { piece, share: 0.0 })?;
            let to = self.at(Place { piece, share: 1.0 })?;
            // Begun in four, so that no bend hides in a symmetry.
            let mut last = from;
            for quarter in 1..=4 {
                let next = if quarter == 4 {
                    to
                } else {
                    self.at(Place { piece, share: f64::from(quarter) / 4.0 })?
                };
                self.divide(&last, &next, tolerance, DEEPEST, &mut points)?;
                last = next;
            }
        }
        Ok(points)
    }

    /// Appends the points after `from` up to and with `to`.
    fn divide(
        &self,
        from: &SectionPoint,
        to: &SectionPoint,
        tolerance: f64,
        deepest: u32,
        points: &mut Vec<SectionPoint>,
    ) -> Result<(), NoSection> {
        let piece = to.place.piece;
        let start = if from.place.piece == piece { from.place.share } else { 0.0 };
        let middle = self.at(Place { piece, share: 0.5 * (start + to.place.share) })?;
        // A short smooth arc strays most about its middle; half the tolerance leaves room for where it is not quite
        // there.
        if deepest == 0 || off_chord(from, to, &middle).abs() <= 0.5 * tolerance {
            points.push(*to);
            return Ok(());
        }
        self.divide(from, &middle, tolerance, deepest - 1, points)?;
        self.divide(&middle, to, tolerance, deepest - 1, points)
    }

    /// How the plane cuts a straight piece of the outline; `None` for an arc.
    ///
    /// # Errors
    /// Where a helix of the piece does not meet the plane.
    pub fn flank(&self, piece: usize) -> Result<Option<Flank>, NoSection> {
        if !self.helicoid.outline().is_line(piece) {
            return Ok(None);
        }
        let at = |share: f64| self.at(Place { piece, share });
        let (from, to) = (at(0.0)?, at(1.0)?);
        let bow = |share: f64| at(share).map(|point| (off_chord(&from, &to, &point), point));
        // Sampled to find the hump, then closed in on it.
        let mut most = (0.0_f64, from);
        for i in 1..HUMP {
            let found = bow(f64::from(i) / f64::from(HUMP))?;
            if found.0.abs() > most.0.abs() {
                most = found;
            }
        }
        let (mut lo, mut hi) = (
            (most.1.place.share - 1.0 / f64::from(HUMP)).max(0.0),
            (most.1.place.share + 1.0 / f64::from(HUMP)).min(1.0),
        );
        while hi - lo > 1e-6 {
            let (a, b) = (lo + (hi - lo) / 3.0, hi - (hi - lo) / 3.0);
            let (at_a, at_b) = (bow(a)?, bow(b)?);
            if at_a.0.abs() < at_b.0.abs() {
                lo = a
            } else {
                hi = b
            }
            for found in [at_a, at_b] {
                if found.0.abs() > most.0.abs() {
                    most = found;
                }
            }
        }
        // Measured so that the way runs outwards, and the left of it is −along.
        let (inner, outer) = if from.out <= to.out { (from, to) } else { (to, from) };
        let angle = Angle::rad((outer.along - inner.along).atan2(outer.out - inner.out));
        let bow = -off_chord(&inner, &outer, &most.1);
        Ok(Some(Flank { piece, from, to, angle, bow, bow_at: most.1 }))
    }

    /// All straight pieces that join different diameters: the flanks.
    ///
    /// # Errors
    /// Where a helix of the outline does not meet the plane.
    pub fn flanks(&self) -> Result<Vec<Flank>, NoSection> {
        let outline = self.helicoid.outline();
        let slopes = |piece: &usize| {
            outline.is_line(*piece) && outline.direction(Place { piece: *piece, share: 0.0 }).1 != 0.0
        };
        let mut flanks = Vec::new();
        for piece in (0..outline.segments.len()).filter(slopes) {
            flanks.extend(self.flank(piece)?);
        }
        Ok(flanks)
    }
}

/// Halvings of a quarter of a piece at most.
const DEEPEST: u32 = 24;

/// Samples among which the hump of a flank is looked for.
const HUMP: u32 = 16;

/// How far `point` lies to the left of the chord from `from` to `to`, `along` to the right and `out` up.
fn off_chord(from: &SectionPoint, to: &SectionPoint, point: &SectionPoint) -> f64 {
    let length = from.distance(to);
    if length == 0.0 {
        return from.distance(point);
    }
    let (along, out) = (to.along - from.along, to.out - from.out);
    (along * (point.out - from.out) - out * (point.along - from.along)) / length
}

/// Root of a monotonic function within `lo..hi`: Newton's steps, halving where one leaves the bracket. To the last
/// bits; `None` where the ends have the same sign.
fn root(f: impl Fn(f64) -> f64, slope: impl Fn(f64) -> f64, mut lo: f64, mut hi: f64) -> Option<f64> {
    let (at_lo, at_hi) = (f(lo), f(hi));
    if at_lo == 0.0 {
        return Some(lo);
    }
    if at_hi == 0.0 {
        return Some(hi);
    }
    if at_lo.is_nan() || at_hi.is_nan() || at_lo.signum() == at_hi.signum() {
        return None;
    }
    let rising = at_lo < 0.0;
    let mut x = 0.5 * (lo + hi);
    for _ in 0..100 {
        let y = f(x);
        if y == 0.0 {
            return Some(x);
        }
        if (y < 0.0) == rising {
            lo = x
        } else {
            hi = x
        }
        let newton = x - y / slope(x);
        let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - x).abs() <= f64::EPSILON * x.abs().max(1e-3) || next <= lo || next >= hi {
            return Some(next);
        }
        x = next;
    }
    Some(x)
}
