//! The report for the customer: what was found, made and measured, on one page in plain words. Ways and prices before
//! the work are the quotation's.

use super::blocks::{Writer, runs, value};
use super::{head, letterhead, sign_both};
use crate::drawing::{Drawing, Of};
use crate::figures;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run, plain};
use flankwise_bench::Whole;
use flankwise_bench::check::Verdict;
use flankwise_bench::job::Job;
use flankwise_bench::quotation;
use flankwise_bench::report::{StageName, Value, capital};
use flankwise_thread::Unit;

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut w = Writer::new(Paper::new(head(job, "report", "report")), unit);
    letterhead(&mut w, job);
    found(&mut w, whole);
    made(&mut w, whole);
    // Where the mate was read along its travel, its play says more to a customer than a profile would.
    if let Some(figure) = whole.made().and_then(|f| figures::play_low(f, unit)) {
        w.paper.figure(&figure);
    }
    way(&mut w, job, whole);
    measured(&mut w, whole);
    cautions(&mut w, job, whole);
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
    for text in quotation::found(identity, whole.fit.result.as_ref()) {
        let words = runs(&text, w.unit, true);
        w.paper.paragraph(&words, BODY);
    }
}

fn made(w: &mut Writer, whole: &Whole) {
    w.paper.heading("What is made", 14.0);
    match whole.made() {
        Some(made) => {
            let answer = runs(&made.told(), w.unit, true);
            w.paper.paragraph(&answer, BODY * 1.08);
        }
        None => w.needs(whole.said(StageName::Fit).needs),
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
        if let Some(taxes) = &job.quotation.taxes {
            words.push(Run::new(format!(" {}.", taxes.trim_end_matches('.'))));
        }
    }
    w.paper.paragraph(&words, BODY * 1.08);
}

fn measured(w: &mut Writer, whole: &Whole) {
    w.paper.heading("What was measured on the new part", 14.0);
    let Some(check) = &whole.check.result else {
        w.needs(whole.said(StageName::Check).needs);
        return;
    };
    if check.judged.is_empty() {
        w.paper.paragraph(&plain("Nothing yet: the part has not been measured."), BODY);
        return;
    }
    let unit = w.unit;
    // What was read between passes is of the work, not of the part.
    let rows = check.judged.iter().filter(|j| !j.on_the_way).map(|judged| {
        let (verdict, of) = match judged.verdict {
            Verdict::Pass => ("within its limits", Of::Note),
            Verdict::Fail => ("outside its limits", Of::Warn),
            Verdict::CannotTell => ("too near a limit to tell", Of::Tool),
        };
        // A pass needs no advice.
        let advice = if judged.verdict == Verdict::Pass { "" } else { judged.advice.as_str() };
        let cell = |text: String, of| Cell::Words(vec![Run { text, bold: false, of }]);
        vec![
            cell(capital(&judged.what), Of::Note),
            cell(value(&judged.read, unit), Of::Note),
            cell(value(&judged.limits, unit), Of::Note),
            cell(verdict.to_owned(), of),
            cell(advice.to_owned(), Of::Note),
        ]
    });
    let grid = Grid {
        heads: ["Reading", "Value", "Limits", "Verdict", ""].map(str::to_owned).to_vec(),
        aligns: vec![Align::Left, Align::Right, Align::Right, Align::Left, Align::Left],
        rows: rows.collect(),
        ..Grid::default()
    };
    w.paper.grid(&grid);
}

/// Cautions on the part in use.
fn cautions(w: &mut Writer, job: &Job, whole: &Whole) {
    let notes = quotation::cautions(whole);
    if notes.is_empty() {
        w.paper.gap(2.0);
    } else {
        w.paper.heading("Please note", 14.0);
    }
    w.notes(&notes, 0.0);
    let closing = quotation::closing(job, whole.fit.result.as_ref());
    w.paper.paragraph(&[Run::faint(closing)], LESSER);
}
