//! The likelihood: how probable each piece of evidence is, given a thread.
//!
//! Readings of one feature at several places share the maker's part (where in its tolerance this thread was cut)
//! and wear each on its own. Every reading may be a slip, with a small chance and a broad density, so that no
//! single reading can rule a thread out; unit slips and miscounts are slips whose result is known.

use super::density::{normal_pdf, worn_cdf};
use super::hands_on::{TrialOdds, leaf_index, leaf_odds, trial_index, trial_odds};
use super::scales::{
    COUNT_ONE_LESS, COUNT_ONE_MORE, EYE_SLIP, LEAD_ERROR, QUICK_BLUR, QUICK_COUNT, QUICK_SPAN_MM, SLIP,
    SLIP_COARSE, SLIP_SUSPECT, UNIT_SLIP,
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
    /// What may really have been read.
    readings: Vec<Really>,
    /// Chance times density of a slip without rule.
    slip: f64,
}

/// One way in which a reading came about: the quantity read is the value times `factor`.
#[derive(Clone, Copy, Debug)]
struct Really {
    factor: f64,
    chance: f64,
    /// Standard deviation besides the reading's own, as a share of the value.
    blur: f64,
}

impl Really {
    const fn sharp(factor: f64, chance: f64) -> Self {
        Self { factor, chance, blur: 0.0 }
    }
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
            readings.extend([25.4, 1.0 / 25.4].map(|factor| Really::sharp(factor, UNIT_SLIP)));
        }
        if weighed.feature == Feature::Pitch {
            let count = typed.and_then(|r| r.count).map(f64::from).filter(|n| *n >= 2.0);
            if let Some(n) = count {
                readings.push(Really::sharp(n / (n - 1.0), COUNT_ONE_MORE));
                readings.push(Really::sharp(n / (n + 1.0), COUNT_ONE_LESS));
            }
            let rule = typed.is_some_and(|r| matches!(r.instrument, Instrument::Rule | Instrument::Other));
            let span = v * count.unwrap_or(1.0);
            if rule && span < QUICK_SPAN_MM {
                let blur = (QUICK_BLUR * v / 25.4).min(0.5);
                readings.push(Really { factor: 1.0, chance: QUICK_COUNT, blur });
            }
        }
        let right = 1.0 - slip - readings.iter().map(|r| r.chance).sum::<f64>();
        readings.insert(0, Really::sharp(1.0, right));
        // A slip lands anywhere from a third to three times the value, or at any angle.
        let broad = if is_angle { 1.0 / 90.0 } else { 1.0 / (2.0 * 3_f64.ln() * v) };
        let (part, feature, wire) = (weighed.part, weighed.feature, weighed.wire);
        Self { at, part, feature, v, u: u.max(1e-6), wire, readings, slip: slip * broad }
    }

    /// A reading not yet made, without slips.
    pub(super) fn planned(part: Element, feature: Feature, u: f64, wire: Option<Length>) -> Self {
        Self { at: 0, part, feature, v: 1.0, u, wire, readings: vec![Really::sharp(1.0, 1.0)], slip: 0.0 }
    }

    /// Density where the quantity is `truth` but for noise of `spread` besides the reading's own.
    pub(super) fn even(&self, truth: f64, spread: f64) -> f64 {
        let mut density = self.slip;
        for &Really { factor, chance, blur } in &self.readings {
            let sigma = (self.u * factor).hypot(spread).hypot(blur * self.v);
            let off = self.v * factor - truth;
            if off.abs() < 9.0 * sigma {
                density += chance * factor * normal_pdf(off, sigma);
            }
        }
        density
    }

    /// Density where the quantity lies anywhere within `width`.
    pub(super) fn broad(&self, width: f64) -> f64 {
        self.readings.first().map_or(1.0, |r| r.chance) / width + self.slip
    }

    /// Density given that the maker's part lies in each of the pieces of the tolerance.
    fn pieces(&self, prediction: &Prediction, out: &mut [f64]) {
        self.pieces_at(self.v, prediction, out);
    }

    fn pieces_at(&self, v: f64, prediction: &Prediction, out: &mut [f64]) {
        out.fill(self.slip);
        for &Really { factor, chance, .. } in &self.readings {
            let sigma = (self.u * factor).hypot(prediction.spread);
            let deficit = prediction.away * (v * factor - prediction.at);
            let width = prediction.tolerance.max(0.02 * sigma);
            if deficit < -9.0 * sigma || deficit > width + 9.0 * sigma + 14.0 * prediction.wear {
                continue;
            }
            // Noise wider than the tolerance sees no pieces in it.
            if sigma > 0.7 * width && out.len() > 1 {
                let whole = worn_cdf(deficit, sigma, prediction.wear)
                    - worn_cdf(deficit - width, sigma, prediction.wear);
                let density = chance * factor * whole.max(0.0) / width;
                out.iter_mut().for_each(|piece| *piece += density);
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

    /// Upper bound of the log density that any thread of pitch `p` can give this reading: within the maker's
    /// tolerance no place is likelier than another, however fine the instrument.
    fn ln_peak(&self, p: f64, alone: bool, condition: Condition) -> f64 {
        // Half of the tolerance at an ordinary diameter is less than at any.
        let least =
            [Family::MetricIso, Family::MetricTrapezoidal, Family::Acme, Family::Whitworth, Family::Square]
                .map(|f| Shape::new(f, 4.0 * p, p).predict(self.part, self.feature, self.wire, condition))
                .into_iter()
                .flatten()
                .map(|prediction| 0.5 * prediction.tolerance)
                .fold(f64::INFINITY, f64::min);
        let share = if alone { 1.0 } else { 1.0 / PIECES as f64 };
        let peak = normal_pdf(0.0, self.u).min(1.0 / (share * least).max(1e-9));
        (self.readings.iter().map(|r| r.chance * r.factor).sum::<f64>() * peak + self.slip).ln()
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
            let Some(prediction) = shape.predict(seen.part, seen.feature, seen.wire, condition) else {
                continue;
            };
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

    /// The same where one prediction holds for all readings.
    pub(super) fn ln_of(&self, prediction: &Prediction) -> f64 {
        let mut product = [1.0; PIECES];
        let pieces = if self.seen.len() == 1 { 1 } else { PIECES };
        for seen in &self.seen {
            let mut one = [0.0; PIECES];
            seen.pieces(prediction, &mut one[..pieces]);
            for (all, one) in product.iter_mut().zip(one) {
                *all *= one;
            }
        }
        (product[..pieces].iter().sum::<f64>() / pieces as f64).ln()
    }

    /// Whether a size that falls by up to `away` from `at` could give any of the readings other than by a slip.
    pub(super) fn near(&self, at: f64, away: f64) -> bool {
        self.seen.iter().any(|seen| {
            seen.readings.iter().any(|r| {
                let (v, noise) = (seen.v * r.factor, 9.0 * seen.u * r.factor);
                v < at + noise && v > at - away - noise
            })
        })
    }

    /// Log-likelihood if all readings were slips.
    pub(super) fn ln_slips(&self) -> f64 {
        self.seen.iter().map(|seen| seen.slip.ln()).sum()
    }

    /// Upper bound of the log-likelihood under any thread of pitch `p`. The pieces average to the whole tolerance,
    /// so one of the readings counts as alone.
    pub(super) fn ln_peak(&self, p: f64, condition: Condition) -> f64 {
        self.seen.iter().enumerate().map(|(i, s)| s.ln_peak(p, i == 0, condition)).sum()
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
    /// Indices of the leaves and trials that count: one that is entered twice says nothing new.
    pub leaves: Vec<usize>,
    pub trials: Vec<usize>,
    /// Shapes of all parts tried.
    tried: Vec<Shape>,
    pub claims: Claims,
}

impl<'a> Model<'a> {
    pub(super) fn new(evidence: &'a Evidence, job: &'a Job) -> Self {
        let (mut outside, mut sizes) = (None::<Group>, Vec::<Group>::new());
        let (mut pitches, mut leads, mut angles) = (Vec::new(), Vec::new(), Vec::new());
        // A reading entered twice says nothing new: its errors are the same ones.
        let same = |a: &Weighed, b: &Weighed| {
            (a.part, a.feature, a.value, a.u, a.place, a.wire)
                == (b.part, b.feature, b.value, b.u, b.place, b.wire)
        };
        for at in first_of_each(&evidence.readings, same) {
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
        let order = |a: &Seen, b: &Seen| a.v.total_cmp(&b.v).then(a.u.total_cmp(&b.u));
        for group in outside.iter_mut().chain(&mut sizes) {
            group.seen.sort_by(order);
        }
        sizes.sort_by_key(|g| (g.seen[0].part == Element::Internal, g.seen[0].feature as u8));
        for even in [&mut pitches, &mut leads, &mut angles] {
            even.sort_by(order);
        }
        let claims = evidence.story.as_deref().map(story::read).unwrap_or_default();
        Self {
            evidence,
            job,
            condition: evidence.condition,
            outside,
            sizes,
            pitches,
            leads,
            angles,
            leaves: first_of_each(&evidence.leaves, |a, b| a == b),
            trials: first_of_each(&evidence.trials, |a, b| {
                (&a.with, a.element, a.verdict) == (&b.with, b.element, b.verdict)
            }),
            tried: evidence
                .trials
                .iter()
                .map(|t| Shape::new(t.with.family, t.with.nominal.to_mm(), t.with.pitch.length.to_mm()))
                .collect(),
            claims,
        }
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
        self.leaves.iter().map(|i| self.leaf_ln(*i, p, included_deg)).sum()
    }

    /// One part tried.
    pub(super) fn trial_ln(&self, i: usize, suspect: &Suspect) -> f64 {
        let trial = &self.evidence.trials[i];
        self.trial_odds(i, suspect)[trial_index(trial.verdict)].ln()
    }

    /// What a part tried does on this thread.
    pub(super) fn trial_odds(&self, i: usize, suspect: &Suspect) -> TrialOdds {
        let trial = &self.evidence.trials[i];
        trial_odds(suspect, &self.tried[i], &trial.with, trial.element, self.condition)
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
                    Feature::FlankAngle | Feature::IncludedAngle => {
                        self.one_angle_ln(seen, shape.included_deg)
                    }
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
            .chain(self.leaves.iter().copied().map(Piece::Leaf))
            .chain(self.trials.iter().copied().map(Piece::Trial))
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
                let Some(p) = shape.predict(seen.part, seen.feature, seen.wire, self.condition) else {
                    return 0.0;
                };
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

/// Indices of the items that equal none before them.
fn first_of_each<T>(items: &[T], same: impl Fn(&T, &T) -> bool) -> Vec<usize> {
    (0..items.len()).filter(|&i| !items[..i].iter().any(|earlier| same(earlier, &items[i]))).collect()
}
