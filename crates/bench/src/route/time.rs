//! Hours of work, item by item. Every allowance is a shop's rule of thumb for one person at a manual bench lathe:
//! common practice, no source. What depends on the part (metal to take off, passes) is reckoned from it.
//!
//! Route stands left of tool, lathe and passes, so the passes are estimated here from depth, length and lead; a test
//! holds the estimate against the passes that the cut stage plans.

use crate::fit::Fit;
use crate::job::{HoleKind, Job, Lathe, NutKind};
use crate::material::{Group, Material};
use flankwise_thread::{Element, Length, Source};
use std::f64::consts::PI;

/// Where in the work an item stands: what is lost when a piece is spoiled follows from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Tools, gears, programs: done once, kept when a piece is spoiled.
    Tools,
    /// The part before its thread.
    Body,
    /// The thread.
    Thread,
    /// The part after its thread.
    After,
}

impl Phase {
    /// When a mishap of this phase shows.
    pub(super) const fn when(self) -> &'static str {
        match self {
            Self::Tools => "when the tools are made",
            Self::Body => "in the first passes, the body roughed and bored",
            Self::Thread => "at the end of the thread",
            Self::After => "when all is done",
        }
    }
}

/// One item of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What is done.
    pub what: String,
    /// Hours, all pieces together.
    pub hours: f64,
    /// Where in the work.
    pub phase: Phase,
    /// Done on every piece rather than once.
    pub each_piece: bool,
    /// Where the figure comes from.
    pub source: Source,
}

pub(super) const ALLOWANCE: Source = Source::practice("allowance for one person at a manual lathe");

/// Work done once, however many pieces.
pub(super) fn once(what: &str, hours: f64) -> Item {
    Item { what: what.to_owned(), hours, phase: Phase::Tools, each_piece: false, source: ALLOWANCE }
}

/// Work done on every piece.
pub(super) fn each(what: &str, hours: f64, phase: Phase, pieces: f64) -> Item {
    Item { what: what.to_owned(), hours: hours * pieces, phase, each_piece: true, source: ALLOWANCE }
}

/// Feed and depth of a roughing cut on a small lathe, mm, and the share of the time in the cut.
const ROUGH: (f64, f64, f64) = (0.15, 1.0, 0.5);
const ROUGHING: Source = Source::practice(
    "0.15 mm feed, 1 mm deep at the lower turning speed of the material, half of the time in the cut",
);
/// Threading runs at a quarter of the turning speed.
const THREADING_SHARE: f64 = 0.25;
/// From seeing the mark to the tool standing, seconds, where the lathe says nothing.
const REACTION_S: f64 = 0.5;
/// Drawing out, setting the next depth, oil, chips and a look, seconds a pass, beside the way back.
const HANDLING_S: f64 = 15.0;
/// Carriage run back by hand, mm/s.
const BACK_MM_PER_S: f64 = 25.0;
/// Finishing passes beside those of [`step_mm`], scratch pass included.
const EXTRA_PASSES: f64 = 4.0;

/// Radial depth of a usual threading pass with high-speed steel, mm (common practice 0.05 to 0.15 mm in steel).
const fn step_mm(group: Group) -> f64 {
    match group {
        Group::Bronze | Group::Brass | Group::Plastic => 0.10,
        Group::CastIron | Group::Steel => 0.08,
        Group::Stainless => 0.06,
    }
}

/// Threading with a single point, as far as it can be told before the tool and the lathe are set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passes {
    /// How many, all starts together.
    pub count: f64,
    /// Spindle speed, rev/min.
    pub rpm: f64,
    /// Hours for one piece.
    pub hours: f64,
}

/// Threading passes and the hours they take, for the thread of `fit` cut with a single point; `through` where the
/// tool runs out freely.
pub fn passes(fit: &Fit, lathe: Option<&Lathe>, material: &Material, through: bool) -> Passes {
    let passes = (fit.depth.to_mm() / step_mm(material.group)).ceil() + EXTRA_PASSES;
    let lead = fit.thread.lead().to_mm();
    let (slow, fast) = material.turning_m_per_min;
    let surface = (slow + fast) / 2.0 * THREADING_SHARE;
    let mut rpm = surface * 1000.0 / (PI * fit.blank.aim.max(fit.bottom.aim).to_mm());
    if !through {
        let room = fit.relief.unwrap_or(fit.thread.pitch.length * 2.0).to_mm();
        let reaction = lathe.and_then(|l| l.reaction_s).unwrap_or(REACTION_S);
        rpm = rpm.min(60.0 * room / (lead * reaction));
    }
    if let Some(lathe) = lathe {
        // The lathe's next speed down; its slowest where even that is too fast.
        let slower = lathe.speeds_rpm.iter().copied().filter(|s| *s <= rpm).reduce(f64::max);
        rpm = slower.or(lathe.speeds_rpm.first().copied()).unwrap_or(rpm);
    }
    let run = (fit.length + fit.thread.pitch.length * 2.0).to_mm();
    let cutting = run / (lead * rpm) * 60.0;
    let back =
        if lathe.is_some_and(|l| !opens(l, fit.thread.lead())) { cutting } else { run / BACK_MM_PER_S };
    let seconds = cutting + back + HANDLING_S;
    let count = passes * f64::from(fit.thread.starts);
    Passes { count, rpm, hours: count * seconds / 3600.0 }
}

/// Without a dial a shift longer than this, mm, is no help: the carriage cannot be wound back so far by eye to a mark on
/// the bed. Chosen here.
pub const LONGEST_SHIFT_MM: f64 = 150.0;

/// Whether the half-nuts may be opened between passes, so that the carriage goes back by hand; else it comes back as
/// slowly as it cuts. They fall in again where the carriage has shifted by whole leads of thread and lead screw both; a
/// dial shows such a place if one turn of it is a whole number of them. The lathe's stage says where, exactly, for the
/// train that is found.
pub fn opens(lathe: &Lathe, lead: Length) -> bool {
    let screw = lathe.lead_screw.length;
    let whole = |turns: f64| (turns - turns.round()).abs() < 1e-6;
    let dial = lathe.thread_dial.filter(|d| d.teeth > 0 && d.marks > 0);
    let turns: Vec<Length> = dial
        .map(|d| d.teeth)
        .into_iter()
        .chain(dial.iter().flat_map(|_| lathe.dial_gears.iter().copied()))
        .map(|teeth| screw * f64::from(teeth))
        .collect();
    let longest = turns.iter().map(|turn| turn.to_mm()).fold(LONGEST_SHIFT_MM, f64::max);
    let leads = 1..=(longest / lead.to_mm() + 1e-6) as u32;
    let mut shifts = leads.map(|k| lead * f64::from(k)).filter(|shift| whole(*shift / screw));
    let served =
        |shift: Length| shift.to_mm() <= LONGEST_SHIFT_MM || turns.iter().any(|turn| whole(*turn / shift));
    lathe.half_nuts && shifts.next().is_some_and(served)
}

/// How the part is held for its thread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holding {
    /// In the first setting, parted off afterwards.
    First,
    /// Parted off, turned round and set true before the thread.
    Again,
}

/// Everything but the thread: sawing, roughing, bore, body, holes, proof.
pub(super) fn body(fit: &Fit, job: &Job, material: &Material, pieces: f64, holding: Holding) -> Vec<Item> {
    let each = |what: &str, hours: f64, phase: Phase| each(what, hours, phase, pieces);
    let finishing = match holding {
        Holding::First => Phase::After,
        Holding::Again => Phase::Body,
    };
    let mut items = vec![each("saw, chuck and face", 0.3, Phase::Body)];
    items.push(Item {
        what: "rough the outside".into(),
        hours: roughing(fit, job, material) * pieces,
        phase: Phase::Body,
        each_piece: true,
        source: ROUGHING,
    });
    if fit.part == Element::Internal {
        let length = fit.length / Length::mm(25.0);
        items.push(each("centre, drill and bore to size", 0.3 + 0.1 * length, Phase::Body));
    } else {
        let length = fit.length / Length::mm(100.0);
        items.push(each("centre both ends, turn to size", 0.4 + 0.1 * length, Phase::Body));
    }
    if !fit.through && fit.relief.is_some() && holding == Holding::First {
        items.push(each("groove at the blind end", 0.2, Phase::Body));
    }
    items.push(each("finish the body to its fit", 0.25, finishing));
    if fit.part == Element::Internal {
        items.push(each("part off, turn round, set true, face", 0.45, finishing));
    }
    if holding == Holding::Again {
        items.push(each("set true to bore and face for the thread", 0.4, Phase::Body));
    }
    if fit.part == Element::Internal {
        items.extend(to_be_set(job.make.nut).map(|(what, hours)| each(what, hours, Phase::After)));
    }
    let holes: u32 =
        job.make.body.holes.iter().map(|h| if h.kind == HoleKind::Flange { h.count.max(1) } else { 1 }).sum();
    if holes > 0 {
        items.push(each("holes", 0.15 * f64::from(holes), Phase::After));
    }
    if job.make.body.flats.is_some() {
        items.push(each("flats", 0.4, Phase::After));
    }
    items.push(each("clean and prove", 0.25, Phase::After));
    items
}

/// What makes a nut of one that can be set, and its hours.
const fn to_be_set(kind: NutKind) -> Option<(&'static str, f64)> {
    match kind {
        NutKind::Plain | NutKind::Cast => None,
        NutKind::Split => Some(("slit, closing screw, set", 0.75)),
        NutKind::TwoPiece => Some(("part in two halves, key and shim them, set", 1.25)),
        NutKind::Sprung => Some(("part in two halves, key them, fit the spring", 1.5)),
    }
}

/// Hours of roughing one piece from its share of the bar.
fn roughing(fit: &Fit, job: &Job, material: &Material) -> f64 {
    let Some((diameter, _)) = fit.stock else { return 0.5 };
    let length = fit.part_length(&job.make);
    let bar = PI / 4.0 * diameter.to_mm().powi(2) * length.to_mm();
    // The bore comes out with the drill.
    let bore = if fit.part == Element::Internal {
        PI / 4.0 * fit.blank.aim.to_mm().powi(2) * fit.length.to_mm()
    } else {
        0.0
    };
    let finished = crate::fit::finished_mm3(fit, job).unwrap_or(bar / 2.0);
    let (feed, deep, share) = ROUGH;
    let rate = material.turning_m_per_min.0 * 1000.0 * feed * deep * share;
    ((bar - finished - bore).max(0.0) / rate) / 60.0
}

/// A form tool and the lathe set up to cut with it.
fn form_tool() -> [Item; 2] {
    [once("grind the tool and its template", 0.75), once("gears, tool height and angle", 0.6)]
}

/// The thread cut with a single point.
pub(super) fn single_point(
    fit: &Fit,
    job: &Job,
    material: &Material,
    pieces: f64,
    through: bool,
) -> Vec<Item> {
    let planned = passes(fit, job.lathe.as_ref(), material, through);
    let mut items = Vec::from(form_tool());
    items.push(Item {
        what: format!("about {:.0} passes at {:.0} rev/min, an estimate", planned.count, planned.rpm),
        hours: planned.hours * pieces,
        phase: Phase::Thread,
        each_piece: true,
        source: Source::practice(
            "depth over the usual pass, 4 more to finish; a quarter of the turning speed; the carriage back by hand where the half-nuts may open, else at the speed of the cut; 15 s of handling a pass; the cut plans them",
        ),
    });
    items.push(each("try the mate, last passes", 0.3, Phase::Thread, pieces));
    items
}

/// A turn of a tap by hand with half a turn back, seconds.
const TAP_TURN_S: f64 = 15.0;
/// Taking a tap out, cleaning it and starting the next, seconds.
const TAP_CHANGE_S: f64 = 120.0;

/// The thread tapped, with so many turns of each tap.
pub(super) fn tapping(turns: &[f64], pieces: f64) -> Vec<Item> {
    let seconds: f64 = turns.iter().map(|t| t * TAP_TURN_S + TAP_CHANGE_S).sum();
    let tap = Item {
        source: Source::practice("15 s for a turn with half a turn back, 2 min to change and clean a tap"),
        ..each("tap, backing out to clear chips", seconds / 3600.0, Phase::Thread, pieces)
    };
    vec![once("set up and line up the tap", 0.2), tap]
}

/// A set of taps made in the shop.
pub(super) fn making_taps(taps: u32) -> Vec<Item> {
    let taps = f64::from(taps);
    let mut items = Vec::from(form_tool());
    items.extend([
        once("turn and thread the taps", 1.5 * taps),
        once("mill flutes and square", 0.75 * taps),
        once("back off and hone the teeth", 0.75 * taps),
        once("harden and temper", 1.0),
    ]);
    items
}

/// Cut with a die.
pub(super) fn die(pieces: f64) -> Vec<Item> {
    vec![once("set up the die", 0.15), each("cut with the die", 0.25, Phase::Thread, pieces)]
}

/// A bought part fitted into the old place.
pub(super) fn adapting(pieces: f64) -> Vec<Item> {
    vec![
        each("turn the bought part, or make a bush or plate for it", 1.5, Phase::Body, pieces),
        each("adapt the housing and line it up", 1.0, Phase::After, pieces),
        each("clean and prove", 0.25, Phase::After, pieces),
    ]
}

/// Cut with a thread-milling cutter in so many hours a piece.
pub(super) fn milling(cutting: Item, pieces: f64) -> Vec<Item> {
    vec![
        once("write the path and try it in air", 1.0),
        once("measure the cutter, enter its offsets", 0.4),
        each("set true under the spindle", 0.3, Phase::Thread, pieces),
        cutting,
        each("try the mate, correct the offset", 0.3, Phase::Thread, pieces),
    ]
}

/// A nut cast round the screw in a carrier.
pub(super) fn casting(pieces: f64) -> Vec<Item> {
    vec![
        each("turn and bore the carrier, grooves inside to key the resin", 1.2, Phase::Body, pieces),
        each("clean, wax and polish the screw", 0.4, Phase::Thread, pieces),
        each("centre the carrier on the screw, dam its ends, vents", 0.5, Phase::Thread, pieces),
        each("mix, fill, watch it set", 0.4, Phase::Thread, pieces),
        each("free the screw, trim, prove", 0.6, Phase::After, pieces),
    ]
}
