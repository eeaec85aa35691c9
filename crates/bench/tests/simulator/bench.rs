//! One simulated job from the part to the typed text.

use super::dice::Dice;
use super::part::{Condition, Part};
use super::person::{Person, Sheet, Step};
use super::population::{self, Truth};
use flankwise_bench::job;

/// The seed of every run whose figures are printed.
pub const SEED: u64 = 0x7468_7265_6164;

/// What the person has and uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kit {
    /// As in the table.
    pub name: &'static str,
    pub steps: &'static [Step],
}

/// The kit that the figures to reach are for.
pub const USUAL: Kit =
    Kit { name: "calliper, leaves, count", steps: &[Step::Look, Step::Diameter, Step::Leaves, Step::Count] };

/// Every kit of the table.
pub const KITS: &[Kit] = &[
    Kit { name: "calliper", steps: &[Step::Look, Step::Diameter] },
    Kit { name: "rule, leaves", steps: &[Step::Look, Step::DiameterByRule, Step::Leaves] },
    Kit { name: "calliper, leaves", steps: &[Step::Look, Step::Diameter, Step::Leaves] },
    Kit { name: "calliper, count", steps: &[Step::Look, Step::Diameter, Step::Count] },
    USUAL,
    Kit {
        name: "calliper, leaves, count, and the country that the machine is from",
        steps: &[Step::Look, Step::Country, Step::Diameter, Step::Leaves, Step::Count],
    },
    Kit {
        name: "calliper, leaves, count, wires",
        steps: &[Step::Look, Step::Diameter, Step::Leaves, Step::Count, Step::Wires],
    },
    Kit {
        name: "calliper, leaves, count, angle",
        steps: &[Step::Look, Step::Diameter, Step::Leaves, Step::Count, Step::Angle],
    },
    Kit {
        name: "calliper, leaves, count, wires, angle, crest",
        steps: &[
            Step::Look,
            Step::Diameter,
            Step::Leaves,
            Step::Count,
            Step::Wires,
            Step::Angle,
            Step::Crest,
        ],
    },
];

/// A part, and the person before it.
pub struct Bench {
    pub truth: Truth,
    pub parts: Vec<Part>,
    pub person: Person,
    stream: u64,
}

/// Streams of chance for each part: the part, the person, and one for each step.
const STREAMS: u64 = 64;

impl Bench {
    /// The part of this number in this condition.
    pub fn new(seed: u64, index: u64, condition: Condition) -> Self {
        let stream = STREAMS * (4 * index + condition as u64);
        let mut dice = Dice::new(seed, stream);
        let mut truth = population::draw(&mut dice);
        let family = truth.thread.as_ref().map(|t| t.family);
        truth.country = population::country(family, &mut Dice::new(seed, stream + STREAMS - 1));
        let elements = population::elements(&truth, &mut dice);
        let parts = elements.into_iter().map(|e| Part::draw(&truth, e, condition, &mut dice)).collect();
        let person = Person::draw(&mut Dice::new(seed, stream + 1));
        Self { truth, parts, person, stream }
    }

    /// Does one step for the `again`th time.
    pub fn step(&self, seed: u64, step: Step, again: u64, asked: &[String], sheet: &mut Sheet) -> bool {
        let mut dice = Dice::new(seed, self.stream + 2 + step as u64 + 16 * again.min(2));
        if step == Step::Country {
            sheet.says_country(self.truth.country);
            return true;
        }
        self.person.take(step, &self.parts, asked, sheet, &mut dice)
    }

    /// The job that this person types with this kit.
    pub fn sheet(&self, seed: u64, kit: Kit) -> Sheet {
        let mut sheet = Sheet::default();
        for step in kit.steps {
            // A slip that the program refuses outright is seen at once, and the reading taken again.
            for again in 0..3 {
                let mut with = sheet.clone();
                self.step(seed, *step, again, &[], &mut with);
                if job::read(&with.toml()).is_ok() {
                    sheet = with;
                    break;
                }
            }
        }
        sheet
    }
}
