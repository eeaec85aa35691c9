//! The mate along its length: a smooth model between the places read, with its uncertainty.
//!
//! Use takes most where a nut works most, so what is missing of a thread grows from its unworn ends to one worst place
//! and shrinks again. Where the values read agree with that, each within its uncertainty, they are put in that order by
//! weighted monotone regression; where they do not, they stand as read. Between them runs a monotone cubic, which
//! makes no hill or hollow of its own, and beyond the last ones it stays level.
//!
//! Of what lies between two places the readings say only that it goes from the one value to the other. The band there
//! is that of a value which may lie anywhere between them (a rectangular distribution, GUM 4.3.7), and no narrower than
//! the mean change along the whole mate allows; but two standard uncertainties down it ends where that of the thicker
//! neighbour does, since no thread is thicker than both places between which it wore.

use flankwise_thread::Source;

/// Origin of the model.
pub const SOURCE: Source = Source::formula(
    "Fritsch and Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J. Sci. Stat. Comput. 5 (1984)",
    "from memory; the order by pool adjacent violators (Barlow and others, 1972)",
);
/// A value may be moved by so many of its standard uncertainties to bring it into order (about 95 %).
const MOVED: f64 = 2.0;
/// Standard uncertainties that a band is drawn to, either way (about 95 %).
const BAND: f64 = 2.0;

/// A value at a place, both in millimetres, with the value's standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knot {
    /// Place along the mate from its end.
    pub place: f64,
    /// Value there.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
}

/// A value along the mate.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    knots: Vec<Knot>,
    /// Slope at each knot.
    tangents: Vec<f64>,
    /// Change for a millimetre that is usual along this mate.
    rate: f64,
}

impl Curve {
    /// Through values at ascending places, put into the order of wear where they agree with it. None without values.
    pub fn through(knots: &[Knot]) -> Option<Self> {
        let (first, last) = (knots.first()?, knots.last()?);
        let mut knots = knots.to_vec();
        let ordered = in_order_of_wear(&knots);
        let agrees = |(k, v): (&Knot, &f64)| (k.value - v).abs() <= MOVED * k.u;
        if knots.iter().zip(&ordered).all(agrees) {
            knots.iter_mut().zip(ordered).for_each(|(k, v)| k.value = v);
        }
        let (low, high) = knots
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), k| (lo.min(k.value), hi.max(k.value)));
        let way = last.place - first.place;
        let rate = if way > 0.0 { (high - low) / way } else { 0.0 };
        Some(Self { tangents: tangents(&knots), knots, rate })
    }

    /// The same value everywhere.
    pub fn level(value: f64, u: f64) -> Self {
        Self { knots: vec![Knot { place: 0.0, value, u }], tangents: vec![0.0], rate: 0.0 }
    }

    /// The places that the curve goes through.
    pub fn places(&self) -> impl Iterator<Item = f64> + '_ {
        self.knots.iter().map(|k| k.place)
    }

    /// The value at a place, with its standard uncertainty.
    pub fn at(&self, place: f64) -> (f64, f64) {
        let after = self.knots.partition_point(|k| k.place < place);
        let beyond = |k: &Knot| (k.value, k.u.hypot(self.rate * (place - k.place) / 3f64.sqrt()));
        match (after.checked_sub(1).map(|i| &self.knots[i]), self.knots.get(after)) {
            (Some(a), Some(b)) => {
                let (way, t) = (b.place - a.place, (place - a.place) / (b.place - a.place));
                let (t2, t3) = (t * t, t * t * t);
                let value = a.value * (2.0 * t3 - 3.0 * t2 + 1.0)
                    + b.value * (3.0 * t2 - 2.0 * t3)
                    + way * self.tangents[after - 1] * (t3 - 2.0 * t2 + t)
                    + way * self.tangents[after] * (t3 - t2);
                let between = (b.value - a.value).abs().max(self.rate * way) / 12f64.sqrt();
                let open = between * 2.0 * (t * (1.0 - t)).sqrt();
                let thick = if a.value <= b.value { a } else { b };
                let floor = thick.u.max(a.u + (b.u - a.u) * t) + (value - thick.value) / BAND;
                (value, (a.u + (b.u - a.u) * t).hypot(open).min(floor))
            }
            (Some(last), None) => beyond(last),
            (None, Some(first)) => beyond(first),
            (None, None) => (f64::NAN, f64::NAN),
        }
    }
}

/// The values nearest to those read, by least squares with their weights, that grow up to one place and shrink after it.
fn in_order_of_wear(knots: &[Knot]) -> Vec<f64> {
    let backwards: Vec<Knot> = knots.iter().rev().copied().collect();
    let (rising, falling) = (squares(knots), squares(&backwards));
    let n = knots.len();
    // So many rise; the others fall.
    let best = (0..=n)
        .min_by(|&a, &b| (rising[a] + falling[n - a]).total_cmp(&(rising[b] + falling[n - b])))
        .unwrap_or(n);
    let mut values = growing(&knots[..best]);
    values.extend(growing(&backwards[..n - best]).into_iter().rev());
    values
}

/// Values of the same weighted mean, and how many.
struct Pool {
    mean: f64,
    weight: f64,
    squares: f64,
    count: usize,
}

/// Pools what falls, value by value, and shows the pools after each.
fn pool(knots: &[Knot], mut after_each: impl FnMut(&[Pool])) -> Vec<Pool> {
    let mut pools: Vec<Pool> = Vec::with_capacity(knots.len());
    for k in knots {
        let mut next = Pool { mean: k.value, weight: k.u.max(1e-9).powi(-2), squares: 0.0, count: 1 };
        while let Some(last) = pools.pop_if(|last| last.mean > next.mean) {
            let weight = last.weight + next.weight;
            next = Pool {
                mean: (last.mean * last.weight + next.mean * next.weight) / weight,
                squares: last.squares
                    + next.squares
                    + (last.mean - next.mean).powi(2) * last.weight * next.weight / weight,
                weight,
                count: last.count + next.count,
            };
        }
        pools.push(next);
        after_each(&pools);
    }
    pools
}

/// What the growing values nearest to the first 0, 1, 2 … values miss them by: weighted sums of squares.
fn squares(knots: &[Knot]) -> Vec<f64> {
    let mut sums = vec![0.0];
    pool(knots, |pools| sums.push(pools.iter().map(|p| p.squares).sum()));
    sums
}

/// The growing values nearest to those read.
fn growing(knots: &[Knot]) -> Vec<f64> {
    pool(knots, |_| ()).iter().flat_map(|p| std::iter::repeat_n(p.mean, p.count)).collect()
}

/// Slopes of the monotone cubic: the weighted harmonic mean of the chords on either side where both go one way, else
/// level; level at the ends too, where an unworn thread goes on.
fn tangents(knots: &[Knot]) -> Vec<f64> {
    let mut slopes = vec![0.0; knots.len()];
    for (i, w) in knots.windows(3).enumerate() {
        let (before, after) = (w[1].place - w[0].place, w[2].place - w[1].place);
        let (a, b) = ((w[1].value - w[0].value) / before, (w[2].value - w[1].value) / after);
        if a * b > 0.0 {
            let (wa, wb) = (2.0 * after + before, after + 2.0 * before);
            slopes[i + 1] = (wa + wb) / (wa / a + wb / b);
        }
    }
    slopes
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::ops::ControlFlow;

    fn curve(points: &[(f64, f64)], u: f64) -> Curve {
        let knots: Vec<_> = points.iter().map(|&(place, value)| Knot { place, value, u }).collect();
        Curve::through(&knots).expect("knots")
    }

    #[test]
    fn goes_through_what_was_read_and_level_beyond() {
        let c = curve(&[(20.0, 0.02), (120.0, 0.12), (300.0, 0.03)], 0.001);
        for (place, value) in [(20.0, 0.02), (120.0, 0.12), (300.0, 0.03), (0.0, 0.02), (500.0, 0.03)] {
            assert!((c.at(place).0 - value).abs() < 1e-12, "{place}");
        }
        assert!((c.at(70.0).0 - 0.07).abs() < 1e-12, "half way between level ends");
        assert!(Curve::through(&[]).is_none());
        assert_eq!(Curve::level(0.1, 0.01).at(77.0), (0.1, 0.01));
    }

    #[test]
    fn band_is_that_of_the_readings_there_and_wider_away_from_them() {
        let c = curve(&[(0.0, 0.0), (100.0, 0.12)], 0.005);
        let u = |place: f64| c.at(place).1;
        assert!((u(0.0) - 0.005).abs() < 1e-12 && (u(100.0) - 0.005).abs() < 1e-12);
        // Anywhere between 0 and 0.12: 0.12 / √12.
        assert!((u(50.0) - 0.005_f64.hypot(0.12 / 12f64.sqrt())).abs() < 1e-12);
        assert!(u(20.0) < u(50.0) && u(130.0) > u(110.0));
    }

    /// Between 0.00 at 100 and 0.12 at 300, each ± 0.005, the thread may be thicker than the curve has it, and no thicker
    /// than at 100: two standard uncertainties down that is -0.01, and nowhere less.
    #[test]
    fn no_band_reaches_past_the_thicker_neighbour() {
        let c = curve(&[(0.0, 0.12), (100.0, 0.00), (300.0, 0.12), (400.0, 0.12)], 0.005);
        for place in 0..=400 {
            let (value, u) = c.at(f64::from(place));
            assert!(value - 2.0 * u >= -0.01 - 1e-12, "{place}: {value} {u}");
        }
        assert!(c.at(350.0).1 <= 0.005 + 1e-12, "between two alike the thread is as they are, or thinner");
    }

    #[test]
    fn small_disorder_is_read_as_wear_and_large_is_left() {
        let knots = [(0.0, 0.00), (50.0, 0.10), (100.0, 0.095), (150.0, 0.12), (200.0, 0.01)];
        let mild = curve(&knots, 0.005);
        assert!((mild.at(50.0).0 - 0.0975).abs() < 1e-12 && (mild.at(100.0).0 - 0.0975).abs() < 1e-12);
        let sharp = curve(&knots, 0.001);
        assert!((sharp.at(50.0).0 - 0.10).abs() < 1e-12 && (sharp.at(100.0).0 - 0.095).abs() < 1e-12);
    }

    /// Monotone regression with weights, worked by hand: 1, 3, 2, 4 with weights 1, 1, 3, 1 pools 3 and 2 to 2.25.
    #[test]
    fn monotone_regression_by_hand() {
        let knots: Vec<_> = [(1.0, 1.0), (3.0, 1.0), (2.0, 3.0), (4.0, 1.0)]
            .iter()
            .enumerate()
            .map(|(i, &(value, w)): (usize, &(f64, f64))| Knot {
                place: i as f64,
                value,
                u: w.sqrt().recip(),
            })
            .collect();
        assert_eq!(growing(&knots), [1.0, 2.25, 2.25, 4.0]);
        let sums = squares(&knots);
        assert!((sums[3] - 0.75).abs() < 1e-12 && (sums[4] - 0.75).abs() < 1e-12, "{sums:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Between two neighbours the curve stays between their values, and the order of wear has one hill at most.
        #[test]
        fn never_overshoots(values in prop::collection::vec(0.0..1.0f64, 2..12), u in 0.001..0.3f64) {
            let points: Vec<_> = values.iter().enumerate().map(|(i, v)| (i as f64 * 10.0, *v)).collect();
            let c = curve(&points, u);
            for w in c.knots.windows(2) {
                let (lo, hi) = (w[0].value.min(w[1].value), w[0].value.max(w[1].value));
                for i in 0..=10 {
                    let (v, _) = c.at(w[0].place + f64::from(i));
                    prop_assert!(v >= lo - 1e-12 && v <= hi + 1e-12);
                }
            }
            let ordered = in_order_of_wear(&c.knots);
            let turns = ordered.windows(2).try_fold(false, |fell, w| {
                let falls = w[1] < w[0] - 1e-12;
                let rises = w[1] > w[0] + 1e-12;
                if fell && rises { ControlFlow::Break(()) } else { ControlFlow::Continue(fell || falls) }
            });
            prop_assert!(turns.is_continue(), "{ordered:?}");
        }
    }
}
