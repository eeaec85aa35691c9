//! Readings of the finished part against the limits, and what to do.

use super::correct::{self, words};
use super::{Judged, Measure, Verdict, feature_words, plan, salvage};
use crate::cut::{Cut, depth_in_hand};
use crate::evidence::gauge;
use crate::fit::{Fit, Making, Size};
use crate::job::{Job, MadeFeature, MadeReading};
use crate::report::{Fine, Note, Value, capital};
use flankwise_thread::{Element, Length};
use std::ops::{Add, Sub};

/// Verdict by the default rule of ISO 14253-1: proved inside or outside only beyond the guard band.
pub fn verdict<T>(value: T, min: T, max: T, guard: T) -> Verdict
where
    T: Copy + PartialOrd + Add<Output = T> + Sub<Output = T>,
{
    if value < min - guard || value > max + guard {
        Verdict::Fail
    } else if value >= min + guard && value <= max - guard {
        Verdict::Pass
    } else {
        Verdict::CannotTell
    }
}

/// The limits that a reading is held to: its own wire and instrument, not those of the plan.
fn measure_for(reading: &MadeReading, fit: &Fit) -> Result<Measure, String> {
    let own = |size: Size| gauge::taken(reading, fit.part, size.aim);
    let simple = |size: Size| plan::measure(reading.feature, String::new(), None, size, own(size));
    match (reading.feature, fit.part) {
        (
            MadeFeature::MinorDiameter
            | MadeFeature::MajorDiameter
            | MadeFeature::OverWires
            | MadeFeature::Pitch,
            _,
        ) if fit.making == Making::Cast => {
            Err("a cast nut has this from the screw that it was cast round: its play is what proves it"
                .into())
        }
        (MadeFeature::MinorDiameter, Element::Internal) => Ok(simple(fit.blank)),
        (MadeFeature::MajorDiameter, Element::External) => Ok(simple(fit.blank)),
        (MadeFeature::MinorDiameter, Element::External) | (MadeFeature::MajorDiameter, Element::Internal) => {
            Ok(simple(fit.bottom))
        }
        (MadeFeature::BodyDiameter, _) => match fit.body {
            Some(body) => Ok(simple(body)),
            None if fit.making == Making::Bought => {
                Err("a bought part's body has the sizes of its maker: its place is fitted to it".into())
            }
            None => Err("no limits are known for it: give the housing's bore and a fit in make.body".into()),
        },
        (MadeFeature::Pitch, _) => Ok(simple(plan::pitch_limits(fit, reading.count.unwrap_or(1)))),
        (MadeFeature::Play, _) => match plan::play_limits(fit) {
            Some((size, _)) => Ok(simple(size)),
            None => Err("the play to expect is not known: read the mate's thread along its length".into()),
        },
        (MadeFeature::BoreInPlace, _) => plan::bore_in_place(fit).map(simple).ok_or_else(not_pressed),
        (MadeFeature::PlayInPlace, _) => {
            plan::play_in_place(fit).map(|(size, _)| simple(size)).ok_or_else(not_pressed)
        }
        (MadeFeature::OverWires, _) => {
            let Some(wire) = reading.wire else {
                return Err("say which wire or ball it was taken with (made.wire)".into());
            };
            if let Some(why) = plan::unfit(fit, wire) {
                return Err(format!("this wire or ball {why} in this thread, so the reading tells nothing"));
            }
            let at = |d| plan::over(fit, d, wire).map_err(|e| e.to_string());
            let d2 = fit.pitch_diameter;
            let size = Size { aim: at(d2.aim)?, min: at(d2.min)?, max: at(d2.max)? };
            let u = reading.uncertainty.unwrap_or_else(|| plan::over_u(fit, wire, own(size)));
            Ok(plan::measure(MadeFeature::OverWires, String::new(), Some(wire), size, u))
        }
    }
}

fn not_pressed() -> String {
    "the fit of the body is no press fit, or housing and mate were not read: give make.body.fit and make.body.housing".into()
}

/// Judges every reading, in the order taken.
pub(super) fn judge(part: &Part<'_>) -> Vec<Judged> {
    let one = |reading: &MadeReading| {
        let judged = |limits, verdict, on_the_way, advice: String| Judged {
            what: feature_words(reading.feature, part.fit.part).to_owned(),
            wire: reading.wire,
            read: Value::Length(reading.value, Fine::Gauge),
            limits,
            of_flanks: tells_of_flanks(reading.feature),
            verdict,
            on_the_way,
            advice: capital(&format!("{advice}.")),
        };
        let m = match measure_for(reading, part.fit) {
            Ok(m) => m,
            Err(why) => return judged(Value::None, Verdict::CannotTell, false, why),
        };
        let verdict = verdict(reading.value, m.min, m.max, m.guard);
        let on_the_way =
            reading.after.is_some() && metal_left(reading.value, &m, part.fit) && verdict != Verdict::Pass;
        let advice = if on_the_way {
            let short = (m.aim - reading.value).abs();
            format!(
                "{} short of the aim; the passes to come are planned from it",
                words(short, part.job.unit)
            )
        } else {
            advice(verdict, reading.value, &m, part)
        };
        judged(Value::Band(m.min, m.max, Fine::Gauge), verdict, on_the_way, advice)
    };
    part.job.made.iter().map(one).collect()
}

/// Whether a reading of this kind tells of the thread's flanks, and so of its fit.
fn tells_of_flanks(feature: MadeFeature) -> bool {
    feature.is_play() || feature == MadeFeature::OverWires
}

/// What was cut beyond the limits by the depths set, where nothing tells of it that was measured since: what can be
/// saved.
pub(super) fn cut_too_much(part: &Part<'_>) -> Option<Note> {
    let Part { fit, job, .. } = *part;
    let cut = part.cut?;
    let reached = cut.reached.filter(|r| r.too_much() && r.unmeasured)?;
    let of_flanks =
        |r: &MadeReading| tells_of_flanks(r.feature) && r.after.is_none_or(|n| n as usize >= cut.done);
    if job.made.iter().any(of_flanks) {
        return None;
    }
    let over = (reached.pitch_diameter - fit.pitch_diameter.aim).abs();
    let text = format!(
        "by the depths set the pitch diameter is {}, beyond its limit by {}. Nothing is measured of it yet: measure first. If it is so, the part is beyond saving by cutting; {}",
        words(reached.pitch_diameter, job.unit),
        words(reached.beyond, job.unit),
        salvage::ways(fit, over, job)
    );
    Some(Note::impossible(format!("{}.", capital(&text))).field(format!("done[{}].depth", cut.done)))
}

/// Over all: one failure fails; a pass needs every reading passed, and one of the flanks among them. Readings on the
/// way do not count.
pub(super) fn overall(judged: &[Judged]) -> Option<Verdict> {
    let counting: Vec<&Judged> = judged.iter().filter(|j| !j.on_the_way).collect();
    if counting.is_empty() {
        return None;
    }
    Some(if counting.iter().any(|j| j.verdict == Verdict::Fail) {
        Verdict::Fail
    } else if counting.iter().all(|j| j.verdict == Verdict::Pass) && counting.iter().any(|j| j.of_flanks) {
        Verdict::Pass
    } else {
        Verdict::CannotTell
    })
}

/// Whether a value is short of its aim on the side on which cutting goes on.
fn metal_left(value: Length, m: &Measure, fit: &Fit) -> bool {
    let grows = match m.feature {
        MadeFeature::Play => true,
        MadeFeature::BodyDiameter => false,
        // No cut mends a pitch, and once pressed in the part is no longer in the lathe.
        MadeFeature::Pitch | MadeFeature::BoreInPlace | MadeFeature::PlayInPlace => return false,
        MadeFeature::MinorDiameter | MadeFeature::MajorDiameter | MadeFeature::OverWires => {
            fit.part == Element::Internal
        }
    };
    (value < m.aim) == grows
}

/// What is judged, and the means to correct it.
pub(super) struct Part<'a> {
    pub fit: &'a Fit,
    pub cut: Option<&'a Cut>,
    pub job: &'a Job,
}

/// What to do about a value that has this verdict.
pub(super) fn advice(verdict: Verdict, value: Length, m: &Measure, part: &Part<'_>) -> String {
    let say = |l: Length| words(l, part.job.unit);
    let short = (m.aim - value).abs();
    match (verdict, m.feature) {
        (Verdict::Pass, _) => "within the limits, the gauge's uncertainty allowed for".to_owned(),
        (Verdict::CannotTell, MadeFeature::Pitch) if short > m.u * 2.0 => format!(
            "off by {}, more than this gauge is likely to be wrong by: doubtful. Read it again over a longer span, or by the indicator on the carriage, and count the gears' teeth, before the part leaves the chuck",
            say(short)
        ),
        (Verdict::CannotTell, MadeFeature::Pitch) => format!(
            "nothing is wrong as far as this gauge tells (guard band {}): a longer span or the indicator on the carriage tells more",
            say(m.guard)
        ),
        (Verdict::Fail, MadeFeature::Pitch) => format!(
            "out by {}, more than the play allows: the thread will bind. Look at the gears and the lever of the gearbox; no cut mends it. A nut shortened to {} would still run; else another blank",
            say(short),
            say(part.fit.length
                * (plan::lead_error_that_binds(part.fit) / short * (m.aim / part.fit.length).min(1.0))
                    .min(1.0))
        ),
        (Verdict::CannotTell, MadeFeature::BoreInPlace | MadeFeature::PlayInPlace) => format!(
            "at the limit, too near to tell with this gauge (guard band {}): try the screw over its whole travel, oiled; that decides",
            say(m.guard)
        ),
        _ if metal_left(value, m, part.fit) => format!(
            "{}: {}",
            if verdict == Verdict::Fail {
                format!("not there yet, {} short of the aim", say(short))
            } else {
                format!("too near the limit to tell with this gauge, and {} short of the aim", say(short))
            },
            cut_more(m.feature, short, part)
        ),
        (Verdict::CannotTell, _) => format!(
            "at the limit: cut no more. Too near to tell with this gauge (guard band {}): take the mean of several readings, or use a finer gauge",
            say(m.guard)
        ),
        (Verdict::Fail, _) => spoiled(value, m, part),
    }
}

/// How to take off `short`, as the feature reads it.
fn cut_more(feature: MadeFeature, short: Length, part: &Part<'_>) -> String {
    let Part { fit, cut, job } = *part;
    let of_thread = feature != MadeFeature::BodyDiameter;
    match (feature, fit.part) {
        _ if of_thread && fit.making == Making::Bought => {
            "a bought part is not cut over. Try it on the mate over the whole travel, oiled; if it binds, send it back".into()
        }
        _ if of_thread && fit.making == Making::Cast => {
            "turn it to and fro on the screw with oil until it runs over the whole travel, and scrape off what bears hard".into()
        }
        _ if tells_of_flanks(feature) && fit.making == Making::Tapped => {
            "the tap or die cuts no more than its own size. Run the last one through again, oiled; if that changes nothing, its size is not the one asked for".into()
        }
        (MadeFeature::BodyDiameter, _) | (MadeFeature::MajorDiameter, Element::External) => {
            format!("turn off {}", correct::on_the_cross_slide(short / 2.0, job))
        }
        (MadeFeature::MinorDiameter, Element::Internal) => {
            format!(
                "bore out {}, before the thread is finished",
                correct::on_the_cross_slide(short / 2.0, job)
            )
        }
        (MadeFeature::MinorDiameter | MadeFeature::MajorDiameter, _) => {
            format!(
                "go in {} with the threading tool, as far as the pitch diameter allows",
                correct::deeper(short / 2.0, job, cut)
            )
        }
        _ => {
            let k = plan::slope(fit);
            let (radial, axial) = match feature {
                MadeFeature::Play if k > 1e-9 => (short / k / 2.0, short),
                MadeFeature::Play => (Length::ZERO, short),
                _ => (short / 2.0, short * k),
            };
            // The tool's tip keeps its width, so the groove gets deeper as well.
            if k > 1e-9 && radial <= depth_in_hand(fit) {
                format!("go in {} with the threading tool", correct::deeper(radial, job, cut))
            } else {
                format!(
                    "the depth is used up: stay at this depth and move {}",
                    correct::sideways(axial, job, cut)
                )
            }
        }
    }
}

/// A part outside its limits on the side that no cut mends.
fn spoiled(value: Length, m: &Measure, part: &Part<'_>) -> String {
    let Part { fit, job, .. } = *part;
    let say = |l: Length| words(l, job.unit);
    let over = if value > m.max { value - m.max } else { m.min - value };
    match (m.feature, fit.part) {
        (MadeFeature::BodyDiameter, _) => format!(
            "too small by {} for the fit asked: it cannot be turned larger; another blank, a fit that its duty allows, or a shim sleeve",
            say(over)
        ),
        _ if fit.making == Making::Bought => format!(
            "out by {}: it is not within its class. Send it back, or use it so only if the owner accepts that, in writing",
            say(over)
        ),
        (MadeFeature::Play, _) if fit.making == Making::Cast => format!(
            "{} more than the film leaves: use it so only if the owner accepts that, in writing; else chip the resin out and cast again with less wax",
            say(over)
        ),
        (MadeFeature::OverWires | MadeFeature::Play | MadeFeature::Pitch, element) => {
            let k = plan::slope(fit);
            let beyond = (value - m.aim).abs();
            let (more_play, of_diameter) = match m.feature {
                MadeFeature::Play if k > 1e-9 => (beyond, beyond / k),
                MadeFeature::Play => (beyond, beyond),
                _ => (beyond * k, beyond),
            };
            format!(
                "too {} by {}, and metal cannot be put back. The play is {} more than aimed at: use it so only if the owner accepts that, in writing. Otherwise {}",
                if element == Element::Internal { "wide" } else { "thin" },
                say(over),
                say(more_play),
                salvage::ways(fit, of_diameter, job)
            )
        }
        (MadeFeature::BoreInPlace | MadeFeature::PlayInPlace, _) if value < m.min => format!(
            "closed by {} more than this press fit should: look for a chip under the body. If the screw binds, press it out and ease the body, or cut the thread larger, before it goes in again",
            say(over)
        ),
        (MadeFeature::BoreInPlace | MadeFeature::PlayInPlace, _) => format!(
            "{} more than the press fit leaves: read it again. A body that closes so little sits loose: pin it or bond it, and enter what it measured before it went in",
            say(over)
        ),
        (MadeFeature::MinorDiameter, Element::Internal) => format!(
            "too large by {}, which takes {} off the thread's height of engagement ({}): make another blank, or reckon its strength anew",
            say(over),
            say(over / 2.0),
            say(fit.engagement)
        ),
        (MadeFeature::MajorDiameter, Element::External) => format!(
            "too small by {}, which takes {} off the thread's height of engagement ({}): turn another blank, or reckon its strength anew",
            say(over),
            say(over / 2.0),
            say(fit.engagement)
        ),
        (MadeFeature::MinorDiameter | MadeFeature::MajorDiameter, _) => format!(
            "too deep by {}: the core is weaker by that much; reckon its strength anew, or make another",
            say(over)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_guard_band_is_no_mans_land_on_both_sides() {
        let at = |v| verdict(Length::mm(v), Length::mm(10.0), Length::mm(10.1), Length::mm(0.01));
        assert_eq!(at(10.05), Verdict::Pass);
        assert_eq!(at(10.01), Verdict::Pass);
        assert_eq!(at(10.005), Verdict::CannotTell);
        assert_eq!(at(9.995), Verdict::CannotTell);
        assert_eq!(at(9.989), Verdict::Fail);
        assert_eq!(at(10.111), Verdict::Fail);
        assert_eq!(at(10.105), Verdict::CannotTell);
    }

    proptest! {
        #[test]
        fn a_worse_gauge_never_turns_a_verdict_round(v in 9.9..10.2f64, g in 0.0..0.08f64, more in 0.0..0.1f64) {
            let (min, max) = (Length::mm(10.0), Length::mm(10.1));
            let (fine, coarse) = (verdict(Length::mm(v), min, max, Length::mm(g)), verdict(Length::mm(v), min, max, Length::mm(g + more)));
            prop_assert!(coarse == fine || coarse == Verdict::CannotTell);
        }
    }
}
