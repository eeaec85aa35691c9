//! A gear train: which gear drives which, and where their shafts stand.

use crate::report::Text;
use flankwise_thread::{Angle, Length};

/// A gear train.
#[derive(Clone, Debug, PartialEq)]
pub struct Train {
    /// Driving gears, from the stud on.
    pub drivers: Vec<u32>,
    /// Driven gears, each turned by the driver of the same index.
    pub driven: Vec<u32>,
    /// Gears that only pass motion on; they bridge a distance or turn the lead screw the other way, and do not change
    /// the ratio.
    pub idlers: Vec<Idler>,
    /// Gearbox setting, if the lathe has one.
    pub gearbox: Option<String>,
    /// Lead it cuts.
    pub lead: Length,
    /// Error of the lead in parts per million, signed: positive cuts too long.
    pub error_ppm: f64,
    /// Fits the banjo, no gear runs into a shaft or another gear, and the lead screw turns the right way.
    pub meshes: bool,
    /// Why not, if not.
    pub why_not: Text,
    /// Where its shafts stand; none where nothing is said of the banjo, or it cannot be closed.
    pub layout: Option<Layout>,
}

impl Train {
    /// The teeth of every gear in it.
    pub fn teeth(&self) -> impl Iterator<Item = u32> + '_ {
        let idlers = self.idlers.iter().map(|i| i.teeth);
        self.drivers.iter().chain(&self.driven).copied().chain(idlers)
    }
}

/// A gear between a driver and the gear it drives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Idler {
    /// Index of the pair that it stands between.
    pub pair: usize,
    /// Its teeth.
    pub teeth: u32,
}

/// The shafts of a train, seen from the end of the lathe.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Centres in the plane, from the stud (the origin) to the lead screw (on the first axis).
    pub shafts: Vec<[Length; 2]>,
    /// The centre line of the banjo's slot from its near end to its far one; empty where it is not known, or holds no pin.
    pub slot: Vec<[Length; 2]>,
    /// Between the line from the lead screw to the first pin and that to the stud; none without a pin.
    pub arm: Option<Angle>,
    /// Least room between a gear's tips and what it passes, or between a pin and an end of the slot; none where there
    /// is nothing to pass.
    pub room: Option<Length>,
}

/// A gear on its shaft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seat {
    /// Teeth.
    pub teeth: u32,
    /// Index of the shaft, the stud's first.
    pub shaft: usize,
    /// Index of the plane along the shafts: gears mesh within one.
    pub plane: usize,
    /// It drives, or passes motion on.
    pub drives: bool,
}

impl Train {
    /// The train in words: `40 on the stud drives 50; beside it 30 drives 60 on the lead screw`.
    pub fn words(&self) -> String {
        let last = self.drivers.len().saturating_sub(1);
        let mut words = String::new();
        for (i, (a, b)) in self.drivers.iter().zip(&self.driven).enumerate() {
            words += &if i == 0 {
                format!("{a} on the stud drives {b}")
            } else {
                format!("; beside it {a} drives {b}")
            };
            if i == last {
                words += " on the lead screw";
            }
            let between: Vec<String> = self
                .idlers
                .iter()
                .filter(|idler| idler.pair == i)
                .map(|idler| idler.teeth.to_string())
                .collect();
            match between.as_slice() {
                [] => {}
                [one] => words += &format!(" through {one} as idler"),
                many => words += &format!(" through {} as idlers", many.join(" and ")),
            }
        }
        if words.is_empty() { "no change gears".to_owned() } else { words }
    }

    /// Every gear where it sits, from the stud to the lead screw.
    pub fn seats(&self) -> Vec<Seat> {
        seats(&self.drivers, &self.driven, &self.idlers)
    }
}

/// Every gear of a train where it sits: a driven gear shares its shaft with the next driver.
pub(super) fn seats(drivers: &[u32], driven: &[u32], idlers: &[Idler]) -> Vec<Seat> {
    let mut seats = Vec::with_capacity(drivers.len() * 2 + idlers.len());
    let mut shaft = 0;
    for (plane, (&a, &b)) in drivers.iter().zip(driven).enumerate() {
        seats.push(Seat { teeth: a, shaft, plane, drives: true });
        for idler in idlers.iter().filter(|i| i.pair == plane) {
            shaft += 1;
            seats.push(Seat { teeth: idler.teeth, shaft, plane, drives: true });
        }
        shaft += 1;
        seats.push(Seat { teeth: b, shaft, plane, drives: false });
    }
    seats
}
