//! Taps: holes, percentage of thread, chip on a tooth, torque, squares, and what a tap's lead leaves uncut in a blind
//! hole.

use crate::material::{Group, Material};
use flankwise_thread::table::Table;
use flankwise_thread::{Family, Length, Source, Thread};
use std::sync::LazyLock;

/// Twice 5/8 of the fundamental triangle of a 60° thread, as a share of the pitch: full thread of the nut.
pub const FULL_OF_NUT: f64 = 1.082_531_754_730_548_3;
/// Twice 3/4 of it: the double depth of the older National form, by which many tap charts still reckon.
pub const FULL_OF_OLD_FORM: f64 = 1.299_038_105_676_658;
/// Origin of the two.
pub const PERCENT: Source = Source::formula(
    "tap maker's technical formulas; discussions of thread percentage",
    "D - 1.08253 P X and D - 1.29904 P X",
);
/// Origin of the length that a tap leaves uncut.
pub const LEAD_OF_TAP: Source = Source::memory(
    "ISO 8830",
    "chamfer of a bottoming tap 1.5 to 2 pitches; the last of a trapezoidal set 4, by practice",
);
/// Origin of [`chip`].
pub const CHIP: Source =
    Source::formula("Lubero: technical calculations for taps", "0.5 P² / (z l4), 0.5 P being the depth");
/// Origin of [`torque_nm`].
pub const TORQUE: Source = Source::formula(
    "Yamawa catalogue 2021, p. 640: tapping torque",
    "tan θ kc K (D - Do)² (D + 2 Do) / 24000, which is kc K times area times its radius",
);
/// Origin of [`rubbing`].
pub const RUBBING: Source = Source::table(
    "Yamawa catalogue 2021, p. 640: tapping torque",
    "table 2: straight-fluted tap, lead of 5 pitches, coarse thread",
);

/// Hole for a share `x` of the full thread, with `full` one of [`FULL_OF_NUT`] and [`FULL_OF_OLD_FORM`].
pub fn hole(d: Length, pitch: Length, x: f64, full: f64) -> Length {
    d - pitch * (full * x)
}

/// Share of the full thread that a hole leaves: the inverse of [`hole`].
pub fn share(d: Length, minor: Length, pitch: Length, full: f64) -> f64 {
    (d - minor) / (pitch * full)
}

/// Twice the height of the nut's full thread by its own form, as a share of the pitch: 5/8 H on each side of a 60° V
/// ([`FULL_OF_NUT`]), 2/3 H of a Whitworth form.
pub fn full_of(thread: &Thread) -> f64 {
    let basic = thread.basic();
    (basic.d - basic.d1_internal) / basic.p
}

/// Whether taps of the family are short ones for fastenings rather than long sets for screws that move.
pub(super) fn fastening(family: Family) -> bool {
    family.form().ridge().is_v()
}

/// Length at the end of a blind hole that the last tap leaves without full thread.
pub fn uncut(family: Family, pitch: Length) -> Length {
    pitch * if fastening(family) { 2.0 } else { 4.0 }
}

/// Radial chip on a tooth of the lead: `depth` shared by the `flutes` teeth of each of its `turns`, counted along one
/// ridge.
pub fn chip(depth: Length, turns: f64, flutes: u32) -> Length {
    depth / (turns * f64::from(flutes))
}

/// Torque of a tap whose whole lead is in the cut, N·m: specific force times area of the groove that it cuts (mm²)
/// times the radius of that area, with [`rubbing`] for chips that jam and lands that rub.
pub fn torque_nm(kc_mpa: f64, rubbing: f64, area_mm2: f64, radius: Length) -> f64 {
    kc_mpa * rubbing * area_mm2 * radius.to_mm() / 1000.0
}

/// What rubbing lands and chips in the flutes add to the torque, as a factor. Groups that the table has not take the
/// nearest of it: stainless steel and plastics that of steel, bronze that of brass.
pub const fn rubbing(group: Group) -> f64 {
    match group {
        Group::Bronze | Group::Brass => 1.60,
        Group::CastIron => 1.25,
        Group::Steel | Group::Stainless | Group::Plastic => 1.35,
    }
}

/// A shank and its square.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Square {
    /// Diameter of the shank.
    pub shank: Length,
    /// Across flats.
    pub across: Length,
    /// Length of the square.
    pub length: Length,
    /// Origin.
    pub source: Source,
}

static SQUARES: LazyLock<Vec<Square>> = LazyLock::new(|| {
    Table::read("squares.csv", include_str!("../../data/squares.csv"))
        .rows()
        .map(|row| Square {
            shank: Length::mm(row.required("shank")),
            across: Length::mm(row.required("square")),
            length: Length::mm(row.required("length")),
            source: row.source("source"),
        })
        .collect()
});

/// The largest listed shank that is no thicker than `most`.
pub fn square_within(most: Length) -> Option<Square> {
    SQUARES.iter().rfind(|s| s.shank <= most).copied()
}

/// Torque at which a square bar reaches the shear stress `tau_mpa`, N·m: τ = T / (0.208 a³).
pub fn square_bears_nm(across: Length, tau_mpa: f64) -> f64 {
    0.208 * across.to_mm().powi(3) * tau_mpa / 1000.0
}
/// Origin of [`square_bears_nm`].
pub const SQUARE_TORSION: Source =
    Source::memory("Timoshenko: Strength of Materials", "torsion of a square bar: T = 0.208 τ a³");

/// Torque at which a round core reaches the shear stress `tau_mpa`, N·m: τ = 16 T / (π d³).
pub fn core_bears_nm(diameter: Length, tau_mpa: f64) -> f64 {
    std::f64::consts::PI * diameter.to_mm().powi(3) / 16.0 * tau_mpa / 1000.0
}

/// Whether a tap of plain tool steel cuts the material: up to 800 N/mm² of tensile strength, and no stainless steel.
/// Common practice, no source.
pub(super) fn soft_enough(material: &Material) -> bool {
    material.group != Group::Stainless && material.tensile_mpa <= 800.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn share_undoes_hole() {
        let (d, p) = (Length::mm(8.0), Length::mm(1.25));
        for full in [FULL_OF_NUT, FULL_OF_OLD_FORM] {
            assert!((share(d, hole(d, p, 0.7, full), p, full) - 0.7).abs() < 1e-12);
        }
    }

    #[test]
    fn squares_are_about_four_fifths_of_their_shank_and_grow_with_it() {
        for pair in SQUARES.windows(2) {
            assert!(pair[0].shank < pair[1].shank && pair[0].across <= pair[1].across);
        }
        for s in SQUARES.iter() {
            // A square of more than 0.71 of the shank has its corners rounded by it, which wrenches allow for.
            assert!((0.74..0.85).contains(&(s.across / s.shank)), "{s:?}");
        }
        assert_eq!(square_within(Length::mm(16.9)).map(|s| s.across), Some(Length::mm(12.0)));
        assert_eq!(square_within(Length::mm(2.0)), None);
    }
}
