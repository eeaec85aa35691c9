//! The bar as a beam clamped at one end.

use crate::job::{Bar, BarMaterial, BarShape};
use flankwise_thread::{Force, Length, Source};
use std::f64::consts::PI;

/// Stiffness and weight of a bar's material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarStuff {
    /// Modulus of elasticity, N/mm².
    pub modulus_mpa: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Stick-out over diameter up to which internal threading is usually free of chatter.
    pub slender: f64,
    /// Origin of the modulus.
    pub source: Source,
}

/// Where the slenderness limits come from.
pub const SLENDER: Source =
    Source::practice("one diameter less than the 4 (steel) and 6 (carbide) of plain boring");

/// Figures of a bar material.
pub const fn stuff(material: BarMaterial) -> BarStuff {
    match material {
        BarMaterial::Steel => BarStuff {
            modulus_mpa: 206_000.0,
            density: 7850.0,
            slender: 3.0,
            source: Source::table(
                "Isakov: Boring: calculating deflection (Cutting Tool Engineering, July 2019)",
                "E of steel",
            ),
        },
        BarMaterial::Hss => BarStuff {
            modulus_mpa: 220_000.0,
            density: 8100.0,
            slender: 3.0,
            source: Source::memory("common tables", "high-speed steel, 210 to 235 kN/mm²"),
        },
        BarMaterial::Carbide => BarStuff {
            modulus_mpa: 600_000.0,
            density: 14_500.0,
            slender: 5.0,
            source: Source::memory("common tables", "cemented carbide, 550 to 650 kN/mm²"),
        },
    }
}

/// Second moment of area, mm⁴: π D⁴/64 round, s⁴/12 square.
pub fn second_moment_mm4(shape: BarShape, size: Length) -> f64 {
    let fourth = size.to_mm().powi(4);
    match shape {
        BarShape::Round => PI * fourth / 64.0,
        BarShape::Square => fourth / 12.0,
    }
}

/// Area of section, mm².
fn area_mm2(shape: BarShape, size: Length) -> f64 {
    let square = size.to_mm().powi(2);
    match shape {
        BarShape::Round => PI * square / 4.0,
        BarShape::Square => square,
    }
}

/// Stiffness at the tip, N/mm: 3 E I / L³ (E N/mm², I mm⁴).
pub fn stiffness(modulus_mpa: f64, second_moment_mm4: f64, stick_out: Length) -> f64 {
    3.0 * modulus_mpa * second_moment_mm4 / stick_out.to_mm().powi(3)
}

/// Deflection at the tip: F / k.
pub fn deflection(force: Force, stiffness_n_per_mm: f64) -> Length {
    Length::mm(force.to_newton() / stiffness_n_per_mm)
}

/// Stiffness of a bar at this stick-out.
pub fn bar_stiffness(bar: &Bar, stick_out: Length) -> f64 {
    stiffness(stuff(bar.material).modulus_mpa, second_moment_mm4(bar.shape, bar.size), stick_out)
}

/// First bending frequency of a bar in an ideal clamp, Hz: 3.516/(2π) √(E I / (ρ A L⁴)).
pub fn first_frequency(bar: &Bar, stick_out: Length) -> f64 {
    let s = stuff(bar.material);
    let m = 1e-3;
    let (e, i) = (s.modulus_mpa * 1e6, second_moment_mm4(bar.shape, bar.size) * m * m * m * m);
    let mass_per_m = s.density * area_mm2(bar.shape, bar.size) * m * m;
    let l = stick_out.to_mm() * m;
    3.5160 / (2.0 * PI) * (e * i / (mass_per_m * l.powi(4))).sqrt()
}

/// Share of the ideal clamp's frequency that a real clamp reaches, lower and upper.
pub const CLAMP: (f64, f64) = (0.6, 0.8);

/// Damping ratio of a plain clamped bar, used for the width at which chatter may begin.
pub const DAMPING: f64 = 0.03;

/// Width of chip up to which no speed chatters: b = 2 k ζ (1 + ζ) / Ks (one mode; Tlusty's rule). `ks_mpa` is the
/// specific cutting force, N/mm².
pub fn stable_width(stiffness_n_per_mm: f64, damping: f64, ks_mpa: f64) -> Length {
    Length::mm(2.0 * stiffness_n_per_mm * damping * (1.0 + damping) / ks_mpa)
}

/// Usual sizes of round stock, mm.
const STOCK_MM: [f64; 20] = [
    3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 25.0, 32.0, 40.0, 50.0, 60.0, 80.0,
    100.0, 120.0,
];

/// Solid carbide bars are hardly to be had thicker than this (common practice, no source).
pub const LARGEST_CARBIDE: Length = Length::mm(25.4);

/// The largest usual size of round stock not above `largest`, in the unit that the person buys in: sixteenths of
/// an inch or the usual millimetres. None below 1/8 in or 3 mm.
pub fn stock_size(largest: Length, unit: flankwise_thread::Unit) -> Option<Length> {
    match unit {
        flankwise_thread::Unit::Mm => STOCK_MM.iter().rev().map(|&d| Length::mm(d)).find(|d| *d <= largest),
        flankwise_thread::Unit::Inch => {
            let sixteenths = (largest.to_inch() * 16.0).floor();
            (sixteenths >= 2.0).then(|| Length::inch(sixteenths / 16.0))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::Unit;

    #[test]
    fn stock_sizes_are_never_larger() {
        assert_eq!(stock_size(Length::mm(10.25), Unit::Mm), Some(Length::mm(10.0)));
        assert_eq!(stock_size(Length::mm(10.25), Unit::Inch), Some(Length::inch(0.375)));
        assert_eq!(stock_size(Length::mm(2.9), Unit::Mm), None);
        assert_eq!(stock_size(Length::mm(261.0), Unit::Mm), Some(Length::mm(120.0)));
    }
}
