//! A thread, and how it is written.

use crate::{Angle, Family, Length, Unit};
use std::fmt;

/// Hand of the helix.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Hand {
    /// Recedes when turned clockwise.
    Right,
    /// Recedes when turned anticlockwise.
    Left,
}

/// A pitch and the way it is written: in millimetres, or as threads per inch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pitch {
    /// Distance between corresponding flanks of adjacent ridges, along the axis.
    pub length: Length,
    /// `Inch`: written as threads per inch.
    pub written: Unit,
}

impl Pitch {
    /// A pitch written in millimetres.
    pub const fn mm(v: f64) -> Self {
        Self { length: Length::mm(v), written: Unit::Mm }
    }
    /// A pitch written as threads per inch.
    pub const fn tpi(n: f64) -> Self {
        Self { length: Length::per_inch(n), written: Unit::Inch }
    }
}

impl fmt::Display for Pitch {
    /// `5 mm` or `10 tpi`, trailing zeros cut.
    fn fmt(&self, _f: &mut fmt::Formatter<'_>) -> fmt::Result {
        todo!()
    }
}

/// A thread as designated: form, size, pitch, starts, hand, and tolerance classes where named.
#[derive(Clone, Debug, PartialEq)]
pub struct Thread {
    /// Form and standard.
    pub family: Family,
    /// Nominal diameter.
    pub nominal: Length,
    /// The unit the nominal diameter is written in (`7/8` or `22`).
    pub nominal_written: Unit,
    /// Pitch (not lead).
    pub pitch: Pitch,
    /// Number of starts, 1 or more.
    pub starts: u32,
    /// Hand.
    pub hand: Hand,
    /// Tolerance class of the external thread, as its standard writes it (`7e`, `2G`, `2A`, `6g`).
    pub external_class: Option<String>,
    /// Tolerance class of the internal thread (`7H`, `2G`, `2B`, `6H`).
    pub internal_class: Option<String>,
}

impl Thread {
    /// A single-start right-hand thread without classes.
    pub fn new(_family: Family, _nominal: Length, _nominal_written: Unit, _pitch: Pitch) -> Self {
        todo!()
    }
    /// Lead: pitch × starts.
    pub fn lead(&self) -> Length {
        self.pitch.length * f64::from(self.starts)
    }
    /// Lead angle at diameter `at`: tan φ = Ph / (π d) (ISO 5408:2009, 4.10).
    pub fn lead_angle(&self, at: Length) -> Angle {
        Angle::atan(self.lead() / (at * std::f64::consts::PI))
    }
    /// Whether the family's standard lists this diameter with this pitch.
    pub fn in_series(&self) -> bool {
        todo!()
    }
}

impl fmt::Display for Thread {
    /// As the family's standard writes it.
    fn fmt(&self, _f: &mut fmt::Formatter<'_>) -> fmt::Result {
        todo!()
    }
}

/// What was understood of a designation before it stopped making sense.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignationError {
    /// The text as typed.
    pub text: String,
    /// Byte offset of the place.
    pub at: usize,
    /// What was understood so far, in words; empty if nothing was.
    pub understood: String,
    /// What would be accepted there, with the nearest accepted designation where one is near.
    pub expected: String,
}

impl fmt::Display for DesignationError {
    fn fmt(&self, _f: &mut fmt::Formatter<'_>) -> fmt::Result {
        todo!()
    }
}

impl std::error::Error for DesignationError {}

impl std::str::FromStr for Thread {
    type Err = DesignationError;
    /// Any usual way of writing: `Tr 22x5`, `TR22×5 LH-7H`, `Tr 40x14 P7`, `7/8-5 Acme`, `7/8-5 ACME-2G-LH`,
    /// `M10`, `M10x1.25-6g`, `1/4-20 UNC-2A`, `#10-32 UNF`, `1/2 BSW`, `1/2-12 BSW LH`, `1-5 square`, `Sq 25x5`.
    fn from_str(_text: &str) -> Result<Self, Self::Err> {
        todo!()
    }
}
