//! ISO metric thread, 60° (ISO 68-1, 261, 965).

use super::{Family, Form, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{MetricStarts, classes_by_letter, left, metric_size};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread};
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
            rounded_crest: false,
            root_radius: h / 6.0,
            root_radius_internal: Length::ZERO,
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
    /// `M10x1.5-6g-LH`, `M16xPh3P1.5` (ISO 965-1:2013, clause 5). The coarse pitch is written too: at the bench a
    /// pitch that is left out is a pitch that is guessed.
    fn print(&self, thread: &Thread) -> String {
        let size = metric_size(thread, MetricStarts::Symbols);
        format!("M{size}{}{}", classes_by_letter(thread), left(thread, "-LH"))
    }
}
