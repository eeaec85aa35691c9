//! Readings of the finished part against the limits, and what to do.

use super::correct::{self, words};
use super::{Judged, Measure, Verdict, feature_words, guard, plan, salvage};
use crate::cut::{self, Cut, seat};
use crate::evidence::gauge;
use crate::fit::{Fit, Making, Size};
use crate::job::{Job, MadeFeature, MadeReading};
use crate::report::{Fine, Note, Text, Value, capital};
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
        (MadeFeature::GrooveWidth, _) => plan::groove_width(fit)
            .map(simple)
            .ok_or_else(|| "a groove with sloping flanks is as wide as one looks high: read it over wires or between balls".into()),
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
            // Between passes the groove of the start that is cut tells, not those of the other starts.
            let over = if reading.after.is_some() { seat::over_own_groove } else { seat::over };
            let at = |d| over(fit, d, wire).map_err(|e| e.to_string());
            let d2 = fit.pitch_diameter;
            let size = Size { aim: at(d2.aim)?, min: at(d2.min)?, max: at(d2.max)? };
            let u = reading.uncertainty.unwrap_or_else(|| seat::over_u(fit, wire, own(size)));
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
            spoiled: false,
            advice: capital(&format!("{advice}.")),
        };
        let m = match measure_for(reading, part.fit) {
            Ok(m) => m,
            Err(why) => return judged(Value::None, Verdict::CannotTell, false, why),
        };
        if let Some(why) = cannot_be(reading, &m, part) {
            return judged(Value::Band(m.min, m.max, Fine::Gauge), Verdict::CannotTell, false, why);
        }
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
        let spoiled = verdict == Verdict::Fail && beyond_mending(reading.value, &m, part.fit);
        Judged { spoiled, ..judged(Value::Band(m.min, m.max, Fine::Gauge), verdict, on_the_way, advice) }
    };
    part.job.made.iter().map(one).collect()
}

/// Why a reading cannot be of this part at all, whatever was cut; none where it can.
fn cannot_be(reading: &MadeReading, m: &Measure, part: &Part<'_>) -> Option<String> {
    let (fit, value) = (part.fit, reading.value);
    let around = |reach: Length| ((m.aim - reach).max(Length::ZERO), m.aim + reach);
    let (from, to) = match (m.feature, fit.part) {
        // From a blank without a groove, where wires lie on its surface, to a groove as deep as the bottom's limit.
        (MadeFeature::OverWires, Element::Internal) => {
            let wire = m.wire.unwrap_or(Length::ZERO);
            ((fit.blank.min - wire * 2.0).max(Length::ZERO), fit.bottom.max + fit.depth)
        }
        (MadeFeature::OverWires, Element::External) => (
            (fit.bottom.min - fit.depth).max(Length::ZERO),
            fit.blank.max + m.wire.unwrap_or(Length::ZERO) * 2.0,
        ),
        // A ridge half a pitch thick is gone before there is more.
        (MadeFeature::Play | MadeFeature::PlayInPlace, _) => (Length::ZERO, fit.thread.pitch.length * 0.5),
        (MadeFeature::Pitch | MadeFeature::GrooveWidth, _) => around(fit.thread.pitch.length * 0.5),
        (MadeFeature::MinorDiameter | MadeFeature::MajorDiameter | MadeFeature::BoreInPlace, _) => {
            around(fit.depth * 3.0)
        }
        (MadeFeature::BodyDiameter, _) => around(m.aim * 0.2),
    };
    if value >= from && value <= to {
        return None;
    }
    let say = |l: Length| words(l, part.job.unit);
    let again = match m.feature {
        MadeFeature::Pitch => {
            let pitches = (value / fit.thread.pitch.length).round();
            format!("that is about {pitches:.0} pitches: count them again")
        }
        MadeFeature::OverWires => "read it again, and look at the unit and at the wire or ball".to_owned(),
        _ => "read it again, and look at the unit".to_owned(),
    };
    Some(format!("this cannot be: {} to {} can; {again}", say(from), say(to)))
}

/// Whether a value outside its limits lies on the side that no cut mends.
pub(super) fn beyond_mending(value: Length, m: &Measure, fit: &Fit) -> bool {
    let in_lathe = !matches!(m.feature, MadeFeature::BoreInPlace | MadeFeature::PlayInPlace);
    in_lathe && !metal_left(value, m, fit)
}

/// A reading of the flanks as the pitch diameter that it tells, with its standard uncertainty.
fn as_pitch_diameter(reading: &MadeReading, fit: &Fit) -> Option<(Length, Length)> {
    let m = measure_for(reading, fit).ok()?;
    match reading.feature {
        MadeFeature::OverWires => {
            let read = seat::pitch_diameter(fit, reading.value, reading.wire?).ok()?;
            Some((read, m.u))
        }
        MadeFeature::Play => {
            let k = Some(fit.slope()).filter(|k| *k > 1e-9)?;
            let more = (reading.value - m.aim) * (1.0 / k);
            let read = match fit.part {
                Element::Internal => fit.pitch_diameter.aim + more,
                Element::External => fit.pitch_diameter.aim - more,
            };
            Some((read, m.u * (1.0 / k)))
        }
        _ => None,
    }
}

/// Readings of the finished flanks that contradict each other: further apart than both may be wrong by.
pub(super) fn against_each_other(part: &Part<'_>) -> Option<Note> {
    let told: Vec<(usize, &MadeReading, Length, Length)> = part
        .job
        .made
        .iter()
        .enumerate()
        .filter(|(_, r)| r.after.is_none())
        .filter_map(|(i, r)| as_pitch_diameter(r, part.fit).map(|(d, u)| (i, r, d, u)))
        .collect();
    let pairs = told.iter().enumerate().flat_map(|(i, a)| told[i + 1..].iter().map(move |b| (a, b)));
    let apart = |a: Length, b: Length| (a - b).abs();
    let (a, b, doubt) = pairs
        .map(|(a, b)| (a, b, guard::combine(&[a.3, b.3]) * 2.0))
        .find(|(a, b, doubt)| apart(a.2, b.2) > *doubt)?;
    let name = |r: &MadeReading| feature_words(r.feature, part.fit.part);
    let text = Text::from("Two readings of the thread do not agree: ")
        .s(format!("“{}” puts the pitch diameter at ", name(a.1)))
        .v(Value::Length(a.2, Fine::Gauge))
        .s(format!(", “{}” at ", name(b.1)))
        .v(Value::Length(b.2, Fine::Gauge))
        .s(", and both gauges together are in doubt by no more than ")
        .v(Value::Length(doubt, Fine::Gauge))
        .s(". Read both again before you believe either: a burr, a wire askew, a slanted gauge, the indicator's foot.");
    Some(Note::warning(text).field(format!("made[{}].value", b.0 + 1)))
}

/// What is said first of a part that no cut mends.
pub(super) fn lost(judged: &[Judged]) -> Option<Note> {
    let lost = judged.iter().find(|j| j.spoiled)?;
    Some(Note::impossible(format!(
        "The part is outside its limits where no cut mends it: {}. See at that reading what may become of it.",
        lost.what
    )))
}

/// Whether a reading of this kind tells of the thread's flanks, and so of its fit.
fn tells_of_flanks(feature: MadeFeature) -> bool {
    feature.is_play() || matches!(feature, MadeFeature::OverWires | MadeFeature::GrooveWidth)
}

/// What was cut beyond the limits by the depths set, where nothing tells of it that was measured since: what can be
/// saved.
pub(super) fn cut_too_much(part: &Part<'_>) -> Option<Note> {
    let Part { fit, job, .. } = *part;
    let cut = part.cut?;
    let reached = cut.reached.filter(cut::Reached::too_much)?;
    let of_flanks = |r: &MadeReading| {
        tells_of_flanks(r.feature) && r.after.is_none_or(|n| r.start == cut.start && n as usize >= cut.done)
    };
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
    Some(
        Note::impossible(format!("{}.", capital(&text)))
            .field(format!("done[{}].depth", cut.last_entry.unwrap_or(0) + 1)),
    )
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
        MadeFeature::Play | MadeFeature::GrooveWidth => true,
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
        (Verdict::CannotTell, _) if m.guard * 2.0 >= m.max - m.min && value >= m.min && value <= m.max => {
            format!(
                "within the limits as it reads, but this gauge is too coarse to prove it (guard band {} on each side of limits {} apart): use a finer one, or the mean of several readings",
                say(m.guard),
                say(m.max - m.min)
            )
        }
        (Verdict::CannotTell, _) => format!(
            "at the limit: cut no more. Too near to tell with this gauge (guard band {}): take the mean of several readings, or use a finer gauge",
            say(m.guard)
        ),
        (Verdict::Fail, _) => spoiled(value, m, part),
    }
}

/// Whether the last reading of the flanks leaves no metal on them.
fn flanks_used_up(part: &Part<'_>) -> bool {
    let last =
        part.job.made.iter().rfind(|r| tells_of_flanks(r.feature) && r.feature != MadeFeature::PlayInPlace);
    last.is_some_and(|r| measure_for(r, part.fit).is_ok_and(|m| !metal_left(r.value, &m, part.fit)))
}

/// How much deeper the bottom may still go: from where it was measured last, else from what the passes set; before any
/// pass from where it is aimed.
fn depth_left(part: &Part<'_>) -> Length {
    let Part { fit, cut, job } = *part;
    let (feature, limit) = match fit.part {
        Element::Internal => (MadeFeature::MajorDiameter, fit.bottom.max),
        Element::External => (MadeFeature::MinorDiameter, fit.bottom.min),
    };
    // A reading from before the last pass tells of a bottom that has gone on since.
    let since = |r: &&MadeReading| r.after.is_none_or(|n| cut.is_none_or(|c| n as usize >= c.done));
    let measured = job.made.iter().filter(since).rfind(|r| r.feature == feature).map(|r| r.value);
    let set = cut.and_then(|c| c.passes[..c.done].last()).map(|p| p.diameter);
    let bottom = measured.or(set).unwrap_or(fit.bottom.aim);
    match fit.part {
        Element::Internal => (limit - bottom) * 0.5,
        Element::External => (bottom - limit) * 0.5,
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
            correct::on_the_cross_slide("turn off", short / 2.0, job)
        }
        (MadeFeature::MinorDiameter, Element::Internal) => {
            format!(
                "{}, before the thread is finished",
                correct::on_the_cross_slide("bore out", short / 2.0, job)
            )
        }
        (MadeFeature::MinorDiameter | MadeFeature::MajorDiameter, _) if flanks_used_up(part) => {
            "the flanks are there already: a narrower tool, in the middle of the groove, may deepen its bottom; the tool for the thread would take off the flanks too".to_owned()
        }
        (MadeFeature::MinorDiameter | MadeFeature::MajorDiameter, _) => {
            format!(
                "with the threading tool {}, as far as the pitch diameter allows",
                correct::deeper(short / 2.0, job, cut)
            )
        }
        _ => {
            let k = fit.slope();
            let (radial, axial) = match feature {
                MadeFeature::Play if k > 1e-9 => (short / k / 2.0, short),
                MadeFeature::Play | MadeFeature::GrooveWidth => (Length::ZERO, short),
                _ => (short / 2.0, short * k),
            };
            // The tool's tip keeps its width, so the groove gets deeper as well.
            if k > 1e-9 && radial <= depth_left(part) {
                format!("with the threading tool {}", correct::deeper(radial, job, cut))
            } else if k <= 1e-9 {
                format!("stay at this depth and {}", correct::sideways(axial, job, cut))
            } else {
                format!(
                    "the depth is used up: stay at this depth and {}",
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
        (
            MadeFeature::OverWires | MadeFeature::Play | MadeFeature::Pitch | MadeFeature::GrooveWidth,
            element,
        ) => {
            let k = fit.slope();
            let beyond = (value - m.aim).abs();
            let (more_play, of_diameter) = match m.feature {
                MadeFeature::Play if k > 1e-9 => (beyond, beyond / k),
                MadeFeature::Play | MadeFeature::GrooveWidth => (beyond, beyond),
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
