//! What the part could be made of, side by side, for this load and speed.

use super::load::{self, Case};
use super::{Aside, Fit, word};
use crate::job::Duty;
use crate::material::{self, Group, Hazard, Material};
use crate::report::{Fine, Mark, Note, NoteKind, Row, Table, Value, columns};
use flankwise_thread::{Element, Length, Source};

/// A nut this many diameters long is out of proportion.
const TOO_LONG: f64 = super::strength::LONGEST_SENSE;

/// Origin of what speaks against a material.
const CHOSEN: Source = Source::practice("pairs of materials for screws and nuts");

/// The materials proposed for the part; none where the load is not known.
pub(super) fn table(fit: &Fit, case: &Case, duty: Duty) -> Option<Table> {
    case.load?;
    let candidates = material::all().iter().filter(|m| m.serves == fit.part);
    let rows = candidates.map(|m| row(fit, case, duty, m)).collect();
    let mate = match fit.part {
        Element::Internal => case.screw,
        Element::External => case.nut,
    };
    Some(Table {
        key: "pairs",
        title: format!("What it could be made of, against {}, for this load and speed", mate.name),
        columns: columns(&[
            ("material", "material"),
            (
                "limit",
                match fit.part {
                    Element::Internal => "pressure allowed",
                    Element::External => "bears",
                },
            ),
            ("length", "nut length"),
            ("friction", "friction"),
            ("wear", "wear in 10 000 turns"),
            ("cuts", "cuts"),
            ("price", "price class"),
            ("mind", "mind"),
        ]),
        rows,
        source: Some(Source::derived(
            "the tables of materials, friction and wear, each figure's origin there",
        )),
    })
}

fn row(fit: &Fit, case: &Case, duty: Duty, part: &'static Material) -> Row {
    let (nut, screw) = match fit.part {
        Element::Internal => (part, case.screw),
        Element::External => (case.nut, part),
    };
    let asked = case.load.and_then(|load| load::length_by_load(case, load, (nut, screw)));
    let worn = case.load.and_then(|load| load::worn(case, load, nut, load::TURNS));
    let friction = material::friction(nut, screw).map(|f| f.of(case.dry));
    let limit = match fit.part {
        Element::Internal => case.allowed(nut).map(|a| a.mpa),
        Element::External => Some(part.bears_mpa()),
    };
    let against = against(fit, case, duty, part, asked);
    let refused = against.iter().any(|a| a.weight > NoteKind::Remark);
    let mind = against.iter().map(|a| a.words).chain(mind(part)).collect::<Vec<_>>().join("; ");
    Row {
        cells: vec![
            Value::Word(part.name.to_owned()),
            limit.map_or(Value::None, Value::Mpa),
            asked.map_or(Value::None, |l| Value::Length(l, Fine::Coarse)),
            friction.map_or(Value::None, |(lo, hi)| Value::Word(format!("{lo:.2} to {hi:.2}"))),
            worn.map_or(Value::None, |((_, most), _)| Value::Length(most, Fine::Gauge)),
            Value::Word(part.machinability.map_or_else(
                || part.machining.to_owned(),
                |rating| format!("{}, {rating:.0} %", part.machining),
            )),
            Value::Count(i64::from(part.price_class)),
            Value::Word(mind),
        ],
        mark: match (refused, part.key == fit.material) {
            (true, _) => Mark::Bad,
            (false, true) => Mark::Best,
            (false, false) => Mark::Plain,
        },
    }
}

/// Something that speaks against a material here.
struct Against {
    /// In the table.
    words: &'static str,
    /// What it weighs where the material is the chosen one; a remark refuses nothing.
    weight: NoteKind,
    /// Whether another note of the load already says it of the chosen one.
    said: bool,
}

impl Against {
    const fn new(weight: NoteKind, words: &'static str) -> Self {
        Self { words, weight, said: false }
    }
    const fn said(words: &'static str) -> Self {
        Self { words, weight: NoteKind::Warning, said: true }
    }
}

/// Why it does not do here.
fn against(fit: &Fit, case: &Case, duty: Duty, part: &Material, asked: Option<Length>) -> Vec<Against> {
    let warning = |words| Against::new(NoteKind::Warning, words);
    let mut why = Vec::new();
    let mate = if fit.part == Element::Internal { case.screw } else { case.nut };
    if part.hazards.contains(&Hazard::Beryllium) {
        why.push(warning("no: beryllium dust"));
    }
    if fit.part == Element::Internal {
        if case.allowed(part).is_none() {
            why.push(Against::said(if part.allowed(None).is_some() {
                "no: no limit at this speed"
            } else {
                "no published limit"
            }));
        }
        if asked.is_some_and(|l| l > case.whole.max(fit.thread.nominal * TOO_LONG)) {
            why.push(Against::said("no: its nut would be over three diameters long"));
        } else if asked.is_some_and(|l| l > case.whole) {
            why.push(Against::said("no: this nut is too short for it"));
        }
        if part.screw_tensile_mpa.is_some_and(|least| case.screw.tensile_mpa < least) {
            why.push(warning("no: the screw is too soft for it"));
        }
        if duty == Duty::Lift && part.group == Group::Plastic {
            why.push(Against::new(NoteKind::Impossible, "no: a load must not hang on plastic"));
        }
    } else if case.nut.screw_tensile_mpa.is_some_and(|least| part.tensile_mpa < least) {
        why.push(warning("no: too soft for this nut"));
    }
    if let Some(words) = material::galls(part, mate) {
        why.push(if [part, mate].iter().any(|m| m.group == Group::Stainless) {
            warning("no: stainless galls on steel")
        } else {
            Against::new(NoteKind::Remark, words)
        });
    }
    why
}

/// What speaks against the material that is chosen, where no other note says it.
pub(super) fn of_the_chosen(fit: &Fit, case: &Case, duty: Duty, aside: &mut Aside) {
    let chosen = fit.stuff();
    for reason in against(fit, case, duty, chosen, None).into_iter().filter(|a| !a.said) {
        let words = reason.words.trim_start_matches("no: ");
        // A pair that galls is worth more than a word once it is the chosen one.
        let weight = reason.weight.max(NoteKind::Warning);
        let text = format!("Of {} for this {}: {words}.", chosen.name, word(fit.part));
        aside.note(Note::new(weight, text).field("make.material").source(CHOSEN));
    }
}

fn mind(part: &Material) -> impl Iterator<Item = &'static str> {
    let hazards = part.hazards.iter().map(|hazard| match hazard {
        Hazard::Lead => "holds lead",
        Hazard::Beryllium => "holds beryllium",
        Hazard::IronDust => "dust",
        Hazard::Formaldehyde => "fumes if it gets hot",
        Hazard::PolymerFume => "fever from its fume",
    });
    hazards.chain((!part.caveat.is_empty()).then_some(part.caveat))
}
