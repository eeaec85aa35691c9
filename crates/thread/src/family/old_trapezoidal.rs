//! Metric trapezoidal thread before ISO, 30° (DIN 103 of 1924 to 1977).

use super::bounds::{Origins, bounds};
use super::historic::NO_TOLERANCES;
use super::tolerance::printed;
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{MetricStarts, left, metric_size};
use crate::designation::read::{Dialect, Order, names, read};
use crate::limits::{self, Limits, LimitsError, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct OldTrapezoidal;

static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| {
    series::metric("old-trapezoidal-series.csv", include_str!("../../data/old-trapezoidal-series.csv"))
});

const DIALECT: Dialect = Dialect::without_classes(
    Family::OldTrapezoidal,
    &[
        ("trapg", None),
        ("old", None),
        ("tr", None),
        ("trapezoidal", None),
        ("trapezoid", None),
        ("trapez", None),
        ("trap", None),
    ],
    Order::Metric,
);

/// Words that set the old form apart from the one of today.
const CLAIMS: [&str; 2] = ["trapg", "old"];

const PRINTED: Source = Source::table(
    "Machinery's Handbook, 27th ed., p. 1813",
    "trapezoidal metric thread DIN 103; that it is the form before ISO follows from its clearances",
);
const RECALLED: Source = Source::memory(
    "DIN 103, before 1977",
    "clearances a and b of pitches other than 3 mm to 8 mm; sizes not in the table seen",
);

/// The two clearances: `a` at the screw's crest (D4 = d + 2a) and root, `b` by which the nut's bore is larger.
struct Clearances {
    a: Length,
    b: Length,
}

/// By steps of pitch: printed for 3 mm to 8 mm, recalled above. Below the finest pitch that is printed both shrink with the
/// pitch, so that a root is left (a choice of this project).
fn clearances(p: Length) -> Clearances {
    let (a, b) = match p.to_mm() {
        mm if mm < 2.0 => (mm / 8.0, mm / 4.0),
        mm if mm < 4.5 => (0.25, 0.5),
        mm if mm < 13.0 => (0.25, 0.75),
        _ => (0.5, 1.5),
    };
    Clearances { a: Length::mm(a), b: Length::mm(b) }
}

fn source(p: Length) -> Source {
    if (Length::mm(2.99)..=Length::mm(8.01)).contains(&p) { PRINTED } else { RECALLED }
}

/// What sets a screw or nut of this form apart from the ISO thread of the same diameter and pitch.
fn against_iso(thread: &Thread) -> String {
    let old = thread.basic();
    let iso = Family::MetricTrapezoidal.form().basic(old.d, old.p);
    let bore = (old.d1_internal - iso.d1_internal).to_mm();
    let root = (old.d3 - iso.d3).to_mm();
    let depth = ((old.d - old.d1_internal) / 2.0).to_mm();
    let root = match root {
        r if r > 0.0005 => format!("the screw's root {r:.2} mm larger"),
        r if r < -0.0005 => format!("the screw's root {:.2} mm smaller", -r),
        _ => "the screw's root the same".to_owned(),
    };
    format!(
        "Diameter, pitch and pitch diameter are those of the ISO thread Tr {size}, but the nut's bore is {bore:.2} mm larger \
         (its flanks bear over {depth:.2} mm of depth) and {root}. Screw and nut of the two go together; measured by its \
         bore, an old nut looks worn.",
        size = metric_size(thread, MetricStarts::LeadThenPitch),
    )
}

impl Form for OldTrapezoidal {
    fn key(&self) -> &'static str {
        "old-trapezoidal"
    }
    fn name(&self) -> &'static str {
        "pre-ISO metric trapezoidal"
    }
    fn standard(&self) -> Source {
        PRINTED
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(30.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// d2 = d − 0.5 P; screw depth 0.5 P + a, nut depth 0.5 P + 2a − b, so that D4 = d + 2a, d3 = d − P − 2a and
    /// D1 = d − P − 2a + 2b (Machinery's Handbook, 27th ed., p. 1813). The table has no radii; none is drawn.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let Clearances { a, b } = clearances(p);
        let root = d - p - a * 2.0;
        Basic::straight(p, [d, d - p * 0.5, root], [d + a * 2.0, root + b * 2.0], [Angle::deg(15.0); 2])
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let basic = thread.basic();
        let origins = Origins::all(source(basic.p));
        let element =
            |element| bounds(&basic, element, &origins, Rounding::Micrometre, |size| printed(size, Unit::Mm));
        limits::without_classes(thread, element, [NO_TOLERANCES.to_owned(), against_iso(thread)])
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        CLAIMS.iter().any(|claim| names(text, claim)).then(|| read(text, &DIALECT)).flatten()
    }
    /// `Trapg 48x8` (as drawings before 1977 have it, from memory).
    fn print(&self, thread: &Thread) -> String {
        format!("Trapg {}{}", metric_size(thread, MetricStarts::LeadThenPitch), left(thread, " LH"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Machinery's Handbook, 27th ed., p. 1813, against ISO 2904: the nut's bore is larger by 0.5 mm to P 4 and by 1 mm from
    /// P 5; from P 6 the screw's root is larger by 0.5 mm.
    #[test]
    fn what_differs_from_iso() {
        for (designation, bore, root) in [
            ("Trapg 16x4", "0.50 mm larger", "root the same"),
            ("Trapg 22x5", "1.00 mm larger", "root the same"),
            ("Trapg 48x8", "1.00 mm larger", "root 0.50 mm larger"),
        ] {
            let warning = against_iso(&designation.parse().expect("a listed size"));
            assert!(warning.contains(bore) && warning.contains(root), "{warning}");
        }
    }
}
