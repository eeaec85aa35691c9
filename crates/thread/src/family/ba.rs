//! British Association thread, 47.5°, rounded (BS 93).

use super::tolerance::printed;
use super::vee::{self, Ends};
use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::print::{classes_by_word, left, named_size, starts_in_words};
use crate::designation::read::{Class, Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct BritishAssociation;

const FILE: &str = "ba-series.csv";
const TEXT: &str = include_str!("../../data/ba-series.csv");
static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| series::written(FILE, TEXT));
static NAMES: LazyLock<Vec<&'static str>> = LazyLock::new(|| series::names(FILE, TEXT));

const DIALECT: Dialect = Dialect {
    family: Family::BritishAssociation,
    words: &[("ba", None), ("association", None)],
    order: Order::Inch,
    class,
    class_phrase: "a class normal or close (screw), or normal (nut)",
    implied_series: None,
    number_sizes: false,
};

fn class(text: &str) -> Option<Class> {
    let word = text.to_lowercase();
    match word.as_str() {
        "normal" => Some(Class::Either(word)),
        "close" => Some(Class::External(word)),
        _ => None,
    }
}

const FLANK: Angle = Angle::deg(23.75);

const TOLERANCE: Source = Source::formula(
    "BS 93:2008, annex B; BS 93:1951 (Machinery's Handbook, 31st ed., p. 2115)",
    "tolerances and allowance",
);
const OPEN_ROOT: Source =
    Source::formula("BS 93:2008", "annex B.4.2: no tolerance on the nut's major diameter");

/// 0 to 10 BA, by their pitch, 0.35 mm and more: these have an allowance, and the close class is for them.
fn larger(p: Length) -> bool {
    p.to_mm() > 0.33
}

fn below(basic: Length, allowance: f64, tolerance: f64) -> Range {
    let max = basic.to_mm() - allowance;
    let at = |mm: f64| printed(Length::mm(mm), Unit::Mm);
    Range::both(at(max), at(max - tolerance), TOLERANCE).rounded(Rounding::Micrometre)
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let basic = thread.basic();
    let p = thread.pitch.length.to_mm();
    let (allowance, major, pitch) = match class {
        "close" => (0.0, 0.15 * p, 0.08 * p + 0.02),
        "normal" if larger(thread.pitch.length) => (0.025, 0.20 * p, 0.10 * p + 0.025),
        "normal" => (0.0, 0.25 * p, 0.10 * p + 0.025),
        _ => return Err(limits::unknown_class(thread, Element::External, class)),
    };
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: below(basic.d, allowance, major),
        pitch: below(basic.d2, allowance, pitch),
        minor: below(basic.d3, allowance, 2.0 * pitch),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    if class != "normal" {
        return Err(limits::unknown_class(thread, Element::Internal, class));
    }
    let basic = thread.basic();
    let p = thread.pitch.length.to_mm();
    let above = |basic: Length, tolerance: f64| {
        let at = |mm: f64| printed(Length::mm(mm), Unit::Mm);
        Range::both(at(basic.to_mm() + tolerance), at(basic.to_mm()), TOLERANCE).rounded(Rounding::Micrometre)
    };
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(printed(basic.d4_internal, Unit::Mm), OPEN_ROOT).rounded(Rounding::Micrometre),
        pitch: above(basic.d2, 0.12 * p + 0.03),
        minor: above(basic.d1_internal, 0.375 * p),
    })
}

impl Form for BritishAssociation {
    fn key(&self) -> &'static str {
        "ba"
    }
    fn name(&self) -> &'static str {
        "British Association"
    }
    fn standard(&self) -> Source {
        Source::formula("BS 93:2008", "")
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
    /// Depth 0.6 P, crest and root rounded alike with 0.1808 P. BS 93 takes the depth of its sizes to 0.005 mm, which
    /// the 17 depths printed show (Machinery's Handbook, 31st ed., p. 2115); finer pitches than its finest keep 0.6 P.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let depth = p * 0.6;
        let steps = depth.to_mm() / 0.005;
        let depth = if p.to_mm() > 0.185 { Length::mm((steps + 1e-6).round() * 0.005) } else { depth };
        vee::of_depth(FLANK, d, p, depth, Ends::Round)
    }
    fn ridge(&self) -> Ridge {
        Ridge::RoundedV
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    /// BS 93:2008, annex B.4.2: the nut's root radius should be at least half that of the form.
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        if element == Element::External {
            return Vec::new();
        }
        let source = Source::formula("BS 93:2008", "annex B.4.2, a recommendation");
        let range = Range::at_least(thread.basic().root_radius_internal * 0.5, source);
        vec![Extra { element: Some(element), what: ExtraKind::RootRadius, range }]
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["close", "normal"]],
            Element::Internal => &[&["normal"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &["normal", "close"],
            Element::Internal => &["normal"],
        }
    }
    /// BS 93:2008, annex B, whose formulas gave its tables.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        let close = limits.external.as_ref().is_some_and(|limits| limits.class == "close");
        if close && !larger(thread.pitch.length) {
            limits.warnings.push("BS 93 gives the close class for 0 to 10 BA only.".to_owned());
        }
        if thread.pitch.length.to_mm() < 0.185 {
            limits
                .warnings
                .push("BS 93 ends at 16 BA: its formulas are carried on to this finer pitch.".to_owned());
        }
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `2 BA`, `2 BA LH, close screw` (BS 93:2008, clause 5).
    fn print(&self, thread: &Thread) -> String {
        let (left, starts) = (left(thread, " LH"), starts_in_words(thread));
        format!("{} BA{left}{starts}{}", named_size(thread), classes_by_word(thread, ", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Machinery's Handbook, 31st ed., p. 2115: number, depth, radius, effective and minor diameter, mm.
    const PRINTED: [(&str, f64, f64, f64, f64); 17] = [
        ("0", 0.600, 0.1808, 5.400, 4.80),
        ("1", 0.540, 0.1627, 4.760, 4.22),
        ("2", 0.485, 0.1465, 4.215, 3.73),
        ("3", 0.440, 0.1320, 3.660, 3.22),
        ("4", 0.395, 0.1193, 3.205, 2.81),
        ("5", 0.355, 0.1067, 2.845, 2.49),
        ("6", 0.320, 0.0958, 2.480, 2.16),
        ("7", 0.290, 0.0868, 2.210, 1.92),
        ("8", 0.260, 0.0778, 1.940, 1.68),
        ("9", 0.235, 0.0705, 1.665, 1.43),
        ("10", 0.210, 0.0633, 1.490, 1.28),
        ("11", 0.185, 0.0561, 1.315, 1.13),
        ("12", 0.170, 0.0506, 1.130, 0.96),
        ("13", 0.150, 0.0452, 1.050, 0.90),
        ("14", 0.140, 0.0416, 0.860, 0.72),
        ("15", 0.125, 0.0380, 0.775, 0.65),
        ("16", 0.115, 0.0344, 0.675, 0.56),
    ];

    #[test]
    fn basic_sizes_of_bs_93() {
        for (number, depth, radius, pitch, minor) in PRINTED {
            let thread: Thread = format!("{number} BA").parse().expect("a listed size");
            let basic = thread.basic();
            let near = |ours: Length, printed: f64| (ours.to_mm() - printed).abs() < 1e-9;
            assert!(near(basic.d - basic.d2, depth), "{number} BA: {:?}", basic.d - basic.d2);
            assert!(near(basic.d2, pitch), "{number} BA: {:?}", basic.d2);
            assert!(near(basic.d3, minor), "{number} BA: {:?}", basic.d3);
            // The radius is that of the unrounded depth; that of 1 BA, 0.16275, has its last digit cut.
            let ours = vee::of_depth(FLANK, basic.d, basic.p, basic.p * 0.6, Ends::Round).root_radius;
            assert!((ours.to_mm() - radius).abs() <= 0.51e-4, "{number} BA: {ours:?}");
        }
    }

    #[test]
    fn the_rule_gives_every_size() {
        let two_figures = |value: f64| {
            let place = 10.0_f64.powf(1.0 - value.log10().floor());
            (value * place).round() / place
        };
        for (number, row) in SERIES.iter().enumerate() {
            let p = 0.9_f64.powi(i32::try_from(number).expect("small"));
            assert!((row.pitch.length.to_mm() - two_figures(p)).abs() < 1e-9, "{number} BA: pitch");
            assert!(
                (row.nominal.to_mm() - two_figures(6.0 * p.powf(1.2))).abs() < 1e-9,
                "{number} BA: diameter"
            );
        }
    }
}
