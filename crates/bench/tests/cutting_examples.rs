//! Worked examples of infeed, force, bar and geometry against the functions that the stages use
//! (`fixtures/cutting.csv`; each row names its source).

use flankwise_bench::cut::device::{round_to, settle};
use flankwise_bench::cut::feed::compound_travel;
use flankwise_bench::cut::force::{Kienzle, THRUST, spindle_kw};
use flankwise_bench::cut::groove::{Flanks, Groove};
use flankwise_bench::cut::plan::root_rule_depth;
use flankwise_bench::job::BarShape;
use flankwise_bench::tool::bar::Section;
use flankwise_bench::tool::{bar, chatter, first_order, grind};
use flankwise_thread::{Angle, Element, Force, Length};

struct Example {
    topic: &'static str,
    calculation: &'static str,
    name: &'static str,
    inputs: Vec<(&'static str, Vec<f64>)>,
    expected: f64,
    tolerance: f64,
    source: &'static str,
}

impl Example {
    fn list(&self, key: &str) -> &[f64] {
        let found = self.inputs.iter().find(|(k, _)| *k == key);
        &found.unwrap_or_else(|| panic!("{}: no input {key}", self.name)).1
    }
    fn get(&self, key: &str) -> f64 {
        self.list(key)[0]
    }
    fn has(&self, key: &str) -> bool {
        self.inputs.iter().any(|(k, _)| *k == key)
    }
}

fn examples() -> Vec<Example> {
    let lines = include_str!("fixtures/cutting.csv").lines().filter(|l| !l.starts_with('#')).skip(1);
    lines
        .map(|line| {
            let cells: Vec<_> = line.split(',').collect();
            let [topic, calculation, name, inputs, expected, _unit, tolerance, source] = cells[..] else {
                panic!("cells in `{line}`")
            };
            let number = |s: &str| s.parse::<f64>().unwrap_or_else(|_| panic!("{name}: `{s}`"));
            let inputs = inputs
                .split(' ')
                .map(|pair| {
                    let (key, value) = pair.split_once('=').unwrap_or_else(|| panic!("{name}: `{pair}`"));
                    // Exponents may hold no sign in this file, so `+` only joins.
                    (key, value.split('+').map(number).collect())
                })
                .collect();
            let (expected, tolerance) = (number(expected), number(tolerance));
            Example { topic, calculation, name, inputs, expected, tolerance, source }
        })
        .collect()
}

/// Depth of a V groove between widths in parts of the pitch, by the section the passes are planned with.
fn v_depth(pitch: f64, bottom: f64, top: f64) -> f64 {
    let tan = Angle::deg(30.0).tan();
    let groove = Groove { tip: Length::mm(bottom * pitch), flanks: Flanks::even(tan), depth: Length::ZERO };
    let depth = (top - bottom) * pitch / (2.0 * tan);
    assert!((groove.width_at(Length::mm(depth)).to_mm() - top * pitch).abs() < 1e-12);
    depth
}

fn compute(e: &Example) -> f64 {
    let mm = |key| Length::mm(e.get(key));
    let deg = |key| Angle::deg(e.get(key));
    match (e.topic, e.calculation) {
        ("infeed", "root rule step") => {
            let depth = |x: u32| {
                if x == 0 { Length::ZERO } else { root_rule_depth(mm("ap_mm"), e.get("n") as u32, x) }
            };
            let x = e.get("x") as u32;
            (depth(x) - depth(x - 1)).to_mm()
        }
        ("infeed", "compound travel") => {
            let radial = if e.has("radial_in") {
                e.get("radial_in")
            } else {
                v_depth(1.0, 0.125, 0.875) / e.get("tpi")
            };
            let angle = if e.has("angle_deg") { deg("angle_deg") } else { Angle::deg(30.0) };
            compound_travel(Length::inch(radial), angle).to_inch()
        }
        // The list as set on a 0.01 mm dial: the last reading is the total.
        ("infeed", "pass list") => {
            let mut at = 0.0;
            let depths: Vec<_> = e
                .list("passes")
                .iter()
                .map(|p| {
                    at += p;
                    Length::mm(at)
                })
                .collect();
            let set = settle(Length::ZERO, &depths, Length::mm(0.01));
            assert_eq!(set.len(), depths.len(), "{}", e.name);
            set.last().expect("passes").to_mm()
        }
        ("infeed", "root diameter") => e.get("D") - 2.0 * v_depth(1.0 / e.get("tpi"), 0.125, 0.875),
        ("infeed", "root diameter sharp") => e.get("D") - 2.0 * v_depth(1.0 / e.get("tpi"), 0.0, 1.0),
        ("force", "power") => {
            let force = Force::newton(e.get("ap_mm") * e.get("f_mm") * e.get("Kc"));
            spindle_kw(force, e.get("vc"), e.get("eff"))
        }
        ("force", "ratio") => {
            let other = if e.has("FY") { e.get("FY") } else { e.get("FX") };
            let ratio = other / e.get("FZ");
            // The share the stages reckon with covers what was measured along either direction.
            assert!(ratio < THRUST, "{}", e.name);
            ratio
        }
        ("force", "kienzle") => {
            Kienzle { kc11: e.get("kc11"), mc: e.get("mc") }.force(mm("b_mm"), mm("h_mm")).to_newton()
        }
        // The constants fitted to one published value give the other, so the exponent is theirs.
        ("force", "mc") => {
            let k = Kienzle { kc11: e.get("Kc1") * e.get("h1").powf(e.expected), mc: e.expected };
            let other = k.specific_mpa(mm("h2"));
            assert!((other / e.get("Kc2") - 1.0).abs() < 1e-3, "{}: {other}", e.name);
            k.mc
        }
        ("force", "ks") => {
            let typed = format!("{} kgf", e.get("Ks"));
            flankwise_thread::quantity::parse_force(&typed).expect("a force").to_newton()
        }
        ("bar", "second moment") if e.has("D_in") => {
            Section::plain(BarShape::Round, mm("D_in")).second_moment_mm4()
        }
        ("bar", "second moment") => Section::plain(BarShape::Round, mm("D_mm")).second_moment_mm4(),
        // A beam does not care for the unit, so the inch example is reckoned in inches and pounds.
        ("bar", "deflection") => {
            let k = bar::stiffness(e.get("E"), e.get("I"), mm("L"));
            bar::deflection(Force::newton(e.get("F")), k).to_mm()
        }
        ("bar", "frequency") => {
            use flankwise_bench::job::{Bar, BarMaterial};
            let material = match e.get("rho") {
                7850.0 => BarMaterial::Steel,
                14500.0 => BarMaterial::Carbide,
                17500.0 => BarMaterial::HeavyMetal,
                other => panic!("{}: no material of {other} kg/m³", e.name),
            };
            assert!((bar::stuff(material).modulus_mpa * 1e6 - e.get("E_Pa")).abs() < 1.0);
            let b = Bar::plain(BarShape::Round, mm("D_m") * 1e3, None, material);
            bar::first_frequency(&b, mm("L_m") * 1e3)
        }
        ("bar", "stable width") => {
            chatter::stable_width(e.get("k_N_m") / 1e3, e.get("zeta"), e.get("Ks_Pa") / 1e6).to_mm()
        }
        ("geometry", "flank clearance") => {
            first_order::flank_clearance(deg("incl_deg") * 0.5, deg("radial_deg")).to_deg()
        }
        ("geometry", "thickness") => {
            let allowance = 0.008 * e.get("D").sqrt();
            grind::groove_width(mm("P"), Length::mm(allowance), Angle::deg(14.5).tan()).to_mm()
        }
        ("geometry", "root flat") => {
            let (clearance, half) = if e.has("ac") { (mm("ac"), 15.0) } else { (mm("c"), 14.5) };
            let beyond = (mm("P") * 0.25 + clearance) * 2.0;
            grind::groove_width(mm("P"), beyond, Angle::deg(half).tan()).to_mm()
        }
        ("geometry", "lead angle") => {
            let thread = "1-5 Acme".parse::<flankwise_thread::Thread>().expect("designation");
            assert!((thread.lead().to_inch() - e.get("L")).abs() < 1e-12);
            thread.lead_angle(Length::inch(e.get("dia"))).to_deg()
        }
        ("geometry", "half angle rake") => {
            first_order::cut_half_angle(deg("half_deg"), deg("rake_deg")).to_deg()
        }
        ("geometry", "half angle height") => {
            let tilt = first_order::effective_rake(Angle::ZERO, mm("h"), mm("dia"), Element::External);
            first_order::cut_half_angle(deg("half_deg"), tilt).to_deg()
        }
        ("geometry", "off centre") => first_order::off_centre(mm("h"), mm("dia")).to_deg(),
        ("geometry", "heel") => grind::heel(mm("dia"), deg("clear_deg"), Length::ZERO).to_mm(),
        (topic, calculation) => panic!("{}: no arm for {topic} {calculation}", e.name),
    }
}

#[test]
fn worked_examples_come_out_to_the_printed_digit() {
    let all = examples();
    let mut wrong = Vec::new();
    for e in &all {
        let got = compute(e);
        if (got - e.expected).abs() > e.tolerance * (1.0 + 1e-9) + 1e-12 {
            wrong.push(format!("{} {}: {got}, not {} ({})", e.topic, e.name, e.expected, e.source));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for (topic, rows) in [("infeed", 63), ("force", 12), ("bar", 9), ("geometry", 18)] {
        assert!(all.iter().filter(|e| e.topic == topic).count() >= rows, "{topic}: rows lost");
    }
}

/// The stable width of one mode also follows from −1/(2 Ks min Re G), searched numerically: a check of the closed
/// form by another road.
#[test]
fn stable_width_is_that_of_the_numeric_minimum() {
    let (k, zeta, ks) = (1e4, 0.03, 2000.0);
    let lowest = (1..40_000)
        .map(|i| f64::from(i) / 20_000.0)
        .map(|r: f64| (1.0 - r * r) / ((1.0 - r * r).powi(2) + (2.0 * zeta * r).powi(2)) / k)
        .fold(0.0, f64::min);
    let numeric = -1.0 / (2.0 * ks * lowest);
    assert!((chatter::stable_width(k, zeta, ks).to_mm() / numeric - 1.0).abs() < 1e-3);
}

#[test]
fn rounds_to_the_nearest_division() {
    assert_eq!(round_to(Length::mm(0.031), Length::mm(0.02)), Length::mm(0.04));
}
