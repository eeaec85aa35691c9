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
/// The same of a screw that was stretched, chased by hand or cut with a near train, and how many are, by condition.
pub(super) const ROUGH_LEAD: f64 = 4e-3;
pub(super) const ROUGH_LEADS: [f64; 4] = [0.01, 0.02, 0.03, 0.08];

/// What became of a crest besides wear, the same all along a part: how many were turned down, and how many stand proud
/// by a burr, a bruise or plating.
pub(super) const TURNED_DOWN: f64 = 0.03;
pub(super) const PROUD: f64 = 0.03;
/// Mean of what is turned off a diameter: constant in mm and share of the pitch.
pub(super) const TURNED_OFF: (f64, f64) = (0.05, 0.05);
/// How far it stands proud on the diameter, mean and standard deviation alike: constant in mm and share of the pitch.
pub(super) const PROUD_BY: (f64, f64) = (0.02, 0.01);

/// Wear at the ends of a part read at three places or more, and in its middle, as shares of its mean: a feed screw does
/// most of its work in mid-travel.
pub(super) const WEAR_AT: (f64, f64) = (0.5, 1.4);

/// Chance that someone counts crests for pitches in every count, or types every length in the other unit.
pub(super) const COUNT_HABIT: f64 = 0.008;
pub(super) const UNIT_HABIT: f64 = 0.003;

/// Chance that a reading which the evidence stage suspects is a slip.
pub(super) const SLIP_SUSPECT: f64 = 0.30;
/// Chance that a measurement not yet made will be a slip.
pub(super) const SLIP: f64 = 0.015;
/// Chance that eyes and fingers err on hand or starts.
pub(super) const EYE_SLIP: f64 = 0.006;

/// Chance that of several starts only one is seen: whoever looks once misses what does not stand out one time in ten (checks
/// by eye, NUREG/CR-1278 table 20-22, from memory), and one groove looks like the next.
pub(super) const START_OVERLOOKED: f64 = 0.10;

/// Outside of a screw that was made singly: plain turning by the nominal size, or bright bar as it came, within tolerance
/// grade 11 (ISO 286-1: 100 i, i = 0.45 µm ∛D). By this times the cube root of the diameter, both in mm.
pub(super) const TURNED_TO: f64 = 0.045;
/// How many outsides are so rather than within the zone of the thread's standard: of sizes that are listed, and of others,
/// which nobody makes but singly. Chosen here.
pub(super) const TURNED_SHARE: (f64, f64) = (0.10, 0.60);

/// Standard deviation of a quick count in pitches, over an inch.
pub(super) const QUICK_BLUR: f64 = 0.8;
/// Longest span of a quick count.
pub(super) const QUICK_SPAN_MM: f64 = 32.0;
