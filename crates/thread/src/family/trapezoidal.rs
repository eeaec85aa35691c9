//! ISO metric trapezoidal thread, 30° (ISO 2901 to 2904, DIN 103).

use super::{Family, Form, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{MetricStarts, classes_by_letter, left, metric_size};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread};
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

const EXTERNAL: [&str; 6] = ["7e", "8e", "8c", "9c", "7c", "10c"];
const INTERNAL: [&str; 3] = ["7H", "8H", "9H"];

/// Crest clearance ac (ISO 2901:1993, table; DIN 103-1): by steps of pitch. Pitches between those of the
/// standard take the value of the nearer one.
pub(super) fn clearance(p: Length) -> Length {
    Length::mm(match p.to_mm() {
        p if p < 1.75 => 0.15,
        p if p < 5.5 => 0.25,
        p if p < 13.0 => 0.5,
        _ => 1.0,
    })
}

impl Form for Trapezoidal {
    fn key(&self) -> &'static str {
        "metric-trapezoidal"
    }
    fn name(&self) -> &'static str {
        "metric trapezoidal"
    }
    fn standard(&self) -> Source {
        Source::formula("ISO 2901:1993, 2902:1977, 2903:1993, 2904:1977", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(30.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H1 = 0.5 P, h3 = H4 = H1 + ac, d2 = d − 0.5 P, D1 = d − P, d3 = d − P − 2 ac, D4 = d + 2 ac; crest width
    /// 0.5 P − H1 tan 15°; R2 max = ac at both roots (ISO 2901:1993, clause 4; ISO 2904:1977).
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
            rounded_crest: false,
            root_radius: ac,
            root_radius_internal: ac,
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    fn limits(&self, _thread: &Thread) -> Result<Limits, LimitsError> {
        todo!()
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        read(text, &DIALECT)
    }
    /// `Tr 22x5 LH-7H`, `Tr 40x14 P7` (ISO 2902:1977, clause 4).
    fn print(&self, thread: &Thread) -> String {
        let size = metric_size(thread, MetricStarts::LeadThenPitch);
        format!("Tr {size}{}{}", left(thread, " LH"), classes_by_letter(thread))
    }
}
