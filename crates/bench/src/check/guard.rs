//! The guard band of a verdict.

use flankwise_thread::{Length, Source};

/// Guard band in standard uncertainties: one side, 95 % (ISO 14253-1:2017, default rule).
pub const GUARD_FACTOR: f64 = 1.65;
/// Origin of the decision rule.
pub const GUARD_SOURCE: Source = Source::memory("ISO 14253-1:2017", "default rule: 95 %, one side, 1.65 u");

/// Square root of the sum of squares.
pub fn combine(parts: &[Length]) -> Length {
    Length::mm(parts.iter().map(|u| u.to_mm() * u.to_mm()).sum::<f64>().sqrt())
}
