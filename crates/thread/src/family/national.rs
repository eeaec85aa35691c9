//! American threads from before Unified, 60°: American National (NC, NF and the like, ASA B1.1-1935) with the older
//! United States Standard of Sellers, and the sharp V that both replaced. What a repairer meets on machines made
//! before 1949.

use super::vee::{self, Ends};
use super::{Family, Form, Ridge, SeriesRow, Variant, series, unified};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_word, inch_size, left, starts_in_words};
use crate::designation::read::{Dialect, Order, read_rest, take_word};
use crate::limits::{self, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct National;
pub(super) struct SharpV;

static NATIONAL: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("national-series.csv", include_str!("../../data/national-series.csv")));
static SHARP_V: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("sharp-v-series.csv", include_str!("../../data/sharp-v-series.csv")));

/// The classes of fit of the old standard, which drawings write after the series: `1/2-13 NC-2`. Their tolerances are not
/// known here, so that limits in them are refused.
const OLD_CLASSES: [&str; 4] = ["1", "2", "3", "4"];

/// `text` without such a class, and the class.
fn take_class(text: &str) -> Option<(String, &'static str)> {
    let written = ["NC", "NF", "NS", "NEF", "USS"]
        .into_iter()
        .flat_map(|series| OLD_CLASSES.map(|class| (series, class)));
    written.into_iter().find_map(|(series, class)| {
        let blanked = take_word(text, &format!("{series}-{class}"))?;
        let at = text.bytes().zip(blanked.bytes()).position(|(typed, blank)| typed != blank)?;
        let end = at + series.len();
        Some((format!("{}{}{}", &blanked[..at], &text[at..end], &blanked[end..]), class))
    })
}

const NATIONAL_DIALECT: Dialect = Dialect {
    number_sizes: true,
    ..Dialect::without_classes(
        Family::National,
        &[
            ("nc", Some("NC")),
            ("nf", Some("NF")),
            ("ns", None),
            ("american national", None),
            ("american standard", None),
            ("uss", None),
            ("us standard", None),
            ("us std", None),
            ("united states standard", None),
            ("sellers", None),
        ],
        Order::Inch,
    )
};

const SHARP_V_DIALECT: Dialect = Dialect {
    implied_series: Some("V"),
    ..Dialect::without_classes(
        Family::SharpV,
        &[("sharp v", None), ("v sharp", None), ("sharp", None)],
        Order::Inch,
    )
};

const SELLERS: &str = "US Standard 1864";

const VARIANTS: [Variant; 1] = [Variant {
    name: SELLERS,
    document: Source::memory("Sellers, Franklin Institute 1864", "United States Standard"),
    differs: "the nut is as deep as the screw: its minor diameter is d - 1.29904 P, not d - 1.08253 P",
}];

const FORM: Source = Source::formula(
    "ASA B1.1-1935",
    "pitch diameter d - 0.64952 P (Machinery's Handbook, 31st ed., p. 2130)",
);
const DEPTHS: Source = Source::memory("ASA B1.1-1935", "depth 0.64952 P of the screw, 0.54127 P of the nut");
const V_FORM: Source = Source::formula(
    "sharp V thread",
    "pitch diameter d - 0.86603 P (Machinery's Handbook, 31st ed., p. 2130)",
);
const NO_CLASSES: &str = "Basic sizes only: the tolerances of the old classes 1 to 4 were not found. A Unified thread \
                          of the same size and pitch mates with it; make new parts to its class 2A or 2B.";
const V_BASIC: &str = "Basic sizes only: no standard of limits was ever agreed. The points are sharp in theory; in practice \
                       they have a flat of about a twenty-fifth of the pitch, so expect the major diameter under size.";

/// A 60° form whose flats at crest and root are each `flat` pitches wide.
fn of_flats(d: Length, p: Length, flat: f64) -> Basic {
    let flank = Angle::deg(30.0);
    let cut = vee::triangle(flank, p) * flat;
    vee::basic(flank, d, p, cut, cut, Ends::Flat)
}

impl Form for National {
    fn key(&self) -> &'static str {
        "national"
    }
    fn name(&self) -> &'static str {
        "American National"
    }
    fn standard(&self) -> Source {
        Source::memory("ASA B1.1-1935", "American National, superseded by Unified in 1949")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &NATIONAL
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        self.basic_in(None, d, p)
    }
    /// Flats of P/8 at crest and root: depth 0.64952 P, d2 = d − 0.64952 P, d3 = d − 1.29904 P. The nut's crest is cut
    /// back to d − 1.08253 P, since the basic height of engagement is 5/8 H (both from memory); Sellers left it full.
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        let full = of_flats(d, p, 0.125);
        let cut_back = if variant == Some(SELLERS) { 0.0 } else { 3.0_f64.sqrt() / 8.0 };
        Basic { d1_internal: full.d1_internal + p * cut_back, ..full }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn variants(&self) -> &'static [Variant] {
        &VARIANTS
    }
    fn prints_variant(&self) -> bool {
        true
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::basic_only(thread, FORM, NO_CLASSES)?;
        for side in [&mut limits.external, &mut limits.internal].into_iter().flatten() {
            side.minor.source = DEPTHS;
        }
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &NATIONAL_DIALECT
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let lower = text.to_lowercase().replace('.', "");
        let old =
            ["uss", "us st", "us-st", "united states", "sellers"].iter().any(|word| lower.contains(word));
        let (rest, class) = match take_class(text) {
            Some((rest, class)) => (rest, Some(class.to_owned())),
            None => (text.to_owned(), None),
        };
        let thread = read_rest(text, &rest, &NATIONAL_DIALECT)?;
        Some(thread.map(|thread| Thread {
            variant: old.then_some(SELLERS),
            external_class: class.clone(),
            internal_class: class,
            ..thread
        }))
    }
    /// `1/2-13 NC-2`, `1-14 NF`; a size of neither `NS`; the United States Standard `3-3.5 USS`.
    fn print(&self, thread: &Thread) -> String {
        let listed = Family::National.listed(thread.nominal, thread.pitch.length).map(|row| row.series);
        let series = match (thread.variant, listed) {
            (Some(_), _) => "USS",
            (None, Some(series @ ("NC" | "NF"))) => series,
            (None, _) => "NS",
        };
        format!(
            "{} {series}{}{}{}",
            unified::size(thread),
            classes_by_word(thread, "-"),
            left(thread, " LH"),
            starts_in_words(thread)
        )
    }
}

impl Form for SharpV {
    fn key(&self) -> &'static str {
        "sharp-v"
    }
    fn name(&self) -> &'static str {
        "sharp V"
    }
    fn standard(&self) -> Source {
        Source::practice(
            "60° V with sharp crests and roots, before the United States Standard and until about 1910",
        )
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SHARP_V
    }
    /// Depth P √3/2 on one side, no flats: d2 = d − 0.86603 P, d3 = d − 1.73205 P (Machinery's Handbook, 27th ed.,
    /// p. 1725).
    fn basic(&self, d: Length, p: Length) -> Basic {
        of_flats(d, p, 0.0)
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        limits::basic_only(thread, V_FORM, V_BASIC)
    }
    fn dialect(&self) -> &Dialect {
        &SHARP_V_DIALECT
    }
    /// `1/2-12 sharp V`: our own writing, there being no standard one.
    fn print(&self, thread: &Thread) -> String {
        format!("{} sharp V{}{}", inch_size(thread), left(thread, " LH"), starts_in_words(thread))
    }
}
