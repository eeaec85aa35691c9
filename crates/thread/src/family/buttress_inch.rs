//! American buttress thread, 7° and 45° (ASME B1.9).
//!
//! The screw of a thread marked `BUTT` pulls: its clearance flank of 45° leads and the load flank of 7° follows. One
//! marked `PUSH-BUTT` pushes: the load flank leads (Machinery's Handbook, 27th ed., p. 1852, from memory).

use super::tolerance::{inch_range, places, weaker};
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::DesignationError;
use crate::designation::print::{classes_by_letter, inch_size, left, starts_in_words};
use crate::designation::read::{Class, Dialect, Order, read};
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range};
use crate::profile::Basic;
use crate::table::Table;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct ButtressInch;

static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| {
    series::inch("buttress-inch-series.csv", include_str!("../../data/buttress-inch-series.csv"))
});

const DIALECT: Dialect = Dialect {
    family: Family::ButtressInch,
    words: &[
        ("butt", None),
        ("push butt", None),
        ("pull butt", None),
        ("buttress", None),
        ("push buttress", None),
        ("pull buttress", None),
        ("american buttress", None),
    ],
    order: Order::Inch,
    class,
    class_phrase: "a class 2A, 3A (screw) or 2B, 3B (nut)",
    implied_series: None,
    number_sizes: false,
};

const EXTERNAL: [&str; 3] = ["2A", "3A", "1A"];
const INTERNAL: [&str; 3] = ["2B", "3B", "1B"];

fn class(text: &str) -> Option<Class> {
    Class::by_letter(text, &EXTERNAL, &INTERNAL)
}

const PUSH: &str = "push";

const VARIANTS: [Variant; 1] = [Variant {
    name: PUSH,
    document: Source::memory("ASME B1.9-1973", "designation PUSH-BUTT"),
    differs: "the screw pushes: its load flank of 7° leads and the clearance flank of 45° follows",
}];

// Factors of the pitch (Machinery's Handbook, 27th ed., p. 1853).
/// Basic height of engagement.
const HEIGHT: f64 = 0.6;
/// What the screw's root lies below the nut's crest, and the nut's root beyond the screw's crest, on diameter.
const ROOT_ROOM: f64 = 0.12542;
/// From the pitch diameter to the deepest root, on diameter.
const TO_ROOT: f64 = 0.80803;
const ROOT_RADIUS: f64 = 0.07141;

const FORM: Source = Source::formula("ASME B1.9-1973", "form (Machinery's Handbook, 27th ed., p. 1853)");

/// Pitch diameter tolerance of class 2, inches: table 4 where it has the size, else its formula with the middle of the
/// range of diameters.
fn class_2(d: f64, p: f64) -> (f64, Source) {
    /// Upper ends of the ranges of diameters; those beyond 16 in are from memory.
    const ENDS: [f64; 10] = [0.5, 0.7, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 24.0];
    static TABLE: LazyLock<Table> = LazyLock::new(|| {
        Table::read("buttress-inch-tolerances.csv", include_str!("../../data/buttress-inch-tolerances.csv"))
    });
    let row = TABLE.rows().find(|row| {
        (row.required("tpi") * p - 1.0).abs() < 1e-9
            // The first range holds its lower end too.
            && (row.required("over") < d || (row.required("over") - d).abs() < 1e-9 && row.required("over") == 0.5)
            && d <= row.required("to") + 1e-9
    });
    if let Some(row) = row {
        return (row.required("tolerance"), row.source("source"));
    }
    let range = ENDS.windows(2).find(|ends| d <= ends[1] + 1e-9 && d >= ends[0] - 1e-9);
    let mean = range.map_or(d, |ends| (ends[0] + ends[1]) / 2.0);
    let tolerance = 0.002 * mean.cbrt() + 0.00278 * (10.0 * p).sqrt() + 0.00854 * p.sqrt();
    (
        tolerance,
        Source::memory(
            "ASME B1.9-1973",
            "recalled; equal to the 19 legible values of its table 4 (Machinery's Handbook, 27th ed., p. 1854)",
        ),
    )
}

/// Tolerance of a class, and the allowance, which is the tolerance of class 3 whatever the class (Machinery's Handbook,
/// 27th ed., p. 1855). Classes 3 and 1 as shares of class 2 are from memory.
fn tolerances(d: f64, p: f64, class: &str) -> Option<(f64, f64, Source)> {
    const RATIO: Source = Source::memory("ASME B1.9-1973", "class 3 has 2/3 of class 2");
    const FREE: Source = Source::memory("ASA B1.9-1953", "class 1 (free), since withdrawn: 3/2 of class 2");
    let (standard, source) = class_2(d, p);
    let allowance = places(standard * 2.0 / 3.0);
    match class.as_bytes().first()? {
        b'1' => Some((places(standard * 1.5), allowance, FREE)),
        b'2' => Some((places(standard), allowance, source)),
        b'3' => Some((allowance, allowance, weaker(source, RATIO))),
        _ => None,
    }
}

fn external_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let known = EXTERNAL.contains(&class).then(|| tolerances(d, p, class)).flatten();
    let Some((tolerance, allowance, source)) = known else {
        return Err(limits::unknown_class(thread, Element::External, class));
    };
    // The allowance is that of class 3, recalled, whatever the class.
    let source = weaker(source, Source::memory("ASME B1.9-1973", "allowance: class 3 has 2/3 of class 2"));
    let basic = thread.basic();
    let (major, pitch) = (d - allowance, places(basic.d2.to_inch()) - allowance);
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: inch_range(major, major - tolerance, source),
        pitch: inch_range(pitch, pitch - tolerance, source),
        minor: inch_range(basic.d3.to_inch() - allowance, pitch - tolerance - TO_ROOT * p, source),
    })
}

fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let (d, p) = (thread.nominal.to_inch(), thread.pitch.length.to_inch());
    let known = INTERNAL.contains(&class).then(|| tolerances(d, p, class)).flatten();
    let Some((tolerance, _, source)) = known else {
        return Err(limits::unknown_class(thread, Element::Internal, class));
    };
    let basic = thread.basic();
    let (pitch, minor) = (places(basic.d2.to_inch()), places(basic.d1_internal.to_inch()));
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: inch_range(pitch + tolerance + TO_ROOT * p, basic.d4_internal.to_inch(), source),
        pitch: inch_range(pitch + tolerance, pitch, source),
        minor: inch_range(minor + tolerance, minor, source),
    })
}

const LENGTH: &str = "The tolerances hold for engagement up to ten pitches.";
const WITHDRAWN: &str = "Class 1 is of the 1953 edition and was withdrawn; its tolerance is from memory.";

impl Form for ButtressInch {
    fn key(&self) -> &'static str {
        "buttress-inch"
    }
    fn name(&self) -> &'static str {
        "American buttress"
    }
    fn standard(&self) -> Source {
        Source::formula("ASME B1.9-1973", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(52.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        self.basic_in(None, d, p)
    }
    /// Height of engagement 0.6 P: d2 = d − 0.6 P, D1 = d − 1.2 P; d3 = d − 1.32542 P, D4 = d + 0.12542 P; both roots a full
    /// radius of 0.07141 P (Machinery's Handbook, 27th ed., p. 1853). The allowance of the screw is left out here.
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        let (load, clearance) = (Angle::deg(7.0), Angle::deg(45.0));
        let (leading, trailing) = if variant == Some(PUSH) { (load, clearance) } else { (clearance, load) };
        let roots = p * ROOT_RADIUS;
        let external = [d, d - p * HEIGHT, d - p * (2.0 * HEIGHT + ROOT_ROOM)];
        let internal = [d + p * ROOT_ROOM, d - p * (2.0 * HEIGHT)];
        Basic {
            root_radius: roots,
            root_radius_internal: roots,
            ..Basic::straight(p, external, internal, [leading, trailing])
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sawtooth
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
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let p = thread.pitch.length;
        let extra = |what, size| Extra { element: Some(element), what, range: Range::both(size, size, FORM) };
        vec![
            extra(ExtraKind::RootRadius, p * ROOT_RADIUS),
            extra(ExtraKind::CrestFlat, thread.basic().crest_width),
        ]
    }
    fn ladders(&self, element: Element) -> &'static [&'static [&'static str]] {
        match element {
            Element::External => &[&["3A", "2A", "1A"]],
            Element::Internal => &[&["3B", "2B", "1B"]],
        }
    }
    fn classes(&self, element: Element) -> &'static [&'static str] {
        match element {
            Element::External => &EXTERNAL,
            Element::Internal => &INTERNAL,
        }
    }
    /// ASME B1.9-1973: class 2 by table 4, the others as shares of it.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let mut limits = limits::of_single_start(thread, external_limits, internal_limits)?;
        limits.warnings.push(LENGTH.to_owned());
        let sides = [&limits.external, &limits.internal];
        if sides.into_iter().flatten().any(|side| side.class.starts_with('1')) {
            limits.warnings.push(WITHDRAWN.to_owned());
        }
        Ok(limits)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let push = text.to_lowercase().contains("push").then_some(PUSH);
        let thread = read(text, &DIALECT)?;
        Some(thread.map(|thread| Thread { variant: push, ..thread }))
    }
    /// `2 1/2-8 BUTT-2A-LH`, `2 1/2-8 PUSH-BUTT-2B` (ASME B1.9-1973, from memory).
    fn print(&self, thread: &Thread) -> String {
        format!(
            "{} {}{}{}{}",
            inch_size(thread),
            if thread.variant == Some(PUSH) { "PUSH-BUTT" } else { "BUTT" },
            classes_by_letter(thread),
            left(thread, "-LH"),
            starts_in_words(thread)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Machinery's Handbook, 27th ed., p. 1853: crest flat 0.16316 P, root flat 0.0928 P, which the radius 0.07141 P just
    /// fills; depth of either thread 0.66271 P; height of the sharp form 0.89064 P.
    #[test]
    fn form() {
        let (d, p) = (Length::inch(4.0), Length::inch(1.0));
        let basic = ButtressInch.basic(d, p);
        assert!((basic.crest_width.to_inch() - 0.16316).abs() < 5e-6);
        assert!((basic.root_width.to_inch() - 0.0928).abs() < 6e-5);
        assert!(((d - basic.d3).to_inch() / 2.0 - 0.66271).abs() < 5e-6);
        let tangents = (41.5_f64.to_radians().tan() + 22.5_f64.to_radians().tan()) * ROOT_RADIUS;
        assert!((tangents - basic.root_width.to_inch()).abs() < 2e-5);
        let sharp = 1.0 / (7.0_f64.to_radians().tan() + 45.0_f64.to_radians().tan());
        assert!((sharp - 0.89064).abs() < 5e-6);
    }

    #[test]
    fn the_load_flank_leads_where_the_screw_pushes() {
        let pull: Thread = "2.5-8 BUTT-2A".parse().expect("a designation");
        let push: Thread = "2.5-8 push-butt-2a".parse().expect("a designation");
        assert_eq!(pull.basic().flank_trailing, Angle::deg(7.0));
        assert_eq!(push.basic().flank_leading, Angle::deg(7.0));
        assert_eq!(push.to_string(), "2 1/2-8 PUSH-BUTT-2A");
    }
}
