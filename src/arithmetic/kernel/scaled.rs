//! The working number of the fixed-point families: a 31-bit mantissa and an exponent, integers only.
//!
//! The fixed-point words hold what is read and shown. Between them, where a fit or a network multiplies quantities
//! whose sizes nobody knows beforehand, the fixed families use this number. It has no infinity and no NaN: it
//! saturates, and dividing by zero gives the largest value.

use core::cmp::Ordering;
use core::ops::{Add, Div, Mul, Neg, Sub};

use super::multiply::product_to_nearest;
use super::normalise::{Normal, normalise, shift_rounded};
use super::reciprocal::reciprocal;
use super::root::root;

/// `mantissa · 2^exponent`; the size of the mantissa lies in `[2³⁰, 2³¹)`, or is 0 for zero.
///
/// A sum is within one unit of the last place of the larger mantissa, a product within one of its own (a relative
/// error of at most 2⁻³⁰); a quotient within 3.8e-9 and a root within 5e-10 relative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scaled {
    mantissa: i32,
    exponent: i32,
}

/// Exponents stay within this, so that sums of a few of them cannot overflow.
const EXPONENT_LIMIT: i32 = 1 << 20;

impl Scaled {
    pub(crate) const ZERO: Self = Self {
        mantissa: 0,
        exponent: 0,
    };
    pub(crate) const ONE: Self = Self {
        mantissa: 1 << 30,
        exponent: -30,
    };
    pub(crate) const LARGEST: Self = Self {
        mantissa: i32::MAX,
        exponent: EXPONENT_LIMIT,
    };

    /// A constant from its parts: `mantissa` must be normalised (checked when the constant is made).
    pub(crate) const fn constant(mantissa: i32, exponent: i32) -> Self {
        assert!(mantissa >= 1 << 30, "a mantissa has its 31st bit set");
        Self { mantissa, exponent }
    }

    /// `value · 2^exponent`, rounded to 31 bits.
    #[inline(never)]
    pub(crate) fn from_parts(value: i64, exponent: i32) -> Self {
        Self::from_magnitude(value < 0, value.unsigned_abs(), exponent)
    }

    /// `±value · 2^exponent`, rounded to 31 bits.
    #[inline(never)]
    pub(crate) fn from_magnitude(negative: bool, value: u64, exponent: i32) -> Self {
        let normal = normalise(value);
        // The digit below the last one kept, if any was cut off.
        let half = match normal.exponent {
            cut @ 1.. => ((value >> ((cut - 1) & 63)) & 1) as u32,
            _ => 0,
        };
        let rounded = normal.mantissa + half;
        let over = rounded >> 31;
        Self::limited(
            negative,
            rounded >> over,
            exponent
                .saturating_add(normal.exponent)
                .saturating_add(over as i32),
        )
    }

    /// From a normalised mantissa, or 0, and an exponent that may have left the limits.
    #[inline]
    fn limited(negative: bool, mantissa: u32, exponent: i32) -> Self {
        if mantissa == 0 || exponent < -EXPONENT_LIMIT {
            return Self::ZERO;
        }
        if exponent > EXPONENT_LIMIT {
            return if negative { -Self::LARGEST } else { Self::LARGEST };
        }
        let mantissa = mantissa as i32;
        Self {
            mantissa: if negative {
                mantissa.wrapping_neg()
            } else {
                mantissa
            },
            exponent,
        }
    }

    /// From 30 to 32 digits.
    #[inline]
    fn from_product(negative: bool, value: u32, exponent: i32) -> Self {
        let over = value >> 31;
        // Rounded up where a digit falls off; a 31-bit mantissa of ones cannot come out of it, since a product of two
        // such numbers has a smaller one.
        Self::limited(
            negative,
            (value >> over).wrapping_add(value & over),
            exponent.wrapping_add(over as i32),
        )
    }

    /// The value times `2^fraction` as the nearest integer (halves away from zero), saturating.
    #[inline(never)]
    pub(crate) fn to_bits(self, fraction: i32) -> i64 {
        let shift = self.exponent.saturating_add(fraction);
        let size = shift_rounded(self.mantissa.unsigned_abs() as u64, shift).min(i64::MAX as u64) as i64;
        if self.mantissa < 0 { -size } else { size }
    }

    /// Mantissa and exponent, for the readouts that start from a working number; `None` for zero or less.
    pub(crate) fn normal(self) -> Option<Normal> {
        if self.mantissa <= 0 {
            return None;
        }
        Some(Normal {
            mantissa: self.mantissa as u32,
            exponent: self.exponent,
        })
    }

    pub(crate) fn is_zero(self) -> bool {
        self.mantissa == 0
    }

    #[inline(never)]
    pub(crate) fn root(self) -> Self {
        if self.mantissa <= 0 {
            return Self::ZERO;
        }
        let root = root(Normal {
            mantissa: self.mantissa as u32,
            exponent: self.exponent,
        });
        Self {
            mantissa: root.mantissa as i32,
            exponent: root.exponent,
        }
    }

    pub(crate) fn to_f64(self) -> f64 {
        // Two steps, since one power of two may leave the range on its own.
        let half = self.exponent / 2;
        libm::ldexp(
            libm::ldexp(self.mantissa as f64, half),
            self.exponent.wrapping_sub(half),
        )
    }

    pub(crate) fn from_f64(value: f64) -> Self {
        if value == 0.0 || value.is_nan() {
            return Self::ZERO;
        }
        if value.is_infinite() {
            return if value < 0.0 {
                -Self::LARGEST
            } else {
                Self::LARGEST
            };
        }
        let (fraction, exponent) = libm::frexp(value);
        Self::from_parts(libm::ldexp(fraction, 53) as i64, exponent - 53)
    }
}

impl Neg for Scaled {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            mantissa: self.mantissa.wrapping_neg(),
            exponent: self.exponent,
        }
    }
}

impl Add for Scaled {
    type Output = Self;
    #[inline(never)]
    fn add(self, other: Self) -> Self {
        if self.mantissa == 0 {
            return other;
        }
        if other.mantissa == 0 {
            return self;
        }
        let (large, small) = if self.exponent >= other.exponent {
            (self, other)
        } else {
            (other, self)
        };
        let distance = large.exponent.wrapping_sub(small.exponent) as u32;
        if distance > 40 {
            return large;
        }
        // Thirty guard digits below the larger mantissa.
        let sum = ((large.mantissa as i64) << 30) + (((small.mantissa as i64) << 30) >> distance);
        Self::from_parts(sum, large.exponent.wrapping_sub(30))
    }
}

impl Sub for Scaled {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Scaled {
    type Output = Self;
    #[inline(never)]
    fn mul(self, other: Self) -> Self {
        if self.mantissa == 0 || other.mantissa == 0 {
            return Self::ZERO;
        }
        Self::from_product(
            (self.mantissa < 0) != (other.mantissa < 0),
            product_to_nearest(self.mantissa.unsigned_abs(), other.mantissa.unsigned_abs()),
            self.exponent.wrapping_add(other.exponent).wrapping_add(30),
        )
    }
}

impl Div for Scaled {
    type Output = Self;
    #[inline(never)]
    fn div(self, other: Self) -> Self {
        if self.mantissa == 0 {
            return Self::ZERO;
        }
        if other.mantissa == 0 {
            return if self.mantissa < 0 {
                -Self::LARGEST
            } else {
                Self::LARGEST
            };
        }
        Self::from_product(
            (self.mantissa < 0) != (other.mantissa < 0),
            product_to_nearest(
                self.mantissa.unsigned_abs(),
                reciprocal(other.mantissa.unsigned_abs()),
            ),
            self.exponent.wrapping_sub(other.exponent).wrapping_sub(31),
        )
    }
}

impl PartialOrd for Scaled {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Scaled {
    #[inline(never)]
    fn cmp(&self, other: &Self) -> Ordering {
        let sign = |m: i32| m.signum();
        match sign(self.mantissa).cmp(&sign(other.mantissa)) {
            Ordering::Equal => {
                let by_size = self
                    .exponent
                    .cmp(&other.exponent)
                    .then(self.mantissa.unsigned_abs().cmp(&other.mantissa.unsigned_abs()));
                match self.mantissa.signum() {
                    0 => Ordering::Equal,
                    1 => by_size,
                    _ => by_size.reverse(),
                }
            }
            unequal => unequal,
        }
    }
}

#[cfg(feature = "defmt")]
impl defmt::Format for Scaled {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=i32}*2^{=i32}", self.mantissa, self.exponent);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers() -> impl Iterator<Item = f64> {
        let mut state = 0x1234_5678_9abc_def1u64;
        core::iter::repeat_with(move || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            let mantissa = (state as i32) as f64;
            mantissa * 2f64.powi((state >> 40) as i32 % 60)
        })
    }

    fn close(got: Scaled, want: f64, scale: f64) {
        assert!(
            (got.to_f64() - want).abs() <= scale.abs() * 2f64.powi(-30),
            "{} {want}",
            got.to_f64()
        );
    }

    #[test]
    fn the_four_operations_and_the_root() {
        let mut source = numbers();
        for _ in 0..200_000 {
            let a = Scaled::from_f64(source.next().unwrap());
            let b = Scaled::from_f64(source.next().unwrap());
            let (x, y) = (a.to_f64(), b.to_f64());
            // A sum is within the last place of the larger operand, not of a small result.
            close(a + b, x + y, x.abs() + y.abs());
            close(a - b, x - y, x.abs() + y.abs());
            close(a * b, x * y, x * y);
            if y != 0.0 {
                close(a / b, x / y, 4.1 * x / y);
            }
            let square = x.abs().sqrt();
            close(if x < 0.0 { -a } else { a }.root(), square, 1.1 * square);
            assert_eq!(a.partial_cmp(&b), x.partial_cmp(&y));
        }
    }

    #[test]
    fn nearby_numbers_subtract_exactly() {
        let a = Scaled::from_parts(0x4000_0001, -30);
        assert_eq!((a - Scaled::ONE), Scaled::from_parts(1, -30));
        assert_eq!(a - a, Scaled::ZERO);
    }

    #[test]
    fn the_ends_saturate() {
        assert_eq!(Scaled::ONE / Scaled::ZERO, Scaled::LARGEST);
        assert_eq!(-Scaled::ONE / Scaled::ZERO, -Scaled::LARGEST);
        assert_eq!(Scaled::ZERO / Scaled::ZERO, Scaled::ZERO);
        assert_eq!(Scaled::LARGEST * Scaled::LARGEST, Scaled::LARGEST);
        assert_eq!(Scaled::LARGEST + Scaled::LARGEST, Scaled::LARGEST);
        assert_eq!(Scaled::LARGEST.to_bits(16), i64::MAX);
        assert_eq!((-Scaled::LARGEST).to_bits(16), -i64::MAX);
        assert_eq!((Scaled::ONE / Scaled::LARGEST) / Scaled::LARGEST, Scaled::ZERO);
        assert_eq!(Scaled::from_f64(f64::INFINITY), Scaled::LARGEST);
        assert_eq!((-Scaled::ONE).root(), Scaled::ZERO);
    }

    #[test]
    fn bits_round_to_nearest() {
        assert_eq!(Scaled::from_f64(1.5).to_bits(0), 2);
        assert_eq!(Scaled::from_f64(-1.5).to_bits(0), -2);
        assert_eq!(Scaled::from_f64(1.25).to_bits(1), 3);
        assert_eq!(Scaled::from_f64(0.49999).to_bits(0), 0);
    }
}
