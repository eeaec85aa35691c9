//! ISO metric thread, 60° (ISO 68-1, 261, 965).

use super::metric_tolerance::{self, class, normal_engagement, undercut};
use super::tolerance::printed;
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::print::{MetricStarts, classes_by_letter, left, metric_size};
use crate::designation::read::{Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
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

/// ISO 965-1, tables of the recommended classes (fine, medium and coarse quality; short, normal and long engagement),
/// with 4g6g of ASME B1.13M and 6az of ISO 965-4.
const EXTERNAL: [&str; 23] = [
    "6g", "3h4h", "4h", "4g", "5h4h", "5g4g", "5h6h", "5g6g", "6h", "6f", "6e", "6d", "7h6h", "7g6g", "7e6e",
    "8h", "8g", "8e", "9h8h", "9g8g", "9e8e", "4g6g", "6az",
];
const INTERNAL: [&str; 12] = ["6H", "4H", "4H5H", "5H", "5H6H", "7H", "8H", "5G", "6G", "7G", "8G", "4G"];

/// The screw's minor diameter as ASME gives it.
const FLAT_ROOT: &str = "ASME B1.13M";
const VARIANTS: [Variant; 1] = [Variant {
    name: FLAT_ROOT,
    document: Source::memory("ASME B1.13M-2005", "external minor diameter, flat root form"),
    differs: "the largest minor diameter of the screw is D1 + es, a flat root at the nut's minor diameter, where ISO \
              965-2 gives d3 + es of the root rounded with H/6",
}];

const ROOT: Source = Source::formula(
    "ISO 965-1:2013",
    "least root radius 0.125 P; a requirement from property class 8.8 upwards, else a recommendation",
);

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let root = match thread.variant {
        None => Source::derived("root radius H/6 at most material, 0.125 P at least"),
        Some(_) => Source::derived("flat root at D1 at most material, root radius 0.125 P at least"),
    };
    metric_tolerance::external_limits(thread, class, 0.125, root)
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
    /// The root of ASME B1.13M: flat, P/4 wide, at the nut's minor diameter.
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        let basic = self.basic(d, p);
        match variant {
            None => basic,
            Some(_) => Basic { d3: basic.d1_internal, root_radius: Length::ZERO, ..basic }.with_widths(),
        }
    }
    fn variants(&self) -> &'static [Variant] {
        &VARIANTS
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[
                &["3h4h", "4h", "5h4h", "5h6h", "6h", "7h6h", "8h", "9h8h"],
                &["4g", "4g6g", "5g4g", "5g6g", "6g", "7g6g", "8g", "9g8g"],
                &["6e", "7e6e", "8e", "9e8e"],
            ],
            Element::Internal => {
                &[&["4H", "4H5H", "5H", "5H6H", "6H", "7H", "8H"], &["4G", "5G", "6G", "7G", "8G"]]
            }
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
        let radius = printed(thread.pitch.length * 0.125, Unit::Mm);
        let root = Extra {
            element: Some(element),
            what: ExtraKind::RootRadius,
            range: Range::at_least(radius, ROOT).rounded(Rounding::Micrometre),
        };
        let (d, p) = (thread.nominal, thread.pitch.length);
        [root, normal_engagement(d, p)].into_iter().chain(undercut(d, p)).collect()
    }
    /// ISO 965-1:2013, by table where one is held, else by its formulas. The minor diameter of the screw is d3 of
    /// ISO 965-2: the design root as its largest, a root rounded with 0.125 P as its smallest.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::by_class(thread, external_limits, metric_tolerance::internal_limits)?;
        if thread.starts > 1 {
            limits.warnings.push(
                "ISO 965 gives no tolerances for several starts; these are those of a single start."
                    .to_owned(),
            );
        }
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `M10x1.5-6g-LH`, `M16xPh3P1.5` (ISO 965-1:2013, clause 5). The coarse pitch is written too: at the bench a
    /// pitch that is left out is a pitch that is guessed.
    fn print(&self, thread: &Thread) -> String {
        let size = metric_size(thread, MetricStarts::Symbols);
        format!("M{size}{}{}", classes_by_letter(thread), left(thread, "-LH"))
    }
}
