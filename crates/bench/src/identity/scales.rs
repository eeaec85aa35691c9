//! How far a real part lies from its book: the maker's tolerance, wear, slips of the person who reads.
//!
//! Tolerances are in `data/makers.csv`. Wear and slips have no published figures that fit a repair bench: the values are
//! chosen here, from common practice, and are shares so that one table serves every size.

use flankwise_thread::Source;

/// Origin of the maker's zones.
pub(super) const MAKERS_SOURCE: Source =
    Source::memory("ISO 965-1, ISO 2903, ASME B1.1, B1.5, BS 84", "tolerance formulas; shares in makers.csv");

/// Mean wear as a share of the pitch, by condition: unused, used, worn, wrecked.
pub(super) struct Wear {
    /// Off a crest, on the diameter.
    pub crest: [f64; 4],
    /// Off the flanks of a ridge, along the axis, both together.
    pub flank: [f64; 4],
}

/// Crests wear less than flanks carry, but get knocked; a worn feed screw of 5 mm pitch so has lost some 0.15 mm
/// on its outside and 0.12 mm of its ridge in mid-travel.
pub(super) const WEAR: Wear = Wear { crest: [0.001, 0.008, 0.03, 0.10], flank: [0.001, 0.006, 0.025, 0.08] };

/// Origin of [`WEAR`].
pub(super) const WEAR_SOURCE: Source = Source::choice(
    "one-sided wear, exponential; mean as a share of the pitch by condition, from common practice",
);

/// Relative lead error of a screw, one standard deviation: 0.03 mm in 100 mm.
pub(super) const LEAD_ERROR: f64 = 3e-4;

/// Chance that a reading is a slip: wrong line of the vernier, swapped digits, wrong feature.
pub(super) const SLIP: f64 = 0.015;
/// The same with a rule or from a photo.
pub(super) const SLIP_COARSE: f64 = 0.03;
/// The same for a reading that the evidence stage suspects.
pub(super) const SLIP_SUSPECT: f64 = 0.30;
/// Chance that crests were counted for pitches, so that the true count is one less.
pub(super) const COUNT_ONE_MORE: f64 = 0.02;
/// Chance that the count is one short.
pub(super) const COUNT_ONE_LESS: f64 = 0.006;
/// Chance that a length carries the wrong unit sign.
pub(super) const UNIT_SLIP: f64 = 0.001;
/// Chance that eyes and fingers err on hand or starts.
pub(super) const EYE_SLIP: f64 = 0.006;

/// Chance that a count against a rule, over about an inch, was a quick one: crests within the inch, the fraction at
/// its end not read.
pub(super) const QUICK_COUNT: f64 = 0.40;
/// Standard deviation of a quick count in pitches, over an inch.
pub(super) const QUICK_BLUR: f64 = 0.8;
/// Longest span of a quick count.
pub(super) const QUICK_SPAN_MM: f64 = 32.0;
