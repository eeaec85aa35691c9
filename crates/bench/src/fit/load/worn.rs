//! How fast the nut wears under its load.

use super::Case;
use crate::fit::{Aside, strength};
use crate::job::Make;
use crate::material::Material;
use crate::report::{Block, Figure, Fine, Value};
use flankwise_thread::{Force, Length, Source};

/// Turns that the wear is shown for: fewer would show nothing at a light load.
pub(in crate::fit) const TURNS: f64 = 10_000.0;

/// Axial play that `nut` gains in so many turns under `load`, least and most, with its origin.
pub(in crate::fit) fn worn(
    case: &Case,
    load: Force,
    nut: &Material,
    turns: f64,
) -> Option<((Length, Length), Source)> {
    if case.h1 <= Length::ZERO {
        return None;
    }
    let worn = nut.wear()?;
    let (least, most) = worn.of(case.dry);
    let mpa = strength::bearing_mpa(load, case.pitch, case.d2, case.h1, case.engaged);
    let slide = strength::slide_per_turn(case.d2, case.lead) * turns;
    let gained = |k| strength::wear_depth(k, mpa, slide) / case.flank.cos();
    Some(((gained(least), gained(most)), worn.source))
}

/// How fast it wears.
pub(super) fn wear(case: &Case, make: &Make, aside: &mut Aside) -> Option<Block> {
    const DAYS: f64 = 250.0;
    let load = case.load?;
    let ((least, most), source) = worn(case, load, case.nut, TURNS)?;
    let formula = "k p s / cos α";
    let mut figures = vec![
        Figure::new(
            "wear_turns",
            format!("play that 10 000 turns under load add, {}, good to a factor of ten", case.kept()),
            Value::Band(least, most, Fine::Gauge),
            source,
        )
        .formula(formula),
    ];
    match make.run.turns_per_day {
        Some(turns) => {
            let per_year = turns * DAYS / TURNS;
            figures.push(
                Figure::new(
                    "wear_year",
                    "play that a year of 250 days adds",
                    Value::Band(least * per_year, most * per_year, Fine::Shop),
                    source,
                )
                .formula(formula),
            );
        }
        None => aside.need(
            "make.run.turns_per_day",
            "turns of the screw in a day's use: they settle how long the nut lasts",
        ),
    }
    Some(Block::Figures("How fast it wears".into(), figures))
}
