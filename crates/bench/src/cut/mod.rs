//! Cut: the passes, and the order of operations.
//!
//! - [`groove`]: area and depth of the section;
//! - [`feed`]: how the tool moves in;
//! - [`plan`]: how the depth is shared out;
//! - [`force`]: what a pass does to the tool;
//! - [`growth`]: how that grows with the pass, and passes alike in it;
//! - [`chatter`]: from which pass on it is likely, and what helps;
//! - [`device`]: what the readout or dial will show;
//! - `dial`: depths on a coarse dial, chosen together;
//! - `course`: the passes, planned from any place that the tool has reached;
//! - `reached`: the depth that a reading between passes tells;
//! - [`seat`]: where a wire or ball comes to rest, and what it reads;
//! - `width`: how wide the groove stands against the one aimed at;
//! - `follow`: the plan kept in step with what was done;
//! - `entry`: whether what is entered at the lathe can be;
//! - `recover`: what to do when the work is broken off.

pub mod chatter;
pub mod device;
pub mod feed;
pub mod force;
pub mod groove;
pub mod growth;
pub mod plan;
pub mod seat;

mod course;
mod dial;
mod entry;
mod follow;
mod operations;
mod reached;
mod recover;
mod say;
mod width;

pub use course::depth_in_hand;
pub use entry::{Entries, Standing};
pub use operations::Cautions;
pub use recover::Recovery;
pub use width::Reached;

use crate::fit::Fit;
use crate::job::{Infeed, Job};
use crate::material;
use crate::report::{Fine, Note, Outcome, Section, Step, Text, Value};
use crate::setup::{Setup, surface_at};
use crate::tool::first_order::off_centre;
use crate::tool::{Tool, bar, built_up};
use chatter::Chatter;
use course::{Course, SPRING_TARGET};
use feed::Feed;
use flankwise_thread::{Element, Force, Length, Source, Unit};

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
    /// Less deep than the groove, and no wider: cuts nothing.
    Idle,
}

impl PassKind {
    /// As a word for a table's cell.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Scratch => "scratch",
            Self::Cutting => "cut",
            Self::Widening => "to the side",
            Self::Spring => "spring",
            Self::Idle => "cuts nothing",
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
    /// Tip width of the tool that takes it.
    pub tip: Length,
    /// Radial depth of this pass.
    pub step: Length,
    /// Radial depth to set, from touch-on.
    pub depth: Length,
    /// Shift along the axis that widens the groove; positive away from the chuck.
    pub side: Length,
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
    /// Power it takes from the drive, kW.
    pub power_kw: f64,
    /// Deflection of the bar at the tip while it cuts, radial component.
    pub deflection: Length,
    /// What the spring of the bar leaves uncut, radially, after it.
    pub left: Length,
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
    /// Passes in order: those done, as they were done, then those to come.
    pub passes: Vec<Pass>,
    /// So many of them are done.
    pub done: usize,
    /// The start that they cut, from 1, of [`Self::starts`].
    pub start: u32,
    /// Starts of the thread. Each is cut to its full depth, then the next.
    pub starts: u32,
    /// How to come from one start to the next; none with one start.
    pub next_start: Option<Text>,
    /// So many passes were done when the groove can last have been measured: of this start, or of the one before
    /// while this one is not begun.
    pub measured_after: usize,
    /// The start that they cut, from 1.
    pub measured_start: u32,
    /// The last pass that was taken, in the job's list of passes done, from 0.
    pub last_entry: Option<usize>,
    /// What the slides are called where the tool for the thread takes over from the roughing tool; none with one tool.
    pub change: Option<Text>,
    /// How the tool is fed in.
    pub feed: Feed,
    /// Division of the dial or readout that `readout` was rounded to; none if there is none in the job.
    pub division: Option<Length>,
    /// Unit that the readout or cross-slide dial is divided in.
    pub readout_unit: Unit,
    /// Unit that the compound's dial is divided in.
    pub compound_unit: Unit,
    /// Whether `readout` counts on the diameter.
    pub readout_on_diameter: bool,
    /// What shows it: the readout, or the cross-slide's dial.
    pub shown_on: &'static str,
    /// Time in the cut with returns, seconds.
    pub seconds: f64,
    /// What is left uncut, radially, after the last pass.
    pub left: Length,
    /// What each wire (screw) or ball (nut) on hand should read between passes now, where it comes to rest on the
    /// flanks: its diameter and the reading.
    pub reads_now: Vec<(Length, Length)>,
    /// The groove as it is now; none before the first pass and where flanks are upright.
    pub reached: Option<Reached>,
    /// Work to be done in order, with cautions.
    pub operations: Vec<Step>,
    /// Chatter over the passes.
    pub chatter: Option<Chatter>,
    /// Cautions that belong to the threading itself, for the view at the lathe.
    pub cautions: Cautions,
    /// What to do when the work is broken off, from the place reached.
    pub recovery: Vec<Recovery>,
    /// The same for the paper at the lathe, whatever place was reached.
    pub recovery_on_paper: Vec<Step>,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Plans the passes.
pub fn work(fit: &Fit, tool: &Tool, setup: Option<&Setup>, job: &Job) -> Outcome<Cut> {
    let mut notes = Vec::new();
    if fit.depth <= Length::ZERO || fit.groove_bottom_width <= Length::ZERO {
        let note =
            Note::impossible("The sizes leave no groove to cut: the bottom must lie beyond the blank.");
        return Outcome { result: None, needs: Vec::new(), notes: vec![note] };
    }
    let course = Course::new(fit, tool, setup, job, &mut notes);
    let followed = follow::follow(&course, &mut notes);
    let passes = followed.passes;
    let left = followed.end.left;
    notes.extend(judge_left(left));
    if passes[followed.done..].iter().any(|p| p.kind == PassKind::Cutting) {
        notes.extend(judge_bottom(&course, &passes));
    }
    let reached = course.reached(&followed.here);
    notes.extend(reached.zip(followed.entry).and_then(|(r, entry)| r.judge(fit, entry)));
    notes.extend(judge_narrow(&course, &followed.end));
    notes.extend(judge_style(&course));

    let operations = operations::list(&course, setup, &passes);
    let cautions = operations::at_the_lathe(fit, setup, job);
    let gauges = match fit.part {
        Element::External => &job.gauges.wires,
        Element::Internal => &job.gauges.balls,
    };
    let reads_now =
        gauges.iter().filter_map(|w| Some((*w, reached::over_now(&course, &followed.here, *w)?))).collect();
    let next_tip = passes.get(followed.done).map(|p| p.tip);
    let recovery = recover::all(&course, &followed.here, next_tip);
    let chatter = Chatter::of(&course, &passes);
    notes.extend(chatter.as_ref().and_then(|c| c.warning(setup)));
    notes.extend(judge_built_up(&course, setup));
    notes.extend(judge_pressed_down(&course, &passes));
    let detail = say::detail(&course, &passes, &followed.basis, setup.is_some(), left);
    let device = course.device;
    let begun = followed.done > 0;
    let cut = Cut {
        seconds: course.seconds(passes.len(), setup),
        done: followed.done,
        start: followed.start,
        starts: fit.thread.starts.max(1),
        next_start: next_start(fit, setup),
        measured_after: if begun { followed.done } else { followed.before },
        measured_start: if begun { followed.start } else { (followed.start - 1).max(1) },
        last_entry: followed.entry,
        change: course.seat_at_change(&passes).map(|seat| recover::called(&course, &seat)),
        feed: course.feed,
        division: match (course.feed, device) {
            (Feed::Swung(_), _) => course.compound,
            (_, device) => device.map(|d| d.division),
        },
        readout_unit: device.map_or(job.unit, |d| d.unit),
        compound_unit: course
            .compound
            .and_then(device::divided_in)
            .or_else(|| job.lathe.as_ref()?.cross_dial.and_then(|d| device::divided_in(d.division)))
            .unwrap_or(job.unit),
        readout_on_diameter: device.is_some_and(|d| d.on_diameter),
        shown_on: if device.is_some_and(|d| d.digital) { "readout" } else { "cross-slide dial" },
        left,
        reads_now,
        reached,
        operations,
        chatter,
        cautions,
        recovery,
        recovery_on_paper: recover::on_paper(&course, &passes),
        passes,
        detail,
    };
    let mut outcome = Outcome { result: Some(cut), needs: Vec::new(), notes };
    if device.is_none() && !matches!(course.feed, Feed::Swung(_)) {
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

/// How to come from one start to the next: the way of this lathe, else by the compound.
fn next_start(fit: &Fit, setup: Option<&Setup>) -> Option<Text> {
    let by_compound = || {
        let pitch = fit.thread.pitch.length;
        Text::from("by the compound, parallel to the axis, on by ").len(pitch).s(" from the same side")
    };
    (fit.thread.starts > 1).then(|| setup.and_then(|s| s.next_start.clone()).unwrap_or_else(by_compound))
}

/// Whether the spring passes leave too much.
fn judge_left(left: Length) -> Option<Note> {
    (left > SPRING_TARGET * 2.0).then(|| {
        Note::warning(
            Text::new()
                .s("After the last pass about ")
                .v(Value::Length(left, Fine::Gauge))
                .s(" of depth is still left by the spring of the bar. Go on until no chip comes, or take a stiffer bar."),
        )
        .field("cutting.spring")
    })
}

/// A warning where a carbide tip cuts too slowly.
fn judge_built_up(course: &Course<'_>, setup: Option<&Setup>) -> Option<Note> {
    let setup = setup.filter(|_| course.tool.carbide)?;
    let material = material::material(course.fit.material)?;
    let rpm = setup.rpm?;
    let speed = surface_at(rpm, course.fit.bottom.aim.max(course.fit.blank.aim));
    let capped = setup.rpm_reaction.is_some_and(|r| r < setup.rpm_surface);
    let note = built_up::warning(material, speed, rpm, capped)?;
    Some(note.field(course.tool.carbide_field()))
}

/// Share of the front clearance that the cutting force may take by pressing the edge down before it is worth a word.
/// Chosen here.
const CLEARANCE_PRESSED_OFF: f64 = 0.2;

/// What the cutting force does to the edge of an internal tool: pressed below centre it loses front clearance, by δ with
/// sin δ = 2 y / D on the bore.
fn judge_pressed_down(course: &Course<'_>, passes: &[Pass]) -> Option<Note> {
    let tool = course.tool;
    let hardest = say::hardest_of(passes)?;
    let down = bar::deflection(hardest.force, tool.stiffness_n_per_mm);
    let bore = course.fit.blank.min;
    let lost = off_centre(down, bore);
    (course.fit.part == Element::Internal && tool.carried() && lost >= tool.front_clearance * CLEARANCE_PRESSED_OFF).then(|| {
        Note::warning(
            Text::from(format!("The cutting force of pass {} presses the edge down by ", hardest.number))
                .v(Value::Length(down, Fine::Shop))
                .s(", which takes ")
                .v(Value::Angle(lost, 1))
                .s(" of the front clearance, ")
                .v(Value::Angle(tool.front_clearance, 0))
                .s(": below centre an internal tool rubs sooner. Set the edge as much above centre, grind more clearance, or take lighter cuts."),
        )
        .field("grind.height")
        .source(Source::derived("cutting force over the bar's stiffness; sin δ = 2 y / D"))
    })
}

/// Whether the groove ends up narrower than its limits: a tip narrower than the bottom, and sides that cannot be set.
fn judge_narrow(course: &Course<'_>, end: &course::Place) -> Option<Note> {
    let short = course.short_of_least(end)?;
    let what = Text::from("After the last pass the groove is still ")
        .v(Value::Length(short, Fine::Gauge))
        .s(" narrower than its limits permit: the tip is narrower than the groove's bottom, and ");
    let (text, field) = match course.compound {
        Some(division) if division > short => (
            what.s("the compound is divided in ")
                .v(Value::Setting(division, device::divided_in_or(course.compound, course.job.unit)))
                .s(". Shift the tool by an indicator on the compound, or grind the tip wider by what is missing."),
            "lathe.compound_dial",
        ),
        _ => (what.s("so little is not taken to the side. Grind the tip wider by it."), "grind.tip_width"),
    };
    Some(Note::warning(text).field(field))
}

/// Whether rounding to the dial has moved the bottom out of its limits: beyond them no metal can be put back.
fn judge_bottom(course: &Course<'_>, passes: &[Pass]) -> Option<Note> {
    let bottom = passes.last()?.diameter;
    let limits = &course.fit.bottom;
    let slack = Length::um(0.5);
    let (above, below) = (bottom > limits.max + slack, bottom < limits.min - slack);
    let text = Text::new()
        .s("The nearest division puts the bottom at ")
        .len(bottom)
        .s(", outside ")
        .v(Value::Band(limits.min, limits.max, Fine::Shop));
    let too_deep = match course.fit.part {
        Element::Internal => above,
        Element::External => below,
    };
    let note = if too_deep {
        Note::impossible(text.s(": too deep, and that is not to be mended. Set the depths by an indicator on the slide, and give its division in place of the dial's."))
    } else {
        Note::warning(text.s(". Set the last pass between divisions, or by an indicator on the slide."))
    };
    let field = match (course.feed, course.device) {
        (Feed::Swung(_), _) => "lathe.compound_dial",
        (_, Some(d)) if d.digital => "lathe.readout",
        _ => "lathe.cross_dial",
    };
    (above || below).then(|| note.field(field))
}

/// Remarks on the infeed style for this pitch.
fn judge_style(course: &Course<'_>) -> Option<Note> {
    let pitch = course.fit.thread.pitch.length;
    let note = match course.job.cutting.infeed {
        Infeed::Radial if pitch > Length::mm(4.0) => Note::remark("Straight in, a coarse pitch cuts on both flanks and the tip at once. If it chatters, feed along the flank: the force is less and the chip runs off freely.")
            .source(Source::table("Mitsubishi Materials: internal threading page", "radial infeed up to 4 mm pitch")),
        Infeed::Flank | Infeed::ModifiedFlank | Infeed::Alternating if course.feed == Feed::Straight => {
            Note::remark("The flank that such an infeed follows is upright, or within 4° of it: there is no slope to lean along, and the passes go straight in.")
        }
        Infeed::Alternating if course.compound.is_none() => {
            Note::warning("Alternating infeed shifts the tool a little along the axis before every pass: without a dial on the compound that cannot be set. Give lathe.compound_dial, or feed straight in.")
        }
        _ => return None,
    };
    Some(note.field("cutting.infeed"))
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
    /// How much the device that sets the depth goes on for each bit of radial depth.
    fn shown_per_depth(&self) -> f64 {
        match self.feed {
            Feed::Swung(lean) => 1.0 / lean.cos(),
            _ if self.readout_on_diameter => 2.0,
            _ => 1.0,
        }
    }
    /// Radial depth of a pass that the device which sets it was at `shown` in, rather than where it was asked to be.
    pub fn depth_at(&self, shown: Length, pass: &Pass) -> Length {
        pass.depth + (shown - pass.set_to()) * (1.0 / self.shown_per_depth())
    }
    /// What that device shows in this pass at another radial depth: the inverse of [`Self::depth_at`].
    pub fn shown_at(&self, depth: Length, pass: &Pass) -> Length {
        pass.set_to() + (depth - pass.depth) * self.shown_per_depth()
    }
    /// The pass to take next; none when all are done.
    pub fn next(&self) -> Option<&Pass> {
        self.passes.get(self.done)
    }
    /// Whether pass `index` (from 0) is the first with another tool than the pass before.
    pub fn changes_tool(&self, index: usize) -> bool {
        index > 0
            && self
                .passes
                .get(index)
                .is_some_and(|p| (p.tip - self.passes[index - 1].tip).abs() > Length::um(1.0))
    }
    /// Time of the passes to come with the returns, seconds.
    pub fn seconds_left(&self) -> f64 {
        let all = self.passes.len() * self.starts as usize;
        let done = self.passes.len() * (self.start as usize - 1) + self.done;
        self.seconds * (all - done) as f64 / all.max(1) as f64
    }
    /// Says itself.
    pub fn section(&self) -> Section {
        say::section(self)
    }
}
