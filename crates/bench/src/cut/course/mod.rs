//! The course of the passes: what they are planned from; in [`planned`] which ones are, and in [`taken`] what each
//! does.

mod planned;
mod taken;

pub(super) use planned::{Basis, ROUGH_LEAVES, SPRING_TARGET};

use super::device::Device;
use super::feed::Feed;
use super::force::{self, Kienzle, Load};
use super::groove::{Flanks, Groove};
use super::plan::{Rule, Shape};
use super::{Pass, PassKind};
use crate::fit::Fit;
use crate::job::{Job, MadeFeature};
use crate::material::Group;
use crate::report::{Note, Text};
use crate::setup::{HalfNuts, Setup};
use crate::tool::Tool;
use flankwise_thread::{Angle, Element, Hand, Length};

/// Depth of the scratch by which the pitch is checked.
const SCRATCH: Length = Length::mm(0.03);
/// A groove that the tip leaves narrower by less than this is not widened.
pub(in crate::cut) const WIDEN_LEAST: Length = Length::mm(0.02);
/// Speed taken where the lathe has none to say, rev/min.
pub(in crate::cut) const ASSUMED_RPM: f64 = 60.0;
/// Between passes: back out, run the carriage back by hand (mm/s), set the depth, engage.
const HANDLING_S: f64 = 8.0;
const CARRIAGE_MM_PER_S: f64 = 25.0;
/// Everything the passes are planned from.
pub(in crate::cut) struct Course<'a> {
    pub fit: &'a Fit,
    pub tool: &'a Tool,
    pub job: &'a Job,
    pub kienzle: Kienzle,
    pub mean_tan: f64,
    pub flanks: Flanks,
    /// Diameter that the tool touches on: the blank as measured, else as aimed.
    pub blank: Length,
    /// Radial depth from there to the aimed bottom.
    pub full: Length,
    /// Tip width of the tool for the thread.
    pub tip: Length,
    /// Tip width of the narrower tool that goes first.
    pub rough: Option<Length>,
    pub feed: Feed,
    pub device: Option<Device>,
    /// Division of the compound's dial.
    pub compound: Option<Length>,
    pub rule: Rule,
    pub shape: Shape,
    pub first: Length,
    pub least: Length,
    pub scratch: Length,
    pub rpm: f64,
}

/// What a pass is set to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::cut) struct Setting {
    pub kind: PassKind,
    /// From touch-on, as the device counts it.
    pub depth: Length,
    /// Along the axis to widen; positive away from the chuck.
    pub side: Length,
    /// Tip width of the tool.
    pub tip: Length,
}

impl Setting {
    /// That of a pass.
    pub fn of(pass: &Pass) -> Self {
        Self { kind: pass.kind, depth: pass.depth, side: pass.side, tip: pass.tip }
    }
}

/// What the tool has reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::cut) struct Place {
    /// Passes taken.
    pub taken: u32,
    /// Tip width of the tool that took the last.
    pub tip: Length,
    /// Depth set, from touch-on.
    pub depth: Length,
    /// Shift along the axis that has widened the groove.
    pub side: Length,
    /// What is left uncut by the spring of the bar.
    pub left: Length,
    /// Depth reached less depth set, as measurements tell.
    pub offset: Length,
    /// The offset comes from the groove's width, so the bottom may be deeper than it says.
    pub by_width: bool,
    /// Whether a size measured here told the depth, as set or not.
    pub measured: bool,
    /// Spring passes taken here.
    springs: u32,
    /// Where an alternating infeed has carried the tool, and which way it leans next.
    swing: Length,
    next_lean: f64,
}

/// The largest numbers that a pass can have been set to.
pub(in crate::cut) struct Bounds {
    /// There the bar itself would rub.
    pub depth: Length,
    /// To either side: the finished groove is no wider at its surface.
    pub side: Length,
    /// Tip width: no wider than that either.
    pub tip: Length,
}

impl<'a> Course<'a> {
    pub fn new(
        fit: &'a Fit,
        tool: &'a Tool,
        setup: Option<&Setup>,
        job: &'a Job,
        notes: &mut Vec<Note>,
    ) -> Self {
        let cutting = &job.cutting;
        let carbide = tool.carbide;
        let mean_tan = ((fit.groove_top_width - fit.groove_bottom_width) / (fit.depth * 2.0)).max(0.0);
        let half = Angle::atan(mean_tan);
        let tip = tool.tip_width.aim.min(fit.groove_bottom_width);
        let material = fit.stuff();
        let kienzle = Kienzle { kc11: material.kc11 * force::rake_share(tool.stance.rake), mc: material.mc };
        let compound = job.lathe.as_ref().and_then(|l| l.compound_dial).filter(|d| *d > Length::ZERO);
        let flanks = Flanks::of(&fit.thread).with_mean(mean_tan);
        let feed = Feed::of(cutting.infeed, flanks, compound.is_some());
        let device = Device::of(job.lathe.as_ref(), job.unit);
        let step = radial_step(feed, device, compound);
        let blank = blank(fit, job, notes);
        let full = (fit.bottom.aim - blank).abs() * 0.5;
        let first = first(job, material.group, full, notes);
        let mut least =
            cutting.least.unwrap_or(Length::mm(if carbide { 0.05 } else { 0.03 })).max(Length::mm(0.005));
        if least > first {
            notes.push(
                Note::warning(
                    Text::new()
                        .s("The smallest depth of a pass, ")
                        .len(least)
                        .s(", is more than the first pass, ")
                        .len(first)
                        .s("; the first pass is taken for both."),
                )
                .field("cutting.least"),
            );
            least = first;
        }
        let shape = if half >= Angle::deg(20.0) { Shape::V } else { Shape::Trapezoidal };
        Self {
            fit,
            tool,
            job,
            kienzle,
            mean_tan,
            flanks,
            blank,
            full,
            tip,
            rough: rough(job, tip, notes),
            feed,
            device,
            compound,
            rule: Rule::of(cutting.share, shape),
            shape,
            first,
            least: least.max(step).min(full),
            scratch: SCRATCH.max(step).min(full * 0.25),
            rpm: setup.and_then(|s| s.rpm).unwrap_or(ASSUMED_RPM),
        }
    }

    /// The section as a tool of this tip cuts it.
    pub fn groove(&self, tip: Length) -> Groove {
        Groove { tip, flanks: self.flanks, depth: self.full }
    }

    /// What the groove's bottom is wider than the tip.
    pub fn widen(&self) -> Length {
        self.fit.groove_bottom_width - self.tip
    }

    /// Diameter of a bottom that is really so deep from touch-on.
    pub fn bottom_at(&self, real: Length) -> Length {
        match self.fit.part {
            Element::Internal => self.blank + real * 2.0,
            Element::External => self.blank - real * 2.0,
        }
    }

    /// Smallest radial step that can be set.
    pub fn step(&self) -> Length {
        radial_step(self.feed, self.device, self.compound)
    }

    /// Settings no further apart than this are one.
    pub fn near(&self) -> Length {
        (self.step() * 0.5).max(Length::um(0.5))
    }

    /// Where the tool stands before the first pass.
    pub fn start(&self) -> Place {
        Place {
            taken: 0,
            tip: self.rough.unwrap_or(self.tip),
            depth: Length::ZERO,
            side: Length::ZERO,
            left: Length::ZERO,
            offset: Length::ZERO,
            by_width: false,
            measured: false,
            springs: 0,
            swing: Length::ZERO,
            next_lean: self.leading(),
        }
    }

    /// The deepest that the tool may be set: the bottom at its limit. Where the groove's width told what is really there,
    /// that says nothing of the bottom, and the depth set counts.
    pub fn permitted(&self, at: &Place) -> Length {
        let deepest = self.full + depth_in_hand(self.fit);
        if at.by_width { deepest } else { deepest - at.offset }
    }

    /// The largest numbers that a pass can have been set to.
    pub fn bounds(&self) -> Bounds {
        let whole = self.fit.groove_top_width.max(self.fit.groove_bottom_width);
        Bounds { depth: self.tool.tip_length, side: whole, tip: whole }
    }

    /// The leading side along the axis: towards the chuck for a right-hand thread.
    fn leading(&self) -> f64 {
        match self.fit.thread.hand {
            Hand::Right => -1.0,
            Hand::Left => 1.0,
        }
    }

    /// Which way the tool widens: away from the chuck, towards the open end and not into the blind one. A swung
    /// compound can only go on to the side that it leans to.
    fn outward(&self) -> f64 {
        if matches!(self.feed, Feed::Swung(_)) { self.leading() } else { 1.0 }
    }

    pub fn load(&self, tip: Length, from: Length, to: Length) -> Load {
        self.load_leaning(tip, from, to, self.feed.lean())
    }

    /// The same with another lean of the infeed.
    pub fn load_leaning(&self, tip: Length, from: Length, to: Length, lean: Angle) -> Load {
        force::plunge(self.kienzle, &self.groove(tip), force::Step { from, to, lean })
    }

    /// Time of so many passes with the returns between them, seconds. Every start takes all the passes.
    pub fn seconds(&self, passes: usize, setup: Option<&Setup>) -> f64 {
        let lead = self.fit.thread.lead().to_mm();
        let travel = self.fit.length.to_mm() + 3.0 * lead;
        let cut = travel / (self.rpm * lead) * 60.0;
        let back = match setup.map(|s| &s.half_nuts) {
            Some(HalfNuts::KeepClosed) => cut,
            _ => travel / CARRIAGE_MM_PER_S,
        };
        passes as f64 * f64::from(self.fit.thread.starts) * (cut + back + HANDLING_S)
    }
}

/// Smallest radial step that the device which sets the depth can make; zero where none is known.
fn radial_step(feed: Feed, device: Option<Device>, compound: Option<Length>) -> Length {
    match feed {
        Feed::Swung(lean) => compound.map(|d| d * lean.cos()),
        _ => device.map(|d| d.radial_step()),
    }
    .unwrap_or(Length::ZERO)
}

/// How much deeper than aimed the groove may be.
pub fn depth_in_hand(fit: &Fit) -> Length {
    match fit.part {
        Element::Internal => (fit.bottom.max - fit.bottom.aim) * 0.5,
        Element::External => (fit.bottom.aim - fit.bottom.min) * 0.5,
    }
}

/// The diameter that the tool touches on: the last reading of the blank, where it can be that.
fn blank(fit: &Fit, job: &Job, notes: &mut Vec<Note>) -> Length {
    let of_blank = match fit.part {
        Element::Internal => MadeFeature::MinorDiameter,
        Element::External => MadeFeature::MajorDiameter,
    };
    let Some((index, reading)) = job.made.iter().enumerate().rfind(|(_, r)| r.feature == of_blank) else {
        return fit.blank.aim;
    };
    if (reading.value - fit.blank.aim).abs() < fit.depth * 0.5 {
        return reading.value;
    }
    notes.push(
        Note::warning(
            Text::new()
                .s("The blank is said to measure ")
                .len(reading.value)
                .s(", far from ")
                .len(fit.blank.aim)
                .s(": the depths are counted from the size aimed at. Measure it again."),
        )
        .field(format!("made[{}].value", index + 1)),
    );
    fit.blank.aim
}

/// Depth of the first pass, at most: as set, but no more than half of the whole.
fn first(job: &Job, group: Group, full: Length, notes: &mut Vec<Note>) -> Length {
    let usual = Length::mm(match group {
        _ if job.grind.carbide_tip => 0.5,
        Group::Steel | Group::Stainless => 0.15,
        _ => 0.2,
    });
    let Some(set) = job.cutting.first else { return usual };
    if set <= full * 0.5 {
        return set;
    }
    let first = usual.min(full * 0.5);
    notes.push(
        Note::warning(
            Text::from("A first pass of ")
                .len(set)
                .s(" is more than half of the full depth, ")
                .len(full)
                .s(": no tip stands that. It is planned with ")
                .len(first)
                .s("."),
        )
        .field("cutting.first"),
    );
    first
}

/// The roughing tool's tip, where it is one.
fn rough(job: &Job, tip: Length, notes: &mut Vec<Note>) -> Option<Length> {
    let rough = job.cutting.rough_tip?;
    if tip - rough >= WIDEN_LEAST {
        return Some(rough);
    }
    notes.push(
        Note::warning(
            Text::new()
                .s("A roughing tip of ")
                .len(rough)
                .s(" is not narrower than the tip for the thread, ")
                .len(tip)
                .s(": it would leave nothing at the flanks. The passes are planned without it."),
        )
        .field("cutting.rough_tip"),
    );
    None
}
