//! "None of these": a thread of any diameter, pitch and form, so that evidence which no candidate explains raises
//! this instead of the least bad candidate.
//!
//! Either a size that follows no preferred number, diameter and pitch log-uniform; or a form of its maker's own, cut with
//! the lead screw that was there on the bar that was there, so that its diameter and pitch are those of other threads.
//! Nothing says which is commoner. The angle is anywhere, and sizes that follow from the form anywhere within about a
//! pitch. The likelihood is the integral over all of them, taken where the readings leave something.

use super::density::ln_add;
use super::hands_on::Grooves;
use super::model::{Group, Model, Seen};
use super::pool::pool;
use super::size::{self, Prediction};
use super::{chances, prior};
use crate::job::Feature;
use flankwise_thread::{Family, Hand};

/// Diameters considered, mm.
const DIAMETERS: (f64, f64) = (0.8, 150.0);
/// Pitches considered, mm.
const PITCHES: (f64, f64) = (0.2, 16.0);

/// What is between V and feed threads stands for all forms.
const STAND_IN: Family = Family::Acme;

/// Log-likelihood of all evidence under "none of these".
pub(super) fn ln_likelihood(model: &Model) -> f64 {
    let starts = prior::starts(STAND_IN);
    let ln_starts = |p: f64| {
        let of = |n: u32| {
            starts[(n as usize - 1).min(3)].ln() + model.starts_ln(n) + model.lead_ln(p * f64::from(n))
        };
        let more = model.evidence.observed.starts.filter(|n| *n > 4 && is_possible(model, *n, p));
        (1..=4).chain(more).map(of).reduce(ln_add).unwrap_or(f64::NEG_INFINITY)
    };
    let ln_hand = [Hand::Right, Hand::Left]
        .map(|h| prior::hand(STAND_IN, h, 1.0).ln() + model.hand_ln(h))
        .into_iter()
        .reduce(ln_add)
        .unwrap_or(0.0);
    let ln_sizes = |p: f64| model.sizes.iter().map(|g| broad_ln(g, p, model.outside.is_some())).sum::<f64>();
    let ln_pitch =
        |p: f64| model.pitch_ln(p) + model.leaves_ln(Grooves::unknown(p)) + ln_starts(p) + ln_sizes(p);
    let sum = ln_add(any_size(model, ln_pitch), usual_size(model, ln_pitch)) - 2_f64.ln();
    let ln_angles: f64 = model
        .angles
        .iter()
        .map(|seen| seen.broad(if seen.feature == Feature::FlankAngle { 37.5 } else { 75.0 }).ln())
        .sum();
    // A part tried by hand may do anything on a thread unknown.
    let ln_trials = model.trials.len() as f64 * 0.25_f64.ln();
    sum + ln_angles + ln_trials + ln_hand + model.form_ln(None, 1.0) + model.taper_ln(None)
}

/// Whether so many starts of pitch `p` make no steeper lead than 45° on the largest outside read.
fn is_possible(model: &Model, starts: u32, p: f64) -> bool {
    let read = model.outside.iter().flat_map(|group| &group.seen).map(|seen| seen.v).reduce(f64::max);
    read.is_none_or(|d| f64::from(starts) * p <= std::f64::consts::PI * d)
}

/// What is so far below the best in natural logarithms adds nothing to an integral.
const NOTHING: f64 = 20.0;

/// Diameter and pitch anywhere.
fn any_size(model: &Model, ln_pitch: impl Fn(f64) -> f64) -> f64 {
    let pitches = grid(PITCHES, 120, &near_pitches(model));
    let ln: Vec<f64> = pitches.iter().map(|&(p, w)| w.ln() + ln_pitch(p)).collect();
    let best = ln.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let kept = || pitches.iter().zip(&ln).filter(|(_, ln)| **ln > best - NOTHING).map(|(p, ln)| (p.0, *ln));
    let diameters = model.outside.as_ref().map(|group| grid(DIAMETERS, 0, &near_diameters(group)));
    let outside = Outside::new(model, kept().map(|k| k.0), &diameters.unwrap_or_default());
    kept().map(|(p, ln)| ln + outside.ln(p)).reduce(ln_add).unwrap_or(f64::NEG_INFINITY)
}

/// Families whose diameters and pitches other makers use too.
const USUAL: [Family; 4] = [Family::MetricTrapezoidal, Family::Acme, Family::MetricIso, Family::Unified];

/// Diameter and pitch as the usual families have them.
fn usual_size(model: &Model, ln_pitch: impl Fn(f64) -> f64) -> f64 {
    let pool = pool();
    let ln: Vec<f64> = pool.pitches.iter().map(|s| ln_pitch(s.mm)).collect();
    let best = ln.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let is_kept = |p: usize| ln[p] > best - NOTHING;
    let kept = || (0..ln.len()).filter(|p| is_kept(*p)).map(|p| pool.pitches[p].mm);
    let windows = model.outside.as_ref().map(near_diameters);
    let is_near =
        |mm: f64| windows.as_ref().is_none_or(|w| w.iter().any(|(low, high)| (*low..*high).contains(&mm)));
    let usual = USUAL.map(chances::index);
    let mut sum = f64::NEG_INFINITY;
    for (diameter, blocks) in pool.diameters.iter().zip(&pool.of_diameter).filter(|(d, _)| is_near(d.mm)) {
        let outside = Outside::new(model, kept(), &[(diameter.mm, 1.0)]);
        for block in pool.blocks[blocks.clone()].iter().filter(|block| is_kept(block.pitch)) {
            let of = block.rows.clone().filter(|i| usual.contains(&usize::from(pool.family[*i])));
            let prior: f64 = of.map(|i| f64::from(pool.ln_prior[i]).exp()).sum::<f64>() / usual.len() as f64;
            if prior > 0.0 {
                sum = ln_add(sum, prior.ln() + ln[block.pitch] + outside.ln(pool.pitches[block.pitch].mm));
            }
        }
    }
    sum
}

/// Likelihood of the outside diameter, integrated over diameters with these weights. It follows the pitch slowly,
/// through tolerance and wear, so it is worked out at a few pitches.
struct Outside {
    low: f64,
    step: f64,
    ln: Vec<f64>,
}

impl Outside {
    fn new(model: &Model, mut pitches: impl Iterator<Item = f64>, diameters: &[(f64, f64)]) -> Self {
        const NODES: usize = 6;
        let low = pitches.next().unwrap_or(1.0);
        let step = (pitches.last().unwrap_or(low) / low).ln() / (NODES - 1) as f64;
        let Some(group) = &model.outside else { return Self { low, step, ln: vec![0.0; NODES] } };
        let kind = size::Kind::of(STAND_IN, false);
        let at = |p: f64| {
            let prediction = size::outside(kind, 0.0, p, model.condition);
            diameters
                .iter()
                .map(|&(d, w)| {
                    let states = size::crests(Prediction { at: d, ..prediction }, kind, p, d);
                    w.ln() + group.ln_crests(&states)
                })
                .reduce(ln_add)
                .unwrap_or(f64::NEG_INFINITY)
        };
        let nodes = if step < 1e-3 { 1 } else { NODES };
        Self { low, step, ln: (0..nodes).map(|i| at(low * (step * i as f64).exp())).collect() }
    }
    fn ln(&self, p: f64) -> f64 {
        let nearest = if self.step < 1e-3 { 0.0 } else { ((p / self.low).ln() / self.step).round() };
        self.ln[(nearest.max(0.0) as usize).min(self.ln.len() - 1)]
    }
}

/// A size that could lie anywhere within a range that the pitch sets.
fn broad_ln(group: &Group, p: f64, diameter_known: bool) -> f64 {
    group
        .seen
        .iter()
        .enumerate()
        .map(|(i, seen)| {
            let width = match seen.feature {
                Feature::CrestFlat | Feature::RootFlat | Feature::ThreadThickness => 0.5 * p,
                _ if diameter_known => p,
                // Without an outside diameter the first bore sets the size; further ones follow it.
                _ if i == 0 => seen.v * (DIAMETERS.1 / DIAMETERS.0).ln(),
                _ => 0.3 * p,
            };
            seen.broad(width).ln()
        })
        .sum()
}

fn near_pitches(model: &Model) -> Vec<(f64, f64)> {
    let around = |seen: &Seen, v: f64| (v - 4.0 * seen.u * v / seen.v, v + 4.0 * seen.u * v / seen.v);
    let leads = model.leads.iter().flat_map(|s| (1..=4).map(move |n| around(s, s.v / f64::from(n))));
    model.pitches.iter().map(|s| around(s, s.v)).chain(leads).collect()
}

fn near_diameters(group: &Group) -> Vec<(f64, f64)> {
    group.seen.iter().map(|s| (0.985 * s.v - 4.0 * s.u, 1.06 * s.v + 4.0 * s.u)).collect()
}

/// Points and their log-uniform weights (trapezoid rule in the logarithm): `coarse` over the whole range, finer in
/// `windows`. Weights sum to one over the whole range.
fn grid((low, high): (f64, f64), coarse: usize, windows: &[(f64, f64)]) -> Vec<(f64, f64)> {
    const FINE: usize = 32;
    let mut points: Vec<f64> =
        (0..coarse).map(|i| low * (high / low).powf((i as f64 + 0.5) / coarse as f64)).collect();
    for &(a, b) in windows {
        points.extend(
            (0..FINE).map(|i| a + (b - a) * i as f64 / (FINE - 1) as f64).filter(|x| *x > low && *x < high),
        );
    }
    points.sort_by(f64::total_cmp);
    points.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
    let whole = (high / low).ln();
    (0..points.len())
        .map(|i| {
            let left = if i == 0 { points[i] } else { points[i - 1] };
            let right = points.get(i + 1).copied().unwrap_or(points[i]);
            (points[i], (0.5 * (right / left).ln() / whole).max(1e-12))
        })
        .collect()
}
