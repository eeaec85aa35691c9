//! Whitworth thread, 55° with rounded crests and roots (BS 84: BSW, BSF).

use super::{Family, Form, SeriesRow, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread};
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
        ("bswhit", None),
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
        Angle::deg(55.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H = P / (2 tan 27.5°) = 0.960491 P, depth h = 2/3 H = 0.640327 P, crest and root rounded with
    /// r = 0.137329 P (BS 84:1956; Machinery's Handbook, 31st ed., p. 2087). Screw and nut have the same basic form.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let flank = Angle::deg(27.5);
        let h_triangle = p / (2.0 * flank.tan());
        let h = h_triangle * (2.0 / 3.0);
        // An arc that touches both flanks and whose top lies H/6 below the apex.
        let radius = h_triangle / 6.0 * (flank.sin() / (1.0 - flank.sin()));
        let minor = d - h * 2.0;
        Basic {
            d,
            p,
            d2: d - h,
            d1_internal: minor,
            d3: minor,
            d4_internal: d,
            flank_leading: flank,
            flank_trailing: flank,
            crest_width: Length::ZERO,
            root_width: p / 6.0,
            root_width_internal: p / 6.0,
            rounded_crest: true,
            root_radius: radius,
            root_radius_internal: radius,
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
    /// `1/2-12 BSW LH, medium`; a size of neither series as `Whit`.
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
