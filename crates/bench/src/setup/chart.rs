//! What a lathe cuts: the usual pitches, each with its nearest train and half-nut rule.

use super::ratio::Ratio;
use super::search::{Leeway, Search, to_put_on};
use super::{HalfNuts, Train, half_nuts};
use crate::job::Lathe;
use crate::report::{Mark, Row, Table, Text, Value, columns};
use flankwise_thread::{Hand, Pitch};
use std::cmp::Reverse;
use std::collections::HashMap;

/// Pitches in millimetres that a repairer meets: the coarse series of ISO 262 from 0.25 mm on, and those of ISO 2902 up
/// to 12 mm.
const MM: [f64; 27] = [
    0.25, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0,
    5.5, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0,
];
/// Threads per inch likewise: Unified, Whitworth, pipe and Acme (ASME B1.1, B1.5, B1.20.1; BS 84), down to 2.
const TPI: [f64; 28] = [
    40.0, 36.0, 32.0, 28.0, 27.0, 26.0, 24.0, 20.0, 19.0, 18.0, 16.0, 14.0, 13.0, 12.0, 11.5, 11.0, 10.0,
    9.0, 8.0, 7.0, 6.0, 5.0, 4.5, 4.0, 3.5, 3.0, 2.5, 2.0,
];
/// Beyond this relative error a pitch is not called cut: the worst that published charts accept is 0.17 %.
pub(super) const ACCEPTED: f64 = 2e-3;
/// Beyond this one nobody cuts a thread, and the nearest train is not worth a line.
const FAR: f64 = 2e-2;
/// Trains alike that are looked through for one that serves other lines too. Chosen here.
const LOOKED_THROUGH: usize = 60;

/// The chart: the leads asked for, then the usual pitches. Where trains serve alike, the gears that are on the lathe go
/// first, then those that serve most lines: with a gearbox one set does many. None where the lead screw is no positive
/// length.
pub fn chart(lathe: &Lathe, hand: Hand, asked: &[Pitch]) -> Option<Table> {
    let search = Search::new(lathe, hand)?;
    let usual = MM.iter().map(|&mm| Pitch::mm(mm)).chain(TPI.iter().map(|&n| Pitch::tpi(n)));
    let lines: Vec<(Pitch, Vec<Train>)> = asked
        .iter()
        .copied()
        .chain(usual)
        .map(|pitch| {
            let lead = Ratio::of(pitch.length);
            let found = lead.map(|lead| search.run(lead, LOOKED_THROUGH, Leeway::default()).meshing);
            (pitch, alike(found.unwrap_or_default()))
        })
        .collect();
    let taken = take(lathe, &lines);
    Some(Table {
        key: "chart",
        title: "What it cuts: the nearest train that fits".into(),
        columns: columns(&[
            ("pitch", "Pitch"),
            ("train", "Train"),
            ("error", "Error"),
            ("half_nuts", "Half-nuts"),
        ]),
        rows: lines.iter().zip(taken).map(|((pitch, _), train)| row(lathe, *pitch, train)).collect(),
        source: Some(super::RATIO_SOURCE),
    })
}

/// The trains that are as near as the first.
fn alike(mut trains: Vec<Train>) -> Vec<Train> {
    let nearest = trains.first().map_or(0.0, |t| t.error_ppm.abs());
    trains.retain(|t| t.error_ppm.abs() <= nearest + 1e-6);
    trains
}

/// One train for each line, with as few sets of gears as it goes by taking the set that serves most lines, then the set
/// that serves most of the rest.
fn take<'a>(lathe: &Lathe, lines: &'a [(Pitch, Vec<Train>)]) -> Vec<Option<&'a Train>> {
    // Sets of gears by number, so that lines are compared by it.
    let mut sets: Vec<&Train> = Vec::new();
    let mut numbers: HashMap<Vec<u32>, usize> = HashMap::new();
    let mut number = |train: &'a Train| {
        *numbers.entry(gears_of(train)).or_insert_with(|| {
            sets.push(train);
            sets.len() - 1
        })
    };
    let options: Vec<Vec<usize>> =
        lines.iter().map(|(_, trains)| trains.iter().map(&mut number).collect()).collect();
    let put_on: Vec<usize> = sets.iter().map(|t| to_put_on(&lathe.mounted, t.teeth())).collect();
    let mut taken: Vec<Option<&Train>> = vec![None; lines.len()];
    loop {
        let open: Vec<usize> = (0..lines.len()).filter(|&i| taken[i].is_none()).collect();
        let mut serves = vec![0; sets.len()];
        for &i in &open {
            let mut ours = options[i].clone();
            ours.sort_unstable();
            ours.dedup();
            ours.into_iter().for_each(|set| serves[set] += 1);
        }
        let all = open.iter().flat_map(|&i| options[i].iter().copied().enumerate());
        let best = all.max_by_key(|&(place, set)| {
            (put_on[set] == 0, serves[set], Reverse(put_on[set]), Reverse(place), Reverse(set))
        });
        let Some((_, set)) = best else { return taken };
        for i in open {
            let at = options[i].iter().position(|&s| s == set);
            taken[i] = at.map(|at| &lines[i].1[at]);
        }
    }
}

/// The gears of a train in their places.
fn gears_of(train: &Train) -> Vec<u32> {
    let idlers = train.idlers.iter().flat_map(|i| [i.pair as u32, i.teeth]);
    train.drivers.iter().chain([&0]).chain(&train.driven).copied().chain([0]).chain(idlers).collect()
}

fn row(lathe: &Lathe, pitch: Pitch, train: Option<&Train>) -> Row {
    let Some(train) = train.filter(|t| t.error_ppm.abs() <= FAR * 1e6) else {
        let cells = vec![Value::Pitch(pitch), Value::Word("none fits".into()), Value::None, Value::None];
        return Row { cells, mark: Mark::Bad };
    };
    let near = train.error_ppm.abs() <= ACCEPTED * 1e6;
    let words = if near { named(train) } else { format!("too far off; the nearest is {}", named(train)) };
    let rule = if near { half_nuts_of(lathe, train) } else { Value::None };
    Row {
        cells: vec![Value::Pitch(pitch), Value::Word(words), Value::Ppm(train.error_ppm), rule],
        mark: match train.error_ppm {
            0.0 => Mark::Plain,
            _ if near => Mark::Faint,
            _ => Mark::Bad,
        },
    }
}

/// `gearbox at B2: 40 on the stud drives …`
fn named(train: &Train) -> String {
    let gears = train.words();
    match &train.gearbox {
        Some(setting) if train.drivers.is_empty() => format!("gearbox at {setting}"),
        Some(setting) => format!("gearbox at {setting}; {gears}"),
        None => gears,
    }
}

fn half_nuts_of(lathe: &Lathe, train: &Train) -> Value {
    match half_nuts::of_train(lathe, train) {
        HalfNuts::Anywhere => Value::Word("anywhere".into()),
        HalfNuts::Marks(marks, words) => {
            let list: Vec<String> = marks.iter().map(u32::to_string).collect();
            let gear =
                words.split_once(", with").map(|(_, gear)| format!(", with{gear}")).unwrap_or_default();
            Value::Word(format!("marks {}{gear}", list.join(" ")))
        }
        HalfNuts::Shift(shift) => Value::Said(Text::from("every ").len(shift)),
        HalfNuts::KeepClosed => Value::Word("keep closed".into()),
    }
}
