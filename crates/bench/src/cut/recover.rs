//! What to do when the work is broken off: from the place reached, in the numbers of this lathe.

use super::Pass;
use super::course::{Course, Place, WIDEN_LEAST};
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

/// Every kind of trouble at the place reached. `next_tip` is that of the tool that takes the next pass.
pub(super) fn all(course: &Course<'_>, here: &Place, next_tip: Option<Length>) -> Vec<Recovery> {
    let mut list = vec![
        Recovery {
            key: "stopped",
            title: "If the lathe stops in the middle of a pass",
            steps: stopped(here),
        },
        Recovery {
            key: "tool",
            title: "If the tool chips or is taken out",
            steps: tool(course, here, next_tip),
        },
        Recovery {
            key: "moved",
            title: "If the work has moved, or was taken out of the chuck",
            steps: moved(course, here),
        },
    ];
    if let Some(lathe) = &course.job.lathe {
        list.push(Recovery {
            key: "wrong_mark",
            title: "If the half-nuts were closed at a wrong place",
            steps: wrong_mark(course, lathe, here),
        });
    }
    list
}

/// The way back for the paper at the lathe, which does not know how far the work got: short, and by its ticks.
pub(super) fn on_paper(course: &Course<'_>, passes: &[Pass]) -> Vec<Step> {
    let mut numbers = Text::from(match course.feed {
        Feed::Swung(_) => {
            "Where it rests, call the cross-slide and the compound what the last pass ticked above was set to."
        }
        _ if compound_counts(course) => {
            "Where it rests, call the cross-slide what the last pass ticked above was set to, and the compound its shift along the axis."
        }
        _ => "Where it rests, call the cross-slide what the last pass ticked above was set to.",
    });
    numbers = numbers.s(" A tip of another width rests less deep, or deeper: call it so much less or more.");
    if let Some(seat) = course.seat_at_change(passes) {
        numbers = numbers
            .s(" The tool for the thread in the groove that the roughing tool has finished: ")
            .text(called(course, &seat))
            .s(".");
    }
    let mut steps = vec![
        Step::with(
            "Stopped in a pass: main switch off, half-nuts left closed. Turn the chuck back by hand until the edge is free, draw out, and take that pass again from the start of the thread.",
            vec![caution::chuck()],
        ),
        Step::new(
            Text::from("Work moved or taken out: set it running true again by an indicator, to ")
                .v(gauge(TRUE))
                .s(", beside the thread and on a face. Tool changed: set it square and on centre. Then pick the thread up:"),
        ),
    ];
    steps.extend(into_the_groove(course, numbers));
    steps
}

/// To which the work must run true to be cut on. Common practice, no source.
const TRUE: Length = Length::mm(0.01);

fn gauge(l: Length) -> Value {
    Value::Length(l, Fine::Gauge)
}

fn stopped(here: &Place) -> Vec<Step> {
    let redo = if here.taken > 0 {
        Text::new()
            .s("So far the groove is ")
            .v(gauge(here.depth))
            .s(format!(" deep, pass {}. A pass that was broken off does not count: take it again at its own setting, from the start of the thread.", here.taken))
    } else {
        Text::from("No pass is marked as done: begin again with the scratch, in its own track.")
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

fn tool(course: &Course<'_>, here: &Place, next_tip: Option<Length>) -> Vec<Step> {
    let mut text = Text::from("Grind or change the tool and measure its tip: it was ")
        .v(gauge(if here.taken > 0 { here.tip } else { course.tip }))
        .s(" wide. If the new one differs, write it as grind.tip_width, and the passes to come are planned for it; those done keep theirs.");
    if course.mean_tan > 1e-9 && here.taken > 0 {
        let wider = Length::mm(0.1);
        text = text
            .s(" It also rests elsewhere: a tip wider by ")
            .v(gauge(wider))
            .s(" less deep by ")
            .v(gauge(wider * (0.5 / course.mean_tan)))
            .s(".");
    }
    let mut steps = vec![
        Step::with(
            "Draw out, stop, and look for the broken piece in the groove: the next tip would break on it. Pick it out with a scriber.",
            vec![caution::chips()],
        ),
        Step::new(text),
    ];
    steps.extend(pick_up(course, here, next_tip.unwrap_or(here.tip)));
    steps
}

fn moved(course: &Course<'_>, here: &Place) -> Vec<Step> {
    let mut steps = vec![Step::with(
        Text::from("Set the work running true again: an indicator on a turned surface beside the thread and on a face, to ")
            .v(gauge(TRUE))
            .s(" if the thread is to be cut on. A four-jaw chuck, or paper under a jaw, brings it there."),
        vec![caution::chuck()],
    )];
    steps.extend(pick_up(course, here, here.tip));
    steps.push(Step::new(
        "The first pass after it shows the truth: if one flank is cut and the other is not, shift the tool with the compound by half of what it cut.",
    ));
    steps
}

/// Finds the old groove with a tool of this tip, and gives the slides their numbers back.
fn pick_up(course: &Course<'_>, here: &Place, tip: Length) -> Vec<Step> {
    if here.taken == 0 {
        return vec![Step::new("No pass is done yet: touch on in the blank as at the beginning.")];
    }
    let seat = course.seated(*here, tip);
    let numbers = Text::from("Where it rests, ")
        .text(called(course, &seat))
        .s(format!(": pass {} was cut there.", here.taken));
    into_the_groove(course, numbers)
}

/// Whether the passes count on where the compound stands, though it does not feed.
fn compound_counts(course: &Course<'_>) -> bool {
    matches!(course.feed, Feed::Alternating(_) | Feed::Shifted(_))
        || course.rough.is_some()
        || course.widen() >= WIDEN_LEAST
}

/// What the slides are called where the tool rests in the groove at a place.
pub(super) fn called(course: &Course<'_>, seat: &Place) -> Text {
    let unit = course.device.map_or(course.job.unit, |d| d.unit);
    let of_compound = |l: Length| Value::Setting(l, super::device::divided_in_or(course.compound, unit));
    let (readout, compound) = course.shows(seat.depth, seat.side);
    let text = Text::from("call the cross-slide ").v(Value::Setting(readout, unit));
    match course.feed {
        Feed::Swung(_) => text.s(" and the compound ").v(of_compound(compound)),
        _ if compound_counts(course) || seat.side != Length::ZERO => {
            text.s(" and the compound ").v(of_compound(course.axial_shift(seat)))
        }
        _ => text.s(" and leave the compound where it is"),
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

/// Where a wrong track lies beside the right one, whose grooves are a lead apart: the shifts of a lead screw `screw`
/// modulo that, each once, nearest first. None where they lie anywhere.
fn wrong_tracks(screw: Length, lead: Length) -> Option<Vec<Length>> {
    const MOST: u32 = 40;
    let mut found: Vec<Length> = Vec::new();
    for i in 1..=MOST {
        let turns = (screw * f64::from(i)) / lead;
        let at = from_nearest(screw * f64::from(i), lead);
        if (turns - turns.round()).abs() < 1e-6 {
            found.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
            return Some(found);
        }
        if found.iter().all(|f| (*f - at).abs() > Length::um(1.0)) {
            found.push(at);
        }
    }
    None
}

/// Distance of a shift from the nearest of grooves so far apart.
fn from_nearest(shift: Length, grooves: Length) -> Length {
    let turns = shift / grooves;
    grooves * (turns - turns.round()).abs()
}

/// Share of the thread's height that a scar may take before its turns are counted as lost. Chosen here.
const SCAR: f64 = 0.25;

fn wrong_mark(course: &Course<'_>, lathe: &Lathe, here: &Place) -> Vec<Step> {
    let fit = course.fit;
    let mut steps = vec![Step::with(
        "Draw the tool out at once, open the half-nuts and stop. Do not take that pass again anywhere.",
        vec![caution::chips()],
    )];
    let shop = |l: Length| Value::Length(l, Fine::Shop);
    let surface = course.groove(course.tip).width_at(course.full) + course.widen().max(Length::ZERO);
    let pitch = fit.thread.pitch.length;
    match wrong_tracks(lathe.lead_screw.length, fit.thread.lead()) {
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
            // Beside the groove nearest to it, of whichever start.
            let beside = tracks.iter().map(|t| from_nearest(*t, pitch));
            let (others, beside): (Vec<Length>, Vec<Length>) = beside.partition(|off| *off < Length::um(1.0));
            // The track's edge at the surface: off + tip/2 + depth × tan A, within half the groove.
            let free = beside.into_iter().reduce(Length::min).map(|t| surface * 0.5 - t - course.tip * 0.5);
            steps.push(Step::new(match free {
                Some(free) if free > Length::ZERO && course.mean_tan > 1e-9 => text
                    .s(": the nearest track disappears in it if it is no deeper than ")
                    .v(shop((free * (1.0 / course.mean_tan)).min(course.full)))
                    .s("."),
                None => text.s("."),
                Some(_) => text.s(": no wrong track disappears in it."),
            }));
            if !others.is_empty() {
                steps.push(Step::new(
                    Text::from("The track that lies ")
                        .v(shop(pitch))
                        .s(", or a multiple of it, to one side is another start's: no metal is lost that was not to go, but what it cut belongs to that start, and this one still lacks the pass."),
                ));
            }
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
    if here.taken > 0 {
        steps.push(Step::new(
            format!("Then go on: close at a right mark with the tool drawn out, and see that it runs in the old groove before it is set to the number of the next pass. Pass {} is the last that counts.", here.taken),
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
        // Two starts of 7 mm: 3 mm falls anywhere a whole millimetre beside a groove 14 mm from the next.
        assert_eq!(tracks(Length::mm(3.0), 14.0), Some(vec![1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]));
    }
}
