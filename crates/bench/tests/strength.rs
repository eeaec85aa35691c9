//! Worked examples of power screws, reproduced. Add one as a line of `fixtures/nut.txt`.

use flankwise_bench::fit::column::{self, Column};
use flankwise_bench::fit::{play, strength};
use flankwise_bench::job::Ends;
use flankwise_thread::{Angle, Element, Family, Force, Length, Pitch, Thread, Unit};
use std::collections::BTreeSet;
use std::f64::consts::PI;

/// Inputs of one example, in millimetres, newtons and newton-metres.
struct Inputs<'a>(&'a str);

impl Inputs<'_> {
    fn maybe(&self, name: &str) -> Option<f64> {
        let (_, written) =
            self.0.split(';').filter_map(|pair| pair.trim().split_once('=')).find(|(n, _)| *n == name)?;
        let (number, unit) = written.split_once(' ').unwrap_or((written, ""));
        let number: f64 = number.parse().unwrap_or_else(|_| panic!("{written}"));
        Some(number * scale(unit))
    }
    fn get(&self, name: &str) -> f64 {
        self.maybe(name).unwrap_or_else(|| panic!("{name} is missing in {}", self.0))
    }
    fn mm(&self, name: &str) -> Length {
        Length::mm(self.get(name))
    }
    fn load(&self) -> Force {
        Force::newton(self.get("F"))
    }
    fn half(&self) -> Angle {
        Angle::deg(self.get("half"))
    }
    fn raising(&self, load: Force) -> f64 {
        let (dm, l) = (self.mm("dm"), self.mm("l"));
        strength::raising_torque_nm(load, dm, l, self.half(), self.get("f"), self.collar())
    }
    fn column(&self) -> Column {
        Column {
            root: self.mm("d"),
            length: self.mm("L"),
            ends: Ends::Simple,
            modulus_mpa: self.get("E"),
            yield_mpa: self.get("Sy"),
            density: 7850.0,
        }
    }
    fn collar(&self) -> Option<strength::Collar> {
        let (friction, diameter) = self.maybe("fc").zip(self.maybe("dc"))?;
        Some(strength::Collar { friction, diameter: Length::mm(diameter) })
    }
}

/// To millimetres, newtons, newton-metres, N/mm².
fn scale(unit: &str) -> f64 {
    let lbf = Force::lbf(1.0).to_newton();
    match unit {
        "" | "mm" | "N" | "N m" | "W" | "1" | "deg" | "N/mm2" => 1.0,
        "in" | "in2/in" => 25.4,
        "lbf" => lbf,
        "lbf in" => lbf * 0.0254,
        "psi" => lbf / 645.16,
        other => panic!("unit {other}"),
    }
}

fn compute(what: &str, x: &Inputs) -> f64 {
    match what {
        "raising torque" => x.raising(x.load()),
        "overall efficiency" => strength::efficiency(x.load(), x.mm("l"), x.raising(x.load())),
        "clamping force" => x.get("T") / x.raising(Force::newton(1.0)),
        "power" => x.raising(x.load()) * 2.0 * PI * x.get("n") / 60.0,
        "bearing pressure" => strength::bearing_mpa(x.load(), x.mm("p"), x.mm("dm"), x.mm("h"), x.mm("L")),
        "nut length" => {
            let p = x.mm("p");
            let least = strength::bearing_length(x.load(), p, x.mm("dm"), x.mm("h"), x.get("allowed"));
            (p * (least / p).ceil()).to_mm()
        }
        "shear area" => {
            let (at, p) = (x.mm("at"), x.mm("p"));
            let slope = play::slope(x.half(), x.half());
            let groove = play::groove_width(Element::External, at, Length::ZERO, x.mm("dm"), p, slope);
            1.0 / strength::shear_mpa(Force::newton(1.0), p, at, p - groove, Length::mm(1.0))
        }
        "column load" => x.column().critical_load().0.to_newton(),
        "column transition" => x.column().transition(),
        "critical speed" => x.column().critical_rpm(),
        "lowering torque" => {
            strength::lowering_torque_nm(x.load(), x.mm("dm"), x.mm("l"), x.half(), x.get("f"), x.collar())
        }
        "lead angle" => {
            let pitch = Pitch { length: x.mm("l"), written: Unit::Inch };
            let thread = Thread::new(Family::Acme, Length::inch(1.5), Unit::Inch, pitch);
            thread.lead_angle(x.mm("dm")).to_deg()
        }
        "efficiency" => strength::efficiency(x.load(), x.mm("l"), x.get("T")),
        "shear length" => strength::shear_length(x.load(), x.get("tau"), x.get("a")).to_mm(),
        "first thread pressure" => {
            let load = x.load() * strength::FIRST_THREAD;
            strength::bearing_mpa(load, x.mm("p"), x.mm("dm"), x.mm("h"), x.mm("p"))
        }
        "play" => {
            play::missing(Element::Internal, x.mm("dd2"), Length::ZERO, play::slope(x.half(), x.half()))
                .to_mm()
        }
        "bending" => {
            let (p, foot, thick) = (x.mm("p"), x.mm("foot"), x.mm("t"));
            strength::bending_mpa(x.load(), p, foot, thick, x.mm("a"), x.mm("L"))
        }
        "core stress" => column::core_mpa(x.load(), x.get("T"), x.mm("d")),
        "locking friction" => strength::locking_friction(x.mm("l"), x.mm("dm"), x.half()),
        other => panic!("nothing computes {other}"),
    }
}

#[test]
fn worked_examples() {
    let mut published = BTreeSet::new();
    for line in include_str!("fixtures/nut.txt").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<_> = line.split('|').map(str::trim).collect();
        let [what, inputs, expected, unit, tolerance, source] = cells[..] else { panic!("{line}") };
        let number = |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{text}"));
        let got = compute(what, &Inputs(inputs)) / scale(unit);
        assert!(
            (got - number(expected)).abs() <= number(tolerance),
            "{what}, {source}: {got} instead of {expected} {unit}"
        );
        if !source.starts_with("memory") && !source.starts_with("derived") {
            published.insert(source.split(':').next().unwrap_or(source));
        }
    }
    // Examples, not values: most of them print several.
    assert!(published.len() >= 12, "{published:?}");
}
