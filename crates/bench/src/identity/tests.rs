//! Tests of the whole stage on evidence built by hand.

use super::*;
use crate::evidence::Weighed;
use crate::job::{
    Condition, Context, Feature, Instrument, Leaf, LeafVerdict, Observed, Quantity, Reading, SeenForm, Trial,
    TrialVerdict,
};
use flankwise_thread::{Angle, Element, Family, Hand, Length, Pitch, Source, Unit};

/// Evidence with the job that it came from.
struct Bench {
    evidence: Evidence,
    job: Job,
}

impl Bench {
    fn new(condition: Condition) -> Self {
        let observed = Observed { condition: Some(condition), ..Observed::default() };
        let evidence = Evidence {
            readings: Vec::new(),
            leaves: Vec::new(),
            trials: Vec::new(),
            observed: observed.clone(),
            condition,
            story: None,
            context: Context::default(),
            suspects: Vec::new(),
        };
        let job = Job {
            job: "test".into(),
            unit: Unit::Mm,
            story: None,
            context: Context::default(),
            people: Default::default(),
            invented: true,
            observed,
            readings: Vec::new(),
            leaves: Vec::new(),
            trials: Vec::new(),
            chosen: None,
            make: Default::default(),
            offers: Vec::new(),
            rates: Default::default(),
            bars: Vec::new(),
            grind: Default::default(),
            lathe: None,
            cutting: Default::default(),
            gauges: Default::default(),
            made: Vec::new(),
        };
        Self { evidence, job }
    }
    fn story(mut self, story: &str) -> Self {
        self.evidence.story = Some(story.into());
        self
    }
    fn seen(mut self, form: SeenForm, hand: Hand) -> Self {
        self.evidence.observed.form = Some(form);
        self.evidence.observed.hand = Some(hand);
        self.evidence.observed.starts = Some(1);
        self
    }
    fn add(mut self, part: Element, feature: Feature, value: Quantity, u: Quantity, instrument: Instrument) -> Self {
        let index = self.job.readings.len();
        let typed = String::new();
        let reading =
            Reading { part, feature, value, typed, count: None, wire: None, instrument, place: None, uncertainty: None };
        self.job.readings.push(reading);
        let source = Source::choice("test");
        self.evidence.readings.push(Weighed { index, part, feature, value, u, place: None, wire: None, source });
        self
    }
    fn length(self, part: Element, feature: Feature, v: Length, u: f64, instrument: Instrument) -> Self {
        let u = Quantity::Length(Length::mm(u), Unit::Mm);
        self.add(part, feature, Quantity::Length(v, Unit::Mm), u, instrument)
    }
    fn outside(self, mm: f64) -> Self {
        self.length(Element::External, Feature::MajorDiameter, Length::mm(mm), 0.03, Instrument::Calliper)
    }
    fn counted(mut self, n: u32, span_mm: f64) -> Self {
        let p = Length::mm(span_mm / f64::from(n));
        self = self.length(Element::External, Feature::Pitch, p, 0.075 / f64::from(n), Instrument::Calliper);
        self.job.readings.last_mut().expect("just added").count = Some(n);
        self
    }
    fn angle(self, deg: f64) -> Self {
        let (v, u) = (Quantity::Angle(Angle::deg(deg)), Quantity::Angle(Angle::deg(0.75)));
        self.add(Element::External, Feature::IncludedAngle, v, u, Instrument::Protractor)
    }
    fn wires(mut self, wire: f64, mm: f64) -> Self {
        self = self.length(Element::External, Feature::OverWires, Length::mm(mm), 0.01, Instrument::Wires);
        self.evidence.readings.last_mut().expect("just added").wire = Some(Length::mm(wire));
        self
    }
    fn leaf(mut self, pitch: Pitch, verdict: LeafVerdict) -> Self {
        self.evidence.leaves.push(Leaf { pitch, angle: None, verdict });
        self
    }
    fn tried(mut self, with: &str, element: Element, verdict: TrialVerdict) -> Self {
        let thread = with.parse().expect("a designation");
        self.evidence.trials.push(Trial { with: thread, element, typed: String::new(), verdict });
        self
    }
    fn rank(&self) -> Identity {
        work(&self.evidence, &self.job).result.expect("a ranking")
    }
}

fn total(identity: &Identity) -> f64 {
    identity.candidates.iter().map(|c| c.probability).sum::<f64>() + identity.other_probability
}

/// A worn cross-slide screw, taken for an inch Acme left-hand by its owner. Common practice, no source.
fn repair() -> Bench {
    let rule = |b: Bench, mm| {
        b.length(Element::External, Feature::MajorDiameter, Length::mm(mm), 0.3, Instrument::Rule)
    };
    let b = Bench::new(Condition::Worn).seen(SeenForm::FlatTopped, Hand::Right);
    let b = rule(rule(b, 15.875), 16.0).outside(15.93);
    let mut b = b.length(Element::External, Feature::Pitch, Length::per_inch(10.0), 0.05, Instrument::Rule);
    b.job.readings.last_mut().expect("just added").count = Some(10);
    b.leaf(Pitch::tpi(10.0), LeafVerdict::Rocks)
        .leaf(Pitch::mm(3.0), LeafVerdict::Seats)
        .story("5/8-10 Acme left-hand cross-slide screw")
}

#[test]
fn repair_case_is_off_the_series_and_not_what_was_told() {
    let identity = repair().rank();
    dump(&identity);
    let first = &identity.candidates[0];
    assert_eq!(first.thread.to_string(), "Tr 16x3");
    assert!(!first.listed);
    let near: Vec<_> = first.nearest.iter().map(ToString::to_string).collect();
    assert_eq!(near, ["Tr 16x4", "Tr 16x2"]);
    let story = identity.story.as_ref().expect("told");
    assert!(!story.stands);
    assert!(story.reasons.iter().any(|r| r.contains("left-hand")), "{:?}", story.reasons);
    assert!(story.reasons.iter().any(|r| r.contains("leaf")), "{:?}", story.reasons);
}

fn dump(identity: &Identity) {
    for c in identity.candidates.iter().take(8) {
        println!("{:8.4} {} {:?} {}", c.probability, c.thread, c.thread.hand, c.listed);
    }
    println!("{:8.4} other; {} considered; left out {:e}", identity.other_probability, identity.considered, identity.left_out);
    for v in &identity.candidates[0].voices {
        println!("   {:?}", v);
    }
    println!("{:#?}", identity.story);
    for n in &identity.next {
        println!("   {:?}", n);
    }
    for r in &identity.rivals {
        println!("   {} {} {}", r.thread, r.probability, r.consequence);
    }
}
