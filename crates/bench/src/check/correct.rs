//! A correction of the groove, as it is set on the slides of this lathe.

use crate::cut::Cut;
use crate::cut::device::{Device, divided_in};
use crate::cut::feed::{self, Feed, compound_travel};
use crate::job::Job;
use crate::report::{Fine, show};
use flankwise_thread::{Length, Unit};

/// A length with its unit.
pub(super) fn words(l: Length, unit: Unit) -> String {
    format!("{} {}", show::length_number(l, Fine::Gauge, unit), show::unit_sign(unit))
}

/// Whole divisions of a dial in `l`, rounded down: the size is crept up on. None where there is not one.
fn divisions(l: Length, division: Length) -> Option<Length> {
    let steps = (l / division + 1e-6).floor();
    (steps >= 1.0).then(|| division * steps)
}

/// A radial infeed as the cross-slide shows it.
pub(super) fn on_the_cross_slide(radial: Length, job: &Job) -> String {
    let Some(device) = Device::of(job.lathe.as_ref(), job.unit) else {
        return format!(
            "{} radially ({} on the diameter)",
            words(radial, job.unit),
            words(radial * 2.0, job.unit)
        );
    };
    let name = if device.digital { "readout" } else { "dial" };
    let counts = if device.on_diameter { "the diameter" } else { "tool travel" };
    match divisions(device.shows(radial), device.division) {
        Some(shown) => format!("{} on the {name}, which counts {counts}", words(shown, device.unit)),
        None => format!("less than one division of the {name}: a spring pass at the same setting"),
    }
}

/// A radial infeed of the threading tool, by whichever slide feeds it, with the number to go on to.
pub(super) fn deeper(radial: Length, job: &Job, cut: Option<&Cut>) -> String {
    let last = cut.and_then(|c| Some((c, c.passes[..c.done].last()?)));
    let by = match cut.map(|c| c.feed) {
        Some(Feed::Swung(lean)) => {
            let dial = job.lathe.as_ref().and_then(|l| l.compound_dial);
            let travel = compound_travel(radial, lean);
            match dial.map(|d| (divisions(travel, d), divided_in(d).unwrap_or(job.unit))) {
                Some((Some(shown), unit)) => format!("{} along the swung compound", words(shown, unit)),
                Some((None, _)) => {
                    "less than one division of the compound: a spring pass at the same setting".into()
                }
                None => format!("{} along the swung compound", words(travel, job.unit)),
            }
        }
        _ => on_the_cross_slide(radial, job),
    };
    match last {
        Some((cut, last)) => {
            format!("{by}, from {} of the last pass", words(last.set_to(), cut.unit_of(last)))
        }
        None => by,
    }
}

/// A shift of the tool along the axis, and which flank it cuts.
pub(super) fn sideways(axial: Length, job: &Job, cut: Option<&Cut>) -> String {
    let dial = job.lathe.as_ref().and_then(|l| l.compound_dial);
    let set = |l: Length| match dial {
        Some(d) => words(divisions(l, d).unwrap_or(l), divided_in(d).unwrap_or(job.unit)),
        None => words(l, job.unit),
    };
    match cut.map(|c| c.feed) {
        Some(Feed::Swung(lean)) => {
            let device = Device::of(job.lathe.as_ref(), job.unit);
            let shift = feed::sideways(axial, lean, dial, device.map(|d| d.radial_step()));
            let on = words(shift.on, dial.and_then(divided_in).unwrap_or(job.unit));
            let back =
                device.map_or_else(|| words(shift.back, job.unit), |d| words(d.shows(shift.back), d.unit));
            let depth = match shift.deeper {
                d if d.abs() < Length::um(0.5) => "leaves the depth as it is".to_owned(),
                d if d > Length::ZERO => format!("goes {} deeper", words(d, job.unit)),
                d => format!("goes {} less deep", words(-d, job.unit)),
            };
            format!(
                "{on} on along the swung compound and {back} back on the cross-slide, which moves the tool {} along the axis, {depth}, and cuts the leading flank only",
                words(shift.axial, job.unit)
            )
        }
        _ => format!(
            "the tool {} along the axis, away from the chuck by the compound, so that only the flank on the tailstock's side is cut",
            set(axial)
        ),
    }
}
