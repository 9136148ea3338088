//! `Fixed32`: Γ as two `I2F30`, readouts in 32-bit words, integers throughout.
//!
//! Everything starts from the exact squares. With a = Re Γ and b = Im Γ in units of 2⁻³⁰, a² + b² fits in 64 bits, and
//! so do 1 − |Γ|², |1 − Γ|² and |1 + Γ|²: no rounding has happened yet when the cancellation does. Each is normalised
//! once, divisions become a reciprocal and a product, and the only rounding that shows is the last.

use fixed::FixedI32;
use fixed::FixedU32;
use fixed::types::extra::{U12, U16, U24, U30};
use fixed::types::{I2F30, I8F24, I16F16, I20F12, U16F16};

use super::accuracy::Family;
use super::kernel::normalise::{Normal, normalise, shift_rounded};
use super::kernel::reciprocal::reciprocal;
use super::kernel::root::integer_root;
use super::kernel::scaled::Scaled;
use super::kernel::{angle, exponential, logarithm};
use super::{Arithmetic, Quantity, QuantityError, Real, Sealed};

/// The 32-bit fixed-point family; see [`arithmetic`](crate::arithmetic) for its words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Fixed32;

impl Sealed for Fixed32 {}
impl Sealed for Scaled {}

impl Real for Scaled {
    const ZERO: Self = Scaled::ZERO;
    const ONE: Self = Scaled::ONE;
    const TWO: Self = Scaled::constant(1 << 30, -29);
    const HALF: Self = Scaled::constant(1 << 30, -31);
    // round(2π · 2²⁸)
    const TAU: Self = Scaled::constant(1_686_629_713, -28);
    const LARGEST: Self = Scaled::LARGEST;
    const EPSILON: Self = Scaled::constant(1 << 30, -58);

    fn from_i32(value: i32) -> Self {
        Scaled::from_parts(value as i64, 0)
    }
    fn from_u64(value: u64) -> Self {
        Scaled::from_magnitude(false, value, 0)
    }
    fn to_i64(self) -> i64 {
        self.to_bits(0)
    }
    fn from_f64(value: f64) -> Self {
        Scaled::from_f64(value)
    }
    fn to_f64(self) -> f64 {
        Scaled::to_f64(self)
    }
    fn square_root(self) -> Self {
        self.root()
    }
    fn is_finite(self) -> bool {
        true
    }
    fn decibels(self) -> Self {
        match self.normal() {
            None => -Scaled::LARGEST,
            Some(value) => Scaled::from_parts(logarithm::decibels(value), -(logarithm::FRACTION as i32)),
        }
    }
    fn ratio_of_decibels(self) -> Self {
        exponential::from_decibels(self)
    }
    fn is_zero(self) -> bool {
        Scaled::is_zero(self)
    }
}

/// A word of the `fixed` crate as a quantity: conversions over its bits, rounding to nearest and saturating.
macro_rules! word {
    ($word:ty, $bits:ty, $fraction:expr) => {
        impl Sealed for $word {}
        impl Quantity for $word {
            type Working = Scaled;
            const ZERO: Self = <$word>::ZERO;
            const MAX: Self = <$word>::MAX;
            const MIN: Self = <$word>::MIN;

            fn try_from_f64(value: f64) -> Result<Self, QuantityError> {
                if !value.is_finite() {
                    return Err(QuantityError::NotFinite("value"));
                }
                let bits = libm::round(value * (1u64 << $fraction) as f64);
                if bits < <$bits>::MIN as f64 || bits > <$bits>::MAX as f64 {
                    return Err(QuantityError::OutOfRange("value"));
                }
                Ok(<$word>::from_bits(bits as $bits))
            }
            fn to_f64(self) -> f64 {
                self.to_bits() as f64 / (1u64 << $fraction) as f64
            }
            #[inline]
            fn is_finite(self) -> bool {
                true
            }
            fn from_working(value: Scaled) -> Self {
                let bits = value.to_bits($fraction);
                <$word>::from_bits(bits.clamp(<$bits>::MIN as i64, <$bits>::MAX as i64) as $bits)
            }
            fn to_working(self) -> Scaled {
                Scaled::from_parts(self.to_bits() as i64, -$fraction)
            }
            #[cfg(feature = "defmt")]
            fn log(self, f: defmt::Formatter<'_>) {
                log_decimal(f, self.to_bits() as i64, $fraction);
            }
        }
    };
}

word!(FixedI32<U30>, i32, 30);
word!(FixedI32<U24>, i32, 24);
word!(FixedI32<U16>, i32, 16);
word!(FixedI32<U12>, i32, 12);
word!(FixedU32<U16>, u32, 16);

impl Sealed for u32 {}
impl Quantity for u32 {
    type Working = Scaled;
    const ZERO: Self = 0;
    const MAX: Self = u32::MAX;
    const MIN: Self = 0;

    fn try_from_f64(value: f64) -> Result<Self, QuantityError> {
        if !value.is_finite() {
            return Err(QuantityError::NotFinite("value"));
        }
        let whole = libm::round(value);
        if (0.0..=u32::MAX as f64).contains(&whole) {
            Ok(whole as u32)
        } else {
            Err(QuantityError::OutOfRange("value"))
        }
    }
    fn to_f64(self) -> f64 {
        self as f64
    }
    fn is_finite(self) -> bool {
        true
    }
    fn from_working(value: Scaled) -> Self {
        value.to_bits(0).clamp(0, u32::MAX as i64) as u32
    }
    fn to_working(self) -> Scaled {
        Scaled::from_parts(self as i64, 0)
    }
    #[cfg(feature = "defmt")]
    fn log(self, f: defmt::Formatter<'_>) {
        defmt::Format::format(&self, f);
    }
}

/// Writes a fixed-point number with six decimals, by integers alone.
#[cfg(feature = "defmt")]
fn log_decimal(f: defmt::Formatter<'_>, bits: i64, fraction: u32) {
    let size = bits.unsigned_abs();
    let whole = (size >> fraction) as u32;
    let rest = size & ((1 << fraction) - 1);
    let millionths = ((rest * 1_000_000) >> fraction) as u32;
    defmt::write!(
        f,
        "{=str}{=u32}.{=u32:06}",
        if bits < 0 { "-" } else { "" },
        whole,
        millionths
    );
}

/// 1 in the unit of a square, 2⁻⁶⁰.
const ONE_SQUARED: u64 = 1 << 60;

/// |Γ|² in units of 2⁻⁶⁰, exact: at most 2⁶³.
#[inline]
fn square(re: I2F30, im: I2F30) -> u64 {
    let (a, b) = (re.to_bits().unsigned_abs(), im.to_bits().unsigned_abs());
    a as u64 * a as u64 + b as u64 * b as u64
}

/// 1 − |Γ|² in units of 2⁻⁶⁰, exact.
#[inline]
fn passive_part(re: I2F30, im: I2F30) -> i64 {
    (ONE_SQUARED as i64).wrapping_sub_unsigned(square(re, im))
}

/// |1 − Γ|² in units of 2⁻⁶⁰, exact: below 2⁶⁴. With the sign of `re` turned, |1 + Γ|².
#[inline]
fn distance_squared(re: i64, square: u64) -> u64 {
    (ONE_SQUARED + square).wrapping_add_signed(-(re << 31))
}

/// above/below as a mantissa of 63 bits (at least 2⁶¹) and its exponent.
#[inline]
fn quotient(above: Normal, below: Normal) -> (u64, i32) {
    (
        above.mantissa as u64 * reciprocal(below.mantissa) as u64,
        above.exponent - below.exponent - 62,
    )
}

/// The larger word with the sign, from a magnitude that may not fit.
#[inline]
fn signed_word(negative: bool, size: u64) -> i32 {
    if negative {
        (size.min(1 << 31) as i64).wrapping_neg() as i32
    } else {
        size.min(i32::MAX as u64) as i32
    }
}

/// reference · above/below as a word of ohms.
#[inline]
fn ohms(negative: bool, above: Normal, below: Normal, reference: I20F12) -> I20F12 {
    let (mantissa, exponent) = quotient(above, below);
    // Half of the digits suffice: 32 of them, rounded.
    let short = (mantissa + (1 << 30)) >> 31;
    let product = short * reference.to_bits().unsigned_abs() as u64;
    I20F12::from_bits(signed_word(negative, shift_rounded(product, exponent + 31)))
}

/// above/below as a component of Γ.
#[inline]
fn component(negative: bool, above: u64, below: Normal) -> I2F30 {
    let Some(above) = normalise(above) else {
        return I2F30::ZERO;
    };
    let (mantissa, exponent) = quotient(above, below);
    I2F30::from_bits(signed_word(negative, shift_rounded(mantissa, exponent + 30)))
}

/// A logarithm of [`logarithm::FRACTION`] digits as a word, rounded to nearest.
#[inline]
fn decibels_word(value: i64) -> I16F16 {
    I16F16::from_bits(((value + 128) >> (logarithm::FRACTION - 16)) as i32)
}

impl Arithmetic for Fixed32 {
    const FAMILY: Family = Family::Fixed32;
    type Working = Scaled;
    type Component = I2F30;
    type Ohms = I20F12;
    type Siemens = I8F24;
    type Ratio = U16F16;
    type Decibels = I16F16;
    type Degrees = I16F16;
    type InductanceWord = u32;
    type CapacitanceWord = u32;
    // round(10⁻¹² · 2⁷⁰) and round(10⁻¹⁵ · 2⁸⁰)
    const HENRIES_PER_UNIT: Scaled = Scaled::constant(1_180_591_621, -70);
    const FARADS_PER_UNIT: Scaled = Scaled::constant(1_208_925_820, -80);
    const REFLECTION_LIMIT: I2F30 = I2F30::MAX;

    const UNIT: I2F30 = I2F30::ONE;
    const MINUS_UNIT: I2F30 = I2F30::NEG_ONE;

    fn from_picohenries(count: u32) -> u32 {
        count
    }
    fn from_femtofarads(count: u32) -> u32 {
        count
    }

    fn power(re: I2F30, im: I2F30) -> Scaled {
        Scaled::from_magnitude(false, square(re, im), -60)
    }

    fn magnitude(re: I2F30, im: I2F30) -> I2F30 {
        let square = square(re, im);
        let floor = integer_root(square) as u64;
        // The next integer is nearer when the square lies beyond floor² + floor.
        let root = floor + u64::from(square - floor * floor > floor);
        I2F30::from_bits(signed_word(false, root))
    }

    fn is_total(re: I2F30, im: I2F30) -> bool {
        square(re, im) >= ONE_SQUARED
    }

    fn is_active(re: I2F30, im: I2F30) -> bool {
        square(re, im) > ONE_SQUARED
    }

    fn standing_wave(re: I2F30, im: I2F30) -> U16F16 {
        let square = square(re, im);
        if square >= ONE_SQUARED {
            return U16F16::MAX;
        }
        let sum = (1u64 << 30) + integer_root(square) as u64;
        match (normalise(sum * sum), normalise(ONE_SQUARED - square)) {
            (Some(above), Some(below)) => {
                let (mantissa, exponent) = quotient(above, below);
                let bits = shift_rounded(mantissa, exponent + 16);
                U16F16::from_bits(bits.clamp(1 << 16, u32::MAX as u64) as u32)
            }
            _ => U16F16::MAX,
        }
    }

    fn return_loss(re: I2F30, im: I2F30) -> I16F16 {
        match normalise(square(re, im)) {
            None => I16F16::MAX,
            Some(value) => decibels_word(-logarithm::decibels(Normal {
                mantissa: value.mantissa,
                exponent: value.exponent - 60,
            })),
        }
    }

    fn mismatch_loss(re: I2F30, im: I2F30) -> I16F16 {
        let square = square(re, im);
        if square >= ONE_SQUARED {
            return I16F16::MAX;
        }
        match normalise(ONE_SQUARED - square) {
            None => I16F16::MAX,
            Some(value) => decibels_word(-logarithm::decibels(Normal {
                mantissa: value.mantissa,
                exponent: value.exponent - 60,
            })),
        }
    }

    fn phase(re: I2F30, im: I2F30) -> I16F16 {
        let degrees = angle::degrees(re.to_bits(), im.to_bits());
        // The size is rounded, so that Γ and Γ* have opposite angles bit for bit.
        let bits = ((degrees.unsigned_abs() + 32) >> (angle::FRACTION - 16)) as i32;
        let half_turn = 180 << 16;
        // Rounding may reach −180°, which is the half turn and counted as positive.
        I16F16::from_bits(if degrees < 0 && bits < half_turn {
            -bits
        } else {
            bits
        })
    }

    fn terminate(re: I2F30, im: I2F30, reference: I20F12) -> (I20F12, I20F12) {
        let square = square(re, im);
        let Some(below) = normalise(distance_squared(re.to_bits() as i64, square)) else {
            return (I20F12::MAX, I20F12::ZERO);
        };
        let passive = (ONE_SQUARED as i64).wrapping_sub_unsigned(square);
        let resistance = match normalise(passive.unsigned_abs()) {
            None => I20F12::ZERO,
            Some(above) => ohms(passive < 0, above, below, reference),
        };
        let reactance = match normalise((im.to_bits().unsigned_abs() as u64) << 31) {
            None => I20F12::ZERO,
            Some(above) => ohms(im.to_bits() < 0, above, below, reference),
        };
        (resistance, reactance)
    }

    fn impedance_magnitude(re: I2F30, im: I2F30, reference: I20F12) -> I20F12 {
        let square = square(re, im);
        let re = re.to_bits() as i64;
        let Some(below) = normalise(distance_squared(re, square)) else {
            return I20F12::MAX;
        };
        let Some(above) = normalise(distance_squared(-re, square)) else {
            return I20F12::ZERO;
        };
        let (mantissa, exponent) = quotient(above, below);
        // Under the root the exponent must be even; the mantissa has a digit to spare above.
        let odd = exponent & 1;
        let root = integer_root(mantissa << odd) as u64;
        let product = root * reference.to_bits().unsigned_abs() as u64;
        I20F12::from_bits(signed_word(false, shift_rounded(product, (exponent - odd) >> 1)))
    }

    fn quality(re: I2F30, im: I2F30) -> U16F16 {
        let Some(above) = normalise((im.to_bits().unsigned_abs() as u64) << 31) else {
            return U16F16::ZERO;
        };
        let Some(below) = normalise(passive_part(re, im).unsigned_abs()) else {
            return U16F16::MAX;
        };
        let (mantissa, exponent) = quotient(above, below);
        let bits = shift_rounded(mantissa, exponent + 16);
        U16F16::from_bits(bits.min(u32::MAX as u64) as u32)
    }

    fn correct(raw: (I2F30, I2F30), terms: &[(I2F30, I2F30); 3]) -> (I2F30, I2F30) {
        let [directivity, source_match, tracking] = terms;
        // m − directivity, in units of 2⁻³⁰: 33 bits at most.
        let bits = |word: I2F30| word.to_bits() as i64;
        let (a, b) = (
            bits(raw.0) - bits(directivity.0),
            bits(raw.1) - bits(directivity.1),
        );
        // tracking + source match·(m − directivity), at 2⁻³⁰ again, rounded once: below 2³⁵.
        let (e, f) = (bits(source_match.0), bits(source_match.1));
        let half = 1 << 29;
        let c = bits(tracking.0) + ((e * a - f * b + half) >> 30);
        let d = bits(tracking.1) + ((e * b + f * a + half) >> 30);
        // Common digits are dropped so that the products fit.
        let size = (a.unsigned_abs() | b.unsigned_abs()).max(c.unsigned_abs() | d.unsigned_abs());
        let shift = (33u32.saturating_sub(size.leading_zeros())).min(8);
        let (a, b, c, d) = (a >> shift, b >> shift, c >> shift, d >> shift);
        let Some(below) = normalise((c * c + d * d) as u64) else {
            return (I2F30::MIN, I2F30::ZERO);
        };
        let (re, im) = (a * c + b * d, b * c - a * d);
        (
            component(re < 0, re.unsigned_abs(), below),
            component(im < 0, im.unsigned_abs(), below),
        )
    }

    fn reflect(resistance: I20F12, reactance: I20F12, reference: I20F12) -> (I2F30, I2F30) {
        if resistance.is_at_end() || reactance.is_at_end() {
            return (I2F30::ONE, I2F30::ZERO);
        }
        let (mut r, mut x, mut z) = (
            resistance.to_bits() as i64,
            reactance.to_bits() as i64,
            reference.to_bits() as i64,
        );
        // The last digit of a quarter of a megohm makes room for the squares.
        if r.abs().max(x.abs()).max(z) >= 1 << 30 {
            (r, x, z) = ((r + 1) >> 1, (x + 1) >> 1, (z + 1) >> 1);
        }
        let x_squared = x * x;
        let sum = r + z;
        let Some(below) = normalise((sum * sum + x_squared) as u64) else {
            return (I2F30::MIN, I2F30::ZERO);
        };
        let re = (r - z) * sum + x_squared;
        let im = 2 * x * z;
        (
            component(re < 0, re.unsigned_abs(), below),
            component(im < 0, im.unsigned_abs(), below),
        )
    }
}
