//! Tool: the grind, and the bar that carries it.
//!
//! - [`profile`]: what to grind in the rake face, from the helicoid, and what a plain tool cuts;
//! - [`relief`]: reliefs under the flanks, from the surface's slope;
//! - [`grind`]: front clearance and heel, width and corners of the tip;
//! - [`first_order`]: the handbooks' formulas, as a check beside the profile;
//! - [`near`]: other tools, and what the contact becomes with them;
//! - [`bore`]: whether a bar goes in, reaches the bottom and comes out;
//! - [`bar`], [`beam`]: stiffness and first frequency;
//! - [`chatter`], [`built_up`]: how wide a chip the bar stands, and how slow a carbide tip; the cut stage asks them.
//!
//! An external thread has no bore to pass: the tool is then taken as a short [`STUB`], and `largest_bar` is its
//! size.

pub mod bar;
pub mod beam;
pub mod bore;
pub mod built_up;
pub mod chatter;
pub mod first_order;
pub mod grind;
pub mod near;
pub mod profile;
pub mod relief;

mod asks;
mod choose;
mod say;

pub use choose::BarTrial;

use crate::fit::{Fit, Size};
use crate::job::{Bar, BarMaterial, BarShape, Grind, Job};
use crate::report::{Fine, Need, Note, Outcome, Section, Text, Value};
use beam::Mode;
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Length, Source};
use grind::{Corner, Front, SecondRelief, Side};
use near::NearTool;
use profile::{Groove, Ground, Misses, Plain, Stance};
use relief::{Reliefs, Slopes};

/// The tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// How its face is to stand.
    pub stance: Stance,
    /// The profile to grind in that face.
    pub ground: Ground,
    /// What a plain one would cut.
    pub plain: Plain,
    /// Side of the tool that leads in the feed.
    pub leads: Side,
    /// Width that the tip cuts along the axis.
    pub tip_width: Size,
    /// The same as ground and measured in the face.
    pub tip_in_face: Size,
    /// Radius at the tip's corners.
    pub corner: Corner,
    /// What the surface asks for at each diameter of the flanks.
    pub slopes: Vec<Slopes>,
    /// Reliefs to grind.
    pub reliefs: Reliefs,
    /// Front clearance needed.
    pub front_clearance: Angle,
    /// Height of tool below the edge that still clears the bore at that clearance.
    pub heel: Length,
    /// Second relief of the front, where the tip is taller than that.
    pub second_relief: Option<SecondRelief>,
    /// Lead angle at the smaller diameter.
    pub lead_angle: Angle,
    /// Length of tip beyond the bar: depth of thread and clearance; more for a square bar, whose corners would rub.
    pub tip_length: Length,
    /// Stick-out.
    pub stick_out: Length,
    /// How far past the end of the thread the front of the tool comes: into the relief groove, or until the carriage
    /// stands.
    pub past_the_end: Length,
    /// Stick-out that just reaches the end of the cut, with room for the holder.
    pub least_stick_out: Length,
    /// Largest round bar that enters and withdraws.
    pub largest_bar: Length,
    /// Bars of the job, looked at.
    pub bars: Vec<BarTrial>,
    /// The edge is of carbide, as said or by the way the bar is made.
    pub carbide: bool,
    /// What the person has fixed of it.
    pub given: Grind,
    /// Index into `bars` of the one to use; none where the largest round bar is to be got.
    pub bar: Option<usize>,
    /// The bar that the figures below are for: the one to use, or the one to get.
    pub shank: Bar,
    /// Mass of the tip in front of the bar, kg.
    pub tip_mass_kg: f64,
    /// Static stiffness at the tip as the bar is held and joined, N/mm.
    pub stiffness_n_per_mm: f64,
    /// First bending mode at the tip, likewise.
    pub mode: Mode,
    /// Other tools that are nearly right.
    pub near: Vec<NearTool>,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Room wanted between bar or tip and the bore, all round, for chips and a groove with burrs.
pub const CLEARANCE: Length = Length::mm(0.25);
/// By how much the tip stands out more than the groove is deep, so that the bar does not rub.
pub const TIP_OVER_DEPTH: Length = Length::mm(0.5);
/// Between tool holder and the work when the tool is all the way in.
pub const HOLDER_MARGIN: Length = Length::mm(5.0);
/// Overhang taken for an external tool.
pub const STUB_OVERHANG: Length = Length::mm(20.0);
/// The tool bit taken for an external thread.
pub const STUB: Bar = Bar::plain(BarShape::Square, Length::mm(10.0), None, BarMaterial::Hss);

/// Below its edge a tip that clears the bore so far clears it with all that is usually ground. Chosen here.
const HEEL_FREE: Length = Length::mm(2.0);
/// Working clearance where the person gives none: the middle of 3 to 5°.
const CLEARANCE_ANGLE: Angle = Angle::deg(4.0);

/// Front clearance where the person gives none: internal 15°, external 10°.
const fn default_front(part: Element) -> Angle {
    match part {
        Element::Internal => Angle::deg(15.0),
        Element::External => Angle::deg(10.0),
    }
}

/// How far past the end of the thread the front of the tool comes: to the end of the relief groove, or as far as the
/// lathe says; two leads where there is no lathe to say it.
fn past_the_end(fit: &Fit, runs_on: Option<Length>) -> Length {
    match (fit.relief, fit.through) {
        (Some(relief), false) => relief,
        (None, false) => runs_on.unwrap_or(Length::ZERO),
        (relief, true) => runs_on.unwrap_or(fit.thread.lead() * 2.0).max(relief.unwrap_or(Length::ZERO)),
    }
}

/// Radial depth at the extremes: smallest bore to largest groove (or the reverse outside).
fn greatest_depth(fit: &Fit) -> Length {
    match fit.part {
        Element::Internal => (fit.bottom.max - fit.blank.min) * 0.5,
        Element::External => (fit.blank.max - fit.bottom.min) * 0.5,
    }
}

/// Designs the tool, before the lathe has said how far the carriage runs on.
pub fn work(fit: &Fit, job: &Job) -> Outcome<Tool> {
    reaching(fit, None, job)
}

/// Designs the tool for a carriage that stands when the front of the tool is so far past the end of the thread.
pub fn reaching(fit: &Fit, runs_on: Option<Length>, job: &Job) -> Outcome<Tool> {
    let basic = fit.thread.basic();
    let given = &job.grind;
    let mut notes = Vec::new();
    if fit.groove_bottom_width <= Length::ZERO || fit.depth <= Length::ZERO {
        // The fit says why; a tip of no width is no tool.
        return Outcome::missing("reading", "sizes that leave a groove to cut: see what the fit says");
    }

    notes.extend(tapers(fit));
    let mean_tan = 0.5 * (basic.flank_leading.tan() + basic.flank_trailing.tan());
    let mut tip_width = grind::tip_width(fit, mean_tan);
    let Some((stance, mut ground, plain)) = stand(fit, &basic, tip_width.aim, given, &mut notes) else {
        return Outcome { result: None, needs: Vec::new(), notes };
    };
    if let Some(width) = given.tip_width {
        notes.extend(judge_tip(width, &tip_width, &ground, fit));
        tip_width.aim = ground.along_axis(width);
        // The same stance meets the flanks of a wider or narrower tip just as well.
        ground = Ground::new(Groove::of(fit, &basic, tip_width.aim), &stance).unwrap_or(ground);
    }
    let in_face = |l| ground.in_face(l);
    let tip_in_face =
        Size { aim: in_face(tip_width.aim), min: in_face(tip_width.min), max: in_face(tip_width.max) };
    let corner = grind::corner(fit, &basic, tip_width.aim, ground.included() * 0.5);

    let front_clearance = given.front_clearance.unwrap_or(default_front(fit.part));
    let heel = match fit.part {
        Element::Internal => grind::heel(fit.blank.min, front_clearance, stance.height),
        Element::External => Length::ZERO,
    };
    if fit.part == Element::Internal && heel < LEAST_HEEL {
        notes.push(heel_note(fit.blank.min, front_clearance, stance.height, heel));
    }

    let past_the_end = past_the_end(fit, runs_on);
    let stick_out = stick_out(fit, past_the_end, given, &mut notes);
    if fit.part == Element::Internal
        && runs_on == Some(past_the_end)
        && past_the_end > fit.thread.lead() * 2.0
    {
        notes.push(runs_on_note(past_the_end));
    }
    let mut tool = Tool {
        lead_angle: fit.thread.lead_angle(match fit.part {
            Element::Internal => fit.blank.min,
            Element::External => fit.bottom.min,
        }),
        stance,
        ground,
        plain,
        leads: grind::leading_side(fit.thread.hand),
        tip_width,
        tip_in_face,
        corner,
        slopes: Vec::new(),
        reliefs: Reliefs::over(&[], Angle::ZERO),
        front_clearance,
        heel,
        second_relief: None,
        tip_length: greatest_depth(fit) + TIP_OVER_DEPTH,
        stick_out,
        past_the_end,
        least_stick_out: match fit.part {
            Element::Internal => stick_out_needed(fit, past_the_end),
            Element::External => stick_out,
        },
        largest_bar: STUB.size,
        bars: Vec::new(),
        bar: None,
        carbide: given.carbide_tip,
        given: given.clone(),
        shank: STUB,
        tip_mass_kg: 0.0,
        stiffness_n_per_mm: 0.0,
        mode: Mode { hz: 0.0, stiffness_n_per_mm: 0.0 },
        near: near::look(fit, &basic, tip_width.max, &job.bits, job.make.duty),
        detail: Vec::new(),
    };
    if fit.part == Element::Internal {
        tool.shank = choose::choose_bar(&mut tool, fit, job, &mut notes);
        tool.carbide |= tool.bar.is_some() && bar::carbide_edge(&tool.shank);
    }
    let clearance = given.clearance.unwrap_or(CLEARANCE_ANGLE);
    notes.extend(relieve(&mut tool, fit, clearance));
    tool.tip_mass_kg = tip_mass_kg(&tool);
    let answer = bar::answer(&tool.shank, stick_out, tool.tip_mass_kg);
    (tool.stiffness_n_per_mm, tool.mode) = (answer.stiffness_n_per_mm, answer.mode);
    notes.extend(choose::slender_notes(&tool, fit.part));
    notes.extend(say::near_notes(&tool));
    notes.extend(tool.cautions());
    tool.detail = say::detail(&tool, fit, &basic, &answer, clearance, job.make.duty);
    Outcome { result: Some(tool), needs: needs(fit, job), notes }
}

/// The stance and the profiles in it. A stance that misses the thread is said to be impossible and left for the plain
/// one; none where not even that cuts the groove.
fn stand(
    fit: &Fit,
    basic: &Basic,
    width: Length,
    given: &Grind,
    notes: &mut Vec<Note>,
) -> Option<(Stance, Ground, Plain)> {
    let groove = Groove::of(fit, basic, width);
    let both = |stance: Stance| -> Result<(Stance, Ground, Plain), Misses> {
        Ok((stance, Ground::new(groove, &stance)?, Plain::new(&groove, &stance)?))
    };
    let wanted = Stance::of(given);
    match both(wanted) {
        Ok(found) => Some(found),
        Err(_) => {
            notes.push(miss_note(&wanted, |stance| both(stance).is_ok()));
            both(Stance::of(&Grind::default())).ok()
        }
    }
}

/// Which part of a stance misses the thread, and how much of it would do. Blamed is the first without which the rest
/// cuts.
fn miss_note(wanted: &Stance, cuts: impl Fn(Stance) -> bool) -> Note {
    let height = |share: f64| Stance { height: wanted.height * share, ..*wanted };
    let rake = |share: f64| Stance { rake: wanted.rake * share, ..*wanted };
    let turned = |share: f64| Stance { cant: wanted.cant * share, tilt: wanted.tilt * share, ..*wanted };
    let most = |part: &dyn Fn(f64) -> Stance| {
        let (mut within, mut beyond) = (0.0, 1.0);
        for _ in 0..30 {
            let middle = 0.5 * (within + beyond);
            if cuts(part(middle)) { within = middle } else { beyond = middle }
        }
        within
    };
    let text = Text::new();
    if cuts(height(0.0)) {
        let side = if wanted.height > Length::ZERO { "above" } else { "below" };
        let text = text
            .s("With the edge ")
            .len(wanted.height.abs())
            .s(format!(
                " {side} centre, the face does not cross the thread. Set it on centre, or no more than "
            ))
            .len(wanted.height.abs() * most(&height))
            .s(" off.");
        Note::impossible(text).field("grind.height")
    } else if cuts(rake(0.0)) {
        let text = text
            .s("At a rake of ")
            .v(Value::Angle(wanted.rake, 1))
            .s(" the face leaves the thread before it is out of the groove. Grind ")
            .v(Value::Angle(wanted.rake * most(&rake), 1))
            .s(" at most.");
        Note::impossible(text).field("grind.rake")
    } else if cuts(turned(0.0)) {
        let text = text
            .s("Canted and tilted so far, the face does not cross the thread: no more than ")
            .v(Value::Angle(wanted.cant * most(&turned), 1))
            .s(" of cant and ")
            .v(Value::Angle(wanted.tilt * most(&turned), 1))
            .s(" of tilt.");
        Note::impossible(text).field("grind.cant")
    } else {
        Note::impossible("So placed, the face does not cross the thread. Set it flat, square and on centre.")
            .field("grind.height")
    }
}

/// What a carriage that runs on costs the bar.
fn runs_on_note(past_the_end: Length) -> Note {
    Note::remark(
        Text::new()
            .s("Before the carriage stands, the front of the tool is ")
            .len(past_the_end)
            .s(" past the end of the thread, and the bar must stick out by as much more. A slower spindle, a brake, or half-nuts that can be opened make it shorter."),
    )
    .field("grind.stick_out")
    .source(Source::derived("travel until the carriage stands, and the width of the tool where it leaves the thread"))
}

/// The thread, what the tool goes past its end, and room for the holder.
fn stick_out_needed(fit: &Fit, past_the_end: Length) -> Length {
    fit.length + past_the_end + HOLDER_MARGIN
}

/// The stick-out that is fixed, or the one that is needed.
fn stick_out(fit: &Fit, past_the_end: Length, given: &Grind, notes: &mut Vec<Note>) -> Length {
    let needed = stick_out_needed(fit, past_the_end);
    let stick_out = match (fit.part, given.stick_out) {
        (_, Some(fixed)) => fixed,
        (Element::Internal, None) => needed,
        (Element::External, None) => STUB_OVERHANG,
    };
    let to_reach = needed - HOLDER_MARGIN;
    if fit.part == Element::Internal && stick_out < to_reach {
        notes.push(
            Note::impossible(
                Text::new()
                    .s("A stick-out of ")
                    .len(stick_out)
                    .s(" does not reach: before the carriage stands, the front of the tool is ")
                    .len(past_the_end)
                    .s(" past the end of the thread, ")
                    .len(to_reach)
                    .s(" from the face, and the holder would hit the work. With room for it, ")
                    .len(needed)
                    .s(" are needed."),
            )
            .field("grind.stick_out"),
        );
    }
    stick_out
}

/// Reliefs for the tip on its bar, and a remark where the helix leaves one side next to none.
fn relieve(tool: &mut Tool, fit: &Fit, clearance: Angle) -> Option<Note> {
    let tall = tool.shank.edge_height();
    if fit.part == Element::Internal {
        tool.second_relief =
            grind::second_relief(fit.blank.min, tool.front_clearance, tool.stance.height, tall);
    }
    // Without a second relief what lies below the heel rubs in the bore before it does on a flank.
    let below = match (fit.part, tool.second_relief) {
        (Element::Internal, None) => tall.min(tool.heel.max(Length::ZERO)),
        _ => tall,
    };
    let front = Front { clearance: tool.front_clearance, second: tool.second_relief };
    tool.slopes = relief::slopes(&tool.ground, &tool.stance, below, &front);
    tool.reliefs = Reliefs::over(&tool.slopes, clearance);
    let (side, left) = tool.reliefs.floored?;
    Some(
        Note::remark(
            Text::new()
                .s(format!("On the {} side the lead angle, ", side.word()))
                .v(Value::Angle(tool.lead_angle, 1))
                .s(", takes up the clearance: ")
                .v(Value::Angle(left, 1))
                .s(" would do. Grind that side at ")
                .v(Value::Angle(relief::LEAST_RELIEF, 0))
                .s("; the helix clears it. Its edge cuts with as much negative rake, so take light cuts, or cant the tool."),
        )
        .field("grind.clearance")
        .source(Source::derived("slope of the surface under that flank, clearance added")),
    )
}

/// A tapered thread is not what a tool carried along the axis cuts.
fn tapers(fit: &Fit) -> Option<Note> {
    let taper = fit.thread.family.form().taper()?;
    let half = Angle::atan(taper.per_length * 0.5);
    let text = Text::from(format!("This thread tapers, 1 in {:.0} on the diameter. ", 1.0 / taper.per_length))
        .s("The tool and the passes here are for a parallel one, which would not seal and jams on its first turns. What would make it possible: a taper attachment set to ")
        .v(Value::Angle(half, 2))
        .s(", the tool square to the axis and not to the cone");
    let text = match fit.part {
        Element::Internal => text.s("; or a taper tap after a bored or reamed taper hole"),
        Element::External => text
            .s("; the work between centres with the tailstock set over by ")
            .v(Value::Number(taper.per_length * 0.5, 5))
            .s(" of its length; or a die"),
    };
    let text = text.s(
        ". A compound swung to the taper cannot carry the tool along: nothing drives it with the spindle.",
    );
    Some(Note::impossible(text).field("identity.thread"))
}

/// Where the edge is set, in words.
pub(crate) fn edge_height(job: &Job) -> Text {
    match job.grind.height.filter(|h| *h != Length::ZERO) {
        Some(h) if h > Length::ZERO => Text::new().len(h).s(" above centre"),
        Some(h) => Text::new().len(-h).s(" below centre"),
        None => Text::new().s("on centre"),
    }
}

/// Mass of the tip in front of the bar: its mean width, its length, and half the bar's height.
fn tip_mass_kg(tool: &Tool) -> f64 {
    let spread =
        0.5 * tool.tip_length.to_mm() * (tool.ground.groove.chuck.tan() + tool.ground.groove.tailstock.tan());
    let volume_mm3 =
        (tool.tip_width.aim.to_mm() + spread) * tool.tip_length.to_mm() * tool.shank.edge_height().to_mm();
    let material = if tool.carbide { BarMaterial::Carbide } else { BarMaterial::Hss };
    volume_mm3 * 1e-9 * bar::stuff(material).density
}

/// Below this the heel of a tip is too low to be a tip.
const LEAST_HEEL: Length = Length::mm(1.0);

fn needs(fit: &Fit, job: &Job) -> Vec<Need> {
    if fit.part == Element::Internal && job.bars.is_empty() {
        vec![Need {
            field: "bar".to_owned(),
            what:
                "bars on hand: without them the largest usual size in steel that passes the bore is assumed"
                    .to_owned(),
        }]
    } else {
        Vec::new()
    }
}

/// Whether a tip of this width in its face, which the person has ground or will, can cut the groove.
fn judge_tip(in_face: Length, permitted: &Size, ground: &Ground, fit: &Fit) -> Option<Note> {
    let width = ground.along_axis(in_face);
    let gauge = |l: Length| Value::Length(l, Fine::Shop);
    let note = if width > fit.groove_bottom_width + Length::um(0.5) {
        Note::impossible(
            Text::new()
                .s("A tip of ")
                .v(gauge(width))
                .s(" is wider than the bottom of the groove, ")
                .v(gauge(fit.groove_bottom_width))
                .s(": the thread would be cut too wide at any depth. Grind it to ")
                .v(gauge(permitted.aim))
                .s(" or less."),
        )
    } else if width > permitted.max {
        Note::warning(
            Text::new()
                .s("A tip of ")
                .v(gauge(width))
                .s(" cuts the aimed groove, but not the narrowest that is permitted, for which ")
                .v(gauge(permitted.max))
                .s(" is the limit: there is nothing left for a last cut to the side."),
        )
    } else if width < permitted.min {
        Note::warning(
            Text::new()
                .s("A tip of ")
                .v(gauge(width))
                .s(" is narrow for a groove bottom of ")
                .v(gauge(fit.groove_bottom_width))
                .s(": many passes to the side, and a weak corner."),
        )
    } else {
        return None;
    };
    Some(note.field("grind.tip_width"))
}

fn heel_note(bore: Length, front: Angle, height: Length, heel: Length) -> Note {
    let mut text = Text::new().s("At a front clearance of ").v(Value::Angle(front, 0));
    text = if heel > Length::ZERO {
        text.s(" the tip rubs in the bore from ").len(heel).s(" below its edge.")
    } else {
        text.s(" the tip rubs in the bore right below its edge.")
    };
    if let Some(enough) = grind::front_for_heel(bore, HEEL_FREE, height) {
        text = text.s(" With ").v(Value::Angle(enough, 0)).s(" it clears down to ").len(HEEL_FREE).s(".");
    }
    Note::warning(text).field("grind.front_clearance").source(say::HEEL)
}

impl Tool {
    /// The side that follows in the feed.
    pub fn follows(&self) -> Side {
        self.leads.other()
    }
    /// Whether a bar can carry it at all: one on hand, or one that can be had.
    pub fn carried(&self) -> bool {
        self.bar.is_some() || self.shank.size >= choose::SMALLEST_BAR
    }
    /// The field that makes its edge carbide.
    pub fn carbide_field(&self) -> &'static str {
        if self.given.carbide_tip { "grind.carbide_tip" } else { "bar" }
    }
    /// Cautions that belong to its grinding.
    pub fn cautions(&self) -> Vec<Note> {
        say::grinding_cautions(self.carbide)
    }
    /// Says itself.
    pub fn section(&self) -> Section {
        say::section(self)
    }
}
