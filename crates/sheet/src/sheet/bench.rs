//! The sheet for the bench: what is wanted at the lathe, and nothing else. All the rest is in the record.

use super::blocks::{Writer, runs, value};
use super::{answer, head, sign};
use crate::drawing::Drawing;
use crate::figures;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run};
use flankwise_bench::Whole;
use flankwise_bench::check::{CAST_STEPS, Check};
use flankwise_bench::cut::{Cut, Pass};
use flankwise_bench::job::{Job, MadeFeature};
use flankwise_bench::report::{Block, Fine, Note, NoteKind, Section, StageName, Value, show};
use flankwise_bench::route::{Route, Way};
use flankwise_thread::{Length, Unit};

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut w = Writer::new(Paper::new(head(job, "bench sheet", "bench")), unit);
    let mut drawings = figures::all(job, whole, unit);
    answer::page(&mut w, job, whole);
    w.notes(&bearing_on_safety(whole), 0.0);
    let pointer = "Evidence, every stage's figures and where they come from are in the record of this job.";
    w.paper.paragraph(&[Run::faint(pointer)], LESSER);
    let chosen = whole.route.result.as_ref().and_then(Route::chosen_way);
    if let Some(way) = chosen {
        way_taken(&mut w, job, way);
    }
    // Tool and passes are those of a single point.
    let single = chosen.is_none_or(Way::by_single_point);
    place(&mut w, &mut drawings, &["thread-section"], true);
    for block in chosen.filter(|_| !single).map_or(&[][..], |way| &way.design) {
        w.block(block);
    }

    if let Some(tool) = whole.tool.result.as_ref().filter(|_| single) {
        w.paper.heading("Grind and set the tool", 60.0);
        w.caution_box(&tool.cautions());
        // What is to be watched with this bar and this edge, as the stages that looked at them found.
        let of_tool = |n: &&Note| n.kind == NoteKind::Warning && TOOL_FIELDS.contains(&n.field.as_str());
        let watch: Vec<Note> =
            [&whole.tool.notes, &whole.cut.notes].into_iter().flatten().filter(of_tool).cloned().collect();
        w.notes(&watch, 0.0);
        place(&mut w, &mut drawings, &["tool-grind", "bar-in-bore"], true);
    }
    // Drawings that may stand anywhere fill what pages leave empty.
    let anywhere =
        if single { &["template", "part", "part-end", "gear-train"][..] } else { &["part", "part-end"] };
    place(&mut w, &mut drawings, anywhere, false);
    let order = whole.order_of_work();
    if !order.is_empty() {
        w.paper.heading("Order of work", 90.0);
        w.order(&order);
        place(&mut w, &mut drawings, anywhere, false);
    }
    if let Some(cut) = whole.cut.result.as_ref().filter(|_| single) {
        passes(&mut w, cut, &whole.said(StageName::Cut).barred);
        w.steps_beside("If the work is broken off", &cut.recovery_on_paper, &order);
        place(&mut w, &mut drawings, anywhere, false);
    }
    if let Some(check) = &whole.check.result {
        measures(&mut w, check, &check.section());
    }
    sign(&mut w, job);
    place(&mut w, &mut drawings, anywhere, false);
    place(&mut w, &mut drawings, anywhere, true);
    w.paper.finish()
}

/// Fields that warnings of the fit are about where they bear on whether the part holds and lasts.
const HOLDS: [&str; 5] = ["make.load", "make.length", "make.material", "make.mate_new", "make.run."];

/// Warnings of the fit that whoever makes the part has to know: what it cannot carry for long, and a mate that has to go.
fn bearing_on_safety(whole: &Whole) -> Vec<Note> {
    let notes = whole.fit.notes.iter().filter(|n| n.kind == NoteKind::Warning);
    notes.filter(|n| HOLDS.iter().any(|field| n.field.starts_with(field))).cloned().collect()
}

/// Fields that make the tool: bar, bits and grind.
const TOOL_FIELDS: [&str; 6] =
    ["bar", "bit", "grind.carbide_tip", "grind.front_clearance", "grind.stick_out", "grind.tip_width"];

/// The way that the person has chosen, and why.
fn way_taken(w: &mut Writer, job: &Job, way: &Way) {
    let mut words = vec![Run::new("Way taken: "), Run::bold(format!("{}.", way.name))];
    if let Some(because) = &job.choice.because {
        words.push(Run::new(format!(" Because: {}.", because.trim_end_matches('.'))));
    }
    w.paper.paragraph(&words, BODY);
}

/// Places the drawings of these keys; where `turn` is false, only those that the page has room for.
fn place(w: &mut Writer, drawings: &mut Vec<Drawing>, keys: &[&str], turn: bool) {
    for key in keys {
        let Some(at) = drawings.iter().position(|d| d.key == *key) else { continue };
        if turn || w.paper.takes(&drawings[at]) {
            let drawing = drawings.remove(at);
            w.paper.figure(&drawing);
        }
    }
}

/// Key of the table that gets room to write readings in.
const MEASURES: &str = "measures";

fn words(text: impl Into<String>) -> Cell {
    Cell::Words(vec![Run::new(text)])
}

/// Boxes for starts that a page has room for.
const MOST_BOXES: u32 = 6;

/// The passes to tick, with what to set large; forces and chip areas are in the record.
fn passes(w: &mut Writer, cut: &Cut, barred: &[Note]) {
    // A page of its own, to hang at the lathe.
    w.paper.page();
    w.paper.heading("Passes", 40.0);
    w.notes(barred, 0.0);
    // Those of single steps stand at them in the order of work.
    w.caution_box(&cut.cautions.pass);
    let unit = w.unit;
    let by_compound = cut.passes.iter().any(Pass::by_compound);
    let shifts = !by_compound && cut.passes.iter().any(|p| p.axial_shift != Length::ZERO);
    let sign = show::unit_sign(unit);
    // Dials are read in their own unit, whatever the sheet's.
    let (slide, compound) = (cut.readout_unit, cut.compound_unit);
    let (slide_sign, compound_sign) = (show::unit_sign(slide), show::unit_sign(compound));
    let on = if cut.readout_on_diameter { "on the diameter" } else { "on the radius" };
    // Each start has a box of its own, as far as the page is wide.
    let boxes = if cut.starts <= MOST_BOXES { cut.starts } else { 1 };
    let mut heads: Vec<String> = match boxes {
        1 => vec!["Done".to_owned()],
        n => (1..=n).map(|start| format!("Start {start}")).collect(),
    };
    heads.extend(["Pass".to_owned(), String::new()]);
    if by_compound {
        heads.push(format!("Compound to ({compound_sign})"));
        heads.push(format!("Cross-slide back to ({slide_sign}, {on})"));
    } else {
        heads.push(format!("Cross-slide to ({slide_sign}, {on})"));
    }
    if shifts {
        heads.push(format!("Compound along the axis (+ from the chuck, {compound_sign})"));
    }
    heads.push(format!("Depth ({sign})"));
    heads.push(format!("Diameter at the tip ({sign})"));
    let number = |l: Length, fine| words(show::length_number(l, fine, unit));
    let dial = |l: Length, own| words(show::length_number(l, Fine::Gauge, own));
    let set =
        |p: &Pass| Cell::Words(vec![Run::bold(show::length_number(p.set_to(), Fine::Gauge, cut.unit_of(p)))]);
    let rows = cut.passes.iter().enumerate().map(|(i, p)| {
        let done = |start| start < cut.start || start == cut.start && i < cut.done;
        let mut row: Vec<Cell> = match boxes {
            1 if done(cut.starts) => vec![words("done")],
            1 => vec![Cell::Tick],
            n => (1..=n).map(|start| if done(start) { words("done") } else { Cell::Tick }).collect(),
        };
        let kind = if cut.changes_tool(i) { "change tool; cut" } else { p.kind.word() };
        row.extend([words(p.number.to_string()), words(kind)]);
        match (by_compound, p.by_compound()) {
            (true, true) => row.extend([set(p), dial(p.readout, slide)]),
            (true, false) => row.extend([dial(p.compound, compound), set(p)]),
            (false, _) => row.push(set(p)),
        }
        if shifts {
            row.push(dial(p.axial_shift, compound));
        }
        row.extend([number(p.depth, Fine::Gauge), number(p.diameter, Fine::Shop)]);
        row
    });
    let mut aligns = vec![Align::Right; heads.len()];
    aligns[..boxes as usize].fill(Align::Left);
    aligns[boxes as usize + 1] = Align::Left;
    let zero = if by_compound { "Both zeroed at touch-on." } else { "Zeroed at touch-on." };
    let grid = Grid {
        heads,
        aligns,
        rows: rows.collect(),
        foot: format!("{zero} Depth is on the radius, from the blank's surface."),
        // Read from a step away.
        size: BODY * 1.12,
        ..Grid::default()
    };
    w.paper.grid(&grid);
}

/// What to measure, with room for three readings; then the verdicts on readings that are in.
fn measures(w: &mut Writer, check: &Check, section: &Section) {
    w.paper.heading("Measure and write down", 75.0);
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
    // Without wires or balls the gauges to make, and a cast, are what proves the thread.
    let over_wires = check.measures.iter().any(|m| m.feature == MadeFeature::OverWires);
    for block in section.blocks.iter().filter(|b| !over_wires && is_gauge_to_make(b)) {
        w.block(block);
    }
    for block in &section.blocks {
        match block {
            Block::Steps(title, _) if over_wires && title == CAST_STEPS => {}
            Block::Steps(title, steps) => w.steps(title, steps),
            _ => {}
        }
    }
    if check.verdict.is_some() {
        let answer = runs(&section.answer, w.unit, true);
        w.paper.paragraph(&answer, BODY * 1.1);
    }
}

/// Whether a block holds the sizes of a plug or ring to make.
fn is_gauge_to_make(block: &Block) -> bool {
    matches!(block, Block::Figures(_, figures) if figures.iter().any(|f| f.key == "gauge_goes"))
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
