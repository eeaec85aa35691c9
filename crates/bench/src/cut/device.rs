//! The device that the depth is set by: what it counts, and how finely.

use crate::job::{Dial, DialReads, Lathe};
use flankwise_thread::Length;

/// Readout or dial of the cross-slide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Device {
    /// Smallest step, as it counts.
    pub division: Length,
    /// Counts on the diameter.
    pub on_diameter: bool,
    /// A digital readout rather than a graduated dial.
    pub digital: bool,
}

impl Device {
    /// The lathe's readout if it has one, else its dial.
    pub fn of(lathe: Option<&Lathe>) -> Option<Self> {
        let lathe = lathe?;
        let device = |d: Dial, digital| Self {
            division: d.division,
            on_diameter: d.reads == DialReads::Diameter,
            digital,
        };
        lathe
            .readout
            .map(|d| device(d, true))
            .or_else(|| lathe.cross_dial.map(|d| device(d, false)))
            .filter(|d| d.division > Length::ZERO)
    }
    /// Smallest step of radial depth.
    pub fn radial_step(&self) -> Length {
        if self.on_diameter { self.division * 0.5 } else { self.division }
    }
    /// What it shows at a radial depth.
    pub fn shows(&self, depth: Length) -> Length {
        if self.on_diameter { depth * 2.0 } else { depth }
    }
}

/// Rounds cumulative depths to whole steps of `step`, each from zero, so that errors never add up. Depths that
/// fall on the same step become one; the last is the full depth to the nearest step.
pub fn settle(depths: &[Length], step: Length) -> Vec<Length> {
    let mut out: Vec<Length> = Vec::with_capacity(depths.len());
    for &depth in depths {
        let at = round_to(depth, step);
        if at > out.last().copied().unwrap_or(Length::ZERO) {
            out.push(at);
        }
    }
    out
}

/// The nearest whole number of steps.
pub fn round_to(length: Length, step: Length) -> Length {
    step * (length / step).round()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_never_drifts() {
        let depths: Vec<_> = (1..=30).map(|i| Length::mm(0.0917 * f64::from(i))).collect();
        let set = settle(&depths, Length::mm(0.02));
        for (a, b) in depths.iter().zip(&set) {
            assert!((*a - *b).abs() <= Length::mm(0.01 + 1e-12));
        }
    }

    #[test]
    fn steps_finer_than_the_dial_are_joined() {
        let depths = [0.01, 0.012, 0.03].map(Length::mm);
        assert_eq!(settle(&depths, Length::mm(0.02)).len(), 2);
    }
}
