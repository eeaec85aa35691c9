//! "None of these": a thread of any diameter, pitch and form, so that evidence which no candidate explains raises
//! this instead of the least bad candidate.
//!
//! Diameter and pitch are log-uniform, the angle is anywhere, and sizes that follow from the form anywhere within
//! about a pitch. The likelihood is the integral over all of them, taken where the readings leave something.

use super::density::ln_add;
use super::hands_on::Grooves;
use super::model::{Group, Model, Seen};
use super::prior;
use super::size::{self, Prediction};
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
        let more = model.evidence.observed.starts.filter(|n| *n > 4);
        (1..=4).chain(more).map(of).reduce(ln_add).unwrap_or(f64::NEG_INFINITY)
    };
    let ln_hand = [Hand::Right, Hand::Left]
        .map(|h| prior::hand(STAND_IN, h, 1.0).ln() + model.hand_ln(h))
        .into_iter()
        .reduce(ln_add)
        .unwrap_or(0.0);
    let pitches = grid(PITCHES, 120, &near_pitches(model));
    let ln_pitch: Vec<_> = pitches
        .iter()
        .map(|&(p, w)| w.ln() + model.pitch_ln(p) + model.leaves_ln(Grooves::unknown(p)) + ln_starts(p))
        .collect();
    let best = ln_pitch.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // What is 20 below the best adds nothing to an integral.
    let kept: Vec<(f64, f64)> = pitches
        .iter()
        .zip(&ln_pitch)
        .map(|(&(p, _), &ln)| (p, ln))
        .filter(|(_, ln)| *ln > best - 20.0)
        .collect();
    let outside = Outside::new(model, kept.first().map_or(1.0, |k| k.0), kept.last().map_or(1.0, |k| k.0));
    let mut sum = f64::NEG_INFINITY;
    for &(p, ln) in &kept {
        let ln_sizes: f64 = model.sizes.iter().map(|g| broad_ln(g, p, model.outside.is_some())).sum();
        sum = ln_add(sum, ln + ln_sizes + outside.ln(p));
    }
    let ln_angles: f64 = model
        .angles
        .iter()
        .map(|seen| seen.broad(if seen.feature == Feature::FlankAngle { 37.5 } else { 75.0 }).ln())
        .sum();
    // A part tried by hand may do anything on a thread unknown.
    let ln_trials = model.trials.len() as f64 * 0.25_f64.ln();
    sum + ln_angles + ln_trials + ln_hand + model.form_ln(None, 1.0) + model.taper_ln(None)
}

/// Likelihood of the outside diameter, integrated over all diameters. It follows the pitch slowly, through
/// tolerance and wear, so it is worked out at a few pitches.
struct Outside {
    low: f64,
    step: f64,
    ln: Vec<f64>,
}

impl Outside {
    fn new(model: &Model, low: f64, high: f64) -> Self {
        const NODES: usize = 6;
        let step = (high / low).ln() / (NODES - 1) as f64;
        let Some(group) = &model.outside else { return Self { low, step, ln: vec![0.0; NODES] } };
        let diameters = grid(DIAMETERS, 0, &near_diameters(group));
        let at = |p: f64| {
            let prediction = size::outside(size::Kind::of(STAND_IN), 0.0, p, model.condition);
            diameters
                .iter()
                .map(|&(d, w)| w.ln() + group.ln_crests(&size::crests(Prediction { at: d, ..prediction }, p)))
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
