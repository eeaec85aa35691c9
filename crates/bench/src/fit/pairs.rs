//! What the part could be made of, side by side, for this load and speed.

use super::Fit;
use super::load::{self, Case};
use crate::job::Duty;
use crate::material::{self, Group, Hazard, Material};
use crate::report::{Fine, Mark, Row, Table, Value, columns};
use flankwise_thread::{Element, Length, Source};

/// A nut this many diameters long is out of proportion (see [`super::strength::LENGTH`]).
const TOO_LONG: f64 = super::strength::LONGEST_SENSE;

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
                    Element::External => "yields at",
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
    let asked = case.load.and_then(|load| load::length_by_load(case, load, nut));
    let worn = case.load.and_then(|load| load::worn(case, load, nut, load::TURNS));
    let friction = material::friction(nut, screw).map(|f| f.of(case.dry));
    let limit = match fit.part {
        Element::Internal => case.allowed(nut).map(|a| a.mpa),
        Element::External => part.yield_mpa,
    };
    let against = against(fit, case, duty, part, asked);
    let mind = against.iter().copied().chain(mind(part)).collect::<Vec<_>>().join("; ");
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
        mark: match (against.is_empty(), part.key == fit.material) {
            (false, _) => Mark::Bad,
            (true, true) => Mark::Best,
            (true, false) => Mark::Plain,
        },
    }
}

/// Why it does not do here.
fn against(fit: &Fit, case: &Case, duty: Duty, part: &Material, asked: Option<Length>) -> Vec<&'static str> {
    let mut why = Vec::new();
    if part.hazards.contains(&Hazard::Beryllium) {
        why.push("no: beryllium dust");
    }
    if fit.part == Element::Internal {
        if case.allowed(part).is_none() {
            why.push(if part.allowed(None).is_some() { "no: too fast for it" } else { "no published limit" });
        }
        if asked.is_some_and(|l| l > case.engaged.max(fit.thread.nominal * TOO_LONG)) {
            why.push("no: its nut would be over three diameters long");
        } else if asked.is_some_and(|l| l > case.engaged) {
            why.push("no: this nut is too short for it");
        }
        if part.screw_tensile_mpa.is_some_and(|least| case.screw.tensile_mpa < least) {
            why.push("no: the screw is too soft for it");
        }
        if duty == Duty::Lift && part.group == Group::Plastic {
            why.push("no: a load must not hang on plastic");
        }
    } else if part.group == Group::Stainless && case.nut.group == Group::Steel {
        why.push("no: galls on steel");
    } else if case.nut.screw_tensile_mpa.is_some_and(|least| part.tensile_mpa < least) {
        why.push("no: too soft for this nut");
    }
    why
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
