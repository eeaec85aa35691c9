//! Readings that do not go with the rest, each by its own likelihood, so that it does not matter in which order they were
//! taken: single slips, and slips that many readings share (an instrument off its zero, the other unit, a taper, starts
//! that cannot be).

use super::cause;
use super::model::{Model, Piece, Seen, Suspect, is_size, outside_by};
use super::rank::{Ranked, Ranking, rank};
use super::scales::UNIT_HABIT;
use super::voice::{deviations, length, name};
use crate::evidence::{self, blunders::Slip};
use crate::job::{Feature, Instrument, Job, Quantity, USUAL_DIAMETERS, Words};
use crate::report::{Answer, Fine, Note, Text, Value};
use flankwise_thread::{Element, Length, Unit};

/// Candidates over which the blame for a reading is averaged.
const JUDGES: usize = 24;
/// Chance of being a slip from which a reading is named, and from which one of several is.
const SLIP_LIKELY: f64 = 0.7;
const SLIP_OPEN: f64 = 0.2;
/// Standard deviations from which a reading counts as contradicting the thread found.
const ODD: f64 = 3.5;

/// A reading with the chance that it is a slip, over all likely threads, and the slip that it likeliest is.
struct Blamed {
    at: usize,
    blame: f64,
    slip: Slip,
}

/// The readings that do not go with the rest.
pub(super) fn readings(model: &Model, ranking: &Ranking, first: &Ranked) -> Vec<Note> {
    let suspect = first.suspect();
    let mut blamed = blamed(model, ranking, &suspect);
    let mut notes = Vec::new();
    for shared in off_zero(model, ranking, first).into_iter().chain(crests_counted(model, &blamed)) {
        blamed.retain(|b| !shared.readings.contains(&b.at));
        notes.push(shared.note);
    }
    let off = |at: usize| deviations(model, Piece::Reading(at), &suspect).unwrap_or(0.0).abs();
    let likely = blamed.iter().filter(|b| b.blame >= SLIP_LIKELY);
    notes.extend(likely.map(|b| one_slip(model, first, b, off(b.at))));
    let mut open: Vec<_> = blamed.iter().filter(|b| (SLIP_OPEN..SLIP_LIKELY).contains(&b.blame)).collect();
    open.sort_by_key(|b| name(model, Piece::Reading(b.at)));
    // Two that contradict each other, with nothing to say which is wrong; once, where the readings alone have asked.
    let both = open.len() > 1;
    if both && !open.iter().all(|b| has_been_asked(model, b.at)) {
        let names = open.iter().map(|b| name(model, Piece::Reading(b.at))).collect::<Vec<_>>().join(" and ");
        let text =
            format!("{names} contradict each other, and nothing says which is wrong: read both again.");
        notes.push(Note::warning(text).field(value_field(model, open[0].at)));
    }
    for b in blamed.iter().filter(|b| b.blame < SLIP_LIKELY && off(b.at) > ODD) {
        if both && b.blame >= SLIP_OPEN {
            continue;
        }
        let text = format!(
            "{} is {} what {} allows.{}",
            name(model, Piece::Reading(b.at)),
            how_far(off(b.at)),
            first.thread(),
            what_to_do(model, b.at, &suspect)
        );
        notes.push(Note::warning(text).field(value_field(model, b.at)));
    }
    notes.extend(along_the_part(model, &suspect, &blamed));
    notes
}

/// The field of a reading's value.
fn value_field(model: &Model, at: usize) -> String {
    format!("reading[{}].value", model.evidence.readings[at].index + 1)
}

/// Whether the evidence stage asks about a reading already.
fn has_been_asked(model: &Model, at: usize) -> bool {
    let index = model.evidence.readings[at].index;
    model.evidence.suspects.iter().any(|(i, _)| *i == index)
}

/// Standard deviations beyond which the figure says no more than that it is far. Chosen here.
const FAR: f64 = 20.0;
/// Chance from which a slip is as good as certain.
const CERTAIN: f64 = 0.995;

fn how_far(off: f64) -> String {
    if off > FAR { "far off".to_owned() } else { format!("{off:.1} standard deviations off") }
}

/// One reading that the rest contradicts.
fn one_slip(model: &Model, first: &Ranked, b: &Blamed, off: f64) -> Note {
    let text = Text::new()
        .s(format!("{} does not go with {}", name(model, Piece::Reading(b.at)), first.thread()))
        .s(format!(" and the rest of the readings: {}, ", how_far(off)));
    let text = if b.blame > CERTAIN {
        text.s("nearly certainly a slip.")
    } else {
        text.s("a slip at ").v(Value::Share(b.blame)).s(".")
    };
    let (text, answers) = asked(model, b, &first.suspect(), text);
    Note::warning(text).field(value_field(model, b.at)).answers(answers)
}

fn blamed(model: &Model, ranking: &Ranking, suspect: &Suspect) -> Vec<Blamed> {
    let judges: Vec<(f64, Suspect)> =
        ranking.ranked.iter().take(JUDGES).map(|r| (r.probability, r.suspect())).collect();
    let heard: f64 = judges.iter().map(|j| j.0).sum();
    (0..model.evidence.readings.len())
        .filter_map(|at| {
            let seen = model.seen(at)?;
            let blame = judges.iter().map(|(share, s)| share * model.blame(seen, s).0).sum::<f64>();
            let blame = blame / heard.max(f64::MIN_POSITIVE);
            Some(Blamed { at, blame, slip: model.blame(seen, suspect).1 })
        })
        .collect()
}

/// Asks about the slip that a reading likeliest is, with the answer that would mend it.
fn asked(model: &Model, b: &Blamed, suspect: &Suspect, text: Text) -> (Text, Vec<Answer>) {
    let index = model.evidence.readings[b.at].index;
    let Some(reading) = model.job.readings.get(index) else { return (text.s(" Read it again."), Vec::new()) };
    let path = |field: &str| format!("reading[{}].{field}", index + 1);
    let counted = |n: u32| {
        let words = format!("{n} pitches");
        vec![Answer::one(words, path("count"), n.to_string())]
    };
    match (b.slip, reading.in_other_unit(), reading.count) {
        (Slip::Any, ..) => (text.s(what_to_do(model, b.at, suspect)), Vec::new()),
        (Slip::Unit, Some((typed, other)), _) => {
            let text = text.s(" As typed it is ").v(shown(reading.value));
            let text = text.s(format!(", as {typed} it is ")).v(shown(other)).s(": which?");
            (text, vec![Answer::one(typed.as_str(), path("value"), typed.as_str())])
        }
        (Slip::OneMore, _, Some(n)) if n > 1 => {
            (text.s(format!(" It goes with {} pitches: were crests counted?", n - 1)), counted(n - 1))
        }
        (Slip::OneLess, _, Some(n)) => {
            (text.s(format!(" It goes with {} pitches: count them again.", n + 1)), counted(n + 1))
        }
        (slip, ..) => (text.s(format!(" It would go with {}. Read it again.", slip.words())), Vec::new()),
    }
}

/// What a reading that is off calls for: by its likely cause, else to read it again.
fn what_to_do(model: &Model, at: usize, suspect: &Suspect) -> String {
    let cause = model.seen(at).and_then(|seen| cause::likely(model, seen, suspect));
    format!(" {}", cause.unwrap_or_else(|| "Read it again.".to_owned()))
}

/// The readings that may be slips, or are far off the thread found: those to take again first.
pub(super) fn doubted(model: &Model, ranking: &Ranking, first: &Ranked) -> Vec<usize> {
    let suspect = first.suspect();
    let off = |at: usize| deviations(model, Piece::Reading(at), &suspect).unwrap_or(0.0).abs();
    let blamed = blamed(model, ranking, &suspect).into_iter();
    blamed.filter(|b| b.blame >= SLIP_OPEN || off(b.at) > ODD).map(|b| b.at).collect()
}

fn shown(quantity: Quantity) -> Value {
    match quantity {
        Quantity::Length(length, _) => Value::Length(length, Fine::Shop),
        Quantity::Angle(angle) => Value::Angle(angle, 1),
    }
}

/// Readings that share one cause, said once.
struct Shared {
    readings: Vec<usize>,
    note: Note,
}

/// Crests counted for pitches in every count: two at least.
fn crests_counted(model: &Model, blamed: &[Blamed]) -> Option<Shared> {
    let counts: Vec<(usize, usize, u32)> = (0..model.evidence.readings.len())
        .filter_map(|at| {
            let index = model.evidence.readings[at].index;
            Some((at, index, model.job.readings.get(index)?.count.filter(|n| *n > 1)?))
        })
        .collect();
    let one_more =
        |at: usize| blamed.iter().any(|b| b.at == at && b.blame >= SLIP_LIKELY && b.slip == Slip::OneMore);
    if counts.len() < 2 || !counts.iter().all(|(at, ..)| one_more(*at)) {
        return None;
    }
    let names: Vec<_> = counts.iter().map(|(at, ..)| name(model, Piece::Reading(*at))).collect();
    let text = format!(
        "Every count goes with one pitch less ({}): were crests counted? Between {} crests there are {} pitches.",
        names.join("; "),
        counts[0].2,
        counts[0].2 - 1
    );
    let set =
        |&(_, index, n): &(usize, usize, u32)| (format!("reading[{}].count", index + 1), (n - 1).to_string());
    let answer = Answer { words: "crests were counted".to_owned(), sets: counts.iter().map(set).collect() };
    let field = format!("reading[{}].count", counts[0].1 + 1);
    Some(Shared {
        readings: counts.iter().map(|c| c.0).collect(),
        note: Note::warning(text).field(field).answers(vec![answer]),
    })
}

/// Standard deviations from which a reading counts as off when all of one instrument are.
const ALL_OFF: f64 = 2.0;

/// Chance of an instrument off its zero from which it is asked about.
const ZERO_IN_DOUBT: f64 = 0.1;

/// Instruments off their zero: those whose every reading of a size is off from the thread found, to one side and by about
/// the same, two readings at least and one with another instrument; and the one that the ranking itself finds likely to be.
fn off_zero(model: &Model, ranking: &Ranking, first: &Ranked) -> Vec<Shared> {
    let all: Vec<usize> = (0..model.evidence.readings.len())
        .filter(|at| model.seen(*at).is_some_and(|s| is_size(s.feature)))
        .collect();
    let instruments = Instrument::WORDS.iter().filter_map(|w| Instrument::from_word(w));
    let found = instruments.filter_map(|by| {
        let sizes: Vec<usize> = all.iter().copied().filter(|at| read_with(model, *at) == Some(by)).collect();
        let zero = |at: &usize| model.seen(*at).is_some_and(|s| s.zero.is_some());
        let in_doubt = ranking.zero_off >= ZERO_IN_DOUBT && sizes.iter().any(zero);
        // Where nothing else tells the size, there is nothing to be off from.
        let told = sizes.len() > 1 && sizes.len() < all.len();
        let off = all_off(model, &sizes, &first.suspect()).filter(|_| told || in_doubt);
        let text = match off {
            Some(off) => Text::new().s(format!(
                "Every size read with the {0} is {side} what {1} allows, by about {2}, and the rest speaks for {1}: \
                 does the {0} read zero when it is closed? Check it, and read again.",
                by.word(),
                first.thread(),
                length(model, off.abs(), Fine::Shop),
                side = if off > 0.0 { "over" } else { "under" },
            )),
            None if in_doubt => Text::new()
                .s(format!("The {} may be off its zero (", by.word()))
                .v(Value::Share(ranking.zero_off))
                .s("): does it read zero when it is closed? Check it before its sizes are believed."),
            None => return None,
        };
        let field = format!("reading[{}].instrument", model.evidence.readings[*sizes.first()?].index + 1);
        Some(Shared { readings: sizes, note: Note::warning(text).field(field) })
    });
    found.collect()
}

fn read_with(model: &Model, at: usize) -> Option<Instrument> {
    model.job.readings.get(model.evidence.readings[at].index).map(|r| r.instrument)
}

/// By how much these readings are off the thread, where all are to one side and by about the same; mm.
fn all_off(model: &Model, readings: &[usize], suspect: &Suspect) -> Option<f64> {
    let off: Vec<(f64, f64)> = readings
        .iter()
        .map(|at| {
            let seen = model.seen(*at)?;
            let far = model.deviations(seen, suspect).abs() > ALL_OFF;
            far.then_some((outside_by(model, seen, suspect)?, seen.u))
        })
        .collect::<Option<_>>()?;
    let mean = off.iter().map(|(by, _)| by).sum::<f64>() / off.len() as f64;
    off.iter().all(|(by, u)| by * mean > 0.0 && (by - mean).abs() < 3.0 * u).then_some(mean)
}

/// Pitches finer than this share of the diameter are cut in no screw of several starts. Chosen here.
const FINEST: f64 = 0.05;

/// Starts that were counted and cannot be, with those that can and why.
pub(super) fn starts(model: &Model, first: &Ranked) -> Option<Note> {
    let seen = model.evidence.observed.starts.filter(|n| *n > 1)?;
    let shape = first.suspect().shape;
    let (p, d) = (shape.p(), shape.d());
    let around = std::f64::consts::PI * shape.basic.d2.to_mm();
    let most = shape.most_starts();
    let text = if seen > most {
        let angle = (f64::from(seen) * p / around).atan().to_degrees();
        Text::new()
            .s(format!("{seen} starts of "))
            .len(shape.basic.p)
            .s(" on ")
            .len(shape.basic.d)
            .s(format!(
                " make a lead angle of {angle:.0}°, more than a screw has: at this pitch 1 to {most} are possible, where \
                 the angle reaches 45°. The ranking leaves that count out; count them again at the end of the thread."
            ))
    } else if first.starts != seen && !model.leads.is_empty() {
        let lead = p * f64::from(first.starts);
        Text::new()
            .s(format!(
                "{seen} starts were seen, and {} has {}: with a lead of ",
                first.thread(),
                first.starts
            ))
            .len(Length::mm(lead))
            .s(format!(", {seen} starts would make a pitch of "))
            .len(Length::mm(lead / f64::from(seen)))
            .s(". Count them again at the end of the thread.")
    } else {
        return None;
    };
    // What was taken for the pitch may be what one turn advances.
    let advance = if model.leads.is_empty() { p } else { p * f64::from(first.starts) };
    let possible = (1..=most.max(1)).filter(|n| advance / f64::from(*n) >= FINEST * d);
    let list: Vec<_> = possible
        .map(|n| format!("{n} of {}", length(model, advance / f64::from(n), Fine::Shop)))
        .take(6)
        .collect();
    let text = text.s(" If one turn advances ").len(Length::mm(advance)).s(format!(
        ", the starts that make it with a thread coarse enough for this diameter are {}.",
        list.join(", ")
    ));
    Some(Note::warning(text).field("observed.starts"))
}

/// Whether all lengths were typed in the other unit: the ranking of the same values in that unit, where it explains them
/// better by more than such a habit is rare, or where one value is all there is.
pub(super) fn all_in_the_other_unit(model: &Model, ranking: &Ranking, first: &Ranked) -> Option<Note> {
    // Only where the answer is odd by itself: a second ranking costs as much as the first.
    let odd = !USUAL_DIAMETERS.contains(&first.row.nominal.to_mm()) || ranking.other > 0.1;
    let relabelled = if odd { relabelled(model.job)? } else { return None };
    let lengths = relabelled.sets.len();
    let evidence = evidence::work(&relabelled.job).result?;
    let again = rank(&Model::new(&evidence, &relabelled.job));
    let best = again.ranked.first()?;
    // Densities are of the value as read, so that each length counts with the factor.
    let scale = lengths as f64 * relabelled.factor.ln();
    let gain = again.ln_evidence + scale - ranking.ln_evidence + UNIT_HABIT.ln();
    if (gain <= 0.0 && (lengths > 1 || !USUAL_DIAMETERS.contains(&best.row.nominal.to_mm())))
        || again.other > 0.5
    {
        return None;
    }
    let (typed, meant) =
        if relabelled.factor > 1.0 { ("millimetres", "inches") } else { ("inches", "millimetres") };
    let text = Text::new()
        .s(format!("Read as {typed}, this would be {} at ", first.thread()))
        .v(Value::Share(first.probability))
        .s(format!(", with every length in {meant} {} at ", best.thread()))
        .v(Value::Share(best.probability))
        .s(": which? Say the unit with each value.");
    let words = match relabelled.sets.as_slice() {
        [(_, typed)] => typed.clone(),
        _ => format!("every length is in {meant}"),
    };
    let answer = Answer { words, sets: relabelled.sets };
    Some(Note::warning(text).field("unit").answers(vec![answer]))
}

/// A job with every length of its readings in the other unit.
struct Relabelled {
    job: Job,
    /// What that multiplies each length by.
    factor: f64,
    /// The fields that it sets.
    sets: Vec<(String, String)>,
}

/// None where the lengths are not all written in one unit, or there are none.
fn relabelled(job: &Job) -> Option<Relabelled> {
    let mut written = None;
    let (mut job, mut sets) = (job.clone(), Vec::new());
    for (i, reading) in job.readings.iter_mut().enumerate() {
        let Quantity::Length(_, unit) = reading.value else { continue };
        if *written.get_or_insert(unit) != unit {
            return None;
        }
        let (typed, value) = reading.in_other_unit()?;
        sets.push((format!("reading[{}].value", i + 1), typed.clone()));
        (reading.typed, reading.value) = (typed, value);
    }
    let factor = match written? {
        Unit::Mm => 25.4,
        Unit::Inch => 1.0 / 25.4,
    };
    Some(Relabelled { job, factor, sets })
}

/// An outside diameter that differs along the part by more than its condition explains; where it falls evenly, the taper.
/// Else readings that are slips by themselves are left out.
fn along_the_part(model: &Model, suspect: &Suspect, blamed: &[Blamed]) -> Option<Note> {
    let all: Vec<&Seen> = model.outsides().collect();
    let noise = all.iter().map(|s| s.u).fold(0.0, f64::max);
    let place = |s: &Seen| model.evidence.readings[s.at].place.map(Length::to_mm);
    let points: Vec<(f64, f64)> = all.iter().filter_map(|s| Some((place(s)?, s.v))).collect();
    let even = even_fall(&points, 2.0 * noise);
    let slip = |s: &Seen| blamed.iter().any(|b| b.at == s.at && b.blame >= SLIP_OPEN);
    let values = all.iter().filter(|s| even.is_some() || !slip(s)).map(|s| s.v);
    let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    let wear = suspect
        .shape
        .predict(Element::External, Feature::MajorDiameter, None, model.condition)
        .map_or(0.0, |p| p.wear);
    if most - least <= 4.0 * wear + 4.0 * noise {
        return None;
    }
    let text =
        Text::new().s("The outside diameter differs by ").len(Length::mm(most - least)).s(" along the part");
    let note = match even {
        Some(one_in) if model.evidence.observed.taper != Some(true) => {
            let text = text.s(format!(
                ", evenly, by 1 in {one_in:.0}: a taper? Pipe threads have 1 in 16. Then say that it tapers."
            ));
            let answer = Answer::one("it tapers", "observed.taper", "true");
            Note::warning(text).field("observed.taper").answers(vec![answer])
        }
        Some(one_in) => Note::remark(text.s(format!(", evenly, by 1 in {one_in:.0}."))).field("reading"),
        None => {
            let text = text.s(", more than its condition explains: taper, a bruise, or a misreading.");
            Note::warning(text).field("reading")
        }
    };
    Some(note)
}

/// By one in how many a diameter changes along a part, where three readings or more lie on a straight line but for
/// `noise`: (place, diameter) in mm. Least squares.
fn even_fall(points: &[(f64, f64)], noise: f64) -> Option<f64> {
    let n = points.len() as f64;
    let (x, y) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let spread: f64 = points.iter().map(|p| (p.0 - x).powi(2)).sum();
    let slope = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum::<f64>() / spread;
    let straight = points.iter().all(|p| (p.1 - y - slope * (p.0 - x)).abs() <= noise);
    (points.len() > 2 && slope.is_finite() && slope != 0.0 && straight).then(|| slope.abs().recip())
}
