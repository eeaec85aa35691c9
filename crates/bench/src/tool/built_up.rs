//! Built-up edge: a carbide tip that runs too slowly for the material.

use crate::material::{Group, Material};
use crate::report::{Note, Text, Value};
use flankwise_thread::Source;

const BUILT_UP: Source = Source::practice(
    "a built-up edge in steel is worst at 15 to 35 m/min and gone above about 60; longer-lived in stainless",
);

/// Surface speed below which a built-up edge is likely on carbide, m/min; none for materials whose chips break short or
/// do not weld.
pub const fn likely_below_m_per_min(group: Group) -> Option<f64> {
    match group {
        Group::Steel => Some(50.0),
        Group::Stainless => Some(70.0),
        Group::Bronze | Group::Brass | Group::CastIron | Group::Plastic => None,
    }
}

/// A warning where a carbide tip cuts `material` at so low a surface speed, on a surface that turns at it with `rpm`.
/// `capped` says that it is the time to stop in that keeps the speed down.
pub fn warning(material: &Material, m_per_min: f64, rpm: f64, capped: bool) -> Option<Note> {
    let limit = likely_below_m_per_min(material.group).filter(|limit| m_per_min < *limit)?;
    let wanted = rpm * limit / m_per_min;
    let text = Text::new()
        .s(format!("Carbide in {} at ", material.name))
        .v(Value::SurfaceMPerMin(m_per_min))
        .s(": below about ")
        .v(Value::SurfaceMPerMin(limit))
        .s(" the metal welds to the edge, tears the flanks and breaks carbide away with it.")
        .s(" It wants ")
        .v(Value::Rpm(wanted))
        .s(if capped {
            " here, and the time you need to stop does not allow it."
        } else {
            " here, faster than a thread is cut by hand."
        })
        .s(" A tip of high-speed steel suits this speed; or cut away from the shoulder, where the speed is free.");
    Some(Note::warning(text).source(BUILT_UP))
}
