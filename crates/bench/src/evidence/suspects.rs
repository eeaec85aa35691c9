//! Readings that look like slips of the hand: a unit taken for another, a decimal point or two digits misplaced,
//! crests counted for pitches, one angle for another. Each gives words that ask; nothing is changed.

use super::Weighed;
use crate::job::{Feature, Job, LeafVerdict, Quantity, Reading, SeenForm, Words};
use crate::report::show;
use crate::report::{Fine, Value};
use flankwise_thread::{Element, Length, quantity};

/// All suspects, by index of the reading.
pub(super) fn suspects(job: &Job, weighed: &[Weighed]) -> Vec<(usize, String)> {
    let mut found: Vec<(usize, String)> = Vec::new();
    for reading in weighed {
        let asked = against_others(job, weighed, reading)
            .or_else(|| against_leaves(job, reading))
            .or_else(|| against_other_features(job, weighed, reading))
            .or_else(|| angle_of_one_or_both(job, reading));
        found.extend(asked.map(|words| (reading.index, words)));
    }
    found
}

/// A reading's value in millimetres; for counts the pitch.
fn mm(reading: &Weighed) -> Option<f64> {
    match reading.value {
        Quantity::Length(length, _) => Some(length.to_mm()),
        Quantity::Angle(_) => None,
    }
}

fn typed(job: &Job, index: usize) -> &Reading {
    &job.readings[index]
}

/// A length as the person reads it.
fn said(job: &Job, mm: f64, fine: Fine) -> String {
    show::value(&Value::Length(Length::mm(mm), fine), job.unit)
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(values[n / 2]),
        _ => Some((values[n / 2 - 1] + values[n / 2]) / 2.0),
    }
}

/// How far a ratio may be from 25.4 or 10 and still look like it: wear and different places move readings by
/// less than this, and the next whole ratio is farther (chosen here).
const LIKE: f64 = 0.08;

fn like(ratio: f64, whole: f64) -> bool {
    (ratio / whole - 1.0).abs() < LIKE
}

/// Against the other readings of the same feature.
fn against_others(job: &Job, weighed: &[Weighed], reading: &Weighed) -> Option<String> {
    let value = mm(reading)?;
    let same =
        |w: &&Weighed| w.part == reading.part && w.feature == reading.feature && w.wire == reading.wire;
    let alike: Vec<(usize, f64)> =
        weighed.iter().filter(same).filter_map(|w| Some((w.index, mm(w)?))).collect();
    let count = alike.len() - 1;
    // Of three or more the median is not moved by one slip. Of two that differ either may be it: the later asks.
    let middle = match alike.as_slice() {
        [] | [_] => return None,
        [first, second] if second.0 == reading.index => first.1,
        [_, _] => return None,
        all => median(all.iter().map(|(_, v)| *v).collect())?,
    };
    let text = &typed(job, reading.index).typed;
    let others_say = match count {
        1 => format!("the other one says {}", said(job, middle, Fine::Shop)),
        _ => format!("the others say {}", said(job, middle, Fine::Shop)),
    };
    let ratio = value / middle;
    for (whole, words) in [
        (25.4, "25.4 times as much: inches typed as millimetres, or the other way round?"),
        (1.0 / 25.4, "a 25.4th of that: millimetres typed as inches, or the other way round?"),
        (10.0, "ten times as much: is the decimal point one place too far right?"),
        (0.1, "a tenth of that: is the decimal point one place too far left?"),
        (100.0, "a hundred times as much: is the decimal point two places too far right?"),
        (0.01, "a hundredth of that: is the decimal point two places too far left?"),
    ] {
        if like(ratio, whole) {
            return Some(format!("{text}, where {others_say}, is {words}"));
        }
    }
    // Wear shifts readings along a part by tenths; a slip of digits shifts them by more.
    let apart = (value - middle).abs();
    if apart > (0.02 * middle).max(0.5) {
        if let Some(swapped) = swap_that_agrees(typed(job, reading.index), middle) {
            return Some(format!("{text}, where {others_say}: are two digits swapped, {swapped}?"));
        }
        if apart > 0.1 * middle {
            let by = said(job, apart, Fine::Shop);
            return Some(format!("{text} is {by} away from where {others_say}: read it again?"));
        }
    }
    None
}

/// The text with two neighbouring digits swapped that agrees with `middle` to half a per cent.
fn swap_that_agrees(reading: &Reading, middle: f64) -> Option<String> {
    let Quantity::Length(_, unit) = reading.value else { return None };
    let digits: Vec<usize> =
        reading.typed.bytes().enumerate().filter(|(_, b)| b.is_ascii_digit()).map(|(i, _)| i).collect();
    digits.windows(2).find_map(|pair| {
        let mut bytes = reading.typed.clone().into_bytes();
        bytes.swap(pair[0], pair[1]);
        let text = String::from_utf8(bytes).ok()?;
        let value =
            quantity::parse_length(&text, unit).ok()?.0.to_mm() / f64::from(reading.count.unwrap_or(1));
        ((value / middle - 1.0).abs() < 0.005).then_some(text)
    })
}

/// A pitch against the leaves that seat.
fn against_leaves(job: &Job, reading: &Weighed) -> Option<String> {
    if reading.feature != Feature::Pitch {
        return None;
    }
    let pitch = mm(reading)?;
    let source = typed(job, reading.index);
    let seats: Vec<f64> = job
        .leaves
        .iter()
        .filter(|l| l.verdict == LeafVerdict::Seats)
        .map(|l| l.pitch.length.to_mm())
        .collect();
    let near = |p: f64, leaf: f64| (p / leaf - 1.0).abs() < 0.006;
    if seats.iter().any(|&leaf| near(pitch, leaf)) {
        return None;
    }
    let leaf_says = |leaf: f64| format!("the leaf of {} seats", said(job, leaf, Fine::Gauge));
    if let Some(count) = source.count {
        let span = pitch * f64::from(count);
        for &leaf in &seats {
            for other in [count.saturating_sub(1), count + 1] {
                if other > 0 && near(span / f64::from(other), leaf) {
                    let span_typed = &source.typed;
                    return Some(format!(
                        "{span_typed} over {count} pitches is not what the gauge says, but over {other} it is: {}. \
                         Between {} crests there are {other} pitches; were crests counted?",
                        leaf_says(leaf),
                        other + 1
                    ));
                }
            }
        }
    }
    seats.into_iter().find_map(|leaf| {
        let words = if like(pitch / leaf, 25.4) || like(pitch / leaf, 1.0 / 25.4) {
            "was a unit taken for the other?"
        } else if like(pitch / leaf, 10.0) || like(pitch / leaf, 0.1) {
            "is the decimal point in its place?"
        } else {
            return None;
        };
        Some(format!("{}, where {}: {words}", source.typed, leaf_says(leaf)))
    })
}

/// Against what another feature of the same or the mating part allows.
fn against_other_features(job: &Job, weighed: &[Weighed], reading: &Weighed) -> Option<String> {
    let value = mm(reading)?;
    let text = &typed(job, reading.index).typed;
    let of = |part: Element, feature: Feature| {
        weighed.iter().filter(move |w| w.part == part && w.feature == feature).filter_map(mm)
    };
    let largest = |part, feature| of(part, feature).max_by(f64::total_cmp);
    match (reading.part, reading.feature) {
        (part, Feature::MinorDiameter | Feature::PitchDiameter) => {
            let major = largest(part, Feature::MajorDiameter);
            if let Some(major) = major.filter(|m| value >= *m) {
                let name = reading.feature.word();
                let major_said = said(job, major, Fine::Shop);
                return Some(if like(value / major, 25.4) {
                    format!("{text} is 25.4 times the major diameter {major_said}: which unit is it in?")
                } else {
                    format!(
                        "a {name} of {text} is not below the major diameter {major_said}: are they swapped?"
                    )
                });
            }
            let screw = largest(Element::External, Feature::MajorDiameter)
                .filter(|_| part == Element::Internal && reading.feature == Feature::MinorDiameter);
            let screw = screw.filter(|s| value >= *s)?;
            Some(format!(
                "a nut of bore {text} slips over a screw of {}: is it this screw's nut, and the bore that was read?",
                said(job, screw, Fine::Shop)
            ))
        }
        (part, Feature::ThreadDepth) => {
            let pitch = of(part, Feature::Pitch).next().filter(|p| value > *p)?;
            Some(format!(
                "a depth of {text} is more than the pitch {}: is it measured on the diameter, or over the part?",
                said(job, pitch, Fine::Gauge)
            ))
        }
        _ => None,
    }
}

/// Trapezoidal threads have 14.5° or 15° to a flank: twice that for one flank is both of them.
fn angle_of_one_or_both(job: &Job, reading: &Weighed) -> Option<String> {
    let Quantity::Angle(angle) = reading.value else { return None };
    let text = &typed(job, reading.index).typed;
    let flat_topped = job.observed.form == Some(SeenForm::FlatTopped);
    let degrees = angle.to_deg();
    match reading.feature {
        Feature::FlankAngle if flat_topped && (27.0..=32.0).contains(&degrees) => Some(format!(
            "{text} to one flank would make {:.0}° between both: is it the included angle?",
            2.0 * degrees
        )),
        Feature::IncludedAngle if flat_topped && (13.0..=16.5).contains(&degrees) => Some(format!(
            "{text} between both flanks is half of what such threads have: is it the angle of one flank?"
        )),
        _ => None,
    }
}
