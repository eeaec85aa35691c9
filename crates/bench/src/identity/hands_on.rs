//! What a leaf of a thread gauge or a known part tried by hand says: probabilities of each verdict.

use super::density::{logistic, normal_cdf};
use super::scales::EYE_SLIP;
use super::size::Shape;
use crate::job::{Condition, Feature, Leaf, LeafVerdict, Trial, TrialVerdict};
use flankwise_thread::{Angle, Element, Hand, Pitch, Unit};

/// Probabilities that a leaf seats, rocks, refuses.
pub(super) type LeafOdds = [f64; 3];

/// The verdict's place in [`LeafOdds`].
pub(super) fn leaf_index(verdict: LeafVerdict) -> usize {
    match verdict {
        LeafVerdict::Seats => 0,
        LeafVerdict::Rocks => 1,
        LeafVerdict::Refuses => 2,
    }
}

/// What a leaf finds of a thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grooves {
    /// Pitch, mm.
    pub p: f64,
    /// Mean of the tangents of the flank angles.
    pub tan: f64,
    /// V flanks.
    pub v: bool,
}

impl Grooves {
    /// Of no family known here: between V and feed threads, where no leaf's angle is right or wrong.
    pub(super) const fn unknown(p: f64) -> Self {
        Self { p, tan: 0.41, v: true }
    }
}

/// Leaves of the usual sets, mm and threads per inch. Common practice, no source.
const LEAVES_MM: [f64; 26] = [
    0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0,
    4.5, 5.0, 5.5, 6.0, 6.5, 7.0,
];
const LEAVES_TPI: [f64; 32] = [
    4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 11.5, 12.0, 13.0, 14.0, 16.0, 18.0, 19.0, 20.0, 22.0,
    24.0, 25.0, 26.0, 27.0, 28.0, 30.0, 32.0, 36.0, 40.0, 42.0, 48.0, 56.0, 60.0, 62.0,
];

/// The leaf made for a thread of this pitch and included angle, as it seats; none where leaf sets have none: of 60° in
/// millimetres, 60° and 55° in threads per inch, 29° and 30° for feed threads. Common practice, no source.
pub(super) fn leaf_made(pitch: Pitch, included_deg: f64) -> Option<Leaf> {
    let (set, stamped) = match pitch.written {
        Unit::Mm => (&LEAVES_MM[..], pitch.length.to_mm()),
        Unit::Inch => (&LEAVES_TPI[..], pitch.length.to_tpi()),
    };
    let made = set.iter().any(|leaf| (leaf / stamped - 1.0).abs() < 1e-6);
    let set = [29.0, 30.0, 55.0, 60.0].into_iter().find(|set| (set - included_deg).abs() < 0.1)?;
    made.then_some(Leaf { pitch, angle: Some(Angle::deg(set)), verdict: LeafVerdict::Seats })
}

/// Length of a leaf; it has 5 to 10 teeth. Common practice, no source.
const LEAF_MM: f64 = 22.0;
/// Depth over which a leaf and a groove lie against each other, as a share of the pitch: that of V threads, and half of
/// it at least on flat-topped ones.
const CONTACT: f64 = 0.55;
/// Gap along a flank from which half of all people see light, mm, and the standard deviation of its logarithm. A sheet
/// of paper is 0.1 mm, and 0.03 mm is seen against a lamp. Common practice, no source.
const LIGHT: (f64, f64) = (0.055, 0.55);
/// Chance that a leaf of no angle said, tried on a V thread, is of the set that is cut for it where there are two: those
/// of 55° and 60° in threads per inch.
const RIGHT_SET: f64 = 0.75;
/// Chance that a leaf of no angle said, tried on a flat-topped thread, is a V leaf laid on to compare the spacing.
const V_LEAF_ON_FLATS: f64 = 0.15;

/// Gap along a flank, as [`LIGHT`], from which half of all people say that a leaf of another angle does not go in, rather
/// than that it rocks. Chosen here.
const WEDGED: (f64, f64) = (0.2, 0.55);
/// How a V leaf sits on flat-topped ridges, or a leaf for those in V grooves, tried as if it had to go in.
const FOREIGN: LeafOdds = [0.002, 0.52, 0.478];

/// How a leaf sits on a thread.
///
/// What tells the pitch is the mismatch that adds up over the leaf, as a share of the pitch. The eye sees light from
/// about a tenth of the pitch; from about half of it a tooth stands on a crest. Worn ridges leave more room.
///
/// What tells the angle is the gap that a leaf of another angle leaves at one end of the flank: 55° in 60° leaves
/// 0.03 of the pitch, which is seen on coarse threads and not on fine ones. Where that gap is seen the verdict is about the
/// angle, whatever the pitch. A V leaf does not go into a flat-topped groove at all, but is laid on to compare the
/// spacing. The chances are chosen here.
pub(super) fn leaf_odds(on: Grooves, leaf: &Leaf, condition: Condition) -> LeafOdds {
    let by_pitch = by_pitch(on.p, leaf.pitch.length.to_mm(), condition);
    let by_angle = |angle: Angle| by_angle(on, angle, by_pitch);
    // Laid on for its spacing only: whoever is strict says that it does not go in, and who names the angle mostly is.
    let laid_on = |strict: f64| mixed(1.0 - strict, by_pitch, FOREIGN);
    match leaf.angle {
        Some(angle) if (angle.to_deg() > V_FROM_DEG) == on.v => by_angle(angle),
        Some(_) => laid_on(0.85),
        None if on.v && leaf.pitch.written == Unit::Inch => {
            let (right, other) = if on.tan > TAN_BETWEEN { (60.0, 55.0) } else { (55.0, 60.0) };
            mixed(RIGHT_SET, by_angle(Angle::deg(right)), by_angle(Angle::deg(other)))
        }
        // Metric leaves of V form have 60°.
        None if on.v => by_angle(Angle::deg(60.0)),
        None => mixed(1.0 - V_LEAF_ON_FLATS, by_pitch, laid_on(0.4)),
    }
}

/// How a leaf of this pitch and the right angle sits on a thread of pitch `p`.
fn by_pitch(p: f64, leaf_mm: f64, condition: Condition) -> LeafOdds {
    let teeth = (LEAF_MM / leaf_mm).clamp(5.0, 10.0);
    let along = (p - leaf_mm).abs() * teeth / p;
    // Far off the exponentials can be saved.
    if along > 1.5 {
        return FAR_OFF;
    }
    let room = match condition {
        Condition::Unused | Condition::Used => 0.11,
        Condition::Worn => 0.13,
        Condition::Wrecked => 0.16,
    };
    // Whoever tries a leaf errs now and then, and what one calls rocking another calls refusing.
    let seats = 0.002 + 0.968 * logistic((room - along) / 0.03);
    let refuses = 0.004 + 0.75 * logistic((along - 0.5) / 0.1);
    [seats, (1.0 - seats - refuses).max(0.01), refuses]
}

/// How a leaf of this angle sits that by its pitch would sit so.
fn by_angle(on: Grooves, angle: Angle, by_pitch: LeafOdds) -> LeafOdds {
    let gap = CONTACT * on.p * ((angle * 0.5).tan() - on.tan).abs();
    if gap < 1e-3 {
        return by_pitch;
    }
    let says_so = |(half, width): (f64, f64)| normal_cdf((gap / half).ln() / width);
    let refuses = 0.004 + 0.6 * says_so(WEDGED);
    mixed(1.0 - says_so(LIGHT), by_pitch, [0.002, 0.998 - refuses, refuses])
}

/// The first odds at this chance, else the second.
fn mixed(chance: f64, first: LeafOdds, second: LeafOdds) -> LeafOdds {
    std::array::from_fn(|i| chance * first[i] + (1.0 - chance) * second[i])
}

/// A leaf whose pitch is nothing like the thread's.
const FAR_OFF: LeafOdds = [0.002, 0.244, 0.754];
/// Included angle above which a leaf is one for V threads: those for feed threads have 29° or 30°, worms up to 40°.
const V_FROM_DEG: f64 = 43.0;
/// Tangent between those of 27.5° and 30°.
const TAN_BETWEEN: f64 = 0.549;

/// Probabilities that a known part runs, is loose, starts and binds, refuses.
pub(super) type TrialOdds = [f64; 4];

/// The verdict's place in [`TrialOdds`].
pub(super) fn trial_index(verdict: TrialVerdict) -> usize {
    match verdict {
        TrialVerdict::Runs => 0,
        TrialVerdict::Loose => 1,
        TrialVerdict::Starts => 2,
        TrialVerdict::Refuses => 3,
    }
}

/// A known part as its label has it, ready to be put on a thread: sizes as mean and variance, mm.
#[derive(Clone, Debug)]
pub(super) struct Known {
    shape: Shape,
    element: Element,
    lead: f64,
    nominal: f64,
    hand: Hand,
    sizes: [Spread; 3],
}

/// Mean and variance of a size over all parts that pass.
#[derive(Clone, Copy, Debug)]
struct Spread {
    mean: f64,
    variance: f64,
}

impl Spread {
    fn uniform(low: f64, high: f64) -> Self {
        Self { mean: 0.5 * (low + high), variance: (high - low).powi(2) / 12.0 }
    }
    fn of(shape: &Shape, part: Element, feature: Feature, condition: Condition) -> Self {
        shape.predict(part, feature, None, condition).map_or(Self { mean: 0.0, variance: 0.0 }, |p| Self {
            mean: p.expected(),
            variance: p.tolerance.powi(2) / 12.0 + p.wear.powi(2) + p.spread.powi(2),
        })
    }
}

const TOUCHING: [Feature; 3] = [Feature::MajorDiameter, Feature::PitchDiameter, Feature::MinorDiameter];

impl Known {
    /// The part of a trial: its limits in the class that its label names or its standard defaults to; sides that the
    /// standard leaves open, and threads without limits, by the ranking's own zones.
    pub(super) fn new(trial: &Trial) -> Self {
        let thread = &trial.with;
        let shape = Shape::new(thread.family, thread.nominal.to_mm(), thread.pitch.length.to_mm());
        let limits = flankwise_thread::limits::limits(thread).ok();
        let own = limits.and_then(|l| match trial.element {
            Element::External => l.external,
            Element::Internal => l.internal,
        });
        let ranges = own.as_ref().map(|l| [&l.major, &l.pitch, &l.minor]);
        let sizes = std::array::from_fn(|i| {
            let by_zone = Spread::of(&shape, trial.element, TOUCHING[i], Condition::Unused);
            match ranges.map(|r| (r[i].min, r[i].max)) {
                Some((Some(min), Some(max))) => Spread::uniform(min.to_mm(), max.to_mm()),
                _ => by_zone,
            }
        });
        Self {
            shape,
            element: trial.element,
            lead: thread.lead().to_mm(),
            nominal: thread.nominal.to_mm(),
            hand: thread.hand,
            sizes,
        }
    }
}

/// Chance that a part is not what its label says: it is itself the wrong one. Such parts are common enough on shelves
/// that owners are warned of them; chosen here.
const MISLABELLED: f64 = 0.05;
/// What such a part does.
const ANYTHING: TrialOdds = [0.15, 0.10, 0.30, 0.45];
/// Chance that a nut is of the kind that grips on purpose, so that a right one binds.
const GRIPPING: f64 = 0.03;

const REFUSES: TrialOdds = [EYE_SLIP, EYE_SLIP, EYE_SLIP, 1.0 - 3.0 * EYE_SLIP];

/// A known part on a thread of ours, which then is the other element, whatever its hand and starts.
///
/// It starts if neither crests nor flanks interfere, and goes on until the error in lead has used up the axial play
/// that the pitch diameters leave. Both parts lie somewhere within their limits, ours with its wear.
pub(super) struct Meeting<'a> {
    known: &'a Known,
    /// Our pitch.
    p: f64,
    /// Pitch of the screw of the two.
    screw_p: f64,
    /// Interference that goes unfelt.
    give: f64,
    /// Chance that nothing interferes.
    enters: f64,
    /// Clearance of the pitch diameters and its standard deviation.
    flanks: (f64, f64),
    /// Mean of the tangents of both.
    tan: f64,
    /// Play that is lost to unlike flanks.
    eaten: f64,
}

impl<'a> Meeting<'a> {
    pub(super) fn new(ours: &Shape, known: &'a Known, condition: Condition) -> Self {
        let theirs = &known.shape;
        let our_element = match known.element {
            Element::Internal => Element::External,
            Element::External => Element::Internal,
        };
        let (screw, nut) = if known.element == Element::Internal { (ours, theirs) } else { (theirs, ours) };
        let sign = if known.element == Element::Internal { 1.0 } else { -1.0 };
        let p = screw.p();
        // Soft threads give, and a burr stands in the way: interference shows from a few hundredths.
        let give = 0.03 + 0.02 * p;
        let blur = 0.01 + 0.012 * p;
        let room: [(f64, f64); 3] = std::array::from_fn(|i| {
            let own = Spread::of(ours, our_element, TOUCHING[i], condition);
            let them = known.sizes[i];
            (sign * (them.mean - own.mean), (own.variance + them.variance).sqrt().hypot(blur))
        });
        // Differing flank angles touch at one end of the flank only and eat play, and block altogether when coarse.
        let depth = 0.5 * (screw.d() - screw.basic.d3.to_mm());
        Self {
            known,
            p: ours.p(),
            screw_p: p,
            give,
            enters: room.iter().map(|(mean, sigma)| normal_cdf((mean + give) / sigma)).product(),
            flanks: room[1],
            tan: 0.5 * (screw.tan + nut.tan),
            eaten: depth * (screw.tan - nut.tan).abs(),
        }
    }

    /// What the part does if our thread has so many starts and this hand.
    pub(super) fn odds(&self, starts: u32, hand: Hand) -> TrialOdds {
        let fits = if hand == self.known.hand { self.label_odds(starts) } else { REFUSES };
        std::array::from_fn(|i| (1.0 - MISLABELLED) * fits[i] + MISLABELLED * ANYTHING[i])
    }

    /// The same of the right hand, if the label is right.
    fn label_odds(&self, starts: u32) -> TrialOdds {
        let &Self { known, screw_p: p, give, tan, eaten, flanks: (flanks, sigma), .. } = self;
        let lead_error = (known.lead - self.p * f64::from(starts)).abs();
        let turns_in_nut = (0.8 * known.nominal / known.lead).clamp(2.0, 12.0);
        // The clearance that is there is not known: what happens is averaged over its spread.
        let mut odds = [0.0; 4];
        for (z, weight) in [(-1.22, 0.3), (0.0, 0.4), (1.22, 0.3)] {
            let clearance = (flanks + z * sigma).max(-give);
            let play = clearance.max(0.0) * tan.max(0.05) + 0.01 - eaten;
            let enters = self.enters * logistic((play + 0.12 * p) / (0.03 * p));
            let turns = play.max(0.005 * p) / lead_error.max(1e-9);
            let through = if lead_error < 1e-6 { 1.0 } else { logistic((turns / turns_in_nut).ln() / 0.35) };
            let going = if lead_error < 1e-6 { 1.0 } else { logistic((turns / 0.35).ln() / 0.35) };
            let slack = logistic((clearance - (0.12 + 0.09 * p)) / (0.02 + 0.02 * p));
            let runs = enters * through * (1.0 - slack) * (1.0 - GRIPPING);
            let loose = enters * through * slack;
            let binds = enters * (going * (1.0 - through) + GRIPPING * through * (1.0 - slack));
            let refuses = (1.0 - runs - loose - binds).max(0.0);
            for (sum, one) in odds.iter_mut().zip([runs, loose, binds, refuses]) {
                *sum += weight * one;
            }
        }
        mixed_up(odds)
    }
}

/// Verdicts next to each other get mixed up, and any can be a mistake.
fn mixed_up([runs, loose, binds, refuses]: TrialOdds) -> TrialOdds {
    let mix = [
        0.85 * runs + 0.12 * loose + 0.03 * binds,
        0.12 * runs + 0.85 * loose + 0.03 * binds,
        0.03 * runs + 0.03 * loose + 0.82 * binds + 0.12 * refuses,
        0.12 * binds + 0.88 * refuses,
    ];
    let total: f64 = mix.iter().sum();
    mix.map(|m| (m / total) * (1.0 - 4.0 * EYE_SLIP) + EYE_SLIP)
}
