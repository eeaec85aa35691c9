//! ISO metric trapezoidal thread, 30° (ISO 2901 to 2904, DIN 103).

use super::tolerance::{
    DiameterRange, Microns, ToleranceTable, engagement_by_formula, printed, renard40, rounded, weaker,
    with_deviation,
};
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::print::{MetricStarts, classes_by_letter, left, metric_size};
use crate::designation::read::{Class, Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Trapezoidal;

static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| {
    series::metric("trapezoidal-series.csv", include_str!("../../data/trapezoidal-series.csv"))
});

const DIALECT: Dialect = Dialect {
    family: Family::MetricTrapezoidal,
    words: &[("tr", None), ("trapezoidal", None), ("trapezoid", None), ("trapez", None), ("trap", None)],
    order: Order::Metric,
    class,
    class_phrase: "a class 7e, 8e, 8c, 9c (screw) or 7H, 8H, 9H (nut)",
    implied_series: None,
    number_sizes: false,
};

/// Screw and nut have no position in common, so the case of the letter does not matter.
fn class(text: &str) -> Option<Class> {
    let symbol = text.to_lowercase();
    if let Some(known) = EXTERNAL.iter().find(|known| **known == symbol) {
        return Some(Class::External((*known).to_owned()));
    }
    INTERNAL
        .iter()
        .find(|known| known.to_lowercase() == symbol)
        .map(|known| Class::Internal((*known).to_owned()))
}

/// The recommended classes of ISO 2903 first; 10c is that of GOST 24739-81 for several starts.
const EXTERNAL: [&str; 6] = ["7e", "8e", "8c", "9c", "10c", "7c"];
const INTERNAL: [&str; 3] = ["7H", "8H", "9H"];

/// Crest clearance ac (ISO 2901:1977, table; DIN 103-1): by steps of pitch. Pitches between those of the
/// standard take the value of the nearer one; below its finest, 1.5 mm, ac stays a tenth of the pitch as it is there,
/// since 0.15 mm would leave no root (a choice of this project).
pub(super) fn clearance(p: Length) -> Length {
    match p.to_mm() {
        mm if mm < 1.5 => p * 0.1,
        mm if mm < 1.75 => Length::mm(0.15),
        mm if mm < 5.5 => Length::mm(0.25),
        mm if mm < 13.0 => Length::mm(0.5),
        _ => Length::mm(1.0),
    }
}

/// ISO 2903:2016, clause 1, and DIN 103-3:1977, scope.
const FEED_SCREWS: &str = "ISO 2903 leaves out lead and feed screws whose axial play matters: a nut to these limits \
                           may run with more play than the machine can bear.";

static TOLERANCES: LazyLock<ToleranceTable> = LazyLock::new(|| {
    ToleranceTable::read("trapezoidal-tolerances.csv", include_str!("../../data/trapezoidal-tolerances.csv"))
});

const FORMULA: Source = Source::memory("ISO 2903:1977", "formula behind the tables");

/// Upper deviation of d2 at a position. The rule -(50 + 11 P) of position e fits the table to P 7 only and c has no
/// rule, so pitches between tabled ones are interpolated; outside the table the end value goes with the root of P.
fn deviation(position: &'static str, p: Length) -> Microns {
    let tabled = |pitch: f64| TOLERANCES.find("es", position, None, Length::mm(pitch));
    TOLERANCES.find("es", position, None, p).or_else(|| TOLERANCES.between("es", position, p)).unwrap_or_else(
        || {
            let end = if p < Length::mm(1.5) { 1.5 } else { 44.0 };
            let value = tabled(end).map_or(0.0, |(um, _)| um);
            let source = Source::choice(
                "beyond the tabled pitches: the last deviation times the root of the pitch ratio",
            );
            ((value * (p.to_mm() / end).sqrt()).round(), source)
        },
    )
}

/// Td (grade 4), major diameter of the screw: 0.63 (180 P^2/3 − 3.15 P^-1/2) µm, to R40.
fn major_tolerance(p: Length) -> Microns {
    TOLERANCES.find("Td", "4", None, p).unwrap_or_else(|| (major_formula(p), FORMULA))
}

fn major_formula(p: Length) -> f64 {
    let mm = p.to_mm();
    renard40(0.63 * (180.0 * mm.powf(2.0 / 3.0) - 3.15 / mm.sqrt()))
}

/// TD1 (grade 4), minor diameter of the nut: 0.63 · 230 P^0.7 µm, to R40.
fn minor_tolerance(p: Length) -> Microns {
    TOLERANCES.find("TD1", "4", None, p).unwrap_or_else(|| (minor_formula(p), FORMULA))
}

fn minor_formula(p: Length) -> f64 {
    renard40(0.63 * 230.0 * p.to_mm().powf(0.7))
}

/// Td2 or TD2 of a grade, pitch diameter: Td2(6) = 90 P^0.4 dm^0.1 µm to R40, times the factor of the grade, to R40.
fn pitch_tolerance(element: Element, grade: &'static str, d: Length, p: Length) -> Microns {
    let range = DiameterRange::of(d);
    let quantity = if element == Element::External { "Td2" } else { "TD2" };
    let tabled = TOLERANCES.find(quantity, grade, Some(range), p);
    tabled.unwrap_or_else(|| (pitch_formula(element, grade, range, p), FORMULA))
}

fn pitch_formula(element: Element, grade: &str, range: DiameterRange, p: Length) -> f64 {
    let factor = match (element, grade) {
        (Element::External, "7") => 1.25,
        (Element::External, "8") => 1.6,
        (Element::External, "9") => 2.0,
        (Element::External, _) => 2.5,
        (Element::Internal, "7") => 1.7,
        (Element::Internal, "8") => 2.12,
        (Element::Internal, _) => 2.65,
    };
    renard40(factor * renard40(90.0 * p.to_mm().powf(0.4) * range.mean().powf(0.1)))
}

const SEVERAL_STARTS: &str = "10c";

/// Factor on Td2 and TD2 for several starts (ISO 2903:1977, from memory).
fn starts_factor(starts: u32) -> f64 {
    match starts {
        0 | 1 => 1.0,
        2 => 1.12,
        3 => 1.25,
        4 => 1.4,
        _ => 1.6,
    }
}

/// A pitch diameter tolerance for several starts. That of 10c is a standard's for several starts and does not depend on
/// their number.
fn for_starts((um, source): Microns, class: &str, starts: u32) -> Microns {
    if starts <= 1 || class == SEVERAL_STARTS {
        return (um, source);
    }
    (
        rounded(um * starts_factor(starts)),
        Source::memory("ISO 2903:1977", "pitch diameter tolerance for several starts"),
    )
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let (grade, position) = match class {
        "7e" => ("7", "e"),
        "8e" => ("8", "e"),
        "7c" => ("7", "c"),
        "8c" => ("8", "c"),
        "9c" => ("9", "c"),
        "10c" => ("10", "c"),
        _ => return Err(limits::unknown_class(thread, Element::External, class)),
    };
    let (d, p) = (thread.nominal, thread.pitch.length);
    let basic = Trapezoidal.basic(d, p);
    let (es, es_source) = deviation(position, p);
    let (td, td_source) = major_tolerance(p);
    let (td2, td2_source) = for_starts(pitch_tolerance(Element::External, grade, d, p), class, thread.starts);
    // Td3 = 1.25 Td2 + |es|, halves away from zero as GOST 24739-81 appendix 2 has them.
    let td3 = rounded(1.25 * td2 + es.abs());
    let both = |basic: Length, upper: f64, lower: f64, source| {
        Range::both(with_deviation(basic, upper), with_deviation(basic, lower), source)
            .rounded(Rounding::Micrometre)
    };
    let pitch_source = weaker(es_source, td2_source);
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: both(d, 0.0, -td, td_source),
        pitch: both(basic.d2, es, es - td2, pitch_source),
        minor: both(basic.d3, 0.0, -td3, pitch_source),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let grade = match class {
        "7H" => "7",
        "8H" => "8",
        "9H" => "9",
        _ => return Err(limits::unknown_class(thread, Element::Internal, class)),
    };
    let (d, p) = (thread.nominal, thread.pitch.length);
    let basic = Trapezoidal.basic(d, p);
    let (td1, td1_source) = minor_tolerance(p);
    let (td2, td2_source) = for_starts(pitch_tolerance(Element::Internal, grade, d, p), class, thread.starts);
    let above = |basic: Length, tolerance: f64, source| {
        Range::both(with_deviation(basic, tolerance), with_deviation(basic, 0.0), source)
            .rounded(Rounding::Micrometre)
    };
    let major = Range::at_least(
        with_deviation(basic.d4_internal, 0.0),
        Source::table("ISO 2904:1977", "D4; no upper limit"),
    );
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: major.rounded(Rounding::Micrometre),
        pitch: above(basic.d2, td2, td2_source),
        minor: above(basic.d1_internal, td1, td1_source),
    })
}

/// Printed for pitches from 1.5 mm to 20 mm (PN-ISO 2904, see `tests/fixtures/trapezoidal-profile.csv`).
const RADII: Source =
    Source::formula("ISO 2901:1977", "R1 max = ac/2 at the screw's crest, R2 max = ac at the roots");
const ENGAGEMENT: Source = Source::memory(
    "ISO 2903:1977",
    "normal length of engagement, 2.24 P d^0.2 to 6.7 P d^0.2; a longer one takes the next coarser class",
);

impl Form for Trapezoidal {
    fn key(&self) -> &'static str {
        "metric-trapezoidal"
    }
    fn name(&self) -> &'static str {
        "metric trapezoidal"
    }
    fn standard(&self) -> Source {
        Source::formula("ISO 2901:1977, 2902:1977, 2903:1977, 2904:1977", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(30.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H1 = 0.5 P, h3 = H4 = H1 + ac, d2 = d − 0.5 P, D1 = d − P, d3 = d − P − 2 ac, D4 = d + 2 ac; crest width
    /// 0.5 P − H1 tan 15°; R2 max = ac at both roots (ISO 2901:1977, clause 4; ISO 2904:1977).
    fn basic(&self, d: Length, p: Length) -> Basic {
        let flank = Angle::deg(15.0);
        let ac = clearance(p);
        let crest = p * (0.5 - 0.5 * flank.tan());
        let root = crest - ac * (2.0 * flank.tan());
        Basic {
            d,
            p,
            d2: d - p * 0.5,
            d1_internal: d - p,
            d3: d - p - ac * 2.0,
            d4_internal: d + ac * 2.0,
            flank_leading: flank,
            flank_trailing: flank,
            crest_width: crest,
            root_width: root,
            root_width_internal: root,
            crest_radius: Length::ZERO,
            crest_radius_internal: Length::ZERO,
            root_radius: ac,
            root_radius_internal: ac,
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            // 10c stands apart: with several starts it has another rule than the classes of ISO 2903.
            Element::External => &[&["7e", "8e"], &["7c", "8c", "9c"], &[SEVERAL_STARTS]],
            Element::Internal => &[&["7H", "8H", "9H"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let ac = clearance(thread.pitch.length);
        let radius = |what, most| Extra {
            element: Some(element),
            what,
            range: Range::at_most(printed(most, Unit::Mm), RADII).rounded(Rounding::Micrometre),
        };
        let root = radius(ExtraKind::RootRadius, ac);
        match element {
            Element::Internal => vec![root],
            Element::External => vec![
                root,
                radius(ExtraKind::CrestRadius, ac * 0.5),
                engagement_by_formula(thread.nominal, thread.pitch.length, ENGAGEMENT),
            ],
        }
    }
    /// ISO 2903:1977 by table, and by its formulas where the table has no value. H on D4, D2, D1; c or e on d2; d
    /// and d3 always start from h; no upper limit for D4.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::by_class(thread, external_limits, internal_limits)?;
        let classes: Vec<_> =
            [&limits.external, &limits.internal].into_iter().flatten().map(|e| e.class.clone()).collect();
        if thread.starts > 1 && classes.iter().any(|class| class != SEVERAL_STARTS) {
            limits.warnings.push(format!(
                "{} starts: the pitch diameter tolerance is {} times that of a single start, a factor given from \
                 memory and not found in print; makers of screws often do not apply it.",
                thread.starts,
                starts_factor(thread.starts)
            ));
        }
        for class in classes {
            match class.as_str() {
                "7c" => limits.warnings.push("Class 7c is not among those that ISO 2903 recommends.".to_owned()),
                SEVERAL_STARTS => limits.warnings.push(
                    "Class 10c is of GOST 24739-81, for several starts and whatever their number; ISO 2903 does not \
                     recommend it."
                        .to_owned(),
                ),
                _ => {}
            }
        }
        limits.warnings.push(FEED_SCREWS.to_owned());
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `Tr 22x5 LH-7H`, `Tr 40x14 P7` (ISO 2902:1977, clause 4).
    fn print(&self, thread: &Thread) -> String {
        let size = metric_size(thread, MetricStarts::LeadThenPitch);
        format!("Tr {size}{}{}", left(thread, " LH"), classes_by_letter(thread))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Table;

    /// Sizes off the table rest on the formulas, so these are held against every row of it. They need not agree
    /// everywhere: the table is the norm. The rows that differ are known one by one.
    #[test]
    fn formulas_agree_with_the_table_but_for_known_rows() {
        // Quantity, grade, upper end of the diameter range (0 where it plays no part), pitch, formula.
        const KNOWN: &[(&str, &str, f64, f64, f64)] = &[
            // Printed limits confirm the table's 300.
            ("Td", "4", 0.0, 4.0, 280.0),
            // Table 800, from memory: not settled.
            ("TD1", "4", 0.0, 12.0, 850.0),
            // GOST 24739-81 prints grade 10 as 1120, which settles the row for the table.
            ("Td2", "7", 90.0, 18.0, 530.0),
            ("Td2", "8", 90.0, 18.0, 670.0),
            ("Td2", "9", 90.0, 18.0, 850.0),
            ("TD2", "7", 90.0, 18.0, 710.0),
            ("TD2", "8", 90.0, 18.0, 900.0),
            ("TD2", "9", 90.0, 18.0, 1120.0),
            // Printed as 630.
            ("Td2", "10", 90.0, 5.0, 670.0),
            ("Td2", "10", 90.0, 18.0, 1060.0),
        ];
        let table = Table::read("t", include_str!("../../data/trapezoidal-tolerances.csv"));
        let mut differing = Vec::new();
        let mut agreeing = 0;
        for row in table.rows() {
            let (quantity, grade, p) = (row.text("quantity"), row.text("grade"), row.required("pitch"));
            let pitch = Length::mm(p);
            let range = DiameterRange::of(Length::mm(row.number("d_to").unwrap_or(100.0)));
            let formula = match quantity {
                "Td" => major_formula(pitch),
                "TD1" => minor_formula(pitch),
                "Td2" => pitch_formula(Element::External, grade, range, pitch),
                "TD2" => pitch_formula(Element::Internal, grade, range, pitch),
                _ => continue,
            };
            if formula == row.required("value_um") {
                agreeing += 1;
            } else {
                differing.push((quantity, grade, row.number("d_to").unwrap_or(0.0), p, formula));
            }
        }
        println!("formula and table: {agreeing} agree, {} differ", differing.len());
        assert_eq!(differing, KNOWN);
    }

    #[test]
    fn deviations_between_tabled_pitches_keep_their_order() {
        for position in ["c", "e"] {
            let at = |p: f64| deviation(position, Length::mm(p)).0;
            let steps: Vec<f64> = (4..=240).map(|quarter| at(f64::from(quarter) * 0.25)).collect();
            assert!(steps.windows(2).all(|pair| pair[1] <= pair[0]), "{position}: {steps:?}");
        }
    }
}
