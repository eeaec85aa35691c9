//! All candidates: what the standards list, and every combination of preferred diameters, pitches and forms.
//!
//! Stored as parallel columns and built once. Starts and hand are not stored: they multiply each row by eight and
//! act on few pieces of evidence, so the ranking adds them to the rows that survive.
//!
//! # Prior
//! Most threads that come to a bench were made to a list, so the listed sizes share most of the probability: four
//! fifths of the V threads, three fifths of the feed threads (`data/family-chances.csv`), because makers of machine tools cut feed screws with
//! whatever lead suited the dial, on whatever bar they had. The rest is spread over all combinations, with more on
//! diameters that the list has, on round sizes, on pitches usual for the diameter, and on diameter and pitch of one
//! unit system. The shares are chosen here; there is no survey to take them from.

use super::chances;
use super::size::turned_zone;
use flankwise_thread::family::{SeriesRow, catalogue};
use flankwise_thread::{Family, Length, Pitch, Unit};
use std::ops::Range;
use std::sync::LazyLock;

/// Coarsest pitch, as a share of the diameter.
pub(super) const COARSEST: f64 = 0.55;

/// Highest number of starts considered.
pub(super) const MOST_STARTS: u32 = 4;

/// A diameter that a maker may choose.
#[derive(Clone, Copy, Debug)]
pub(super) struct Diameter {
    pub mm: f64,
    pub written: Unit,
    weight: f64,
    /// A number size, which only V threads have.
    number: bool,
}

/// How the cutters of wheels for worms are sized.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Cutter {
    Diametral,
    Module,
}

/// A pitch that a maker may choose.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub pitch: Pitch,
    pub mm: f64,
    weight: f64,
    /// Of the cutter of a worm's wheel.
    cutter: Option<Cutter>,
}

/// Rows of one diameter and pitch.
pub(super) struct Block {
    /// Index into the pool's `diameters`.
    pub diameter: usize,
    /// Index into the pool's `pitches`.
    pub pitch: usize,
    pub rows: Range<usize>,
    /// Natural log of the priors' sum.
    pub ln_prior: f64,
}

/// The candidates, sorted by diameter, pitch and family.
pub(super) struct Pool {
    pub diameters: Vec<Diameter>,
    /// Zone below each diameter of an outside that was turned by it, mm.
    pub turned_zones: Vec<f64>,
    pub pitches: Vec<Step>,
    /// Index into [`Family::ALL`].
    pub family: Vec<u8>,
    /// Index into `pitches`.
    pub pitch: Vec<u16>,
    /// Index into `diameters`.
    pub diameter: Vec<u16>,
    /// Natural log of the prior within the family.
    pub ln_prior: Vec<f32>,
    pub listed: Vec<bool>,
    /// All rows, in their order.
    pub blocks: Vec<Block>,
    /// Blocks of each diameter.
    pub of_diameter: Vec<Range<usize>>,
}

/// The pool, built at first use.
pub(super) fn pool() -> &'static Pool {
    static POOL: LazyLock<Pool> = LazyLock::new(build);
    &POOL
}

impl Pool {
    /// Rows, without starts and hand.
    pub(super) fn len(&self) -> usize {
        self.family.len()
    }
}

/// Whether the family has V flanks (the others carry feed screws).
pub(super) fn is_v(family: Family) -> bool {
    family.form().ridge().is_v()
}

/// Weight of a listed size against others of its family: coarse threads are the most common by far, and the standards'
/// own order of choice tells what is stocked.
fn series_weight(family: Family, row: &SeriesRow) -> f64 {
    let feed = !is_v(family);
    let series = match row.series {
        // The standards of feed threads list a coarse and a fine pitch beside the one that is made.
        "coarse" | "fine" if feed => 0.25,
        "fine" | "UNF" | "BSF" | "NF" => 0.5,
        "UNEF" | "NEF" => 0.12,
        "UN" | "constant" | "constant pitch" => 0.06,
        "UNS" | "NS" | "BSCon" => 0.03,
        "ME" | "brass" => 0.15,
        _ => 1.0,
    };
    let choice = match row.choice {
        2 => 0.5,
        3 => 0.25,
        _ => 1.0,
    };
    series * choice * bell(row.nominal.to_mm())
}

/// How common a diameter is on a bench: most are between 5 and 40 mm.
fn bell(d_mm: f64) -> f64 {
    let off = (d_mm / 14.0).ln() / 1.1;
    (-0.5 * off * off).exp()
}

const MM_PITCHES: [f64; 38] = [
    0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5,
    2.75, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0,
];

const TPI: [f64; 47] = [
    1.0, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0, 3.25, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 9.0,
    10.0, 11.0, 11.5, 12.0, 13.0, 14.0, 15.0, 16.0, 18.0, 19.0, 20.0, 22.0, 24.0, 25.0, 26.0, 27.0, 28.0,
    30.0, 32.0, 36.0, 40.0, 44.0, 48.0, 56.0, 60.0, 64.0, 72.0,
];

/// Diametral pitches of the cutters that wheels for worms are made with (common practice, no source).
const DIAMETRAL: [f64; 17] =
    [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0, 32.0];

/// Modules of the same (DIN 780-1, series 1, from memory).
const MODULES: [f64; 16] = [0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];

/// Finest pitch of feed threads in the standards: 1.5 mm in ISO 2902, 16 threads per inch in ASME B1.5 (1.59 mm); and how
/// much rarer a finer one is, for which there is neither tool nor gauge. The share is chosen here.
const FINEST_FEED: (f64, f64) = (1.49, 0.05);

fn diameters() -> Vec<Diameter> {
    let mut all = Vec::new();
    let mut add = |mm: f64, written, weight, number| all.push(Diameter { mm, written, weight, number });
    for whole in 1..=100_u32 {
        let weight = match whole {
            w if w % 10 == 0 => 1.4,
            w if w % 2 == 0 || w % 5 == 0 => 1.2,
            _ => 0.7,
        };
        add(f64::from(whole), Unit::Mm, weight, false);
        // Half millimetres are sizes of small screws; nobody turns or stocks them above.
        match whole {
            ..10 => add(f64::from(whole) + 0.5, Unit::Mm, 0.2, false),
            10..50 => add(f64::from(whole) + 0.5, Unit::Mm, 0.03, false),
            _ => {}
        }
    }
    // Small sizes of the older national metric lists.
    for small in [1.2, 1.4, 1.7, 2.3, 2.6] {
        add(small, Unit::Mm, 0.2, false);
    }
    for thirtyseconds in 2..=128_u32 {
        let weight = match thirtyseconds {
            n if n % 8 == 0 => 1.4,
            n if n % 4 == 0 => 1.2,
            n if n % 2 == 0 => 0.6,
            n if n <= 32 => 0.2,
            _ => continue,
        };
        add(Length::inch(f64::from(thirtyseconds) / 32.0).to_mm(), Unit::Inch, weight, false);
    }
    for number in 0..=14_u32 {
        let weight = if number <= 6 || number % 2 == 0 { 0.8 } else { 0.2 };
        // ASME B1.1: #n is 0.060 in + n × 0.013 in.
        add(Length::inch(f64::from(60 + 13 * number) / 1000.0).to_mm(), Unit::Inch, weight, true);
    }
    for listed in catalogue() {
        let (mm, written) = (listed.row.nominal.to_mm(), listed.row.nominal_written);
        // What a size is called by a name for is no bar: the outside of a pipe, a British Association number.
        let weight = if listed.family.form().names().is_empty() { 0.05 } else { 0.0 };
        match all.iter_mut().find(|d| d.written == written && same(d.mm, mm)) {
            Some(known) => known.weight = known.weight.max(weight),
            None => all.push(Diameter { mm, written, weight, number: false }),
        }
    }
    all.sort_by(|a, b| a.mm.total_cmp(&b.mm));
    all
}

/// Threads per centimetre that give no pitch of the metric lists: old French and Swiss makers counted so.
const PER_CM: [f64; 11] = [3.0, 3.5, 4.5, 6.0, 7.0, 9.0, 11.0, 12.0, 13.0, 14.0, 15.0];

fn pitches() -> Vec<Step> {
    let step = |pitch: Pitch, weight| Step { pitch, mm: pitch.length.to_mm(), weight, cutter: None };
    let mut all: Vec<_> = MM_PITCHES
        .iter()
        .map(|&mm| {
            let plain = mm >= 1.0 && (2.0 * mm).fract() == 0.0;
            step(
                Pitch::mm(mm),
                if plain {
                    1.0
                } else if mm < 1.0 {
                    0.7
                } else {
                    0.5
                },
            )
        })
        .chain(TPI.iter().map(|&n| {
            let weight = match n {
                n if n.fract() != 0.0 => 0.25,
                n if n % 2.0 == 0.0 => 1.0,
                n if n <= 13.0 => 0.7,
                _ => 0.25,
            };
            step(Pitch::tpi(n), weight)
        }))
        .collect();
    all.extend(DIAMETRAL.map(|dp| {
        let length = Length::inch(std::f64::consts::PI / dp);
        Step { cutter: Some(Cutter::Diametral), ..step(Pitch { length, written: Unit::Inch }, 1.0) }
    }));
    all.extend(
        MODULES
            .map(|m| Step { cutter: Some(Cutter::Module), ..step(Pitch::mm(std::f64::consts::PI * m), 1.0) }),
    );
    all.extend(PER_CM.map(|n| step(Pitch::mm(10.0 / n), 0.03)));
    for listed in catalogue() {
        let pitch = listed.row.pitch;
        if !all.iter().any(|s| s.pitch.written == pitch.written && same(s.mm, pitch.length.to_mm())) {
            // A pitch of one old standard only is cut for that.
            all.push(step(pitch, 0.01));
        }
    }
    all.sort_by(|a, b| a.mm.total_cmp(&b.mm));
    all
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * a.abs().max(b.abs())
}

/// Threads per inch of the constant-pitch series 4-UN to 32-UN (ASME B1.1, from memory).
const CONSTANT_TPI: [f64; 8] = [4.0, 6.0, 8.0, 12.0, 16.0, 20.0, 28.0, 32.0];

/// Weight of a combination that no list has; zero where the form does not go with it. `listed`: the family lists
/// this diameter with another pitch.
fn off_series_weight(family: Family, d: &Diameter, step: &Step, listed: bool) -> f64 {
    let metric_d = d.written == Unit::Mm;
    let metric_p = step.pitch.written == Unit::Mm;
    let metric_form = family.form().written() == Unit::Mm;
    let no_list = family.form().series().is_empty();
    if d.weight == 0.0 || (chances::of(family).listed >= 1.0 && !no_list) {
        return 0.0;
    }
    // A worm has the pitch of its wheel's cutter; the 29° one also that of feed screws cut with its tool. Few others
    // have it: a rack's pinion on a feed shaft.
    let wheel = match (family, step.cutter) {
        (Family::WormDp, Some(Cutter::Diametral)) | (Family::WormModule, Some(Cutter::Module)) => 1.0,
        (Family::WormDp | Family::WormModule, _) | (Family::Worm29, Some(Cutter::Module)) => 0.0,
        (Family::Worm29, _) | (_, None) => 1.0,
        (Family::MetricTrapezoidal, Some(Cutter::Module)) => 0.01,
        (_, Some(_)) => 0.0,
    };
    // Form and pitch come from the lathe and its tools, the diameter from the bar: it is the diameter that is foreign
    // as a rule, 30° in millimetres on an inch bar. A foreign pitch with the form and diameter of home is met too.
    let mixed = match (metric_d == metric_form, metric_p == metric_form) {
        _ if family == Family::Square => {
            if metric_d == metric_p {
                1.0
            } else {
                0.04
            }
        }
        (true, true) => 1.0,
        (false, true) => 0.05,
        (true, false) => 0.015,
        (false, false) => 0.0,
    };
    let ratio = step.mm / d.mm;
    let (low, high, usual) = if is_v(family) {
        (0.012, 0.35, 0.24 * d.mm.powf(-0.22))
    } else {
        (0.03, COARSEST, 0.40 * d.mm.powf(-0.24))
    };
    if mixed * wheel == 0.0 || ratio < low || ratio > high || (d.number && !is_v(family)) {
        return 0.0;
    }
    // Specials are cut on stock of a usual diameter; at these the Unified standard has constant-pitch series too.
    let special = if listed { 4.0 } else { 1.0 };
    let constant = family == Family::Unified
        && listed
        && CONSTANT_TPI.contains(&step.pitch.length.to_tpi().round())
        && !metric_p;
    // Fine threads stray further from the usual pitch than coarse ones.
    let coarser = if is_v(family) { 0.3 } else { 0.45 };
    let off = (ratio / usual).ln() / if ratio < usual { 0.8 } else { coarser };
    if off.abs() > 4.5 {
        return 0.0;
    }
    let series = if constant { 3.0 } else { 1.0 };
    let fine = if !is_v(family) && step.mm < FINEST_FEED.0 { FINEST_FEED.1 } else { 1.0 };
    d.weight * step.weight * bell(d.mm) * wheel * mixed * special * series * fine * (-0.5 * off * off).exp()
}

fn build() -> Pool {
    struct Found {
        family: usize,
        diameter: usize,
        pitch: usize,
        prior: f64,
        listed: bool,
    }
    let (diameters, pitches) = (diameters(), pitches());
    let mut found = Vec::new();
    for (f, family) in Family::ALL.into_iter().enumerate() {
        let mut listed: Vec<(usize, usize, f64)> = Vec::new();
        for row in family.form().series() {
            let at = |written, mm| diameters.iter().position(|d| d.written == written && same(d.mm, mm));
            let step = |p: Pitch| {
                pitches.iter().position(|s| s.pitch.written == p.written && same(s.mm, p.length.to_mm()))
            };
            if let (Some(d), Some(p)) = (at(row.nominal_written, row.nominal.to_mm()), step(row.pitch)) {
                let weight = series_weight(family, row);
                // A size in two series is one candidate.
                match listed.iter_mut().find(|(a, b, _)| (*a, *b) == (d, p)) {
                    Some(known) => known.2 = known.2.max(weight),
                    None => listed.push((d, p, weight)),
                }
            }
        }
        let mut off = Vec::new();
        for (i, d) in diameters.iter().enumerate() {
            let known = listed.iter().any(|(a, ..)| *a == i);
            for (j, step) in pitches.iter().enumerate() {
                let weight = off_series_weight(family, d, step, known);
                if weight > 0.0 && !listed.iter().any(|(a, b, _)| (*a, *b) == (i, j)) {
                    off.push((i, j, weight));
                }
            }
        }
        let share = match (listed.is_empty(), off.is_empty()) {
            (true, _) => 0.0,
            (false, true) => 1.0,
            (false, false) => chances::of(family).listed,
        };
        for (rows, share, is_listed) in [(listed, share, true), (off, 1.0 - share, false)] {
            let total: f64 = rows.iter().map(|r| r.2).sum();
            found.extend(rows.into_iter().map(|(diameter, pitch, weight)| Found {
                family: f,
                diameter,
                pitch,
                prior: share * weight / total,
                listed: is_listed,
            }));
        }
    }
    found.sort_by_key(|c| (c.diameter, c.pitch, c.family));
    let mut start = 0;
    let blocks: Vec<Block> = found
        .chunk_by(|a, b| (a.diameter, a.pitch) == (b.diameter, b.pitch))
        .map(|rows| {
            let from = start;
            start += rows.len();
            Block {
                diameter: rows[0].diameter,
                pitch: rows[0].pitch,
                rows: from..start,
                ln_prior: rows.iter().map(|r| r.prior).sum::<f64>().ln(),
            }
        })
        .collect();
    let of_diameter = (0..diameters.len())
        .map(|d| blocks.partition_point(|b| b.diameter < d)..blocks.partition_point(|b| b.diameter <= d))
        .collect();
    let index = |i: usize| u16::try_from(i).expect("the lists above are short");
    Pool {
        family: found.iter().map(|c| u8::try_from(c.family).expect("fewer than 256 families")).collect(),
        pitch: found.iter().map(|c| index(c.pitch)).collect(),
        diameter: found.iter().map(|c| index(c.diameter)).collect(),
        ln_prior: found.iter().map(|c| c.prior.ln() as f32).collect(),
        listed: found.iter().map(|c| c.listed).collect(),
        turned_zones: diameters.iter().map(|d| turned_zone(d.mm)).collect(),
        diameters,
        pitches,
        blocks,
        of_diameter,
    }
}

/// The candidate of a row as a size: what [`super::model`] needs of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    pub family: Family,
    pub nominal: Length,
    pub written: Unit,
    pub pitch: Pitch,
    pub listed: bool,
}

impl Pool {
    /// One row.
    pub(super) fn row(&self, i: usize) -> Row {
        let d = &self.diameters[usize::from(self.diameter[i])];
        Row {
            family: Family::ALL[usize::from(self.family[i])],
            nominal: Length::mm(d.mm),
            written: d.written,
            pitch: self.pitches[usize::from(self.pitch[i])].pitch,
            listed: self.listed[i],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::MOST_HANDS;
    use super::*;

    #[test]
    fn priors_of_each_family_sum_to_one() {
        let pool = pool();
        for f in 0..Family::ALL.len() {
            let sum: f64 = (0..pool.len())
                .filter(|&i| usize::from(pool.family[i]) == f)
                .map(|i| f64::from(pool.ln_prior[i]).exp())
                .sum();
            assert!((sum - 1.0).abs() < 1e-5, "{f}: {sum}");
        }
    }

    #[test]
    fn holds_the_catalogue_and_more_than_fifty_thousand_threads() {
        let pool = pool();
        assert!(pool.len() * MOST_STARTS as usize * MOST_HANDS >= 50_000);
        for listed in catalogue() {
            assert!(
                (0..pool.len()).any(|i| {
                    let row = pool.row(i);
                    row.listed
                        && row.family == listed.family
                        && same(row.nominal.to_mm(), listed.row.nominal.to_mm())
                        && same(row.pitch.length.to_mm(), listed.row.pitch.length.to_mm())
                }),
                "{listed:?}"
            );
        }
    }

    #[test]
    fn blocks_hold_every_row_once() {
        let pool = pool();
        let mut next = 0;
        for (d, blocks) in pool.of_diameter.iter().enumerate() {
            for block in &pool.blocks[blocks.clone()] {
                assert_eq!((block.diameter, block.rows.start), (d, next));
                let sum: f64 = block.rows.clone().map(|i| f64::from(pool.ln_prior[i]).exp()).sum();
                assert!((sum.ln() - block.ln_prior).abs() < 1e-5);
                for i in block.rows.clone() {
                    assert_eq!((usize::from(pool.diameter[i]), usize::from(pool.pitch[i])), (d, block.pitch));
                }
                next = block.rows.end;
            }
        }
        assert_eq!(next, pool.len());
    }
}
