//! Averages and lines that a few bad points do not move.

/// Median of finite numbers; `None` for none. The order of `values` is changed.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    let upper = *values.select_nth_unstable_by(middle, f64::total_cmp).1;
    if values.len() % 2 == 1 {
        return Some(upper);
    }
    // The lower of the two middle values is the greatest of those before.
    let lower = values[..middle].iter().copied().max_by(f64::total_cmp)?;
    Some((lower + upper) / 2.0)
}

/// Median and the standard deviation that the median absolute deviation stands for in a normal
/// distribution (factor 1.4826: Huber, Robust Statistics, 1981, section 5.1; from memory).
pub(crate) fn median_and_spread(values: &[f64]) -> Option<(f64, f64)> {
    let mut values = values.to_vec();
    let middle = median(&mut values)?;
    for value in &mut values {
        *value = (*value - middle).abs();
    }
    Some((middle, 1.4826 * median(&mut values)?))
}

/// `y = at_zero + slope·x` with what its residuals say of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    pub(crate) at_zero: f64,
    pub(crate) slope: f64,
    /// Standard uncertainty of the slope, from the residuals.
    pub(crate) slope_u: f64,
    /// Robust standard deviation of the residuals.
    pub(crate) spread: f64,
}

impl Line {
    pub(crate) fn at(&self, x: f64) -> f64 {
        self.at_zero + self.slope * x
    }
}

/// Least squares with Huber's weights (tuning constant 1.345, the 95 % one), repeated until settled. `None`
/// for fewer than three points or points at one `x` only.
pub(crate) fn robust_line(points: &[(f64, f64)]) -> Option<Line> {
    const HUBER: f64 = 1.345;
    const ROUNDS: usize = 12;
    if points.len() < 3 {
        return None;
    }
    let mut weights = vec![1.0; points.len()];
    let mut line = None;
    for _ in 0..ROUNDS {
        let total: f64 = weights.iter().sum();
        let mean = |pick: fn(&(f64, f64)) -> f64| {
            points.iter().zip(&weights).map(|(p, w)| w * pick(p)).sum::<f64>() / total
        };
        let (x0, y0) = (mean(|p| p.0), mean(|p| p.1));
        let (mut xx, mut xy) = (0.0, 0.0);
        for (&(x, y), w) in points.iter().zip(&weights) {
            xx += w * (x - x0) * (x - x0);
            xy += w * (x - x0) * (y - y0);
        }
        if xx.is_nan() || xx <= 0.0 {
            return None;
        }
        let slope = xy / xx;
        let residuals: Vec<f64> = points.iter().map(|&(x, y)| y - y0 - slope * (x - x0)).collect();
        let (_, spread) = median_and_spread(&residuals)?;
        let squares: f64 = residuals.iter().zip(&weights).map(|(r, w)| w * w * r * r).sum();
        // Two constants were fitted.
        let variance = squares / (points.len() as f64 - 2.0).max(1.0);
        line = Some(Line { at_zero: y0 - slope * x0, slope, slope_u: (variance / xx).sqrt(), spread });
        if spread <= 1e-9 {
            break;
        }
        for (weight, r) in weights.iter_mut().zip(&residuals) {
            *weight = (HUBER * spread / r.abs().max(1e-12)).min(1.0);
        }
    }
    line
}

/// The place of the least value of `f`, which has one valley between `low` and `high`, by golden section to
/// within `tolerance`.
pub(crate) fn lowest(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64, tolerance: f64) -> f64 {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut a, mut b) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut fa, mut fb) = (f(a), f(b));
    while high - low > tolerance {
        if fa <= fb {
            (high, b, fb) = (b, a, fa);
            a = high - ratio * (high - low);
            fa = f(a);
        } else {
            (low, a, fa) = (a, b, fb);
            b = low + ratio * (high - low);
            fb = f(b);
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians() {
        assert_eq!(median(&mut []), None);
        assert_eq!(median(&mut [3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&mut [4.0, 1.0, 3.0, 2.0]), Some(2.5));
    }

    #[test]
    fn a_line_through_points_with_two_strays() {
        let mut points: Vec<_> = (0..20).map(|n| (f64::from(n), 3.0 + 0.5 * f64::from(n))).collect();
        points[4].1 += 40.0;
        points[15].1 -= 25.0;
        let line = robust_line(&points).expect("twenty points");
        assert!((line.slope - 0.5).abs() < 1e-6 && (line.at(2.0) - 4.0).abs() < 1e-5, "{line:?}");
        assert!(robust_line(&[(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)]).is_none());
    }

    #[test]
    fn the_bottom_of_a_valley() {
        assert!((lowest(|x| (x - 0.3) * (x - 0.3), 0.0, 1.0, 1e-9) - 0.3).abs() < 1e-6);
    }
}
