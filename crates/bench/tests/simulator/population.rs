//! What comes to the bench: families, sizes, starts, hands, and parts of nobody's series.
//!
//! # Why these weights
//!
//! Nobody has counted. The nearest to a count are the public situations that practitioners posted (the project's
//! collection of 63; where they name a form, about 20 inch V, 7 metric V, 7 Whitworth or BA, 9 feed screws, 5
//! pipe). They are from forums in English, where inch threads are commoner and a plain part is not worth a post;
//! so metric V and metric trapezoidal are weighted up (a choice), inch V down, and what is off every series, half of
//! those posts, is taken as a quarter of feed screws and a tenth of fastenings. Families that few have met share
//! what is left, each with a weight of its own or that of its kind.
//!
//! All are choices of this file and of nothing else: the program that is judged does not see them.

use super::dice::Dice;
use flankwise_thread::family::{Ridge, SeriesRow};
use flankwise_thread::limits::{Limits, limits};
use flankwise_thread::{Element, Family, Hand, Length, Pitch, Thread, Unit, catalogue};

/// What the thread was for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// Moves something: long, worn in its middle.
    Feed,
    /// Holds something: short, seldom turned.
    Fastening,
    /// Joins pipes.
    Pipe,
}

/// Basic sizes in mm and what else defines a thread.
#[derive(Clone, Debug)]
pub struct Shape {
    pub d: f64,
    pub p: f64,
    pub d2: f64,
    /// Bore of the nut.
    pub d1: f64,
    /// Core of the screw.
    pub d3: f64,
    /// Root of the nut.
    pub d4: f64,
    /// Flank angles, radians.
    pub flanks: (f64, f64),
    pub ridge: Ridge,
    /// Change of diameter for each unit of length.
    pub taper: f64,
    pub starts: u32,
    pub left: bool,
}

impl Shape {
    pub fn of(thread: &Thread) -> Self {
        let basic = thread.basic();
        let form = thread.family.form();
        Self {
            d: basic.d.to_mm(),
            p: basic.p.to_mm(),
            d2: basic.d2.to_mm(),
            d1: basic.d1_internal.to_mm(),
            d3: basic.d3.to_mm(),
            d4: basic.d4_internal.to_mm(),
            flanks: (basic.flank_leading.to_rad(), basic.flank_trailing.to_rad()),
            ridge: form.ridge(),
            taper: form.taper().map_or(0.0, |t| t.per_length),
            starts: thread.starts,
            left: thread.hand == Hand::Left,
        }
    }
}

/// What lies on the bench, before anyone has measured it.
#[derive(Clone, Debug)]
pub struct Truth {
    /// None for a form of its maker's own.
    pub thread: Option<Thread>,
    pub shape: Shape,
    pub purpose: Use,
    pub listed: bool,
    /// Where the machine was made.
    pub country: &'static str,
    /// What its standard allows, in the class that is usual.
    pub limits: Option<Limits>,
}

impl Truth {
    pub fn of(thread: Thread, purpose: Use) -> Self {
        Self {
            shape: Shape::of(&thread),
            limits: limits(&thread).ok(),
            listed: thread.in_series(),
            thread: Some(thread),
            purpose,
            country: "",
        }
    }

    /// Name in tables: key of the family, or `own form`.
    pub fn family(&self) -> &'static str {
        self.thread.as_ref().map_or("own form", |t| t.family.form().key())
    }
    pub fn name(&self) -> String {
        match &self.thread {
            Some(thread) => thread.to_string(),
            None => {
                let s = &self.shape;
                let angle = (s.flanks.0 + s.flanks.1).to_degrees();
                format!("own form {:.2} x {:.3} mm, {angle:.0} deg, {} start", s.d, s.p, s.starts)
            }
        }
    }
}

/// Percent of the parts on the bench, by family.
const WEIGHTS: &[(&str, f64)] = &[
    ("metric-trapezoidal", 11.0),
    ("acme", 15.0),
    ("square", 4.0),
    ("metric", 24.0),
    ("unified", 19.0),
    ("whitworth", 10.0),
    ("stub-acme", 0.7),
    ("ba", 2.0),
    ("bsp", 3.0),
    ("bsp-taper", 1.2),
    ("npt", 1.5),
    ("national", 1.5),
    ("cycle", 0.7),
];
/// Any other family: one that some meet (a pipe, a feed or clamp screw) and one that few ever see.
const OTHER_FEED: f64 = 0.4;
const OTHER_V: f64 = 0.25;

fn weight(family: Family) -> f64 {
    let form = family.form();
    let named = WEIGHTS.iter().find(|(key, _)| *key == form.key()).map(|(_, w)| *w);
    named.unwrap_or(if form.ridge().is_v() && form.taper().is_none() { OTHER_V } else { OTHER_FEED })
}

/// What a family is for.
fn purpose(family: Family, dice: &mut Dice) -> Use {
    let form = family.form();
    if form.taper().is_some() || form.key() == "bsp" {
        Use::Pipe
    } else if form.ridge().is_v() {
        // Old small machines have V-threaded feed screws too.
        if dice.chance(0.03) { Use::Feed } else { Use::Fastening }
    } else {
        Use::Feed
    }
}

/// Share that no standard lists, of families whose forms are cut in any size; the others are only what is listed.
fn off_series_share(key: &str) -> f64 {
    match key {
        "metric-trapezoidal" | "acme" => 0.25,
        "square" => 0.40,
        "metric" | "unified" | "whitworth" => 0.10,
        _ => 0.0,
    }
}

/// Share of forms that are in no family: an angle of the maker's own, or a size that nobody prefers.
const OWN_FORM: f64 = 0.01;

/// How often a listed size is met, by its series and the standard's own order of choice.
fn commonness(row: &SeriesRow) -> f64 {
    let series = match row.series {
        "fine" | "UNF" | "BSF" => 0.5,
        "UNEF" | "UNS" | "UN" | "constant pitch" => 0.1,
        _ => 1.0,
    };
    let choice = match row.choice {
        2 => 0.5,
        3 => 0.2,
        _ => 1.0,
    };
    series * choice
}

/// How often a diameter lies on a bench: median and spread of its logarithm. Bench and garage machines carry feed
/// screws of 12 to 40 mm and fastenings of 4 to 30 mm.
fn size_weight(d_mm: f64, purpose: Use) -> f64 {
    let (median, sigma) = match purpose {
        Use::Feed => (22.0f64, 0.45),
        Use::Fastening => (11.0, 0.65),
        Use::Pipe => (20.0, 0.5),
    };
    let z = (d_mm / median).ln() / sigma;
    (-0.5 * z * z).exp()
}

/// Where machines with a family's threads were made, by how many of the machines that come to a bench today (choice:
/// America kept to its own threads, Britain went from Whitworth and BA by way of Unified to metric, the rest is
/// metric). One part in ten was replaced by what was at hand elsewhere, and says nothing.
pub fn country(family: Option<Family>, dice: &mut Dice) -> &'static str {
    const METRIC: &[(&str, f64)] = &[
        ("DE", 32.0),
        ("CN", 14.0),
        ("JP", 11.0),
        ("GB", 11.0),
        ("IT", 9.0),
        ("FR", 9.0),
        ("CZ", 7.0),
        ("US", 7.0),
    ];
    const AMERICAN: &[(&str, f64)] = &[("US", 66.0), ("GB", 16.0), ("CA", 7.0), ("CN", 6.0), ("JP", 5.0)];
    const BRITISH: &[(&str, f64)] = &[("GB", 80.0), ("AU", 7.0), ("IN", 6.0), ("DE", 4.0), ("US", 3.0)];
    const INCH: &[(&str, f64)] = &[("US", 50.0), ("GB", 42.0), ("CA", 4.0), ("AU", 4.0)];
    let list = match family.filter(|_| !dice.chance(0.1)).map(|f| (f.form().key(), f.form().written())) {
        Some((
            "unified" | "unified-j" | "national" | "npt" | "acme" | "sharp-v" | "stub-acme" | "buttress-inch",
            _,
        )) => AMERICAN,
        Some(("whitworth" | "ba" | "cycle" | "brass" | "model-engineer", _)) => BRITISH,
        Some((_, Unit::Inch)) => INCH,
        Some(_) => METRIC,
        None => dice.pick::<&[(&str, f64)]>(&[METRIC, INCH]),
    };
    let weights: Vec<f64> = list.iter().map(|c| c.1).collect();
    list[dice.weighted(&weights)].0
}

/// Draws a part.
pub fn draw(dice: &mut Dice) -> Truth {
    if dice.chance(OWN_FORM) {
        return own_form(dice);
    }
    let weights: Vec<f64> = Family::ALL.iter().map(|f| weight(*f)).collect();
    let family = Family::ALL[dice.weighted(&weights)];
    let purpose = purpose(family, dice);
    let lists = !family.form().series().is_empty();
    let listed = lists && !dice.chance(off_series_share(family.form().key()));
    let mut thread =
        if listed { listed_size(family, purpose, dice) } else { any_size(family, purpose, dice) };
    thread.starts = match purpose {
        Use::Feed => [1, 2, 3, 4][dice.weighted(&[92.0, 6.0, 1.0, 1.0])],
        _ => [1, 2][dice.weighted(&[99.7, 0.3])],
    };
    // Cross-slide screws of inch lathes are left-handed as a rule, tailstocks and vices often.
    let left = match purpose {
        Use::Feed => 0.20,
        Use::Fastening => 0.03,
        Use::Pipe => 0.005,
    };
    thread.hand = if dice.chance(left) { Hand::Left } else { Hand::Right };
    Truth::of(thread, purpose)
}

fn listed_size(family: Family, purpose: Use, dice: &mut Dice) -> Thread {
    let rows: Vec<_> = catalogue().iter().filter(|r| r.family == family).collect();
    let weights: Vec<f64> =
        rows.iter().map(|r| commonness(&r.row) * size_weight(r.row.nominal.to_mm(), purpose)).collect();
    rows[dice.weighted(&weights)].thread()
}

/// Pitches that lathes cut without thought.
const MM_PITCHES: &[f64] = &[
    0.5, 0.7, 0.75, 0.8, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0,
];
const TPI: &[f64] = &[
    2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 16.0, 18.0, 19.0,
    20.0, 22.0, 24.0, 26.0, 27.0, 28.0, 32.0, 36.0, 40.0,
];

/// Diameter and pitch both in the unit of the form; diameter in the other unit; pitch in the other unit. Form and
/// pitch come from the lathe and its tools, the diameter from the bar, so it is the diameter that is foreign as a
/// rule: metric bar on an inch lathe, or the other way round.
const MIXED: [f64; 3] = [78.0, 18.0, 4.0];

/// A size off every series, as its maker would choose it: a round diameter, often the bar as it came, and a pitch
/// that the lathe or the dial asked for.
fn any_size(family: Family, purpose: Use, dice: &mut Dice) -> Thread {
    let home = family.form().written();
    let away = if home == Unit::Mm { Unit::Inch } else { Unit::Mm };
    let (d_unit, p_unit) = match dice.weighted(&MIXED) {
        0 => (home, home),
        1 => (away, home),
        _ => (home, away),
    };
    loop {
        let diameters = if d_unit == Unit::Mm { mm_diameters(purpose) } else { inch_diameters(purpose) };
        let d = drawn(&diameters, dice);
        if let Some(pitch) = gear_pitch(family, dice) {
            return Thread::new(family, d, d_unit, pitch);
        }
        let pitch = drawn(&pitches(p_unit, d, purpose), dice);
        if family.form().basic(d, pitch.length).d3.to_mm() > 0.4 * d.to_mm() {
            return Thread::new(family, d, d_unit, pitch);
        }
    }
}

/// Worms have the pitch of their wheel: π times the module, or π in over the diametral pitch.
fn gear_pitch(family: Family, dice: &mut Dice) -> Option<Pitch> {
    const MODULES: &[f64] = &[0.5, 0.6, 0.8, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0];
    const DIAMETRAL: &[f64] = &[6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 24.0, 32.0];
    match family.form().key() {
        "worm-module" => Some(Pitch::mm(std::f64::consts::PI * dice.pick(MODULES))),
        "worm-dp" => Some(Pitch::tpi(dice.pick(DIAMETRAL) / std::f64::consts::PI)),
        _ => None,
    }
}

fn drawn<T: Copy>(of: &[(T, f64)], dice: &mut Dice) -> T {
    let weights: Vec<f64> = of.iter().map(|(_, w)| *w).collect();
    of[dice.weighted(&weights)].0
}

/// Pitches with how usual they are on this diameter.
fn pitches(unit: Unit, d: Length, purpose: Use) -> Vec<(Pitch, f64)> {
    let typical = match purpose {
        Use::Feed => 0.62 * d.to_mm().powf(0.65),
        _ => 0.38 * d.to_mm().powf(0.62),
    };
    let near = |p: Pitch| (p, (-0.5 * ((p.length.to_mm() / typical).ln() / 0.3).powi(2)).exp());
    match unit {
        Unit::Mm => MM_PITCHES.iter().map(|p| near(Pitch::mm(*p))).collect(),
        Unit::Inch => TPI.iter().map(|n| near(Pitch::tpi(*n))).collect(),
    }
}

/// Whole and half millimetres; even ones are stocked more.
fn mm_diameters(purpose: Use) -> Vec<(Length, f64)> {
    let step = |d: f64| match d {
        d if d % 5.0 == 0.0 => 3.0,
        d if d % 2.0 == 0.0 => 2.0,
        d if d % 1.0 == 0.0 => 1.0,
        _ => 0.05,
    };
    let sizes = (4..=160).map(|half| f64::from(half) / 2.0);
    sizes.map(|d| (Length::mm(d), step(d) * size_weight(d, purpose) / d)).collect()
}

/// Sixteenths mostly, thirty-seconds now and then.
fn inch_diameters(purpose: Use) -> Vec<(Length, f64)> {
    let step = |n: u32| match n {
        n if n.is_multiple_of(8) => 3.0,
        n if n.is_multiple_of(4) => 2.0,
        n if n.is_multiple_of(2) => 1.0,
        _ => 0.1,
    };
    let sizes = (4..=96).map(|n| (n, f64::from(n) / 32.0));
    sizes.map(|(n, d)| (Length::inch(d), step(n) * size_weight(25.4 * d, purpose) / d)).collect()
}

/// A form in no family: half of them an odd angle on a round size, half a usual angle on an odd size.
fn own_form(dice: &mut Dice) -> Truth {
    let purpose = Use::Feed;
    let odd_angle = dice.chance(0.5);
    let (half_angle, ridge): (f64, Ridge) = if odd_angle {
        *dice.pick(&[
            (10.0, Ridge::FlatTopped),
            (17.5, Ridge::FlatTopped),
            (20.0, Ridge::FlatTopped),
            (25.0, Ridge::Sharp),
        ])
    } else {
        *dice.pick(&[(15.0, Ridge::FlatTopped), (30.0, Ridge::Sharp)])
    };
    let (d, p) = if odd_angle {
        let t = any_size(Family::MetricTrapezoidal, purpose, dice);
        (t.nominal.to_mm(), t.pitch.length.to_mm())
    } else {
        let d = dice.log_normal(20.0, 0.45);
        (d, dice.log_normal(0.62 * d.powf(0.65), 0.3).min(0.3 * d))
    };
    let alpha = half_angle.to_radians();
    let depth = if ridge == Ridge::FlatTopped { 0.5 * p } else { 0.6 * p };
    let clearance = 0.03 * p;
    let shape = Shape {
        d,
        p,
        d2: d - depth,
        d1: d - 2.0 * depth,
        d3: d - 2.0 * depth - 2.0 * clearance,
        d4: d + 2.0 * clearance,
        flanks: (alpha, alpha),
        ridge,
        taper: 0.0,
        starts: 1,
        left: dice.chance(0.1),
    };
    Truth { thread: None, shape, purpose, listed: false, country: "", limits: None }
}

/// What is on the bench: the screw, the nut, or both.
pub fn elements(truth: &Truth, dice: &mut Dice) -> Vec<Element> {
    // A ruined nut comes with the screw that ruined it; a stripped hole comes alone.
    let weights = match truth.purpose {
        Use::Feed => [75.0, 5.0, 20.0],
        _ => [90.0, 7.0, 3.0],
    };
    match dice.weighted(&weights) {
        0 => vec![Element::External],
        1 => vec![Element::Internal],
        _ => vec![Element::External, Element::Internal],
    }
}

/// Every single-start right-hand thread that [`draw`] can draw near a size, with its chance among all parts; own
/// forms are left out. `purpose` is that of the part in question.
pub fn near(d_mm: f64, p_mm: f64, of: Use) -> Vec<(Thread, f64)> {
    let close = |d: f64, p: f64| (d / d_mm).ln().abs() < 0.06 && (p / p_mm).ln().abs() < 0.12;
    let total: f64 = Family::ALL.iter().map(|f| weight(*f)).sum();
    let mut found = Vec::new();
    for family in Family::ALL {
        let form = family.form();
        let of_purpose = match (form.taper().is_some() || form.key() == "bsp", form.ridge().is_v(), of) {
            (true, _, Use::Pipe) | (false, false, Use::Feed) => 1.0,
            (false, true, Use::Fastening) => 0.97,
            (false, true, Use::Feed) => 0.03,
            _ => continue,
        };
        let share = weight(family) / total * of_purpose;
        let off = if form.series().is_empty() { 1.0 } else { off_series_share(form.key()) };
        let rows: Vec<_> = catalogue().iter().filter(|r| r.family == family).collect();
        let weights: Vec<f64> =
            rows.iter().map(|r| commonness(&r.row) * size_weight(r.row.nominal.to_mm(), of)).collect();
        let sum: f64 = weights.iter().sum();
        for (row, weight) in rows.iter().zip(weights) {
            if close(row.row.nominal.to_mm(), row.row.pitch.length.to_mm()) {
                found.push((row.thread(), share * (1.0 - off) * weight / sum));
            }
        }
        if off > 0.0 && !form.key().starts_with("worm") {
            found.extend(off_series_near(family, of, &close).into_iter().map(|(t, p)| (t, p * share * off)));
        }
    }
    found
}

/// The same of [`any_size`], for one family.
fn off_series_near(family: Family, of: Use, close: &dyn Fn(f64, f64) -> bool) -> Vec<(Thread, f64)> {
    let home = family.form().written();
    let away = if home == Unit::Mm { Unit::Inch } else { Unit::Mm };
    let mut found = Vec::new();
    for ((d_unit, p_unit), mixed) in [(home, home), (away, home), (home, away)].into_iter().zip(MIXED) {
        let diameters = if d_unit == Unit::Mm { mm_diameters(of) } else { inch_diameters(of) };
        let sum: f64 = diameters.iter().map(|d| d.1).sum();
        for (d, chance) in diameters {
            let pitches = pitches(p_unit, d, of);
            let all: f64 = pitches.iter().map(|p| p.1).sum();
            for (pitch, share) in pitches {
                if close(d.to_mm(), pitch.length.to_mm()) {
                    let chance = mixed / MIXED.iter().sum::<f64>() * chance / sum * share / all;
                    found.push((Thread::new(family, d, d_unit, pitch), chance));
                }
            }
        }
    }
    found
}
