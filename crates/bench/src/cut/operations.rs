//! The order of work of the threading, with the cautions that belong to each step. Bore, groove and holding are
//! the fit's and the lathe's steps: [`crate::Whole::order_of_work`] puts all of them in one order.

use super::course::{Course, Place};
use super::feed::Feed;
use super::{Cut, Pass, PassKind};
use crate::fit::{Fit, caution};
use crate::job::Job;
use crate::report::{Fine, Note, Step, Text, Value};
use crate::setup::{HalfNuts, Setup};
use crate::tool;
use flankwise_thread::{Element, Hand, Length};

fn hazards(fit: &Fit) -> Vec<Note> {
    caution::material(fit.stuff())
}

/// Cautions of the threading, by the step that they belong to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cautions {
    /// Before the first pass.
    pub start: Vec<Note>,
    /// At every pass.
    pub pass: Vec<Note>,
    /// Where the tool is changed, or set again.
    pub tool: Vec<Note>,
    /// When the last pass is done.
    pub end: Vec<Note>,
}

impl Cut {
    /// The cautions that belong to pass `index` (from 0); beyond the last those of its end.
    pub fn cautions_at(&self, index: usize) -> Vec<&Note> {
        let c = &self.cautions;
        match index {
            0 => c.start.iter().chain(&c.pass).collect(),
            i if i >= self.passes.len() => c.end.iter().collect(),
            i if self.changes_tool(i) => c.tool.iter().chain(&c.pass).collect(),
            _ => c.pass.iter().collect(),
        }
    }
}

/// Cautions for the view at the lathe.
pub(super) fn at_the_lathe(fit: &Fit, setup: Option<&Setup>, job: &Job) -> Cautions {
    let mut start = vec![caution::entangle(), caution::chuck()];
    start.extend(hazards(fit));
    let chuck = job.lathe.as_ref().and_then(|l| l.chuck);
    let mut pass = vec![caution::threading(fit.thread.hand, fit.through)];
    if reverses(setup) {
        pass.push(caution::reversing(chuck));
    }
    pass.push(caution::chips());
    Cautions { start, pass, tool: vec![caution::guards()], end: vec![caution::chips(), caution::polish()] }
}

/// Whether the work comes back by reversing the spindle, or may.
fn reverses(setup: Option<&Setup>) -> bool {
    setup.is_none_or(|s| s.half_nuts == HalfNuts::KeepClosed)
}

/// The order of work.
pub(super) fn list(course: &Course<'_>, setup: Option<&Setup>, passes: &[Pass]) -> Vec<Step> {
    let Course { fit, tool, job, feed, .. } = *course;
    let inside = fit.part == Element::Internal;
    let chuck = job.lathe.as_ref().and_then(|l| l.chuck);
    let gauge = |l: Length| Value::Length(l, Fine::Shop);
    let mut steps = Vec::new();

    if !fit.through && fit.relief.is_none() {
        steps.push(Step::new(
            "There is no relief groove: the tool must be drawn out at the same mark in every pass while the spindle turns. A relief groove, or a hole drilled where the thread ends, makes this safe.",
        ));
    }
    steps.push(Step::new(
        Text::new()
            .s("Clamp the tool with ")
            .v(Value::Length(tool.stick_out, Fine::Coarse))
            .s(if inside { " of stick-out, no more" } else { " of overhang or less" })
            .s(", square to the work by a template or setting gauge, edge ")
            .text(tool::edge_height(job))
            .s("."),
    ));
    steps.push(Step::new(compound_words(feed)));
    steps.push(Step::new(backlash_words(fit, feed)));
    // Gears, hand and half-nuts are the lathe's own steps; without it the direction at least is said.
    if setup.is_none() {
        steps.push(Step::with(
            match fit.thread.hand {
                Hand::Right => "Set the gears for the lead: the tool runs towards the chuck.",
                Hand::Left => {
                    "Set the gears for the lead: a left-hand thread runs from the inner end away from the chuck, so the relief groove or a free end is where each pass starts."
                }
            },
            if fit.thread.hand == Hand::Left { vec![caution::reversing(chuck)] } else { Vec::new() },
        ));
    }
    steps.push(Step::new(
        Text::new()
            .s("Touch on in the ")
            .s(if inside { "bore" } else { "outside" })
            .s(" with the spindle running slowly until a hair mark shows, and zero the ")
            .s(match feed {
                Feed::Swung(_) => "cross-slide and the compound.",
                _ => "cross-slide there.",
            }),
    ));
    if let Some(scratch) = passes.iter().find(|p| p.kind == PassKind::Scratch) {
        steps.push(Step::with(
            Text::new()
                .s("Scratch pass, ")
                .v(gauge(scratch.depth))
                .s(" deep. Stop, and check with a leaf gauge, or a rule over as many turns as there are: the scratch must advance ")
                .v(Value::Setting(fit.thread.lead(), fit.thread.pitch.written))
                .s(if fit.thread.starts > 1 { " a turn, which is the lead; leaf gauges tell only once all starts are cut." } else { " a turn." }),
            vec![caution::chips()],
        ));
    }
    let mut in_the_cut = vec![caution::threading(fit.thread.hand, fit.through), caution::chips()];
    if reverses(setup) {
        in_the_cut.push(caution::reversing(chuck));
    }
    if let Some(rough) = course.rough {
        let seat = course.seat_at_change(passes);
        steps.push(Step::with(roughing_words(course, rough, seat.as_ref()), vec![caution::guards()]));
    }
    let cutting = passes.iter().filter(|p| p.kind == PassKind::Cutting).count();
    steps.push(Step::with(
        Text::new()
            .v(Value::Count(cutting as i64))
            .s(if cutting == 1 { " pass" } else { " passes" })
            .s(" as listed, down to a bottom of ")
            .v(gauge(fit.bottom.aim))
            .s(". At the end of each: draw the tool out, return, set the next reading. Clear the chips and oil every time."),
        in_the_cut,
    ));
    if passes.iter().any(|p| p.kind == PassKind::Widening) {
        steps.push(Step::new(match feed {
            Feed::Swung(_) => {
                "Side passes at the same depth: compound on and cross-slide back, both as listed, which moves the tool along the axis only. In the last ones try the mate after each, and stop when it runs."
            }
            _ => {
                "Side passes at the same depth: shift the tool with the compound as listed, cross-slide reading unchanged. In the last ones try the mate after each, and stop when it runs."
            }
        }));
    }
    let spring = passes.iter().filter(|p| p.kind == PassKind::Spring).count();
    if spring > 0 {
        steps.push(Step::new(
            Text::new()
                .v(Value::Count(spring as i64))
                .s(if spring == 1 { " spring pass" } else { " spring passes" })
                .s(" at the last reading, until no chip comes: what ")
                .s(if inside { "the bar" } else { "the work" })
                .s(" has sprung away from comes off."),
        ));
    }
    if let Some(way) = super::next_start(fit, setup) {
        let text = Text::from(format!(
            "That is one of {} starts, at its full depth. Go on to the next ",
            fit.thread.starts
        ));
        steps.push(Step::with(
            text.text(way)
                .s(", and take all its passes, to the same numbers; then the same for every start."),
            vec![caution::guards()],
        ));
    }
    steps.push(Step::with(
        Text::new()
            .s("Clean and try ")
            .s(if inside { "the screw itself, at its least worn place first" } else { "the nut itself" })
            .s(", and the gauges of the proof page, before the work leaves the chuck. If it binds, one side pass or ")
            .v(gauge(Length::mm(0.02)))
            .s(" more depth, and try again."),
        vec![caution::chips()],
    ));
    steps.push(Step::with(
        "Take the thin start of the thread back to full thickness, chamfer, deburr with a scraper or a stone, and take one light pass at the last reading.",
        vec![caution::polish()],
    ));
    steps
}

fn compound_words(feed: Feed) -> Text {
    match feed {
        Feed::Straight => Text::new().s("Set the compound parallel to the axis: it only shifts the tool sideways. Take up its play towards the tailstock. The cross-slide feeds."),
        Feed::Swung(lean) => Text::new()
            .s("Swing the compound ")
            .v(Value::Angle(lean, 1))
            .s(" from the line of the cross-slide, so that it carries the tool towards its leading side as it goes in. The compound feeds; the cross-slide draws out and comes back to zero."),
        Feed::Alternating(lean) => Text::new()
            .s("Set the compound parallel to the axis. The cross-slide feeds, and the compound shifts the tool to one side and the other as listed, each pass ")
            .v(Value::Angle(lean, 1))
            .s(" from the radius, so that the flanks cut in turn."),
        Feed::Shifted(lean) => Text::new()
            .s("Set the compound parallel to the axis. The cross-slide feeds, and the compound shifts the tool towards its leading side as listed, which makes a path ")
            .v(Value::Angle(lean, 1))
            .s(" from the radius."),
    }
}

/// From which side every setting is come to, so that the play of the slides lies where the cut pushes.
fn backlash_words(fit: &Fit, feed: Feed) -> Text {
    let deeper = match fit.part {
        Element::Internal => "towards you",
        Element::External => "away from you",
    };
    let text = Text::from(format!(
        "Come to every setting turning the way that goes deeper ({deeper} with the tool in front): after drawing out, go back by more than the play of the screw, then on to the number. Passed it: go back and come again."
    ));
    match feed {
        Feed::Straight => text,
        Feed::Swung(_) => text.s(" The same with the compound, which is never turned back between passes."),
        Feed::Shifted(_) | Feed::Alternating(_) => {
            text.s(" The compound's settings are come to from the chuck's side, every time.")
        }
    }
}

fn roughing_words(course: &Course<'_>, rough: Length, seat: Option<&Place>) -> Text {
    let text = Text::new()
        .s("The passes with the roughing tool, tip ")
        .v(Value::Length(rough, Fine::Shop))
        .s(", come first: down, then to the side. It leaves ")
        .v(Value::Length(super::course::ROUGH_LEAVES, Fine::Shop))
        .s(" of depth. Then change to the tool for the thread, tip ")
        .v(Value::Length(course.tip, Fine::Shop))
        .s(", and pick up the groove with it before its first pass: half-nuts closed, spindle turned by hand in the direction of the cut until all play is taken up, tool brought into the groove until it rests on both flanks.");
    match seat {
        Some(seat) => text.s(" There ").text(super::recover::called(course, seat)).s("."),
        None => text,
    }
}
