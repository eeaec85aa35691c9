//! ISO metric thread, 60° (ISO 68-1, 261, 965).

use super::tolerance::{DiameterRange, Microns, ToleranceTable, printed, renard40, weaker, with_deviation};
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{MetricStarts, classes_by_letter, left, metric_size};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{self, Element, ElementLimits, Limits, LimitsError, Range};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct IsoMetric;

static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| {
    series::metric("iso-metric-series.csv", include_str!("../../data/iso-metric-series.csv"))
});

const DIALECT: Dialect = Dialect {
    family: Family::MetricIso,
    words: &[("m", None), ("metric", None)],
    order: Order::Metric,
    class,
    class_phrase: "a class such as 6g (screw) or 6H (nut)",
    implied_series: Some("coarse"),
    number_sizes: false,
};

const EXTERNAL: [&str; 14] =
    ["6g", "4h", "6e", "6f", "6h", "8g", "4g6g", "5g6g", "5h6h", "7g6g", "7h6h", "7e6e", "9g8g", "3h4h"];
const INTERNAL: [&str; 9] = ["6H", "5H", "7H", "4H", "6G", "7G", "5G", "8H", "8G"];

/// `6g`, `6H`, `4g6g`, `5H6H`: grade and position of the pitch diameter, then of the crest diameter. The case of
/// the letter tells screw from nut (ISO 965-1, clause 5).
pub(super) struct Symbol {
    pub(super) element: Element,
    pub(super) pitch_grade: u32,
    pub(super) crest_grade: u32,
    /// In lower case.
    pub(super) position: char,
}

impl Symbol {
    pub(super) fn read(text: &str) -> Option<Self> {
        let mut chars = text.chars();
        let mut part = || Some((chars.next()?.to_digit(10)?, chars.next()?));
        let (pitch_grade, position) = part()?;
        let (crest_grade, crest_position) = if text.len() == 2 { (pitch_grade, position) } else { part()? };
        if chars.next().is_some() || crest_position != position {
            return None;
        }
        let element = match position {
            'G' | 'H' => Element::Internal,
            'd'..='h' => Element::External,
            _ => return None,
        };
        // ISO 965-1 has grades 3 to 9 for the pitch diameter (4 to 8 of a nut), 4, 6, 8 for the crest of the screw
        // and 4 to 8 for that of the nut.
        let held = match element {
            Element::External => (3..=9).contains(&pitch_grade) && matches!(crest_grade, 4 | 6 | 8),
            Element::Internal => (4..=8).contains(&pitch_grade) && (4..=8).contains(&crest_grade),
        };
        held.then_some(Self { element, pitch_grade, crest_grade, position: position.to_ascii_lowercase() })
    }
}

fn class(text: &str) -> Option<Class> {
    let symbol = Symbol::read(text)?;
    Some(match symbol.element {
        Element::External => Class::External(text.to_owned()),
        Element::Internal => Class::Internal(text.to_owned()),
    })
}

static TOLERANCES: LazyLock<ToleranceTable> = LazyLock::new(|| {
    ToleranceTable::read("iso-metric-tolerances.csv", include_str!("../../data/iso-metric-tolerances.csv"))
});

const FORMULA: Source = Source::memory("ISO 965-1:2013", "formula behind the tables, rounded to R40");
const FROM_GRADE_6: Source =
    Source::memory("ISO 965-1:2013", "grade 6 times the factor of the grade, rounded to R40");

/// Fundamental deviation: es of the screw, EI of the nut with its sign turned (G mirrors g).
fn deviation(position: char, p: Length) -> Option<Microns> {
    let mm = p.to_mm();
    let (symbol, formula) = match position {
        'h' => return Some((0.0, Source::formula("ISO 965-1:2013", "positions h and H: zero"))),
        'g' => ("g", 15.0 + 11.0 * mm),
        'f' => ("f", 30.0 + 11.0 * mm),
        'e' => ("e", 50.0 + 11.0 * mm),
        'd' => ("d", f64::NAN),
        _ => return None,
    };
    let tabled = TOLERANCES.find("es", symbol, None, p);
    tabled.or_else(|| formula.is_finite().then(|| (-renard40(formula), FORMULA)))
}

/// Td of the screw's major diameter: grade 6 is 180 P^2/3 − 3.15 P^-1/2 µm; grades 4 and 8 are 0.63 and 1.6 of it.
fn major_tolerance(grade: u32, p: Length) -> Microns {
    let mm = p.to_mm();
    let grade_6 = TOLERANCES
        .find("Td", "6", None, p)
        .unwrap_or_else(|| (renard40(180.0 * mm.powf(2.0 / 3.0) - 3.15 / mm.sqrt()), FORMULA));
    scaled(
        grade_6,
        match grade {
            4 => 0.63,
            8 => 1.6,
            _ => 1.0,
        },
    )
}

/// TD1 of the nut's minor diameter: grade 6 is 433 P − 190 P^1.22 µm to P 0.8, 230 P^0.7 µm from P 1.
fn minor_tolerance(grade: u32, p: Length) -> Microns {
    let mm = p.to_mm();
    let formula = || if mm < 0.9 { 433.0 * mm - 190.0 * mm.powf(1.22) } else { 230.0 * mm.powf(0.7) };
    let grade_6 = TOLERANCES.find("TD1", "6", None, p).unwrap_or_else(|| (renard40(formula()), FORMULA));
    scaled(
        grade_6,
        match grade {
            4 => 0.63,
            5 => 0.8,
            7 => 1.25,
            8 => 1.6,
            _ => 1.0,
        },
    )
}

/// Td2 of the screw's pitch diameter: grade 6 is 90 P^0.4 dm^0.1 µm; the nut's tolerances are multiples of it too.
fn screw_pitch_tolerance(grade: u32, d: Length, p: Length) -> Microns {
    scaled(
        pitch_grade_6(d, p),
        match grade {
            3 => 0.5,
            4 => 0.63,
            5 => 0.8,
            7 => 1.25,
            8 => 1.6,
            9 => 2.0,
            _ => 1.0,
        },
    )
}

/// TD2 of the nut's pitch diameter.
fn nut_pitch_tolerance(grade: u32, d: Length, p: Length) -> Microns {
    let factor = match grade {
        4 => 0.85,
        5 => 1.06,
        7 => 1.7,
        8 => 2.12,
        _ => 1.32,
    };
    let tabled = (grade == 6).then(|| TOLERANCES.find("TD2", "6", Some(DiameterRange::of(d)), p)).flatten();
    tabled.unwrap_or_else(|| scaled(pitch_grade_6(d, p), factor))
}

fn pitch_grade_6(d: Length, p: Length) -> Microns {
    let range = DiameterRange::of(d);
    TOLERANCES
        .find("Td2", "6", Some(range), p)
        .unwrap_or_else(|| (renard40(90.0 * p.to_mm().powf(0.4) * range.mean().powf(0.1)), FORMULA))
}

fn scaled((um, source): Microns, factor: f64) -> Microns {
    if factor == 1.0 { (um, source) } else { (renard40(um * factor), weaker(source, FROM_GRADE_6)) }
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let unknown = || limits::unknown_class(thread, Element::External, class);
    let symbol = Symbol::read(class).filter(|s| s.element == Element::External).ok_or_else(unknown)?;
    let (d, p) = (thread.nominal, thread.pitch.length);
    let basic = IsoMetric.basic(d, p);
    let (es, es_source) = deviation(symbol.position, p).ok_or_else(unknown)?;
    let (td, td_source) = major_tolerance(symbol.crest_grade, p);
    let (td2, td2_source) = screw_pitch_tolerance(symbol.pitch_grade, d, p);
    let pitch_source = weaker(es_source, td2_source);
    let pitch_min = with_deviation(basic.d2, es - td2);
    // A root of radius 0.125 P that touches both flanks lies H/2 − 0.125 P below the pitch line.
    let deepest = p * (2.0 * (3.0_f64.sqrt() / 4.0 - 0.125));
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: Range::both(with_deviation(d, es), with_deviation(d, es - td), weaker(es_source, td_source)),
        pitch: Range::both(with_deviation(basic.d2, es), pitch_min, pitch_source),
        minor: Range::both(
            with_deviation(basic.d3, es),
            printed(pitch_min - deepest, Unit::Mm),
            weaker(pitch_source, Source::derived("root radius H/6 at most material, 0.125 P at least")),
        ),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let unknown = || limits::unknown_class(thread, Element::Internal, class);
    let symbol = Symbol::read(class).filter(|s| s.element == Element::Internal).ok_or_else(unknown)?;
    let (d, p) = (thread.nominal, thread.pitch.length);
    let basic = IsoMetric.basic(d, p);
    let (es, ei_source) = deviation(symbol.position, p).ok_or_else(unknown)?;
    let ei = -es;
    let (td1, td1_source) = minor_tolerance(symbol.crest_grade, p);
    let (td2, td2_source) = nut_pitch_tolerance(symbol.pitch_grade, d, p);
    let range = |basic: Length, tolerance: f64, source| {
        Range::both(
            with_deviation(basic, ei + tolerance),
            with_deviation(basic, ei),
            weaker(ei_source, source),
        )
    };
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(with_deviation(d, ei), ei_source),
        pitch: range(basic.d2, td2, td2_source),
        minor: range(basic.d1_internal, td1, td1_source),
    })
}

impl Form for IsoMetric {
    fn key(&self) -> &'static str {
        "metric"
    }
    fn name(&self) -> &'static str {
        "ISO metric"
    }
    fn standard(&self) -> Source {
        Source::formula("ISO 68-1:1998, 261:1998, 965-1:2013", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H = P √3/2; d2 = d − 3/4 H, D1 = d − 5/4 H (ISO 68-1:1998); d3 = d − 17/12 H, the design root rounded with
    /// H/6 (ISO 965-1). Crest of the screw P/8; root of the nut P/8, left to the tool.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let flank = Angle::deg(30.0);
        let h = p * (3.0_f64.sqrt() / 2.0);
        Basic {
            d,
            p,
            d2: d - h * 0.75,
            d1_internal: d - h * 1.25,
            d3: d - h * (17.0 / 12.0),
            d4_internal: d,
            flank_leading: flank,
            flank_trailing: flank,
            crest_width: p / 8.0,
            // The sides of the triangle H/6 above its apex.
            root_width: h / 6.0 * (2.0 * flank.tan()),
            root_width_internal: p / 8.0,
            crest_radius: Length::ZERO,
            crest_radius_internal: Length::ZERO,
            root_radius: h / 6.0,
            root_radius_internal: Length::ZERO,
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["3h4h", "4h", "5h6h", "6h", "7h6h"], &["6g", "8g", "9g8g"]],
            Element::Internal => &[&["4H", "5H", "6H", "7H", "8H"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    /// ISO 965-1:2013, by table where one is held, else by its formulas. The minor diameter of the screw is d3 of
    /// ISO 965-2: the design root as its largest, a root rounded with 0.125 P as its smallest.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::by_class(thread, external_limits, internal_limits)?;
        if thread.starts > 1 {
            limits.warnings.push(
                "ISO 965 gives no tolerances for several starts; these are those of a single start."
                    .to_owned(),
            );
        }
        Ok(limits)
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        read(text, &DIALECT)
    }
    /// `M10x1.5-6g-LH`, `M16xPh3P1.5` (ISO 965-1:2013, clause 5). The coarse pitch is written too: at the bench a
    /// pitch that is left out is a pitch that is guessed.
    fn print(&self, thread: &Thread) -> String {
        let size = metric_size(thread, MetricStarts::Symbols);
        format!("M{size}{}{}", classes_by_letter(thread), left(thread, "-LH"))
    }
}
