//! The catalogue against published tables, value by value, to the last printed digit.
//!
//! `tests/fixtures` holds the tables; its README says how to add one. Where project and source differ,
//! `fixtures/differences.csv` names the value and says why: a difference that is not named fails, and so does a named
//! one that no longer exists. Values whose source is memory guard against accidental change and prove nothing; they are
//! counted apart. What comes of it stands in `docs/VALIDATION.md`, which fails here when it is stale.

mod differences;
mod fixture;
mod limits;
mod report;
#[path = "../support/section.rs"]
mod section;
mod tables;
mod value;

use differences::Difference;
use value::Value;

/// Every value of every fixture, each once: where it is held to several figures of ours (of screw and nut, of several
/// classes), the one that differs stands for all.
fn values() -> Vec<Value> {
    let mut values: Vec<Value> = Vec::new();
    for value in limits::values().into_iter().chain(tables::values()) {
        match values.last_mut() {
            Some(last) if last.is_same(&value) => {
                if last.agrees() {
                    *last = value;
                }
            }
            _ => values.push(value),
        }
    }
    values
}

#[test]
fn every_difference_is_named_and_every_named_one_exists() {
    let (values, differences) = (values(), differences::read());
    let unnamed: Vec<_> = values
        .iter()
        .filter(|value| !value.agrees() && !differences.iter().any(|named| named.is_of(value)))
        .map(Difference::line)
        .collect();
    assert!(
        unnamed.is_empty(),
        "{} values differ and are not named in differences.csv; for each that is right as it is, a line and its reason:\n{}",
        unnamed.len(),
        unnamed.join("\n")
    );
    for named in &differences {
        assert!(values.iter().any(|value| named.is_of(value)), "no longer differs: {named:?}");
    }
}

#[test]
fn validation_is_fresh() {
    let values = values();
    println!("{}", report::summary(&values));
    let fresh = report::catalogue(&values, &differences::read());
    section::hold("catalogue", &fresh, "cargo test -p flankwise-thread --test published");
}
