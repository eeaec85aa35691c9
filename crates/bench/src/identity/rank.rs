//! Ranks the whole pool.
//!
//! Two rounds. The first scores every row with what depends on diameter, pitch and family alone, from small tables.
//! The second works out basic sizes, and with them the rest of the evidence, for the rows that can still matter.
//! Rows left out are counted: their share is bounded by the highest density that the rest of the evidence can give,
//! and the cut is lowered until that share is below [`LEFT_OUT`].

use super::density::ln_add;
use super::model::{Model, Suspect};
use super::pool::{MOST_STARTS, Row, pool};
use super::size::Shape;
use super::{MOST_HANDS, other, prior, story};
use flankwise_thread::{Family, Hand, Thread};

/// Share of the probability that may rest, at most, with rows not worked out in full.
const LEFT_OUT: f64 = 1e-6;
/// Threads below this share of the best are not listed.
const FAINT: f64 = 1e-7;

/// A thread of the pool with its share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ranked {
    pub row: Row,
    pub starts: u32,
    pub hand: Hand,
    pub probability: f64,
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

/// The ranking: most probable first.
pub(super) struct Ranking {
    pub ranked: Vec<Ranked>,
    pub other: f64,
    pub considered: usize,
    /// Upper bound on the share of the rows that were not worked out in full.
    pub left_out: f64,
}

const HANDS: [Hand; MOST_HANDS] = [Hand::Right, Hand::Left];
const FAMILIES: usize = Family::ALL.len();

/// Tables of what the first round needs.
struct Tables {
    family: [f64; FAMILIES],
    hand: [[f64; MOST_HANDS]; FAMILIES],
    starts: [[f64; MOST_STARTS as usize]; FAMILIES],
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
    let families = prior::families(&model.evidence.context);
    let included = Family::ALL.map(|f| f.form().included_angle().to_deg());
    let family = std::array::from_fn(|f| {
        let kind = Family::ALL[f];
        families[f].ln()
            + model.form_ln(Some(kind))
            + model.angle_ln(included[f])
            + claim(model.claims.fits_family(kind))
    });
    let hand = Family::ALL
        .map(|f| HANDS.map(|h| prior::hand(f, h).ln() + model.hand_ln(h) + claim(model.claims.fits_hand(h))));
    let starts = Family::ALL.map(|f| {
        let prior = prior::starts(f);
        std::array::from_fn(|n| prior[n].ln() + model.starts_ln(n as u32 + 1))
    });
    let pitch =
        pool.pitches.iter().map(|s| model.pitch_ln(s.mm) + claim(model.claims.fits_pitch(s.mm))).collect();
    let leads: Vec<[f64; MOST_STARTS as usize]> = pool
        .pitches
        .iter()
        .map(|s| std::array::from_fn(|n| model.lead_ln(s.mm * (n + 1) as f64)))
        .collect();
    let both = pool
        .pitches
        .iter()
        .zip(&leads)
        .map(|(s, leads)| {
            std::array::from_fn(|f| {
                let starts: &[f64; MOST_STARTS as usize] = &starts[f];
                let by_starts = starts.iter().zip(leads).map(|(a, b)| a + b).reduce(ln_add).unwrap_or(0.0);
                let by_hand = hand[f].iter().copied().reduce(ln_add).unwrap_or(0.0);
                model.leaves_ln(s.mm, included[f]) + by_starts + by_hand
            })
        })
        .collect();
    let diameter = pool.diameters.iter().map(|d| claim(model.claims.fits_diameter(d.mm))).collect();
    Tables { family, hand, starts, pitch, leads, both, diameter }
}

/// First round: every row by diameter, pitch and family, starts and hand summed out.
fn first_round(model: &Model, tables: &Tables) -> Vec<f64> {
    let pool = pool();
    let mut scores = vec![0.0; pool.len()];
    // The outside diameter depends on the form only through V or feed tolerances.
    let mut outside = vec![[f64::NAN; 2]; pool.pitches.len()];
    for (d, rows) in pool.rows.iter().enumerate() {
        outside.fill([f64::NAN; 2]);
        for i in rows.clone() {
            let (f, p) = (usize::from(pool.family[i]), usize::from(pool.pitch[i]));
            let mut score = f64::from(pool.ln_prior[i])
                + tables.family[f]
                + tables.pitch[p]
                + tables.both[p][f]
                + tables.diameter[d];
            if let Some(group) = &model.outside {
                let family = Family::ALL[f];
                let cell = &mut outside[p][usize::from(super::pool::is_v(family))];
                if cell.is_nan() {
                    let shape = Shape::new(family, pool.diameters[d].mm, pool.pitches[p].mm);
                    *cell = group.ln(&shape, model.condition);
                }
                score += *cell;
            }
            scores[i] = score;
        }
    }
    scores
}

/// Ranks all threads of the pool.
pub(super) fn rank(model: &Model) -> Ranking {
    let pool = pool();
    let tables = tables(model);
    let scores = first_round(model, &tables);
    let top = scores.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let ln_other = (prior::OTHER / (1.0 - prior::OTHER)).ln() + other::ln_likelihood(model);
    let ln_peak: f64 = model.sizes.iter().map(super::model::Group::ln_peak).sum();

    let mut threads: Vec<(usize, u32, Hand, f64)> = Vec::new();
    let mut ln_total = ln_other;
    let (mut above, mut cut) = (f64::INFINITY, 25.0);
    let left_out = loop {
        let (upper, lower) = (above, top - cut);
        for (i, score) in scores.iter().enumerate().filter(|(_, s)| **s < upper && **s >= lower) {
            ln_total = ln_add(ln_total, second_round(model, &tables, i, *score, &mut threads));
        }
        let rest: f64 = scores.iter().filter(|s| **s < lower).map(|s| (s - top).exp()).sum();
        let bound = if rest == 0.0 { 0.0 } else { (rest.ln() + top + ln_peak - ln_total).exp() };
        if bound < LEFT_OUT || cut > 300.0 {
            break bound;
        }
        (above, cut) = (lower, cut + 15.0);
    };

    let best = threads.iter().map(|t| t.3).fold(f64::NEG_INFINITY, f64::max);
    let mut ranked: Vec<_> = threads
        .into_iter()
        .filter(|t| t.3 >= best + FAINT.ln())
        .map(|(i, starts, hand, ln)| Ranked { row: pool.row(i), starts, hand, probability: (ln - ln_total).exp() })
        .collect();
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    Ranking {
        ranked,
        other: (ln_other - ln_total).exp(),
        considered: pool.len() * MOST_STARTS as usize * MOST_HANDS,
        left_out: left_out.min(1.0),
    }
}

/// Second round for one row: the rest of the evidence, then starts and hands one by one. Returns the log of the
/// row's sum.
fn second_round(
    model: &Model,
    tables: &Tables,
    i: usize,
    score: f64,
    threads: &mut Vec<(usize, u32, Hand, f64)>,
) -> f64 {
    let pool = pool();
    let (f, p) = (usize::from(pool.family[i]), usize::from(pool.pitch[i]));
    let row = pool.row(i);
    let trials = model.evidence.trials.len();
    let shape = (trials > 0 || !model.sizes.is_empty())
        .then(|| Shape::new(row.family, row.nominal.to_mm(), row.pitch.length.to_mm()));
    let ln_sizes = shape.map_or(0.0, |shape| model.sizes_ln(&shape));
    // The first round summed starts and hand out; take that sum away and put the parts in its place.
    let by_starts: [f64; MOST_STARTS as usize] = std::array::from_fn(|n| tables.starts[f][n] + tables.leads[p][n]);
    let sum = by_starts.iter().copied().reduce(ln_add).unwrap_or(0.0)
        + tables.hand[f].iter().copied().reduce(ln_add).unwrap_or(0.0);
    let mut ln_row = f64::NEG_INFINITY;
    for (n, ln_starts) in by_starts.iter().enumerate() {
        for (hand, ln_hand) in HANDS.into_iter().zip(tables.hand[f]) {
            let starts = n as u32 + 1;
            let ln_trials: f64 = shape.map_or(0.0, |shape| {
                (0..trials).map(|t| model.trial_ln(t, &Suspect { shape, starts, hand })).sum()
            });
            let ln = score - sum + ln_starts + ln_hand + ln_sizes + ln_trials;
            threads.push((i, starts, hand, ln));
            ln_row = ln_add(ln_row, ln);
        }
    }
    ln_row
}
