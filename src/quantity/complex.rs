//! Complex numbers over a family's working number.

use core::ops::{Add, Div, Mul, Neg, Sub};

use crate::arithmetic::Real;

/// A complex working number. Internal and hidden: users hold impedances and reflections.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complex<W> {
    pub re: W,
    pub im: W,
}

impl<W: Real> Complex<W> {
    pub const ZERO: Self = Self {
        re: W::ZERO,
        im: W::ZERO,
    };
    pub const ONE: Self = Self {
        re: W::ONE,
        im: W::ZERO,
    };

    #[inline]
    pub fn new(re: W, im: W) -> Self {
        Self { re, im }
    }

    #[inline]
    pub fn real(re: W) -> Self {
        Self { re, im: W::ZERO }
    }

    #[inline]
    pub fn conjugate(self) -> Self {
        Self::new(self.re, -self.im)
    }

    /// re² + im².
    #[inline]
    pub fn power(self) -> W {
        self.along(self)
    }

    /// The real part of `self*·other`: the product of both lengths and the cosine of the angle between them.
    // Without an FPU each operation is a call: one shared copy of this code saves flash.
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    pub fn along(self, other: Self) -> W {
        self.re * other.re + self.im * other.im
    }

    /// The imaginary part of `self·other*`, likewise with the sine of the angle from `other` to `self`.
    #[inline]
    pub fn across(self, other: Self) -> W {
        self.along(Self::new(-other.im, other.re))
    }

    /// `self + other·factor`.
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    pub fn plus(self, other: Self, factor: W) -> Self {
        Self::new(self.re + other.re * factor, self.im + other.im * factor)
    }

    /// Adds `other·factor` in place.
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    pub fn add_scaled(&mut self, other: &Self, factor: W) {
        self.re = self.re + other.re * factor;
        self.im = self.im + other.im * factor;
    }

    /// √(re² + im²), scaled by the larger part.
    pub fn magnitude(self) -> W {
        let (a, b) = (self.re.absolute(), self.im.absolute());
        let (large, small) = if a < b { (b, a) } else { (a, b) };
        if large.is_zero() {
            return W::ZERO;
        }
        let ratio = small / large;
        large * (W::ONE + ratio.square()).square_root()
    }

    #[cfg_attr(ohmwright_soft_float, inline(never))]
    pub fn scale(self, factor: W) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }

    #[inline]
    pub fn is_zero(self) -> bool {
        self.re.is_zero() && self.im.is_zero()
    }

    #[inline]
    pub fn is_finite(self) -> bool {
        self.re.is_finite() && self.im.is_finite()
    }

    /// The quotient, or `None` where `other` is zero or the result leaves the range of the family.
    ///
    /// Divides by the larger part first (R. L. Smith, "Algorithm 116: Complex division", Communications of the ACM
    /// 5(8), 1962), so that no square overflows.
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    pub fn checked_div(self, other: Self) -> Option<Self> {
        if other.is_zero() {
            return None;
        }
        // Both turned by −90° where the imaginary part of `other` is the larger one.
        let turned = |z: Self| Self::new(z.im, -z.re);
        let (above, below) = if other.re.absolute() < other.im.absolute() {
            (turned(self), turned(other))
        } else {
            (self, other)
        };
        let ratio = below.im / below.re;
        let size = below.re + below.im * ratio;
        let sum = above.plus(turned(above), ratio);
        let result = Self::new(sum.re / size, sum.im / size);
        result.is_finite().then_some(result)
    }
}

impl<W: Real> Add for Complex<W> {
    type Output = Self;
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl<W: Real> Sub for Complex<W> {
    type Output = Self;
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl<W: Real> Mul for Complex<W> {
    type Output = Self;
    #[cfg_attr(ohmwright_soft_float, inline(never))]
    fn mul(self, other: Self) -> Self {
        Self::new(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}

impl<W: Real> Neg for Complex<W> {
    type Output = Self;
    #[inline]
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

impl<W: Real> Div for Complex<W> {
    type Output = Self;
    /// As [`checked_div`](Self::checked_div), but zero instead of `None`: for denominators known not to be 0.
    #[inline]
    fn div(self, other: Self) -> Self {
        self.checked_div(other).unwrap_or(Self::ZERO)
    }
}
