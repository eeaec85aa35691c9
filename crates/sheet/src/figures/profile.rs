//! Outlines of the part and of its mate, at the sizes of a fit, put on paper.

use crate::drawing::{P, Seg, View};
use flankwise_bench::evidence::Evidence;
use flankwise_bench::fit::Fit;
use flankwise_bench::job::{Feature, Quantity};
use flankwise_thread::profile::{Basic, Outline, Segment};
use flankwise_thread::{Element, Length};

/// Sizes of the part at its aims.
pub fn of_part(fit: &Fit) -> Basic {
    let basic = fit.thread.basic();
    match fit.part {
        Element::Internal => Basic {
            d2: fit.pitch_diameter.aim,
            d1_internal: fit.blank.aim,
            d4_internal: fit.bottom.aim,
            root_width_internal: fit.groove_bottom_width,
            ..basic
        },
        Element::External => Basic {
            d2: fit.pitch_diameter.aim,
            d: fit.blank.aim,
            d3: fit.bottom.aim,
            root_width: fit.groove_bottom_width,
            ..basic
        },
    }
}

/// Sizes of the mate where it fits tightest; what was not measured is basic.
pub fn of_mate(fit: &Fit, evidence: Option<&Evidence>) -> (Basic, Element) {
    let basic = fit.thread.basic();
    let mate = if fit.part == Element::Internal { Element::External } else { Element::Internal };
    let d2 = fit.thickest().map_or(basic.d2, |s| s.mate_pitch_diameter);
    // A ridge that wore thinner at the basic pitch line left a groove wider by as much, all the way down.
    let wider = fit.thickest().map_or(Length::ZERO, |s| basic.p * 0.5 - s.thickness);
    let basic = match mate {
        Element::External => Basic {
            d2,
            d: measured(evidence, mate, Feature::MajorDiameter).unwrap_or(basic.d),
            root_width: (basic.root_width + wider).max(Length::ZERO),
            ..basic
        },
        Element::Internal => Basic {
            d2,
            d1_internal: measured(evidence, mate, Feature::MinorDiameter).unwrap_or(basic.d1_internal),
            root_width_internal: (basic.root_width_internal + wider).max(Length::ZERO),
            ..basic
        },
    };
    (basic, mate)
}

/// The reading that wear touched least: the largest of a screw's outside, the smallest of a nut's bore.
fn measured(evidence: Option<&Evidence>, part: Element, feature: Feature) -> Option<Length> {
    let lengths =
        evidence?.readings.iter().filter(|r| r.part == part && r.feature == feature).filter_map(|r| match r
            .value
        {
            Quantity::Length(l, _) => Some(l),
            Quantity::Angle(_) => None,
        });
    let pick = if part == Element::External { Length::max } else { Length::min };
    lengths.reduce(pick)
}

/// `count` pitches of an outline from `z` on (object mm), as a path on paper.
pub fn run(outline: &Outline, pitch: f64, z: f64, count: usize, view: &View) -> (P, Vec<Seg>) {
    let mut segs = Vec::with_capacity(outline.segments.len() * count);
    for i in 0..count {
        let z = z + pitch * i as f64;
        segs.extend(outline.segments.iter().map(|s| match *s {
            Segment::Line { to } => Seg::To(view.at(z + to.z, to.r)),
            Segment::Arc { to, centre, ccw } => Seg::Arc {
                centre: view.at(z + centre.z, centre.r),
                to: view.at(z + to.z, to.r),
                clockwise: !ccw,
            },
        }));
    }
    (view.at(z + outline.start.z, outline.start.r), segs)
}
