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
    ("british-association", 2.0),
    ("pipe-parallel", 3.0),
    ("pipe-taper", 1.2),
    ("npt", 1.5),
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
    if form.taper().is_some() || form.key().starts_with("pipe") {
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

/// Draws a part.
pub fn draw(dice: &mut Dice) -> Truth {
    if dice.chance(OWN_FORM) {
        return own_form(dice);
    }
    let weights: Vec<f64> = Family::ALL.iter().map(|f| weight(*f)).collect();
    let family = Family::ALL[dice.weighted(&weights)];
    let purpose = purpose(family, dice);
    let listed = !dice.chance(off_series_share(family.form().key()));
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
        let d = match d_unit {
            Unit::Mm => round_mm(purpose, dice),
            Unit::Inch => round_inch(purpose, dice),
        };
        let typical = match purpose {
            Use::Feed => 0.62 * d.to_mm().powf(0.65),
            _ => 0.38 * d.to_mm().powf(0.62),
        };
        let near = |p_mm: f64| (-0.5 * ((p_mm / typical).ln() / 0.3).powi(2)).exp();
        let pitch = match p_unit {
            Unit::Mm => {
                let weights: Vec<f64> = MM_PITCHES.iter().map(|p| near(*p)).collect();
                Pitch::mm(MM_PITCHES[dice.weighted(&weights)])
            }
            Unit::Inch => {
                let weights: Vec<f64> = TPI.iter().map(|n| near(25.4 / n)).collect();
                Pitch::tpi(TPI[dice.weighted(&weights)])
            }
        };
        if family.form().basic(d, pitch.length).d3.to_mm() > 0.4 * d.to_mm() {
            return Thread::new(family, d, d_unit, pitch);
        }
    }
}

/// A whole or half millimetre; even ones are stocked more.
fn round_mm(purpose: Use, dice: &mut Dice) -> Length {
    let sizes: Vec<f64> = (4..=160).map(|half| f64::from(half) / 2.0).collect();
    let weights: Vec<f64> = sizes
        .iter()
        .map(|d| {
            let step: f64 = match d {
                d if d % 5.0 == 0.0 => 3.0,
                d if d % 2.0 == 0.0 => 2.0,
                d if d % 1.0 == 0.0 => 1.0,
                _ => 0.05,
            };
            step * size_weight(*d, purpose) / d
        })
        .collect();
    Length::mm(sizes[dice.weighted(&weights)])
}

/// Sixteenths mostly, thirty-seconds now and then.
fn round_inch(purpose: Use, dice: &mut Dice) -> Length {
    let sizes: Vec<f64> = (4..=96).map(|n| f64::from(n) / 32.0).collect();
    let weights: Vec<f64> = sizes
        .iter()
        .map(|d| {
            let step: f64 = match (d * 32.0) as i64 {
                n if n % 8 == 0 => 3.0,
                n if n % 4 == 0 => 2.0,
                n if n % 2 == 0 => 1.0,
                _ => 0.1,
            };
            step * size_weight(25.4 * d, purpose) / d
        })
        .collect();
    Length::inch(sizes[dice.weighted(&weights)])
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
    Truth { thread: None, shape, purpose, listed: false, limits: None }
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
