//! One published value beside ours.

use crate::fixture::{Row, decimals};
use flankwise_thread::Family;

/// How far a fixture's value is proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Evidence {
    /// Stands so in the source.
    Printed,
    /// Follows by arithmetic from what the sources print.
    Derived,
    /// Recalled, or computed from recalled tables: no proof.
    Memory,
}

impl Evidence {
    /// Of one side of a row, by what its source cell says.
    ///
    /// `memory; max confirmed by x` says that x prints the value on that side. `a;b` and `a+b` join printed values by
    /// arithmetic, and `x (what)` confirms a part of the value.
    pub fn of(source: &str, side: &str) -> Self {
        let proof = match source.strip_prefix("memory") {
            None if source.contains("memory") => return Self::Memory,
            None => source,
            Some(rest) => match rest.trim_start_matches(';').trim().split_once("confirmed by ") {
                Some((which, by)) if ["", "both", side].contains(&which.trim()) => by,
                _ => return Self::Memory,
            },
        };
        if proof.contains([';', '+', '(']) { Self::Derived } else { Self::Printed }
    }
}

/// What a fixture of sizes says of each.
pub const LISTED: &str = "listed";

/// A value of a fixture and what the project gives for it.
#[derive(Clone, Debug)]
pub struct Value {
    /// The family it is of.
    pub family: Family,
    /// File of the fixture, without its ending.
    pub table: String,
    /// Line in the file.
    pub line: usize,
    /// Designation, class, feature, side; in a table that is not of limits, what stands for them.
    pub at: [String; 4],
    /// As in the fixture.
    pub source: String,
    pub evidence: Evidence,
    pub printed: String,
    /// Ours, to as many places.
    pub ours: String,
    /// Unit of both.
    pub unit: &'static str,
}

impl Value {
    /// Ours beside a cell of a table that is not of limits; `class` is empty where there is none.
    pub fn of_cell(
        family: Family,
        row: &Row,
        at: [&str; 2],
        column: &str,
        ours: f64,
        unit: &'static str,
    ) -> Self {
        let printed = row.text(column);
        Self {
            family,
            table: row.table.clone(),
            line: row.line,
            at: [at[0], at[1], column, ""].map(str::to_owned),
            source: row.text("source").to_owned(),
            evidence: Evidence::of(row.text("source"), ""),
            printed: printed.to_owned(),
            ours: as_printed(ours, printed),
            unit,
        }
    }

    /// Whether both are the same value of the same fixture.
    pub fn is_same(&self, other: &Self) -> bool {
        (self.line, &self.table, &self.at) == (other.line, &other.table, &other.at)
    }

    /// Whether it is no figure, but that a size is listed.
    pub fn is_listing(&self) -> bool {
        self.printed == LISTED
    }

    pub fn agrees(&self) -> bool {
        self.printed == self.ours
    }

    /// By how much ours differs, in the unit of the table.
    pub fn deviation(&self) -> f64 {
        let number = |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{self:?}: `{text}`"));
        (number(&self.ours) - number(&self.printed)).abs()
    }
}

/// The value as the source would print it, halves upwards.
pub fn as_printed(value: f64, printed: &str) -> String {
    let step = 10.0_f64.powi(decimals(printed) as i32);
    let halves_up = (value.abs() * step + 1e-6).round() / step * value.signum();
    let text = format!("{halves_up:.*}", decimals(printed));
    if printed.starts_with('.') { text.trim_start_matches('0').to_owned() } else { text }
}

#[test]
fn evidence_is_read_from_the_source() {
    use Evidence::{Derived, Memory, Printed};
    for (source, max, min) in [
        ("depacme", Printed, Printed),
        ("a;b", Derived, Derived),
        ("mh31-758+formula", Derived, Derived),
        ("memory", Memory, Memory),
        ("memory; max confirmed by x", Printed, Memory),
        ("memory; both confirmed by x;y", Derived, Derived),
        ("memory; confirmed by x (Td)", Derived, Derived),
        ("memory; consistent with printed areas of x", Memory, Memory),
        ("x;y rules + memory ratio", Memory, Memory),
    ] {
        assert_eq!((Evidence::of(source, "max"), Evidence::of(source, "min")), (max, min), "{source}");
    }
}
