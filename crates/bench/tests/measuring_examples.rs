//! Worked examples of measuring uncertainty against the functions that readings are weighed by
//! (`fixtures/measuring.csv`; each row names its source).

use flankwise_bench::evidence::{self, uncertainty};
use flankwise_bench::job::{self, Feature, Instrument, Quantity, Reading};
use flankwise_thread::quantity::parse_pitch;
use flankwise_thread::{Element, Length, Unit};

struct Inputs<'a>(&'a str);

impl Inputs<'_> {
    fn get(&self, key: &str) -> f64 {
        let found = self.0.split(' ').find_map(|pair| pair.strip_prefix(key)?.strip_prefix('='));
        found.and_then(|v| v.parse().ok()).unwrap_or_else(|| panic!("no {key} in {}", self.0))
    }
}

/// Takes the share of the instrument's step out of an uncertainty: the examples leave it out.
fn without_step(u: Length, step: Length) -> f64 {
    (u.to_mm().powi(2) - (step.to_mm() / 12f64.sqrt()).powi(2)).sqrt()
}

fn pitch_reading(value_mm: f64, typed: String, n: u32) -> Reading {
    let value = Quantity::Length(Length::mm(value_mm), Unit::Mm);
    let plain = Reading::plain(Element::External, Feature::Pitch, value, typed, Instrument::Calliper);
    Reading { count: Some(n), ..plain }
}

fn compute(calculation: &str, i: &Inputs<'_>) -> f64 {
    match calculation {
        "rectangular calliper" => {
            let step = Length::um(10.0);
            let (u, _) = uncertainty::of_cylinder(Instrument::Calliper, Length::mm(i.get("size_mm")), step);
            without_step(u, step)
        }
        "rectangular micrometer" => {
            let step = Length::um(1.0);
            let (u, _) = uncertainty::of_cylinder(Instrument::Micrometer, Length::mm(i.get("size_mm")), step);
            without_step(u, step)
        }
        "span over pitches" => {
            let n = i.get("n");
            // 200 to 600 mm is where this calliper's limit is 0.03 mm.
            let (u, _) = uncertainty::of_reading(&pitch_reading(210.0, "210.00 mm".into(), n as u32));
            without_step(u, Length::um(10.0) / n)
        }
        "mismatch" => {
            let (tpi, _) = parse_pitch(&format!("{} tpi", i.get("tpi")), Unit::Mm).expect("a pitch");
            (tpi - Length::mm(i.get("p1_mm"))).to_mm() * i.get("n")
        }
        "count" => {
            let text = format!(
                "job = \"count\"\n[[reading]]\npart = \"screw\"\nfeature = \"pitch\"\ncount = {}\nvalue = \"{} mm\"\ninstrument = \"rule\"\n",
                i.get("n"),
                i.get("span_mm")
            );
            let job = job::read(&text).expect("a job");
            let evidence = evidence::work(&job).result.expect("evidence");
            match evidence.readings[0].value {
                Quantity::Length(pitch, _) => pitch.to_mm(),
                Quantity::Angle(_) => panic!("a pitch is a length"),
            }
        }
        other => panic!("no arm for {other}"),
    }
}

#[test]
fn worked_examples_come_out_to_the_printed_digit() {
    let lines = include_str!("fixtures/measuring.csv").lines().filter(|l| !l.starts_with('#')).skip(1);
    let mut rows = 0;
    for line in lines {
        let cells: Vec<_> = line.split(',').collect();
        let [calculation, name, inputs, expected, _unit, tolerance, source] = cells[..] else {
            panic!("cells in `{line}`")
        };
        let got = compute(calculation, &Inputs(inputs));
        let number = |s: &str| s.parse::<f64>().expect("a number");
        assert!(
            (got - number(expected)).abs() <= number(tolerance),
            "{name}: {got}, not {expected} ({source})"
        );
        rows += 1;
    }
    assert!(rows >= 5, "rows lost");
}
