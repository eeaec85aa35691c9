//! Threads that are no longer made but still met: each a form, a list of sizes and what is said of it.
//!
//! None has tolerances here: the standards are withdrawn, and of those that gave any no table was found. The limits are the
//! basic sizes on the side where they bind.

use super::bounds::{Origins, bounds};
use super::tolerance::printed;
use super::vee::{self, Ends};
use super::{Family, Form, Ridge, SeriesRow, Variant, series};
use crate::designation::DesignationError;
use crate::designation::print::{MetricStarts, inch_size, left, metric_size, named_size, starts_in_words};
use crate::designation::read::{self, Dialect, Order, read};
use crate::limits::{self, Limits, LimitsError, Rounding};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::sync::LazyLock;

/// A historical family: what differs between them.
pub(super) struct Historic {
    key: &'static str,
    name: &'static str,
    standard: Source,
    /// Flank to the plane square to the axis.
    flank: fn() -> Angle,
    basic: fn(Option<&'static str>, Length, Length) -> Basic,
    ridge: Ridge,
    written: Unit,
    series: &'static LazyLock<Vec<SeriesRow>>,
    /// Where sizes have names.
    names: Option<&'static LazyLock<Vec<&'static str>>>,
    dialect: Dialect,
    /// Names of which one must stand in the text, where the dialect knows words of other families too.
    claims: &'static [&'static str],
    print: fn(&Thread) -> String,
    variants: &'static [Variant],
    notes: &'static [&'static str],
}

pub(super) const NO_TOLERANCES: &str = "No tolerances are held for this thread: these are its basic sizes. Fit the part to the mate \
                             that it is to run with.";

impl Form for Historic {
    fn key(&self) -> &'static str {
        self.key
    }
    fn name(&self) -> &'static str {
        self.name
    }
    fn standard(&self) -> Source {
        self.standard
    }
    fn included_angle(&self) -> Angle {
        (self.flank)() * 2.0
    }
    fn series(&self) -> &'static [SeriesRow] {
        self.series
    }
    fn names(&self) -> &'static [&'static str] {
        self.names.map_or(&[], |names| names)
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        (self.basic)(None, d, p)
    }
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        (self.basic)(variant, d, p)
    }
    fn ridge(&self) -> Ridge {
        self.ridge
    }
    fn written(&self) -> Unit {
        self.written
    }
    fn variants(&self) -> &'static [Variant] {
        self.variants
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        let rounding = if self.written == Unit::Mm { Rounding::Micrometre } else { Rounding::TenThousandth };
        let variant = thread.variant.and_then(|name| self.variants.iter().find(|v| v.name == name));
        let origins = Origins::all(variant.map_or(self.standard, |variant| variant.document));
        let basic = thread.basic();
        let element =
            |element| bounds(&basic, element, &origins, rounding, |size| printed(size, self.written));
        let notes = std::iter::once(NO_TOLERANCES).chain(self.notes.iter().copied());
        limits::without_classes(thread, element, notes.map(str::to_owned))
    }
    fn dialect(&self) -> &Dialect {
        &self.dialect
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let claimed = self.claims.is_empty() || self.claims.iter().any(|name| read::names(text, name));
        claimed.then(|| read(text, &self.dialect)).flatten()
    }
    fn print(&self, thread: &Thread) -> String {
        (self.print)(thread)
    }
}

/// A static list of sizes from its file.
macro_rules! sizes {
    ($series:ident, $reader:path, $file:literal) => {
        static $series: LazyLock<Vec<SeriesRow>> =
            LazyLock::new(|| $reader($file, include_str!(concat!("../../data/", $file))));
    };
    ($series:ident, $names:ident, $reader:path, $file:literal) => {
        sizes!($series, $reader, $file);
        static $names: LazyLock<Vec<&'static str>> =
            LazyLock::new(|| series::names($file, include_str!(concat!("../../data/", $file))));
    };
}

sizes!(LOEWENHERZ_SIZES, series::written, "loewenherz-series.csv");

/// Loewenherz: the triangle is as high as the pitch, an eighth of it cut off crest and root (Machinery's Handbook, 31st
/// ed., p. 2119). Its angle, twice the arc tangent of a half, is 53°8'.
pub(super) static LOEWENHERZ: Historic = Historic {
    key: "loewenherz",
    name: "Loewenherz",
    standard: Source::formula(
        "Machinery's Handbook, 31st ed., p. 2119",
        "Loewenherz thread: depth 0.75 P, flats P/8",
    ),
    flank: || Angle::atan(0.5),
    basic: |_, d, p| vee::basic(Angle::atan(0.5), d, p, p / 8.0, p / 8.0, Ends::Flat),
    ridge: Ridge::Sharp,
    written: Unit::Mm,
    series: &LOEWENHERZ_SIZES,
    names: None,
    dialect: Dialect {
        implied_series: Some("Loewenherz"),
        ..Dialect::without_classes(
            Family::Loewenherz,
            &[("loewenherz", None), ("löwenherz", None), ("lowenherz", None), ("loew", None), ("löw", None)],
            Order::Metric,
        )
    },
    claims: &[],
    print: |thread| {
        format!("Loewenherz {}{}", metric_size(thread, MetricStarts::Symbols), left(thread, " LH"))
    },
    variants: &[],
    notes: &[
        "German instrument thread of 1888, on optical and measuring instruments to about 1920 (from memory).",
    ],
};

sizes!(THURY_SIZES, THURY_NAMES, series::written, "thury-series.csv");

/// Thury: 47.5°, depth 0.6 P, crest rounded a little tighter than root. Its radii are recalled as P/6 and P/5; at this
/// angle those would leave 0.593 P, so that the depth is kept and what is cut off shared as 5 to 6 (radii 0.164 P and
/// 0.197 P).
pub(super) static THURY: Historic = Historic {
    key: "thury",
    name: "Thury",
    standard: Source::memory(
        "Thury, Systematique des vis horlogeres, 1878",
        "47.5°, depth 0.6 P; the rule of its sizes is in print",
    ),
    flank: || Angle::deg(23.75),
    basic: |_, d, p| {
        let flank = Angle::deg(23.75);
        let cut = vee::triangle(flank, p) - p * 0.6;
        vee::basic(flank, d, p, cut * (5.0 / 11.0), cut * (6.0 / 11.0), Ends::Round)
    },
    ridge: Ridge::RoundedV,
    written: Unit::Mm,
    series: &THURY_SIZES,
    names: Some(&THURY_NAMES),
    dialect: Dialect::without_classes(
        Family::Thury,
        &[("thury", None), ("filiere suisse", None), ("filière suisse", None)],
        Order::Inch,
    ),
    claims: &[],
    print: |thread| format!("Thury {}{}{}", named_size(thread), left(thread, " LH"), starts_in_words(thread)),
    variants: &[],
    notes: &[
        "Sizes by the rule P = 0.9^N, d = 6 P^1.2; British Association threads took it over with two figures.",
    ],
};

sizes!(CYCLE_SIZES, series::written, "cycle-series.csv");

/// Cycle thread: 60°, crest and root rounded with P/6, so that 0.5327 P of depth is left (from memory; the core diameters
/// that are printed agree).
pub(super) static CYCLE: Historic = Historic {
    key: "cycle",
    name: "British cycle",
    standard: Source::memory(
        "BS 811:1950",
        "recalled; equal to the eleven core diameters that a public reference prints: 60°, radius P/6, depth 0.5327 P",
    ),
    flank: || Angle::deg(30.0),
    basic: |_, d, p| vee::basic(Angle::deg(30.0), d, p, p / 6.0, p / 6.0, Ends::Round),
    ridge: Ridge::RoundedV,
    written: Unit::Inch,
    series: &CYCLE_SIZES,
    names: None,
    dialect: Dialect {
        implied_series: Some("BSC"),
        ..Dialect::without_classes(
            Family::Cycle,
            &[("bsc", None), ("bscy", None), ("cei", None), ("cycle", None)],
            Order::Inch,
        )
    },
    claims: &[],
    print: |thread| format!("{} BSC{}{}", inch_size(thread), left(thread, " LH"), starts_in_words(thread)),
    variants: &[],
    notes: &[
        "BS 811 has close, medium and free limits; they were not found. BSC was called CEI before 1938.",
    ],
};

sizes!(CONDUIT_SIZES, CONDUIT_NAMES, series::written, "conduit-pg-series.csv");

/// Pg: 80°, a tenth of the triangle cut off crest and root, which leaves 0.4767 P, to 0.01 mm in the ten core diameters that
/// are printed, rounded with 0.107 P (the proportions from memory).
pub(super) static CONDUIT: Historic = Historic {
    key: "pg",
    name: "Pg conduit",
    standard: Source::memory(
        "DIN 40430:1971",
        "recalled; equal to the ten core diameters that a public encyclopedia prints: 80°, depth 0.4767 P to 0.01 mm",
    ),
    flank: || Angle::deg(40.0),
    basic: |_, d, p| {
        let flank = Angle::deg(40.0);
        let depth = vee::triangle(flank, p) * 0.8;
        // Pitches far finer than the standard's would lose too much of their depth.
        let depth =
            if p >= Length::mm(1.0) { Length::mm((depth.to_mm() * 100.0).round() / 100.0) } else { depth };
        vee::of_depth(flank, d, p, depth, Ends::Round)
    },
    ridge: Ridge::RoundedV,
    written: Unit::Mm,
    series: &CONDUIT_SIZES,
    names: Some(&CONDUIT_NAMES),
    dialect: Dialect::without_classes(Family::ConduitPg, &[("pg", None)], Order::Inch),
    claims: &[],
    print: |thread| format!("Pg {}{}{}", named_size(thread), left(thread, " LH"), starts_in_words(thread)),
    variants: &[],
    notes: &[
        "Since about 2000 conduit and cable glands have plain ISO metric threads of 1.5 mm pitch (EN 60423), M20x1.5 \
         for instance.",
        "Electrical work falls under local codes and licensed practice: isolate before you open a fitting.",
    ],
};

sizes!(PRE_ISO_SIZES, series::written, "metric-pre-iso-series.csv");

const NATIONAL: &str = "Machinery's Handbook, 27th ed., p. 1824";

const PRE_ISO_VARIANTS: &[Variant] = &[
    Variant {
        name: "German DIN 13",
        document: Source::derived(
            "depth 0.6495 P to 0.001 mm; the ten minor diameters in Machinery's Handbook, 27th ed., p. 1824, agree",
        ),
        differs: "the screw's minor diameter is d - 1.299 P, as in the default",
    },
    Variant {
        name: "British BS 1095",
        document: Source::derived(
            "21/16 H, which the ten minor diameters in Machinery's Handbook, 27th ed., p. 1824, show",
        ),
        differs: "the screw's minor diameter is d - 1.137 P (21/16 of the triangle's height)",
    },
    Variant {
        name: "French NF E03-104",
        document: Source::derived(
            "13/8 H, which the ten minor diameters in Machinery's Handbook, 27th ed., p. 1824, show",
        ),
        differs: "the screw's minor diameter is d - 1.407 P (13/8 of the triangle's height)",
    },
    Variant {
        name: "Swiss VSM 12003",
        document: Source::derived(
            "1.4 P, which the ten minor diameters in Machinery's Handbook, 27th ed., p. 1824, show",
        ),
        differs: "the screw's minor diameter is d - 1.4 P",
    },
];

/// Metric threads before ISO: 60°, flats P/8, pitch diameter d − 0.6495 P with that depth to 0.001 mm, as the printed
/// pitch diameters show; the national standards differ in how deep the screw's root goes.
pub(super) static PRE_ISO: Historic = Historic {
    key: "metric-pre-iso",
    name: "pre-ISO metric",
    standard: Source::formula(
        NATIONAL,
        "national metric systems compared: pitch diameters equal, minor diameters by country",
    ),
    flank: || Angle::deg(30.0),
    basic: pre_iso,
    ridge: Ridge::Sharp,
    written: Unit::Mm,
    series: &PRE_ISO_SIZES,
    names: None,
    dialect: Dialect {
        implied_series: Some("SI"),
        ..Dialect::without_classes(
            Family::MetricPreIso,
            &[
                ("si", Some("SI")),
                ("sf", Some("SF")),
                ("pre iso", None),
                ("preiso", None),
                ("old metric", None),
                ("m", None),
            ],
            Order::Metric,
        )
    },
    claims: &["si", "sf", "pre iso", "preiso", "old metric"],
    print: |thread| {
        let listed = Family::MetricPreIso.listed(thread.nominal, thread.pitch.length);
        let name = listed.map_or("pre-ISO", |row| row.series);
        format!("{name} {}{}", metric_size(thread, MetricStarts::Symbols), left(thread, " LH"))
    },
    variants: PRE_ISO_VARIANTS,
    notes: &[
        "The countries' pitch diameters agree, their roots do not: the root of a British screw is the shallowest and may \
              bind in a nut bored for another.",
    ],
};

fn pre_iso(variant: Option<&'static str>, d: Length, p: Length) -> Basic {
    let flank = Angle::deg(30.0);
    let h = vee::triangle(flank, p);
    let depth = printed(h * 0.75, Unit::Mm);
    let flats = vee::of_depth(flank, d, p, depth, Ends::Flat);
    let below = match variant {
        Some("British BS 1095") => h * (21.0 / 16.0),
        Some("French NF E03-104") => h * (13.0 / 8.0),
        Some("Swiss VSM 12003") => p * 1.4,
        _ => depth * 2.0,
    };
    let d3 = d - below;
    let root_width = flats.root_width + (d3 - flats.d3) * flank.tan();
    Basic {
        crest_width: h / 8.0 * (2.0 * flank.tan()),
        d3,
        // A nut has to clear the root of its own country's screw.
        d1_internal: flats.d1_internal.max(d3),
        root_width,
        ..flats
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms() {
        let (d, p) = (Length::mm(10.0), Length::mm(1.0));
        let depth = |form: &Historic| (d - form.basic(d, p).d3).to_mm() / 2.0;
        assert!((depth(&LOEWENHERZ) - 0.75).abs() < 1e-12);
        assert!((LOEWENHERZ.basic(d, p).crest_width.to_mm() - 0.125).abs() < 1e-12);
        // 53°8' (Machinery's Handbook, 31st ed., p. 2119).
        assert!((LOEWENHERZ.included_angle().to_deg() * 60.0 - (53.0 * 60.0 + 8.0)).abs() < 0.5);
        assert!((depth(&CYCLE) - 0.5327).abs() < 5e-5);
        assert!((CYCLE.basic(d, p).root_radius.to_mm() - 1.0 / 6.0).abs() < 1e-12);
        // 0.107 P where the depth is not rounded.
        let fine = Length::mm(0.9);
        assert!((CONDUIT.basic(d, fine).root_radius / fine - 0.107).abs() < 5e-4);
        assert!((depth(&THURY) - 0.6).abs() < 1e-12);
    }

    #[test]
    fn thury_by_its_rule() {
        // Public encyclopedia: No. -20 is 75.2 mm by 8.23 mm.
        let p = 0.9_f64.powi(-20);
        assert_eq!(format!("{p:.2}"), "8.23");
        assert_eq!(format!("{:.1}", 6.0 * p.powf(1.2)), "75.2");
    }
}
