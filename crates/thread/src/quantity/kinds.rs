//! The quantity types. Each holds one private number in the unit named at its field; all arithmetic is
//! plain `f64`, and nothing rounds.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// The unit system a length was written in, or is shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Inch of exactly 25.4 mm (since 1959; ISO 31-1).
    Inch,
}

/// Defines a newtype over `f64` with the arithmetic of a vector quantity.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);
            /// Magnitude without sign.
            pub fn abs(self) -> Self { Self(self.0.abs()) }
            /// The smaller of two.
            pub fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The larger of two.
            pub fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// Neither NaN nor infinite.
            pub fn is_finite(self) -> bool { self.0.is_finite() }
        }
        impl Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0 } }
        impl SubAssign for $name { fn sub_assign(&mut self, o: Self) { self.0 -= o.0 } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl Mul<$name> for f64 { type Output = $name; fn mul(self, q: $name) -> $name { $name(self * q.0) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        impl Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self { items.fold(Self::ZERO, Add::add) }
        }
    };
}

quantity! {
    /// A length; held in millimetres.
    Length
}
quantity! {
    /// A plane angle; held in radians.
    Angle
}
quantity! {
    /// A force; held in newtons.
    Force
}

const MM_PER_INCH: f64 = 25.4;

impl Length {
    /// From millimetres.
    pub const fn mm(v: f64) -> Self {
        Self(v)
    }
    /// From micrometres.
    pub const fn um(v: f64) -> Self {
        Self(v / 1000.0)
    }
    /// From inches (25.4 mm exactly).
    pub const fn inch(v: f64) -> Self {
        Self(v * MM_PER_INCH)
    }
    /// From thousandths of an inch.
    pub const fn thou(v: f64) -> Self {
        Self(v * MM_PER_INCH / 1000.0)
    }
    /// The pitch of so many threads per inch.
    pub const fn per_inch(tpi: f64) -> Self {
        Self(MM_PER_INCH / tpi)
    }
    /// In millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0
    }
    /// In micrometres.
    pub const fn to_um(self) -> f64 {
        self.0 * 1000.0
    }
    /// In inches.
    pub const fn to_inch(self) -> f64 {
        self.0 / MM_PER_INCH
    }
    /// In thousandths of an inch.
    pub const fn to_thou(self) -> f64 {
        self.0 / MM_PER_INCH * 1000.0
    }
    /// As threads per inch, for a pitch.
    pub const fn to_tpi(self) -> f64 {
        MM_PER_INCH / self.0
    }
    /// In `unit`.
    pub const fn in_unit(self, unit: Unit) -> f64 {
        match unit {
            Unit::Mm => self.to_mm(),
            Unit::Inch => self.to_inch(),
        }
    }
    /// From a number in `unit`.
    pub const fn from_unit(v: f64, unit: Unit) -> Self {
        match unit {
            Unit::Mm => Self::mm(v),
            Unit::Inch => Self::inch(v),
        }
    }
}

impl Angle {
    /// From degrees.
    pub const fn deg(v: f64) -> Self {
        Self(v.to_radians())
    }
    /// From radians.
    pub const fn rad(v: f64) -> Self {
        Self(v)
    }
    /// In degrees.
    pub const fn to_deg(self) -> f64 {
        self.0.to_degrees()
    }
    /// In radians.
    pub const fn to_rad(self) -> f64 {
        self.0
    }
    /// Sine.
    pub fn sin(self) -> f64 {
        self.0.sin()
    }
    /// Cosine.
    pub fn cos(self) -> f64 {
        self.0.cos()
    }
    /// Tangent.
    pub fn tan(self) -> f64 {
        self.0.tan()
    }
    /// The angle whose tangent is `t`, in (-90°, 90°).
    pub fn atan(t: f64) -> Self {
        Self(t.atan())
    }
}

/// Newtons per pound-force: 0.453 592 37 kg × 9.806 65 m/s² (both exact by definition).
const NEWTON_PER_LBF: f64 = 0.453_592_37 * 9.806_65;

impl Force {
    /// From newtons.
    pub const fn newton(v: f64) -> Self {
        Self(v)
    }
    /// From pounds-force.
    pub const fn lbf(v: f64) -> Self {
        Self(v * NEWTON_PER_LBF)
    }
    /// In newtons.
    pub const fn to_newton(self) -> f64 {
        self.0
    }
    /// In pounds-force.
    pub const fn to_lbf(self) -> f64 {
        self.0 / NEWTON_PER_LBF
    }
}
