//! Limits of a plain shaft by the ISO system of limits and fits (`data/iso286.csv`), for the body of a nut in its
//! housing: classes d, e, f, g, h, js, k, m, n, p, r, s in grades 5 to 11, up to 120 mm.

use flankwise_thread::table::Table;
use flankwise_thread::{Length, Source};
use std::sync::LazyLock;

/// Upper and lower limit deviation of a shaft from its nominal size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviations {
    /// Upper (es).
    pub upper: Length,
    /// Lower (ei).
    pub lower: Length,
    /// Standard tolerance of the grade.
    pub tolerance: Length,
    /// Origin.
    pub source: Source,
}

struct Step {
    over_mm: f64,
    incl_mm: f64,
    /// IT5 to IT11, µm.
    grades: [f64; 7],
    /// Letter and fundamental deviation, µm.
    letters: Vec<(&'static str, f64)>,
    source: Source,
}

/// Letters whose fundamental deviation is the upper one.
const UPPER: [&str; 4] = ["d", "e", "f", "g"];
/// Letters whose fundamental deviation is the lower one.
const LOWER: [&str; 6] = ["k", "m", "n", "p", "r", "s"];
/// What [`shaft`] accepts, for messages.
pub const ACCEPTED: &str =
    "a shaft class of ISO 286 such as h6, k6 or p6: d, e, f, g, h, js, k, m, n, p, r or s, with 5 to 11";

static STEPS: LazyLock<Vec<Step>> = LazyLock::new(|| {
    Table::read("iso286.csv", include_str!("../../data/iso286.csv"))
        .rows()
        .map(|row| Step {
            over_mm: row.required("over"),
            incl_mm: row.required("incl"),
            grades: ["it5", "it6", "it7", "it8", "it9", "it10", "it11"].map(|g| row.required(g)),
            letters: UPPER.iter().chain(&LOWER).map(|l| (*l, row.required(l))).collect(),
            source: row.source("source"),
        })
        .collect()
});

/// Standard tolerance IT5 to IT11 for `nominal`; none outside the table.
pub fn tolerance(nominal: Length, grade: u32) -> Option<Length> {
    let step = step(nominal)?;
    Some(Length::um(*step.grades.get(grade.checked_sub(5)? as usize)?))
}

fn step(nominal: Length) -> Option<&'static Step> {
    STEPS.iter().find(|s| nominal.to_mm() > s.over_mm && nominal.to_mm() <= s.incl_mm)
}

/// Limit deviations of a shaft of `nominal` size in `class`, such as `h6`.
///
/// # Errors
/// Says what would be accepted, for a class that is not one of ISO 286 (or not in the table), and for a size over
/// 120 mm.
pub fn shaft(nominal: Length, class: &str) -> Result<Deviations, String> {
    let class = class.trim();
    let digits = class.find(|c: char| c.is_ascii_digit()).unwrap_or(class.len());
    let (letter, grade) = class.split_at(digits);
    let letter = letter.to_ascii_lowercase();
    let grade: u32 = grade.parse().map_err(|_| ACCEPTED.to_owned())?;
    let step = step(nominal).ok_or("a size up to 120 mm: the table ends there")?;
    let it = tolerance(nominal, grade).ok_or(ACCEPTED)?.to_um();
    let listed = step.letters.iter().find(|(l, _)| *l == letter).map(|(_, v)| *v);
    let (upper, lower) = match letter.as_str() {
        "h" => (0.0, -it),
        "js" => (it / 2.0, -it / 2.0),
        // ISO 286-1 gives k a deviation in grades 4 to 7 only.
        "k" if grade > 7 => (it, 0.0),
        l if UPPER.contains(&l) => listed.map(|v| (v, v - it)).ok_or(ACCEPTED)?,
        l if LOWER.contains(&l) => listed.map(|v| (v + it, v)).ok_or(ACCEPTED)?,
        _ => return Err(ACCEPTED.to_owned()),
    };
    Ok(Deviations {
        upper: Length::um(upper),
        lower: Length::um(lower),
        tolerance: Length::um(it),
        source: step.source,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_join_without_gap_and_grades_grow() {
        for pair in STEPS.windows(2) {
            assert_eq!(pair[0].incl_mm, pair[1].over_mm);
            for (a, b) in pair[0].grades.iter().zip(&pair[1].grades) {
                assert!(b >= a);
            }
        }
        for step in STEPS.iter() {
            assert!(step.grades.windows(2).all(|g| g[1] > g[0]));
        }
    }

    #[test]
    fn refuses_with_what_it_accepts() {
        assert!(shaft(Length::mm(36.0), "H").unwrap_err().contains("h6"));
        assert!(shaft(Length::mm(36.0), "h4").is_err());
        assert!(shaft(Length::mm(36.0), "q6").is_err());
        assert!(shaft(Length::mm(130.0), "h6").unwrap_err().contains("120 mm"));
    }
}
