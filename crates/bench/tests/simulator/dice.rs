//! Chance with a fixed seed: the same part and the same person each time, on every machine.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{Distribution, Exp1, LogNormal, StandardNormal};

/// A source of chance.
pub struct Dice(ChaCha8Rng);

impl Dice {
    /// The stream `stream` of the seed: streams do not depend on one another, so that a part is the same whatever
    /// was drawn for the parts before it, and a person reads it the same whatever else they read.
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Self(rng)
    }
    /// At least 0, below 1.
    pub fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }
    /// Evenly between two ends.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    /// True so often.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }
    /// Normal with mean zero.
    pub fn normal(&mut self, sigma: f64) -> f64 {
        let z: f64 = StandardNormal.sample(&mut self.0);
        sigma * z
    }
    /// Normal, drawn again until it lies within ±`most`.
    pub fn normal_within(&mut self, sigma: f64, most: f64) -> f64 {
        loop {
            let x = self.normal(sigma);
            if x.abs() <= most {
                return x;
            }
        }
    }
    /// Exponential.
    pub fn exponential(&mut self, mean: f64) -> f64 {
        let x: f64 = Exp1.sample(&mut self.0);
        mean * x
    }
    /// Log-normal by its median and the standard deviation of its natural logarithm.
    pub fn log_normal(&mut self, median: f64, sigma: f64) -> f64 {
        let spread = LogNormal::new(median.ln(), sigma).unwrap_or_else(|e| panic!("{median}, {sigma}: {e}"));
        spread.sample(&mut self.0)
    }
    /// An index, as likely as its weight.
    pub fn weighted(&mut self, weights: &[f64]) -> usize {
        let mut x = self.unit() * weights.iter().sum::<f64>();
        for (i, w) in weights.iter().enumerate() {
            x -= w;
            if x < 0.0 {
                return i;
            }
        }
        weights.len() - 1
    }
    /// One of them, all alike.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[(self.unit() * of.len() as f64) as usize]
    }
}
