//! The depths of the passes.

use super::groove::Groove;
use flankwise_thread::table::Table;
use flankwise_thread::{Length, Source};

/// How the area is shared out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The published root rule for V tools; see [`root_rule_depth`].
    Root,
    /// Equal areas of the groove's true section, flat tip included; see [`equal_area_depth`].
    EqualArea,
}

impl Rule {
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

/// Cumulative depth of pass `x` of `n` (from 1) when each takes the same area of what is left below `start`.
pub fn equal_area_depth(groove: &Groove, start: Length, n: u32, x: u32) -> Length {
    let (a, b) = (groove.area_mm2(start), groove.area_mm2(groove.depth));
    groove.depth_of_area(a + (b - a) * f64::from(x) / f64::from(n))
}

/// Cumulative depths of `n` passes from `start` down to the full depth. Where the rule would cut less than
/// `least` deep, the rest is shared into equal steps of `least` or more, so there may be fewer than `n`.
pub fn depths(rule: Rule, groove: &Groove, start: Length, n: u32, least: Length) -> Vec<Length> {
    let full = groove.depth;
    let mut out: Vec<Length> = Vec::new();
    let mut at = start;
    for x in 1..=n {
        let next = match rule {
            Rule::Root => root_rule_depth(full, n, x),
            Rule::EqualArea => equal_area_depth(groove, start, n, x),
        };
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
    use super::*;

    fn groove() -> Groove {
        Groove { tip: Length::mm(1.5), mean_tan: 0.268, depth: Length::mm(2.75) }
    }

    #[test]
    fn ends_exactly_at_depth_and_never_cuts_too_thin() {
        let (g, start, least) = (groove(), Length::mm(0.03), Length::mm(0.05));
        for rule in [Rule::Root, Rule::EqualArea] {
            for n in 1..200 {
                let d = depths(rule, &g, start, n, least);
                assert_eq!(d.last(), Some(&g.depth));
                let mut at = start;
                for &h in &d {
                    assert!(h - at >= least - Length::mm(1e-9), "{rule:?} n {n}: {:?} after {:?}", h, at);
                    at = h;
                }
            }
        }
    }

    #[test]
    fn pitches_between_steps_take_the_next_row() {
        assert_eq!(table_passes(Shape::Trapezoidal, Length::mm(5.0)).0, 13);
        assert_eq!(table_passes(Shape::V, Length::per_inch(20.0)).1, 8);
        assert_eq!(table_passes(Shape::V, Length::mm(12.0)).1, 25);
    }
}
