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
use super::size::{Crests, Fading, Kind, Prediction, Shape, crests, outside, turned_by};
use super::zero::{Shift, Zero};
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

/// A row after the first round.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sifted {
    pub row: usize,
    /// Log of its share.
    pub ln: f64,
    /// Chance that an instrument is off its zero if it is this.
    pub zero_off: f64,
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
    /// Per pitch and kind: what may have become of the crests, of no diameter; of one so large that turning it leaves as much
    /// as its standard does.
    crests: Vec<Crests>,
    /// What may be wrong with the zero of an instrument.
    zero: Option<Zero>,
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
        let (mut made, mut states) = (Vec::new(), Vec::new());
        for step in &pool().pitches {
            for kind in &kinds {
                let prediction = outside(*kind, 0.0, step.mm, model.condition);
                made.push(prediction);
                states.push(crests(prediction, *kind, step.mm, f64::INFINITY));
            }
        }
        Self {
            model,
            tables,
            kind_of,
            made,
            crests: states,
            zero: model.zero(),
            kinds,
            slips: model.outside.as_ref().map_or(0.0, Group::ln_slips),
            best_pitch: tables.pitch.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// Upper bounds of each block: of the log of its share, and of the log-likelihood of its outside diameters.
    pub(super) fn bounds(&self) -> Vec<(f64, f64)> {
        let pool = pool();
        let most: Vec<f64> = (self.tables.known.iter())
            .map(|known| known.iter().copied().fold(f64::NEG_INFINITY, f64::max))
            .collect();
        let known = |block: &Block| block.ln_prior + most[block.pitch] + self.tables.diameter[block.diameter];
        let Some(group) = &self.model.outside else {
            return pool.blocks.iter().map(|block| (known(block), 0.0)).collect();
        };
        let least: Vec<f64> = yardsticks_by_pitch().iter().map(|of| group.least_zone(of)).collect();
        let peaks: Vec<f64> = least.iter().map(|zone| group.ln_peak(*zone)).collect();
        let fading: Vec<Fading> = (0..peaks.len()).map(|p| Fading::of(self.every_crest(p))).collect();
        let reaches: Vec<(f64, f64)> = (0..peaks.len()).map(|p| self.reach(p)).collect();
        let zero = group.zero();
        let zones: Vec<(f64, f64)> = (0..peaks.len()).map(|p| self.zone(p)).collect();
        let off = zero.map_or(0.0, |zero| group.seen.iter().map(|s| zero.reach(s.u)).fold(0.0, f64::max));
        let is_read = |block: &Block, off: f64| {
            let (mm, (under, over)) = (pool.diameters[block.diameter].mm, reaches[block.pitch]);
            group.near(mm + over + off, under + over + 2.0 * off)
        };
        let mut bounds = Vec::with_capacity(pool.blocks.len());
        for blocks in &pool.of_diameter {
            let blocks = &pool.blocks[blocks.clone()];
            // The finer the pitch, the less its diameters stray: from the first that is not read, none is.
            let read = blocks.partition_point(|block| !is_read(block, 0.0));
            let perhaps = blocks.partition_point(|block| !is_read(block, off));
            let outside = |i: usize, p: usize| {
                let near = i >= read || i >= perhaps && self.zero_of(group, p).is_some();
                if near { peaks[p].max(self.slips) } else { self.slips }
            };
            bounds.extend(blocks.iter().enumerate().map(|(i, b)| {
                let outside = outside(i, b.pitch);
                (known(b) + outside, outside)
            }));
        }
        // Those that could matter by their peaks are looked at more closely.
        let highest = bounds.iter().map(|b| b.0).fold(f64::NEG_INFINITY, f64::max);
        for (block, bound) in pool.blocks.iter().zip(&mut bounds).filter(|(_, b)| b.0 > highest - MATTERS) {
            let mm = pool.diameters[block.diameter].mm;
            let (least, fading) = (least[block.pitch], &fading[block.pitch]);
            let right = group.ln_most(least, mm, fading);
            let either = self.zero_of(group, block.pitch).map_or(right, |zero| {
                ln_add(right, zero.ln_most(group, mm, least, fading, zones[block.pitch]))
            });
            let outside = bound.1.min(either);
            *bound = (known(block) + outside, outside);
        }
        bounds
    }

    /// What may have become of the crests of any kind, of no diameter.
    fn every_crest(&self, p: usize) -> impl Iterator<Item = Crests> {
        let kinds = self.kinds.len();
        self.crests[p * kinds..(p + 1) * kinds].iter().copied()
    }

    /// How far under and over its nominal an outside diameter of this pitch may be read, of any kind and crest.
    fn reach(&self, p: usize) -> (f64, f64) {
        self.every_crest(p)
            .flatten()
            .map(|(_, made)| made.reach())
            .fold((0.0, 0.0), |(a, b), (x, y)| (f64::max(a, x), f64::max(b, y)))
    }

    /// How far under and over its nominal the zone of an outside diameter of this pitch goes, of any kind.
    fn zone(&self, p: usize) -> (f64, f64) {
        let kinds = self.kinds.len();
        let made = &self.made[p * kinds..(p + 1) * kinds];
        made.iter().fold((0.0, 0.0), |(a, b), m| (f64::max(a, m.tolerance - m.at), f64::max(b, m.at)))
    }

    /// What all but the outside diameter says of a row: log of its share.
    pub(super) fn but_outside(&self, row: usize) -> f64 {
        let pool = pool();
        let (f, p) = (usize::from(pool.family[row]), usize::from(pool.pitch[row]));
        let lost = if self.tables.is_steep(row) { self.tables.without_most[p][f] } else { 0.0 };
        f64::from(pool.ln_prior[row])
            + self.tables.known[p][f]
            + lost
            + self.tables.diameter[usize::from(pool.diameter[row])]
    }

    /// Works out these rows of one diameter and pitch.
    pub(super) fn open(&self, rows: impl Iterator<Item = usize>, mut found: impl FnMut(Sifted)) {
        let pool = pool();
        let mut outside = [(f64::NAN, 0.0); 2 * FAMILIES];
        for row in rows {
            let kind = self.kind_of[usize::from(pool.family[row])][usize::from(pool.listed[row])];
            if outside[kind].0.is_nan() {
                let (p, d) = (usize::from(pool.pitch[row]), usize::from(pool.diameter[row]));
                outside[kind] = self.outside_ln(p, kind, d);
            }
            let (ln, zero_off) = outside[kind];
            found(Sifted { row, ln: self.but_outside(row) + ln, zero_off });
        }
    }

    /// Log-likelihood of the outside diameters on a screw of this pitch and kind, and of this diameter; and the chance that
    /// an instrument is off its zero then.
    fn outside_ln(&self, p: usize, kind: usize, d: usize) -> (f64, f64) {
        let Some(group) = &self.model.outside else { return (0.0, self.zero_unread(p)) };
        let right = self.outside_right_ln(group, p, kind, d);
        let Some(zero) = self.zero_of(group, p) else { return (right, self.zero_unread(p)) };
        zero.either(right, group.ln_off(&mut zero.shift(), &self.made_at(p, kind, d)))
    }

    /// The same by a good zero.
    fn outside_right_ln(&self, group: &Group, p: usize, kind: usize, d: usize) -> f64 {
        let mm = pool().diameters[d].mm;
        let states = turned_by(self.crests[p * self.kinds.len() + kind], pool().turned_zones[d]);
        if !group.near_crests(&states, mm) {
            return self.slips;
        }
        let shared = self.is_plain(p);
        let at = |(chance, made): (f64, Prediction)| {
            (chance, Prediction { at: mm + made.at, shared: made.shared && shared, ..made })
        };
        group.ln_crests(&states.map(at))
    }

    /// An outside of this pitch, kind and diameter as its standard has it.
    fn made_at(&self, p: usize, kind: usize, d: usize) -> Prediction {
        let made = self.made[p * self.kinds.len() + kind];
        Prediction { at: pool().diameters[d].mm + made.at, ..made }
    }

    /// What is known after the outside diameters of how far an instrument is off its zero, if it is and this is the row;
    /// none where no size of the second round was read with it.
    pub(super) fn shift(&self, row: usize) -> Option<Shift> {
        let zero = self.zero.filter(|_| self.model.sizes.iter().any(|group| group.zero().is_some()))?;
        let mut shift = zero.shift();
        if let Some(group) = self.model.outside.as_ref().filter(|group| group.zero().is_some()) {
            let pool = pool();
            let (f, p) = (usize::from(pool.family[row]), usize::from(pool.pitch[row]));
            let kind = self.kind_of[f][usize::from(pool.listed[row])];
            group.ln_off(&mut shift, &self.made_at(p, kind, usize::from(pool.diameter[row])));
        }
        Some(shift)
    }

    /// What may be wrong with the zero of an instrument that read one of these, if this is the pitch; where the pitch
    /// readings were slips as well, nothing: two rare things at once.
    fn zero_of(&self, group: &Group, p: usize) -> Option<Zero> {
        group.zero().filter(|_| self.is_plain(p))
    }

    /// The chance that an instrument is off its zero, where no outside diameter says more and this is the pitch.
    fn zero_unread(&self, p: usize) -> f64 {
        self.zero.filter(|_| self.is_plain(p)).map_or(0.0, |zero| zero.chance)
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
