//! The likelihood: how probable each piece of evidence is, given a thread.
//!
//! Readings of one feature at several places share the maker's part (where in its tolerance this thread was cut)
//! and wear each on its own. Every reading may be a slip, with a small chance and a broad density, so that no
//! single reading can rule a thread out; unit slips and miscounts are slips whose result is known.

use super::density::{normal_pdf, worn_cdf};
use super::hands_on::{leaf_index, leaf_odds, trial_index, trial_odds};
use super::scales::{
    COUNT_ONE_LESS, COUNT_ONE_MORE, EYE_SLIP, LEAD_ERROR, SLIP, SLIP_COARSE, SLIP_SUSPECT, UNIT_SLIP,
};
use super::size::{Prediction, Shape, angle_spread};
use super::story::{self, Claims};
use crate::evidence::{Evidence, Weighed};
use crate::job::{Condition, Feature, Instrument, Job, Quantity};
use flankwise_thread::{Element, Family, Hand, Length};

/// Pieces into which a maker's tolerance is cut to be shared by several readings.
pub(super) const PIECES: usize = 6;

/// A reading, ready to be compared. Lengths in mm, angles in degrees.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    /// Index into the evidence's readings.
    pub at: usize,
    pub part: Element,
    pub feature: Feature,
    pub v: f64,
    pub u: f64,
    pub wire: Option<Length>,
    /// What may really have been read: the value times a factor, with its chance.
    readings: Vec<(f64, f64)>,
    /// Chance times density of a slip without rule.
    slip: f64,
}

impl Seen {
    fn new(evidence: &Evidence, job: &Job, at: usize) -> Self {
        let weighed = &evidence.readings[at];
        let typed = job.readings.get(weighed.index);
        let (v, u) = plain(weighed);
        let suspect = evidence.suspects.iter().any(|(i, _)| *i == weighed.index);
        let coarse = typed.is_some_and(|r| matches!(r.instrument, Instrument::Rule | Instrument::Photo));
        let slip = if suspect {
            SLIP_SUSPECT
        } else if coarse {
            SLIP_COARSE
        } else {
            SLIP
        };
        let is_angle = matches!(weighed.value, Quantity::Angle(_));
        let mut readings = Vec::new();
        if !is_angle {
            readings.extend([(25.4, UNIT_SLIP), (1.0 / 25.4, UNIT_SLIP)]);
        }
        if weighed.feature == Feature::Pitch
            && let Some(n) = typed.and_then(|r| r.count).map(f64::from).filter(|n| *n >= 2.0)
        {
            readings.extend([(n / (n - 1.0), COUNT_ONE_MORE), (n / (n + 1.0), COUNT_ONE_LESS)]);
        }
        let right = 1.0 - slip - readings.iter().map(|r| r.1).sum::<f64>();
        readings.insert(0, (1.0, right));
        // A slip lands anywhere from a third to three times the value, or at any angle.
        let broad = if is_angle { 1.0 / 90.0 } else { 1.0 / (2.0 * 3_f64.ln() * v) };
        let (part, feature, wire) = (weighed.part, weighed.feature, weighed.wire);
        Self { at, part, feature, v, u: u.max(1e-6), wire, readings, slip: slip * broad }
    }

    /// A reading not yet made, without slips.
    pub(super) fn planned(part: Element, feature: Feature, u: f64, wire: Option<Length>) -> Self {
        Self { at: 0, part, feature, v: 1.0, u, wire, readings: vec![(1.0, 1.0)], slip: 0.0 }
    }

    /// Density where the quantity is `truth` but for noise of `spread` besides the reading's own.
    pub(super) fn even(&self, truth: f64, spread: f64) -> f64 {
        let mut density = self.slip;
        for &(factor, chance) in &self.readings {
            let sigma = (self.u * factor).hypot(spread);
            let off = self.v * factor - truth;
            if off.abs() < 9.0 * sigma {
                density += chance * factor * normal_pdf(off, sigma);
            }
        }
        density
    }

    /// Density where the quantity lies anywhere within `width`.
    pub(super) fn broad(&self, width: f64) -> f64 {
        self.readings.first().map_or(1.0, |r| r.1) / width + self.slip
    }

    /// Density given that the maker's part lies in each of `pieces` pieces of the tolerance.
    fn pieces(&self, prediction: &Prediction, out: &mut [f64]) {
        out.fill(self.slip);
        for &(factor, chance) in &self.readings {
            let sigma = (self.u * factor).hypot(prediction.spread);
            let deficit = prediction.away * (self.v * factor - prediction.at);
            let width = prediction.tolerance.max(0.02 * sigma);
            if deficit < -9.0 * sigma || deficit > width + 9.0 * sigma + 14.0 * prediction.wear {
                continue;
            }
            let step = width / out.len() as f64;
            let mut upper = worn_cdf(deficit, sigma, prediction.wear);
            for (k, piece) in out.iter_mut().enumerate() {
                let lower = worn_cdf(deficit - step * (k + 1) as f64, sigma, prediction.wear);
                *piece += chance * factor * (upper - lower).max(0.0) / step;
                upper = lower;
            }
        }
    }

    /// Density of reading `v` instead, for `weights` over the pieces of the tolerance.
    pub(super) fn density_at(&self, v: f64, prediction: &Prediction, weights: &[f64; PIECES]) -> f64 {
        let mut pieces = [0.0; PIECES];
        Self { v, ..self.clone() }.pieces(prediction, &mut pieces);
        pieces.iter().zip(weights).map(|(p, w)| p * w).sum()
    }

    /// Largest log density that any thread can give this reading.
    fn ln_peak(&self) -> f64 {
        (self.readings.iter().map(|(f, c)| c * f).sum::<f64>() * normal_pdf(0.0, self.u) + self.slip).ln()
    }
}

/// Value and standard uncertainty as plain numbers: mm or degrees.
fn plain(weighed: &Weighed) -> (f64, f64) {
    let number = |q: Quantity| match q {
        Quantity::Length(l, _) => l.to_mm(),
        Quantity::Angle(a) => a.to_deg(),
    };
    (number(weighed.value), number(weighed.u))
}

/// Readings of one feature of one part.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub seen: Vec<Seen>,
}

impl Group {
    /// Log-likelihood, and the log of each piece of the tolerance.
    pub(super) fn pieces(&self, shape: &Shape, condition: Condition) -> [f64; PIECES] {
        let mut product = [1.0; PIECES];
        for seen in &self.seen {
            let Some(prediction) = shape.predict(seen.part, seen.feature, seen.wire, condition) else { continue };
            let mut pieces = [0.0; PIECES];
            seen.pieces(&prediction, &mut pieces);
            for (all, one) in product.iter_mut().zip(pieces) {
                *all *= one;
            }
        }
        product
    }

    pub(super) fn ln(&self, shape: &Shape, condition: Condition) -> f64 {
        if let [seen] = &self.seen[..] {
            return seen_ln(seen, shape, condition);
        }
        (self.pieces(shape, condition).iter().sum::<f64>() / PIECES as f64).ln()
    }

    pub(super) fn ln_peak(&self) -> f64 {
        self.seen.iter().map(Seen::ln_peak).sum()
    }
}

/// Log-likelihood of one reading of a size by itself.
fn seen_ln(seen: &Seen, shape: &Shape, condition: Condition) -> f64 {
    let Some(prediction) = shape.predict(seen.part, seen.feature, seen.wire, condition) else { return 0.0 };
    let mut whole = [0.0];
    seen.pieces(&prediction, &mut whole);
    whole[0].ln()
}

/// A thread to be judged.
#[derive(Clone, Copy, Debug)]
pub(super) struct Suspect {
    pub shape: Shape,
    pub starts: u32,
    pub hand: Hand,
}

/// One piece of evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Piece {
    /// Index into the evidence's readings.
    Reading(usize),
    Leaf(usize),
    Trial(usize),
    Form,
    Starts,
    Hand,
    Story,
}

/// The evidence, sorted by what it depends on.
pub(super) struct Model<'a> {
    pub evidence: &'a Evidence,
    pub job: &'a Job,
    pub condition: Condition,
    /// Outside diameter of the screw.
    pub outside: Option<Group>,
    /// Other sizes, which need the basic sizes of the form.
    pub sizes: Vec<Group>,
    pub pitches: Vec<Seen>,
    pub leads: Vec<Seen>,
    pub angles: Vec<Seen>,
    pub claims: Claims,
}

impl<'a> Model<'a> {
    pub(super) fn new(evidence: &'a Evidence, job: &'a Job) -> Self {
        let (mut outside, mut sizes) = (None::<Group>, Vec::<Group>::new());
        let (mut pitches, mut leads, mut angles) = (Vec::new(), Vec::new(), Vec::new());
        for at in 0..evidence.readings.len() {
            let seen = Seen::new(evidence, job, at);
            if !(seen.v.is_finite() && seen.u.is_finite() && seen.v > 0.0) {
                continue;
            }
            match (seen.part, seen.feature) {
                (_, Feature::Pitch) => pitches.push(seen),
                (_, Feature::Lead) => leads.push(seen),
                (_, Feature::FlankAngle | Feature::IncludedAngle) => angles.push(seen),
                (Element::External, Feature::MajorDiameter) => {
                    outside.get_or_insert_with(|| Group { seen: Vec::new() }).seen.push(seen);
                }
                (part, feature) => {
                    match sizes.iter_mut().find(|g| (g.seen[0].part, g.seen[0].feature) == (part, feature)) {
                        Some(group) => group.seen.push(seen),
                        None => sizes.push(Group { seen: vec![seen] }),
                    }
                }
            }
        }
        // The product over a group's readings does not depend on their order; nor shall its rounding.
        for group in outside.iter_mut().chain(&mut sizes) {
            group.seen.sort_by(|a, b| a.v.total_cmp(&b.v).then(a.u.total_cmp(&b.u)));
        }
        let claims = evidence.story.as_deref().map(story::read).unwrap_or_default();
        Self { evidence, job, condition: evidence.condition, outside, sizes, pitches, leads, angles, claims }
    }

    /// Pitch readings.
    pub(super) fn pitch_ln(&self, p: f64) -> f64 {
        self.pitches.iter().map(|seen| seen.even(p, LEAD_ERROR * p).ln()).sum()
    }

    /// Lead readings.
    pub(super) fn lead_ln(&self, lead: f64) -> f64 {
        self.leads.iter().map(|seen| seen.even(lead, LEAD_ERROR * lead).ln()).sum()
    }

    /// Angle readings, on the included angle of the form.
    pub(super) fn angle_ln(&self, included_deg: f64) -> f64 {
        self.angles.iter().map(|seen| self.one_angle_ln(seen, included_deg)).sum()
    }

    fn one_angle_ln(&self, seen: &Seen, included_deg: f64) -> f64 {
        let share = if seen.feature == Feature::FlankAngle { 0.5 } else { 1.0 };
        seen.even(share * included_deg, share * angle_spread(self.condition)).ln()
    }

    /// One leaf.
    pub(super) fn leaf_ln(&self, i: usize, p: f64, included_deg: f64) -> f64 {
        let leaf = &self.evidence.leaves[i];
        let odds = leaf_odds(p, included_deg, leaf.pitch.length.to_mm(), leaf.angle, self.condition);
        odds[leaf_index(leaf.verdict)].ln()
    }

    /// All leaves.
    pub(super) fn leaves_ln(&self, p: f64, included_deg: f64) -> f64 {
        (0..self.evidence.leaves.len()).map(|i| self.leaf_ln(i, p, included_deg)).sum()
    }

    /// One part tried.
    pub(super) fn trial_ln(&self, i: usize, suspect: &Suspect) -> f64 {
        let trial = &self.evidence.trials[i];
        let odds =
            trial_odds(&suspect.shape, suspect.starts, suspect.hand, &trial.with, trial.element, self.condition);
        odds[trial_index(trial.verdict)].ln()
    }

    /// All sizes besides the outside diameter.
    pub(super) fn sizes_ln(&self, shape: &Shape) -> f64 {
        self.sizes.iter().map(|group| group.ln(shape, self.condition)).sum()
    }

    /// What was seen of the starts.
    pub(super) fn starts_ln(&self, starts: u32) -> f64 {
        self.evidence.observed.starts.map_or(0.0, |seen| eye(seen == starts, 3.0))
    }

    /// What was seen of the hand.
    pub(super) fn hand_ln(&self, hand: Hand) -> f64 {
        self.evidence.observed.hand.map_or(0.0, |seen| eye(seen == hand, 1.0))
    }

    /// What was seen of the form.
    pub(super) fn form_ln(&self, family: Option<Family>) -> f64 {
        self.evidence.observed.form.map_or(0.0, |seen| super::prior::looks(family, seen, self.condition).ln())
    }

    /// How one piece of evidence speaks for a thread: log-likelihood by itself.
    pub(super) fn piece_ln(&self, piece: Piece, suspect: &Suspect) -> f64 {
        let shape = &suspect.shape;
        match piece {
            Piece::Reading(at) => match self.seen(at) {
                None => 0.0,
                Some(seen) => match seen.feature {
                    Feature::Pitch => seen.even(shape.p(), LEAD_ERROR * shape.p()).ln(),
                    Feature::Lead => {
                        let lead = shape.p() * f64::from(suspect.starts);
                        seen.even(lead, LEAD_ERROR * lead).ln()
                    }
                    Feature::FlankAngle | Feature::IncludedAngle => self.one_angle_ln(seen, shape.included_deg),
                    _ => seen_ln(seen, shape, self.condition),
                },
            },
            Piece::Leaf(i) => self.leaf_ln(i, shape.p(), shape.included_deg),
            Piece::Trial(i) => self.trial_ln(i, suspect),
            Piece::Form => self.form_ln(Some(shape.family)),
            Piece::Starts => self.starts_ln(suspect.starts),
            Piece::Hand => self.hand_ln(suspect.hand),
            Piece::Story => {
                let c = &self.claims;
                let fits = [
                    c.fits_family(shape.family),
                    c.fits_diameter(shape.d()),
                    c.fits_pitch(shape.p()),
                    c.fits_hand(suspect.hand),
                ];
                fits.into_iter().flatten().filter(|fit| *fit).count() as f64 * story::STORY_WEIGHT.ln()
            }
        }
    }

    /// Every piece of evidence there is.
    pub(super) fn all_pieces(&self) -> Vec<Piece> {
        let observed = &self.evidence.observed;
        (0..self.evidence.readings.len())
            .map(Piece::Reading)
            .chain((0..self.evidence.leaves.len()).map(Piece::Leaf))
            .chain((0..self.evidence.trials.len()).map(Piece::Trial))
            .chain(observed.form.map(|_| Piece::Form))
            .chain(observed.starts.map(|_| Piece::Starts))
            .chain(observed.hand.map(|_| Piece::Hand))
            .chain((!self.claims.is_empty()).then_some(Piece::Story))
            .collect()
    }

    /// The reading at this index of the evidence, if it can be compared with anything.
    pub(super) fn seen(&self, at: usize) -> Option<&Seen> {
        let groups = self.outside.iter().chain(&self.sizes).flat_map(|g| &g.seen);
        groups.chain(&self.pitches).chain(&self.leads).chain(&self.angles).find(|s| s.at == at)
    }

    /// What a thread predicts for a reading: the middle, and the standard deviation of the reading about it; a
    /// size is within its prediction anywhere in the maker's tolerance, so the distance counts from its ends.
    pub(super) fn deviations(&self, seen: &Seen, suspect: &Suspect) -> f64 {
        let shape = &suspect.shape;
        let even = |truth: f64, spread: f64| (seen.v - truth) / seen.u.hypot(spread);
        match seen.feature {
            Feature::Pitch => even(shape.p(), LEAD_ERROR * shape.p()),
            Feature::Lead => {
                let lead = shape.p() * f64::from(suspect.starts);
                even(lead, LEAD_ERROR * lead)
            }
            Feature::IncludedAngle => even(shape.included_deg, angle_spread(self.condition)),
            Feature::FlankAngle => even(0.5 * shape.included_deg, 0.5 * angle_spread(self.condition)),
            _ => {
                let Some(p) = shape.predict(seen.part, seen.feature, seen.wire, self.condition) else { return 0.0 };
                let noise = seen.u.hypot(p.spread);
                let deficit = p.away * (seen.v - p.at);
                if deficit < 0.0 {
                    p.away * deficit / noise
                } else if deficit > p.tolerance {
                    p.away * (deficit - p.tolerance) / noise.hypot(p.wear)
                } else {
                    0.0
                }
            }
        }
    }
}

/// Log chance that an eye says so, where `others` other answers share its errors.
fn eye(right: bool, others: f64) -> f64 {
    if right { (1.0 - EYE_SLIP).ln() } else { (EYE_SLIP / others).ln() }
}
