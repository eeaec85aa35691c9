//! Standard uncertainty of a reading, from instrument and method (GUM, JCGM 100:2008).
//!
//! ```text
//! u² = (a/√3)² + (r/2√3)² + n s² + (k v)² + (c w)²        then u/N for a span of N pitches
//! ```
//!
//! | term | meaning | GUM |
//! | --- | --- | --- |
//! | a | limit of permissible error of the instrument, taken as rectangular | 4.3.7 |
//! | r | step the reading was read to | F.2.2.1 |
//! | s | setting by feel, of each of n ends (2 for a pitch or lead) | 4.3.1 |
//! | | of which the person's own way of feeling, the same each time, is [`HABIT`] of the variance | |
//! | k v | share of the value, for pictures | 5.1.2 |
//! | c w | what the size of wires adds | 5.1.3 |
//!
//! The clauses are cited from memory. The figures are in `data/instruments.csv` and `data/settings.csv`.

use super::about::About;
use crate::job::{Feature, Instrument, Quantity, Reading};
use flankwise_thread::source::Standing;
use flankwise_thread::table::Table;
use flankwise_thread::{Angle, Element, Length, Source, Unit, quantity};
use std::sync::LazyLock;

/// The two kinds of part of an uncertainty, and where they come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Parts {
    /// The same in every repetition: limit of error, scale, size of wires. In mm, or in degrees.
    pub(super) shared: f64,
    /// New in every repetition: step and setting.
    pub(super) own: f64,
    pub(super) source: Source,
}

impl Parts {
    /// Uncertainty of one of `n` repetitions such that, taken as independent, they say together what their mean
    /// says: u² = n·shared² + own², so that u²/n = shared² + own²/n.
    pub(super) fn among(self, n: usize) -> f64 {
        (n as f64 * self.shared.powi(2) + self.own.powi(2)).sqrt()
    }

    /// Those of a mean of so many readings: what is new in each shrinks, what they share does not.
    fn mean_of(self, reading: &Reading) -> Self {
        Self { own: self.own / f64::from(reading.mean_of.unwrap_or(1).max(1)).sqrt(), ..self }
    }
}

/// Mean of values weighted by their uncertainty, with its own; none of no values.
pub fn weighted(values: &[(f64, f64)]) -> Option<(f64, f64)> {
    let weight: f64 = values.iter().map(|(_, u)| u.powi(-2)).sum();
    (!values.is_empty())
        .then(|| (values.iter().map(|(v, u)| v * u.powi(-2)).sum::<f64>() / weight, weight.sqrt().recip()))
}

/// The source of a figure that the person gave.
pub(super) const GIVEN: Source =
    Source { document: "given with the reading", place: "uncertainty", standing: Standing::Derived };

/// A row of the table of instruments.
#[derive(PartialEq)]
pub(super) struct Limit {
    instrument: &'static str,
    to_mm: f64,
    pub(super) limit_um: f64,
    step_um: (f64, f64),
    pub(super) source: Source,
}

static LIMITS: LazyLock<Vec<Limit>> = LazyLock::new(|| {
    let table = Table::read("instruments.csv", include_str!("../../data/instruments.csv"));
    table
        .rows()
        .map(|row| Limit {
            instrument: row.text("instrument"),
            to_mm: row.required("to_mm"),
            limit_um: row.required("limit_um"),
            step_um: (row.required("step_min"), row.required("step_max")),
            source: row.source("source"),
        })
        .collect()
});

struct Setting {
    about: About,
    setting: f64,
    relative: f64,
    source: Source,
}

static SETTINGS: LazyLock<Vec<Setting>> = LazyLock::new(|| {
    let table = Table::read("settings.csv", include_str!("../../data/settings.csv"));
    table
        .rows()
        .map(|row| Setting {
            about: About::of(row),
            setting: row.required("setting"),
            relative: row.required("relative"),
            source: row.source("source"),
        })
        .collect()
});

fn setting(reading: &Reading) -> &'static Setting {
    SETTINGS
        .iter()
        .find(|s| s.about.suits(reading))
        .unwrap_or_else(|| panic!("settings.csv: its last row must suit everything"))
}

/// A calliper read finer than this is a digital, dial or 0.02 mm one.
const FINE_STEP_UM: f64 = 40.0;

fn limit(instrument: Instrument, value_mm: f64, step_um: Option<f64>) -> &'static Limit {
    let key = match instrument {
        Instrument::Calliper if step_um.is_some_and(|s| s < FINE_STEP_UM) => "calliper-fine",
        Instrument::Calliper => "calliper-coarse",
        Instrument::Micrometer | Instrument::Wires | Instrument::Pins | Instrument::TelescopingGauge => {
            "micrometer"
        }
        Instrument::Rule => "rule",
        Instrument::Photo => "photo",
        Instrument::PaperTrace => "calliper-coarse",
        Instrument::Cast => "calliper-fine",
        Instrument::Microscope => "microscope",
        Instrument::Indicator => "indicator",
        Instrument::Protractor | Instrument::Other => "other",
    };
    let mut rows = LIMITS.iter().filter(|l| l.instrument == key);
    let last = rows.clone().next_back();
    rows.find(|l| value_mm <= l.to_mm).or(last).unwrap_or_else(|| panic!("instruments.csv: no row for {key}"))
}

/// The limit taken for a reading of a length; none where the person gave an uncertainty, and for pictures.
pub(super) fn limit_of(reading: &Reading) -> Option<&'static Limit> {
    let Quantity::Length(length, unit) = reading.value else { return None };
    let step = length_step(&reading.typed, unit).map(Length::to_um);
    let row = limit(reading.instrument, length.abs().to_mm(), step);
    (reading.uncertainty.is_none() && row.limit_um > 0.0).then_some(row)
}

/// Inside and depth readings of a calliper: added to its limit, µm (DIN 862, from the extract named in
/// `data/instruments.csv`).
const INSIDE_UM: f64 = 20.0;

/// Limit of size of measuring wires and of pins, mm: ground wires of a set, and hardened pins or drill shanks
/// (chosen here).
const WIRE_LIMIT_MM: f64 = 0.002;
const PIN_LIMIT_MM: f64 = 0.005;

/// How much of a wire's error goes into what a reading over wires says of the pitch diameter: 1 + cosec α, up to
/// 4.99 for the 29° form (3 for 60°); all wires of a set are taken to err alike.
const WIRE_FACTOR: f64 = 5.0;

/// Share of the variance of setting by feel that is the person's own way with the instrument, and so the same in every
/// repetition. Chosen here: half.
const HABIT: f64 = 0.5;

/// The parts of a reading's uncertainty; for a span of several pitches, those of one pitch.
pub(super) fn parts(reading: &Reading) -> Parts {
    match reading.value {
        Quantity::Length(length, unit) => length_parts(reading, length, unit),
        Quantity::Angle(_) => angle_parts(reading),
    }
}

fn length_parts(reading: &Reading, length: Length, unit: Unit) -> Parts {
    let value_mm = length.abs().to_mm();
    let step = length_step(&reading.typed, unit).map(Length::to_um);
    let limit = limit(reading.instrument, value_mm, step);
    let setting = setting(reading);
    let along = matches!(reading.feature, Feature::Pitch | Feature::Lead);
    let inside = reading.instrument == Instrument::Calliper
        && (reading.part == Element::Internal && !along || reading.feature == Feature::ThreadDepth);
    let limit_um = limit.limit_um + if inside { INSIDE_UM } else { 0.0 };
    // A step that can't be told, or is coarser than the instrument's, counts as its coarsest.
    let (finest, coarsest) = limit.step_um;
    let step_um = step.unwrap_or(coarsest).clamp(finest, coarsest);
    let ends: f64 = if along { 2.0 } else { 1.0 };
    let wires = match (reading.feature, reading.instrument) {
        (Feature::OverWires, Instrument::Pins) => WIRE_FACTOR * PIN_LIMIT_MM,
        (Feature::OverWires, _) => WIRE_FACTOR * WIRE_LIMIT_MM,
        _ => 0.0,
    };
    let feel_mm = ends.sqrt() * setting.setting / 1000.0;
    let shared_mm = [
        limit_um / 1000.0 / 3f64.sqrt(),
        setting.relative * value_mm,
        wires / 3f64.sqrt(),
        HABIT.sqrt() * feel_mm,
    ];
    let own_mm = [step_um / 1000.0 / 12f64.sqrt(), (1.0 - HABIT).sqrt() * feel_mm];
    let pitches = f64::from(reading.count.unwrap_or(1));
    Parts {
        shared: root_sum_square(&shared_mm) / pitches,
        own: root_sum_square(&own_mm) / pitches,
        source: setting.source,
    }
    .mean_of(reading)
}

/// Standard uncertainty of one reading of a length, as if it stood alone, and where it comes from.
pub fn of_reading(reading: &Reading) -> (Length, Source) {
    let parts = parts(reading);
    (Length::mm(parts.among(1)), parts.source)
}

/// What every reading of this kind with this instrument has in common, wherever it is taken, and what is new in each:
/// mm or degrees, for a span those of one pitch. An uncertainty that the person gave is divided as the instrument's is.
pub(crate) fn common_and_own(reading: &Reading) -> (f64, f64) {
    let parts = parts(reading);
    let given = reading.uncertainty.map(|u| match u {
        Quantity::Length(u, _) => u.to_mm() / f64::from(reading.count.unwrap_or(1)),
        Quantity::Angle(u) => u.to_deg(),
    });
    let scale = given.map_or(1.0, |given| given / parts.among(1).max(f64::MIN_POSITIVE));
    (parts.shared * scale, parts.own * scale)
}

/// The same as a plain number, for a length or an angle: mm or degrees.
pub(crate) fn alone(reading: &Reading) -> f64 {
    parts(reading).among(1)
}

/// Standard uncertainty of a plain cylinder from outside, where feel adds nothing: limit of error and step only.
pub fn of_cylinder(instrument: Instrument, size: Length, step: Length) -> (Length, Source) {
    let limit = limit(instrument, size.to_mm(), Some(step.to_um()));
    let step_um = step.to_um().clamp(limit.step_um.0, limit.step_um.1);
    let um = root_sum_square(&[limit.limit_um / 3f64.sqrt(), step_um / 12f64.sqrt()]);
    (Length::um(um), limit.source)
}

/// Limit of a protractor, degrees: the 5′ of its vernier (from memory).
const PROTRACTOR_LIMIT_DEG: f64 = 5.0 / 60.0;

fn angle_parts(reading: &Reading) -> Parts {
    let setting = setting(reading);
    let (limit, finest) = match reading.instrument {
        Instrument::Protractor => (PROTRACTOR_LIMIT_DEG, PROTRACTOR_LIMIT_DEG),
        _ => (0.0, 0.1),
    };
    let step = angle_step(&reading.typed).unwrap_or(1.0).clamp(finest, 1.0);
    Parts {
        shared: root_sum_square(&[limit / 3f64.sqrt(), HABIT.sqrt() * setting.setting]),
        own: root_sum_square(&[step / 12f64.sqrt(), (1.0 - HABIT).sqrt() * setting.setting]),
        source: setting.source,
    }
    .mean_of(reading)
}

fn root_sum_square(parts: &[f64]) -> f64 {
    parts.iter().map(|p| p * p).sum::<f64>().sqrt()
}

/// The step a length was read to: a one in place of its last digit, or of its fraction's numerator. None for
/// threads per inch and where it can't be told.
pub(super) fn length_step(typed: &str, bare: Unit) -> Option<Length> {
    let number_end = typed.rfind(|c: char| c.is_ascii_digit())? + 1;
    let (number, unit) = typed.split_at(number_end);
    let one = match number.split_once(['/', '⁄']) {
        Some((_, under)) => format!("1/{under}"),
        None => {
            let decimals = number.rsplit_once(['.', ',']).map_or(0, |(_, d)| d.len());
            if decimals == 0 { "1".to_owned() } else { format!("0.{}1", "0".repeat(decimals - 1)) }
        }
    };
    quantity::parse_length(&format!("{one}{unit}"), bare).ok().map(|(step, _)| step)
}

/// The step an angle was read to, degrees: seconds, minutes, or the last decimal.
fn angle_step(typed: &str) -> Option<f64> {
    if typed.contains(['"', '″', '”']) {
        return Some(1.0 / 3600.0);
    }
    if typed.contains(['\'', '′', '’']) {
        return Some(1.0 / 60.0);
    }
    let digits: String = typed.chars().filter(|c| c.is_ascii_digit() || ".,".contains(*c)).collect();
    let decimals = digits.rsplit_once(['.', ',']).map_or(0, |(_, d)| d.len());
    (!digits.is_empty()).then(|| 10f64.powi(-i32::try_from(decimals.min(9)).unwrap_or(9)))
}

/// An uncertainty in the kind of the value.
pub(super) fn as_quantity(like: Quantity, u: f64) -> Quantity {
    match like {
        Quantity::Length(_, unit) => Quantity::Length(Length::mm(u), unit),
        Quantity::Angle(_) => Quantity::Angle(Angle::deg(u)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Words;

    fn reading(instrument: Instrument, feature: Feature, typed: &str) -> Reading {
        let value = match feature {
            Feature::FlankAngle | Feature::IncludedAngle => {
                Quantity::Angle(quantity::parse_angle(typed).unwrap())
            }
            _ => {
                let (length, unit) = quantity::parse_pitch(typed, Unit::Mm).unwrap();
                Quantity::Length(length, unit)
            }
        };
        Reading::plain(Element::External, feature, value, typed, instrument)
    }

    fn u(reading: &Reading) -> f64 {
        parts(reading).among(1)
    }

    #[test]
    fn the_step_is_what_was_typed() {
        for (typed, mm) in [
            ("21.86 mm", Some(0.01)),
            ("21.9", Some(0.1)),
            ("22 mm", Some(1.0)),
            ("2.2 cm", Some(1.0)),
            ("0.746 in", Some(0.0254)),
            ("0,746 in", Some(0.0254)),
            ("5/8 in", Some(25.4 / 8.0)),
            ("1-1/64\"", Some(25.4 / 64.0)),
            ("21860 µm", Some(0.001)),
            ("10 tpi", None),
            ("⅝ in", None),
        ] {
            let step = length_step(typed, Unit::Mm).map(Length::to_mm);
            match (step, mm) {
                (Some(a), Some(b)) => assert!((a - b).abs() < 1e-12, "{typed}: {a}"),
                (a, b) => assert_eq!(a, b, "{typed}"),
            }
        }
        assert_eq!(angle_step("29 deg"), Some(1.0));
        assert_eq!(angle_step("14.5°"), Some(0.1));
        assert_eq!(angle_step("14°30'"), Some(1.0 / 60.0));
    }

    /// The worked example of the project's notes on uncertainty (derived there by the rules of the GUM): two
    /// settings of 0.05 mm and a calliper of 0.03 mm limit (0.0173 mm) over 10 pitches give 0.0073 mm. The step
    /// of 0.01 mm, left out there, adds less than the last digit.
    #[test]
    fn a_count_over_a_span_divides() {
        let mut count = reading(Instrument::Calliper, Feature::Pitch, "200.10 mm");
        count.count = Some(10);
        assert!((u(&count) - 0.0073).abs() < 0.000_05, "{}", u(&count));
        let twice = Reading { count: Some(20), ..count.clone() };
        assert!((u(&count) / u(&twice) - 2.0).abs() < 1e-12);
    }

    /// Hand-worked from the tables: fine calliper at 22 mm, a = 20 µm, r = 10 µm, s = 20 µm:
    /// u² = 11.547² + 2.887² + 20² = 541.67 µm², u = 23.27 µm.
    #[test]
    fn a_diameter_by_calliper() {
        let fine = reading(Instrument::Calliper, Feature::MajorDiameter, "21.86 mm");
        assert!((u(&fine) - 0.023_27).abs() < 0.000_01, "{}", u(&fine));
        // Coarse: a = 50, r = 50: 28.868² + 14.434² + 20² = 1441.7, u = 37.97 µm.
        let coarse = reading(Instrument::Calliper, Feature::MajorDiameter, "21.85 mm");
        assert!(u(&coarse) < 0.03, "two decimals are read as fine");
        let coarse = reading(Instrument::Calliper, Feature::MajorDiameter, "21.9 mm");
        // r = 100: 28.868² + 28.868² + 20² = 2066.7, u = 45.46 µm.
        assert!((u(&coarse) - 0.045_46).abs() < 0.000_01, "{}", u(&coarse));
    }

    #[test]
    fn better_instruments_say_more() {
        let of = |instrument, typed| u(&reading(instrument, Feature::MajorDiameter, typed));
        let micrometer = of(Instrument::Micrometer, "21.862 mm");
        let calliper = of(Instrument::Calliper, "21.86 mm");
        let other = of(Instrument::Other, "21.86 mm");
        let rule = of(Instrument::Rule, "22 mm");
        assert!(micrometer < calliper && calliper < other && other < rule);
        let inside = Reading {
            part: Element::Internal,
            ..reading(Instrument::Calliper, Feature::MinorDiameter, "17.02 mm")
        };
        let bore = Reading { instrument: Instrument::TelescopingGauge, ..inside.clone() };
        assert!(u(&bore) < u(&inside));
        let angle = u(&reading(Instrument::Protractor, Feature::IncludedAngle, "29.5 deg"));
        assert!(angle > 0.5 && angle < 1.0, "29 and 30 degrees are not told apart: {angle}");
    }

    #[test]
    fn repetitions_say_together_what_their_mean_says() {
        let p = parts(&reading(Instrument::Calliper, Feature::MajorDiameter, "21.86 mm"));
        let mean = |n: usize| p.among(n) / (n as f64).sqrt();
        assert!((mean(1) - p.among(1)).abs() < 1e-15);
        assert!(mean(4) < mean(1), "repeating helps");
        assert!(mean(1_000_000) > p.shared, "but never below the instrument's own error");
        assert!((mean(4).powi(2) - (p.shared.powi(2) + p.own.powi(2) / 4.0)).abs() < 1e-15);
    }

    /// Hand-worked from the tables as above: shared (11.547² + 20²/2)½ = 18.257 µm stays, own (2.887² + 20²/2)½ = 14.434 µm
    /// is divided by √9: (18.257² + 4.811²)½ = 18.881 µm.
    #[test]
    fn a_mean_keeps_what_its_readings_share() {
        let mean =
            Reading { mean_of: Some(9), ..reading(Instrument::Calliper, Feature::MajorDiameter, "21.86 mm") };
        assert!((u(&mean) - 0.018_881).abs() < 1e-6, "{}", u(&mean));
    }

    #[test]
    fn every_instrument_reads_every_feature() {
        for instrument in Instrument::WORDS.iter().filter_map(|w| Instrument::from_word(w)) {
            for feature in Feature::WORDS.iter().filter_map(|w| Feature::from_word(w)) {
                let typed = match feature {
                    Feature::FlankAngle | Feature::IncludedAngle => "15 deg",
                    _ => "5.00 mm",
                };
                let u = u(&reading(instrument, feature, typed));
                assert!(u.is_finite() && u > 0.0, "{instrument:?} {feature:?}");
            }
        }
    }
}
