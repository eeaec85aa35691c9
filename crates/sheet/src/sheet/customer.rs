//! The report for the customer: what was found, made and measured, on one page in plain words. Ways and prices before
//! the work are the quotation's.

use super::blocks::{Writer, runs, value};
use super::{head, letterhead, sign_both};
use crate::drawing::{Drawing, Of};
use crate::figures;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run, plain};
use flankwise_bench::Whole;
use flankwise_bench::check::Verdict;
use flankwise_bench::job::{Job, MadeFeature};
use flankwise_bench::quotation;
use flankwise_bench::report::{Fine, StageName, Value};
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
    way(&mut w, job, whole);
    measured(&mut w, job, whole);
    cautions(&mut w, whole);
    sign_both(&mut w, job);
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
        let verdict = match story.stands {
            Some(true) => "The readings agree.",
            Some(false) => "The readings speak against it:",
            None => "",
        };
        let words = [Run::new(format!("The thread was said to be {told}. ")), Run::bold(verdict)];
        w.paper.paragraph(&words, BODY);
        if story.stands == Some(false) {
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

/// The way it is made, why, and its price as quoted.
fn way(w: &mut Writer, job: &Job, whole: &Whole) {
    w.paper.heading("How it is made", 14.0);
    let said = whole.said(StageName::Route);
    let Some(route) = &whole.route.result else {
        w.needs(said.needs);
        return;
    };
    let Some(way) = route.taken() else {
        w.paper.paragraph(&plain("With what is at hand it cannot be made."), BODY);
        return;
    };
    let mut words = vec![Run::bold(format!("{}.", way.name))];
    let because = route.chosen.as_ref().filter(|c| c.kind == way.kind).and_then(|c| c.because.as_ref());
    if let Some(because) = because {
        words.push(Run::new(format!(" Because: {}.", because.trim_end_matches('.'))));
    }
    if let Some(cost) = way.cost.as_ref().filter(|c| c.closed()) {
        let price = Value::Money(quotation::quoted(cost.known, &job.quotation), route.currency.clone());
        words.extend([Run::new(" Price "), Run::bold(value(&price, w.unit)), Run::new(".")]);
    }
    if let Some(taxes) = &job.quotation.taxes {
        words.push(Run::new(format!(" {}.", taxes.trim_end_matches('.'))));
    }
    w.paper.paragraph(&words, BODY * 1.08);
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

/// Cautions on the part in use.
fn cautions(w: &mut Writer, whole: &Whole) {
    let notes = quotation::cautions(whole);
    if notes.is_empty() {
        w.paper.gap(2.0);
    } else {
        w.paper.heading("Please note", 14.0);
    }
    w.notes(&notes, 0.0);
    w.paper.paragraph(&[Run::faint(quotation::CLOSING)], LESSER);
}
