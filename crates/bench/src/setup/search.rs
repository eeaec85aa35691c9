//! Every train that the gears on hand make, nearest to a lead first.
//!
//! All sets of up to three drivers, and of as many driven gears, are listed once with the product of their teeth,
//! sorted. A train cuts the lead where the two products stand in the ratio wanted, so each set of drivers needs only
//! a look at a narrow window of the sorted driven sets: the six-gear trains of twenty gears are over a million, and
//! a few hundred are touched. The window widens until enough trains mesh.

use super::Train;
use super::banjo::{self, Mounting};
use super::ratio::Ratio;
use crate::job::{Lathe, Meshes};
use flankwise_thread::{Hand, Length};
use std::cmp::Reverse;

/// Half-widths of the window, relative; the last is 2 %, beyond which nobody cuts a thread. The widest is used only
/// where nothing at all is nearer, so that the answer can say how far off the nearest is.
const WINDOWS: [f64; 4] = [2e-5, 2e-4, 2e-3, 2e-2];
const WIDEST: f64 = 0.5;

/// Of trains as near as each other, so many beyond those asked for are tried for one that needs no idler.
const TIED: usize = 32;

/// What a search found.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    /// Trains that mesh, nearest first.
    pub meshing: Vec<Train>,
    /// Trains that do not, nearest first.
    pub others: Vec<Train>,
    /// How many trains the gears make.
    pub searched: usize,
}

/// A set of gears on one side of a train, by index into the kinds of gear.
#[derive(Clone, Copy, Debug)]
struct Set {
    product: u64,
    kinds: [u16; 3],
}

/// Kinds of gear on hand and how many of each.
struct Stock {
    teeth: Vec<u32>,
    count: Vec<usize>,
}

impl Stock {
    fn of(gears: &[u32]) -> Self {
        let mut sorted: Vec<u32> = gears.iter().copied().filter(|&z| z > 0).collect();
        sorted.sort_unstable();
        let (mut teeth, mut count) = (Vec::new(), Vec::<usize>::new());
        for z in sorted {
            match count.last_mut() {
                Some(n) if teeth.last() == Some(&z) => *n += 1,
                _ => {
                    teeth.push(z);
                    count.push(1);
                }
            }
        }
        Self { teeth, count }
    }

    /// All sets of `size` gears, sorted by product.
    fn sets(&self, size: usize) -> Vec<Set> {
        let mut sets = Vec::new();
        self.extend(size, 0, 1, &mut Vec::new(), &mut sets);
        sets.sort_unstable_by_key(|s| s.product);
        sets
    }

    fn extend(&self, left: usize, from: usize, product: u64, chosen: &mut Vec<u16>, out: &mut Vec<Set>) {
        if left == 0 {
            let mut kinds = [0; 3];
            kinds[..chosen.len()].copy_from_slice(chosen);
            out.push(Set { product, kinds });
            return;
        }
        for i in from..self.teeth.len() {
            let used = chosen.iter().filter(|&&k| usize::from(k) == i).count();
            if used < self.count[i] {
                chosen.push(i as u16);
                self.extend(left - 1, i, product * u64::from(self.teeth[i]), chosen, out);
                chosen.pop();
            }
        }
    }

    /// Whether the gears on hand make both sets at once.
    fn holds(&self, a: &[u16], b: &[u16]) -> bool {
        a.iter().all(|&k| {
            let used = a.iter().chain(b).filter(|&&other| other == k).count();
            used <= self.count[usize::from(k)]
        })
    }

    /// Number of trains with `size` drivers: each kind gives i gears to one side and j to the other, i + j at most
    /// the number on hand.
    fn trains(&self, size: usize) -> usize {
        let mut ways = [[0usize; 4]; 4];
        ways[0][0] = 1;
        for &n in &self.count {
            let before = ways;
            for (a, row) in before.iter().enumerate() {
                for (b, &w) in row.iter().enumerate() {
                    for i in 0..=size.saturating_sub(a).min(n) {
                        for j in 0..=size.saturating_sub(b).min(n - i) {
                            if (i, j) != (0, 0) {
                                ways[a + i][b + j] += w;
                            }
                        }
                    }
                }
            }
        }
        ways[size][size]
    }

    fn named(&self, kinds: &[u16]) -> Vec<u32> {
        kinds.iter().map(|&k| self.teeth[usize::from(k)]).collect()
    }

    /// Gears left when these are in use, one of each kind.
    fn spare(&self, a: &[u16], b: &[u16]) -> Vec<u32> {
        let left = |k: usize| {
            let used = a.iter().chain(b).filter(|&&u| usize::from(u) == k).count();
            self.count[k] > used
        };
        (0..self.teeth.len()).filter(|&k| left(k)).map(|k| self.teeth[k]).collect()
    }
}

/// A train that comes near.
struct Hit {
    /// Relative error, positive too long.
    error: f64,
    size: usize,
    drivers: Set,
    driven: Set,
    setting: usize,
}

/// Order of relative errors: those that differ by rounding only are one.
fn rank(error: f64) -> u64 {
    (error.abs() * 1e13).round() as u64
}

/// Which errors of lead are alike, so that what is handier comes first.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Leeway {
    /// Relative error that does not matter.
    pub within: f64,
    /// An exact train goes before one within it.
    pub exact_first: bool,
}

impl Leeway {
    fn class(self, error: f64) -> u64 {
        match rank(error) {
            0 if self.exact_first => 0,
            r if r <= rank(self.within) => 1,
            r => r + 1,
        }
    }
}

/// Room from which more is no better. Chosen here.
const AMPLE: Length = Length::mm(2.0);

/// Whether something in the train passes with little room.
fn narrow(train: &Train) -> bool {
    train.layout.as_ref().and_then(|l| l.room).is_some_and(|room| room < AMPLE)
}

/// Gears that are put on for a train: those that are not on the lathe now.
pub(super) fn to_put_on(mounted: &[u32], teeth: impl Iterator<Item = u32>) -> usize {
    let mut on = mounted.to_vec();
    teeth
        .filter(|z| match on.iter().position(|m| m == z) {
            Some(at) => {
                on.swap_remove(at);
                false
            }
            None => true,
        })
        .count()
}

/// Searches one lathe for one lead.
pub(super) struct Search<'a> {
    lathe: &'a Lathe,
    /// Which way the lead screw must turn, where the train decides it.
    wanted: Option<Meshes>,
    stock: Stock,
    /// Name and turns of the lead screw for one of the stud's gear train, per gearbox setting.
    settings: Vec<(Option<&'a str>, Ratio)>,
    /// Lead screw's lead times the stud's ratio: what a train of 1 : 1 cuts without gearbox.
    base: Ratio,
    /// Sets by size, 0 to 3.
    sets: Vec<Vec<Set>>,
}

impl<'a> Search<'a> {
    /// Lists the sets; `None` where the lead screw or a ratio is no positive number.
    pub fn new(lathe: &'a Lathe, hand: Hand) -> Option<Self> {
        let fraction = |(n, d): (u32, u32)| Ratio::new(u128::from(n), u128::from(d));
        let base = Ratio::of(lathe.lead_screw.length)? * fraction(lathe.stud_ratio)?;
        let settings = if lathe.gearbox.is_empty() {
            vec![(None, Ratio::ONE)]
        } else {
            let named = |s: &'a crate::job::BoxSetting| Some((Some(s.name.as_str()), fraction(s.ratio)?));
            lathe.gearbox.iter().filter_map(named).collect()
        };
        let stock = Stock::of(&lathe.gears);
        let largest = (lathe.most_gears / 2).clamp(1, 3) as usize;
        let sizes = if stock.teeth.is_empty() { 0..=0 } else { 1..=largest };
        let sets = (0..4).map(|k| if sizes.contains(&k) { stock.sets(k) } else { Vec::new() }).collect();
        let wanted = banjo::meshes_for(lathe, hand);
        Some(Self { lathe, wanted, stock, settings, base, sets })
    }

    /// The nearest trains to `lead`: up to `most` that mesh, and up to `most` that do not. Of those whose error is
    /// alike, the one with fewer gears goes first, then that of which more is on the lathe now, then one that nothing
    /// is close in.
    pub fn run(&self, lead: Ratio, most: usize, leeway: Leeway) -> Found {
        let searched = self.searched();
        let mut found = Found { searched, ..Found::default() };
        for window in WINDOWS.into_iter().filter(|w| *w >= leeway.within) {
            found = self.within(lead, window, most, leeway);
            found.searched = searched;
            if found.meshing.len() >= most {
                return found;
            }
        }
        if found.meshing.is_empty() && found.others.is_empty() {
            found = self.within(lead, WIDEST, 1, leeway);
            found.searched = searched;
        }
        found
    }

    /// The nearest train that meshes within a relative error of `limit`.
    pub fn first_within(&self, lead: Ratio, limit: f64) -> Option<Train> {
        self.within(lead, limit, 1, Leeway::default()).meshing.into_iter().next()
    }

    fn searched(&self) -> usize {
        let per_setting: usize =
            (0..4).filter(|&k| !self.sets[k].is_empty()).map(|k| self.stock.trains(k)).sum();
        per_setting * self.settings.len()
    }

    fn within(&self, lead: Ratio, window: f64, most: usize, leeway: Leeway) -> Found {
        let mut found = Found::default();
        let mut last = 0;
        for hit in self.hits(lead, window, leeway) {
            // Trains as near as the last one asked for are looked at too: one without idler goes before it.
            let class = leeway.class(hit.error);
            if found.meshing.len() >= most && (class > last || found.meshing.len() >= most + TIED) {
                break;
            }
            last = last.max(class);
            let size = hit.size;
            let (drivers, driven) = (&hit.drivers.kinds[..size], &hit.driven.kinds[..size]);
            let takes_idlers = banjo::takes_idlers(self.lathe, size);
            let spare = if takes_idlers { self.stock.spare(drivers, driven) } else { Vec::new() };
            let (a, b) = (self.stock.named(drivers), self.stock.named(driven));
            let mounting = banjo::mount(self.lathe, self.wanted, &a, &b, &spare);
            if mounting.fits() {
                found.meshing.push(self.train(&hit, mounting));
            } else if found.others.len() < most {
                found.others.push(self.train(&hit, mounting));
            }
        }
        found.meshing.sort_by_key(|t| {
            let error = t.error_ppm * 1e-6;
            let put_on = to_put_on(&self.lathe.mounted, t.teeth());
            (leeway.class(error), t.drivers.len(), t.idlers.len(), put_on, narrow(t), rank(error))
        });
        found.meshing.truncate(most);
        found.others.sort_by_key(|t| rank(t.error_ppm * 1e-6));
        found
    }

    /// Trains within the window, nearest first; of those alike, those with fewer gears, with fewer to put on, nearer,
    /// then with gears more alike in size, then with larger ones (their teeth bear less).
    fn hits(&self, lead: Ratio, window: f64, leeway: Leeway) -> Vec<Hit> {
        let mut hits = Vec::new();
        for (setting, (_, ratio)) in self.settings.iter().enumerate() {
            // drivers / driven wanted of the gears.
            let wanted = lead / (self.base * *ratio);
            for (size, sets) in self.sets.iter().enumerate() {
                for drivers in sets {
                    let middle = drivers.product as f64 / wanted.to_f64();
                    let (lo, hi) = (middle / (1.0 + window), middle / (1.0 - window));
                    let from = sets.partition_point(|s| (s.product as f64) < lo);
                    for driven in sets[from..].iter().take_while(|s| s.product as f64 <= hi) {
                        if self.stock.holds(&drivers.kinds[..size], &driven.kinds[..size]) {
                            let error = relative_error(drivers.product, driven.product, wanted);
                            hits.push(Hit { error, size, drivers: *drivers, driven: *driven, setting });
                        }
                    }
                }
            }
        }
        hits.sort_by_cached_key(|h| {
            let (d, n) =
                (self.stock.named(&h.drivers.kinds[..h.size]), self.stock.named(&h.driven.kinds[..h.size]));
            let all = || d.iter().chain(&n).copied();
            let (largest, smallest) = (all().max().unwrap_or(1), all().min().unwrap_or(1));
            let put_on = to_put_on(&self.lathe.mounted, all());
            let alike = largest * 1000 / smallest;
            (leeway.class(h.error), h.size, put_on, rank(h.error), alike, Reverse(smallest), d, n, h.setting)
        });
        hits
    }

    fn train(&self, hit: &Hit, mounting: Mounting) -> Train {
        let (name, ratio) = self.settings[hit.setting];
        let gears = Ratio::new(u128::from(hit.drivers.product), u128::from(hit.driven.product));
        let cut = self.base * ratio * gears.unwrap_or(Ratio::ONE);
        Train {
            meshes: mounting.fits(),
            drivers: mounting.drivers,
            driven: mounting.driven,
            idlers: mounting.idlers,
            layout: mounting.layout,
            gearbox: name.map(str::to_owned),
            lead: cut.to_length(),
            error_ppm: hit.error * 1e6,
            why_not: mounting.why_not,
        }
    }
}

/// (drivers / driven) / wanted − 1, exact until the one division: zero is zero.
fn relative_error(drivers: u64, driven: u64, wanted: Ratio) -> f64 {
    let (got, want) = (u128::from(drivers) * wanted.d, u128::from(driven) * wanted.n);
    if got >= want { (got - want) as f64 / want as f64 } else { -((want - got) as f64 / want as f64) }
}

/// What a train cuts, exactly.
pub(super) fn lead_of(lathe: &Lathe, train: &Train) -> Option<Ratio> {
    let fraction = |n: u32, d: u32| Ratio::new(u128::from(n), u128::from(d));
    let mut lead = Ratio::of(lathe.lead_screw.length)? * fraction(lathe.stud_ratio.0, lathe.stud_ratio.1)?;
    if let Some(name) = &train.gearbox {
        let (n, d) = lathe.gearbox.iter().find(|s| s.name == *name)?.ratio;
        lead = lead * fraction(n, d)?;
    }
    for (&a, &b) in train.drivers.iter().zip(&train.driven) {
        lead = lead * fraction(a, b)?;
    }
    Some(lead)
}

/// Single gears, not on hand, that would bring a train which meshes within a relative error of `limit`, and which
/// cannot be mounted without that gear: the tooth count and the train, best first.
pub(super) fn gears_to_get(lathe: &Lathe, lead: Length, hand: Hand, limit: f64) -> Vec<(u32, Train)> {
    let Some(wanted) = Ratio::of(lead) else { return Vec::new() };
    let mut with_one_more = lathe.clone();
    let mut options: Vec<(u32, Train)> = (15..=127)
        .filter_map(|z| {
            with_one_more.gears.clone_from(&lathe.gears);
            with_one_more.gears.push(z);
            let train = Search::new(&with_one_more, hand)?.first_within(wanted, limit)?;
            let on_hand = lathe.gears.iter().filter(|&&g| g == z).count();
            (train.teeth().filter(|&t| t == z).count() > on_hand).then_some((z, train))
        })
        .collect();
    options.sort_by_key(|(z, t)| ((t.error_ppm.abs() * 1e6).round() as u64, t.drivers.len(), narrow(t), *z));
    options
}

/// Smallest gear and largest that a pair is looked for among.
const PAIR: std::ops::RangeInclusive<u32> = 20..=100;

/// A pair of gears, neither on hand, that cuts the lead exactly and meshes: for a lathe without gears.
pub(super) fn pair_to_get(lathe: &Lathe, lead: Length, hand: Hand) -> Option<Train> {
    let wanted = Ratio::of(lead)?;
    let per_setting = Search::new(lathe, hand)?;
    let mut pairs = per_setting.settings.iter().flat_map(|(_, ratio)| {
        let gears = wanted / (per_setting.base * *ratio);
        (1..=u128::from(*PAIR.end())).filter_map(move |k| {
            let (driver, driven) = (u32::try_from(gears.n * k).ok()?, u32::try_from(gears.d * k).ok()?);
            (PAIR.contains(&driver) && PAIR.contains(&driven)).then_some((driver, driven))
        })
    });
    pairs.find_map(|(driver, driven)| {
        let gears = vec![driver, driven];
        Search::new(&Lathe { gears, ..lathe.clone() }, hand)?.first_within(wanted, 1e-12)
    })
}
