//! Passes alike in a load by a search within a search: the plain way, and the peer of `cut::growth`.

use flankwise_thread::Length;

/// Depth at which `load(from, depth)` reaches `quota`; `to` where it does not. `load` rises with depth.
fn reach(load: &impl Fn(Length, Length) -> f64, from: Length, to: Length, quota: f64) -> Length {
    if load(from, to) <= quota {
        return to;
    }
    let (mut low, mut high) = (from, to);
    for _ in 0..32 {
        let mid = (low + high) * 0.5;
        if load(from, mid) <= quota { low = mid } else { high = mid }
    }
    low
}

/// Cumulative depths of `n` passes from `from` to `to` with the same `load` in each. `load` rises with depth and falls
/// to nothing with the step.
pub fn equal(load: &impl Fn(Length, Length) -> f64, from: Length, to: Length, n: u32) -> Vec<Length> {
    let march = |quota: f64| {
        let mut at = from;
        (0..n)
            .map(|_| {
                at = reach(load, at, to, quota);
                at
            })
            .collect::<Vec<_>>()
    };
    let (mut low, mut high) = (0.0, load(from, to));
    for _ in 0..32 {
        let mid = 0.5 * (low + high);
        if march(mid).last().is_some_and(|end| *end < to) { low = mid } else { high = mid }
    }
    march(high)
}
