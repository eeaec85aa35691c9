//! The device that the depth is set by: what it counts, and how finely.

use crate::job::{Dial, DialReads, Lathe};
use flankwise_thread::{Length, Unit};

/// Readout or dial of the cross-slide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Device {
    /// Smallest step, as it counts.
    pub division: Length,
    /// Counts on the diameter.
    pub on_diameter: bool,
    /// Unit that it is divided in, which is what it shows.
    pub unit: Unit,
    /// A digital readout rather than a graduated dial.
    pub digital: bool,
}

impl Device {
    /// The lathe's readout if it has one, else its dial. `unit` is the job's, for a division that tells nothing.
    pub fn of(lathe: Option<&Lathe>, unit: Unit) -> Option<Self> {
        let lathe = lathe?;
        let device = |d: Dial, digital| Self {
            division: d.division,
            on_diameter: d.reads == DialReads::Diameter,
            unit: divided_in(d.division).unwrap_or(unit),
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
    /// The radial depth at which it shows a number: the inverse of [`Self::shows`].
    pub fn travel(&self, shown: Length) -> Length {
        if self.on_diameter { shown * 0.5 } else { shown }
    }
}

/// The unit that a device with this division counts in: the one in which it is a round number, to 1 µm or to
/// 0.0001 in. No division is round in both. None if it is round in neither.
pub fn divided_in(division: Length) -> Option<Unit> {
    let round = |v: f64| v > 0.5 && (v - v.round()).abs() < 1e-6;
    if round(division.to_um()) {
        Some(Unit::Mm)
    } else if round(division.to_inch() * 1e4) {
        Some(Unit::Inch)
    } else {
        None
    }
}

/// [`divided_in`] of a division that there may be; `unit` where there is none or it tells nothing.
pub fn divided_in_or(division: Option<Length>, unit: Unit) -> Unit {
    division.and_then(divided_in).unwrap_or(unit)
}

/// Rounds cumulative depths beyond `from` to whole steps of `step`, each from zero, so that errors never add up.
/// Depths that fall on the same step become one; the last is the full depth to the nearest step.
pub fn settle(from: Length, depths: &[Length], step: Length) -> Vec<Length> {
    let mut out: Vec<Length> = Vec::with_capacity(depths.len());
    for &depth in depths {
        let at = round_to(depth, step);
        if at > out.last().copied().unwrap_or(from) {
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
        let set = settle(Length::ZERO, &depths, Length::mm(0.02));
        for (a, b) in depths.iter().zip(&set) {
            assert!((*a - *b).abs() <= Length::mm(0.01 + 1e-12));
        }
    }

    #[test]
    fn a_division_tells_its_unit() {
        for mm in [0.001, 0.005, 0.01, 0.02, 0.025, 0.05, 0.1] {
            assert_eq!(divided_in(Length::mm(mm)), Some(Unit::Mm), "{mm}");
        }
        for inch in [0.0001, 0.0002, 0.0005, 0.001, 0.002, 0.0025] {
            assert_eq!(divided_in(Length::inch(inch)), Some(Unit::Inch), "{inch}");
        }
        assert_eq!(divided_in(Length::inch(1.0 / 128.0)), None);
    }

    #[test]
    fn steps_finer_than_the_dial_are_joined() {
        let depths = [0.01, 0.012, 0.03].map(Length::mm);
        assert_eq!(settle(Length::ZERO, &depths, Length::mm(0.02)).len(), 2);
    }
}
