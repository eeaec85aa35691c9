//! Reading `tests/fixtures`.

use std::fs;
use std::path::PathBuf;

/// A row of a fixture.
#[derive(Clone, Debug)]
pub struct Row {
    /// File without its ending.
    pub table: String,
    /// Number of the line in the file.
    pub line: usize,
    cells: Vec<(String, String)>,
}

impl Row {
    /// The cell in a column that must be there.
    pub fn text(&self, column: &str) -> &str {
        let cell = self.cells.iter().find(|(name, _)| name == column);
        &cell.unwrap_or_else(|| panic!("{}:{}: no column {column}", self.table, self.line)).1
    }

    /// Whether the fixture has the column.
    pub fn has(&self, column: &str) -> bool {
        self.cells.iter().any(|(name, _)| name == column)
    }

    /// The number in a column.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{}:{}: {column} `{text}`", self.table, self.line))
    }
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures")
}

/// Names of the fixtures that end so, in order.
pub fn names(ending: &str) -> Vec<String> {
    let files = fs::read_dir(folder()).unwrap_or_else(|e| panic!("{}: {e}", folder().display()));
    let mut names: Vec<_> = files
        .filter_map(|file| file.ok()?.file_name().into_string().ok())
        .filter_map(|name| Some(name.strip_suffix(".csv")?.to_owned()))
        .filter(|name| name.ends_with(ending))
        .collect();
    names.sort();
    names
}

/// The text of a fixture.
pub fn text(name: &str) -> String {
    let path = folder().join(format!("{name}.csv"));
    fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The rows of a fixture. Notes begin with `# ` (a `#` before a digit is a number size); the last column may hold
/// commas.
pub fn rows(name: &str) -> Vec<Row> {
    let text = text(name);
    let mut lines = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.starts_with("# ") && !line.starts_with("#@ ") && !line.is_empty());
    let heading = lines.next().unwrap_or_else(|| panic!("{name}: no heading")).1;
    let columns: Vec<_> = heading.split(',').map(str::to_owned).collect();
    lines
        .map(|(at, line)| {
            let cells: Vec<_> = line.splitn(columns.len(), ',').map(str::to_owned).collect();
            assert_eq!(cells.len(), columns.len(), "{name}:{}: {line}", at + 1);
            Row { table: name.to_owned(), line: at + 1, cells: columns.iter().cloned().zip(cells).collect() }
        })
        .collect()
}

/// Decimals after the point.
pub fn decimals(printed: &str) -> usize {
    printed.split_once('.').map_or(0, |(_, tail)| tail.len())
}
