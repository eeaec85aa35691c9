//! Readings that look like slips of the hand: a unit taken for another, a decimal point or two digits misplaced,
//! crests counted for pitches, one angle for another. Each gives words that ask, and what would mend it; nothing is changed.

use super::{SAME_PLACE, Weighed};
use crate::job::{self, Feature, Job, LeafVerdict, Quantity, Reading, SeenForm, Words};
use crate::report::show;
use crate::report::{Answer, Fine, Value};
use flankwise_thread::{Element, Length, Unit, quantity};

/// A question about readings that look like a slip.
pub(super) struct Question {
    /// Indices of the readings that may be it, the one to look at first before the others.
    pub(super) readings: Vec<usize>,
    pub(super) words: String,
    /// What would mend it.
    pub(super) answers: Vec<Answer>,
}

impl Question {
    fn of(reading: &Weighed, words: String) -> Self {
        Self { readings: vec![reading.index], words, answers: Vec::new() }
    }

    /// The answer that the value was meant to be `typed`.
    fn or_value(mut self, index: usize, typed: String) -> Self {
        self.answers.push(Answer::one(
            typed.as_str(),
            format!("reading[{}].value", index + 1),
            typed.as_str(),
        ));
        self
    }
}

/// What is to be asked, each question once, whatever the order of the readings.
pub(super) fn questions(job: &Job, weighed: &[Weighed]) -> Vec<Question> {
    let question = |reading: &Weighed| {
        against_others(job, weighed, reading)
            .or_else(|| in_the_wrong_unit(job, weighed, reading))
            .or_else(|| against_leaves(job, reading))
            .or_else(|| against_the_starts(job, weighed, reading))
            .or_else(|| against_other_features(job, weighed, reading))
            .or_else(|| angle_of_one_or_both(job, reading))
    };
    weighed.iter().filter(|r| !r.feature.of_state()).filter_map(question).collect()
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
fn against_others(job: &Job, weighed: &[Weighed], reading: &Weighed) -> Option<Question> {
    let value = mm(reading)?;
    let same =
        |w: &&Weighed| w.part == reading.part && w.feature == reading.feature && w.wire == reading.wire;
    let alike: Vec<(usize, f64)> =
        weighed.iter().filter(same).filter_map(|w| Some((w.index, mm(w)?))).collect();
    let elsewhere = weighed.iter().filter(same).any(|w| !at_one_place(w, reading));
    let worn = if elsewhere { worn_apart(reading.feature) } else { 0.0 };
    match alike.as_slice() {
        [] | [_] => None,
        // Of three or more the median is not moved by one slip.
        [_, _, _, ..] => {
            let middle = median(alike.iter().map(|(_, v)| *v).collect())?;
            against_the_middle(job, reading, value, (middle, worn))
        }
        // Of two that differ either may be it: both are asked about, at the smaller.
        [x, y] => {
            let (small, large) = if x.1 <= y.1 { (x, y) } else { (y, x) };
            let first = small.0 == reading.index && small.1 < large.1;
            first.then(|| of_two(job, *small, *large, worn)).flatten()
        }
    }
}

/// Whether two readings were taken at one place of their part, as far as the job says.
fn at_one_place(a: &Weighed, b: &Weighed) -> bool {
    match (a.place, b.place) {
        (Some(a), Some(b)) => (a - b).abs() < SAME_PLACE,
        (a, b) => a == b,
    }
}

/// How far use can set readings of one feature at different places apart, as a share of their size: a ridge may be worn
/// to nothing, and which end of the values is the worn one nothing says; over wires a quarter, about what that comes to;
/// crests and roots a tenth (chosen here). Use leaves a pitch nearly as it is.
const fn worn_apart(feature: Feature) -> f64 {
    match feature {
        Feature::ThreadThickness | Feature::CrestFlat | Feature::RootFlat | Feature::ThreadDepth => {
            f64::INFINITY
        }
        Feature::PitchDiameter | Feature::OverWires => 0.25,
        Feature::MajorDiameter | Feature::MinorDiameter => 0.1,
        _ => 0.0,
    }
}

/// Whether the value is the mean of several readings: no slip of the hand is repeated.
fn repeated(reading: &Reading) -> bool {
    reading.mean_of.is_some_and(|n| n > 1)
}

/// Ratios that slips leave behind, with their words.
const RATIOS: [(f64, &str); 6] = [
    (25.4, "25.4 times as much"),
    (1.0 / 25.4, "a 25.4th of that"),
    (10.0, "ten times as much: is the decimal point one place too far right?"),
    (0.1, "a tenth of that: is the decimal point one place too far left?"),
    (100.0, "a hundred times as much: is the decimal point two places too far right?"),
    (0.01, "a hundredth of that: is the decimal point two places too far left?"),
];

/// Against the middle of the others, which use may set apart from it by so much of its size.
fn against_the_middle(
    job: &Job,
    reading: &Weighed,
    value: f64,
    (middle, worn): (f64, f64),
) -> Option<Question> {
    let source = typed(job, reading.index);
    let text = &source.typed;
    let others_say = format!("the others say {}", said(job, middle, Fine::Shop));
    for (whole, words) in RATIOS {
        if like(value / middle, whole) {
            let question = Question::of(reading, format!("{text}, where {others_say}, is {words}"));
            return Some(mended(job, question, reading.index, value / whole));
        }
    }
    // Wear shifts readings along a part by tenths; a slip of digits shifts them by more.
    let apart = (value - middle).abs();
    if apart <= (0.02f64.max(worn) * middle).max(0.5) || repeated(source) {
        return None;
    }
    if let Some(swapped) = swap_that_agrees(source, middle) {
        let words = format!("{text}, where {others_say}: are two digits swapped, {swapped}?");
        return Some(Question::of(reading, words).or_value(reading.index, swapped));
    }
    let by = said(job, apart, Fine::Shop);
    let words = format!("{text} is {by} away from where {others_say}: read it again?");
    (apart > 0.1 * middle).then(|| Question::of(reading, words))
}

/// Two readings of one feature that cannot both be right, by index and value; use may set them apart by so much of their
/// size.
fn of_two(job: &Job, small: (usize, f64), large: (usize, f64), worn: f64) -> Option<Question> {
    let (less, more) = (typed(job, small.0), typed(job, large.0));
    let both = format!("{} and {}", less.typed, more.typed);
    let ask = |words: String| Question { readings: vec![small.0, large.0], words, answers: Vec::new() };
    let ratio = large.1 / small.1;
    if like(ratio, 25.4) {
        let question = ask(format!("{both} are 25.4 times apart: one of them is in the other unit. Which?"));
        let answer = |question: Question, (index, value): (usize, f64), meant: f64| {
            let other = typed(job, index).in_other_unit();
            match other {
                Some((text, Quantity::Length(l, _))) if like(l.to_mm() / value, meant) => {
                    question.or_value(index, text)
                }
                _ => question,
            }
        };
        return Some(answer(answer(question, small, 25.4), large, 1.0 / 25.4));
    }
    if like(ratio, 10.0) || like(ratio, 100.0) {
        let whole = if like(ratio, 10.0) { 10.0 } else { 100.0 };
        let question = ask(format!("{both} are {whole:.0} times apart: is a decimal point out of place?"));
        return Some(mended(job, mended(job, question, small.0, small.1 * whole), large.0, large.1 / whole));
    }
    let apart = large.1 - small.1;
    if apart <= (0.02f64.max(worn) * small.1).max(0.5) || repeated(less) && repeated(more) {
        return None;
    }
    let swaps = [(small, large), (large, small)]
        .into_iter()
        .filter_map(|(one, other)| Some((one.0, swap_that_agrees(typed(job, one.0), other.1)?)));
    let swaps: Vec<_> = swaps.collect();
    if !swaps.is_empty() {
        let question = ask(format!("{both} are one number with two digits swapped: which is right?"));
        return Some(swaps.into_iter().fold(question, |q, (index, text)| q.or_value(index, text)));
    }
    let by = said(job, apart, Fine::Shop);
    (apart > 0.1 * small.1)
        .then(|| ask(format!("{both} are {by} apart, and are of one size: read both again?")))
}

/// With the answer that the reading was meant to be `value` (of one pitch, for a count): in the other unit where that is
/// what it takes, else with the decimal point moved. A question of units then says what either would be.
fn mended(job: &Job, mut question: Question, index: usize, value: f64) -> Question {
    let source = typed(job, index);
    let Quantity::Length(as_typed, unit) = source.value else { return question };
    let whole = value * f64::from(source.count.unwrap_or(1));
    match source.in_other_unit() {
        Some((text, Quantity::Length(other, _))) if like(other.to_mm() / whole, 1.0) => {
            let (mm, inches) = match unit {
                Unit::Mm => (as_typed, other),
                Unit::Inch => (other, as_typed),
            };
            question.words.push_str(&format!(
                ". Read in millimetres it is {}, in inches {}: which?",
                said(job, mm.to_mm(), Fine::Shop),
                said(job, inches.to_mm(), Fine::Shop)
            ));
            question.or_value(index, text)
        }
        _ => {
            let moved = Length::mm(whole).in_unit(unit);
            let digits = (moved * 1e6).round() / 1e6;
            question.or_value(index, format!("{digits} {}", show::unit_sign(unit)))
        }
    }
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

/// A diameter or a pitch that makes a thread with the other in the other unit only.
fn in_the_wrong_unit(job: &Job, weighed: &[Weighed], reading: &Weighed) -> Option<Question> {
    let this = typed(job, reading.index);
    let of =
        |feature: Feature| weighed.iter().filter(move |w| w.part == reading.part && w.feature == feature);
    let asks = |diameter: &Reading, pitch: &Reading| {
        job::in_the_wrong_unit(diameter, pitch).is_some_and(|wrong| std::ptr::eq(wrong, this))
    };
    let (other, what) = match reading.feature {
        Feature::MajorDiameter => (of(Feature::Pitch).find(|p| asks(this, typed(job, p.index)))?, "pitch"),
        Feature::Pitch => {
            (of(Feature::MajorDiameter).find(|d| asks(typed(job, d.index), this))?, "major diameter")
        }
        _ => return None,
    };
    let (_, Quantity::Length(meant, _)) = this.in_other_unit()? else { return None };
    let words = format!(
        "no thread has {} with a {what} of {}: which unit is it in",
        said(job, mm(reading)?, Fine::Gauge),
        said(job, mm(other)?, Fine::Gauge)
    );
    let one = meant.to_mm() / f64::from(this.count.unwrap_or(1));
    Some(mended(job, Question::of(reading, words), reading.index, one))
}

/// How far from whole the ratio of a lead to its pitch may be: both were read on one part. Chosen here.
const WHOLE: f64 = 0.03;

/// A lead that the pitch and the starts counted do not make.
fn against_the_starts(job: &Job, weighed: &[Weighed], reading: &Weighed) -> Option<Question> {
    let counted = job.observed.starts.filter(|_| reading.feature == Feature::Lead)?;
    let of_pitch = weighed.iter().filter(|w| w.part == reading.part && w.feature == Feature::Pitch);
    let pitch = median(of_pitch.filter_map(mm).collect())?;
    let ratio = mm(reading)? / pitch;
    let starts = ratio.round();
    let (lead, pitch) = (&typed(job, reading.index).typed, said(job, pitch, Fine::Gauge));
    let is_whole = starts >= 1.0 && (ratio - starts).abs() <= WHOLE * starts;
    if is_whole && starts == f64::from(counted) {
        return None;
    }
    let seen = if counted == 1 {
        "1 start was counted".to_owned()
    } else {
        format!("{counted} starts were counted")
    };
    if !is_whole {
        let words = format!(
            "a lead of {lead} is no whole number of pitches of {pitch}, and {seen}: read the lead and the pitch again?"
        );
        return Some(Question::of(reading, words));
    }
    let words = format!(
        "a lead of {lead} with a pitch of {pitch} makes {}, where {seen}: count them at the end of the thread",
        if starts == 1.0 { "1 start".to_owned() } else { format!("{starts} starts") }
    );
    let answer = Answer::one(format!("{starts} starts"), "observed.starts", starts.to_string());
    Some(Question { answers: vec![answer], ..Question::of(reading, words) })
}

/// A pitch against the leaves that seat.
fn against_leaves(job: &Job, reading: &Weighed) -> Option<Question> {
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
                    let words = format!(
                        "{span_typed} over {count} pitches is not what the gauge says, but over {other} it is: {}. \
                         Between {} crests there are {other} pitches; were crests counted?",
                        leaf_says(leaf),
                        other + 1
                    );
                    let path = format!("reading[{}].count", reading.index + 1);
                    let answer = Answer::one(format!("{other} pitches"), path, other.to_string());
                    return Some(Question { answers: vec![answer], ..Question::of(reading, words) });
                }
            }
        }
    }
    seats.into_iter().find_map(|leaf| {
        let words = if like(pitch / leaf, 25.4) || like(pitch / leaf, 1.0 / 25.4) {
            "was a unit taken for the other"
        } else if like(pitch / leaf, 10.0) || like(pitch / leaf, 0.1) {
            "is the decimal point in its place"
        } else {
            return None;
        };
        let question = Question::of(reading, format!("{}, where {}: {words}", source.typed, leaf_says(leaf)));
        Some(mended(job, question, reading.index, leaf))
    })
}

/// Against what another feature of the same or the mating part allows.
fn against_other_features(job: &Job, weighed: &[Weighed], reading: &Weighed) -> Option<Question> {
    let value = mm(reading)?;
    let text = &typed(job, reading.index).typed;
    let of = |part: Element, feature: Feature| {
        weighed.iter().filter(move |w| w.part == part && w.feature == feature).filter_map(mm)
    };
    let largest = |part, feature| of(part, feature).max_by(f64::total_cmp);
    match (reading.part, reading.feature) {
        (part, Feature::MinorDiameter | Feature::PitchDiameter) => {
            let majors = weighed.iter().filter(|w| w.part == part && w.feature == Feature::MajorDiameter);
            let major = majors.filter_map(|w| Some((w.index, mm(w)?))).max_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((index, major)) = major.filter(|m| value >= m.1) {
                let name = reading.feature.word();
                let major_said = said(job, major, Fine::Shop);
                if like(value / major, 25.4) {
                    let words =
                        format!("{text} is 25.4 times the major diameter {major_said}: which unit is it in?");
                    return Some(Question::of(reading, words));
                }
                let words = format!(
                    "a {name} of {text} is not below the major diameter {major_said}: are they swapped?"
                );
                let set = |at: usize, feature: Feature| {
                    (format!("reading[{}].feature", at + 1), feature.word().to_owned())
                };
                let sets = vec![set(index, reading.feature), set(reading.index, Feature::MajorDiameter)];
                let answer = Answer { words: "they are swapped".to_owned(), sets };
                return Some(Question { readings: vec![reading.index, index], words, answers: vec![answer] });
            }
            let screw = largest(Element::External, Feature::MajorDiameter)
                .filter(|_| part == Element::Internal && reading.feature == Feature::MinorDiameter);
            let screw = screw.filter(|s| value >= *s)?;
            Some(Question::of(
                reading,
                format!(
                    "a nut of bore {text} slips over a screw of {}: is it this screw's nut, and the bore that was read?",
                    said(job, screw, Fine::Shop)
                ),
            ))
        }
        (part, Feature::ThreadDepth) => {
            let pitch = largest(part, Feature::Pitch).filter(|p| value > *p)?;
            Some(Question::of(
                reading,
                format!(
                    "a depth of {text} is more than the pitch {}: is it measured on the diameter, or over the part?",
                    said(job, pitch, Fine::Gauge)
                ),
            ))
        }
        _ => None,
    }
}

/// Trapezoidal threads have 14.5° or 15° to a flank: twice that for one flank is both of them.
fn angle_of_one_or_both(job: &Job, reading: &Weighed) -> Option<Question> {
    let Quantity::Angle(angle) = reading.value else { return None };
    let text = &typed(job, reading.index).typed;
    let flat_topped = job.observed.form == Some(SeenForm::FlatTopped);
    let degrees = angle.to_deg();
    let words = match reading.feature {
        Feature::FlankAngle if flat_topped && (27.0..=32.0).contains(&degrees) => Some(format!(
            "{text} to one flank would make {:.0}° between both: is it the included angle?",
            2.0 * degrees
        )),
        Feature::IncludedAngle if flat_topped && (13.0..=16.5).contains(&degrees) => Some(format!(
            "{text} between both flanks is half of what such threads have: is it the angle of one flank?"
        )),
        _ => None,
    };
    words.map(|words| Question::of(reading, words))
}
