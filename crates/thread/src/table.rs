//! Reader for the tables of `data/`, here and in the crates above: comma-separated text with `#` notes above the
//! heading, no quoting (so no comma in a cell).
//!
//! The origin of every figure stays in the file of the table. A source cell is either the key of a line
//! `#@ key | document | place | standing` in the notes, or holds all of it as `standing;document;place`. The files
//! are part of the program: a fault in one is a fault of the build and stops the tests, so the reader panics with
//! file and line where a person's file would get an error.

use crate::Source;

/// A table as text, with its sources resolved.
pub struct Table {
    name: &'static str,
    columns: Vec<&'static str>,
    /// Number of the line in the file, and its cells.
    rows: Vec<(usize, Vec<&'static str>)>,
    sources: Vec<(&'static str, Source)>,
}

/// One row of a [`Table`].
#[derive(Clone, Copy)]
pub struct Row<'t> {
    table: &'t Table,
    line: usize,
    cells: &'t [&'static str],
}

impl Table {
    /// Reads a table; `name` is for messages.
    ///
    /// # Panics
    /// Where a row has not as many cells as the heading, or a `#@` line not its four parts.
    pub fn read(name: &'static str, text: &'static str) -> Self {
        let mut sources = Vec::new();
        let mut lines = text.lines().enumerate().filter(|(_, line)| {
            if let Some(note) = line.strip_prefix("#@") {
                sources.push(source_note(name, note));
            }
            !line.starts_with('#') && !line.trim().is_empty()
        });
        let split = |line: &'static str| line.split(',').map(str::trim).collect::<Vec<_>>();
        let columns = lines.next().map(|(_, line)| split(line)).unwrap_or_default();
        let rows = lines
            .map(|(at, line)| {
                let cells = split(line);
                assert_eq!(cells.len(), columns.len(), "{name}:{}: cells in `{line}`", at + 1);
                (at + 1, cells)
            })
            .collect();
        Self { name, columns, rows, sources }
    }

    /// The rows in file order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|(line, cells)| Row { table: self, line: *line, cells })
    }
}

impl Row<'_> {
    /// Whether the table has this column.
    pub fn has(&self, column: &str) -> bool {
        self.table.columns.contains(&column)
    }

    /// The text of a cell.
    ///
    /// # Panics
    /// Where there is no such column.
    pub fn text(&self, column: &str) -> &'static str {
        let at = self.table.columns.iter().position(|c| *c == column);
        self.cells[at.unwrap_or_else(|| self.fault(&format!("no column {column}")))]
    }

    /// A number; `None` where the cell is empty.
    ///
    /// # Panics
    /// Where the cell holds something else.
    pub fn number(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        Some(text.parse().unwrap_or_else(|_| self.fault(&format!("{column} `{text}`"))))
    }

    /// A number that must be there.
    ///
    /// # Panics
    /// Where it is not.
    pub fn required(&self, column: &str) -> f64 {
        self.number(column).unwrap_or_else(|| self.fault(&format!("empty {column}")))
    }

    /// The origin that a cell gives.
    ///
    /// # Panics
    /// Where the cell is neither a key of the notes nor an origin in full.
    pub fn source(&self, column: &str) -> Source {
        let text = self.text(column);
        let mut parts = text.splitn(3, ';');
        if let (Some(standing), Some(document), Some(place)) = (parts.next(), parts.next(), parts.next()) {
            return origin(standing, document, place)
                .unwrap_or_else(|| self.fault(&format!("standing `{standing}`")));
        }
        let found = self.table.sources.iter().find(|(key, _)| *key == text);
        found.unwrap_or_else(|| self.fault(&format!("source `{text}` has no #@ line"))).1
    }

    fn fault(&self, what: &str) -> ! {
        panic!("{}:{}: {what}", self.table.name, self.line)
    }
}

fn source_note(name: &str, note: &'static str) -> (&'static str, Source) {
    let parts: Vec<_> = note.split('|').map(str::trim).collect();
    let [key, document, place, standing] = parts[..] else { panic!("{name}: source line `{note}`") };
    let source = origin(standing, document, place);
    (key, source.unwrap_or_else(|| panic!("{name}: standing `{standing}`")))
}

/// The document of what no document gives is said by its standing, whatever the table writes there.
fn origin(standing: &str, document: &'static str, place: &'static str) -> Option<Source> {
    Some(match standing {
        "table" => Source::table(document, place),
        "formula" => Source::formula(document, place),
        "derived" => Source::derived(place),
        "practice" => Source::practice(place),
        "memory" => Source::memory(document, place),
        "choice" => Source::choice(place),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resolves_sources_and_empty_cells() {
        let table = Table::read("t", "# note\n#@ k | Doc 1 | p. 2 | table\na,b,source\n1,,k\n");
        let row = table.rows().next().expect("one row");
        assert_eq!(row.required("a"), 1.0);
        assert_eq!(row.number("b"), None);
        assert_eq!(row.source("source"), Source::table("Doc 1", "p. 2"));
    }

    #[test]
    fn reads_an_origin_in_full() {
        let table =
            Table::read("t", "a,from\n1,memory;Doc 2;cl. 3; second line\n2,practice;;so it is done\n");
        let sources: Vec<_> = table.rows().map(|row| row.source("from")).collect();
        let expected = [Source::memory("Doc 2", "cl. 3; second line"), Source::practice("so it is done")];
        assert_eq!(sources, expected);
    }

    #[test]
    #[should_panic(expected = "t:3: a `x`")]
    fn a_fault_names_file_and_line() {
        let table = Table::read("t", "# note\na\nx\n");
        let _ = table.rows().map(|row| row.number("a")).collect::<Vec<_>>();
    }
}
