//! Densities of a reading of a worn part, in closed form.
//!
//! A size lies somewhere within the maker's tolerance (all places alike), use has taken something more away
//! (exponential: most places little, some much), and the instrument adds normal noise. What is left of the size
//! at most material is the *deficit* δ = a + w + e, with a uniform on [0, T], w ≥ 0 exponential, e normal. The sum
//! of normal and exponential is the exponentially modified normal distribution; averaging it over a piece of
//! [0, T] needs its distribution function only.

use libm::erfc;

/// Beyond so many standard deviations a normal tail is nothing (1e-33).
const FAR: f64 = 12.0;

/// From so many standard deviations on, the distribution function is 1 to the last digit.
const WHOLE: f64 = 8.3;

/// Standard normal distribution function.
pub(super) fn normal_cdf(x: f64) -> f64 {
    if x > WHOLE {
        return 1.0;
    }
    0.5 * erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}

/// Normal density.
pub(super) fn normal_pdf(x: f64, sigma: f64) -> f64 {
    const ROOT_TWO_PI: f64 = 2.506_628_274_631_000_7;
    (-0.5 * (x / sigma).powi(2)).exp() / (sigma * ROOT_TWO_PI)
}

/// Distribution function of normal noise `sigma` plus exponential wear of mean `wear`.
pub(super) fn worn_cdf(x: f64, sigma: f64, wear: f64) -> f64 {
    let z = x / sigma;
    if z < -FAR {
        return 0.0;
    }
    // Wear far under the noise only shifts it; the exact form would overflow there.
    if wear < 0.1 * sigma {
        return normal_cdf((x - wear) / sigma);
    }
    let r = sigma / wear;
    let tail = 0.5 * r * r - x / wear;
    let lower = normal_cdf(z - r);
    let worn = match lower {
        0.0 => 0.0,
        // Below this the exponential cannot overflow, and the logarithm can be saved.
        _ if tail < 500.0 => tail.exp() * lower,
        _ => (tail + lower.ln()).exp(),
    };
    (normal_cdf(z) - worn).clamp(0.0, 1.0)
}

/// Log of the sum of exponentials of two numbers.
pub(super) fn ln_add(a: f64, b: f64) -> f64 {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    if low == f64::NEG_INFINITY { high } else { high + (low - high).exp().ln_1p() }
}

/// Logistic function.
pub(super) fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distribution_function_agrees_with_plain_integration() {
        for (sigma, wear) in [(0.02, 0.1), (0.05, 0.04), (0.004, 0.3), (0.3, 0.02)] {
            for x in [-0.05, 0.0, 0.02, 0.1, 0.5] {
                // Averages the noise's distribution function over exponential wear.
                let steps = 40_000;
                let mut sum = 0.0;
                for i in 0..steps {
                    let q = (f64::from(i) + 0.5) / f64::from(steps);
                    sum += normal_cdf((x + wear * (1.0 - q).ln()) / sigma);
                }
                let expected = sum / f64::from(steps);
                let tolerance = if wear < 0.1 * sigma { 0.01 } else { 2e-4 };
                assert!((worn_cdf(x, sigma, wear) - expected).abs() < tolerance, "{x} {sigma} {wear}");
            }
        }
    }

    #[test]
    fn distribution_function_stays_in_bounds_at_extremes() {
        for wear in [1e-9, 0.001, 0.1, 10.0] {
            for sigma in [1e-4, 0.02, 1.0] {
                let mut last = 0.0;
                for i in -200..400 {
                    let now = worn_cdf(f64::from(i) * 0.01, sigma, wear);
                    assert!((0.0..=1.0).contains(&now) && now >= last - 1e-12);
                    last = now;
                }
            }
        }
    }

    #[test]
    fn normal_distribution_function_has_its_textbook_values() {
        // 0.975 quantile 1.959 964 (any table of the normal distribution).
        assert!((normal_cdf(1.959_964) - 0.975).abs() < 1e-7);
        assert!((normal_pdf(0.0, 1.0) - 0.398_942_3).abs() < 1e-7);
    }
}
