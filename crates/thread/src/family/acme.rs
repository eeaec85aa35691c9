//! General purpose Acme thread, 29° (ASME B1.5).

use super::{Family, Form, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread};
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
/// (ASME B1.5-1997; Machinery's Handbook, 27th ed., p. 1842).
pub(super) fn clearance(p: Length) -> Length {
    if p >= Length::inch(0.1 - 1e-9) { Length::inch(0.020) } else { Length::inch(0.010) }
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
            rounded_crest: false,
            root_radius: Length::ZERO,
            root_radius_internal: Length::ZERO,
        }
    }
    fn classes(&self, _element: Element) -> &'static [&'static str] {
        &CLASSES
    }
    fn limits(&self, _thread: &Thread) -> Result<Limits, LimitsError> {
        todo!()
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
