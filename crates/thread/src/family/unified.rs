//! Unified inch thread, 60° (ASME B1.1).
//!
//! The screw is drawn and limited with the rounded root UNR, whose minor diameter is the one that the standard's tables
//! give for UN and UNR screws alike. A UN screw may also have a flat root, up to the nut's basic minor diameter less
//! the allowance; UNR, written `1/4-20 UNRC-2A`, insists on the round one.

use super::tolerance::{inch_range, places, printed, rounded};
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_letter, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::designation::written::number_size;
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Unified;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("unified-series.csv", include_str!("../../data/unified-series.csv")));

const DIALECT: Dialect = Dialect {
    family: Family::Unified,
    words: &[
        ("unc", Some("UNC")),
        ("unf", Some("UNF")),
        ("unef", Some("UNEF")),
        ("unrc", Some("UNC")),
        ("unrf", Some("UNF")),
        ("unref", Some("UNEF")),
        ("unrs", None),
        ("sae", None),
        ("un", None),
        ("unr", None),
        ("uns", None),
        ("unified", None),
    ],
    order: Order::Inch,
    class,
    class_phrase: "a class 1A, 2A, 3A (screw) or 1B, 2B, 3B (nut)",
    implied_series: None,
    number_sizes: true,
};

const EXTERNAL: [&str; 3] = ["2A", "1A", "3A"];
const INTERNAL: [&str; 3] = ["2B", "1B", "3B"];

fn class(text: &str) -> Option<Class> {
    Class::by_letter(text, &EXTERNAL, &INTERNAL)
}

const ROUND_ROOT: &str = "UNR";

const VARIANTS: [Variant; 1] = [Variant {
    name: ROUND_ROOT,
    document: Source::table("ASME B1.1", "screw with rounded root (Machinery's Handbook, 27th ed., p. 1733)"),
    differs: "the screw's root must be rounded, with a radius of 0.108 P or more; there is no UNR nut",
}];

/// The series name of a size: the listed one, else UN for a constant-pitch series, else UNS (ASME B1.1-2003, 5).
pub(super) fn series_name(d: Length, p: Length) -> &'static str {
    const CONSTANT_PITCH_TPI: [f64; 8] = [4.0, 6.0, 8.0, 12.0, 16.0, 20.0, 28.0, 32.0];
    let n = p.to_tpi();
    match Family::Unified.listed(d, p) {
        Some(row) => row.series,
        None if CONSTANT_PITCH_TPI.iter().any(|c| (c - n).abs() < 1e-9) => "UN",
        None => "UNS",
    }
}

const FORMULA: Source = Source::memory(
    "ASME B1.1-2003",
    "section 5, formulas, recalled; equal to nearly all printed limits met (docs/VALIDATION.md)",
);

/// Pitch diameter tolerance of class 2A, inches: 0.0015 D^1/3 + 0.0015 LE^1/2 + 0.015 P^2/3. LE, the length of
/// engagement, is D in the coarse and fine series and 9 P in the others. The standard carries it on rounded to six
/// places (from memory): 1/4-20 class 2B is 0.0049 so, as printed, and 0.0048 without.
fn tolerance_2a(thread: &Thread) -> f64 {
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let by_diameter = matches!(series_name(thread.nominal, thread.pitch.length), "UNC" | "UNF");
    let engagement = if by_diameter { d } else { 9.0 * p };
    let tolerance = 0.0015 * d.cbrt() + 0.0015 * engagement.sqrt() + 0.015 * p.powf(2.0 / 3.0);
    (tolerance * 1e6).round() / 1e6
}

/// Tolerances of a screw in inches, to four places each.
pub(super) struct Screw {
    /// Allowance of all its diameters.
    pub(super) allowance: f64,
    pub(super) major: f64,
    pub(super) pitch: f64,
}

/// Tolerances of the screw in `class`, the same for UN and UNJ.
pub(super) fn screw(thread: &Thread, class: &str) -> Result<Screw, LimitsError> {
    let (factor, crest_factor, with_allowance) = match class {
        "1A" => (1.5, 0.090, true),
        "2A" => (1.0, 0.060, true),
        "3A" => (0.75, 0.060, false),
        _ => return Err(limits::unknown_class(thread, Element::External, class)),
    };
    let tolerance = tolerance_2a(thread);
    Ok(Screw {
        allowance: if with_allowance { places(0.3 * tolerance) } else { 0.0 },
        major: places(crest_factor * thread.pitch.length.to_inch().powf(2.0 / 3.0)),
        pitch: places(factor * tolerance),
    })
}

/// Tolerance of the nut's pitch diameter in `class`, the same for UN and UNJ.
pub(super) fn nut_pitch(thread: &Thread, class: &str) -> Result<f64, LimitsError> {
    let factor = match class {
        "1B" => 1.95,
        "2B" => 1.3,
        "3B" => 0.975,
        _ => return Err(limits::unknown_class(thread, Element::Internal, class)),
    };
    Ok(places(factor * tolerance_2a(thread)))
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let Screw { allowance, major, pitch } = screw(thread, class)?;
    let basic = thread.basic();
    let (d, d2) = (basic.d.to_inch(), places(basic.d2.to_inch()));
    // The printed minor diameters are the nut's basic one less H/8, each in ten-thousandths.
    let minor = places(basic.d1_internal.to_inch()) - places((basic.d1_internal - basic.d3).to_inch());
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: inch_range(d - allowance, d - allowance - major, FORMULA),
        pitch: inch_range(d2 - allowance, d2 - allowance - pitch, FORMULA),
        minor: Range::at_most(printed(Length::inch(minor - allowance), Unit::Inch), ROOT)
            .rounded(Rounding::TenThousandth),
    })
}

const ROOT: Source = Source::memory(
    "ASME B1.1-2003",
    "minor diameter of the rounded root UNR; a flat root of UN may reach the nut's basic minor diameter less the allowance",
);

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let tolerance = nut_pitch(thread, class)?;
    let basic = thread.basic();
    let d2 = places(basic.d2.to_inch());
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(printed(thread.nominal, Unit::Inch), FORMULA).rounded(Rounding::TenThousandth),
        pitch: inch_range(d2 + tolerance, d2, FORMULA),
        minor: nut_minor(thread, class, basic.d1_internal.to_inch()),
    })
}

/// The nut's minor diameter. In the tabled sizes from 0.138 in (#6) on the smallest is given to three places, and in classes 1B and
/// 2B the largest as well (ASME B1.1, table of standard series: 5 3/4-12 UN is 5.660 to 5.678 in 2B, 5.6600 to 5.6698
/// in 3B; Machinery's Handbook, 27th ed., p. 1762).
fn nut_minor(thread: &Thread, class: &str, d1: f64) -> Range {
    let tolerance = minor_tolerance(class, thread, 0.394);
    if thread.nominal < Length::inch(0.138 - 1e-9) || !thread.in_series() {
        return inch_range(places(d1) + places(tolerance), places(d1), FORMULA);
    }
    let thousandths = |inches: f64| Length::inch(rounded(inches * 1e3) / 1e3);
    let (max, rounding) = match class {
        "3B" => (Length::inch(places(places(d1) + places(tolerance))), Rounding::TenThousandth),
        _ => (thousandths(d1 + tolerance), Rounding::Thousandth),
    };
    Range::both(max, thousandths(d1), FORMULA).rounded(rounding)
}

/// Minor diameter tolerance of the nut, inches (ASME B1.1-2003, 5.8.2); `most` is its bound as a share of the pitch.
pub(super) fn minor_tolerance(class: &str, thread: &Thread, most: f64) -> f64 {
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let by_size = 0.05 * p.powf(2.0 / 3.0) + 0.03 * p / d - 0.002;
    let most = most * p;
    let least = match class {
        "3B" if p > 1.0 / 13.0 + 1e-9 => 0.12 * p,
        "3B" => 0.23 * p - 1.5 * p * p,
        // Coarser than 4 threads per inch; the two meet at 4.
        _ if p > 0.25 => 0.15 * p,
        _ => 0.25 * p - 0.4 * p * p,
    };
    match class {
        "3B" => by_size.min(most).max(least),
        _ if d < 0.25 - 1e-9 => by_size.min(most).max(least),
        _ => least,
    }
}

const SPECIAL_LARGE: &str = "The standard's table gives 5 3/4 in the pitch diameter tolerance of 6 in, and may do the \
                             like at other sizes between whole inches: 0.0001 in more than the formula used here.";
const NO_NUT: &str = "UNR is a thread of screws: its nut is the UN nut.";

impl Form for Unified {
    fn key(&self) -> &'static str {
        "unified"
    }
    fn name(&self) -> &'static str {
        "Unified"
    }
    fn standard(&self) -> Source {
        Source::formula("ASME B1.1-2003", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H = P √3/2; d2 = d − 3/4 H, D1 = d − 5/4 H; the screw's minor diameter is that of the rounded root UNR,
    /// d − 11/8 H, with the root radius H/8 = 0.108 P that meets the flanks no higher than D1 (ASME B1.1-2003,
    /// section 10, from memory).
    fn basic(&self, d: Length, p: Length) -> Basic {
        let flank = Angle::deg(30.0);
        let h = p * (3.0_f64.sqrt() / 2.0);
        Basic {
            d,
            p,
            d2: d - h * 0.75,
            d1_internal: d - h * 1.25,
            d3: d - h * 1.375,
            d4_internal: d,
            flank_leading: flank,
            flank_trailing: flank,
            crest_width: p / 8.0,
            root_width: h * (3.0 / 16.0) * (2.0 * flank.tan()),
            root_width_internal: p / 8.0,
            crest_radius: Length::ZERO,
            crest_radius_internal: Length::ZERO,
            root_radius: h / 8.0,
            root_radius_internal: Length::ZERO,
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn variants(&self) -> &'static [Variant] {
        &VARIANTS
    }
    fn prints_variant(&self) -> bool {
        true
    }
    /// The round root of UNR: r = H/8 = 0.108 P or more.
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        if element == Element::Internal || thread.variant.is_none() {
            return Vec::new();
        }
        let range = Range::at_least(
            self.basic(thread.nominal, thread.pitch.length).root_radius,
            VARIANTS[0].document,
        );
        vec![Extra { element: Some(element), what: ExtraKind::RootRadius, range }]
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["3A", "2A", "1A"]],
            Element::Internal => &[&["3B", "2B", "1B"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    /// ASME B1.1-2003, section 5, by its formulas (from memory; checked against printed limits in
    /// `tests/published`). The smallest minor diameter of the screw and the largest major diameter of the nut are
    /// left open, as in the standard.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        let d = thread.nominal.to_inch();
        if d > 4.0 && d.fract() > 1e-9 {
            limits.warnings.push(SPECIAL_LARGE.to_owned());
        }
        if thread.variant.is_some() && thread.internal_class.is_some() {
            limits.warnings.push(NO_NUT.to_owned());
        }
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let round_root = text.to_lowercase().contains("unr").then_some(ROUND_ROOT);
        let thread = read(text, &DIALECT)?;
        Some(thread.map(|thread| Thread { variant: round_root, ..thread }))
    }
    /// `1/4-20 UNC-2A-LH`, `#10-32 UNRF` (ASME B1.1-2003, section 6).
    fn print(&self, thread: &Thread) -> String {
        let series = series_name(thread.nominal, thread.pitch.length);
        let round_root = format!("UNR{}", &series[2..]);
        format!(
            "{} {}{}{}{}",
            size(thread),
            if thread.variant.is_some() { &round_root } else { series },
            classes_by_letter(thread),
            left(thread, "-LH"),
            starts_in_words(thread)
        )
    }
}

/// Size and threads per inch, a number size as `#10`.
pub(super) fn size(thread: &Thread) -> String {
    let number = (0..=12).find(|n| number_size(*n) == thread.nominal && thread.nominal_written == Unit::Inch);
    // A bare whole number that no series lists would read as a number size.
    let looks_like_number = |size: &str| !thread.in_series() && size.parse().is_ok_and(|n: u32| n <= 12);
    let size = inch_size(thread);
    match (size.split_once('-'), number) {
        (Some((_, pitch)), Some(number)) => format!("#{number}-{pitch}"),
        (Some((size, pitch)), None) if looks_like_number(size) => format!("{size} in-{pitch}"),
        _ => size,
    }
}
