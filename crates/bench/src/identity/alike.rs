//! Readings with one instrument: its scale, its zero and the hand that sets it err the same way wherever it is laid on.
//!
//! Sizes that agree within what is new in each reading are taken together as one, their mean: what is new in each shrinks,
//! what they share does not. Sizes that do not agree, having worn unlike, stay apart, and so do advances along the thread
//! and angles; each of N is then as uncertain as makes the N say together what their mean says (u² = N common² + own²).

use super::model::{Seen, plain};
use crate::evidence::{Evidence, uncertainty};
use crate::job::{Feature, Instrument, Job};
use flankwise_thread::{Element, Length};

/// Readings agree within so many standard deviations of what is new in each. Chosen here: of ten normal values the largest
/// and the smallest are 3.1 apart on average.
const AGREE: f64 = 4.0;
/// Chance that who has slipped once slips alike the next time. Chosen here.
const ALIKE_AGAIN: f64 = 0.1;

/// What the readings of a job have in common.
pub(super) struct Shared<'a> {
    evidence: &'a Evidence,
    job: &'a Job,
    /// Indices into the evidence's readings of those that count.
    counted: &'a [usize],
}

impl<'a> Shared<'a> {
    pub(super) fn new(evidence: &'a Evidence, job: &'a Job, counted: &'a [usize]) -> Self {
        Self { evidence, job, counted }
    }

    /// Standard deviation of what a reading shares with the others of its instrument, and of what is new in it.
    fn parts(&self, at: usize) -> (f64, f64) {
        let weighed = &self.evidence.readings[at];
        let alone = (0.0, plain(weighed).1);
        self.job.readings.get(weighed.index).map_or(alone, uncertainty::common_and_own)
    }

    /// One of `n` readings of its kind, the value being the mean of `of`.
    fn seen(&self, of: &[usize], n: usize) -> Seen {
        let value = |at: usize| plain(&self.evidence.readings[at]).0;
        let mean = of.iter().map(|at| value(*at)).sum::<f64>() / of.len() as f64;
        let (common, own) = self.parts(of[0]);
        let u = (n as f64 * common * common + own * own / of.len() as f64).sqrt();
        Seen::new(self.evidence, self.job, of[0], (mean, u))
    }

    /// A reading by itself.
    pub(super) fn alone(&self, at: usize) -> Seen {
        self.seen(&[at], 1)
    }

    /// A reading of a pitch, lead or angle as one of all of its kind.
    pub(super) fn among_others(&self, seen: &Seen) -> Seen {
        let kind = self.kind(seen.at);
        let n = self.counted.iter().filter(|at| self.kind(**at) == kind).count();
        self.seen(&[seen.at], n).worn(seen.wear)
    }

    /// The sizes of one feature of one part, those that agree taken together.
    pub(super) fn together(&self, sizes: &[Seen]) -> Vec<Seen> {
        let mut sets: Vec<Vec<&Seen>> = Vec::new();
        let mut sorted: Vec<&Seen> = sizes.iter().collect();
        sorted.sort_by(|a, b| a.v.total_cmp(&b.v));
        for seen in sorted {
            match sets.iter_mut().find(|set| self.agree(set[0], seen)) {
                Some(set) => set.push(seen),
                None => sets.push(vec![seen]),
            }
        }
        let of_kind = |kind| sets.iter().filter(|set| self.kind(set[0].at) == kind).count();
        sets.iter()
            .map(|set| {
                let at: Vec<usize> = set.iter().map(|seen| seen.at).collect();
                let one = self.seen(&at, of_kind(self.kind(at[0])));
                let wear = set.iter().map(|seen| seen.wear).sum::<f64>() / set.len() as f64;
                let slips = if set.len() > 1 { ALIKE_AGAIN } else { 1.0 };
                one.worn(wear).with_slips(slips)
            })
            .collect()
    }

    /// Whether two readings of one feature say the same; one that is asked about stands by itself.
    fn agree(&self, a: &Seen, b: &Seen) -> bool {
        let asked = |seen: &Seen| {
            let index = self.evidence.readings[seen.at].index;
            self.evidence.suspects.iter().any(|(i, _)| *i == index)
        };
        let own = self.parts(a.at).1.max(self.parts(b.at).1);
        self.kind(a.at) == self.kind(b.at) && (a.v - b.v).abs() <= AGREE * own && !asked(a) && !asked(b)
    }

    /// What readings that share an error have in common.
    fn kind(&self, at: usize) -> Kind {
        let weighed = &self.evidence.readings[at];
        let instrument = self.job.readings.get(weighed.index).map(|r| r.instrument);
        // One to one wire; all of a set of wires err alike, but not those of two sets.
        (weighed.part, weighed.feature, instrument, weighed.wire)
    }
}

type Kind = (Element, Feature, Option<Instrument>, Option<Length>);
