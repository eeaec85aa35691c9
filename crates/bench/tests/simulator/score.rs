//! What the program makes of a simulated job, and whether it is right.

use super::population::{Shape, Truth};
use flankwise_bench::{evidence, identity, job};
use flankwise_thread::Thread;

/// The ranking for one job, with threads that no gauge tells apart taken as one.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Names and probabilities, most probable first; `none of these` among them, by its own probability.
    pub ranked: Vec<(String, f64)>,
    /// Place of the true thread, from 1; none where it is not in the ranking.
    pub place: Option<usize>,
    /// Family of the first answer: its key, or `none of these`.
    pub answered: &'static str,
    pub next: Vec<identity::Next>,
}

impl Answer {
    pub fn claimed(&self) -> f64 {
        self.ranked.first().map_or(0.0, |r| r.1)
    }
    pub fn first(&self) -> bool {
        self.place == Some(1)
    }
    pub fn in_three(&self) -> bool {
        self.place.is_some_and(|p| p <= 3)
    }
}

/// The name of the outcome that no thread considered is the part's.
pub const NONE: &str = "none of these";

/// Reads the text as the program does and ranks. None where there is nothing to rank.
pub fn answer(text: &str, truth: &Truth) -> Option<Answer> {
    let job = job::read(text).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
    let evidence = evidence::work(&job).result?;
    let identity = identity::work(&evidence, &job).result?;
    let mut groups: Vec<(Thread, f64)> = Vec::new();
    for candidate in &identity.candidates {
        match groups.iter_mut().find(|(thread, _)| alike(thread, &candidate.thread)) {
            Some((_, probability)) => *probability += candidate.probability,
            None => groups.push((candidate.thread.clone(), candidate.probability)),
        }
    }
    let mut ranked: Vec<(Option<Thread>, f64)> = groups.into_iter().map(|(t, p)| (Some(t), p)).collect();
    ranked.push((None, identity.other_probability));
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
    let is_true = |found: &Option<Thread>| match (found, &truth.thread) {
        (Some(found), Some(thread)) => alike(found, thread),
        (None, None) => true,
        _ => false,
    };
    let place = ranked.iter().position(|(t, _)| is_true(t)).map(|i| i + 1);
    let answered = match &ranked[0].0 {
        Some(thread) => thread.family.form().key(),
        None => NONE,
    };
    let name = |t: Option<Thread>| t.map_or_else(|| NONE.to_owned(), |t| t.to_string());
    Some(Answer {
        place,
        answered,
        next: identity.next,
        ranked: ranked.into_iter().map(|(t, p)| (name(t), p)).collect(),
    })
}

/// Whether two threads are one for whoever has to make the mate: same hand and starts, both flank angles equal, pitch
/// within 0.02 %, and major and pitch diameter within 0.02 mm at basic size. UN and UNJ are, and M and MJ, which
/// differ at the root; UNC and BSW of one size and pitch are not.
pub fn alike(a: &Thread, b: &Thread) -> bool {
    if a.starts != b.starts || a.hand != b.hand {
        return false;
    }
    if (a.pitch.length.to_mm() / b.pitch.length.to_mm() - 1.0).abs() > 2e-4
        || (a.nominal - b.nominal).abs().to_mm() > 0.02
    {
        return false;
    }
    let (a, b) = (Shape::of(a), Shape::of(b));
    let near = |x: f64, y: f64, by: f64| (x - y).abs() <= by;
    near(a.flanks.0, b.flanks.0, 1e-3)
        && near(a.flanks.1, b.flanks.1, 1e-3)
        && near(a.d, b.d, 0.02)
        && near(a.d2, b.d2, 0.02)
        && near(a.taper, b.taper, 1e-6)
}

/// How many were right, and how sure the program was of its first answers.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    pub parts: usize,
    pub first: usize,
    pub in_three: usize,
    claimed: f64,
    /// By claimed probability, ten bins: how many, sum of what was claimed, how many were right.
    bins: [(usize, f64, usize); 10],
}

impl Tally {
    pub fn add(&mut self, answer: &Answer) {
        let claimed = answer.claimed();
        self.parts += 1;
        self.first += usize::from(answer.first());
        self.in_three += usize::from(answer.in_three());
        self.claimed += claimed;
        let bin = &mut self.bins[((claimed * 10.0) as usize).min(9)];
        *bin = (bin.0 + 1, bin.1 + claimed, bin.2 + usize::from(answer.first()));
    }
    pub fn first_share(&self) -> f64 {
        self.first as f64 / self.parts.max(1) as f64
    }
    pub fn in_three_share(&self) -> f64 {
        self.in_three as f64 / self.parts.max(1) as f64
    }
    pub fn claimed_mean(&self) -> f64 {
        self.claimed / self.parts.max(1) as f64
    }
    /// Claimed and right, bin by bin: (parts, mean claimed, share right), empty bins left out.
    pub fn reliability(&self) -> Vec<(usize, f64, f64)> {
        let filled = self.bins.iter().filter(|b| b.0 > 0);
        filled.map(|(n, claimed, right)| (*n, claimed / *n as f64, *right as f64 / *n as f64)).collect()
    }
    /// Expected calibration error: the mean over all parts of how far claim and outcome of their bin lie apart.
    pub fn calibration_error(&self) -> f64 {
        let off: f64 = self.bins.iter().map(|(_, claimed, right)| (claimed - *right as f64).abs()).sum();
        off / self.parts.max(1) as f64
    }
}
