//! The floating families: `f32` and `f64` are their own words and their own working number.
//!
//! 1 − |Γ|² is formed from products without rounding, so that next to the rim (|Γ| = 1) no digit of it is lost: as good
//! as the sum of the exact squares.

use super::accuracy::Family;
use super::{
    Arithmetic, Component, Constant, Decibels, Degrees, Floating, Fraction, Limit, Ohms, Product, QFactor,
    Quantity, QuantityError, Readouts, Real, Sealed, Swr, Word, WorkingFraction,
};

pub(super) use single::Floating32;

/// A float as word and working number, and the family `$name` that computes with it.
macro_rules! floating {
    (
        $f:ident, $name:ident, $family:expr,
        $sqrt:path, $log10:path, $log1p:path, $atan2:path, $round:path, $exp10:path, $sine_cosine:path, $ln:path, $exp:path, $pow:path, $billionths:path, $split:expr
    ) => {
        impl Sealed for $f {}

        impl Real for $f {
            const ZERO: Self = 0.0;
            const ONE: Self = 1.0;
            const TWO: Self = 2.0;
            const HALF: Self = 0.5;
            const TAU: Self = core::$f::consts::TAU;
            const LARGEST: Self = $f::INFINITY;
            const EPSILON: Self = 4.0 * $f::EPSILON;
            type Product<const N: i32, const M: i32> = Product<N, M>;
            type Limit<const N: i32> = Limit<N>;

            #[inline]
            fn from_i32(value: i32) -> Self {
                value as $f
            }
            #[inline]
            fn from_u64(value: u64) -> Self {
                value as $f
            }
            #[inline]
            fn to_i64(self) -> i64 {
                $round(self) as i64
            }
            #[inline]
            fn from_f64(value: f64) -> Self {
                value as $f
            }
            #[inline]
            fn to_f64(self) -> f64 {
                self as f64
            }
            #[inline]
            fn square_root(self) -> Self {
                if self > 0.0 { $sqrt(self) } else { 0.0 }
            }
            #[inline]
            fn is_finite(self) -> bool {
                $f::is_finite(self)
            }
            fn decibels(self) -> Self {
                if self > 0.0 {
                    10.0 * $log10(self)
                } else {
                    $f::NEG_INFINITY
                }
            }
            fn ratio_of_decibels(self) -> Self {
                $exp10(self / 10.0)
            }
            fn sine_cosine(self) -> (Self, Self) {
                // Removing the nearest quarter of a turn needs no rounding.
                let quarter = $round(4.0 * self);
                let (sine, cosine) = $sine_cosine((self - quarter / 4.0) * Self::TAU);
                match quarter.to_i64() & 3 {
                    0 => (sine, cosine),
                    1 => (cosine, -sine),
                    2 => (-sine, -cosine),
                    _ => (-cosine, sine),
                }
            }
            fn turns(sine: Self, cosine: Self) -> Self {
                let turns = $atan2(sine, cosine) / Self::TAU;
                // The half turn is counted as positive, also when it comes from −0 or from rounding.
                if turns <= -0.5 { 0.5 } else { turns }
            }
        }

        impl Floating for $f {
            fn natural_logarithm(self) -> Self {
                if self > 0.0 {
                    $ln(self)
                } else {
                    $f::NEG_INFINITY
                }
            }
            fn exponential(self) -> Self {
                $exp(self)
            }
            fn to_the_power(self, exponent: Self) -> Self {
                $pow(self, exponent)
            }
        }

        impl Word for $f {
            type Fraction<const N: i32, const D: i32> = Fraction<N, D>;
            type WorkingFraction<const N: i32, const D: i32> = WorkingFraction<$f, N, D>;
        }
        impl<const N: i32, const D: i32> Constant<$f> for WorkingFraction<$f, N, D> {
            const VALUE: $f = N as $f / D as $f;
        }
        impl<const N: i32, const M: i32> Constant<$f> for Product<N, M> {
            const VALUE: $f = N as $f * M as $f;
        }
        impl<const N: i32, const D: i32> Constant<($f, $f)> for Fraction<N, D> {
            const VALUE: ($f, $f) = {
                assert!(N > 0 && D > 0, "a reference must be above 0");
                let ohms = N as $f / D as $f;
                (ohms, ohms)
            };
        }
        impl<const N: i32> Constant<($f, $f)> for Limit<N> {
            const VALUE: ($f, $f) = {
                let swr = Self::CHECKED as $f / 1000.0;
                let over = swr + swr * (4.0 * $f::EPSILON);
                let (at, beyond) = ((swr - 1.0) / (swr + 1.0), (over - 1.0) / (over + 1.0));
                (at * at, beyond * beyond)
            };
        }
        impl<const N: i32, const D: i32> Constant<$f> for Fraction<N, D> {
            const VALUE: $f = N as $f / D as $f;
        }

        impl Quantity for $f {
            type Working = $f;
            const ZERO: Self = 0.0;
            const MAX: Self = $f::INFINITY;
            const MIN: Self = $f::NEG_INFINITY;

            fn try_from_f64(value: f64) -> Result<Self, QuantityError> {
                if !value.is_finite() {
                    return Err(QuantityError::NotFinite("value"));
                }
                let word = value as $f;
                if word.is_finite() {
                    Ok(word)
                } else {
                    Err(QuantityError::OutOfRange("value"))
                }
            }
            #[inline]
            fn to_f64(self) -> f64 {
                self as f64
            }
            #[inline]
            fn is_finite(self) -> bool {
                $f::is_finite(self)
            }
            #[inline]
            fn from_working(value: Self) -> Self {
                value
            }
            #[inline]
            fn to_working(self) -> Self {
                self
            }
            #[inline]
            fn plus(self, other: Self) -> Self {
                self + other
            }
            #[inline]
            fn minus(self, other: Self) -> Self {
                self - other
            }
            fn billionths(self) -> i64 {
                $billionths(self)
            }
            fn decimal(self) -> (i64, i32) {
                let (mantissa, exponent) = parts(self);
                if self.is_nan() {
                    return (0, 0);
                }
                let (count, places) = super::decimal(mantissa, exponent);
                (
                    if self < 0.0 {
                        count.wrapping_neg()
                    } else {
                        count
                    },
                    places,
                )
            }
            const STORED_BYTES: usize = size_of::<$f>();
            fn to_stored(self) -> u64 {
                self.to_bits().into()
            }
            fn from_stored(bits: u64) -> Self {
                $f::from_bits(bits as _)
            }
            #[cfg(feature = "defmt")]
            fn log(self, f: defmt::Formatter<'_>) {
                defmt::Format::format(&self, f);
            }
        }

        impl Arithmetic for $name {
            const FAMILY: Family = $family;
            type Working = $f;
            type ComponentWord = $f;
            type OhmsWord = $f;
            type SiemensWord = $f;
            type RatioWord = $f;
            type DecibelsWord = $f;
            type DegreesWord = $f;
            type InductanceWord = $f;
            type CapacitanceWord = $f;
            type VoltsWord = $f;
            type AmperesWord = $f;
            type WattsWord = $f;
            type MetresWord = $f;
            const HENRIES_PER_UNIT: $f = 1.0;
            const FARADS_PER_UNIT: $f = 1.0;
            const REFLECTION_LIMIT: $f = 1_048_576.0;

            type Scale = $f;
            #[inline]
            fn prepare(reference: $f) -> $f {
                reference
            }
            const FIFTY: ($f, $f) = (50.0, 50.0);
            type Prepared<const N: i32, const D: i32> = Fraction<N, D>;

            const UNIT: $f = 1.0;
            const MINUS_UNIT: $f = -1.0;

            fn from_picohenries(count: u32) -> $f {
                count as $f * 1e-12
            }
            fn from_femtofarads(count: u32) -> $f {
                count as $f * 1e-15
            }

            #[inline(always)]
            fn holds(component: $f) -> bool {
                // False for NaN.
                component.abs() <= Self::REFLECTION_LIMIT
            }

            #[inline]
            fn coarse(component: $f) -> i32 {
                // The conversion saturates; NaN becomes 0.
                ((component * 16_384.0) as i32).max(-32_768).min(32_767)
            }

            #[inline]
            fn fine(component: $f) -> i32 {
                // The conversion saturates; NaN becomes 0.
                ((component * 1_073_741_824.0) as i32) >> 3
            }

            #[inline]
            fn power(re: $f, im: $f) -> $f {
                re * re + im * im
            }

            #[inline]
            fn passive(re: $f, im: $f) -> $f {
                let (large, small) = by_size(re, im);
                passive_part(large, small, re * re + im * im)
            }

            #[inline]
            fn magnitude(re: $f, im: $f) -> $f {
                let square = re * re + im * im;
                if is_usual(square) {
                    return root(square);
                }
                let (large, small) = by_size(re, im);
                tiny(large, small).0
            }

            #[inline]
            fn is_total(re: $f, im: $f) -> bool {
                Self::passive(re, im) <= 0.0
            }

            #[inline]
            fn is_active(re: $f, im: $f) -> bool {
                Self::passive(re, im) < 0.0
            }

            fn standing_wave(re: $f, im: $f) -> $f {
                standing_wave(Self::magnitude(re, im), Self::passive(re, im))
            }

            fn return_loss(re: $f, im: $f) -> $f {
                let square = re * re + im * im;
                let (large, small) = by_size(re, im);
                if is_usual(square) {
                    return loss(square, passive_part(large, small, square));
                }
                tiny(large, small).1
            }

            fn mismatch_loss(re: $f, im: $f) -> $f {
                mismatch_loss(re * re + im * im, Self::passive(re, im))
            }

            fn phase(re: $f, im: $f) -> $f {
                let (large, small) = by_size(re, im);
                if large == 0.0 {
                    return 0.0;
                }
                degrees(re, im, large, small)
            }

            fn terminate(re: $f, im: $f, reference: $f) -> ($f, $f) {
                match Ends::new(re, im, reference) {
                    Some(ends) => ends.terminate(im, Self::passive(re, im)),
                    None => terminate_by_ratio(re, im, reference),
                }
            }

            fn impedance_magnitude(re: $f, im: $f, reference: $f) -> $f {
                match Ends::new(re, im, reference) {
                    Some(ends) => ends.magnitude(),
                    None => impedance_magnitude_by_ratio(re, im, reference),
                }
            }

            fn quality(re: $f, im: $f) -> $f {
                quality(im, Self::passive(re, im))
            }

            fn readouts(re: $f, im: $f, reference: $f) -> Readouts<Self> {
                let (large, small) = by_size(re, im);
                let square = re * re + im * im;
                let passive = passive_part(large, small, square);
                let ((resistance, reactance), impedance_magnitude) = match Ends::new(re, im, reference) {
                    Some(ends) => (ends.terminate(im, passive), ends.magnitude()),
                    None => (
                        terminate_by_ratio(re, im, reference),
                        impedance_magnitude_by_ratio(re, im, reference),
                    ),
                };
                let (magnitude, return_loss) = if is_usual(square) {
                    (root(square), loss(square, passive))
                } else {
                    tiny(large, small)
                };
                Readouts {
                    magnitude: Component::new(magnitude),
                    swr: Swr::new(standing_wave(magnitude, passive)),
                    return_loss: Decibels::new(return_loss),
                    mismatch_loss: Decibels::new(mismatch_loss(square, passive)),
                    resistance: Ohms::new(resistance),
                    reactance: Ohms::new(reactance),
                    impedance_magnitude: Ohms::new(impedance_magnitude),
                    phase: Degrees::new(Self::phase(re, im)),
                    q: QFactor::new(quality(im, passive)),
                }
            }

            fn correct(raw: ($f, $f), terms: &[($f, $f); 3]) -> ($f, $f) {
                let [directivity, source_match, tracking] = *terms;
                let (a, b) = (raw.0 - directivity.0, raw.1 - directivity.1);
                let c = tracking.0 + source_match.0 * a - source_match.1 * b;
                let d = tracking.1 + source_match.0 * b + source_match.1 * a;
                let below = c * c + d * d;
                let (re, im) = ((a * c + b * d) / below, (b * c - a * d) / below);
                // One comparison for both, which fails for a division by 0 too.
                if re.abs() + im.abs() <= Self::REFLECTION_LIMIT {
                    return (re, im);
                }
                beyond(re, im, below)
            }

            fn ratio(above: (i32, i32), below: (i32, i32)) -> Option<($f, $f)> {
                let (a, b) = (above.0 as $f, above.1 as $f);
                let (c, d) = (below.0 as $f, below.1 as $f);
                let size = c * c + d * d;
                if size == 0.0 {
                    return None;
                }
                let (re, im) = ((a * c + b * d) / size, (b * c - a * d) / size);
                let fits = |part: $f| part.abs() <= Self::REFLECTION_LIMIT;
                (fits(re) && fits(im)).then_some((re, im))
            }

            /// 1/span.
            type Span = $f;
            fn span(hertz: u64) -> $f {
                1.0 / (if hertz == 0 { 1 } else { hertz }) as $f
            }
            #[inline]
            fn between(low: &[($f, $f); 3], high: &[($f, $f); 3], offset: u64, span: $f) -> [($f, $f); 3] {
                let way = offset as $f * span;
                let [a, b, c] = *low;
                let [d, e, f] = *high;
                let part = |low: $f, high: $f| low + (high - low) * way;
                [(a, d), (b, e), (c, f)].map(|(low, high)| (part(low.0, high.0), part(low.1, high.1)))
            }

            fn reflect(resistance: $f, reactance: $f, reference: $f) -> ($f, $f) {
                if resistance.is_infinite() || reactance.is_infinite() {
                    return (1.0, 0.0);
                }
                // Divided by the largest of the three where a square might leave the range; unscaled elsewhere, so that
                // R + Z0 of a negative resistance cancels before any rounding.
                let (unit, _) = by_size(resistance, reactance);
                let unit = if unit > reference { unit } else { reference };
                let (r, x, z) = if (1e-9..1e15).contains(&unit) {
                    (resistance, reactance, reference)
                } else {
                    (resistance / unit, reactance / unit, reference / unit)
                };
                let below = (r + z) * (r + z) + x * x;
                let re = (r - z) * (r + z) + x * x;
                let im = 2.0 * x * z;
                if below == 0.0 {
                    return (-Self::REFLECTION_LIMIT, 0.0);
                }
                (limited(re / below), limited(im / below))
            }
        }

        #[inline(always)]
        fn by_size(a: $f, b: $f) -> ($f, $f) {
            let (a, b) = (a.abs(), b.abs());
            if a < b { (b, a) } else { (a, b) }
        }

        /// 1 − |Γ|² from the components by size, M and m, as 2·(1 − M) − (1 − M)² − m²; and from |Γ|² where M is below ½.
        ///
        /// The squares are taken apart at a fixed place, half of the digits after the point (T. J. Dekker, "A
        /// floating-point technique for extending the available precision", Numerische Mathematik 18, 1971, splits at half
        /// of the digits of each number). Their parts are then whole numbers of the same small steps, so that near the rim
        /// no difference is rounded until the last: two roundings of the result are all that is lost, and its sign is right
        /// unless |1 − |Γ|²| is below some 2⁻⁴⁹ in `f32`, 2⁻¹⁰⁷ in `f64`: what rounding the last squares costs.
        #[inline(always)]
        fn passive_part(large: $f, small: $f, square: $f) -> $f {
            const HALF: $f = 0.5;
            const FAR: $f = 1.5;
            // Far from the rim there is nothing to keep, and fewer roundings are better.
            if large.to_bits().wrapping_sub(HALF.to_bits()) > const { FAR.to_bits() - HALF.to_bits() } {
                if large < HALF {
                    return 1.0 - square;
                }
                return (1.0 - large) * (1.0 + large) - small * small;
            }
            let gap = 1.0 - large;
            let (gap_high, small_high) = ((gap + $split) - $split, (small + $split) - $split);
            let (gap_low, small_low) = (gap - gap_high, small - small_high);
            let high = ((gap + gap) - gap_high * gap_high) - small_high * small_high;
            let middle = gap_high * gap_low + small_high * small_low;
            let low = gap_low * gap_low + small_low * small_low;
            (high - (middle + middle)) - low
        }

        /// What an impedance is built from, where no square comes near the ends of the floating range.
        struct Ends {
            /// Z0/|1 − Γ|².
            unit: $f,
            /// |1 + Γ|²·|1 − Γ|².
            product: $f,
        }

        impl Ends {
            /// `None` next to the open and the short, and for a reference of no usual size. Where the product is usual, so
            /// are both of its parts, since one of them is at least 1.
            #[inline(always)]
            fn new(re: $f, im: $f, reference: $f) -> Option<Self> {
                let (away, towards) = (1.0 - re, 1.0 + re);
                let up = im * im;
                let (away, towards) = (away * away + up, towards * towards + up);
                let (unit, product) = (reference / away, towards * away);
                (is_usual(product) && is_usual(unit)).then_some(Self { unit, product })
            }

            #[inline(always)]
            fn terminate(&self, im: $f, passive: $f) -> ($f, $f) {
                (passive * self.unit, 2.0 * im * self.unit)
            }

            #[inline(always)]
            fn magnitude(&self) -> $f {
                root(self.product) * self.unit
            }
        }

        #[inline(always)]
        fn limited(component: $f) -> $f {
            component.clamp(-$f::REFLECTION_LIMIT, $f::REFLECTION_LIMIT)
        }

        #[inline(always)]
        fn standing_wave(magnitude: $f, passive: $f) -> $f {
            if passive <= 0.0 {
                return $f::INFINITY;
            }
            let sum = 1.0 + magnitude;
            let swr = sum * sum / passive;
            if swr < 1.0 { 1.0 } else { swr }
        }

        #[inline(always)]
        fn mismatch_loss(square: $f, passive: $f) -> $f {
            if passive <= 0.0 {
                $f::INFINITY
            } else {
                loss(passive, square)
            }
        }

        #[inline(always)]
        fn quality(im: $f, passive: $f) -> $f {
            if im == 0.0 {
                0.0
            } else {
                (2.0 * im / passive).abs()
            }
        }

        /// A corrected Γ that may leave its range.
        #[cold]
        #[inline(never)]
        fn beyond(re: $f, im: $f, below: $f) -> ($f, $f) {
            if below == 0.0 {
                return (-$f::REFLECTION_LIMIT, 0.0);
            }
            (limited(re), limited(im))
        }

        /// R and X where a square might underflow, by the ratio of the components of 1 − Γ.
        #[cold]
        #[inline(never)]
        fn terminate_by_ratio(re: $f, im: $f, reference: $f) -> ($f, $f) {
            let (large, small) = by_size(1.0 - re, im);
            if large == 0.0 {
                return ($f::INFINITY, 0.0);
            }
            let ratio = small / large;
            let scale = reference / (1.0 + ratio * ratio);
            let resistance = <$name>::passive(re, im) / large * scale / large;
            let reactance = 2.0 * (im / large) * scale / large;
            if resistance.is_finite() && reactance.is_finite() {
                (resistance, reactance)
            } else {
                ($f::INFINITY, 0.0)
            }
        }

        /// |Z| where a square might underflow.
        #[cold]
        #[inline(never)]
        fn impedance_magnitude_by_ratio(re: $f, im: $f, reference: $f) -> $f {
            let away = <$name>::magnitude(1.0 - re, im);
            if away == 0.0 {
                return $f::INFINITY;
            }
            reference * (<$name>::magnitude(1.0 + re, im) / away)
        }
    };
}

/// `mantissa · 2^exponent` (a mantissa of at most 53 bits) as [`Quantity::decimal`] has it, exact but for what is cut off.
fn decimal(mantissa: u64, mut exponent: i32) -> (i64, i32) {
    /// 10²³ and no more: units of 10⁻¹⁸ are the smallest that anything is shown in.
    const MOST_PLACES: i32 = 23;
    let mut size = u128::from(mantissa);
    let mut places = 0i32;
    if exponent < 0 {
        let mut count = cut(size, exponent);
        while count < 1_000_000_000 && exponent < 0 && places < MOST_PLACES {
            // Ten times as many are five times as many of the next power of two. The size stays below 2¹⁰⁷.
            size = (size << 2).wrapping_add(size);
            exponent = exponent.wrapping_add(1);
            places = places.wrapping_add(1);
            count = cut(size, exponent);
        }
        // Too small for these places is not nothing.
        return if count == 0 {
            (1, MOST_PLACES + 1)
        } else {
            (count as i64, places)
        };
    }
    if exponent > 70 {
        return (i64::MAX, -4);
    }
    // Below 2¹²³.
    size = size.wrapping_shl(exponent.unsigned_abs());
    if size <= 1_000_000_000_000_000_000 {
        return (size as i64, 0);
    }
    if size >= 1_000_000_000_000_000_000_000 {
        return (i64::MAX, -4);
    }
    // Thousands, digit by digit in base 2: a division of 128 bits would be a large routine.
    let (mut thousands, mut rest) = (0u64, 0u32);
    for place in (0..70).rev() {
        rest = rest << 1 | (size.wrapping_shr(place) as u32 & 1);
        thousands <<= 1;
        if rest >= 1000 {
            rest = rest.wrapping_sub(1000);
            thousands |= 1;
        }
    }
    (thousands as i64, -3)
}

/// `size · 2^exponent` of an exponent that is not positive, cut off.
fn cut(size: u128, exponent: i32) -> u128 {
    size.checked_shr(exponent.unsigned_abs()).unwrap_or(0)
}

mod single {
    use super::*;
    use crate::arithmetic::single::{degrees, is_usual, loss, root, tiny};

    /// A series for angles from −π/4 to π/4, since the library's routine computes in doubles. Within 1e-7.
    fn sine_cosine(angle: f32) -> (f32, f32) {
        let square = angle * angle;
        let sine = -1.0 / 6.0 + square * (1.0 / 120.0 + square * (-1.0 / 5040.0 + square / 362_880.0));
        let cosine = 1.0 / 24.0 + square * (-1.0 / 720.0 + square * (1.0 / 40_320.0 - square / 3_628_800.0));
        (
            angle + angle * square * sine,
            1.0 + square * (square * cosine - 0.5),
        )
    }

    /// The family that computes in floating point: `f32`, or another name for it where `f32` is computed with integers.
    #[cfg(not(ohmwright_soft_float))]
    pub(crate) type Floating32 = f32;
    #[cfg(ohmwright_soft_float)]
    #[derive(Clone, Copy, Debug, Default, PartialEq)]
    pub(crate) struct Floating32;
    #[cfg(ohmwright_soft_float)]
    impl Sealed for Floating32 {}

    /// With integers, exact: smaller than the floating-point routines of a core without a floating-point unit.
    fn billionths(value: f32) -> i64 {
        let (size, exponent) = parts(value);
        let count = size.wrapping_mul(1_000_000_000);
        let cut = match exponent {
            11.. if value.is_nan() => 0,
            11.. => i64::MAX,
            // The count is below 2⁵⁴.
            0.. => count.wrapping_shl(exponent.unsigned_abs()).min(i64::MAX as u64) as i64,
            -63.. => count.wrapping_shr(exponent.unsigned_abs()) as i64,
            _ => 0,
        };
        if value.is_sign_negative() {
            cut.wrapping_neg()
        } else {
            cut
        }
    }

    /// The size as `mantissa · 2^exponent`. A subnormal, below 2e-38, counts as if it were normal: nothing here sees it.
    #[inline]
    fn parts(value: f32) -> (u64, i32) {
        let bits = value.to_bits();
        let exponent = (bits >> 23 & 0xff) as i32;
        let mantissa = bits & ((1 << 23) - 1);
        if exponent == 0 && mantissa == 0 {
            return (0, 0);
        }
        (u64::from(1 << 23 | mantissa), exponent.wrapping_sub(127 + 23))
    }

    floating!(
        f32,
        Floating32,
        Family::F32,
        libm::sqrtf,
        libm::log10f,
        libm::log1pf,
        libm::atan2f,
        libm::roundf,
        libm::exp10f,
        sine_cosine,
        libm::logf,
        libm::expf,
        libm::powf,
        billionths,
        // Its digits end at 2⁻¹².
        3072.0
    );
}

mod double {
    use super::*;
    /// 10/ln 10.
    const LG: f64 = 10.0 / core::f64::consts::LN_10;

    /// As in `f32`: far from where a square leaves the normal numbers.
    #[inline(always)]
    fn is_usual(square: f64) -> bool {
        (1e-200..1e200).contains(&square)
    }

    #[inline(always)]
    fn root(x: f64) -> f64 {
        libm::sqrt(x)
    }

    /// −10·lg x, given 1 − x.
    fn loss(x: f64, complement: f64) -> f64 {
        if x > 0.5 && x < 2.0 {
            -LG * libm::log1p(-complement)
        } else {
            -10.0 * libm::log10(x)
        }
    }

    fn degrees(re: f64, im: f64, _large: f64, _small: f64) -> f64 {
        let degrees = libm::atan2(im, re) * (180.0 / core::f64::consts::PI);
        // The half turn is counted as positive, also when it comes from −0 or from rounding.
        if degrees <= -180.0 { 180.0 } else { degrees }
    }

    /// |Γ| and return loss of so small a Γ that its square may underflow.
    #[cold]
    fn tiny(large: f64, small: f64) -> (f64, f64) {
        if large == 0.0 {
            return (0.0, f64::INFINITY);
        }
        let ratio = small / large;
        let magnitude = large * libm::sqrt(1.0 + ratio * ratio);
        (magnitude, -20.0 * libm::log10(magnitude))
    }

    /// With integers, exact, as for `f32`.
    fn billionths(value: f64) -> i64 {
        let (size, exponent) = parts(value);
        let count = u128::from(size).wrapping_mul(1_000_000_000);
        let cut = match exponent {
            11.. if value.is_nan() => 0,
            11.. => i64::MAX,
            // The count is below 2⁸³.
            0.. => count.wrapping_shl(exponent.unsigned_abs()).min(i64::MAX as u128) as i64,
            -127.. => count.wrapping_shr(exponent.unsigned_abs()).min(i64::MAX as u128) as i64,
            _ => 0,
        };
        if value.is_sign_negative() {
            cut.wrapping_neg()
        } else {
            cut
        }
    }

    /// The size as `mantissa · 2^exponent`. A subnormal, below 3e-308, counts as if it were normal: nothing here sees it.
    #[inline]
    fn parts(value: f64) -> (u64, i32) {
        let bits = value.to_bits();
        let exponent = (bits >> 52 & 0x7ff) as i32;
        let mantissa = bits & ((1 << 52) - 1);
        if exponent == 0 && mantissa == 0 {
            return (0, 0);
        }
        (1 << 52 | mantissa, exponent.wrapping_sub(1023 + 52))
    }

    floating!(
        f64,
        f64,
        Family::F64,
        libm::sqrt,
        libm::log10,
        libm::log1p,
        libm::atan2,
        libm::round,
        libm::exp10,
        libm::sincos,
        libm::log,
        libm::exp,
        libm::pow,
        billionths,
        // Its digits end at 2⁻²⁶.
        100_663_296.0
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Compared with exact integers (a float times 10⁹ fits in 128 bits here).
    #[test]
    fn billionths() {
        let exact = |value: f32| {
            let numerator = f64::from(value) * 2f64.powi(80);
            let times = numerator.abs() as i128 * 1_000_000_000;
            let size = times >> 80;
            let size = size.min(i128::from(i64::MAX)) as i64;
            if value < 0.0 { -size } else { size }
        };
        let mut bits = 1u32;
        for _ in 0..300_000 {
            bits = bits.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            // From 2⁻⁴⁰ to 2¹⁶, where the exact product fits.
            let value = f32::from_bits(bits & 0x807f_ffff | (87 + (bits >> 8) % 56) << 23);
            assert_eq!(value.billionths(), exact(value), "{value:e}");
        }
        for (value, want) in [
            (0.0f32, 0),
            (-0.0, 0),
            (f32::from_bits(1), 0),
            (1.0, 1_000_000_000),
            (-2.5e-9, -2),
            (1.1e-9, 1),
            (9.9e-10, 0),
            (8_589_934_592.0, 8_589_934_592_000_000_000),
            (1e10, i64::MAX),
            (-1e10, -i64::MAX),
            (f32::MAX, i64::MAX),
            (f32::INFINITY, i64::MAX),
            (f32::NEG_INFINITY, -i64::MAX),
            (f32::NAN, 0),
        ] {
            assert_eq!(value.billionths(), want, "{value:e}");
        }
        assert_eq!(2.5f64.billionths(), 2_500_000_000);
        assert_eq!(f64::NAN.billionths(), 0);
        assert_eq!(f64::INFINITY.billionths(), i64::MAX);
        assert_eq!(f64::NEG_INFINITY.billionths(), -i64::MAX);
    }

    /// Both families against the standard library's routines, at angles that are whole numbers of 1/4096 turn (so that
    /// every one is exact in `f32`), with and without whole turns.
    #[test]
    fn turns_and_back() {
        let mut worst = 0f64;
        for step in -20_000i32..=20_000 {
            let turns = step as f64 / 4096.0;
            let rest = turns - turns.round();
            let want = (rest * core::f64::consts::TAU).sin_cos();
            let (sine, cosine) = turns.sine_cosine();
            assert!(
                (sine - want.0).abs() < 1e-15 && (cosine - want.1).abs() < 1e-15,
                "{turns}"
            );
            let (short, long) = (turns as f32).sine_cosine();
            worst = worst
                .max((f64::from(short) - want.0).abs())
                .max((f64::from(long) - want.1).abs());
            let back = <f64 as Real>::turns(sine, cosine) - rest;
            assert!((back - back.round()).abs() < 1e-15, "{turns}: {back:e}");
            let back = f64::from(<f32 as Real>::turns(short, long)) - rest;
            assert!((back - back.round()).abs() < 1e-7, "{turns}: {back:e}");
            if step % 1024 == 0 {
                let quarter =
                    [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][((step / 1024) & 3) as usize];
                assert_eq!((sine, cosine), quarter);
                assert_eq!((f64::from(short), f64::from(long)), quarter);
            }
        }
        assert!((1e-9..1.2e-7).contains(&worst), "{worst:e}");
        assert_eq!(<f64 as Real>::turns(-0.0, -1.0), 0.5);
    }
}
