//! How far a gauge can be trusted (`data/instrument_limits.csv`), and the guard band that follows.

use crate::job::Instrument;
use crate::table;
use flankwise_thread::{Length, Source};
use std::sync::LazyLock;

/// Guard band in standard uncertainties: one side, 95 % (ISO 14253-1:2017, default rule).
pub const GUARD_FACTOR: f64 = 1.65;
/// Origin of the decision rule.
pub const GUARD_SOURCE: Source = Source::memory("ISO 14253-1:2017", "default rule: 95 %, one side, 1.65 u");
/// Origin of `limit / √3`.
pub const GUM_SOURCE: Source = Source::memory("JCGM 100:2008 (GUM)", "4.3.7: rectangular distribution");

/// Standard uncertainty of a measuring wire's or ball's diameter: limits of ± 1 µm.
pub const WIRE_LIMIT: Length = Length::um(1.0);
/// Origin of [`WIRE_LIMIT`].
pub const WIRE_SOURCE: Source = Source::memory("wire and ball makers' sheets", "diameter to 1 µm");
/// Standard uncertainty of a flank angle, degrees, of a tool ground by hand to a template.
pub const FLANK_U_DEG: f64 = 0.25;
/// Origin of [`FLANK_U_DEG`].
pub const FLANK_SOURCE: Source = Source::choice("tool ground by hand and checked against a template");

/// What a reading is taken of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// From outside.
    Outside,
    /// Inside a bore or gap.
    Inside,
}

struct Limit {
    instrument: &'static str,
    up_to: Length,
    limit: Length,
    inside: Length,
    source: Source,
}

static LIMITS: LazyLock<Vec<Limit>> = LazyLock::new(|| {
    table::rows("instrument_limits.csv", include_str!("../../data/instrument_limits.csv"))
        .iter()
        .map(|row| Limit {
            instrument: row.text("instrument"),
            up_to: Length::mm(row.number("up_to_mm")),
            limit: Length::um(row.number("limit_um")),
            inside: Length::um(row.number("inside_um")),
            source: row.source("source"),
        })
        .collect()
});

/// Standard uncertainty of the key's row for `size`: the last row where the size is beyond all.
fn of(key: &str, size: Length, reach: Reach) -> Option<(Length, Source)> {
    let rows = || LIMITS.iter().filter(|l| l.instrument == key);
    let row = rows().find(|l| size <= l.up_to).or_else(|| rows().next_back())?;
    let inside = if reach == Reach::Inside { row.inside } else { Length::ZERO };
    Some(((row.limit + inside) / 3f64.sqrt(), row.source))
}

/// Standard uncertainty of one reading, and its origin.
pub fn reading(instrument: Instrument, size: Length, reach: Reach) -> (Length, Source) {
    let key = match instrument {
        Instrument::Calliper => "calliper",
        // Wires, pins and balls are read with a micrometer; what they add is reckoned apart.
        Instrument::Micrometer | Instrument::Wires | Instrument::Pins => "micrometer",
        Instrument::TelescopingGauge => "telescoping gauge",
        Instrument::Rule => "rule",
        Instrument::Protractor | Instrument::Photo | Instrument::Other => "other",
    };
    // A micrometer goes into no thread: a gap is carried out to it by a telescoping gauge.
    let key = if key == "micrometer" && reach == Reach::Inside { "telescoping gauge" } else { key };
    of(key, size, reach).unwrap_or((Length::um(50.0), Source::choice("unknown instrument")))
}

/// Standard uncertainty of play read with a 0.01 mm dial indicator.
pub fn indicator() -> (Length, Source) {
    of("indicator", Length::ZERO, Reach::Outside)
        .unwrap_or((Length::um(10.0), Source::choice("unknown instrument")))
}

/// Square root of the sum of squares.
pub fn combine(parts: &[Length]) -> Length {
    Length::mm(parts.iter().map(|u| u.to_mm() * u.to_mm()).sum::<f64>().sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Calliper with limits of 0.03 mm: u = 0.01732 mm. Micrometer 0 to 25 with limits of 4 µm: 2.309 µm.
    /// (Derived: DIN 862 and 863 limits by the GUM's rectangular rule.)
    #[test]
    fn limits_become_standard_uncertainties() {
        let u = |i, mm| reading(i, Length::mm(mm), Reach::Outside).0.to_mm();
        assert!((u(Instrument::Calliper, 300.0) - 0.017_32).abs() < 1e-5);
        assert!((u(Instrument::Micrometer, 20.0) - 0.002_309).abs() < 1e-6);
        assert!((u(Instrument::Calliper, 20.0) - 0.02 / 3f64.sqrt()).abs() < 1e-9);
        assert!(u(Instrument::Calliper, 5000.0) > 0.02);
    }

    #[test]
    fn inside_readings_are_worse() {
        for i in [Instrument::Calliper, Instrument::Micrometer] {
            let size = Length::mm(18.0);
            assert!(reading(i, size, Reach::Inside).0 > reading(i, size, Reach::Outside).0);
        }
    }

    #[test]
    fn every_row_is_read() {
        assert!(LIMITS.iter().all(|l| l.limit > Length::ZERO && l.up_to > Length::ZERO));
        assert!(indicator().0 < Length::um(10.0));
    }
}
