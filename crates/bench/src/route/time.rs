//! Hours of work, item by item. Every allowance is a shop's rule of thumb for one person at a manual bench lathe:
//! common practice, no source. What depends on the part (metal to take off, passes) is reckoned from it.

use crate::fit::Fit;
use crate::job::{HoleKind, Job, Lathe};
use crate::material::{Group, Material};
use flankwise_thread::{Element, Length, Source};
use std::f64::consts::PI;

/// One item of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What is done.
    pub what: String,
    /// Hours, all pieces together.
    pub hours: f64,
    /// Where the figure comes from.
    pub source: Source,
}

/// Work done once, however many pieces.
fn once(what: &str, hours: f64) -> Item {
    Item {
        what: what.to_owned(),
        hours,
        source: Source::practice("allowance for one person at a manual lathe"),
    }
}

/// Work done on every piece.
pub(super) fn each(what: &str, hours: f64, pieces: f64) -> Item {
    once(what, hours * pieces)
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
/// Drawing out, going back and setting the next depth, seconds a pass, beside the run back.
const HANDLING_S: f64 = 20.0;
/// Finishing passes beside those of [`step_mm`], scratch pass included.
const EXTRA_PASSES: f64 = 4.0;

/// Radial depth of a usual threading pass with high-speed steel, mm (common practice 0.05 to 0.15 mm in steel).
pub(super) const fn step_mm(group: Group) -> f64 {
    match group {
        Group::Bronze | Group::Brass | Group::Plastic => 0.08,
        Group::CastIron | Group::Steel => 0.06,
        Group::Stainless => 0.05,
    }
}

/// Threading passes and the hours they take, for the thread of `fit` cut with a single point.
pub(super) fn passes(fit: &Fit, lathe: Option<&Lathe>, material: &Material) -> (f64, f64) {
    let passes = (fit.depth.to_mm() / step_mm(material.group)).ceil() + EXTRA_PASSES;
    let lead = fit.thread.lead().to_mm();
    let surface = material.turning_m_per_min.0 * THREADING_SHARE;
    let mut rpm = surface * 1000.0 / (PI * fit.blank.aim.max(fit.bottom.aim).to_mm());
    if !fit.through {
        let room = fit.relief.unwrap_or(fit.thread.pitch.length * 2.0).to_mm();
        let reaction = lathe.and_then(|l| l.reaction_s).unwrap_or(REACTION_S);
        rpm = rpm.min(60.0 * room / (lead * reaction));
    }
    if let Some(lathe) = lathe {
        // The lathe's next speed down; its slowest where even that is too fast.
        let slower = lathe.speeds_rpm.iter().copied().filter(|s| *s <= rpm).reduce(f64::max);
        rpm = slower.or(lathe.speeds_rpm.first().copied()).unwrap_or(rpm);
    }
    let run_s = (fit.length + fit.thread.pitch.length * 2.0).to_mm() / (lead * rpm) * 60.0;
    let starts = f64::from(fit.thread.starts);
    (passes * starts, passes * starts * (2.0 * run_s + HANDLING_S) / 3600.0)
}

/// Everything but the thread: sawing, roughing, bore, body, holes, proof.
pub(super) fn body(fit: &Fit, job: &Job, material: &Material, pieces: f64) -> Vec<Item> {
    let mut items = vec![once("saw, chuck and face", 0.3)];
    items.push(Item {
        what: "rough the outside".into(),
        hours: roughing(fit, job, material) * pieces,
        source: ROUGHING,
    });
    if fit.part == Element::Internal {
        items.push(each(
            "centre, drill and bore to size",
            0.3 + 0.1 * (fit.length / Length::mm(25.0)),
            pieces,
        ));
    } else {
        items.push(each(
            "centre both ends, turn to size",
            0.4 + 0.1 * (fit.length / Length::mm(100.0)),
            pieces,
        ));
    }
    if !fit.through && fit.relief.is_some() {
        items.push(each("groove at the blind end", 0.2, pieces));
    }
    items.push(each("finish the body to its fit", 0.25, pieces));
    if fit.part == Element::Internal {
        items.push(each("part off, turn round, set true, face", 0.45, pieces));
    }
    let holes: u32 =
        job.make.body.holes.iter().map(|h| if h.kind == HoleKind::Flange { h.count.max(1) } else { 1 }).sum();
    if holes > 0 {
        items.push(each("holes", 0.15 * f64::from(holes), pieces));
    }
    if job.make.body.flats.is_some() {
        items.push(each("flats", 0.4, pieces));
    }
    items.push(each("clean and prove", 0.25, pieces));
    items
}

/// Hours of roughing one piece from its share of the bar.
fn roughing(fit: &Fit, job: &Job, material: &Material) -> f64 {
    let Some((diameter, _)) = fit.stock else { return 0.5 };
    let length = job.make.body.length.unwrap_or(fit.length).max(fit.length);
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

/// The thread cut with a single point.
pub(super) fn single_point(fit: &Fit, job: &Job, material: &Material, pieces: f64) -> Vec<Item> {
    let (count, hours) = passes(fit, job.lathe.as_ref(), material);
    vec![
        once("grind the tool and its template", 0.75),
        once("gears, tool height and angle", 0.6),
        Item {
            what: format!("{count:.0} passes"),
            hours: hours * pieces,
            source: Source::practice(
                "depth over the usual pass, 4 more to finish; a quarter of the turning speed; 20 s of handling a pass",
            ),
        },
        each("try the mate, last passes", 0.3, pieces),
    ]
}

/// The thread tapped.
pub(super) fn tapping(trapezoidal: bool, pieces: f64) -> Vec<Item> {
    vec![
        once("set up and line up the tap", 0.2),
        each("tap, backing out to clear chips", if trapezoidal { 0.6 } else { 0.2 }, pieces),
    ]
}

/// A set of taps made in the shop.
pub(super) fn making_taps(taps: u32) -> Vec<Item> {
    let taps = f64::from(taps);
    vec![
        once("grind the tool and its template", 0.75),
        once("gears, tool height and angle", 0.6),
        once("turn and thread the taps", 1.5 * taps),
        once("mill flutes and square", 0.75 * taps),
        once("back off and hone the teeth", 0.75 * taps),
        once("harden and temper", 1.0),
    ]
}

/// Cut with a die.
pub(super) fn die(pieces: f64) -> Vec<Item> {
    vec![once("set up the die", 0.15), each("cut with the die", 0.25, pieces)]
}

/// A bought part fitted into the old place.
pub(super) fn adapting(pieces: f64) -> Vec<Item> {
    vec![
        each("turn the bought part, or make a bush or plate for it", 1.5, pieces),
        each("adapt the housing and line it up", 1.0, pieces),
        each("clean and prove", 0.25, pieces),
    ]
}
