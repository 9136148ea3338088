//! Complex numbers in doubles, for oracles.

use core::ops::{Add, Div, Mul, Neg, Sub};

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct C {
    pub re: f64,
    pub im: f64,
}

pub const fn c(re: f64, im: f64) -> C {
    C { re, im }
}

/// By its size and its angle in radians.
pub fn polar(size: f64, angle: f64) -> C {
    c(angle.cos(), angle.sin()).times(size)
}

pub const ZERO: C = c(0.0, 0.0);
pub const ONE: C = c(1.0, 0.0);

impl C {
    pub fn size(self) -> f64 {
        self.re.hypot(self.im)
    }

    pub fn conjugate(self) -> Self {
        c(self.re, -self.im)
    }

    pub fn times(self, factor: f64) -> Self {
        c(self.re * factor, self.im * factor)
    }

    pub fn turn(angle: f64) -> Self {
        polar(1.0, angle)
    }

    pub fn exponential(self) -> Self {
        polar(self.re.exp(), self.im)
    }

    /// tanh of a + jb, by its addition theorem.
    pub fn tanh(self) -> Self {
        let (t, u) = (self.re.tanh(), self.im.tan());
        c(t, u) / c(1.0, t * u)
    }
}

impl Add for C {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        c(self.re + other.re, self.im + other.im)
    }
}

impl Sub for C {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        c(self.re - other.re, self.im - other.im)
    }
}

impl Neg for C {
    type Output = Self;
    fn neg(self) -> Self {
        c(-self.re, -self.im)
    }
}

impl Mul for C {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        c(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}

impl Div for C {
    type Output = Self;
    /// By the size first: no square leaves the range.
    fn div(self, other: Self) -> Self {
        let size = other.size();
        let turned = c(other.re / size, -other.im / size);
        (self * turned).times(1.0 / size)
    }
}
