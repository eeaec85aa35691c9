//! The course of the passes: what they are planned from, and how they are planned from any place that the tool has
//! reached.

use super::device::{self, Device};
use super::dial::Dial;
use super::feed::{self, Feed, compound_travel};
use super::force::{self, Kienzle, Load};
use super::groove::Groove;
use super::growth::Growth;
use super::plan::{self, Alike, Rule, Shape};
use super::{Pass, PassKind};
use crate::fit::Fit;
use crate::job::{Job, MadeFeature};
use crate::report::{Note, Text, Value};
use crate::setup::{HalfNuts, Setup, surface_at};
use crate::tool::{Tool, bar};
use flankwise_thread::{Angle, Element, Force, Hand, Length, Source};

/// Depth of the scratch by which the pitch is checked.
const SCRATCH: Length = Length::mm(0.03);
/// Chip of a pass that widens, at most.
const WIDEN_STEP: Length = Length::mm(0.1);
/// A groove that the tip leaves narrower by less than this is not widened.
pub(super) const WIDEN_LEAST: Length = Length::mm(0.02);
/// What a roughing tool leaves at the bottom and, measured the same way, at the flanks. Chosen here.
pub(super) const ROUGH_LEAVES: Length = Length::mm(0.15);
/// Depth of a pass that takes what roughing has left, at most. Chosen here.
const FINISH_STEP: Length = Length::mm(0.05);
/// Spring passes go on until less than this is left.
pub(super) const SPRING_TARGET: Length = Length::mm(0.005);
/// Most spring passes that the count proposes: more only rub.
const MOST_SPRING: u32 = 6;
/// Speed taken where the lathe has none to say, rev/min.
pub(super) const ASSUMED_RPM: f64 = 60.0;
/// Between passes: back out, run the carriage back by hand (mm/s), set the depth, engage.
const HANDLING_S: f64 = 8.0;
const CARRIAGE_MM_PER_S: f64 = 25.0;
/// A re-plan may load a pass by so much more than the plan's hardest, or rounding to the dial would add a pass.
const QUOTA_SLACK: f64 = 1.05;

/// Everything the passes are planned from.
pub(super) struct Course<'a> {
    pub fit: &'a Fit,
    pub tool: &'a Tool,
    pub job: &'a Job,
    pub kienzle: Kienzle,
    pub mean_tan: f64,
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
pub(super) struct Setting {
    pub kind: PassKind,
    /// From touch-on, as the device counts it.
    pub depth: Length,
    /// Along the axis to widen; positive away from the chuck.
    pub side: Length,
    /// Tip width of the tool.
    pub tip: Length,
}

/// What the tool has reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
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
    /// Spring passes taken here.
    springs: u32,
    /// Where an alternating infeed has carried the tool, and which way it leans next.
    swing: Length,
    next_lean: f64,
}

/// Why there are so many passes.
pub(super) struct Basis {
    /// Words for the figure.
    pub words: String,
    pub source: Source,
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
        let carbide = job.grind.carbide_tip;
        let mean_tan = ((fit.groove_top_width - fit.groove_bottom_width) / (fit.depth * 2.0)).max(0.0);
        let half = Angle::atan(mean_tan);
        let tip = tool.tip_width.aim.min(fit.groove_bottom_width);
        let material = fit.stuff();
        // Rake lowers the specific force by about 1 % a degree.
        let rake_share = (1.0 - 0.01 * tool.stance.rake.to_deg()).clamp(0.7, 1.3);
        let kienzle = Kienzle { kc11: material.kc11 * rake_share, mc: material.mc };
        let compound = job.lathe.as_ref().and_then(|l| l.compound_dial).filter(|d| *d > Length::ZERO);
        let feed = Feed::of(cutting.infeed, half, compound.is_some());
        let device = Device::of(job.lathe.as_ref(), job.unit);
        let step = radial_step(feed, device, compound);
        let blank = blank(fit, job, notes);
        let full = (fit.bottom.aim - blank).abs() * 0.5;
        let first = cutting.first.unwrap_or(Length::mm(if carbide { 0.5 } else { 0.2 }));
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
            rpm: setup.map_or(ASSUMED_RPM, |s| s.rpm),
        }
    }

    /// The section as a tool of this tip cuts it.
    pub fn groove(&self, tip: Length) -> Groove {
        Groove { tip, mean_tan: self.mean_tan, depth: self.full }
    }

    /// What the groove's bottom is wider than the tip.
    pub fn widen(&self) -> Length {
        self.fit.groove_bottom_width - self.tip
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
            springs: 0,
            swing: Length::ZERO,
            next_lean: self.leading(),
        }
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

    /// What the rule keeps alike.
    fn alike(&self, tip: Length) -> Alike {
        let growth = |of: fn(Load) -> Force| {
            Alike::Force(Growth::of(self.kienzle, |from, to| of(self.load(tip, from, to))))
        };
        match self.rule {
            Rule::Root | Rule::EqualArea => Alike::Area(self.groove(tip)),
            Rule::EqualForce => growth(|load| load.cutting),
            Rule::EqualDeflection => growth(|load| load.radial),
        }
    }

    /// Most passes that the smallest depth allows.
    fn most(&self, from: Length, to: Length) -> u32 {
        ((to - from) / self.least).floor().clamp(1.0, 1000.0) as u32
    }

    /// Cumulative depths of `n` passes.
    fn shares(&self, tip: Length, from: Length, to: Length, n: u32) -> Vec<Length> {
        let by_rule = match self.rule {
            // The root rule counts from the surface.
            Rule::Root if from <= self.scratch => (1..=n).map(|x| plan::root_rule_depth(to, n, x)).collect(),
            _ => self.alike(tip).equal(from, to, n),
        };
        plan::no_thinner(&by_rule, from, to, self.least)
    }

    /// Cumulative depths after the scratch, and why so many.
    pub fn depths_from_scratch(&self, notes: &mut Vec<Note>) -> (Vec<Length>, Basis) {
        let cutting = &self.job.cutting;
        let tip = self.rough.unwrap_or(self.tip);
        let (from, to) = (self.scratch, self.bulk_depth());
        let limit = cutting.force;
        let first = self.first.max(from + self.least);
        let within = |depths: &[Length]| {
            let mut at = from;
            depths.iter().enumerate().all(|(i, &next)| {
                let load = self.load(tip, at, next).cutting;
                at = next;
                (i > 0 || next <= first) && limit.is_none_or(|l| load <= l)
            })
        };
        let (low, high, source) = plan::table_passes(self.shape, self.fit.thread.pitch.length);
        let factor = if self.job.grind.carbide_tip { 1.0 } else { plan::HSS_FACTOR };
        let from_table = (f64::from(high) * factor).ceil() as u32;
        let given = limit.is_some() || cutting.first.is_some();
        let most = self.most(from, to);
        let start = match (given, self.rule) {
            (false, _) => from_table,
            // Fewer than the first pass asks for cannot do.
            (true, Rule::EqualForce | Rule::EqualDeflection) => {
                let alike = self.alike(tip);
                alike.fewest(from, to, alike.of(from, first.min(to)), most)
            }
            (true, _) => 1,
        };
        let of = |n| self.shares(tip, from, to, n);
        let found = (start..=most.max(start)).map(of).find(|d| within(d));
        let words = match (limit, cutting.first) {
            (Some(_), Some(_)) => "from the force and the first pass that are set".to_owned(),
            (Some(_), None) => "from the force that is set".to_owned(),
            (None, Some(_)) => "from the first pass that is set".to_owned(),
            (None, None) if factor > 1.0 => {
                format!(
                    "table: {low} to {high} with carbide in steel; half as many again for high-speed steel by hand"
                )
            }
            (None, None) => format!("table: {low} to {high}"),
        };
        let source = if given { Source::derived("smallest number that keeps to them") } else { source };
        let depths = found.unwrap_or_else(|| {
            let depths = of(most);
            if let Some(limit) = limit {
                notes.extend(self.judge_force(tip, from, &depths, limit));
            }
            depths
        });
        (depths, Basis { words, source })
    }

    /// Whether the limit of force can be kept to at all.
    fn judge_force(&self, tip: Length, mut from: Length, depths: &[Length], limit: Force) -> Option<Note> {
        let worst = depths.iter().fold(Force::ZERO, |worst, &to| {
            let load = self.load(tip, from, to).cutting;
            from = to;
            worst.max(load)
        });
        (worst > limit).then(|| {
            Note::impossible(
                Text::new()
                    .s("The force can't be kept to ")
                    .v(Value::Force(limit))
                    .s(": at the smallest depth of ")
                    .len(self.least)
                    .s(" it still reaches ")
                    .v(Value::Force(worst))
                    .s(". A narrower tip with side passes, flank infeed, or a smaller depth would lower it."),
            )
            .field("cutting.force")
        })
    }

    /// How deep the first tool goes: a roughing tool leaves some.
    fn bulk_depth(&self) -> Length {
        match self.rough {
            Some(_) => (self.full - ROUGH_LEAVES).max(self.full * 0.5),
            None => self.full,
        }
    }

    /// The whole plan, from touch-on.
    pub fn plan(&self, notes: &mut Vec<Note>) -> (Vec<Setting>, Basis) {
        let tip = self.rough.unwrap_or(self.tip);
        let (depths, basis) = self.depths_from_scratch(notes);
        let scratch = self.settle(Length::ZERO, &[self.scratch]);
        let from = scratch.last().copied().unwrap_or(Length::ZERO);
        let at = |kind| move |depth: Length| Setting { kind, depth, side: Length::ZERO, tip };
        let mut settings: Vec<Setting> = scratch.into_iter().map(at(PassKind::Scratch)).collect();
        settings.extend(self.settle_even(tip, from, &depths).into_iter().map(at(PassKind::Cutting)));
        let reached = self.after(self.start(), &settings);
        settings.extend(self.rest(reached, None));
        (settings, basis)
    }

    /// The plan from a place on: what is left of the depth and of the width, and the spring passes. `quota` is the
    /// most that the plan loads a pass with; none where the bulk is done and its plan stands.
    pub fn rest(&self, place: Place, quota: Option<f64>) -> Vec<Setting> {
        let mut settings = Vec::new();
        let mut at = place;
        if let Some(rough) = self.rough.filter(|r| (*r - place.tip).abs() < Length::um(1.0)) {
            self.go(&mut at, &mut settings, |at| {
                self.deepen(at, rough, self.bulk_depth() - at.offset, quota)
            });
            self.go(&mut at, &mut settings, |at| self.widen_to(at, self.tip - rough));
        }
        at = self.seated(at, self.tip);
        let depth = self.target(&at);
        let finishing = self.rough.is_some() && at.depth >= self.bulk_depth() - self.near();
        let quota = quota.filter(|_| !finishing);
        self.go(&mut at, &mut settings, |at| self.deepen(at, self.tip, depth, quota));
        self.go(&mut at, &mut settings, |at| self.widen_to(at, at.side.abs() - self.wider(at)));
        settings.extend(self.springs(at));
        settings
    }

    /// Plans some passes from `at`, and stands behind them.
    fn go(&self, at: &mut Place, settings: &mut Vec<Setting>, plan: impl Fn(&Place) -> Vec<Setting>) {
        let more = plan(at);
        *at = self.after(*at, &more);
        settings.extend(more);
    }

    /// Depth to set for the full thread. What it cannot give where the depth is used up is left to the side passes.
    fn target(&self, at: &Place) -> Length {
        let wanted = self.full - at.offset;
        if at.by_width { wanted.min(self.full + depth_in_hand(self.fit)) } else { wanted }
    }

    /// Passes that take the depth.
    fn deepen(&self, at: &Place, tip: Length, to: Length, quota: Option<f64>) -> Vec<Setting> {
        let from = at.depth;
        if to - from < self.near() {
            return Vec::new();
        }
        let n = match quota {
            Some(quota) => self.alike(tip).fewest(from, to, quota * QUOTA_SLACK, self.most(from, to)),
            None => ((to - from) / FINISH_STEP).ceil().max(1.0) as u32,
        };
        let depths = self.settle_even(tip, from, &self.shares(tip, from, to, n));
        let set = |depth| Setting { kind: PassKind::Cutting, depth, side: at.side, tip };
        depths.into_iter().map(set).collect()
    }

    /// Passes to the side until the groove is `width` wider than the tip.
    fn widen_to(&self, at: &Place, width: Length) -> Vec<Setting> {
        let done = at.side.abs();
        let left = width - done;
        if left < WIDEN_LEAST {
            return Vec::new();
        }
        let n = (left / WIDEN_STEP).ceil().max(1.0) as u32;
        let shifts: Vec<Length> = (1..=n).map(|i| done + left * (f64::from(i) / f64::from(n))).collect();
        let shifts = match (self.feed, self.compound) {
            (Feed::Swung(lean), Some(d)) => {
                let radial = self.device.map(|d| d.radial_step());
                let settable = shifts.iter().map(|&s| feed::sideways(s, lean, Some(d), radial).axial);
                settable.fold(Vec::new(), |mut out, s| {
                    if s > out.last().copied().unwrap_or(done) {
                        out.push(s);
                    }
                    out
                })
            }
            (_, Some(d)) => device::settle(done, &shifts, d),
            _ => shifts,
        };
        let set = |shift: Length| Setting {
            kind: PassKind::Widening,
            depth: at.depth,
            side: shift * self.outward(),
            tip: at.tip,
        };
        shifts.into_iter().map(set).collect()
    }

    /// Spring passes, until little enough is left.
    fn springs(&self, mut at: Place) -> Vec<Setting> {
        if self.wide_enough(&at) {
            return Vec::new();
        }
        let wanted = self.job.cutting.spring;
        let enough = |at: &Place| match wanted {
            Some(n) => at.springs >= n,
            None => at.springs >= MOST_SPRING || (at.springs >= 1 && at.left <= SPRING_TARGET),
        };
        let set = Setting { kind: PassKind::Spring, depth: at.depth, side: at.side, tip: at.tip };
        let mut settings = Vec::new();
        while !enough(&at) {
            self.take(&mut at, set);
            settings.push(set);
        }
        settings
    }

    fn after(&self, mut place: Place, settings: &[Setting]) -> Place {
        for s in settings {
            self.take(&mut place, *s);
        }
        place
    }

    /// The place as a tool of this tip finds it: a wider tip seats less deep, and counts its own shift.
    pub fn seated(&self, place: Place, tip: Length) -> Place {
        if (tip - place.tip).abs() < Length::um(1.0) {
            return place;
        }
        let depth = self.groove(tip).seat(place.tip + place.side.abs(), place.depth);
        Place { tip, depth, side: Length::ZERO, left: Length::ZERO, springs: 0, ..place }
    }

    /// Rounds to what can be set, from a depth on.
    fn settle(&self, from: Length, depths: &[Length]) -> Vec<Length> {
        let step = self.step();
        if step > Length::ZERO { device::settle(from, depths, step) } else { depths.to_vec() }
    }

    /// The same for passes that cut: where the dial is coarse, chosen together.
    fn settle_even(&self, tip: Length, from: Length, depths: &[Length]) -> Vec<Length> {
        let step = self.step();
        let load = |from, to| self.load(tip, from, to).cutting.to_newton();
        let dial = Dial { step, least: self.least, load: &load };
        if step > Length::ZERO && dial.is_coarse(from, depths) {
            dial.even(from, depths)
        } else {
            self.settle(from, depths)
        }
    }

    /// What a pass done at these settings was.
    pub fn kind_of(&self, place: &Place, depth: Length, side: Length, tip: Length) -> PassKind {
        let here = self.seated(*place, tip);
        if place.taken == 0 && depth <= self.scratch * 2.0 {
            PassKind::Scratch
        } else if depth > here.depth + self.near() {
            PassKind::Cutting
        } else if (side - here.side).abs() > Length::um(0.5) {
            PassKind::Widening
        } else {
            PassKind::Spring
        }
    }

    /// Takes a pass: what it cuts, and where it leaves the tool.
    pub fn take(&self, place: &mut Place, set: Setting) -> Pass {
        let before = self.seated(*place, set.tip);
        let groove = self.groove(set.tip);
        let k = self.tool.stiffness_n_per_mm;
        let deeper = (set.depth - before.depth).max(Length::ZERO);
        let wider = (set.side - before.side).abs();
        let (mut area, mut load, mut deflection) = (0.0, Load::default(), before.left);
        let mut after = Place {
            taken: before.taken + 1,
            depth: before.depth.max(set.depth),
            side: set.side,
            springs: if set.kind == PassKind::Spring { before.springs + 1 } else { 0 },
            ..before
        };
        if deeper > Length::ZERO || set.kind == PassKind::Spring {
            after.left = force::left_uncut(deeper + before.left, k, |h| {
                self.load(set.tip, set.depth - h, set.depth).radial
            });
            deflection = after.left;
            let from = set.depth - (if deeper > Length::ZERO { deeper } else { before.left - after.left });
            area += groove.area_mm2(set.depth) - groove.area_mm2(from);
            load = self.load(set.tip, from, set.depth);
        }
        if wider > Length::ZERO {
            let side = force::widening(self.kienzle, &Groove { depth: set.depth, ..groove }, wider);
            area += wider.to_mm() * set.depth.to_mm();
            load.cutting += side.cutting;
            if deeper <= Length::ZERO {
                deflection = bar::deflection(side.radial, k);
            }
        }
        if let Feed::Alternating(lean) = self.feed
            && deeper > Length::ZERO
        {
            let swing = before.swing + deeper * (lean.tan() * before.next_lean);
            after.swing = self.compound.map_or(swing, |d| device::round_to(swing, d));
            after.next_lean = -before.next_lean;
        }
        *place = after;
        let (readout, compound) = self.shows(set.depth, set.side);
        let across = (self.set_by(readout, compound, set.depth) + before.offset) * 2.0;
        let diameter = match self.fit.part {
            Element::Internal => self.blank + across,
            Element::External => self.blank - across,
        };
        Pass {
            number: after.taken,
            kind: set.kind,
            tip: set.tip,
            step: deeper,
            depth: set.depth,
            side: set.side,
            diameter,
            readout,
            compound,
            axial_shift: set.side
                + match self.feed {
                    Feed::Straight => Length::ZERO,
                    Feed::Swung(lean) | Feed::Shifted(lean) => set.depth * (lean.tan() * self.leading()),
                    Feed::Alternating(_) => after.swing,
                },
            area_mm2: area,
            force: load.cutting,
            power_kw: force::spindle_kw(load.cutting, surface_at(self.rpm, diameter), force::DRIVE),
            deflection,
        }
    }

    /// What the cross-slide and a feeding compound show.
    fn shows(&self, depth: Length, side: Length) -> (Length, Length) {
        let slide = |l: Length| self.device.map_or(l, |d| d.shows(l));
        match self.feed {
            Feed::Swung(lean) => {
                // On along the compound, back by as much radially: the difference is axial.
                let on = side.abs() * (1.0 / lean.sin());
                let back = slide(on * lean.cos());
                let back = self.device.map_or(back, |d| device::round_to(back, d.division));
                let compound = compound_travel(depth, lean) + on;
                let compound = match self.compound {
                    Some(d) if side != Length::ZERO => device::round_to(compound, d),
                    _ => compound,
                };
                (-back, compound)
            }
            _ => (slide(depth), Length::ZERO),
        }
    }

    /// The radial depth that these dial numbers set; `depth` where the cross-slide alone sets it.
    fn set_by(&self, readout: Length, compound: Length, depth: Length) -> Length {
        match self.feed {
            Feed::Swung(lean) if readout != Length::ZERO => {
                compound * lean.cos() + self.device.map_or(readout, |d| d.travel(readout))
            }
            _ => depth,
        }
    }

    /// The most that the rule's quantity comes to in a pass that takes depth.
    pub fn quota(&self, settings: &[Setting]) -> f64 {
        let mut place = self.start();
        let mut most = 0.0;
        for s in settings {
            let from = self.seated(place, s.tip).depth;
            if s.kind == PassKind::Cutting {
                most = f64::max(most, self.alike(s.tip).of(from, s.depth));
            }
            self.take(&mut place, *s);
        }
        most
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
