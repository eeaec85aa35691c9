//! Drawings of a job, each a function of stage results. Every size is drawn at its scale; numbers are written by
//! [`show`], in the reader's unit.

mod bar;
mod end;
mod gears;
mod overlay;
mod part;
mod play;
mod profile;
mod section;
mod stability;
mod template;
mod tool;
mod ways;

pub use bar::bar_in_bore;
pub use end::part_end;
pub use gears::gear_train;
pub use overlay::{candidates_overlay, two_threads};
pub use part::part;
pub use play::play;
pub(crate) use play::play_low;
pub use section::{basic_section, thread_section};
pub use stability::stability;
pub use template::template;
pub use tool::tool_grind;
pub use ways::ways;

use crate::drawing::Drawing;
use flankwise_bench::Whole;
use flankwise_bench::fit::Size;
use flankwise_bench::job::{Hole, HoleKind, Job};
use flankwise_bench::report::{Fine, show};
use flankwise_thread::{Length, Unit};

/// Width that all drawings keep to, mm: a sheet's text width.
pub const WIDTH: f64 = 180.0;

/// Width of a drawing for a screen as narrow as a hand, mm: its text is then as large there as text of the page.
pub const NARROW: f64 = 100.0;

/// Every drawing that the job's results allow, in the order of work. Keys are stable: `thread-section`,
/// `candidates`, `play`, `part`, `part-end`, `ways`, `tool-grind`, `bar-in-bore`, `template`, `gear-train`, `stability`.
pub fn all(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut drawings = Vec::new();
    if let Some(fit) = &whole.fit.result {
        drawings.extend(thread_section(fit, whole.evidence.result.as_ref(), unit));
    }
    let evidence = whole.evidence.result.as_ref();
    drawings
        .extend(whole.identity.result.as_ref().and_then(|i| candidates_overlay(i, evidence, unit, WIDTH)));
    if let Some(fit) = &whole.fit.result {
        drawings.extend(play(fit, unit));
        drawings.extend(part(job, fit, unit));
        drawings.extend(whole.route.result.as_ref().and_then(|r| ways(r, unit, WIDTH)));
        drawings.extend(part_end(job, fit, unit));
        if let Some(tool) = &whole.tool.result {
            drawings.push(tool_grind(tool, fit, unit));
            drawings.extend(bar_in_bore(tool, fit, unit));
            drawings.push(template(tool, unit));
        }
    }
    if let Some(setup) = &whole.setup.result {
        drawings.extend(gear_train(setup, job, unit, WIDTH));
    }
    drawings.extend(whole.cut.result.as_ref().and_then(|cut| stability(cut, unit, WIDTH)));
    drawings
}

/// A length's number at shop fineness, without its unit: drawings name the unit once.
fn shop(length: Length, unit: Unit) -> String {
    show::length_number(length, Fine::Shop, unit)
}

/// `mm` or `inches`, for captions: "in in" reads as a slip.
fn unit_word(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "inches",
    }
}

/// `sizes in mm`.
fn sizes_in(unit: Unit) -> String {
    format!("sizes in {}", unit_word(unit))
}

/// `36.00 (35.984 to 36.000)`: aim and limits.
fn limits(size: Size, unit: Unit) -> String {
    let n = |l| show::length_number(l, Fine::Gauge, unit);
    if size.min == size.max {
        return n(size.aim);
    }
    format!("{} to {}", n(size.min), n(size.max))
}

/// A hole in words: `spot Ø6.0, 3.0 deep, 26.0 from front`.
fn hole_words(hole: &Hole, unit: Unit) -> String {
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);
    let size =
        hole.thread.as_ref().map_or_else(|| format!("Ø{}", coarse(hole.diameter)), ToString::to_string);
    let depth = hole.depth.map_or_else(|| "through".to_owned(), |t| format!("{} deep", coarse(t)));
    match hole.kind {
        HoleKind::Spot => format!("spot {size}, {depth}, {} from front", coarse(hole.from_end)),
        HoleKind::Cross => format!("cross hole {size}, {} from front", coarse(hole.from_end)),
        HoleKind::Flange => format!("{} × {size} on Ø{}", hole.count, coarse(hole.from_end)),
    }
}
