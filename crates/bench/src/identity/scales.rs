//! How far a real part lies from its book: the maker's tolerance, wear, slips of the person who reads.
//!
//! Tolerances follow the formulas of ISO 965-1; the inch standards give amounts alike within a fifth, which is
//! finer than this model is. Wear and slips have no published figures that fit a repair bench: the values are
//! chosen here, from common practice, and are shares so that one table serves every size.

use flankwise_thread::Source;

/// Tolerances of one kind of form, in mm for diameters and pitches in mm.
pub(super) struct Grade {
    /// Factor on the grade 6 major and bore tolerance.
    crest: f64,
    /// Factor on the grade 6 pitch diameter tolerance.
    flank: f64,
    /// Fundamental deviation of the pitch diameter: constant and share of pitch, in µm.
    deviation: (f64, f64),
    /// The deviation holds for the major diameter too.
    major_deviates: bool,
}

impl Grade {
    fn deviation(&self, p: f64) -> f64 {
        (self.deviation.0 + self.deviation.1 * p) / 1000.0
    }
    /// From the basic major diameter down to the smallest a maker lets pass: es + Td.
    pub(super) fn major(&self, p: f64) -> f64 {
        let td = self.crest * (180.0 * p.powf(2.0 / 3.0) - 3.15 / p.sqrt()).max(20.0) / 1000.0;
        td + if self.major_deviates { self.deviation(p) } else { 0.0 }
    }
    /// From the basic pitch diameter down: es + Td2.
    pub(super) fn pitch(&self, d: f64, p: f64) -> f64 {
        self.flank * 90.0 * p.powf(0.4) * d.powf(0.1) / 1000.0 + self.deviation(p)
    }
    /// From the basic bore up: TD1.
    pub(super) fn bore(&self, p: f64) -> f64 {
        let grade6 = if p < 1.0 { 433.0 * p - 190.0 * p.powf(1.22) } else { 230.0 * p.powf(0.7) };
        self.crest * grade6 / 1000.0
    }
}

/// Both kinds.
pub(super) struct Makers {
    /// V threads, medium fit.
    pub v: Grade,
    /// Trapezoidal, Acme and square threads.
    pub flat: Grade,
}

/// ISO 965-1: Td(6) = 180 P^⅔ − 3.15/√P, Td2(6) = 90 P^0.4 d^0.1, TD1(6) = 433 P − 190 P^1.22 or 230 P^0.7, in µm,
/// with es(g) = 15 + 11 P and es(e) = 50 + 11 P; trapezoidal threads take grade 4 (0.63 × grade 6) at the crests
/// and grade 7 (1.25 × grade 6) at the flanks (ISO 2903).
pub(super) const MAKERS: Makers = Makers {
    v: Grade { crest: 1.0, flank: 1.0, deviation: (15.0, 11.0), major_deviates: true },
    flat: Grade { crest: 0.63, flank: 1.25, deviation: (50.0, 11.0), major_deviates: false },
};

/// Origin of [`MAKERS`].
pub(super) const MAKERS_SOURCE: Source = Source::memory("ISO 965-1, ISO 2903", "tolerance formulas");

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
