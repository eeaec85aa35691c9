//! Acme thread, 29°, general purpose (classes G) and centralizing (classes C) (ASME B1.5).
//!
//! What of the centralizing classes is printed, and where: the rules of all diameters (Machinery's Handbook, 27th ed.,
//! p. 1837), the pitch diameter allowances (p. 1841), the crest allowances and tolerances of 1/4 to 3/4 in (p. 1842).
//! The tolerances of the pitch diameter, and so those of the screw's minor diameter, are from memory; each result says
//! so of itself.

use super::tolerance::{inch_range, places, weaker};
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range};
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
    class_phrase: "a class 2G, 3G, 4G (general purpose) or 2C, 3C, 4C (centralizing)",
    implied_series: None,
    number_sizes: false,
};

const CLASSES: [&str; 6] = ["2G", "3G", "4G", "2C", "3C", "4C"];

/// Classes that exist, of which no figure was found.
const KNOWN_ONLY: [&str; 2] = ["5C", "6C"];

fn class(text: &str) -> Option<Class> {
    let symbol = text.to_uppercase();
    let known = CLASSES.iter().chain(&KNOWN_ONLY).any(|class| *class == symbol);
    known.then_some(Class::Either(symbol))
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

/// Centralizing threads are guided by their major diameter, so that the nut's crest clears the screw's root.
const CENTRALIZING_PLAY: &str = "Centralizing Acme threads bear on the major diameter: screw and nut must be true to \
                                 each other along the whole engagement. They have end play as well.";

/// Constants of a class. Tolerance on the pitch diameter: `by_size` √D + `by_pitch` √P, inches (from memory; the
/// tables of the standard agree, see `tests/published`).
pub(super) struct Grade {
    class: &'static str,
    /// Column of the allowance table.
    column: &'static str,
    /// Allowance = this times √D, where the table has no row.
    allowance: f64,
    by_size: f64,
    by_pitch: f64,
    /// Centralizing classes: tolerance of the screw's and of the nut's major diameter, times √D, where table 12 has no
    /// row, and its columns.
    centralizing: Option<Centralizing>,
}

struct Centralizing {
    external: f64,
    internal: f64,
    columns: [&'static str; 2],
}

const fn grade_of(class: &'static str, centralizing: Option<Centralizing>) -> Grade {
    let (column, allowance, by_size, by_pitch) = match class.as_bytes()[0] {
        b'2' => ("class_2", 0.008, 0.006, 0.030),
        b'3' => ("class_3", 0.006, 0.0028, 0.014),
        _ => ("class_4", 0.004, 0.002, 0.010),
    };
    Grade { class, column, allowance, by_size, by_pitch, centralizing }
}

const fn centralizing(external: f64, internal: f64, columns: [&'static str; 2]) -> Option<Centralizing> {
    Some(Centralizing { external, internal, columns })
}

const GRADES: [Grade; 6] = [
    grade_of("2G", None),
    grade_of("3G", None),
    grade_of("4G", None),
    grade_of("2C", centralizing(0.0035, 0.0035, ["ext_2C", "int_2C"])),
    grade_of("3C", centralizing(0.0015, 0.0035, ["ext_3C", "int_3C"])),
    grade_of("4C", centralizing(0.0010, 0.0020, ["ext_4C", "int_4C"])),
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

/// Figures of the crests in a centralizing class, inches, with their origin.
struct Crests {
    /// What the nut's major diameter stands above the nominal.
    major_allowance: f64,
    /// What the nut's minor diameter stands above the basic one.
    minor_allowance: f64,
    /// Tolerance of the nut's minor diameter.
    minor_tolerance: f64,
    /// Tolerance of the major diameter: screw, nut.
    major_tolerance: [f64; 2],
    source: Source,
}

/// Table 12 where it has the size, else the formulas that give all 63 of its legible values.
fn crests(of: &Centralizing, d: f64, p: f64) -> Crests {
    static TABLE: LazyLock<Table> = LazyLock::new(|| {
        Table::read("acme-centralizing.csv", include_str!("../../data/acme-centralizing.csv"))
    });
    let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let row =
        TABLE.rows().find(|row| close(row.required("nominal"), d) && close(row.required("tpi") * p, 1.0));
    match row {
        Some(row) => Crests {
            major_allowance: row.required("int_major_allowance"),
            minor_allowance: row.required("int_minor_allowance"),
            minor_tolerance: row.required("int_minor_tol"),
            major_tolerance: of.columns.map(|column| row.required(column)),
            source: row.source("source"),
        },
        None => Crests {
            major_allowance: places(0.0010 * d.sqrt()),
            minor_allowance: places(0.1 * p),
            minor_tolerance: places(crest_tolerance(p)),
            major_tolerance: [of.external, of.internal].map(|factor| places(factor * d.sqrt())),
            source: Source::memory(
                "ASME B1.5-1997",
                "recalled; equal to the 63 legible values of its table 12 (Machinery's Handbook, 27th ed., p. 1842)",
            ),
        },
    }
}

/// The largest size is taken in whole ten-thousandths and the tolerance subtracted from that, as the printed limits
/// show. The basic sizes are the thread's own, so that Stub Acme is served too.
pub(super) fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let grade = grade(thread, Element::External, class)?;
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let basic = thread.basic();
    let (allowance, allowance_source) = allowance(grade, d);
    let tolerance = pitch_tolerance(grade, d, p);
    let pitch_max = places(basic.d2.to_inch() - allowance);
    let minor_max = places(basic.d3.to_inch());
    let major = match &grade.centralizing {
        None => inch_range(d, d - crest_tolerance(p), TOLERANCE),
        Some(of) => {
            let crests = crests(of, d, p);
            inch_range(d, d - crests.major_tolerance[0], crests.source)
        }
    };
    Ok(ElementLimits {
        element: Element::External,
        class: grade.class.to_owned(),
        major,
        pitch: inch_range(pitch_max, pitch_max - tolerance, weaker(allowance_source, TOLERANCE)),
        minor: inch_range(minor_max, minor_max - 1.5 * tolerance, TOLERANCE),
    })
}

pub(super) fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let grade = grade(thread, Element::Internal, class)?;
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let basic = thread.basic();
    let clearance = clearance(thread.pitch.length).to_inch();
    let (pitch_min, minor_min) = (places(basic.d2.to_inch()), basic.d1_internal.to_inch());
    let (major, minor) = match &grade.centralizing {
        None => (
            inch_range(d + 2.0 * clearance, d + clearance, TOLERANCE),
            inch_range(minor_min + crest_tolerance(p), minor_min, TOLERANCE),
        ),
        Some(of) => {
            let crests = crests(of, d, p);
            let (major, minor) = (d + crests.major_allowance, places(minor_min) + crests.minor_allowance);
            (
                inch_range(major + crests.major_tolerance[1], major, crests.source),
                inch_range(minor + crests.minor_tolerance, minor, crests.source),
            )
        }
    };
    Ok(ElementLimits {
        element: Element::Internal,
        class: grade.class.to_owned(),
        major,
        pitch: inch_range(pitch_min + pitch_tolerance(grade, d, p), pitch_min, TOLERANCE),
        minor,
    })
}

fn grade(thread: &Thread, element: Element, class: &str) -> Result<&'static Grade, LimitsError> {
    let offered = thread.family.form().classes(element);
    let grade = GRADES.iter().find(|grade| grade.class == class && offered.contains(&grade.class));
    grade.ok_or_else(|| {
        let error = limits::unknown_class(thread, element, class);
        if !KNOWN_ONLY.contains(&class) {
            return error;
        }
        let expected = format!(
            "{}; class {class} exists, but is not for new designs, and no figures of it were found",
            error.expected
        );
        LimitsError { expected, ..error }
    })
}

/// A warning for each kind of class that the limits are of.
pub(super) fn play(limits: &Limits) -> Vec<String> {
    let centralizing =
        |side: &Option<ElementLimits>| side.as_ref().is_some_and(|side| side.class.ends_with('C'));
    let general = |side: &Option<ElementLimits>| side.as_ref().is_some_and(|side| side.class.ends_with('G'));
    let sides = [&limits.external, &limits.internal];
    let mut play = Vec::new();
    if sides.into_iter().any(general) {
        play.push(END_PLAY.to_owned());
    }
    if sides.into_iter().any(centralizing) {
        play.push(CENTRALIZING_PLAY.to_owned());
    }
    play
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
        let clearance = clearance(p);
        let external = [d, d - p * 0.5, d - p - clearance];
        Basic::straight(p, external, [d + clearance, d - p], [Angle::deg(14.5); 2])
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn ladders(&self, _element: Element) -> &'static [&'static [&'static str]] {
        &[&["4G", "3G", "2G"], &["4C", "3C", "2C"]]
    }
    fn classes(&self, _element: Element) -> &'static [&'static str] {
        &CLASSES
    }
    /// The chamfer of a centralizing screw's crests: P/20 to P/15 deep, at 45° (from memory).
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let centralizing = thread.external_class.as_deref().is_some_and(|class| class.ends_with('C'));
        if element == Element::Internal || !centralizing {
            return Vec::new();
        }
        let p = thread.pitch.length;
        let source =
            Source::memory("ASME B1.5-1997", "centralizing threads: chamfer of the screw's crest corners");
        let range = Range::both(p / 15.0, p / 20.0, source);
        vec![Extra { element: Some(element), what: ExtraKind::CrestChamfer, range }]
    }
    /// ASME B1.5-1997, sections 3 and 4: allowances and crests of the centralizing classes by table, the rest by
    /// formula.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        let play = play(&limits);
        limits.warnings.extend(play);
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
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
