//! Depths on a dial so coarse that rounding alone would make passes uneven: chosen together, so that each is loaded
//! alike and the last is the lightest.

use super::device;
use flankwise_thread::Length;
use std::cmp::Ordering;

/// A dial is coarse where the mean pass is fewer divisions than this: rounding then changes a pass by a tenth and more.
const FEW: f64 = 5.0;
/// Divisions to either side of what the rule gives that are looked at.
const AROUND: i64 = 2;

/// What the depths are chosen by.
pub(super) struct Dial<'a> {
    /// Radial step of one division.
    pub step: Length,
    /// Smallest depth of a pass.
    pub least: Length,
    /// Load of a pass from one depth to another; rises with depth.
    pub load: &'a dyn Fn(Length, Length) -> f64,
}

/// A way down so far: sum of the squared loads, and where each pass ends, in divisions.
#[derive(Clone, Default)]
struct Way {
    squares: f64,
    at: Vec<i64>,
}

impl Dial<'_> {
    /// Whether `depths` are so few divisions apart that they are better chosen together.
    pub fn is_coarse(&self, from: Length, depths: &[Length]) -> bool {
        depths.last().is_some_and(|&end| (end - from) / self.step < FEW * depths.len() as f64)
    }

    /// As many passes as a rule gives, or a quarter fewer, from `from` on to the same division as its last: whole
    /// divisions, the loads as even as they allow, and the last the lightest; only even where no such way is found.
    /// `depths` rise.
    pub fn even(&self, from: Length, depths: &[Length]) -> Vec<Length> {
        let most = depths.len();
        let lightest_last = (most * 3 / 4..=most).rev().find_map(|n| self.ending_light(from, depths, n));
        let way = lightest_last.or_else(|| {
            (1..=most).rev().find_map(|n| self.way(from, &sample(depths, n), self.last(depths), 0.0))
        });
        match way {
            Some(way) => way.at.into_iter().map(|k| self.at(k)).collect(),
            None => device::settle(from, depths, self.step),
        }
    }

    /// The depth of a division.
    fn at(&self, division: i64) -> Length {
        self.step * division as f64
    }

    /// The division that is the end.
    fn last(&self, depths: &[Length]) -> i64 {
        depths.last().map_or(0, |&end| (end / self.step).round() as i64)
    }

    /// Divisions of the thinnest pass: half of one less than the smallest depth is no matter.
    fn fewest(&self) -> i64 {
        ((self.least / self.step) - 0.5).ceil().max(1.0) as i64
    }

    /// The most even way down in `n` passes of which the last is the lightest.
    fn ending_light(&self, from: Length, depths: &[Length], n: usize) -> Option<Way> {
        let last = self.last(depths);
        if n < 2 {
            return None;
        }
        let before = sample(depths, n);
        let with_last = |divisions: i64| {
            let load = (self.load)(self.at(last - divisions), self.at(last));
            let mut way = self.way(from, &before[..n - 1], last - divisions, load)?;
            way.squares += load * load;
            way.at.push(last);
            Some(way)
        };
        (self.fewest()..=self.fewest() + 3).filter_map(with_last).min_by(more_even)
    }

    /// The most even way down to `end` by about these depths, no pass loaded with less than `floor`.
    fn way(&self, from: Length, depths: &[Length], end: i64, floor: f64) -> Option<Way> {
        let ways = depths.iter().enumerate().fold(vec![Way::default()], |ways, (i, &depth)| {
            let middle = (depth / self.step).round() as i64;
            let to = if i + 1 == depths.len() { end..=end } else { middle - AROUND..=middle + AROUND };
            to.filter_map(|to| self.extended(&ways, from, to, floor)).collect()
        });
        ways.into_iter().find(|way| !way.at.is_empty())
    }

    /// The most even of `ways` that can go on to a division.
    fn extended(&self, ways: &[Way], from: Length, to: i64, floor: f64) -> Option<Way> {
        let on = |way: &Way| {
            let at = way.at.last().map_or(from, |&k| self.at(k));
            let enough = self.at(to) - at >= self.step * (self.fewest() as f64 - 0.5);
            let load = if enough { (self.load)(at, self.at(to)) } else { 0.0 };
            (enough && load >= floor - 1e-12).then(|| Way {
                squares: way.squares + load * load,
                at: way.at.iter().copied().chain([to]).collect(),
            })
        };
        ways.iter().filter_map(on).min_by(more_even)
    }
}

fn more_even(a: &Way, b: &Way) -> Ordering {
    a.squares.total_cmp(&b.squares)
}

/// `n` of the depths, evenly among them, with the last.
fn sample(depths: &[Length], n: usize) -> Vec<Length> {
    (1..=n).map(|i| depths[i * depths.len() / n - 1]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Area of a groove with 60° flanks and no flat: h² tan 30°.
    fn area(from: Length, to: Length) -> f64 {
        (to.to_mm().powi(2) - from.to_mm().powi(2)) * 30f64.to_radians().tan()
    }

    fn by_area(n: u32, full: f64) -> Vec<Length> {
        (1..=n).map(|x| Length::mm(full * (f64::from(x) / f64::from(n)).sqrt())).collect()
    }

    #[test]
    fn passes_on_a_coarse_dial_are_even_and_end_lightest() {
        let dial = Dial { step: Length::mm(0.025), least: Length::mm(0.02), load: &area };
        let from = Length::mm(0.025);
        let depths = by_area(12, 0.825);
        assert!(dial.is_coarse(from, &depths));
        let loads = |depths: &[Length]| {
            let mut at = from;
            depths.iter().map(|&d| area(std::mem::replace(&mut at, d), d)).collect::<Vec<f64>>()
        };
        let most = |l: &[f64]| l.iter().copied().fold(0.0, f64::max);
        let (even, rounded) = (dial.even(from, &depths), device::settle(from, &depths, dial.step));
        let (even, rounded) = (loads(&even), loads(&rounded));
        let last = even[even.len() - 1];
        assert!(even.iter().all(|&l| last <= l + 1e-12), "{even:?}");
        // The hardest pass is no harder than where each was rounded by itself, and there the last was not the lightest.
        assert!(most(&even) <= most(&rounded) + 1e-12, "{even:?} {rounded:?}");
        assert!(rounded[..rounded.len() - 1].iter().any(|&l| l < rounded[rounded.len() - 1]), "{rounded:?}");
    }

    proptest! {
        #[test]
        fn whatever_the_dial_the_depths_rise_by_whole_divisions_to_the_end(
            n in 1u32..20, full in 0.3..3.0f64, step in 0.01..0.08f64, least in 0.005..0.08f64
        ) {
            let dial = Dial { step: Length::mm(step), least: Length::mm(least), load: &area };
            let depths = by_area(n, full);
            let even = dial.even(Length::ZERO, &depths);
            prop_assert!(even.len() <= depths.len() && !even.is_empty());
            let whole = |l: Length| (l / dial.step - (l / dial.step).round()).abs() < 1e-9;
            prop_assert!(even.iter().all(|&l| whole(l)));
            prop_assert!(even.windows(2).all(|w| w[1] > w[0]));
            prop_assert!((even[even.len() - 1] - Length::mm(full)).abs() <= dial.step * 0.5 + Length::um(1e-6));
        }
    }
}
