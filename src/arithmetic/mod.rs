//! The numbers: the families, and what each must provide.
//!
//! A *family* is a set of number types and the kernels that compute the readouts. The type that stores a quantity is
//! its *word*. The domain types ([`Reflection`](crate::quantity::Reflection),
//! [`Impedance`](crate::quantity::Impedance), …) are written once over [`Arithmetic`], with the family as type parameter:
//!
//! - `f64`: for programs on a PC, and as the reference in tests;
//! - `f32`: for cores with a floating-point unit;
//! - [`Fixed32`]: for every core, with the same bits on each;
//! - [`Fixed16`]: for 12-bit converters and the smallest cores, with the same bits on each.
//!
//! The words of each family:
//!
#![doc = include_str!("words.md")]
//!
//! On a core without a floating-point unit the integer kernels of the fixed families compute the readouts of `f32`:
//! about ten times as fast as floating-point routines, and slightly less exact in dB and degrees
//! ([`accuracy::Family::SoftF32`]). `src/build.rs` decides by the name of the target.
//!
//! Both traits are sealed: a new family is added in this folder, together with its row in [`accuracy`].

use core::fmt::{self, Debug};
use core::ops::{Add, Div, Mul, Neg, Sub};

pub mod accuracy;
#[macro_use]
pub(crate) mod error;
mod fixed16;
mod fixed32;
mod float;
pub(crate) mod kernel;
pub(crate) mod readouts;
mod single;
mod soft32;
pub(crate) mod values;

pub(crate) use error::{Limits, QuantityError};
pub use fixed16::Fixed16;
pub use fixed32::Fixed32;
#[doc(hidden)]
pub use kernel::scaled::Scaled;
pub(crate) use readouts::Readouts;
#[cfg(ohmwright_soft_float)]
pub(crate) use soft32::Scale as SoftScale;
#[doc(hidden)]
pub use soft32::SoftF32;
#[cfg(feature = "defmt")]
pub(crate) use values::Number;
pub(crate) use values::{Component, Decibels, Degrees, Ohms, QFactor, Swr};
#[cfg(feature = "serde")]
pub(crate) use values::{read_number, write_number};

use accuracy::Family;

mod sealed {
    pub trait Sealed {}
}
pub(crate) use sealed::Sealed;

/// A quantity, or the word in which a family stores it: `f32`, `f64`, or a type of the [`fixed`] crate.
///
/// A word has no unit; the unit belongs to the quantity (ohms, decibels, …).
pub trait Quantity:
    Sealed + Copy + Debug + fmt::Display + Default + PartialEq + PartialOrd + 'static
{
    /// The number type in which the family computes between words.
    #[doc(hidden)]
    type Working: Real;

    /// Zero.
    const ZERO: Self;
    /// The largest value of the word, or +∞; the result of an operation that saturates upwards.
    const MAX: Self;
    /// The most negative value of the word (0 for an unsigned one), or −∞.
    const MIN: Self;

    /// The word nearest to `value`, in the unit of the quantity.
    ///
    /// # Errors
    /// [`QuantityError::NotFinite`] for NaN and infinity, [`QuantityError::OutOfRange`] beyond the range of the word.
    ///
    /// For programs on a PC and for constants. Firmware uses the constructors of the `fixed` crate, without floats.
    fn try_from_f64(value: f64) -> Result<Self, QuantityError>;

    /// The value as a double; exact for every family here.
    fn to_f64(self) -> f64;

    /// False for NaN and infinity; always true in fixed point.
    fn is_finite(self) -> bool;

    /// The nearest word, saturating at [`MAX`](Self::MAX) and [`MIN`](Self::MIN).
    #[doc(hidden)]
    fn from_working(value: Self::Working) -> Self;

    #[doc(hidden)]
    fn to_working(self) -> Self::Working;

    /// The sum, saturating.
    #[doc(hidden)]
    fn plus(self, other: Self) -> Self;
    /// The difference, saturating.
    #[doc(hidden)]
    fn minus(self, other: Self) -> Self;

    /// The whole billionths, cut off towards zero, so that rounding them to fewer digits gives what rounding the value
    /// gives; ±`i64::MAX` beyond that range, 0 for NaN.
    #[doc(hidden)]
    fn billionths(self) -> i64;

    /// A whole number and the decimal places in it, cut off towards zero: what billionths are to a number whose size is
    /// not known. Nine significant digits at least, fewer only where there are no more, or beyond 23 places, and one of 24
    /// places for anything smaller than those; ±`i64::MAX` from 10²¹ on, (0, 0) for 0 and NaN.
    #[doc(hidden)]
    fn decimal(self) -> (i64, i32) {
        // The step of a word in fixed point is more than ten thousand billionths wherever this is asked.
        (self.billionths(), 9)
    }

    /// True where the word stands at one of its ends: saturated, or infinite.
    #[inline]
    fn is_at_end(self) -> bool {
        self == Self::MAX || self == Self::MIN
    }

    /// Bytes that the word takes in storage.
    #[doc(hidden)]
    const STORED_BYTES: usize;
    /// The bits of the word, in the low bits.
    #[doc(hidden)]
    fn to_stored(self) -> u64;
    /// From the low [`STORED_BYTES`](Self::STORED_BYTES); a float may then be NaN or infinite.
    #[doc(hidden)]
    fn from_stored(bits: u64) -> Self;

    /// Writes the bare number for the log of a device.
    #[cfg(feature = "defmt")]
    #[doc(hidden)]
    fn log(self, f: defmt::Formatter<'_>);
}

/// A word: the number type in which a family stores quantities (`f32`, `f64`, or a type of the [`fixed`] crate).
pub trait Word: Quantity {
    /// N/D as a compile-time constant.
    #[doc(hidden)]
    type Fraction<const N: i32, const D: i32>: Constant<Self>;
    /// The same as the working number of the nearest word.
    #[doc(hidden)]
    type WorkingFraction<const N: i32, const D: i32>: Constant<Self::Working>;
}

/// A compile-time constant.
#[doc(hidden)]
pub trait Constant<W> {
    const VALUE: W;
}

/// N/D; see [`Word::Fraction`].
#[doc(hidden)]
#[derive(Clone, Copy, Debug)]
pub struct Fraction<const N: i32, const D: i32>;

/// See [`Word::WorkingFraction`].
#[doc(hidden)]
#[derive(Clone, Copy, Debug)]
pub struct WorkingFraction<W, const N: i32, const D: i32>(core::marker::PhantomData<W>);

/// N·M; see [`Real::Product`].
#[doc(hidden)]
#[derive(Clone, Copy, Debug)]
pub struct Product<const N: i32, const M: i32>;

/// An SWR of N thousandths, at least 1; see [`Real::Limit`].
#[doc(hidden)]
#[derive(Clone, Copy, Debug)]
pub struct Limit<const N: i32>;

impl<const N: i32> Limit<N> {
    const CHECKED: i32 = {
        assert!(N >= 1_000, "an SWR below 1 does not exist");
        N
    };
}

/// The working number of a family, for intermediate results whose size is not known beforehand.
#[doc(hidden)]
pub trait Real:
    Sealed
    + Copy
    + Debug
    + PartialEq
    + PartialOrd
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    const ZERO: Self;
    const ONE: Self;
    const TWO: Self;
    const HALF: Self;
    /// 2π.
    const TAU: Self;
    /// The largest value, or infinity.
    const LARGEST: Self;
    /// A difference smaller than this fraction of its operands is only rounding.
    const EPSILON: Self;
    /// N times M, as the program would multiply them, known when the code is compiled.
    type Product<const N: i32, const M: i32>: Constant<Self>;
    /// Of an SWR limit of N thousandths: |Γ|² there, and |Γ|² of all that reads as the limit; known when the code is
    /// compiled.
    type Limit<const N: i32>: Constant<(Self, Self)>;

    fn from_i32(value: i32) -> Self;
    fn from_u64(value: u64) -> Self;
    /// The nearest integer, halves away from zero, saturating; 0 for NaN.
    fn to_i64(self) -> i64;
    fn from_f64(value: f64) -> Self;
    fn to_f64(self) -> f64;
    /// The square root; 0 for negative numbers.
    fn square_root(self) -> Self;
    fn is_finite(self) -> bool;
    /// 10·lg of a ratio of powers; the most negative value for zero and below.
    fn decibels(self) -> Self;
    /// 10^(self/10).
    fn ratio_of_decibels(self) -> Self;
    /// (sine, cosine) of an angle in turns.
    fn sine_cosine(self) -> (Self, Self);
    /// The angle of (`cosine`, `sine`) in turns, in (−½, ½]; 0 for the zero vector.
    fn turns(sine: Self, cosine: Self) -> Self;

    #[inline]
    fn is_zero(self) -> bool {
        self == Self::ZERO
    }

    #[inline]
    fn absolute(self) -> Self {
        if self < Self::ZERO { -self } else { self }
    }

    #[inline]
    fn square(self) -> Self {
        self * self
    }

    #[inline]
    fn larger(self, other: Self) -> Self {
        if self < other { other } else { self }
    }

    #[inline]
    fn smaller(self, other: Self) -> Self {
        if other < self { other } else { self }
    }
}

/// The floating families, `f32` and `f64`: their words and their working number are the family itself.
///
/// What programs on a PC need and firmware hardly ever does (windings, ranked networks, tolerance corners) is offered
/// for these only, so that firmware in fixed point never links it.
pub trait Floating:
    Real
    + Quantity<Working = Self>
    + Arithmetic<
        Working = Self,
        ComponentWord = Self,
        OhmsWord = Self,
        SiemensWord = Self,
        RatioWord = Self,
        DecibelsWord = Self,
        DegreesWord = Self,
        InductanceWord = Self,
        CapacitanceWord = Self,
        VoltsWord = Self,
        AmperesWord = Self,
        WattsWord = Self,
        MetresWord = Self,
    >
{
    /// The natural logarithm; −∞ for zero and below.
    #[doc(hidden)]
    fn natural_logarithm(self) -> Self;
    /// e to this power.
    #[doc(hidden)]
    fn exponential(self) -> Self;
    /// This number, not negative, to a power.
    #[doc(hidden)]
    fn to_the_power(self, exponent: Self) -> Self;
}

/// A family of numbers: the word of each quantity, and the kernels that compute with them.
///
/// Users name a family (`f32`, `f64`, [`Fixed32`], [`Fixed16`]) as the type parameter of the domain types and use
/// *their* methods; the kernels here are internal and hidden.
pub trait Arithmetic: Sealed + Copy + Debug + Default + PartialEq + 'static {
    /// The family's entry in the [`accuracy`] table.
    const FAMILY: Family;

    /// The working number, used between words.
    #[doc(hidden)]
    type Working: Real;
    /// A real or imaginary part of a reflection coefficient, and its magnitude.
    type ComponentWord: Word<Working = Self::Working>;
    /// Resistance, reactance and the magnitude of an impedance.
    type OhmsWord: Word<Working = Self::Working>;
    /// Conductance and susceptance.
    type SiemensWord: Word<Working = Self::Working>;
    /// SWR, Q, and ratios of impedances: never negative.
    type RatioWord: Word<Working = Self::Working>;
    /// Decibels.
    type DecibelsWord: Word<Working = Self::Working>;
    /// Degrees.
    type DegreesWord: Word<Working = Self::Working>;
    /// Henries in the floating families, whole picohenries in fixed point.
    type InductanceWord: Word<Working = Self::Working>;
    /// Farads in the floating families, whole femtofarads in fixed point.
    type CapacitanceWord: Word<Working = Self::Working>;
    /// Volts.
    type VoltsWord: Word<Working = Self::Working>;
    /// Amperes.
    type AmperesWord: Word<Working = Self::Working>;
    /// Watts.
    type WattsWord: Word<Working = Self::Working>;
    /// Metres.
    type MetresWord: Word<Working = Self::Working>;

    /// Henries in one unit of [`InductanceWord`](Self::InductanceWord).
    #[doc(hidden)]
    const HENRIES_PER_UNIT: Self::Working;
    /// Farads in one unit of [`CapacitanceWord`](Self::CapacitanceWord).
    #[doc(hidden)]
    const FARADS_PER_UNIT: Self::Working;
    /// Components of Γ are kept within ± this value.
    #[doc(hidden)]
    const REFLECTION_LIMIT: Self::ComponentWord;

    /// A reference resistance, prepared for the kernels that divide and multiply by it.
    #[doc(hidden)]
    type Scale: Copy + Debug + PartialEq;
    #[doc(hidden)]
    fn prepare(reference: Self::OhmsWord) -> Self::Scale;
    /// 50 Ω, as a word and as [`prepare`](Self::prepare) returns it: a compile-time constant.
    #[doc(hidden)]
    const FIFTY: (Self::OhmsWord, Self::Scale);
    /// The same of N/D ohms, above 0.
    #[doc(hidden)]
    type Prepared<const N: i32, const D: i32>: Constant<(Self::OhmsWord, Self::Scale)>;

    /// Γ of an open. A short has the opposite sign.
    #[doc(hidden)]
    const UNIT: Self::ComponentWord;
    #[doc(hidden)]
    const MINUS_UNIT: Self::ComponentWord;

    #[doc(hidden)]
    fn from_picohenries(count: u32) -> Self::InductanceWord;
    #[doc(hidden)]
    fn from_femtofarads(count: u32) -> Self::CapacitanceWord;

    /// Whether a component is a number within [`REFLECTION_LIMIT`](Self::REFLECTION_LIMIT): in fixed point every word is.
    #[doc(hidden)]
    #[inline(always)]
    fn holds(_component: Self::ComponentWord) -> bool {
        true
    }
    /// A component in steps of 2⁻¹⁴, rounded towards one side and held within ±2: for comparisons that need no more.
    #[doc(hidden)]
    fn coarse(component: Self::ComponentWord) -> i32;

    /// A component in steps of 2⁻²⁷, rounded down and held within ±2.
    #[doc(hidden)]
    fn fine(component: Self::ComponentWord) -> i32;
    /// |Γ|², saturating only where the component itself cannot.
    #[doc(hidden)]
    fn power(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::Working;
    /// 1 − |Γ|², negative beyond the rim: as (1 − M)(1 + M) − m², M the larger and m the smaller component, which keeps the
    /// digits near the rim. In 16 bits that is exact.
    #[doc(hidden)]
    fn passive(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::Working {
        let (re, im) = (re.to_working().absolute(), im.to_working().absolute());
        let (large, small) = (re.larger(im), re.smaller(im));
        let one = Self::Working::ONE;
        (one - large) * (one + large) - small.square()
    }
    /// |Γ|.
    #[doc(hidden)]
    fn magnitude(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::ComponentWord;
    /// True where 1 − |Γ|² is zero or negative.
    #[doc(hidden)]
    fn is_total(re: Self::ComponentWord, im: Self::ComponentWord) -> bool;
    /// True where 1 − |Γ|² is negative.
    #[doc(hidden)]
    fn is_active(re: Self::ComponentWord, im: Self::ComponentWord) -> bool;
    /// (1 + |Γ|)²/(1 − |Γ|²).
    #[doc(hidden)]
    fn standing_wave(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::RatioWord;
    /// −10·lg |Γ|².
    #[doc(hidden)]
    fn return_loss(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::DecibelsWord;
    /// −10·lg (1 − |Γ|²).
    #[doc(hidden)]
    fn mismatch_loss(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::DecibelsWord;
    /// The angle of Γ.
    #[doc(hidden)]
    fn phase(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::DegreesWord;
    /// Z0·(1 − |Γ|² + j·2·Im Γ)/|1 − Γ|²; an open as (MAX, 0).
    #[doc(hidden)]
    fn terminate(
        re: Self::ComponentWord,
        im: Self::ComponentWord,
        reference: Self::Scale,
    ) -> (Self::OhmsWord, Self::OhmsWord);
    /// Z0·|1 + Γ|/|1 − Γ|.
    #[doc(hidden)]
    fn impedance_magnitude(
        re: Self::ComponentWord,
        im: Self::ComponentWord,
        reference: Self::Scale,
    ) -> Self::OhmsWord;
    /// 2·|Im Γ|/|1 − |Γ|²|.
    #[doc(hidden)]
    fn quality(re: Self::ComponentWord, im: Self::ComponentWord) -> Self::RatioWord;
    /// All readouts of one Γ with shared intermediate results; the same bits as each readout by itself.
    #[doc(hidden)]
    fn readouts(re: Self::ComponentWord, im: Self::ComponentWord, reference: Self::Scale) -> Readouts<Self> {
        let (resistance, reactance) = Self::terminate(re, im, reference);
        Readouts {
            magnitude: Component::new(Self::magnitude(re, im)),
            swr: Swr::new(Self::standing_wave(re, im)),
            return_loss: Decibels::new(Self::return_loss(re, im)),
            mismatch_loss: Decibels::new(Self::mismatch_loss(re, im)),
            resistance: Ohms::new(resistance),
            reactance: Ohms::new(reactance),
            impedance_magnitude: Ohms::new(Self::impedance_magnitude(re, im, reference)),
            phase: Degrees::new(Self::phase(re, im)),
            q: QFactor::new(Self::quality(re, im)),
        }
    }
    /// (m − directivity)/(tracking + source match·(m − directivity)), in that order of the terms.
    #[doc(hidden)]
    fn correct(
        raw: (Self::ComponentWord, Self::ComponentWord),
        terms: &[(Self::ComponentWord, Self::ComponentWord); 3],
    ) -> (Self::ComponentWord, Self::ComponentWord);
    /// above/below of complex whole numbers; `None` where `below` is zero or a part does not fit the component.
    #[doc(hidden)]
    fn ratio(above: (i32, i32), below: (i32, i32)) -> Option<(Self::ComponentWord, Self::ComponentWord)>;

    /// The distance of two frequencies, prepared for [`between`](Self::between).
    #[doc(hidden)]
    type Span: Copy + Debug + PartialEq;
    /// From hertz; 0 counts as 1.
    #[doc(hidden)]
    fn span(hertz: u64) -> Self::Span;
    /// The error terms `offset` hertz above the lower of two frequencies that are `span` apart: linear interpolation of
    /// real and imaginary parts; exactly the lower terms for an offset of 0.
    #[doc(hidden)]
    fn between(
        low: &[(Self::ComponentWord, Self::ComponentWord); 3],
        high: &[(Self::ComponentWord, Self::ComponentWord); 3],
        offset: u64,
        span: Self::Span,
    ) -> [(Self::ComponentWord, Self::ComponentWord); 3];
    /// [`correct`](Self::correct) with the interpolated terms.
    #[doc(hidden)]
    #[inline]
    fn correct_between(
        raw: (Self::ComponentWord, Self::ComponentWord),
        low: &[(Self::ComponentWord, Self::ComponentWord); 3],
        high: &[(Self::ComponentWord, Self::ComponentWord); 3],
        offset: u64,
        span: Self::Span,
    ) -> (Self::ComponentWord, Self::ComponentWord) {
        Self::correct(raw, &Self::between(low, high, offset, span))
    }
    /// (Z − Z0)/(Z + Z0).
    #[doc(hidden)]
    fn reflect(
        resistance: Self::OhmsWord,
        reactance: Self::OhmsWord,
        reference: Self::OhmsWord,
    ) -> (Self::ComponentWord, Self::ComponentWord);
}
