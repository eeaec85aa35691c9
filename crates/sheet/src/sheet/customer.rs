//! The report for the customer: one or two pages in plain words.

use super::blocks::{Writer, runs, value};
use super::head;
use crate::drawing::{Drawing, Of};
use crate::figures;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run, plain};
use flankwise_bench::Whole;
use flankwise_bench::check::Verdict;
use flankwise_bench::job::{Job, MadeFeature};
use flankwise_bench::report::{Fine, Note, NoteKind, StageName, Value};
use flankwise_thread::Unit;

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut w = Writer::new(Paper::new(head(job, "report", "report")), unit);
    letterhead(&mut w, job);
    found(&mut w, whole);
    made(&mut w, whole);
    if let Some(fit) = &whole.fit.result {
        // Where the mate was read along its travel, the play says more to a customer than a profile.
        let figure = figures::play(fit, unit)
            .or_else(|| figures::thread_section(fit, whole.evidence.result.as_ref(), unit));
        if let Some(figure) = figure {
            w.paper.figure(&figure);
        }
    }
    ways(&mut w, whole);
    measured(&mut w, job, whole);
    cautions(&mut w, whole);
    let name = |who: &Option<String>, role: &str| {
        who.as_ref().map_or_else(|| role.to_owned(), |name| format!("{name}, {}", role.to_lowercase()))
    };
    w.paper.gap(3.0);
    w.paper.signatures(&[
        name(&job.people.maker, "Maker"),
        name(&job.people.customer, "Customer"),
        "Date".to_owned(),
    ]);
    w.paper.finish()
}

fn letterhead(w: &mut Writer, job: &Job) {
    w.paper.paragraph(&[Run::bold(job.job.clone())], 6.0);
    let mut words = Vec::new();
    let mut say = |what: &str, who: &Option<String>| {
        if let Some(who) = who {
            words.push(format!("{what} {who}"));
        }
    };
    say("For", &job.people.customer);
    say("by", &job.people.maker);
    say("on", &job.people.date);
    say("Machine:", &job.context.machine);
    if !words.is_empty() {
        w.paper.paragraph(&plain(words.join(" · ")), BODY);
    }
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

fn ways(w: &mut Writer, whole: &Whole) {
    w.paper.heading("Ways to make it, and their price", 24.0);
    let said = whole.said(StageName::Route);
    let Some(route) = &whole.route.result else {
        w.needs(said.needs);
        return;
    };
    let unit = w.unit;
    let money = |amount: f64| value(&Value::Money(amount, route.currency.clone()), unit);
    let best = route.ways.iter().position(|way| way.impossible.is_none());
    let rows = route.ways.iter().enumerate().map(|(i, way)| {
        let of = if way.impossible.is_some() { Of::Faint } else { Of::Note };
        let cell = |text: String| Cell::Words(vec![Run { text, bold: Some(i) == best, of }]);
        let number = |v: Value| cell(if way.impossible.is_some() { String::new() } else { value(&v, unit) });
        vec![
            cell(way.name.clone()),
            number(Value::Number(way.hours, 1)),
            number(Value::Money(way.outlay, route.currency.clone())),
            cell(if way.impossible.is_some() { String::new() } else { money(way.cost) }),
            number(Value::Number(way.days, 0)),
            cell(value(&Value::Said(way.impossible.clone().unwrap_or_else(|| way.risk.clone())), unit)),
        ]
    });
    let grid = Grid {
        heads: ["Way", "Hours", "To buy", "Price", "Days", "Risk, or why not"].map(str::to_owned).to_vec(),
        aligns: vec![Align::Left, Align::Right, Align::Right, Align::Right, Align::Right, Align::Left],
        rows: rows.collect(),
        best: best.into_iter().collect(),
        ..Grid::default()
    };
    w.paper.grid(&grid);
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
    let rows = job.made.iter().enumerate().map(|(i, reading)| {
        let what = match reading.feature {
            MadeFeature::MinorDiameter => "Minor diameter",
            MadeFeature::MajorDiameter => "Major diameter",
            MadeFeature::OverWires => "Over wires or balls",
            MadeFeature::Play => "Play",
            MadeFeature::BodyDiameter => "Outside of the body",
        };
        let judged = check.judged.iter().find(|j| j.index == i);
        let (verdict, of) = match judged.map(|j| j.verdict) {
            Some(Verdict::Pass) => ("within its limits", Of::Note),
            Some(Verdict::Fail) => ("outside its limits", Of::Warn),
            Some(Verdict::CannotTell) => ("too near a limit to tell", Of::Tool),
            None => ("not judged", Of::Faint),
        };
        let cell = |text: String, of| Cell::Words(vec![Run { text, bold: false, of }]);
        vec![
            cell(what.to_owned(), Of::Note),
            cell(value(&Value::Length(reading.value, Fine::Gauge), unit), Of::Note),
            cell(verdict.to_owned(), of),
            cell(judged.map(|j| j.advice.clone()).unwrap_or_default(), Of::Note),
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
            let counts = matches!(note.kind, NoteKind::Caution | NoteKind::Impossible | NoteKind::Warning);
            if counts && !notes.iter().any(|n| n.text == note.text) {
                notes.push(note);
            }
        }
    }
    w.paper.heading("Please note", 14.0);
    let owned: Vec<Note> = notes.into_iter().map(|n| Note { field: String::new(), ..n.clone() }).collect();
    w.notes(&owned, 0.0);
    let words = "Sizes were taken from a worn part and hold for that part. Where a load could fall on someone if the \
                 thread failed, have a licensed practitioner look at it, and follow your local codes.";
    w.paper.paragraph(&[Run::faint(words)], LESSER);
}
