//! What a leaf of a thread gauge or a known part tried by hand says: probabilities of each verdict.

use super::density::logistic;
use super::model::Suspect;
use super::scales::EYE_SLIP;
use super::size::Shape;
use crate::job::{Condition, Feature, LeafVerdict, TrialVerdict};
use flankwise_thread::{Angle, Element, Thread};

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

/// How a leaf of pitch `leaf_mm` sits on a thread of pitch `p` and included angle `angle_deg`.
///
/// What tells is the mismatch that adds up over the leaf, as a share of the pitch. A leaf is some 22 mm long and
/// has 5 to 10 teeth. The eye sees light from about a tenth of the pitch; from about half of it a tooth stands on a crest.
/// Worn ridges leave more room. The chances are chosen here; see the notes on pairs that a leaf confuses.
pub(super) fn leaf_odds(
    p: f64,
    angle_deg: f64,
    leaf_mm: f64,
    leaf_angle: Option<Angle>,
    condition: Condition,
) -> LeafOdds {
    const LENGTH_MM: f64 = 22.0;
    let teeth = (LENGTH_MM / leaf_mm).clamp(5.0, 10.0);
    let along = (p - leaf_mm).abs() * teeth / p;
    // A leaf of another angle bears at crest or root only.
    let across =
        leaf_angle.map_or(0.0, |a| 0.3 * ((a * 0.5).tan() - Angle::deg(0.5 * angle_deg).tan()).abs());
    let off = along + across;
    let room = match condition {
        Condition::Unused | Condition::Used => 0.11,
        Condition::Worn => 0.13,
        Condition::Wrecked => 0.16,
    };
    // Whoever tries a leaf errs now and then, and what one calls rocking another calls refusing.
    let seats = 0.002 + 0.968 * logistic((room - off) / 0.03);
    let refuses = 0.004 + 0.75 * logistic((off - 0.5) / 0.1);
    [seats, (1.0 - seats - refuses).max(0.01), refuses]
}

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

/// How `with` (its `element`, of shape `theirs`) goes onto our thread, which then is the other element.
///
/// It starts if neither crests nor flanks interfere, and goes on until the error in lead has used up the axial
/// play that the pitch diameters leave. Sizes are those of an average part of each.
pub(super) fn trial_odds(
    suspect: &Suspect,
    theirs: &Shape,
    with: &Thread,
    element: Element,
    condition: Condition,
) -> TrialOdds {
    const REFUSES: TrialOdds = [EYE_SLIP, EYE_SLIP, EYE_SLIP, 1.0 - 3.0 * EYE_SLIP];
    if suspect.hand != with.hand {
        return REFUSES;
    }
    let ours = &suspect.shape;
    let (screw, nut, screw_state, nut_state) = match element {
        Element::Internal => (ours, theirs, condition, Condition::Unused),
        Element::External => (theirs, ours, Condition::Unused, condition),
    };
    let size = |shape: &Shape, part, feature, state| {
        shape.predict(part, feature, None, state).map_or(0.0, |prediction| prediction.expected())
    };
    let room = |feature| {
        size(nut, Element::Internal, feature, nut_state)
            - size(screw, Element::External, feature, screw_state)
    };
    let (major, flanks, minor) =
        (room(Feature::MajorDiameter), room(Feature::PitchDiameter), room(Feature::MinorDiameter));
    let p = screw.p();
    let least = major.min(flanks).min(minor);
    // Parts scatter, and soft threads give: interference shows from a few hundredths.
    let scatter = 0.02 + 0.03 * p;
    let enters = logistic((least + 0.03 + 0.02 * p) / (0.4 * scatter));
    let tan = 0.5 * (screw.tan + nut.tan);
    // Differing flank angles touch at one end of the flank only and eat play, and block altogether when coarse.
    let depth = 0.5 * (screw.d() - screw.basic.d3.to_mm());
    let play = flanks.max(0.0) * tan.max(0.05) + 0.01 - depth * (screw.tan - nut.tan).abs();
    let enters = enters * logistic((play + 0.12 * p) / (0.03 * p));
    let lead_error = (with.lead().to_mm() - ours.p() * f64::from(suspect.starts)).abs();
    let turns_in_nut = (0.8 * with.nominal.to_mm() / with.lead().to_mm()).clamp(2.0, 12.0);
    let turns = play.max(0.005 * p) / lead_error.max(1e-9);
    let goes_through = if lead_error < 1e-6 { 1.0 } else { logistic((turns / turns_in_nut).ln() / 0.35) };
    let gets_going = if lead_error < 1e-6 { 1.0 } else { logistic((turns / 0.35).ln() / 0.35) };
    let slack = logistic((flanks - (0.12 + 0.09 * p)) / (0.02 + 0.02 * p));
    let runs = enters * goes_through * (1.0 - slack);
    let loose = enters * goes_through * slack;
    let binds = enters * gets_going * (1.0 - goes_through);
    let refuses = (1.0 - runs - loose - binds).max(0.0);
    // Verdicts next to each other get mixed up, and any can be a mistake.
    let mix = [
        0.85 * runs + 0.12 * loose + 0.03 * binds,
        0.12 * runs + 0.85 * loose + 0.03 * binds,
        0.03 * runs + 0.03 * loose + 0.82 * binds + 0.12 * refuses,
        0.12 * binds + 0.88 * refuses,
    ];
    let total: f64 = mix.iter().sum();
    mix.map(|m| (m / total) * (1.0 - 4.0 * EYE_SLIP) + EYE_SLIP)
}
