//! Unified thread with controlled root, UNJ, 60° (ASME B1.15, ISO 3161): the root of the screw is a large radius, and the
//! nut's minor diameter stands clear of it.

use super::tolerance::{inch_range, places, printed};
use super::{Family, Form, Ridge, SeriesRow, unified};
use crate::designation::print::{classes_by_letter, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Unj;

/// The standard series of UN, which ASME B1.15 takes over.
static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| {
    let rows = Family::Unified.form().series().iter().filter(|row| row.series != "UNS");
    let source = Source::memory(
        "ASME B1.15-1995",
        "standard series from 0.060 to 6.000 in, taken to be those of ASME B1.1",
    );
    rows.map(|row| SeriesRow { series: controlled(row.series), source, ..*row }).collect()
});

/// The name of a series of UN in UNJ.
fn controlled(series: &str) -> &'static str {
    match series {
        "UNC" => "UNJC",
        "UNF" => "UNJF",
        "UNEF" => "UNJEF",
        "UNS" => "UNJS",
        _ => "UNJ",
    }
}

const DIALECT: Dialect = Dialect {
    family: Family::UnifiedJ,
    words: &[
        ("unjc", Some("UNJC")),
        ("unjf", Some("UNJF")),
        ("unjef", Some("UNJEF")),
        ("unj", None),
        ("unjs", None),
    ],
    order: Order::Inch,
    class,
    class_phrase: "a class 3A, 2A (screw) or 3B, 2B (nut)",
    implied_series: None,
    number_sizes: true,
};

const EXTERNAL: [&str; 2] = ["3A", "2A"];
const INTERNAL: [&str; 2] = ["3B", "2B"];

fn class(text: &str) -> Option<Class> {
    Class::by_letter(text, &EXTERNAL, &INTERNAL)
}

/// Bounds of the root's radius, as shares of the pitch.
const ROOT: (f64, f64) = (0.15011, 0.18042);
const ROOT_SOURCE: Source = Source::formula("ASME B1.15-1995", "scope: radius 0.15011 P to 0.18042 P");
const FORMULA: Source =
    Source::memory("ASME B1.15-1995", "tolerances of pitch and crest diameters, as ASME B1.1");
const MINOR: Source = Source::derived(
    "pitch diameter of the screw and a root of radius 0.15011 P to 0.18042 P that touches both flanks",
);
const NUT_MINOR: Source =
    Source::memory("ASME B1.15-1995", "nut's minor diameter D - 0.97428 P; tolerance at most 0.259809 P");

/// How far on diameter the bottom of a root of radius `r` lies below the pitch line: H − 2 r, since the flanks meet at
/// H/2 below it and the bottom of the arc stands r above that apex.
fn root_depth(p: f64, r: f64) -> f64 {
    p * (3.0_f64.sqrt() / 2.0 - 2.0 * r)
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    offered(thread, Element::External, class)?;
    let unified::Screw { allowance, major, pitch } = unified::screw(thread, class)?;
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let pitch_max = places(Unj.basic(thread.nominal, thread.pitch.length).d2.to_inch()) - allowance;
    let pitch_min = pitch_max - pitch;
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: inch_range(d - allowance, d - allowance - major, FORMULA),
        pitch: inch_range(pitch_max, pitch_min, FORMULA),
        minor: inch_range(pitch_max - root_depth(p, ROOT.1), pitch_min - root_depth(p, ROOT.0), MINOR),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    offered(thread, Element::Internal, class)?;
    let basic = Unj.basic(thread.nominal, thread.pitch.length);
    let (d2, d1) = (places(basic.d2.to_inch()), places(basic.d1_internal.to_inch()));
    // The tolerance of 3B, in 2B as well: none other was found for UNJ.
    let minor = places(unified::minor_tolerance("3B", thread, 0.259809));
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(printed(thread.nominal, Unit::Inch), FORMULA).rounded(Rounding::TenThousandth),
        pitch: inch_range(d2 + unified::nut_pitch(thread, class)?, d2, FORMULA),
        minor: inch_range(d1 + minor, d1, NUT_MINOR),
    })
}

fn offered(thread: &Thread, element: Element, class: &str) -> Result<(), LimitsError> {
    let known = Unj.classes(element).contains(&class);
    known.then_some(()).ok_or_else(|| limits::unknown_class(thread, element, class))
}

impl Form for Unj {
    fn key(&self) -> &'static str {
        "unified-j"
    }
    fn name(&self) -> &'static str {
        "Unified J"
    }
    fn standard(&self) -> Source {
        Source::formula("ASME B1.15-1995", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// H = P √3/2; d2 = d − 3/4 H as UN; the nut's minor diameter D1 = d − 9/8 H = d − 0.97428 P; the screw's is that of
    /// the largest root radius, 0.18042 P: d − 1.15470 P (ASME B1.15-1995).
    fn basic(&self, d: Length, p: Length) -> Basic {
        let h = p * (3.0_f64.sqrt() / 2.0);
        let d2 = d - h * 0.75;
        let external = [d, d2, d2 - (h - p * (2.0 * ROOT.1))];
        let form = Basic::straight(p, external, [d, d - h * 1.125], [Angle::deg(30.0); 2]);
        Basic { root_radius: p * ROOT.1, ..form }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let p = thread.pitch.length;
        let range = Range::both(p * ROOT.1, p * ROOT.0, ROOT_SOURCE);
        match element {
            Element::External => vec![Extra { element: Some(element), what: ExtraKind::RootRadius, range }],
            Element::Internal => Vec::new(),
        }
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["3A", "2A"]],
            Element::Internal => &[&["3B", "2B"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    /// Allowances and tolerances of ASME B1.1 on the UNJ form (from memory); the screw's minor diameter follows from
    /// the bounds of its root's radius.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        limits::of_single_start(thread, external_limits, internal_limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `1/4-28 UNJF-3A` (ASME B1.15-1995).
    fn print(&self, thread: &Thread) -> String {
        format!(
            "{} {}{}{}{}",
            unified::size(thread),
            controlled(unified::series_name(thread.nominal, thread.pitch.length)),
            classes_by_letter(thread),
            left(thread, "-LH"),
            starts_in_words(thread)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The scope's radii give the minor diameters that ISO 5855-1 prints as factors for the same form in millimetres:
    /// d3 = d − 1.154701 P at the largest radius, D1 = D − 0.974279 P.
    #[test]
    fn form() {
        let (d, p) = (Length::inch(1.0), Length::inch(0.1));
        let basic = Unj.basic(d, p);
        assert!(((d - basic.d3) / p - 1.154701).abs() < 2e-5);
        assert!(((d - basic.d1_internal) / p - 0.974279).abs() < 1e-6);
        // A root radius that touches both flanks leaves no flat at its bottom.
        assert!(
            (basic.root_width - basic.root_radius * (2.0 * 30.0_f64.to_radians().tan())).abs() < p * 1e-6
        );
    }
}
