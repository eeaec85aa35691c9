//! The depths of the passes.

use super::groove::Groove;
use super::growth::Growth;
use crate::job::Share;
use flankwise_thread::table::Table;
use flankwise_thread::{Length, Source};

/// How the depth is shared out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The published root rule for V tools; see [`root_rule_depth`].
    Root,
    /// Equal areas of the groove's true section, flat tip included; see [`equal_area_depth`].
    EqualArea,
    /// Equal cutting forces; see [`Growth::equal`].
    EqualForce,
    /// Equal forces that push the tool out of the groove, so that the bar springs alike; see [`Growth::equal`].
    EqualDeflection,
}

impl Rule {
    /// The rule for what is to be alike, in a groove of this shape.
    pub const fn of(share: Share, shape: Shape) -> Self {
        match (share, shape) {
            (Share::Area, Shape::V) => Self::Root,
            (Share::Area, Shape::Trapezoidal) => Self::EqualArea,
            (Share::Force, _) => Self::EqualForce,
            (Share::Deflection, _) => Self::EqualDeflection,
        }
    }
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Root => "root rule for V tools",
            Self::EqualArea => "equal areas of the true section",
            Self::EqualForce => "equal cutting forces",
            Self::EqualDeflection => "equal spring of the bar",
        }
    }
    /// Where it comes from.
    pub const fn source(self) -> Source {
        match self {
            Self::Root => Source::formula(
                "Sandvik Coromant: Threading application guide",
                "p. 114, constant chip area; also Widia catalogue 2017, p. 685",
            ),
            Self::EqualArea => {
                Source::derived("area of a groove with a flat tip, a(h) = f h + h² tan A, shared equally")
            }
            Self::EqualForce | Self::EqualDeflection => {
                Source::derived("steps solved so that Kienzle's law gives each pass the same force")
            }
        }
    }
}

/// Cumulative depth of pass `x` of `n` (from 1) by the root rule: ap/√(n−1) · √q, q = 0.3 for the first, 1 for
/// the second, x − 1 after. One pass takes all.
pub fn root_rule_depth(ap: Length, n: u32, x: u32) -> Length {
    if n < 2 {
        return ap;
    }
    let q = if x == 1 { 0.3 } else { f64::from(x - 1) };
    ap * (q / f64::from(n - 1)).sqrt()
}

/// Cumulative depth of pass `x` of `n` (from 1) when each takes the same area of what lies between `from` and `to`.
pub fn equal_area_depth(groove: &Groove, from: Length, to: Length, n: u32, x: u32) -> Length {
    let (a, b) = (groove.area_mm2(from), groove.area_mm2(to));
    groove.depth_of_area(a + (b - a) * f64::from(x) / f64::from(n))
}

/// What a rule keeps alike, as it grows from one depth to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Alike {
    /// Area of the section, mm².
    Area(Groove),
    /// A force, N.
    Force(Growth),
}

impl Alike {
    /// In a pass from `from` to `to`: mm² or N.
    pub fn of(&self, from: Length, to: Length) -> f64 {
        match self {
            Self::Area(groove) => groove.area_mm2(to) - groove.area_mm2(from),
            Self::Force(growth) => growth.newton(from, to),
        }
    }
    /// Depth of the pass from `from` in which it comes to `quota`.
    fn reach(&self, from: Length, quota: f64) -> Length {
        match self {
            Self::Area(groove) => groove.depth_of_area(groove.area_mm2(from) + quota),
            Self::Force(growth) => growth.reach(from, quota),
        }
    }
    /// Smallest number of passes from `from` to `to` in none of which it is more than `quota`; at most `most`.
    pub fn fewest(&self, from: Length, to: Length, quota: f64, most: u32) -> u32 {
        // What rounding to a dial had added is no pass of its own.
        let end = to - Length::um(0.1);
        let (mut at, mut n) = (from, 0);
        while at < end && n < most {
            at = self.reach(at, quota);
            n += 1;
        }
        n.max(1)
    }
    /// Cumulative depths of `n` passes from `from` to `to` with the same in each.
    pub fn equal(&self, from: Length, to: Length, n: u32) -> Vec<Length> {
        match self {
            Self::Area(groove) => (1..=n).map(|x| equal_area_depth(groove, from, to, n, x)).collect(),
            Self::Force(growth) => growth.equal(from, to, n),
        }
    }
}

/// Cumulative depths from `start` down to `full` after those that a rule gives for `n` passes. Where the rule would
/// cut less than `least` deep, the rest is shared into equal steps of `least` or more, so there may be fewer than `n`.
pub fn no_thinner(by_rule: &[Length], start: Length, full: Length, least: Length) -> Vec<Length> {
    let n = by_rule.len() as u32;
    let mut out: Vec<Length> = Vec::new();
    let mut at = start;
    for &next in by_rule {
        if next <= start {
            // The scratch has been deeper than the rule's first pass.
            continue;
        }
        if next - at < least || full - next < least {
            break;
        }
        out.push(next);
        at = next;
    }
    let rest = full - at;
    let steps = ((rest / least).floor() as u32).max(1).min(n.max(1) + 1000);
    let shares = if out.len() as u32 >= n { 0 } else { steps.min(n - out.len() as u32).max(1) };
    for i in 1..=shares {
        out.push(at + rest * (f64::from(i) / f64::from(shares)));
    }
    if let Some(last) = out.last_mut() {
        *last = full;
    }
    out
}

/// Which part of the table of pass counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// 60° and 55° threads.
    V,
    /// Trapezoidal, Acme; square grooves are cut likewise.
    Trapezoidal,
}

/// Passes by form and pitch, lower and upper, for carbide in steel (`data/pass_counts.csv`).
pub fn table_passes(shape: Shape, pitch: Length) -> (u32, u32, Source) {
    let form = match shape {
        Shape::V => "v",
        Shape::Trapezoidal => "trapezoidal",
    };
    let table = Table::read("pass_counts.csv", include_str!("../../data/pass_counts.csv"));
    let of_form = || table.rows().filter(|r| r.text("form") == form);
    let row = of_form().find(|r| pitch.to_mm() <= r.required("pitch_to") + 1e-9).or_else(|| of_form().last());
    match row {
        Some(r) => (r.required("low") as u32, r.required("high") as u32, r.source("source")),
        None => unreachable!("pass_counts.csv has rows for both forms"),
    }
}

/// By how much high-speed steel on a manual lathe needs more passes than the table's carbide.
pub const HSS_FACTOR: f64 = 1.5;

#[cfg(test)]
mod tests {
    use super::super::groove::Flanks;
    use super::*;

    fn groove() -> Groove {
        Groove { tip: Length::mm(1.5), flanks: Flanks::even(0.268), depth: Length::mm(2.75) }
    }

    #[test]
    fn ends_exactly_at_depth_and_never_cuts_too_thin() {
        let (g, start, least) = (groove(), Length::mm(0.03), Length::mm(0.05));
        for n in 1..200 {
            let root: Vec<_> = (1..=n).map(|x| root_rule_depth(g.depth, n, x)).collect();
            let area: Vec<_> = (1..=n).map(|x| equal_area_depth(&g, start, g.depth, n, x)).collect();
            for by_rule in [root, area] {
                let d = no_thinner(&by_rule, start, g.depth, least);
                assert_eq!(d.last(), Some(&g.depth));
                let mut at = start;
                for &h in &d {
                    assert!(h - at >= least - Length::mm(1e-9), "n {n}: {h:?} after {at:?}");
                    at = h;
                }
            }
        }
    }

    #[test]
    fn as_many_passes_as_the_quota_of_so_many_asks_for() {
        let (g, start) = (groove(), Length::mm(0.03));
        for n in [1, 2, 7, 23] {
            let quota = Alike::Area(g).of(start, g.depth) / f64::from(n);
            assert_eq!(Alike::Area(g).fewest(start, g.depth, quota * 1.000_001, 1000), n);
            let growth = Alike::Force(Growth::new(0.75, 900.0, 400.0));
            let first = growth.equal(start, g.depth, n)[0];
            assert_eq!(growth.fewest(start, g.depth, growth.of(start, first) * 1.000_001, 1000), n);
        }
    }

    #[test]
    fn pitches_between_steps_take_the_next_row() {
        assert_eq!(table_passes(Shape::Trapezoidal, Length::mm(5.0)).0, 13);
        assert_eq!(table_passes(Shape::V, Length::per_inch(20.0)).1, 8);
        assert_eq!(table_passes(Shape::V, Length::mm(12.0)).1, 25);
    }
}
