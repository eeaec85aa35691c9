//! Pipe threads for joints that are not made tight on the thread, 55°, parallel (ISO 228-1, BS 2779).

use super::tolerance::{printed, rounded, weaker};
use super::vee::{self, Ends};
use super::whitworth::{self, FLANK};
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::print::{left, named_size, starts_in_words};
use crate::designation::read::{Class, Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct PipeParallel;

const FILE: &str = "pipe-parallel-series.csv";
const TEXT: &str = include_str!("../../data/pipe-parallel-series.csv");
static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| series::written(FILE, TEXT));
static NAMES: LazyLock<Vec<&'static str>> = LazyLock::new(|| series::names(FILE, TEXT));

const DIALECT: Dialect = Dialect {
    family: Family::PipeParallel,
    // PF is the symbol of JIS B 0202 before it took over ISO 228-1 (from memory).
    words: &[("g", None), ("bspp", None), ("bsp", None), ("bspf", None), ("pf", None), ("gas", None)],
    order: Order::Inch,
    class,
    class_phrase: "a class A or B (screw), or `internal`",
    implied_series: None,
    number_sizes: false,
};

/// ISO 228-1 has one class of internal threads, without a symbol; it goes by the word here.
const INTERNAL: &str = "internal";

fn class(text: &str) -> Option<Class> {
    match text.to_lowercase().as_str() {
        symbol @ ("a" | "b") => Some(Class::External(symbol.to_uppercase())),
        "internal" | "int" | "nut" | "female" => Some(Class::Internal(INTERNAL.to_owned())),
        _ => None,
    }
}

/// Depth 0.640327 P, to 0.001 mm before it is taken from the gauge diameter, as ISO 228-1 and ISO 7-1 have it.
pub(super) fn depth(p: Length) -> Length {
    printed(vee::triangle(FLANK, p) * (2.0 / 3.0), Unit::Mm)
}

/// Basic sizes of the pipe threads: Whitworth form with the rounded depth.
pub(super) fn basic(d: Length, p: Length) -> Basic {
    vee::of_depth(FLANK, d, p, depth(p), Ends::Round)
}

/// Tolerances of ISO 228-1, table 1, mm, by threads per inch: pitch diameter class A (class B twice that, the internal
/// thread as class A), internal minor diameter. The major diameter has twice the pitch diameter's of class A.
struct Tolerance {
    tpi: f64,
    pitch: f64,
    minor: f64,
}

const TOLERANCES: [Tolerance; 4] = [
    Tolerance { tpi: 28.0, pitch: 0.107, minor: 0.282 },
    Tolerance { tpi: 19.0, pitch: 0.125, minor: 0.445 },
    Tolerance { tpi: 14.0, pitch: 0.142, minor: 0.541 },
    Tolerance { tpi: 11.0, pitch: 0.180, minor: 0.640 },
];
/// From G 2 1/4 up the pitch diameter has more.
const LARGE: (Length, f64) = (Length::mm(62.0), 0.217);

const PITCH: Source = Source::table(
    "ISO 228-1 as an open part collection has it (bd_warehouse 0.4.0)",
    "tolerances on the pitch and the external major diameter of 24 sizes",
);
const MINOR: Source = Source::formula(
    "SAS, wall chart of G threads",
    "tolerance on the internal minor diameter, the same for all sizes of a pitch",
);
const BASIC: Source =
    Source::formula("ISO 228-1:2000", "d2 = d - h, d1 = d - 2h with h = 0.640327 P to 0.001 mm");
const BETWEEN: Source = Source::choice(
    "a pitch that ISO 228-1 does not have: the value of the next coarser one of its pitches, by the root of the ratio",
);

/// Tolerances on pitch and internal minor diameter, mm.
fn tolerances(d: Length, p: Length) -> ((f64, Source), (f64, Source)) {
    let tpi = p.to_tpi();
    let known = TOLERANCES.iter().find(|row| (row.tpi - tpi).abs() < 1e-6);
    if let Some(row) = known {
        let pitch = if row.tpi == 11.0 && d > LARGE.0 { LARGE.1 } else { row.pitch };
        return ((pitch, PITCH), (row.minor, MINOR));
    }
    let near = TOLERANCES.iter().rev().find(|row| row.tpi > tpi).unwrap_or(&TOLERANCES[0]);
    let scale = (near.tpi / tpi).sqrt();
    let to_um = |mm: f64| rounded(mm * scale * 1e3) / 1e3;
    ((to_um(near.pitch), BETWEEN), (to_um(near.minor), BETWEEN))
}

fn from_basic(basic: Length, upper: f64, lower: f64, source: Source) -> Range {
    let basic = printed(basic, Unit::Mm);
    let at = |by: f64| printed(basic + Length::mm(by), Unit::Mm);
    Range::both(at(upper), at(lower), source).rounded(Rounding::Micrometre)
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let basic = thread.basic();
    let ((tolerance, source), _) = tolerances(thread.nominal, thread.pitch.length);
    let pitch = match class {
        "A" => tolerance,
        "B" => 2.0 * tolerance,
        _ => return Err(limits::unknown_class(thread, Element::External, class)),
    };
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: from_basic(basic.d, 0.0, -2.0 * tolerance, source),
        pitch: from_basic(basic.d2, 0.0, -pitch, source),
        minor: Range::at_most(printed(basic.d3, Unit::Mm), BASIC).rounded(Rounding::Micrometre),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    if class != INTERNAL {
        return Err(limits::unknown_class(thread, Element::Internal, class));
    }
    let basic = thread.basic();
    let ((pitch, pitch_source), (minor, minor_source)) = tolerances(thread.nominal, thread.pitch.length);
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(printed(basic.d4_internal, Unit::Mm), BASIC).rounded(Rounding::Micrometre),
        pitch: from_basic(basic.d2, pitch, 0.0, weaker(pitch_source, BASIC)),
        minor: from_basic(basic.d1_internal, minor, 0.0, weaker(minor_source, BASIC)),
    })
}

/// GOST 6357-52 gives 0.001 mm more in the sizes seen (G 1/8, G 1/4): the sizes in thousandths of an inch turned into
/// millimetres with the inch of 25.40095 mm that was usual before 1959.
fn of_gost_1952(d: Length) -> Length {
    let thou = d.to_thou().round();
    let same = printed(Length::thou(thou), Unit::Mm) == printed(d, Unit::Mm);
    if same { printed(whitworth::of_old_inch(Length::thou(thou)), Unit::Mm) } else { d }
}

const VARIANTS: &[Variant] = &[Variant {
    name: "GOST 6357-52",
    document: Source::derived(
        "inch sizes by an inch of 25.40095 mm; the six printed sizes of G 1/8 and G 1/4 agree",
    ),
    differs: "basic diameters up to 0.007 mm larger, from an inch of 25.40095 mm; tolerances as in ISO 228-1",
}];

/// ISO 228-1:2000, scope, in our words.
const NOT_TIGHT: &str =
    "This thread does not seal: the joint is made tight beside it, with a ring or washer on a face.";

impl Form for PipeParallel {
    fn key(&self) -> &'static str {
        "bsp"
    }
    fn name(&self) -> &'static str {
        "BSP parallel"
    }
    fn standard(&self) -> Source {
        Source::formula("ISO 228-1:2000 (BS 2779)", "")
    }
    fn included_angle(&self) -> Angle {
        FLANK * 2.0
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    fn names(&self) -> &'static [&'static str] {
        &NAMES
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        basic(d, p)
    }
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        match variant {
            None => basic(d, p),
            Some(_) => basic(of_gost_1952(d), p),
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::RoundedV
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn variants(&self) -> &'static [Variant] {
        VARIANTS
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["A", "B"]],
            Element::Internal => &[&[INTERNAL]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &["A", "B"],
            Element::Internal => &[INTERNAL],
        }
    }
    /// ISO 228-1:2000, table 1: the crest of the screw may be cut off within the major diameter's tolerance, and the
    /// nut's root and the screw's root have no limit towards less material.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        limits.warnings.push(NOT_TIGHT.to_owned());
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `G 3/4 A`, `G 3/4 LH`, `G 3/4 internal` (ISO 228-1:2000, clause 5; the last word is ours).
    fn print(&self, thread: &Thread) -> String {
        let classes = match (&thread.external_class, &thread.internal_class) {
            (Some(external), Some(internal)) => format!(" {external}/{internal}"),
            (Some(class), None) | (None, Some(class)) => format!(" {class}"),
            (None, None) => String::new(),
        };
        format!("G {}{classes}{}{}", named_size(thread), left(thread, " LH"), starts_in_words(thread))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_of_gost_6357_52() {
        // An article that cites GOST 6357-52: major, pitch and minor diameter, mm.
        for (name, sizes) in [("G 1/8", [9.729, 9.148, 8.567]), ("G 1/4", [13.158, 12.302, 11.446])] {
            let thread: Thread = format!("{name} [GOST 6357-52]").parse().expect("a listed size");
            let basic = thread.basic();
            for (ours, printed) in [basic.d, basic.d2, basic.d3].into_iter().zip(sizes) {
                assert!((ours.to_mm() - printed).abs() < 1e-9, "{name}: {ours:?} {printed}");
            }
        }
    }
}
