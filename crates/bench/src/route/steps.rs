//! The work of the ways that the stages right of route do not plan, in order, with the cautions that belong to it.
//! Single-point threading is theirs.

use super::milling::Milling;
use super::tap_set::TapSet;
use crate::fit::{Fit, RUN_OUT, caution};
use crate::job::Mill;
use crate::report::{Fine, Note, Step, Text, Value};
use flankwise_thread::{Angle, Element, Hand, Length, Source, Thread};
use std::f64::consts::PI;

fn wrench() -> Note {
    Note::caution(
        "A tap or die turned by hand in the lathe: belt off or switch locked out, and nobody's hand on the wrench when the spindle can turn.",
        Source::practice("tapping by hand in the lathe"),
    )
    .short("Switch locked out while a tap is turned by hand.")
}

fn brush() -> Note {
    Note::caution(
        "Chips out of flutes with a brush or hook, not with fingers: they are as sharp as the tap.",
        Source::practice("clearing taps"),
    )
}

fn hot_steel() -> Note {
    Note::caution(
        "Red-hot steel in oil flares up. Face shield, heat-proof gloves and covered arms; enough oil, no water near it, a lid for the bath and an extinguisher within reach; under extraction or in the open air, and by the fire rules of the place.",
        Source::table("Canadian Centre for Occupational Health and Safety: heat treating", "precautions"),
    )
    .short("Face shield, lid and extinguisher at the oil bath.")
}

fn milling_guard() -> Note {
    Note::caution(
        "A path is tried in air first, slowly, a hand at the stop; no hand near the cutter while the spindle turns, eyes covered, the work clamped so that it cannot lift.",
        Source::practice("first run of a path on a milling machine"),
    )
}

/// After parting off: held again and set true.
pub(super) fn rechuck() -> Vec<Step> {
    vec![Step::with(
        Text::from("Hold the finished body in soft jaws or a split bush and set it true to ")
            .len(RUN_OUT)
            .s(" by indicator, on the bore and on the face. Leave room behind it for the tool to run out."),
        vec![caution::chuck()],
    )]
}

/// Tapping, with the set where it is made here.
pub(super) fn tapping(fit: &Fit, set: Option<&TapSet>) -> Vec<Step> {
    let mut steps = vec![Step::with(
        "Leave the work in the chuck. Start each tap in the bore with its square in the wrench and its centre on the tailstock's, so that it follows the axis.",
        vec![wrench(), caution::chuck()],
    )];
    let way = match fit.thread.hand {
        Hand::Right => "",
        Hand::Left => " to the left",
    };
    let taps = set.map_or_else(
        || Text::from(format!("Turn it in{way} with cutting oil")),
        |set| {
            Text::from(format!(
                "Turn the taps in{way} one after the other, first to last, with cutting oil; the hardest asks "
            ))
            .v(Value::TorqueNm(set.hardest_nm()))
        },
    );
    steps.push(Step::with(
        taps.s(". Keep the tailstock's centre following. Back half a turn for each turn until the chips break; draw it out and brush it whenever it binds."),
        vec![brush()],
    ));
    steps.push(Step::new(
        Text::from("Let each tap run through by its own thread and take it out behind the nut")
            .s(if fit.through { "." } else { ", or turn it back where the hole ends." }),
    ));
    steps
}

/// Cutting with a die.
pub(super) fn die(fit: &Fit) -> Vec<Step> {
    vec![
        Step::new(
            Text::from("Point the end to ")
                .len(fit.bottom.aim)
                .s(" over one pitch, and start the die square against the tailstock's quill."),
        ),
        Step::with(
            "Turn it on with cutting oil, back half a turn for each turn. Open the die for the first run, close it for the second.",
            vec![wrench(), brush()],
        ),
    ]
}

/// A bought part put in.
pub(super) fn bought_part(fit: &Fit) -> Vec<Step> {
    let (part, mate) = match fit.part {
        Element::Internal => ("nut", "screw"),
        Element::External => ("screw", "nut"),
    };
    vec![
        Step::new(Text::from(format!(
            "Measure the bought {part} before anything is altered: thread, hand, outside, and its run on the {mate} over the whole travel."
        ))),
        Step::with(
            "Take out the old part and make the place for the new one: turn its body down, or make a bush or plate. Keep the machine's own castings as they are where that can be helped.",
            vec![caution::chuck(), caution::entangle(), caution::chips()],
        ),
        Step::new(Text::from(format!(
            "Line it up on the {mate} itself with the slide at both ends of its travel, then fix it: a {part} out of line wears and binds."
        ))),
    ]
}

/// Milling along the helix.
pub(super) fn milling(fit: &Fit, mill: &Mill, planned: &Milling) -> Vec<Step> {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let turned = fit.part == Element::External && mill.rotary;
    let (hold, inward) = match fit.part {
        Element::Internal => (
            "Set the bored body true under the spindle by indicator, bore and face.",
            "from the bore outward",
        ),
        Element::External if turned => (
            "Hold the turned screw between the dividing head and its tailstock, true by indicator at both ends, with a steady near the cut where it is slender. Take the play out of the table's and the head's gearing always from the same side.",
            "from the outside inward",
        ),
        Element::External => (
            "Stand the turned screw upright under the spindle, true by indicator along its outside.",
            "from the outside inward",
        ),
    };
    let set_over = planned.disc.set_over.map(|at| {
        let angle = Angle::rad((fit.thread.lead() / (at * (2.0 * PI))).atan());
        Step::new(
            Text::from("Set the cutter over by the lead angle, ")
                .v(Value::Angle(angle, 2))
                .s(", to the hand of the thread."),
        )
    });
    let path = if turned {
        Text::from("Path: the cutter's axis ")
            .v(gauge(planned.disc.offset))
            .s(" from the screw's at full depth, the table ")
    } else {
        Text::from("Path: the cutter's axis on a circle of ")
            .v(gauge(planned.disc.offset * 2.0))
            .s(" at full depth, along the axis ")
    };
    let starts = match fit.thread.starts {
        1 => String::new(),
        n => format!(", {n} times over, each time a pitch further on"),
    };
    let mut steps = vec![Step::new(hold)];
    steps.extend(set_over);
    steps.extend([
        Step::with(
            path.v(gauge(fit.thread.lead()))
                .s(format!(" a turn{starts}, in "))
                .v(Value::Count(i64::from(planned.passes)))
                .s(format!(
                    " passes {inward}, the last at the same depth; in and out along the helix. Spindle "
                ))
                .v(Value::Rpm(planned.rpm))
                .s(", centre feed ")
                .v(Value::Number(planned.feed_mm_per_min, 0))
                .s(" mm a minute."),
            vec![milling_guard()],
        ),
        Step::new("Start with the depth 0.1 mm short; try the mate, and go on until the play is right."),
    ]);
    steps
}

/// Making a set of taps.
pub(super) fn making(set: &TapSet, thread: &Thread) -> Vec<Step> {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let mut steps = vec![Step::with(
        Text::from("Turn the blanks between centres to the crests of the table, as they are before hardening; shank ")
            .v(gauge(set.square.shank))
            .s(", pilot ")
            .v(gauge(set.pilot))
            .s(" by ")
            .len(set.pilot_length)
            .s(". Keep both centres: grinding and honing run on them."),
        vec![caution::chuck(), caution::entangle(), caution::chips()],
    )];
    steps.push(Step::new(
        Text::from(format!("Cut the thread of each, {thread}: lead "))
            .v(gauge(thread.lead()))
            .s(match thread.hand {
                Hand::Right => ", right-hand",
                Hand::Left => ", left-hand",
            })
            .s(match thread.starts {
                1 => String::new(),
                n => format!(", {n} starts a pitch apart"),
            })
            .s(". One form tool, tip ")
            .v(gauge(set.tip))
            .s(" or less, down to ")
            .v(gauge(set.root))
            .s(" at its bottom; widen until the teeth have the crest width of the table. The roughing taps are ")
            .v(gauge(set.flank_allowance))
            .s(" thinner on each flank than the last."),
    ));
    steps.push(Step::new(
        "Turn the leads from the table: straight cones over the first teeth, down to the pilot's end.",
    ));
    steps.push(Step::with(
        Text::new()
            .v(Value::Count(i64::from(set.flutes)))
            .s(" flutes, evenly spaced, with a ball-nosed cutter of ")
            .len(set.cutter)
            .s(": its axis ")
            .v(gauge(set.cutter_offset))
            .s(" to the side of the tap's, its end ")
            .v(gauge(set.cutter_height))
            .s(" above the tap's axis. The straight side makes the cutting face, with a rake of ")
            .v(Value::Angle(set.rake, 0))
            .s("; a core of ")
            .len(set.core)
            .s(" is left."),
        vec![Note::caution(
            "Clamp the dividing head and the tailstock; brush chips away with the cutter standing.",
            Source::practice("milling between centres"),
        )],
    ));
    steps.push(Step::new(
        Text::from("Mill the square, ")
            .len(set.square.across)
            .s(" across and ")
            .len(set.square.length)
            .s(" long."),
    ));
    steps.push(Step::new(
        "Back off the crests of the leads behind the edge by 4 to 6 degrees with a file, clear into the flute; leave the full teeth of the last tap unrelieved but for a bevel at the heel, so that they guide. Stamp size and number.",
    ));
    steps.extend(hardening(set));
    steps
}

/// Hardening of oil-hardening tool steel (O1), figures by its maker's data sheet.
fn hardening(set: &TapSet) -> Vec<Step> {
    let soak = set.thickest() / Length::inch(1.0);
    vec![
        Step::with(
            Text::from("Harden (O1): warm evenly to 650 °C, then to 800 to 815 °C, ")
                .v(Value::Number((30.0 * soak).ceil(), 0))
                .s(" minutes at heat for this thickness, packed or wrapped against scale; plunge upright, thread down, into oil, and stir up and down. Take it out with tongs at 65 to 95 °C, before it is cold."),
            vec![hot_steel()],
        ),
        Step::new(
            Text::from("Temper at once at 205 to 230 °C, ")
                .v(Value::Number((120.0 * soak).ceil(), 0))
                .s(" minutes: some 60 HRC. Then heat the square and the shank alone to dark blue, about 300 °C, the thread in a wet rag or in sand, so that they do not snap."),
        ),
        Step::with(
            "Clean the centres, look for cracks and for bend between centres (0.05 mm is too much), and hone the cutting faces.",
            vec![Note::caution(
                "Hardened steel chips: eye protection when a tap is straightened, honed or tried.",
                Source::practice("working hardened tools"),
            )],
        ),
    ]
}

/// Origin of the temperatures and times.
pub(super) const O1: Source = Source::table(
    "Buffalo Precision: O1 oil hardening tool steel, data sheet",
    "harden 1475 to 1500 F, 30 min an inch; temper 300 to 450 F, 2 h an inch; grows 0.0015 in an inch",
);
