//! A body pressed into its housing, as two thick cylinders (Lamé): pressure between them, force to press, and what the
//! bore closes by, which tightens the thread.
//!
//! The nut is reckoned as a tube bored to the bottom of its thread. Its ridges, left out, would stiffen it, so it closes
//! by no more than is said here.

use super::Aside;
use super::body::Seat;
use crate::job::Job;
use crate::material::{self, Material};
use crate::report::{Figure, Fine, Note, Text, Value};
use flankwise_thread::{Element, Force, Length, Source};
use std::f64::consts::PI;

/// Pressure of a press fit.
pub const PRESSURE: Source =
    Source::formula("Shigley's Mechanical Engineering Design, 9th ed.", "3-16, equation 3-56");
/// Closing of the bore and stress in it.
const LAME: Source =
    Source::formula("Shigley's Mechanical Engineering Design, 9th ed.", "3-14, thick cylinders (Lamé)");
/// Growth of its length.
const LENGTHENING: Source = Source::derived(
    "radial and hoop stress of a thick cylinder add up to the same everywhere; Hooke's law along it",
);
/// Friction of pressing: the upper of what is printed, which gives the force to reckon with.
const FRICTION: f64 = 0.20;
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

/// What `inside` grows longer by over `length` when its bore closes so: ν times the share that the bore closes by.
pub fn lengthening(closing: Length, inside: Cylinder, length: Length) -> Length {
    length * (inside.poisson * (closing / inside.inner))
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

/// A nut as pressing it in will leave it: of each pair what the least and the most interference do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    /// Interference on the diameter; zero at least, where the fit may turn out a sliding one.
    pub tight: (Length, Length),
    /// Pressure between body and housing, N/mm².
    pub pressure_mpa: (f64, f64),
    /// What bore and thread close by on the diameter.
    pub closing: (Length, Length),
    /// What the nut grows longer by over its thread.
    pub longer: (Length, Length),
    /// Axial play that both take.
    pub takes: (Length, Length),
    /// Force to press it in, at the most interference and the upper friction.
    pub force: Force,
    /// Stress round the bore at the most interference, N/mm².
    pub hoop_mpa: f64,
    /// The wall yields at that: the bore may close by all of the interference.
    pub yields: bool,
}

/// What pressing in does to a nut of `stuff` whose thread is `bottom` deep at most and `length` long; none for a screw
/// and for a body that slides in.
pub(super) fn plan(
    job: &Job,
    seat: &Seat,
    stuff: &Material,
    (bottom, length): (Length, Length),
    slope: f64,
    aside: &mut Aside,
) -> Option<Pressed> {
    let at = seat.nominal;
    let (least, most) = seat.tight?;
    if job.make.part != Element::Internal || most <= Length::ZERO || bottom >= at {
        return None;
    }
    let tight = (least.max(Length::ZERO), most);
    let inside =
        Cylinder { inner: bottom, outer: at, modulus_mpa: stuff.modulus_mpa, poisson: stuff.poisson };
    let outside = housing(job, at, aside);
    let pressure_mpa = both(tight, |t| pressure_mpa(t, at, inside, outside));
    let hoop_mpa = hoop_mpa(pressure_mpa.1, at, inside);
    let yields = stuff.yield_mpa.is_some_and(|y| hoop_mpa > y);
    let (closes_least, elastic) = both(pressure_mpa, |p| bore_closing(p, at, inside));
    let closing = (closes_least, if yields { elastic.max(most) } else { elastic });
    let longer = both(closing, |c| lengthening(c, inside, length));
    Some(Pressed {
        tight,
        pressure_mpa,
        closing,
        longer,
        takes: (closing.0 * slope + longer.0, closing.1 * slope + longer.1),
        force: force(pressure_mpa.1, at, pressed_length(job, length), FRICTION),
        hoop_mpa,
        yields,
    })
}

fn both<T, U>((least, most): (T, T), of: impl Fn(T) -> U) -> (U, U) {
    (of(least), of(most))
}

impl Pressed {
    /// By how much the play once pressed in may differ with the interference.
    pub fn open(&self) -> Length {
        self.takes.1 - self.takes.0
    }
}

/// Adds what pressing in does, and says what the sizes make of it.
pub(super) fn report(pressed: &Pressed, stuff: &Material, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let band = |(least, most), fine| Value::Band(least, most, fine);
    figures.extend([
        Figure::new(
            "body_modulus",
            "modulus of elasticity of the body",
            Value::Mpa(stuff.modulus_mpa),
            stuff.modulus_source,
        )
        .symbol("Ei"),
        Figure::new(
            "press_pressure",
            "pressure between body and housing, at the tightest",
            Value::Mpa(pressed.pressure_mpa.1),
            PRESSURE,
        )
        .formula("δ / (d ((1/Eo) ((do² + d²)/(do² - d²) + νo) + (1/Ei) ((d² + di²)/(d² - di²) - νi)))"),
        Figure::new(
            "press_force",
            "force to press it in, at the tightest and the upper friction",
            Value::Force(pressed.force),
            FRICTION_SOURCE,
        )
        .formula("f p π d L"),
        Figure::new(
            "bore_closing",
            "what bore and thread close by on the diameter when pressed in",
            band(pressed.closing, Fine::Gauge),
            LAME,
        )
        .formula("2 p d² di / (E (d² - di²))"),
        Figure::new(
            "press_longer",
            "what the nut grows longer by over its thread",
            band(pressed.longer, Fine::Gauge),
            LENGTHENING,
        )
        .formula("ν L closing / di"),
        Figure::new(
            "press_play",
            "axial play that both take",
            band(pressed.takes, Fine::Gauge),
            super::play::SOURCE,
        )
        .formula("closing (tan α + tan α') / 2 + growth"),
    ]);
    let text = Text::from("Pressed in with ")
        .v(band(pressed.tight, Fine::Gauge))
        .s(", the thread closes by ")
        .v(band(pressed.closing, Fine::Gauge))
        .s(" on the diameter and grows longer by ")
        .v(band(pressed.longer, Fine::Gauge))
        .s(", which takes ")
        .v(band(pressed.takes, Fine::Gauge))
        .s(" of play. The sizes here are those to cut before pressing, larger by the most of it; the play is that once it is pressed in at its tightest, and up to ")
        .v(Value::Length(pressed.open(), Fine::Gauge))
        .s(" more at its lightest. Or press the blank in first and cut the thread in its housing, if the lathe takes that: then to sizes smaller by ")
        .v(Value::Length(pressed.closing.1, Fine::Gauge))
        .s(".");
    aside.note(Note::remark(text).field("make.body.fit").source(LAME));
    if pressed.yields {
        let text = Text::from("Round the bore the stress of pressing reaches ")
            .v(Value::Mpa(pressed.hoop_mpa))
            .s(", more than ")
            .v(Value::Mpa(stuff.yield_mpa.unwrap_or_default()))
            .s(" that this material yields at: the wall gives way, and the bore may close by all of the press fit. A lighter fit, or a thicker wall, keeps it springy.");
        aside.note(Note::warning(text).field("make.body.fit").source(LAME));
    }
}

/// Length of the body that sits in the housing: what the flange leaves.
fn pressed_length(job: &Job, thread: Length) -> Length {
    let body = &job.make.body;
    let whole = body.length.unwrap_or(thread);
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
    } else if outer.is_none() {
        aside.need(
            "make.body.housing_outside",
            "outside of the housing: it settles how hard the body is to press in; twice the bore is taken",
        );
    }
    if typed.is_none() {
        aside.need(
            "make.body.housing_material",
            "material of the housing: it settles how hard the body is to press in; grey cast iron is taken",
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

    /// A steel shaft of 1 in in a cast iron hub of 2 in, 0.001 in tight on the radius: 13 064 psi, and 21 770 psi round the
    /// hub's bore (solutions to Shigley's Mechanical Engineering Design, problem 3-69).
    #[test]
    fn two_materials() {
        let psi = 0.006_894_757;
        let shaft = Cylinder {
            inner: Length::ZERO,
            outer: Length::inch(1.0),
            modulus_mpa: 30e6 * psi,
            poisson: 0.292,
        };
        let hub = Cylinder {
            inner: Length::inch(1.0),
            outer: Length::inch(2.0),
            modulus_mpa: 14.5e6 * psi,
            poisson: 0.211,
        };
        let p = pressure_mpa(Length::inch(0.002), Length::inch(1.0), shaft, hub) / psi;
        assert!((p - 13_064.0).abs() < 1.0, "{p}");
        let round_the_hub = p * (2.0_f64.powi(2) + 1.0) / (2.0_f64.powi(2) - 1.0);
        assert!((round_the_hub - 21_770.0).abs() < 5.0, "{round_the_hub}");
    }

    /// Steel tubes of 8, 12 and 16 in, 0.005 in tight on the radius: 4050 psi between them and 14 600 psi round the inner
    /// bore (Timoshenko, Strength of Materials, part II, built-up cylinders; from memory). Nothing presses on that bore
    /// itself, so it closes by the stress over the modulus.
    #[test]
    fn a_built_up_cylinder() {
        let psi = 0.006_894_757;
        let tube = |inner, outer| Cylinder {
            inner: Length::inch(inner),
            outer: Length::inch(outer),
            modulus_mpa: 30e6 * psi,
            poisson: 0.3,
        };
        let (at, inside) = (Length::inch(12.0), tube(8.0, 12.0));
        let p = pressure_mpa(Length::inch(0.010), at, inside, tube(12.0, 16.0));
        assert!((p / psi - 4050.0).abs() < 5.0, "{}", p / psi);
        assert!((hoop_mpa(p, at, inside) / psi - 14_600.0).abs() < 20.0);
        let closing = bore_closing(p, at, inside).to_inch();
        assert!((closing - 8.0 * 14_600.0 / 30e6).abs() < 1e-5, "{closing}");
    }

    /// Under pressure from without the sum of the stresses is -2 p d²/(d² - di²) everywhere, so the length grows by ν
    /// over E of that (Roark's Formulas for Stress and Strain, thick shells under uniform external pressure; from memory).
    #[test]
    fn a_pressed_tube_grows_longer() {
        let (p, inside) = (50.0, steel(20.0, 40.0));
        let by_the_book = 0.27 * p * 33.0 / 207_000.0 * 2.0 * 40.0 * 40.0 / (40.0 * 40.0 - 20.0 * 20.0);
        let grown = lengthening(bore_closing(p, Length::mm(40.0), inside), inside, Length::mm(33.0));
        assert!((grown.to_mm() - by_the_book).abs() < 1e-12);
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
