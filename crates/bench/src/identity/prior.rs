//! What is likely before anything is measured, and what the eye says about form. All tables are chosen here from
//! common practice; they act as weak evidence and any decent measurement overrides them.

use super::chances;
use super::pool::is_v;
use super::scales::{EYE_SLIP, START_OVERLOOKED};
use crate::job::{Condition, Context, SeenForm};
use flankwise_thread::family::Ridge;
use flankwise_thread::{Family, Hand, Unit};

/// Probability, before all evidence, that the thread is none of those considered: a form that is not held here, or a
/// size that follows no preferred number.
pub(super) const OTHER: f64 = 0.02;

/// Countries that worked in inches until they changed over, with the year by which most new machines were metric.
const INCH_COUNTRIES: [(&str, i32); 7] =
    [("US", 2100), ("GB", 1970), ("IE", 1970), ("CA", 1980), ("AU", 1972), ("NZ", 1972), ("IN", 1960)];

/// Factor of a family made outside the years of its make.
const OUT_OF_ITS_TIME: f64 = 0.4;

/// Factor on a family's chance from place and time.
fn from_context(family: Family, context: &Context) -> f64 {
    let chance = chances::of(family);
    let mut factor = 1.0;
    if let Some(country) = context.country.as_deref() {
        let is = |c: &str| c.eq_ignore_ascii_case(country);
        // Square threads belong to no system.
        let metric = family != Family::Square && family.form().written() == Unit::Mm;
        let everywhere = chance.home.is_empty();
        let at_home = chance.home.iter().any(|c| is(c));
        factor = match INCH_COUNTRIES.iter().find(|(c, _)| is(c)) {
            Some((_, until)) if context.made.is_none_or(|y| y < *until) => match (metric, at_home) {
                (true, false) if everywhere => 0.4,
                (_, true) => 2.5,
                (false, false) if everywhere => 1.0,
                // Another nation's own threads came with imported machines only.
                (true, false) => 0.1,
                (false, false) => 0.15,
            },
            Some(_) => match (metric, at_home) {
                (true, _) => 2.0,
                (false, true) => 1.4,
                (false, false) => 0.7,
            },
            // The metric countries; their makers still sold inch machines abroad.
            None => match (metric, at_home) {
                (true, _) if everywhere => 2.0,
                (_, true) => 3.0,
                (true, false) => 0.3,
                (false, false) => 0.4,
            },
        };
    }
    if let Some(year) = context.made {
        let cradle = !chance.cradle.is_empty() && context.country.as_deref() == Some(chance.cradle);
        let too_early = chance.from.is_some_and(|from| year < from) && !cradle;
        let in_its_time = !too_early && chance.to.is_none_or(|to| year <= to);
        factor *= if in_its_time { chance.in_its_time } else { OUT_OF_ITS_TIME };
    }
    factor
}

/// Chance of each family given place, time and kind of machine; sums to 1.
pub(super) fn families(context: &Context, machine: &[f64; Family::ALL.len()]) -> [f64; Family::ALL.len()] {
    let weights: [f64; Family::ALL.len()] = std::array::from_fn(|i| {
        let family = Family::ALL[i];
        chances::of(family).weight * from_context(family, context) * machine[i]
    });
    let total: f64 = weights.iter().sum();
    weights.map(|w| w / total)
}

/// Chance that eyes see a taper or none, on a thread that tapers or not (none: not known). Wear and damage look like a
/// taper, and a short taper like none.
pub(super) fn taper(tapers: Option<bool>, seen: bool) -> f64 {
    let yes = match tapers {
        Some(true) => 0.85,
        Some(false) => 0.02,
        None => 0.05,
    };
    if seen { yes } else { 1.0 - yes }
}

/// Pitch from which most people see that a V crest is rounded, mm: its radius is an eighth of the pitch, and 0.2 mm is
/// about what the eye makes out.
const ROUNDING_SEEN_FROM: f64 = 1.5;

/// Chance that a thread of `family` (none: some other thread) and pitch `p` looks like `seen`. Wear blunts what the eye
/// sees.
pub(super) fn looks(family: Option<Family>, p: f64, seen: SeenForm, condition: Condition) -> f64 {
    // Order: flat-topped, sharp, rounded, square, sawtooth.
    let ridge = family.map(|family| family.form().ridge());
    let coarse = 1.0 / (1.0 + (p / ROUNDING_SEEN_FROM).powi(-4));
    let round = 0.35 + 0.35 * coarse;
    let as_made: [f64; 5] = match ridge {
        Some(Ridge::FlatTopped) => [0.958, 0.005, 0.005, 0.03, 0.002],
        Some(Ridge::Sharp) => [0.05, 0.894, 0.05, 0.005, 0.001],
        Some(Ridge::RoundedV) => [0.015, 0.979 - round, round, 0.005, 0.001],
        Some(Ridge::Square) => [0.12, 0.005, 0.005, 0.865, 0.005],
        Some(Ridge::Sawtooth) => [0.05, 0.01, 0.005, 0.03, 0.905],
        Some(Ridge::Round) => [0.02, 0.02, 0.945, 0.005, 0.01],
        None => [0.25, 0.30, 0.20, 0.10, 0.15],
    };
    let as_worn: [f64; 5] = match ridge {
        Some(Ridge::FlatTopped) => [0.70, 0.14, 0.09, 0.03, 0.04],
        Some(Ridge::Sharp) => [0.12, 0.71, 0.15, 0.01, 0.01],
        Some(Ridge::RoundedV) => [0.09, 0.48, 0.41, 0.01, 0.01],
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

/// Chance that eyes count `seen` starts of so many. More than there are is a slip; fewer are seen by whoever does not follow
/// a groove around.
pub(super) fn starts_seen(starts: u32, seen: u32) -> f64 {
    let overlooked = if starts > 1 { START_OVERLOOKED } else { 0.0 };
    match seen {
        seen if seen == starts => 1.0 - overlooked - EYE_SLIP,
        1 => overlooked,
        _ => EYE_SLIP / 3.0,
    }
}

/// Chance of a hand: cross-slide screws are left-hand more often than not, other feed screws seldom. `left`: how many
/// times likelier the kind of machine makes a left-hand thread.
pub(super) fn hand(family: Family, hand: Hand, left: f64) -> f64 {
    let odds: f64 = left * if is_v(family) { 0.03 / 0.97 } else { 0.25 / 0.75 };
    match hand {
        Hand::Left => odds / (1.0 + odds),
        Hand::Right => 1.0 / (1.0 + odds),
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
                .map(|s| looks(family, 2.0, *s, condition))
                .sum();
                assert!((sum - 1.0).abs() < 1e-12, "{family:?} {condition:?}");
            }
        }
        for family in Family::ALL {
            assert!((starts(family).iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    /// The share of `one` of two families that readings hardly tell apart.
    fn share_of(one: Family, other: Family, context: &Context) -> f64 {
        let told = context.machine.as_deref().unwrap_or_default();
        let all = families(context, &chances::by_machine(told).0);
        let of = |f: Family| all[chances::index(f)];
        of(one) / (of(one) + of(other))
    }

    fn context(country: &str, made: i32, machine: &str) -> Context {
        Context { made: Some(made), country: Some(country.into()), machine: Some(machine.into()) }
    }

    /// Thury's thread is the Swiss one of before the war, BA its child for British instruments; without a word of the
    /// machine, and for a British one, BA is met far more often.
    #[test]
    fn thury_is_swiss_and_ba_is_british() {
        let thury = |c: &Context| share_of(Family::Thury, Family::BritishAssociation, c);
        assert!(thury(&Context::default()) < 0.1);
        assert!(thury(&context("GB", 1935, "speedometer")) < 0.02);
        assert!(thury(&context("CH", 1905, "clock")) > 0.7);
        assert!((0.1..0.5).contains(&thury(&context("CH", 1965, "instrument"))));
    }

    /// The sharp V went with the first years of the twentieth century, the national form of 60° stayed.
    #[test]
    fn sharp_v_is_of_old_american_machines() {
        let v = |c: &Context| share_of(Family::SharpV, Family::Unified, c);
        assert!((0.05..0.5).contains(&v(&context("US", 1890, "lathe"))));
        assert!(v(&context("US", 1940, "lathe")) < 0.02);
        assert!(v(&Context::default()) < 0.02);
    }

    #[test]
    fn context_is_weak() {
        for country in ["US", "GB", "DE"] {
            for made in [1900, 1938, 1960, 2000] {
                let context = Context { made: Some(made), country: Some(country.into()), machine: None };
                let plain = [1.0; Family::ALL.len()];
                let without = families(&Context::default(), &plain);
                for (with, without) in families(&context, &plain).iter().zip(without) {
                    assert!((0.02..50.0).contains(&(with / without)), "{country} {made}");
                }
            }
        }
    }
}
