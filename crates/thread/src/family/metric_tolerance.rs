//! Tolerance classes of the 60° metric threads, M and MJ: grades, positions and lengths of engagement (ISO 965-1).

use super::tolerance::{
    DiameterRange, Microns, ToleranceTable, engagement_by_formula, printed, renard40, weaker, with_deviation,
};
use crate::designation::read::Class;
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, LimitsError, Range, Rounding};
use crate::table::{Row, Table};
use crate::{Length, Source, Thread, Unit};
use std::sync::LazyLock;

/// `6g`, `6H`, `4g6g`, `4H5H`, `6az`: grade and position of the pitch diameter, then of the crest diameter. The case
/// of the letter tells screw from nut (ISO 965-1, clause 5).
pub(super) struct Symbol {
    pub(super) element: Element,
    pub(super) pitch_grade: u32,
    pub(super) crest_grade: u32,
    /// In lower case.
    pub(super) position: &'static str,
}

const EXTERNAL_POSITIONS: [&str; 6] = ["az", "d", "e", "f", "g", "h"];
const INTERNAL_POSITIONS: [(&str, &str); 2] = [("G", "g"), ("H", "h")];

impl Symbol {
    pub(super) fn read(text: &str) -> Option<Self> {
        let (first, rest) = part(text)?;
        let second = if rest.is_empty() { first } else { part(rest).filter(|(_, rest)| rest.is_empty())?.0 };
        let ((pitch_grade, position), (crest_grade, crest_position)) = (first, second);
        if crest_position != position {
            return None;
        }
        let external = EXTERNAL_POSITIONS.iter().find(|known| **known == position);
        let internal = INTERNAL_POSITIONS.iter().find(|(known, _)| *known == position);
        let (element, position) = match (external, internal) {
            (Some(position), _) => (Element::External, *position),
            (None, Some((_, position))) => (Element::Internal, *position),
            (None, None) => return None,
        };
        // ISO 965-1 has grades 3 to 9 for the pitch diameter (4 to 8 of a nut), 4, 6, 8 for the crest of the screw
        // and 4 to 8 for that of the nut.
        let held = match element {
            Element::External => (3..=9).contains(&pitch_grade) && matches!(crest_grade, 4 | 6 | 8),
            Element::Internal => (4..=8).contains(&pitch_grade) && (4..=8).contains(&crest_grade),
        };
        held.then_some(Self { element, pitch_grade, crest_grade, position })
    }

    /// The symbol in `class`, if it is one of `element`.
    pub(super) fn of(class: &str, element: Element) -> Option<Self> {
        Self::read(class).filter(|symbol| symbol.element == element)
    }
}

/// Grade and position at the head of `text`, and what follows them.
fn part(text: &str) -> Option<((u32, &str), &str)> {
    let grade = text.chars().next()?.to_digit(10)?;
    let letters = &text[1..];
    let end = letters.find(|c: char| !c.is_alphabetic()).unwrap_or(letters.len());
    Some(((grade, &letters[..end]), &letters[end..]))
}

pub(super) fn class(text: &str) -> Option<Class> {
    let symbol = Symbol::read(text)?;
    Some(match symbol.element {
        Element::External => Class::External(text.to_owned()),
        Element::Internal => Class::Internal(text.to_owned()),
    })
}

static TOLERANCES: LazyLock<ToleranceTable> = LazyLock::new(|| {
    ToleranceTable::read("iso-metric-tolerances.csv", include_str!("../../data/iso-metric-tolerances.csv"))
});

const FORMULA: Source = Source::memory("ISO 965-1:2013", "formula behind the tables, rounded to R40");
const FROM_GRADE_6: Source =
    Source::memory("ISO 965-1:2013", "grade 6 times the factor of the grade, rounded to R40");

/// Fundamental deviation: es of the screw, EI of the nut with its sign turned (G mirrors g).
pub(super) fn deviation(position: &'static str, p: Length) -> Microns {
    let mm = p.to_mm();
    let formula = match position {
        "g" => 15.0 + 11.0 * mm,
        "f" => 30.0 + 11.0 * mm,
        "e" => 50.0 + 11.0 * mm,
        "d" => 80.0 + 11.0 * mm,
        // ISO 965-4, for zinc from the bath; the printed values follow it to the micrometre.
        "az" => return (-(300.0 + 20.0 * mm).round(), ZINC),
        _ => return (0.0, Source::formula("ISO 965-1:2013", "positions h and H: zero")),
    };
    TOLERANCES.find("es", position, None, p).unwrap_or((-renard40(formula), FORMULA))
}

const ZINC: Source =
    Source::derived("-(300 + 20 P) µm: the rule that the printed deviations of ISO 965-4 follow");

/// Td of the screw's major diameter: grade 6 is 180 P^2/3 − 3.15 P^-1/2 µm; grades 4 and 8 are 0.63 and 1.6 of it.
pub(super) fn major_tolerance(grade: u32, p: Length) -> Microns {
    let mm = p.to_mm();
    let grade_6 = TOLERANCES
        .find("Td", "6", None, p)
        .unwrap_or_else(|| (renard40(180.0 * mm.powf(2.0 / 3.0) - 3.15 / mm.sqrt()), FORMULA));
    scaled(
        grade_6,
        match grade {
            4 => 0.63,
            8 => 1.6,
            _ => 1.0,
        },
    )
}

/// TD1 of the nut's minor diameter: grade 6 is 433 P − 190 P^1.22 µm to P 0.8, 230 P^0.7 µm from P 1.
pub(super) fn minor_tolerance(grade: u32, p: Length) -> Microns {
    let mm = p.to_mm();
    let formula = || if mm < 0.9 { 433.0 * mm - 190.0 * mm.powf(1.22) } else { 230.0 * mm.powf(0.7) };
    let grade_6 = TOLERANCES.find("TD1", "6", None, p).unwrap_or_else(|| (renard40(formula()), FORMULA));
    scaled(
        grade_6,
        match grade {
            4 => 0.63,
            5 => 0.8,
            7 => 1.25,
            8 => 1.6,
            _ => 1.0,
        },
    )
}

/// Td2 of the screw's pitch diameter: grade 6 is 90 P^0.4 dm^0.1 µm; the nut's tolerances are multiples of it too.
pub(super) fn screw_pitch_tolerance(grade: u32, d: Length, p: Length) -> Microns {
    scaled(
        pitch_grade_6(d, p),
        match grade {
            3 => 0.5,
            4 => 0.63,
            5 => 0.8,
            7 => 1.25,
            8 => 1.6,
            9 => 2.0,
            _ => 1.0,
        },
    )
}

/// TD2 of the nut's pitch diameter.
pub(super) fn nut_pitch_tolerance(grade: u32, d: Length, p: Length) -> Microns {
    let (symbol, factor) = match grade {
        4 => ("4", 0.85),
        5 => ("5", 1.06),
        7 => ("7", 1.7),
        8 => ("8", 2.12),
        _ => ("6", 1.32),
    };
    let tabled = TOLERANCES.find("TD2", symbol, Some(DiameterRange::of(d)), p);
    tabled.unwrap_or_else(|| scaled(pitch_grade_6(d, p), factor))
}

fn pitch_grade_6(d: Length, p: Length) -> Microns {
    let range = DiameterRange::of(d);
    TOLERANCES
        .find("Td2", "6", Some(range), p)
        .unwrap_or_else(|| (renard40(90.0 * p.to_mm().powf(0.4) * range.mean().powf(0.1)), FORMULA))
}

fn scaled((um, source): Microns, factor: f64) -> Microns {
    if factor == 1.0 { (um, source) } else { (renard40(um * factor), weaker(source, FROM_GRADE_6)) }
}

/// Limits of a screw. Its root is that of the form at most metal; at least metal it is rounded with `least` pitches, a
/// radius that touches both flanks. `root` is the origin of both.
pub(super) fn external_limits(
    thread: &Thread,
    class: &str,
    least: f64,
    root: Source,
) -> Result<ElementLimits, LimitsError> {
    let symbol = Symbol::of(class, Element::External)
        .ok_or_else(|| limits::unknown_class(thread, Element::External, class))?;
    let basic = thread.basic();
    let (es, es_source) = deviation(symbol.position, basic.p);
    let (td, td_source) = major_tolerance(symbol.crest_grade, basic.p);
    let (td2, td2_source) = screw_pitch_tolerance(symbol.pitch_grade, basic.d, basic.p);
    // Where the position is zero, only the tolerance has an origin to tell.
    let origin = |tolerance| if es == 0.0 { tolerance } else { weaker(es_source, tolerance) };
    let range = |max, min, source| Range::both(max, min, source).rounded(Rounding::Micrometre);
    let at = |size: Length, tolerance: f64| with_deviation(size, es - tolerance);
    let pitch_min = at(basic.d2, td2);
    // A root of the least radius that touches both flanks lies H/2 less that radius below the pitch line.
    let deepest = basic.p * (2.0 * (3.0_f64.sqrt() / 4.0 - least));
    Ok(ElementLimits {
        element: Element::External,
        class: class.to_owned(),
        major: range(at(basic.d, 0.0), at(basic.d, td), origin(td_source)),
        pitch: range(at(basic.d2, 0.0), pitch_min, origin(td2_source)),
        minor: range(
            at(basic.d3, 0.0),
            printed(pitch_min - deepest, Unit::Mm),
            weaker(origin(td2_source), root),
        ),
    })
}

/// Limits of a nut.
pub(super) fn internal_limits(thread: &Thread, class: &str) -> Result<ElementLimits, LimitsError> {
    let symbol = Symbol::of(class, Element::Internal)
        .ok_or_else(|| limits::unknown_class(thread, Element::Internal, class))?;
    let basic = thread.basic();
    let (es, ei_source) = deviation(symbol.position, basic.p);
    let ei = -es;
    let (td1, td1_source) = minor_tolerance(symbol.crest_grade, basic.p);
    let (td2, td2_source) = nut_pitch_tolerance(symbol.pitch_grade, basic.d, basic.p);
    let range = |size: Length, tolerance: f64, source| {
        let source = if ei == 0.0 { source } else { weaker(ei_source, source) };
        Range::both(with_deviation(size, ei + tolerance), with_deviation(size, ei), source)
            .rounded(Rounding::Micrometre)
    };
    Ok(ElementLimits {
        element: Element::Internal,
        class: class.to_owned(),
        major: Range::at_least(with_deviation(basic.d4_internal, ei), ei_source)
            .rounded(Rounding::Micrometre),
        pitch: range(basic.d2, td2, td2_source),
        minor: range(basic.d1_internal, td1, td1_source),
    })
}

/// A tabled range of lengths of engagement.
struct Engagement {
    over: f64,
    pitch: f64,
    range: Range,
}

static ENGAGEMENT: LazyLock<Vec<Engagement>> = LazyLock::new(|| {
    let table =
        Table::read("iso-metric-engagement.csv", include_str!("../../data/iso-metric-engagement.csv"));
    let read = |row: Row<'_>| {
        let [min, max] = ["min", "max"].map(|column| Length::mm(row.required(column)));
        Engagement {
            over: row.required("d_over"),
            pitch: row.required("pitch"),
            range: Range::both(max, min, row.source("source")),
        }
    };
    table.rows().map(read).collect()
});

const ENGAGEMENT_FORMULA: Source = Source::memory(
    "ISO 965-1:2013",
    "normal length of engagement, 2.24 P d^0.2 to 6.7 P d^0.2; below it choose 5g6g and 5H, above it 7g6g and 7H (medium)",
);

/// Length of engagement of the normal group N, for which the classes of one grade are meant; what is shorter is of
/// group S, what is longer of group L. By table, else by the formula with the lower end of the diameter range.
pub(super) fn normal_engagement(d: Length, p: Length) -> Extra {
    let over = DiameterRange::of(d).over();
    let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
    match ENGAGEMENT.iter().find(|row| same(row.over, over) && same(row.pitch, p.to_mm())) {
        Some(row) => Extra { element: None, what: ExtraKind::LengthOfEngagement, range: row.range },
        None => engagement_by_formula(d, p, ENGAGEMENT_FORMULA),
    }
}

/// An undercut at the end of a screw's thread: pitch, how far its diameter lies below d, its radius, origin.
type Undercut = (f64, Option<Length>, Option<Length>, Source);

static UNDERCUTS: LazyLock<Vec<Undercut>> = LazyLock::new(|| {
    let table = Table::read("iso-metric-undercuts.csv", include_str!("../../data/iso-metric-undercuts.csv"));
    let read = |row: Row<'_>| {
        let [below, radius] = ["below_d", "radius"].map(|column| row.number(column).map(Length::mm));
        (row.required("pitch"), below, radius, row.source("source"))
    };
    table.rows().map(read).collect()
});

/// The groove at the end of a screw's thread into which the tool runs out (DIN 76-1), where one is held for the pitch.
pub(super) fn undercut(d: Length, p: Length) -> Vec<Extra> {
    let Some((_, below, radius, source)) =
        UNDERCUTS.iter().find(|(pitch, ..)| (pitch - p.to_mm()).abs() < 1e-9)
    else {
        return Vec::new();
    };
    let extra = |what, range| Extra { element: Some(Element::External), what, range };
    let diameter = below.map(|below| {
        extra(ExtraKind::UndercutDiameter, Range::at_most(printed(d - below, Unit::Mm), *source))
    });
    let radius = radius.map(|radius| extra(ExtraKind::UndercutRadius, Range::at_least(radius, *source)));
    diameter.into_iter().chain(radius).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_have_two_parts_of_one_position() {
        let read = |text| Symbol::read(text).map(|s| (s.element, s.pitch_grade, s.crest_grade, s.position));
        assert_eq!(read("6g"), Some((Element::External, 6, 6, "g")));
        assert_eq!(read("4H5H"), Some((Element::Internal, 4, 5, "h")));
        assert_eq!(read("6az"), Some((Element::External, 6, 6, "az")));
        for refused in ["", "g6", "6g6", "6g6h", "4H6h", "5g", "6a", "6g6g6g", "3H", "10g"] {
            assert_eq!(read(refused), None, "{refused}");
        }
    }

    /// Sizes off the tables rest on the formulas, so these are held against every row. They need not agree everywhere:
    /// the table is the norm. The rows that differ are known one by one.
    #[test]
    fn formulas_agree_with_the_tables_but_for_known_rows() {
        let table = Table::read("t", include_str!("../../data/iso-metric-tolerances.csv"));
        let (mut agreeing, mut differing) = (0, Vec::new());
        for row in table.rows() {
            let (quantity, grade, p) = (row.text("quantity"), row.text("grade"), row.required("pitch"));
            let range = DiameterRange::of(Length::mm(row.number("d_to").unwrap_or(100.0)));
            let td2 = renard40(90.0 * p.powf(0.4) * range.mean().powf(0.1));
            let formula = match (quantity, grade) {
                ("es", "g") => -renard40(15.0 + 11.0 * p),
                ("es", "f") => -renard40(30.0 + 11.0 * p),
                ("es", "e") => -renard40(50.0 + 11.0 * p),
                ("es", "d") => -renard40(80.0 + 11.0 * p),
                ("Td", _) => renard40(180.0 * p.powf(2.0 / 3.0) - 3.15 / p.sqrt()),
                ("TD1", _) if p < 0.9 => renard40(433.0 * p - 190.0 * p.powf(1.22)),
                ("TD1", _) => renard40(230.0 * p.powf(0.7)),
                ("Td2", _) => td2,
                ("TD2", "4") => renard40(td2 * 0.85),
                ("TD2", "5") => renard40(td2 * 1.06),
                ("TD2", "6") => renard40(td2 * 1.32),
                other => panic!("{other:?}"),
            };
            if formula == row.required("value_um") {
                agreeing += 1;
            } else {
                differing.push(format!("{quantity} {grade} {} {p}: {formula}", row.text("d_to")));
            }
        }
        println!("formula and table: {agreeing} agree, {} differ", differing.len());
        assert_eq!(differing, KNOWN);
    }

    /// Quantity, grade, upper end of the diameter range, pitch: what the formula would give.
    const KNOWN: &[&str] = &[
        "es g  0.75: -24",
        "Td 6  0.75: 150",
        "Td 6  4: 450",
        "TD1 6  0.5: 132",
        "TD1 6  2.5: 425",
        "Td2 6 5.6 0.5: 80",
        "Td2 6 90 5: 265",
        "TD2 6 5.6 0.5: 106",
        "TD2 6 11.2 1.5: 170",
        "TD2 6 22.4 1.25: 170",
        "TD2 6 22.4 1.5: 180",
        "TD2 6 90 5: 355",
        "es e  0.5: -56",
        "es e  0.6: -56",
        "es f  0.6: -38",
        "es e  0.75: -60",
        "es f  0.8: -40",
        "es f  1.25: -45",
        "es f  1.5: -48",
        "es f  1.75: -50",
        "es f  2: -53",
        "es f  2.5: -56",
        "es f  3.5: -67",
        "TD2 4 5.6 0.5: 67",
        "TD2 5 5.6 0.5: 85",
        "TD1 6  0.25: 75",
        "es g  8: -106",
    ];
}
