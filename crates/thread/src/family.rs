//! Thread families. Each is a small module over its tables; [`Form`] is what all of them can answer.

use crate::designation::DesignationError;
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::{Basic, Outline};
use crate::{Angle, Length, Pitch, Source, Thread, Unit};

/// A family of threads with one form and one standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Family {
    /// ISO metric trapezoidal, 30° (ISO 2901–2904, DIN 103).
    MetricTrapezoidal,
    /// Acme general purpose, 29° (ASME B1.5).
    Acme,
    /// ISO metric, 60° (ISO 68-1, 261, 965).
    MetricIso,
    /// Unified inch, 60° (ASME B1.1).
    Unified,
    /// Whitworth, 55° (BS 84: BSW, BSF).
    Whitworth,
    /// Square, 0° (workshop proportions).
    Square,
}

/// One diameter and pitch that a series lists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeriesRow {
    /// Nominal diameter.
    pub nominal: Length,
    /// How the diameter is written.
    pub nominal_written: Unit,
    /// Pitch.
    pub pitch: Pitch,
    /// Series within the family: `coarse`, `UNC`, `BSF`, `preferred`.
    pub series: &'static str,
    /// The table that lists it.
    pub source: Source,
}

/// What every family can answer. Adding a family is one data file, one module that implements this, and one
/// line in [`Family`].
pub trait Form: Sync {
    /// Stable key, as in `--json`: `metric-trapezoidal`.
    fn key(&self) -> &'static str;
    /// Name in words.
    fn name(&self) -> &'static str;
    /// The standard, with edition.
    fn standard(&self) -> Source;
    /// Included angle of the flanks.
    fn included_angle(&self) -> Angle;
    /// All sizes the standard lists.
    fn series(&self) -> &'static [SeriesRow];
    /// Basic sizes for any diameter and pitch, listed or not.
    fn basic(&self, d: Length, p: Length) -> Basic;
    /// Outline of one pitch of `element` at basic sizes, fillets included.
    fn outline(&self, d: Length, p: Length, element: Element) -> Outline;
    /// Classes offered for `element`, the default first.
    fn classes(&self, element: Element) -> &'static [&'static str];
    /// Limits; see [`crate::limits::limits`].
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError>;
    /// Reads a designation of this family; `None` where the text does not look like one.
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>>;
    /// Writes a designation.
    fn print(&self, thread: &Thread) -> String;
}

impl Family {
    /// Every family.
    pub const ALL: [Self; 6] =
        [Self::MetricTrapezoidal, Self::Acme, Self::MetricIso, Self::Unified, Self::Whitworth, Self::Square];

    /// What this family can answer.
    pub fn form(self) -> &'static dyn Form {
        todo!()
    }
}
