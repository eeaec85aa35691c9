//! A correction of the groove, as it is set on the slides of this lathe.

use crate::cut::Cut;
use crate::cut::device::{Device, divided_in_or};
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

/// A radial infeed as the cross-slide shows it: what to do, in words that begin with `verb`.
pub(super) fn on_the_cross_slide(verb: &str, radial: Length, job: &Job) -> String {
    let Some(device) = Device::of(job.lathe.as_ref(), job.unit) else {
        return format!(
            "{verb} {} radially ({} on the diameter)",
            words(radial, job.unit),
            words(radial * 2.0, job.unit)
        );
    };
    let name = if device.digital { "readout" } else { "dial" };
    let counts = if device.on_diameter { "the diameter" } else { "tool travel" };
    match divisions(device.shows(radial), device.division) {
        Some(shown) => format!("{verb} {} on the {name}, which counts {counts}", words(shown, device.unit)),
        None => format!("{AGAIN}: it is less than one division of the {name}"),
    }
}

/// What takes off less than a division.
const AGAIN: &str = "take one more cut at the same setting";

/// A radial infeed of the threading tool, by whichever slide feeds it, with the number to go on to: what to do.
pub(super) fn deeper(radial: Length, job: &Job, cut: Option<&Cut>) -> String {
    let last = cut.and_then(|c| Some((c, c.passes[..c.done].last()?)));
    let (by, shown) = match cut.map(|c| c.feed) {
        Some(Feed::Swung(lean)) => {
            let dial = job.lathe.as_ref().and_then(|l| l.compound_dial);
            let travel = compound_travel(radial, lean);
            let shown = dial.map_or(Some(travel), |d| divisions(travel, d));
            let by = match shown {
                Some(shown) => {
                    format!("go in {} along the swung compound", words(shown, divided_in_or(dial, job.unit)))
                }
                None => format!("{AGAIN}: it is less than one division of the compound"),
            };
            (by, shown)
        }
        _ => {
            let device = Device::of(job.lathe.as_ref(), job.unit);
            let shown = device.map_or(Some(radial), |d| divisions(d.shows(radial), d.division));
            (on_the_cross_slide("go in", radial, job), shown)
        }
    };
    match (last, shown) {
        (Some((cut, last)), Some(shown)) => {
            let unit = cut.unit_of(last);
            let to = last.set_to() + shown;
            format!("{by}, from {} of the last pass to {}", words(last.set_to(), unit), words(to, unit))
        }
        _ => by,
    }
}

/// A shift of the tool along the axis with the numbers to go on to, and which flank it cuts: what to do.
pub(super) fn sideways(axial: Length, job: &Job, cut: Option<&Cut>) -> String {
    let dial = job.lathe.as_ref().and_then(|l| l.compound_dial);
    let last = cut.and_then(|c| c.passes[..c.done].last());
    let unit = divided_in_or(dial, job.unit);
    let to =
        |number: Option<Length>, unit| number.map_or(String::new(), |n| format!(", to {}", words(n, unit)));
    match cut.map(|c| c.feed) {
        Some(Feed::Swung(lean)) => {
            let device = Device::of(job.lathe.as_ref(), job.unit);
            let shift = feed::sideways(axial, lean, dial, device.map(|d| d.radial_step()));
            let (back, slide_unit) = device.map_or((shift.back, job.unit), |d| (d.shows(shift.back), d.unit));
            let depth = match shift.deeper {
                d if d.abs() < UNSEEN => "leaves the depth as it is".to_owned(),
                d if d > Length::ZERO => format!("goes {} deeper", words(d, job.unit)),
                d => format!("goes {} less deep", words(-d, job.unit)),
            };
            format!(
                "go {} on along the swung compound{}, and {} back on the cross-slide{}: that moves the tool {} along the axis, {depth}, and cuts the leading flank only",
                words(shift.on, unit),
                to(last.map(|p| p.compound + shift.on), unit),
                words(back, slide_unit),
                to(last.map(|p| p.readout - back), slide_unit),
                words(shift.axial, job.unit)
            )
        }
        _ => {
            let shift = dial.map_or(Some(axial), |d| divisions(axial, d));
            let flank = "so that only the flank on the tailstock's side is cut";
            match shift {
                Some(shift) => format!(
                    "move the tool {} along the axis, away from the chuck by the compound{}, {flank}",
                    words(shift, unit),
                    to(last.map(|p| p.axial_shift + shift), unit)
                ),
                None => format!(
                    "move the tool {} along the axis, away from the chuck, {flank}: less than one division of the compound, so by an indicator on it",
                    words(axial, job.unit)
                ),
            }
        }
    }
}

/// A change of depth that no number shows: half of the last place of an inch reading.
const UNSEEN: Length = Length::um(1.27);
