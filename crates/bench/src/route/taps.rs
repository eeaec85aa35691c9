//! Taps: holes, percentage of thread, sets, and what a tap's lead leaves uncut in a blind hole.

use flankwise_thread::{Family, Length, Source};

/// Twice 5/8 of the fundamental triangle of a 60° thread, as a share of the pitch: full thread of the nut.
pub const FULL_OF_NUT: f64 = 1.082_531_754_730_548_3;
/// Twice 3/4 of it: the double depth of the older National form, by which many tap charts still reckon.
pub const FULL_OF_OLD_FORM: f64 = 1.299_038_105_676_658;
/// Origin of the two.
pub const PERCENT: Source = Source::formula(
    "tap maker's technical formulas; discussions of thread percentage",
    "D - 1.08253 P X and D - 1.29904 P X",
);
/// Origin of the number of taps in a set.
pub const SET: Source = Source::practice("trapezoidal taps in sets of two to 4 mm pitch, of three above");
/// Origin of the length that a tap leaves uncut.
pub const LEAD_OF_TAP: Source = Source::memory(
    "ISO 8830",
    "chamfer of a bottoming tap 1.5 to 2 pitches; the last of a trapezoidal set 4, by practice",
);

/// Hole for a share `x` of the full thread, with `full` one of [`FULL_OF_NUT`] and [`FULL_OF_OLD_FORM`].
pub fn hole(d: Length, pitch: Length, x: f64, full: f64) -> Length {
    d - pitch * (full * x)
}

/// Share of the full thread that a hole leaves: the inverse of [`hole`].
pub fn share(d: Length, minor: Length, pitch: Length, full: f64) -> f64 {
    (d - minor) / (pitch * full)
}

/// Taps in a set made for a thread of this pitch.
pub fn set_of(pitch: Length) -> u32 {
    if pitch <= Length::mm(4.0) { 2 } else { 3 }
}

/// Whether taps of the family are short ones for fastenings rather than long sets for screws that move.
pub(super) fn fastening(family: Family) -> bool {
    family.form().ridge().is_v()
}

/// Length at the end of a blind hole that the last tap leaves without full thread.
pub fn uncut(family: Family, pitch: Length) -> Length {
    pitch * if fastening(family) { 2.0 } else { 4.0 }
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
}
