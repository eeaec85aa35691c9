//! Order of operations of the whole part, threading as one step; cautions stand at the step they belong to.

use super::figures::one_or_band;
use super::outline::{self, Stretch, What};
use super::press::Pressed;
use super::{Fit, caution, crests, holes};
use crate::job::{Hole, HoleKind, Job, Make, NutKind};
use crate::material::{self, Material};
use crate::report::{Fine, Moment, Note, Step, Text, Value};
use flankwise_thread::{Element, Length, Source, Unit};

/// Left on the body until the thread is cut. Common practice, no source.
const TURN_ALLOWANCE: Length = Length::mm(0.5);
/// Runs this true when put back in the chuck. Common practice, no source.
pub(crate) const RUN_OUT: Length = Length::mm(0.02);

/// The steps in order.
pub(super) fn plan(fit: &Fit, job: &Job) -> Vec<Step> {
    let stuff = fit.stuff();
    let mut steps = vec![stock(fit, stuff)];
    match fit.part {
        Element::Internal => nut(fit, job, stuff, &mut steps),
        Element::External => screw(fit, &job.make, &mut steps),
    }
    keyways(fit, &mut steps);
    steps.extend(fit.pressed.map(|pressed| pressing(&pressed)));
    steps.push(Step::with(
        "Wash, take off the burrs of the first and last turn by hand with the spindle standing, and prove the fit (see Proof).",
        caution::in_use(job.make.duty),
    ));
    steps
}

fn stock(fit: &Fit, stuff: &Material) -> Step {
    let text = match fit.stock {
        Some((diameter, length)) => Text::from("Saw off ")
            .v(Value::Length(length, Fine::Coarse))
            .s(" of ")
            .v(Value::Length(diameter, Fine::Shop))
            .s(format!(" bar of {}, hold it in the chuck and face it.", stuff.name)),
        None => Text::from(format!("Hold the {} in the chuck and face it.", stuff.name)),
    };
    let mut cautions = vec![caution::chuck(), caution::entangle(), caution::guards(), caution::chips()];
    cautions.extend(caution::material(stuff));
    Step::with(text, cautions)
}

fn nut(fit: &Fit, job: &Job, stuff: &Material, steps: &mut Vec<Step>) {
    let body = &job.make.body;
    let depth = fit.part_length(&job.make);
    if body.flange.is_some() {
        steps.push(Step::with(
            flange_text(fit, &job.make)
                .s(" and rough the body beside it, with ")
                .len(TURN_ALLOWANCE)
                .s(" to come off."),
            vec![caution::long_stock()],
        ));
    } else {
        steps.push(Step::with(
            Text::from("Rough the outside, with ").len(TURN_ALLOWANCE).s(" to come off."),
            vec![caution::long_stock()],
        ));
    }
    let drill = |unit| crests::marked(crests::drill(fit.blank.aim, unit), unit);
    let mut bore = Text::from("Centre, drill in steps up to ").s(format!(
        "{} or {}",
        drill(Unit::Mm),
        drill(Unit::Inch)
    ));
    bore = if fit.through {
        bore.s(" right through")
    } else {
        bore.s(", ").v(Value::Length(fit.blind_depth(), Fine::Coarse)).s(" deep")
    };
    steps.push(Step::with(
        bore.s(", and bore to ")
            .v(Value::Length(fit.blank.aim, Fine::Shop))
            .s(" (")
            .v(Value::Band(fit.blank.min, fit.blank.max, Fine::Shop))
            .s(")."),
        bore_cautions(stuff),
    ));
    if let Some((relief, across)) = fit.relief.zip(fit.relief_diameter) {
        steps.push(Step::with(
            Text::from("Cut the groove at the blind end: ")
                .len(relief)
                .s(" wide, ")
                .len(across)
                .s(" across, its near side ")
                .v(Value::Length(fit.length, Fine::Shop))
                .s(" from the mouth. Chamfer the mouth of the bore to the bottom of the thread."),
            vec![],
        ));
    } else if let Some(across) = fit.opened {
        steps.push(Step::new(
            Text::from("Open the bore behind the thread to ")
                .len(across)
                .s(", ")
                .v(Value::Band(fit.length, depth, Fine::Shop))
                .s(" from the front face, so that the tool runs out into it and the screw goes through; or carry the thread on to the far end. Chamfer the mouth of the bore to the bottom of the thread."),
        ));
    } else {
        steps.push(Step::new("Chamfer both mouths of the bore to the bottom of the thread."));
    }
    let outside = outline::outside(fit, &job.make);
    let (before, after) = holes_by_the_thread(fit, &job.make, &outside);
    holes_before_thread(before, steps);
    steps.push(threading(fit));
    steps.extend(parting_off(fit, depth).map(|step| step.at(Moment::PartingOff)));
    steps_of_the_outside(fit, steps);
    holes_after(&outside, &job.make, after, steps);
    steps.extend(to_be_set(fit, job.make.nut));
}

/// What makes a nut of one that can be set, after its thread is cut.
fn to_be_set(fit: &Fit, kind: NutKind) -> Vec<Step> {
    let half = Value::Length(fit.length / 2.0, Fine::Coarse);
    let set = "Run it to where the screw is thickest and set it there";
    match kind {
        NutKind::Plain | NutKind::Cast => Vec::new(),
        NutKind::Split => vec![
            Step::with(
                "Drill and tap across one side of the body for the screw that closes the nut, clear through on the near side of the slit; then saw the slit along the nut through that side, and take its burrs off the thread.",
                vec![drilling()],
            ),
            Step::new(format!(
                "{set} with the closing screw, until it just runs free by hand; lock the screw."
            )),
        ],
        NutKind::TwoPiece => vec![
            Step::with(
                Text::from("Mark both halves along one line, part the nut in two at ")
                    .v(half)
                    .s(" and face both cuts: so much comes off for the saw that they can close."),
                vec![caution::chuck()],
            ),
            Step::new(format!(
                "Fix one half in the body, key the other so that it slides and cannot turn, and fit the shim or ring that sets their distance. {set}; lock it."
            )),
        ],
        NutKind::Sprung => vec![
            Step::with(
                Text::from("Mark both halves along one line, part the nut in two at ")
                    .v(half)
                    .s(" and face both cuts."),
                vec![caution::chuck()],
            ),
            Step::new(
                "Fix one half in the body, key the other so that it slides and cannot turn, and fit the spring between them: stronger than the greatest force against it, else it gives way.",
            ),
        ],
    }
}

/// The body finished, parted off and faced to `length`.
fn parting_off(fit: &Fit, length: Length) -> [Step; 3] {
    let finish =
        match fit.body {
            Some(outside) => Text::from("Without letting go of the work, finish the body to ")
                .v(Value::Band(outside.min, outside.max, Fine::Gauge)),
            None => Text::from("Without letting go of the work, finish the outside"),
        };
    [
        Step::with(finish.s(" so that it runs true with the bore."), vec![caution::polish()]),
        Step::new(
            Text::from("Part off ").v(Value::Length(length, Fine::Shop)).s(" long with something to face."),
        ),
        Step::with(
            Text::from("Turn it round in soft jaws or a split bush, set it true to ")
                .len(RUN_OUT)
                .s(" by indicator on the body, and face the back to length."),
            vec![caution::chuck()],
        ),
    ]
}

fn bore_cautions(stuff: &Material) -> Vec<Note> {
    let mut cautions = Vec::new();
    if stuff.group == material::Group::Bronze || stuff.group == material::Group::Brass {
        cautions.push(
            Note::warning("Bronze and brass pull the drill in: dull its lips to no rake, or open the hole in small steps.")
                .source(Source::practice("drills with zero rake for copper alloys")),
        );
    }
    cautions
}

fn threading(fit: &Fit) -> Step {
    Step {
        text: Text::from(format!("Cut the thread {} to ", fit.thread))
            .v(Value::Length(fit.bottom.aim, Fine::Shop))
            .s(" at the bottom, ")
            .v(Value::Length(fit.depth, Fine::Shop))
            .s(" deep (see Passes). Try the mate or the gauge before the work leaves the chuck or the tool is moved: it does not come back to the same place."),
        cautions: vec![caution::threading(fit.thread.hand, fit.through), caution::guards()],
        moment: Moment::Threading,
    }
}

fn screw(fit: &Fit, make: &Make, steps: &mut Vec<Step>) {
    let body = &make.body;
    let long = fit.part_length(make) > fit.blank.aim * 3.0;
    let mut cautions = vec![caution::chuck()];
    if long {
        cautions.push(caution::long_stock());
    }
    steps.push(Step::with(
        "Face and centre both ends; hold between centres, or in the chuck and on the centre.",
        cautions,
    ));
    if body.flange.is_some() {
        steps.push(Step::new(flange_text(fit, make).s(".")));
    }
    let outside = outline::outside(fit, make);
    if let Some(plain) = fit.body.filter(|_| outside.iter().any(|s| s.what == What::Body)) {
        steps.push(Step::with(
            Text::from("Turn the plain part to ").v(Value::Band(plain.min, plain.max, Fine::Gauge)).s("."),
            vec![caution::polish()],
        ));
    }
    if !fit.steps.is_empty() {
        let rough = fit.steps.iter().enumerate().fold(Text::from("Rough the steps, "), |text, (i, step)| {
            text.s(if i > 0 { ", " } else { "" })
                .v(Value::Band(step.from, step.from + step.length, Fine::Shop))
                .s(" to ")
                .v(Value::Length(step.size.aim + TURN_ALLOWANCE, Fine::Shop))
        });
        steps.push(Step::new(
            rough.s(", from the front face: they are finished after the thread, on the same centres."),
        ));
    }
    let start = outline::thread_from(make);
    let mut turn = Text::from("Turn the length of thread, ")
        .v(Value::Band(start, start + fit.length, Fine::Shop))
        .s(" from the front face, to ")
        .v(Value::Length(fit.blank.aim, Fine::Shop))
        .s(" (")
        .v(Value::Band(fit.blank.min, fit.blank.max, Fine::Shop))
        .s(")");
    if fit.length > fit.blank.aim * 8.0 {
        turn = turn.s(", with a travelling steady behind the tool");
    }
    steps.push(Step::with(turn.s("."), if long { vec![caution::long_stock()] } else { vec![] }));
    if let Some((relief, across)) = fit.relief.zip(fit.relief_diameter) {
        steps.push(Step::with(
            Text::from("Cut the groove at the end of the thread: ")
                .len(relief)
                .s(" wide, ")
                .len(across)
                .s(" across. Chamfer the start."),
            vec![],
        ));
    }
    let (before, after) = holes_by_the_thread(fit, make, &outside);
    holes_before_thread(before, steps);
    steps.push(threading(fit));
    steps_of_the_outside(fit, steps);
    holes_after(&outside, make, after, steps);
}

/// `Turn the flange to 55.0 mm, 0 to 8 mm from the front face`.
fn flange_text(fit: &Fit, make: &Make) -> Text {
    let text = Text::from("Turn the flange to ").len(make.body.flange.unwrap_or_default());
    match outline::flange(make, fit.length) {
        Some(f) => text.s(", ").v(Value::Band(f.from, f.to, Fine::Shop)).s(" from the front face"),
        None => text,
    }
}

/// Steps are finished once the thread is cut, so that nothing of its forces comes on them.
fn steps_of_the_outside(fit: &Fit, steps: &mut Vec<Step>) {
    for step in &fit.steps {
        let mut text = Text::from("Finish the step ")
            .v(Value::Band(step.from, step.from + step.length, Fine::Shop))
            .s(" from the front face to ")
            .v(one_or_band(step.size, Fine::Gauge));
        if let Some(class) = step.fit {
            text = text.s(format!(" ({})", class.shaft));
        }
        if let Some(ends) = &step.ends {
            text = text.s(format!("; {ends}"));
        }
        steps.push(Step::with(text.s("."), vec![caution::polish()]));
    }
}

/// The body goes into its housing once thread and body are proved.
fn pressing(pressed: &Pressed) -> Step {
    Step::with(
        Text::from("Prove thread and body (see Proof), then press the body in square and oiled, with a pilot in the bore and not on the thread: up to ")
            .v(Value::Force(pressed.force))
            .s(". Measure the bore again and run the screw through: bore and thread close by ")
            .v(Value::Band(pressed.closing.0, pressed.closing.1, Fine::Gauge))
            .s("."),
        vec![caution::pressing()],
    )
}

fn hole_text(hole: &Hole) -> Text {
    let (what, from) = match hole.kind {
        HoleKind::Cross => ("Drill across, ", ", its centre "),
        HoleKind::Spot => ("Spot for the locking screw, ", ", its centre "),
        HoleKind::Flange => ("Drill the flange, ", ", on a circle of "),
    };
    let mut text = Text::from(what);
    if hole.count > 1 {
        text = text.v(Value::Count(i64::from(hole.count))).s(" times ");
    }
    text = text.v(Value::Length(hole.diameter, Fine::Shop));
    if let Some(depth) = hole.depth {
        text = text.s(", ").v(Value::Length(depth, Fine::Shop)).s(" deep");
    }
    text = text.s(from).v(Value::Length(hole.from_end, Fine::Shop));
    if hole.kind != HoleKind::Flange {
        text = text.s(" from the front face");
    }
    if let Some(angle) = hole.angle {
        text = text.s(", at ").v(Value::Angle(angle, 0)).s(" clockwise from the top");
    }
    if let Some(thread) = &hole.thread {
        text = text.s(format!(", and tap {thread}"));
    }
    text.s(".")
}

fn drilling() -> Note {
    Note::caution(
        "Clamp the part in a vice or against a stop for drilling; a drill that breaks through spins what it catches.",
        Source::practice("holding work at the drill press"),
    )
    .short("Part clamped or against a stop for drilling.")
}

/// Holes that cut the thread, which come before its last passes so that those clear the burr; and the others. One that has
/// no place is left out.
fn holes_by_the_thread<'a>(fit: &Fit, make: &'a Make, outside: &[Stretch]) -> (Vec<&'a Hole>, Vec<&'a Hole>) {
    make.body.holes.iter().filter(|hole| holes::has_place(hole, fit, make, outside)).partition(|hole| {
        match fit.part {
            Element::Internal => hole.kind == HoleKind::Cross && hole.from_end < fit.length,
            Element::External => hole.kind != HoleKind::Flange && holes::on_thread(hole, outside),
        }
    })
}

fn holes_before_thread(holes: Vec<&Hole>, steps: &mut Vec<Step>) {
    for hole in holes {
        steps.push(Step::with(
            hole_text(hole).s(" It cuts the thread: drill it now, before the last passes, and set the work true again if it left the lathe."),
            vec![drilling()],
        ));
    }
}

fn holes_after(outside: &[Stretch], make: &Make, holes: Vec<&Hole>, steps: &mut Vec<Step>) {
    for hole in holes {
        steps.push(Step::with(hole_text(hole), vec![drilling()]));
    }
    if let Some(flats) = outline::flats(outside, make) {
        steps.push(Step::with(
            Text::from("Mill or file the flats to ").v(Value::Length(flats, Fine::Shop)).s(" across."),
            vec![caution::milling()],
        ));
    }
}

fn keyways(fit: &Fit, steps: &mut Vec<Step>) {
    for way in &fit.keyways {
        steps.push(Step::with(
            Text::from("Mill the keyway: ")
                .v(Value::Length(way.width, Fine::Gauge))
                .s(" wide, ")
                .v(Value::Length(way.depth, Fine::Gauge))
                .s(" deep, ")
                .v(Value::Band(way.from, way.from + way.length, Fine::Shop))
                .s(" from the front face, at ")
                .v(Value::Angle(way.angle, 0))
                .s(" clockwise from the top."),
            vec![caution::milling()],
        ));
    }
}
