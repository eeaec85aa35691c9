//! Writes what a stage says as text for a terminal.

use comfy_table::{ContentArrangement, LineStyle, Table as Grid, TableStyle};
use flankwise_bench::report::{Block, Figure, Mark, Note, NoteKind, Section, Table, Text, show};
use flankwise_bench::{Said, report::Need};
use flankwise_thread::Unit;
use std::fmt::Write;

/// One stage, under its heading.
pub fn said(said: &Said<'_>, unit: Unit, origins: bool) -> String {
    let mut out = String::new();
    let title = said.stage.title();
    let _ = writeln!(out, "{title}\n{}", "─".repeat(title.chars().count()));
    if let Some(section) = &said.section {
        out.push_str(&section_text(section, unit, origins));
    }
    needs(&mut out, said.needs);
    notes(&mut out, &said.barred, unit);
    notes(&mut out, said.notes, unit);
    out
}

/// A stage's answer alone, after its heading on one line.
pub fn answer(said: &Said<'_>, unit: Unit) -> String {
    let mut out = String::new();
    let lead = format!("{:<16}", said.stage.title());
    match &said.section {
        Some(section) => paragraph(&mut out, &lead, &show::text(&section.answer, unit)),
        None => paragraph(&mut out, &lead, "not yet: something is missing"),
    }
    out
}

/// What a section says, without a heading.
pub fn section_text(section: &Section, unit: Unit, origins: bool) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", &show::text(&section.answer, unit));
    blocks(&mut out, &section.blocks, unit, origins);
    out
}

/// An answer and its blocks, where they are of no stage.
pub fn answered(answer: &Text, list: &[Block], unit: Unit, origins: bool) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", &show::text(answer, unit));
    blocks(&mut out, list, unit, origins);
    out
}

/// A table alone.
pub fn one_table(t: &Table, unit: Unit) -> String {
    let mut out = String::new();
    table(&mut out, t, unit);
    out
}

fn blocks(out: &mut String, list: &[Block], unit: Unit, origins: bool) {
    for block in list {
        match block {
            Block::Figures(head, list) => figures(out, head, list, unit, origins),
            Block::Table(t) => table(out, t, unit),
            Block::Notes(list) => notes(out, list, unit),
            Block::Steps(head, steps) => {
                if !head.is_empty() {
                    let _ = writeln!(out, "\n{head}");
                }
                for (i, step) in steps.iter().enumerate() {
                    paragraph(out, &format!("{:>3}. ", i + 1), &show::text(&step.text, unit));
                    notes(out, &step.cautions, unit);
                }
            }
            Block::Text(text) => paragraph(out, "", &show::text(text, unit)),
        }
    }
}

fn figures(out: &mut String, head: &str, list: &[Figure], unit: Unit, origins: bool) {
    if list.is_empty() {
        return;
    }
    if !head.is_empty() {
        let _ = writeln!(out, "\n{head}");
    }
    let mut grid = grid();
    for f in list {
        let mut value = show::value(&f.value, unit);
        if let Some(u) = &f.u {
            let _ = write!(value, " ± {}", show::value(u, unit));
        }
        let mut row = vec![f.symbol.to_owned(), f.what.clone(), value];
        if origins {
            row.push(if f.formula.is_empty() {
                f.source.to_string()
            } else {
                format!("{}; {}", f.formula, f.source)
            });
        }
        grid.add_row(row);
    }
    let _ = writeln!(out, "{grid}");
}

fn table(out: &mut String, t: &Table, unit: Unit) {
    if t.rows.is_empty() {
        return;
    }
    if !t.title.is_empty() {
        let _ = writeln!(out, "\n{}", t.title);
    }
    let mut grid = grid();
    let marked = t.rows.iter().any(|r| r.mark == Mark::Best || r.mark == Mark::Bad);
    let mut header: Vec<String> = t.columns.iter().map(|c| c.head.clone()).collect();
    if marked {
        header.insert(0, String::new());
    }
    grid.set_header(header);
    for row in &t.rows {
        let mut cells: Vec<String> = row.cells.iter().map(|c| show::value(c, unit)).collect();
        if marked {
            let sign = match row.mark {
                Mark::Best => "►",
                Mark::Bad => "✗",
                Mark::Plain | Mark::Faint => "",
            };
            cells.insert(0, sign.to_owned());
        }
        grid.add_row(cells);
    }
    let _ = writeln!(out, "{grid}");
}

/// An empty table in the house's style: a line under the heads, nothing between rows.
pub fn grid() -> Grid {
    const STYLE: TableStyle = TableStyle::new().header_separator(LineStyle::none().fill('─').junction('─'));
    let mut grid = Grid::new();
    grid.load_style(STYLE).set_content_arrangement(ContentArrangement::Dynamic).set_width(WIDTH);
    grid
}

/// Column width of running text and tables.
const WIDTH: u16 = 110;

/// What is missing.
pub fn needs(out: &mut String, needs: &[Need]) {
    for need in needs {
        paragraph(out, "missing: ", &format!("{} — {}", need.field, need.what));
    }
}

/// Notes, each with the word that says what it is.
pub fn notes(out: &mut String, notes: &[Note], unit: Unit) {
    for note in notes {
        let word = match note.kind {
            NoteKind::Remark => "note: ",
            NoteKind::Warning => "warning: ",
            NoteKind::Caution => "CAUTION: ",
            NoteKind::Impossible => "cannot be done: ",
        };
        let mut words = show::text(&note.text, unit);
        if let Some(source) = note.source.filter(|_| note.kind == NoteKind::Caution) {
            let _ = write!(words, " [{source}]");
        }
        paragraph(out, word, &words);
    }
}

/// Wraps `words` to the width, hanging under `lead`.
fn paragraph(out: &mut String, lead: &str, words: &str) {
    let indent = lead.chars().count();
    let mut line = lead.to_owned();
    let mut used = indent;
    let mut fresh = true;
    for word in words.split_whitespace() {
        let len = word.chars().count();
        if !fresh && used + 1 + len > usize::from(WIDTH) {
            let _ = writeln!(out, "{line}");
            line = " ".repeat(indent);
            used = indent;
            fresh = true;
        }
        if !fresh {
            line.push(' ');
            used += 1;
        }
        line.push_str(word);
        used += len;
        fresh = false;
    }
    let _ = writeln!(out, "{line}");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wraps_and_hangs() {
        let mut out = String::new();
        paragraph(&mut out, "note: ", &"word ".repeat(60));
        assert!(out.lines().all(|l| l.chars().count() <= usize::from(WIDTH)));
        assert!(out.lines().skip(1).all(|l| l.starts_with("      word")));
    }
}
