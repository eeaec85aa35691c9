//! Knuckle thread, 30°, round at crest and root (DIN 405).

use super::bounds::{Origins, bounds};
use super::historic::NO_TOLERANCES;
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::print::{MetricStarts, left, metric_size, starts_in_words};
use crate::designation::read::{Dialect, Order};
use crate::designation::written;
use crate::limits::{self, Element, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Knuckle;

static SERIES: LazyLock<Vec<SeriesRow>> =
    LazyLock::new(|| series::written("knuckle-series.csv", include_str!("../../data/knuckle-series.csv")));

const DIALECT: Dialect = Dialect {
    implied_series: Some("DIN 405"),
    ..Dialect::without_classes(
        Family::Knuckle,
        &[("rd", None), ("knuckle", None), ("rundgewinde", None), ("round thread", None)],
        Order::MetricByInch,
    )
};

const FLANK: f64 = 15.0;

const DIN: Source = Source::memory(
    "DIN 405-1:1997",
    "d3 = d - P, D1 = d - 0.9 P, D4 = d + 0.1 P (ac = 0.05 P); no printed table of them was found",
);
const PITCH_PRINTED: Source = Source::table(
    "DIN 405",
    "pitch diameters as reprinted in a screw maker's data sheet (F-M-S 3.10, 2007), halves of a micrometre to even",
);
const RADIUS: Source = Source::derived(
    "the arc that touches both 15° flanks at that diameter; the figures recalled of DIN 405 are the same (R1 0.23851 P, \
     R2 0.25597 P, R3 0.22105 P)",
);

const VARIANTS: [Variant; 1] = [Variant {
    name: "DIN 405:1975",
    document: Source::memory("DIN 405-1:1975", "basic profile and sizes"),
    differs: "it starts from a basic profile and names no ac; the foreword of DIN 405-1:1997, the default, tells of no \
              changed size, and none was found",
}];

const METRIC_PITCH: &str = "DIN 405 counts threads to the inch. An Rd thread with its pitch in millimetres may be one of \
                            DIN 15403 or DIN 20400 for hoists, whose root has a flat and whose sizes differ.";

/// Radius of the arc that touches both flanks with its top (or bottom) so far from the pitch line, on diameter: the
/// flanks meet H/2 from the pitch line, the arc's top R (1/sin α − 1) below that.
fn full_radius(p: Length, from_pitch_line: Length) -> Length {
    let flank = Angle::deg(FLANK);
    let (sin, _) = flank.to_rad().sin_cos();
    (p / (4.0 * flank.tan()) - from_pitch_line * 0.5) / (1.0 / sin - 1.0)
}

/// Whole micrometres, halves to even, as the sheet of pitch diameters has them (Rd 14x1/8: 12.4125 is printed 12.412).
fn to_even(size: Length) -> Length {
    Length::mm(((size.to_um() * 1e6).round() / 1e6).round_ties_even() / 1000.0)
}

impl Form for Knuckle {
    fn key(&self) -> &'static str {
        "knuckle"
    }
    fn name(&self) -> &'static str {
        "knuckle"
    }
    fn standard(&self) -> Source {
        Source::memory("DIN 405-1:1997", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(2.0 * FLANK)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        let round = |over_pitch_line: f64| full_radius(p, p * over_pitch_line);
        Basic {
            d,
            p,
            d2: d - p * 0.5,
            d1_internal: d - p * 0.9,
            d3: d - p,
            d4_internal: d + p * 0.1,
            flank_leading: Angle::deg(FLANK),
            flank_trailing: Angle::deg(FLANK),
            crest_width: Length::ZERO,
            root_width: Length::ZERO,
            root_width_internal: Length::ZERO,
            crest_radius: round(0.5),
            crest_radius_internal: round(0.4),
            root_radius: round(0.5),
            root_radius_internal: round(0.6),
        }
        .with_widths()
    }
    fn variants(&self) -> &'static [Variant] {
        &VARIANTS
    }
    fn ridge(&self) -> Ridge {
        Ridge::Round
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let basic = thread.basic();
        let (crest, root) = match element {
            Element::External => (basic.crest_radius, basic.root_radius),
            Element::Internal => (basic.crest_radius_internal, basic.root_radius_internal),
        };
        let extra = |what, radius| Extra {
            element: Some(element),
            what,
            range: Range::both(to_even(radius), to_even(radius), RADIUS).rounded(Rounding::Micrometre),
        };
        vec![extra(ExtraKind::CrestRadius, crest), extra(ExtraKind::RootRadius, root)]
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let pitch = if thread.in_series() { PITCH_PRINTED } else { DIN };
        let origins = Origins { pitch, ..Origins::all(DIN) };
        let basic = thread.basic();
        let element = |element| bounds(&basic, element, &origins, Rounding::MicrometreToEven, to_even);
        let by_mm = (thread.pitch.written == Unit::Mm).then_some(METRIC_PITCH);
        let notes = std::iter::once(NO_TOLERANCES).chain(by_mm);
        limits::without_classes(thread, element, notes.map(str::to_owned))
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `Rd 40x1/6` (DIN 405-1:1997, from memory); a pitch that is no whole part of an inch in threads per inch.
    fn print(&self, thread: &Thread) -> String {
        let whole = thread.pitch.length.to_tpi().round();
        let part_of_inch =
            thread.pitch.written == Unit::Inch && Length::per_inch(whole) == thread.pitch.length;
        let size = match (part_of_inch, thread.nominal_written) {
            (true, Unit::Mm) => {
                format!("{}x1/{whole}{}", written::millimetres(thread.nominal), starts_in_words(thread))
            }
            _ => metric_size(thread, MetricStarts::LeadThenPitch),
        };
        format!("Rd {size}{}", left(thread, " LH"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The three radii that are recalled of DIN 405 follow from the depths: proof of the one by the other.
    #[test]
    fn radii_follow_from_the_depths() {
        let p = Length::mm(10.0);
        let basic = Knuckle.basic(Length::mm(100.0), p);
        for (radius, recalled) in [
            (basic.crest_radius, 0.238_51),
            (basic.root_radius, 0.238_51),
            (basic.crest_radius_internal, 0.255_97),
            (basic.root_radius_internal, 0.221_05),
        ] {
            assert!((radius / p - recalled).abs() < 5e-6, "{} {recalled}", radius / p);
        }
    }

    #[test]
    fn halves_to_even() {
        assert_eq!(to_even(Length::mm(14.0) - Length::per_inch(8.0) * 0.5), Length::mm(12.412));
        assert_eq!(to_even(Length::mm(16.3175)), Length::mm(16.318));
    }
}
