//! Holding, centring and trying out, in order, with the cautions that belong to each step.

use super::speed::{Room, Speed};
use super::{HalfNuts, Train, runs_back};
use crate::fit::{Fit, caution};
use crate::job::{Job, Lathe};
use crate::report::{Moment, Step, Text, Value};
use crate::tool;
use flankwise_thread::{Element, Hand, Length};

/// The steps.
pub(super) fn steps(
    fit: &Fit,
    job: &Job,
    lathe: &Lathe,
    train: Option<&Train>,
    half_nuts: &HalfNuts,
    speed: &Speed,
) -> Vec<Step> {
    let mut steps = Vec::new();
    if let Some(train) = train {
        let mut text = Text::new().s("Switch off and isolate the lathe. Fit the gears: ").s(train.words());
        if let Some(setting) = &train.gearbox {
            text = text.s(format!("; gearbox at {setting}"));
        }
        steps.push(Step::with(
            text.s(". Set each pair with a strip of paper between the teeth, so that they run with a little backlash."),
            vec![caution::guards()],
        ));
    }
    steps.push(Step::new(hand_words(fit, lathe, train)));
    steps.push(holding(fit, job));
    steps.push(centring(fit));
    let clears = match fit.part {
        Element::Internal => ", and check that the bar clears the bore over its whole reach.",
        Element::External => ".",
    };
    let set = Text::from("With the spindle at rest, set the tool's edge ")
        .text(tool::edge_height(job))
        .s(" and square to the axis against the template. Stone off any burr");
    steps.push(Step::new(set.s(clears)));
    let reverses = *half_nuts == HalfNuts::KeepClosed && runs_back(lathe);
    let cautions = if reverses { vec![caution::reversing(lathe.chuck)] } else { Vec::new() };
    steps.push(Step::with(half_nut_words(half_nuts, lathe), cautions));
    steps.extend(stop_words(lathe).map(Step::new));
    let dry = dry_run(fit, job, speed);
    steps.push(Step::with(dry, vec![caution::threading(fit.thread.hand, fit.through)]));
    steps
}

/// The trial without a cut; by hand where the spindle under power cannot be stopped in time.
fn dry_run(fit: &Fit, job: &Job, speed: &Speed) -> Text {
    let dry = match (speed.rpm, speed.room) {
        (Some(rpm), _) => Text::from("Dry run at ").v(Value::Rpm(rpm)).s(" with the tool clear of the work"),
        (None, Room::Unknown) => {
            return Text::from(
                "No dry run under power before the room at the end is measured and a speed is known that stops in it.",
            );
        }
        (None, _) => {
            return Text::from(
                "No dry run under power: you could not stop in the room there is. Isolate the lathe, turn the spindle by hand with the tool clear of the work, and see where the tool comes out and what it has there.",
            );
        }
    };
    match (fit.thread.hand, fit.through && job.cutting.room.is_none()) {
        (Hand::Left, true) => {
            dry.s(": see that the tool finds room to start between work and chuck, and runs out in front.")
        }
        (Hand::Left, false) => {
            dry.s(": see that the tool starts clear in the groove, and that you never bring it back further than that.")
        }
        (Hand::Right, true) => {
            dry.s(": see that tool and carriage run out behind the work without reaching the chuck or a jaw.")
        }
        (Hand::Right, false) => {
            let dry = dry.s(": set a mark where the tool must come out, and see that you stop within ");
            let within = match (speed.room, speed.overrun) {
                (Room::Known(room), _) => dry.len(room).s(" of it, which is the room there is"),
                (_, Some(overrun)) => dry.len(overrun).s(" of it, and that there is so much room"),
                (_, None) => dry.s("the room behind it"),
            };
            within.s(", ten times out of ten.")
        }
    }
}

fn hand_words(fit: &Fit, lathe: &Lathe, train: Option<&Train>) -> Text {
    let inside = fit.part == Element::Internal;
    match fit.thread.hand {
        Hand::Right if lathe.left_hand => Text::from(
            "Right-hand thread, spindle forward: lead screw set so that the tool feeds towards the headstock.",
        ),
        Hand::Right => Text::from(
            "Right-hand thread, spindle forward: see on a turn by hand that the train feeds the tool towards the headstock; one idler more or fewer turns it round.",
        ),
        Hand::Left => {
            let from = if inside && !fit.through {
                "from the groove at the bottom outwards"
            } else {
                "from the headstock end outwards"
            };
            let how = match (lathe.left_hand, train) {
                (true, _) => "reverse the lead screw by its lever",
                // Two idlers undo each other.
                (false, Some(t)) if t.idlers.len().is_multiple_of(2) => {
                    "this train turns the lead screw the way a left-hand thread asks: see it on a turn by hand"
                }
                (false, Some(_)) => {
                    "the idler in this train turns the lead screw round: see it on a turn by hand. Reversing the spindle does not help, since the lead screw reverses with it"
                }
                (false, None) => {
                    "this lathe's lead screw cannot be reversed by a lever, so the train needs one idler more (or one fewer) than for a right-hand thread; its teeth do not matter"
                }
            };
            Text::from(format!(
                "Left-hand thread, spindle forward: the tool feeds {from}; {how}. The flank that leads is the one nearer the tailstock: check the relief ground under it."
            ))
        }
    }
}

fn holding(fit: &Fit, job: &Job) -> Step {
    let text = match fit.part {
        Element::Internal => Text::from(
            "Hold the blank so that the bore, the thread and the outside can be finished in one setting; then they are true to each other whatever the chuck does. Where the outside is already finished, use a four-jaw chuck or bored soft jaws, and let the jaws bear over the whole length: a thin wall springs out of round under three jaws and the thread with it.",
        ),
        Element::External => Text::from(
            "Hold the screw between centres, or in the chuck with the tailstock centre up, driven so that it cannot turn in the driver: it must go back in the same place after every trial.",
        ),
    };
    let mut cautions = vec![caution::entangle(), caution::chuck()];
    if fit.stock.is_some_and(|(d, l)| l > d * 3.0) {
        cautions.push(caution::long_stock());
    }
    if fit.part == Element::External && job.make.body.outside.is_some() {
        cautions.push(caution::polish());
    }
    Step::with(text, cautions).at(Moment::Holding)
}

fn centring(fit: &Fit) -> Step {
    let what = match fit.part {
        Element::Internal => "the finished bore, then the face",
        Element::External => "the outside at both ends",
    };
    Step::new(
        Text::new()
            .s(format!("If the work has been out of the lathe, centre it again before threading: with the drive in neutral, turn the chuck by hand and indicate {what} to within "))
            .v(Value::Length(Length::mm(0.02), crate::report::Fine::Shop))
            .s(". First the place near the jaws by the jaws, then the far end with a soft hammer, then both once more. To pick up a thread already cut, close the half-nuts, take up the lead screw's backlash in the direction of the cut, and move the tool into the groove with compound and cross-slide."),
    )
}

/// When the half-nuts may be closed, in words.
pub(super) fn half_nut_words(half_nuts: &HalfNuts, lathe: &Lathe) -> Text {
    match half_nuts {
        HalfNuts::Anywhere => Text::from("Half-nuts: open them after each pass and close them anywhere they drop in."),
        HalfNuts::Marks(marks, words) => {
            let list: Vec<String> = marks.iter().map(u32::to_string).collect();
            Text::from(format!(
                "Half-nuts: open them after each pass and close them {words} (counted from 1, the one you started on: {}), every time.",
                list.join(", ")
            ))
        }
        HalfNuts::Shift(shift) => Text::new()
            .s("Half-nuts: no mark of a dial serves this lead. Close them only where the carriage stands a whole number of ")
            .len(*shift)
            .s(" from where you first closed them, against a stop on the bed; else leave them closed and bring the tool back by the spindle."),
        HalfNuts::KeepClosed => {
            let text = Text::from(if lathe.half_nuts {
                "Half-nuts: keep them closed from the first pass to the last; after each pass "
            } else {
                "This lathe has no half-nuts: the lead screw drives throughout; after each pass "
            });
            let text = text.s(if runs_back(lathe) {
                "draw the tool, let the spindle stand, reverse it, and run back past the start"
            } else if lathe.reverses {
                "stop the spindle, draw the tool and wind the spindle back by hand or crank past the start, since a screwed-on chuck can unscrew when it is reversed under power"
            } else {
                "draw the tool and wind the spindle back by hand or crank past the start, since this spindle does not reverse"
            });
            match lathe.backlash.filter(|b| *b > Length::ZERO) {
                Some(backlash) => text.s(" by more than the carriage's play of ").len(backlash).s("."),
                None => text.s(" to take up the backlash."),
            }
        }
    }
}

/// How the tool comes back to its depth, where the lathe has a stop for it.
fn stop_words(lathe: &Lathe) -> Option<Text> {
    lathe.threading_stop.then(|| {
        Text::from("Threading stop: draw the tool against it the same way every time, and set each pass from it; it keeps the depth, not the place along the thread.")
    })
}
