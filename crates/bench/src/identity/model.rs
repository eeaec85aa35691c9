//! The likelihood: how probable each piece of evidence is, given a thread.
//!
//! Readings of one feature at several places share the maker's part (where in its tolerance this thread was cut)
//! and the instrument's error ([`super::alike`]), and wear each on its own. Every reading may be a slip, with a small
//! chance and a broad density, so that no single reading can rule a thread out; unit slips and miscounts are slips whose
//! result is known.

use super::alike::Shared;
use super::density::{ln_add, normal_pdf, worn_cdf};
use super::hands_on::{Grooves, Known, Meeting, TrialOdds, leaf_index, leaf_odds, trial_index};
use super::scales::{
    COUNT_HABIT, EYE_SLIP, LEAD_ERROR, QUICK_BLUR, QUICK_SPAN_MM, ROUGH_LEAD, ROUGH_LEADS, SLIP_SUSPECT,
    WEAR_AT,
};
use super::size::{Crests, FAR_WORN, Fading, Prediction, Shape, angle_spread, crests, share, turned_zone};
use super::story::{self, Claims};
use super::zero::{Shift, Zero, mixed};
use crate::evidence::blunders::{self, Slip};
use crate::evidence::{Evidence, Weighed};
use crate::job::{Condition, Feature, Job, Quantity, Side};
use flankwise_thread::{Element, Family, Hand, Length, Unit};

/// Pieces into which a maker's tolerance is cut to be shared by several readings.
pub(super) const PIECES: usize = 6;

/// A slip is named as the cause where it leaves the reading within so many standard deviations. Chosen here.
const SLIP_FITS: f64 = 2.5;

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
    pub side: Option<Side>,
    /// Wear at its place, as a share of the mean.
    pub wear: f64,
    /// What may be wrong with the zero of its instrument; none where that does not count.
    pub zero: Option<Zero>,
    /// What may really have been read.
    readings: Vec<Really>,
    /// Chance that the bore was read for the major diameter.
    bore: f64,
    /// Chance times density of a slip without rule.
    pub slip: f64,
}

/// One way in which a reading came about.
#[derive(Clone, Copy, Debug)]
struct Really {
    slip: Option<Slip>,
    chance: f64,
    /// The quantity, if the reading came about so.
    at: f64,
    /// Its standard deviation.
    noise: f64,
    /// What the value is multiplied by for the quantity: densities are of the value.
    factor: f64,
}

impl Really {
    /// The value itself, read with this uncertainty.
    const fn right(v: f64, u: f64, chance: f64) -> Self {
        Self { slip: None, chance, at: v, noise: u, factor: 1.0 }
    }
    /// The quantity is a multiple of the value.
    fn times(self, slip: Slip, factor: f64, chance: f64) -> Self {
        Self { slip: Some(slip), chance, at: self.at * factor, noise: self.noise * factor, factor }
    }
    /// The quantity is the value and a little more.
    fn plus(self, slip: Slip, shift: f64, chance: f64) -> Self {
        Self { slip: Some(slip), chance, at: self.at + shift, ..self }
    }
    /// The same with a standard deviation of its own, as a share of the value.
    fn blurred(self, share: f64) -> Self {
        let value = self.at / self.factor;
        Self { noise: self.noise.hypot(share * value), ..self }
    }
}

/// Width of a crest as a share of the pitch, mean and standard deviation over all forms: an eighth on V threads, three
/// eighths on flat-topped ones.
const CREST: (f64, f64) = (0.28, 0.12);

impl Seen {
    /// The reading at this index of the evidence, taken to be `v` with the standard uncertainty `u`.
    pub(super) fn new(evidence: &Evidence, job: &Job, at: usize, (v, u): (f64, f64)) -> Self {
        let weighed = &evidence.readings[at];
        let typed = job.readings.get(weighed.index);
        let u = u.max(1e-6);
        let suspect = evidence.suspects.iter().any(|(i, _)| *i == weighed.index);
        let is_angle = matches!(weighed.value, Quantity::Angle(_));
        let written = match weighed.value {
            Quantity::Length(_, unit) => unit,
            Quantity::Angle(_) => Unit::Mm,
        };
        let count = typed.and_then(|r| r.count).map(f64::from);
        let right = Really::right(v, u, 1.0);
        let mut readings = vec![right];
        let (mut any, mut bore, mut zero) = (0.0, 0.0, None);
        for blunder in typed.map(|r| blunders::of(r, written)).unwrap_or_default() {
            let (slip, chance) = (blunder.slip, blunder.chance);
            match slip {
                Slip::Any => any = chance,
                Slip::Bore => bore = chance,
                Slip::Zero => zero = Some(Zero { chance, width: blunder.step_mm }),
                Slip::Unit if !is_angle => {
                    readings.extend([25.4, 1.0 / 25.4].map(|factor| right.times(slip, factor, chance)));
                }
                Slip::Line => readings
                    .extend([1.0, -1.0].map(|sign| right.plus(slip, sign * blunder.step_mm, 0.5 * chance))),
                Slip::OneMore => {
                    if let Some(n) = count.filter(|n| *n >= 2.0) {
                        readings.push(right.times(slip, n / (n - 1.0), chance));
                    }
                }
                Slip::OneLess => {
                    if let Some(n) = count {
                        readings.push(right.times(slip, n / (n + 1.0), chance));
                    }
                }
                Slip::Outside => {
                    if let Some(n) = count {
                        let whole = n + CREST.0;
                        readings.push(right.times(slip, n / whole, chance).blurred(CREST.1 / whole));
                    }
                }
                Slip::Quick if v * count.unwrap_or(1.0) < QUICK_SPAN_MM => {
                    let blur = (QUICK_BLUR * v / 25.4).min(0.5);
                    readings.push(right.times(slip, 1.0, chance).blurred(blur));
                }
                Slip::Unit | Slip::Quick => {}
            }
        }
        if suspect {
            any = SLIP_SUSPECT;
        }
        readings[0].chance = 1.0 - any - bore - readings[1..].iter().map(|r| r.chance).sum::<f64>();
        // A slip lands anywhere from a third to three times the value, or at any angle.
        let broad = if is_angle { 1.0 / 90.0 } else { 1.0 / (2.0 * 3_f64.ln() * v) };
        Self {
            at,
            part: weighed.part,
            feature: weighed.feature,
            v,
            u,
            wire: weighed.wire,
            side: weighed.side,
            wear: 1.0,
            zero,
            readings,
            bore,
            slip: any * broad,
        }
    }

    /// The same reading at a place of so much wear.
    pub(super) fn worn(self, wear: f64) -> Self {
        Self { wear, ..self }
    }

    /// The same reading, where each slip is `factor` times as likely.
    pub(super) fn with_slips(mut self, factor: f64) -> Self {
        let (right, slips) = self.readings.split_first_mut().expect("one way is that it was read right");
        let less = (1.0 - right.chance) * (1.0 - factor);
        slips.iter_mut().for_each(|way| way.chance *= factor);
        right.chance += less;
        Self { bore: self.bore * factor, slip: self.slip * factor, ..self }
    }

    /// A reading not yet made, without slips.
    pub(super) fn planned(part: Element, feature: Feature, u: f64, wire: Option<Length>) -> Self {
        let readings = vec![Really::right(1.0, u, 1.0)];
        Self {
            at: 0,
            part,
            feature,
            v: 1.0,
            u,
            wire,
            side: None,
            wear: 1.0,
            zero: None,
            readings,
            bore: 0.0,
            slip: 0.0,
        }
    }

    /// Density where the maker's part lies anywhere in its tolerance.
    pub(super) fn density(&self, prediction: &Prediction) -> f64 {
        let mut whole = [0.0];
        self.pieces(prediction, &mut whole);
        whole[0]
    }

    /// Density of one way in which the reading came about, where the quantity is `truth` but for noise of `spread`.
    fn even_way(&self, way: &Really, truth: f64, spread: f64) -> f64 {
        let sigma = (way.noise * way.noise + spread * spread).sqrt();
        let off = way.at - truth;
        if off.abs() < 9.0 * sigma { way.chance * way.factor * normal_pdf(off, sigma) } else { 0.0 }
    }

    /// Density if this slip was made for certain; as [`Self::even`] for a reading that cannot be one.
    fn always(&self, slip: Slip, truth: f64, spread: f64) -> f64 {
        match self.readings.iter().find(|way| way.slip == Some(slip)) {
            Some(way) => self.even_way(way, truth, spread) / way.chance,
            None => self.even(truth, spread),
        }
    }

    /// Density where the quantity is `truth` but for noise of `spread` besides the reading's own.
    pub(super) fn even(&self, truth: f64, spread: f64) -> f64 {
        self.slip + self.readings.iter().map(|way| self.even_way(way, truth, spread)).sum::<f64>()
    }

    /// Density where the quantity lies anywhere within `width`.
    pub(super) fn broad(&self, width: f64) -> f64 {
        self.readings.first().map_or(1.0, |r| r.chance) / width + self.slip
    }

    /// Density given that the maker's part lies in each of the pieces of the tolerance.
    fn pieces(&self, prediction: &Prediction, out: &mut [f64]) {
        out.fill(self.slip);
        for way in &self.readings {
            self.way_pieces(way, prediction, out);
        }
    }

    /// Adds what one way in which the reading came about gives to each piece.
    fn way_pieces(&self, way: &Really, prediction: &Prediction, out: &mut [f64]) {
        let &Really { at, noise, factor, chance, .. } = way;
        let wear = prediction.wear * self.wear;
        let deficit = prediction.away * (at - prediction.at);
        // Most are far off by any measure, and need no root.
        let most = noise + prediction.spread;
        if deficit < -9.0 * most || deficit > prediction.tolerance + 9.1 * most + FAR_WORN * wear {
            return;
        }
        // Plain squares: this is the innermost loop, and no size here comes near overflow.
        let sigma = (noise * noise + prediction.spread * prediction.spread).sqrt();
        let width = prediction.tolerance.max(0.02 * sigma);
        if deficit < -9.0 * sigma || deficit > width + 9.0 * sigma + FAR_WORN * wear {
            return;
        }
        // Noise wider than the tolerance sees no pieces in it.
        if sigma > 0.7 * width && out.len() > 1 {
            let whole = worn_cdf(deficit, sigma, wear) - worn_cdf(deficit - width, sigma, wear);
            let density = chance * factor * whole.max(0.0) / width;
            out.iter_mut().for_each(|piece| *piece += density);
            return;
        }
        let step = width / out.len() as f64;
        let mut upper = worn_cdf(deficit, sigma, wear);
        for (k, piece) in out.iter_mut().enumerate() {
            let lower = worn_cdf(deficit - step * (k + 1) as f64, sigma, wear);
            *piece += chance * factor * (upper - lower).max(0.0) / step;
            upper = lower;
        }
    }

    /// The same where it is what was read, but for slips of no rule.
    pub(super) fn plain_density(&self, prediction: &Prediction) -> f64 {
        let mut whole = [self.slip];
        self.way_pieces(&self.readings[0], prediction, &mut whole);
        whole[0]
    }

    /// Upper bound of the density that a zone of width `least` or more can give the quantity read.
    fn peak(&self, least: f64, alone: bool) -> f64 {
        let share = if alone { 1.0 } else { 1.0 / PIECES as f64 };
        normal_pdf(0.0, self.u).min(1.0 / (share * least).max(1e-9))
    }

    /// Upper bound of the log density that an outside diameter `d` can give, as [`Self::ln_peak`], where it fades so.
    pub(super) fn ln_most(&self, d: f64, fading: &Fading, least: f64, alone: bool) -> f64 {
        let peak = self.peak(least, alone);
        self.ln_most_by(|at, noise| fading.most(d - at, noise, self.wear, alone).min(peak))
    }

    /// Upper bound of the log density, by that of each way in which the reading came about: what is read so, and its
    /// noise.
    pub(super) fn ln_most_by(&self, of: impl Fn(f64, f64) -> f64) -> f64 {
        let ways = self.readings.iter().map(|r| r.chance * r.factor * of(r.at, r.noise));
        (self.slip + ways.sum::<f64>()).ln()
    }

    /// Upper bound of the log density that a zone of width `least` or more can give this reading: within it no place
    /// is likelier than another, however fine the instrument.
    pub(super) fn ln_peak(&self, least: f64, alone: bool) -> f64 {
        let peak = self.peak(least, alone);
        ((self.bore + self.readings.iter().map(|r| r.chance * r.factor).sum::<f64>()) * peak + self.slip).ln()
    }
}

/// Value and standard uncertainty as plain numbers: mm or degrees.
pub(super) fn plain(weighed: &Weighed) -> (f64, f64) {
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
    /// Density of all readings given that the maker's part lies in each of the pieces of the tolerance.
    pub(super) fn pieces(&self, shape: &Shape, condition: Condition) -> [f64; PIECES] {
        let mut product = [1.0; PIECES];
        for seen in &self.seen {
            let Some(prediction) = shape.predict(seen.part, seen.feature, seen.wire, condition) else {
                continue;
            };
            let mut pieces = [0.0; PIECES];
            seen.pieces(&prediction, &mut pieces);
            add_bore(seen, shape, condition, &mut pieces);
            for (all, one) in product.iter_mut().zip(pieces) {
                *all *= one;
            }
        }
        product
    }

    pub(super) fn ln(&self, shape: &Shape, condition: Condition) -> f64 {
        let alone = self.seen.len() == 1 || shape.kind.taper > 0.0;
        if alone {
            return self.seen.iter().map(|seen| right_ln(seen, shape, condition)).sum();
        }
        (self.pieces(shape, condition).iter().sum::<f64>() / PIECES as f64).ln()
    }

    /// Log-likelihood where the zero is off, as far as `shift` knows; `shift` then knows more.
    fn ln_of_shape(&self, shape: &Shape, condition: Condition, shift: &mut Shift) -> f64 {
        let first = &self.seen[0];
        let prediction = shape.predict(first.part, first.feature, first.wire, condition);
        prediction.map_or(0.0, |prediction| self.ln_off(shift, &prediction))
    }

    /// Log-likelihood of outside diameters, whatever became of the crests.
    pub(super) fn ln_crests(&self, states: &Crests) -> f64 {
        states.iter().map(|(chance, prediction)| chance * self.density(prediction)).sum::<f64>().ln()
    }

    /// Density where one prediction holds for all readings.
    fn density(&self, prediction: &Prediction) -> f64 {
        let mut product = [1.0; PIECES];
        let pieces = if self.seen.len() == 1 || !prediction.shared { 1 } else { PIECES };
        for seen in &self.seen {
            let mut one = [0.0; PIECES];
            seen.pieces(prediction, &mut one[..pieces]);
            for (all, one) in product.iter_mut().zip(one) {
                *all *= one;
            }
        }
        product[..pieces].iter().sum::<f64>() / pieces as f64
    }

    /// Whether a size that falls by up to `away` from `at` could give any of the readings other than by a slip.
    pub(super) fn near(&self, at: f64, away: f64) -> bool {
        self.seen.iter().any(|seen| {
            seen.readings.iter().any(|r| r.at < at + 9.0 * r.noise && r.at > at - away - 9.0 * r.noise)
        })
    }

    /// The same for all that may have become of the crests, with the diameter added to each.
    pub(super) fn near_crests(&self, states: &Crests, d: f64) -> bool {
        let (under, over) = states
            .iter()
            .map(|(_, p)| p.reach())
            .fold((f64::NEG_INFINITY, f64::NEG_INFINITY), |(a, b), (x, y)| (f64::max(a, x), f64::max(b, y)));
        self.near(d + over, under + over)
    }

    /// Log-likelihood if all readings were slips.
    pub(super) fn ln_slips(&self) -> f64 {
        self.seen.iter().map(|seen| seen.slip.ln()).sum()
    }

    /// Upper bound of the log-likelihood under any thread whose maker's zone is `least` wide or more. The pieces average
    /// to the whole tolerance, so one of the readings counts as alone.
    pub(super) fn ln_peak(&self, least: f64) -> f64 {
        self.seen.iter().enumerate().map(|(i, s)| s.ln_peak(least, i == 0)).sum()
    }

    /// The same for an outside diameter `d`, where it fades so.
    pub(super) fn ln_most(&self, least: f64, d: f64, fading: &Fading) -> f64 {
        self.seen.iter().enumerate().map(|(i, s)| s.ln_most(d, fading, least, i == 0)).sum()
    }

    /// Width that the maker's zone of any thread of the pitch of these yardsticks has at least.
    pub(super) fn least_zone(&self, yardsticks: &Yardsticks) -> f64 {
        let first = &self.seen[0];
        // Condition and wire do not move it; half of the tolerance at an ordinary diameter is less than at any.
        let of = |shape: &Shape| shape.predict(first.part, first.feature, first.wire, Condition::Used);
        let zones = yardsticks.iter().filter_map(of).map(|prediction| 0.5 * prediction.tolerance);
        let least = zones.reduce(f64::min).unwrap_or(0.0);
        // No diameter is as small as its pitch.
        if is_outside(first) { least.min(turned_zone(yardsticks[0].p())) } else { least }
    }
}

/// Threads of one pitch that the zones of all others are compared with.
pub(super) type Yardsticks = [Shape; 5];

/// A thread of each of the forms that are made most, of pitch `p` on an ordinary diameter.
pub(super) fn yardsticks(p: f64) -> Yardsticks {
    [Family::MetricIso, Family::MetricTrapezoidal, Family::Acme, Family::Whitworth, Family::Square]
        .map(|f| Shape::new(f, 4.0 * p, p))
}

/// Log-likelihood of one reading of a size by itself, by a good zero.
fn right_ln(seen: &Seen, shape: &Shape, condition: Condition) -> f64 {
    let Some(prediction) = shape.predict(seen.part, seen.feature, seen.wire, condition) else { return 0.0 };
    if is_outside(seen) {
        let states = crests(prediction, shape.kind, shape.p(), shape.d());
        return states.iter().map(|(chance, p)| chance * seen.density(p)).sum::<f64>().ln();
    }
    let mut whole = [seen.density(&prediction)];
    add_bore(seen, shape, condition, &mut whole);
    whole[0].ln()
}

/// Log-likelihood of one reading of a size by itself, whatever the zero, and the chance that that is off.
fn seen_ln(seen: &Seen, shape: &Shape, condition: Condition) -> (f64, f64) {
    let right = right_ln(seen, shape, condition);
    match (seen.zero, shape.predict(seen.part, seen.feature, seen.wire, condition)) {
        (Some(zero), Some(prediction)) => zero.either(right, zero.shift().density(seen, &prediction).ln()),
        _ => (right, 0.0),
    }
}

/// Whether a feature is a size across the part: no angle, and no advance along it.
pub(super) fn is_size(feature: Feature) -> bool {
    !super::voice::is_angle(feature) && !matches!(feature, Feature::Pitch | Feature::Lead)
}

/// How far a size lies outside of what the thread is made to, mm.
pub(super) fn outside_by(model: &Model, seen: &Seen, suspect: &Suspect) -> Option<f64> {
    let p = suspect.shape.predict(seen.part, seen.feature, seen.wire, model.condition)?;
    let other_end = p.at + p.away * p.tolerance;
    Some(seen.v - seen.v.clamp(p.at.min(other_end), p.at.max(other_end)))
}

fn is_outside(seen: &Seen) -> bool {
    (seen.part, seen.feature) == (Element::External, Feature::MajorDiameter)
}

/// What it adds that a nut's bore may have been read for its major diameter.
fn add_bore(seen: &Seen, shape: &Shape, condition: Condition, out: &mut [f64]) {
    if seen.bore > 0.0
        && let Some(bore) = shape.predict(seen.part, Feature::MinorDiameter, None, condition)
    {
        let way = Really::right(seen.v, seen.u, seen.bore);
        let mut whole = [0.0];
        seen.way_pieces(&way, &bore, &mut whole);
        out.iter_mut().for_each(|piece| *piece += whole[0]);
    }
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
    Taper,
    Story,
}

/// The evidence, sorted by what it depends on.
pub(super) struct Model<'a> {
    pub evidence: &'a Evidence,
    pub job: &'a Job,
    pub condition: Condition,
    /// Every reading by itself.
    each: Vec<Seen>,
    /// Outside diameter of the screw; readings that say the same together as one, as in `sizes`.
    pub outside: Option<Group>,
    /// Other sizes, which need the basic sizes of the form.
    pub sizes: Vec<Group>,
    pub pitches: Vec<Seen>,
    pub leads: Vec<Seen>,
    pub angles: Vec<Seen>,
    /// Indices of the leaves and trials that count: one that is entered twice says nothing new.
    pub leaves: Vec<usize>,
    pub trials: Vec<usize>,
    /// All parts tried.
    tried: Vec<Known>,
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
        let once = first_of_each(&evidence.readings, same);
        let shared = Shared::new(evidence, job, &once);
        let compared = |seen: &Seen| {
            !seen.feature.of_state() && seen.v.is_finite() && seen.u.is_finite() && seen.v > 0.0
        };
        let mut each: Vec<Seen> = once.iter().map(|at| shared.alone(*at)).filter(compared).collect();
        place_wear(&mut each, evidence);
        for seen in &each {
            let one_of_many = || shared.among_others(seen);
            match (seen.part, seen.feature) {
                (_, Feature::Pitch) => pitches.push(one_of_many()),
                (_, Feature::Lead) => leads.push(one_of_many()),
                (_, Feature::FlankAngle | Feature::IncludedAngle) => angles.push(one_of_many()),
                (Element::External, Feature::MajorDiameter) => {
                    outside.get_or_insert_with(|| Group { seen: Vec::new() }).seen.push(seen.clone());
                }
                (part, feature) => {
                    match sizes.iter_mut().find(|g| (g.seen[0].part, g.seen[0].feature) == (part, feature)) {
                        Some(group) => group.seen.push(seen.clone()),
                        None => sizes.push(Group { seen: vec![seen.clone()] }),
                    }
                }
            }
        }
        // The product over a group's readings does not depend on their order; nor shall its rounding.
        let order = |a: &Seen, b: &Seen| a.v.total_cmp(&b.v).then(a.u.total_cmp(&b.u));
        for group in outside.iter_mut().chain(&mut sizes) {
            group.seen = shared.together(&group.seen);
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
            each,
            outside,
            sizes,
            pitches,
            leads,
            angles,
            leaves: first_of_each(&evidence.leaves, |a, b| a == b),
            trials: first_of_each(&evidence.trials, |a, b| {
                (&a.with, a.element, a.verdict) == (&b.with, b.element, b.verdict)
            }),
            tried: evidence.trials.iter().map(Known::new).collect(),
            claims,
        }
    }

    /// Pitch readings.
    pub(super) fn pitch_ln(&self, p: f64) -> f64 {
        self.advance_ln(&self.pitches, p)
    }

    /// Lead readings.
    pub(super) fn lead_ln(&self, lead: f64) -> f64 {
        self.advance_ln(&self.leads, lead)
    }

    /// Readings of a pitch or lead: of a screw as screws are cut, or of one with a rough lead, in all readings alike.
    fn advance_ln(&self, seen: &[Seen], truth: f64) -> f64 {
        if seen.is_empty() {
            return 0.0;
        }
        let rough = share(ROUGH_LEADS, self.condition);
        let of = |error: f64| seen.iter().map(|s| s.even(truth, error * truth).ln()).sum::<f64>();
        let mut ln = ln_add((1.0 - rough).ln() + of(LEAD_ERROR), rough.ln() + of(ROUGH_LEAD));
        // Who counts crests once does so every time.
        let habit: f64 = seen.iter().map(|s| s.always(Slip::OneMore, truth, LEAD_ERROR * truth)).product();
        if seen.len() > 1 && habit > 0.0 {
            ln = ln_add(ln, COUNT_HABIT.ln() + habit.ln());
        }
        ln
    }

    /// Angle readings, on the flanks of the form: which of them is the left one is not known.
    pub(super) fn angle_ln(&self, (leading, following): (f64, f64)) -> f64 {
        if self.angles.is_empty() {
            return 0.0;
        }
        let either = [(leading, following), (following, leading)];
        let of = |(left, right): (f64, f64)| {
            self.angles.iter().map(|seen| self.angle_density(seen, left, right).ln()).sum::<f64>()
        };
        either.map(of).into_iter().reduce(ln_add).unwrap_or(0.0) - 2_f64.ln()
    }

    fn angle_density(&self, seen: &Seen, left: f64, right: f64) -> f64 {
        let spread = angle_spread(self.condition);
        match (seen.feature, seen.side) {
            (Feature::FlankAngle, Some(Side::Left)) => seen.even(left, 0.5 * spread),
            (Feature::FlankAngle, Some(Side::Right)) => seen.even(right, 0.5 * spread),
            (Feature::FlankAngle, None) => {
                0.5 * (seen.even(left, 0.5 * spread) + seen.even(right, 0.5 * spread))
            }
            _ => seen.even(left + right, spread),
        }
    }

    /// One leaf.
    pub(super) fn leaf_ln(&self, i: usize, on: Grooves) -> f64 {
        let leaf = &self.evidence.leaves[i];
        leaf_odds(on, leaf, self.condition)[leaf_index(leaf.verdict)].ln()
    }

    /// All leaves.
    pub(super) fn leaves_ln(&self, on: Grooves) -> f64 {
        self.leaves.iter().map(|i| self.leaf_ln(*i, on)).sum()
    }

    /// One part tried.
    pub(super) fn trial_ln(&self, i: usize, suspect: &Suspect) -> f64 {
        let trial = &self.evidence.trials[i];
        self.trial_odds(i, suspect)[trial_index(trial.verdict)].ln()
    }

    /// What a part tried does on this thread.
    pub(super) fn trial_odds(&self, i: usize, suspect: &Suspect) -> TrialOdds {
        self.meeting(i, &suspect.shape).odds(suspect.starts, suspect.hand)
    }

    /// A part tried, on a thread of this shape.
    fn meeting(&self, i: usize, shape: &Shape) -> Meeting<'_> {
        Meeting::new(shape, &self.tried[i], self.condition)
    }

    /// All parts tried, for each of these starts and hands.
    pub(super) fn trials_ln<const N: usize>(&self, shape: &Shape, of: [(u32, Hand); N]) -> [f64; N] {
        let mut ln = [0.0; N];
        for &i in &self.trials {
            let verdict = trial_index(self.evidence.trials[i].verdict);
            let meeting = self.meeting(i, shape);
            for (sum, (starts, hand)) in ln.iter_mut().zip(of) {
                *sum += meeting.odds(starts, hand)[verdict].ln();
            }
        }
        ln
    }

    /// All sizes besides the outside diameter, and the chance that the zero is off, where it was so much before them and
    /// `shift` was known.
    pub(super) fn sizes_ln(&self, shape: &Shape, chance: f64, mut shift: Option<Shift>) -> (f64, f64) {
        let mut right = 0.0;
        let mut off = 0.0;
        for group in &self.sizes {
            let ln = group.ln(shape, self.condition);
            right += ln;
            off += match (&mut shift, group.zero()) {
                (Some(shift), Some(_)) => group.ln_of_shape(shape, self.condition, shift),
                _ => ln,
            };
        }
        if shift.is_some() { mixed(chance, right, off) } else { (right, chance) }
    }

    /// What may be wrong with the zero of an instrument that read a size.
    pub(super) fn zero(&self) -> Option<Zero> {
        self.outside.iter().chain(&self.sizes).find_map(Group::zero)
    }

    /// What was seen of the starts.
    pub(super) fn starts_ln(&self, starts: u32) -> f64 {
        self.evidence.observed.starts.map_or(0.0, |seen| super::prior::starts_seen(starts, seen).ln())
    }

    /// What was seen of the hand.
    pub(super) fn hand_ln(&self, hand: Hand) -> f64 {
        let of = |seen| if seen == hand { 1.0 - EYE_SLIP } else { EYE_SLIP };
        self.evidence.observed.hand.map_or(0.0, |seen| of(seen).ln())
    }

    /// What was seen of the form, on a thread of pitch `p`.
    pub(super) fn form_ln(&self, family: Option<Family>, p: f64) -> f64 {
        let form = self.evidence.observed.form;
        form.map_or(0.0, |seen| super::prior::looks(family, p, seen, self.condition).ln())
    }

    /// What was seen of a taper.
    pub(super) fn taper_ln(&self, family: Option<Family>) -> f64 {
        let tapers = family.map(|f| f.form().taper().is_some());
        self.evidence.observed.taper.map_or(0.0, |seen| super::prior::taper(tapers, seen).ln())
    }

    /// How one piece of evidence speaks for a thread: log-likelihood by itself.
    pub(super) fn piece_ln(&self, piece: Piece, suspect: &Suspect) -> f64 {
        let shape = &suspect.shape;
        match piece {
            Piece::Reading(at) => match self.seen(at) {
                None => 0.0,
                Some(seen) => match seen.feature {
                    Feature::Pitch => self.advance_ln(std::slice::from_ref(seen), shape.p()),
                    Feature::Lead => {
                        let lead = shape.p() * f64::from(suspect.starts);
                        self.advance_ln(std::slice::from_ref(seen), lead)
                    }
                    Feature::FlankAngle | Feature::IncludedAngle => {
                        let (a, b) = shape.flanks_deg;
                        (0.5 * (self.angle_density(seen, a, b) + self.angle_density(seen, b, a))).ln()
                    }
                    _ => seen_ln(seen, shape, self.condition).0,
                },
            },
            Piece::Leaf(i) => self.leaf_ln(i, shape.grooves()),
            Piece::Trial(i) => self.trial_ln(i, suspect),
            Piece::Form => self.form_ln(Some(shape.family), shape.p()),
            Piece::Taper => self.taper_ln(Some(shape.family)),
            Piece::Starts => self.starts_ln(suspect.starts),
            Piece::Hand => self.hand_ln(suspect.hand),
            Piece::Story => {
                let c = &self.claims;
                let fits = [
                    c.fits_family(shape.family),
                    c.fits_diameter(shape.d()),
                    c.fits_pitch(shape.p()),
                    c.fits_hand(suspect.hand),
                    c.fits_system(shape.family),
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
            .chain(observed.taper.map(|_| Piece::Taper))
            .chain((!self.claims.is_empty()).then_some(Piece::Story))
            .collect()
    }

    /// The reading at this index of the evidence, if it can be compared with anything.
    pub(super) fn seen(&self, at: usize) -> Option<&Seen> {
        self.each.iter().find(|seen| seen.at == at)
    }

    /// Outside diameters of the screw, each by itself.
    pub(super) fn outsides(&self) -> impl Iterator<Item = &Seen> {
        self.each.iter().filter(|seen| is_outside(seen))
    }

    /// Crest flats of the screw, each by itself.
    pub(super) fn crest_flats(&self) -> Vec<&Seen> {
        let is_flat = |seen: &&Seen| (seen.part, seen.feature) == (Element::External, Feature::CrestFlat);
        self.each.iter().filter(is_flat).collect()
    }

    /// All readings that count, each by itself.
    pub(super) fn each(&self) -> &[Seen] {
        &self.each
    }

    /// Whether a count's span goes from the outside of one crest to the outside of the other on this thread.
    fn spans_crests(&self, seen: &Seen, suspect: &Suspect) -> bool {
        let typed = self.job.readings.get(self.evidence.readings[seen.at].index);
        let n = typed.and_then(|r| r.count).map_or(1.0, f64::from);
        let shape = &suspect.shape;
        let span = n * shape.p() + shape.basic.crest_width.to_mm();
        // Rounded and worn edges of two crests.
        let blur = (n * seen.u).hypot(0.05 * shape.p());
        (n * seen.v - span).abs() <= SLIP_FITS * blur
    }

    /// What `suspect` has that scatters to both sides, pitch, lead or angle, and by how much, with this relative error of
    /// the lead; none for sizes. Of two unlike flanks the one nearer to the reading.
    fn even_truth(&self, seen: &Seen, suspect: &Suspect, lead_error: f64) -> Option<(f64, f64)> {
        let shape = &suspect.shape;
        let advance = |truth: f64| (truth, lead_error * truth);
        match seen.feature {
            Feature::Pitch => Some(advance(shape.p())),
            Feature::Lead => Some(advance(shape.p() * f64::from(suspect.starts))),
            Feature::IncludedAngle => Some((shape.included_deg, angle_spread(self.condition))),
            Feature::FlankAngle => {
                let (a, b) = shape.flanks_deg;
                let nearest = if (seen.v - a).abs() < (seen.v - b).abs() { a } else { b };
                Some((nearest, 0.5 * angle_spread(self.condition)))
            }
            _ => None,
        }
    }

    /// The chance that a reading is a slip if the thread is `suspect`, and of what kind it then is.
    pub(super) fn blame(&self, seen: &Seen, suspect: &Suspect) -> (f64, Slip) {
        let shape = &suspect.shape;
        let even = |truth: f64, spread: f64| {
            seen.readings.iter().map(|way| (way.slip, seen.even_way(way, truth, spread))).collect::<Vec<_>>()
        };
        let even_truth = self.even_truth(seen, suspect, LEAD_ERROR.hypot(0.3 * ROUGH_LEAD));
        let mut ways = match even_truth {
            Some((truth, spread)) => even(truth, spread),
            None => {
                let Some(prediction) = shape.predict(seen.part, seen.feature, seen.wire, self.condition)
                else {
                    return (0.0, Slip::Any);
                };
                let states = if is_outside(seen) {
                    crests(prediction, shape.kind, shape.p(), shape.d()).to_vec()
                } else {
                    vec![(1.0, prediction)]
                };
                let off = seen_ln(seen, shape, self.condition);
                let of = |way: &Really| {
                    let sum = |(chance, p): &(f64, Prediction)| {
                        let mut whole = [0.0];
                        seen.way_pieces(way, p, &mut whole);
                        chance * whole[0]
                    };
                    states.iter().map(sum).sum::<f64>()
                };
                let mut ways: Vec<_> = seen.readings.iter().map(|way| (way.slip, of(way))).collect();
                let mut bore = [0.0];
                add_bore(seen, shape, self.condition, &mut bore);
                ways.push((Some(Slip::Bore), bore[0]));
                ways.push((Some(Slip::Zero), off.1 * off.0.exp()));
                ways
            }
        };
        ways.push((Some(Slip::Any), seen.slip));
        let total: f64 = ways.iter().map(|w| w.1).sum();
        let slips = ways.iter().filter_map(|(slip, density)| slip.map(|s| (s, *density)));
        let share = slips.clone().map(|s| s.1).sum::<f64>() / total.max(f64::MIN_POSITIVE);
        let fits = |slip: Slip| match even_truth {
            _ if slip == Slip::Any => true,
            Some(_) if slip == Slip::Outside => self.spans_crests(seen, suspect),
            Some((truth, spread)) => seen.readings.iter().any(|way| {
                way.slip == Some(slip) && (way.at - truth).abs() <= SLIP_FITS * way.noise.hypot(spread)
            }),
            None => true,
        };
        let likeliest =
            slips.filter(|s| fits(s.0)).max_by(|a, b| a.1.total_cmp(&b.1)).map_or(Slip::Any, |s| s.0);
        (share, likeliest)
    }

    /// What a thread predicts for a reading: the middle, and the standard deviation of the reading about it; a
    /// size is within its prediction anywhere in the maker's tolerance, so the distance counts from its ends.
    pub(super) fn deviations(&self, seen: &Seen, suspect: &Suspect) -> f64 {
        let shape = &suspect.shape;
        let even = |truth: f64, spread: f64| (seen.v - truth) / seen.u.hypot(spread);
        match self.even_truth(seen, suspect, LEAD_ERROR) {
            Some((truth, spread)) => even(truth, spread),
            None => {
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

/// Readings of one feature at three places or more along a part: the ends have worn less than the middle.
fn place_wear(each: &mut [Seen], evidence: &Evidence) {
    let place = |seen: &Seen| evidence.readings[seen.at].place.map(Length::to_mm);
    let features: Vec<_> = each.iter().map(|seen| (seen.part, seen.feature, place(seen))).collect();
    for seen in each {
        let along =
            features.iter().filter(|(part, feature, _)| (*part, *feature) == (seen.part, seen.feature));
        let mut places: Vec<f64> = along.filter_map(|(.., place)| *place).collect();
        places.sort_by(f64::total_cmp);
        places.dedup();
        let (Some(first), Some(last), Some(at)) = (places.first(), places.last(), place(seen)) else {
            continue;
        };
        if places.len() >= 3 && last - first > 1e-9 {
            let t = (at - first) / (last - first);
            seen.wear = WEAR_AT.0 + (WEAR_AT.1 - WEAR_AT.0) * 4.0 * t * (1.0 - t);
        }
    }
}

/// Indices of the items that equal none before them.
fn first_of_each<T>(items: &[T], same: impl Fn(&T, &T) -> bool) -> Vec<usize> {
    (0..items.len()).filter(|&i| !items[..i].iter().any(|earlier| same(earlier, &items[i]))).collect()
}
