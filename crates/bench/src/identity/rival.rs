//! What would happen if the thread were taken for a rival.

use super::Rival;
use super::meet::{Crest, Flanks, Nearest, Pair, Stops};
use super::model::Model;
use super::rank::{Ranked, Ranking};
use super::voice::hand;
use crate::job::Job;
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
    /// Axial play that the part is made to have, on a mate of its own thread.
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
    /// Only where tolerance or wear leave the room that basic sizes do not.
    Tight,
    /// Starts, and stops before its length is in.
    Binds,
    /// Until a taper stops it.
    Jams,
    /// Does not start, or not for a turn.
    Refuses,
}

impl Goes {
    /// In a word or two.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Runs => "runs",
            Self::Loose => "runs loose",
            Self::Tight => "may not start",
            Self::Binds => "starts and binds",
            Self::Jams => "jams on the taper",
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

/// Room below which sizes count as the same, mm: what a calliper shows.
const SAME: f64 = 0.02;

/// What a new part cut as `rival` does on a thread that is `own`.
pub(super) fn consequence(used: Use, own: &Thread, rival: &Thread) -> Consequence {
    let (part, mate) = used.names();
    let says = |goes, words: String| Consequence { goes, words: format!("the {part} {words}") };
    if own.hand != rival.hand {
        let words = format!("a {} {part} does not start on a {} {mate}", hand(rival.hand), hand(own.hand));
        return Consequence { goes: Goes::Refuses, words };
    }
    if own.starts != rival.starts {
        let starts = |n: u32| if n == 1 { "1 start".to_owned() } else { format!("{n} starts") };
        let words = format!("has {} against {} and does not go on", starts(rival.starts), starts(own.starts));
        return says(Goes::Refuses, words);
    }
    let pair = match used.part {
        Element::Internal => Pair { screw: own, nut: rival },
        Element::External => Pair { screw: rival, nut: own },
    };
    // Thread that is left in thread, as a share of the nut's own depth.
    let engaged = pair.engaged();
    if engaged <= 0.0 {
        let way = if used.part == Element::Internal { "over" } else { "through" };
        return says(Goes::Loose, format!("slips {way} the {mate}: no thread meets another"));
    }
    let flanks = pair.flanks();
    let room = flanks.map_or(0.0, |f| f.along);
    let drift = drift(used, own, rival, room);
    if let Some((Goes::Refuses, words)) = drift {
        return says(Goes::Refuses, words);
    }
    if pair.tapers() {
        let (goes, mut words) = taper(used, pair);
        if drift.is_some() && goes == Goes::Jams {
            words.push_str("; the two differ in pitch besides, and jam the sooner");
        }
        return says(goes, words);
    }
    let (mut goes, mut said) = (Goes::Runs, Vec::new());
    match in_the_way(used, flanks, pair.crests()) {
        Some((Goes::Refuses, words)) => return says(Goes::Refuses, words),
        Some((how, words)) => {
            goes = how;
            said.push(words);
        }
        None => {}
    }
    if let Some(flanks) = flanks.filter(|f| f.across.unwrap_or(f.along).abs() > SAME) {
        if flanks.along > 0.0 && goes == Goes::Runs {
            goes = Goes::Loose;
        }
        // With a difference in lead the play is told where it is used up.
        if drift.is_none() {
            said.push(looser(used, flanks));
        }
        if engaged < SHALLOW {
            let share = show::value(&Value::Share(engaged), used.unit);
            said.push(format!("engages over {share} of its depth"));
        }
    }
    if let Some((how, words)) = drift {
        goes = if how == Goes::Runs { goes } else { how };
        said.push(words);
    }
    if let Some(flanks) = flanks.filter(|f| f.nearest != Nearest::Along) {
        let gap = used.length(flanks.open, Fine::Gauge);
        said.push(format!("bears {}, {gap} open at the other end of the flanks", flanks.nearest.words()));
    }
    match said.as_slice() {
        [] => says(goes, "runs: the two do not differ in size".to_owned()),
        said => says(goes, said.join("; ")),
    }
}

/// Whether metal in the way keeps the part from starting, surely or at basic sizes, in words; none where there is room. Of
/// flanks the play that the part has is all there is; crests and roots have what the makers' tolerances leave.
fn in_the_way(used: Use, flanks: Option<Flanks>, crests: [Crest; 2]) -> Option<(Goes, String)> {
    let length = |mm: f64| used.length(mm, Fine::Shop);
    let play = used.play.to_mm();
    if let Some(f) = flanks.filter(|f| f.along + play < 0.0) {
        let tight = match f.across.filter(|_| f.nearest == Nearest::Along) {
            Some(across) => format!("{} too tight on the pitch diameter", length(-across)),
            None => format!("ridges {} too wide for the grooves {}", length(-f.along), f.nearest.words()),
        };
        return Some((Goes::Refuses, format!("does not start: {tight}, with {} of play", length(play))));
    }
    let foul = crests.into_iter().filter(|c| c.room < -SAME);
    let foul = foul.min_by(|a, b| (a.room + a.tolerance).total_cmp(&(b.room + b.tolerance)))?;
    let tight = format!("{} too tight on the {}", length(-foul.room), foul.what);
    Some(if foul.room + foul.tolerance < 0.0 {
        (Goes::Refuses, format!("does not start: {tight}"))
    } else {
        (Goes::Tight, format!("starts only where tolerance or wear leave room: {tight} at basic sizes"))
    })
}

/// Share of the depth in engagement below which it is worth a word. Chosen here.
const SHALLOW: f64 = 0.6;

/// What more or less room between the flanks than on its own mate does to the part's play.
fn looser(used: Use, flanks: Flanks) -> String {
    let along = used.length(flanks.along.abs(), Fine::Shop);
    let (way, more) = if flanks.along > 0.0 { ("slack", "adds") } else { ("tight", "takes") };
    match flanks.across.filter(|_| flanks.nearest == Nearest::Along) {
        Some(across) => format!(
            "is {} {way} on the pitch diameter, which {more} {along} of play",
            used.length(across.abs(), Fine::Shop)
        ),
        None if flanks.along > 0.0 => format!("has {along} more play"),
        None => format!("has {along} less play"),
    }
}

/// What a taper of either does, with whether the joint can be tight.
fn taper(used: Use, pair: Pair<'_>) -> (Goes, String) {
    let Some(stop) = pair.stop() else {
        return (
            Goes::Jams,
            format!("jams: one of the two tapers, at what turn no table says; {}", seal(pair)),
        );
    };
    if stop.length <= 0.0 {
        return (
            Goes::Refuses,
            "does not start: the screw is larger than the nut where the two meet".to_owned(),
        );
    }
    let place = match stop.at {
        Stops::Everywhere => "on all its turns",
        Stops::NutMouth => "at the mouth of the nut",
        Stops::ScrewEnd => "at the end of the screw",
    };
    let words = format!(
        "goes on by hand for {:.1} turns, {} of thread, and jams {place}; {}",
        stop.turns,
        used.length(stop.length, Fine::Coarse),
        seal(pair)
    );
    (Goes::Jams, words)
}

/// Whether two of which one tapers make a tight joint: ISO 7-1 pairs a taper screw with a taper or a parallel nut, ASME
/// B1.20.1 two tapers, and ISO 228-1 has threads that are not to be tight (all three from memory).
fn seal(pair: Pair<'_>) -> &'static str {
    let screw = pair.screw.taper(Element::External).is_some();
    let nut = pair.nut.taper(Element::Internal).is_some();
    // A parallel nut of a taper family is made for taper screws.
    let for_tapers = pair.nut.family.form().taper().is_some();
    match (screw, nut) {
        _ if !pair.of_one_form() => "does not seal: flanks or pitch differ and leave a way along the thread",
        (true, true) => "drawn up from there it seals, with a jointing medium",
        (true, false) if for_tapers => "drawn up from there it seals, with a jointing medium, on few turns",
        (true, false) => "a nut of this thread is not made to seal",
        (false, _) => "does not seal: a parallel screw touches with its last turns alone",
    }
}

/// A gain a turn that uses up the play this many times over: not even a third of a turn goes on.
const AT_ONCE: f64 = 3.0;

/// What a difference in lead does, over the play that the part has on its own mate and the `room` (mm, along the axis; below
/// zero it is tighter) that it has more on this one; none where the leads are the same.
fn drift(used: Use, own: &Thread, rival: &Thread, room: f64) -> Option<(Goes, String)> {
    let (lead, other) = (own.lead().to_mm(), rival.lead().to_mm());
    let a_turn = (other - lead).abs();
    if a_turn <= 1e-6 {
        return None;
    }
    let play = used.play.to_mm();
    let left = (play + room).max(0.0);
    if a_turn > AT_ONCE * left.max(0.03 * lead) {
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
    let turns = left / a_turn;
    let gain = used.length(a_turn, Fine::Gauge);
    let after =
        |turns: f64| format!("{turns:.1} turns, {} of engagement", used.length(turns * of_nut, Fine::Coarse));
    let play = used.length(play, Fine::Shop);
    Some(if turns * of_nut < long {
        let words = if room.abs() < 0.5 * SAME {
            format!("gains {gain} a turn: with {play} of play it binds after {}", after(turns))
        } else {
            let alone = after(used.play.to_mm() / a_turn);
            let (its, size) = (used.length(room.abs(), Fine::Shop), if room > 0.0 { "with" } else { "less" });
            format!(
                "gains {gain} a turn, which takes up {play} of play in {alone}; {size} {its} for its size it binds \
                 after {}",
                after(turns)
            )
        };
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
    /// turns; 2.5 × 5.00 = 12.5 mm of nut (plain arithmetic). Its size takes of that play: at the screw's crest of 22.225 mm
    /// the nut's groove is 2.5 − 2.725 tan 15° = 1.770 mm wide, the ridge 2.54 − 2.54 tan 14.5° = 1.883 mm, and the
    /// fillets of 0.25 mm at the nut's root of 22.5 mm (ISO 2901: R2 = ac) narrow the groove there by some 0.01 mm more.
    #[test]
    fn a_near_pitch_binds_where_arithmetic_says() {
        let does = on("7/8-5 Acme", "Tr 22x5", used(0.20));
        assert_eq!(does.goes, Goes::Binds);
        let said = does.words;
        assert!(said.contains("gains 0.080 mm a turn"), "{said}");
        for part in [
            "takes up 0.20 mm of play in 2.5 turns, 12.5 mm of engagement",
            "less 0.12 mm for its size it binds after 0.9 turns",
        ] {
            assert!(said.contains(part), "no {part}: {said}");
        }
        let left = on("7/8-5 Acme", "Tr 22x5 LH", used(0.20));
        assert!(left.goes == Goes::Refuses && left.words.contains("does not start"), "{left:?}");
    }

    /// The other way round the nut is slack by as much as the profiles leave where they are nearest: the screw's crest at 22 mm
    /// is 2.5 − 2.5 tan 15° = 1.830 mm wide, the nut's groove there 2.54 − 2.315 tan 14.5° = 1.941 mm; at the nut's bore of
    /// 17.145 mm the ridge is 2.5 + 2.355 tan 15° = 3.131 mm, the groove 2.54 + 2.54 tan 14.5° = 3.197 mm: 0.066 mm
    /// more; (0.20 + 0.066) / 0.08 = 3.3 turns (plain trigonometry on the basic sizes of ISO 2904 and ASME B1.5).
    #[test]
    fn slack_adds_to_the_play_that_a_difference_of_pitch_uses_up() {
        let does = on("Tr 22x5", "7/8-5 Acme", used(0.20));
        assert_eq!(does.goes, Goes::Binds);
        for part in ["with 0.07 mm for its size it binds after 3.3 turns", "bears at the crests of the nut"] {
            assert!(does.words.contains(part), "no {part}: {}", does.words);
        }
        // Counted in the old nut's pitches where the screw is made anew: 3.3 × 5.08 = 16.9 mm.
        let made = Use { part: Element::External, ..used(0.20) };
        assert!(on("7/8-5 Acme", "Tr 22x5", made).words.contains("16.9 mm of engagement"));
    }

    /// Like flanks of near pitches, the groove of the one as wide as that of the other at each diameter (a nut of 5.08 mm is
    /// 0.04 mm wider at its pitch diameter, which is 0.04 / tan 15° = 0.15 mm smaller): nothing but the pitch counts.
    #[test]
    fn play_alone_is_used_up_where_sizes_agree() {
        let does = on("Tr 22x5", "Tr 21.9x5.08", used(0.20));
        let said = does.words;
        assert!(
            said.contains("with 0.20 mm of play it binds after 2.5 turns, 12.7 mm of engagement"),
            "{said}"
        );
    }

    /// Threads of one pitch diameter and pitch whose ridges are wider than the grooves at one end of their depth (see
    /// `meet` for the figures by trigonometry).
    #[test]
    fn unlike_flanks_foul_where_pitch_diameters_agree() {
        for (screw, nut, foul) in [
            ("1 1/4-4 square", "1 1/4-4 ACME", "0.82 mm too wide for the grooves at the crests of the screw"),
            ("1 1/4-4 ACME", "1 1/4-4 square", "0.82 mm too wide for the grooves at the crests of the nut"),
            ("Sq 19x3", "Tr 19.05x3", "too wide for the grooves at the crests of the screw"),
            ("M18x2.5", "Tr 18x2.5", "0.17 mm too wide for the grooves at the crests of the nut"),
        ] {
            let does = on(screw, nut, used(0.1));
            assert_eq!(does.goes, Goes::Refuses, "{screw} {nut}: {}", does.words);
            assert!(does.words.contains(foul), "{screw} {nut}: {}", does.words);
        }
    }

    /// ISO 7-1, ISO 228-1 and ASME B1.20.1: turns by hand (see `meet`), and which pairs are made tight.
    #[test]
    fn a_taper_jams_and_seals_only_on_its_like() {
        for (screw, nut, turns, seals) in [
            ("R 1/2", "G 1/2", "4.5 turns", "not made to seal"),
            ("R 1/2", "Rp 1/2", "4.5 turns", "it seals, with a jointing medium"),
            ("1/2-14 NPT", "1/2-14 NPT", "4.5 turns", "it seals, with a jointing medium"),
            ("R 1/2", "1/2-14 NPT", "turns", "does not seal"),
            ("G 1/2", "R 1/2", "0.5 turns", "does not seal"),
        ] {
            let does = on(screw, nut, used(0.1));
            assert_eq!(does.goes, Goes::Jams, "{screw} {nut}: {}", does.words);
            assert!(
                does.words.contains(turns) && does.words.contains(seals),
                "{screw} {nut}: {}",
                does.words
            );
        }
        assert_eq!(on("G 1/2", "G 1/2", used(0.1)).goes, Goes::Runs);
        assert_eq!(on("G 1/2", "Rp 1/2", used(0.1)).goes, Goes::Runs);
    }

    #[test]
    fn other_starts_do_not_go_on() {
        let does = on("Tr 22x10 P5", "Tr 22x10", used(0.1));
        assert!(does.goes == Goes::Refuses && does.words.contains("1 start against 2 starts"), "{does:?}");
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
