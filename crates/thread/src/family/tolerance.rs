//! Tolerance tables of the metric families, preferred numbers, and how standards round.

use crate::limits::{Extra, ExtraKind, Range, Rounding};
use crate::source::Standing;
use crate::table::Table;
use crate::{Length, Source, Unit};
use std::collections::HashMap;

/// A tolerance or deviation in whole micrometres, with its origin.
pub(super) type Microns = (f64, Source);

/// Tolerances by quantity, grade, diameter range and pitch, as the standards table them.
pub(super) struct ToleranceTable {
    values: HashMap<Key, Microns>,
    /// Per quantity and grade that does not depend on the diameter: pitches in µm, ascending, with the value.
    by_pitch: HashMap<(&'static str, &'static str), Vec<(f64, Microns)>>,
}

#[derive(PartialEq, Eq, Hash)]
struct Key {
    quantity: &'static str,
    grade: &'static str,
    /// Lower end of the diameter range, µm; zero where the diameter plays no part.
    over_um: u32,
    pitch_um: u32,
}

impl ToleranceTable {
    pub(super) fn read(name: &'static str, text: &'static str) -> Self {
        let mut values = HashMap::new();
        let mut by_pitch: HashMap<_, Vec<_>> = HashMap::new();
        for row in Table::read(name, text).rows() {
            let (quantity, grade) = (row.text("quantity"), row.text("grade"));
            let value = (row.required("value_um"), row.source("source"));
            let (over_um, pitch_um) = (um(row.number("d_over").unwrap_or(0.0)), um(row.required("pitch")));
            if over_um == 0 {
                by_pitch.entry((quantity, grade)).or_default().push((f64::from(pitch_um), value));
            }
            let known = values.insert(Key { quantity, grade, over_um, pitch_um }, value);
            assert!(
                known.is_none(),
                "{name}: {quantity} {grade} over {over_um} µm, pitch {pitch_um} µm twice"
            );
        }
        by_pitch.values_mut().for_each(|pitches| pitches.sort_by(|a, b| a.0.total_cmp(&b.0)));
        Self { values, by_pitch }
    }

    /// The tabled value; `range` is the diameter range where the quantity depends on it.
    pub(super) fn find(
        &self,
        quantity: &'static str,
        grade: &'static str,
        range: Option<DiameterRange>,
        p: Length,
    ) -> Option<Microns> {
        let over_um = range.map_or(0, |range| um(range.over));
        // A pitch that is no whole number of micrometres is in no table.
        let pitch_um = um(p.to_mm());
        if (p.to_um() - f64::from(pitch_um)).abs() > 1e-6 {
            return None;
        }
        self.values.get(&Key { quantity, grade, over_um, pitch_um }).copied()
    }

    /// A value between two tabled pitches, on the straight line that joins them; `None` outside the table.
    pub(super) fn between(&self, quantity: &'static str, grade: &'static str, p: Length) -> Option<Microns> {
        let pitches = self.by_pitch.get(&(quantity, grade))?;
        let next = pitches.iter().position(|(pitch, _)| *pitch > p.to_um())?;
        let ((p0, (v0, _)), (p1, (v1, _))) = (pitches.get(next.checked_sub(1)?)?, &pitches[next]);
        let value = v0 + (v1 - v0) * (p.to_um() - p0) / (p1 - p0);
        Some((value.round(), Source::derived("between the values of the two nearest tabled pitches")))
    }
}

fn um(mm: f64) -> u32 {
    (mm * 1000.0).round() as u32
}

/// A range of diameters within which ISO 965-1 and ISO 2903 give one tolerance.
#[derive(Clone, Copy)]
pub(super) struct DiameterRange {
    /// Over, mm.
    over: f64,
    /// To and including, mm.
    to: f64,
}

impl DiameterRange {
    /// The range of a diameter. The standards' ranges end at 355 mm; beyond, each doubles the one before.
    pub(super) fn of(d: Length) -> Self {
        const ENDS_MM: [f64; 12] = [0.5, 0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0, 710.0];
        let d = d.to_mm() - 1e-9;
        let at = ENDS_MM.iter().position(|end| *end >= d);
        match at {
            Some(0) => Self { over: ENDS_MM[0] / 2.0, to: ENDS_MM[0] },
            Some(at) => Self { over: ENDS_MM[at - 1], to: ENDS_MM[at] },
            None => {
                let mut to = ENDS_MM[ENDS_MM.len() - 1];
                while to < d {
                    to *= 2.0;
                }
                Self { over: to / 2.0, to }
            }
        }
    }

    /// Its lower end, mm, itself not within.
    pub(super) fn over(self) -> f64 {
        self.over
    }

    /// Geometric mean of its ends, mm: the diameter that the formulas use.
    pub(super) fn mean(self) -> f64 {
        (self.over * self.to).sqrt()
    }
}

/// Length of engagement of the normal group by the formula behind the tables of ISO 965-1 and ISO 2903, 2.24 P d^0.2 to
/// 6.7 P d^0.2 with the lower end of the diameter range.
pub(super) fn engagement_by_formula(d: Length, p: Length, source: Source) -> Extra {
    let unit = p * DiameterRange::of(d).over().powf(0.2);
    let range = Range::both(printed(unit * 6.7, Unit::Mm), printed(unit * 2.24, Unit::Mm), source);
    Extra { element: None, what: ExtraKind::LengthOfEngagement, range: range.rounded(Rounding::Micrometre) }
}

/// The R40 preferred number nearest (by ratio) to a number of micrometres, in whole micrometres with halves to even
/// (ISO 3; so the tables of ISO 965-1 print 42 for 42.5 and 48 for 47.5).
pub(super) fn renard40(value: f64) -> f64 {
    const R40: [f64; 41] = [
        1.0, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.12, 2.24, 2.36, 2.5, 2.65,
        2.8, 3.0, 3.15, 3.35, 3.55, 3.75, 4.0, 4.25, 4.5, 4.75, 5.0, 5.3, 5.6, 6.0, 6.3, 6.7, 7.1, 7.5, 8.0,
        8.5, 9.0, 9.5, 10.0,
    ];
    let decade = 10.0_f64.powf(value.log10().floor());
    let ratio = |number: &f64| (number * decade / value).ln().abs();
    let nearest = R40.iter().min_by(|a, b| ratio(a).total_cmp(&ratio(b)));
    // The product may miss a half by the last bits of the float.
    let number = (nearest.copied().unwrap_or(1.0) * decade * 1e6).round() / 1e6;
    number.round_ties_even()
}

/// The larger part of the doubt: of two origins the one that proves less.
pub(super) fn weaker(a: Source, b: Source) -> Source {
    let doubt = |source: Source| match source.standing {
        Standing::Table => 0,
        Standing::Formula => 1,
        Standing::Derived => 2,
        Standing::Practice => 3,
        Standing::Choice => 4,
        // The notes of the tables say where a recalled value was also met in print.
        Standing::Memory if source.place.starts_with("recalled; equal to") => 5,
        Standing::Memory => 6,
    };
    if doubt(b) > doubt(a) { b } else { a }
}

/// Limits are printed to 0.001 mm (ISO 965-2, ISO 2904) or 0.0001 in (ASME B1.1, B1.5; BS 84), halves upwards;
/// those figures are the limits, so they are rounded here and nowhere else.
pub(super) fn printed(length: Length, unit: Unit) -> Length {
    let places = match unit {
        Unit::Mm => 1e3,
        Unit::Inch => 1e4,
    };
    Length::from_unit(rounded(length.in_unit(unit) * places) / places, unit)
}

/// Inches to four places: the inch standards round basic sizes, allowances and tolerances so, and add them after.
pub(super) fn places(inches: f64) -> f64 {
    rounded(inches * 1e4) / 1e4
}

/// Limits in inches as printed.
pub(super) fn inch_range(max: f64, min: f64, source: Source) -> Range {
    Range::both(printed(Length::inch(max), Unit::Inch), printed(Length::inch(min), Unit::Inch), source)
        .rounded(Rounding::TenThousandth)
}

/// A basic size in whole micrometres, as the metric standards print it, with a deviation in whole micrometres.
pub(super) fn with_deviation(basic: Length, deviation_um: f64) -> Length {
    Length::mm((rounded(basic.to_um()) + deviation_um) / 1000.0)
}

/// To a whole number, halves away from zero, forgiving the last bits of a float that should be a half.
pub(super) fn rounded(value: f64) -> f64 {
    (value + value.signum() * 1e-6).round()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn preferred_numbers() {
        // ISO 965-1 position g: -(15 + 11 P) µm at P = 0.6, 0.7, 1.25, 1.5, 2.5 prints 21, 22, 28, 32, 42.
        for (p, printed) in [(0.6, 21.0), (0.7, 22.0), (1.25, 28.0), (1.5, 32.0), (2.5, 42.0), (4.0, 60.0)] {
            assert_eq!(renard40(15.0 + 11.0 * p), printed, "P {p}");
        }
        assert_eq!(renard40(165.0), 170.0);
        assert_eq!(renard40(1120.0), 1120.0);
        assert_eq!(renard40(99.0), 100.0);
    }

    #[test]
    fn ranges_include_their_upper_end() {
        assert_eq!(DiameterRange::of(Length::mm(22.4)).over, 11.2);
        assert_eq!(DiameterRange::of(Length::mm(22.5)).over, 22.4);
        assert_eq!(DiameterRange::of(Length::mm(900.0)).over, 710.0);
        assert!(DiameterRange::of(Length::mm(0.3)).to >= 0.3);
    }

    #[test]
    fn rounding_of_halves() {
        assert_eq!(printed(Length::inch(0.50625), Unit::Inch), Length::inch(0.5063));
        assert_eq!(printed(Length::inch(0.61875), Unit::Inch), Length::inch(0.6188));
        assert_eq!(printed(Length::mm(7.0255), Unit::Mm), Length::mm(7.026));
    }
}
