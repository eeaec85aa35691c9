//! How a force grows with the depth of a pass, and what follows from that in closed form or by Newton's steps that
//! cannot miss: the depth at which it comes to so much, and passes with the same in each.

use super::force::Kienzle;
use flankwise_thread::{Force, Length};

/// Newton's steps at most; three or four do.
const STEPS: u32 = 50;

/// A force F = h^e (a + b t) of a pass h thick that ends t deep: Kienzle's law on a tip of fixed width and on flanks as
/// long as the groove is deep. Depths in mm, F in N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    exponent: f64,
    tip: f64,
    flanks: f64,
}

impl Growth {
    /// With the exponent e, and a and b in N and N/mm at a chip of 1 mm.
    pub const fn new(exponent: f64, tip: f64, flanks: f64) -> Self {
        Self { exponent, tip, flanks }
    }

    /// Of the force that `force` gives between two depths in a material: two passes of 1 mm tell both constants.
    pub fn of(material: Kienzle, force: impl Fn(Length, Length) -> Force) -> Self {
        let at = |mm: f64| force(Length::mm(mm - 1.0), Length::mm(mm)).to_newton();
        let (first, second) = (at(1.0), at(2.0));
        Self::new(1.0 - material.mc, 2.0 * first - second, second - first)
    }

    /// In a pass from `from` to `to`, N.
    pub fn newton(&self, from: Length, to: Length) -> f64 {
        (to - from).max(Length::ZERO).to_mm().powf(self.exponent) * self.edge(to.to_mm())
    }

    /// Force at `depth` mm for each mm^e of chip.
    fn edge(&self, depth: f64) -> f64 {
        self.tip + self.flanks * depth
    }

    /// Depth of the pass from `from` in which the force comes to `quota` N. Against the logarithm of the chip that of the
    /// force is rising and convex, so from too thick a chip Newton's steps come down to the root and never pass it.
    pub fn reach(&self, from: Length, quota: f64) -> Length {
        from + Length::mm(self.chip(from.to_mm(), quota))
    }

    fn chip(&self, from: f64, quota: f64) -> f64 {
        if quota <= 0.0 {
            return 0.0;
        }
        let by_edge_so_far = (quota / self.edge(from)).powf(1.0 / self.exponent);
        let by_edge_to_come = (quota / self.flanks).powf(1.0 / (1.0 + self.exponent));
        let mut chip = by_edge_so_far.min(by_edge_to_come);
        for _ in 0..STEPS {
            let edge = self.edge(from + chip);
            let over = self.exponent * chip.ln() + (edge / quota).ln();
            let step = over / (self.exponent + self.flanks * chip / edge);
            chip *= (-step).exp();
            if step.abs() < 1e-13 {
                break;
            }
        }
        chip
    }

    /// Cumulative depths of `n` passes from `from` to `to` with the same force in each.
    pub fn equal(&self, from: Length, to: Length, n: u32) -> Vec<Length> {
        let depth = (to - from).to_mm();
        let mean = depth / f64::from(n);
        // One pass that takes all needs more force, and a chip of nothing none.
        let (mut low, mut high) = (0.0, self.newton(from, to));
        let mut quota = mean.powf(self.exponent) * self.edge(from.to_mm() + 0.5 * depth);
        for _ in 0..STEPS {
            let (reached, rate) = self.march(from.to_mm(), n, quota);
            let over = (reached - from.to_mm()) / depth;
            if over < 1.0 {
                low = quota
            } else {
                high = quota
            }
            if (over - 1.0).abs() < 1e-12 {
                break;
            }
            // Newton on the logarithms of both, which are nearly in proportion.
            let next = quota * (-over.ln() * over * depth / (rate * quota)).exp();
            quota = if low < next && next < high { next } else { 0.5 * (low + high) };
        }
        let mut at = from;
        let mut depths: Vec<Length> = (0..n)
            .map(|_| {
                at = self.reach(at, quota);
                at
            })
            .collect();
        if let Some(last) = depths.last_mut() {
            *last = to;
        }
        depths
    }

    /// Depth that `n` passes of `quota` reach from `from`, mm, and how fast it grows with the quota, mm/N.
    fn march(&self, from: f64, n: u32, quota: f64) -> (f64, f64) {
        let (mut at, mut rate) = (from, 0.0);
        for _ in 0..n {
            let chip = self.chip(at, quota);
            // F(at, to) = quota along the march: dto = (dquota − ∂F/∂at dat) / (∂F/∂to), and ∂F/∂at is that of the chip.
            let of_chip = self.exponent * quota / chip;
            let of_depth = quota * self.flanks / self.edge(at + chip);
            rate = (1.0 + of_chip * rate) / (of_chip + of_depth);
            at += chip;
        }
        (at, rate)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A groove that is all tip (square) shares its depth evenly, and every chip follows from the law alone.
    #[test]
    fn a_square_groove_is_shared_evenly() {
        let growth = Growth::new(0.74, 1200.0, 0.0);
        let depths = growth.equal(Length::ZERO, Length::mm(3.0), 6);
        for (i, depth) in depths.iter().enumerate() {
            assert!((depth.to_mm() - 0.5 * (i + 1) as f64).abs() < 1e-9, "{depth:?}");
        }
        let chip = growth.reach(Length::mm(1.0), 500.0) - Length::mm(1.0);
        assert!((chip.to_mm() - (500.0_f64 / 1200.0).powf(1.0 / 0.74)).abs() < 1e-12);
    }

    /// A sharp tip in a groove of no depth yet: all force is the flanks'.
    #[test]
    fn a_sharp_tip_starts_from_the_surface() {
        let growth = Growth::new(0.75, 0.0, 800.0);
        let depths = growth.equal(Length::ZERO, Length::mm(2.0), 5);
        let first = growth.newton(Length::ZERO, depths[0]);
        for pair in depths.windows(2) {
            assert!((growth.newton(pair[0], pair[1]) / first - 1.0).abs() < 1e-9);
        }
        let chip = growth.reach(Length::ZERO, 300.0).to_mm();
        assert!((chip - (300.0_f64 / 800.0).powf(1.0 / 1.75)).abs() < 1e-12);
    }
}
