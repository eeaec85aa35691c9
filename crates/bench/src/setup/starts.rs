//! Going from one start of a multi-start thread to the next: by gear teeth, by half-nuts, by the driver plate, by the
//! compound.
//!
//! The next start is right where the work has turned by a whole number of n-ths of a turn against the carriage, or
//! the carriage has moved by a whole number of pitches against the work, as long as every start is met once: the
//! number and n must have no common factor.

use super::Train;
use super::ratio::{Ratio, gcd};
use crate::job::Lathe;
use crate::report::{Mark, Row, Table, Text, Value, columns};
use crate::route::time::LONGEST_SHIFT_MM;
use flankwise_thread::{Element, Length, Source};

/// One way of dividing.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Way {
    how: &'static str,
    /// What to do; or why it does not go.
    what: Text,
    works: bool,
}

/// What is to be divided.
pub(super) struct Asked<'a> {
    pub starts: u32,
    pub pitch: Length,
    pub part: Element,
    pub lathe: &'a Lathe,
    /// The compound is swung and takes the depth.
    pub compound_swung: bool,
    /// Trains that mesh, the one used first.
    pub trains: &'a [Train],
    /// What the train used cuts, exactly.
    pub lead: Option<Ratio>,
    pub screw: Option<Ratio>,
}

/// Every way, those that leave the work alone first; empty for one start.
pub(super) fn ways(asked: &Asked<'_>) -> Vec<Way> {
    if asked.starts < 2 {
        return Vec::new();
    }
    [
        Some(by_stud(asked)),
        by_screw_gear(asked),
        by_half_nuts(asked),
        Some(by_compound(asked)),
        by_plate(asked),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn whole(n: u32) -> Option<Ratio> {
    Ratio::new(u128::from(n), 1)
}

/// Teeth of the first driver that pass for one n-th turn of the spindle.
fn teeth_at_stud(lathe: &Lathe, starts: u32, driver: u32) -> Option<Ratio> {
    let (turns, of) = lathe.stud_ratio;
    Ratio::new(u128::from(driver) * u128::from(turns), u128::from(of) * u128::from(starts))
}

/// Whether whole teeth of a train's stud gear pass from one of `starts` to the next.
pub(super) fn parts(lathe: &Lathe, train: &Train, starts: u32) -> bool {
    let driver = train.drivers.first();
    driver.and_then(|&z| teeth_at_stud(lathe, starts, z)).is_some_and(Ratio::is_whole)
}

fn by_stud(asked: &Asked<'_>) -> Way {
    let how = "by the gear on the stud";
    let n = asked.starts;
    let first = asked.trains.first().map(|t| t.drivers.first().copied());
    let way = |works, what: String| Way { how, what: Text::from(what), works };
    let driver = match first {
        Some(Some(driver)) => driver,
        Some(None) => return way(false, "there is no change gear on the stud".to_owned()),
        None => return way(false, "there is no train to go by".to_owned()),
    };
    let Some(teeth) = teeth_at_stud(asked.lathe, n, driver) else {
        return way(false, "the stud does not turn with the spindle".to_owned());
    };
    if teeth.is_whole() {
        return way(
            true,
            format!(
                "isolated, mark the teeth in mesh, swing the banjo clear, turn the spindle until {} teeth of the {driver} on the stud have gone by, and mesh again",
                teeth.n
            ),
        );
    }
    let uneven = format!(
        "1/{n} turn of the spindle passes {:.2} teeth of the {driver}, not a whole number",
        teeth.to_f64()
    );
    let other = asked.trains[1..].iter().find(|t| parts(asked.lathe, t, n));
    way(
        false,
        match other {
            Some(train) => format!("{uneven}; this train would do: {}", train.words()),
            None => format!("{uneven}, nor does any other train listed"),
        },
    )
}

/// By the last gear: the carriage moves on by one pitch while the spindle stands.
fn by_screw_gear(asked: &Asked<'_>) -> Option<Way> {
    let train = asked.trains.first()?;
    let &last = train.driven.last()?;
    let (lead, screw) = (asked.lead?, asked.screw?);
    let pitch = lead / whole(asked.starts)?;
    // The gear may sit on a box input instead: its turns for one of the lead screw.
    let through = match &train.gearbox {
        None => Ratio::ONE,
        Some(name) => {
            let (n, d) = asked.lathe.gearbox.iter().find(|s| s.name == *name)?.ratio;
            Ratio::new(u128::from(n), u128::from(d))?
        }
    };
    let teeth = whole(last)? * (pitch / screw) / through;
    let at = if train.gearbox.is_some() { "at the box" } else { "on the lead screw" };
    Some(Way {
        how: "by the last gear",
        works: teeth.is_whole(),
        what: Text::from(if teeth.is_whole() {
            format!(
                "isolated, spindle held, half-nuts closed: mark the teeth in mesh, swing the banjo clear, turn the {last} {at} by {} teeth, and mesh again",
                teeth.n
            )
        } else {
            format!("one pitch is {:.2} teeth of the {last} {at}, not a whole number", teeth.to_f64())
        }),
    })
}

/// By opening the half-nuts and closing them where the carriage has moved by whole pitches that are no whole lead.
fn by_half_nuts(asked: &Asked<'_>) -> Option<Way> {
    let how = "by the half-nuts";
    if !asked.lathe.half_nuts {
        return None;
    }
    let (lead, screw) = (asked.lead?, asked.screw?);
    let pitch = lead / whole(asked.starts)?;
    let shift = (1..)
        .map_while(|k| whole(k).map(|k| screw * k))
        .take_while(|s| s.to_f64() <= LONGEST_SHIFT_MM)
        .find(|s| s.is_multiple_of(pitch) && gcd((*s / pitch).n, u128::from(asked.starts)) == 1);
    Some(match shift {
        Some(shift) => {
            let what = Text::from("with the spindle standing, open them, move the carriage by ")
                .len(shift.to_length())
                .s(", which is whole turns of the lead screw and no whole lead, and close them");
            // The dial's marks for the passes count from where the half-nuts were closed for this start.
            let what = if asked.lathe.thread_dial.is_some() {
                what.s("; for this start's passes count the dial's marks from there")
            } else {
                what
            };
            Way { how, what, works: true }
        }
        None => {
            Way { how, what: "no whole number of lead screw turns meets the next start".into(), works: false }
        }
    })
}

fn by_compound(asked: &Asked<'_>) -> Way {
    let what = Text::from("set the compound parallel to the axis and advance it by ")
        .len(asked.pitch)
        .s(", coming from the same side so that its backlash is taken up");
    let what = match asked.lathe.compound_dial.filter(|d| *d > Length::ZERO) {
        Some(division) => {
            what.s(" (").v(Value::Number(asked.pitch / division, 1)).s(" divisions of its dial)")
        }
        None => what.s(", by an indicator"),
    };
    if asked.compound_swung {
        let what = "it is swung and feeds: it cannot shift the tool along the axis as well".into();
        return Way { how: "by the compound", what, works: false };
    }
    Way { how: "by the compound", what, works: true }
}

fn by_plate(asked: &Asked<'_>) -> Option<Way> {
    (asked.part == Element::External).then(|| Way {
        how: "by the driver plate",
        what: Text::from(format!(
            "between centres only: a plate with {} slots evenly spaced, and the carrier moved on by one. Turning the work in the chuck's jaws loses its centre",
            asked.starts
        )),
        works: true,
    })
}

/// The ways as a table; the first that works is the one to take.
pub(super) fn table(ways: &[Way], starts: u32) -> Table {
    let best = ways.iter().position(|w| w.works);
    Table {
        key: "starts",
        title: format!("Ways from one of {starts} starts, at its full depth, to the next"),
        columns: columns(&[("way", "Way"), ("works", "Goes"), ("what", "What to do")]),
        rows: ways
            .iter()
            .enumerate()
            .map(|(i, w)| Row {
                cells: vec![Value::Word(w.how.into()), Value::Yes(w.works), Value::Said(w.what.clone())],
                mark: match w.works {
                    false => Mark::Bad,
                    true if Some(i) == best => Mark::Best,
                    true => Mark::Plain,
                },
            })
            .collect(),
        source: Some(Source::derived(
            "whole n-ths of a turn, or whole pitches, without a common factor with n",
        )),
    }
}

/// How to come to the next start: the first way that works.
pub(super) fn next(ways: &[Way]) -> Option<Text> {
    let way = ways.iter().find(|w| w.works)?;
    Some(Text::from(format!("{}: ", way.how)).text(way.what.clone()))
}
