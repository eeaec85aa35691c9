//! Check: what to measure, with what, the limits, and the verdict.

mod cast;
mod cast_read;
mod correct;
mod guard;
mod judge;
mod plan;
mod salvage;
mod say;
mod shop_gauge;

pub use cast::STEPS as CAST_STEPS;
pub use judge::verdict;

use crate::cut::Cut;
use crate::fit::Fit;
use crate::job::{Job, MadeFeature};
use crate::report::{Outcome, Value};
use flankwise_thread::{Element, Length};

/// One thing to measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// What.
    pub feature: MadeFeature,
    /// In words, with the gauge: `over three 2.1 mm wires`.
    pub how: String,
    /// Wire or ball diameter, if one is used.
    pub wire: Option<Length>,
    /// Smallest permitted value.
    pub min: Length,
    /// Largest permitted value.
    pub max: Length,
    /// What the aim would read.
    pub aim: Length,
    /// Standard uncertainty of the measurement.
    pub u: Length,
    /// Guard band: accept between `min + guard` and `max - guard` (ISO 14253-1).
    pub guard: Length,
}

/// A verdict by ISO 14253-1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Proved within the limits.
    Pass,
    /// Proved outside.
    Fail,
    /// Too near a limit for this measurement to tell.
    CannotTell,
}

/// A reading of the part, or of a cast of it, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What was read, in words.
    pub what: String,
    /// Wire or ball, if one was used.
    pub wire: Option<Length>,
    /// What it read.
    pub read: Value,
    /// Least and most that it may read; none where they are not known, or are those of a size that follows from it.
    pub limits: Value,
    /// Whether it tells of the thread's flanks, and so of its fit.
    pub of_flanks: bool,
    /// Verdict.
    pub verdict: Verdict,
    /// Taken between passes, and there is metal left to cut: not a verdict on the part.
    pub on_the_way: bool,
    /// Proved outside its limits on the side that no cut mends.
    pub spoiled: bool,
    /// What to do, in words: how much deeper, which side.
    pub advice: String,
}

/// The plan and the verdicts.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Things to measure.
    pub measures: Vec<Measure>,
    /// Readings judged.
    pub judged: Vec<Judged>,
    /// Over all; none without readings.
    pub verdict: Option<Verdict>,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Plans the proof and judges the readings; `cut` gives corrections the slides and the last setting.
pub fn work(fit: &Fit, cut: Option<&Cut>, job: &Job) -> Outcome<Check> {
    let mut plan = plan::plan(fit, job);
    let part = judge::Part { fit, cut, job };
    plan.notes.extend(judge::cut_too_much(&part));
    let mut judged = judge::judge(&part);
    judged.extend(cast_read::judge(&part));
    plan.notes.extend(judge::lost(&judged));
    plan.notes.extend(judge::against_each_other(&part));
    let mut detail: Vec<_> = say::judged_table(&judged).into_iter().collect();
    detail.extend(say::figures(fit, &plan, job));
    detail.extend(say::stations(fit));
    detail.push(say::origins(&plan));
    detail.push(say::steps(fit, job));
    let verdict = judge::overall(&judged);
    let check = Check { measures: plan.measures, judged, verdict, detail };
    Outcome { result: Some(check), needs: plan.needs, notes: plan.notes }
}

/// What a reading is of, in words.
pub fn feature_words(feature: MadeFeature, part: Element) -> &'static str {
    match (feature, part) {
        (MadeFeature::MinorDiameter, Element::Internal) => "bore",
        (MadeFeature::MinorDiameter, Element::External) => "bottom of the thread",
        (MadeFeature::MajorDiameter, Element::Internal) => "bottom of the thread",
        (MadeFeature::MajorDiameter, Element::External) => "outside diameter",
        (MadeFeature::OverWires, Element::Internal) => "between balls",
        (MadeFeature::OverWires, Element::External) => "over wires",
        (MadeFeature::Play, _) => "axial play",
        (MadeFeature::BodyDiameter, _) => "outside of the body",
        (MadeFeature::BoreInPlace, _) => "bore once pressed in",
        (MadeFeature::PlayInPlace, _) => "axial play once pressed in",
        (MadeFeature::Pitch, _) => "pitch over its length",
        (MadeFeature::GrooveWidth, _) => "width of the groove",
    }
}
