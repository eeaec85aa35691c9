//! Stub Acme thread, 29°, shallow (ASME B1.8), with its two modified forms.

use super::{Family, Form, Ridge, SeriesRow, Variant, acme, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read_rest, take_word};
use crate::limits::{self, Element, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct StubAcme;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("stub-acme-series.csv", include_str!("../../data/stub-acme-series.csv")));

const DIALECT: Dialect = Dialect {
    family: Family::StubAcme,
    words: &[("stub acme", None), ("acme stub", None), ("stub", None)],
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

const MODIFIED: Source = Source::memory("ASME B1.8-1988", "appendix: modified forms");

/// The modified forms, with the mark that the standard writes and their height as a share of the pitch. That form 1 is
/// the deeper one is printed (Ring & Plug Thread Gages, notes on Stub Acme); the heights are from memory.
const FORMS: [(Variant, &str, f64); 2] = [
    (
        Variant {
            name: "form 1",
            document: MODIFIED,
            differs: "deeper: thread height 0.375 P instead of 0.3 P (M1)",
        },
        "M1",
        0.375,
    ),
    (
        Variant {
            name: "form 2",
            document: MODIFIED,
            differs: "shallower: thread height 0.25 P instead of 0.3 P (M2)",
        },
        "M2",
        0.25,
    ),
];

/// Thread height as a share of the pitch.
fn height(variant: Option<&str>) -> f64 {
    FORMS.iter().find(|(form, ..)| Some(form.name) == variant).map_or(0.3, |(.., height)| *height)
}

const MODIFIED_FORM: &str = "A modified form: the standard asks for the standard form (height 0.3 P) wherever that serves. \
                             Its height and limits are from memory.";

impl Form for StubAcme {
    fn key(&self) -> &'static str {
        "stub-acme"
    }
    fn name(&self) -> &'static str {
        "Stub Acme"
    }
    fn standard(&self) -> Source {
        Source::formula("ASME B1.8-1988 (R2001)", "standard form")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(29.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        self.basic_in(None, d, p)
    }
    /// h = 0.3 P, d2 = d − h, D1 = d − 2 h, crest flat 0.4224 P; clearances at the roots as for Acme (ASME B1.8-1988,
    /// table 1; Machinery's Handbook, 27th ed., p. 1844).
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        let (height, clearance) = (p * height(variant), acme::clearance(p));
        let minor = d - height * 2.0;
        let external = [d, d - height, minor - clearance];
        Basic::straight(p, external, [d + clearance, minor], [Angle::deg(14.5); 2])
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn variants(&self) -> &'static [Variant] {
        const VARIANTS: [Variant; 2] = [FORMS[0].0, FORMS[1].0];
        &VARIANTS
    }
    fn prints_variant(&self) -> bool {
        true
    }
    fn ladders(&self, _element: Element) -> &'static [&'static [&'static str]] {
        &[&["4G", "3G", "2G"]]
    }
    fn classes(&self, _element: Element) -> &'static [&'static str] {
        &CLASSES
    }
    /// Allowances and tolerances of general purpose Acme on the stub form: class 2G, and 3G or 4G where less play is
    /// wanted (ASME B1.8-1988; Ring & Plug Thread Gages, notes on Stub Acme).
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, acme::external_limits, acme::internal_limits)?;
        if thread.variant.is_some() {
            limits.warnings.push(MODIFIED_FORM.to_owned());
        }
        let play = acme::play(&limits);
        limits.warnings.extend(play);
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let marked = FORMS.iter().find_map(|(form, mark, _)| Some((take_word(text, mark)?, form.name)));
        let (rest, variant) = marked.map_or((None, None), |(rest, form)| (Some(rest), Some(form)));
        let thread = read_rest(text, rest.as_deref().unwrap_or(text), &DIALECT)?;
        Some(thread.map(|thread| Thread { variant, ..thread }))
    }
    /// `1/2-20 Stub Acme-2G-LH`, and `1/2-20 Stub Acme M1` for a modified form (ASME B1.8-1988; Machinery's Handbook,
    /// 27th ed., p. 1846).
    fn print(&self, thread: &Thread) -> String {
        let form = FORMS.iter().find(|(form, ..)| Some(form.name) == thread.variant);
        format!(
            "{} Stub Acme{}{}{}{}",
            inch_size(thread),
            form.map_or(String::new(), |(_, mark, _)| format!(" {mark}")),
            classes_by_word(thread, "-"),
            left(thread, "-LH"),
            starts_in_words(thread)
        )
    }
}
