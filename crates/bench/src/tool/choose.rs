//! Which bar carries the tool.

use super::bore::{self, Opening};
use super::{CLEARANCE, Tool, bar};
use crate::fit::Fit;
use crate::job::{Bar, BarMaterial, BarShape, Job};
use crate::report::{Note, Text, Value};
use flankwise_thread::{Element, Length, Source};

/// One bar looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct BarTrial {
    /// The bar.
    pub bar: Bar,
    /// Enters the bore with the tip retracted.
    pub enters: bool,
    /// Can be backed out of the groove and withdrawn.
    pub withdraws: bool,
    /// Reaches and can still be held.
    pub long_enough: bool,
    /// Room left when withdrawn; negative where it does not pass.
    pub room: Length,
    /// Stiffness at the tip, as it is held, N/mm.
    pub stiffness_n_per_mm: f64,
    /// Stick-out over its size; of a stepped or tapered bar, over that of the plain bar that is as stiff.
    pub slenderness: f64,
    /// Words where it fails or is doubtful.
    pub words: String,
}

impl BarTrial {
    /// Can be used.
    pub fn passes(&self) -> bool {
        self.enters && self.withdraws && self.long_enough
    }
}

/// Share of the bore that a bar may fill and leave chips room.
const CHIP_ROOM: f64 = 0.8;
/// Least length in the clamp, in diameters.
const CLAMP_DIAMETERS: f64 = 3.0;
/// Smallest round bar that is worth grinding.
pub(super) const SMALLEST_BAR: Length = Length::mm(3.0);
/// Diameters of stick-out beyond the usual from which only light cuts go. Chosen here.
const VERY_SLENDER: f64 = 2.0;

/// Judges the bars of the job, chooses one, and gives the bar that the stiffness is for.
pub(super) fn choose_bar(tool: &mut Tool, fit: &Fit, job: &Job, notes: &mut Vec<Note>) -> Bar {
    let opening = Opening {
        bore: fit.blank.min,
        bottom: fit.bottom.max,
        height: tool.stance.height,
        clearance: CLEARANCE,
    };
    let inside = fit.length + tool.past_the_end;
    let largest = bore::largest_round(&opening, tool.tip_length);
    tool.largest_bar = largest.unwrap_or(Length::ZERO);
    tool.bars = try_all(tool, &job.bars, inside, &opening, job.grind.depth);
    tool.bar = stiffest(&tool.bars);
    if let Some(i) = tool.bar {
        let chosen = tool.bars[i].bar.clone();
        tool.tip_length = match job.grind.depth {
            Some(depth) => depth - chosen.section_at(Length::ZERO).size,
            None => bore::tip_for(&chosen, inside, &opening, tool.tip_length).unwrap_or(tool.tip_length),
        };
        if chosen.section_at(inside).size > fit.blank.min * CHIP_ROOM {
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
    // A slender bar is worth buying in carbide, as far as there is such a bar; where nothing is said of bars, steel is
    // what lies in the drawer.
    let slender = !job.bars.is_empty()
        && size <= bar::LARGEST_CARBIDE
        && tool.stick_out / size > bar::stuff(BarMaterial::Steel).slender + 1.0;
    let material = if slender { BarMaterial::Carbide } else { BarMaterial::Steel };
    let to_get = Bar::plain(BarShape::Round, size, None, material);
    if let Some(note) = blame(tool, fit, job, inside, &opening) {
        notes.push(note);
    } else if !possible {
        notes.push(
            Note::impossible(
                Text::new()
                    .s("No bar can carry a tool through a bore of ")
                    .len(fit.blank.min)
                    .s(": tip and room take ")
                    .len(tool.tip_length + CLEARANCE * 2.0)
                    .s(", which leaves ")
                    .len(tool.largest_bar)
                    .s(" for the bar. Cut this thread with a tap, bought or made, or take another of the ways to make it; a larger bore, where a shallower thread is enough, makes room for a bar."),
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

/// The stiffest of those that go in, cut, come out and can be held.
fn stiffest(trials: &[BarTrial]) -> Option<usize> {
    let pass = trials.iter().enumerate().filter(|(_, t)| t.passes());
    pass.max_by(|a, b| a.1.stiffness_n_per_mm.total_cmp(&b.1.stiffness_n_per_mm)).map(|(i, _)| i)
}

fn try_all(
    tool: &Tool,
    bars: &[Bar],
    inside: Length,
    opening: &Opening,
    depth: Option<Length>,
) -> Vec<BarTrial> {
    bars.iter().map(|b| try_bar(b, tool, inside, opening, depth)).collect()
}

/// A number of the grind that alone keeps every bar out, and what would do instead; none where it is the bars.
fn blame(tool: &Tool, fit: &Fit, job: &Job, inside: Length, opening: &Opening) -> Option<Note> {
    if let Some(depth) = job.grind.depth {
        let free = try_all(tool, &job.bars, inside, opening, None);
        if let Some(i) = stiffest(&free) {
            let bar = &free[i].bar;
            let least = bore::tip_for(bar, inside, opening, tool.tip_length).unwrap_or(tool.tip_length)
                + bar.section_at(Length::ZERO).size;
            return Some(
                Note::impossible(
                    Text::from("With ")
                        .len(depth)
                        .s(" from the edge to the back no bar here goes in, cuts to depth and comes out. Leave that out, or for the bar of ")
                        .len(bar.size)
                        .s(" make it from ")
                        .len(least)
                        .s(" to ")
                        .len(least + free[i].room)
                        .s("."),
                )
                .field("grind.depth"),
            );
        }
    }
    if opening.height == Length::ZERO || job.bars.is_empty() && tool.largest_bar >= SMALLEST_BAR {
        return None;
    }
    let on_centre = Opening { height: Length::ZERO, ..*opening };
    let enough = if job.bars.is_empty() {
        bore::largest_round(&on_centre, tool.tip_length).filter(|d| *d >= SMALLEST_BAR)?
    } else {
        let free = try_all(tool, &job.bars, inside, &on_centre, job.grind.depth);
        free[stiffest(&free)?].bar.size
    };
    let side = if opening.height > Length::ZERO { "above" } else { "below" };
    Some(
        Note::impossible(
            Text::from("With the edge ")
                .len(opening.height.abs())
                .s(format!(" {side} centre no bar passes a bore of "))
                .len(fit.blank.min)
                .s(". On centre one of ")
                .len(enough)
                .s(" does."),
        )
        .field("grind.height"),
    )
}

fn too_short(bar: &Bar, stick_out: Length) -> bool {
    bar.length.is_some_and(|l| l < stick_out + bar.size)
}

fn try_bar(
    bar: &Bar,
    tool: &Tool,
    inside: Length,
    opening: &Opening,
    made_depth: Option<Length>,
) -> BarTrial {
    // A depth from edge to back fixes the tip of a tool that is made already.
    let tip = made_depth.map_or_else(
        || bore::tip_for(bar, inside, opening, tool.tip_length).unwrap_or(tool.tip_length),
        |depth| depth - bar.section_at(Length::ZERO).size,
    );
    let mut p = bore::passage_of(bar, tip, inside, opening);
    let slenderness = bar.slenderness(tool.stick_out);
    let mut words: Vec<&str> = Vec::new();
    if tip <= Length::ZERO {
        (p.enters, p.reaches) = (false, false);
        words.push("as thick as the depth given from edge to back, or thicker: no tip is left");
    } else if !p.enters {
        words.push("does not go into the bore");
    } else if p.room < Length::ZERO {
        words.push("goes in, but leaves no room to back out of the groove past chips and burrs");
    }
    if !p.reaches && tip > Length::ZERO {
        words.push("rubs in the bore before the tip is at the bottom of the groove");
    }
    let long_enough = !too_short(bar, tool.stick_out);
    if !long_enough {
        words.push("too short to reach and still be held");
    } else if bar.length.is_some_and(|l| l < tool.stick_out + bar.size * CLAMP_DIAMETERS) {
        words.push("less than three diameters left in the clamp");
    }
    let usual = bar::stuff(bar.material).slender;
    if slenderness > usual + VERY_SLENDER {
        words.push("very slender for threading: light cuts");
    } else if slenderness > usual {
        words.push("slender for threading");
    }
    BarTrial {
        bar: bar.clone(),
        enters: p.enters,
        withdraws: p.passes(),
        long_enough,
        room: p.room,
        stiffness_n_per_mm: bar::answer(bar, tool.stick_out, 0.0).stiffness_n_per_mm,
        slenderness,
        words: words.join("; "),
    }
}

pub(super) fn slender_notes(tool: &Tool, part: Element) -> Vec<Note> {
    let mut notes = Vec::new();
    let shank = &tool.shank;
    let ratio = shank.slenderness(tool.stick_out);
    let usual = bar::stuff(shank.material).slender;
    if part == Element::External || !tool.carried() || ratio <= usual {
        return notes;
    }
    notes.push(
        Note::warning(
            Text::new()
                .s("Stick-out is ")
                .v(Value::Number(ratio, 1))
                .s(if shank.front.is_empty() {
                    " times the bar; "
                } else {
                    " times the plain bar that is as stiff; "
                })
                .v(Value::Number(usual, 0))
                .s(" is usual for internal threads. Use the lowest speed, light cuts and a keen tip; a shorter stick-out or a thicker bar counts most (cube and fourth power). Whether it chatters is judged with the passes."),
        )
        .field("bar")
        .source(bar::SLENDER),
    );
    if tool.carbide && shank.material != BarMaterial::Carbide {
        notes.push(
            Note::warning("A carbide tip on a long steel bar chips when the bar springs or the lathe is stopped in the cut. High-speed steel stands it, and takes a keener edge.")
                .field(tool.carbide_field())
                .source(Source::practice("carbide needs a stiff set-up")),
        );
    }
    notes
}
