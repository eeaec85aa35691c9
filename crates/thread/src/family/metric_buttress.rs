//! Metric buttress thread, 3° and 30° (DIN 513).

use super::bounds::{Origins, bounds};
use super::tolerance::printed;
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::print::{MetricStarts, left, metric_size};
use crate::designation::read::{Dialect, Order};
use crate::limits::{self, Element, Extra, ExtraKind, Limits, LimitsError, Range, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct MetricButtress;

static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| {
    series::metric("metric-buttress-series.csv", include_str!("../../data/metric-buttress-series.csv"))
});

const DIALECT: Dialect = Dialect::without_classes(
    Family::MetricButtress,
    &[
        ("s", None),
        ("buttress", None),
        ("metric buttress", None),
        ("saw tooth", None),
        ("sawtooth", None),
        ("sägengewinde", None),
        ("saegengewinde", None),
    ],
    Order::Metric,
);

/// Flank that bears the load, and the one behind it.
const LOADED: f64 = 3.0;
const BEHIND: f64 = 30.0;

/// Depth of the screw's thread in pitches: H1 of 0.75 and the clearance ac of 0.117767.
const DEPTH: f64 = 0.867_767;

const DIN: Source = Source::memory(
    "DIN 513-1:1985",
    "d2 = d - 0.75 P, D1 = d - 1.5 P, d3 = d - 1.735534 P; no printed table was found",
);
const NUT_PITCH: Source = Source::derived(
    "D2 = d2 + 2 a / (tan 3° + tan 30°) = d2 + 3.17582 a, as IS 4696-1:2004 prints after DIN 513-1:1985; the play a = 0.1 √P \
     from memory",
);
const GOST: Source = Source::memory("GOST 10177-82", "D2 = d2; the sizes of DIN 513 else");
const ROOT: Source = Source::derived(
    "0.124271 P, the full radius between both flanks at d3; the figure recalled of DIN 513-1 is the same",
);

const WITHOUT_PLAY: &str = "GOST 10177";
const VARIANTS: [Variant; 1] = [Variant {
    name: WITHOUT_PLAY,
    document: GOST,
    differs: "the nut's basic pitch diameter is the screw's; DIN 513-1:1985, the default, adds 3.17582 times the axial play \
              of 0.1 √P to it",
}];

const NO_LIMITS: &str = "No table of limits for metric buttress threads was found: these are basic sizes, from memory of \
                         DIN 513. The screw is not to be larger, the nut not smaller.";
const ONE_WAY: &str = "The 3° flank bears the load. It is given and drawn as the leading one, for a screw that pushes; a \
                       screw that pulls has it on the other side, with the same sizes.";

/// Axial play between the 30° flanks when the 3° flanks bear: 0.1 √P in millimetres (DIN 513-1:1985, from memory).
fn play(p: Length) -> Length {
    Length::mm(0.1 * p.to_mm().sqrt())
}

/// By how much the nut's pitch diameter exceeds the screw's.
fn pitch_clearance(variant: Option<&'static str>, p: Length) -> Length {
    match variant {
        Some(_) => Length::ZERO,
        None => play(p) * (2.0 / (Angle::deg(LOADED).tan() + Angle::deg(BEHIND).tan())),
    }
}

impl Form for MetricButtress {
    fn key(&self) -> &'static str {
        "metric-buttress"
    }
    fn name(&self) -> &'static str {
        "metric buttress"
    }
    fn standard(&self) -> Source {
        Source::memory("DIN 513-1:1985, 513-2:1985", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(LOADED + BEHIND)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    /// ac and R are such that the root's arc touches both flanks, fills the root and leaves the 3° flank just at the
    /// nut's bore: ac = R (1 − sin 3°). H = 1.587911 P, H1 = 0.75 P; the crests of screw and nut are 0.263841 P wide. Screw and nut touch at d and D; only
    /// the screw's root is relieved.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let flanks = [LOADED, BEHIND].map(Angle::deg);
        let external = [d, d - p * 0.75, d - p * (2.0 * DEPTH)];
        Basic { root_radius: p * 0.124_271, ..Basic::straight(p, external, [d, d - p * 1.5], flanks) }
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sawtooth
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn variants(&self) -> &'static [Variant] {
        &VARIANTS
    }
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        if element == Element::Internal {
            return Vec::new();
        }
        let radius = printed(thread.basic().root_radius, Unit::Mm);
        vec![Extra {
            element: Some(element),
            what: ExtraKind::RootRadius,
            range: Range::both(radius, radius, ROOT).rounded(Rounding::Micrometre),
        }]
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let basic = thread.basic();
        let nut = Basic { d2: basic.d2 + pitch_clearance(thread.variant, basic.p), ..basic };
        let pitch = if thread.variant.is_some() { GOST } else { NUT_PITCH };
        let element = |element| {
            let (sizes, origins) = match element {
                Element::External => (&basic, Origins::all(DIN)),
                Element::Internal => (&nut, Origins { pitch, ..Origins::all(DIN) }),
            };
            bounds(sizes, element, &origins, Rounding::Micrometre, |size| printed(size, Unit::Mm))
        };
        limits::without_classes(thread, element, [NO_LIMITS.to_owned(), ONE_WAY.to_owned()])
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `S 40x7`, `S 40x14 P7` (DIN 513-2, from memory).
    fn print(&self, thread: &Thread) -> String {
        format!("S {}{}", metric_size(thread, MetricStarts::LeadThenPitch), left(thread, " LH"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is recalled of the standard's form follows from its angles and depths.
    #[test]
    fn the_form_follows_from_its_angles() {
        let (d, p) = (Length::mm(40.0), Length::mm(1.0));
        let basic = MetricButtress.basic(d, p);
        let tangents = Angle::deg(LOADED).tan() + Angle::deg(BEHIND).tan();
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-6, "{a} {b}");
        close(1.0 / tangents, 1.587_911);
        close(basic.crest_width.to_mm(), 0.263_841);
        assert_eq!(format!("{:.5}", 2.0 / tangents), "3.17582");
        // The radius fills the root: its tangents from both corners are as long as the root is wide.
        let half = |deg: f64| ((90.0 - deg) / 2.0_f64).to_radians().tan();
        close(basic.root_width.to_mm() / (half(LOADED) + half(BEHIND)), 0.124_271);
        close(basic.root_radius.to_mm() * (1.0 - LOADED.to_radians().sin()), DEPTH - 0.75);
        // The nut's ridge is narrower than the screw's by the play.
        let nut = basic.at(
            Element::Internal,
            &crate::profile::Sizes {
                major: d,
                pitch: basic.d2 + pitch_clearance(None, p),
                minor: basic.d1_internal,
                root_radius: None,
                crest_radius: None,
            },
        );
        close((nut.root_width_internal - basic.root_width_internal).to_mm(), play(p).to_mm());
    }
}
