//! A lead as a person writes it: a length, threads per inch, or the gear that a worm of that lead drives.

use flankwise_thread::quantity::{parse_length, parse_pitch};
use flankwise_thread::{Length, Unit};
use std::f64::consts::PI;

/// What is accepted.
const ACCEPTED: &str = "a lead above zero: 3 mm, 0.2 in, 10 tpi, 2 module or 12 dp (one start of a worm)";

/// Reads a lead; a bare number is in millimetres. The worm of a gear of module m advances by π m a start, and
/// m = 25.4 / DP (ISO 54; the inch by definition).
///
/// # Errors
/// What was read and what is accepted, in words.
///
/// ```
/// # use flankwise_bench::setup::parse_lead;
/// # use std::f64::consts::PI;
/// assert_eq!(parse_lead("3 mm").unwrap().to_mm(), 3.0);
/// assert!((parse_lead("2 module").unwrap().to_mm() - 2.0 * PI).abs() < 1e-12);
/// assert!((parse_lead("10 dp").unwrap().to_mm() - 2.54 * PI).abs() < 1e-12);
/// assert!(parse_lead("-1 mm").unwrap_err().contains("above zero"));
/// ```
pub fn parse_lead(text: &str) -> Result<Length, String> {
    let refuse = || format!("read `{text}`; accepted: {ACCEPTED}");
    let lower = text.trim().to_lowercase();
    let before = |endings: &[&str]| endings.iter().find_map(|e| lower.strip_suffix(e).map(str::trim));
    let lead = if let Some(number) = before(&["module", "mod"]) {
        parse_length(number, Unit::Mm).map_err(|_| refuse())?.0 * PI
    } else if let Some(number) = before(&["dp"]) {
        Length::per_inch(number.parse().map_err(|_| refuse())?) * PI
    } else {
        parse_pitch(text, Unit::Mm).map_err(|_| refuse())?.0
    };
    if lead > Length::ZERO && lead.to_mm().is_finite() { Ok(lead) } else { Err(refuse()) }
}
