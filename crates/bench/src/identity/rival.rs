//! What would happen if the thread were taken for a rival.

use super::Rival;
use super::model::Model;
use super::rank::{Ranked, Ranking};
use super::size::Shape;
use super::voice::hand;
use crate::job::{Condition, Feature, Job};
use crate::report::{Fine, Value, show};
use flankwise_thread::{Element, Length, Thread, Unit};

/// Axial play that a feed nut usually has, where nobody says. Common practice, no source.
pub(super) const USUAL_PLAY: Length = Length::mm(0.1);
/// What is said of a thread that the ranking left out long before: not nothing.
const UNRANKED: f64 = 1e-9;
/// Rivals told of.
const MOST: usize = 4;
/// Rivals less likely than this are not worth a word.
const LEAST: f64 = 0.002;

/// The runners-up that differ in more than the name, with what a mistake would lead to; `told` (the owner's story)
/// comes first if it differs.
pub(super) fn rivals(model: &Model, ranking: &Ranking, first: &Ranked, told: Option<&Thread>) -> Vec<Rival> {
    let told = told.map(|thread| {
        let same = ranking.ranked.iter().find(|r| alike(&r.thread(), thread));
        (thread.clone(), same.map_or(UNRANKED, |r| r.probability))
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
        let consequence = consequence(Use::of(model.job), &own, &thread).words;
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
        Self { unit: job.unit, part: make.part, play: make.play.unwrap_or(USUAL_PLAY), length: make.length }
    }
    fn length(&self, mm: f64, fine: Fine) -> String {
        show::value(&Value::Length(Length::mm(mm), fine), self.unit)
    }
    /// What is made, and what it goes on or into.
    fn names(&self) -> (&'static str, &'static str) {
        match self.part {
            Element::Internal => ("nut", "screw"),
            Element::External => ("screw", "nut"),
        }
    }
}

/// How a part of one thread goes with a part of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goes {
    /// As on its own.
    Runs,
    /// All the way, with more play.
    Loose,
    /// Starts, and stops before its length is in.
    Binds,
    /// Does not start, or not for a turn.
    Refuses,
}

impl Goes {
    /// In a word or two.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Runs => "runs",
            Self::Loose => "runs loose",
            Self::Binds => "starts and binds",
            Self::Refuses => "does not go on",
        }
    }
}

/// What a new part cut to one thread does on a part of another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Consequence {
    /// How it goes.
    pub goes: Goes,
    /// The same in words, with the figures: a sentence without its stop.
    pub words: String,
}

/// Room between a new part and its mate at basic sizes, across the diameter; negative: metal in the way. In mm.
struct Room {
    what: &'static str,
    room: f64,
    /// What the makers' tolerances of the two leave on average.
    tolerance: f64,
}

/// The three places at which a nut can foul a screw.
fn rooms(screw: &Shape, nut: &Shape) -> [Room; 3] {
    let tolerance = |feature| {
        let of = |shape: &Shape, part| {
            shape.predict(part, feature, None, Condition::Unused).map_or(0.0, |p| p.tolerance)
        };
        0.5 * (of(screw, Element::External) + of(nut, Element::Internal))
    };
    let (n, s) = (&nut.basic, &screw.basic);
    [
        ("pitch diameter", n.d2 - s.d2, Feature::PitchDiameter),
        ("major diameter", n.d4_internal - s.d, Feature::MajorDiameter),
        ("minor diameter", n.d1_internal - s.d3, Feature::MinorDiameter),
    ]
    .map(|(what, room, feature)| Room { what, room: room.to_mm(), tolerance: tolerance(feature) })
}

/// Room below which sizes count as the same, mm: what a calliper shows.
const SAME: f64 = 0.02;

/// What a new part cut as `rival` does on a thread that is `own`.
pub(super) fn consequence(used: Use, own: &Thread, rival: &Thread) -> Consequence {
    let (part, mate) = used.names();
    if own.hand != rival.hand {
        let words = format!("a {} {part} does not start on a {} {mate}", hand(rival.hand), hand(own.hand));
        return Consequence { goes: Goes::Refuses, words };
    }
    let shape = |t: &Thread| Shape::new(t.family, t.nominal.to_mm(), t.pitch.length.to_mm());
    let (ours, theirs) = (shape(own), shape(rival));
    let (screw, nut) = match used.part {
        Element::Internal => (&ours, &theirs),
        Element::External => (&theirs, &ours),
    };
    let rooms = rooms(screw, nut);
    let (mut goes, mut said) = (Goes::Runs, Vec::new());
    match in_the_way(used, &rooms) {
        Some((true, words)) => {
            return Consequence { goes: Goes::Refuses, words: format!("the {part} {words}") };
        }
        Some((false, words)) => said.push(words),
        None => {}
    }
    // Thread that is left in thread, as a share of the nut's own depth.
    let engaged =
        (screw.basic.d - nut.basic.d1_internal).to_mm() / (nut.basic.d - nut.basic.d1_internal).to_mm();
    if engaged <= 0.0 {
        let way = if used.part == Element::Internal { "over" } else { "through" };
        let words = format!("the {part} slips {way} the {mate}: no thread meets another");
        return Consequence { goes: Goes::Loose, words };
    }
    let slack = rooms[0].room.max(0.0) * 0.5 * (screw.tan + nut.tan);
    if rooms[0].room > SAME && (own.nominal - rival.nominal).abs().to_mm() > SAME {
        goes = Goes::Loose;
        said.extend(looseness(used, rooms[0].room, slack, engaged));
    }
    if let Some((how, words)) = drift(used, own, rival, slack) {
        goes = if how == Goes::Runs { goes } else { how };
        said.push(words);
    }
    if (ours.included_deg - theirs.included_deg).abs() > 0.1 {
        let depth = 0.5 * (ours.basic.d - ours.basic.d3).to_mm();
        let gap = used.length(depth * (ours.tan - theirs.tan).abs(), Fine::Gauge);
        said.push(format!("bears at one end of its flanks, {gap} open at the other"));
    }
    let words = match said.as_slice() {
        [] => format!("the {part} runs: the two do not differ in size"),
        said => format!("the {part} {}", said.join("; ")),
    };
    Consequence { goes, words }
}

/// Whether metal in the way keeps the part from starting at all, in words; none where there is room.
fn in_the_way(used: Use, rooms: &[Room; 3]) -> Option<(bool, String)> {
    let fouls = rooms.iter().filter(|r| r.room < -SAME);
    let foul = fouls.min_by(|a, b| (a.room + a.tolerance).total_cmp(&(b.room + b.tolerance)))?;
    let tight = format!("{} too tight on the {}", used.length(-foul.room, Fine::Shop), foul.what);
    Some(if foul.room + foul.tolerance < 0.0 {
        (true, format!("does not start: {tight}"))
    } else {
        (false, format!("is {tight} at basic sizes: it starts where tolerance or wear leave that much"))
    })
}

/// Share of the depth in engagement below which it is worth a word. Chosen here.
const SHALLOW: f64 = 0.6;

/// What slack of `room` on the pitch diameter and `slack` along the axis (mm) does, with this share of the depth engaged.
fn looseness(used: Use, room: f64, slack: f64, engaged: f64) -> Vec<String> {
    let mut said = vec![format!(
        "is {} slack on the pitch diameter, which adds {} of play",
        used.length(room, Fine::Shop),
        used.length(slack, Fine::Shop)
    )];
    if engaged < SHALLOW {
        let share = show::value(&Value::Share(engaged), used.unit);
        said.push(format!("engages over {share} of its depth"));
    }
    said
}

/// A gain a turn that uses up the play this many times over: not even a third of a turn goes on.
const AT_ONCE: f64 = 3.0;

/// What a difference in lead does, over play and `slack` (mm, along the axis); none where the leads are the same.
fn drift(used: Use, own: &Thread, rival: &Thread, slack: f64) -> Option<(Goes, String)> {
    let (lead, other) = (own.lead().to_mm(), rival.lead().to_mm());
    let a_turn = (other - lead).abs();
    if a_turn <= 1e-6 {
        return None;
    }
    let play = used.play.to_mm().max(1e-3) + slack;
    if a_turn > AT_ONCE * play.max(0.03 * lead) {
        let words = format!(
            "has a lead of {} against {} and does not go on",
            used.length(other, Fine::Shop),
            used.length(lead, Fine::Shop)
        );
        return Some((Goes::Refuses, words));
    }
    // The nut is what its pitches are counted in.
    let of_nut = if used.part == Element::Internal { other } else { lead };
    let long = used.length.map_or(1.5 * own.nominal.to_mm(), Length::to_mm);
    let turns = play / a_turn;
    let gain = used.length(a_turn, Fine::Gauge);
    Some(if turns * of_nut < long {
        let words = format!(
            "gains {gain} a turn: with {} of play it binds after {turns:.1} turns, {} of engagement",
            used.length(play, Fine::Shop),
            used.length(turns * of_nut, Fine::Coarse)
        );
        (Goes::Binds, words)
    } else {
        let words = format!(
            "gains {gain} a turn, {} over {} of nut: runs, but on fewer flanks, and a dial reads {:.2} % wrong",
            used.length(a_turn * long / of_nut, Fine::Shop),
            used.length(long, Fine::Coarse),
            100.0 * a_turn / lead
        );
        (Goes::Runs, words)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn used(play_mm: f64) -> Use {
        Use { unit: Unit::Mm, part: Element::Internal, play: Length::mm(play_mm), length: None }
    }

    fn on(screw: &str, nut: &str, used: Use) -> Consequence {
        let thread = |t: &str| t.parse::<Thread>().unwrap_or_else(|e| panic!("{t}: {e}"));
        consequence(used, &thread(screw), &thread(nut))
    }

    /// A nut of 5.00 mm pitch on a screw of 5.08 mm (five to the inch): 5.08 − 5.00 = 0.08 a turn; 0.20 / 0.08 = 2.5
    /// turns; 2.5 × 5.00 = 12.5 mm of nut (plain arithmetic).
    #[test]
    fn a_near_pitch_binds_where_arithmetic_says() {
        let does = on("7/8-5 Acme", "Tr 22x5", used(0.20));
        assert_eq!(does.goes, Goes::Binds);
        let said = does.words;
        assert!(said.contains("gains 0.080 mm a turn"), "{said}");
        assert!(
            said.contains("with 0.20 mm of play it binds after 2.5 turns, 12.5 mm of engagement"),
            "{said}"
        );
        let left = on("7/8-5 Acme", "Tr 22x5 LH", used(0.20));
        assert!(left.goes == Goes::Refuses && left.words.contains("does not start"), "{left:?}");
        // Counted in the old nut's pitches where the screw is made anew; the screw is then slack by the 0.049 mm below:
        // (0.20 + 0.049) / 0.08 × 5.08 = 15.8 mm.
        let made = Use { part: Element::External, ..used(0.20) };
        assert!(on("7/8-5 Acme", "Tr 22x5", made).words.contains("15.8 mm of engagement"));
    }

    /// The other way round the nut is slack: pitch diameters (7/8 − 0.1) in = 19.685 mm and 22 − 2.5 = 19.5 mm differ by
    /// 0.185 mm; along the axis that is 0.185 × (tan 15° + tan 14.5°) / 2 = 0.049 mm more play, and
    /// (0.20 + 0.049) / 0.08 = 3.1 turns (plain arithmetic on the basic sizes of ISO 2904 and ASME B1.5).
    #[test]
    fn slack_adds_to_the_play_that_a_difference_of_pitch_uses_up() {
        let does = on("Tr 22x5", "7/8-5 Acme", used(0.20));
        assert_eq!(does.goes, Goes::Binds);
        for part in ["0.18 mm slack", "adds 0.05 mm of play", "with 0.25 mm of play it binds after 3.1 turns"]
        {
            assert!(does.words.contains(part), "no {part}: {}", does.words);
        }
    }

    /// Screws of M8 do not enter nuts of M6, M6 nuts slip over screws of 4 mm, and UN and UNJ differ in no size that meets.
    #[test]
    fn sizes_apart_do_not_start_or_do_not_meet() {
        let does = on("M8x1", "M6x1", used(0.1));
        assert!(
            does.goes == Goes::Refuses && does.words.contains("does not start: 2.00 mm too tight"),
            "{does:?}"
        );
        assert_eq!(on("M4x0.7", "M6x1", used(0.1)).goes, Goes::Loose);
        assert!(on("M4x0.7", "M6x1", used(0.1)).words.contains("slips over"));
        assert_eq!(on("1/2-20 UNF", "1/2-20 UNF", used(0.1)).goes, Goes::Runs);
    }
}
