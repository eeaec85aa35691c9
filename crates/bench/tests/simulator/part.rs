//! A part as made, and what use did to it.
//!
//! | what | how | from |
//! | --- | --- | --- |
//! | size within its limits | normal about the middle, ±2.3 σ to the limits | process that just holds them (choice) |
//! | shop-made, hand-chased | σ of a half and of one tolerance on the flanks; crests are plain turning | choice |
//! | lead error | 2·10⁻⁴ rolled or cut feed screw: 0.2 mm in 300 mm at the limit | maker's classes, from memory |
//! | flank wear | of the ridge's thickness: used 1 % mean, worn 10 % median, wrecked 20–60 % | a nut has had its full life at half its thickness (a screw maker's guide on wear indicators); rules for jacks scrap a thread at 20 % |
//! | along the part | a hump over the travel, the ends 2–25 % of it | a slide is used in its middle |
//! | crest | follows the flanks at 10–50 % of the depth that they lose on one side, by dirt; once the flanks meet it falls with them | crests clear their mate by design |
//! | scuffs, rust, burrs, plating, paint, a skim cut | rates below | choice |
//!
//! Nothing here asks what a reading could be told apart by.

use super::dice::Dice;
use super::population::{Shape, Truth, Use};
use flankwise_thread::limits::{ElementLimits, Range};
use flankwise_thread::{Element, Length};

/// How far gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    Unused,
    Used,
    Worn,
    Wrecked,
}

impl Condition {
    pub const ALL: [Self; 4] = [Self::Unused, Self::Used, Self::Worn, Self::Wrecked];
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unused => "unused",
            Self::Used => "used",
            Self::Worn => "worn",
            Self::Wrecked => "wrecked",
        }
    }
}

/// Sizes in mm, angles in radians.
#[derive(Clone, Debug)]
pub struct Part {
    pub element: Element,
    pub shape: Shape,
    pub purpose: Use,
    pub condition: Condition,
    /// Length of thread.
    pub length: f64,
    /// As made, metal before wear.
    pub major: f64,
    pub pitch_diameter: f64,
    pub minor: f64,
    pub flanks: (f64, f64),
    /// Relative error of the lead, stretch included.
    pub lead_error: f64,
    /// Amplitude of the error within a few turns.
    pub drunken: f64,
    /// Axial loss of a ridge at the worst place, both flanks together.
    worst: f64,
    end_share: f64,
    centre: f64,
    spread: f64,
    /// Loss of crest on the radius for each mm of axial loss.
    crest_follows: f64,
    /// What the crest lost all along, on diameter.
    scuff: f64,
    /// What sticks up from the crest, on diameter: a burr where it is read, plating or paint everywhere.
    burr: f64,
    coat: f64,
}

/// Who made it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Maker {
    Factory,
    Shop,
    HandChased,
}

impl Part {
    pub fn draw(truth: &Truth, element: Element, condition: Condition, dice: &mut Dice) -> Self {
        let shape = truth.shape.clone();
        let feed = truth.purpose == Use::Feed;
        let maker = match (truth.purpose, truth.listed) {
            (Use::Feed, true) => [75.0, 22.0, 3.0],
            (_, true) => [95.0, 4.0, 1.0],
            (_, false) => [40.0, 54.0, 6.0],
        };
        let maker = [Maker::Factory, Maker::Shop, Maker::HandChased][dice.weighted(&maker)];
        let [major, pitch_diameter, minor] = made(truth, element, maker, dice);
        let sigma_angle: f64 = match maker {
            Maker::Factory => 0.3,
            Maker::Shop => 0.7,
            Maker::HandChased => 1.5,
        };
        let flank = |basic: f64, dice: &mut Dice| {
            (basic + dice.normal_within(sigma_angle, 2.5 * sigma_angle).to_radians()).max(0.0)
        };
        let flanks = (flank(shape.flanks.0, dice), flank(shape.flanks.1, dice));
        let length = if feed { shape.d * dice.between(6.0, 25.0) } else { shape.d * dice.between(0.9, 3.5) };
        let length = if element == Element::Internal { shape.d * dice.between(0.8, 2.0) } else { length };

        let thickness = 0.5 * shape.p;
        let worst = thickness
            * match condition {
                Condition::Unused => 0.0,
                Condition::Used => dice.exponential(0.01).min(0.05),
                Condition::Worn => dice.log_normal(0.10, 0.6).min(0.40),
                Condition::Wrecked => dice.between(0.2, 0.6),
            };
        // The nut of a feed screw is the softer one; a fastening is damaged rather than worn.
        let share = match (feed, element) {
            (true, Element::Internal) => 1.0,
            (true, Element::External) => dice.between(0.25, 0.8),
            (false, _) => 0.3,
        };
        let scuff = match condition {
            Condition::Unused => 0.0,
            Condition::Used => dice.exponential(0.01),
            Condition::Worn => dice.exponential(0.03),
            Condition::Wrecked => dice.exponential(0.10),
        };
        let skimmed = if dice.chance(if condition >= Condition::Used { 0.01 } else { 0.0 }) {
            dice.between(0.1, 0.5).min(0.15 * shape.p)
        } else {
            0.0
        };
        let burr_rate = [0.02, 0.05, 0.12, 0.25][condition as usize];
        let dressed = dice.chance(0.5);
        let burr = if dice.chance(burr_rate) && !dressed { dice.between(0.02, 0.15) } else { 0.0 };
        let coat = coat(truth.purpose, condition, dice);
        Self {
            element,
            purpose: truth.purpose,
            condition,
            length,
            major,
            pitch_diameter,
            minor,
            flanks,
            lead_error: lead_error(maker, truth.purpose, condition, dice),
            drunken: dice.normal(if maker == Maker::Factory { 0.004 } else { 0.012 }),
            worst: worst * share,
            end_share: if feed { dice.between(0.02, 0.25) } else { dice.between(0.5, 1.0) },
            centre: dice.between(0.35, 0.65),
            spread: dice.between(0.15, 0.3),
            crest_follows: dice.between(0.1, 0.5) * depth_ratio(&shape),
            scuff: scuff + skimmed,
            burr,
            coat,
            shape,
        }
    }

    /// Axial loss of the ridge at `place` mm from the end.
    pub fn flank_wear(&self, place: f64) -> f64 {
        if self.element == Element::Internal {
            return self.worst;
        }
        let z = (place / self.length - self.centre) / self.spread;
        self.worst * (self.end_share + (1.0 - self.end_share) * (-0.5 * z * z).exp())
    }

    fn tapered(&self, place: f64) -> f64 {
        // The nominal sizes lie some way in from the small end; a little short of one diameter.
        self.shape.taper * (place - 0.6 * self.shape.d.min(30.0))
    }

    /// Outside diameter of the screw, or root of the nut, as a flat jaw would meet it.
    pub fn major_at(&self, place: f64) -> f64 {
        let taper = self.tapered(place);
        if self.element == Element::Internal {
            return self.major - taper;
        }
        let wear = self.flank_wear(place);
        let crest = self.major - self.scuff - 2.0 * self.crest_follows * wear;
        let t = self.flanks.0.tan() + self.flanks.1.tan();
        // Where the worn flanks meet.
        let point = if t > 0.02 { self.pitch_at(place) + self.shape.p / t } else { f64::INFINITY };
        crest.min(point) + self.burr + self.coat + taper
    }

    /// Core of the screw, or bore of the nut.
    pub fn minor_at(&self, place: f64) -> f64 {
        let taper = self.tapered(place);
        if self.element == Element::External {
            return self.minor + self.coat + taper;
        }
        let wear = self.flank_wear(place);
        let crest = self.minor + self.scuff + 2.0 * self.crest_follows * wear;
        crest - self.burr - self.coat - taper
    }

    /// Diameter at which ridge and groove are equally wide.
    pub fn pitch_at(&self, place: f64) -> f64 {
        let t = self.flanks.0.tan() + self.flanks.1.tan();
        if t < 0.02 {
            return self.pitch_diameter;
        }
        let moved = 2.0 * self.flank_wear(place) / t;
        if self.element == Element::External {
            self.pitch_diameter - moved
        } else {
            self.pitch_diameter + moved
        }
    }

    /// Axial width of the crest of the ridge.
    pub fn crest_width(&self, place: f64) -> f64 {
        let t = self.flanks.0.tan() + self.flanks.1.tan();
        let (crest, away) = match self.element {
            Element::External => (self.major_at(place) - self.burr - self.coat, 1.0),
            Element::Internal => (self.minor_at(place) + self.burr + self.coat, -1.0),
        };
        (0.5 * self.shape.p
            - self.flank_wear(place) * f64::from(t < 0.02)
            - away * (crest - self.pitch_at(place)) / 2.0 * t)
            .max(0.0)
    }

    /// Thickness of plating or paint.
    pub fn coat_thickness(&self) -> f64 {
        0.5 * self.coat
    }

    /// Distance along the axis over `count` pitches from `place`.
    pub fn span(&self, count: u32, place: f64, dice: &mut Dice) -> f64 {
        let length = f64::from(count) * self.shape.p * (1.0 + self.lead_error);
        // One flank wears more: the middle of a crest moves by half the difference.
        let moved = 0.3 * (self.flank_wear(place + length) - self.flank_wear(place));
        length + moved + self.drunken * (dice.unit() - dice.unit())
    }
}

impl PartialOrd for Condition {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        (*self as usize).partial_cmp(&(*other as usize))
    }
}

/// How deep a flank is for its width: what rubs away a flank by its width rubs the crest by no more than its depth.
fn depth_ratio(shape: &Shape) -> f64 {
    (0.5 * (shape.d - shape.d3).abs() / shape.p).clamp(0.3, 0.7)
}

/// Major, pitch and minor diameter as made.
fn made(truth: &Truth, element: Element, maker: Maker, dice: &mut Dice) -> [f64; 3] {
    let shape = &truth.shape;
    let book = truth.limits.as_ref();
    let book = book
        .and_then(|l| if element == Element::External { l.external.as_ref() } else { l.internal.as_ref() });
    // Without limits: a tolerance as of medium fits of V threads, which grows with the root of the pitch.
    let loose = 0.12 * shape.p.sqrt();
    let (down, basic) = match element {
        Element::External => (true, [shape.d, shape.d2, shape.d3]),
        Element::Internal => (false, [shape.d4, shape.d2, shape.d1]),
    };
    let zone = |basic: f64, range: Option<&Range>| {
        let mm = |l: Option<Length>| l.map(Length::to_mm);
        let (max, min) = range.map_or((None, None), |r| (mm(r.max), mm(r.min)));
        match (max, min) {
            (Some(max), Some(min)) => (min, max),
            // A side left open: cutters leave up to a twentieth of the pitch more room than asked for.
            (Some(max), None) => (max - 0.1 * shape.p, max),
            (None, Some(min)) => (min, min + 0.1 * shape.p),
            (None, None) if down => (basic - loose, basic),
            (None, None) => (basic, basic + loose),
        }
    };
    let of = |f: fn(&ElementLimits) -> &Range| book.map(f);
    let zones = [
        zone(basic[0], of(|l| &l.major)),
        zone(basic[1], of(|l| &l.pitch)),
        zone(basic[2], of(|l| &l.minor)),
    ];
    let sigma = match maker {
        Maker::Factory => 0.22,
        Maker::Shop => 0.5,
        Maker::HandChased => 1.0,
    };
    let mut sizes = zones.map(|(min, max)| {
        let most = if maker == Maker::Factory { 0.5 } else { 2.0 * sigma };
        min + (max - min) * (0.5 + dice.normal_within(sigma, most))
    });
    if maker != Maker::Factory {
        // Whoever cuts one screw turns its outside, or bores the nut, by the nominal size and a little to the safe
        // side: that is plain turning, and has nothing to do with how well the thread is chased.
        let safe = (0.06 + dice.normal(0.05)).max(-0.02);
        match element {
            Element::External => sizes[0] = shape.d - safe,
            Element::Internal => sizes[2] = shape.d1 + safe + dice.between(0.0, 0.08 * shape.p),
        }
    }
    sizes
}

fn lead_error(maker: Maker, purpose: Use, condition: Condition, dice: &mut Dice) -> f64 {
    let sigma = match (maker, purpose) {
        (Maker::Factory, Use::Feed) => 2e-4,
        (Maker::Factory, _) => 5e-4,
        (Maker::Shop, _) => 4e-4,
        (Maker::HandChased, _) => 3e-3,
    };
    let mut error = dice.normal(sigma);
    // An approximate gear train: 127 teeth left out.
    if maker == Maker::Shop && dice.chance(0.05) {
        error += dice.between(-2e-3, 2e-3);
    }
    let stretched = match (purpose, condition) {
        (Use::Fastening, Condition::Used) => 0.01,
        (Use::Fastening, Condition::Worn) => 0.03,
        (Use::Fastening, Condition::Wrecked) => 0.08,
        (Use::Feed, Condition::Wrecked) => 0.01,
        _ => 0.0,
    };
    if dice.chance(stretched) {
        error += dice.between(0.002, 0.02);
    }
    error
}

/// Plating and paint on diameter.
fn coat(purpose: Use, condition: Condition, dice: &mut Dice) -> f64 {
    let plated = match (purpose, condition) {
        (Use::Feed, _) => 0.02,
        (_, Condition::Unused | Condition::Used) => 0.35,
        (_, _) => 0.10,
    };
    let paint = if condition == Condition::Unused { 0.0 } else { 0.02 };
    if dice.chance(paint) {
        dice.between(0.04, 0.2)
    } else if dice.chance(plated) {
        dice.between(0.008, 0.03)
    } else {
        0.0
    }
}
