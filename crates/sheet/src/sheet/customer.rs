//! The report for the customer: one or two pages in plain words.

use super::blocks::{Writer, runs, value};
use super::{head, letterhead};
use crate::drawing::{Drawing, Of};
use crate::figures;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run, plain};
use flankwise_bench::Whole;
use flankwise_bench::check::Verdict;
use flankwise_bench::job::{Job, MadeFeature};
use flankwise_bench::report::{Fine, Note, NoteKind, StageName, Text, Value};
use flankwise_bench::route::Way;
use flankwise_thread::Unit;

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut w = Writer::new(Paper::new(head(job, "report", "report")), unit);
    letterhead(&mut w, job);
    found(&mut w, whole);
    made(&mut w, whole);
    // Where the mate was read along its travel, its play says more to a customer than a profile would.
    if let Some(figure) = whole.fit.result.as_ref().and_then(|f| figures::play_low(f, unit)) {
        w.paper.figure(&figure);
    }
    ways(&mut w, whole);
    measured(&mut w, job, whole);
    cautions(&mut w, whole);
    let name = |who: &Option<String>, role: &str| {
        who.as_ref().map_or_else(|| role.to_owned(), |name| format!("{name}, {}", role.to_lowercase()))
    };
    w.paper.signatures(&[
        name(&job.people.maker, "Maker"),
        name(&job.people.customer, "Customer"),
        "Date".to_owned(),
    ]);
    w.paper.finish()
}

fn found(w: &mut Writer, whole: &Whole) {
    w.paper.heading("What was found", 16.0);
    let said = whole.said(StageName::Identity);
    let Some(identity) = &whole.identity.result else {
        w.needs(said.needs);
        return;
    };
    if let Some(section) = &said.section {
        let answer = runs(&section.answer, w.unit, true);
        w.paper.paragraph(&answer, BODY * 1.08);
    }
    if let Some(story) = &identity.story {
        let told = story.told.trim_end_matches('.');
        let words = if story.stands {
            vec![Run::new(format!("The thread was said to be {told}. ")), Run::bold("The readings agree.")]
        } else {
            vec![
                Run::new(format!("The thread was said to be {told}. ")),
                Run::bold("The readings speak against it:"),
            ]
        };
        w.paper.paragraph(&words, BODY);
        if !story.stands {
            for reason in story.reasons.iter().take(3) {
                w.paper.item("–", &plain(reason.clone()), BODY);
            }
        }
    }
}

fn made(w: &mut Writer, whole: &Whole) {
    w.paper.heading("What is made", 14.0);
    let said = whole.said(StageName::Fit);
    match &said.section {
        Some(section) => {
            let answer = runs(&section.answer, w.unit, true);
            w.paper.paragraph(&answer, BODY * 1.08);
        }
        None => w.needs(said.needs),
    }
}

/// The ways that can be gone with their price, then the others with the reason, each reason once.
fn ways(w: &mut Writer, whole: &Whole) {
    w.paper.heading("Ways to make it, and their price", 24.0);
    let said = whole.said(StageName::Route);
    let Some(route) = &whole.route.result else {
        w.needs(said.needs);
        return;
    };
    let unit = w.unit;
    let money = |amount: f64| value(&Value::Money(amount, route.currency.clone()), unit);
    let (can, cannot): (Vec<&Way>, Vec<&Way>) = route.ways.iter().partition(|way| way.impossible.is_none());
    let rows = can.iter().enumerate().map(|(i, way)| {
        let cell = |text: String| Cell::Words(vec![Run { bold: i == 0, ..Run::new(text) }]);
        vec![
            cell(way.name.clone()),
            cell(value(&Value::Number(way.hours, 1), unit)),
            cell(money(way.outlay)),
            cell(money(way.cost)),
            cell(value(&Value::Number(way.days, 0), unit)),
            Cell::Words(runs(&way.risk, unit, false)),
        ]
    });
    let grid = Grid {
        heads: ["Way", "Hours", "To buy", "Price", "Days", "Risk"].map(str::to_owned).to_vec(),
        aligns: vec![Align::Left, Align::Right, Align::Right, Align::Right, Align::Right, Align::Left],
        rows: rows.collect(),
        best: if can.is_empty() { Vec::new() } else { vec![0] },
        ..Grid::default()
    };
    if !can.is_empty() {
        w.paper.grid(&grid);
    }
    let mut reasons: Vec<(&Text, Vec<&str>)> = Vec::new();
    for way in cannot {
        let Some(why) = &way.impossible else { continue };
        match reasons.iter_mut().find(|(seen, _)| *seen == why) {
            Some((_, names)) => names.push(&way.name),
            None => reasons.push((why, vec![&way.name])),
        }
    }
    for (why, names) in reasons {
        let mut words = vec![Run::new(format!("Not here: {}. ", names.join("; ").to_lowercase()))];
        words.extend(runs(why, unit, false));
        w.paper.paragraph(&words, LESSER);
    }
}

fn measured(w: &mut Writer, job: &Job, whole: &Whole) {
    w.paper.heading("What was measured on the new part", 14.0);
    let Some(check) = &whole.check.result else {
        w.needs(whole.said(StageName::Check).needs);
        return;
    };
    if job.made.is_empty() {
        w.paper.paragraph(&plain("Nothing yet: the part has not been measured."), BODY);
        return;
    }
    let unit = w.unit;
    // What was read between passes is of the work, not of the part.
    let on_the_way = |i: &usize| check.judged.iter().any(|j| j.index == *i && j.on_the_way);
    let rows = job.made.iter().enumerate().filter(|(i, _)| !on_the_way(i)).map(|(i, reading)| {
        let what = match reading.feature {
            MadeFeature::MinorDiameter => "Minor diameter",
            MadeFeature::MajorDiameter => "Major diameter",
            MadeFeature::OverWires => "Over wires or balls",
            MadeFeature::Play => "Play",
            MadeFeature::BodyDiameter => "Outside of the body",
            MadeFeature::Pitch => "Pitch over its length",
        };
        let judged = check.judged.iter().find(|j| j.index == i);
        let (verdict, of) = match judged.map(|j| j.verdict) {
            Some(Verdict::Pass) => ("within its limits", Of::Note),
            Some(Verdict::Fail) => ("outside its limits", Of::Warn),
            Some(Verdict::CannotTell) => ("too near a limit to tell", Of::Tool),
            None => ("not judged", Of::Faint),
        };
        // A pass needs no advice.
        let advice = judged.filter(|j| j.verdict != Verdict::Pass).map(|j| j.advice.clone());
        let cell = |text: String, of| Cell::Words(vec![Run { text, bold: false, of }]);
        vec![
            cell(what.to_owned(), Of::Note),
            cell(value(&Value::Length(reading.value, Fine::Gauge), unit), Of::Note),
            cell(verdict.to_owned(), of),
            cell(advice.unwrap_or_default(), Of::Note),
        ]
    });
    let grid = Grid {
        heads: ["Reading", "Value", "Verdict", ""].map(str::to_owned).to_vec(),
        aligns: vec![Align::Left, Align::Right, Align::Left, Align::Left],
        rows: rows.collect(),
        ..Grid::default()
    };
    w.paper.grid(&grid);
}

/// Cautions on the part in use, each once: those of the thread, the sizes and the ways, and all that cannot be
/// done. The cautions of the work itself belong to the bench sheet.
fn cautions(w: &mut Writer, whole: &Whole) {
    let mut notes: Vec<&Note> = Vec::new();
    for stage in [StageName::Identity, StageName::Fit, StageName::Route] {
        for note in whole.said(stage).notes {
            // Of warnings those on the thread and the mate: lengths and grooves to be cut are the shop's affair.
            let counts = match note.kind {
                NoteKind::Caution | NoteKind::Impossible => true,
                NoteKind::Warning => {
                    !note.field.starts_with("make.")
                        || matches!(&*note.field, "make.play" | "make.load" | "make.duty")
                }
                NoteKind::Remark => false,
            };
            if counts && !notes.iter().any(|n| n.text == note.text) {
                notes.push(note);
            }
        }
    }
    if notes.is_empty() {
        w.paper.gap(2.0);
    } else {
        w.paper.heading("Please note", 14.0);
    }
    let owned: Vec<Note> = notes.into_iter().map(|n| Note { field: String::new(), ..n.clone() }).collect();
    w.notes(&owned, 0.0);
    let words = "Sizes were taken from a worn part and hold for that part. Where a load could fall on someone if the \
                 thread failed, have a licensed practitioner look at it, and follow your local codes.";
    w.paper.paragraph(&[Run::faint(words)], LESSER);
}
