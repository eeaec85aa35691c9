//! Unified inch thread, 60° (ASME B1.1).

use super::{Family, Form, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_letter, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::designation::written::number_size;
use crate::limits::{Element, Limits, LimitsError};
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
    let symbol = text.to_uppercase();
    match symbol.as_str() {
        known if EXTERNAL.contains(&known) => Some(Class::External(symbol)),
        known if INTERNAL.contains(&known) => Some(Class::Internal(symbol)),
        _ => None,
    }
}

/// The series name of a size: the listed one, else UN for a constant-pitch series, else UNS (ASME B1.1-2003, 5).
fn series_name(thread: &Thread) -> &'static str {
    const CONSTANT_PITCH_TPI: [f64; 8] = [4.0, 6.0, 8.0, 12.0, 16.0, 20.0, 28.0, 32.0];
    let n = thread.pitch.length.to_tpi();
    match Family::Unified.listed(thread.nominal, thread.pitch.length) {
        Some(row) => row.series,
        None if CONSTANT_PITCH_TPI.iter().any(|c| (c - n).abs() < 1e-9) => "UN",
        None => "UNS",
    }
}

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
    /// d − 11/8 H, whose full radius is 3/16 H (ASME B1.1-2003, section 10, from memory).
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
            rounded_crest: false,
            root_radius: h * (3.0 / 16.0),
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
    /// `1/4-20 UNC-2A-LH`, `#10-32 UNF` (ASME B1.1-2003, section 6).
    fn print(&self, thread: &Thread) -> String {
        let number =
            (0..=12).find(|n| number_size(*n) == thread.nominal && thread.nominal_written == Unit::Inch);
        let size = match number {
            Some(number) => {
                let full = inch_size(thread);
                let pitch = full.split_once('-').map_or("", |(_, pitch)| pitch);
                format!("#{number}-{pitch}")
            }
            None => inch_size(thread),
        };
        format!(
            "{size} {}{}{}{}",
            series_name(thread),
            classes_by_letter(thread),
            left(thread, "-LH"),
            starts_in_words(thread)
        )
    }
}
