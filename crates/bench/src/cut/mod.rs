//! Cut: the passes, and the order of operations.
//!
//! - [`groove`]: area and depth of the section;
//! - [`plan`]: how the depth is shared out;
//! - [`force`]: what a pass does to the tool;
//! - [`device`]: what the readout or dial will show.

pub mod device;
pub mod force;
pub mod groove;
pub mod plan;

mod operations;
mod say;

use crate::fit::Fit;
use crate::job::{Infeed, Job};
use crate::material;
use crate::report::{Note, Outcome, Section, Step, Text, Value};
use crate::setup::{HalfNuts, Setup};
use crate::tool::{Tool, bar};
use device::Device;
use flankwise_thread::{Angle, Element, Force, Hand, Length, Source, Unit};
use force::{Kienzle, Load};
use groove::Groove;
use plan::{Rule, Shape};

/// Kind of pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PassKind {
    /// A scratch to check the pitch by.
    Scratch,
    /// Takes metal.
    Cutting,
    /// Widens the groove to one side at full depth.
    Widening,
    /// Repeats the depth to take out the deflection.
    Spring,
}

impl PassKind {
    /// As a word for a table's cell.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Scratch => "scratch",
            Self::Cutting => "cut",
            Self::Widening => "to the side",
            Self::Spring => "spring",
        }
    }
}

/// One pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Number, from 1.
    pub number: u32,
    /// Kind.
    pub kind: PassKind,
    /// Radial depth of this pass.
    pub step: Length,
    /// Radial depth from the blank's surface.
    pub depth: Length,
    /// Diameter at the tool tip.
    pub diameter: Length,
    /// What the cross-slide readout or dial shows, zeroed at touch-on, as it counts (radius or diameter). Where a
    /// swung compound feeds (`compound` is not zero), the cross-slide comes back to this reading every pass:
    /// zero, or less for a pass that widens.
    pub readout: Length,
    /// Move along the compound from touch-on, where it feeds; zero for radial infeed.
    pub compound: Length,
    /// Axial shift of the tool against radial infeed (flank infeed, widening); positive away from the chuck, as
    /// ISO 841 counts. A swung compound makes it by itself.
    pub axial_shift: Length,
    /// Chip area, mm².
    pub area_mm2: f64,
    /// Tangential force.
    pub force: Force,
    /// Deflection of the bar at the tip, radial component.
    pub deflection: Length,
}

impl Pass {
    /// The depth is set by a swung compound; else by the cross-slide.
    pub fn by_compound(&self) -> bool {
        self.compound != Length::ZERO
    }
    /// The one number that sets the depth of this pass, on the device that [`Self::by_compound`] names: what a
    /// view at the lathe shows large.
    pub fn set_to(&self) -> Length {
        if self.by_compound() { self.compound } else { self.readout }
    }
}

/// The passes and the order of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Passes in order.
    pub passes: Vec<Pass>,
    /// Division of the dial or readout that `readout` was rounded to; none if there is none in the job.
    pub division: Option<Length>,
    /// Unit that the readout or cross-slide dial is divided in.
    pub readout_unit: Unit,
    /// Unit that the compound's dial is divided in.
    pub compound_unit: Unit,
    /// Whether `readout` counts on the diameter.
    pub readout_on_diameter: bool,
    /// Time in the cut with returns, seconds.
    pub seconds: f64,
    /// Work to be done in order, with cautions.
    pub operations: Vec<Step>,
    /// Cautions that belong to the threading itself, for the view at the lathe.
    pub cautions: Vec<Note>,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Depth of the scratch by which the pitch is checked.
pub const SCRATCH: Length = Length::mm(0.03);
/// Chip of a pass that widens, at most.
const WIDEN_STEP: Length = Length::mm(0.1);
/// A groove that the tip leaves narrower by less than this is not widened.
const WIDEN_LEAST: Length = Length::mm(0.02);
/// Spring passes go on until less than this is left.
const SPRING_TARGET: Length = Length::mm(0.005);
/// Most spring passes that the count proposes: more only rub.
const MOST_SPRING: u32 = 6;
/// Between the compound and the flank: the following edge shaves lightly instead of rubbing.
const OFF_FLANK: Angle = Angle::deg(0.5);
/// The same for modified flank infeed.
const OFF_FLANK_MODIFIED: Angle = Angle::deg(3.0);
/// Speed taken where the lathe has none to say, rev/min.
const ASSUMED_RPM: f64 = 60.0;
/// Between passes: back out, run the carriage back by hand (mm/s), set the depth, engage.
const HANDLING_S: f64 = 8.0;
const CARRIAGE_MM_PER_S: f64 = 25.0;

/// How the tool is fed in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Feed {
    /// By the cross-slide; the compound lies parallel to the axis and is touched only to widen.
    Straight,
    /// By the compound, swung so far from the cross-slide.
    Swung(Angle),
    /// By the cross-slide, the tool shifted along the axis by the compound, which lies parallel to it; the path
    /// leans so far from the radius.
    Shifted(Angle),
}

impl Feed {
    /// Lean of the path from the radius.
    pub const fn lean(self) -> Angle {
        match self {
            Self::Straight => Angle::ZERO,
            Self::Swung(a) | Self::Shifted(a) => a,
        }
    }
}

/// Chooses the feed for an infeed style. Flanks within 4° of upright leave nothing to lean on: straight in.
pub fn feed(infeed: Infeed, half: Angle, compound_dial: bool) -> Feed {
    let off = match infeed {
        Infeed::Radial => return Feed::Straight,
        Infeed::Flank => OFF_FLANK,
        Infeed::ModifiedFlank => OFF_FLANK_MODIFIED,
    };
    if half < Angle::deg(4.0) {
        return Feed::Straight;
    }
    let lean = half - off;
    if compound_dial { Feed::Swung(lean) } else { Feed::Shifted(lean) }
}

/// Everything the passes are planned from.
struct Plan<'a> {
    fit: &'a Fit,
    tool: &'a Tool,
    job: &'a Job,
    kienzle: Kienzle,
    groove: Groove,
    /// What the groove's bottom is wider than the tip.
    widen: Length,
    feed: Feed,
    device: Option<Device>,
    /// Division of the compound's dial.
    compound: Option<Length>,
    rule: Rule,
    shape: Shape,
    first: Length,
    least: Length,
    scratch: Length,
}

/// Plans the passes.
pub fn work(fit: &Fit, tool: &Tool, setup: Option<&Setup>, job: &Job) -> Outcome<Cut> {
    let mut notes = Vec::new();
    if fit.depth <= Length::ZERO || fit.groove_bottom_width <= Length::ZERO {
        let note =
            Note::impossible("The sizes leave no groove to cut: the bottom must lie beyond the blank.");
        return Outcome { result: None, needs: Vec::new(), notes: vec![note] };
    }
    let plan = Plan::new(fit, tool, job, &mut notes);
    let (depths, basis) = plan.depths(&mut notes);
    let depths = plan.settle(&depths);
    let mut passes = plan.cutting_passes(&depths);
    let left = passes.last().map_or(Length::ZERO, |p| p.deflection);
    passes.extend(plan.widening_passes(passes.last()));
    let (spring, left) = plan.spring_passes(passes.last(), left);
    if left > SPRING_TARGET * 2.0 {
        notes.push(
            Note::warning(
                Text::new()
                    .s("After these spring passes about ")
                    .v(Value::Length(left, crate::report::Fine::Gauge))
                    .s(" of depth is still left by the spring of the bar. Go on until no chip comes, or take a stiffer bar."),
            )
            .field("cutting.spring"),
        );
    }
    passes.extend(spring);
    for (i, pass) in passes.iter_mut().enumerate() {
        pass.number = i as u32 + 1;
    }
    notes.extend(plan.judge_bottom(&passes));
    notes.extend(plan.judge_style());

    let rpm = setup.map_or(ASSUMED_RPM, |s| s.rpm);
    let seconds = plan.seconds(passes.len(), rpm, setup);
    let operations = operations::list(fit, tool, setup, job, &passes, plan.feed);
    let cautions = operations::at_the_lathe(fit, setup);
    let detail = say::detail(&plan, &passes, &basis, rpm, setup.is_some(), left);
    let cut = Cut {
        passes,
        division: match (plan.feed, plan.device) {
            (Feed::Swung(_), _) => plan.compound,
            (_, device) => device.map(|d| d.division),
        },
        readout_unit: plan.device.map_or(job.unit, |d| d.unit),
        compound_unit: plan
            .compound
            .and_then(device::divided_in)
            .or_else(|| job.lathe.as_ref()?.cross_dial.and_then(|d| device::divided_in(d.division)))
            .unwrap_or(job.unit),
        readout_on_diameter: plan.device.is_some_and(|d| d.on_diameter),
        seconds,
        operations,
        cautions,
        detail,
    };
    let mut outcome = Outcome { result: Some(cut), needs: Vec::new(), notes };
    if plan.device.is_none() && !matches!(plan.feed, Feed::Swung(_)) {
        outcome = outcome.need(
            "lathe.cross_dial",
            "division of the cross-slide dial or readout: the depths are given unrounded",
        );
    }
    if setup.is_none() {
        outcome = outcome.need("lathe", "the lathe, for its speed: time is reckoned at 60 rev/min");
    }
    outcome
}

/// Why there are so many passes.
struct Basis {
    /// Words for the figure.
    words: String,
    source: Source,
}

impl<'a> Plan<'a> {
    fn new(fit: &'a Fit, tool: &'a Tool, job: &'a Job, notes: &mut Vec<Note>) -> Self {
        let cutting = &job.cutting;
        let carbide = job.grind.carbide_tip;
        let mean_tan = ((fit.groove_top_width - fit.groove_bottom_width) / (fit.depth * 2.0)).max(0.0);
        let half = Angle::atan(mean_tan);
        let tip = tool.tip_width.aim.min(fit.groove_bottom_width);
        let material = material::material(fit.material).unwrap_or_else(|| material::default_part(fit.part));
        // Rake lowers the specific force by about 1 % a degree.
        let rake_share = (1.0 - 0.01 * tool.rake.to_deg()).clamp(0.7, 1.3);
        let kienzle = Kienzle { kc11: material.kc11 * rake_share, mc: material.mc };
        let compound = job.lathe.as_ref().and_then(|l| l.compound_dial).filter(|d| *d > Length::ZERO);
        let feed = feed(cutting.infeed, half, compound.is_some());
        let device = Device::of(job.lathe.as_ref(), job.unit);
        let step = match feed {
            Feed::Swung(lean) => compound.map(|d| d * lean.cos()),
            _ => device.map(|d| d.radial_step()),
        }
        .unwrap_or(Length::ZERO);
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
        let least = least.max(step).min(fit.depth);
        let shape = if half >= Angle::deg(20.0) { Shape::V } else { Shape::Trapezoidal };
        let scratch = SCRATCH.max(step).min(fit.depth * 0.25);
        Self {
            fit,
            tool,
            job,
            kienzle,
            groove: Groove { tip, mean_tan, depth: fit.depth },
            widen: fit.groove_bottom_width - tip,
            feed,
            device,
            compound,
            rule: match shape {
                Shape::V => Rule::Root,
                Shape::Trapezoidal => Rule::EqualArea,
            },
            shape,
            first,
            least,
            scratch,
        }
    }

    fn load(&self, from: Length, to: Length) -> Load {
        force::plunge(self.kienzle, &self.groove, force::Step { from, to, lean: self.feed.lean() })
    }

    /// Cumulative depths after the scratch, and why so many.
    fn depths(&self, notes: &mut Vec<Note>) -> (Vec<Length>, Basis) {
        let cutting = &self.job.cutting;
        let limit = cutting.force;
        let within = |depths: &[Length]| {
            let mut from = self.scratch;
            depths.iter().enumerate().all(|(i, &to)| {
                let load = self.load(from, to).cutting;
                let first_fits = i > 0 || to <= self.first.max(self.scratch + self.least);
                from = to;
                first_fits && limit.is_none_or(|l| load <= l)
            })
        };
        let (low, high, source) = plan::table_passes(self.shape, self.fit.thread.pitch.length);
        let factor = if self.job.grind.carbide_tip { 1.0 } else { plan::HSS_FACTOR };
        let from_table = (f64::from(high) * factor).ceil() as u32;
        let given = limit.is_some() || cutting.first.is_some();
        let start = if given { 1 } else { from_table };
        let most = ((self.groove.depth - self.scratch) / self.least).floor().clamp(1.0, 1000.0) as u32;
        let of = |n| plan::depths(self.rule, &self.groove, self.scratch, n, self.least);
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
            let mut from = self.scratch;
            let worst = depths.iter().fold(Force::ZERO, |worst, &to| {
                let load = self.load(from, to).cutting;
                from = to;
                worst.max(load)
            });
            if let Some(limit) = limit.filter(|l| worst > *l) {
                notes.push(
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
                    .field("cutting.force"),
                );
            }
            depths
        });
        (depths, Basis { words, source })
    }

    /// Rounds to what can be set; the scratch first.
    fn settle(&self, depths: &[Length]) -> Vec<Length> {
        let all: Vec<Length> = std::iter::once(self.scratch).chain(depths.iter().copied()).collect();
        match (self.feed, self.compound, self.device) {
            (Feed::Swung(lean), Some(division), _) => device::settle(&all, division * lean.cos()),
            (_, _, Some(device)) => device::settle(&all, device.radial_step()),
            _ => all,
        }
    }

    fn pass(&self, kind: PassKind, depth: Length) -> Pass {
        let across = match self.fit.part {
            Element::Internal => depth * 2.0,
            Element::External => depth * -2.0,
        };
        let towards = match self.fit.thread.hand {
            // The leading side: towards the chuck for a right-hand thread.
            Hand::Right => -1.0,
            Hand::Left => 1.0,
        };
        let lean = self.feed.lean();
        let (readout, compound) = match self.feed {
            Feed::Swung(lean) => (Length::ZERO, groove::compound_travel(depth, lean)),
            _ => (self.device.map_or(depth, |d| d.shows(depth)), Length::ZERO),
        };
        Pass {
            number: 0,
            kind,
            step: Length::ZERO,
            depth,
            diameter: self.fit.blank.aim + across,
            readout,
            compound,
            axial_shift: depth * (lean.tan() * towards),
            area_mm2: 0.0,
            force: Force::ZERO,
            deflection: Length::ZERO,
        }
    }

    /// The scratch and the passes that take the depth. What the bar leaves uncut in one comes to the next.
    fn cutting_passes(&self, depths: &[Length]) -> Vec<Pass> {
        let (mut from, mut left) = (Length::ZERO, Length::ZERO);
        let k = self.tool.stiffness_n_per_mm;
        depths
            .iter()
            .enumerate()
            .map(|(i, &to)| {
                let kind = if i == 0 { PassKind::Scratch } else { PassKind::Cutting };
                left = force::left_uncut(to - from + left, k, |h| self.load(to - h, to).radial);
                let pass = Pass {
                    step: to - from,
                    area_mm2: self.groove.area_mm2(to) - self.groove.area_mm2(from),
                    force: self.load(from, to).cutting,
                    deflection: left,
                    ..self.pass(kind, to)
                };
                from = to;
                pass
            })
            .collect()
    }

    /// Passes to the side at full depth, until the groove's bottom has its width.
    fn widening_passes(&self, last: Option<&Pass>) -> Vec<Pass> {
        let Some(last) = last.filter(|_| self.widen >= WIDEN_LEAST) else { return Vec::new() };
        let n = (self.widen / WIDEN_STEP).ceil().max(1.0) as u32;
        let shifts: Vec<Length> = (1..=n).map(|i| self.widen * (f64::from(i) / f64::from(n))).collect();
        let shifts = match (self.feed, self.compound) {
            // A swung compound moves 1/sin of the shift.
            (Feed::Swung(lean), Some(d)) => device::settle(&shifts, d * lean.sin()),
            (_, Some(d)) => device::settle(&shifts, d),
            _ => shifts,
        };
        let mut before = Length::ZERO;
        shifts
            .iter()
            .map(|&shift| {
                let step = shift - before;
                before = shift;
                let load = force::widening(self.kienzle, &self.groove, step);
                let mut pass = Pass {
                    kind: PassKind::Widening,
                    step: Length::ZERO,
                    area_mm2: step.to_mm() * self.groove.depth.to_mm(),
                    force: load.cutting,
                    deflection: bar::deflection(load.radial, self.tool.stiffness_n_per_mm),
                    ..last.clone()
                };
                match self.feed {
                    Feed::Swung(lean) => {
                        // On along the compound, back by as much radially: the difference is axial.
                        let on = shift * (1.0 / lean.sin());
                        let back = on * lean.cos();
                        pass.compound = last.compound + on;
                        let back = self.device.map_or(back, |d| device::round_to(d.shows(back), d.division));
                        pass.readout = -back;
                        pass.axial_shift = last.axial_shift + shift * last.axial_shift.to_mm().signum();
                    }
                    // Away from the chuck: towards the open end, not into the blind one.
                    _ => pass.axial_shift = last.axial_shift + shift,
                }
                pass
            })
            .collect()
    }

    /// Spring passes, and what they leave uncut of `left`.
    fn spring_passes(&self, last: Option<&Pass>, mut left: Length) -> (Vec<Pass>, Length) {
        let Some(last) = last else { return (Vec::new(), left) };
        let k = self.tool.stiffness_n_per_mm;
        let to = last.depth;
        let mut passes = Vec::new();
        let wanted = self.job.cutting.spring;
        let enough = |done: u32, left: Length| match wanted {
            Some(n) => done >= n,
            None => done >= MOST_SPRING || (done >= 1 && left <= SPRING_TARGET),
        };
        while !enough(passes.len() as u32, left) {
            let before = left;
            left = force::left_uncut(before, k, |h| self.load(to - h, to).radial);
            let chip = before - left;
            passes.push(Pass {
                kind: PassKind::Spring,
                step: Length::ZERO,
                area_mm2: self.groove.area_mm2(to) - self.groove.area_mm2(to - chip),
                force: self.load(to - chip, to).cutting,
                deflection: left,
                ..last.clone()
            });
        }
        (passes, left)
    }

    /// Whether rounding to the dial has moved the bottom out of its limits.
    fn judge_bottom(&self, passes: &[Pass]) -> Option<Note> {
        let bottom = passes.last()?.diameter;
        let limits = &self.fit.bottom;
        let slack = Length::um(0.5);
        (bottom > limits.max + slack || bottom < limits.min - slack).then(|| {
            Note::warning(
                Text::new()
                    .s("The nearest division puts the bottom at ")
                    .len(bottom)
                    .s(", outside ")
                    .v(Value::Band(limits.min, limits.max, crate::report::Fine::Shop))
                    .s(". Set the last pass between divisions, or by an indicator on the cross-slide."),
            )
            .field(if self.device.is_some_and(|d| d.digital) {
                "lathe.readout"
            } else {
                "lathe.cross_dial"
            })
        })
    }

    /// Remarks on the infeed style for this pitch.
    fn judge_style(&self) -> Option<Note> {
        let pitch = self.fit.thread.pitch.length;
        match self.job.cutting.infeed {
            Infeed::Radial if pitch > Length::mm(4.0) => Some(
                Note::remark("Straight in, a coarse pitch cuts on both flanks and the tip at once. If it chatters, feed along the flank: the force is less and the chip runs off freely.")
                    .field("cutting.infeed")
                    .source(Source::table("Mitsubishi Materials: internal threading page", "radial infeed up to 4 mm pitch")),
            ),
            Infeed::Flank | Infeed::ModifiedFlank if self.feed == Feed::Straight => Some(
                Note::remark("A square groove has no slope to feed along; the passes go straight in.").field("cutting.infeed"),
            ),
            _ => None,
        }
    }

    fn seconds(&self, passes: usize, rpm: f64, setup: Option<&Setup>) -> f64 {
        let lead = self.fit.thread.lead().to_mm();
        let travel = self.fit.length.to_mm() + 3.0 * lead;
        let cut = travel / (rpm * lead) * 60.0;
        let back = match setup.map(|s| &s.half_nuts) {
            Some(HalfNuts::KeepClosed) => cut,
            _ => travel / CARRIAGE_MM_PER_S,
        };
        // Every start takes all the passes.
        passes as f64 * f64::from(self.fit.thread.starts) * (cut + back + HANDLING_S)
    }
}

impl Cut {
    /// Unit of the device that sets the depth of `pass`.
    pub fn unit_of(&self, pass: &Pass) -> Unit {
        if pass.by_compound() { self.compound_unit } else { self.readout_unit }
    }
    /// What sets the depth of `pass`, [`Pass::set_to`], as that device shows it.
    pub fn setting(&self, pass: &Pass) -> Value {
        Value::Setting(pass.set_to(), self.unit_of(pass))
    }
    /// Says itself.
    pub fn section(&self) -> Section {
        say::section(self)
    }
}
