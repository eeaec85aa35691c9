//! What to do when the work is broken off: from the place reached, in the numbers of this lathe.

use super::Pass;
use super::course::{Course, Place};
use super::feed::Feed;
use crate::fit::caution;
use crate::job::Lathe;
use crate::report::{Fine, Step, Text, Value};
use flankwise_thread::Length;

/// One kind of trouble, and the way out of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// Stable key: `stopped`, `tool`, `moved`, `wrong_mark`.
    pub key: &'static str,
    /// What has happened.
    pub title: &'static str,
    /// What to do, in order.
    pub steps: Vec<Step>,
}

/// Every kind of trouble. `last` is the last pass that was done.
pub(super) fn all(course: &Course<'_>, here: &Place, last: Option<&Pass>) -> Vec<Recovery> {
    let mut list = vec![
        Recovery {
            key: "stopped",
            title: "If the lathe stops in the middle of a pass",
            steps: stopped(here, last),
        },
        Recovery { key: "tool", title: "If the tool chips or is taken out", steps: tool(course, here, last) },
        Recovery {
            key: "moved",
            title: "If the work has moved, or was taken out of the chuck",
            steps: moved(course, last),
        },
    ];
    if let Some(lathe) = &course.job.lathe {
        list.push(Recovery {
            key: "wrong_mark",
            title: "If the half-nuts were closed at a wrong place",
            steps: wrong_mark(course, lathe, last),
        });
    }
    list
}

/// The way back for the paper at the lathe, which does not know how far the work got: short, and by its ticks.
pub(super) fn on_paper(course: &Course<'_>) -> Vec<Step> {
    let slides = match course.feed {
        Feed::Swung(_) => "the cross-slide and the compound",
        _ => "the cross-slide",
    };
    let numbers = format!("Where it rests, call {slides} what the last pass ticked above was set to.");
    let mut steps = vec![
        Step::with(
            "Stopped in a pass: main switch off, half-nuts left closed. Turn the chuck back by hand until the edge is free, draw out, and take that pass again from the start of the thread.",
            vec![caution::chuck()],
        ),
        Step::new(
            "Work moved or taken out: set it running true again by an indicator, to 0.01 mm, beside the thread and on a face. Tool changed: set it square and on centre. Then pick the thread up:",
        ),
    ];
    steps.extend(into_the_groove(course, numbers.into()));
    steps
}

fn gauge(l: Length) -> Value {
    Value::Length(l, Fine::Gauge)
}

fn stopped(here: &Place, last: Option<&Pass>) -> Vec<Step> {
    let redo = match last {
        Some(p) => Text::new()
            .s("So far the groove is ")
            .v(gauge(p.depth))
            .s(format!(" deep, pass {}. A pass that was broken off does not count: take it again at its own setting, from the start of the thread.", here.taken)),
        None => Text::from("No pass is marked as done: begin again with the scratch, in its own track."),
    };
    vec![
        Step::with(
            "Switch off at the main switch first: when power comes back the spindle must not start by itself. Leave the half-nuts closed; as long as they are, the thread is not lost.",
            vec![caution::chuck()],
        ),
        Step::new(
            "Do not draw the tool out through a standing chip: turn the chuck back by hand a little until the edge is free, then draw out.",
        ),
        Step::new(
            "A readout that has been without power has lost its zero. Its zero is where the tip just touches the surface between the grooves: touch on there with the spindle standing.",
        ),
        Step::new(redo),
    ]
}

fn tool(course: &Course<'_>, here: &Place, last: Option<&Pass>) -> Vec<Step> {
    let mut steps = vec![
        Step::with(
            "Draw out, stop, and look for the broken piece in the groove: the next tip would break on it. Pick it out with a scriber.",
            vec![caution::chips()],
        ),
        Step::new(
            Text::new()
                .s("Grind or change the tool and measure its tip: it was ")
                .v(gauge(if last.is_some() { here.tip } else { course.tip }))
                .s(" wide. If the new one differs, write it as grind.tip_width, and the passes to come are planned for it; those done keep theirs."),
        ),
    ];
    steps.extend(pick_up(course, last));
    steps
}

fn moved(course: &Course<'_>, last: Option<&Pass>) -> Vec<Step> {
    let mut steps = vec![Step::with(
        Text::from("Set the work running true again: an indicator on a turned surface beside the thread and on a face, to ")
            .v(Value::Length(Length::mm(0.01), Fine::Gauge))
            .s(" if the thread is to be cut on. A four-jaw chuck, or paper under a jaw, brings it there."),
        vec![caution::chuck()],
    )];
    steps.extend(pick_up(course, last));
    steps.push(Step::new(
        "The first pass after it shows the truth: if one flank is cut and the other is not, shift the tool with the compound by half of what it cut.",
    ));
    steps
}

/// Finds the old groove with the tool, and gives the slides their numbers back.
fn pick_up(course: &Course<'_>, last: Option<&Pass>) -> Vec<Step> {
    let Some(last) = last else {
        return vec![Step::new("No pass is done yet: touch on in the blank as at the beginning.")];
    };
    into_the_groove(course, numbers_of(course, last))
}

/// What the slides show where the tool rests in the groove of a pass.
fn numbers_of(course: &Course<'_>, last: &Pass) -> Text {
    let unit = course.device.map_or(course.job.unit, |d| d.unit);
    let setting = |l: Length| Value::Setting(l, unit);
    match course.feed {
        Feed::Swung(_) => Text::new()
            .s("Where it rests, call the cross-slide ")
            .v(setting(last.readout))
            .s(" and the compound ")
            .v(Value::Setting(last.compound, super::device::divided_in_or(course.compound, unit)))
            .s(": pass ")
            .v(Value::Count(i64::from(last.number)))
            .s(" was cut there."),
        _ => Text::new()
            .s("Where it rests, call the cross-slide ")
            .v(setting(last.readout))
            .s(" and leave the compound where it is: pass ")
            .v(Value::Count(i64::from(last.number)))
            .s(" was cut there."),
    }
}

/// Brings the tool back into its groove; `numbers` are what the slides are then called.
fn into_the_groove(course: &Course<'_>, numbers: Text) -> Vec<Step> {
    vec![
        Step::new(
            "Set the tool square and on centre as before. Close the half-nuts at a right mark, tool drawn out, and turn the chuck by hand in the direction of the cut for a turn or two, so that all play of gears, lead screw and half-nuts is taken up. Do not turn it back.",
        ),
        Step::new(
            "With the chuck still, bring the tool into the groove with cross-slide and compound together until it rests on both flanks alike. A lamp behind it and a slip of paper on each side show which flank it touches first.",
        ),
        Step::new(numbers),
        Step::with(
            "Draw out, go back to the start, and let the lathe carry the tool along the groove once without cutting, drawn out by half a millimetre. Then take one pass at that number: it should cut hardly anything.",
            vec![caution::threading(course.fit.thread.hand, course.fit.through)],
        ),
    ]
}

/// Where a wrong track lies beside the right one: the shifts of a lead screw `screw` modulo the distance of the
/// grooves, each once, nearest first. None where they lie anywhere.
fn wrong_tracks(screw: Length, grooves: Length) -> Option<Vec<Length>> {
    const MOST: u32 = 40;
    let mut found: Vec<Length> = Vec::new();
    for i in 1..=MOST {
        let turns = (screw * f64::from(i)) / grooves;
        let off = (turns - turns.round()).abs();
        let at = grooves * off;
        if off < 1e-6 {
            found.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
            return Some(found);
        }
        if found.iter().all(|f| (*f - at).abs() > Length::um(1.0)) {
            found.push(at);
        }
    }
    None
}

/// Share of the thread's height that a scar may take before its turns are counted as lost. Chosen here.
const SCAR: f64 = 0.25;

fn wrong_mark(course: &Course<'_>, lathe: &Lathe, last: Option<&Pass>) -> Vec<Step> {
    let fit = course.fit;
    let mut steps = vec![Step::with(
        "Draw the tool out at once, open the half-nuts and stop. Do not take that pass again anywhere.",
        vec![caution::chips()],
    )];
    let shop = |l: Length| Value::Length(l, Fine::Shop);
    let surface = course.groove(course.tip).width_at(course.full) + course.widen().max(Length::ZERO);
    match wrong_tracks(lathe.lead_screw.length, fit.thread.pitch.length) {
        Some(tracks) if tracks.is_empty() => steps.push(Step::new(
            "On this lathe every place of the half-nuts leads back into the same track: look for another cause.",
        )),
        Some(tracks) => {
            let mut text = Text::from("On this lathe a wrong track lies ");
            for (i, track) in tracks.iter().enumerate() {
                if i > 0 {
                    text = text.s(if i + 1 == tracks.len() { " or " } else { ", " });
                }
                text = text.v(shop(*track));
            }
            text = text
                .s(" to one side of the right one. The finished groove is ")
                .v(shop(surface))
                .s(" wide at the surface");
            // The track's edge at the surface: off + tip/2 + depth × tan A, within half the groove.
            let free = tracks.first().map(|t| surface * 0.5 - *t - course.tip * 0.5);
            steps.push(Step::new(match free {
                Some(free) if free > Length::ZERO && course.mean_tan > 1e-9 => text
                    .s(": the nearest track disappears in it if it is no deeper than ")
                    .v(shop((free * (1.0 / course.mean_tan)).min(course.full)))
                    .s("."),
                _ => text.s(": no wrong track disappears in it."),
            }));
        }
        None => steps.push(Step::new(
            "With this lead screw a wrong track can lie anywhere beside the right one: look how much of it falls in the groove to come.",
        )),
    }
    steps.push(Step::new(
        Text::new()
            .s("What stays is a scar along the ridge as deep as that pass. Up to ")
            .v(shop(course.full * SCAR))
            .s(" (a quarter of the height) it does little harm: stone its edges. Deeper: count the turns it runs over as lost, and reckon the thread's length anew; over most of the length, make another blank."),
    ));
    if let Some(last) = last {
        steps.push(Step::new(
            Text::new()
                .s("Then go on: close at a right mark with the tool drawn out, and see that it runs in the old groove before it is set to the number of the next pass. Pass ")
                .v(Value::Count(i64::from(last.number)))
                .s(" is the last that counts."),
        ));
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tracks(screw: Length, grooves: f64) -> Option<Vec<f64>> {
        wrong_tracks(screw, Length::mm(grooves))
            .map(|t| t.iter().map(|l| (l.to_mm() * 1e3).round() / 1e3).collect())
    }

    #[test]
    fn tracks_are_the_shifts_that_the_lead_does_not_divide() {
        // By hand: 4, 8, 12, 16 mm against 5 mm are 1, 2, 2, 1 mm off the nearest groove.
        assert_eq!(tracks(Length::mm(4.0), 5.0), Some(vec![1.0, 2.0]));
        assert_eq!(tracks(Length::mm(6.0), 3.0), Some(vec![]));
        assert_eq!(tracks(Length::mm(4.0), 8.0), Some(vec![4.0]));
        // 8 tpi against 5 mm: a multiple of both comes only after 127 turns of 5 mm.
        assert_eq!(tracks(Length::per_inch(8.0), 5.0), None);
    }
}
