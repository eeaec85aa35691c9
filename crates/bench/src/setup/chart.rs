//! What a lathe cuts: the usual pitches, each with its nearest train and half-nut rule.

use super::ratio::Ratio;
use super::{HalfNuts, Train, half_nuts, search};
use crate::job::Lathe;
use crate::report::{Mark, Row, Table, Text, Value, columns};
use flankwise_thread::{Hand, Pitch};

/// Pitches in millimetres that a repairer meets: the coarse series of ISO 262 and of ISO 2902 up to 8 mm.
const MM: [f64; 17] =
    [0.35, 0.5, 0.7, 0.75, 0.8, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 8.0];
/// Threads per inch likewise: Unified and Whitworth coarse and fine, Acme (ASME B1.1, B1.5; BS 84).
const TPI: [f64; 22] = [
    40.0, 36.0, 32.0, 28.0, 26.0, 24.0, 20.0, 19.0, 18.0, 16.0, 14.0, 13.0, 12.0, 11.5, 11.0, 10.0, 9.0, 8.0,
    7.0, 6.0, 5.0, 4.0,
];
/// Beyond this error a pitch is not called cut: the worst that published charts accept is 0.17 %.
const ACCEPTED_PPM: f64 = 2000.0;

/// The chart, with right-hand trains. None where the lead screw is no positive length.
pub fn chart(lathe: &Lathe) -> Option<Table> {
    let search = search::Search::new(lathe, Hand::Right)?;
    let pitches = MM.iter().map(|&mm| Pitch::mm(mm)).chain(TPI.iter().map(|&n| Pitch::tpi(n)));
    let rows = pitches.map(|pitch| row(lathe, &search, pitch)).collect();
    Some(Table {
        key: "chart",
        title: "What it cuts: the nearest train that fits".into(),
        columns: columns(&[
            ("pitch", "Pitch"),
            ("train", "Train"),
            ("error", "Error"),
            ("half_nuts", "Half-nuts"),
        ]),
        rows,
        source: Some(super::RATIO_SOURCE),
    })
}

fn row(lathe: &Lathe, search: &search::Search<'_>, pitch: Pitch) -> Row {
    let train = Ratio::of(pitch.length).and_then(|lead| search.run(lead, 1).meshing.into_iter().next());
    let Some(train) = train.filter(|t| t.error_ppm.abs() <= ACCEPTED_PPM) else {
        let cells = vec![Value::Pitch(pitch), Value::Word("none fits".into()), Value::None, Value::None];
        return Row { cells, mark: Mark::Bad };
    };
    let rule = half_nuts_of(lathe, &train);
    let mark = if train.error_ppm == 0.0 { Mark::Plain } else { Mark::Faint };
    Row {
        cells: vec![Value::Pitch(pitch), Value::Word(named(&train)), Value::Ppm(train.error_ppm), rule],
        mark,
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
        HalfNuts::Marks(marks, _) => {
            let list: Vec<String> = marks.iter().map(u32::to_string).collect();
            Value::Word(format!("marks {}", list.join(" ")))
        }
        HalfNuts::Shift(shift) => Value::Said(Text::from("every ").len(shift)),
        HalfNuts::KeepClosed => Value::Word("keep closed".into()),
    }
}
