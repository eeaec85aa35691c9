//! Reader for the tables of `data/`: comma-separated text with `#` notes above the heading.
//!
//! A line `#@ key | document | place | standing` in the notes resolves the keys of the `source` column, so that a
//! table and the origin of each of its figures stay in one file. The files are part of the program: a fault in one
//! is a fault of the build and stops the tests, so the reader panics with file and line instead of returning errors.

use crate::Source;
use crate::source::Standing;

/// A table as text, with its sources resolved.
pub(crate) struct Table {
    name: &'static str,
    columns: Vec<&'static str>,
    rows: Vec<Vec<&'static str>>,
    sources: Vec<(&'static str, Source)>,
}

/// One row of a [`Table`].
pub(crate) struct Row<'t> {
    table: &'t Table,
    cells: &'t [&'static str],
}

impl Table {
    /// Reads a table; `name` is for messages.
    pub(crate) fn read(name: &'static str, text: &'static str) -> Self {
        let mut sources = Vec::new();
        let mut lines = text.lines().filter(|line| !line.trim().is_empty()).filter(|line| {
            if let Some(note) = line.strip_prefix("#@") {
                sources.push(source_note(name, note));
            }
            !line.starts_with('#')
        });
        let columns: Vec<_> = lines.next().unwrap_or_default().split(',').map(str::trim).collect();
        let rows: Vec<Vec<_>> = lines
            .map(|line| {
                let cells: Vec<_> = line.split(',').map(str::trim).collect();
                assert_eq!(cells.len(), columns.len(), "{name}: cells in `{line}`");
                cells
            })
            .collect();
        Self { name, columns, rows, sources }
    }

    /// The rows in file order.
    pub(crate) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

impl Row<'_> {
    /// The text of a cell.
    pub(crate) fn text(&self, column: &str) -> &'static str {
        let at = self.table.columns.iter().position(|c| *c == column);
        self.cells[at.unwrap_or_else(|| panic!("{}: no column {column}", self.table.name))]
    }

    /// A number; `None` where the cell is empty.
    pub(crate) fn number(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        Some(text.parse().unwrap_or_else(|_| panic!("{}: {column} `{text}`", self.table.name)))
    }

    /// A number that must be there.
    pub(crate) fn required(&self, column: &str) -> f64 {
        self.number(column).unwrap_or_else(|| panic!("{}: empty {column}", self.table.name))
    }

    /// The origin that the `source` column names.
    pub(crate) fn source(&self) -> Source {
        let key = self.text("source");
        let found = self.table.sources.iter().find(|(k, _)| *k == key);
        found.unwrap_or_else(|| panic!("{}: source `{key}` has no #@ line", self.table.name)).1
    }
}

fn source_note(name: &str, note: &'static str) -> (&'static str, Source) {
    let parts: Vec<_> = note.split('|').map(str::trim).collect();
    let [key, document, place, standing] = parts[..] else { panic!("{name}: source line `{note}`") };
    let standing = match standing {
        "table" => Standing::Table,
        "formula" => Standing::Formula,
        "derived" => Standing::Derived,
        "practice" => Standing::Practice,
        "memory" => Standing::Memory,
        "choice" => Standing::Choice,
        other => panic!("{name}: standing `{other}`"),
    };
    (key, Source { document, place, standing })
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
        assert_eq!(row.source(), Source::table("Doc 1", "p. 2"));
    }
}
