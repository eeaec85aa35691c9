//! Any two threads side by side: how far readings tell them apart, and what happens if one is used for the other.
//!
//! For each reading that the instruments allow, either thread predicts what would be read: the maker's zone, the wear of
//! the condition and the noise of the instrument, taken together as a normal distribution. The distance of the two in
//! standard deviations of one of them is d′ = |a − b| / √((σa² + σb²) / 2); independent readings add as squares. Who then
//! decides for the nearer one errs in Φ(−d′/2) of cases (Green and Swets 1966, Signal Detection Theory, chapter 3; from
//! memory).
//!
//! Any reading may be a slip of hand or eye, by the chances that the ranking has (`evidence::blunders`); one that is
//! tells nothing. The one number is therefore the mean of Φ(−d′/2) over which of the readings are slips. What a leaf or
//! the eye tells has its slips in its own chances.
//!
//! - `terms`: what the comparison is made under, and how a person asks for one.
//! - `say`: how every face shows it.

mod say;
mod terms;

pub use terms::{Asked, Terms, Wrong};

use super::density::normal_cdf;
use super::hands_on::{leaf_made, leaf_odds};
use super::model::Seen;
use super::prior;
use super::rival::{Consequence, Use, consequence};
use super::scales::{EYE_SLIP, LEAD_ERROR};
use super::size::{Shape, angle_spread};
use super::voice;
use crate::evidence::{blunders, uncertainty};
use crate::job::{Feature, Instrument, Quantity, Reading, SeenForm, Words};
use crate::report::{Fine, Value, show};
use flankwise_thread::{Angle, Element, Length, Thread, Unit};

/// One reading of both.
#[derive(Clone, Debug, PartialEq)]
pub struct Reads {
    /// What is read, and with what.
    pub what: String,
    /// The feature that is read.
    pub feature: Feature,
    /// The instrument that it is read with.
    pub with: Instrument,
    /// What the first is expected to read: an average part of the condition.
    pub a: Quantity,
    /// What the second is expected to read.
    pub b: Quantity,
    /// Standard deviation of such a reading, over parts and readings.
    pub sigma: Quantity,
    /// Distance in standard deviations.
    pub deviations: f64,
    /// Chance that such a reading is a slip and tells nothing.
    pub slip: f64,
}

/// One thing that eyes or a leaf tell.
#[derive(Clone, Debug, PartialEq)]
pub struct Shows {
    /// What is looked at or tried.
    pub what: String,
    /// What the first shows.
    pub a: Value,
    /// What the second shows.
    pub b: Value,
    /// The distance in standard deviations at which a reading would tell the two apart as well.
    pub deviations: f64,
}

/// Two threads side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The first.
    pub a: Thread,
    /// The second.
    pub b: Thread,
    /// What they are compared under.
    pub terms: Terms,
    /// Each reading, that which tells most first.
    pub reads: Vec<Reads>,
    /// Chance that a leaf of the first's pitch seats on the first, and on the second; none where no leaf is made.
    pub leaf: Option<Shows>,
    /// What eyes tell: hand, starts, form and taper, where the two differ in them.
    pub seen: Vec<Shows>,
    /// Distance of the two in standard deviations, all readings together and none of them a slip.
    pub deviations: f64,
    /// Share of cases in which the one would be taken for the other after all these readings. This is the one number.
    pub mistaken: f64,
    /// The same in words.
    pub words: &'static str,
    /// What a nut of the second does on a screw of the first.
    pub nut_of_b_on_a: Consequence,
    /// What a nut of the first does on a screw of the second.
    pub nut_of_a_on_b: Consequence,
}

/// Compares two threads. Pure: the same terms give the same figures, in every face.
pub fn beside(a: &Thread, b: &Thread, terms: &Terms) -> Beside {
    let shape = |t: &Thread| Shape::new(t.family, t.nominal.to_mm(), t.pitch.length.to_mm());
    let pair = Pair { shapes: (shape(a), shape(b)), terms };
    let mut reads: Vec<Reads> = [
        pair.outside(),
        pair.count(),
        pair.over_wires(),
        pair.bore(),
        pair.angle(),
        pair.crest(),
        pair.depth(),
    ]
    .into_iter()
    .flatten()
    .collect();
    reads.sort_by(|x, y| y.deviations.total_cmp(&x.deviations));
    let leaf = pair.leaf(a);
    let seen = pair.seen(a, b);
    let shown: f64 = leaf.iter().chain(&seen).map(|s| s.deviations.powi(2)).sum();
    let deviations = (shown + reads.iter().map(|r| r.deviations.powi(2)).sum::<f64>()).sqrt();
    let mistaken = mistaken(&reads, shown);
    let used = Use { unit: terms.unit, part: Element::Internal, play: terms.play, length: terms.length };
    Beside {
        a: a.clone(),
        b: b.clone(),
        terms: terms.clone(),
        reads,
        leaf,
        seen,
        deviations,
        mistaken,
        words: words(mistaken),
        nut_of_b_on_a: consequence(used, a, b),
        nut_of_a_on_b: consequence(used, b, a),
    }
}

/// Chance of taking the one for the other, whichever of the readings are slips; `apart` is the square of the distance that
/// everything else tells.
fn mistaken(reads: &[Reads], apart: f64) -> f64 {
    match reads {
        [] => normal_cdf(-0.5 * apart.sqrt()),
        [read, rest @ ..] => {
            read.slip * mistaken(rest, apart)
                + (1.0 - read.slip) * mistaken(rest, apart + read.deviations.powi(2))
        }
    }
}

/// What the chance of a mistake means at the bench; bounds chosen here.
fn words(mistaken: f64) -> &'static str {
    match mistaken {
        m if m > 0.4 => "not told apart by these readings",
        m if m > 0.1 => "hardly told apart by these readings: read again, or by other means",
        m if m > 0.01 => "told apart, if every reading is a good one",
        m if m > 0.001 => "told apart well; a second reading of what tells most guards against a slip",
        _ => "told apart surely",
    }
}

/// Two threads to be read under the same terms.
struct Pair<'t> {
    shapes: (Shape, Shape),
    terms: &'t Terms,
}

impl Pair<'_> {
    /// The first of these instruments that is at hand, with its name.
    fn first_of(&self, instruments: &[Instrument]) -> Option<(Instrument, &'static str)> {
        instruments.iter().find(|i| self.terms.has(**i)).map(|i| (*i, i.word()))
    }

    fn outside(&self) -> Option<Reads> {
        let by = [Instrument::Micrometer, Instrument::Calliper, Instrument::Microscope, Instrument::Rule];
        let (instrument, name) = self.first_of(&by)?;
        let what = format!("outside diameter with the {name}");
        self.size(what, instrument, Element::External, Feature::MajorDiameter, None)
    }

    /// The bore of a nut, where an instrument for bores is at hand: by then the nut is, too.
    fn bore(&self) -> Option<Reads> {
        let (instrument, name) = self.first_of(&[Instrument::TelescopingGauge])?;
        let what = format!("bore of the nut with the {name}");
        self.size(what, instrument, Element::Internal, Feature::MinorDiameter, None)
    }

    fn crest(&self) -> Option<Reads> {
        let (instrument, name) = self.first_of(&BY_EDGES)?;
        let what = format!("width of the crest with the {name}");
        self.size(what, instrument, Element::External, Feature::CrestFlat, None)
    }

    fn depth(&self) -> Option<Reads> {
        let (instrument, name) = self.first_of(&BY_EDGES)?;
        let bottom = |shape: &Shape| shape.basic.root_width.to_mm() >= ROD;
        if instrument == Instrument::Calliper && !(bottom(&self.shapes.0) && bottom(&self.shapes.1)) {
            return None;
        }
        let what = format!("depth of the thread with the {name}");
        self.size(what, instrument, Element::External, Feature::ThreadDepth, None)
    }

    fn over_wires(&self) -> Option<Reads> {
        self.first_of(&[Instrument::Wires, Instrument::Micrometer])?;
        let best = 0.5 * self.shapes.0.p() * self.shapes.0.tan.hypot(1.0);
        let off = |w: &Length| (w.to_mm() / best).ln().abs();
        let suits = self.terms.wires.iter().copied().filter(|w| off(w) < WIRE_SUITS);
        let suits = suits.min_by(|x, y| off(x).total_cmp(&off(y)));
        // A set whose sizes are not said has one that suits.
        let in_set = self.terms.wires.is_empty() && self.terms.has(Instrument::Wires);
        let wire = suits.or(in_set.then_some(Length::mm(best)))?;
        let said = show::value(&Value::Length(wire, Fine::Gauge), self.terms.unit);
        let what = format!("over wires of {said}");
        self.size(what, Instrument::Wires, Element::External, Feature::OverWires, Some(wire))
    }

    fn size(
        &self,
        what: String,
        instrument: Instrument,
        part: Element,
        feature: Feature,
        wire: Option<Length>,
    ) -> Option<Reads> {
        let condition = self.terms.condition;
        let d = Quantity::Length(self.shapes.0.basic.d, Unit::Mm);
        let noise = noise(instrument, part, feature, d, None);
        let seen = Seen::planned(part, feature, noise.u, wire);
        let of = |shape: &Shape| {
            let p = shape.predict(seen.part, feature, wire, condition)?;
            let sigma = (p.tolerance / 12_f64.sqrt()).hypot(p.wear).hypot(p.spread).hypot(seen.u);
            Some((p.expected(), sigma))
        };
        let (a, b) = (of(&self.shapes.0)?, of(&self.shapes.1)?);
        Some(reads(what, (feature, instrument), (a, b), noise.slip, |v| {
            Quantity::Length(Length::mm(v), Unit::Mm)
        }))
    }

    /// So many pitches, over as long a span as the instrument reaches and a bench part has.
    fn count(&self) -> Option<Reads> {
        let by = [Instrument::Calliper, Instrument::Microscope, Instrument::PaperTrace, Instrument::Rule];
        let (instrument, name) = self.first_of(&by)?;
        let reach = if instrument == Instrument::Calliper { 60.0 } else { 100.0 };
        // A long thread for feed screws, a short one for fastenings.
        let first = &self.shapes.0;
        let span = if first.tan > 0.45 { (1.5 * first.d()).min(reach) } else { reach };
        let p = first.p();
        let count = (span / p).floor().clamp(2.0, 100.0);
        let span = |p: f64| Quantity::Length(Length::mm(count * p), Unit::Mm);
        let noise = noise(instrument, Element::External, Feature::Pitch, span(p), Some(count as u32));
        let of = |p: f64| (p, noise.u.hypot(LEAD_ERROR * p));
        let what = format!("{count:.0} pitches with the {name}");
        Some(reads(what, (Feature::Pitch, instrument), (of(p), of(self.shapes.1.p())), noise.slip, span))
    }

    fn angle(&self) -> Option<Reads> {
        let by = [Instrument::Microscope, Instrument::Cast, Instrument::Photo, Instrument::Protractor];
        let (instrument, name) = self.first_of(&by)?;
        let value = Quantity::Angle(Angle::deg(self.shapes.0.included_deg));
        let noise = noise(instrument, Element::External, Feature::IncludedAngle, value, None);
        let of = |shape: &Shape| (shape.included_deg, noise.u.hypot(angle_spread(self.terms.condition)));
        let what = format!("included angle with the {name}");
        let both = (of(&self.shapes.0), of(&self.shapes.1));
        Some(reads(what, (Feature::IncludedAngle, instrument), both, noise.slip, |v| {
            Quantity::Angle(Angle::deg(v))
        }))
    }

    /// The leaf of the first thread, on both.
    fn leaf(&self, a: &Thread) -> Option<Shows> {
        let leaf = leaf_made(a.pitch, self.shapes.0.included_deg)?;
        let odds = |shape: &Shape| leaf_odds(shape.grooves(), &leaf, self.terms.condition);
        let (on_a, on_b) = (odds(&self.shapes.0), odds(&self.shapes.1));
        let set = leaf.angle.map_or(0.0, Angle::to_deg);
        Some(Shows {
            what: format!("{} leaf of {set:.0}° seats", voice::pitch(a.pitch)),
            a: Value::Share(on_a[0]),
            b: Value::Share(on_b[0]),
            deviations: distance(&on_a, &on_b),
        })
    }

    /// What eyes tell, where the two differ in it.
    fn seen(&self, a: &Thread, b: &Thread) -> Vec<Shows> {
        let word = |w: &str| Value::Word(w.to_owned());
        let eye = distance(&[1.0 - EYE_SLIP, EYE_SLIP], &[EYE_SLIP, 1.0 - EYE_SLIP]);
        let mut seen = Vec::new();
        if a.hand != b.hand {
            let (a, b) = (word(voice::hand(a.hand)), word(voice::hand(b.hand)));
            seen.push(Shows { what: "hand, by eye".to_owned(), a, b, deviations: eye });
        }
        if a.starts != b.starts {
            let count = |n: u32| Value::Count(i64::from(n));
            let (a, b) = (count(a.starts), count(b.starts));
            seen.push(Shows { what: "starts, by eye".to_owned(), a, b, deviations: eye });
        }
        let (first, second) = (&self.shapes.0, &self.shapes.1);
        let looks = |shape: &Shape| {
            let of = |w: &&str| SeenForm::from_word(w);
            let chance = |seen| prior::looks(Some(shape.family), shape.p(), seen, self.terms.condition);
            SeenForm::WORDS.iter().filter_map(of).map(chance).collect::<Vec<f64>>()
        };
        let made = |shape: &Shape| word(voice::made_form(shape.family));
        if made(first) != made(second) {
            let deviations = distance(&looks(first), &looks(second));
            seen.push(Shows { what: "form, by eye".to_owned(), a: made(first), b: made(second), deviations });
        }
        let tapers = |shape: &Shape| shape.family.form().taper().is_some();
        if tapers(first) != tapers(second) {
            let odds = |shape| [true, false].map(|seen| prior::taper(Some(tapers(shape)), seen));
            let said = |shape| word(if tapers(shape) { "tapers" } else { "parallel" });
            let deviations = distance(&odds(first), &odds(second));
            seen.push(Shows {
                what: "taper, by calliper and eye".to_owned(),
                a: said(first),
                b: said(second),
                deviations,
            });
        }
        seen
    }
}

/// Instruments that read the small features of a thread, the finest first.
const BY_EDGES: [Instrument; 4] =
    [Instrument::Microscope, Instrument::Cast, Instrument::Photo, Instrument::Calliper];

/// Width of the bottom that the depth rod of a calliper stands on, mm; into a sharper groove it does not reach. Common
/// practice, no source.
const ROD: f64 = 1.0;

/// How far a wire's size may be from the best one and still touch the flanks: logarithm of the ratio. Chosen here.
const WIRE_SUITS: f64 = 0.4;

/// What may be off with a reading.
struct Noise {
    /// Standard uncertainty, in millimetres or degrees.
    u: f64,
    /// Chance that it is a slip.
    slip: f64,
}

/// What may be off with a reading as an instrument gives it, by the evidence stage's own rules.
fn noise(
    instrument: Instrument,
    part: Element,
    feature: Feature,
    value: Quantity,
    count: Option<u32>,
) -> Noise {
    let typed = if matches!(value, Quantity::Angle(_)) { "30.0" } else { read_to(instrument) };
    let reading = Reading { count, ..Reading::plain(part, feature, value, typed, instrument) };
    let slip = blunders::of(&reading, Unit::Mm).iter().map(|b| b.chance).sum();
    Noise { u: uncertainty::alone(&reading), slip }
}

/// How finely an instrument is read.
const fn read_to(instrument: Instrument) -> &'static str {
    match instrument {
        Instrument::Micrometer
        | Instrument::Wires
        | Instrument::Microscope
        | Instrument::TelescopingGauge => "0.001 mm",
        Instrument::Rule => "1 mm",
        _ => "0.01 mm",
    }
}

/// A reading of both, from mean and standard deviation of what each would read.
fn reads(
    what: String,
    (feature, with): (Feature, Instrument),
    (a, b): ((f64, f64), (f64, f64)),
    slip: f64,
    quantity: impl Fn(f64) -> Quantity,
) -> Reads {
    let sigma = (0.5 * (a.1.powi(2) + b.1.powi(2))).sqrt();
    Reads {
        what,
        feature,
        with,
        a: quantity(a.0),
        b: quantity(b.0),
        sigma: quantity(sigma),
        deviations: (a.0 - b.0).abs() / sigma,
        slip,
    }
}

/// The distance at which a reading would tell two apart as well as verdicts with these chances do: the same
/// Bhattacharyya coefficient, which for normal readings is exp(−d′²/8) (Kailath 1967; from memory).
fn distance(a: &[f64], b: &[f64]) -> f64 {
    let overlap: f64 = a.iter().zip(b).map(|(a, b)| (a * b).sqrt()).sum();
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
        assert!(
            both.nut_of_b_on_a.words.contains("takes up 0.20 mm of play in 2.5 turns"),
            "{:?}",
            both.nut_of_b_on_a
        );
    }

    /// A calliper's count of pitches is a slip in 1.3 + 0.1 + 2 + 0.6 + 1 = 5 of 100 cases (`data/blunders.csv`), and an
    /// outside diameter in 1.6: whatever the count tells, no fewer are mistaken than 5 % of those of the rest alone.
    #[test]
    fn slips_bound_what_readings_tell() {
        let both = pair("Tr 22x5", "7/8-5 Acme", &Terms::default());
        let count = both.reads.iter().find(|r| r.what.contains("pitches")).expect("a count");
        assert!((count.slip - 0.05).abs() < 1e-9, "{count:?}");
        let rest = both.deviations.powi(2) - count.deviations.powi(2);
        assert!(both.mistaken >= 0.05 * normal_cdf(-0.5 * rest.sqrt()), "{both:?}");
        assert!(both.mistaken > 1e-4 && !both.words.contains("surely"), "{} {}", both.mistaken, both.words);
    }

    #[test]
    fn what_no_gauge_tells_apart_is_said_to_be_so() {
        // The same sizes under two names.
        let both = pair("1/2-13 UNC", "1/2-13 NC", &Terms::default());
        assert!(both.deviations < 0.5, "{}", both.deviations);
        assert_eq!(both.words, "not told apart by these readings");
    }

    /// What differs in hand, starts, form or taper is told by eye, and says so.
    #[test]
    fn eyes_tell_hand_starts_form_and_taper() {
        for (a, b, what) in [
            ("Tr 22x5", "Tr 22x5 LH", "hand"),
            ("Tr 22x5", "Tr 22x10 P5", "starts"),
            ("M22x2.5", "Tr 22x3", "form"),
            ("G 1/2", "1/2-14 NPT", "taper"),
        ] {
            let both = pair(a, b, &Terms::default());
            let by_eye = both.seen.iter().find(|s| s.what.starts_with(what));
            assert!(by_eye.is_some_and(|s| s.deviations > 2.0), "{a} {b}: {:?}", both.seen);
        }
        assert!(pair("Tr 22x5", "Tr 22x8", &Terms::default()).seen.is_empty());
    }

    /// Each instrument brings a reading of its own.
    #[test]
    fn every_instrument_that_reads_threads_is_used() {
        for instrument in Terms::readers() {
            let alone = Terms { instruments: vec![instrument], ..Terms::default() };
            let both = pair("Tr 22x5", "7/8-5 Acme", &alone);
            assert!(!both.reads.is_empty(), "{instrument:?}");
        }
    }

    proptest::proptest! {
        #![proptest_config(proptest::prelude::ProptestConfig { cases: 64, failure_persistence: None, ..Default::default() })]

        /// Any two listed threads give finite figures and words, and order hardly matters to the one number.
        #[test]
        fn any_two_listed_threads_compare(i in 0_usize..10_000, j in 0_usize..10_000) {
            let listed = flankwise_thread::catalogue();
            let (a, b) = (listed[i % listed.len()].thread(), listed[j % listed.len()].thread());
            let both = beside(&a, &b, &Terms::default());
            proptest::prop_assert!(both.deviations.is_finite() && (0.0..=0.5).contains(&both.mistaken));
            proptest::prop_assert!(!both.nut_of_b_on_a.words.is_empty() && both.blocks().len() >= 3);
            let turned = beside(&b, &a, &Terms::default());
            proptest::prop_assert_eq!(&turned.nut_of_a_on_b.goes, &both.nut_of_b_on_a.goes);
        }
    }
}
