//! Points and directions in space.

use std::ops::{Add, Sub};

/// A point or direction in space, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vector {
    /// Across the axis.
    pub x: f64,
    /// Across the axis, square to `x`.
    pub y: f64,
    /// Along the axis.
    pub z: f64,
}

impl Vector {
    /// Inner product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }
    /// Outer product.
    pub fn cross(self, other: Self) -> Self {
        Self {
            x: self.y * other.z - self.z * other.y,
            y: self.z * other.x - self.x * other.z,
            z: self.x * other.y - self.y * other.x,
        }
    }
    /// Length.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }
    /// Times a number.
    pub fn scaled(self, by: f64) -> Self {
        Self { x: self.x * by, y: self.y * by, z: self.z * by }
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self { x: self.x + o.x, y: self.y + o.y, z: self.z + o.z }
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self { x: self.x - o.x, y: self.y - o.y, z: self.z - o.z }
    }
}
