//! How often anyone could be right: an estimate of the best that the readings allow, from the simulator itself.
//!
//! Bayes' rule with the true prior and the true likelihood gives the highest rate of right first answers that any
//! method can reach. The prior is the population's own. The likelihood of what was written down is found by making
//! each thread of about this size some hundreds of times, letting the same person read it, and counting how often the
//! same words (form, leaves) come out, and how densely the diameters and the pitch lie about those read.
//!
//! The rate reached is that of a rule anyone with this knowledge could follow; the rate expected is its own claim.
//! Kernels and finite numbers make both estimates. Where there is a choice it is for a higher rate: hand, starts, purpose and condition are told, forms in
//! no family are left out, and so are threads that differ by more than 6 % in diameter or 12 % in pitch, so that a
//! blunder of that size is never a rival's.

use super::bench::{Bench, Kit};
use super::dice::Dice;
use super::part::{Condition, Part};
use super::person::{Features, Sheet};
use super::population::{Truth, near};
use super::score::alike;
use flankwise_thread::Thread;

const ROUGH: usize = 24;
pub const FINE: usize = 300;
/// Threads kept after the rough round.
const KEPT: usize = 16;

/// Probability of the best answer, and whether it is right. None for a form in no family.
pub fn best(seed: u64, index: u64, condition: Condition, kit: Kit) -> Option<(f64, bool)> {
    let bench = Bench::new(seed, index, condition);
    let truth = bench.truth.thread.clone()?;
    let read = bench.sheet(seed, kit).features();
    let mut rivals: Vec<(Truth, f64)> = Vec::new();
    for (thread, chance) in near(bench.truth.shape.d, bench.truth.shape.p, bench.truth.purpose) {
        let thread = Thread { starts: truth.starts, hand: truth.hand, ..thread };
        match rivals.iter_mut().find(|(t, _)| t.thread.as_ref().is_some_and(|t| alike(t, &thread))) {
            Some((_, sum)) => *sum += chance,
            None => rivals.push((Truth::of(thread, bench.truth.purpose), chance)),
        }
    }
    let mut dice = Dice::new(seed ^ 0xb0_0d, index * 4 + condition as u64);
    let mut weigh = |rivals: &mut Vec<(Truth, f64, f64)>, times: usize, blur: f64| {
        for (rival, chance, score) in rivals.iter_mut() {
            let sheets: Vec<Features> =
                (0..times).map(|_| again(&bench, rival, condition, kit, &mut dice)).collect();
            *score = *chance * likelihood(&read, &sheets, blur);
        }
        rivals.sort_by(|a, b| b.2.total_cmp(&a.2));
    };
    let mut rivals: Vec<_> = rivals.into_iter().map(|(t, chance)| (t, chance, 0.0)).collect();
    weigh(&mut rivals, ROUGH, 4.0);
    rivals.truncate(KEPT);
    weigh(&mut rivals, FINE, 1.0);
    let sum: f64 = rivals.iter().map(|r| r.2).sum();
    let (first, _, score) = rivals.first()?;
    Some((score / sum, first.thread.as_ref().is_some_and(|t| alike(t, &truth))))
}

/// The same person before another part of the same kind.
fn again(bench: &Bench, rival: &Truth, condition: Condition, kit: Kit, dice: &mut Dice) -> Features {
    let parts: Vec<Part> =
        bench.parts.iter().map(|p| Part::draw(rival, p.element, condition, dice)).collect();
    let person = bench.person.with_another_calliper(dice);
    let mut sheet = Sheet::default();
    for step in kit.steps {
        person.take(*step, &parts, &[], &mut sheet, dice);
    }
    sheet.features()
}

/// Density of what was read among the sheets. Words, diameters and pitch are taken one by one: given the thread
/// they have little to do with one another. `blur` widens the kernels.
fn likelihood(read: &Features, sheets: &[Features], blur: f64) -> f64 {
    let n = sheets.len() as f64;
    // Half a count for what never came out: it is rarer than that, not impossible.
    let words = sheets.iter().filter(|s| s.words == read.words).count() as f64 + 0.5;
    let kernel = |x: f64, wide: f64| (-0.5 * (x / wide).powi(2)).exp() / wide;
    let floor = 1e-4;
    let diameters: f64 = sheets
        .iter()
        .filter(|s| s.diameters.len() == read.diameters.len())
        .map(|s| {
            let pairs = s.diameters.iter().zip(&read.diameters);
            pairs.map(|(a, b)| if a.0 == b.0 { kernel(a.1 - b.1, 0.02 * blur) } else { 0.0 }).product::<f64>()
        })
        .sum();
    let pitch: f64 = match read.pitch {
        None => n,
        Some((read, count)) => {
            let wide = 0.03 * blur / f64::from(count);
            sheets.iter().filter_map(|s| s.pitch).map(|(p, _)| kernel(p - read, wide)).sum()
        }
    };
    (words / n) * (diameters / n + floor) * (pitch / n + floor)
}
