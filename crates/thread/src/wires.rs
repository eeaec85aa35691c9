//! Wires and balls in contact with a thread groove of straight axial flanks (a helicoid).
//!
//! # The contact, in closed form
//!
//! With `h = Ph / 2π`, a flank through the radius `r₂` where the groove is `P/2` wide is
//!
//! ```text
//! F(r, θ) = (r cos θ, r sin θ, P/4 + (r − r₂) t + h θ),   t = ± tan α   (+ screw, − nut)
//! ```
//!
//! This is the straight wall of the outline in [`crate::profile`], carried along the helix. For a nut the flank at +z is
//! called the leading one here, and is the following one there: as the picture may be turned end for end, no size
//! depends on it.
//!
//! A ball of radius ρ with its centre at the distance `R` from the axis touches where the line from the centre to
//! the flank is square to both surface tangents. These two conditions give
//!
//! ```text
//! q = ρ / √(1 + t² + h²/r²),   R cos θ = r + q t,   R sin θ = − q h / r
//! ```
//!
//! with `q` the axial distance from the centre to the contact. So `R² = (r + q t)² + (q h / r)²` holds for one
//! contact radius `r` only, and the flank equation then gives `r₂` at once: the way from a reading to a pitch
//! diameter needs one scalar root and no iteration over the thread; the way back is the inverse of that.
//!
//! A straight wire under a flat anvil is free to swing. Its distance is least where the contact lies in the plane
//! square to the wire through its middle, which is the ball's contact: wire and ball of one diameter read the same.
//! (With unequal flanks both contacts cannot lie there at once; the ball's value is given, from which the wire
//! departs by a quantity of second order in the lead angle.)
//!
//! Own derivation; `crates/bench/tests/wires.rs` holds it against Machinery's Handbook, 31st ed., pp. 2127–2136, and
//! `tests/helicoid.rs` against the nearest point of the surface.

use crate::{Angle, Element, Length, Thread};
use std::f64::consts::PI;
use std::fmt;

/// The groove that a wire or ball lies in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groove {
    /// Axial pitch.
    pub pitch: Length,
    /// Lead: pitch × starts.
    pub lead: Length,
    /// One flank's angle to the plane square to the axis, in the axial plane.
    pub flank_leading: Angle,
    /// The other's.
    pub flank_trailing: Angle,
}

impl Groove {
    /// A groove with two like flanks.
    pub fn symmetric(pitch: Length, starts: u32, included: Angle) -> Self {
        let half = included * 0.5;
        Self { pitch, lead: pitch * f64::from(starts), flank_leading: half, flank_trailing: half }
    }

    /// The groove of a thread, with its family's flanks.
    pub fn of(thread: &Thread) -> Self {
        let basic = thread.basic();
        Self {
            pitch: thread.pitch.length,
            lead: thread.lead(),
            flank_leading: basic.flank_leading,
            flank_trailing: basic.flank_trailing,
        }
    }

    /// Starts, as lead over pitch.
    pub fn starts(&self) -> u32 {
        (self.lead / self.pitch).round().max(1.0) as u32
    }

    /// Mean of the flank angles: the half angle where they are alike.
    fn half(&self) -> Angle {
        (self.flank_leading + self.flank_trailing) * 0.5
    }
}

/// Why a wire or ball finds no seat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoContact {
    /// Both flanks are upright: a groove of one width holds a wire at any height.
    UprightFlanks,
    /// A size is zero, negative or not a number, or the wire reaches past the axis.
    Size,
}

impl fmt::Display for NoContact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::UprightFlanks => "a square groove holds a wire at any height: measure its width instead",
            Self::Size => "sizes must be above zero, and the wire must stay clear of the axis",
        })
    }
}

impl std::error::Error for NoContact {}

/// A wire or ball at rest in a groove.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// Distance of its centre from the axis.
    pub centre: Length,
    /// Pitch diameter of the groove (where it is half a pitch wide).
    pub pitch_diameter: Length,
    /// Diameter at which it touches the leading flank.
    pub contact_leading: Length,
    /// Diameter at which it touches the trailing flank.
    pub contact_trailing: Length,
}

/// One flank touched by a ball with its centre at `centre` from the axis.
struct Touch {
    /// Contact radius.
    r: f64,
    /// Angle about the axis from the ball's axial plane; negative on the flank at +z of a right-hand thread.
    theta: f64,
    /// Axial distance from ball centre to contact.
    q: f64,
}

/// `t`: tangent of the flank angle, negative for a nut.
fn touch(centre: f64, rho: f64, t: f64, h: f64) -> Touch {
    let q_at = |r: f64| rho / (1.0 + t * t + (h / r).powi(2)).sqrt();
    let reach = |r: f64| {
        let q = q_at(r);
        (r + q * t).hypot(q * h / r)
    };
    // The contact lies within one ball radius of the centre's radius, so the bracket always holds the root.
    let r = bisect(|r| reach(r) - centre, centre - rho, centre + rho);
    let q = q_at(r);
    Touch { r, theta: -(q * h / r).atan2(r + q * t), q }
}

/// Root of an increasing function within `lo..hi`, to the last bits.
fn bisect(f: impl Fn(f64) -> f64, mut lo: f64, mut hi: f64) -> f64 {
    for _ in 0..80 {
        let mid = 0.5 * (lo + hi);
        if mid <= lo || mid >= hi {
            break;
        }
        if f(mid) < 0.0 { lo = mid } else { hi = mid }
    }
    0.5 * (lo + hi)
}

/// Where a ball with its centre at this distance from the axis sits, and the pitch diameter that follows.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn seat(groove: &Groove, element: Element, centre: Length, ball: Length) -> Result<Seat, NoContact> {
    let (centre_mm, rho) = (centre.to_mm(), ball.to_mm() / 2.0);
    let sizes = [centre_mm, rho, groove.pitch.to_mm(), groove.lead.to_mm()];
    if sizes.iter().any(|v| !v.is_finite() || *v <= 0.0) || rho >= centre_mm {
        return Err(NoContact::Size);
    }
    let sign = match element {
        Element::External => 1.0,
        Element::Internal => -1.0,
    };
    let (t1, t2) = (sign * groove.flank_leading.tan(), sign * groove.flank_trailing.tan());
    if (t1 + t2).abs() < 1e-9 {
        return Err(NoContact::UprightFlanks);
    }
    let h = groove.lead.to_mm() / (2.0 * PI);
    let width = groove.pitch.to_mm() / 2.0;
    let (a, b) = (touch(centre_mm, rho, t1, h), touch(centre_mm, rho, t2, h));
    // Both flanks give the same axial place of the centre; that leaves r₂. The far flank mirrors θ.
    let r2 = (width + a.r * t1 + b.r * t2 + h * (a.theta + b.theta) - a.q - b.q) / (t1 + t2);
    if r2.is_finite() && r2 > 0.0 {
        Ok(Seat {
            centre,
            pitch_diameter: Length::mm(2.0 * r2),
            contact_leading: Length::mm(2.0 * a.r),
            contact_trailing: Length::mm(2.0 * b.r),
        })
    } else {
        Err(NoContact::Size)
    }
}

/// The seat of a ball in a groove of this pitch diameter: the inverse of [`seat`].
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn seat_at(
    groove: &Groove,
    element: Element,
    pitch_diameter: Length,
    ball: Length,
) -> Result<Seat, NoContact> {
    let target = pitch_diameter.to_mm() / 2.0;
    let residual = |centre: f64| {
        seat(groove, element, Length::mm(centre), ball).map(|s| s.pitch_diameter.to_mm() / 2.0 - target)
    };
    // The pitch radius follows the centre almost one to one, so the start without lead is close and the secant
    // quick; it is the same thread moved by a few micrometres.
    let (w, a) = (ball.to_mm(), groove.half());
    if a.sin().abs() < 1e-9 {
        return Err(NoContact::UprightFlanks);
    }
    let offset = (w / a.sin() - groove.pitch.to_mm() / 2.0 * (a.cos() / a.sin())) / 2.0;
    let mut x0 = match element {
        Element::External => target + offset,
        Element::Internal => target - offset,
    };
    let mut f0 = residual(x0)?;
    let mut x1 = x0 - f0;
    for _ in 0..60 {
        let f1 = residual(x1)?;
        if f1.abs() <= 1e-13 * target {
            break;
        }
        let slope = (f1 - f0) / (x1 - x0);
        let step = if slope.is_finite() && slope > 0.1 { f1 / slope } else { f1 };
        (x0, f0) = (x1, f1);
        x1 -= step;
        if (x1 - x0).abs() <= f64::EPSILON * target {
            break;
        }
    }
    seat(groove, element, Length::mm(x1), ball)
}

/// Reading `M` over three wires (or two wires and an anvil, or two balls straight across) on a screw: exact contact.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn over_wires(groove: &Groove, d2: Length, wire: Length) -> Result<Length, NoContact> {
    Ok(seat_at(groove, Element::External, d2, wire)?.centre * 2.0 + wire)
}

/// Pitch diameter of a screw from the reading `M` over wires: exact contact. The inverse of [`over_wires`].
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn pitch_diameter_from_wires(groove: &Groove, m: Length, wire: Length) -> Result<Length, NoContact> {
    Ok(seat(groove, Element::External, (m - wire) * 0.5, wire)?.pitch_diameter)
}

/// `M = d2 + w (1 + csc α) − (P/2) cot α`, without the lead: Machinery's Handbook 31, p. 2127.
/// With unequal flanks the general form of the same triangle.
pub fn over_wires_simple(groove: &Groove, d2: Length, wire: Length) -> Length {
    let (a, b) = (groove.flank_leading, groove.flank_trailing);
    let (half, skew) = ((a + b) * 0.5, (a - b) * 0.5);
    d2 + wire * (1.0 + skew.cos() / half.sin()) - groove.pitch * (1.0 / (a.tan() + b.tan()))
}

/// [`over_wires_simple`] with the lead term `½ w tan² φ cos α cot α` added: Machinery's Handbook 31, p. 2127.
pub fn over_wires_lead_term(groove: &Groove, d2: Length, wire: Length) -> Length {
    let a = groove.half();
    let tan_lead = groove.lead / (d2 * PI);
    over_wires_simple(groove, d2, wire) + wire * (0.5 * tan_lead * tan_lead * a.cos() * a.cos() / a.sin())
}

/// The wire that touches at the pitch diameter, lead considered, for which an error of the flank angle tells least.
/// Without lead it is `P / (2 cos α)` (Machinery's Handbook 31, p. 2135).
pub fn best_wire(groove: &Groove, d2: Length) -> Length {
    let r = d2.to_mm() / 2.0;
    let h = groove.lead.to_mm() / (2.0 * PI);
    let t = groove.half().tan();
    let quarter = groove.pitch.to_mm() / 4.0;
    // Flank equation at r = r₂: q = P/4 + h θ(q); θ is small, so the substitution contracts at once.
    let mut q = quarter;
    for _ in 0..40 {
        q = quarter - h * (q * h / r).atan2(r + q * t);
    }
    Length::mm(2.0 * q * (1.0 + t * t + (h / r).powi(2)).sqrt())
}

/// Smallest and largest wire that may be used on a screw: the smallest stands level with the crest (else the
/// anvil rests on the crest), the largest touches at the edge of the crest. `major` is the outside diameter.
/// Lead neglected; gives the factors of Machinery's Handbook 31, p. 2135 for Acme.
///
/// # Errors
/// [`NoContact::UprightFlanks`].
pub fn wire_range(groove: &Groove, d2: Length, major: Length) -> Result<(Length, Length), NoContact> {
    let (a, b) = (groove.flank_leading, groove.flank_trailing);
    let (half, skew) = ((a + b) * 0.5, (a - b) * 0.5);
    let spread = a.tan() + b.tan();
    if spread < 1e-9 {
        return Err(NoContact::UprightFlanks);
    }
    let addendum = (major - d2) * 0.5;
    let least = (addendum * 2.0 + groove.pitch * (1.0 / spread)) / (1.0 + skew.cos() / half.sin());
    // Both contacts are equally far from the apex of the flanks along them; the steeper reaches the crest first.
    let apex_depth = (groove.pitch * 0.5 + addendum * spread) / spread;
    Ok((least, apex_depth * (2.0 * half.tan() / a.cos().max(b.cos()))))
}

/// Axial offset of the groove on the opposite side of a nut or screw: half a pitch for an odd number of starts.
fn opposite_offset(groove: &Groove) -> Length {
    if groove.starts() % 2 == 1 { groove.pitch * 0.5 } else { Length::ZERO }
}

/// Free distance between two like balls in opposite grooves of a nut, taken the short way from ball to ball (by a
/// telescoping gauge or a pin with rounded ends): `√((2R)² + (P/2)²) − w` for an odd number of starts, since the
/// groove opposite lies half a pitch along. Exact contact.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn between_balls(groove: &Groove, pitch_diameter: Length, ball: Length) -> Result<Length, NoContact> {
    let across = seat_at(groove, Element::Internal, pitch_diameter, ball)?.centre * 2.0;
    Ok(hypot(across, opposite_offset(groove)) - ball)
}

/// The same distance taken square to the axis, by a gauge whose ends stay in one plane: `2R − w`. For an odd number of
/// starts it is less than the short way from ball to ball. Exact contact.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn between_balls_square(
    groove: &Groove,
    pitch_diameter: Length,
    ball: Length,
) -> Result<Length, NoContact> {
    Ok(seat_at(groove, Element::Internal, pitch_diameter, ball)?.centre * 2.0 - ball)
}

/// Pitch diameter of a nut from the free distance between two balls: the inverse of [`between_balls`].
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn pitch_diameter_from_balls(
    groove: &Groove,
    between: Length,
    ball: Length,
) -> Result<Length, NoContact> {
    let slanted = (between + ball).to_mm();
    let across = (slanted * slanted - opposite_offset(groove).to_mm().powi(2)).sqrt();
    if !across.is_finite() {
        return Err(NoContact::Size);
    }
    Ok(seat(groove, Element::Internal, Length::mm(across / 2.0), ball)?.pitch_diameter)
}

/// Free distance from one ball in the groove of a nut to the bore opposite: `R − w/2 + D1/2`. Exact contact.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn ball_to_bore(
    groove: &Groove,
    pitch_diameter: Length,
    ball: Length,
    bore: Length,
) -> Result<Length, NoContact> {
    Ok(seat_at(groove, Element::Internal, pitch_diameter, ball)?.centre - ball * 0.5 + bore * 0.5)
}

/// Pitch diameter of a nut from the free distance between one ball and the bore opposite: the inverse of
/// [`ball_to_bore`].
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn pitch_diameter_from_ball_to_bore(
    groove: &Groove,
    distance: Length,
    ball: Length,
    bore: Length,
) -> Result<Length, NoContact> {
    Ok(seat(groove, Element::Internal, distance + ball * 0.5 - bore * 0.5, ball)?.pitch_diameter)
}

fn hypot(a: Length, b: Length) -> Length {
    Length::mm(a.to_mm().hypot(b.to_mm()))
}
