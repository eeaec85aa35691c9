//! Identity: what the thread is, ranked by probability.

use crate::evidence::Evidence;
use crate::job::Job;
use crate::report::{Outcome, Section};
use flankwise_thread::Thread;

/// A ranked candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The thread, designated as its standard would.
    pub thread: Thread,
    /// Listed by its standard; otherwise a combination of preferred sizes.
    pub listed: bool,
    /// Probability.
    pub probability: f64,
    /// How each piece of evidence speaks: (what, in words; log-likelihood against the best rival; standard
    /// deviations from what this thread predicts, where that means something).
    pub voices: Vec<Voice>,
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

/// What became of the owner's story.
#[derive(Clone, Debug, PartialEq)]
pub struct StoryVerdict {
    /// The story, as told.
    pub told: String,
    /// As a thread, where it could be read as one.
    pub thread: Option<Thread>,
    /// Stands (true) or is refuted.
    pub stands: bool,
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
    /// Measurements that would tell most per minute, best first.
    pub next: Vec<Next>,
    /// The story's fate, if one was told.
    pub story: Option<StoryVerdict>,
    /// The thread to go on with: the person's choice, else the first candidate.
    pub thread: Thread,
    /// The person chose it against the ranking.
    pub chosen_by_hand: bool,
}

/// Ranks all candidates.
pub fn work(_evidence: &Evidence, _job: &Job) -> Outcome<Identity> {
    todo!()
}

impl Identity {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
