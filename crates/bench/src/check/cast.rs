//! A cast of an internal thread: what to cast with, what it shrinks by, and what it should show.

use super::plan;
use crate::fit::Fit;
use crate::job::{CastMaterial, ThreadCast};
use crate::report::{Block, Fine, Mark, Note, Row, Step, Table, Text, Value, columns};
use flankwise_thread::{Length, Source};

/// How a cast of a material differs from its mould.
#[derive(Clone, Copy)]
pub(super) struct Material {
    kind: CastMaterial,
    name: &'static str,
    /// Change of size from mould to cast, as it is measured; negative shrinks.
    pub change: f64,
    /// Half-width within which the change lies.
    pub within: f64,
    when: &'static str,
}

const MATERIALS: [Material; 4] = [
    Material {
        kind: CastMaterial::Silicone,
        name: "addition-curing silicone",
        change: -0.001,
        within: 0.001,
        when: "an hour after it has set; under a microscope or in a picture, as it gives way to jaws",
    },
    Material {
        kind: CastMaterial::Gypsum,
        name: "hard gypsum, such as dentists use",
        change: 0.0015,
        within: 0.0015,
        when: "the next day; the thread must be soaped, and the cast turned out",
    },
    Material {
        kind: CastMaterial::BismuthAlloy,
        name: "bismuth alloy that melts below 100 °C",
        change: 0.0,
        within: 0.002,
        when: "an hour after pouring: it shrinks first, then grows",
    },
    Material {
        kind: CastMaterial::Sulphur,
        name: "sulphur with graphite",
        change: -0.002,
        within: 0.002,
        when: "when cold, with care: it is brittle",
    },
];

/// What the change of a cast may be off by where a cast of a known thread, poured beside it, has told it. Chosen here.
const WITHIN_OF_KNOWN: f64 = 0.0005;

impl Material {
    /// That of a cast, with its own change where a known thread has told it.
    pub fn of(cast: &ThreadCast) -> Self {
        let listed = MATERIALS
            .into_iter()
            .find(|m| m.kind == cast.material)
            .unwrap_or_else(|| unreachable!("every material has its row"));
        match cast.change {
            Some(percent) => Self { change: percent / 100.0, within: WITHIN_OF_KNOWN, ..listed },
            None => listed,
        }
    }
}

const SOURCE: Source = Source::memory(
    "makers' data and dental standards (ISO 4823, ISO 6873)",
    "order of the change on setting; sulphur by common practice; where it counts, cast a thread of known size beside it",
);
const HOT: Source = Source::practice("hot metal and damp: bismuth alloys, their lead and cadmium");

/// What a cast should show, and how it is made.
pub(super) fn blocks(fit: &Fit) -> Vec<Block> {
    let groove = plan::groove(fit);
    let half_pitch = groove.pitch * 0.5;
    let depth = (fit.bottom.aim - fit.blank.aim) * 0.5;
    let eight = groove.pitch * 8.0;
    let band = |l: Length, m: &Material| {
        Value::Band(l * (1.0 + m.change - m.within), l * (1.0 + m.change + m.within), Fine::Gauge)
    };
    let row = |m: &Material| Row {
        cells: vec![
            Value::Word(m.name.into()),
            Value::Number(m.change * 100.0, 2),
            band(half_pitch, m),
            band(depth, m),
            band(eight, m),
            Value::Word(m.when.into()),
        ],
        mark: Mark::Plain,
    };
    let table = Table {
        key: "cast",
        title: "What a cast of the finished thread shows".into(),
        columns: columns(&[
            ("with", "Cast with"),
            ("change", "Change, %"),
            ("ridge", "Ridge at the pitch line"),
            ("height", "Height of ridge"),
            ("eight", "Eight pitches"),
            ("when", "Measure"),
        ]),
        rows: MATERIALS.iter().map(row).collect(),
        source: Some(SOURCE),
    };
    let steps = vec![
        Step::new("Clean the thread and give it the thinnest film of oil or soap. Close the bore with a plug of clay and lay a strip of card along it, so that the cast fills less than half of the way round: it then lifts inwards and comes out without being unscrewed."),
        Step::with(
            "Pour or press the material in from one end, without bubbles, and leave it the time it asks for.",
            vec![Note::caution(
                "Hot metal: work dry, warm the part first, wear eye and hand protection; a drop of water under it throws it out. Many of these alloys hold lead or cadmium: no overheating, clean hands before food. Resins and gypsum: gloves, as some skins answer to them. Sulphur gives off choking fumes and burns: no flame, fresh air, melt it slowly and no hotter than it needs.",
                HOT,
            )],
        ),
        Step::new(
            Text::new()
                .s("A cast tells form, pitch and thickness of the ridge, not diameters. Lay it under a picture with a scale or between the jaws: the ridge that is half a pitch thick lies at the pitch line. Write what you read as a cast of the thread: what it was cast with, the ridge's thickness and the height above its foot at which that was read, its whole height, so many pitches, the angle between the flanks. They are taken back to the thread's size and get a verdict."),
        ),
    ];
    vec![Block::Table(table), Block::Steps("A cast, where neither balls nor plug go in".into(), steps)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Instrument, Words};

    #[test]
    fn every_material_has_its_change_and_a_known_thread_replaces_it() {
        for word in CastMaterial::WORDS {
            let material = CastMaterial::from_word(word).expect("a word of its own list");
            let cast = ThreadCast { change: None, ..cast_of(material) };
            assert_eq!(Material::of(&cast).kind, material);
            let known = Material::of(&ThreadCast { change: Some(-0.15), ..cast });
            assert!((known.change + 0.0015).abs() < 1e-12 && known.within == WITHIN_OF_KNOWN);
        }
    }

    fn cast_of(material: CastMaterial) -> ThreadCast {
        ThreadCast {
            material,
            change: None,
            instrument: Instrument::Microscope,
            ridge: None,
            at: None,
            height: None,
            pitches: None,
            count: None,
            angle: None,
            uncertainty: None,
        }
    }

    #[test]
    fn every_material_may_be_true_to_size() {
        for m in &MATERIALS {
            assert!(m.change.abs() <= m.within && m.within < 0.005, "{}", m.name);
        }
    }
}
