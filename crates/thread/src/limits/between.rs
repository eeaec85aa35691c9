//! Figures that follow from the limits themselves: what screw and nut leave between them, and the flats of each.

use super::{Element, ElementLimits, Extra, ExtraKind, Limits, Range, Rounding};
use crate::profile::Basic;
use crate::source::Standing;
use crate::{Length, Source, Thread};

/// What the limits of screw and nut leave between them: crest clearances, depth of engagement, pitch clearance and axial
/// play, each from its least (both at most metal) to its largest. Empty where the limits are of one element only, and for
/// tapered threads, which are screwed up until nothing is left.
///
/// All follow by arithmetic, unrounded, from the limits; a side whose limits are open is open.
///
/// - Crest clearance: half the difference of the diameters of a crest and its mate's root.
/// - Engagement: half of what the screw's major diameter has over the nut's minor diameter, less what the radii of the
///   crests, as the form has them, take off the flanks.
/// - Pitch clearance: the nut's pitch diameter less the screw's (effective clearance).
/// - Axial play: pitch clearance × (tan α + tan β) / 2 for flanks of α and β, from one pair of flanks to the other. Square
///   threads have none by their pitch diameters.
pub fn between(thread: &Thread, limits: &Limits) -> Vec<Extra> {
    let (Some(screw), Some(nut)) = (&limits.external, &limits.internal) else { return Vec::new() };
    if thread.family.form().taper().is_some() {
        return Vec::new();
    }
    let basic = thread.basic();
    let slope = half_slopes(&basic);
    let pitch = gap(&nut.pitch, &screw.pitch);
    let extra = |element, what, range| Extra { element, what, range };
    let mut extras = vec![
        extra(
            Some(Element::External),
            ExtraKind::CrestClearance,
            scaled(gap(&nut.major, &screw.major), 0.5, CREST),
        ),
        extra(
            Some(Element::Internal),
            ExtraKind::CrestClearance,
            scaled(gap(&nut.minor, &screw.minor), 0.5, CREST),
        ),
        extra(None, ExtraKind::Engagement, engagement(&basic, screw, nut)),
        extra(None, ExtraKind::PitchClearance, scaled(pitch, 1.0, PITCH)),
    ];
    if slope > 1e-9 {
        extras.push(extra(None, ExtraKind::AxialPlay, scaled(pitch, slope, PLAY)));
    }
    extras
}

const CREST: &str = "half the difference of the diameters of crest and root, from their limits";
const ENGAGEMENT: &str =
    "half of what the screw's major diameter has over the nut's minor diameter, less the radii of the crests";
const PITCH: &str = "pitch diameter of the nut less that of the screw, from their limits";
const PLAY: &str = "pitch clearance times the mean of the tangents of the flank angles";
const FLAT: &str =
    "half a pitch, narrowed along the flanks from the pitch diameter to crest or root, over their limits";

/// (tan α + tan β) / 2.
fn half_slopes(basic: &Basic) -> f64 {
    0.5 * (basic.flank_leading.tan() + basic.flank_trailing.tan())
}

/// What follows by arithmetic is no better than what it follows from.
fn origin(how: &'static str, from: [Source; 2]) -> Source {
    let recalled = from.iter().any(|source| source.standing == Standing::Memory);
    let standing = if recalled { Standing::Memory } else { Standing::Derived };
    Source { standing, ..Source::derived(how) }
}

/// Largest and least difference of two diameters, with where they come from.
type Gap = (Option<Length>, Option<Length>, [Source; 2]);

fn gap(outer: &Range, inner: &Range) -> Gap {
    let less = |a: Option<Length>, b: Option<Length>| Some(a? - b?);
    (less(outer.max, inner.min), less(outer.min, inner.max), [outer.source, inner.source])
}

fn scaled((max, min, from): Gap, by: f64, how: &'static str) -> Range {
    let by = |length: Option<Length>| length.map(|length| length * by);
    Range { max: by(max), min: by(min), source: origin(how, from), rounding: Rounding::Exact }
}

fn engagement(basic: &Basic, screw: &ElementLimits, nut: &ElementLimits) -> Range {
    // An arc that touches crest and flank meets the flank this far below the crest, per unit of its radius. The steeper of
    // two flanks keeps less.
    let steeper = basic.flank_leading.min(basic.flank_trailing);
    let rounded = (basic.crest_radius + basic.crest_radius_internal) * (1.0 - steeper.sin());
    let range = scaled(gap(&screw.major, &nut.minor), 0.5, ENGAGEMENT);
    let less = |depth: Option<Length>| depth.map(|depth| (depth - rounded).max(Length::ZERO));
    Range { max: less(range.max), min: less(range.min), ..range }
}

/// Widths of the flats at crest and root of an element, before their corners are rounded, over its limits.
pub(super) fn flats(thread: &Thread, of: &ElementLimits) -> [Extra; 2] {
    let basic = thread.basic();
    let slope = half_slopes(&basic);
    let (crest, root) = match of.element {
        Element::External => (gap(&of.major, &of.pitch), gap(&of.pitch, &of.minor)),
        Element::Internal => (gap(&of.pitch, &of.minor), gap(&of.major, &of.pitch)),
    };
    let flat = |(deepest, shallowest, from): Gap| {
        let width = |height: Option<Length>| height.map(|h| (basic.p * 0.5 - h * slope).max(Length::ZERO));
        Range {
            max: width(shallowest),
            min: width(deepest),
            source: origin(FLAT, from),
            rounding: Rounding::Exact,
        }
    };
    [(ExtraKind::CrestFlat, crest), (ExtraKind::RootFlat, root)].map(|(what, height)| Extra {
        element: Some(of.element),
        what,
        range: flat(height),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::limits;

    fn extra(designation: &str, element: Option<Element>, what: ExtraKind) -> Option<Range> {
        let thread: Thread = designation.parse().expect("a designation");
        let extras = limits(&thread).expect("limits").extras;
        extras
            .into_iter()
            .find(|extra| (extra.element, extra.what) == (element, what))
            .map(|extra| extra.range)
    }

    fn near(range: Option<Range>, max: Option<f64>, min: Option<f64>) {
        let range = range.expect("the figure");
        let close = |ours: Option<Length>, mm: Option<f64>| match (ours, mm) {
            (Some(ours), Some(mm)) => (ours.to_mm() - mm).abs() < 1e-9,
            (ours, mm) => ours.is_none() && mm.is_none(),
        };
        assert!(close(range.max, max) && close(range.min, min), "{range:?}");
    }

    /// By hand from the limits of Tr 22x5: screw 7e 22/21.665, 19.394/19.114, 16.5/16.044; nut 7H 22.5, 19.875/19.5,
    /// 17.45/17.
    #[test]
    fn trapezoidal_by_hand() {
        let (screw, nut) = (Some(Element::External), Some(Element::Internal));
        near(extra("Tr 22x5", screw, ExtraKind::CrestClearance), None, Some(0.25));
        near(extra("Tr 22x5", nut, ExtraKind::CrestClearance), Some(0.703), Some(0.25));
        near(extra("Tr 22x5", None, ExtraKind::Engagement), Some(2.5), Some(2.1075));
        near(extra("Tr 22x5", None, ExtraKind::PitchClearance), Some(0.761), Some(0.106));
        let tan = 15.0_f64.to_radians().tan();
        near(extra("Tr 22x5", None, ExtraKind::AxialPlay), Some(0.761 * tan), Some(0.106 * tan));
        near(
            extra("Tr 22x5", screw, ExtraKind::CrestFlat),
            Some(2.5 - (21.665 - 19.394) * tan),
            Some(2.5 - (22.0 - 19.114) * tan),
        );
        near(
            extra("Tr 22x5", screw, ExtraKind::RootFlat),
            Some(2.5 - (19.114 - 16.5) * tan),
            Some(2.5 - (19.394 - 16.044) * tan),
        );
    }

    /// IS 4696-1:2004, foreword: for an axial play a the pitch diameter of the buttress nut is 3.17582 a over that of the
    /// screw.
    #[test]
    fn buttress_play_is_the_printed_one() {
        let clearance = extra("S 40x7", None, ExtraKind::PitchClearance).and_then(|range| range.min);
        let play = extra("S 40x7", None, ExtraKind::AxialPlay).and_then(|range| range.min);
        let (clearance, play) = (clearance.expect("a figure"), play.expect("a figure"));
        assert!((clearance / play - 3.17582).abs() < 5e-6, "{clearance:?} {play:?}");
    }

    /// Whitworth: of the depth 0.640327 P the two crests of radius 0.137329 P take 0.0739 P each, so that the straight
    /// flanks are 0.4925 P deep.
    #[test]
    fn rounded_crests_take_their_part_of_the_engagement() {
        let thread: Thread = "1-8 BSW".parse().expect("a designation");
        let (basic, p) = (thread.basic(), thread.pitch.length);
        let limits = limits(&thread).expect("limits");
        let (screw, nut) = (limits.external.expect("a screw"), limits.internal.expect("a nut"));
        let over = (screw.major.max.expect("a limit") - nut.minor.min.expect("a limit")) * 0.5;
        let rounded = p * (2.0 * 0.137329 * (1.0 - 27.5_f64.to_radians().sin()));
        let ours = engagement(&basic, &screw, &nut).max.expect("a figure");
        assert!((ours - (over - rounded)).abs() < p * 1e-5);
    }

    #[test]
    fn one_element_alone_and_tapers_leave_nothing_between() {
        for text in ["Tr 22x5-7e", "R 3/4", "Sq 22x5"] {
            assert!(extra(text, None, ExtraKind::AxialPlay).is_none(), "{text}");
        }
        assert!(extra("Tr 22x5-7e", Some(Element::External), ExtraKind::CrestFlat).is_some());
        assert!(extra("M10x1.5", Some(Element::External), ExtraKind::CrestFlat).is_none());
    }
}
