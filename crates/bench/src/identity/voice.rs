//! How each piece of evidence speaks for a thread, in words.

use super::Voice;
use super::hands_on::leaf_odds;
use super::model::{Model, Piece, Seen, Suspect};
use crate::job::{Feature, LeafVerdict, Quantity, Reading, SeenForm, TrialVerdict};
use crate::report::Value;
use crate::report::{Fine, show};
use flankwise_thread::family::Ridge;
use flankwise_thread::{Angle, Element, Family, Hand, Length, Pitch};

/// A length in the job's unit.
pub(super) fn length(model: &Model, mm: f64, fine: Fine) -> String {
    show::value(&Value::Length(Length::mm(mm), fine), model.job.unit)
}

/// Every piece of evidence, how likely it is under each of `suspects`, relative to the one it suits best.
pub(super) fn voices(model: &Model, suspects: &[Suspect]) -> Vec<Vec<Voice>> {
    let pieces = model.all_pieces();
    let heard: Vec<Vec<f64>> =
        pieces.iter().map(|piece| suspects.iter().map(|s| model.piece_ln(*piece, s)).collect()).collect();
    suspects
        .iter()
        .enumerate()
        .map(|(k, suspect)| {
            pieces
                .iter()
                .zip(&heard)
                .map(|(piece, heard)| {
                    let best = heard.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                    Voice {
                        evidence: name(model, *piece),
                        deviations: deviations(model, *piece, suspect),
                        log_likelihood: heard[k] - best,
                        words: words(model, *piece, suspect),
                    }
                })
                .collect()
        })
        .collect()
}

/// Distance of a reading from what the thread allows, in standard deviations.
pub(super) fn deviations(model: &Model, piece: Piece, suspect: &Suspect) -> Option<f64> {
    match piece {
        Piece::Reading(at) => model.seen(at).map(|seen| model.deviations(seen, suspect)),
        _ => None,
    }
}

/// What was read, as typed where possible.
pub(super) fn name(model: &Model, piece: Piece) -> String {
    let evidence = model.evidence;
    match piece {
        Piece::Reading(at) => {
            let weighed = &evidence.readings[at];
            let typed = model.job.readings.get(weighed.index);
            let what = feature(weighed.part, weighed.feature);
            match (typed, model.seen(at)) {
                (Some(r), _) if !r.typed.is_empty() => match r.count {
                    Some(n) => format!("{n} pitches in {}", as_typed(r)),
                    None => format!("{what} {}", as_typed(r)),
                },
                (_, Some(seen)) if is_angle(seen.feature) => {
                    format!("{what} {}", show::value(&Value::Angle(Angle::deg(seen.v), 1), model.job.unit))
                }
                (_, Some(seen)) => format!("{what} {}", length(model, seen.v, Fine::Shop)),
                (_, None) => what.to_owned(),
            }
        }
        Piece::Leaf(i) => {
            let leaf = &evidence.leaves[i];
            let angle = leaf.angle.map(|a| format!(" of {:.0}°", a.to_deg())).unwrap_or_default();
            format!("{} leaf{angle} {}", leaf.pitch, leaf_verdict(leaf.verdict))
        }
        Piece::Trial(i) => {
            let trial = &evidence.trials[i];
            let typed = if trial.typed.is_empty() {
                with_part(&trial.with.to_string(), trial.element)
            } else {
                trial.typed.clone()
            };
            format!("{typed} {}", trial_verdict(trial.verdict))
        }
        Piece::Form => format!("looks {}", evidence.observed.form.map_or("", form)),
        Piece::Starts => match evidence.observed.starts {
            Some(n) if n > 1 => format!("{n} starts seen"),
            _ => "1 start seen".to_owned(),
        },
        Piece::Hand => format!("{} seen", evidence.observed.hand.map_or("hand", hand)),
        Piece::Taper => {
            (if evidence.observed.taper == Some(true) { "a taper seen" } else { "no taper seen" }).to_owned()
        }
        Piece::Story => "the owner's story".to_owned(),
    }
}

/// The text as typed; a bare number with the unit that it was taken in.
fn as_typed(reading: &Reading) -> String {
    let typed = reading.typed.trim();
    match reading.value {
        Quantity::Length(_, unit) if typed.ends_with(|c: char| c.is_ascii_digit()) => {
            format!("{typed} {}", show::unit_sign(unit))
        }
        Quantity::Angle(_) if typed.ends_with(|c: char| c.is_ascii_digit()) => format!("{typed}°"),
        _ => typed.to_owned(),
    }
}

fn words(model: &Model, piece: Piece, suspect: &Suspect) -> String {
    let shape = &suspect.shape;
    let percent = |p: f64| show::value(&Value::Share(p), model.job.unit);
    match piece {
        Piece::Reading(at) => {
            model.seen(at).map_or_else(|| "not compared".to_owned(), |s| reading(model, s, suspect))
        }
        Piece::Leaf(i) => {
            let leaf = &model.evidence.leaves[i];
            let odds = leaf_odds(shape.grooves(), leaf, model.condition);
            let off = leaf.pitch.length.to_mm() - shape.p();
            let expected = format!("seats in {} of tries, rocks in {}", percent(odds[0]), percent(odds[1]));
            if off.abs() < 1e-6 {
                format!("of this pitch, {expected}")
            } else {
                format!("{} a pitch off, {expected}", length(model, off.abs(), Fine::Gauge))
            }
        }
        Piece::Trial(i) => {
            let odds = model.trial_odds(i, suspect);
            format!(
                "on this thread it runs in {} of cases, is loose in {}, starts and binds in {}, refuses in {}",
                percent(odds[0]),
                percent(odds[1]),
                percent(odds[2]),
                percent(odds[3])
            )
        }
        Piece::Form => match (shape.family.form().name(), made_form(shape.family)) {
            (name, made) if name == made => "as it is made".to_owned(),
            (name, made) => format!("{name} is {made}"),
        },
        Piece::Starts if model.evidence.observed.starts == Some(suspect.starts) => "agrees".to_owned(),
        Piece::Starts => format!("this one has {}", suspect.starts),
        Piece::Hand if model.evidence.observed.hand == Some(suspect.hand) => "agrees".to_owned(),
        Piece::Hand => format!("this one is {}", hand(suspect.hand)),
        Piece::Taper => {
            let tapers = shape.kind.taper > 0.0;
            let said = if tapers { "this one tapers" } else { "this one is parallel" };
            let agrees = model.evidence.observed.taper == Some(tapers);
            (if agrees { "agrees" } else { said }).to_owned()
        }
        Piece::Story => {
            let c = &model.claims;
            let said = [
                ("form", c.fits_family(shape.family)),
                ("diameter", c.fits_diameter(shape.d())),
                ("pitch", c.fits_pitch(shape.p())),
                ("hand", c.fits_hand(suspect.hand)),
                ("unit system", c.fits_system(shape.family)),
            ];
            let list = |fit| {
                said.iter().filter(|(_, f)| *f == Some(fit)).map(|(w, _)| *w).collect::<Vec<_>>().join(", ")
            };
            match (list(true), list(false)) {
                (right, wrong) if wrong.is_empty() => format!("right in {right}"),
                (right, wrong) if right.is_empty() => format!("wrong in {wrong}"),
                (right, wrong) => format!("right in {right}; wrong in {wrong}"),
            }
        }
    }
}

fn reading(model: &Model, seen: &Seen, suspect: &Suspect) -> String {
    let shape = &suspect.shape;
    let against = |truth: f64, fine| {
        let off = seen.v - truth;
        if off.abs() < 0.5 * seen.u.min(0.002) {
            format!("agrees with {}", length(model, truth, fine))
        } else {
            let side = if off > 0.0 { "over" } else { "under" };
            format!("{} {side} {}", length(model, off.abs(), fine), length(model, truth, fine))
        }
    };
    match seen.feature {
        Feature::Pitch => {
            let distance = against(shape.p(), Fine::Gauge);
            let typed = model.job.readings.get(model.evidence.readings[seen.at].index);
            match typed.and_then(|r| r.count) {
                Some(n) if n > 1 => format!("{} each, {distance}", length(model, seen.v, Fine::Gauge)),
                _ => distance,
            }
        }
        Feature::Lead => against(shape.p() * f64::from(suspect.starts), Fine::Gauge),
        Feature::IncludedAngle | Feature::FlankAngle => {
            let share = if seen.feature == Feature::FlankAngle { 0.5 } else { 1.0 };
            let degrees = |v: f64| show::value(&Value::Angle(Angle::deg(v), 1), model.job.unit);
            let off = seen.v - share * shape.included_deg;
            format!("{} off {}", degrees(off.abs()), degrees(share * shape.included_deg))
        }
        _ => {
            let Some(p) = shape.predict(seen.part, seen.feature, seen.wire, model.condition) else {
                return "not compared".to_owned();
            };
            let deficit = p.away * (seen.v - p.at);
            let noise = seen.u.hypot(p.spread);
            let distance = against(p.at, Fine::Shop);
            let verdict = if p.tolerance == 0.0 {
                let off = (seen.v - p.at).abs() / noise;
                if off < 2.0 { "as it should be" } else { "not what the form gives" }
            } else if deficit < -2.0 * noise {
                if p.away < 0.0 {
                    "more metal than was made: use does not add any"
                } else {
                    "tighter than made: use does not add metal"
                }
            } else if deficit < -noise {
                "only if it was read large"
            } else if deficit <= p.tolerance + noise {
                "as made"
            } else if deficit <= p.tolerance + noise + p.wear {
                "as made and worn"
            } else if deficit <= p.tolerance + noise + 3.0 * p.wear {
                "worn more than most"
            } else {
                "more than tolerance and wear usually take"
            };
            format!("{distance}: {verdict}")
        }
    }
}

pub(super) fn is_angle(feature: Feature) -> bool {
    matches!(feature, Feature::FlankAngle | Feature::IncludedAngle)
}

pub(super) fn feature(part: Element, feature: Feature) -> &'static str {
    match (part, feature) {
        (Element::External, Feature::MajorDiameter) => "outside diameter",
        (Element::Internal, Feature::MajorDiameter) => "root diameter of the nut",
        (_, Feature::PitchDiameter) => "pitch diameter",
        (Element::External, Feature::MinorDiameter) => "root diameter",
        (Element::Internal, Feature::MinorDiameter) => "bore",
        (_, Feature::Pitch) => "pitch",
        (_, Feature::Lead) => "lead",
        (_, Feature::FlankAngle) => "flank angle",
        (_, Feature::IncludedAngle) => "included angle",
        (_, Feature::CrestFlat) => "crest flat",
        (_, Feature::RootFlat) => "root flat",
        (_, Feature::ThreadThickness) => "thread thickness",
        (_, Feature::ThreadDepth) => "thread depth",
        (_, Feature::OverWires) => "over wires",
        (_, Feature::FlankWear) => "flank wear",
        (_, Feature::RunOut) => "run-out",
    }
}

pub(super) fn hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "right-hand",
        Hand::Left => "left-hand",
    }
}

fn form(seen: SeenForm) -> &'static str {
    match seen {
        SeenForm::FlatTopped => "flat-topped",
        SeenForm::Sharp => "sharp",
        SeenForm::Rounded => "rounded",
        SeenForm::Square => "square",
        SeenForm::Sawtooth => "sawtooth",
    }
}

pub(super) fn made_form(family: Family) -> &'static str {
    match family.form().ridge() {
        Ridge::FlatTopped => "flat-topped",
        Ridge::Sharp => "sharp, with small flats",
        Ridge::RoundedV => "sharp to rounded",
        Ridge::Square => "square",
        Ridge::Sawtooth => "sawtooth",
        Ridge::Round => "round",
    }
}

fn leaf_verdict(verdict: LeafVerdict) -> &'static str {
    match verdict {
        LeafVerdict::Seats => "seats",
        LeafVerdict::Rocks => "rocks",
        LeafVerdict::Refuses => "refuses",
    }
}

fn trial_verdict(verdict: TrialVerdict) -> &'static str {
    match verdict {
        TrialVerdict::Runs => "runs",
        TrialVerdict::Loose => "is loose",
        TrialVerdict::Starts => "starts and binds",
        TrialVerdict::Refuses => "refuses",
    }
}

fn with_part(thread: &str, element: Element) -> String {
    format!("{thread} {}", if element == Element::Internal { "nut" } else { "screw" })
}

/// A pitch as its leaf would be stamped.
pub(super) fn pitch(pitch: Pitch) -> String {
    pitch.to_string()
}
