//! Square thread, 0°: no standard in force, the proportions that workshops use.

use super::{Family, Form, Ridge, SeriesRow, series};
use crate::designation::print::{MetricStarts, inch_size, left, metric_size, starts_in_words};
use crate::designation::read::{Dialect, Order};
use crate::limits::{self, Element, ElementLimits, Limits, LimitsError, Range};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Square;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::inch("square-series.csv", include_str!("../../data/square-series.csv")));

const DIALECT: Dialect =
    Dialect::without_classes(Family::Square, &[("square", None), ("sq", None)], Order::BySeparator);

/// Clearance on diameter between crests and roots: a twentieth of the pitch, at least 0.2 mm.
pub(super) const CLEARANCE: Source =
    Source::practice("square nut: clearance on diameter at crest and root of P/20, at least 0.2 mm");

pub(super) fn clearance(p: Length) -> Length {
    (p * 0.05).max(Length::mm(0.2))
}

const PROPORTIONS: Source = Source::practice("square thread: depth, ridge and space each half the pitch");
const FLANKS: Source =
    Source::practice("square thread: the widths of ridge and space set the play, not a pitch diameter");
const NO_STANDARD: &str = "No standard of limits for square threads was found: these are basic sizes with the \
                           clearance that is common practice. Cut the nut's groove wider than the screw's ridge by \
                           the play that the job allows.";

impl Form for Square {
    fn key(&self) -> &'static str {
        "square"
    }
    fn name(&self) -> &'static str {
        "square"
    }
    fn standard(&self) -> Source {
        Source::practice("depth, ridge and space each half the pitch")
    }
    fn included_angle(&self) -> Angle {
        Angle::ZERO
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// Depth, ridge and groove P/2 each. The screw has the basic sizes; the nut's root lies deeper by half the
    /// clearance on diameter.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let half = p * 0.5;
        Basic {
            d,
            p,
            d2: d - half,
            d1_internal: d - p,
            d3: d - p,
            d4_internal: d + clearance(p),
            flank_leading: Angle::ZERO,
            flank_trailing: Angle::ZERO,
            crest_width: half,
            root_width: half,
            root_width_internal: half,
            crest_radius: Length::ZERO,
            crest_radius_internal: Length::ZERO,
            root_radius: Length::ZERO,
            root_radius_internal: Length::ZERO,
        }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Square
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    /// Basic sizes only, on the side where they bind: there is no standard of tolerances.
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let basic = self.basic(thread.nominal, thread.pitch.length);
        let room = clearance(thread.pitch.length);
        let element = |element| {
            let (major, minor) = match element {
                Element::External => {
                    (Range::at_most(basic.d, PROPORTIONS), Range::at_most(basic.d3, PROPORTIONS))
                }
                Element::Internal => (
                    Range::at_least(basic.d4_internal, CLEARANCE),
                    Range::at_least(basic.d1_internal + room, CLEARANCE),
                ),
            };
            ElementLimits {
                element,
                class: limits::BASIC.to_owned(),
                major,
                pitch: Range::open(FLANKS),
                minor,
            }
        };
        limits::without_classes(thread, element, [NO_STANDARD.to_owned()])
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `Sq 25x5` in millimetres, `1-4 square` in inches.
    fn print(&self, thread: &Thread) -> String {
        let left = left(thread, " LH");
        if thread.nominal_written == Unit::Mm {
            return format!("Sq {}{left}", metric_size(thread, MetricStarts::LeadThenPitch));
        }
        format!("{} square{left}{}", inch_size(thread), starts_in_words(thread))
    }
}
