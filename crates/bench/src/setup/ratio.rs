//! Exact fractions, so that a train which cuts a lead exactly shows an error of zero and not of rounding.

use flankwise_thread::Length;
use std::ops::{Div, Mul};

/// A positive fraction in lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Ratio {
    pub n: u128,
    pub d: u128,
}

impl Ratio {
    pub const ONE: Self = Self { n: 1, d: 1 };

    /// `n / d` in lowest terms; `None` where either is zero.
    pub fn new(n: u128, d: u128) -> Option<Self> {
        let g = gcd(n, d);
        (n > 0 && d > 0).then(|| Self { n: n / g, d: d / g })
    }

    /// The simplest fraction of a millimetre that a length can have been typed as. Lengths written in decimals of a
    /// millimetre or an inch, as fractions of an inch or in threads per inch all come back exactly; a length that
    /// is none of these (a pitch of π times a module) is met to 1 part in 10¹².
    pub fn of(length: Length) -> Option<Self> {
        let x = length.to_mm();
        if !x.is_finite() || x <= 0.0 || x > 1e6 {
            return None;
        }
        // Continued fraction. A fraction of small terms is met to the last bits long before the terms grow, and
        // the next partial quotient would be that rounding error's inverse. Terms that grow tell that the length is
        // no such fraction: then the first that is near enough will do.
        const TYPED: f64 = 1e6;
        const NEAR: f64 = 1e-12;
        let (mut rest, mut whole) = (x, x.floor());
        let (mut n, mut d) = ([1.0, whole], [0.0, 1.0]);
        loop {
            let off = (n[1] / d[1] - x).abs();
            if off <= x * 4.0 * f64::EPSILON {
                break;
            }
            rest = 1.0 / (rest - whole);
            whole = rest.floor();
            let next: (f64, f64) = (whole * n[1] + n[0], whole * d[1] + d[0]);
            if next.1.is_infinite() || (next.1 > TYPED && off <= x * NEAR) {
                break;
            }
            (n, d) = ([n[1], next.0], [d[1], next.1]);
        }
        Self::new(n[1] as u128, d[1] as u128)
    }

    pub fn inverse(self) -> Self {
        Self { n: self.d, d: self.n }
    }

    pub fn to_f64(self) -> f64 {
        self.n as f64 / self.d as f64
    }

    /// As millimetres.
    pub fn to_length(self) -> Length {
        Length::mm(self.to_f64())
    }

    pub fn is_whole(self) -> bool {
        self.d == 1
    }

    /// Whether this is a whole number of times `unit`.
    pub fn is_multiple_of(self, unit: Self) -> bool {
        (self / unit).is_whole()
    }

    /// Smallest length that is a whole number of times both.
    pub fn common_multiple(self, other: Self) -> Self {
        // lcm(a/b, c/d) = lcm(a, c) / gcd(b, d) for fractions in lowest terms.
        let n = self.n / gcd(self.n, other.n) * other.n;
        let d = gcd(self.d, other.d);
        Self { n, d }
    }
}

impl Mul for Ratio {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        // Crosswise reduction first keeps the terms small.
        let (a, b) = (gcd(self.n, o.d), gcd(o.n, self.d));
        Self { n: (self.n / a) * (o.n / b), d: (self.d / b) * (o.d / a) }
    }
}

impl Div for Ratio {
    type Output = Self;
    #[expect(
        clippy::suspicious_arithmetic_impl,
        reason = "a fraction is divided by multiplying with the inverse"
    )]
    fn div(self, o: Self) -> Self {
        self * o.inverse()
    }
}

pub(super) fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(length: Length) -> (u128, u128) {
        let r = Ratio::of(length).unwrap();
        (r.n, r.d)
    }

    #[test]
    fn finds_what_was_typed() {
        assert_eq!(of(Length::mm(3.0)), (3, 1));
        assert_eq!(of(Length::mm(1.25)), (5, 4));
        assert_eq!(of(Length::mm(0.7) * 3.0), (21, 10));
        assert_eq!(of(Length::per_inch(8.0)), (127, 40));
        assert_eq!(of(Length::per_inch(6.0)), (127, 30));
        assert_eq!(of(Length::per_inch(11.5)), (254, 115));
        assert_eq!(of(Length::inch(0.0625)), (127, 80));
        assert_eq!(of(Length::per_inch(19.0) * 2.0), (254, 95));
        assert_eq!(of(Length::mm(5.0173)), (50173, 10000));
    }

    #[test]
    fn refuses_nothing_and_nonsense() {
        assert_eq!(Ratio::of(Length::ZERO), None);
        assert_eq!(Ratio::of(Length::mm(f64::NAN)), None);
        assert_eq!(Ratio::of(Length::mm(-2.0)), None);
    }

    #[test]
    fn comes_close_to_what_is_no_fraction() {
        let module_pitch = Length::mm(std::f64::consts::PI * 1.5);
        let r = Ratio::of(module_pitch).unwrap();
        assert!((r.to_f64() / module_pitch.to_mm() - 1.0).abs() < 1e-12);
        // Lies near 3 21/999: the fraction after that has terms beyond what anyone types, and is needed all the same.
        let near_a_simple_one = Length::mm(3.021021018424755);
        let r = Ratio::of(near_a_simple_one).unwrap();
        assert!((r.to_f64() / near_a_simple_one.to_mm() - 1.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn any_length_is_met_to_a_part_in_10_to_the_12(mm in 0.001..1000.0f64) {
            let r = Ratio::of(Length::mm(mm)).unwrap();
            prop_assert!((r.to_f64() / mm - 1.0).abs() < 1.001e-12, "{}/{} for {}", r.n, r.d, mm);
        }

        #[test]
        fn every_pitch_of_a_gear_chart_comes_back(n in 1u32..400, d in 1u32..400) {
            let exact = Ratio::new(u128::from(n), u128::from(d)).unwrap();
            prop_assert_eq!(Ratio::of(Length::mm(f64::from(n) / f64::from(d))), Some(exact));
            let inch = exact * Ratio::new(127, 5).unwrap();
            prop_assert_eq!(Ratio::of(Length::inch(f64::from(n) / f64::from(d))), Some(inch));
        }

        #[test]
        fn the_common_multiple_is_one_of_both_and_the_least(a in 1u128..200, b in 1u128..50, c in 1u128..200, d in 1u128..50) {
            let (x, y) = (Ratio::new(a, b).unwrap(), Ratio::new(c, d).unwrap());
            let m = x.common_multiple(y);
            prop_assert!(m.is_multiple_of(x) && m.is_multiple_of(y));
            let k = (m / x).n;
            for smaller in 1..k.min(500) {
                prop_assert!(!(Ratio::new(smaller, 1).unwrap() * x).is_multiple_of(y));
            }
        }
    }
}
