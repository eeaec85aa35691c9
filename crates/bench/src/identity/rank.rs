//! Ranks the whole pool.
//!
//! Two rounds. The first ([`super::sift`]) scores rows with what depends on diameter, pitch and family alone, from
//! small tables. The second works out basic sizes, and with them the rest of the evidence, for the rows that can still
//! matter. Rows left out are counted: their share is bounded by the highest density that the rest of the evidence can
//! give, and the cut is lowered until that share is below [`LEFT_OUT`].

use super::density::ln_add;
use super::model::{Model, Suspect};
use super::pool::{Row, pool};
use super::sift::{COMBINATIONS, Sift, Sifted, Tables, yardsticks_by_pitch};
use super::size::Shape;
use super::{MOST_HANDS, chances, other, prior};
use flankwise_thread::{Family, Hand, Thread};

/// Share of the probability that may rest, at most, with rows not worked out in full. A bound that assumes the best
/// of every reading for each of them: the real share is far smaller.
const LEFT_OUT: f64 = 1e-4;
/// Threads below this share of the best are not listed.
const FAINT: f64 = 1e-9;

/// A thread of the pool with its share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ranked {
    pub row: Row,
    pub starts: u32,
    pub hand: Hand,
    pub probability: f64,
    /// Families, as bits, whose thread of this size has the same basic sizes: their share is counted here.
    also: u64,
}

impl Ranked {
    pub(super) fn suspect(&self) -> Suspect {
        let shape = Shape::new(self.row.family, self.row.nominal.to_mm(), self.row.pitch.length.to_mm());
        let shape = if self.row.listed { shape } else { shape.unlisted() };
        Suspect { shape, starts: self.starts, hand: self.hand }
    }
    pub(super) fn thread(&self) -> Thread {
        let row = self.row;
        Thread {
            starts: self.starts,
            hand: self.hand,
            ..Thread::new(row.family, row.nominal, row.written, row.pitch)
        }
    }
}

impl Ranked {
    /// The same thread by the names of other standards.
    pub(super) fn also(&self) -> Vec<Thread> {
        let named = Family::ALL.into_iter().filter(|f| self.also & (1 << chances::index(*f)) != 0);
        named.map(|family| Thread { family, ..self.thread() }).collect()
    }
}

/// The ranking: most probable first.
pub(super) struct Ranking {
    pub ranked: Vec<Ranked>,
    pub other: f64,
    /// Probability that an instrument is off its zero.
    pub zero_off: f64,
    pub considered: usize,
    /// Upper bound on the share of the rows that were not worked out in full.
    pub left_out: f64,
    /// Log of the probability of all the evidence, over everything considered.
    pub ln_evidence: f64,
}

pub(super) const HANDS: [Hand; MOST_HANDS] = [Hand::Right, Hand::Left];

/// The bounds are gone through from the highest down, so far at a time (in natural logarithms).
const CUT_STEP: f64 = 4.0;
/// The first time.
const FIRST_CUT: f64 = 10.0;
/// Log of a share of which all rows together are nothing.
const NOTHING: f64 = -26.0;

/// Ranks all threads of the pool.
pub(super) fn rank(model: &Model) -> Ranking {
    rank_but(model, LEFT_OUT)
}

/// The same, where rows of so much of the probability may be left out.
fn rank_but(model: &Model, may_be_left_out: f64) -> Ranking {
    let pool = pool();
    let tables = Tables::new(model);
    let sift = Sift::new(model, &tables);
    let ln_other = (prior::OTHER / (1.0 - prior::OTHER)).ln() + other::ln_likelihood(model);
    let peaks: Vec<f64> = yardsticks_by_pitch()
        .iter()
        .map(|of| model.sizes.iter().map(|g| g.ln_peak(g.least_zone(of))).sum())
        .collect();
    // Blocks not worked out, rows of others that were not, and rows that the second round waits for: each with the most
    // that the log of its share may be.
    let mut closed: Vec<Closed> = (sift.bounds().into_iter().enumerate())
        .map(|(block, (most, outside))| {
            let peak = peaks[pool.blocks[block].pitch];
            Closed { block, most: most + peak, outside: outside + peak }
        })
        .collect();
    let mut shut: Vec<(usize, f64)> = Vec::new();
    let mut waiting: Vec<Waiting> = Vec::new();
    let mut rows: Vec<Scored> = Vec::new();
    let mut ln_total = ln_other;
    let mut lower = closed.iter().map(|b| b.most).fold(f64::NEG_INFINITY, f64::max) - FIRST_CUT;
    let left_out = loop {
        let wait = |sifted: Sifted, waiting: &mut Vec<Waiting>| {
            let most = sifted.ln + peaks[usize::from(pool.pitch[sifted.row])];
            waiting.push(Waiting { most, sifted });
        };
        shut.retain(|&(row, most)| {
            if most >= lower {
                sift.open(std::iter::once(row), |sifted| wait(sifted, &mut waiting));
            }
            most < lower
        });
        closed.retain(|&Closed { block, most, outside }| {
            if most >= lower {
                let rows = pool.blocks[block].rows.clone();
                let may = |row: &usize| {
                    let most = sift.but_outside(*row) + outside;
                    if most < lower {
                        shut.push((*row, most));
                    }
                    most >= lower
                };
                sift.open(rows.filter(may), |sifted| wait(sifted, &mut waiting));
            }
            most < lower
        });
        waiting.retain(|row| {
            if row.most >= lower {
                let scored = second_round(model, &tables, &sift, row.sifted);
                ln_total = ln_add(ln_total, scored.ln);
                rows.push(scored);
            }
            row.most < lower
        });
        let bounds = closed.iter().map(|block| block.most).chain(shut.iter().map(|row| row.1));
        let shares = bounds.chain(waiting.iter().map(|row| row.most)).map(|most| most - ln_total);
        let most = sum_beyond(may_be_left_out, shares.filter(|ln| *ln > NOTHING).map(f64::exp));
        if most <= may_be_left_out {
            break most;
        }
        lower -= CUT_STEP;
    };

    let best = rows.iter().map(|r| r.ln).fold(f64::NEG_INFINITY, f64::max);
    let mut ranked: Vec<_> = rows
        .iter()
        .filter(|r| r.ln >= best + FAINT.ln())
        .flat_map(|r| spread(&tables, r, ln_total))
        .filter(|r| r.probability.ln() >= best - ln_total + FAINT.ln())
        .collect();
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    fold(&mut ranked, model.evidence.context.made);
    Ranking {
        ranked,
        other: (ln_other - ln_total).exp(),
        zero_off: rows.iter().map(|r| (r.ln - ln_total).exp() * r.zero_off).sum(),
        considered: pool.len() * COMBINATIONS,
        left_out: left_out.min(1.0),
        ln_evidence: ln_total,
    }
}

/// The sum, or as much of it as shows that it is more than `limit`.
fn sum_beyond(limit: f64, mut of: impl Iterator<Item = f64>) -> f64 {
    let sum = of.try_fold(0.0, |sum, one| if sum > limit { Err(sum) } else { Ok(sum + one) });
    sum.unwrap_or_else(|beyond| beyond)
}

/// Leading threads among which those that are one but for the name are put together.
const FOLDED: usize = 300;

/// Puts together what no measurement of any kind tells apart: threads of one size, lead and hand whose basic diameters
/// and flanks are the same, such as UNC and the American National of before. The name of the time stands, else the likelier.
fn fold(ranked: &mut Vec<Ranked>, made: Option<i32>) {
    const ALIKE: f64 = 0.002;
    let mut kept: Vec<Ranked> = Vec::with_capacity(FOLDED.min(ranked.len()));
    let rest = ranked.split_off(FOLDED.min(ranked.len()));
    let size = |r: &Ranked| (r.row.nominal.to_mm(), r.row.pitch.length.to_mm());
    for one in ranked.drain(..) {
        let shape = |r: &Ranked| Shape::new(r.row.family, size(r).0, size(r).1);
        let twin = kept.iter_mut().find(|k| {
            let near = (k.starts, k.hand) == (one.starts, one.hand)
                && k.row.family != one.row.family
                && (size(k).0 - size(&one).0).abs() < 1e-6
                && (size(k).1 - size(&one).1).abs() < 1e-9;
            near && {
                let (a, b) = (shape(k), shape(&one));
                let same = |x: flankwise_thread::Length, y| (x - y).abs().to_mm() < ALIKE;
                same(a.basic.d2, b.basic.d2)
                    && same(a.basic.d1_internal, b.basic.d1_internal)
                    && a.kind.taper == b.kind.taper
                    && (a.included_deg - b.included_deg).abs() < 0.01
                    && a.family.form().ridge() == b.family.form().ridge()
            }
        });
        match twin {
            Some(twin) => {
                twin.probability += one.probability;
                let is_of_its_time = |r: &Ranked| chances::of(r.row.family).is_of(made);
                let other = if is_of_its_time(&one) && !is_of_its_time(twin) {
                    std::mem::replace(&mut twin.row, one.row)
                } else {
                    one.row
                };
                twin.also |= 1 << chances::index(other.family);
            }
            None => kept.push(one),
        }
    }
    ranked.extend(kept);
    ranked.extend(rest);
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
}

/// A block that was not worked out.
struct Closed {
    block: usize,
    /// The most that the log of its share may be.
    most: f64,
    /// The most that its outside diameters and the sizes of the second round may add to it.
    outside: f64,
}

/// A row that the second round waits for.
struct Waiting {
    sifted: Sifted,
    /// The most that the log of its share may be.
    most: f64,
}

/// A row after the second round.
struct Scored {
    row: usize,
    /// Log of its share, starts and hands summed.
    ln: f64,
    /// Chance that an instrument is off its zero.
    zero_off: f64,
    /// Log-likelihood of the trials for each combination of starts and hand; none without trials.
    trials: Option<[f64; COMBINATIONS]>,
}

/// Second round for one row: the rest of the evidence.
fn second_round(model: &Model, tables: &Tables, sift: &Sift, sifted: Sifted) -> Scored {
    let Sifted { row: i, ln: score, zero_off } = sifted;
    if model.trials.is_empty() && model.sizes.is_empty() {
        return Scored { row: i, ln: score, zero_off, trials: None };
    }
    let pool = pool();
    let (f, p) = (usize::from(pool.family[i]), usize::from(pool.pitch[i]));
    let shape =
        Shape::new(Family::ALL[f], pool.diameters[usize::from(pool.diameter[i])].mm, pool.pitches[p].mm);
    let (sizes, zero_off) = model.sizes_ln(&shape, zero_off, sift.shift(i));
    let score = score + sizes;
    if model.trials.is_empty() {
        return Scored { row: i, ln: score, zero_off, trials: None };
    }
    let of = std::array::from_fn(|c| (tables.numbers[c / MOST_HANDS], HANDS[c % MOST_HANDS]));
    let trials: [f64; COMBINATIONS] = model.trials_ln(&shape, of);
    let by = tables.combinations(i);
    let ln = by.iter().zip(&trials).map(|(a, b)| a + b).reduce(ln_add).unwrap_or(0.0);
    Scored { row: i, ln: score + ln, zero_off, trials: Some(trials) }
}

/// A row's threads: each number of starts and hand.
fn spread(tables: &Tables, scored: &Scored, ln_total: f64) -> impl Iterator<Item = Ranked> {
    let pool = pool();
    let row = pool.row(scored.row);
    let mut by = tables.combinations(scored.row);
    if let Some(trials) = scored.trials {
        by = std::array::from_fn(|c| by[c] + trials[c]);
        let sum = by.iter().copied().reduce(ln_add).unwrap_or(0.0);
        by = by.map(|l| l - sum);
    }
    let share = scored.ln - ln_total;
    let numbers = tables.numbers;
    by.into_iter().enumerate().map(move |(c, ln)| Ranked {
        row,
        starts: numbers[c / MOST_HANDS],
        hand: HANDS[c % MOST_HANDS],
        probability: (share + ln).exp(),
        also: 0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence;
    use crate::job;

    /// The demonstration jobs, one with little evidence and one whose readings contradict each other.
    const JOBS: [&str; 5] = [
        include_str!("../../../../demo/board-shear.toml"),
        include_str!("../../../../demo/proof-press.toml"),
        "job = \"bore\"\nreading = [{ part = \"screw\", feature = \"major diameter\", value = \"19.90 mm\" }]",
        "job = \"odd\"\nreading = [
            { part = \"screw\", feature = \"major diameter\", value = \"15.9 mm\" },
            { part = \"screw\", feature = \"major diameter\", value = \"22.0 mm\" },
            { part = \"nut\", feature = \"bore\", value = \"13.1 mm\" },
            { part = \"screw\", feature = \"pitch\", value = \"25.3 mm\", count = 10 },
         ]",
        "job = \"off\"\nreading = [
            { part = \"screw\", feature = \"major diameter\", value = \"22.30 mm\", instrument = \"calliper\" },
            { part = \"nut\", feature = \"minor diameter\", value = \"17.6 mm\", instrument = \"calliper\" },
            { part = \"screw\", feature = \"pitch\", value = \"60.0 mm\", count = 12, instrument = \"calliper\" },
         ]",
    ];
    /// What probabilities may differ by: far less than what the bounds promise.
    const SAME: f64 = 1e-5;

    /// What is left out by bounds changes nothing that is shown: the same with every row worked out in full.
    #[test]
    fn bounds_leave_out_only_what_does_not_matter() {
        for text in JOBS {
            let job = job::read(text).expect("a job");
            let evidence = evidence::work(&job).result.expect("evidence");
            let model = Model::new(&evidence, &job);
            let (some, all) = (rank(&model), rank_but(&model, 0.0));
            assert!(some.left_out < LEFT_OUT);
            let same = |a: f64, b: f64| (a - b).abs() < SAME;
            assert!(same(some.other, all.other), "{} {}", some.other, all.other);
            for (a, b) in some.ranked.iter().zip(&all.ranked).take_while(|(a, _)| a.probability > 1e-3) {
                assert_eq!(a.thread(), b.thread());
                assert!(
                    same(a.probability, b.probability),
                    "{}: {} {}",
                    a.thread(),
                    a.probability,
                    b.probability
                );
            }
        }
    }
}
