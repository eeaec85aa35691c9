//! What a thread of given form and size predicts for each feature: the size at most material, the maker's
//! tolerance, and what use takes away.

use super::chances::{self, Maker, makers};
use super::hands_on::Grooves;
use super::scales::{PROUD, PROUD_BY, TURNED_DOWN, TURNED_OFF, TURNED_SHARE, TURNED_TO, WEAR};
use crate::job::{Condition, Feature};
use flankwise_thread::family::Ridge;
use flankwise_thread::profile::Basic;
use flankwise_thread::wires::{Groove, over_wires_lead_term};
use flankwise_thread::{Element, Family, Length};

/// A form at a diameter and pitch, with what the predictions share. Lengths in millimetres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    pub family: Family,
    pub kind: Kind,
    pub basic: Basic,
    /// Mean of the tangents of the flank angles.
    pub tan: f64,
    pub included_deg: f64,
    /// Leading and following flank.
    pub flanks_deg: (f64, f64),
}

/// What a reading should find.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Prediction {
    /// Size at most material.
    pub at: f64,
    /// Width of the maker's tolerance, away from most material.
    pub tolerance: f64,
    /// Mean of what use takes away.
    pub wear: f64,
    /// Standard deviation of what goes both ways.
    pub spread: f64,
    /// Direction away from most material: -1 where the size falls, +1 where it grows.
    pub away: f64,
    /// The maker's part is the same at all places of a part; not so on a taper.
    pub shared: bool,
}

/// Mean wears beyond which a slip explains a reading better than wear does.
pub(super) const FAR_WORN: f64 = 9.0;

impl Prediction {
    /// A size that scatters to both sides.
    fn even(at: f64, spread: f64) -> Self {
        Self { at, tolerance: 0.0, wear: 0.0, spread, away: -1.0, shared: true }
    }
    /// The same on a taper of so much a pitch, where the place along it is not known.
    fn along(self, a_pitch: f64) -> Self {
        let (before, behind) = if self.away < 0.0 { TAPER_READ } else { (TAPER_READ.1, TAPER_READ.0) };
        Self {
            at: self.at - self.away * before * a_pitch,
            tolerance: self.tolerance + (before + behind) * a_pitch,
            shared: a_pitch == 0.0,
            ..self
        }
    }
    /// How far under a nominal of zero a size falls, and over it; beyond that it is a slip.
    pub(super) fn reach(&self) -> (f64, f64) {
        (self.tolerance - self.at + FAR_WORN * self.wear, self.at + 9.0 * self.spread)
    }
    /// What an average part would read.
    pub(super) fn expected(&self) -> f64 {
        self.at + self.away * (0.5 * self.tolerance + self.wear)
    }
}

/// Shares of the pitch, by condition (unused, used, worn, wrecked).
pub(super) fn share(table: [f64; 4], condition: Condition) -> f64 {
    table[match condition {
        Condition::Unused => 0,
        Condition::Used => 1,
        Condition::Worn => 2,
        Condition::Wrecked => 3,
    }]
}

/// What the outside diameter of a screw depends on besides diameter and pitch: how closely the family is made, and its
/// taper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Kind {
    maker: usize,
    /// Change of diameter for each unit of length.
    pub taper: f64,
    /// Share of the outsides that are turned or bar as it came.
    turned: f64,
}

impl Kind {
    /// Of a size that is listed, or not.
    pub(super) fn of(family: Family, listed: bool) -> Self {
        let taper = family.form().taper().map_or(0.0, |t| t.per_length);
        let turned = match (taper > 0.0, listed) {
            // Turned by the taper's own gauge.
            (true, _) => 0.0,
            (false, true) => TURNED_SHARE.0,
            (false, false) => TURNED_SHARE.1,
        };
        Self { maker: chances::of(family).maker, taper, turned }
    }
    fn maker(self) -> &'static Maker {
        &makers()[self.maker]
    }
}

/// Where a taper thread is read, in pitches from its gauge plane: up to so many towards the large end, and so many
/// towards the small. The useful thread of pipe is 7 to 12 pitches long, with 3 to 5 of them beyond the gauge plane.
/// Chosen here.
const TAPER_READ: (f64, f64) = (5.0, 7.0);

/// The outside diameter of a screw, which needs no basic sizes.
pub(super) fn outside(kind: Kind, d: f64, p: f64, condition: Condition) -> Prediction {
    let (tolerance, wear) = (kind.maker().major(p), share(WEAR.crest, condition) * p);
    Prediction { at: d, tolerance, wear, spread: 0.0, away: -1.0, shared: true }.along(kind.taper * p)
}

/// What may have become of the crests of a screw, each with its chance: as made to the thread's limits and worn, turned to
/// its nominal size, turned down, standing proud.
pub(super) type Crests = [(f64, Prediction); 4];

/// Zone below its nominal of an outside that was turned by it, mm.
pub(super) fn turned_zone(d: f64) -> f64 {
    TURNED_TO * d.cbrt()
}

/// The same crests where turning by the nominal leaves a zone as wide as this.
pub(super) fn turned_by(mut crests: Crests, zone: f64) -> Crests {
    crests[1].1.tolerance = crests[0].1.tolerance.min(zone);
    crests
}

/// The crests of a screw of nominal diameter `d` that were made so.
pub(super) fn crests(made: Prediction, kind: Kind, p: f64, d: f64) -> Crests {
    let off = TURNED_OFF.0 + TURNED_OFF.1 * p;
    let by = PROUD_BY.0 + PROUD_BY.1 * p;
    let plain = 1.0 - PROUD - TURNED_DOWN;
    // What became of the crests later blurs where in its zone they were made: no part of it is shared.
    let blurred = Prediction { shared: false, ..made };
    let as_made = [
        (plain * (1.0 - kind.turned), made),
        (plain * kind.turned, made),
        (TURNED_DOWN, Prediction { wear: made.wear + off, ..blurred }),
        (PROUD, Prediction { at: made.at + by, spread: made.spread.hypot(by), ..blurred }),
    ];
    turned_by(as_made, turned_zone(d))
}

/// How the densities of outside diameters fade below their zones, whatever the kind of maker and whatever became of the
/// crests.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fading {
    /// How far under the nominal the widest zone ends.
    zone: f64,
    /// Chance, mean wear and spread of each state that fades by a law of its own.
    terms: [(f64, f64, f64); 3],
}

impl Fading {
    /// Of these crests of one pitch, of all kinds.
    pub(super) fn of(all: impl Iterator<Item = Crests>) -> Self {
        let mut fading = Self { zone: 0.0, terms: [(0.0, 0.0, 0.0); 3] };
        for [made, turned, down, proud] in all {
            let terms = [(made.0 + turned.0, made.1), down, proud];
            fading.terms = terms.map(|(chance, p)| (chance, p.wear, p.spread));
            let zone = terms.map(|(_, p)| p.tolerance - p.at).into_iter().fold(0.0, f64::max);
            fading.zone = fading.zone.max(zone);
        }
        fading
    }

    /// Upper bound of the density so far under the nominal, read with this noise, where wear is `wear` times its mean: the
    /// density of normal noise and exponential wear is below that of the wear alone, raised by the noise. With `by_chance`
    /// each state counts by its chance; one reading of several does.
    pub(super) fn most(&self, under: f64, noise: f64, wear: f64, by_chance: bool) -> f64 {
        let of = |(chance, mean, spread): (f64, f64, f64)| {
            let chance = if by_chance { chance } else { 1.0 };
            let (mean, variance) = (mean * wear, noise * noise + spread * spread);
            chance / mean * (0.5 * variance / (mean * mean) - (under - self.zone) / mean).exp()
        };
        self.terms.into_iter().map(of).sum()
    }

    /// Mean wear of crests that were made so and left alone.
    pub(super) fn mean_wear(&self) -> f64 {
        self.terms[0].1
    }
}

impl Shape {
    pub(super) fn new(family: Family, d_mm: f64, p_mm: f64) -> Self {
        let basic = family.form().basic(Length::mm(d_mm), Length::mm(p_mm));
        let (leading, following) = (basic.flank_leading, basic.flank_trailing);
        Self {
            family,
            kind: Kind::of(family, true),
            basic,
            tan: 0.5 * (leading.tan() + following.tan()),
            included_deg: (leading + following).to_deg(),
            flanks_deg: (leading.to_deg(), following.to_deg()),
        }
    }

    /// The same where no list has the size.
    pub(super) fn unlisted(self) -> Self {
        Self { kind: Kind::of(self.family, false), ..self }
    }

    /// What a leaf finds.
    pub(super) fn grooves(&self) -> Grooves {
        Grooves { p: self.p(), tan: self.tan, v: self.family.form().ridge().is_v() }
    }

    /// Upright flanks.
    fn square(&self) -> bool {
        self.family.form().ridge() == Ridge::Square
    }

    /// Flanks alike.
    fn even_flanks(&self) -> bool {
        (self.flanks_deg.0 - self.flanks_deg.1).abs() < 0.1
    }

    pub(super) fn d(&self) -> f64 {
        self.basic.d.to_mm()
    }
    pub(super) fn p(&self) -> f64 {
        self.basic.p.to_mm()
    }

    /// Most starts at this pitch: a lead angle of 45° at the pitch diameter. Beyond it a screw does not hold, and is not cut
    /// on a lathe (common practice, no source).
    pub(super) fn most_starts(&self) -> u32 {
        (std::f64::consts::PI * self.basic.d2.to_mm() / self.p()).floor() as u32
    }

    /// Axial width of the ridge at diameter `at` (external thread): P/2 at the pitch diameter.
    pub(super) fn ridge(&self, at: f64) -> f64 {
        0.5 * self.p() - (at - self.basic.d2.to_mm()) * self.tan
    }

    /// The diameter over wires that a pitch diameter at basic size gives, of one start: the lead angle lifts a wire by a
    /// tenth of a millimetre on the coarsest feed screws. A wire too small for the groove lies on its root, one too large
    /// on the crests.
    fn over_wires(&self, w: f64) -> f64 {
        let b = &self.basic;
        let (d, p) = (b.d.to_mm(), self.p());
        let on_root = b.d3.to_mm() + 2.0 * w;
        let gap = 0.5 * (p - b.crest_width.to_mm());
        let on_crests = |w: f64| d + w + 2.0 * (0.25 * w * w - gap * gap).max(0.0).sqrt();
        if self.tan < 0.02 {
            return if 0.5 * w > gap { on_crests(w) } else { on_root };
        }
        let groove = Groove {
            pitch: b.p,
            lead: b.p,
            flank_leading: b.flank_leading,
            flank_trailing: b.flank_trailing,
        };
        let on_flanks = over_wires_lead_term(&groove, b.d2, Length::mm(w)).to_mm();
        let sin = self.tan / self.tan.hypot(1.0);
        let touches_at = on_flanks - w - w * sin;
        if touches_at > d { on_crests(w) } else { on_flanks.max(on_root) }
    }

    /// What `feature` should read on `part`; `None` for features that are no length.
    pub(super) fn predict(
        &self,
        part: Element,
        feature: Feature,
        wire: Option<Length>,
        condition: Condition,
    ) -> Option<Prediction> {
        let b = &self.basic;
        let p = self.p();
        let maker = self.kind.maker();
        let taper = self.kind.taper * p;
        let crest_wear = share(WEAR.crest, condition) * p;
        let flank_wear = share(WEAR.flank, condition) * p;
        // Flanks that lose `flank_wear` along the axis lower the pitch diameter by that over tan α/2; upright
        // flanks hardly at all as a diameter, so the ratio is bounded.
        let slope = self.tan.max(0.15);
        let d2_wear = flank_wear / slope;
        let td2 = maker.pitch(self.d(), p);
        let down = |at: f64, tolerance, wear| Prediction {
            at,
            tolerance,
            wear,
            spread: 0.0,
            away: -1.0,
            shared: true,
        };
        let up = |at: f64, tolerance, wear| Prediction {
            at,
            tolerance,
            wear,
            spread: 0.0,
            away: 1.0,
            shared: true,
        };
        let tapered = |prediction: Prediction| prediction.along(taper);
        let uneven = |spread: f64, prediction: Prediction| Prediction { spread, ..prediction };
        Some(match (part, feature) {
            (Element::External, Feature::MajorDiameter) => outside(self.kind, self.d(), p, condition),
            // Square threads are cut to taste: from half to all of the depth that the rule of thumb gives.
            (Element::External, Feature::MinorDiameter) if self.square() => {
                uneven(0.02 * p, down(b.d.to_mm() - 0.5 * p, 0.5 * p + 1.5 * td2, 0.0))
            }
            (Element::Internal, Feature::MinorDiameter) if self.square() => {
                up(b.d1_internal.to_mm(), 0.5 * p, NUT_WEARS_MORE * crest_wear)
            }
            (Element::External, Feature::ThreadDepth) if self.square() => {
                uneven(0.03 * p, down(0.5 * (b.d - b.d3).to_mm(), 0.25 * p, 0.5 * crest_wear))
            }
            (Element::External, Feature::PitchDiameter) => tapered(down(b.d2.to_mm(), td2, d2_wear)),
            (Element::External, Feature::MinorDiameter) => {
                uneven(0.02 * p, tapered(down(b.d3.to_mm(), 1.5 * td2, 0.1 * d2_wear)))
            }
            (Element::External, Feature::OverWires) => {
                let over = tapered(down(self.over_wires(wire?.to_mm()), td2, d2_wear));
                // Between unlike flanks a wire tips.
                if self.even_flanks() { over } else { uneven(0.15 * p, over) }
            }
            (Element::External, Feature::CrestFlat) => {
                Prediction::even(b.crest_width.to_mm(), (0.03 * p).hypot(2.0 * flank_wear))
            }
            (Element::External, Feature::RootFlat) => {
                uneven(0.03 * p, up(b.root_width.to_mm(), td2 * self.tan, flank_wear))
            }
            (Element::External, Feature::ThreadThickness) => down(0.5 * p, td2 * slope, flank_wear),
            (Element::External, Feature::ThreadDepth) => {
                let depth = 0.5 * (b.d - b.d3).to_mm();
                uneven(0.03 * p, down(depth, 0.5 * maker.major(p), 0.5 * crest_wear))
            }
            (Element::Internal, Feature::MinorDiameter) => {
                tapered(up(b.d1_internal.to_mm(), maker.bore(p), NUT_WEARS_MORE * crest_wear))
            }
            (Element::Internal, Feature::PitchDiameter) => {
                tapered(up(b.d2.to_mm(), 1.32 * td2, NUT_WEARS_MORE * d2_wear))
            }
            (Element::Internal, Feature::MajorDiameter) => {
                uneven(0.02 * p, tapered(up(b.d4_internal.to_mm(), 0.1 * p, NUT_WEARS_MORE * crest_wear)))
            }
            (Element::Internal, Feature::CrestFlat) => Prediction::even(
                p - self.ridge(b.d1_internal.to_mm()),
                (0.03 * p).hypot(2.0 * NUT_WEARS_MORE * flank_wear),
            ),
            (Element::Internal, Feature::RootFlat) => uneven(
                0.03 * p,
                up(b.root_width_internal.to_mm(), td2 * self.tan, NUT_WEARS_MORE * flank_wear),
            ),
            (Element::Internal, Feature::ThreadThickness) => {
                down(0.5 * p, 1.32 * td2 * slope, NUT_WEARS_MORE * flank_wear)
            }
            (Element::Internal, Feature::ThreadDepth) => {
                let depth = 0.5 * (b.d4_internal - b.d1_internal).to_mm();
                uneven(0.04 * p, down(depth, 0.5 * maker.bore(p), NUT_WEARS_MORE * crest_wear))
            }
            (Element::Internal, Feature::OverWires)
            | (_, Feature::Pitch | Feature::Lead | Feature::FlankAngle | Feature::IncludedAngle)
            | (_, Feature::FlankWear | Feature::RunOut) => {
                return None;
            }
        })
    }
}

/// A nut is the softer of the pair and wears first. Common practice, no source for the factor.
const NUT_WEARS_MORE: f64 = 2.0;

/// Standard deviation of an included angle about its nominal, in degrees, by condition: form error of the cut
/// thread, and flanks that wear hollow. Chosen here.
pub(super) fn angle_spread(condition: Condition) -> f64 {
    share([0.3, 0.5, 1.2, 3.0], condition)
}
