//! Reads the tables under `data/`: comma-separated, head lines with `#`, no quoting (so no commas in a cell).
//!
//! The tables are part of the program: a fault in one is a fault of the program, found by the tests that read
//! every table, so this reader panics with file and line where a person's file would get an error.

use flankwise_thread::Source;

/// A table's rows, each with its line number in the file.
pub(crate) struct Rows {
    name: &'static str,
    heads: Vec<&'static str>,
    rows: Vec<(usize, Vec<&'static str>)>,
}

/// One row.
#[derive(Clone, Copy)]
pub(crate) struct Cells<'a> {
    table: &'a Rows,
    line: usize,
    cells: &'a [&'static str],
}

/// Splits `text` into rows; the first line that is not a remark names the columns.
pub(crate) fn rows(name: &'static str, text: &'static str) -> Rows {
    let mut lines = text
        .lines()
        .enumerate()
        .map(|(i, l)| (i + 1, l.trim()))
        .filter(|(_, l)| !l.is_empty() && !l.starts_with('#'))
        .map(|(i, l)| (i, l.split(',').map(str::trim).collect::<Vec<_>>()));
    let (_, heads) = lines.next().unwrap_or_else(|| panic!("{name}: no column names"));
    let rows: Vec<_> = lines.collect();
    for (line, cells) in &rows {
        assert_eq!(cells.len(), heads.len(), "{name}:{line}: number of cells");
    }
    Rows { name, heads, rows }
}

impl Rows {
    /// All rows in order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = Cells<'_>> {
        self.rows.iter().map(|(line, cells)| Cells { table: self, line: *line, cells })
    }
}

impl Cells<'_> {
    /// Text of the column `head`.
    pub(crate) fn text(&self, head: &str) -> &'static str {
        let at = self.table.heads.iter().position(|h| *h == head);
        self.cells[at.unwrap_or_else(|| panic!("{}: no column {head}", self.table.name))]
    }
    /// Number in the column `head`; none where the cell is blank.
    pub(crate) fn maybe(&self, head: &str) -> Option<f64> {
        let text = self.text(head);
        (!text.is_empty()).then(|| {
            text.parse().unwrap_or_else(|_| panic!("{}:{}: {head}: {text}", self.table.name, self.line))
        })
    }
    /// Number in the column `head`.
    pub(crate) fn number(&self, head: &str) -> f64 {
        self.maybe(head).unwrap_or_else(|| panic!("{}:{}: {head} is blank", self.table.name, self.line))
    }
    /// Origin in the column `head`: `standing;document;place`.
    pub(crate) fn source(&self, head: &str) -> Source {
        let text = self.text(head);
        let mut parts = text.splitn(3, ';');
        let (standing, document, place) =
            (parts.next().unwrap_or(""), parts.next().unwrap_or(""), parts.next().unwrap_or(""));
        match standing {
            "table" => Source::table(document, place),
            "formula" => Source::formula(document, place),
            "derived" => Source::derived(place),
            "practice" => Source::practice(place),
            "memory" => Source::memory(document, place),
            "choice" => Source::choice(place),
            other => panic!("{}:{}: {head}: unknown standing {other}", self.table.name, self.line),
        }
    }
}
