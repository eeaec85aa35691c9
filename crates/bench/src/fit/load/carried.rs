//! What the threads carry: pressure on the flanks, shear of both ridges, and the length of nut that follows.

use super::{Case, Ridge};
use crate::fit::mate::Mate;
use crate::fit::{Aside, Fit, strength, word};
use crate::job::Duty;
use crate::material::Material;
use crate::report::{Figure, Fine, Note, Text, Value};
use flankwise_thread::{Element, Force, Length, Source};

/// The thread that carries, and a warning where it is shorter than usual.
pub(super) fn length(fit: &Fit, case: &Case, duty: Duty, aside: &mut Aside) -> Vec<Figure> {
    let turns = case.engaged / case.pitch;
    let share = case.engaged / fit.thread.nominal;
    let feeds_a_nut = fit.part == Element::Internal && duty == Duty::Feed;
    if feeds_a_nut && (share < strength::USUAL_NUT.0 || turns < strength::FEWEST_TURNS) {
        aside.note(
            Note::warning(
                Text::from("The nut is ")
                    .v(Value::Number(share, 1))
                    .s(" diameters and ")
                    .v(Value::Number(turns, 1))
                    .s(" turns long; 1.5 to 2 diameters and six turns or more are usual for a feed nut. A short one wears fast."),
            )
            .field("make.length")
            .source(strength::LENGTH),
        );
    }
    vec![
        Figure::new(
            "engaged_length",
            match (fit.part, fit.engaged.known()) {
                (Element::Internal, _) => "length of thread that carries: the nut's",
                (Element::External, true) => "length of thread that carries: its nut's",
                (Element::External, false) => {
                    "length of thread that carries: its nut, taken as 1.5 diameters long"
                }
            },
            Value::Length(case.engaged, Fine::Coarse),
            strength::LENGTH,
        )
        .symbol("L"),
        Figure::new(
            "turns",
            "turns of thread that carry",
            Value::Number(turns, 1),
            Source::derived("length over pitch"),
        )
        .formula("L / P"),
        Figure::new(
            "length_in_diameters",
            "the same in major diameters; 1.5 to 2 are usual for a feed nut",
            Value::Number(share, 2),
            strength::LENGTH,
        )
        .formula("L / d"),
    ]
}

/// Adds the pressure on the flanks, held against what the nut's material bears.
pub(super) fn pressure(case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    if case.h1 <= Length::ZERO {
        aside.note(Note::impossible(
            "Part and mate do not overlap: the mate's crest is worn below the bore of the part. It carries nothing.",
        ));
        return;
    }
    let mpa = strength::bearing_mpa(load, case.pitch, case.d2, case.h1, case.engaged);
    figures.push(
        Figure::new("bearing_pressure", "mean pressure on the flanks", Value::Mpa(mpa), strength::PRESSURE)
            .formula("F P / (π d2 H1 L)"),
    );
    let first =
        strength::bearing_mpa(load * strength::FIRST_THREAD, case.pitch, case.d2, case.h1, case.pitch);
    figures.push(
        Figure::new(
            "first_thread_pressure",
            "pressure on the first turn, if it takes 0.38 of the load",
            Value::Mpa(first),
            strength::SHARE,
        )
        .formula("0.38 F / (π d2 H1)"),
    );
    let nut = case.nut;
    let Some(allowed) = case.allowed(nut) else {
        let known = nut.allowed(None);
        aside.note(match (case.rubbing, known) {
            (Some(v), Some(by_hand)) => Note::warning(
                Text::from(format!("{} rubbing at ", crate::report::capital(nut.name)))
                    .v(Value::SurfaceMPerMin(v))
                    .s(" is faster than any published limit for a screw's nut: turn slower, or ask its maker."),
            )
            .field("make.run.speed_rpm")
            .source(by_hand.source),
            _ => Note::remark("No usual flank pressure is known for this pair of materials."),
        });
        return;
    };
    let at = if case.rubbing.is_some() { "at this speed" } else { "at hand speed" };
    figures.push(Figure::new(
        "bearing_limit",
        format!("usual limit {at}, {}, the lower of what is published", nut.name),
        Value::Mpa(allowed.mpa),
        allowed.source,
    ));
    if let Some(yields) = nut.yield_mpa.filter(|y| mpa > *y) {
        aside.note(gives_way(
            Text::from("The load cannot be carried: it presses on the flanks with ")
                .v(Value::Mpa(mpa))
                .s(format!(", and {} yields at ", nut.name))
                .v(Value::Mpa(yields))
                .s(". A longer nut, a stronger material or a larger thread would carry it."),
            nut,
        ));
    } else if mpa > allowed.mpa {
        let faster = if case.rubbing.is_some() { "" } else { ", less where it runs fast" };
        aside.note(
            Note::warning(
                Text::from("The flanks carry ")
                    .v(Value::Mpa(mpa))
                    .s("; ")
                    .v(Value::Mpa(allowed.mpa))
                    .s(format!(" is the usual limit for {} {at}{faster}. A thread ", nut.name))
                    .len(strength::bearing_length(load, case.pitch, case.d2, case.h1, allowed.mpa))
                    .s(" long would keep to it."),
            )
            .field("make.length")
            .source(allowed.source),
        );
    }
}

/// Shear of the nut's ridges at the screw's crests, and of the screw's at the nut's bore, each at its thinnest.
pub(super) fn shear(
    fit: &Fit,
    mate: &Mate,
    case: &Case,
    load: Force,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    for ridge in case.shear {
        let (key, area_key, margin_key, material) = match ridge.of {
            Element::Internal => ("shear_nut", "shear_area_nut", "shear_margin_nut", case.nut),
            Element::External => ("shear_screw", "shear_area_screw", "shear_margin_screw", case.screw),
        };
        if ridge.thick <= Length::ZERO {
            aside.note(Note::warning(format!("The {}'s thread is worn to an edge.", word(ridge.of))));
            continue;
        }
        let made = ridge.of == fit.part;
        let whose = if made { "the part's" } else { "the mate's" };
        let (tau, yields) = (shear_mpa(case, load, ridge), material.shear_yield_mpa());
        let worn = if made || mate.seen.is_empty() { "" } else { ", where it is worn most" };
        let area = load.to_newton() / tau;
        figures.extend([
            Figure::new(
                area_key,
                format!("area that shears in {whose} thread ({}), at its least", word(ridge.of)),
                Value::Mm2(area),
                strength::AREA,
            )
            .formula("π D t L / P"),
            Figure::new(
                key,
                format!("shear in {whose} thread ({}){worn}", word(ridge.of)),
                Value::Mpa(tau),
                strength::MOTT,
            )
            .formula("F P / (π D t L)"),
            Figure::new(
                margin_key,
                format!("shear yield of {} over that", material.name),
                Value::Number(yields / tau, 1),
                material.strength_source,
            )
            .formula("(Sy / √3) / τ"),
        ]);
        if tau > yields {
            aside.note(gives_way(
                Text::from(format!("The load cannot be carried: it shears {whose} thread ({}) with ", word(ridge.of)))
                    .v(Value::Mpa(tau))
                    .s(format!(", and {} yields at ", material.name))
                    .v(Value::Mpa(yields))
                    .s(". It would bear it from ")
                    .len(case.engaged * (tau / yields))
                    .s(" of engaged thread on, and three times that is usual; or a stronger material, or a larger thread."),
                material,
            ));
        } else if tau * strength::SAFETY > yields {
            aside.note(
                Note::warning(
                    Text::from(format!("Shear in {whose} thread is "))
                        .v(Value::Mpa(tau))
                        .s(format!(", more than a third of what {} yields at, ", material.name))
                        .v(Value::Mpa(yields))
                        .s("."),
                )
                .source(material.strength_source),
            );
        }
    }
}

/// The load is more than this material bears: nothing may be made or offered for it.
pub(in crate::fit) fn gives_way(text: Text, material: &Material) -> Note {
    Note::impossible(text).field("make.load").source(material.strength_source)
}

fn shear_mpa(case: &Case, load: Force, ridge: Ridge) -> f64 {
    strength::shear_mpa(load, case.pitch, ridge.at, ridge.thick, case.engaged)
}

/// Length of thread that the load asks for with this nut: by pressure at its speed, and by shear of both ridges with
/// [`strength::SAFETY`]; whole turns. None where nothing limits the pressure, or nothing overlaps.
pub(in crate::fit) fn length_by_load(case: &Case, load: Force, nut: &Material) -> Option<Length> {
    if case.h1 <= Length::ZERO {
        return None;
    }
    let allowed = case.allowed(nut)?;
    let by_pressure = strength::bearing_length(load, case.pitch, case.d2, case.h1, allowed.mpa);
    let by_shear = case.shear.into_iter().filter(|r| r.thick > Length::ZERO).map(|ridge| {
        let material = if ridge.of == Element::Internal { nut } else { case.screw };
        case.engaged * (shear_mpa(case, load, ridge) * strength::SAFETY / material.shear_yield_mpa())
    });
    let asked = by_shear.fold(by_pressure, Length::max);
    Some(case.pitch * (asked / case.pitch - 1e-9).ceil().max(1.0))
}

/// Adds the length of nut that the load asks for.
pub(super) fn follows(fit: &Fit, case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let Some(asked) = length_by_load(case, load, case.nut) else { return };
    figures.push(
        Figure::new(
            "length_by_load",
            "length of nut that the load asks for, by pressure and shear, whole turns",
            Value::Length(asked, Fine::Coarse),
            Source::derived(
                "the longer of the lengths that keep to the pressure and to a third of the shear yield",
            ),
        )
        .formula("max(F P / (π d2 H1 p), 3 F P / (π D t τ))"),
    );
    if asked > case.engaged && asked > fit.thread.nominal * strength::LONGEST_SENSE {
        aside.note(
            Note::warning(
                Text::from("A nut ")
                    .v(Value::Length(asked, Fine::Coarse))
                    .s(" long would be more than three diameters: turns that far from the load carry little. A stronger nut material, a slower screw or a larger thread helps more."),
            )
            .field("make.length")
            .source(strength::LENGTH),
        );
    }
}
