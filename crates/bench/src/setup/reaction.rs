//! A person's reaction, from tries that they make on the page.

use flankwise_thread::Source;

/// Quicker than this nobody reacts: the press was a guess. Rule of starting blocks in athletics, from memory.
pub const GUESS_S: f64 = 0.1;
/// Fewer tries say nothing of the slow ones. Chosen here.
const FEWEST: usize = 5;

/// How the percentile of few tries is taken.
pub const PERCENTILE: Source = Source::formula(
    "Hyndman, Fan: Sample quantiles in statistical packages, The American Statistician 50 (1996)",
    "definition 7",
);

/// What some tries came to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tries {
    /// Median, seconds.
    pub median_s: f64,
    /// 95th percentile, seconds: what 19 tries in 20 stay within.
    pub slow_s: f64,
    /// Tries that counted.
    pub counted: usize,
    /// Presses before the mark, or so soon after it that they were guesses; discarded.
    pub false_starts: usize,
}

/// Median and 95th percentile of tries in seconds from the mark to the press. A press before the mark is negative.
/// None where fewer than five count.
///
/// ```
/// # use flankwise_bench::setup::tries;
/// let t = tries(&[0.21, 0.25, 0.23, 0.02, 0.24, 0.30, 0.22, 0.26, 0.23, 0.22, 0.25]).unwrap();
/// assert_eq!((t.counted, t.false_starts, t.median_s), (10, 1, 0.235));
/// assert!((t.slow_s - (0.26 + 0.55 * 0.04)).abs() < 1e-12);
/// ```
pub fn tries(seconds: &[f64]) -> Option<Tries> {
    let mut counted: Vec<f64> = seconds.iter().copied().filter(|t| t.is_finite() && *t >= GUESS_S).collect();
    if counted.len() < FEWEST {
        return None;
    }
    counted.sort_by(f64::total_cmp);
    Some(Tries {
        median_s: quantile(&counted, 0.5),
        slow_s: quantile(&counted, 0.95),
        counted: counted.len(),
        false_starts: seconds.len() - counted.len(),
    })
}

/// Quantile of sorted values, between the two next to its place (definition 7 of Hyndman and Fan).
fn quantile(sorted: &[f64], p: f64) -> f64 {
    let place = (sorted.len() - 1) as f64 * p;
    let below = place.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (place - place.floor()) * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn false_starts_do_not_count() {
        assert_eq!(tries(&[0.2, 0.2, 0.2, 0.2]), None);
        assert_eq!(tries(&[-0.1, 0.01, f64::NAN, 0.2, 0.2, 0.2, 0.2]), None);
        let t = tries(&[-0.1, 0.01, 0.2, 0.2, 0.3, 0.2, 0.2]).unwrap();
        assert_eq!((t.counted, t.false_starts, t.median_s), (5, 2, 0.2));
        assert!((t.slow_s - 0.28).abs() < 1e-12);
    }
}
