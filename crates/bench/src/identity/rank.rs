//! Ranks the whole pool.
//!
//! Two rounds. The first scores every row with what depends on diameter, pitch and family alone, from small tables.
//! The second works out basic sizes, and with them the rest of the evidence, for the rows that can still matter.
//! Rows left out are counted: their share is bounded by the highest density that the rest of the evidence can give,
//! and the cut is lowered until that share is below [`LEFT_OUT`].

use super::density::ln_add;
use super::hands_on::Grooves;
use super::model::{Model, Suspect};
use super::pool::{MOST_STARTS, Row, pool};
use super::size::{Kind, Prediction, Shape, crests, outside};
use super::{MOST_HANDS, chances, other, prior, story};
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
    pub considered: usize,
    /// Upper bound on the share of the rows that were not worked out in full.
    pub left_out: f64,
    /// Log of the probability of all the evidence, over everything considered.
    pub ln_evidence: f64,
}

const HANDS: [Hand; MOST_HANDS] = [Hand::Right, Hand::Left];
const FAMILIES: usize = Family::ALL.len();

/// Tables of what the first round needs.
struct Tables {
    family: [f64; FAMILIES],
    hand: [[f64; MOST_HANDS]; FAMILIES],
    starts: [[f64; MOST_STARTS as usize]; FAMILIES],
    /// The numbers of starts considered.
    numbers: [u32; MOST_STARTS as usize],
    /// Per pitch.
    pitch: Vec<f64>,
    leads: Vec<[f64; MOST_STARTS as usize]>,
    /// Per pitch and family: leaves, and starts and hand summed out.
    both: Vec<[f64; FAMILIES]>,
    /// Per diameter.
    diameter: Vec<f64>,
}

fn tables(model: &Model) -> Tables {
    let pool = pool();
    let claim = |fit: Option<bool>| if fit == Some(true) { story::STORY_WEIGHT.ln() } else { 0.0 };
    let told = [model.evidence.context.machine.as_deref(), model.evidence.story.as_deref()];
    let told: Vec<&str> = told.into_iter().flatten().collect();
    let (machine, left) = chances::by_machine(&told.join("; "));
    let families = prior::families(&model.evidence.context, &machine);
    // Flanks of a form at a plain size.
    let shapes = Family::ALL.map(|f| Shape::new(f, 10.0, 1.0));
    let family = std::array::from_fn(|f| {
        let kind = Family::ALL[f];
        families[f].ln()
            + model.taper_ln(Some(kind))
            + model.angle_ln(shapes[f].flanks_deg)
            + claim(model.claims.fits_family(kind))
    });
    let hand = Family::ALL.map(|f| {
        HANDS.map(|h| prior::hand(f, h, left).ln() + model.hand_ln(h) + claim(model.claims.fits_hand(h)))
    });
    // One to four, and for the last what was counted if it is more: valves and presses have up to ten.
    let more = model.evidence.observed.starts.unwrap_or(0).max(MOST_STARTS);
    let numbers: [u32; MOST_STARTS as usize] = [1, 2, 3, more];
    let starts = Family::ALL.map(|f| {
        let prior = prior::starts(f);
        std::array::from_fn(|n| prior[n].ln() + model.starts_ln(numbers[n]))
    });
    let pitch =
        pool.pitches.iter().map(|s| model.pitch_ln(s.mm) + claim(model.claims.fits_pitch(s.mm))).collect();
    let leads: Vec<[f64; MOST_STARTS as usize]> =
        pool.pitches.iter().map(|s| numbers.map(|n| model.lead_ln(s.mm * f64::from(n)))).collect();
    let by_hand = Family::ALL.map(|f| {
        let of: &[f64; MOST_HANDS] = &hand[chances::index(f)];
        of.iter().copied().reduce(ln_add).unwrap_or(0.0)
    });
    // Families whose flanks are alike to a leaf, and those that are alike to the eye, share their work.
    let grooves = shapes.map(|s| s.grooves());
    let first_like: [usize; FAMILIES] =
        std::array::from_fn(|f| grooves.iter().position(|g| *g == grooves[f]).unwrap_or(f));
    let ridges = Family::ALL.map(|f| f.form().ridge());
    let first_ridge: [usize; FAMILIES] =
        std::array::from_fn(|f| ridges.iter().position(|r| *r == ridges[f]).unwrap_or(f));
    let both = pool
        .pitches
        .iter()
        .zip(&leads)
        .map(|(s, leads)| {
            let mut leaves = [f64::NAN; FAMILIES];
            let mut looks = [f64::NAN; FAMILIES];
            std::array::from_fn(|f| {
                let (like, ridge) = (first_like[f], first_ridge[f]);
                if leaves[like].is_nan() {
                    leaves[like] = model.leaves_ln(Grooves { p: s.mm, ..grooves[f] });
                }
                if looks[ridge].is_nan() {
                    looks[ridge] = model.form_ln(Some(Family::ALL[f]), s.mm);
                }
                let starts: &[f64; MOST_STARTS as usize] = &starts[f];
                let by_starts = starts.iter().zip(leads).map(|(a, b)| a + b).reduce(ln_add).unwrap_or(0.0);
                leaves[like] + looks[ridge] + by_starts + by_hand[f]
            })
        })
        .collect();
    let diameter = pool.diameters.iter().map(|d| claim(model.claims.fits_diameter(d.mm))).collect();
    Tables { family, hand, starts, numbers, pitch, leads, both, diameter }
}

/// Rows whose bound is so far below the best (in natural logarithms) are not worked out in the first round, unless the
/// cut comes down to them.
const FAR_BELOW: f64 = 20.0;
/// The same where sizes or parts tried may bring a row back up.
const FAR_BELOW_WITH_SIZES: f64 = 29.0;
/// Below the best pitch by so much, a pitch reading was a slip, and the fine structure of the zone does not matter.
const SLIPPED: f64 = 8.0;

/// What the first round is worked out from: every row by diameter, pitch and family, starts and hand summed out.
struct First<'a> {
    model: &'a Model<'a>,
    tables: &'a Tables,
    /// Which of the kinds each family is: the outside diameter depends on the family only through that.
    kind_of: [usize; FAMILIES],
    kinds: usize,
    /// Per pitch and kind.
    predictions: Vec<[(f64, Prediction); 3]>,
    /// Per pitch: all pieces of the zone, or one.
    fine: Vec<bool>,
    slips: f64,
    /// Rows whose bound is so far below the best are not worked out at once.
    far_below: f64,
}

impl<'a> First<'a> {
    fn new(model: &'a Model<'a>, tables: &'a Tables) -> Self {
        let mut kinds: Vec<Kind> = Vec::new();
        let kind_of = Family::ALL.map(|f| {
            let kind = Kind::of(f);
            kinds.iter().position(|k| *k == kind).unwrap_or_else(|| {
                kinds.push(kind);
                kinds.len() - 1
            })
        });
        let pitches = &pool().pitches;
        let of = |p: f64, kind: &Kind| crests(outside(*kind, 0.0, p, model.condition), p);
        let best = tables.pitch.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self {
            model,
            tables,
            kind_of,
            kinds: kinds.len(),
            predictions: pitches.iter().flat_map(|s| kinds.iter().map(move |kind| of(s.mm, kind))).collect(),
            fine: tables.pitch.iter().map(|ln| *ln > best - SLIPPED).collect(),
            slips: model.outside.as_ref().map_or(0.0, super::model::Group::ln_slips),
            far_below: if model.sizes.is_empty() && model.trials.is_empty() {
                FAR_BELOW
            } else {
                FAR_BELOW_WITH_SIZES
            },
        }
    }

    /// All but the outside diameter.
    fn base(&self, i: usize) -> f64 {
        let (pool, tables) = (pool(), self.tables);
        let (f, p) = (usize::from(pool.family[i]), usize::from(pool.pitch[i]));
        f64::from(pool.ln_prior[i])
            + tables.family[f]
            + tables.pitch[p]
            + tables.both[p][f]
            + tables.diameter[usize::from(pool.diameter[i])]
    }

    /// Place of a row's outside diameter in a table of one diameter.
    fn cell(&self, i: usize) -> usize {
        usize::from(pool().pitch[i]) * self.kinds + self.kind_of[usize::from(pool().family[i])]
    }

    /// Log-likelihood of the outside diameter in that place.
    fn outside_ln(&self, cell: usize, mm: f64) -> f64 {
        let Some(group) = &self.model.outside else { return 0.0 };
        let states = &self.predictions[cell];
        if !group.near_crests(states, mm) {
            return self.slips;
        }
        let shared = self.fine[cell / self.kinds];
        let at = |(chance, made): (f64, Prediction)| {
            (chance, Prediction { at: mm + made.at, shared: made.shared && shared, ..made })
        };
        group.ln_crests(&states.map(at))
    }

    /// One row in full.
    fn score(&self, i: usize) -> f64 {
        let mm = pool().diameters[usize::from(pool().diameter[i])].mm;
        self.base(i) + self.outside_ln(self.cell(i), mm)
    }

    /// All rows; those far below the best by an upper bound only.
    fn scores(&self) -> Vec<f64> {
        let pool = pool();
        let mut scores: Vec<f64> = (0..pool.len()).map(|i| self.base(i)).collect();
        let Some(group) = &self.model.outside else { return scores };
        let peaks: Vec<f64> =
            pool.pitches.iter().map(|s| group.ln_peak(s.mm, self.model.condition).max(self.slips)).collect();
        let reach = |p: usize| {
            let states = self.predictions[p * self.kinds..(p + 1) * self.kinds].iter().flatten();
            states
                .map(|(_, made)| made.reach())
                .fold((0.0, 0.0), |(a, b), (x, y)| (f64::max(a, x), f64::max(b, y)))
        };
        let reaches: Vec<(f64, f64)> = (0..pool.pitches.len()).map(reach).collect();
        // First the diameters that a plain reading of a plain part has: they show how good the best is.
        let plain = |d: &usize| group.near(pool.diameters[*d].mm, PLAIN_MM);
        let (near, rest): (Vec<usize>, Vec<usize>) = (0..pool.rows.len()).partition(plain);
        let mut best = f64::NEG_INFINITY;
        let mut cells = vec![f64::NAN; self.predictions.len()];
        for d in near.into_iter().chain(rest) {
            let mm = pool.diameters[d].mm;
            // The coarsest pitch that a row of this diameter has reaches farthest.
            let reach = pool.rows[d]
                .clone()
                .map(|i| pool.pitch[i])
                .max()
                .map_or((0.0, 0.0), |p| reaches[usize::from(p)]);
            if !group.near(mm + reach.1, reach.0 + reach.1) {
                pool.rows[d].clone().for_each(|i| scores[i] += self.slips);
                continue;
            }
            cells.fill(f64::NAN);
            for i in pool.rows[d].clone() {
                let bound = scores[i] + peaks[usize::from(pool.pitch[i])];
                if bound < best - self.far_below {
                    scores[i] = bound;
                    continue;
                }
                let at = self.cell(i);
                if cells[at].is_nan() {
                    cells[at] = self.outside_ln(at, mm);
                }
                scores[i] += cells[at];
                best = best.max(scores[i]);
            }
        }
        scores
    }
}

/// What a plain part is under its nominal at most, mm.
const PLAIN_MM: f64 = 0.4;

/// Ranks all threads of the pool.
pub(super) fn rank(model: &Model) -> Ranking {
    let pool = pool();
    let tables = tables(model);
    let first = First::new(model, &tables);
    let mut scores = first.scores();
    let top = scores.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let ln_other = (prior::OTHER / (1.0 - prior::OTHER)).ln() + other::ln_likelihood(model);
    let peaks: Vec<f64> = pool
        .pitches
        .iter()
        .map(|s| model.sizes.iter().map(|g| g.ln_peak(s.mm, model.condition)).sum())
        .collect();

    let mut rows: Vec<Scored> = Vec::new();
    let mut ln_total = ln_other;
    let (mut above, mut cut) = (f64::INFINITY, first.far_below - 2.0);
    let left_out = loop {
        let lower = top - cut;
        let from = rows.len();
        // Below the first cut scores may be bounds: these are worked out now, and wait if they fall below the cut.
        if above.is_finite() {
            for (i, score) in scores.iter_mut().enumerate().filter(|(_, s)| **s < above && **s >= lower) {
                *score = first.score(i);
            }
        }
        let chosen = scores.iter().enumerate().filter(|(_, s)| **s < above && **s >= lower);
        rows.extend(chosen.map(|(i, score)| second_round(model, &tables, i, *score)));
        let best = rows[from..].iter().map(|r| r.ln).fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = rows[from..].iter().map(|r| (r.ln - best).exp()).sum();
        if sum > 0.0 {
            ln_total = ln_add(ln_total, best + sum.ln());
        }
        let bound: f64 = scores
            .iter()
            .zip(&pool.pitch)
            .filter(|(s, _)| **s < lower)
            .map(|(s, p)| s + peaks[usize::from(*p)] - ln_total)
            // A million of what is left out here is still nothing.
            .filter(|ln| *ln > -28.0)
            .map(f64::exp)
            .sum();
        if bound < LEFT_OUT || cut > 300.0 {
            break bound;
        }
        (above, cut) = (lower, cut + 8.0);
    };

    let best = rows.iter().map(|r| r.ln).fold(f64::NEG_INFINITY, f64::max);
    let mut ranked: Vec<_> = rows
        .iter()
        .filter(|r| r.ln >= best + FAINT.ln())
        .flat_map(|r| spread(&tables, r, ln_total))
        .filter(|r| r.probability.ln() >= best - ln_total + FAINT.ln())
        .collect();
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    fold(&mut ranked);
    Ranking {
        ranked,
        other: (ln_other - ln_total).exp(),
        considered: pool.len() * COMBINATIONS,
        left_out: left_out.min(1.0),
        ln_evidence: ln_total,
    }
}

/// Leading threads among which those that are one but for the name are put together.
const FOLDED: usize = 300;

/// Puts together what no measurement of any kind tells apart: threads of one size, lead and hand whose basic diameters
/// and flanks are the same, such as UNC and the American National of before. The likelier name stands.
fn fold(ranked: &mut Vec<Ranked>) {
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
                twin.also |= 1 << chances::index(one.row.family);
            }
            None => kept.push(one),
        }
    }
    ranked.extend(kept);
    ranked.extend(rest);
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
}

/// A row after the second round.
struct Scored {
    row: usize,
    /// Log of its share, starts and hands summed.
    ln: f64,
    /// Log-likelihood of the trials for each combination of starts and hand; none without trials.
    trials: Option<[f64; COMBINATIONS]>,
}

const COMBINATIONS: usize = MOST_STARTS as usize * MOST_HANDS;

/// Log weight of each combination of starts and hand of a row, before trials; sums to one.
fn combinations(tables: &Tables, f: usize, p: usize) -> [f64; COMBINATIONS] {
    let ln: [f64; COMBINATIONS] = std::array::from_fn(|c| {
        let (n, h) = (c / MOST_HANDS, c % MOST_HANDS);
        tables.starts[f][n] + tables.leads[p][n] + tables.hand[f][h]
    });
    let sum = ln.iter().copied().reduce(ln_add).unwrap_or(0.0);
    ln.map(|l| l - sum)
}

/// Second round for one row: the rest of the evidence.
fn second_round(model: &Model, tables: &Tables, i: usize, score: f64) -> Scored {
    if model.trials.is_empty() && model.sizes.is_empty() {
        return Scored { row: i, ln: score, trials: None };
    }
    let pool = pool();
    let (f, p) = (usize::from(pool.family[i]), usize::from(pool.pitch[i]));
    let shape =
        Shape::new(Family::ALL[f], pool.diameters[usize::from(pool.diameter[i])].mm, pool.pitches[p].mm);
    let score = score + model.sizes_ln(&shape);
    if model.trials.is_empty() {
        return Scored { row: i, ln: score, trials: None };
    }
    let trials: [f64; COMBINATIONS] = std::array::from_fn(|c| {
        let suspect = Suspect { shape, starts: tables.numbers[c / MOST_HANDS], hand: HANDS[c % MOST_HANDS] };
        model.trials.iter().map(|t| model.trial_ln(*t, &suspect)).sum()
    });
    let by = combinations(tables, f, p);
    let ln = by.iter().zip(&trials).map(|(a, b)| a + b).reduce(ln_add).unwrap_or(0.0);
    Scored { row: i, ln: score + ln, trials: Some(trials) }
}

/// A row's threads: each number of starts and hand.
fn spread(tables: &Tables, scored: &Scored, ln_total: f64) -> impl Iterator<Item = Ranked> {
    let pool = pool();
    let row = pool.row(scored.row);
    let (f, p) = (usize::from(pool.family[scored.row]), usize::from(pool.pitch[scored.row]));
    let mut by = combinations(tables, f, p);
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
