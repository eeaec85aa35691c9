//! Worms: threads that drive a wheel, and feed screws cut with the tools of worms.
//!
//! A worm has no standard diameter: it is as thick as its shaft wants. Its pitch is that of the wheel, given as threads
//! per inch, as diametral pitch (P = π/DP in) or as module (P = π m mm). The proportions are those of gear teeth.

use super::{Family, Form, Ridge, SeriesRow, Variant};
use crate::designation::DesignationError;
use crate::designation::print::{MetricStarts, left, metric_size, starts_in_words};
use crate::designation::read::{Dialect, Order, read_rest, take_word};
use crate::designation::written::{
    in_inches, inches, millimetres, pitch_millimetres, shortest, tpi, with_unit,
};
use crate::limits::{self, Limits, LimitsError};
use crate::profile::Basic;
use crate::{Angle, Length, Source, Thread, Unit};
use std::f64::consts::PI;

/// The proportions of one kind of worm.
pub(super) struct Worm {
    key: &'static str,
    name: &'static str,
    standard: Source,
    /// Angle of each flank to the plane square to the axis.
    flank_deg: f64,
    dialect: &'static Dialect,
    /// How its angle may be written; the first is what is printed.
    angles: &'static [&'static str],
    /// Whether the angle must be written, since another kind is meant without it.
    says_angle: bool,
}

/// Brown & Sharpe type, 14.5° each side.
pub(super) const WORM_29: Worm = Worm {
    key: "worm-29",
    name: "29° worm",
    standard: Source::memory(
        "29° worm thread, Brown & Sharpe proportions",
        "depth 0.6866 P, flat at the crest 0.335 P, at the root 0.310 P",
    ),
    flank_deg: 14.5,
    dialect: &DIALECT_29,
    angles: &["29°", "29 degrees", "29 deg", "14.5°", "14.5 degrees", "14.5 deg", "14 1/2°", "14½°"],
    says_angle: false,
};

/// Pressure angle of 20°.
pub(super) const WORM_DP: Worm = Worm {
    key: "worm-dp",
    name: "20° worm",
    standard: Source::memory(
        "worms of 20° pressure angle by diametral pitch",
        "addendum 1/DP and depth 2.157/DP, as for 14.5°",
    ),
    flank_deg: 20.0,
    dialect: &DIALECT_DP,
    angles: &["20°", "20 degrees", "20 deg", "40°", "40 degrees", "40 deg"],
    says_angle: true,
};

const BASIC: Source = Source::memory("worm proportions", "addendum P/π, depth 0.6866 P");
const NO_CLASSES: &str = "Basic sizes from memory: worms have no classes of limits; their thickness is set to the wheel. The nut \
                          given is that of a feed screw cut with the same tool; a worm wheel is no nut.";

const DIALECT_29: Dialect = Dialect::without_classes(
    Family::Worm29,
    &[("worm", None), ("brown sharpe worm", None), ("brown and sharpe worm", None), ("worm thread", None)],
    Order::Inch,
);

const DIALECT_DP: Dialect = Dialect { family: Family::WormDp, ..DIALECT_29 };

/// Addendum, and clearance at the roots, as shares of the pitch: 1/DP, and the rest of 0.6866 P beyond two addenda.
const ADDENDUM: f64 = 1.0 / PI;
const CLEARANCE: f64 = 0.6866 - 2.0 * ADDENDUM;

/// A pitch as worms have it: `10 DP` where that is the short way, else threads per inch, `0.375P` or millimetres.
fn pitch(thread: &Thread) -> String {
    let p = thread.pitch.length;
    if thread.pitch.written == Unit::Mm {
        return format!("{} mm", pitch_millimetres(p));
    }
    let by_diametral = shortest(PI / p.to_inch(), |dp| Length::inch(PI / dp) == p);
    let by_tpi = tpi(p);
    let linear = in_inches(p).unwrap_or_else(|| by_tpi.clone());
    // Whichever is written in the fewest figures is how someone wrote it; threads per inch where that does not tell.
    match [by_tpi.len(), by_diametral.len(), linear.len()] {
        [tpi, dp, linear] if dp < tpi && dp < linear => format!("{by_diametral} DP"),
        [tpi, _, length] if length < tpi => format!("{linear}P"),
        _ => by_tpi,
    }
}

impl Form for Worm {
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
        Angle::deg(2.0 * self.flank_deg)
    }
    /// None: worms have no standard diameters.
    fn series(&self) -> &'static [SeriesRow] {
        &[]
    }
    /// Addendum P/π = 1/DP, depth 0.6866 P = 2.157/DP: d2 = d − 0.6366 P, d3 = d − 1.3732 P. A nut has the same working
    /// depth, and its root the same clearance.
    fn basic(&self, d: Length, p: Length) -> Basic {
        let (addendum, clearance) = (p * (2.0 * ADDENDUM), p * (2.0 * CLEARANCE));
        let minor = d - addendum * 2.0;
        let external = [d, d - addendum, minor - clearance];
        Basic::straight(p, external, [d + clearance, minor], [Angle::deg(self.flank_deg); 2])
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Inch
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        limits::basic_only(thread, BASIC, NO_CLASSES)
    }
    fn dialect(&self) -> &Dialect {
        self.dialect
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let said = self.angles.iter().find_map(|angle| take_word(text, angle));
        if said.is_none() && self.says_angle {
            return None;
        }
        read_rest(text, said.as_deref().unwrap_or(text), self.dialect)
    }
    /// `worm 2-10 DP`, `worm 2-4`, `worm 2-10 DP 20°`: our own writing, there being no standard one.
    fn print(&self, thread: &Thread) -> String {
        let size = match thread.nominal_written {
            Unit::Inch => inches(thread.nominal),
            Unit::Mm => with_unit(thread.nominal, Unit::Mm),
        };
        let angle = if self.says_angle { format!(" {}", self.angles[0]) } else { String::new() };
        format!("worm {size}-{}{angle}{}{}", pitch(thread), left(thread, " LH"), starts_in_words(thread))
    }
}

/// Worms by module, of 20° pressure angle, or of 15° as older ones.
pub(super) struct WormModule;

/// How far the screw's root and the nut's lie beyond the mate's crest, in modules.
const MODULE_CLEARANCE: f64 = 0.2;

const OLDER: &str = "15°";
const MODULE_VARIANTS: [Variant; 1] = [Variant {
    name: OLDER,
    document: Source::memory("worms of 15° pressure angle by module", "flank of 15°, the depths of 20°"),
    differs: "flanks of 15° each side, as on older German worms and worms of steep lead; the default has 20°",
}];
const MODULE_ANGLES: [(&[&str], Option<&str>); 2] =
    [(&["20°", "20 degrees", "20 deg"], None), (&["15°", "15 degrees", "15 deg"], Some(OLDER))];

const MODULE_BASIC: Source = Source::memory(
    "worm proportions by module, as DIN 3975 and shops have them",
    "P = π m, addendum m, dedendum 1.2 m",
);
const BY_MODULE: &str = "Basic sizes from memory: worms have no classes of limits; their thickness is set to the wheel. The \
                         diameter is the one over the crests, q m + 2 m where the diameter factor q is given. The flanks \
                         are straight in the axial plane (worm ZA); other worms (ZN, ZI, ZK) differ from it. The nut given \
                         is that of a feed screw cut with the same tool; a worm wheel is no nut.";

const DIALECT_MODULE: Dialect = Dialect {
    family: Family::WormModule,
    words: &[("worm", None), ("module worm", None), ("worm thread", None), ("schnecke", None)],
    order: Order::Metric,
    ..DIALECT_29
};

impl WormModule {
    fn flank(variant: Option<&'static str>) -> Angle {
        Angle::deg(if variant.is_some() { 15.0 } else { 20.0 })
    }
}

impl Form for WormModule {
    fn key(&self) -> &'static str {
        "worm-module"
    }
    fn name(&self) -> &'static str {
        "module worm"
    }
    fn standard(&self) -> Source {
        MODULE_BASIC
    }
    fn included_angle(&self) -> Angle {
        Self::flank(None) * 2.0
    }
    /// None: worms have no standard diameters.
    fn series(&self) -> &'static [SeriesRow] {
        &[]
    }
    fn basic(&self, d: Length, p: Length) -> Basic {
        self.basic_in(None, d, p)
    }
    /// m = P/π; d2 = d − 2 m, d3 = d − 4.4 m, D1 = d − 4 m, D4 = d + 0.4 m.
    fn basic_in(&self, variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        let m = p / PI;
        let clearance = m * (2.0 * MODULE_CLEARANCE);
        let minor = d - m * 4.0;
        Basic::straight(
            p,
            [d, d - m * 2.0, minor - clearance],
            [d + clearance, minor],
            [Self::flank(variant); 2],
        )
    }
    fn variants(&self) -> &'static [Variant] {
        &MODULE_VARIANTS
    }
    fn ridge(&self) -> Ridge {
        Ridge::FlatTopped
    }
    fn written(&self) -> Unit {
        Unit::Mm
    }
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError> {
        limits::basic_only(thread, MODULE_BASIC, BY_MODULE)
    }
    fn dialect(&self) -> &Dialect {
        &DIALECT_MODULE
    }
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        let said = MODULE_ANGLES.iter().find_map(|(angles, variant)| {
            let rest = angles.iter().find_map(|angle| take_word(text, angle))?;
            Some((rest, *variant))
        });
        let (rest, variant) = said.unwrap_or_else(|| (text.to_owned(), None));
        Some(read_rest(text, &rest, &DIALECT_MODULE)?.map(|thread| Thread { variant, ..thread }))
    }
    /// `worm 30 m2`; a pitch of no short module in millimetres, `module worm 30x6.5`: our own writing, there being no
    /// standard one.
    fn print(&self, thread: &Thread) -> String {
        let (p, left) = (thread.pitch.length, left(thread, " LH"));
        let module = shortest(p.to_mm() / PI, |m| Length::mm(PI * m) == p);
        if thread.pitch.written == Unit::Inch || module.len() > pitch_millimetres(p).len() {
            return format!("module worm {}{left}", metric_size(thread, MetricStarts::LeadThenPitch));
        }
        let size = match thread.nominal_written {
            Unit::Mm => millimetres(thread.nominal),
            Unit::Inch => with_unit(thread.nominal, Unit::Inch),
        };
        format!("worm {size} m{module}{left}{}", starts_in_words(thread))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The recalled flats follow from the recalled depth and the angle (to the last of their three places).
    #[test]
    fn flats_follow_from_the_depth() {
        let (d, p) = (Length::inch(2.0), Length::inch(1.0));
        let basic = WORM_29.basic(d, p);
        assert!((basic.crest_width.to_inch() - 0.335).abs() < 5e-4, "{:?}", basic.crest_width);
        assert!((basic.root_width.to_inch() - 0.310).abs() < 5e-4, "{:?}", basic.root_width);
        assert!(((d - basic.d3).to_inch() / 2.0 - 0.6866).abs() < 1e-12);
        // Depth of a gear tooth of full depth: 2.157/DP.
        assert!((0.6866 * PI - 2.157).abs() < 5e-5);
    }

    #[test]
    fn module_worm_has_the_depths_of_its_module() {
        let thread: Thread = "worm 30 m2".parse().expect("a worm");
        let basic = thread.basic();
        let sizes = [basic.d2, basic.d3, basic.d1_internal, basic.d4_internal].map(Length::to_mm);
        for (size, expected) in sizes.into_iter().zip([26.0, 21.2, 22.0, 30.8]) {
            assert!((size - expected).abs() < 1e-9, "{sizes:?}");
        }
        assert_eq!(thread.pitch.length, Length::mm(2.0 * PI));
    }
}
