//! Chatter: how wide a chip the bar stands before each turn's waves feed the next's.
//!
//! One bending mode, moving in and out of the cut: a deflection y at the tip changes the thickness of the chip on an edge
//! that leans by the flank angle by y times its share, and the force that comes of it pushes back with the same share. So
//! an edge of length b counts for b × share², the tip for all of its width, a 15° flank for a fifteenth.
//!
//! With the modal stiffness k, damping ratio ζ and the push Kr (radial force for each mm² of chip), the stable width of
//! chip is −1/(2 Kr Re G) where the real part of the mode's answer G is negative; the smallest of all, 2 k ζ (1 + ζ) / Kr,
//! is stable at every speed (Tlusty). At low speed the tool's flank rubs on the waves and damps them: the force C b / v ×
//! velocity adds C b ω / (2 k v) to ζ.
//!
//! Neither ζ nor C is known to better than a factor: a bar is judged at either end of both ([`Cutting::ends`]), and what
//! lies between cannot be told.

use super::beam::Mode;
use flankwise_thread::{Length, Source};
use std::f64::consts::{PI, TAU};

/// Origin of the limits.
pub const LIMIT: Source = Source::memory(
    "Tlusty's and Altintas's stability of turning",
    "one mode; b = −1/(2 Kr Re G), smallest 2 k ζ (1 + ζ) / Kr",
);

/// Damping by the flank's rub on the waves, N/m: the force is C × width × velocity / surface speed.
const RUB_N_PER_M: [f64; 2] = [1.25e4, 5e4];
/// Origin of the range of C.
pub const RUB_SOURCE: Source = Source::memory(
    "published process-damping coefficients",
    "some 10⁴ N/m in light alloy and steel with a keen edge; 1.25 × 10⁴ to 5 × 10⁴ taken",
);

/// A bar in the cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cutting {
    /// The bar's first mode at the tip.
    pub mode: Mode,
    /// Its damping ratio.
    pub damping: f64,
    /// Damping by the rub, C, N/m.
    pub rub_n_per_m: f64,
    /// Radial force for each mm² of chip, N/mm².
    pub push_mpa: f64,
}

/// b = 2 k ζ (1 + ζ) / Kr: width of chip up to which no speed chatters.
pub fn stable_width(stiffness_n_per_mm: f64, damping: f64, push_mpa: f64) -> Length {
    Length::mm(2.0 * stiffness_n_per_mm * damping * (1.0 + damping) / push_mpa)
}

/// Widths of chip that a bar stands: at the least favourable damping and at the most favourable. None where any width is
/// stable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stands {
    /// Up to this it is quiet whatever the damping.
    pub surely: Option<Length>,
    /// Above this it chatters whatever the damping.
    pub at_best: Option<Length>,
}

/// Whether a width of chip makes a bar chatter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Chance {
    /// Not at the least favourable damping either.
    Unlikely,
    /// At the least favourable damping, and not at the most favourable.
    CannotTell,
    /// At the most favourable damping too.
    Likely,
}

impl Stands {
    /// Of one that finds these widths at the two ends.
    pub fn of(ends: &[Cutting; 2], width: impl Fn(&Cutting) -> Option<Length>) -> Self {
        Self { surely: width(&ends[0]), at_best: width(&ends[1]) }
    }
    /// Judges a width.
    pub fn judge(&self, width: Length) -> Chance {
        let beyond = |limit: Option<Length>| limit.is_some_and(|l| width > l);
        match (beyond(self.surely), beyond(self.at_best)) {
            (_, true) => Chance::Likely,
            (true, false) => Chance::CannotTell,
            (false, false) => Chance::Unlikely,
        }
    }
}

impl Cutting {
    /// A bar at the least and the most favourable damping of bar and rub.
    pub fn ends(mode: Mode, damping: [f64; 2], push_mpa: f64) -> [Self; 2] {
        [0, 1].map(|i| Self { mode, damping: damping[i], rub_n_per_m: RUB_N_PER_M[i], push_mpa })
    }

    /// Width of chip up to which no speed chatters, the rub at low speed left out.
    pub fn at_any_speed(&self) -> Length {
        stable_width(self.mode.stiffness_n_per_mm, self.damping, self.push_mpa)
    }

    /// The same with the rub at a surface speed, m/min. None where at so low a speed any width is stable.
    ///
    /// The smaller root of Kr b = 2 k s (1 + s) with s = ζ + C b ω / (2 k v).
    pub fn at_surface_speed(&self, m_per_min: f64) -> Option<Length> {
        let (k, zeta) = (self.mode.stiffness_n_per_mm, self.damping);
        let rub = self.rub_for_a_millimetre(m_per_min);
        let (a, b, c) = (
            2.0 * k * rub * rub,
            2.0 * k * rub * (1.0 + 2.0 * zeta) - self.push_mpa,
            2.0 * k * zeta * (1.0 + zeta),
        );
        let under = b * b - 4.0 * a * c;
        (b < 0.0 && under >= 0.0).then(|| Length::mm(2.0 * c / (-b + under.sqrt())))
    }

    /// Surface speed below which any width is stable, m/min: (√ζ + √(1 + ζ))² C ω / Kr, where the two roots of
    /// [`Self::at_surface_speed`] meet.
    pub fn quiet_below_m_per_min(&self) -> f64 {
        let spread = (self.damping.sqrt() + (1.0 + self.damping).sqrt()).powi(2);
        spread * self.rub_n_per_m * 1e-3 * TAU * self.mode.hz / self.push_mpa * 0.06
    }

    /// What the rub adds to the damping ratio for each mm of width: C ω / (2 k v).
    fn rub_for_a_millimetre(&self, m_per_min: f64) -> f64 {
        // C in N/mm, v in mm/s.
        self.rub_n_per_m * 1e-3 * TAU * self.mode.hz / (2.0 * self.mode.stiffness_n_per_mm * m_per_min / 0.06)
    }

    /// Width of chip that is stable at a spindle speed, the rub left out: the lowest of the lobes there.
    ///
    /// With the phase ψ of G at the chatter frequency f, the waves of two turns are 3π + 2ψ apart, and so many whole waves
    /// k fit a turn that n = 60 f / (k + (3π + 2ψ) / 2π).
    pub fn at_spindle_speed(&self, rpm: f64) -> Length {
        let turns_per_s = rpm / 60.0;
        let most = (self.mode.hz / turns_per_s).ceil() as i64 + 1;
        let widths =
            (most - 4..=most).filter(|k| *k >= 0).filter_map(|k| self.on_lobe(k as f64, turns_per_s));
        widths.reduce(Length::min).unwrap_or_else(|| self.at_any_speed())
    }

    /// Width at which lobe `k` limits at this speed.
    fn on_lobe(&self, k: f64, turns_per_s: f64) -> Option<Length> {
        // Above the natural frequency the waves' number falls while the frequency grows: one crossing.
        let off = |ratio: f64| ratio * self.mode.hz - turns_per_s * (k + waves(ratio, self.damping));
        let (mut lo, mut hi) = (1.0 + 1e-9, 1.0 + 2.0 * turns_per_s * (k + 1.0) / self.mode.hz);
        if off(lo) > 0.0 {
            return None;
        }
        for _ in 0..60 {
            let middle = 0.5 * (lo + hi);
            if off(middle) < 0.0 { lo = middle } else { hi = middle }
        }
        let real = real_part(hi, self.damping) / self.mode.stiffness_n_per_mm;
        Some(Length::mm(-1.0 / (2.0 * self.push_mpa * real)))
    }

    /// Number of whole waves that a turn at this speed holds: where it is large the lobes lie too close to choose between.
    pub fn waves_in_a_turn(&self, rpm: f64) -> f64 {
        60.0 * self.mode.hz / rpm
    }
}

/// k Re G at a frequency so many times the natural one.
fn real_part(ratio: f64, damping: f64) -> f64 {
    let (a, b) = (1.0 - ratio * ratio, 2.0 * damping * ratio);
    a / (a * a + b * b)
}

/// Part of a wave by which the waves of two turns are apart at the limit: (3π + 2ψ) / 2π.
fn waves(ratio: f64, damping: f64) -> f64 {
    let phase = (-2.0 * damping * ratio).atan2(1.0 - ratio * ratio);
    (3.0 * PI + 2.0 * phase) / TAU
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn cutting(k: f64, hz: f64, damping: f64, push: f64) -> Cutting {
        Cutting::ends(Mode { hz, stiffness_n_per_mm: k }, [damping; 2], push)[0]
    }

    /// Between the ends nothing can be told; beyond them it can.
    #[test]
    fn what_lies_between_the_ends_cannot_be_told() {
        let ends = Cutting::ends(Mode { hz: 400.0, stiffness_n_per_mm: 5000.0 }, [0.01, 0.03], 800.0);
        let stands = Stands::of(&ends, |c| Some(c.at_any_speed()));
        // 2 k ζ (1 + ζ) / Kr: 0.126 mm at 0.01, 0.386 mm at 0.03.
        let judge = |mm| stands.judge(Length::mm(mm));
        assert_eq!(
            [judge(0.12), judge(0.2), judge(0.4)],
            [Chance::Unlikely, Chance::CannotTell, Chance::Likely]
        );
        assert_eq!(Stands { surely: None, at_best: None }.judge(Length::mm(9.0)), Chance::Unlikely);
    }

    /// No speed lets less through than the least of all; some speed comes down to it.
    #[test]
    fn lobes_rest_on_the_least_width() {
        let c = cutting(5000.0, 400.0, 0.03, 800.0);
        let least = c.at_any_speed().to_mm();
        let lowest = (0..4000)
            .map(|i| c.at_spindle_speed(500.0 + 8.0 * f64::from(i)).to_mm())
            .inspect(|w| assert!(*w >= least * (1.0 - 1e-9)))
            .fold(f64::INFINITY, f64::min);
        assert!(lowest < least * 1.001, "{lowest} {least}");
        // Just below the natural frequency the largest pocket opens: several times as wide.
        assert!(c.at_spindle_speed(400.0 * 60.0).to_mm() > 5.0 * least);
    }

    proptest! {
        #[test]
        fn slower_is_never_less_stable(
            k in 100.0..50_000.0f64, hz in 50.0..4000.0f64, z in 0.005..0.08f64, push in 100.0..2000.0f64,
            v in 0.5..200.0f64, by in 1.01..5.0f64,
        ) {
            let c = cutting(k, hz, z, push);
            let width = |v: f64| c.at_surface_speed(v).map_or(f64::INFINITY, Length::to_mm);
            prop_assert!(width(v / by) >= width(v) * (1.0 - 1e-12));
            prop_assert!(width(v) >= c.at_any_speed().to_mm() * (1.0 - 1e-12));
            // At a speed far up the rub is gone.
            prop_assert!((width(1e9) / c.at_any_speed().to_mm() - 1.0).abs() < 1e-3);
            let quiet = c.quiet_below_m_per_min();
            prop_assert!(c.at_surface_speed(quiet * 0.999).is_none());
            prop_assert!(c.at_surface_speed(quiet * 1.001).is_some());
        }
    }
}
