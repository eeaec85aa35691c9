//! The sheet for the bench.

use super::blocks::{Writer, runs, value};
use super::{answer, head};
use crate::drawing::Drawing;
use crate::figures;
use crate::paper::{Align, BODY, Cell, Grid, Paper, Run};
use flankwise_bench::Whole;
use flankwise_bench::check::Check;
use flankwise_bench::cut::{Cut, PassKind};
use flankwise_bench::job::Job;
use flankwise_bench::report::{Block, Fine, Section, StageName, Value};
use flankwise_thread::Unit;

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut w = Writer::new(Paper::new(head(job, "bench sheet", "bench")), unit);
    let drawings = figures::all(job, whole, unit);
    let drawn = |w: &mut Writer, keys: &[&str]| {
        for drawing in keys.iter().filter_map(|k| drawings.iter().find(|d| d.key == *k)) {
            w.paper.figure(drawing);
        }
    };
    answer::page(&mut w, job, whole);
    drawn(&mut w, &["thread-section"]);

    if whole.tool.result.is_some() {
        w.paper.page();
        w.paper.heading("Grind and set the tool", 60.0);
        drawn(&mut w, &["tool-grind", "bar-in-bore"]);
    }
    order(&mut w, whole);
    if let Some(cut) = &whole.cut.result {
        passes(&mut w, cut, &cut.section());
    }
    if let Some(check) = &whole.check.result {
        measures(&mut w, check, &check.section());
    }
    if whole.fit.result.is_some() {
        w.paper.page();
        w.paper.heading("Drawings", 60.0);
        drawn(&mut w, &["part", "template", "gear-train"]);
    }

    // Findings and the rest of what each stage says; what stands above already is left out here.
    w.paper.page();
    w.stage(whole, StageName::Evidence, |_| true);
    w.stage(whole, StageName::Identity, |_| true);
    drawn(&mut w, &["candidates"]);
    let fit = whole.fit.result.as_ref();
    w.stage(
        whole,
        StageName::Fit,
        |b| !matches!(b, Block::Steps(_, s) if fit.is_some_and(|f| f.operations == *s)),
    );
    drawn(&mut w, &["play"]);
    w.stage(whole, StageName::Route, |_| true);
    w.stage(whole, StageName::Tool, |_| true);
    w.stage(whole, StageName::Setup, |b| !matches!(b, Block::Steps(..)));
    let cut = whole.cut.result.as_ref();
    w.stage(whole, StageName::Cut, |b| match b {
        Block::Table(t) => t.key != PASSES,
        Block::Steps(_, s) => cut.is_none_or(|c| c.operations != *s),
        Block::Notes(n) => cut.is_none_or(|c| c.cautions != *n),
        _ => true,
    });
    w.stage(whole, StageName::Check, |b| match b {
        Block::Table(t) => t.key != MEASURES,
        b => !matches!(b, Block::Steps(..)),
    });
    w.list_origins();
    sign(&mut w, job);
    w.paper.finish()
}

/// Keys of the stages' tables that get boxes to tick or to fill in.
const PASSES: &str = "passes";
const MEASURES: &str = "measures";

fn order(w: &mut Writer, whole: &Whole) {
    let part = whole.fit.result.as_ref().map(|f| &f.operations).filter(|o| !o.is_empty());
    let thread = whole.cut.result.as_ref().map(|c| &c.operations).filter(|o| !o.is_empty());
    let lathe = whole.setup.result.as_ref().map(flankwise_bench::setup::Setup::section);
    if part.is_none() && thread.is_none() && lathe.is_none() {
        return;
    }
    w.paper.page();
    w.paper.heading("Order of work", 30.0);
    if let Some(steps) = part {
        w.steps("The part", steps);
    }
    steps_of(w, lathe.as_ref());
    if let Some(steps) = thread {
        w.steps("The thread", steps);
    }
}

/// The steps that a stage's section gives.
fn steps_of(w: &mut Writer, section: Option<&Section>) {
    for block in section.map_or(&[][..], |s| &s.blocks) {
        if let Block::Steps(title, steps) = block {
            w.steps(title, steps);
        }
    }
}

fn words(text: impl Into<String>) -> Cell {
    Cell::Words(vec![Run::new(text)])
}

fn passes(w: &mut Writer, cut: &Cut, section: &Section) {
    // A page of its own, to hang at the lathe.
    w.paper.page();
    w.paper.heading("Passes", 40.0);
    w.caution_box(&cut.cautions);
    let said = section.blocks.iter().find_map(|b| match b {
        Block::Table(t) if t.key == PASSES => Some(t),
        _ => None,
    });
    let mut grid = match said {
        Some(table) => w.grid(table),
        None => own_passes(w, cut),
    };
    // What the dial or the readout is to show is read from a step away.
    grid.size = BODY * 1.04;
    let dials: Vec<usize> = said.map_or_else(Vec::new, |t| {
        let columns = t.columns.iter().enumerate();
        columns.filter(|(_, c)| c.key == "readout" || c.key == "compound").map(|(i, _)| i).collect()
    });
    for (i, row) in grid.rows.iter_mut().flat_map(|r| r.iter_mut().enumerate()) {
        if let (true, Cell::Words(runs)) = (dials.contains(&i), row) {
            runs.iter_mut().for_each(|run| run.bold = true);
        }
    }
    grid.heads.insert(0, "Done".to_owned());
    grid.aligns.insert(0, Align::Left);
    for row in &mut grid.rows {
        row.insert(0, Cell::Tick);
    }
    w.paper.grid(&grid);
}

fn own_passes(w: &Writer, cut: &Cut) -> Grid {
    let length = |l, fine| words(value(&Value::Length(l, fine), w.unit));
    let rows = cut.passes.iter().map(|p| {
        let kind = match p.kind {
            PassKind::Scratch => "scratch",
            PassKind::Cutting => "cut",
            PassKind::Widening => "widen",
            PassKind::Spring => "spring",
        };
        vec![
            words(p.number.to_string()),
            words(kind),
            length(p.step, Fine::Gauge),
            length(p.depth, Fine::Gauge),
            length(p.readout, Fine::Gauge),
            length(p.axial_shift, Fine::Gauge),
        ]
    });
    Grid {
        heads: ["No", "Pass", "Step", "Depth", "Readout", "Shift along"].map(str::to_owned).to_vec(),
        aligns: vec![Align::Right, Align::Left, Align::Right, Align::Right, Align::Right, Align::Right],
        rows: rows.collect(),
        ..Grid::default()
    }
}

/// What to measure, with room for three readings; then the verdicts on readings that are in.
fn measures(w: &mut Writer, check: &Check, section: &Section) {
    w.paper.heading("Measure and write down", 40.0);
    let said = section.blocks.iter().find_map(|b| match b {
        Block::Table(t) if t.key == MEASURES => Some(t),
        _ => None,
    });
    let mut grid = match said {
        Some(table) => w.grid(table),
        None => own_measures(w, check),
    };
    for head in ["Reading 1", "Reading 2"] {
        grid.heads.push(head.to_owned());
        grid.aligns.push(Align::Left);
        for row in &mut grid.rows {
            row.push(Cell::Blank(19.0));
        }
    }
    w.paper.grid(&grid);
    steps_of(w, Some(section));
    if check.verdict.is_some() {
        let answer = runs(&section.answer, w.unit, true);
        w.paper.paragraph(&answer, BODY * 1.1);
    }
}

fn own_measures(w: &Writer, check: &Check) -> Grid {
    let length = |l| words(value(&Value::Length(l, Fine::Gauge), w.unit));
    let rows = check.measures.iter().map(|m| {
        vec![
            words(m.how.clone()),
            length(m.aim),
            words(value(&Value::Band(m.min, m.max, Fine::Gauge), w.unit)),
            length(m.guard),
        ]
    });
    Grid {
        heads: ["Measure", "Aim", "Limits", "Keep off each limit by"].map(str::to_owned).to_vec(),
        aligns: vec![Align::Left, Align::Right, Align::Right, Align::Right],
        rows: rows.collect(),
        ..Grid::default()
    }
}

fn sign(w: &mut Writer, job: &Job) {
    w.paper.heading("Signed", 24.0);
    let maker = job.people.maker.clone().unwrap_or_else(|| "Made by".to_owned());
    w.paper.signatures(&[format!("{maker}, made"), "Checked".to_owned(), "Date".to_owned()]);
}
