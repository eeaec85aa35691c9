//! A body pressed into its housing, as two thick cylinders (Lamé): pressure between them, force to press, and what the
//! bore closes by, which tightens the thread.

use super::{Aside, Fit};
use crate::job::Job;
use crate::material;
use crate::report::{Figure, Fine, Note, Text, Value};
use flankwise_thread::{Element, Force, Length, Source};
use std::f64::consts::PI;

/// Pressure of a press fit.
pub const PRESSURE: Source =
    Source::formula("Shigley's Mechanical Engineering Design, 9th ed.", "3-16, equation 3-56");
/// Closing of the bore and stress in it.
const LAME: Source =
    Source::formula("Shigley's Mechanical Engineering Design, 9th ed.", "3-14, thick cylinders (Lamé)");
/// Friction of pressing, lower and upper: the upper gives the force to reckon with.
pub const FRICTION: (f64, f64) = (0.15, 0.20);
const FRICTION_SOURCE: Source =
    Source::table("lecture notes on shrink fits", "friction of assembly usually 0.15 to 0.20");
/// A housing whose outside is not known is taken so many bores thick. Chosen here.
const HOUSING: f64 = 2.0;
/// What a housing is taken to be made of where the job does not say. Common practice, no source.
const HOUSING_MATERIAL: &str = "cast-iron";

/// A thick cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// Bore; zero where it is solid.
    pub inner: Length,
    /// Outside.
    pub outer: Length,
    /// Modulus of elasticity, N/mm².
    pub modulus_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
}

/// Pressure in N/mm² between `inside` and `outside`, whose common diameter is `at`, for an interference on the
/// diameter: p = δ / (d ((1/Eo) ((do² + d²)/(do² - d²) + νo) + (1/Ei) ((d² + di²)/(d² - di²) - νi))).
pub fn pressure_mpa(interference: Length, at: Length, inside: Cylinder, outside: Cylinder) -> f64 {
    let square = |l: Length| l.to_mm().powi(2);
    let (d, di, do_) = (square(at), square(inside.inner), square(outside.outer));
    let soft = ((do_ + d) / (do_ - d) + outside.poisson) / outside.modulus_mpa
        + ((d + di) / (d - di) - inside.poisson) / inside.modulus_mpa;
    interference / at / soft
}

/// What the bore of `inside` closes by on the diameter under an outside pressure at diameter `at`:
/// 2 p d² di / (E (d² - di²)) on the radius doubled, di and d being diameters.
pub fn bore_closing(pressure_mpa: f64, at: Length, inside: Cylinder) -> Length {
    let (d, di) = (at.to_mm(), inside.inner.to_mm());
    Length::mm(2.0 * pressure_mpa * d * d * di / (inside.modulus_mpa * (d * d - di * di)))
}

/// Stress round the bore of `inside` in N/mm² under the same pressure: 2 p d² / (d² - di²).
pub fn hoop_mpa(pressure_mpa: f64, at: Length, inside: Cylinder) -> f64 {
    let (d, di) = (at.to_mm(), inside.inner.to_mm());
    2.0 * pressure_mpa * d * d / (d * d - di * di)
}

/// Force that presses it in over `length`: f p π d L.
pub fn force(pressure_mpa: f64, at: Length, length: Length, friction: f64) -> Force {
    Force::newton(friction * pressure_mpa * PI * at.to_mm() * length.to_mm())
}

/// Adds what pressing in does; `tight` is the least and the most interference on the diameter `at`.
pub(super) fn report(
    fit: &Fit,
    job: &Job,
    at: Length,
    tight: (Length, Length),
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let bore = fit.bottom.max;
    if fit.part != Element::Internal || tight.1 <= Length::ZERO || bore >= at {
        return;
    }
    let part = material::material(fit.material).unwrap_or_else(|| material::default_part(fit.part));
    let inside = Cylinder { inner: bore, outer: at, modulus_mpa: part.modulus_mpa, poisson: part.poisson };
    let outside = housing(job, at, aside);
    let least = pressure_mpa(tight.0.max(Length::ZERO), at, inside, outside);
    let most = pressure_mpa(tight.1, at, inside, outside);
    let closing = (bore_closing(least, at, inside), bore_closing(most, at, inside));
    let long = pressed_length(fit, job);
    let basic = fit.thread.basic();
    let slope = super::play::slope(basic.flank_leading, basic.flank_trailing);
    let lost = (closing.0 * slope, closing.1 * slope);
    figures.extend([
        Figure::new(
            "body_modulus",
            "modulus of elasticity of the body",
            Value::Mpa(part.modulus_mpa),
            part.modulus_source,
        )
        .symbol("Ei"),
        Figure::new(
            "press_pressure",
            "pressure between body and housing, at the tightest",
            Value::Mpa(most),
            PRESSURE,
        )
        .formula("δ / (d ((1/Eo) ((do² + d²)/(do² - d²) + νo) + (1/Ei) ((d² + di²)/(d² - di²) - νi)))"),
        Figure::new(
            "press_force",
            "force to press it in, at the tightest and the upper friction",
            Value::Force(force(most, at, long, FRICTION.1)),
            FRICTION_SOURCE,
        )
        .formula("f p π d L"),
        Figure::new(
            "bore_closing",
            "what the thread closes by on the diameter when pressed in",
            Value::Band(closing.0, closing.1, Fine::Gauge),
            LAME,
        )
        .formula("2 p d² di / (E (d² - di²))"),
        Figure::new(
            "press_play",
            "axial play lost to that",
            Value::Band(lost.0, lost.1, Fine::Gauge),
            super::play::SOURCE,
        )
        .formula("closing (tan α + tan α') / 2"),
    ]);
    let mut text = Text::from("Pressed in with ")
        .v(Value::Band(tight.0.max(Length::ZERO), tight.1, Fine::Gauge))
        .s(", the thread closes by ")
        .v(Value::Band(closing.0, closing.1, Fine::Gauge))
        .s(" on the diameter and loses ")
        .v(Value::Band(lost.0, lost.1, Fine::Gauge))
        .s(" of play. Cut it larger by that, or leave the last passes until it is pressed in, and try the screw then.");
    let stress = hoop_mpa(most, at, inside);
    if part.yield_mpa.is_some_and(|y| stress > y) {
        text = text
            .s(" Round the bore the stress reaches ")
            .v(Value::Mpa(stress))
            .s(", more than this material yields at: the wall gives way, and the bore closes by nearly all of the press fit.");
    }
    aside.note(Note::warning(text).field("make.body.fit").source(LAME));
}

/// Length of the body that sits in the housing: what the flange leaves.
fn pressed_length(fit: &Fit, job: &Job) -> Length {
    let body = &job.make.body;
    let whole = body.length.unwrap_or(fit.length);
    let flange = body.flange.and(body.flange_thickness).unwrap_or(Length::ZERO);
    if whole > flange { whole - flange } else { whole }
}

/// The housing, from the job or as said.
fn housing(job: &Job, bore: Length, aside: &mut Aside) -> Cylinder {
    let body = &job.make.body;
    let typed = body.housing_material.as_deref().and_then(material::material);
    let stuff = typed.or_else(|| material::material(HOUSING_MATERIAL));
    let (modulus_mpa, poisson) = stuff.map_or((100_000.0, 0.21), |m| (m.modulus_mpa, m.poisson));
    let outer = body.housing_outside.filter(|outside| *outside > bore);
    if body.housing_outside.is_some() && outer.is_none() {
        aside.note(
            Note::warning(
                Text::from("A housing of ")
                    .len(body.housing_outside.unwrap_or(bore))
                    .s(" outside has no wall round a bore of ")
                    .len(bore)
                    .s(": its outside is taken as twice the bore."),
            )
            .field("make.body.housing_outside"),
        );
    } else if outer.is_none() || typed.is_none() {
        aside.need(
            "make.body.housing_outside",
            "outside and material of the housing: they settle how hard the body is to press in; grey cast iron, twice the bore, is taken",
        );
    }
    Cylinder { inner: bore, outer: outer.unwrap_or(bore * HOUSING), modulus_mpa, poisson }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::Length;

    fn steel(inner: f64, outer: f64) -> Cylinder {
        Cylinder { inner: Length::mm(inner), outer: Length::mm(outer), modulus_mpa: 207_000.0, poisson: 0.27 }
    }

    /// A tube of 20 and 40 mm in a jacket of 60 mm that is to be stressed to 100 N/mm²: the jacket is bored to
    /// 39.968289 mm (Bhandari, Design of Machine Elements, example 22.6, as worked in an open textbook companion).
    #[test]
    fn a_jacket_shrunk_on_a_tube() {
        let p = pressure_mpa(
            Length::mm(40.0 - 39.968_289),
            Length::mm(40.0),
            steel(20.0, 40.0),
            steel(40.0, 60.0),
        );
        let in_the_jacket = p * (60.0 * 60.0 + 40.0 * 40.0) / (60.0 * 60.0 - 40.0 * 40.0);
        assert!((in_the_jacket - 100.0).abs() < 0.002, "{in_the_jacket}");
    }

    /// With one material the general formula is the book's short one: p = E δ/(2 d³) (do² - d²)(d² - di²)/(do² - di²)
    /// (Shigley, equation 3-57, diameters for radii).
    #[test]
    fn one_material_gives_the_short_formula() {
        let (d, di, outer, tight) = (40.0_f64, 24.0_f64, 75.0_f64, 0.03);
        let p = pressure_mpa(Length::mm(tight), Length::mm(d), steel(di, d), steel(d, outer));
        let short = 207_000.0 * tight / (2.0 * d.powi(3)) * (outer * outer - d * d) * (d * d - di * di)
            / (outer * outer - di * di);
        assert!((p / short - 1.0).abs() < 1e-12);
    }

    /// A thin bush in a stiff housing closes by nearly all of the interference: the rule of the trade.
    #[test]
    fn a_thin_bush_closes_by_its_press_fit() {
        let (bush, tight) = (steel(38.0, 40.0), Length::mm(0.03));
        let block = Cylinder { modulus_mpa: 1e9, ..steel(40.0, 400.0) };
        let closing =
            bore_closing(pressure_mpa(tight, Length::mm(40.0), bush, block), Length::mm(40.0), bush);
        assert!((closing / tight - 1.0).abs() < 0.05, "{}", closing / tight);
    }
}
