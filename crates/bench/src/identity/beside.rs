//! Any two threads side by side: how far readings tell them apart, and what happens if one is used for the other.
//!
//! For each reading that the instruments allow, either thread predicts what would be read: the maker's zone, the wear of
//! the condition and the noise of the instrument, taken together as a normal distribution. The distance of the two in
//! standard deviations of one of them is d′ = |a − b| / √((σa² + σb²) / 2); independent readings add as squares. Who then
//! decides for the nearer one errs in Φ(−d′/2) of cases (Green and Swets 1966, Signal Detection Theory, chapter 3; from
//! memory): that is the one number.

use super::density::normal_cdf;
use super::hands_on::{leaf_made, leaf_odds};
use super::model::Seen;
use super::rival::{Use, consequence};
use super::scales::LEAD_ERROR;
use super::size::{Shape, angle_spread};
use super::voice;
use crate::evidence::uncertainty;
use crate::job::{Condition, Feature, Instrument, Quantity, Reading};
use crate::report::{Block, Fine, Mark, Row, Table, Text, Value, columns, show};
use flankwise_thread::{Angle, Element, Length, Source, Thread, Unit};

/// What the comparison is made under.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// Instruments on hand; empty: calliper and thread leaves.
    pub instruments: Vec<Instrument>,
    /// Wires on hand.
    pub wires: Vec<Length>,
    /// Condition of the part that is read.
    pub condition: Condition,
    /// Axial play of nut and screw.
    pub play: Length,
    /// Length of thread in engagement; none: one and a half diameters.
    pub length: Option<Length>,
    /// Unit to say lengths in.
    pub unit: Unit,
}

impl Default for Terms {
    /// Calliper and leaves, a used part, 0.1 mm of play.
    fn default() -> Self {
        Self {
            instruments: Vec::new(),
            wires: Vec::new(),
            condition: Condition::Used,
            play: Length::mm(0.1),
            length: None,
            unit: Unit::Mm,
        }
    }
}

/// One reading of both.
#[derive(Clone, Debug, PartialEq)]
pub struct Reads {
    /// What is read, and with what.
    pub what: String,
    /// What the first is expected to read: an average part of the condition.
    pub a: Quantity,
    /// What the second is expected to read.
    pub b: Quantity,
    /// Standard deviation of such a reading, over parts and readings.
    pub sigma: Quantity,
    /// Distance in standard deviations.
    pub deviations: f64,
}

/// Two threads side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The first.
    pub a: Thread,
    /// The second.
    pub b: Thread,
    /// Each reading, that which tells most first.
    pub reads: Vec<Reads>,
    /// Chance that a leaf of the first's pitch seats on the first, and on the second; none where no leaf is made.
    pub leaf: Option<(String, f64, f64)>,
    /// Distance of the two in standard deviations, all readings together.
    pub deviations: f64,
    /// Share of cases in which the one would be taken for the other after all these readings. This is the one number.
    pub mistaken: f64,
    /// The same in words.
    pub words: &'static str,
    /// What a nut of the second does on a screw of the first.
    pub nut_of_b_on_a: String,
    /// What a nut of the first does on a screw of the second.
    pub nut_of_a_on_b: String,
}

/// Compares two threads. Pure: the same terms give the same figures, in every face.
pub fn beside(a: &Thread, b: &Thread, terms: &Terms) -> Beside {
    let shape = |t: &Thread| Shape::new(t.family, t.nominal.to_mm(), t.pitch.length.to_mm());
    let shapes = (shape(a), shape(b));
    let has = |i: Instrument| {
        terms.instruments.contains(&i) || (terms.instruments.is_empty() && i == Instrument::Calliper)
    };
    let mut reads = Vec::new();
    let diameter = if has(Instrument::Micrometer) {
        Some((Instrument::Micrometer, "outside diameter with the micrometer"))
    } else if has(Instrument::Calliper) {
        Some((Instrument::Calliper, "outside diameter with the calliper"))
    } else {
        has(Instrument::Rule).then_some((Instrument::Rule, "outside diameter with the rule"))
    };
    let size = |what: &str, instrument, feature, wire| {
        size(&shapes, terms.condition, what, instrument, feature, wire)
    };
    if let Some((instrument, what)) = diameter {
        reads.extend(size(what, instrument, Feature::MajorDiameter, None));
    }
    reads.extend(pitch(&shapes, &has));
    if has(Instrument::Wires) || has(Instrument::Micrometer) {
        let best = 0.5 * shapes.0.p() * shapes.0.tan.hypot(1.0);
        let off = |w: &Length| (w.to_mm() / best).ln().abs();
        let wire = terms.wires.iter().filter(|w| off(w) < 0.4).min_by(|x, y| off(x).total_cmp(&off(y)));
        if let Some(wire) = wire {
            let said = show::value(&Value::Length(*wire, Fine::Gauge), terms.unit);
            reads.extend(size(
                &format!("over wires of {said}"),
                Instrument::Wires,
                Feature::OverWires,
                Some(*wire),
            ));
        }
    }
    for (instrument, name) in [
        (Instrument::Microscope, "microscope"),
        (Instrument::Cast, "cast"),
        (Instrument::Photo, "photo"),
        (Instrument::Protractor, "protractor"),
    ] {
        if has(instrument) {
            reads.push(angle(&shapes, terms.condition, instrument, name));
            break;
        }
    }
    reads.sort_by(|x, y| y.deviations.total_cmp(&x.deviations));
    let leaf = leaf(a, &shapes, terms.condition);
    let by_leaf = leaf.as_ref().map_or(0.0, |(_, on_a, on_b)| verdict_distance(*on_a, *on_b));
    let by_eye = if a.hand == b.hand && a.starts == b.starts { 0.0 } else { SEEN };
    let squares: f64 = reads.iter().map(|r| r.deviations.powi(2)).sum();
    let deviations = (squares + by_leaf.powi(2) + f64::powi(by_eye, 2)).sqrt();
    let used = Use { unit: terms.unit, part: Element::Internal, play: terms.play, length: terms.length };
    Beside {
        a: a.clone(),
        b: b.clone(),
        reads,
        leaf,
        deviations,
        mistaken: normal_cdf(-0.5 * deviations),
        words: words(deviations),
        nut_of_b_on_a: consequence(used, a, b),
        nut_of_a_on_b: consequence(used, b, a),
    }
}

impl Beside {
    /// The one number, in words.
    pub fn answer(&self) -> Text {
        Text::new()
            .s(format!("{} and {} are {}: one in ", self.a, self.b, self.words))
            .s(in_how_many(self.mistaken))
            .s(" would be taken for the other. They are ")
            .v(Value::Number(self.deviations, 1))
            .s(" standard deviations apart, all readings together.")
    }

    /// What makes it up, and what happens if one is used for the other.
    pub fn blocks(&self) -> Vec<Block> {
        let shown = |q: Quantity| match q {
            Quantity::Length(length, _) => Value::Length(length, Fine::Gauge),
            Quantity::Angle(angle) => Value::Angle(angle, 1),
        };
        let mut rows: Vec<Row> = self
            .reads
            .iter()
            .map(|r| Row {
                cells: vec![
                    Value::Word(r.what.clone()),
                    shown(r.a),
                    shown(r.b),
                    shown(r.sigma),
                    Value::Number(r.deviations, 1),
                ],
                mark: Mark::Plain,
            })
            .collect();
        if let Some((name, on_a, on_b)) = &self.leaf {
            rows.push(Row {
                cells: vec![
                    Value::Word(format!("{name} seats")),
                    Value::Share(*on_a),
                    Value::Share(*on_b),
                    Value::None,
                    Value::Number(verdict_distance(*on_a, *on_b), 1),
                ],
                mark: Mark::Plain,
            });
        }
        let table = Table {
            key: "beside",
            title: "What readings say".to_owned(),
            columns: columns(&[
                ("what", "Reading"),
                ("a", &self.a.to_string()),
                ("b", &self.b.to_string()),
                ("sigma", "Standard deviation"),
                ("deviations", "Apart by"),
            ]),
            rows,
            source: Some(Source::derived("basic sizes of both; zones, wear and noise as in the ranking")),
        };
        let used = |nut: &Thread, screw: &Thread, does: &str| {
            Block::Text(format!("A nut of {nut} on a screw of {screw}: {does}.").into())
        };
        vec![
            Block::Table(table),
            used(&self.b, &self.a, &self.nut_of_b_on_a),
            used(&self.a, &self.b, &self.nut_of_a_on_b),
        ]
    }
}

/// `2`, `35`, `1000`: of how many one is taken for the other.
fn in_how_many(mistaken: f64) -> String {
    match 1.0 / mistaken.max(1e-12) {
        n if n > 1e6 => "over a million".to_owned(),
        n if n > 100.0 => format!("{:.0}", (n / 10.0).round() * 10.0),
        n => format!("{n:.0}"),
    }
}

/// Distance in standard deviations that a hand or a number of starts counts for: eyes err on them about once in 170.
const SEEN: f64 = 5.0;

/// What a distance means at the bench; bounds chosen here.
fn words(deviations: f64) -> &'static str {
    match deviations {
        d if d < 0.5 => "not told apart by these readings",
        d if d < 2.0 => "hardly told apart by these readings: read again, or by other means",
        d if d < 4.0 => "told apart, if every reading is a good one",
        _ => "told apart without doubt",
    }
}

/// Uncertainty of a reading as an instrument gives it, by the evidence stage's own rules.
fn noise(instrument: Instrument, feature: Feature, value: Quantity, typed: &str, count: Option<u32>) -> f64 {
    let reading = Reading { count, ..Reading::plain(Element::External, feature, value, typed, instrument) };
    uncertainty::alone(&reading)
}

/// How finely an instrument is read.
const fn typed(instrument: Instrument) -> &'static str {
    match instrument {
        Instrument::Micrometer | Instrument::Wires | Instrument::Microscope => "0.001 mm",
        Instrument::Rule => "1 mm",
        _ => "0.01 mm",
    }
}

fn size(
    shapes: &(Shape, Shape),
    condition: Condition,
    what: &str,
    instrument: Instrument,
    feature: Feature,
    wire: Option<Length>,
) -> Option<Reads> {
    let d = Quantity::Length(shapes.0.basic.d, Unit::Mm);
    let seen = Seen::planned(
        Element::External,
        feature,
        noise(instrument, feature, d, typed(instrument), None),
        wire,
    );
    let of = |shape: &Shape| {
        let p = shape.predict(seen.part, feature, wire, condition)?;
        let sigma = (p.tolerance / 12_f64.sqrt()).hypot(p.wear).hypot(p.spread).hypot(seen.u);
        Some((p.expected(), sigma))
    };
    let (a, b) = (of(&shapes.0)?, of(&shapes.1)?);
    Some(reads(what, a, b, |v| Quantity::Length(Length::mm(v), Unit::Mm)))
}

fn reads(what: &str, a: (f64, f64), b: (f64, f64), quantity: impl Fn(f64) -> Quantity) -> Reads {
    let sigma = (0.5 * (a.1.powi(2) + b.1.powi(2))).sqrt();
    Reads {
        what: what.to_owned(),
        a: quantity(a.0),
        b: quantity(b.0),
        sigma: quantity(sigma),
        deviations: (a.0 - b.0).abs() / sigma,
    }
}

/// A count over as long a span as the instrument reaches and a bench part has.
fn pitch(shapes: &(Shape, Shape), has: &dyn Fn(Instrument) -> bool) -> Option<Reads> {
    let (instrument, span, name) = if has(Instrument::Calliper) {
        (Instrument::Calliper, 60.0, "calliper")
    } else if has(Instrument::Rule) {
        (Instrument::Rule, 100.0, "rule")
    } else {
        return None;
    };
    // A long thread for feed screws, a short one for fastenings.
    let span = if shapes.0.tan > 0.45 { (1.5 * shapes.0.d()).min(span) } else { span };
    let p = shapes.0.p();
    let count = (span / p).floor().clamp(2.0, 100.0);
    let value = Quantity::Length(Length::mm(count * p), Unit::Mm);
    let u = noise(instrument, Feature::Pitch, value, typed(instrument), Some(count as u32));
    let of = |p: f64| (p, u.hypot(LEAD_ERROR * p));
    let what = format!("{count:.0} pitches with the {name}");
    Some(reads(&what, of(p), of(shapes.1.p()), |v| Quantity::Length(Length::mm(v), Unit::Mm)))
}

fn angle(shapes: &(Shape, Shape), condition: Condition, instrument: Instrument, name: &str) -> Reads {
    let value = Quantity::Angle(Angle::deg(shapes.0.included_deg));
    let u = noise(instrument, Feature::IncludedAngle, value, "30.0", None);
    let of = |shape: &Shape| (shape.included_deg, u.hypot(angle_spread(condition)));
    let what = format!("included angle with the {name}");
    reads(&what, of(&shapes.0), of(&shapes.1), |v| Quantity::Angle(Angle::deg(v)))
}

/// The leaf of the first thread, on both.
fn leaf(a: &Thread, shapes: &(Shape, Shape), condition: Condition) -> Option<(String, f64, f64)> {
    let leaf = leaf_made(a.pitch, shapes.0.included_deg)?;
    let seats = |shape: &Shape| leaf_odds(shape.grooves(), &leaf, condition)[0];
    let set = leaf.angle.map_or(0.0, Angle::to_deg);
    let name = format!("{} leaf of {set:.0}°", voice::pitch(a.pitch));
    Some((name, seats(&shapes.0), seats(&shapes.1)))
}

/// The distance at which a reading would tell two apart as well as a verdict with these chances does: the same
/// Bhattacharyya coefficient, which for normal readings is exp(−d′²/8) (Kailath 1967; from memory).
fn verdict_distance(a: f64, b: f64) -> f64 {
    let overlap = (a * b).sqrt() + ((1.0 - a) * (1.0 - b)).sqrt();
    (-8.0 * overlap.clamp(1e-9, 1.0).ln()).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair(a: &str, b: &str, terms: &Terms) -> Beside {
        let thread = |t: &str| t.parse().unwrap_or_else(|e| panic!("{t}: {e}"));
        beside(&thread(a), &thread(b), terms)
    }

    #[test]
    fn a_thread_is_not_told_from_itself_and_order_hardly_matters() {
        let terms = Terms::default();
        let same = pair("Tr 22x5", "Tr 22x5", &terms);
        assert_eq!((same.deviations, same.mistaken), (0.0, 0.5));
        let (ab, ba) = (pair("Tr 22x5", "7/8-5 Acme", &terms), pair("7/8-5 Acme", "Tr 22x5", &terms));
        assert!((ab.deviations / ba.deviations - 1.0).abs() < 0.2, "{} {}", ab.deviations, ba.deviations);
    }

    #[test]
    fn better_instruments_tell_more() {
        let fine = Terms {
            instruments: vec![Instrument::Micrometer, Instrument::Calliper, Instrument::Protractor],
            wires: vec![Length::mm(1.15)],
            ..Terms::default()
        };
        let plain = pair("1/2-16 BSF", "1/2-13 UNC", &Terms::default());
        assert!(pair("1/2-16 BSF", "1/2-13 UNC", &fine).deviations > plain.deviations);
        assert!(plain.mistaken < 0.01);
        let rule = Terms { instruments: vec![Instrument::Rule], ..Terms::default() };
        assert!(
            pair("M14x1.5", "9/16-18 UNF", &rule).deviations
                < pair("M14x1.5", "9/16-18 UNF", &fine).deviations
        );
    }

    #[test]
    fn the_story_of_the_demo_is_far_from_the_truth_and_binds() {
        let terms = Terms { play: Length::mm(0.2), ..Terms::default() };
        let both = pair("7/8-5 Acme", "Tr 22x5", &terms);
        assert!(both.mistaken < 0.01, "{}", both.mistaken);
        assert!(both.nut_of_b_on_a.contains("binds after 2.5 turns"), "{}", both.nut_of_b_on_a);
    }

    #[test]
    fn what_no_gauge_tells_apart_is_said_to_be_so() {
        // The same sizes under two names.
        let both = pair("1/2-13 UNC", "1/2-13 NC", &Terms::default());
        assert!(both.deviations < 0.5, "{}", both.deviations);
        assert_eq!(both.words, "not told apart by these readings");
    }
}
