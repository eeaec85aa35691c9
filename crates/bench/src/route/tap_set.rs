//! A set of taps to be made in the shop: every size that the lathe, the mill and the fire need.
//!
//! The roughing taps are stepped in height: each has the finished flanks, less an allowance, and cuts deeper than the
//! one before. So one form tool cuts the whole set, and the last tap cleans bottom and flanks.

use super::taps::{self, Square};
use crate::fit::{Fit, Making, Size, Travelled};
use crate::material::{Group, Material};
use crate::report::{Text, Value};
use flankwise_thread::wires::{self, NoContact};
use flankwise_thread::{Angle, Element, Length, Source, Unit};
use std::f64::consts::PI;

/// One tap of the set. Its diameters are those of the hardened tap; [`soft`] gives what is turned for them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tap {
    /// Number, from 1.
    pub number: u32,
    /// Diameter over the teeth behind the lead.
    pub crest: Length,
    /// Width of a tooth at its crest, along the axis.
    pub crest_width: Length,
    /// Pitch diameter; for upright flanks that of the thread, which says nothing of the width.
    pub pitch_diameter: Length,
    /// Diameter at the thin end of the lead.
    pub lead_start: Length,
    /// Length of the lead.
    pub lead: Length,
    /// Angle of the lead to the axis.
    pub lead_angle: Angle,
    /// Length of full teeth behind it.
    pub full: Length,
    /// Length over all.
    pub length: Length,
    /// Radial chip on each tooth of the lead.
    pub chip: Length,
    /// Share of the metal of the groove that it takes.
    pub share: f64,
    /// Torque with the whole lead in the cut, N·m.
    pub torque_nm: f64,
}

/// The set.
#[derive(Clone, Debug, PartialEq)]
pub struct TapSet {
    /// Taps in the order of use.
    pub taps: Vec<Tap>,
    /// Diameter of the plain pilot in front.
    pub pilot: Length,
    /// Length of the pilot.
    pub pilot_length: Length,
    /// Diameter at the bottom of the taps' own thread.
    pub root: Length,
    /// Tip of the tool that cuts the taps' thread, at most.
    pub tip: Length,
    /// What each flank of the roughing taps is left thinner, along the axis.
    pub flank_allowance: Length,
    /// Flutes.
    pub flutes: u32,
    /// Diameter of the ball-nosed cutter that mills them.
    pub cutter: Length,
    /// From the tap's axis to the axis of the cutter, sideways: its edge then stands on the rake wanted.
    pub cutter_offset: Length,
    /// From the tap's axis up to the end of the cutter.
    pub cutter_height: Length,
    /// Rake of the cutting faces.
    pub rake: Angle,
    /// Core that the flutes leave, diameter.
    pub core: Length,
    /// Land at the crest, along the circumference, of the last tap.
    pub land: Length,
    /// Shank and square.
    pub square: Square,
    /// Length of the shank between thread and square: the nut passes over it.
    pub neck: Length,
    /// Radial chip on a tooth, at most.
    pub most_chip: Length,
    /// Share of the metal planned for the first tap.
    pub first_share: f64,
    /// Factor on the torque for rubbing lands and chips.
    pub rubbing: f64,
    /// Torque that the square bears, N·m.
    pub square_bears_nm: f64,
    /// Torque that the core bears, N·m.
    pub core_bears_nm: f64,
}

/// Taps in a set at least, by pitch.
pub const SET: Source = Source::practice("trapezoidal taps in sets of two to 4 mm pitch, of three above");
/// Origin of the shares.
pub const SHARES: Source = Source::practice("of a set of three 50 to 60, 30 and 10 to 20 % of the metal");
/// Each tap's share over that of the one before, in sets of up to three and in longer ones. The first gives 54, 30 and
/// 16 % (see [`SHARES`]); the second is chosen here, so that the taps of a long set turn about equally hard.
const RATIOS: (f64, f64) = (0.55, 0.8);
/// Origin of the count of flutes.
pub const FLUTES: Source = Source::table(
    "Shop Practice, vol. 1 (American School of Correspondence): milling flutes",
    "four up to 2 1/2 in",
);
/// Origin of the longest lead.
pub const LONGEST: Source =
    Source::table("Widia threading catalogue: tap chamfers, p. Y89", "taper tap 7 to 10 pitches");
/// Origin of the torque allowed.
pub const MARGIN_SOURCE: Source = Source::choice("a chip that jams may double the torque of a moment");
/// Hardened steel with notches; see [`CORE_SOURCE`].
const CORE_MPA: f64 = 500.0;
/// Origin of [`CORE_MPA`].
pub const CORE_SOURCE: Source = Source::choice(
    "hardened tool steel bears over 1000 N/mm² in shear (from memory); half of it for the notches of thread and flutes",
);
/// What the weaker of square and core bears, over the torque of the hardest tap, at least (see [`MARGIN_SOURCE`]).
const MARGIN: f64 = 1.5;
/// Longest lead, in pitches.
pub(super) const LONGEST_LEAD: f64 = 10.0;
/// Shortest lead, in pitches: a bottoming tap's.
const SHORTEST_LEAD: f64 = 2.0;
/// Most taps that anyone makes for one nut. Chosen here.
const MOST_TAPS: u32 = 5;
/// The bottom of the taps' thread stays clear of the bore by this on the diameter. Common practice, no source.
const ROOT_CLEAR: Length = Length::mm(0.2);
/// A pilot slides in the bore. Common practice, no source.
const PILOT_CLEAR: Length = Length::mm(0.05);
/// A shank passes through the bore. Common practice, no source.
const SHANK_CLEAR: Length = Length::mm(0.3);
/// Left on each flank by the roughing taps. Common practice, no source.
const FLANK_ALLOWANCE: Length = Length::mm(0.05);

/// Radial chip on a tooth at most. Chosen here between the 0.03 mm of a taper tap and the 0.1 mm of a bottoming one
/// that [`taps::CHIP`] gives for M10.
const fn most_chip(group: Group) -> Length {
    match group {
        Group::Bronze | Group::Brass | Group::CastIron => Length::mm(0.05),
        Group::Steel => Length::mm(0.035),
        Group::Stainless => Length::mm(0.03),
        Group::Plastic => Length::mm(0.08),
    }
}

/// Rake of the cutting faces. Common practice, no source: none in copper alloys and iron, which would pull a hooked
/// edge in.
const fn rake(group: Group) -> Angle {
    match group {
        Group::Bronze | Group::Brass | Group::CastIron => Angle::deg(0.0),
        Group::Steel | Group::Plastic => Angle::deg(6.0),
        Group::Stainless => Angle::deg(10.0),
    }
}

/// What oil-hardening tool steel grows by in hardening, as a share of each length.
pub(super) const GROWTH: f64 = 0.0015;

/// What a length of the hardened tap is turned to.
pub fn soft(hardened: Length) -> Length {
    hardened / (1.0 + GROWTH)
}

/// What the lead of a hardened set is out by over the length that nut and screw are engaged.
pub fn grown(fit: &Fit) -> Length {
    fit.engaged.longest * GROWTH
}

/// The part as taps made here cut it: the groove wider by what their lead grows by in hardening, which would take so much
/// of the play.
pub fn tapped(fit: &Fit) -> Fit {
    let by = grown(fit);
    let slope = fit.slope();
    let on_diameter = if slope > 1e-9 { by / slope } else { Length::ZERO };
    let wider =
        |s: Size| Size { aim: s.aim + on_diameter, min: s.min + on_diameter, max: s.max + on_diameter };
    Fit {
        making: Making::Tapped,
        pitch_diameter: wider(fit.pitch_diameter),
        groove_bottom_width: fit.groove_bottom_width + by,
        groove_top_width: fit.groove_top_width + by,
        // Nothing of it is by the book.
        travelled: fit.travelled.map(|t| Travelled { by_book: None, ..t }),
        ..fit.clone()
    }
}

/// What a tap reads over three wires before it is hardened, with the one of `stock` that serves best, or the best there
/// is; none where no wire finds a seat on its flanks.
pub fn over_wires(fit: &Fit, tap: &Tap, stock: &[Length]) -> Option<(Length, Length)> {
    let groove = wires::Groove::of(&fit.thread);
    let at = soft(tap.pitch_diameter);
    let best = wires::best_wire(&groove, at);
    let seated = |wire: &Length| {
        let seat = wires::seat_at(&groove, Element::External, at, *wire)?;
        // It lies on the flanks, and stands out over the crests.
        let (contact, crest) = (seat.contact_leading.max(seat.contact_trailing), soft(tap.crest));
        Ok::<_, NoContact>(contact < crest && seat.centre * 2.0 + *wire > crest)
    };
    let serves = |wire: &&Length| seated(wire).unwrap_or(false);
    let off = |wire: &Length| (*wire - best).abs().to_mm();
    let on_hand = stock.iter().filter(serves).min_by(|a, b| off(a).total_cmp(&off(b)));
    let wire = *on_hand.or(Some(&best).filter(serves))?;
    Some((wire, wires::over_wires(&groove, at, wire).ok()?))
}

/// The groove that the set cuts, as a function of its depth.
struct Groove {
    top: f64,
    tan: f64,
    depth: f64,
    allowance: f64,
}

impl Groove {
    fn of(fit: &Fit) -> Self {
        let depth = fit.depth.to_mm();
        let tan = (fit.groove_top_width - fit.groove_bottom_width).to_mm() / (2.0 * depth);
        let allowance = FLANK_ALLOWANCE.min(fit.thread.pitch.length / 40.0).to_mm();
        Self { top: fit.groove_top_width.to_mm(), tan, depth, allowance }
    }
    /// Width at a depth, each flank `thin` short of the finished one.
    fn width(&self, depth: f64, thin: f64) -> f64 {
        self.top - 2.0 * thin - 2.0 * depth * self.tan
    }
    fn area(&self, depth: f64, thin: f64) -> f64 {
        (self.top - 2.0 * thin) * depth - depth * depth * self.tan
    }
    /// Depth at which a roughing tap has taken so much, mm²; short of the full depth, so that the last cleans the
    /// bottom too.
    fn depth_for(&self, area: f64) -> f64 {
        let most = self.depth - self.allowance;
        let (mut lo, mut hi) = (0.0, most);
        if self.area(most, self.allowance) <= area {
            return most;
        }
        for _ in 0..60 {
            let mid = (lo + hi) / 2.0;
            if self.area(mid, self.allowance) < area { lo = mid } else { hi = mid }
        }
        lo
    }
}

/// Shares of the metal, first tap first: each a fixed part of the one before, flatter the longer the set.
fn shares(taps: u32) -> Vec<f64> {
    let ratio = if taps <= 3 { RATIOS.0 } else { RATIOS.1 };
    let parts: Vec<f64> = (0..taps).map(|i| ratio.powi(i.cast_signed())).collect();
    let whole: f64 = parts.iter().sum();
    parts.into_iter().map(|p| p / whole).collect()
}

/// Designs the smallest set whose every tap keeps to the chip, the lead and the torque allowed.
///
/// # Errors
/// Why no set of up to five taps does, with what would.
pub fn design(fit: &Fit, material: &Material, steel: &Material, unit: Unit) -> Result<TapSet, Text> {
    let Some(square) = taps::square_within(fit.blank.min - SHANK_CLEAR) else {
        return Err(Text::from("No shank with a square passes a bore of ")
            .len(fit.blank.aim)
            .s(": a bought tap would do it."));
    };
    let frame = frame(fit, material, steel, square, unit);
    let bears = frame.square_bears_nm.min(frame.core_bears_nm) / MARGIN;
    let (mut hardest, mut longest) = (0.0, 0.0);
    for count in least(fit.thread.pitch.length)..=MOST_TAPS {
        let shares = shares(count);
        let first_share = shares.first().copied().unwrap_or(1.0);
        let set = TapSet { taps: stages(fit, material, &frame, &shares), first_share, ..frame.clone() };
        hardest = set.hardest_nm();
        longest = set.taps.iter().map(|t| t.lead / fit.thread.pitch.length).fold(0.0, f64::max);
        if hardest <= bears && longest <= LONGEST_LEAD + 1e-9 {
            return Ok(set);
        }
    }
    let why = Text::from("The thread is too coarse for taps through its bore: even of a set of five one ");
    let why = if hardest > bears {
        why.s("asks ")
            .v(Value::TorqueNm(hardest))
            .s(", and square and core are good for ")
            .v(Value::TorqueNm(bears))
    } else {
        why.s("would need a lead of ")
            .v(Value::Number(longest, 0))
            .s(" pitches to keep its chips thin, and ")
            .v(Value::Number(LONGEST_LEAD, 0))
            .s(" are the most")
    };
    Err(why
        .s(". Roughing it with a single point to within ")
        .len(LEFT_TO_TAP)
        .s(" of the depth first would leave a tap little to do."))
}

/// Left of the depth for a tap that only finishes. Common practice, no source.
const LEFT_TO_TAP: Length = Length::mm(0.3);

/// Torque of the hardest of a bought set for this thread, N·m: for fastenings one tap that takes all of the metal. Its
/// chip is taken as thick as is good for the material.
pub(super) fn bought_torque_nm(fit: &Fit, material: &Material) -> f64 {
    let groove = Groove::of(fit);
    let taps = if taps::fastening(fit.thread.family) { 1 } else { least(fit.thread.pitch.length) };
    let share = shares(taps).first().copied().unwrap_or(1.0);
    let area = groove.area(groove.depth, 0.0) * share * f64::from(fit.thread.starts);
    let radius = (fit.blank.aim + fit.bottom.aim) / 4.0;
    let kc = material.kc(most_chip(material.group).to_mm());
    taps::torque_nm(kc, taps::rubbing(material.group), area, radius)
}

/// Taps that a set for this pitch has at least.
pub fn least(pitch: Length) -> u32 {
    if pitch <= Length::mm(4.0) { 2 } else { 3 }
}

impl TapSet {
    /// How many taps.
    pub fn count(&self) -> u32 {
        self.taps.last().map_or(0, |t| t.number)
    }
    /// Torque of the tap that turns hardest, N·m.
    pub fn hardest_nm(&self) -> f64 {
        self.taps.iter().map(|t| t.torque_nm).fold(0.0, f64::max)
    }
    /// Its thickest place, which settles how long it soaks.
    pub fn thickest(&self) -> Length {
        self.taps.iter().map(|t| t.crest).fold(self.square.shank, Length::max)
    }
    /// Length of the longest tap.
    pub fn longest(&self) -> Length {
        self.taps.iter().map(|t| t.length).fold(Length::ZERO, Length::max)
    }
}

/// What all taps of the set share.
fn frame(fit: &Fit, material: &Material, steel: &Material, square: Square, unit: Unit) -> TapSet {
    let groove = Groove::of(fit);
    let outer = fit.bottom.aim / 2.0;
    let root = fit.blank.aim - ROOT_CLEAR;
    let flutes: u32 = if fit.bottom.aim <= Length::inch(2.5) { 4 } else { 6 };
    let rake = rake(material.group);
    // Flutes take half of the circumference; the cutter to the half millimetre or sixteenth that is in the drawer.
    let step = match unit {
        Unit::Mm => Length::mm(0.5),
        Unit::Inch => Length::inch(1.0 / 16.0),
    };
    let wanted = outer * (PI / f64::from(flutes)).sin();
    let cutter = step * (wanted / step).floor().max(1.0);
    let r = cutter / 2.0;
    let offset = r - outer * rake.sin();
    // The straight side of the cutter has to make the face down to below the thread's root.
    let centre = (root / 2.0 - fit.bottom.aim * 0.02).to_mm();
    let core = Length::mm(2.0 * (centre.hypot(offset.to_mm()) - r.to_mm()));
    let cleared = ((offset + r) / outer).asin() + rake.to_rad();
    let land = outer * (2.0 * PI / f64::from(flutes) - cleared);
    TapSet {
        taps: Vec::new(),
        pilot: fit.blank.min - PILOT_CLEAR,
        pilot_length: fit.blank.aim / 2.0,
        root,
        tip: fit.thread.pitch.length - Length::mm(groove.width(-ROOT_CLEAR.to_mm() / 2.0, 0.0)),
        flank_allowance: Length::mm(groove.allowance),
        flutes,
        cutter,
        cutter_offset: offset,
        cutter_height: Length::mm(centre) - r,
        rake,
        core,
        land,
        neck: fit.length + Length::mm(10.0),
        most_chip: most_chip(material.group),
        first_share: 1.0,
        rubbing: taps::rubbing(material.group),
        square_bears_nm: taps::square_bears_nm(square.across, steel.shear_bears_mpa()),
        core_bears_nm: taps::core_bears_nm(core, CORE_MPA),
        square,
    }
}

fn stages(fit: &Fit, material: &Material, frame: &TapSet, shares: &[f64]) -> Vec<Tap> {
    let groove = Groove::of(fit);
    let pitch = fit.thread.pitch.length;
    let whole = groove.area(groove.depth, 0.0);
    let starts = f64::from(fit.thread.starts);
    let slope = fit.slope();
    let thinner = |by: Length| if slope > 1e-9 { by / slope } else { Length::ZERO };
    let (mut before, mut taken, mut sum) = (0.0, 0.0, 0.0);
    let mut made = Vec::new();
    for (number, share) in (1..).zip(shares) {
        sum += share;
        let last = made.len() + 1 == shares.len();
        let (depth, thin) =
            if last { (groove.depth, 0.0) } else { (groove.depth_for(sum * whole), groove.allowance) };
        let area = groove.area(depth, thin) - taken;
        let step = Length::mm(depth - before);
        // A ridge of several goes on by the whole lead in a turn: as many pitches hold fewer teeth of it.
        let least = step * starts / (frame.most_chip * f64::from(frame.flutes));
        let turns = least.ceil().max(SHORTEST_LEAD);
        let lead = pitch * turns;
        let chip = taps::chip(step, turns / starts, frame.flutes);
        let radius = fit.blank.aim / 2.0 + Length::mm((before + depth) / 2.0);
        let full = pitch * if last { 6.0 } else { 4.0 };
        made.push(Tap {
            number,
            crest: fit.blank.aim + Length::mm(2.0 * depth),
            crest_width: Length::mm(groove.width(depth, thin)),
            pitch_diameter: fit.pitch_diameter.aim - thinner(Length::mm(thin * 2.0)),
            lead_start: fit.blank.aim + Length::mm(2.0 * before) - PILOT_CLEAR,
            lead,
            lead_angle: Angle::atan(step / lead),
            full,
            length: frame.pilot_length + lead + full + frame.neck + frame.square.length,
            chip,
            share: area / whole,
            torque_nm: taps::torque_nm(material.kc(chip.to_mm()), frame.rubbing, area * starts, radius),
        });
        (before, taken) = (depth, groove.area(depth, thin));
    }
    made
}
