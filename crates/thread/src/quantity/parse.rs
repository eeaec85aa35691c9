//! The one parser for what people type.

use super::{Angle, Force, Length, Unit};
use std::fmt;

/// What could not be read, with the place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParseError {
    /// The text as typed.
    pub text: String,
    /// Byte offset of the first character that did not fit.
    pub at: usize,
    /// What would be accepted, as a phrase.
    pub expected: &'static str,
}

impl fmt::Display for ParseError {
    fn fmt(&self, _f: &mut fmt::Formatter<'_>) -> fmt::Result {
        todo!()
    }
}

impl std::error::Error for ParseError {}

/// Reads a length; a bare number is in `bare`. Returns the unit it was written in as well.
pub fn parse_length(_text: &str, _bare: Unit) -> Result<(Length, Unit), ParseError> {
    todo!()
}

/// Reads a pitch or lead: a length, or so many `tpi`.
pub fn parse_pitch(_text: &str, _bare: Unit) -> Result<(Length, Unit), ParseError> {
    todo!()
}

/// Reads an angle: `14.5°`, `14°30'`, `29 deg`; a bare number is in degrees.
pub fn parse_angle(_text: &str) -> Result<Angle, ParseError> {
    todo!()
}

/// Reads a force: `500 N`, `2 kN`, `100 lbf`, `50 kgf`; a bare number is in newtons.
pub fn parse_force(_text: &str) -> Result<Force, ParseError> {
    todo!()
}
