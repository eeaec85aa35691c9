//! Identity: what the thread is, ranked by probability.
//!
//! Bayes over every listed size and every combination of preferred diameters, pitches, forms, starts and hands:
//!
//! - `pool`: the candidates and their prior.
//! - `chances`, `prior`, `scales`: what is likely before measuring; tolerance, wear and slips of real parts.
//! - `size`, `hands_on`, `alike`, `zero`, `model`: what a thread predicts, and the likelihood of each piece of evidence.
//! - `sift`, `rank`, `other`: the posterior, with "none of these" as an outcome of its own.
//! - `beside`: any two threads compared.
//! - `voice`, `verdict`, `odd`, `cause`, `rival`, `deciding`, `next`: what the ranking means to the person at the bench.

mod alike;
mod beside;
mod cause;
mod chances;
mod deciding;
mod density;
mod hands_on;
mod meet;
mod model;
mod next;
mod odd;
mod other;
mod pool;
mod prior;
mod rank;
mod rival;
mod say;
mod scales;
mod sift;
mod size;
mod story;
mod verdict;
mod voice;
mod zero;

pub use beside::{Asked, Beside, Reads, Shows, Terms, Wrong, beside};
pub use rival::{Consequence, Goes};

use crate::evidence::Evidence;
use crate::job::Job;
use crate::report::{Note, Outcome, Text, Value};
use flankwise_thread::Thread;
use model::Model;

/// Hands.
const MOST_HANDS: usize = 2;
/// Probability from which an answer is taken as settled. Chosen here.
pub const SURE: f64 = 0.9;
/// Candidates below this probability are left out of the result.
const LEAST_PROBABILITY: f64 = 1e-4;
/// Candidates whose evidence is told in words.
const MOST_VOICES: usize = 12;

/// A ranked candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The thread, designated as its standard would.
    pub thread: Thread,
    /// The same thread by the names of other standards, which no measurement tells from it; their share is counted here.
    pub also: Vec<Thread>,
    /// Listed by its standard; otherwise a combination of preferred sizes.
    pub listed: bool,
    /// Probability.
    pub probability: f64,
    /// How each piece of evidence speaks: (what, in words; log-likelihood against the best rival; standard
    /// deviations from what this thread predicts, where that means something). Empty for the less likely.
    pub voices: Vec<Voice>,
    /// The listed sizes nearest to it, where it is not listed itself.
    pub nearest: Vec<Thread>,
}

/// How one piece of evidence speaks for a candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Voice {
    /// The evidence: `outside diameter 15.93 mm`.
    pub evidence: String,
    /// Distance from the prediction in standard deviations; none for verdicts.
    pub deviations: Option<f64>,
    /// Log-likelihood (natural), relative to the candidate that this evidence suits best.
    pub log_likelihood: f64,
    /// In a machinist's words.
    pub words: String,
}

/// A measurement that could be made next.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// What to do: `count the crests over 60 mm with the calliper`.
    pub measure: String,
    /// Expected information in bits.
    pub information_bits: f64,
    /// Minutes it takes.
    pub minutes: f64,
    /// What the likely results would decide.
    pub decides: String,
}

/// A thread that this one could be taken for.
#[derive(Clone, Debug, PartialEq)]
pub struct Rival {
    /// The thread.
    pub thread: Thread,
    /// Its probability.
    pub probability: f64,
    /// What happens if the part is made to it and the thread is the first candidate.
    pub consequence: String,
}

/// What became of the owner's story.
#[derive(Clone, Debug, PartialEq)]
pub struct StoryVerdict {
    /// The story, as told.
    pub told: String,
    /// As a thread, where it could be read as one.
    pub thread: Option<Thread>,
    /// Stands (true) or is refuted; none where it names nothing that could be compared.
    pub stands: Option<bool>,
    /// Reasons, in words, strongest first.
    pub reasons: Vec<String>,
}

/// The ranking.
#[derive(Clone, Debug, PartialEq)]
pub struct Identity {
    /// Candidates, most probable first; those below 1 in 10 000 are left out.
    pub candidates: Vec<Candidate>,
    /// Probability that it is none of all candidates considered.
    pub other_probability: f64,
    /// How many were considered.
    pub considered: usize,
    /// Upper bound on the probability of the candidates that were not worked out in full.
    pub left_out: f64,
    /// Measurements that would tell most per minute, best first.
    pub next: Vec<Next>,
    /// What comes before any further measurement, as sentences: readings to take again, questions to answer.
    pub advice: Option<String>,
    /// What a mistake would lead to: the story's thread and the strongest rivals.
    pub rivals: Vec<Rival>,
    /// The story's fate, if one was told.
    pub story: Option<StoryVerdict>,
    /// The thread to go on with: the person's choice, else the first candidate.
    pub thread: Thread,
    /// The person chose it against the ranking.
    pub chosen_by_hand: bool,
}

/// Ranks all candidates.
///
/// Without any reading, leaf or trial there is nothing to rank: the outcome then says what to measure first. A
/// thread chosen by the person is taken all the same.
pub fn work(evidence: &Evidence, job: &Job) -> Outcome<Identity> {
    if evidence.readings.is_empty() && evidence.leaves.is_empty() && evidence.trials.is_empty() {
        let needs = |outcome: Outcome<Identity>| {
            outcome
                .need("reading", "a diameter: outside of the screw at its unworn end, or bore of the nut")
                .need(
                    "reading",
                    "the pitch: count crests over as long a span as there is, or try thread leaves",
                )
        };
        return match &job.chosen {
            Some(thread) => needs(Outcome::ready(unmeasured(evidence, thread)))
                .note(Note::warning("Chosen by hand; nothing has been measured.").field("identity.thread")),
            None => needs(Outcome { result: None, needs: Vec::new(), notes: Vec::new() }),
        };
    }
    let model = Model::new(evidence, job);
    let ranking = rank::rank(&model);
    let Some(best) = ranking.ranked.first().copied() else {
        return Outcome::missing("reading", "a reading that can be compared with a thread");
    };

    // Where no thread explains the readings, those of another size that would need only one slip fewer say nothing.
    let none_leads = ranking.other > best.probability;
    let shown = ranking.ranked.iter().filter(|r| !none_leads || verdict::is_near(&model, r)).enumerate();
    let mut shown: Vec<_> =
        shown.take_while(|(i, r)| *i == 0 || r.probability >= LEAST_PROBABILITY).map(|(_, r)| *r).collect();
    if shown.is_empty() {
        shown.push(best);
    }
    let first = shown[0];
    let suspects: Vec<_> = shown.iter().take(MOST_VOICES).map(rank::Ranked::suspect).collect();
    let mut voices = voice::voices(&model, &suspects).into_iter();
    let candidates = shown
        .iter()
        .map(|r| Candidate {
            thread: r.thread(),
            also: r.also(),
            listed: r.row.listed,
            probability: r.probability,
            voices: voices.next().unwrap_or_default(),
            nearest: verdict::nearest(r),
        })
        .collect();
    let story = verdict::story(&model, &ranking, &first);
    // What the story leaves open is taken from the thread found.
    let told = story.as_ref().filter(|s| s.stands == Some(false)).and_then(|s| s.thread.clone());
    let told = told.map(|t| Thread { hand: model.claims.hand.unwrap_or(first.hand), ..t });
    let rivals = rival::rivals(&model, &ranking, &first, told.as_ref());
    let next = next::next(&model, &ranking);
    let thread = job.chosen.clone().unwrap_or_else(|| first.thread());
    let identity = Identity {
        candidates,
        other_probability: ranking.other,
        considered: ranking.considered,
        left_out: ranking.left_out,
        next,
        advice: verdict::advice(&model, &ranking, &first),
        rivals,
        story,
        chosen_by_hand: job.chosen.is_some(),
        thread,
    };
    let mut outcome = Outcome::ready(identity);
    if let Some(chosen) = &job.chosen {
        outcome = outcome.note(chosen_note(&ranking, &first, chosen));
    }
    verdict::remarks(outcome, &model, &ranking, &first)
}

fn unmeasured(evidence: &Evidence, thread: &Thread) -> Identity {
    let story = evidence.story.clone().map(|told| {
        let thread = story::read(&told).thread;
        StoryVerdict { told, thread, stands: None, reasons: vec!["nothing has been measured".to_owned()] }
    });
    Identity {
        candidates: Vec::new(),
        other_probability: prior::OTHER,
        considered: 0,
        left_out: 0.0,
        next: Vec::new(),
        advice: None,
        rivals: Vec::new(),
        story,
        thread: thread.clone(),
        chosen_by_hand: true,
    }
}

/// Says what the ranking makes of the person's choice.
fn chosen_note(ranking: &rank::Ranking, first: &rank::Ranked, chosen: &Thread) -> Note {
    let place = ranking.ranked.iter().position(|r| is_same(&r.thread(), chosen));
    let text = Text::new().s(format!("{chosen} is chosen by hand"));
    let note = match place {
        Some(0) => Note::remark(text.s(" and is what the readings say.")),
        Some(i) => Note::warning(
            text.s("; the readings put it at ")
                .v(Value::Share(ranking.ranked[i].probability))
                .s(format!(" and {} at ", first.thread()))
                .v(Value::Share(first.probability))
                .s("."),
        ),
        None => Note::warning(
            text.s(format!("; the readings speak for {} at ", first.thread()))
                .v(Value::Share(first.probability))
                .s(", and against the choice."),
        ),
    };
    note.field("identity.thread")
}

/// Same form, size, pitch, starts and hand; classes apart.
fn is_same(a: &Thread, b: &Thread) -> bool {
    (a.family, a.starts, a.hand) == (b.family, b.starts, b.hand)
        && (a.nominal - b.nominal).abs().to_mm() < 1e-6
        && (a.pitch.length - b.pitch.length).abs().to_mm() < 1e-6
}

impl Candidate {
    /// Whether it is this thread, by this or another of its names; classes do not matter.
    pub fn is(&self, thread: &Thread) -> bool {
        std::iter::once(&self.thread).chain(&self.also).any(|t| is_same(t, thread))
    }
}

impl Identity {
    /// Probability of a thread among the candidates; classes do not matter.
    pub fn probability_of(&self, thread: &Thread) -> f64 {
        self.candidates.iter().filter(|c| c.is(thread)).map(|c| c.probability).sum()
    }

    /// The candidate that `thread` (the one to go on with) is, unless the person chose one that was not considered.
    pub fn candidate(&self) -> Option<&Candidate> {
        self.candidates.iter().find(|c| c.is(&self.thread))
    }
}

#[cfg(test)]
mod tests;
