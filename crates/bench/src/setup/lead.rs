//! A lead as a person writes it: a length, threads per inch, or the gear that a worm of that lead drives.

use flankwise_thread::quantity::{parse_length, parse_pitch};
use flankwise_thread::{Length, Pitch, Unit};
use std::f64::consts::PI;

/// What is accepted.
const ACCEPTED: &str = "a lead above zero: 3 mm, 0.2 in, 10 tpi, 2 module or 12 dp (one start of a worm)";

/// Reads a lead; a bare number is in `bare`. The worm of a gear of module m advances by π m a start, and
/// m = 25.4 / DP (ISO 54; the inch by definition).
///
/// # Errors
/// What was read and what is accepted, in words.
///
/// ```
/// # use flankwise_bench::setup::parse_lead;
/// # use flankwise_thread::Unit::{Inch, Mm};
/// # use std::f64::consts::PI;
/// let mm = |text, bare| parse_lead(text, bare).unwrap().length.to_mm();
/// assert_eq!(mm("3 mm", Inch), 3.0);
/// assert_eq!((mm("0.1", Mm), mm("0.1", Inch)), (0.1, 2.54));
/// assert!((mm("2 module", Mm) - 2.0 * PI).abs() < 1e-12);
/// assert!((mm("10 dp", Mm) - 2.54 * PI).abs() < 1e-12);
/// assert!(parse_lead("-1 mm", Mm).unwrap_err().contains("above zero"));
/// ```
pub fn parse_lead(text: &str, bare: Unit) -> Result<Pitch, String> {
    let refuse = || format!("read `{text}`; accepted: {ACCEPTED}");
    let lower = text.trim().to_lowercase();
    let before = |endings: &[&str]| endings.iter().find_map(|e| lower.strip_suffix(e).map(str::trim));
    let (length, written) = if let Some(number) = before(&["module", "mod"]) {
        (parse_length(number, Unit::Mm).map_err(|_| refuse())?.0 * PI, Unit::Mm)
    } else if let Some(number) = before(&["dp"]) {
        (Length::per_inch(number.parse().map_err(|_| refuse())?) * PI, Unit::Inch)
    } else {
        parse_pitch(text, bare).map_err(|_| refuse())?
    };
    if length > Length::ZERO && length.to_mm().is_finite() {
        Ok(Pitch { length, written })
    } else {
        Err(refuse())
    }
}
