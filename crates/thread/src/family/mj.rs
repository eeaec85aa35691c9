//! MJ thread, 60° with a large root radius, for parts that bear changing loads (ISO 5855, ASME B1.21M).

use super::metric_tolerance::{self, class, normal_engagement};
use super::tolerance::{printed, weaker};
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::print::{MetricStarts, classes_by_letter, left, metric_size};
use crate::designation::read::{Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Mj;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::metric("mj-series.csv", include_str!("../../data/mj-series.csv")));

const DIALECT: Dialect = Dialect {
    family: Family::MetricMj,
    words: &[("mj", None)],
    order: Order::Metric,
    class,
    class_phrase: "a class such as 4h6h (screw) or 4H5H (nut)",
    implied_series: Some("bolts"),
    number_sizes: false,
};

const EXTERNAL: [&str; 4] = ["4h6h", "4g6g", "6h", "6g"];
const INTERNAL: [&str; 4] = ["4H5H", "4H6H", "5H", "6H"];

/// Root radius of the screw in pitches, greatest and least. The greatest is 5/24 H, the full radius of a root that
/// touches both flanks at d3; the least is the standard's.
const ROOT_MOST: f64 = 0.180_42;
const ROOT_LEAST: f64 = 0.150_11;
const ROOT: Source = Source::memory("ISO 5855-1:1999", "root radius 0.15011 P to 0.18042 P");
const CLASSES: Source = Source::memory(
    "ISO 5855-1:1999",
    "4h6h for screws; nuts 4H6H to 5 mm and 4H5H above, with the tolerances of ISO 965-1",
);

const NOT_INTO_M: &str = "An MJ screw does not enter an M nut: its root is fuller than the nut's crest allows. An M \
                          screw enters an MJ nut.";

/// The range, of a class that is recalled.
fn recalled(range: Range) -> Range {
    Range { source: weaker(range.source, CLASSES), ..range }
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let limits = metric_tolerance::external_limits(thread, class, ROOT_LEAST, ROOT)?;
    Ok(ElementLimits { major: recalled(limits.major), pitch: recalled(limits.pitch), ..limits })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let limits = metric_tolerance::internal_limits(thread, class)?;
    Ok(ElementLimits {
        major: recalled(limits.major),
        pitch: recalled(limits.pitch),
        minor: recalled(limits.minor),
        ..limits
    })
}

impl Form for Mj {
    fn key(&self) -> &'static str {
        "metric-j"
    }
    fn name(&self) -> &'static str {
        "metric MJ"
    }
    fn standard(&self) -> Source {
        Source::memory("ISO 5855-1:1999", "basic profile and classes")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H = P √3/2; d2 = d − 3/4 H, D1 = d − 9/8 H = d − 0.97428 P, d3 = d − 4/3 H = d − 1.15470 P, root a full radius
    /// of 5/24 H (ISO 5855-1:1999, from memory; the figures follow from each other by the geometry).
    fn basic(&self, d: Length, p: Length) -> Basic {
        let h = p * (3.0_f64.sqrt() / 2.0);
        let external = [d, d - h * 0.75, d - h * (4.0 / 3.0)];
        let form = Basic::straight(p, external, [d, d - h * 1.125], [Angle::deg(30.0); 2]);
        Basic { root_radius: h * (5.0 / 24.0), ..form }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["4h6h", "6h"], &["4g6g", "6g"]],
            Element::Internal => &[&["4H5H", "4H6H", "5H", "6H"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        if element == Element::Internal {
            return Vec::new();
        }
        let radius = |pitches: f64| printed(thread.pitch.length * pitches, Unit::Mm);
        vec![
            Extra {
                element: Some(element),
                what: ExtraKind::RootRadius,
                range: Range::both(radius(ROOT_MOST), radius(ROOT_LEAST), ROOT).rounded(Rounding::Micrometre),
            },
            normal_engagement(thread.nominal, thread.pitch.length),
        ]
    }
    /// Tolerances of ISO 965-1 on the MJ profile; without a class the nut's is 4H6H to 5 mm and 4H5H above.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let unnamed = thread.external_class.is_none() && thread.internal_class.is_none();
        let small = unnamed && thread.nominal <= Length::mm(5.0);
        let asked = Thread {
            external_class: if small { Some(EXTERNAL[0].to_owned()) } else { thread.external_class.clone() },
            internal_class: if small { Some("4H6H".to_owned()) } else { thread.internal_class.clone() },
            ..thread.clone()
        };
        let mut limits = limits::by_class(&asked, external_limits, internal_limits)?;
        if thread.starts > 1 {
            limits.warnings.push(limits::SINGLE_START.to_owned());
        }
        limits.warnings.push(NOT_INTO_M.to_owned());
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `MJ6x1-4h6h` (ISO 5855-1:1999, from memory).
    fn print(&self, thread: &Thread) -> String {
        let size = metric_size(thread, MetricStarts::Symbols);
        format!("MJ{size}{}{}", classes_by_letter(thread), left(thread, "-LH"))
    }
}
