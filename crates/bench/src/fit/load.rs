//! The load on the thread: pressure, shear, torque, whether it holds by itself, and the length of the nut.

use super::mate::Mate;
use super::sizes::Sized;
use super::{Aside, Fit, play, strength, word};
use crate::job::{Duty, Job};
use crate::material::{self, Friction, Material};
use crate::report::{Block, Figure, Fine, Note, Text, Value};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Force, Length, Source};

/// What carries what.
struct Case {
    load: Force,
    engaged: Length,
    part: &'static Material,
    mate: &'static Material,
}

/// Adds the block on strength, and notes where a usual limit is passed.
pub(super) fn report(
    fit: &mut Fit,
    mate: &Mate,
    sized: &Sized,
    basic: &Basic,
    engaged: Length,
    job: &Job,
    aside: &mut Aside,
) {
    let part = material::material(fit.material).unwrap_or_else(|| material::default_part(fit.part));
    let other_side = mate_material(fit.part, job, aside);
    let mut figures = length(fit, engaged, job.make.duty, aside);
    let flank =
        if basic.flank_leading > basic.flank_trailing { basic.flank_leading } else { basic.flank_trailing };
    let d2 = basic.d2;
    lead(fit, d2, flank, &mut figures);
    let friction = material::friction(part, other_side);
    self_locking(fit, job.make.duty, d2, flank, friction, &mut figures, aside);
    match job.make.load {
        Some(load) if load > Force::ZERO => {
            let case = Case { load, engaged, part, mate: other_side };
            pressure(fit, &case, d2, &mut figures, aside);
            shear(fit, mate, sized, basic, &case, &mut figures, aside);
            if let Some(friction) = friction {
                torque(fit, load, d2, flank, friction, &mut figures);
            }
        }
        _ => aside.need(
            "make.load",
            "axial load in use: it settles the pressure on the flanks, the shear and the torque",
        ),
    }
    fit.detail.push(Block::Figures("Load on the thread".into(), figures));
}

fn mate_material(part: Element, job: &Job, aside: &mut Aside) -> &'static Material {
    let default = material::default_mate(part);
    let Some(typed) = &job.make.mate_material else { return default };
    material::material(typed).unwrap_or_else(|| {
        aside.note(
            Note::warning(format!(
                "No material is called {typed}; {} is taken for the mate. The nearest name is {}.",
                default.name,
                material::nearest(typed)
            ))
            .field("make.mate_material"),
        );
        default
    })
}

fn length(fit: &Fit, engaged: Length, duty: Duty, aside: &mut Aside) -> Vec<Figure> {
    let turns = engaged / fit.thread.pitch.length;
    let share = engaged / fit.thread.nominal;
    let feeds_a_nut = fit.part == Element::Internal && duty == Duty::Feed;
    if feeds_a_nut && (share < strength::SHORTEST_NUT || turns < strength::FEWEST_TURNS) {
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
            match fit.part {
                Element::Internal => "length of thread that carries: the nut's",
                Element::External => "length of thread that carries: its nut, taken as 1.5 diameters long",
            },
            Value::Length(engaged, Fine::Coarse),
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

fn lead(fit: &Fit, d2: Length, flank: Angle, figures: &mut Vec<Figure>) {
    figures.push(
        Figure::new(
            "lead_angle",
            "lead angle at the pitch diameter",
            Value::Angle(fit.thread.lead_angle(d2), 2),
            Source::formula("ISO 5408:2009", "4.10"),
        )
        .symbol("φ")
        .formula("tan φ = Ph / (π d2)"),
    );
    figures.push(
        Figure::new(
            "locking_friction",
            "friction from which on the thread holds by itself",
            Value::Number(strength::locking_friction(fit.thread.lead(), d2, flank), 3),
            strength::MOTT,
        )
        .formula("cos α tan φ"),
    );
}

fn self_locking(
    fit: &Fit,
    duty: Duty,
    d2: Length,
    flank: Angle,
    friction: Option<&Friction>,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let Some(friction) = friction else {
        aside.note(Note::remark(
            "No table lists the friction of this pair of materials: torque and self-locking are left out.",
        ));
        return;
    };
    let limit = strength::locking_friction(fit.thread.lead(), d2, flank);
    let (lo, hi) = friction.oiled;
    figures.push(Figure::new(
        "friction_oiled",
        "published friction of this pair, oiled",
        Value::Word(format!("{lo:.2} to {hi:.2}")),
        friction.source,
    ));
    let locks = lo > limit;
    figures.push(
        Figure::new(
            "self_locking",
            "holds its load by friction alone, oiled",
            Value::Yes(locks),
            strength::MOTT,
        )
        .formula("f > cos α tan φ"),
    );
    if !locks {
        let text = if hi > limit {
            "Oiled, this thread may or may not hold its load by itself: reckon with it running back."
        } else {
            "Oiled, this thread does not hold its load by itself: it runs back."
        };
        aside.note(if duty == Duty::Feed {
            Note::remark(text).source(strength::MOTT)
        } else {
            Note::caution(format!("{text} It needs a brake or a lock."), strength::MOTT).field("make.duty")
        });
    }
}

fn pressure(fit: &Fit, case: &Case, d2: Length, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let load = case.load;
    let (p, h1) = (fit.thread.pitch.length, fit.engagement);
    if h1 <= Length::ZERO {
        aside.note(Note::impossible(
            "Part and mate do not overlap: the mate's crest is worn below the bore of the part. It carries nothing.",
        ));
        return;
    }
    let mpa = strength::bearing_mpa(load, p, d2, h1, case.engaged);
    figures.push(
        Figure::new("bearing_pressure", "mean pressure on the flanks", Value::Mpa(mpa), strength::PRESSURE)
            .formula("F P / (π d2 H1 L)"),
    );
    figures.push(
        Figure::new(
            "first_thread_pressure",
            "pressure on the first turn, if it takes 0.38 of the load",
            Value::Mpa(strength::bearing_mpa(load * strength::FIRST_THREAD, p, d2, h1, p)),
            strength::SHARE,
        )
        .formula("0.38 F / (π d2 H1)"),
    );
    // The softer of the two sets the limit, and it is the one that has a usual value.
    let limit = [case.part, case.mate]
        .into_iter()
        .filter_map(|m| Some((m.bearing_mpa?, m)))
        .min_by(|a, b| a.0.0.total_cmp(&b.0.0));
    let Some(((lo, _), soft)) = limit else {
        aside.note(Note::remark("No usual flank pressure is known for this pair of materials."));
        return;
    };
    figures.push(Figure::new(
        "bearing_limit",
        format!("usual limit at hand speed, {}, the lower of what is published", soft.name),
        Value::Mpa(lo),
        soft.bearing_source,
    ));
    if mpa > lo {
        aside.note(
            Note::warning(
                Text::from("The flanks carry ")
                    .v(Value::Mpa(mpa))
                    .s("; ")
                    .v(Value::Mpa(lo))
                    .s(format!(
                        " is the usual limit for {} at hand speed, less where it runs fast. A thread ",
                        soft.name
                    ))
                    .len(strength::bearing_length(load, p, d2, h1, lo))
                    .s(" long would keep to it."),
            )
            .field("make.length")
            .source(soft.bearing_source),
        );
    }
}

/// Shear of the nut's ridges at the screw's crests, and of the screw's at the nut's bore, each at its thinnest.
fn shear(
    fit: &Fit,
    mate: &Mate,
    sized: &Sized,
    basic: &Basic,
    case: &Case,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let worst = mate.loosest().map_or(Length::ZERO, |s| s.missing);
    let (screw_missing, nut_missing) = match fit.part {
        Element::Internal => (worst, sized.missing),
        Element::External => (sized.missing, worst),
    };
    let (major, bore) = match fit.part {
        Element::Internal => (mate.smallest_major().unwrap_or(basic.d), fit.blank.aim),
        Element::External => (fit.blank.aim, mate.minors.first().map_or(basic.d1_internal, |m| m.0)),
    };
    let p = basic.p;
    let ridge = |element, at, missing| p - play::groove_width(element, at, missing, basic.d2, p, sized.slope);
    for (element, key, at, missing) in [
        (Element::Internal, "shear_nut", major, nut_missing),
        (Element::External, "shear_screw", bore, screw_missing),
    ] {
        let thick = ridge(element, at, missing);
        let material = if element == fit.part { case.part } else { case.mate };
        if thick <= Length::ZERO {
            aside.note(Note::warning(format!("The {}'s thread is worn to an edge.", word(element))));
            continue;
        }
        let tau = strength::shear_mpa(case.load, p, at, thick, case.engaged);
        let whose = if element == fit.part { "the part's" } else { "the mate's" };
        figures.push(
            Figure::new(
                key,
                format!("shear in {whose} thread ({})", word(element)),
                Value::Mpa(tau),
                strength::MOTT,
            )
            .formula("F P / (π D t L)"),
        );
        if tau * strength::SAFETY > material.shear_yield_mpa() {
            aside.note(
                Note::warning(
                    Text::from(format!("Shear in {whose} thread is "))
                        .v(Value::Mpa(tau))
                        .s(format!(", more than a third of what {} yields at, ", material.name))
                        .v(Value::Mpa(material.shear_yield_mpa()))
                        .s("."),
                )
                .source(material.strength_source),
            );
        }
    }
}

fn torque(fit: &Fit, load: Force, d2: Length, flank: Angle, friction: &Friction, figures: &mut Vec<Figure>) {
    let lead = fit.thread.lead();
    // The upper published value: the torque to reckon with.
    let f = friction.oiled.1;
    let up = strength::raising_torque_nm(load, d2, lead, flank, f, None);
    let down = strength::lowering_torque_nm(load, d2, lead, flank, f, None);
    figures.push(
        Figure::new(
            "torque_against",
            "torque against the load, oiled, upper friction, collar left out",
            Value::TorqueNm(up),
            strength::MOTT,
        )
        .formula("F d2/2 (cos α tan φ + f) / (cos α - f tan φ)"),
    );
    figures.push(
        Figure::new(
            "torque_with",
            "torque with the load; below zero it drives the screw",
            Value::TorqueNm(down),
            strength::MOTT,
        )
        .formula("F d2/2 (f - cos α tan φ) / (cos α + f tan φ)"),
    );
    figures.push(
        Figure::new(
            "efficiency",
            "efficiency of the thread",
            Value::Share(strength::efficiency(load, lead, up)),
            strength::MOTT,
        )
        .formula("F Ph / (2 π T)"),
    );
}
