//! The working number of the fixed-point families: a 31-bit mantissa and an exponent, integers only.
//!
//! The fixed-point words hold inputs and results. In between, where a fit or a network multiplies quantities of unknown
//! size, the fixed families compute with this number. It saturates, without infinity and NaN; x/0 gives the largest value.

use core::cmp::Ordering;
use core::num::NonZeroU32;
use core::ops::{Add, Div, Mul, Neg, Sub};

use super::multiply::product_to_nearest;
use super::normalise::{Normal, leading_zeros, normalise_short};
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

/// The exponent of zero: so low that a product or quotient of it is below every limit, and a sum keeps its other part.
const EXPONENT_OF_ZERO: i32 = -(1 << 22);

impl Scaled {
    pub(crate) const ZERO: Self = Self {
        mantissa: 0,
        exponent: EXPONENT_OF_ZERO,
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
    #[inline]
    pub(crate) const fn from_parts(value: i64, exponent: i32) -> Self {
        Self::from_magnitude(value < 0, value.unsigned_abs(), exponent)
    }

    /// `±value · 2^exponent`, rounded to 31 bits.
    #[inline(never)]
    pub(crate) const fn from_magnitude(negative: bool, value: u64, exponent: i32) -> Self {
        let (high, low) = ((value >> 32) as u32, value as u32);
        let (word, rest, places) = if high == 0 { (low, 0, 0) } else { (high, low, 32) };
        let Some(word) = NonZeroU32::new(word) else {
            return Self::ZERO;
        };
        // The 32 highest digits; the last of them is the half.
        let lead = leading_zeros(word);
        let digits = word.get().wrapping_shl(lead) | (rest >> 1).wrapping_shr(31u32.wrapping_sub(lead));
        let rounded = (digits >> 1).wrapping_add(digits & 1);
        let over = rounded >> 31;
        Self::limited(
            -(negative as i32),
            rounded >> over,
            exponent
                .saturating_add((places + 1i32).wrapping_sub(lead as i32))
                .saturating_add(over as i32),
        )
    }

    /// From a sign (0, or −1 for minus), a normalised mantissa, and an exponent that may be beyond the limits.
    #[inline(always)]
    const fn limited(sign: i32, mantissa: u32, exponent: i32) -> Self {
        if exponent.wrapping_add(EXPONENT_LIMIT) as u32 > 2 * EXPONENT_LIMIT as u32 {
            return Self::beyond(sign, exponent);
        }
        Self {
            mantissa: (mantissa as i32 ^ sign).wrapping_sub(sign),
            exponent,
        }
    }

    /// The result for a number beyond the limits.
    #[cold]
    #[inline(never)]
    const fn beyond(sign: i32, exponent: i32) -> Self {
        if exponent < 0 {
            Self::ZERO
        } else if sign < 0 {
            Self::LARGEST.negative()
        } else {
            Self::LARGEST
        }
    }

    /// From 30 to 32 digits, or from 0 with an exponent below the limits.
    #[inline(always)]
    const fn from_product(sign: i32, value: u32, exponent: i32) -> Self {
        let over = value >> 31;
        // Rounded up where a digit is cut off. The result is never a 31-bit mantissa of ones, since a product of two
        // such numbers has a smaller one.
        Self::limited(
            sign,
            (value >> over).wrapping_add(value & over),
            exponent.wrapping_add(over as i32),
        )
    }

    /// The value times `2^fraction` as the nearest integer (halves away from zero), saturating.
    #[inline(never)]
    pub(crate) fn to_bits(self, fraction: i32) -> i64 {
        let shift = self.exponent.saturating_add(fraction);
        let mantissa = self.mantissa.unsigned_abs();
        // Two 32-bit halves: a 64-bit shift by a variable calls a routine on the smallest cores.
        let (high, low) = match shift {
            33.. => (i32::MAX as u32, u32::MAX),
            32 => (mantissa, 0),
            0..32 => (
                (mantissa >> 1).wrapping_shr(31u32.wrapping_sub(shift as u32)),
                mantissa.wrapping_shl(shift as u32),
            ),
            // Half of the last place kept is the bit just below it.
            -31..0 => {
                let cut = (mantissa << 1).wrapping_shr(shift.unsigned_abs());
                (0, cut.wrapping_add(1) >> 1)
            }
            _ => (0, 0),
        };
        let size = ((high as u64) << 32 | low as u64) as i64;
        if self.mantissa < 0 {
            size.wrapping_neg()
        } else {
            size
        }
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
        // Two steps, since a single power of two may leave the range.
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

/// The operations themselves, so that constants are made by the same code as numbers when the program runs.
impl Scaled {
    pub(crate) const fn negative(self) -> Self {
        Self {
            mantissa: self.mantissa.wrapping_neg(),
            exponent: self.exponent,
        }
    }

    #[inline(never)]
    pub(crate) const fn sum(self, other: Self) -> Self {
        let (large, small) = if self.exponent >= other.exponent {
            (self, other)
        } else {
            (other, self)
        };
        let distance = large.exponent.wrapping_sub(small.exponent) as u32;
        if distance > 31 {
            return large;
        }
        let sign = large.mantissa >> 31;
        let (a, b) = (large.mantissa.unsigned_abs(), small.mantissa.unsigned_abs());
        // One digit more than is kept.
        let aligned = (b << 1) >> distance;
        if large.mantissa ^ small.mantissa >= 0 {
            // Both are below 2³¹, so the sum fits in 32 bits, and is not all ones. It is rounded here or, if it has 32
            // digits, further on; never twice.
            let sum = a.wrapping_add(aligned >> 1);
            let sum = sum.wrapping_add(aligned & 1 & !(sum >> 31));
            if sum == 0 {
                return Self::ZERO;
            }
            return Self::from_product(sign, sum, large.exponent);
        }
        let difference = (a << 1).wrapping_sub(aligned);
        // Only equal exponents leave the sign open, and those leave the top bit free.
        let turned = if distance == 0 { difference as i32 >> 31 } else { 0 };
        let normal = normalise_short((difference ^ turned as u32).wrapping_sub(turned as u32));
        if normal.mantissa == 0 {
            return Self::ZERO;
        }
        Self::limited(
            sign ^ turned,
            normal.mantissa,
            large.exponent.wrapping_add(normal.exponent).wrapping_sub(1),
        )
    }

    #[inline(never)]
    pub(crate) const fn times(self, other: Self) -> Self {
        Self::from_product(
            (self.mantissa ^ other.mantissa) >> 31,
            product_to_nearest(self.mantissa.unsigned_abs(), other.mantissa.unsigned_abs()),
            self.exponent.wrapping_add(other.exponent).wrapping_add(30),
        )
    }

    #[inline(never)]
    pub(crate) const fn over(self, other: Self) -> Self {
        let sign = (self.mantissa ^ other.mantissa) >> 31;
        if other.mantissa == 0 {
            let exponent = if self.mantissa == 0 {
                EXPONENT_OF_ZERO
            } else {
                i32::MAX
            };
            return Self::beyond(sign, exponent);
        }
        Self::from_product(
            sign,
            product_to_nearest(
                self.mantissa.unsigned_abs(),
                reciprocal(other.mantissa.unsigned_abs()),
            ),
            self.exponent.wrapping_sub(other.exponent).wrapping_sub(31),
        )
    }

    /// (S − 1)/(S + 1), squared, of an SWR; see `quantity::swr`.
    const fn power_of(swr: Self) -> Self {
        let magnitude = swr.sum(Self::ONE.negative()).over(swr.sum(Self::ONE));
        magnitude.times(magnitude)
    }

    /// What an SWR limit of so many thousandths needs, as `SwrLimit::new` works it out of the word: |Γ|² there, and |Γ|² of
    /// all that reads as the limit.
    pub(crate) const fn limit(bits: i64) -> (Self, Self) {
        let swr = Self::from_parts(bits, -16);
        let half = Self::constant(1 << 30, -31);
        let rounding = half.over(Self::from_parts(1 << 16, 0));
        (Self::power_of(swr), Self::power_of(swr.sum(rounding)))
    }
}

impl Neg for Scaled {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.negative()
    }
}

impl Add for Scaled {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        self.sum(other)
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
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        self.times(other)
    }
}

impl Div for Scaled {
    type Output = Self;
    #[inline(always)]
    fn div(self, other: Self) -> Self {
        self.over(other)
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
        // Zero counts as positive, and its exponent is the lowest.
        if self.mantissa ^ other.mantissa < 0 || self.exponent == other.exponent {
            self.mantissa.cmp(&other.mantissa)
        } else if (self.exponent < other.exponent) == (self.mantissa >= 0) {
            Ordering::Less
        } else {
            Ordering::Greater
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
        assert_eq!(Scaled::from_f64(0.5).to_bits(0), 1);
        assert_eq!(Scaled::from_f64(0.49999).to_bits(0), 0);
        assert_eq!(Scaled::from_parts(i32::MAX as i64, -32).to_bits(0), 0);
        assert_eq!(
            Scaled::from_parts(i32::MAX as i64, 0).to_bits(32),
            (i32::MAX as i64) << 32
        );
        assert_eq!(Scaled::from_parts(1 << 30, 0).to_bits(33), i64::MAX);
        for exponent in -70..70 {
            let number = Scaled::from_parts(0x5555_5555, exponent);
            let want = (number.to_f64().round() as i64).max(-i64::MAX);
            assert_eq!(number.to_bits(0), want);
            assert_eq!((-number).to_bits(0), -want);
        }
    }
}
