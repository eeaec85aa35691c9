//! Leaves of thread gauges, and how they sit.
//!
//! A leaf of n teeth is laid along the thread and slid until it sits best. Its pitch and the thread's differ over its
//! length, so that its end teeth stand off the grooves by e = |ΔP| (n − 1) / 2 along the axis; on flanks they ride
//! up by e / tan α. A worn groove lets the teeth sink until their tips touch the root, and gives play from then on.
//! A leaf of another angle touches at one end of the flank and shows light at the other.

use super::dice::Dice;
use super::part::Part;
use flankwise_thread::Element;
use flankwise_thread::family::Ridge;

/// What a leaf set is cut for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Set {
    Metric60,
    Inch60,
    Inch55,
    Trapezoidal30,
    Acme29,
}

impl Set {
    pub const ALL: [Self; 5] =
        [Self::Metric60, Self::Inch60, Self::Inch55, Self::Trapezoidal30, Self::Acme29];
    pub const fn metric(self) -> bool {
        matches!(self, Self::Metric60 | Self::Trapezoidal30)
    }
    pub const fn is_v(self) -> bool {
        matches!(self, Self::Metric60 | Self::Inch60 | Self::Inch55)
    }
    pub const fn angle_deg(self) -> f64 {
        match self {
            Self::Metric60 | Self::Inch60 => 60.0,
            Self::Inch55 => 55.0,
            Self::Trapezoidal30 => 30.0,
            Self::Acme29 => 29.0,
        }
    }
    /// How many workshops of the kind have one (choice).
    pub const fn owned(self) -> f64 {
        match self {
            Self::Metric60 => 0.95,
            Self::Inch60 => 0.70,
            Self::Inch55 => 0.75,
            Self::Trapezoidal30 => 0.45,
            Self::Acme29 => 0.50,
        }
    }
    /// Stamped on the leaves: millimetres, or threads per inch. Sets on sale by makers of hand tools, from memory.
    pub const fn stamped(self) -> &'static [f64] {
        match self {
            Self::Metric60 => &[
                0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5,
                3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0,
            ],
            Self::Inch60 => &[
                4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 11.5, 12.0, 13.0, 14.0, 16.0, 18.0, 20.0,
                22.0, 24.0, 26.0, 27.0, 28.0, 30.0, 32.0, 36.0, 40.0, 42.0,
            ],
            Self::Inch55 => &[
                4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0, 16.0, 18.0, 19.0, 20.0, 22.0,
                24.0, 25.0, 26.0, 28.0, 30.0, 32.0, 34.0, 36.0, 38.0, 40.0, 48.0, 60.0, 62.0,
            ],
            Self::Trapezoidal30 => &[1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0],
            Self::Acme29 => &[2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 14.0, 16.0],
        }
    }
}

/// A leaf in hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leaf {
    pub set: Set,
    pub stamped: f64,
}

impl Leaf {
    pub fn pitch_mm(self) -> f64 {
        if self.set.metric() { self.stamped } else { 25.4 / self.stamped }
    }
    /// As a person types it.
    pub fn label(self) -> String {
        if self.set.metric() { format!("{} mm", self.stamped) } else { format!("{} tpi", self.stamped) }
    }
    /// Teeth: leaves are about 14 mm long where the pitch is fine; coarse ones have four.
    fn teeth(self) -> f64 {
        (14.0 / self.pitch_mm()).round().clamp(4.0, 12.0)
    }
}

/// What the person says of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    Seats,
    Rocks,
    Refuses,
}

impl Verdict {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Seats => "seats",
            Self::Rocks => "rocks",
            Self::Refuses => "refuses",
        }
    }
}

/// How keenly a person looks and feels, mm.
#[derive(Clone, Copy, Debug)]
pub struct Eye {
    /// Smallest lift that is felt as rocking or seen as a wedge of light.
    pub lift: f64,
    /// Smallest gap along a flank that is seen against the light. A good eye sees a few hundredths.
    pub gap: f64,
}

impl Eye {
    pub fn draw(dice: &mut Dice) -> Self {
        Self { lift: dice.log_normal(0.05, 0.4), gap: dice.log_normal(0.06, 0.5) }
    }
}

/// How badly a leaf sits: lift, and gap along the flank, mm.
#[derive(Clone, Copy, Debug)]
pub struct Seat {
    pub lift: f64,
    pub gap: f64,
}

/// Lays a leaf on at `place`.
pub fn lay(leaf: Leaf, part: &Part, place: f64, dice: &mut Dice) -> Seat {
    let fits = if part.element == Element::Internal { part.length } else { f64::INFINITY };
    let teeth = leaf.teeth().min((fits / leaf.pitch_mm()).floor()).max(2.0);
    let true_pitch = part.shape.p * (1.0 + part.lead_error);
    // The leaf itself is a punched part.
    let cut = leaf.pitch_mm() * (teeth - 1.0) + dice.normal(0.01);
    let off = 0.5 * (cut - true_pitch * (teeth - 1.0)).abs();
    let half = 0.5 * (part.flanks.0 + part.flanks.1);
    let (leaf_half, own) = ((0.5 * leaf.set.angle_deg()).to_radians(), 2.0 * half.tan());
    let tip_room = match part.shape.ridge {
        Ridge::FlatTopped | Ridge::Square | Ridge::Sawtooth => 0.2,
        _ => 0.08 * part.shape.p,
    };
    let play = 0.5 * (part.flank_wear(place) - tip_room * own).max(0.0);
    let off = (off - play).max(0.0);
    if leaf.set.is_v() == part.shape.ridge.is_v() {
        let contact = if leaf.set.is_v() { 0.55 } else { 0.5 } * part.shape.p.min(leaf.pitch_mm());
        Seat { lift: off / half.tan().max(0.1), gap: contact * (leaf_half.tan() - half.tan()).abs() }
    } else {
        // Laid on only to compare spacing: crests against tips, by eye, and half as keenly.
        Seat { lift: 0.5 * off, gap: 0.0 }
    }
}

/// What a person says of a seat on a thread of this pitch.
pub fn judge(seat: Seat, eye: Eye, pitch_mm: f64, dice: &mut Dice) -> Verdict {
    let lift = seat.lift * dice.log_normal(1.0, 0.2);
    let gap = seat.gap * dice.log_normal(1.0, 0.3);
    if lift > (0.35 * pitch_mm).max(3.0 * eye.lift) {
        Verdict::Refuses
    } else if lift > eye.lift || gap > eye.gap {
        Verdict::Rocks
    } else {
        Verdict::Seats
    }
}
