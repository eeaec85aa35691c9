//! What would happen if the thread were taken for a rival.

use super::Rival;
use super::model::Model;
use super::rank::{Ranked, Ranking};
use super::size::Shape;
use super::voice::hand;
use crate::job::Job;
use crate::report::{Fine, Value, show};
use flankwise_thread::{Element, Length, Thread, Unit};

/// Axial play that a feed nut usually has, mm, where the job does not say. Common practice, no source.
const USUAL_PLAY: f64 = 0.1;
/// Rivals told of.
const MOST: usize = 4;
/// Rivals less likely than this are not worth a word.
const LEAST: f64 = 0.002;

/// The runners-up that differ in more than the name, with what a mistake would lead to; `told` (the owner's story)
/// comes first if it differs.
pub(super) fn rivals(model: &Model, ranking: &Ranking, first: &Ranked, told: Option<&Thread>) -> Vec<Rival> {
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
        let consequence = consequence(Use::of(model.job), &own, &thread);
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

/// What the part to be made is, where it matters to how a wrong thread behaves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Use {
    /// Unit to say lengths in.
    pub unit: Unit,
    /// The part that is made.
    pub part: Element,
    /// Axial play.
    pub play: Length,
    /// Length of thread in engagement; none: one and a half diameters.
    pub length: Option<Length>,
}

impl Use {
    fn of(job: &Job) -> Self {
        let make = &job.make;
        Self {
            unit: job.unit,
            part: make.part,
            play: make.play.unwrap_or(Length::mm(USUAL_PLAY)),
            length: make.length,
        }
    }
}

/// What a new part cut as `rival` does on a thread that is `own`.
pub(super) fn consequence(used: Use, own: &Thread, rival: &Thread) -> String {
    let length = |mm: f64, fine: Fine| show::value(&Value::Length(Length::mm(mm), fine), used.unit);
    let (part, mate) = match used.part {
        Element::Internal => ("nut", "screw"),
        Element::External => ("screw", "nut"),
    };
    if own.hand != rival.hand {
        return format!("a {} {part} does not start on a {} {mate}", hand(rival.hand), hand(own.hand));
    }
    let mut said = Vec::new();
    let (lead, other) = (own.lead().to_mm(), rival.lead().to_mm());
    // The nut is what its pitches are counted in.
    let of_nut = if used.part == Element::Internal { other } else { lead };
    let a_turn = (other - lead).abs();
    let play = used.play.to_mm().max(1e-3);
    if a_turn > 3.0 * play.max(0.03 * lead) {
        said.push(format!(
            "has a lead of {} against {} and does not go on",
            length(other, Fine::Shop),
            length(lead, Fine::Shop)
        ));
    } else if a_turn > 1e-6 {
        let turns = play / a_turn;
        let long = used.length.map_or(1.5 * own.nominal.to_mm(), Length::to_mm);
        if turns * of_nut < long {
            said.push(format!(
                "gains {} a turn: with {} of play it binds after {turns:.1} turns, {} of engagement",
                length(a_turn, Fine::Gauge),
                length(play, Fine::Shop),
                length(turns * of_nut, Fine::Coarse)
            ));
        } else {
            said.push(format!(
                "gains {} a turn, {} over {} of nut: runs, but on fewer flanks, and a dial reads {:.2} % wrong",
                length(a_turn, Fine::Gauge),
                length(a_turn * long / of_nut, Fine::Shop),
                length(long, Fine::Coarse),
                100.0 * a_turn / lead
            ));
        }
    }
    let ours = Shape::new(own.family, own.nominal.to_mm(), own.pitch.length.to_mm());
    let theirs = Shape::new(rival.family, rival.nominal.to_mm(), rival.pitch.length.to_mm());
    // Room between nut and screw at most material, across the diameter; negative: metal in the way.
    let (screw, nut) = match used.part {
        Element::Internal => (&ours, &theirs),
        Element::External => (&theirs, &ours),
    };
    let crest = (nut.basic.d4_internal - screw.basic.d).to_mm();
    let bore = (nut.basic.d1_internal - screw.basic.d3).to_mm();
    let flank = (nut.basic.d2 - screw.basic.d2).to_mm();
    let tightest = crest.min(bore).min(flank);
    let nominal_off = (own.nominal - rival.nominal).to_mm().abs();
    if tightest < -0.02 {
        said.push(format!("is {} too tight on the diameter", length(-tightest, Fine::Shop)));
    } else if nominal_off > 0.02 && flank > 0.02 {
        let axial = flank * 0.5 * (screw.tan + nut.tan);
        said.push(format!(
            "is {} slack on the pitch diameter, which adds {} of play",
            length(flank, Fine::Shop),
            length(axial, Fine::Shop)
        ));
    }
    let angle = (ours.included_deg - theirs.included_deg).abs();
    if angle > 0.1 {
        let depth = 0.5 * (ours.basic.d - ours.basic.d3).to_mm();
        let gap = depth * (ours.tan - theirs.tan).abs();
        said.push(format!("bears at one end of its flanks, {} open at the other", length(gap, Fine::Gauge)));
    }
    if said.is_empty() {
        format!("the {part} runs: the two do not differ in size")
    } else {
        format!("the {part} {}", said.join("; "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A nut of 5.00 mm pitch on a screw of 5.08 mm (five to the inch): 5.08 − 5.00 = 0.08 a turn; 0.20 / 0.08 = 2.5
    /// turns; 2.5 × 5.00 = 12.5 mm of nut (plain arithmetic).
    #[test]
    fn a_near_pitch_binds_where_arithmetic_says() {
        let used = Use { unit: Unit::Mm, part: Element::Internal, play: Length::mm(0.20), length: None };
        let screw: Thread = "7/8-5 Acme".parse().expect("a designation");
        let nut: Thread = "Tr 22x5".parse().expect("a designation");
        let said = consequence(used, &screw, &nut);
        assert!(said.contains("gains 0.080 mm a turn"), "{said}");
        assert!(
            said.contains("with 0.20 mm of play it binds after 2.5 turns, 12.5 mm of engagement"),
            "{said}"
        );
        let left = Thread { hand: flankwise_thread::Hand::Left, ..nut };
        assert!(consequence(used, &screw, &left).contains("does not start"));
        // Counted in the old nut's pitches where the screw is made anew.
        let made = Use { part: Element::External, ..used };
        assert!(
            consequence(made, &screw, &"Tr 22x5".parse().expect("one")).contains("12.7 mm of engagement")
        );
    }
}
