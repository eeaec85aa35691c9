//! How fast the nut wears under its load.

use super::Case;
use crate::fit::wear::{THINNED, THINNED_SOURCE};
use crate::fit::{Aside, strength};
use crate::job::{Duty, Make};
use crate::material::Material;
use crate::report::{Block, Figure, Fine, Note, Text, Value};
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
    if case.h1 <= Length::ZERO || case.engaged <= Length::ZERO {
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
    let ridge = case.pitch / 2.0;
    let lasts = |share: f64| ridge * share / most * TURNS;
    let (out, gone) = (lasts(THINNED.1), lasts(1.0));
    figures.push(
        Figure::new(
            "wear_out",
            "thousands of turns under load until a fifth of the nut's ridge may be worn off",
            Value::Number(out / 1000.0, 1),
            THINNED_SOURCE,
        )
        .formula("0.2 (P / 2) / (k p s / cos α)"),
    );
    let soon = make.run.turns_per_day.map_or(TURNS, |turns| turns * DAYS);
    if out < soon {
        let text =
            Text::from("A fifth of the nut's ridge, where such a nut is out of use, may be worn off after ")
                .v(Value::Number(out / 1000.0, 1))
                .s(" thousand turns under this load, and all of it after ")
                .v(Value::Number(gone / 1000.0, 1))
                .s(" thousand");
        let text = match make.run.turns_per_day {
            Some(turns) => text
                .s(": ")
                .v(Value::Number(out / turns, 0))
                .s(" and ")
                .v(Value::Number(gone / turns, 0))
                .s(" days of use. "),
            None => text.s(". "),
        };
        let help = "Oil it, or take a longer nut, a material that wears less or a larger thread.";
        aside.note(if make.duty == Duty::Lift {
            let first = "Measure its play before each day's work, and take it out of use in time: what hangs on it falls when the ridge is gone. ";
            Note::caution(text.s(first).s(help), THINNED_SOURCE).field("make.load")
        } else {
            Note::warning(text.s(help)).field("make.load").source(THINNED_SOURCE)
        });
    }
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
