//! What would happen if the thread were taken for a rival.

use super::Rival;
use super::model::{Model, Suspect};
use super::rank::{Ranked, Ranking};
use super::voice::{hand, length};
use crate::report::Fine;
use flankwise_thread::{Element, Thread};

/// Axial play that a feed nut usually has, mm, where the job does not say. Common practice, no source.
const USUAL_PLAY: f64 = 0.1;
/// Rivals told of.
const MOST: usize = 4;
/// Rivals less likely than this are not worth a word.
const LEAST: f64 = 0.002;

/// The runners-up that differ in more than the name, with what a mistake would lead to; `told` (the owner's story)
/// comes first if it differs.
pub(super) fn rivals(model: &Model, ranking: &Ranking, first: &Ranked, told: Option<&Thread>) -> Vec<Rival> {
    let actual = first.suspect();
    let told = told.map(|thread| {
        let same = ranking.ranked.iter().find(|r| alike(&r.thread(), thread));
        (thread.clone(), same.map_or(0.0, |r| r.probability))
    });
    let likely = ranking.ranked.iter().take_while(|r| r.probability >= LEAST);
    let ranked = likely.map(|r| (r.thread(), r.probability));
    let own = first.thread();
    let mut seen: Vec<Thread> = vec![own.clone()];
    let mut rivals = Vec::new();
    for (thread, probability) in told.into_iter().chain(ranked) {
        if seen.iter().any(|s| alike(s, &thread)) || rivals.len() == MOST {
            continue;
        }
        let consequence = consequence(model, &actual, &own, &thread);
        rivals.push(Rival { thread: thread.clone(), probability, consequence });
        seen.push(thread);
    }
    rivals
}

fn alike(a: &Thread, b: &Thread) -> bool {
    (a.family, a.starts, a.hand) == (b.family, b.starts, b.hand)
        && (a.nominal - b.nominal).abs().to_mm() < 1e-6
        && (a.pitch.length - b.pitch.length).abs().to_mm() < 1e-9
}

/// What a new part cut as `rival` does on a thread that is `own`.
fn consequence(model: &Model, actual: &Suspect, own: &Thread, rival: &Thread) -> String {
    let make = &model.job.make;
    let (part, mate) = match make.part {
        Element::Internal => ("nut", "screw"),
        Element::External => ("screw", "nut"),
    };
    if own.hand != rival.hand {
        return format!("a {} {part} does not start on a {} {mate}", hand(rival.hand), hand(own.hand));
    }
    let mut said = Vec::new();
    let (lead, other) = (own.lead().to_mm(), rival.lead().to_mm());
    let a_turn = (other - lead).abs();
    let play = make.play.map_or(USUAL_PLAY, |p| p.to_mm()).max(1e-3);
    if a_turn > 3.0 * play.max(0.03 * lead) {
        said.push(format!(
            "has a lead of {} against {} and does not go on",
            length(model, other, Fine::Shop),
            length(model, lead, Fine::Shop)
        ));
    } else if a_turn > 1e-6 {
        let turns = play / a_turn;
        let long = make.length.map_or(1.5 * own.nominal.to_mm(), |l| l.to_mm());
        let error = a_turn * long / lead;
        if turns * lead < long {
            said.push(format!(
                "gains {} a turn: with {} of play it binds after {turns:.1} turns ({})",
                length(model, a_turn, Fine::Gauge),
                length(model, play, Fine::Shop),
                length(model, turns * lead, Fine::Coarse)
            ));
        } else {
            said.push(format!(
                "gains {} a turn, {} over {} of nut: runs, but on fewer flanks, and a dial reads {:.2} % wrong",
                length(model, a_turn, Fine::Gauge),
                length(model, error, Fine::Shop),
                length(model, long, Fine::Coarse),
                100.0 * a_turn / lead
            ));
        }
    }
    let theirs = super::size::Shape::new(rival.family, rival.nominal.to_mm(), rival.pitch.length.to_mm());
    let ours = &actual.shape;
    // Room between nut and screw at most material, across the diameter; negative: metal in the way.
    let (screw, nut) = match make.part {
        Element::Internal => (ours, &theirs),
        Element::External => (&theirs, ours),
    };
    let crest = (nut.basic.d4_internal - screw.basic.d).to_mm();
    let bore = (nut.basic.d1_internal - screw.basic.d3).to_mm();
    let flank = (nut.basic.d2 - screw.basic.d2).to_mm();
    let tightest = crest.min(bore).min(flank);
    let nominal_off = (own.nominal - rival.nominal).to_mm().abs();
    if tightest < -0.02 {
        said.push(format!("is {} too tight on the diameter", length(model, -tightest, Fine::Shop)));
    } else if nominal_off > 0.02 && flank > 0.02 {
        let axial = flank * 0.5 * (screw.tan + nut.tan);
        said.push(format!(
            "is {} slack on the pitch diameter, which adds {} of play",
            length(model, flank, Fine::Shop),
            length(model, axial, Fine::Shop)
        ));
    }
    let angle = (ours.included_deg - theirs.included_deg).abs();
    if angle > 0.1 {
        let depth = 0.5 * (ours.basic.d - ours.basic.d3).to_mm();
        let gap = depth * (ours.tan - theirs.tan).abs();
        said.push(format!(
            "bears at one end of its flanks, {} open at the other",
            length(model, gap, Fine::Gauge)
        ));
    }
    if said.is_empty() {
        format!("the {part} runs: the two do not differ in size")
    } else {
        format!("the {part} {}", said.join("; "))
    }
}
