//! The screw as a bar between its supports: stress in its core, buckling, critical speed.

use super::load::{Case, gives_way};
use super::{Aside, strength};
use crate::job::{Duty, Ends, Run, Words};
use crate::material::Material;
use crate::report::{Answer, Block, Figure, Note, Text, Value};
use flankwise_thread::{Force, Length, Source};
use std::f64::consts::PI;

/// Euler and Johnson.
pub const BUCKLING: Source = Source::formula(
    "Shigley's Mechanical Engineering Design, 9th ed.",
    "4-12 and 4-13, equations 4-43 to 4-46",
);
/// End-condition constants.
const ENDS: Source =
    Source::memory("Shigley's Mechanical Engineering Design, 9th ed.", "Table 4-2, recommended values");
/// Stress in the core.
const CORE: Source = Source::formula(
    "Shigley's Mechanical Engineering Design, 9th ed.",
    "8-2: axial and torsional stress on the minor diameter, together by von Mises",
);
/// First bending frequency of a bar, and how near to go.
pub const WHIRL: Source = Source::table(
    "screw maker's training page (Thomson), critical speed",
    "4.76e6 dr/L² with inches for simple ends; run below 80 % of it",
);
/// Share of the critical speed to keep below (see [`WHIRL`]).
pub const SAFE_SPEED: f64 = 0.8;

/// What helps against buckling.
const HELPS: &str = "Let the load pull (make.run.pulls), hold the ends stiffer, guide or support it nearer, or take a larger thread.";

/// The screw as a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Diameter at the bottom of the thread, the smallest.
    pub root: Length,
    /// Length between the supports.
    pub length: Length,
    /// How the ends are held.
    pub ends: Ends,
    /// Modulus of elasticity, N/mm².
    pub modulus_mpa: f64,
    /// Yield strength, N/mm²; of a material without one, what it is loaded to at most.
    pub yield_mpa: f64,
    /// Density, kg/m³.
    pub density: f64,
}

/// What gives way first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// It bends out elastically.
    Euler,
    /// It yields as it bends.
    Johnson,
}

impl Column {
    /// End-condition constant C: the values recommended for real ends, which are never quite fixed.
    pub const fn end_constant(&self) -> f64 {
        match self.ends {
            Ends::FixedFree => 0.25,
            Ends::Simple => 1.0,
            Ends::FixedSimple | Ends::Fixed => 1.2,
        }
    }

    /// Slenderness l/k, k = d/4 for a round bar.
    pub fn slenderness(&self) -> f64 {
        4.0 * (self.length / self.root)
    }

    /// Slenderness from which on Euler's formula holds: √(2 π² C E / Sy).
    pub fn transition(&self) -> f64 {
        (2.0 * PI * PI * self.end_constant() * self.modulus_mpa / self.yield_mpa).sqrt()
    }

    /// Load at which it buckles: π² C E A/(l/k)² for a slender bar, A (Sy - (Sy l/(2 π k))²/(C E)) for a stout one.
    pub fn critical_load(&self) -> (Force, Rule) {
        let area = PI / 4.0 * self.root.to_mm().powi(2);
        let (slender, ce) = (self.slenderness(), self.end_constant() * self.modulus_mpa);
        if slender > self.transition() {
            (Force::newton(PI * PI * ce * area / slender.powi(2)), Rule::Euler)
        } else {
            let bent = self.yield_mpa * slender / (2.0 * PI);
            (Force::newton(area * (self.yield_mpa - bent * bent / ce)), Rule::Johnson)
        }
    }

    /// Turning at which it whirls, rev/min: its first bending frequency, (λ/L)² (d/4) √(E/ρ) / 2 π, with λ the root of
    /// the beam equation for its ends.
    pub fn critical_rpm(&self) -> f64 {
        let lambda = match self.ends {
            Ends::FixedFree => 1.875_104,
            Ends::Simple => PI,
            Ends::FixedSimple => 3.926_602,
            Ends::Fixed => 4.730_041,
        };
        // N/mm² over kg/m³ in (mm/s)².
        let wave = (self.modulus_mpa / self.density * 1e12).sqrt();
        60.0 / (2.0 * PI) * (lambda / self.length.to_mm()).powi(2) * self.root.to_mm() / 4.0 * wave
    }
}

/// Stress in the core from `load` and `torque_nm` together, N/mm²: √(σ² + 3 τ²), σ = 4 F/(π d²), τ = 16 T/(π d³).
pub fn core_mpa(load: Force, torque_nm: f64, root: Length) -> f64 {
    let d = root.to_mm();
    let axial = 4.0 * load.to_newton() / (PI * d * d);
    let twist = 16.0 * torque_nm * 1000.0 / (PI * d.powi(3));
    (axial * axial + 3.0 * twist * twist).sqrt()
}

/// Adds the block on the screw; `torque_nm` is what drives it against the load, where that is known.
pub(super) fn report(
    case: &Case,
    run: &Run,
    duty: Duty,
    torque_nm: Option<f64>,
    aside: &mut Aside,
) -> Option<Block> {
    let mut figures = Vec::new();
    let yield_mpa = case.screw.bears_mpa();
    if let (Some(load), Some(torque)) = (case.load, torque_nm) {
        core(case, load, torque, yield_mpa, &mut figures, aside);
        journal(case, torque, yield_mpa, &mut figures, aside);
    }
    match run.supported {
        Some(length) => between_supports(case, run, length, yield_mpa, &mut figures, aside),
        None if run.speed_rpm.is_some() || duty != Duty::Feed => aside.need(
            "make.run.supported",
            "length of screw between its supports: it settles buckling and the critical speed",
        ),
        None => {}
    }
    (!figures.is_empty()).then(|| Block::Figures("The screw between its supports".into(), figures))
}

fn core(case: &Case, load: Force, torque: f64, yield_mpa: f64, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let stress = core_mpa(load, torque, case.core);
    figures.push(
        Figure::new(
            "core_stress",
            "stress in the screw's core, load and the whole torque together, the collar's with it",
            Value::Mpa(stress),
            CORE,
        )
        .formula("√((4 F/π d3²)² + 3 (16 T/π d3³)²)"),
    );
    figures.push(margin("core_margin", "what the screw bears over that", yield_mpa / stress, case.screw));
    if stress > yield_mpa {
        aside.note(gives_way(
            Text::from("The load cannot be carried: with its torque it stresses the screw's core to ")
                .v(Value::Mpa(stress))
                .s(format!(", and {} {} ", case.screw.name, case.screw.gives_way()))
                .v(Value::Mpa(yield_mpa))
                .s(". A stronger screw or a larger thread would carry it, or less load; a longer nut does not help."),
            case.screw,
        ));
    } else if stress * strength::SAFETY > yield_mpa {
        aside.note(
            Note::warning(
                Text::from("The screw's core is stressed to ")
                    .v(Value::Mpa(stress))
                    .s(format!(
                        ", more than a third of what {} bears: it {} ",
                        case.screw.name,
                        case.screw.gives_way()
                    ))
                    .v(Value::Mpa(yield_mpa))
                    .s("."),
            )
            .field("make.load")
            .source(case.screw.strength_source),
        );
    }
}

/// The thinnest step of a screw that is made, twisted by the whole torque; its load may go another way.
fn journal(case: &Case, torque: f64, bears: f64, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let Some(thin) = case.journal else { return };
    let stress = core_mpa(Force::ZERO, torque, thin);
    figures.push(
        Figure::new(
            "step_stress",
            "stress in the screw's thinnest step, if the whole torque goes through it",
            Value::Mpa(stress),
            CORE,
        )
        .formula("√3 · 16 T/π d³"),
    );
    if stress * strength::SAFETY > bears {
        aside.note(
            Note::warning(
                Text::from("The step of ")
                    .len(thin)
                    .s(" is twisted with ")
                    .v(Value::Mpa(stress))
                    .s(format!(
                        " if that end is driven, more than a third of what {} bears: it {} ",
                        case.screw.name,
                        case.screw.gives_way()
                    ))
                    .v(Value::Mpa(bears))
                    .s(". Drive the other end, or make it thicker."),
            )
            .field("make.step")
            .source(case.screw.strength_source),
        );
    }
}

fn margin(key: &'static str, what: &str, ratio: f64, of: &Material) -> Figure {
    Figure::new(key, what, Value::Number(ratio, 1), of.strength_source)
}

fn between_supports(
    case: &Case,
    run: &Run,
    length: Length,
    yield_mpa: f64,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let column = Column {
        root: case.root,
        length,
        ends: run.ends.unwrap_or(Ends::Simple),
        modulus_mpa: case.screw.modulus_mpa,
        yield_mpa,
        density: case.screw.density,
    };
    if run.ends.is_none() {
        let answers = Ends::WORDS.iter().map(|word| Answer::one(*word, "make.run.ends", *word)).collect();
        aside.note(
            Note::warning(
                "How the screw's ends are held is not said: both are taken as simply supported. With one of them in the air it buckles at a quarter of the load given here, and whirls at little more than a third of the speed.",
            )
            .field("make.run.ends")
            .source(ENDS)
            .answers(answers),
        );
    }
    let (critical, rule) = column.critical_load();
    let formula = match rule {
        Rule::Euler => "π² C E A / (l/k)²",
        Rule::Johnson => "A (Sy - (Sy l / 2 π k)² / C E)",
    };
    figures.push(
        Figure::new(
            "buckling_load",
            match rule {
                Rule::Euler => "load at which the screw buckles, pushed; slender (Euler)",
                Rule::Johnson => "load at which the screw buckles, pushed; stout (Johnson)",
            },
            Value::Force(critical),
            BUCKLING,
        )
        .formula(formula),
    );
    if let Some(load) = case.load.filter(|_| !run.pulls) {
        let ratio = critical.to_newton() / load.to_newton();
        figures.push(Figure::new("buckling_margin", "that over the load", Value::Number(ratio, 1), BUCKLING));
        if ratio < 1.0 {
            let text = Text::from("The load cannot be carried: pushed with ")
                .v(Value::Force(load))
                .s(", the screw buckles; it does so at ")
                .v(Value::Force(critical))
                .s(format!(". {HELPS}"));
            aside.note(Note::impossible(text).field("make.run.supported").source(BUCKLING));
        } else if ratio < strength::SAFETY {
            aside.note(
                Note::warning(
                    Text::from("Pushed with ")
                        .v(Value::Force(load))
                        .s(", the screw is nearer to buckling than is usual: it would at ")
                        .v(Value::Force(critical))
                        .s(", ")
                        .v(Value::Number(ratio, 1))
                        .s(format!(" times that, and three times is usual. {HELPS}")),
                )
                .field("make.run.supported")
                .source(BUCKLING),
            );
        }
    }
    let rpm = column.critical_rpm();
    figures.push(
        Figure::new("critical_speed", "speed at which the screw whirls", Value::Rpm(rpm), WHIRL)
            .formula("60/(2 π) (λ/L)² (d3/4) √(E/ρ)"),
    );
    if let Some(speed) = run.speed_rpm.filter(|speed| *speed > rpm * SAFE_SPEED) {
        let text = Text::from("At ").v(Value::Rpm(speed));
        let text = if speed > rpm {
            text.s(" the screw runs beyond its critical speed of ")
                .v(Value::Rpm(rpm))
                .s(" and whirls: keep below ")
        } else {
            text.s(" the screw is near its critical speed of ").v(Value::Rpm(rpm)).s(": keep below ")
        };
        let text = text.v(Value::Rpm(rpm * SAFE_SPEED)).s(", hold the ends stiffer, or support it nearer.");
        aside.note(Note::warning(text).field("make.run.speed_rpm").source(WHIRL));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(root: f64, length: f64, ends: Ends) -> Column {
        Column {
            root: Length::mm(root),
            length: Length::mm(length),
            ends,
            modulus_mpa: 207_000.0,
            yield_mpa: 500.0,
            density: 7850.0,
        }
    }

    /// The two formulas meet where one hands over to the other, at half the yield strength.
    #[test]
    fn euler_and_johnson_meet() {
        let at = column(20.0, 1.0, Ends::Simple).transition() * 20.0 / 4.0;
        let (below, above) =
            (column(20.0, at * 0.999_999, Ends::Simple), column(20.0, at * 1.000_001, Ends::Simple));
        let ((johnson, one), (euler, other)) = (below.critical_load(), above.critical_load());
        assert_eq!((one, other), (Rule::Johnson, Rule::Euler));
        assert!((johnson.to_newton() / euler.to_newton() - 1.0).abs() < 1e-5);
        assert!((euler.to_newton() / (PI / 4.0 * 400.0) - 250.0).abs() < 0.01);
    }

    #[test]
    fn stiffer_ends_carry_more_and_whirl_later() {
        let all =
            [Ends::FixedFree, Ends::Simple, Ends::FixedSimple, Ends::Fixed].map(|e| column(17.0, 900.0, e));
        assert!(all.windows(2).all(|c| c[0].critical_rpm() < c[1].critical_rpm()));
        assert!(all.windows(2).all(|c| c[0].critical_load().0 <= c[1].critical_load().0));
    }
}
