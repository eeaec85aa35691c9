//! The first round of the ranking: every row by its diameter, pitch and family, starts and hand summed out.
//!
//! What pitch and family say is worked out once for each pair. What the outside diameter says, by far the most work, is
//! worked out only where it can matter: rows of one diameter and pitch form a block, and a block stays closed as long
//! as its prior and the highest densities that any of its rows could reach leave it far below the best.

use super::density::ln_add;
use super::hands_on::Grooves;
use super::model::{Group, Model, Yardsticks, yardsticks};
use super::pool::{Block, MOST_STARTS, is_v, pool};
use super::rank::HANDS;
use super::size::{Crests, Fading, Kind, Prediction, Shape, crests, outside};
use super::{MOST_HANDS, chances, prior, story};
use flankwise_thread::Family;
use std::sync::LazyLock;

const FAMILIES: usize = Family::ALL.len();
const STARTS: usize = MOST_STARTS as usize;
/// Starts and hands of a row.
pub(super) const COMBINATIONS: usize = STARTS * MOST_HANDS;

/// Below the best pitch by so much (in natural logarithms), a pitch reading was a slip, and the fine structure of the
/// zone does not matter.
const SLIPPED: f64 = 8.0;

/// Blocks so far below the highest bound, in natural logarithms, do not matter whatever their bound.
const MATTERS: f64 = 30.0;

/// What diameter, pitch and family say by themselves; all are logs of chances.
pub(super) struct Tables {
    hand: [[f64; MOST_HANDS]; FAMILIES],
    starts: [[f64; STARTS]; FAMILIES],
    /// The numbers of starts considered.
    pub numbers: [u32; STARTS],
    /// Per pitch and family: what is lost where the last number of starts cannot be; empty where every number can.
    without_most: Vec<[f64; FAMILIES]>,
    /// Per pitch: readings of the lead.
    leads: Vec<[f64; STARTS]>,
    /// Per pitch: all but diameter and family.
    pitch: Vec<f64>,
    /// Per pitch and family: all but the diameter.
    known: Vec<[f64; FAMILIES]>,
    /// Per diameter.
    diameter: Vec<f64>,
}

impl Tables {
    pub(super) fn new(model: &Model) -> Self {
        let pool = pool();
        let claim = |fit: Option<bool>| if fit == Some(true) { story::STORY_WEIGHT.ln() } else { 0.0 };
        let told = [model.evidence.context.machine.as_deref(), model.evidence.story.as_deref()];
        let told: Vec<&str> = told.into_iter().flatten().collect();
        let (machine, left) = chances::by_machine(&told.join("; "));
        let families = prior::families(&model.evidence.context, &machine);
        // Flanks of a form at a plain size.
        let shapes = Family::ALL.map(|f| Shape::new(f, 10.0, 1.0));
        let hand = Family::ALL.map(|f| {
            HANDS.map(|h| prior::hand(f, h, left).ln() + model.hand_ln(h) + claim(model.claims.fits_hand(h)))
        });
        let family: [f64; FAMILIES] = std::array::from_fn(|f| {
            let kind = Family::ALL[f];
            families[f].ln()
                + model.taper_ln(Some(kind))
                + model.angle_ln(shapes[f].flanks_deg)
                + claim(model.claims.fits_family(kind))
                + claim(model.claims.fits_system(kind))
                + sum(&hand[f])
        });
        // One to four, and for the last what was counted if it is more: valves and presses have up to ten.
        let more = model.evidence.observed.starts.unwrap_or(0).max(MOST_STARTS);
        let numbers: [u32; STARTS] = [1, 2, 3, more];
        let starts = Family::ALL.map(|f| {
            let prior = prior::starts(f);
            std::array::from_fn(|n| prior[n].ln() + model.starts_ln(numbers[n]))
        });
        let leads: Vec<[f64; STARTS]> =
            pool.pitches.iter().map(|s| numbers.map(|n| model.lead_ln(s.mm * f64::from(n)))).collect();
        let pitch: Vec<f64> = pool
            .pitches
            .iter()
            .map(|s| model.pitch_ln(s.mm) + claim(model.claims.fits_pitch(s.mm)))
            .collect();
        // Families whose flanks are alike to a leaf share their work, and so do those that are alike to the eye, and
        // those that are as often multi-start.
        let grooves = shapes.map(|s| s.grooves());
        let like_leaf = first_alike(|a, b| grooves[a] == grooves[b]);
        let ridges = Family::ALL.map(|f| f.form().ridge());
        let like_eye = first_alike(|a, b| ridges[a] == ridges[b]);
        let like_starts = first_alike(|a, b| is_v(Family::ALL[a]) == is_v(Family::ALL[b]));
        let known = (pool.pitches.iter().zip(&leads).zip(&pitch))
            .map(|((step, leads), pitch)| {
                let leaves = shared(&like_leaf, |f| model.leaves_ln(Grooves { p: step.mm, ..grooves[f] }));
                let looks = shared(&like_eye, |f| model.form_ln(Some(Family::ALL[f]), step.mm));
                let starts = shared(&like_starts, |f| sum(&add(&starts[f], leads)));
                std::array::from_fn(|f| family[f] + pitch + leaves[f] + looks[f] + starts[f])
            })
            .collect();
        let without_most = if more > MOST_STARTS {
            let lost = |leads: &[f64; STARTS]| {
                shared(&like_starts, |f| {
                    let all = add(&starts[f], leads);
                    sum(&all[..STARTS - 1]) - sum(&all)
                })
            };
            leads.iter().map(lost).collect()
        } else {
            Vec::new()
        };
        let diameter = pool.diameters.iter().map(|d| claim(model.claims.fits_diameter(d.mm))).collect();
        Self { hand, starts, numbers, without_most, leads, pitch, known, diameter }
    }

    /// Whether the last number of starts would make the lead of a row steeper than a screw has.
    fn is_steep(&self, row: usize) -> bool {
        !self.without_most.is_empty() && {
            let row = pool().row(row);
            let shape = Shape::new(row.family, row.nominal.to_mm(), row.pitch.length.to_mm());
            self.numbers[STARTS - 1] > shape.most_starts()
        }
    }

    /// Log weight of each combination of starts and hand of a row, before trials; sums to one.
    pub(super) fn combinations(&self, row: usize) -> [f64; COMBINATIONS] {
        let (f, p) = (usize::from(pool().family[row]), usize::from(pool().pitch[row]));
        let mut starts = add(&self.starts[f], &self.leads[p]);
        if self.is_steep(row) {
            starts[STARTS - 1] = f64::NEG_INFINITY;
        }
        let ln: [f64; COMBINATIONS] =
            std::array::from_fn(|c| starts[c / MOST_HANDS] + self.hand[f][c % MOST_HANDS]);
        let sum = sum(&ln);
        ln.map(|l| l - sum)
    }
}

/// Log of a sum.
fn sum(ln: &[f64]) -> f64 {
    ln.iter().copied().reduce(ln_add).unwrap_or(f64::NEG_INFINITY)
}

fn add<const N: usize>(a: &[f64; N], b: &[f64; N]) -> [f64; N] {
    std::array::from_fn(|i| a[i] + b[i])
}

/// For each family the first one that is like it.
fn first_alike(alike: impl Fn(usize, usize) -> bool) -> [usize; FAMILIES] {
    std::array::from_fn(|f| (0..f).find(|&earlier| alike(earlier, f)).unwrap_or(f))
}

/// For each family what holds for the first one that is like it.
fn shared(first_alike: &[usize; FAMILIES], of: impl Fn(usize) -> f64) -> [f64; FAMILIES] {
    let mut all = [0.0; FAMILIES];
    for f in 0..FAMILIES {
        all[f] = if first_alike[f] == f { of(f) } else { all[first_alike[f]] };
    }
    all
}

/// The first round for one job.
pub(super) struct Sift<'a> {
    model: &'a Model<'a>,
    tables: &'a Tables,
    /// Which of the kinds each family is, of a size not listed and of one listed: the outside diameter depends on the family
    /// only through that.
    kind_of: [[usize; 2]; FAMILIES],
    kinds: Vec<Kind>,
    /// Per pitch and kind: as made, of no diameter.
    made: Vec<Prediction>,
    /// Log-likelihood of the outside diameters if all were slips.
    slips: f64,
    /// Highest likelihood of the pitch readings.
    best_pitch: f64,
}

impl<'a> Sift<'a> {
    pub(super) fn new(model: &'a Model<'a>, tables: &'a Tables) -> Self {
        let mut kinds: Vec<Kind> = Vec::new();
        let mut place = |kind: Kind| {
            kinds.iter().position(|k| *k == kind).unwrap_or_else(|| {
                kinds.push(kind);
                kinds.len() - 1
            })
        };
        let kind_of = Family::ALL.map(|f| [false, true].map(|listed| place(Kind::of(f, listed))));
        let pitches = pool().pitches.iter();
        Self {
            model,
            tables,
            kind_of,
            made: pitches
                .flat_map(|s| kinds.iter().map(|kind| outside(*kind, 0.0, s.mm, model.condition)))
                .collect(),
            kinds,
            slips: model.outside.as_ref().map_or(0.0, Group::ln_slips),
            best_pitch: tables.pitch.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// Upper bound of the log of each block's share.
    pub(super) fn bounds(&self) -> Vec<f64> {
        let pool = pool();
        let most: Vec<f64> = (self.tables.known.iter())
            .map(|known| known.iter().copied().fold(f64::NEG_INFINITY, f64::max))
            .collect();
        let known = |block: &Block| block.ln_prior + most[block.pitch] + self.tables.diameter[block.diameter];
        let Some(group) = &self.model.outside else { return pool.blocks.iter().map(known).collect() };
        let least: Vec<f64> = yardsticks_by_pitch().iter().map(|of| group.least_zone(of)).collect();
        let peaks: Vec<f64> = least.iter().map(|zone| group.ln_peak(*zone)).collect();
        let fading: Vec<Fading> = (0..peaks.len()).map(|p| Fading::of(self.every_crest(p))).collect();
        let reaches: Vec<(f64, f64)> = (0..peaks.len()).map(|p| self.reach(p)).collect();
        let is_read = |block: &Block| {
            let (mm, (under, over)) = (pool.diameters[block.diameter].mm, reaches[block.pitch]);
            group.near(mm + over, under + over)
        };
        let mut bounds = Vec::with_capacity(pool.blocks.len());
        for blocks in &pool.of_diameter {
            let blocks = &pool.blocks[blocks.clone()];
            // The finer the pitch, the less its diameters stray: from the first that is not read, none is.
            let read = blocks.partition_point(|block| !is_read(block));
            let outside = |i: usize, p: usize| if i < read { self.slips } else { peaks[p].max(self.slips) };
            bounds.extend(blocks.iter().enumerate().map(|(i, b)| known(b) + outside(i, b.pitch)));
        }
        // Those that could matter by their peaks are looked at more closely.
        let highest = bounds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        for (block, bound) in pool.blocks.iter().zip(&mut bounds).filter(|(_, b)| **b > highest - MATTERS) {
            let mm = pool.diameters[block.diameter].mm;
            let closer = group.ln_most(least[block.pitch], mm, &fading[block.pitch]);
            *bound = bound.min(known(block) + closer);
        }
        bounds
    }

    /// What may have become of the crests, with the diameter left out but for what is turned by it.
    fn crests(&self, p: usize, kind: usize, mm: f64) -> Crests {
        crests(self.made[p * self.kinds.len() + kind], self.kinds[kind], pool().pitches[p].mm, mm)
    }

    /// The same of any kind, of a diameter so large that turning it leaves as much as its standard does.
    fn every_crest(&self, p: usize) -> impl Iterator<Item = Crests> {
        (0..self.kinds.len()).map(move |kind| self.crests(p, kind, f64::INFINITY))
    }

    /// How far under and over its nominal an outside diameter of this pitch may be read, of any kind and crest.
    fn reach(&self, p: usize) -> (f64, f64) {
        self.every_crest(p)
            .flatten()
            .map(|(_, made)| made.reach())
            .fold((0.0, 0.0), |(a, b), (x, y)| (f64::max(a, x), f64::max(b, y)))
    }

    /// Works out the rows of a block: each with the log of its share.
    pub(super) fn open(&self, b: usize, mut found: impl FnMut(usize, f64)) {
        let pool = pool();
        let block = &pool.blocks[b];
        let mm = pool.diameters[block.diameter].mm;
        let mut outside = [f64::NAN; 2 * FAMILIES];
        for i in block.rows.clone() {
            let f = usize::from(pool.family[i]);
            let kind = self.kind_of[f][usize::from(pool.listed[i])];
            if outside[kind].is_nan() {
                outside[kind] = self.outside_ln(block.pitch, kind, mm);
            }
            let mut known = self.tables.known[block.pitch][f] + self.tables.diameter[block.diameter];
            if self.tables.is_steep(i) {
                known += self.tables.without_most[block.pitch][f];
            }
            found(i, f64::from(pool.ln_prior[i]) + known + outside[kind]);
        }
    }

    /// Log-likelihood of the outside diameters on a screw of this pitch and kind, and of nominal `mm`.
    fn outside_ln(&self, p: usize, kind: usize, mm: f64) -> f64 {
        let Some(group) = &self.model.outside else { return 0.0 };
        let states = self.crests(p, kind, mm);
        if !group.near_crests(&states, mm) {
            return self.slips;
        }
        let shared = self.is_plain(p);
        let at = |(chance, made): (f64, Prediction)| {
            (chance, Prediction { at: mm + made.at, shared: made.shared && shared, ..made })
        };
        group.ln_crests(&states.map(at))
    }

    /// Whether the pitch readings were no slips if this is the pitch.
    fn is_plain(&self, p: usize) -> bool {
        self.tables.pitch[p] > self.best_pitch - SLIPPED
    }
}

/// For each pitch of the pool.
pub(super) fn yardsticks_by_pitch() -> &'static [Yardsticks] {
    static ALL: LazyLock<Vec<Yardsticks>> =
        LazyLock::new(|| pool().pitches.iter().map(|s| yardsticks(s.mm)).collect());
    &ALL
}
