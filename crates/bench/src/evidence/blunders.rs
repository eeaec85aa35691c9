//! How readings go wrong: the kinds of slip that an instrument invites, with their chances, from `data/blunders.csv`.

use super::about::About;
use crate::job::{Feature, Quantity, Reading};
use flankwise_thread::table::Table;
use flankwise_thread::{Source, Unit};
use std::sync::LazyLock;

/// A kind of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slip {
    /// It reads anything.
    Any,
    /// Inches taken for millimetres, or the other way round.
    Unit,
    /// A main division of the scale more or less.
    Line,
    /// The true count is one less: crests were counted.
    OneMore,
    /// The true count is one more.
    OneLess,
    /// The span goes from the outside of one crest to the outside of another.
    Outside,
    /// Crests within about an inch of a rule.
    Quick,
    /// The bore of a nut was read for its major diameter.
    Bore,
    /// The instrument is off its zero: all its readings are, by the same.
    Zero,
}

/// A slip that a reading may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blunder {
    /// Which.
    pub slip: Slip,
    /// Chance for one reading.
    pub chance: f64,
    /// Size of the main division, mm, for [`Slip::Line`]; standard deviation of the shift for [`Slip::Zero`].
    pub step_mm: f64,
    /// Where the chance comes from.
    pub source: Source,
}

struct Row {
    slip: Slip,
    about: About,
    chance: f64,
    mm: f64,
    inch: f64,
    source: Source,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let table = Table::read("blunders.csv", include_str!("../../data/blunders.csv"));
    table
        .rows()
        .map(|row| Row {
            slip: match row.text("kind") {
                "any" => Slip::Any,
                "unit" => Slip::Unit,
                "line" => Slip::Line,
                "one-more" => Slip::OneMore,
                "one-less" => Slip::OneLess,
                "outside" => Slip::Outside,
                "quick" => Slip::Quick,
                "bore" => Slip::Bore,
                "zero" => Slip::Zero,
                other => panic!("blunders.csv: kind `{other}`"),
            },
            about: About::of(row),
            chance: row.required("chance"),
            mm: row.number("mm").unwrap_or(0.0),
            inch: row.number("in").unwrap_or(0.0),
            source: row.source("source"),
        })
        .collect()
});

/// The slips that this reading may be, each kind once.
pub fn of(reading: &Reading, written: Unit) -> Vec<Blunder> {
    let mut found: Vec<Blunder> = Vec::new();
    for row in ROWS.iter() {
        // Only sizes count by the zero: an advance or an angle is the difference of two settings.
        let suits = row.about.suits(reading) && (row.slip != Slip::Zero || is_size(reading));
        if suits && !found.iter().any(|b| b.slip == row.slip) {
            let step_mm = if written == Unit::Inch { 25.4 * row.inch } else { row.mm };
            found.push(Blunder { slip: row.slip, chance: row.chance, step_mm, source: row.source });
        }
    }
    found
}

/// Whether a size across the part was read: no angle, and no advance along it.
fn is_size(reading: &Reading) -> bool {
    matches!(reading.value, Quantity::Length(..))
        && !matches!(reading.feature, Feature::Pitch | Feature::Lead)
}

impl Slip {
    /// What a person would have done to read so, as the end of a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Any => "a misreading of no kind that is known",
            Self::Unit => "inches taken for millimetres, or the other way round",
            Self::Line => "a main division of the scale more or less",
            Self::OneMore => "crests counted for pitches: one pitch less",
            Self::OneLess => "one pitch more than was counted",
            Self::Outside => "a span from the outside of one crest to the outside of the other",
            Self::Quick => "a quick count within an inch",
            Self::Bore => "the bore of the nut, read for its major diameter",
            Self::Zero => "an instrument off its zero",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Instrument, Words};
    use flankwise_thread::{Element, Length};

    #[test]
    fn every_reading_can_be_a_slip_and_is_mostly_none() {
        for instrument in Instrument::WORDS.iter().filter_map(|w| Instrument::from_word(w)) {
            for feature in Feature::WORDS.iter().filter_map(|w| Feature::from_word(w)) {
                for part in [Element::External, Element::Internal] {
                    let reading = Reading::plain(
                        part,
                        feature,
                        Quantity::Length(Length::mm(5.0), Unit::Mm),
                        "5.00",
                        instrument,
                    );
                    let blunders = of(&reading, Unit::Mm);
                    assert!(blunders.iter().any(|b| b.slip == Slip::Any), "{instrument:?} {feature:?}");
                    assert!(blunders.iter().map(|b| b.chance).sum::<f64>() < 0.5);
                    let mut sized = blunders.iter().filter(|b| matches!(b.slip, Slip::Line | Slip::Zero));
                    assert!(sized.all(|b| b.step_mm > 0.0));
                }
            }
        }
    }
}
