//! What becomes of the owner's story, what does not go with the thread found, and what is still missing.

use super::StoryVerdict;
use super::deciding;
use super::model::{Model, Piece, Suspect};
use super::odd;
use super::rank::{Ranked, Ranking};
use super::size::Shape;
use super::voice::{hand, name, voices};
use crate::report::{Note, Outcome, Text, Value};
use flankwise_thread::{Hand, Length, Thread, Unit};

/// A log-likelihood gap worth a reason: odds of about 3 to 1.
const TELLS: f64 = 1.0;
/// Log-likelihood below which a leaf contradicts the thread found: one chance in thirty. Chosen here.
const UNLIKELY: f64 = -3.4;
/// Share of the likeliest verdict below which a part tried contradicts it: parts are mislabelled too often for less.
const UNLIKE: f64 = 0.1;

/// Compares the story with the best candidate.
pub(super) fn story(model: &Model, ranking: &Ranking, first: &Ranked) -> Option<StoryVerdict> {
    let told = model.evidence.story.clone()?;
    let claims = &model.claims;
    if claims.is_empty() {
        let reasons = vec!["it names no size, pitch, form or hand".to_owned()];
        return Some(StoryVerdict { told, thread: None, stands: None, reasons });
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
            claims.fits_system(s.shape.family),
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
        if let Some((unit, false)) = claims.system.zip(claims.fits_system(found.shape.family)) {
            let word = if unit == Unit::Mm { "metric" } else { "inch" };
            reasons.push(format!("{} is not of {word} make", first.thread()));
        }
        if share > 0.01 {
            reasons.push(format!("not excluded: {}", percent(model, share)));
        }
    }
    Some(StoryVerdict { told, thread: claims.thread.clone(), stands: Some(stands), reasons })
}

/// Why a piece of evidence speaks against the thread as told.
fn reason(model: &Model, piece: Piece, as_told: &Suspect, voice: &super::Voice) -> String {
    match piece {
        Piece::Hand => {
            let seen = model.evidence.observed.hand.unwrap_or(Hand::Right);
            format!("told as {}, seen {}", hand(as_told.hand), hand(seen))
        }
        Piece::Reading(_) => format!("{}, {}", voice.evidence, voice.words),
        Piece::Leaf(_) | Piece::Trial(_) => {
            let chance = percent(model, model.piece_ln(piece, as_told).exp());
            format!("{}, which it does in {chance} of tries on a thread as told", voice.evidence)
        }
        Piece::Form | Piece::Starts | Piece::Taper | Piece::Story => {
            format!("{}: {}", voice.evidence, voice.words)
        }
    }
}

fn percent(model: &Model, p: f64) -> String {
    crate::report::show::value(&Value::Share(p), model.job.unit)
}

/// Deviations from which an outside diameter is nothing like the thread's. Chosen here.
const FOREIGN: f64 = 20.0;

/// Whether a thread may be shown where none considered explains the readings: one of a diameter that was read.
pub(super) fn is_near(model: &Model, one: &Ranked) -> bool {
    let suspect = one.suspect();
    let mut read = model.outsides().peekable();
    read.peek().is_none() || read.any(|seen| model.deviations(seen, &suspect).abs() < FOREIGN)
}

/// Readings named at most.
const NAMED: usize = 6;

/// What comes before any further measurement: where no thread considered explains the readings, which to take again and how
/// to go on without a name; where the evidence is asked about, the answer.
pub(super) fn advice(model: &Model, ranking: &Ranking, first: &Ranked) -> Option<String> {
    let names = |all: &[usize]| {
        let named = all.iter().take(NAMED).map(|at| name(model, Piece::Reading(*at)));
        named.collect::<Vec<_>>().join(", ")
    };
    if ranking.other > first.probability {
        let all: Vec<usize> = model.each().iter().map(|seen| seen.at).collect();
        let mut again = odd::doubted(model, ranking, first);
        if again.is_empty() {
            again.clone_from(&all);
        }
        return Some(format!(
            "Take again first, with another instrument if there is one: {}. If they stay so, copy the thread by \
             measurement, from a cast or a picture against the light: {}.",
            names(&again),
            names(&all)
        ));
    }
    let suspects = &model.evidence.suspects;
    let asked = |seen: &&super::model::Seen| {
        let index = model.evidence.readings[seen.at].index;
        suspects.iter().any(|(i, _)| *i == index)
    };
    let asked: Vec<usize> = model.each().iter().filter(asked).map(|seen| seen.at).collect();
    (!asked.is_empty()).then(|| format!("Settle first what is asked about {}.", names(&asked)))
}

/// Share from which a twin of the first candidate is named. Chosen here.
const TWIN: f64 = 0.01;
/// How far apart diameters of twins may be, mm: less than the finest fit of a shop-made mate. Chosen here.
const TWIN_MM: f64 = 0.02;

/// Whether whoever makes the mate may take one for the other: flanks, pitch, starts and hand the same, major and pitch
/// diameter within [`TWIN_MM`]; they differ at the root at most.
pub(super) fn serve_alike(a: &Suspect, b: &Suspect) -> bool {
    let near = |x: Length, y: Length, by: f64| (x - y).abs().to_mm() <= by;
    let (p, q) = (&a.shape, &b.shape);
    let flank = |x: f64, y: f64| (x - y).abs() < 0.01;
    (a.starts, a.hand) == (b.starts, b.hand)
        && p.kind.taper == q.kind.taper
        && near(p.basic.p, q.basic.p, 2e-4 * p.p())
        && near(p.basic.d, q.basic.d, TWIN_MM)
        && near(p.basic.d2, q.basic.d2, TWIN_MM)
        && flank(p.flanks_deg.0, q.flanks_deg.0)
        && flank(p.flanks_deg.1, q.flanks_deg.1)
}

/// Says which likely threads are one with the first for its purpose.
fn twins(ranking: &Ranking, first: &Ranked) -> Option<Note> {
    let suspect = first.suspect();
    let likely = ranking.ranked.iter().skip(1).take_while(|r| r.probability >= TWIN);
    let twins: Vec<&Ranked> = likely.filter(|r| serve_alike(&suspect, &r.suspect())).collect();
    let names = twins.iter().map(|r| r.thread().to_string()).collect::<Vec<_>>().join(" and ");
    let share = first.probability + twins.iter().map(|r| r.probability).sum::<f64>();
    (!twins.is_empty()).then(|| {
        let text = Text::new()
            .s(format!("{} and {names} are one for whoever makes the mate (", first.thread()))
            .v(Value::Share(share))
            .s(" together): same flanks and pitch, diameters within ")
            .len(Length::mm(TWIN_MM))
            .s(". Only the root differs.");
        Note::remark(text)
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
    outcome.notes.extend(odd::readings(model, ranking, first));
    outcome.notes.extend(twins(ranking, first));
    outcome.notes.extend(deciding::notes(model, ranking, first));
    outcome.notes.extend(odd::starts(model, first));
    outcome.notes.extend(odd::all_in_the_other_unit(model, ranking, first));
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
    if evidence.observed.taper == Some(false) && suspect.shape.kind.taper > 0.0 {
        let text = format!(
            "No taper was seen, and {} tapers: read the outside at both ends of the thread, which settles it.",
            first.thread()
        );
        outcome = outcome.note(Note::warning(text).field("observed.taper"));
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
        let word = |u| if u == Unit::Mm { "a metric" } else { "an inch" };
        format!(", with {} pitch on {} diameter", word(first.row.pitch.written), word(first.row.written))
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
