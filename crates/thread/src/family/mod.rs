//! Thread families. Each is a small module over its tables; [`Form`] is what all of them can answer.

mod acme;

mod iso_metric;
mod series;
mod square;
mod tolerance;

mod trapezoidal;
mod unified;
mod whitworth;

use crate::designation::DesignationError;
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::{Basic, Outline};
use crate::{Angle, Length, Pitch, Source, Thread, Unit};
use std::sync::LazyLock;

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

/// A listed size together with the family that lists it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatalogueRow {
    /// The family.
    pub family: Family,
    /// Its size.
    pub row: SeriesRow,
}

impl CatalogueRow {
    /// The single-start right-hand thread of this size.
    pub fn thread(&self) -> Thread {
        Thread::new(self.family, self.row.nominal, self.row.nominal_written, self.row.pitch)
    }
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
    fn outline(&self, d: Length, p: Length, element: Element) -> Outline {
        self.basic(d, p).outline(element)
    }
    /// Classes offered for `element`, the default first; empty where the family has none.
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
        match self {
            Self::MetricTrapezoidal => &trapezoidal::Trapezoidal,
            Self::Acme => &acme::Acme,
            Self::MetricIso => &iso_metric::IsoMetric,
            Self::Unified => &unified::Unified,
            Self::Whitworth => &whitworth::Whitworth,
            Self::Square => &square::Square,
        }
    }

    /// The row of this family's series with this diameter and pitch, if it is listed.
    pub fn listed(self, d: Length, p: Length) -> Option<&'static SeriesRow> {
        self.form().series().iter().find(|row| same(row.nominal, d) && same(row.pitch.length, p))
    }

    /// The `count` listed sizes of this family nearest to a diameter and pitch, nearest first, that size itself
    /// left out.
    ///
    /// Distance is by ratio, with the diameter weighing four times the pitch: a near miss is above all another
    /// pitch on the same diameter (Tr 16x3 is near Tr 16x4 and Tr 16x2). The weight is a choice of this project.
    pub fn nearest_listed(self, d: Length, p: Length, count: usize) -> Vec<&'static SeriesRow> {
        const DIAMETER_WEIGHT: f64 = 4.0;
        let distance = |row: &SeriesRow| {
            f64::hypot(DIAMETER_WEIGHT * (row.nominal / d).ln(), (row.pitch.length / p).ln())
        };
        let mut rows: Vec<_> = self
            .form()
            .series()
            .iter()
            .filter(|row| !(same(row.nominal, d) && same(row.pitch.length, p)))
            .map(|row| (distance(row), row))
            .collect();
        rows.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        rows.into_iter().take(count).map(|(_, row)| row).collect()
    }
}

/// Every listed size of every family, in the order of [`Family::ALL`]. Built once.
pub fn catalogue() -> &'static [CatalogueRow] {
    static CATALOGUE: LazyLock<Vec<CatalogueRow>> = LazyLock::new(|| {
        Family::ALL
            .into_iter()
            .flat_map(|family| {
                family.form().series().iter().map(move |row| CatalogueRow { family, row: *row })
            })
            .collect()
    });
    &CATALOGUE
}

/// Equal as written sizes are: to a part in a million, far below any step between listed sizes.
fn same(a: Length, b: Length) -> bool {
    (a - b).abs() <= a.abs().max(b.abs()) * 1e-6
}
