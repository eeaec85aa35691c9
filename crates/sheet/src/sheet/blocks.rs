//! Sections and their blocks, as every stage gives them, put on paper.

use crate::drawing::Of;
use crate::paper::{Align, BODY, Cell, Grid, LESSER, Paper, Run};
use flankwise_bench::report::{
    Block, Figure, Mark, Note, NoteKind, Span, StageName, Step, Table, Text, Value, show,
};
use flankwise_bench::{Stretch, Whole};
use flankwise_thread::Unit;

/// A paper with what all of its blocks share.
pub struct Writer {
    pub paper: Paper,
    pub unit: Unit,
    origins: Vec<Origin>,
}

#[derive(Clone, Debug, PartialEq)]
struct Origin {
    formula: String,
    source: String,
}

/// A value in the reader's unit; a number never parts from its unit at the end of a line.
pub fn value(v: &Value, unit: Unit) -> String {
    let text = show::value(v, unit);
    match v {
        Value::Word(_) => text,
        Value::Said(said) => runs(said, unit, false).into_iter().map(|run| run.text).collect(),
        _ => text.replace(' ', "\u{a0}"),
    }
}

/// Running text; values in bold where the text is an answer.
pub fn runs(text: &Text, unit: Unit, bold_values: bool) -> Vec<Run> {
    text.0
        .iter()
        .map(|span| match span {
            Span::Words(words) => Run::new(words.clone()),
            Span::Value(v) => Run { bold: bold_values, ..Run::new(value(v, unit)) },
        })
        .collect()
}

impl Writer {
    pub fn new(paper: Paper, unit: Unit) -> Self {
        Self { paper, unit, origins: Vec::new() }
    }

    /// What one stage says: answer, blocks that `want` keeps, what is missing, notes.
    pub fn stage(&mut self, whole: &Whole, stage: StageName, want: impl Fn(&Block) -> bool) {
        let said = whole.said(stage);
        self.paper.heading(stage.title(), 14.0);
        if let Some(section) = &said.section {
            if !section.answer.0.is_empty() {
                let answer = runs(&section.answer, self.unit, true);
                self.paper.paragraph(&answer, BODY * 1.1);
            }
            for block in section.blocks.iter().filter(|b| want(b)) {
                self.block(block);
            }
        }
        self.needs(said.needs);
        self.notes(&said.barred, 0.0);
        self.notes(said.notes, 0.0);
    }

    /// What is missing.
    pub fn needs(&mut self, needs: &[flankwise_bench::report::Need]) {
        for need in needs {
            let words = [Run::bold(need.field.clone()), Run::new(format!(": {}", need.what))];
            self.paper.notice("Missing", &words, Of::Book, 0.0);
        }
    }

    pub fn block(&mut self, block: &Block) {
        match block {
            Block::Figures(title, figures) => self.figures(title, figures),
            Block::Table(table) => {
                let grid = self.grid(table);
                if !grid.rows.is_empty() {
                    self.paper.grid(&grid);
                }
            }
            Block::Notes(notes) => self.notes(notes, 0.0),
            Block::Steps(title, steps) => self.steps(title, steps),
            Block::Text(text) => {
                let runs = runs(text, self.unit, false);
                self.paper.paragraph(&runs, BODY);
            }
        }
    }

    pub fn notes(&mut self, notes: &[Note], indent: f64) {
        for note in notes {
            let mut words = runs(&note.text, self.unit, false);
            if !note.field.is_empty() {
                words.push(Run::faint(format!(" ({})", note.field)));
            }
            if let Some(source) = &note.source {
                words.push(Run::faint(format!(" [{source}]")));
            }
            let (word, of) = match note.kind {
                NoteKind::Remark => ("Note", Of::Faint),
                NoteKind::Warning => ("Check", Of::Tool),
                NoteKind::Caution => ("Caution", Of::Warn),
                NoteKind::Impossible => ("Not possible", Of::Warn),
            };
            self.paper.notice(word, &words, of, indent);
        }
    }

    /// Cautions in one box, without where they come from: for the page that hangs at the lathe.
    pub fn caution_box(&mut self, notes: &[Note]) {
        let mut words = Vec::new();
        for (i, note) in notes.iter().enumerate() {
            if i > 0 {
                words.push(Run::new("\n"));
            }
            words.extend(runs(&note.text, self.unit, false));
        }
        if !words.is_empty() {
            self.paper.notice("Caution", &words, Of::Warn, 0.0);
        }
    }

    pub fn steps(&mut self, title: &str, steps: &[Step]) {
        if !title.is_empty() && !steps.is_empty() {
            self.paper.subheading(title, 34.0);
        }
        let mut said: Vec<&Note> = Vec::new();
        for (i, step) in steps.iter().enumerate() {
            // Cautions stand before the step they belong to: read first, then done. One that comes again is said
            // again, without where it comes from.
            for caution in &step.cautions {
                let again = said.contains(&caution);
                let note = if again { Note { source: None, ..caution.clone() } } else { caution.clone() };
                self.notes(&[note], 7.0);
                said.push(caution);
            }
            self.step(i + 1, step);
        }
    }

    fn step(&mut self, number: usize, step: &Step) {
        let words = runs(&step.text, self.unit, true);
        self.paper.item(&format!("{number}"), &words, BODY);
    }

    /// The whole order of work, numbered through. A caution stands in full at its first step and in a few words at
    /// each later one; where it comes from is in the record.
    pub fn order(&mut self, order: &[Stretch]) {
        let mut said: Vec<&Note> = Vec::new();
        let mut number = 0;
        for stretch in order {
            self.paper.subheading(stretch.title, 18.0);
            for step in &stretch.steps {
                self.together(&step.cautions, &said);
                said.extend(&step.cautions);
                number += 1;
                self.step(number, step);
            }
        }
    }

    /// Notes of a step in one box for each kind, those said before in a few words.
    fn together(&mut self, notes: &[Note], said: &[&Note]) {
        for (warning, word, of) in [(false, "Caution", Of::Warn), (true, "Check", Of::Tool)] {
            let mut words = Vec::new();
            for note in notes.iter().filter(|n| (n.kind == NoteKind::Warning) == warning) {
                if !words.is_empty() {
                    words.push(Run::new(" "));
                }
                if said.contains(&note) && !note.short.is_empty() {
                    words.push(Run::new(note.short));
                } else {
                    words.extend(runs(&note.text, self.unit, false));
                }
            }
            if !words.is_empty() {
                self.paper.notice(word, &words, of, 7.0);
            }
        }
    }

    fn figures(&mut self, title: &str, figures: &[Figure]) {
        if figures.is_empty() {
            return;
        }
        let symbols = figures.iter().any(|f| !f.symbol.is_empty());
        let spread = figures.iter().any(|f| f.u.is_some());
        let mut grid = Grid { title: title.to_owned(), size: LESSER, ..Grid::default() };
        // No heads: what, symbol, value, its standard uncertainty and the number of its origin say what they are.
        let mut column = |align: Align| {
            grid.heads.push(String::new());
            grid.aligns.push(align);
        };
        column(Align::Left);
        if symbols {
            column(Align::Left);
        }
        column(Align::Right);
        if spread {
            column(Align::Right);
        }
        column(Align::Right);
        for figure in figures {
            let number = self.origin(figure);
            let mut row = vec![Cell::Words(vec![Run::new(figure.what.clone())])];
            if symbols {
                row.push(Cell::Words(vec![Run::new(figure.symbol)]));
            }
            row.push(Cell::Words(vec![Run::bold(value(&figure.value, self.unit))]));
            if spread {
                let u = figure.u.as_ref().map(|u| format!("±\u{a0}{}", value(u, self.unit)));
                row.push(Cell::Words(vec![Run::new(u.unwrap_or_default())]));
            }
            row.push(Cell::Words(vec![Run::faint(format!("[{number}]"))]));
            grid.rows.push(row);
        }
        self.paper.grid(&grid.doubled());
    }

    /// Number under which a figure's origin is listed.
    fn origin(&mut self, figure: &Figure) -> usize {
        let origin = Origin { formula: figure.formula.clone(), source: figure.source.to_string() };
        if let Some(i) = self.origins.iter().position(|o| *o == origin) {
            return i + 1;
        }
        self.origins.push(origin);
        self.origins.len()
    }

    /// The list that the numbers in square brackets refer to.
    pub fn list_origins(&mut self) {
        if self.origins.is_empty() {
            return;
        }
        self.paper.heading("Where the figures come from", 20.0);
        let words =
            "Numbers in square brackets beside a figure refer to this list. ± is one standard uncertainty.";
        self.paper.paragraph(&[Run::faint(words)], LESSER);
        let rows = self.origins.iter().enumerate().map(|(i, o)| {
            let cell = |text: &str| Cell::Words(vec![Run::new(text)]);
            vec![cell(&format!("[{}]", i + 1)), cell(&o.formula), cell(&o.source)]
        });
        let grid = Grid {
            heads: ["", "Computed by", "Origin"].map(str::to_owned).to_vec(),
            aligns: vec![Align::Left; 3],
            rows: rows.collect(),
            size: LESSER * 0.94,
            ..Grid::default()
        };
        self.paper.grid(&grid);
    }

    /// A table as a grid: numbers to the right, and a unit that a whole column shares goes into its head.
    pub fn grid(&self, table: &Table) -> Grid {
        let mut grid = Grid { title: table.title.clone(), ..Grid::default() };
        let mut columns: Vec<Vec<String>> = Vec::new();
        for (i, column) in table.columns.iter().enumerate() {
            let cells: Vec<&Value> = table.rows.iter().filter_map(|r| r.cells.get(i)).collect();
            // A column that says nothing takes the room of those that do.
            if !cells.is_empty() && cells.iter().all(|v| **v == Value::None) {
                continue;
            }
            let mut texts: Vec<String> = cells.iter().map(|v| value(v, self.unit)).collect();
            let mut head = column.head.clone();
            if let Some(unit) = shared_unit(&cells, &texts) {
                for text in &mut texts {
                    *text = text.strip_suffix(&unit).unwrap_or(text).trim_end_matches('\u{a0}').to_owned();
                }
                head = format!("{head} ({})", unit.trim_start_matches('\u{a0}'));
            }
            let words =
                |v: &&Value| matches!(v, Value::Word(_) | Value::Said(_) | Value::Yes(_) | Value::None);
            grid.aligns.push(if cells.iter().all(words) { Align::Left } else { Align::Right });
            grid.heads.push(head);
            columns.push(texts);
        }
        for (r, row) in table.rows.iter().enumerate() {
            let cells = columns.iter().map(|texts| {
                let text = texts.get(r).cloned().unwrap_or_default();
                let (bold, of) = match row.mark {
                    Mark::Plain => (false, Of::Note),
                    Mark::Best => (true, Of::Note),
                    Mark::Bad => (false, Of::Warn),
                    Mark::Faint => (false, Of::Faint),
                };
                Cell::Words(vec![Run { text, bold, of }])
            });
            grid.rows.push(cells.collect());
            if row.mark == Mark::Best {
                grid.best.push(r);
            }
        }
        grid.foot = table.source.as_ref().map(|s| format!("Source: {s}.")).unwrap_or_default();
        grid
    }
}

/// The unit that all cells of a column end in, with the space before it.
fn shared_unit(cells: &[&Value], texts: &[String]) -> Option<String> {
    let measured = |v: &&Value| {
        matches!(
            v,
            Value::Length(..)
                | Value::Band(..)
                | Value::Setting(..)
                | Value::Force(_)
                | Value::Mpa(_)
                | Value::Mm2(_)
                | Value::NPerMm(_)
                | Value::Rpm(_)
                | Value::TorqueNm(_)
                | Value::None
        )
    };
    if !cells.iter().all(measured) {
        return None;
    }
    let mut units =
        texts.iter().filter(|t| !t.is_empty()).map(|t| t.rfind('\u{a0}').map(|at| t[at..].to_owned()));
    let first = units.next()??;
    units.all(|u| u.as_deref() == Some(first.as_str())).then_some(first)
}
