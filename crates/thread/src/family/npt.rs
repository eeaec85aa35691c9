//! American taper pipe thread NPT, 60°, 1 in 16 (ASME B1.20.1).
//!
//! The sizes are those at the plane of hand-tight engagement, which lies L1 from the small end of the screw and at the
//! face of the nut. There they are exact; the tolerance of one turn either way is on where that plane lies.

use super::pipe_taper::PIPEWORK;
use super::tolerance::inch_range;
use super::vee::{self, Ends};
use super::{Family, Form, Ridge, SeriesRow, Taper};
use crate::designation::print::{left, named_size, starts_in_words};
use crate::designation::read::{Dialect, Order};
use crate::designation::written;
use crate::limits::{self, Element, ElementLimits, Extra, ExtraKind, Limits, LimitsError, Range};
use crate::profile::Basic;
use crate::table::Table;
use crate::{Angle, Length, Pitch, Source, Thread, Unit};
use std::sync::LazyLock;

pub(super) struct Npt;

/// One size, with what the standard gives along the axis.
struct Size {
    row: SeriesRow,
    name: &'static str,
    /// Pitch diameter at the small end of the screw.
    e0: Length,
    /// From the small end to the hand-tight plane.
    l1: Length,
    /// From the small end to the end of the effective thread.
    l2: Length,
    truncation_max: Length,
}

static SIZES: LazyLock<Vec<Size>> = LazyLock::new(|| {
    let table = Table::read("npt-series.csv", include_str!("../../data/npt-series.csv"));
    let size = |row: crate::table::Row<'_>| {
        let inches = |column| Length::inch(row.required(column));
        let pitch = Pitch::tpi(row.required("tpi"));
        Size {
            row: SeriesRow {
                nominal: inches("e1") + pitch.length * DEPTH,
                nominal_written: Unit::Inch,
                pitch,
                series: "NPT",
                choice: 0,
                source: row.source("source"),
            },
            name: row.text("name"),
            e0: inches("e0"),
            l1: inches("l1"),
            l2: inches("l2"),
            truncation_max: inches("truncation_max"),
        }
    };
    table.rows().map(size).collect()
});
static SERIES: LazyLock<Vec<SeriesRow>> = LazyLock::new(|| SIZES.iter().map(|size| size.row).collect());
static NAMES: LazyLock<Vec<&'static str>> = LazyLock::new(|| SIZES.iter().map(|size| size.name).collect());

/// The listed size of a thread.
fn size(thread: &Thread) -> Option<&'static Size> {
    let same = |a: Length, b: Length| (a - b).abs() < Length::um(0.1);
    SIZES.iter().find(|size| {
        same(size.row.nominal, thread.nominal) && same(size.row.pitch.length, thread.pitch.length)
    })
}

const DIALECT: Dialect = Dialect::without_classes(Family::Npt, &[("npt", None)], Order::Inch);

/// Largest thread height, as a share of the pitch.
const DEPTH: f64 = 0.8;
/// Least truncation of the sharp crests and roots, as a share of the pitch.
const TRUNCATION: f64 = 0.033;
const PER_LENGTH: f64 = 1.0 / 16.0;

const BASIC: Source = Source::formula(
    "ANSI/ASME B1.20.1-1983",
    "pitch diameter E1 of table 2; height 0.8 P (Machinery's Handbook, 27th ed., p. 1861)",
);
const CRESTS: Source = Source::table(
    "ANSI/ASME B1.20.1-1983",
    "truncation of crest and root: 0.033 P or more (Machinery's Handbook, 27th ed., p. 1861), largest as reprinted by a pipe maker",
);
const TURN: Source =
    Source::memory("ANSI/ASME B1.20.1-1983", "tolerance of one turn either way from the hand-tight plane");
const SEALANT: &str = "An NPT joint is made tight with a jointing medium that suits what flows in it, and is turned on past \
                       hand-tight.";
const PLANE: &str = "The diameters are those at the hand-tight plane, which is at the face of the nut and lies the gauge length from \
                     the small end of the screw; along the axis they change by 1 in 16.";
/// Width of the flat that a truncation leaves between flanks of 30°.
fn flat(truncation: Length) -> Length {
    truncation * (2.0 * Angle::deg(30.0).tan())
}

fn at_hand_tight_plane(thread: &Thread, element: Element) -> ElementLimits {
    let basic = thread.basic();
    // A crest may be cut off further than the basic form has it; a root is as deep at least as that.
    let blunter = size(thread)
        .map_or(Length::ZERO, |size| (size.truncation_max - thread.pitch.length * TRUNCATION) * 2.0);
    let (crest, root) = match element {
        Element::External => (basic.d - blunter, basic.d3),
        Element::Internal => (basic.d1_internal + blunter, basic.d4_internal),
    };
    let crest = match element {
        Element::External => inch_range(basic.d.to_inch(), crest.to_inch(), CRESTS),
        Element::Internal => inch_range(crest.to_inch(), basic.d1_internal.to_inch(), CRESTS),
    };
    let pitch = inch_range(basic.d2.to_inch(), basic.d2.to_inch(), BASIC);
    let root = inch_range(root.to_inch(), root.to_inch(), BASIC);
    let (major, minor) = match element {
        Element::External => (crest, Range { min: None, ..root }),
        Element::Internal => (Range { max: None, ..root }, crest),
    };
    ElementLimits { element, class: limits::BASIC.to_owned(), major, pitch, minor }
}

impl Form for Npt {
    fn key(&self) -> &'static str {
        "npt"
    }
    fn name(&self) -> &'static str {
        "NPT"
    }
    fn standard(&self) -> Source {
        Source::table("ANSI/ASME B1.20.1-1983 (R2001)", "")
    }
    fn included_angle(&self) -> Angle {
        Angle::deg(60.0)
    }
    fn series(&self) -> &'static [SeriesRow] {
        &SERIES
    }
    fn names(&self) -> &'static [&'static str] {
        &NAMES
    }
    /// At the hand-tight plane: d2 = E1, height 0.8 P, crest and root each cut off the sharp triangle by 0.033 P
    /// (ANSI/ASME B1.20.1-1983; Machinery's Handbook, 27th ed., p. 1861).
    fn basic(&self, d: Length, p: Length) -> Basic {
        vee::of_depth(Angle::deg(30.0), d, p, p * DEPTH, Ends::Flat)
    }
    fn ridge(&self) -> Ridge {
        Ridge::Sharp
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn taper(&self) -> Option<Taper> {
        Some(Taper { per_length: PER_LENGTH, plane: "at the hand-tight plane" })
    }
    /// Where the hand-tight plane lies, how much thread there must be, the pitch diameter to start from, and the flats.
    fn extras(&self, thread: &Thread, element: Element) -> Vec<Extra> {
        let Some(size) = size(thread) else { return Vec::new() };
        let p = thread.pitch.length;
        let extra = |what, range| Extra { element: Some(element), what, range };
        let flats = Range::both(flat(size.truncation_max), flat(p * TRUNCATION), CRESTS);
        let mut extras = match element {
            Element::External => vec![
                extra(ExtraKind::GaugeLength, Range::both(size.l1 + p, size.l1 - p, TURN)),
                extra(ExtraKind::UsefulThread, Range::at_least(size.l2, size.row.source)),
                extra(ExtraKind::EndPitchDiameter, Range::both(size.e0, size.e0, size.row.source)),
            ],
            Element::Internal => vec![extra(ExtraKind::GaugeLength, Range::both(p, -p, TURN))],
        };
        extras.extend([extra(ExtraKind::CrestFlat, flats), extra(ExtraKind::RootFlat, flats)]);
        extras
    }
    /// Sizes at the hand-tight plane; the tolerance is on where that plane lies ([`Form::extras`]).
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let element = |element| at_hand_tight_plane(thread, element);
        limits::without_classes(thread, element, [PLANE, SEALANT, PIPEWORK].map(str::to_owned))
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT
    }
    /// `1/2-14 NPT` (ASME B1.20.1, clause 1.2, from memory).
    fn print(&self, thread: &Thread) -> String {
        let named = named_size(thread);
        let named = match named.starts_with("dia ") {
            true => named,
            false => format!("{named}-{}", written::tpi(thread.pitch.length)),
        };
        format!("{named} NPT{}{}", left(thread, " LH"), starts_in_words(thread))
    }
}
