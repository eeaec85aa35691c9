//! Reading the series tables.

use super::SeriesRow;
use crate::designation::written;
use crate::table::{Row, Table};
use crate::{Length, Pitch, Unit};

/// Rows of a series table in millimetres.
pub(super) fn metric(name: &'static str, text: &'static str) -> Vec<SeriesRow> {
    Table::read(name, text)
        .rows()
        .map(|row| SeriesRow {
            nominal: Length::mm(row.required("nominal")),
            nominal_written: Unit::Mm,
            pitch: Pitch::mm(row.required("pitch")),
            series: row.text("series"),
            choice: choice(row),
            source: row.source("source"),
        })
        .collect()
}

/// Rows of a series table in inches, fractions or number sizes, and threads per inch.
pub(super) fn inch(name: &'static str, text: &'static str) -> Vec<SeriesRow> {
    Table::read(name, text)
        .rows()
        .map(|row| SeriesRow {
            nominal: inches(name, row.text("nominal")),
            nominal_written: Unit::Inch,
            pitch: Pitch::tpi(row.required("pitch")),
            series: row.text("series"),
            choice: choice(row),
            source: row.source("source"),
        })
        .collect()
}

/// The column `choice`, where the table has one.
fn choice(row: Row<'_>) -> u8 {
    if row.has("choice") { row.number("choice").unwrap_or(0.0) as u8 } else { 0 }
}

/// Rows of a series table whose cells carry their units: `26.441 mm`, `7/16 in`, `14 tpi`, `0.81 mm`.
pub(super) fn written(name: &'static str, text: &'static str) -> Vec<SeriesRow> {
    let fault = |cell: &str| -> ! { panic!("{name}: `{cell}`") };
    let number = |cell: &'static str, text: &str| text.parse().unwrap_or_else(|_| fault(cell));
    Table::read(name, text)
        .rows()
        .map(|row| {
            let (size, pitch) = (row.text("nominal"), row.text("pitch"));
            let (nominal, nominal_written) = match size.rsplit_once(' ') {
                Some((value, "mm")) => (Length::mm(number(size, value)), Unit::Mm),
                Some((value, "in")) => (inches(name, value), Unit::Inch),
                _ => fault(size),
            };
            let pitch = match pitch.rsplit_once(' ') {
                Some((value, "mm")) => Pitch::mm(number(pitch, value)),
                Some((value, "tpi")) => Pitch::tpi(number(pitch, value)),
                _ => fault(pitch),
            };
            SeriesRow {
                nominal,
                nominal_written,
                pitch,
                series: row.text("series"),
                choice: choice(row),
                source: row.source("source"),
            }
        })
        .collect()
}

/// The column `name` of a series table, for [`super::Form::names`].
pub(super) fn names(name: &'static str, text: &'static str) -> Vec<&'static str> {
    Table::read(name, text).rows().map(|row| row.text("name")).collect()
}

fn inches(name: &str, text: &str) -> Length {
    let size = match text.strip_prefix("No. ") {
        Some(number) => number.parse().ok().map(written::number_size),
        None => written::mixed_number(text).map(Length::inch),
    };
    size.unwrap_or_else(|| panic!("{name}: nominal `{text}`"))
}
