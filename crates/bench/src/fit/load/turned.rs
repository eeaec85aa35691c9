//! How the thread turns under its load: lead angle, whether it holds by itself, torque and efficiency.

use super::Case;
use crate::fit::{Aside, strength};
use crate::job::Duty;
use crate::material::Kept;
use crate::report::{Figure, Note, Text, Value};
use flankwise_thread::{Angle, Force, Source};
use std::f64::consts::PI;

/// Which flank bears.
const BEARS: Source = Source::memory(
    "DIN 513 and ASME B1.9",
    "buttress threads: the load flank is the one of 3° or 7°, the other clears",
);

/// Adds the lead angle, the rubbing speed, and the friction that holds.
pub(super) fn lead(case: &Case, figures: &mut Vec<Figure>) {
    let angle = Angle::rad((case.lead / (case.d2 * PI)).atan());
    figures.push(
        Figure::new(
            "lead_angle",
            "lead angle at the pitch diameter",
            Value::Angle(angle, 2),
            Source::formula("ISO 5408:2009", "4.10"),
        )
        .symbol("φ")
        .formula("tan φ = Ph / (π d2)"),
    );
    if let Some(v) = case.rubbing {
        figures.push(
            Figure::new(
                "rubbing_speed",
                "speed of flank on flank",
                Value::SurfaceMPerMin(v),
                Source::derived("length of the helix at the pitch diameter, turned so often"),
            )
            .formula("n √((π d2)² + Ph²)"),
        );
    }
    figures.push(
        Figure::new(
            "locking_friction",
            "friction from which on the thread holds by itself",
            Value::Number(strength::locking_friction(case.lead, case.d2, case.flank), 3),
            strength::MOTT,
        )
        .formula("cos α tan φ"),
    );
}

/// Adds whether the thread holds by itself, and warns where it does not surely.
pub(super) fn self_locking(
    case: &Case,
    duty: Duty,
    friction: Option<&Kept>,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let Some(friction) = friction else {
        aside.note(Note::remark(
            "No table lists the friction of this pair of materials: torque and self-locking are left out.",
        ));
        return;
    };
    let limit = strength::locking_friction(case.lead, case.d2, case.flank);
    let (lo, hi) = friction.of(case.dry);
    figures.push(Figure::new(
        "friction",
        format!("published friction of this pair, {}", case.kept()),
        Value::Word(format!("{lo:.2} to {hi:.2}")),
        friction.source,
    ));
    let locks = lo > limit;
    figures.push(
        Figure::new("self_locking", "holds its load by friction alone", Value::Yes(locks), strength::MOTT)
            .formula("f > cos α tan φ"),
    );
    figures.push(
        Figure::new(
            "locking_margin",
            "lower friction over what it needs to hold; vibration takes from it",
            Value::Number(lo / limit, 2),
            strength::MOTT,
        )
        .formula("f / (cos α tan φ)"),
    );
    let words = match (locks, hi > limit) {
        (true, _) if lo / limit >= strength::SURE_LOCK => return,
        (true, _) => {
            "This thread holds its load by itself with little to spare: vibration can make it creep."
        }
        (false, true) => "This thread may or may not hold its load by itself: reckon with it running back.",
        (false, false) => "This thread does not hold its load by itself: it runs back.",
    };
    aside.note(if duty == Duty::Feed {
        Note::remark(words).source(strength::MOTT)
    } else {
        Note::caution(format!("{words} It needs a brake or a lock."), strength::MOTT).field("make.duty")
    });
}

/// Adds torque and efficiency; gives the whole torque against the load.
pub(super) fn torque(
    case: &Case,
    load: Force,
    friction: &Kept,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) -> Option<f64> {
    let Case { d2, lead, flank, .. } = *case;
    // The upper published value: the torque to reckon with.
    let (least, f) = friction.of(case.dry);
    let collar =
        case.collar.map(|diameter| strength::Collar { friction: strength::COLLAR_FRICTION, diameter });
    let against = |flank| strength::raising_torque_nm(load, d2, lead, flank, f, collar);
    let up = against(flank);
    if !up.is_finite() {
        aside.note(
            Note::warning(format!(
                "At the upper friction of {f:.2} no torque moves the nut against its load: so steep a thread jams. Oil it, or take a smaller lead."
            ))
            .field("make.run.lubricant")
            .source(strength::MOTT),
        );
        return None;
    }
    let down = strength::lowering_torque_nm(load, d2, lead, flank, f, collar);
    let back = strength::lowering_torque_nm(load, d2, lead, flank, least, None);
    let with = if collar.is_some() { "collar included" } else { "collar left out" };
    figures.extend([
        Figure::new(
            "torque_against",
            format!("torque against the load, {}, at the upper friction of {f:.2}, {with}", case.kept()),
            Value::TorqueNm(up),
            strength::MOTT,
        )
        .formula("F d2/2 (cos α tan φ + f) / (cos α - f tan φ) + F fc dc/2"),
        Figure::new(
            "torque_with",
            format!("torque with the load at the upper friction of {f:.2}, {with}: the most to reckon with"),
            Value::TorqueNm(down),
            strength::MOTT,
        )
        .formula("F d2/2 (f - cos α tan φ) / (cos α + f tan φ) + F fc dc/2"),
        Figure::new(
            "torque_back",
            format!("torque that the thread alone holds back with at the lower friction of {least:.2}, collar left out; below zero the load drives the screw with as much"),
            Value::TorqueNm(back),
            strength::MOTT,
        )
        .formula("F d2/2 (f - cos α tan φ) / (cos α + f tan φ)"),
        Figure::new(
            "efficiency",
            format!("efficiency at the upper friction, {with}"),
            Value::Share(strength::efficiency(load, lead, up)),
            strength::MOTT,
        )
        .formula("F Ph / (2 π T)"),
        Figure::new(
            "efficiency_best",
            "efficiency of the thread alone at the lower friction",
            Value::Share(strength::efficiency(
                load,
                lead,
                strength::raising_torque_nm(load, d2, lead, flank, least, None),
            )),
            strength::MOTT,
        ),
    ]);
    if collar.is_some() {
        figures.push(
            Figure::new(
                "collar_friction",
                "friction of the collar, at the start",
                Value::Number(strength::COLLAR_FRICTION, 2),
                strength::COLLAR,
            )
            .symbol("fc"),
        );
    }
    if let Some(other) = case.other_flank {
        let degrees = |flank| Value::Angle(flank, 0);
        aside.note(
            Note::remark(
                Text::from("The load is taken to press on the flank of ")
                    .v(degrees(flank))
                    .s(", which this form is made to bear on. Turned round, it would press on that of ")
                    .v(degrees(other))
                    .s(": the torque against it would be ")
                    .v(Value::TorqueNm(against(other)))
                    .s(", it would wear faster, and it would push the nut open. See which way the load comes before the hand and the end to enter are settled."),
            )
            .field("make.load")
            .source(BEARS),
        );
    }
    Some(up)
}
