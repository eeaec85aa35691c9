//! A plug for a nut, or a ring for a screw, to make in the shop.
//!
//! The order of gauge practice (ISO 1502, ASME B1.2: a full-form gauge at the greatest material that must go, a
//! short-flanked one at the least material that must not) with margins for a one-off: what the gauge is made wrong by
//! comes off the part's tolerance, never on it, so that no bad part passes.

use super::plan;
use super::say::WIRE_SOURCE;
use crate::cut::seat::{self, Section};
use crate::fit::{self, Fit};
use crate::job::Job;
use crate::report::{Block, Figure, Fine, Value};
use flankwise_thread::wires::{self, Groove, NoContact};
use flankwise_thread::{Element, Length, Source};

/// Share of the part's tolerance that each gauge may be made within.
const MARGIN: f64 = 0.1;
const MARGIN_SOURCE: Source =
    Source::practice("gauge makers' tenth: a gauge within a tenth of the part's tolerance");
const LOGIC: Source = Source::memory(
    "ISO 1502, ASME B1.2",
    "goes: full form at the greatest material; goes not: short flanks at the least material",
);

/// Pitch diameters that the two gauges may be made to, lower first.
pub(super) struct Sizes {
    pub goes: (Length, Length),
    pub goes_not: (Length, Length),
}

/// The sizes of a plug for a nut, a ring for a screw.
pub(super) fn sizes(fit: &Fit) -> Sizes {
    let d = fit.pitch_diameter;
    let margin = (d.max - d.min) * MARGIN;
    let (low, high) = ((d.min, d.min + margin), (d.max - margin, d.max));
    match fit.part {
        Element::Internal => Sizes { goes: low, goes_not: high },
        Element::External => Sizes { goes: high, goes_not: low },
    }
}

/// How a gauge's pitch diameter is measured while it is made: a plug over wires, a ring between balls.
fn over(fit: &Fit, g: &Groove, d: Length, wire: Length) -> Result<Length, NoContact> {
    match fit.part {
        Element::Internal => wires::over_wires(g, d, wire),
        Element::External => wires::between_balls(g, d, wire),
    }
}

/// The wire or ball on hand that serves, nearest to the best; the best where none does.
fn wire(fit: &Fit, job: &Job, g: &Groove) -> Length {
    let d2 = fit.pitch_diameter.aim;
    let best = wires::best_wire(g, d2);
    // Pins of known diameter serve as wires.
    let stock: Vec<Length> = match fit.part {
        Element::Internal => job.gauges.wires.iter().chain(&job.gauges.pins).copied().collect(),
        Element::External => job.gauges.balls.clone(),
    };
    // The gauge is the other part: its crest stands at the bottom of this one, and its own bottom at this one's surface.
    let (crest, core) = match fit.part {
        Element::Internal => (fit.bottom.min, fit.blank.min),
        Element::External => (fit.bottom.max, fit.blank.max),
    };
    let gauge = Section { surface: (crest, crest), bottom: (core, core), pitch_diameter: d2 };
    let serves = |w: &Length| seat::unfit(&fit.thread, fit::other(fit.part), &gauge, *w).is_none();
    plan::nearest(stock.iter().copied().filter(serves), best).unwrap_or(best)
}

/// Whether the pitch diameter has a tolerance at all, to put the two gauges at either end of.
pub(super) fn has_tolerance(fit: &Fit) -> bool {
    fit.pitch_diameter.max - fit.pitch_diameter.min > Length::um(1.0)
}

/// Figures of both gauges; none where there is no tolerance between them.
pub(super) fn block(fit: &Fit, job: &Job) -> Option<Block> {
    if !has_tolerance(fit) {
        return None;
    }
    let g = plan::groove(fit);
    let inside = fit.part == Element::Internal;
    let word = if inside { "plug" } else { "ring" };
    let symbol = if inside { "d2" } else { "D2" };
    let (measured, measured_symbol) = if inside { ("over wires", "M") } else { ("between balls", "") };
    let gauge = |(lo, hi)| Value::Band(lo, hi, Fine::Gauge);
    let wire = wire(fit, job, &g);
    let Sizes { goes, goes_not } = sizes(fit);
    let mut list = Vec::new();
    for (keys, must, band) in [
        (["gauge_goes", "gauge_goes_over"], "must go", goes),
        (["gauge_goes_not", "gauge_goes_not_over"], "must not go", goes_not),
    ] {
        list.push(
            Figure::new(
                keys[0],
                format!("pitch diameter of the {word} that {must}"),
                gauge(band),
                MARGIN_SOURCE,
            )
            .symbol(symbol)
            .formula("a tenth of the part's tolerance, from its limit inwards"),
        );
        if let (Ok(lo), Ok(hi)) = (over(fit, &g, band.0, wire), over(fit, &g, band.1, wire)) {
            list.push(
                Figure::new(keys[1], format!("the same {measured}"), gauge((lo, hi)), WIRE_SOURCE)
                    .symbol(measured_symbol)
                    .formula("exact, with the wire or ball below"),
            );
        }
    }
    let length = |l| Value::Length(l, Fine::Gauge);
    list.push(Figure::new("gauge_wire", "wire or ball for both", length(wire), WIRE_SOURCE).symbol("w"));
    let (out, core) = if inside {
        (("largest outside diameter", fit.bottom.min), ("largest core diameter", fit.blank.min))
    } else {
        (("smallest bottom diameter", fit.blank.max), ("smallest bore", fit.bottom.max))
    };
    list.push(Figure::new(
        "gauge_outside",
        format!("{} of the {word} that must go", out.0),
        length(out.1),
        Source::derived("clears the part's thread"),
    ));
    list.push(Figure::new(
        "gauge_core",
        format!("{} of both", core.0),
        length(core.1),
        Source::derived("clears the part's blank"),
    ));
    // Only the flanks about the pitch line shall touch.
    let short = g.pitch * 0.25;
    let crest = if inside { fit.pitch_diameter.aim + short } else { fit.pitch_diameter.aim - short };
    list.push(
        Figure::new(
            "gauge_short",
            format!("{} of the {word} that must not go", if inside { "outside diameter" } else { "bore" }),
            Value::Length(crest, Fine::Shop),
            LOGIC,
        )
        .formula("pitch diameter ± P/4: short flanks, so that it feels the flanks only"),
    );
    let title = if inside {
        "A plug to make, where no balls are at hand: three turns long, turned in the same setting of the gears; stop the wear at the lower limit of the one that must go"
    } else {
        "A ring to make, for a nut that is not there yet: as long as the nut, cut in the same setting of the gears; stop the wear at the upper limit of the one that must go"
    };
    Some(Block::Figures(title.into(), list))
}
