//! General purpose Acme thread, 29° (ASME B1.5).

use super::tolerance::{inch_range, places, weaker};
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{self, Element, ElementLimits, Limits, LimitsError};
use crate::profile::Basic;
use crate::table::Table;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Acme;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("acme-series.csv", include_str!("../../data/acme-series.csv")));

const DIALECT: Dialect = Dialect {
    family: Family::Acme,
    words: &[("acme", None)],
    order: Order::Inch,
    class,
    class_phrase: "a class 2G, 3G or 4G",
    implied_series: None,
    number_sizes: false,
};

const CLASSES: [&str; 3] = ["2G", "3G", "4G"];

fn class(text: &str) -> Option<Class> {
    let symbol = text.to_uppercase();
    CLASSES.contains(&symbol.as_str()).then_some(Class::Either(symbol))
}

/// Clearance on diameter between crests and roots: 0.020 in to 10 threads per inch, 0.010 in for finer pitches
/// (ASME B1.5-1997; Machinery's Handbook, 27th ed., p. 1842). Pitches much finer than the standard's finest (16 threads
/// per inch) get a quarter of the pitch, so that a root is left (a choice of this project).
pub(super) fn clearance(p: Length) -> Length {
    if p >= Length::inch(0.1 - 1e-9) { Length::inch(0.020) } else { Length::inch(0.010).min(p * 0.25) }
}

/// ASME B1.5-1997 on the general purpose classes, in our words.
const END_PLAY: &str = "General purpose Acme threads have end play in every class; where it matters it must be taken \
                        up by other means.";

/// Constants of a class. Tolerance on the pitch diameter: `by_size` √D + `by_pitch` √P, inches (from memory; the
/// tables of the standard agree, see `tests/published.rs`).
struct Grade {
    class: &'static str,
    /// Column of the allowance table.
    column: &'static str,
    /// Allowance = this times √D, where the table has no row.
    allowance: f64,
    by_size: f64,
    by_pitch: f64,
}

const GRADES: [Grade; 3] = [
    Grade { class: "2G", column: "class_2", allowance: 0.008, by_size: 0.006, by_pitch: 0.030 },
    Grade { class: "3G", column: "class_3", allowance: 0.006, by_size: 0.0028, by_pitch: 0.014 },
    Grade { class: "4G", column: "class_4", allowance: 0.004, by_size: 0.002, by_pitch: 0.010 },
];

const TOLERANCE: Source =
    Source::memory("ASME B1.5-1997", "tolerance formulas of the general purpose classes");

static ALLOWANCES: LazyLock<Table> =
    LazyLock::new(|| Table::read("acme-allowances.csv", include_str!("../../data/acme-allowances.csv")));

/// Allowance on the pitch diameter of the screw, inches.
fn allowance(grade: &Grade, d: f64) -> (f64, Source) {
    let row = ALLOWANCES.rows().find(|row| row.required("over") < d && d <= row.required("to"));
    row.map_or(
        (grade.allowance * d.sqrt(), Source::memory("ASME B1.5-1997", "formula of the allowance")),
        |row| (row.required(grade.column), row.source("source")),
    )
}

/// Tolerance on the pitch diameter, inches.
fn pitch_tolerance(grade: &Grade, d: f64, p: f64) -> f64 {
    grade.by_size * d.sqrt() + grade.by_pitch * p.sqrt()
}

/// Tolerance on the screw's major and the nut's minor diameter: 0.05 P, at least 0.005 in.
fn crest_tolerance(p: f64) -> f64 {
    (0.05 * p).max(0.005)
}

/// The largest size is taken in whole ten-thousandths and the tolerance subtracted from that, as the printed limits
/// show.
fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let grade = grade(thread, Element::External, class)?;
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let basic = Acme.basic(thread.nominal, thread.pitch.length);
    let (allowance, allowance_source) = allowance(grade, d);
    let tolerance = pitch_tolerance(grade, d, p);
    let pitch_max = places(basic.d2.to_inch() - allowance);
    let minor_max = places(basic.d3.to_inch());
    Ok(ElementLimits {
        element: Element::External,
        class: grade.class.to_owned(),
        major: inch_range(d, d - crest_tolerance(p), TOLERANCE),
        pitch: inch_range(pitch_max, pitch_max - tolerance, weaker(allowance_source, TOLERANCE)),
        minor: inch_range(minor_max, minor_max - 1.5 * tolerance, TOLERANCE),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let grade = grade(thread, Element::Internal, class)?;
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let basic = Acme.basic(thread.nominal, thread.pitch.length);
    let clearance = clearance(thread.pitch.length).to_inch();
    let (pitch_min, minor_min) = (places(basic.d2.to_inch()), basic.d1_internal.to_inch());
    Ok(ElementLimits {
        element: Element::Internal,
        class: grade.class.to_owned(),
        major: inch_range(d + 2.0 * clearance, d + clearance, TOLERANCE),
        pitch: inch_range(pitch_min + pitch_tolerance(grade, d, p), pitch_min, TOLERANCE),
        minor: inch_range(minor_min + crest_tolerance(p), minor_min, TOLERANCE),
    })
}

fn grade(thread: &Thread, element: Element, class: &str) -> Result<&'static Grade, LimitsError> {
    GRADES.iter().find(|g| g.class == class).ok_or_else(|| limits::unknown_class(thread, element, class))
}

impl Form for Acme {
    fn key(&self) -> &'static str {
        "acme"
    }
    fn name(&self) -> &'static str {
        "Acme"
    }
    fn standard(&self) -> Source {
        Source::formula("ASME B1.5-1997 (R2014)", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(29.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// d2 = d − P/2, D1 = d − P, crest flat 0.3707 P; external root and internal root lie deeper by half the
    /// clearance (ASME B1.5-1997, table 2; Machinery's Handbook, 27th ed., p. 1831). The standard leaves the root
    /// corner to the tool; none is drawn.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let flank = Angle::deg(14.5);
        let clearance = clearance(p);
        let crest = p * (0.5 - 0.5 * flank.tan());
        let root = crest - clearance * flank.tan();
        Basic {
            d,
            p,
            d2: d - p * 0.5,
            d1_internal: d - p,
            d3: d - p - clearance,
            d4_internal: d + clearance,
            flank_leading: flank,
            flank_trailing: flank,
            crest_width: crest,
            root_width: root,
            root_width_internal: root,
            crest_radius: Length::ZERO,
            crest_radius_internal: Length::ZERO,
            root_radius: Length::ZERO,
            root_radius_internal: Length::ZERO,
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn ladders(&self, _element: Element) -> &'static [&'static [&'static str]] {
        &[&["4G", "3G", "2G"]]
    }
    fn classes(&self, _element: Element) -> &'static [&'static str] {
        &CLASSES
    }
    /// ASME B1.5-1997, sections 3 and 4: allowance by table, tolerances by formula.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::by_class(thread, external_limits, internal_limits)?;
        if thread.starts > 1 {
            limits.warnings.push(limits::SINGLE_START.to_owned());
        }
        limits.warnings.push(END_PLAY.to_owned());
        Ok(limits)
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        read(text, &DIALECT)
    }
    /// `1 3/4-4 ACME-2G-LH` (ASME B1.5-1997, 1.4); several starts in words, as the pitch stays readable so.
    fn print(&self, thread: &Thread) -> String {
        format!(
            "{} ACME{}{}{}",
            inch_size(thread),
            classes_by_word(thread, "-"),
            left(thread, "-LH"),
            starts_in_words(thread)
        )
    }
}
