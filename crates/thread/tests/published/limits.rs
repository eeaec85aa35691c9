//! Fixtures of limits: every `*-limits.csv`.

use crate::fixture::{self, Row};
use crate::value::{Evidence, Value, as_printed};
use flankwise_thread::limits::{Element, Extra, Limits, limits};
use flankwise_thread::{Length, Thread, Unit};

/// The values of every fixture of limits; the family is that of the designation.
pub fn values() -> Vec<Value> {
    let rows = fixture::names("-limits").into_iter().flat_map(|name| fixture::rows(&name));
    rows.flat_map(|row| of_row(&row)).collect()
}

fn of_row(row: &Row) -> Vec<Value> {
    let place = format!("{}:{}", row.table, row.line);
    let designation = row.text("designation");
    let thread: Thread = designation.parse().unwrap_or_else(|e| panic!("{place}: {e}"));
    let element = match row.text("element") {
        "external" => Element::External,
        "internal" => Element::Internal,
        other => panic!("{place}: element `{other}`"),
    };
    let (unit, unit_name) = match row.text("unit") {
        "in" => (Unit::Inch, "in"),
        "mm" => (Unit::Mm, "mm"),
        other => panic!("{place}: unit `{other}`"),
    };
    let classes = row.text("class");
    ["max", "min"]
        .into_iter()
        .filter(|side| !row.text(side).is_empty())
        .flat_map(|side| classes.split('/').map(move |class| (side, class)))
        .map(|(side, class)| {
            let feature = row.text("feature");
            let ours = match (class, thread.family.form().classes(element)) {
                ("basic", []) => {
                    limit(&thread, None, element, feature, side).or_else(|| basic(&thread, element, feature))
                }
                ("basic", _) => basic(&thread, element, feature),
                _ => limit(&thread, Some(class), element, feature, side),
            };
            let ours = ours.unwrap_or_else(|| panic!("{place}: {side} of {feature} left open"));
            let source = row.text("source");
            Value {
                family: thread.family,
                table: row.table.clone(),
                line: row.line,
                at: [designation, classes, feature, side].map(str::to_owned),
                source: source.to_owned(),
                evidence: Evidence::of(source, side),
                printed: row.text(side).to_owned(),
                ours: as_printed(ours.in_unit(unit), row.text(side)),
                unit: unit_name,
            }
        })
        .collect()
}

/// A diameter of the design profile.
fn basic(thread: &Thread, element: Element, feature: &str) -> Option<Length> {
    let basic = thread.basic();
    Some(match (feature, element) {
        ("major", Element::External) => basic.d,
        ("major", Element::Internal) => basic.d4_internal,
        ("pitch", _) => basic.d2,
        ("minor", Element::External) => basic.d3,
        ("minor", Element::Internal) => basic.d1_internal,
        _ => return None,
    })
}

/// A limit in a class, or in a family that has none.
fn limit(
    thread: &Thread,
    class: Option<&str>,
    element: Element,
    feature: &str,
    side: &str,
) -> Option<Length> {
    let class = class.map(str::to_owned);
    let named = match element {
        Element::External => Thread { external_class: class, internal_class: None, ..thread.clone() },
        Element::Internal => Thread { external_class: None, internal_class: class, ..thread.clone() },
    };
    let Limits { external, internal, extras, .. } = limits(&named).unwrap_or_else(|e| panic!("{e}"));
    let of = if element == Element::External { external } else { internal };
    let of = of.unwrap_or_else(|| panic!("{named}: no limits of the {element:?} thread"));
    let range = match feature {
        "major" => of.major,
        "pitch" => of.pitch,
        "minor" => of.minor,
        other => {
            let extra = extras
                .iter()
                .find(|extra| name(extra) == other && extra.element.is_none_or(|e| e == element));
            extra?.range
        }
    };
    if side == "max" { range.max } else { range.min }
}

/// `root radius` for `RootRadius`: how a fixture calls a figure beside the diameters.
fn name(extra: &Extra) -> String {
    let mut name = String::new();
    for letter in format!("{:?}", extra.what).chars() {
        if letter.is_uppercase() && !name.is_empty() {
            name.push(' ');
        }
        name.extend(letter.to_lowercase());
    }
    name
}
