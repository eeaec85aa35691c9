//! Inputs of the fit stage built by hand, so that its tests stand without the stages before it.

#![allow(dead_code, reason = "each test binary uses a part of it")]

use flankwise_bench::evidence::{Evidence, Weighed};
use flankwise_bench::identity::Identity;
use flankwise_bench::job::{self, Condition, Context, Feature, Job, Observed, Quantity};
use flankwise_thread::{Element, Length, Source, Thread, Unit};

/// A job read from text.
pub fn job(text: &str) -> Job {
    job::read(text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

/// The demo job of the repository.
pub fn demo() -> Job {
    job(include_str!("../../../../demo/board-shear.toml"))
}

/// Evidence with the readings of `job`, every one with this standard uncertainty, a span of crests with ten times
/// as much (crests are set to by eye).
pub fn evidence(job: &Job, u: Length) -> Evidence {
    let readings = job
        .readings
        .iter()
        .enumerate()
        .map(|(index, r)| {
            let n = f64::from(r.count.unwrap_or(1));
            let per = |q| match q {
                Quantity::Length(l, unit) => Quantity::Length(l / n, unit),
                angle @ Quantity::Angle(_) => angle,
            };
            Weighed {
                index,
                part: r.part,
                feature: r.feature,
                value: per(r.value),
                u: per(Quantity::Length(if r.count.is_some() { u * 10.0 } else { u }, Unit::Mm)),
                place: r.place,
                side: r.side,
                count: r.count,
                wire: r.wire,
                source: Source::choice("test"),
            }
        })
        .collect();
    Evidence {
        readings,
        leaves: Vec::new(),
        trials: Vec::new(),
        observed: Observed::default(),
        condition: Condition::Worn,
        story: None,
        context: Context::default(),
        suspects: Vec::new(),
    }
}

/// One reading of a diameter or thickness.
pub fn weighed(part: Element, feature: Feature, value: Length, u: Length, place: Option<Length>) -> Weighed {
    Weighed {
        index: 0,
        part,
        feature,
        value: Quantity::Length(value, Unit::Mm),
        u: Quantity::Length(u, Unit::Mm),
        place,
        side: None,
        count: None,
        wire: None,
        source: Source::choice("test"),
    }
}

/// Evidence of these readings only.
pub fn readings(readings: Vec<Weighed>) -> Evidence {
    Evidence { readings, ..evidence(&demo_without_readings(), Length::um(10.0)) }
}

fn demo_without_readings() -> Job {
    let mut job = demo();
    job.readings.clear();
    job
}

/// An identity that is settled.
pub fn settled(designation: &str) -> Identity {
    let thread: Thread = designation.parse().unwrap_or_else(|why| panic!("{why}"));
    Identity {
        candidates: Vec::new(),
        other_probability: 0.0,
        considered: 1,
        left_out: 0.0,
        next: Vec::new(),
        advice: None,
        rivals: Vec::new(),
        story: None,
        thread,
        chosen_by_hand: true,
    }
}

/// Every key of figures and of tables stands once, and every row has as many cells as its table has columns.
pub fn well_formed(section: &flankwise_bench::report::Section) {
    use flankwise_bench::report::Block;
    let mut keys = std::collections::HashSet::new();
    for block in &section.blocks {
        match block {
            Block::Figures(_, figures) => {
                for f in figures {
                    assert!(keys.insert(f.key), "{} twice", f.key);
                    assert!(!f.what.is_empty(), "{}", f.key);
                }
            }
            Block::Table(t) => {
                assert!(keys.insert(t.key), "{} twice", t.key);
                for row in &t.rows {
                    assert_eq!(row.cells.len(), t.columns.len(), "{}", t.key);
                }
            }
            Block::Notes(_) | Block::Steps(..) | Block::Text(_) => {}
        }
    }
}
