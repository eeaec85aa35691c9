//! Pipe threads for joints that are made tight on the thread, 55°: taper screw and taper or parallel nut (ISO 7-1).

use super::pipe_parallel;
use super::tolerance::{printed, weaker};
use super::whitworth::FLANK;
use super::{Family, Form, Ridge, SeriesRow, Taper, series};
use crate::designation::DesignationError;
use crate::designation::print::{left, named_size, starts_in_words};
use crate::designation::read::{self, Class, Dialect, Order, read};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::table::Table;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct PipeTaper;

const FILE: &str = "pipe-taper-series.csv";
const TEXT: &str = include_str!("../../data/pipe-taper-series.csv");
static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| series::written(FILE, TEXT));
static NAMES: LazyLock<Vec<&'static str>> = LazyLock::new(|| series::names(FILE, TEXT));

/// What ISO 7-1 gives along the axis for a listed size.
struct Lengths {
    gauge: Length,
    gauge_source: Source,
    useful: Length,
    useful_source: Source,
}

/// In the order of the series.
static LENGTHS: LazyLock<Vec<Lengths>> = LazyLock::new(|| {
    Table::read(FILE, TEXT)
        .rows()
        .map(|row| Lengths {
            gauge: Length::mm(row.required("gauge_length")),
            gauge_source: row.source("source"),
            useful: Length::mm(row.required("useful_thread")),
            useful_source: row.source("useful_source"),
        })
        .collect()
});

const DIALECT: Dialect = Dialect {
    family: Family::PipeTaper,
    // PT and PS are the symbols of JIS B 0203 before it took over ISO 7-1 (from memory).
    words: &[
        ("r", None),
        ("rc", None),
        ("rp", None),
        ("bspt", None),
        ("bsptr", None),
        ("pt", None),
        ("ps", None),
        ("bsp taper", None),
        ("bsp tapered", None),
        ("taper bsp", None),
    ],
    order: Order::Inch,
    class,
    class_phrase: "R (screw), Rc or Rp (nut)",
    implied_series: None,
    number_sizes: false,
};

/// The symbols of ISO 7-1 tell the element, so they serve as its classes.
const SCREW: &str = "R";
const TAPER_NUT: &str = "Rc";
const PARALLEL_NUT: &str = "Rp";

fn class(text: &str) -> Option<Class> {
    match text.to_lowercase().as_str() {
        "r" | "external" | "male" => Some(Class::External(SCREW.to_owned())),
        "rc" | "internal" | "female" => Some(Class::Internal(TAPER_NUT.to_owned())),
        "rp" => Some(Class::Internal(PARALLEL_NUT.to_owned())),
        _ => None,
    }
}

const BASIC: Source = Source::formula(
    "ISO 7-1:1994",
    "sizes at the gauge plane: d2 = d - h, d1 = d - 2h with h = 0.640327 P to 0.001 mm; tolerance is on the place of the plane",
);
const TURNS: Source = Source::table(
    "JIS B 0203:1999",
    "tolerances b, c and D of R 1/8 to R 6, which are turns: screw 1, nut 1 1/4, both 1 1/2 from size 2 1/2; R 1/16 as R 1/8",
);

/// Turns of the thread by which the gauge plane may lie off its place.
fn turns(element: Element, d: Length) -> f64 {
    match element {
        _ if d > Length::mm(70.0) => 1.5,
        Element::External => 1.0,
        Element::Internal => 1.25,
    }
}

/// The sizes at the gauge plane are exact: that plane is where the thread has them.
fn at_gauge_plane(element: Element, class: &str, basic: &Basic) -> ElementLimits {
    let (major, minor) = match element {
        Element::External => (basic.d, basic.d3),
        Element::Internal => (basic.d4_internal, basic.d1_internal),
    };
    let exact = |size: Length| {
        let size = printed(size, Unit::Mm);
        Range::both(size, size, BASIC).rounded(Rounding::Micrometre)
    };
    ElementLimits {
        element,
        class: class.to_owned(),
        major: exact(major),
        pitch: exact(basic.d2),
        minor: exact(minor),
    }
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    match class {
        SCREW => Ok(at_gauge_plane(Element::External, class, &thread.basic())),
        _ => Err(limits::unknown_class(thread, Element::External, class)),
    }
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let basic = thread.basic();
    match class {
        TAPER_NUT => Ok(at_gauge_plane(Element::Internal, class, &basic)),
        PARALLEL_NUT => {
            // The same turns, as the change of diameter that they are on the taper.
            let by = thread.pitch.length * (turns(Element::Internal, thread.nominal) * PER_LENGTH);
            let around = |size: Length| {
                let size = printed(size, Unit::Mm);
                let by = printed(by, Unit::Mm);
                Range::both(size + by, size - by, TURNS).rounded(Rounding::Micrometre)
            };
            Ok(ElementLimits {
                element: Element::Internal,
                class: class.to_owned(),
                major: around(basic.d4_internal),
                pitch: around(basic.d2),
                minor: around(basic.d1_internal),
            })
        }
        _ => Err(limits::unknown_class(thread, Element::Internal, class)),
    }
}

/// Change of diameter along the axis (ISO 7-1:1994).
const PER_LENGTH: f64 = 1.0 / 16.0;

/// To 0.01 mm, as JIS B 0203 prints the tolerance on the place of the gauge plane (ISO 7-1 has a decimal less).
fn hundredth(length: Length) -> Length {
    Length::mm((length.to_mm() * 100.0).round() / 100.0)
}

/// The caution that belongs to any joint of taper pipe threads.
pub(super) const PIPEWORK: &str = "Pipework for gas, steam or pressure falls under local codes and licensed fitters: seal, test and \
                       sign it off as they say.";
const AT_GAUGE_PLANE: &str = "The diameters of a taper thread are those at its gauge plane; it tapers 1 in 16, and its tolerance \
                              is on where along the axis that plane lies.";
const SEALANT: &str =
    "A joint of this thread is made tight with a jointing medium that suits what flows in it.";

impl Form for PipeTaper {
    fn key(&self) -> &'static str {
        "bsp-taper"
    }
    fn name(&self) -> &'static str {
        "BSP taper"
    }
    fn standard(&self) -> Source {
        Source::formula("ISO 7-1:1994 (BS 21)", "")
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
    /// Sizes at the gauge plane, those of ISO 228-1. The flanks are square to the axis of the thread and not to the cone
    /// (ISO 7-1:1994, from memory).
    fn basic(&self, d: Length, p: Length) -> Basic {
        pipe_parallel::basic(d, p)
    }
    fn ridge(&self) -> Ridge {
        Ridge::RoundedV
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn taper(&self) -> Option<Taper> {
        Some(Taper { per_length: PER_LENGTH, plane: "at the gauge plane" })
    }
    fn taper_of(&self, thread: &Thread, element: Element) -> Option<Taper> {
        let parallel = thread.internal_class.as_deref() == Some(PARALLEL_NUT);
        self.taper().filter(|_| element == Element::External || !parallel)
    }
    /// Where the gauge plane lies and how much thread there must be. On the taper nut the plane lies half a pitch behind
    /// the face.
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let p = thread.pitch.length;
        let parallel = self.taper_of(thread, element).is_none();
        let asked = match (&thread.external_class, &thread.internal_class, element) {
            (None, None, _) => true,
            (external, _, Element::External) => external.is_some(),
            (_, internal, Element::Internal) => internal.is_some(),
        };
        if !asked || parallel {
            return Vec::new();
        }
        let extra = |what, range| Extra { element: Some(element), what, range };
        let by = hundredth(p * turns(element, thread.nominal));
        if element == Element::Internal {
            let plane = p * 0.5;
            let place = Range::both(plane + by, plane - by, TURNS).rounded(Rounding::Hundredth);
            return vec![extra(ExtraKind::GaugeLength, place)];
        }
        let listed = self.series().iter().zip(LENGTHS.iter());
        let mut sizes = listed.filter(|(row, _)| (row.nominal - thread.nominal).abs() < Length::um(0.5));
        let Some((_, lengths)) =
            sizes.next().filter(|(row, _)| (row.pitch.length - p).abs() < Length::um(0.5))
        else {
            return Vec::new();
        };
        let gauge = Range::both(lengths.gauge + by, lengths.gauge - by, weaker(lengths.gauge_source, TURNS));
        vec![
            extra(ExtraKind::GaugeLength, gauge.rounded(Rounding::Hundredth)),
            extra(ExtraKind::UsefulThread, Range::at_least(lengths.useful, lengths.useful_source)),
        ]
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &[SCREW],
            Element::Internal => &[TAPER_NUT, PARALLEL_NUT],
        }
    }
    /// ISO 7-1:1994, table 1. A taper thread has its sizes at the gauge plane, and the tolerance is on where that plane
    /// lies ([`Form::extras`]); the parallel nut Rp has the same tolerance on its diameters.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        let taper = |limits: &Option<ElementLimits>| limits.as_ref().is_some_and(|l| l.class != PARALLEL_NUT);
        if taper(&limits.external) || taper(&limits.internal) {
            limits.warnings.push(AT_GAUGE_PLANE.to_owned());
        }
        limits.warnings.extend([SEALANT.to_owned(), PIPEWORK.to_owned()]);
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let thread = match read(text, &DIALECT)? {
            Ok(thread) => thread,
            Err(error) => return Some(Err(error)),
        };
        let named = |name| read::names(text, name);
        let external = named("r").then_some(SCREW);
        let internal = match () {
            () if named("rc") => Some(TAPER_NUT),
            () if named("rp") || named("ps") => Some(PARALLEL_NUT),
            () => None,
        };
        Some(Ok(Thread {
            external_class: external.map(str::to_owned).or(thread.external_class),
            internal_class: internal.map(str::to_owned).or(thread.internal_class),
            ..thread
        }))
    }
    /// `R 3/4`, `Rc 3/4`, `Rp 3/4 LH`, for a pair `Rp/R 3/4` (ISO 7-1:1994, clause 6); without element `BSPT 3/4`.
    fn print(&self, thread: &Thread) -> String {
        let symbol = match (&thread.internal_class, &thread.external_class) {
            (Some(internal), Some(external)) => format!("{internal}/{external}"),
            (Some(class), None) | (None, Some(class)) => class.clone(),
            (None, None) => "BSPT".to_owned(),
        };
        format!("{symbol} {}{}{}", named_size(thread), left(thread, " LH"), starts_in_words(thread))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The turns against the millimetres of table 1 of ISO 7-1, from memory. Those of JIS B 0203, which are printed, are held
    /// in `tests/pipe_lengths.rs`.
    #[test]
    fn tolerances_in_turns_and_in_millimetres() {
        for (name, screw, nut, on_diameter) in [
            ("1/8", 0.9, 1.1, 0.071),
            ("1/4", 1.3, 1.7, 0.104),
            ("1/2", 1.8, 2.3, 0.142),
            ("1", 2.3, 2.9, 0.180),
            ("2", 2.3, 2.9, 0.180),
            ("2 1/2", 3.5, 3.5, 0.216),
            ("6", 3.5, 3.5, 0.216),
        ] {
            let thread: Thread = format!("Rp {name}").parse().expect("a listed size");
            let (d, p) = (thread.nominal, thread.pitch.length);
            let near = |element, printed: f64| ((p * turns(element, d)).to_mm() - printed).abs() < 0.05;
            assert!(near(Element::External, screw) && near(Element::Internal, nut), "{name}");
            let limits = limits::limits(&thread).expect("limits").internal.expect("a nut");
            let (max, min) = (limits.pitch.max.expect("both"), limits.pitch.min.expect("both"));
            assert!(((max - min).to_mm() / 2.0 - on_diameter).abs() < 5e-7, "{name}");
        }
    }
}
