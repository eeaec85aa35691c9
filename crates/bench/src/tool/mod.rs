//! Tool: the grind, and the bar that carries it.
//!
//! - [`grind`]: angles, reliefs, tip width;
//! - [`bore`]: whether a bar goes in, reaches the bottom and comes out;
//! - [`bar`]: stiffness, deflection, frequency.
//!
//! An external thread has no bore to pass: the tool is then taken as a short [`STUB`], and `largest_bar` is its
//! size.

pub mod bar;
pub mod bore;
pub mod grind;

mod say;

use crate::fit::{Fit, Size};
use crate::job::{Bar, BarMaterial, BarShape, Job};
use crate::report::{Fine, Note, Outcome, Section, Text, Value};
use bore::{Opening, Shank};
use flankwise_thread::{Angle, Element, Length, Source};

/// One bar looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct BarTrial {
    /// The bar.
    pub bar: Bar,
    /// Enters the bore with the tip retracted.
    pub enters: bool,
    /// Can be backed out of the groove and withdrawn.
    pub withdraws: bool,
    /// Room left when withdrawn; negative where it does not pass.
    pub room: Length,
    /// Stiffness at the tip, N/mm.
    pub stiffness_n_per_mm: f64,
    /// Stick-out over diameter.
    pub slenderness: f64,
    /// Words where it fails or is doubtful.
    pub words: String,
}

/// The tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Included angle to grind in the rake face.
    pub included_angle: Angle,
    /// Angle of the leading flank to the plane square to the axis, as ground.
    pub flank_leading: Angle,
    /// Of the following flank.
    pub flank_trailing: Angle,
    /// Tip width to grind.
    pub tip_width: Size,
    /// Largest corner radius at the tip.
    pub corner_radius: Length,
    /// Relief under the leading flank, lead angle included.
    pub relief_leading: Angle,
    /// Relief under the following flank.
    pub relief_trailing: Angle,
    /// Front clearance needed.
    pub front_clearance: Angle,
    /// Height of tool below the edge that still clears the bore at that clearance.
    pub heel: Length,
    /// Back rake ground.
    pub rake: Angle,
    /// Lead angle at the diameter that governs.
    pub lead_angle: Angle,
    /// Length of tip beyond the bar: depth of thread and clearance; more for a square bar, whose corners would rub.
    pub tip_length: Length,
    /// Stick-out.
    pub stick_out: Length,
    /// Largest round bar that enters and withdraws.
    pub largest_bar: Length,
    /// Bars of the job, looked at.
    pub bars: Vec<BarTrial>,
    /// Index into `bars` of the one to use; none where the largest round bar is to be got.
    pub bar: Option<usize>,
    /// Stiffness at the tip of the bar used, N/mm.
    pub stiffness_n_per_mm: f64,
    /// Remaining figures and tables.
    pub detail: Vec<crate::report::Block>,
}

/// Room wanted between bar or tip and the bore, all round, for chips and a groove with burrs.
pub const CLEARANCE: Length = Length::mm(0.25);
/// By how much the tip stands out more than the groove is deep, so that the bar does not rub.
pub const TIP_OVER_DEPTH: Length = Length::mm(0.5);
/// Between tool holder and the work when the tool is all the way in.
pub const HOLDER_MARGIN: Length = Length::mm(5.0);
/// Share of the bore that a bar may fill and leave chips room.
const CHIP_ROOM: f64 = 0.8;
/// Least length in the clamp, in diameters.
const CLAMP_DIAMETERS: f64 = 3.0;
/// Smallest round bar that is worth grinding.
const SMALLEST_BAR: Length = Length::mm(3.0);
/// Overhang taken for an external tool.
pub const STUB_OVERHANG: Length = Length::mm(20.0);
/// The tool bit taken for an external thread.
pub const STUB: Bar =
    Bar { shape: BarShape::Square, size: Length::mm(10.0), length: None, material: BarMaterial::Hss };

/// Radius of an edge broken with a stone, where the standard has no root radius. Common practice, no source.
const BROKEN_EDGE: Length = Length::mm(0.1);
/// Below its edge a tip that clears the bore so far clears it with all that is usually ground. Chosen here.
const HEEL_FREE: Length = Length::mm(2.0);
/// Diameters of stick-out beyond the usual from which chatter is to be expected. Chosen here.
const VERY_SLENDER: f64 = 2.0;

/// Working clearance where the person gives none: the middle of 3 to 5°.
const CLEARANCE_ANGLE: Angle = Angle::deg(4.0);

/// Front clearance where the person gives none: internal 15°, external 10°.
const fn default_front(part: Element) -> Angle {
    match part {
        Element::Internal => Angle::deg(15.0),
        Element::External => Angle::deg(10.0),
    }
}

/// Stick-out needed: the thread, the relief groove or the run-out of two leads, and room for the holder.
fn stick_out_needed(fit: &Fit) -> Length {
    let beyond = fit.relief.unwrap_or(if fit.through { fit.thread.lead() * 2.0 } else { Length::ZERO });
    fit.length + beyond + HOLDER_MARGIN
}

/// Radial depth at the extremes: smallest bore to largest groove (or the reverse outside).
fn greatest_depth(fit: &Fit) -> Length {
    match fit.part {
        Element::Internal => (fit.bottom.max - fit.blank.min) * 0.5,
        Element::External => (fit.blank.max - fit.bottom.min) * 0.5,
    }
}

/// Designs the tool.
pub fn work(fit: &Fit, job: &Job) -> Outcome<Tool> {
    let basic = fit.thread.basic();
    let given = &job.grind;
    let mut notes = Vec::new();
    if fit.groove_bottom_width <= Length::ZERO || fit.depth <= Length::ZERO {
        // The fit says why; a tip of no width is no tool.
        return Outcome::missing("reading", "sizes that leave a groove to cut: see what the fit says");
    }

    let rake = given.rake.unwrap_or(Angle::ZERO);
    let height = given.height.unwrap_or(Length::ZERO);
    let small = match fit.part {
        Element::Internal => fit.blank.min,
        Element::External => fit.bottom.min,
    };
    let lead_angle = fit.thread.lead_angle(small);

    let along = grind::length_along_face(fit.bottom.aim, fit.blank.aim, rake, height, fit.part);
    if along.is_none() {
        notes.push(
            Note::impossible(
                Text::new()
                    .s("With the edge ")
                    .len(height.abs())
                    .s(" off centre and this rake, the face does not cross the thread. Set the edge on centre, or grind less rake."),
            )
            .field("grind.height"),
        );
    }
    let along = along.unwrap_or(fit.depth);
    let flank_leading = grind::ground_half_angle(basic.flank_leading, fit.depth, along);
    let flank_trailing = grind::ground_half_angle(basic.flank_trailing, fit.depth, along);
    let mean_tan = 0.5 * (basic.flank_leading.tan() + basic.flank_trailing.tan());

    let mut tip_width = grind::tip_width(fit, mean_tan);
    if let Some(width) = given.tip_width {
        notes.extend(judge_tip(width, &tip_width, fit));
        tip_width.aim = width;
    }
    let half = Angle::rad(0.5 * (flank_leading + flank_trailing).to_rad());
    let corner_radius = corner_radius(fit, &basic, tip_width.aim, half);

    let clearance = given.clearance.unwrap_or(CLEARANCE_ANGLE);
    let reliefs = grind::reliefs(lead_angle, clearance);
    if reliefs.floored {
        notes.push(
            Note::remark(
                Text::new()
                    .s("The lead angle, ")
                    .v(Value::Angle(lead_angle, 1))
                    .s(", takes up the clearance under the following flank: clearance less lead angle leaves ")
                    .v(Value::Angle(clearance - lead_angle, 1))
                    .s(". Grind that side at ")
                    .v(Value::Angle(grind::LEAST_RELIEF, 0))
                    .s("; the helix clears it. Its edge cuts with as much negative rake, so take light cuts."),
            )
            .field("grind.clearance")
            .source(Source::derived("relief of the following flank = clearance − lead angle")),
        );
    }

    let front_clearance = given.front_clearance.unwrap_or(default_front(fit.part));
    let heel = match fit.part {
        Element::Internal => grind::heel(fit.blank.min, front_clearance, height),
        Element::External => Length::ZERO,
    };
    if fit.part == Element::Internal && heel < LEAST_HEEL {
        notes.push(heel_note(fit.blank.min, front_clearance, height, heel));
    }

    let tip_length = greatest_depth(fit) + TIP_OVER_DEPTH;
    let needed = stick_out_needed(fit);
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
                    .s(" does not reach the end of the thread: at least ")
                    .len(to_reach)
                    .s(" and room for the holder are needed, ")
                    .len(needed)
                    .s(" in all."),
            )
            .field("grind.stick_out"),
        );
    }

    let mut tool = Tool {
        included_angle: flank_leading + flank_trailing,
        flank_leading,
        flank_trailing,
        tip_width,
        corner_radius,
        relief_leading: reliefs.leading,
        relief_trailing: reliefs.trailing,
        front_clearance,
        heel,
        rake,
        lead_angle,
        tip_length,
        stick_out,
        largest_bar: STUB.size,
        bars: Vec::new(),
        bar: None,
        stiffness_n_per_mm: bar::bar_stiffness(&STUB, stick_out),
        detail: Vec::new(),
    };
    let shank = match fit.part {
        Element::Internal => choose_bar(&mut tool, fit, job, height, &mut notes),
        Element::External => STUB,
    };
    tool.stiffness_n_per_mm = bar::bar_stiffness(&shank, stick_out);
    notes.extend(slender_notes(&shank, stick_out, given.carbide_tip, fit.part));
    notes.extend(say::grinding_cautions(given.carbide_tip));
    tool.detail = say::detail(&tool, fit, &basic, &shank, height, clearance);
    Outcome { result: Some(tool), needs: needs(fit, job), notes }
}

/// Below this the heel of a tip is too low to be a tip.
const LEAST_HEEL: Length = Length::mm(1.0);

fn needs(fit: &Fit, job: &Job) -> Vec<crate::report::Need> {
    if fit.part == Element::Internal && job.bars.is_empty() {
        vec![crate::report::Need {
            field: "bar".to_owned(),
            what: "bars on hand: without them the largest usual size that passes the bore is assumed"
                .to_owned(),
        }]
    } else {
        Vec::new()
    }
}

/// Whether a tip of this width, which the person has ground or will, can cut the groove.
fn judge_tip(width: Length, permitted: &Size, fit: &Fit) -> Option<Note> {
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

/// Largest corner radius: what the standard allows at the root, and no more than the tip can carry. Where the
/// standard has none, a broken edge.
fn corner_radius(fit: &Fit, basic: &flankwise_thread::profile::Basic, tip: Length, half: Angle) -> Length {
    let standard = match fit.part {
        Element::Internal => basic.root_radius_internal,
        Element::External => basic.root_radius,
    };
    let allowed = if standard > Length::ZERO { standard } else { BROKEN_EDGE };
    allowed.min(grind::full_radius(tip, half))
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

/// Judges the bars of the job, chooses one, and gives the bar that the stiffness is for.
fn choose_bar(tool: &mut Tool, fit: &Fit, job: &Job, height: Length, notes: &mut Vec<Note>) -> Bar {
    let opening = Opening { bore: fit.blank.min, bottom: fit.bottom.max, height, clearance: CLEARANCE };
    let largest = bore::largest_round(&opening, tool.tip_length);
    tool.largest_bar = largest.unwrap_or(Length::ZERO);
    tool.bars = job.bars.iter().map(|b| try_bar(b, tool, &opening, job.grind.depth)).collect();
    tool.bar = tool
        .bars
        .iter()
        .enumerate()
        .filter(|(_, t)| t.enters && t.withdraws && !too_short(&t.bar, tool.stick_out))
        .max_by(|a, b| a.1.stiffness_n_per_mm.total_cmp(&b.1.stiffness_n_per_mm))
        .map(|(i, _)| i);
    if let Some(i) = tool.bar {
        let chosen = tool.bars[i].bar.clone();
        tool.tip_length = match job.grind.depth {
            Some(depth) => depth - chosen.size,
            None => {
                bore::tip_for(chosen.shape, chosen.size, &opening, tool.tip_length).unwrap_or(tool.tip_length)
            }
        };
        if chosen.size > fit.blank.min * CHIP_ROOM {
            notes.push(
                Note::remark(
                    "The bar fills more than 0.8 of the bore: chips pack. Stop and clear them every pass.",
                )
                .source(Source::practice("bar up to 0.7 to 0.8 of the bore")),
            );
        }
        return chosen;
    }
    let stock = largest.filter(|d| *d >= SMALLEST_BAR).and_then(|d| bar::stock_size(d, job.unit));
    let (size, possible) = match stock {
        Some(size) => (size, true),
        None => (tool.largest_bar.max(Length::mm(1.0)), false),
    };
    // A slender bar is worth buying in carbide, as far as there is such a bar.
    let slender =
        size <= bar::LARGEST_CARBIDE && tool.stick_out / size > bar::stuff(BarMaterial::Steel).slender + 1.0;
    let material = if slender { BarMaterial::Carbide } else { BarMaterial::Steel };
    let to_get = Bar { shape: BarShape::Round, size, length: None, material };
    if !possible {
        notes.push(
            Note::impossible(
                Text::new()
                    .s("No bar can carry a tool through a bore of ")
                    .len(fit.blank.min)
                    .s(": tip and room take ")
                    .len(tool.tip_length + CLEARANCE * 2.0)
                    .s(", which leaves ")
                    .len(tool.largest_bar)
                    .s(" for the bar. Cut this thread with a tap, bought or made."),
            )
            .field("bar"),
        );
    } else if !job.bars.is_empty() {
        notes.push(
            Note::impossible(
                Text::new()
                    .s("None of the bars passes a bore of ")
                    .len(fit.blank.min)
                    .s(" and reaches ")
                    .len(tool.stick_out)
                    .s(". Get a round bar of ")
                    .len(size)
                    .s(match material {
                        BarMaterial::Carbide => " in carbide",
                        _ => " in steel",
                    })
                    .s(", at least ")
                    .len(tool.stick_out + size * CLAMP_DIAMETERS)
                    .s(" long; the largest that passes is ")
                    .len(tool.largest_bar)
                    .s("."),
            )
            .field("bar"),
        );
    }
    to_get
}

fn too_short(bar: &Bar, stick_out: Length) -> bool {
    bar.length.is_some_and(|l| l < stick_out + bar.size)
}

fn try_bar(bar: &Bar, tool: &Tool, opening: &Opening, made_depth: Option<Length>) -> BarTrial {
    // A depth from edge to back fixes the tip of a tool that is made already.
    let tip = made_depth.map_or_else(
        || bore::tip_for(bar.shape, bar.size, opening, tool.tip_length).unwrap_or(tool.tip_length),
        |depth| depth - bar.size,
    );
    let p = bore::passage(&Shank { shape: bar.shape, size: bar.size, tip }, opening);
    let slenderness = tool.stick_out / bar.size;
    let mut words: Vec<&str> = Vec::new();
    if !p.enters {
        words.push("does not go into the bore");
    } else if p.room < Length::ZERO {
        words.push("goes in, but leaves no room to back out of the groove past chips and burrs");
    }
    if !p.reaches {
        words.push("rubs in the bore before the tip is at the bottom of the groove");
    }
    if too_short(bar, tool.stick_out) {
        words.push("too short to reach and still be held");
    } else if bar.length.is_some_and(|l| l < tool.stick_out + bar.size * CLAMP_DIAMETERS) {
        words.push("less than three diameters left in the clamp");
    }
    let usual = bar::stuff(bar.material).slender;
    if slenderness > usual + VERY_SLENDER {
        words.push("very slender for threading: light cuts, expect chatter");
    } else if slenderness > usual {
        words.push("slender for threading: may chatter");
    }
    BarTrial {
        bar: bar.clone(),
        enters: p.enters,
        withdraws: p.passes(),
        room: p.room,
        stiffness_n_per_mm: bar::bar_stiffness(bar, tool.stick_out),
        slenderness,
        words: words.join("; "),
    }
}

fn slender_notes(shank: &Bar, stick_out: Length, carbide_tip: bool, part: Element) -> Vec<Note> {
    let mut notes = Vec::new();
    let ratio = stick_out / shank.size;
    let usual = bar::stuff(shank.material).slender;
    if part == Element::Internal && ratio > usual {
        notes.push(
            Note::warning(
                Text::new()
                    .s("Stick-out is ")
                    .v(Value::Number(ratio, 1))
                    .s(" times the bar; ")
                    .v(Value::Number(usual, 0))
                    .s(" is usual for internal threads. Use the lowest speed, light cuts and a keen tip; a shorter stick-out or a thicker bar counts most (cube and fourth power)."),
            )
            .field("bar")
            .source(bar::SLENDER),
        );
    }
    if carbide_tip && shank.material != BarMaterial::Carbide && ratio > usual {
        notes.push(
            Note::warning("A carbide tip on a long steel bar chips when the bar springs or the lathe is stopped in the cut. High-speed steel stands it, and takes a keener edge.")
                .field("grind.carbide_tip")
                .source(Source::practice("carbide needs a stiff set-up")),
        );
    }
    notes
}

impl Tool {
    /// Says itself.
    pub fn section(&self) -> Section {
        say::section(self)
    }
}
