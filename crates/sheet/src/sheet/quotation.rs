//! The quotation for the customer: found, proposed, ways and prices to tick, terms, cautions, signatures.

use super::blocks::{Writer, runs, value};
use super::{head, letterhead, sign_both};
use crate::drawing::Drawing;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run, plain};
use flankwise_bench::Whole;
use flankwise_bench::job::Job;
use flankwise_bench::quotation::{self, Offered, Quotation, one_in};
use flankwise_bench::report::{Fine, Text, Value, capital};
use flankwise_thread::Unit;

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let kind = match &job.quotation.number {
        Some(number) => format!("quotation {number}"),
        None => "quotation".to_owned(),
    };
    let mut w = Writer::new(Paper::new(head(job, &kind, "quotation")), unit);
    w.paper.paragraph(&[Run::bold(capital(&kind))], BODY * 1.2);
    letterhead(&mut w, job);
    let outcome = quotation::work(job, whole);
    match &outcome.result {
        Some(quotation) => fill(&mut w, quotation),
        None => {
            w.needs(&outcome.needs);
            w.notes(&outcome.notes, 0.0);
        }
    }
    // Nobody signs a draft.
    if outcome.result.as_ref().is_none_or(|q| q.draft.is_none()) {
        sign_both(&mut w, job);
    }
    w.paper.finish()
}

fn fill(w: &mut Writer, quotation: &Quotation) {
    if let Some(why) = &quotation.draft {
        let words: Vec<Run> = runs(why, w.unit, true).into_iter().map(|run| Run::bold(run.text)).collect();
        w.paper.paragraph(&words, BODY);
    }
    section(w, "What was found", &quotation.found, 16.0);
    section(w, "What is proposed", &quotation.proposed, 14.0);
    w.paper.heading(&quotation.heading(), 30.0);
    if quotation.offered.is_empty() {
        w.paper.paragraph(&plain("Nothing can be offered with what is at hand."), BODY);
    } else {
        let grid = prices(w.unit, quotation);
        w.paper.grid(&grid);
    }
    for line in &quotation.lines {
        match &line.text {
            Some(text) => {
                let words = [Run::bold(format!("{}: ", line.label)), Run::new(text.clone())];
                w.paper.paragraph(&words, BODY);
            }
            None => w.paper.blank_line(line.label),
        }
    }
    w.paper.heading("Please note", 14.0);
    w.notes(&quotation.cautions, 0.0);
    w.paper.paragraph(&[Run::faint(quotation.closing.clone())], LESSER);
}

fn section(w: &mut Writer, title: &str, paragraphs: &[Text], with: f64) {
    w.paper.heading(title, with);
    for text in paragraphs {
        let words = runs(text, w.unit, true);
        w.paper.paragraph(&words, BODY);
    }
}

/// The ways to tick, with what each is and what to know of it in one cell.
fn prices(unit: Unit, quotation: &Quotation) -> Grid {
    let row = |offered: &Offered| {
        let mut words = vec![Run { bold: offered.proposed, ..Run::new(offered.what.clone()) }];
        if let Some((tight, loose)) = offered.play {
            let play = value(&Value::Band(tight, loose, Fine::Play), unit);
            words.extend([Run::new(" "), Run::new(format!("Play {play}."))]);
        }
        for remark in &offered.remarks {
            words.push(Run::faint(" "));
            words.extend(runs(remark, unit, false).into_iter().map(|run| Run::faint(run.text)));
        }
        let price = value(&offered.price_words(&quotation.currency), unit);
        let cell = |text: String| Cell::Words(vec![Run { bold: offered.proposed, ..Run::new(text) }]);
        vec![
            Cell::Tick,
            Cell::Words(words),
            cell(price),
            cell(value(&Value::Number(offered.days, 0), unit)),
            cell(one_in(offered.again)),
        ]
    };
    Grid {
        heads: ["", "What", "Price", "Working days", quotation.again()].map(str::to_owned).to_vec(),
        aligns: vec![Align::Left, Align::Left, Align::Right, Align::Right, Align::Left],
        rows: quotation.offered.iter().map(row).collect(),
        best: quotation.offered.iter().position(|o| o.proposed).into_iter().collect(),
        ..Grid::default()
    }
}
