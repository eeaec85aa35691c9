//! What is likely before anything is measured, and what the eye says about form. All tables are chosen here from
//! common practice; they act as weak evidence and any decent measurement overrides them.

use super::pool::is_v;
use crate::job::{Condition, Context, SeenForm};
use flankwise_thread::family::Ridge;
use flankwise_thread::{Family, Hand, Unit};

/// Probability, before all evidence, that the thread is none of those considered: another form (British
/// Association, pipe, buttress, round, cycle), or a size that follows no preferred number.
pub(super) const OTHER: f64 = 0.03;

/// Chance of each family at a repair bench, in the order of [`Family::ALL`].
fn base(family: Family) -> f64 {
    match family {
        Family::MetricTrapezoidal => 0.15,
        Family::Acme => 0.15,
        Family::MetricIso => 0.30,
        Family::Unified => 0.22,
        Family::Whitworth => 0.12,
        Family::Square => 0.06,
        // Any other family is met about once in some hundreds of parts.
        #[allow(unreachable_patterns)]
        _ => 0.002,
    }
}

/// Countries that worked in inches until they changed over, with the year by which most new machines were metric.
const INCH_COUNTRIES: [(&str, i32); 7] =
    [("US", 2100), ("GB", 1970), ("IE", 1970), ("CA", 1980), ("AU", 1972), ("NZ", 1972), ("IN", 1960)];

/// Factor on a family's chance from place and time.
fn from_context(family: Family, context: &Context) -> f64 {
    let year = context.made;
    let mut factor = 1.0;
    if let Some(country) = context.country.as_deref() {
        let metric = family != Family::Square && family.form().written() == Unit::Mm;
        match INCH_COUNTRIES.iter().find(|(c, _)| c.eq_ignore_ascii_case(country)) {
            Some((_, until)) if year.is_none_or(|y| y < *until) => {
                factor *= match family {
                    Family::MetricIso | Family::MetricTrapezoidal => 0.4,
                    Family::Whitworth if country.eq_ignore_ascii_case("US") => 0.15,
                    Family::Whitworth => 2.5,
                    _ => 1.0,
                };
            }
            Some(_) => factor *= if metric { 2.0 } else { 0.7 },
            // The metric countries; their makers still sold inch machines abroad.
            None => factor *= if metric { 2.0 } else { 0.4 },
        }
    }
    match (family, year) {
        // The Unified series dates from 1949; its sizes were the American ones before.
        (Family::Unified, Some(y)) if y < 1949 && context.country.as_deref() != Some("US") => factor *= 0.4,
        (Family::Whitworth, Some(y)) if y > 1975 => factor *= 0.4,
        (Family::Square, Some(y)) if y > 1950 => factor *= 0.5,
        _ => {}
    }
    factor
}

/// Chance of each family given place and time; sums to 1.
pub(super) fn families(context: &Context) -> [f64; Family::ALL.len()] {
    let weights = Family::ALL.map(|f| base(f) * from_context(f, context));
    let total: f64 = weights.iter().sum();
    weights.map(|w| w / total)
}

/// Chance that a thread of `family` (none: some other thread) looks like `seen`. Wear blunts what the eye sees.
pub(super) fn looks(family: Option<Family>, seen: SeenForm, condition: Condition) -> f64 {
    // Order: flat-topped, sharp, rounded, square, sawtooth.
    let ridge = family.map(|family| family.form().ridge());
    let as_made: [f64; 5] = match ridge {
        Some(Ridge::FlatTopped) => [0.955, 0.005, 0.005, 0.03, 0.005],
        Some(Ridge::Sharp) => [0.03, 0.93, 0.03, 0.005, 0.005],
        Some(Ridge::RoundedV) => [0.01, 0.66, 0.32, 0.005, 0.005],
        Some(Ridge::Square) => [0.12, 0.005, 0.005, 0.865, 0.005],
        Some(Ridge::Sawtooth) => [0.05, 0.01, 0.005, 0.03, 0.905],
        Some(Ridge::Round) => [0.02, 0.02, 0.945, 0.005, 0.01],
        None => [0.25, 0.30, 0.20, 0.10, 0.15],
    };
    let as_worn: [f64; 5] = match ridge {
        Some(Ridge::FlatTopped) => [0.70, 0.14, 0.06, 0.03, 0.07],
        Some(Ridge::Sharp) => [0.10, 0.72, 0.13, 0.01, 0.04],
        Some(Ridge::RoundedV) => [0.07, 0.52, 0.36, 0.01, 0.04],
        Some(Ridge::Square) => [0.24, 0.03, 0.06, 0.60, 0.07],
        Some(Ridge::Sawtooth) => [0.12, 0.08, 0.05, 0.05, 0.70],
        Some(Ridge::Round) => [0.05, 0.06, 0.86, 0.01, 0.02],
        None => [0.25, 0.30, 0.20, 0.10, 0.15],
    };
    let worn = match condition {
        Condition::Unused => 0.0,
        Condition::Used => 0.05,
        Condition::Worn => 0.35,
        Condition::Wrecked => 1.0,
    };
    let i = match seen {
        SeenForm::FlatTopped => 0,
        SeenForm::Sharp => 1,
        SeenForm::Rounded => 2,
        SeenForm::Square => 3,
        SeenForm::Sawtooth => 4,
    };
    as_made[i] * (1.0 - worn) + as_worn[i] * worn
}

/// Chance of 1 to 4 starts: V threads almost never have more than one, feed threads sometimes.
pub(super) fn starts(family: Family) -> [f64; 4] {
    if is_v(family) { [0.985, 0.010, 0.003, 0.002] } else { [0.93, 0.05, 0.013, 0.007] }
}

/// Chance of a hand: cross-slide screws are left-hand more often than not, other feed screws seldom.
pub(super) fn hand(family: Family, hand: Hand) -> f64 {
    let left = if is_v(family) { 0.03 } else { 0.25 };
    match hand {
        Hand::Left => left,
        Hand::Right => 1.0 - left,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_probabilities() {
        let all = Family::ALL.map(Some);
        for family in all.into_iter().chain([None]) {
            for condition in [Condition::Unused, Condition::Used, Condition::Worn, Condition::Wrecked] {
                let sum: f64 = [
                    SeenForm::FlatTopped,
                    SeenForm::Sharp,
                    SeenForm::Rounded,
                    SeenForm::Square,
                    SeenForm::Sawtooth,
                ]
                .iter()
                .map(|s| looks(family, *s, condition))
                .sum();
                assert!((sum - 1.0).abs() < 1e-12, "{family:?} {condition:?}");
            }
        }
        for family in Family::ALL {
            assert!((starts(family).iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn context_is_weak() {
        for country in ["US", "GB", "DE"] {
            for made in [1900, 1938, 1960, 2000] {
                let context = Context { made: Some(made), country: Some(country.into()), machine: None };
                for (with, without) in families(&context).iter().zip(families(&Context::default())) {
                    assert!((0.05..20.0).contains(&(with / without)), "{country} {made}");
                }
            }
        }
    }
}
