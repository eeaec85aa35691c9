//! Lengths, angles and forces with unit-named doors in and out, and the parser for what people type.

mod kinds;
mod parse;

pub use kinds::{Angle, Force, Length, Unit};
pub use parse::{ParseError, parse_angle, parse_force, parse_length, parse_pitch};
