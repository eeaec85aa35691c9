//! What becomes of the owner's story, which readings contradict the rest, and what is still missing.

use super::StoryVerdict;
use super::model::{Model, Piece, Suspect};
use super::rank::{Ranked, Ranking};
use super::scales::UNIT_HABIT;
use super::size::Shape;
use super::voice::{deviations, hand, name, voices};
use crate::evidence::blunders::Slip;
use crate::job::{Feature, Quantity};
use crate::report::{Note, Outcome, Text, Value};
use flankwise_thread::{Hand, Thread, Unit};

/// A log-likelihood gap worth a reason: odds of about 3 to 1.
const TELLS: f64 = 1.0;
/// Log-likelihood below which a leaf contradicts the thread found: one chance in thirty. Chosen here.
const UNLIKELY: f64 = -3.4;
/// Share of the likeliest verdict below which a part tried contradicts it: parts are mislabelled too often for less.
const UNLIKE: f64 = 0.1;
/// Standard deviations from which a reading counts as contradicting the thread found.
const ODD: f64 = 3.5;

/// Compares the story with the best candidate.
pub(super) fn story(model: &Model, ranking: &Ranking, first: &Ranked) -> Option<StoryVerdict> {
    let told = model.evidence.story.clone()?;
    let claims = &model.claims;
    if claims.is_empty() {
        let reasons = vec!["no thread could be read from it".to_owned()];
        return Some(StoryVerdict { told, thread: None, stands: true, reasons });
    }
    let found = first.suspect();
    // Claims that fail against the first candidate; what was not said cannot fail.
    let fits = |r: &Ranked| {
        let s = r.suspect();
        [
            claims.fits_family(s.shape.family),
            claims.fits_diameter(s.shape.d()),
            claims.fits_pitch(s.shape.p()),
            claims.fits_hand(s.hand),
        ]
    };
    let stands = fits(first).iter().all(|f| *f != Some(false));
    let share: f64 = ranking
        .ranked
        .iter()
        .filter(|r| fits(r).iter().all(|f| *f != Some(false)))
        .map(|r| r.probability)
        .sum();
    let mut reasons = Vec::new();
    if stands {
        reasons.push(format!("the readings agree with what was said ({})", percent(model, share)));
    } else {
        // The thread as told, its gaps filled from the one found.
        let mut as_told = Suspect {
            shape: Shape::new(
                claims.family.unwrap_or(found.shape.family),
                claims.nominal.map_or(found.shape.d(), |(n, _)| n.to_mm()),
                claims.pitch.map_or(found.shape.p(), |p| p.length.to_mm()),
            ),
            starts: claims.thread.as_ref().map_or(found.starts, |t| t.starts),
            hand: claims.hand.unwrap_or(found.hand),
        };
        // A told pitch too coarse for the diameter has no thread to compare with.
        if as_told.shape.basic.d2.to_mm() <= 0.0 {
            as_told.shape = found.shape;
        }
        let pieces = model.all_pieces();
        let heard = voices(model, &[found, as_told]);
        let mut against: Vec<(f64, String)> = pieces
            .iter()
            .zip(heard[1].iter().zip(&heard[0]))
            .filter(|(piece, _)| **piece != Piece::Story)
            .map(|(piece, (told, found))| {
                (found.log_likelihood - told.log_likelihood, reason(model, *piece, &as_told, told))
            })
            .filter(|(gap, _)| *gap > TELLS)
            .collect();
        against.sort_by(|a, b| b.0.total_cmp(&a.0));
        reasons.extend(against.into_iter().map(|(_, words)| words));
        if claims.fits_family(found.shape.family) == Some(false) && reasons.is_empty() {
            reasons.push(format!(
                "{} is what goes with this diameter and pitch",
                found.shape.family.form().name()
            ));
        }
        if share > 0.01 {
            reasons.push(format!("not excluded: {}", percent(model, share)));
        }
    }
    Some(StoryVerdict { told, thread: claims.thread.clone(), stands, reasons })
}

/// Why a piece of evidence speaks against the thread as told.
fn reason(model: &Model, piece: Piece, as_told: &Suspect, voice: &super::Voice) -> String {
    match piece {
        Piece::Hand => {
            let seen = model.evidence.observed.hand.unwrap_or(Hand::Right);
            format!("told as {}, seen {}", hand(as_told.hand), hand(seen))
        }
        Piece::Reading(_) => format!("{} is {}", voice.evidence, voice.words),
        Piece::Leaf(_) | Piece::Trial(_) => {
            let chance = percent(model, model.piece_ln(piece, as_told).exp());
            format!("{}, which as told it would do in {chance} of cases", voice.evidence)
        }
        Piece::Form | Piece::Starts | Piece::Taper | Piece::Story => {
            format!("{}: {}", voice.evidence, voice.words)
        }
    }
}

fn percent(model: &Model, p: f64) -> String {
    crate::report::show::value(&Value::Share(p), model.job.unit)
}

/// Candidates over which the blame for a reading is averaged.
const JUDGES: usize = 24;
/// Chance of being a slip from which a reading is named, and from which one of several is.
const SLIP_LIKELY: f64 = 0.7;
const SLIP_OPEN: f64 = 0.2;

/// The readings that do not go with the rest: each by the chance that it is a slip, over all likely threads, so that it
/// does not matter in which order they were taken.
fn odd_readings(model: &Model, ranking: &Ranking, first: &Ranked, suspect: &Suspect) -> Vec<Note> {
    let judges: Vec<(f64, Suspect)> =
        ranking.ranked.iter().take(JUDGES).map(|r| (r.probability, r.suspect())).collect();
    let heard: f64 = judges.iter().map(|j| j.0).sum();
    let blamed: Vec<(usize, f64, Slip)> = (0..model.evidence.readings.len())
        .filter_map(|at| {
            let seen = model.seen(at)?;
            let blame = judges.iter().map(|(share, s)| share * model.blame(seen, s).0).sum::<f64>();
            Some((at, blame / heard.max(f64::MIN_POSITIVE), model.blame(seen, suspect).1))
        })
        .collect();
    let field = |at: usize| format!("reading[{}].value", model.evidence.readings[at].index + 1);
    let open: Vec<_> = blamed.iter().filter(|b| (SLIP_OPEN..SLIP_LIKELY).contains(&b.1)).collect();
    let mut notes = Vec::new();
    for &(at, blame, slip) in blamed.iter().filter(|b| b.1 >= SLIP_LIKELY) {
        let name = name(model, Piece::Reading(at));
        let off = deviations(model, Piece::Reading(at), suspect).unwrap_or(0.0).abs();
        let how =
            if slip == Slip::Any { String::new() } else { format!(" It would go with {}.", slip.words()) };
        let text = Text::new()
            .s(format!("{name} does not go with {} and the rest of the readings: ", first.thread()))
            .s(format!("{off:.1} standard deviations off, a slip at "))
            .v(Value::Share(blame))
            .s(format!(".{how} Read it again."));
        notes.push(Note::warning(text).field(field(at)));
    }
    // Two that contradict each other, with nothing to say which is wrong.
    if open.len() > 1 {
        let names = open.iter().map(|b| name(model, Piece::Reading(b.0))).collect::<Vec<_>>().join(" and ");
        let text =
            format!("{names} contradict each other, and nothing says which is wrong: read both again.");
        notes.push(Note::warning(text).field(field(open[0].0)));
    }
    for &(at, blame, _) in blamed.iter().filter(|b| b.1 < SLIP_LIKELY) {
        let Some(off) = deviations(model, Piece::Reading(at), suspect).filter(|d| d.abs() > ODD) else {
            continue;
        };
        if open.len() > 1 && blame >= SLIP_OPEN {
            continue;
        }
        let text = format!(
            "{} is {:.1} standard deviations off what {} allows. Read it again.",
            name(model, Piece::Reading(at)),
            off.abs(),
            first.thread()
        );
        notes.push(Note::warning(text).field(field(at)));
    }
    notes
}

/// Lead angle at the pitch diameter beyond which a thread does not hold, and is not cut on a lathe: 45 degrees.
fn too_many_starts(model: &Model, first: &Ranked) -> Option<Note> {
    let seen = model.evidence.observed.starts.filter(|n| *n > 1)?;
    let shape = first.suspect().shape;
    let lead = f64::from(seen) * shape.p();
    let around = std::f64::consts::PI * shape.basic.d2.to_mm();
    (lead > around).then(|| {
        let text = Text::new()
            .s(format!("{seen} starts of "))
            .len(shape.basic.p)
            .s(" on ")
            .len(shape.basic.d)
            .s(format!(
                " make a lead angle of {:.0}°, more than a screw has: count them again at the end of the thread, or the \
                 value for the pitch is a lead.",
                (lead / around).atan().to_degrees()
            ));
        Note::warning(text).field("observed.starts")
    })
}

/// Whether all lengths were typed in the other unit: the ranking of the same values in that unit, where it explains them
/// better by more than such a habit is rare.
fn other_unit(model: &Model, ranking: &Ranking, first: &Ranked) -> Option<Note> {
    let d = first.row.nominal.to_mm();
    // Only where the answer is odd by itself: a second ranking costs as much as the first.
    let odd = !(1.5..130.0).contains(&d) || ranking.other > 0.1;
    let lengths = model.evidence.readings.iter().filter(|r| matches!(r.value, Quantity::Length(..))).count();
    if !odd || lengths < 2 {
        return None;
    }
    [25.4, 1.0 / 25.4].into_iter().find_map(|factor: f64| {
        let mut evidence = model.evidence.clone();
        for reading in &mut evidence.readings {
            for quantity in [&mut reading.value, &mut reading.u] {
                if let Quantity::Length(length, _) = quantity {
                    *length = *length * factor;
                }
            }
        }
        evidence.suspects.clear();
        let scaled = Model::new(&evidence, model.job);
        let again = super::rank::rank(&scaled);
        // Densities are of the value as read, so that each length counts with the factor.
        let gain = again.ln_evidence + lengths as f64 * factor.ln() - ranking.ln_evidence + UNIT_HABIT.ln();
        let best = again.ranked.first()?;
        (gain > 0.0 && again.other < 0.5).then(|| {
            let (typed, meant) =
                if factor > 1.0 { ("millimetres", "inches") } else { ("inches", "millimetres") };
            let text = Text::new()
                .s(format!("Were {meant} typed as {typed}, in every length? The same values would then be "))
                .s(best.thread().to_string())
                .s(" (")
                .v(Value::Share(best.probability))
                .s("), where as typed they are nothing usual. Say the unit with each value.");
            Note::warning(text).field("unit")
        })
    })
}

/// Notes and needs that go with the ranking.
pub(super) fn remarks<T>(
    mut outcome: Outcome<T>,
    model: &Model,
    ranking: &Ranking,
    first: &Ranked,
) -> Outcome<T> {
    let evidence = model.evidence;
    let suspect = first.suspect();
    for note in odd_readings(model, ranking, first, &suspect) {
        outcome = outcome.note(note);
    }
    if let Some(note) = too_many_starts(model, first) {
        outcome = outcome.note(note);
    }
    if let Some(note) = other_unit(model, ranking, first) {
        outcome = outcome.note(note);
    }
    for &i in &model.leaves {
        let leaf = &evidence.leaves[i];
        if model.leaf_ln(i, suspect.shape.grooves()) < UNLIKELY {
            let text = format!(
                "{} does not go with {}. Try the {} leaf again.",
                name(model, Piece::Leaf(i)),
                first.thread(),
                leaf.pitch
            );
            outcome = outcome.note(Note::warning(text).field(format!("leaf[{}].verdict", i + 1)));
        }
    }
    for &i in &model.trials {
        let most = model.trial_odds(i, &suspect).into_iter().fold(0.0, f64::max);
        if model.trial_ln(i, &suspect).exp() < UNLIKE * most {
            let text = format!(
                "{} does not go with {}. The part tried may itself be worn, damaged or not what it is marked.",
                name(model, Piece::Trial(i)),
                first.thread()
            );
            outcome = outcome.note(Note::warning(text).field(format!("trial[{}].verdict", i + 1)));
        }
    }
    if evidence.observed.taper == Some(true) {
        let text = if suspect.shape.kind.taper > 0.0 {
            "Tapered: a diameter depends on where it is read, and was taken as read anywhere along the thread. Sizes hold \
             at the plane that the standard names: gauge it there."
        } else {
            "Tapered, yet the readings speak for a parallel thread: worn, bruised, or a taper that is not held here. \
             Measure the taper before making anything."
        };
        outcome = outcome.note(Note::warning(text).field("observed.taper"));
    }
    if let Some(group) = &model.outside {
        let most = group.seen.iter().map(|s| s.v).fold(f64::NEG_INFINITY, f64::max);
        let least = group.seen.iter().map(|s| s.v).fold(f64::INFINITY, f64::min);
        let wear = suspect
            .shape
            .predict(group.seen[0].part, Feature::MajorDiameter, None, model.condition)
            .map_or(0.0, |p| p.wear);
        let noise = group.seen.iter().map(|s| s.u).fold(0.0, f64::max);
        if most - least > 4.0 * wear + 4.0 * noise {
            let text = Text::new()
                .s("The outside diameter differs by ")
                .len(flankwise_thread::Length::mm(most - least))
                .s(" along the part, more than its condition explains: taper, a bruise, or a misreading.");
            outcome = outcome.note(Note::warning(text).field("reading"));
        }
    }
    if ranking.other > 0.2 {
        let text = Text::new()
            .s("None of the threads considered explains the readings well (")
            .v(Value::Share(ranking.other))
            .s(" for some other thread). It may be a maker's own size or a form not held here: copy it by measurement.");
        outcome = outcome.note(Note::warning(text));
    } else if first.probability < 0.5 {
        let text = Text::new()
            .s("Not settled: the first candidate has ")
            .v(Value::Share(first.probability))
            .s(". Take the measurement named next before cutting anything.");
        outcome = outcome.note(Note::warning(text));
    }
    if !first.row.listed {
        outcome = outcome.note(Note::remark(off_series(first)));
    }
    if model.outside.is_none() && model.sizes.is_empty() {
        outcome =
            outcome.need("reading", "a diameter: outside of the screw at its unworn end, or bore of the nut");
    }
    if model.pitches.is_empty() && model.leads.is_empty() && evidence.leaves.is_empty() {
        outcome = outcome
            .need("reading", "the pitch: count crests over as long a span as there is, or try thread leaves");
    }
    outcome
}

/// Says that a thread is off the standard series and what the series has.
pub(super) fn off_series(first: &Ranked) -> Text {
    let near = nearest(first);
    let list = near.iter().map(ToString::to_string).collect::<Vec<_>>().join(" and ");
    let mixed = if first.row.written == first.row.pitch.written {
        String::new()
    } else {
        let word = |u| if u == Unit::Mm { "metric" } else { "inch" };
        format!(", with a {} pitch on a {} diameter", word(first.row.pitch.written), word(first.row.written))
    };
    let tail = if list.is_empty() { String::new() } else { format!("; nearest in the series: {list}") };
    format!("{} is off the standard series{mixed}{tail}.", first.thread()).into()
}

/// The listed sizes nearest to a candidate, none if it is listed itself.
pub(super) fn nearest(candidate: &Ranked) -> Vec<Thread> {
    if candidate.row.listed {
        return Vec::new();
    }
    let row = candidate.row;
    row.family
        .nearest_listed(row.nominal, row.pitch.length, 2)
        .into_iter()
        .map(|near| Thread {
            hand: candidate.hand,
            ..Thread::new(row.family, near.nominal, near.nominal_written, near.pitch)
        })
        .collect()
}
