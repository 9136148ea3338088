//! `Fixed32`: Γ as two `I2F30`, readouts in 32-bit words, integers throughout.
//!
//! Everything starts from the exact squares. With a = Re Γ and b = Im Γ in units of 2⁻³⁰, a² + b² fits in 64 bits, and
//! so do 1 − |Γ|², |1 − Γ|² and |1 + Γ|²: the cancellation comes before any rounding. Each is normalised once, a
//! division becomes a reciprocal and a product, and only the last rounding shows.

use fixed::FixedI32;
use fixed::FixedU32;
use fixed::types::extra::{U12, U16, U24, U30};
use fixed::types::{I2F30, I8F24, I16F16, I20F12, U16F16};

use super::accuracy::Family;
use super::kernel::normalise::{Normal, normalise_short, normalise_square};
use super::kernel::point::{Point, Size, Unit, correct, mean, reflect};
use super::kernel::quotient::quotient;
use super::kernel::root::{root, root_and_inverse};
use super::kernel::scaled::Scaled;
use super::kernel::span::{Span, between};
use super::kernel::{exponential, logarithm, rotation};
use super::{
    Arithmetic, Component, Constant, Decibels, Degrees, Fraction, Limit, Ohms, Product, QFactor, Quantity,
    QuantityError, Readouts, Real, Sealed, Swr, Word, WorkingFraction,
};

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
    type Product<const N: i32, const M: i32> = Product<N, M>;
    type Limit<const N: i32> = Limit<N>;

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
            Some(value) => {
                Scaled::from_parts(logarithm::decibels(value) as i64, -(logarithm::FRACTION as i32))
            }
        }
    }
    fn ratio_of_decibels(self) -> Self {
        exponential::from_decibels(self)
    }
    fn sine_cosine(self) -> (Self, Self) {
        rotation::sine_cosine(self)
    }
    fn turns(sine: Self, cosine: Self) -> Self {
        rotation::turns(sine, cosine)
    }
    fn is_zero(self) -> bool {
        Scaled::is_zero(self)
    }
}

impl<const N: i32, const M: i32> Constant<Scaled> for Product<N, M> {
    const VALUE: Scaled = Scaled::from_parts(N as i64, 0).times(Scaled::from_parts(M as i64, 0));
}
impl<const N: i32> Constant<(Scaled, Scaled)> for Limit<N> {
    const VALUE: (Scaled, Scaled) =
        Scaled::limit(fraction(Self::CHECKED, 1000, 16, 1 << 16, u32::MAX as i64));
}

/// A word of the `fixed` crate as a quantity. Conversions work on its bits, round to nearest and saturate.
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
            #[inline]
            fn plus(self, other: Self) -> Self {
                self.saturating_add(other)
            }
            #[inline]
            fn minus(self, other: Self) -> Self {
                self.saturating_sub(other)
            }
            #[inline]
            fn billionths(self) -> i64 {
                billionths(self.to_bits() as i64, $fraction)
            }
            const STORED_BYTES: usize = size_of::<$bits>();
            fn to_stored(self) -> u64 {
                self.to_bits() as u64
            }
            fn from_stored(bits: u64) -> Self {
                <$word>::from_bits(bits as $bits)
            }
            #[cfg(feature = "defmt")]
            fn log(self, f: defmt::Formatter<'_>) {
                log_decimal(f, self.to_bits() as i64, $fraction);
            }
        }

        impl Word for $word {
            type Fraction<const N: i32, const D: i32> = Fraction<N, D>;
            type WorkingFraction<const N: i32, const D: i32> = WorkingFraction<$word, N, D>;
        }
        impl<const N: i32, const D: i32> Constant<Scaled> for WorkingFraction<$word, N, D> {
            const VALUE: Scaled = Scaled::from_parts(
                fraction(N, D, $fraction, <$bits>::MIN as i64, <$bits>::MAX as i64),
                -$fraction,
            );
        }
        impl<const N: i32, const D: i32> Constant<$word> for Fraction<N, D> {
            const VALUE: $word =
                <$word>::from_bits(
                    fraction(N, D, $fraction, <$bits>::MIN as i64, <$bits>::MAX as i64) as $bits,
                );
        }
    };
}

/// N/D in units of 2^−`places`, to the nearest. At compile time only, since it refuses values out of range.
pub(super) const fn fraction(n: i32, d: i32, places: u32, low: i64, high: i64) -> i64 {
    assert!(d > 0, "the denominator of a constant must be positive");
    let (twice, d) = ((n as i64) << (places + 1), d as i64);
    let bits = (if n < 0 { twice - d } else { twice + d }) / (2 * d);
    assert!(
        low <= bits && bits <= high,
        "the constant is beyond the word of its family"
    );
    bits
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
    #[inline]
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }
    #[inline]
    fn minus(self, other: Self) -> Self {
        self.saturating_sub(other)
    }
    fn billionths(self) -> i64 {
        self as i64 * 1_000_000_000
    }
    fn decimal(self) -> (i64, i32) {
        (self as i64, 0)
    }
    const STORED_BYTES: usize = 4;
    fn to_stored(self) -> u64 {
        self as u64
    }
    fn from_stored(bits: u64) -> Self {
        bits as u32
    }
    #[cfg(feature = "defmt")]
    fn log(self, f: defmt::Formatter<'_>) {
        defmt::Format::format(&self, f);
    }
}

impl Word for u32 {
    type Fraction<const N: i32, const D: i32> = Fraction<N, D>;
    type WorkingFraction<const N: i32, const D: i32> = WorkingFraction<u32, N, D>;
}
impl<const N: i32, const D: i32> Constant<Scaled> for WorkingFraction<u32, N, D> {
    const VALUE: Scaled = Scaled::from_parts(fraction(N, D, 0, 0, u32::MAX as i64), 0);
}
impl<const N: i32, const D: i32> Constant<u32> for Fraction<N, D> {
    const VALUE: u32 = fraction(N, D, 0, 0, u32::MAX as i64) as u32;
}

/// The bits of a reference of N/D ohms, above 0.
pub(super) const fn reference_bits(n: i32, d: i32) -> u32 {
    fraction(n, d, 12, 1, i32::MAX as i64) as u32
}

impl<const N: i32, const D: i32> Constant<(I20F12, Normal)> for Fraction<N, D> {
    const VALUE: (I20F12, Normal) = {
        let bits = reference_bits(N, D);
        (I20F12::from_bits(bits as i32), normalise_short(bits))
    };
}

/// Writes a fixed-point number with six decimals, rounded, by integers alone.
#[cfg(feature = "defmt")]
fn log_decimal(f: defmt::Formatter<'_>, bits: i64, fraction: u32) {
    let size = bits.unsigned_abs();
    let whole = (size >> fraction) as u32;
    let rest = size & ((1 << fraction) - 1);
    let millionths = ((rest * 1_000_000 + (1 << (fraction - 1))) >> fraction) as u32;
    let carry = millionths / 1_000_000;
    // Not a text that is handed over: it would be quoted inside of a derived form.
    if bits < 0 {
        defmt::write!(f, "-");
    }
    let (whole, millionths) = (whole + carry, millionths - carry * 1_000_000);
    defmt::write!(f, "{=u32}.{=u32:06}", whole, millionths);
}

/// A number with a sign and 32 bits, `fraction` of them (1 to 31) after the point, in billionths, cut off.
#[inline(never)]
pub(crate) fn billionths(bits: i64, fraction: u32) -> i64 {
    let size = (bits.unsigned_abs() as u32 as u64).wrapping_mul(1_000_000_000);
    // Two 32-bit halves: a 64-bit shift by a variable calls a routine on the smallest cores.
    let (high, low) = ((size >> 32) as u32, size as u32);
    let cut = high.wrapping_shr(fraction);
    let kept = high.wrapping_shl(32u32.wrapping_sub(fraction)) | low.wrapping_shr(fraction);
    let count = ((cut as u64) << 32 | kept as u64) as i64;
    if bits < 0 { count.wrapping_neg() } else { count }
}

/// The word with the sign, from a magnitude that may not fit.
#[inline(always)]
fn signed(negative: bool, size: u32) -> i32 {
    if negative {
        size.min(1 << 31).wrapping_neg() as i32
    } else {
        size.min(i32::MAX as u32) as i32
    }
}

/// −10·lg of a number in units of 2⁻⁶⁰ that is not zero, as a word, rounded to nearest.
#[inline(always)]
fn loss(value: Normal) -> I16F16 {
    let half = 1i32 << (logarithm::FRACTION - 17);
    I16F16::from_bits(
        half.wrapping_sub(logarithm::decibels(value.shifted(-60))) >> (logarithm::FRACTION - 16),
    )
}

/// The same; the largest word for zero.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
fn decibels(value: Normal) -> I16F16 {
    if value.mantissa == 0 {
        I16F16::MAX
    } else {
        loss(value)
    }
}

#[inline(always)]
fn ratio(size: Size) -> U16F16 {
    U16F16::from_bits(size.to_bits(16))
}

#[inline(always)]
// The reference is in units of its word, which already counts the digits after the point.
fn ohms(negative: bool, size: Size) -> I20F12 {
    I20F12::from_bits(size.to_signed(negative))
}

/// The standing wave ratio from |Γ| in units of 2⁻³⁰, below 1.
#[inline(always)]
fn swr(point: &Point, rho: u32, passive: Normal, inverse: u32) -> U16F16 {
    if point.is_total() {
        return U16F16::MAX;
    }
    // The error is below 5e-9, so rounding to the word gives exactly 1 where the SWR is 1.
    ratio(Point::standing_wave(rho, passive.exponent, inverse))
}

impl Arithmetic for Fixed32 {
    const FAMILY: Family = Family::Fixed32;
    type Working = Scaled;
    type ComponentWord = I2F30;
    type OhmsWord = I20F12;
    type SiemensWord = I8F24;
    type RatioWord = U16F16;
    type DecibelsWord = I16F16;
    type DegreesWord = I16F16;
    type InductanceWord = u32;
    type CapacitanceWord = u32;
    type VoltsWord = I20F12;
    type AmperesWord = I16F16;
    type WattsWord = I20F12;
    type MetresWord = U16F16;
    // round(10⁻¹² · 2⁷⁰) and round(10⁻¹⁵ · 2⁸⁰)
    const HENRIES_PER_UNIT: Scaled = Scaled::constant(1_180_591_621, -70);
    const FARADS_PER_UNIT: Scaled = Scaled::constant(1_208_925_820, -80);
    const REFLECTION_LIMIT: I2F30 = I2F30::MAX;

    type Scale = Normal;
    fn prepare(reference: I20F12) -> Normal {
        normalise_short(reference.to_bits().unsigned_abs())
    }
    const FIFTY: (I20F12, Normal) = (
        I20F12::from_bits(50 << 12),
        Normal {
            mantissa: 50 << 25,
            exponent: 12 - 25,
        },
    );
    type Prepared<const N: i32, const D: i32> = Fraction<N, D>;

    const UNIT: I2F30 = I2F30::ONE;
    const MINUS_UNIT: I2F30 = I2F30::NEG_ONE;

    fn from_picohenries(count: u32) -> u32 {
        count
    }
    fn from_femtofarads(count: u32) -> u32 {
        count
    }

    fn coarse(component: I2F30) -> i32 {
        component.to_bits() >> 16
    }

    fn fine(component: I2F30) -> i32 {
        component.to_bits() >> 3
    }

    fn power(re: I2F30, im: I2F30) -> Scaled {
        Scaled::from_magnitude(false, Point::new(re.to_bits(), im.to_bits()).square(), -60)
    }

    fn passive(re: I2F30, im: I2F30) -> Scaled {
        let point = Point::new(re.to_bits(), im.to_bits());
        Scaled::from_magnitude(point.is_active(), point.passive(), -60)
    }

    fn magnitude(re: I2F30, im: I2F30) -> I2F30 {
        let point = Point::new(re.to_bits(), im.to_bits());
        I2F30::from_bits(signed(
            false,
            Point::magnitude(root(normalise_square(point.square()))),
        ))
    }

    fn is_total(re: I2F30, im: I2F30) -> bool {
        Point::new(re.to_bits(), im.to_bits()).is_total()
    }

    fn is_active(re: I2F30, im: I2F30) -> bool {
        Point::new(re.to_bits(), im.to_bits()).is_active()
    }

    fn standing_wave(re: I2F30, im: I2F30) -> U16F16 {
        let point = Point::new(re.to_bits(), im.to_bits());
        let passive = normalise_square(point.passive());
        let rho = Point::magnitude(root(normalise_square(point.square())));
        swr(&point, rho, passive, passive.inverse())
    }

    fn return_loss(re: I2F30, im: I2F30) -> I16F16 {
        decibels(normalise_square(Point::new(re.to_bits(), im.to_bits()).square()))
    }

    fn mismatch_loss(re: I2F30, im: I2F30) -> I16F16 {
        let point = Point::new(re.to_bits(), im.to_bits());
        if point.is_total() {
            return I16F16::MAX;
        }
        decibels(normalise_square(point.passive()))
    }

    fn phase(re: I2F30, im: I2F30) -> I16F16 {
        let point = Point::new(re.to_bits(), im.to_bits());
        let (root, inverse) = root_and_inverse(normalise_square(point.square()));
        I16F16::from_bits(point.degrees(root, inverse))
    }

    fn terminate(re: I2F30, im: I2F30, reference: Normal) -> (I20F12, I20F12) {
        let point = Point::new(re.to_bits(), im.to_bits());
        let away = normalise_square(point.away());
        if away.mantissa == 0 {
            return (I20F12::MAX, I20F12::ZERO);
        }
        let unit = Unit::new(reference, away);
        (
            ohms(point.is_active(), unit.times(normalise_square(point.passive()))),
            ohms(
                point.is_below(),
                unit.times(normalise_short(point.up()).shifted(31)),
            ),
        )
    }

    fn impedance_magnitude(re: I2F30, im: I2F30, reference: Normal) -> I20F12 {
        let point = Point::new(re.to_bits(), im.to_bits());
        let away = normalise_square(point.away());
        if away.mantissa == 0 {
            return I20F12::MAX;
        }
        let mean = mean(normalise_square(point.towards()), away);
        ohms(false, Unit::new(reference, away).times(mean))
    }

    fn quality(re: I2F30, im: I2F30) -> U16F16 {
        let point = Point::new(re.to_bits(), im.to_bits());
        let passive = normalise_square(point.passive());
        quality(normalise_short(point.up()), passive, passive.inverse())
    }

    #[cfg_attr(ohmwright_no_long_multiply, inline(never))]
    fn readouts(re: I2F30, im: I2F30, reference: Normal) -> Readouts<Self> {
        let point = Point::new(re.to_bits(), im.to_bits());
        // In the order that keeps the fewest values on the stack (128 bytes on a Cortex-M0, `benches/on_target.csv`).
        // Nothing may borrow `out`, or it is stored twice.
        let mut out = Readouts::<Self> {
            magnitude: Component::ZERO,
            swr: Swr::ZERO,
            return_loss: Decibels::ZERO,
            mismatch_loss: Decibels::ZERO,
            resistance: Ohms::ZERO,
            reactance: Ohms::ZERO,
            impedance_magnitude: Ohms::ZERO,
            phase: Degrees::ZERO,
            q: QFactor::ZERO,
        };
        let square = normalise_square(point.square());
        out.return_loss = decibels(square).into();
        let (root, root_inverse) = root_and_inverse(square);
        out.phase = I16F16::from_bits(point.degrees(root, root_inverse)).into();
        let rho = Point::magnitude(root);
        out.magnitude = I2F30::from_bits(rho as i32).into();
        let away = normalise_square(point.away());
        let mean = mean(normalise_square(point.towards()), away);
        let unit = Unit::new(reference, away);
        out.impedance_magnitude = ohms(false, unit.times(mean)).into();
        let passive = normalise_square(point.passive());
        out.resistance = ohms(point.is_active(), unit.times(passive)).into();
        let up = normalise_short(point.up()).shifted(31);
        out.reactance = ohms(point.is_below(), unit.times(up)).into();
        out.mismatch_loss = loss(passive).into();
        let inverse = passive.inverse();
        out.q = ratio(Size::quotient(up, passive, inverse)).into();
        out.swr = ratio(Point::standing_wave(rho, passive.exponent, inverse)).into();
        if point.is_total() {
            // No power is taken, or less than none. |Γ| = 2 is possible here and beyond the word.
            if rho > i32::MAX as u32 {
                out.magnitude = Component::MAX;
            }
            out.swr = Swr::MAX;
            out.mismatch_loss = Decibels::MAX;
            if !point.is_active() {
                out.q = if point.up() == 0 {
                    QFactor::ZERO
                } else {
                    QFactor::MAX
                };
            }
            if point.is_open() {
                (out.resistance, out.reactance) = (Ohms::MAX, Ohms::ZERO);
                out.impedance_magnitude = Ohms::MAX;
            }
        }
        out
    }

    // So that its frame is not under that of what is called next.
    #[cfg_attr(ohmwright_smallest, inline(never))]
    fn correct(raw: (I2F30, I2F30), terms: &[(I2F30, I2F30); 3]) -> (I2F30, I2F30) {
        let bits = |(re, im): (I2F30, I2F30)| (re.to_bits(), im.to_bits());
        let (re, im) = correct(bits(raw), terms.map(bits));
        (I2F30::from_bits(re), I2F30::from_bits(im))
    }

    fn ratio(above: (i32, i32), below: (i32, i32)) -> Option<(I2F30, I2F30)> {
        let (re, im) = quotient(above, below)?;
        Some((
            I2F30::from_bits(re.to_bits(30)?),
            I2F30::from_bits(im.to_bits(30)?),
        ))
    }

    type Span = Span;
    fn span(hertz: u64) -> Span {
        Span::new(hertz)
    }
    #[inline]
    fn between(
        low: &[(I2F30, I2F30); 3],
        high: &[(I2F30, I2F30); 3],
        offset: u64,
        span: Span,
    ) -> [(I2F30, I2F30); 3] {
        let fraction = span.fraction(offset);
        let part =
            |low: I2F30, high: I2F30| I2F30::from_bits(between(low.to_bits(), high.to_bits(), fraction));
        let ([a, b, c], [d, e, f]) = (*low, *high);
        [(a, d), (b, e), (c, f)].map(|(low, high)| (part(low.0, high.0), part(low.1, high.1)))
    }

    fn reflect(resistance: I20F12, reactance: I20F12, reference: I20F12) -> (I2F30, I2F30) {
        if resistance.is_at_end() || reactance.is_at_end() {
            return (I2F30::ONE, I2F30::ZERO);
        }
        let (re, im) = reflect(resistance.to_bits(), reactance.to_bits(), reference.to_bits());
        (I2F30::from_bits(re), I2F30::from_bits(im))
    }
}

#[inline(always)]
fn quality(up: Normal, passive: Normal, inverse: u32) -> U16F16 {
    if up.mantissa == 0 {
        U16F16::ZERO
    } else if passive.mantissa == 0 {
        U16F16::MAX
    } else {
        ratio(Size::quotient(up.shifted(31), passive, inverse))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Compared with a division of 128-bit integers.
    #[test]
    fn billionths_of_a_word() {
        let mut bits = 1u32;
        for _ in 0..100_000 {
            bits = bits.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            for fraction in [12, 15, 16, 24, 30] {
                for bits in [bits as i32 as i64, bits as i64, (bits as i32 >> 20) as i64] {
                    let size = i128::from(bits.abs()) * 1_000_000_000;
                    let want = size / (1 << fraction);
                    let want = if bits < 0 { -want } else { want };
                    assert_eq!(i128::from(billionths(bits, fraction)), want, "{bits} {fraction}");
                }
            }
        }
        for word in [i32::MIN, i32::MAX, 0, 1, -1] {
            let want = (f64::from(word) / 4096.0 * 1e9).trunc() as i64;
            assert_eq!(FixedI32::<U12>::from_bits(word).billionths(), want);
        }
        assert_eq!(u32::MAX.billionths(), 4_294_967_295_000_000_000);
    }
}
