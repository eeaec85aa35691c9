//! Readings of the finished part against the limits, and what to do.

use super::gauge;
use super::{Judged, Measure, Verdict, plan};
use crate::fit::{Fit, Size};
use crate::job::{DialReads, Job, MadeFeature, MadeReading};
use crate::report::{Fine, capital, show};
use flankwise_thread::{Element, Length};

/// Verdict by the default rule of ISO 14253-1: proved inside or outside only beyond the guard band.
pub fn verdict(value: Length, min: Length, max: Length, guard: Length) -> Verdict {
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
    let own = |size: Size| match reading.uncertainty {
        Some(u) => u,
        None => gauge::reading(reading.feature, fit.part, reading.instrument, size.aim, reading.wire).0,
    };
    let simple = |size: Size| plan::measure(reading.feature, String::new(), None, size, own(size));
    match (reading.feature, fit.part) {
        (MadeFeature::MinorDiameter, Element::Internal) => Ok(simple(fit.blank)),
        (MadeFeature::MajorDiameter, Element::External) => Ok(simple(fit.blank)),
        (MadeFeature::MinorDiameter, Element::External) | (MadeFeature::MajorDiameter, Element::Internal) => {
            Ok(simple(fit.bottom))
        }
        (MadeFeature::BodyDiameter, _) => match fit.body {
            Some(body) => Ok(simple(body)),
            None => Err("no limits are known for it: give the housing's bore and a fit in make.body".into()),
        },
        (MadeFeature::Play, _) => match plan::play_limits(fit) {
            Some((size, _)) => Ok(simple(size)),
            None => Err("the play to expect is not known: read the mate's thread along its length".into()),
        },
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

/// Judges every reading, in the order taken.
pub(super) fn judge(fit: &Fit, job: &Job) -> Vec<Judged> {
    let one = |(index, reading): (usize, &MadeReading)| match measure_for(reading, fit) {
        Err(why) => Judged { index, verdict: Verdict::CannotTell, advice: capital(&format!("{why}.")) },
        Ok(m) => {
            let verdict = verdict(reading.value, m.min, m.max, m.guard);
            Judged { index, verdict, advice: advice(verdict, reading, &m, fit, job) }
        }
    };
    job.made.iter().enumerate().map(one).collect()
}

/// Over all: one failure fails; a pass needs every reading passed, and one of the thread itself among them.
pub(super) fn overall(judged: &[Judged], job: &Job) -> Option<Verdict> {
    if judged.is_empty() {
        return None;
    }
    let of_thread = |j: &&Judged| {
        job.made.get(j.index).is_some_and(|r| matches!(r.feature, MadeFeature::OverWires | MadeFeature::Play))
    };
    Some(if judged.iter().any(|j| j.verdict == Verdict::Fail) {
        Verdict::Fail
    } else if judged.iter().all(|j| j.verdict == Verdict::Pass) && judged.iter().any(|j| of_thread(&j)) {
        Verdict::Pass
    } else {
        Verdict::CannotTell
    })
}

/// Whether taking off more metal makes the reading larger.
fn grows_with_cutting(feature: MadeFeature, part: Element) -> bool {
    match feature {
        MadeFeature::Play => true,
        MadeFeature::BodyDiameter => false,
        MadeFeature::MinorDiameter | MadeFeature::MajorDiameter | MadeFeature::OverWires => {
            part == Element::Internal
        }
    }
}

fn advice(verdict: Verdict, reading: &MadeReading, m: &Measure, fit: &Fit, job: &Job) -> String {
    let say = |l: Length| {
        format!("{} {}", show::length_number(l, Fine::Gauge, job.unit), show::unit_sign(job.unit))
    };
    let low = reading.value < m.aim;
    let can_cut = low == grows_with_cutting(reading.feature, fit.part);
    let short = (m.aim - reading.value).abs();
    let text = match (verdict, can_cut) {
        (Verdict::Pass, _) => "within the limits, the gauge's uncertainty allowed for".to_owned(),
        (_, true) => format!(
            "{}: {}",
            if verdict == Verdict::Fail {
                format!("not there yet, {} short of the aim", say(short))
            } else {
                format!("too near the limit to tell with this gauge, and {} short of the aim", say(short))
            },
            cut_more(reading.feature, short, fit, job)
        ),
        (Verdict::CannotTell, false) => format!(
            "at the limit: cut no more. Too near to tell with this gauge (guard band {}): take the mean of several readings, or use a finer gauge",
            say(m.guard)
        ),
        (Verdict::Fail, false) => spoiled(reading, m, fit, &say),
    };
    capital(&format!("{text}."))
}

/// How to take off `short`, as the feature reads it.
fn cut_more(feature: MadeFeature, short: Length, fit: &Fit, job: &Job) -> String {
    let say =
        |l: Length| format!("{} {}", show::length_number(l, Fine::Shop, job.unit), show::unit_sign(job.unit));
    match (feature, fit.part) {
        (MadeFeature::BodyDiameter, _) | (MadeFeature::MajorDiameter, Element::External) => {
            format!("turn off {}", on_the_slide(short / 2.0, job))
        }
        (MadeFeature::MinorDiameter, Element::Internal) => {
            format!("bore out {}, before the thread is finished", on_the_slide(short / 2.0, job))
        }
        (MadeFeature::MinorDiameter, Element::External) | (MadeFeature::MajorDiameter, Element::Internal) => {
            format!(
                "go in {} with the threading tool, as far as the pitch diameter allows",
                on_the_slide(short / 2.0, job)
            )
        }
        (MadeFeature::OverWires | MadeFeature::Play, _) => {
            let k = plan::slope(fit);
            let (radial, axial) = match feature {
                MadeFeature::Play if k > 1e-9 => (short / k / 2.0, short),
                MadeFeature::Play => (Length::ZERO, short),
                _ => (short / 2.0, short * k),
            };
            // The tool's tip keeps its width, so the groove gets deeper as well.
            let depth_left = match fit.part {
                Element::Internal => fit.bottom.max - fit.bottom.aim,
                Element::External => fit.bottom.aim - fit.bottom.min,
            };
            if k > 1e-9 && radial * 2.0 <= depth_left {
                format!("go in {} with the threading tool", on_the_slide(radial, job))
            } else {
                format!(
                    "the depth is used up: stay at this depth and move the tool {} along the axis, to one flank only",
                    say(axial)
                )
            }
        }
    }
}

/// A radial infeed as the cross-slide shows it, rounded down to its division: creep up on the size.
fn on_the_slide(radial: Length, job: &Job) -> String {
    let lathe = job.lathe.as_ref();
    let dial = lathe.and_then(|l| l.readout.map(|d| (d, "readout")).or(l.cross_dial.map(|d| (d, "dial"))));
    let say = |l: Length| {
        format!("{} {}", show::length_number(l, Fine::Gauge, job.unit), show::unit_sign(job.unit))
    };
    let Some((dial, name)) = dial else {
        return format!("{} radially ({} on the diameter)", say(radial), say(radial * 2.0));
    };
    let shown = match dial.reads {
        DialReads::Radius => radial,
        DialReads::Diameter => radial * 2.0,
    };
    // The dial is read in its own unit.
    let own = crate::cut::device::divided_in(dial.division).unwrap_or(job.unit);
    let steps = if dial.division > Length::ZERO { (shown / dial.division + 1e-6).floor() } else { 0.0 };
    let counts = match dial.reads {
        DialReads::Radius => "tool travel",
        DialReads::Diameter => "the diameter",
    };
    if steps >= 1.0 {
        format!(
            "{} {} on the {name}, which counts {counts}",
            show::length_number(dial.division * steps, Fine::Gauge, own),
            show::unit_sign(own)
        )
    } else {
        format!("less than one division of the {name}: a spring pass at the same setting")
    }
}

fn spoiled(reading: &MadeReading, m: &Measure, fit: &Fit, say: &impl Fn(Length) -> String) -> String {
    let over = if reading.value > m.max { reading.value - m.max } else { m.min - reading.value };
    match (reading.feature, fit.part) {
        (MadeFeature::OverWires | MadeFeature::Play, part) => {
            let more_play = match reading.feature {
                MadeFeature::Play => reading.value - m.aim,
                _ => (reading.value - m.aim).abs() * plan::slope(fit),
            };
            format!(
                "too {} by {}, and metal cannot be put back. The play is {} more than aimed at: use it so only if the owner accepts that, in writing, or make another",
                if part == Element::Internal { "wide" } else { "thin" },
                say(over),
                say(more_play)
            )
        }
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
        (MadeFeature::BodyDiameter, _) => format!(
            "too small by {} for the fit asked: it cannot be turned larger; another blank, or a fit that its duty allows",
            say(over)
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
