//! The bar's finite elements against the textbook beams. Closed forms and tables: Blevins, Formulas for Natural Frequency
//! and Mode Shape (from memory), unless a row says otherwise; characteristic equations are solved here.

use flankwise_bench::job::{Bar, BarMaterial, BarPart, BarShape};
use flankwise_bench::tool::bar::{self, Section};
use flankwise_bench::tool::beam::{Beam, Stretch};
use flankwise_thread::Length;
use std::f64::consts::TAU;

/// A stretch with E I and mass per metre in proportion to the second and the first number, at its clamp's side and at
/// its tip's, straight between.
fn stretch(length_m: f64, at: impl Fn(f64) -> (f64, f64) + 'static) -> Stretch<'static> {
    Stretch { length_m, at: Box::new(at) }
}

fn beam(stretches: Vec<Stretch<'static>>) -> Beam<'static> {
    Beam { stretches, tip_mass_kg: 0.0, clamp_n_m: None, joint_n_per_m: None }
}

/// λ² with f = λ²/(2π L²) √(E I / m), E I and m those at the clamp: both are 1 here.
fn coefficient(beam: &Beam<'_>) -> f64 {
    let length: f64 = beam.stretches.iter().map(|s| s.length_m).sum();
    beam.assembled().expect("a beam").first_mode().hz * TAU * length * length
}

/// The root of a function that changes its sign once between the two, by halving.
fn root(f: impl Fn(f64) -> f64, mut lo: f64, mut hi: f64) -> f64 {
    let rising = f(lo) < 0.0;
    for _ in 0..200 {
        let middle = 0.5 * (lo + hi);
        if (f(middle) < 0.0) == rising { lo = middle } else { hi = middle }
    }
    lo
}

fn close(found: f64, expected: f64, what: &str) {
    assert!((found / expected - 1.0).abs() < 1e-3, "{what}: {found}, not {expected}");
}

#[test]
fn cantilever() {
    // cos λ cosh λ = −1.
    let lambda = root(|x| x.cos() * x.cosh() + 1.0, 1.0, 3.0);
    assert!((lambda * lambda - 3.516_015).abs() < 1e-6);
    close(coefficient(&beam(vec![stretch(1.0, |_| (1.0, 1.0))])), lambda * lambda, "one stretch");
    let split =
        vec![stretch(0.3, |_| (1.0, 1.0)), stretch(0.5, |_| (1.0, 1.0)), stretch(0.2, |_| (1.0, 1.0))];
    close(coefficient(&beam(split)), lambda * lambda, "three stretches");
}

/// 1 + cos λ cosh λ = (M/mL) λ (sin λ cosh λ − cos λ sinh λ).
#[test]
fn cantilever_with_a_mass_at_its_tip() {
    for share in [0.05, 0.2, 1.0, 5.0] {
        let f = |x: f64| 1.0 + x.cos() * x.cosh() - share * x * (x.sin() * x.cosh() - x.cos() * x.sinh());
        let lambda = root(f, 0.3, 1.9);
        let b = Beam { tip_mass_kg: share, ..beam(vec![stretch(1.0, |_| (1.0, 1.0))]) };
        close(coefficient(&b), lambda * lambda, "tip mass");
    }
}

/// A clamp that turns: 1 + cos λ cosh λ = (E I / K L) λ (cosh λ sin λ − sinh λ cos λ).
#[test]
fn cantilever_on_a_clamp_that_turns() {
    for give in [0.05, 0.3, 1.0, 4.0] {
        let f = |x: f64| 1.0 + x.cos() * x.cosh() - give * x * (x.cosh() * x.sin() - x.sinh() * x.cos());
        let lambda = root(f, 0.3, 1.9);
        let b = Beam { clamp_n_m: Some(1.0 / give), ..beam(vec![stretch(1.0, |_| (1.0, 1.0))]) };
        close(coefficient(&b), lambda * lambda, "turning clamp");
    }
}

/// A wedge of even width that tapers to a point: 5.3151; a cone to a point: 8.7192 (Kirchhoff 1879, in Blevins's and
/// other tables; from memory). E I goes with the cube and the mass with the first power of the thickness; of a cone with
/// the fourth and the second.
#[test]
fn tapers_to_a_point() {
    let wedge = |share: f64| ((1.0 - share).powi(3), 1.0 - share);
    close(coefficient(&beam(vec![stretch(1.0, wedge)])), 5.3151, "wedge");
    let cone = |share: f64| ((1.0 - share).powi(4), (1.0 - share).powi(2));
    close(coefficient(&beam(vec![stretch(1.0, cone)])), 8.7192, "cone");
}

/// A stepped cantilever by its own characteristic determinant: both halves as sums of sines and hyperbolic sines, joined
/// in deflection, slope, moment and shear. Independent of elements.
fn stepped(ratio_bending: f64, ratio_mass: f64, at: f64) -> f64 {
    let determinant = |omega: f64| {
        let (b1, b2) = (omega.sqrt(), (omega * omega * ratio_mass / ratio_bending).powf(0.25));
        // From the clamp: w = A (cosh − cos) + B (sinh − sin); the state at the step, then on by b2 to the free end.
        let start = |a: bool| {
            let x = b1 * at;
            let (c, s, ch, sh) = (x.cos(), x.sin(), x.cosh(), x.sinh());
            if a {
                [ch - c, b1 * (sh + s), b1 * b1 * (ch + c), b1.powi(3) * (sh - s)]
            } else {
                [sh - s, b1 * (ch - c), b1 * b1 * (sh + s), b1.powi(3) * (ch + c)]
            }
        };
        let end = |[w, t, m, q]: [f64; 4]| {
            let x = b2 * (1.0 - at);
            let (c, s, ch, sh) = (x.cos(), x.sin(), x.cosh(), x.sinh());
            let (m, q) = (m / ratio_bending, q / ratio_bending);
            // Coefficients of cosh, sinh, cos, sin behind the step.
            let (p, r) = (0.5 * (w + m / (b2 * b2)), 0.5 * (t / b2 + q / b2.powi(3)));
            let (u, v) = (0.5 * (w - m / (b2 * b2)), 0.5 * (t / b2 - q / b2.powi(3)));
            [p * ch + r * sh - u * c - v * s, p * sh + r * ch + u * s - v * c]
        };
        let (a, b) = (end(start(true)), end(start(false)));
        a[0] * b[1] - a[1] * b[0]
    };
    // The first sign change from below.
    let mut omega = 0.05;
    let first = determinant(omega).signum();
    while determinant(omega * 1.01).signum() == first {
        omega *= 1.01;
    }
    root(determinant, omega, omega * 1.01)
}

#[test]
fn stepped_cantilever() {
    close(stepped(1.0, 1.0, 0.4), 3.516_015, "the determinant itself");
    // A round step of half the diameter has a sixteenth of the bending stiffness and a quarter of the mass.
    for (ratio, at) in [(0.5, 0.5), (0.7, 0.3), (0.8, 0.75), (1.3, 0.5)] {
        let (bending, mass) = (f64::powi(ratio, 4), f64::powi(ratio, 2));
        let b = beam(vec![stretch(at, |_| (1.0, 1.0)), stretch(1.0 - at, move |_| (bending, mass))]);
        close(coefficient(&b), stepped(bending, mass, at), "stepped");
    }
}

/// Static: 3 E I / L³; a stepped bar by the integral of (L − x)² / E I; a clamp adds L² / K.
#[test]
fn static_stiffness_in_closed_form() {
    let k = |b: &Beam<'_>| b.assembled().expect("a beam").stiffness_n_per_mm() * 1e3;
    close(k(&beam(vec![stretch(2.0, |_| (5.0, 1.0))])), 3.0 * 5.0 / 8.0, "plain");
    let two = || vec![stretch(0.6, |_| (5.0, 1.0)), stretch(0.4, |_| (2.0, 1.0))];
    let bend = (1.0 - 0.4_f64.powi(3)) / (3.0 * 5.0) + 0.4_f64.powi(3) / (3.0 * 2.0);
    close(k(&beam(two())), 1.0 / bend, "stepped");
    close(k(&Beam { clamp_n_m: Some(4.0), ..beam(two()) }), 1.0 / (bend + 1.0 / 4.0), "clamp");
    let sprung = Beam { clamp_n_m: Some(4.0), joint_n_per_m: Some(10.0), ..beam(two()) };
    close(k(&sprung), 1.0 / (bend + 1.0 / 4.0 + 1.0 / 10.0), "clamp and joint");
}

/// A modal spring of a plain cantilever: ω² m with a quarter of its mass at the tip.
#[test]
fn modal_stiffness_of_a_cantilever() {
    let mode = beam(vec![stretch(1.0, |_| (1.0, 1.0))]).assembled().expect("a beam").first_mode();
    close(mode.stiffness_n_per_mm * 1e3, 3.516_015_f64.powi(2) * 0.25, "modal stiffness");
}

fn steel(shape: BarShape, size: f64) -> Bar {
    Bar::plain(shape, Length::mm(size), None, BarMaterial::Steel)
}

/// A real clamp as the trade knows it: 0.6 to 0.8 of the ideal frequency at three to five diameters (common practice, no
/// source).
#[test]
fn a_real_clamp_costs_what_practice_says() {
    for diameters in [3.0, 4.0, 5.0] {
        let answer = bar::answer(&steel(BarShape::Round, 16.0), Length::mm(16.0 * diameters), 0.0);
        let share = answer.mode.hz / answer.ideal_hz;
        assert!((0.6..=0.8).contains(&share), "{diameters}: {share}");
    }
}

/// Half a disc: (π/8 − 8/(9π)) r⁴ about its own neutral line (handbook tables; from memory); a flat that takes nothing
/// leaves the disc.
#[test]
fn flatted_sections_by_their_moments() {
    let (d, r) = (Length::mm(20.0), 10.0_f64);
    let section = |flat: f64| Section { shape: BarShape::Flatted, size: d, flat: Some(Length::mm(flat)) };
    close(section(10.0).second_moment_mm4(), 0.109_757 * r.powi(4), "half");
    close(section(10.0).area_mm2(), TAU / 4.0 * r * r, "half");
    close(section(20.0).second_moment_mm4(), Section::plain(BarShape::Round, d).second_moment_mm4(), "whole");
    // By strips.
    let flat = 14.0 - r;
    let strip = |x: f64| 2.0 * (r * r - x * x).max(0.0).sqrt();
    let sum = |f: &dyn Fn(f64) -> f64| {
        let n = 200_000;
        let step = (r + flat) / f64::from(n);
        (0..n).map(|i| -flat + step * (f64::from(i) + 0.5)).map(|x| f(x) * step).sum::<f64>()
    };
    let (area, first) = (sum(&strip), sum(&|x| strip(x) * x));
    let second = sum(&|x| strip(x) * (x - first / area).powi(2));
    close(section(14.0).second_moment_mm4(), second, "by strips");
}

/// A bar with a thinner front is softer than without, stiffer than if it were thin all along; tapered lies between.
#[test]
fn steps_and_tapers_lie_between_thin_and_thick() {
    let l = Length::mm(60.0);
    let k = |b: &Bar| bar::answer(b, l, 0.0).ideal_n_per_mm;
    let front = |tapers| Bar {
        front: vec![BarPart { length: Length::mm(40.0), size: Length::mm(10.0) }],
        tapers,
        ..steel(BarShape::Round, 16.0)
    };
    let (thin, thick) = (k(&steel(BarShape::Round, 10.0)), k(&steel(BarShape::Round, 16.0)));
    let (step, taper) = (k(&front(false)), k(&front(true)));
    assert!(thin < step && step < taper && taper < thick, "{thin} {step} {taper} {thick}");
    // Stepped in closed form: 20 mm at the clamp with 16 mm, 40 mm in front with 10 mm.
    let i = |d: f64| Section::plain(BarShape::Round, Length::mm(d)).second_moment_mm4();
    let bend =
        (60f64.powi(3) - 40f64.powi(3)) / (3.0 * 206e3 * i(16.0)) + 40f64.powi(3) / (3.0 * 206e3 * i(10.0));
    close(step, 1.0 / bend, "stepped bar");
}
