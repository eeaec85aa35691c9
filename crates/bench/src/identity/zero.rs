//! An instrument off its zero: every size read with it is too large, or too small, by one amount.
//!
//! The amount is normal about nothing, and integrated over in closed form, one reading after the other: each is taken with
//! what the readings before it leave open of the amount (a Kalman filter of a single number; Kalman 1960, Journal of
//! Basic Engineering 82, from memory). Other readings than sizes are left alone: a span from crest to crest is off by as
//! much, yet shared among its pitches that is less than a rough lead.

use super::density::{ln_add, normal_pdf};
use super::model::{Group, Seen};
use super::size::{Fading, Prediction};

/// How seldom the instrument of a reading is off its zero, and by how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Zero {
    /// Chance for all readings with it together.
    pub chance: f64,
    /// Standard deviation of the amount, mm.
    pub width: f64,
}

/// What is known of the amount: normal, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shift {
    pub mean: f64,
    pub sd: f64,
}

impl Zero {
    /// How far it is off at most, mm, in a reading with this noise; beyond that it is a slip.
    pub(super) fn reach(self, noise: f64) -> f64 {
        6.0 * noise.hypot(self.width)
    }

    /// Before any reading.
    pub(super) fn shift(self) -> Shift {
        Shift { mean: 0.0, sd: self.width }
    }

    /// Log-likelihood where both may be, and the chance that the zero was off: of readings whose log-likelihood is `right`
    /// with a good zero, and `off` with another.
    pub(super) fn either(self, right: f64, off: f64) -> (f64, f64) {
        mixed(self.chance, right, off)
    }

    /// Upper bound of the log-likelihood with another zero, chance included, of an outside diameter `d` whose maker's
    /// zone is `least` wide at least and that fades so; `zone`: how far under and over its nominal its zone goes.
    pub(super) fn ln_most(self, group: &Group, d: f64, least: f64, fading: &Fading, zone: (f64, f64)) -> f64 {
        let mut first = true;
        let of = |seen: &Seen| match seen.zero {
            None => seen.ln_most(d, fading, least, true),
            Some(_) if std::mem::take(&mut first) => {
                seen.ln_most_by(|at, noise| fading.spread(d - at, noise.hypot(self.width), seen.wear, zone))
            }
            Some(_) => seen.ln_peak(least, true),
        };
        self.chance.ln() + group.seen.iter().map(of).sum::<f64>()
    }
}

/// Log of the mean of two likelihoods, the second of this chance, and the chance of the second after it.
pub(super) fn mixed(chance: f64, first: f64, second: f64) -> (f64, f64) {
    let second = chance.ln() + second;
    let ln = ln_add((1.0 - chance).ln() + first, second);
    (ln, (second - ln).exp())
}

impl Shift {
    /// What a reading should find that is off by this.
    pub(super) fn moved(self, prediction: &Prediction) -> Prediction {
        Prediction { at: prediction.at + self.mean, spread: prediction.spread.hypot(self.sd), ..*prediction }
    }

    /// What is known after a reading of what was predicted without a shift.
    pub(super) fn after(self, seen: &Seen, prediction: &Prediction) -> Self {
        let variance = self.sd * self.sd;
        let noise = seen.u * seen.u
            + prediction.spread.powi(2)
            + prediction.tolerance.powi(2) / 12.0
            + prediction.wear.powi(2);
        let gain = variance / (variance + noise);
        Self {
            mean: self.mean + gain * (seen.v - prediction.expected() - self.mean),
            sd: (variance * noise / (variance + noise)).sqrt(),
        }
    }

    /// Density of a reading, by this zero where it is one of the instrument's, and what is known after it.
    pub(super) fn density(&mut self, seen: &Seen, prediction: &Prediction) -> f64 {
        if seen.zero.is_none() {
            return seen.density(prediction);
        }
        // No slip of a known kind as well: two rare things at once.
        let density = seen.plain_density(&self.moved(prediction));
        // What only a slip explains says nothing of the zero.
        if density > 2.0 * seen.slip {
            *self = self.after(seen, prediction);
        }
        density
    }
}

impl Group {
    /// What may be wrong with the zero of an instrument that read one of these.
    pub(super) fn zero(&self) -> Option<Zero> {
        self.seen.iter().find_map(|seen| seen.zero)
    }

    /// Log-likelihood where the zero is off, as far as `shift` knows; `shift` then knows more.
    pub(super) fn ln_off(&self, shift: &mut Shift, prediction: &Prediction) -> f64 {
        self.seen.iter().map(|seen| shift.density(seen, prediction).ln()).sum()
    }
}

impl Fading {
    /// Upper bound of the density so far under the nominal of normal noise and exponential wear beyond a zone that ends so
    /// far under the nominal and over it, where noise is wide: half of the way is the noise's or the wear's.
    fn spread(&self, under: f64, noise: f64, wear: f64, zone: (f64, f64)) -> f64 {
        let (beyond, over) = (under - zone.0, -under - zone.1);
        if over > 0.0 {
            normal_pdf(over, noise)
        } else if beyond > 0.0 {
            let by_wear = (-0.5 * beyond / (self.mean_wear() * wear)).exp();
            normal_pdf(0.5 * beyond, noise) + normal_pdf(0.0, noise) * by_wear
        } else {
            normal_pdf(0.0, noise)
        }
    }
}
