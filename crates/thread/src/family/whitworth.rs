//! Whitworth thread, 55° with rounded crests and roots (BS 84: BSW, BSF).

use super::tolerance::{inch_range, printed};
use super::vee::{self, Ends};
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Limits, LimitsError, Range};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Whitworth;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("whitworth-series.csv", include_str!("../../data/whitworth-series.csv")));

const DIALECT: Dialect = Dialect {
    family: Family::Whitworth,
    words: &[
        ("bsw", Some("BSW")),
        ("bsf", Some("BSF")),
        ("whitworth", None),
        ("whit", None),
        // BS 84 writes `Whit. S.` of a size outside the two series.
        ("whits", None),
        ("whit s", None),
        ("bswhit", None),
        ("me", Some("ME")),
        ("model engineer", Some("ME")),
        ("model engineers", Some("ME")),
        ("brass", Some("brass")),
        ("bsb", Some("brass")),
        ("bscon", Some("BSCon")),
        ("conduit", Some("BSCon")),
    ],
    order: Order::Inch,
    class,
    class_phrase: "a class close, medium, free (screw) or medium, normal (nut)",
    implied_series: None,
    number_sizes: false,
};

const EXTERNAL: [&str; 3] = ["medium", "close", "free"];
const INTERNAL: [&str; 2] = ["medium", "normal"];

fn class(text: &str) -> Option<Class> {
    let word = text.to_lowercase();
    match word.as_str() {
        "medium" => Some(Class::Either(word)),
        "close" | "free" => Some(Class::External(word)),
        "normal" => Some(Class::Internal(word)),
        _ => None,
    }
}

/// Flank of the Whitworth form to the plane square to the axis.
pub(super) const FLANK: Angle = Angle::deg(27.5);

/// The inch before 1959 in millimetres over that of today. German and Soviet tables of Whitworth threads turned their sizes
/// into millimetres with 25.40095.
const OLD_INCH: f64 = 25.400_95 / 25.4;

/// A size in today's inches, in those of the old tables.
pub(super) fn of_old_inch(d: Length) -> Length {
    d * OLD_INCH
}

const VARIANTS: &[Variant] = &[Variant {
    name: "DIN 11",
    document: Source::derived(
        "an inch of 25.40095 mm, by which the German tables of W 1/8 to W 3 print 25.401 mm for 1 in and so on",
    ),
    differs: "diameters are 37 parts in a million larger, from an inch of 25.40095 mm: 25.401 mm for 1 in",
}];

const FORMULA: Source = Source::memory("BS 84:1956", "formulas of tolerance and allowance");

/// The tolerance unit T of the pitch diameter, inches: 0.002 D^1/3 + 0.003 L^1/2 + 0.005 P^1/2, with L = D as the
/// length of engagement.
fn tolerance_unit(d: f64, p: f64) -> f64 {
    0.002 * d.cbrt() + 0.003 * d.sqrt() + 0.005 * p.sqrt()
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let basic = thread.basic();
    let unit = tolerance_unit(d, p);
    let (tolerance, root_factor) = match class {
        "close" => (2.0 / 3.0 * unit, 0.013),
        "medium" => (unit, 0.02),
        "free" => (1.5 * unit, 0.02),
        _ => return Err(limits::unknown_class(thread, Element::External, class)),
    };
    // An allowance for plating up to 3/4 in; close bolts have none.
    let allowance = if class != "close" && d <= 0.75 + 1e-9 { 0.3 * unit } else { 0.0 };
    let below = |basic: Length, tolerance: f64| {
        let max = basic.to_inch() - allowance;
        inch_range(max, max - tolerance, FORMULA)
    };
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: below(basic.d, tolerance + 0.01 * p.sqrt()),
        pitch: below(basic.d2, tolerance),
        minor: below(basic.d3, tolerance + root_factor * p.sqrt()),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let basic = thread.basic();
    let tolerance = match class {
        "medium" => tolerance_unit(d, p),
        "normal" => 1.5 * tolerance_unit(d, p),
        _ => return Err(limits::unknown_class(thread, Element::Internal, class)),
    };
    // By threads per inch: 26 and finer, 22 to 24, 20 and coarser.
    let crest = 0.2 * p
        + match 1.0 / p + 1e-9 {
            n if n >= 26.0 => 0.004,
            n if n >= 22.0 => 0.005,
            _ => 0.007,
        };
    let (d2, d1) = (basic.d2.to_inch(), basic.d1_internal.to_inch());
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(printed(basic.d4_internal, Unit::Inch), FORMULA),
        pitch: inch_range(d2 + tolerance, d2, FORMULA),
        minor: inch_range(d1 + crest, d1, FORMULA),
    })
}

impl Form for Whitworth {
    fn key(&self) -> &'static str {
        "whitworth"
    }
    fn name(&self) -> &'static str {
        "Whitworth"
    }
    fn standard(&self) -> Source {
        Source::formula("BS 84:1956", "")
    }
    fn included_angle(&self) -> Angle {
        FLANK * 2.0
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H = P / (2 tan 27.5°) = 0.960491 P, depth h = 2/3 H = 0.640327 P, crest and root rounded with
    /// r = 0.137329 P (BS 84:1956; Machinery's Handbook, 31st ed., p. 2087). Screw and nut have the same basic form.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let cut = vee::triangle(FLANK, p) / 6.0;
        vee::basic(FLANK, d, p, cut, cut, Ends::Round)
    }
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        match variant {
            None => self.basic(d, p),
            Some(_) => {
                let depth = vee::triangle(FLANK, of_old_inch(p)) * (2.0 / 3.0);
                vee::of_depth(FLANK, of_old_inch(d), p, depth, Ends::Round)
            }
        }
    }
    fn variants(&self) -> &'static [Variant] {
        VARIANTS
    }
    fn ridge(&self) -> Ridge {
        Ridge::RoundedV
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["close", "medium", "free"]],
            Element::Internal => &[&["medium", "normal"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    /// BS 84:1956 by its formulas, all from memory: no printed limits were found to check them by.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        let series = Family::Whitworth.listed(thread.nominal, thread.pitch.length).map(|row| row.series);
        if let Some(name @ ("ME" | "brass" | "BSCon")) = series {
            limits
                .warnings
                .push(format!("BS 84 does not list {name} sizes: its formulas are applied to this one."));
        }
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `1/2-12 BSW LH, medium`; a size of no series as `Whit`.
    fn print(&self, thread: &Thread) -> String {
        let name =
            Family::Whitworth.listed(thread.nominal, thread.pitch.length).map_or("Whit", |row| row.series);
        format!(
            "{} {name}{}{}{}",
            inch_size(thread),
            left(thread, " LH"),
            starts_in_words(thread),
            classes_by_word(thread, ", ")
        )
    }
}
