//! Limits of size by tolerance class, each with its origin.

use crate::{Length, Source, Thread};
use std::fmt;

/// Which of the two mating threads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Element {
    /// Screw.
    External,
    /// Nut.
    Internal,
}

/// One diameter's limits. A side that the standard leaves open is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Largest permitted.
    pub max: Option<Length>,
    /// Smallest permitted.
    pub min: Option<Length>,
    /// Where the figures come from.
    pub source: Source,
}

/// Limits of one element in one class.
#[derive(Clone, Debug, PartialEq)]
pub struct ElementLimits {
    /// Which element.
    pub element: Element,
    /// Class used, as its standard writes it.
    pub class: String,
    /// Major diameter.
    pub major: Range,
    /// Pitch diameter.
    pub pitch: Range,
    /// Minor diameter.
    pub minor: Range,
}

/// Limits of a thread: of both elements, unless the designation names the class of one only.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// The external thread's.
    pub external: Option<ElementLimits>,
    /// The internal thread's.
    pub internal: Option<ElementLimits>,
    /// Warnings that travel with the result: sizes by formula outside the standard's series, a use that the
    /// standard excludes.
    pub warnings: Vec<String>,
}

/// Why there are no limits.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitsError {
    /// What was asked.
    pub asked: String,
    /// What would be accepted.
    pub expected: String,
}

impl fmt::Display for LimitsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "no limits for {}: expected {}", self.asked, self.expected)
    }
}

impl std::error::Error for LimitsError {}

/// Limits of `thread` in the classes that it names, or else in its family's default classes. Off-series sizes
/// are computed with the standard's formulas and warned of.
///
/// # Errors
/// Where a class is not one of the family's.
pub fn limits(thread: &Thread) -> Result<Limits, LimitsError> {
    thread.family.form().limits(thread)
}
