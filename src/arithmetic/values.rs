//! The quantities: one type for each unit, over the word in which a family holds it.
//!
//! A quantity costs no more than its word, the number type in which the family stores it. It is made from a whole
//! number (`Ohms::from(50)`, or as a compile-time constant `Ohms::whole::<50>()`), from the family's word
//! (`Ohms::new(word)`), or in a program on a PC from a double ([`Ohms::try_from_f64`]). `get()` returns the word.
//! Parameters are `impl Into<Ohms<A>>`, so a bare number will do where the family is known:
//!
//! ```
//! use ohmwright::{double, fixed_point};
//!
//! let antenna = double::Impedance::new(36.5, -12.0)?;
//! let dummy = fixed_point::Impedance::new(75, -25)?;
//! assert_eq!(format!("{:.1}, {:#.1}", antenna.resistance(), dummy.reactance()), "36.5, -25.0 Ω");
//! # Ok::<(), ohmwright::quantity::QuantityError>(())
//! ```
//!
//! In generic code and in structure literals, name the type: `Ohms::<A>::new(word)`, `Swr::new(1.5)` or `1.5.into()`.
//!
//! A comparison with a bare number compares the values. In fixed point, comparing with a float needs floating-point
//! code: keep it for tests and programs on a PC.
//!
//! One quantity does not pass for another; each of these is refused by the compiler.
//!
//! An SWR is no resistance:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::{Impedance, Reflection};
//! let _ = Impedance::new(Reflection::new(0.2, 0.0).unwrap().swr(), 0.0);
//! ```
//!
//! Nor is a Q:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::{Impedance, Reflection};
//! let _ = Impedance::new(Reflection::new(0.2, 0.1).unwrap().q(), 0.0);
//! ```
//!
//! A resistance is no SWR limit:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::{Reflection, SensorReading, Reference};
//! let _ = SensorReading::from_swr(Reference::fifty().ohms());
//! ```
//!
//! A Q is no SWR:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::{Reflection, SensorReading};
//! let _ = SensorReading::from_swr(Reflection::new(0.2, 0.1).unwrap().q());
//! ```
//!
//! An impedance ratio is no SWR:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::SensorReading;
//! use ohmwright::quantity::ImpedanceRatio;
//! let _ = SensorReading::from_swr(ImpedanceRatio::<f64>::new(4.0));
//! ```
//!
//! A velocity factor is no impedance:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::Line;
//! use ohmwright::quantity::VelocityFactor;
//! let _ = Line::new(VelocityFactor::<f64>::new(0.66), 0.66, 12.0);
//! ```
//!
//! An impedance is no velocity factor:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::Line;
//! use ohmwright::quantity::Ohms;
//! let _ = Line::new(50.0, Ohms::<f64>::new(50.0), 12.0);
//! ```
//!
//! Decibels are no degrees:
//!
//! ```compile_fail,E0277
//! use ohmwright::measure::balance::Phasor;
//! use ohmwright::quantity::{Decibels, Component};
//! let _ = Phasor::<f64>::polar(Component::new(1.0), Decibels::<f64>::new(3.0));
//! ```
//!
//! Degrees are no decibels:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::Imbalance;
//! use ohmwright::measure::detector::Iq;
//! use ohmwright::quantity::Degrees;
//! let _ = Imbalance::new(Iq::new(0, 0), Degrees::<f64>::new(3.0), 0.0);
//! ```
//!
//! Volts are no watts:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::SensorReading;
//! use ohmwright::quantity::Volts;
//! let _ = SensorReading::from_powers(Volts::<f64>::new(10.0), 1.0);
//! ```
//!
//! Watts are no volts:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::PushPull;
//! use ohmwright::quantity::Watts;
//! let _ = PushPull::new(Watts::<f64>::new(50.0), 1.0);
//! ```
//!
//! Metres are no ohms:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::Line;
//! use ohmwright::quantity::Metres;
//! let _ = Line::new(Metres::<f64>::new(12.0), 0.66, 12.0);
//! ```
//!
//! Siemens are no ohms:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::Impedance;
//! use ohmwright::quantity::Siemens;
//! let _ = Impedance::new(Siemens::<f64>::new(0.02), 0.0);
//! ```
//!
//! And one family is not another:
//!
//! ```compile_fail,E0277
//! use ohmwright::double::Impedance;
//! use ohmwright::quantity::Ohms;
//! let _ = Impedance::new(Ohms::<f32>::new(50.0), 0.0);
//! ```

use core::cmp::Ordering;
use core::fmt;
use core::ops::{Add, Div, Mul, Neg, Sub};

use fixed::types::{I2F14, I2F30, I8F24, I16F16, I20F12, U16F16};

#[cfg(not(ohmwright_soft_float))]
use super::SoftF32;
use super::{Arithmetic, Constant, Fixed16, Fixed32, Quantity, QuantityError, Sealed, Word};

/// One quantity: the type, its constructors and its word.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $word:ident, $fixed:ty, $short:ty, ($($integer:ty)?), $unit:literal, $end:ident, $log:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq)]
        #[repr(transparent)]
        pub struct $name<A: Arithmetic>(A::$word);

        impl<A: Arithmetic> $name<A> {
            /// Zero.
            pub const ZERO: Self = Self(<A::$word as Quantity>::ZERO);
            /// The largest value of the word (floating: +∞); the result of an operation that saturates upwards.
            pub const MAX: Self = Self(<A::$word as Quantity>::MAX);
            /// The most negative value of the word (0 for an unsigned one; floating: −∞).
            pub const MIN: Self = Self(<A::$word as Quantity>::MIN);

            /// From the word in which the family stores it. The value is checked where it is used, not here.
            pub const fn new(word: A::$word) -> Self {
                Self(word)
            }

            /// A whole number as a compile-time constant, in every family. One beyond the word does not compile.
            pub const fn whole<const N: i32>() -> Self {
                Self(<<A::$word as Word>::Fraction<N, 1> as Constant<A::$word>>::VALUE)
            }

            /// A number of thousandths as a compile-time constant, in every family, to the nearest word. A number that
            /// the word cannot hold does not compile.
            pub const fn thousandths<const N: i32>() -> Self {
                Self(<<A::$word as Word>::Fraction<N, 1000> as Constant<A::$word>>::VALUE)
            }

            /// The word nearest to a double: for programs on a PC, and for their constants.
            ///
            /// # Errors
            /// [`QuantityError::NotFinite`] for NaN and infinity, [`QuantityError::OutOfRange`] beyond the word.
            pub fn try_from_f64(value: f64) -> Result<Self, QuantityError> {
                Quantity::try_from_f64(value)
            }

            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                if self < other { other } else { self }
            }

            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                if other < self { other } else { self }
            }

            /// The family's own word.
            pub const fn get(self) -> A::$word {
                self.0
            }

            /// The value as a double; exact in every family.
            pub fn to_f64(self) -> f64 {
                self.0.to_f64()
            }

            /// False for NaN and infinity; always true in fixed point.
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }

            /// True where the word stands at one of its ends: saturated, or infinite.
            pub fn is_at_end(self) -> bool {
                self.0.is_at_end()
            }
        }

        impl<A: Arithmetic> PartialOrd for $name<A> {
            #[inline]
            fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
                self.0.partial_cmp(&other.0)
            }
            // One comparison each, as for the word.
            #[inline]
            fn lt(&self, other: &Self) -> bool {
                self.0 < other.0
            }
            #[inline]
            fn le(&self, other: &Self) -> bool {
                self.0 <= other.0
            }
            #[inline]
            fn gt(&self, other: &Self) -> bool {
                self.0 > other.0
            }
            #[inline]
            fn ge(&self, other: &Self) -> bool {
                self.0 >= other.0
            }
        }

        /// Shown like the word, with its precision and width; `{:#}` adds the unit.
        impl<A: Arithmetic> fmt::Display for $name<A> {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)?;
                if f.alternate() { f.write_str($unit) } else { Ok(()) }
            }
        }

        impl<A: Arithmetic> Sealed for $name<A> {}
        impl<A: Arithmetic> Quantity for $name<A> {
            type Working = A::Working;
            const ZERO: Self = Self::ZERO;
            const MAX: Self = Self::MAX;
            const MIN: Self = Self::MIN;
            #[inline]
            fn try_from_f64(value: f64) -> Result<Self, QuantityError> {
                <A::$word as Quantity>::try_from_f64(value).map(Self)
            }
            #[inline]
            fn to_f64(self) -> f64 {
                self.0.to_f64()
            }
            #[inline]
            fn is_finite(self) -> bool {
                self.0.is_finite()
            }
            #[inline]
            fn from_working(value: A::Working) -> Self {
                Self(<A::$word as Quantity>::from_working(value))
            }
            #[inline]
            fn to_working(self) -> A::Working {
                self.0.to_working()
            }
            #[inline]
            fn plus(self, other: Self) -> Self {
                Self(self.0.plus(other.0))
            }
            #[inline]
            fn minus(self, other: Self) -> Self {
                Self(self.0.minus(other.0))
            }
            #[inline]
            fn billionths(self) -> i64 {
                self.0.billionths()
            }
            #[inline]
            fn decimal(self) -> (i64, i32) {
                self.0.decimal()
            }
            const STORED_BYTES: usize = <A::$word as Quantity>::STORED_BYTES;
            #[inline]
            fn to_stored(self) -> u64 {
                self.0.to_stored()
            }
            #[inline]
            fn from_stored(bits: u64) -> Self {
                Self(<A::$word as Quantity>::from_stored(bits))
            }
            #[cfg(feature = "defmt")]
            fn log(self, f: defmt::Formatter<'_>) {
                self.0.log(f);
            }
        }

        /// The number with its unit, or a text for a value at the end of its word.
        #[cfg(feature = "defmt")]
        impl<A: Arithmetic> defmt::Format for $name<A> {
            fn format(&self, f: defmt::Formatter<'_>) {
                logged!($end, self.0, $log, f);
            }
        }

        /// A number in the unit, as a double; in a text infinity is `"inf"`.
        #[cfg(feature = "serde")]
        impl<A: Arithmetic> serde::Serialize for $name<A> {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                write_number(self.to_f64(), serializer)
            }
        }
        /// From a number in the unit, to the nearest word; a number beyond the word is refused.
        #[cfg(feature = "serde")]
        impl<'de, A: Arithmetic> serde::Deserialize<'de> for $name<A> {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                read_number(deserializer, stringify!($end) != "number")
            }
        }

        bare_float!($name, f32, f32, ($($integer)?));
        bare_float!($name, f64, f64, ($($integer)?));
        #[cfg(not(ohmwright_soft_float))]
        bare_float!($name, SoftF32, f32, ($($integer)?));
        bare_fixed!($name, Fixed32, $fixed, ($($integer)?));
        bare_fixed!($name, Fixed16, $short, ($($integer)?));
    };
}

/// A word with its unit in the log of a device. The unit stands in the literal: a text handed over would be quoted inside of
/// a derived form.
#[cfg(feature = "defmt")]
macro_rules! logged {
    (number, $word:expr, $log:literal, $f:expr) => {
        defmt::write!($f, $log, Number($word))
    };
    (in_range, $word:expr, $log:literal, $f:expr) => {
        if $word == Quantity::MAX {
            defmt::write!($f, "beyond range")
        } else {
            logged!(number, $word, $log, $f)
        }
    };
    (open, $word:expr, $log:literal, $f:expr) => {
        if $word.is_at_end() {
            defmt::write!($f, "open")
        } else {
            logged!(number, $word, $log, $f)
        }
    };
}

/// Comparison with a bare number.
macro_rules! compared {
    ($name:ident, $family:ty, $number:ty) => {
        impl PartialEq<$number> for $name<$family> {
            #[inline]
            fn eq(&self, other: &$number) -> bool {
                self.0 == *other
            }
        }
        impl PartialOrd<$number> for $name<$family> {
            #[inline]
            fn partial_cmp(&self, other: &$number) -> Option<Ordering> {
                self.0.partial_cmp(other)
            }
        }
    };
}

/// The bare numbers of a floating family.
macro_rules! bare_float {
    ($name:ident, $family:ty, $float:ty, ($($integer:ty)?)) => {
        impl From<$float> for $name<$family> {
            #[inline]
            fn from(value: $float) -> Self {
                Self(value)
            }
        }
        $(impl From<$integer> for $name<$family> {
            #[inline]
            fn from(value: $integer) -> Self {
                Self(value.into())
            }
        })?
        compared!($name, $family, $float);
    };
}

/// The bare numbers of a fixed family: its word, an integer, and for comparison a double.
macro_rules! bare_fixed {
    ($name:ident, $family:ty, $word:ty, ($($integer:ty)?)) => {
        impl From<$word> for $name<$family> {
            #[inline]
            fn from(word: $word) -> Self {
                Self(word)
            }
        }
        $(impl From<$integer> for $name<$family> {
            #[inline]
            fn from(value: $integer) -> Self {
                Self(value.into())
            }
        })?
        $(compared!($name, $family, $integer);)?
        compared!($name, $family, f64);
    };
}

/// Sums and differences of quantities with a sign, saturating; in the floating families also with bare numbers.
macro_rules! signed {
    ($($name:ident),*) => {$(
        impl<A: Arithmetic> $name<A> {
            /// The size, without the sign.
            #[must_use]
            pub fn abs(self) -> Self {
                if self < Self::ZERO { -self } else { self }
            }
        }
        impl<A: Arithmetic> Add for $name<A> {
            type Output = Self;
            #[inline]
            fn add(self, other: Self) -> Self {
                self.plus(other)
            }
        }
        impl<A: Arithmetic> Sub for $name<A> {
            type Output = Self;
            #[inline]
            fn sub(self, other: Self) -> Self {
                self.minus(other)
            }
        }
        impl<A: Arithmetic> Neg for $name<A> {
            type Output = Self;
            #[inline]
            fn neg(self) -> Self {
                <Self as Quantity>::from_working(-self.to_working())
            }
        }
        signed!(float $name, f32, f32);
        signed!(float $name, f64, f64);
        #[cfg(not(ohmwright_soft_float))]
        signed!(float $name, SoftF32, f32);
    )*};
    (float $name:ident, $family:ty, $float:ty) => {
        signed!(operator $name, $family, $float, Add, add, +);
        signed!(operator $name, $family, $float, Sub, sub, -);
        signed!(operator $name, $family, $float, Mul, mul, *);
        signed!(operator $name, $family, $float, Div, div, /);
        impl Mul<$name<$family>> for $float {
            type Output = $name<$family>;
            #[inline]
            fn mul(self, other: $name<$family>) -> $name<$family> {
                $name(self * other.0)
            }
        }
    };
    (operator $name:ident, $family:ty, $float:ty, $trait:ident, $method:ident, $operator:tt) => {
        impl $trait<$float> for $name<$family> {
            type Output = Self;
            #[inline]
            fn $method(self, other: $float) -> Self {
                Self(self.0 $operator other)
            }
        }
    };
}

/// A number without a unit: in the floating families a computation with it gives a bare number.
macro_rules! dimensionless {
    ($($name:ident),*) => {$(
        dimensionless!(float $name, f32, f32);
        dimensionless!(float $name, f64, f64);
        #[cfg(not(ohmwright_soft_float))]
        dimensionless!(float $name, SoftF32, f32);
    )*};
    (float $name:ident, $family:ty, $float:ty) => {
        dimensionless!(operator $name, $family, $float, Add, add, +);
        dimensionless!(operator $name, $family, $float, Sub, sub, -);
        dimensionless!(operator $name, $family, $float, Mul, mul, *);
        dimensionless!(operator $name, $family, $float, Div, div, /);
    };
    (operator $name:ident, $family:ty, $float:ty, $trait:ident, $method:ident, $operator:tt) => {
        impl $trait<$float> for $name<$family> {
            type Output = $float;
            #[inline]
            fn $method(self, other: $float) -> $float {
                self.0 $operator other
            }
        }
        impl $trait for $name<$family> {
            type Output = $float;
            #[inline]
            fn $method(self, other: Self) -> $float {
                self.0 $operator other.0
            }
        }
        impl $trait<$name<$family>> for $float {
            type Output = $float;
            #[inline]
            fn $method(self, other: $name<$family>) -> $float {
                self $operator other.0
            }
        }
    };
}

quantity! {
    /// A number of the size of Γ: a component, a magnitude, or a fraction of power. In fixed point ±2, in steps
    /// of 2⁻³⁰ in 32 bits (`I2F30`), of 2⁻¹⁴ in 16 bits (`I2F14`).
    Component, ComponentWord, I2F30, I2F14, (), "", number, "{}"
}
quantity! {
    /// Ohms: a resistance, a reactance, or the size of an impedance. In fixed point ±524 kΩ in steps of 0.24 mΩ
    /// (`I20F12`); its largest value stands for an open.
    Ohms, OhmsWord, I20F12, I20F12, (i16), " Ω", open, "{} ohm"
}
quantity! {
    /// Siemens: a conductance or a susceptance. In fixed point ±128 S in steps of 6e-8 S (`I8F24`); its
    /// largest value stands for a short.
    Siemens, SiemensWord, I8F24, I8F24, (i8), " S", in_range, "{} S"
}
quantity! {
    /// Volts. In fixed point ±524 kV in steps of 0.24 mV (`I20F12`).
    Volts, VoltsWord, I20F12, I20F12, (i16), " V", in_range, "{} V"
}
quantity! {
    /// Amperes. In fixed point ±32 768 A in steps of 15 µA (`I16F16`).
    Amperes, AmperesWord, I16F16, I16F16, (i16), " A", in_range, "{} A"
}
quantity! {
    /// Watts. In fixed point ±524 kW in steps of 0.24 mW (`I20F12`).
    Watts, WattsWord, I20F12, I20F12, (i16), " W", in_range, "{} W"
}
quantity! {
    /// Metres, never negative. In fixed point to 65 536 m in steps of 15 µm (`U16F16`).
    Metres, MetresWord, U16F16, U16F16, (u16), " m", in_range, "{} m"
}
quantity! {
    /// Decibels: in fixed point ±32 768 in steps of 1.5e-5 (`I16F16`); the largest value stands for an infinite loss.
    Decibels, DecibelsWord, I16F16, I16F16, (i16), " dB", in_range, "{} dB"
}
quantity! {
    /// Degrees. In fixed point in steps of 1.5e-5° (`I16F16`).
    Degrees, DegreesWord, I16F16, I16F16, (i16), "°", number, "{} deg"
}
quantity! {
    /// A standing wave ratio: 1 at the match, the largest value (floating: +∞) at total reflection. Fixed point:
    /// to 65 536 in steps of 1.5e-5 (`U16F16`).
    Swr, RatioWord, U16F16, U16F16, (u16), "", in_range, "{}"
}
quantity! {
    /// A quality factor: |X|/R of a load or of a part; the largest value (floating: +∞) where there is no loss. In
    /// fixed point to 65 536 in steps of 1.5e-5 (`U16F16`).
    QFactor, RatioWord, U16F16, U16F16, (u16), "", in_range, "{}"
}
quantity! {
    /// Wave velocity over that of light in vacuum: above 0, at most 1. Fixed point: in steps of 1.5e-5 (`U16F16`).
    VelocityFactor, RatioWord, U16F16, U16F16, (u16), "", number, "{}"
}
quantity! {
    /// One impedance over another; a squared turns ratio. In fixed point to 65 536 in steps of 1.5e-5 (`U16F16`).
    ImpedanceRatio, RatioWord, U16F16, U16F16, (u16), "", in_range, "{}"
}
quantity! {
    /// Any other number without a unit that is never negative: a factor, a fraction, a tolerance, a number of
    /// wavelengths. In fixed point to 65 536 in steps of 1.5e-5 (`U16F16`).
    Ratio, RatioWord, U16F16, U16F16, (u16), "", in_range, "{}"
}

impl<A: Arithmetic> Component<A> {
    /// The size, without the sign.
    #[must_use]
    pub fn abs(self) -> Self {
        if self < Self::ZERO { -self } else { self }
    }
}
impl<A: Arithmetic> Neg for Component<A> {
    type Output = Self;
    #[inline]
    fn neg(self) -> Self {
        <Self as Quantity>::from_working(-self.to_working())
    }
}

signed!(Ohms, Siemens, Volts, Amperes, Watts, Metres, Decibels, Degrees);
dimensionless!(Component, Swr, QFactor, VelocityFactor, ImpedanceRatio, Ratio);

/// Ohm's law and the power law P = U·I, saturating.
macro_rules! law {
    ($left:ident $trait:ident $method:ident $operator:tt $right:ident = $result:ident) => {
        impl<A: Arithmetic> $trait<$right<A>> for $left<A> {
            type Output = $result<A>;
            #[inline]
            fn $method(self, other: $right<A>) -> $result<A> {
                Quantity::from_working(self.to_working() $operator other.to_working())
            }
        }
    };
}

law!(Amperes Mul mul * Ohms = Volts);
law!(Volts Mul mul * Amperes = Watts);

/// A number in the log of a device, without a unit; in the fixed families by integers alone.
#[cfg(feature = "defmt")]
pub(crate) struct Number<Q>(pub Q);

#[cfg(feature = "defmt")]
impl<Q: Quantity> defmt::Format for Number<Q> {
    fn format(&self, f: defmt::Formatter<'_>) {
        self.0.log(f);
    }
}

/// A double; in a text, which may have no word for infinity (JSON has none), that is `"inf"` or `"-inf"`.
#[cfg(feature = "serde")]
pub(crate) fn write_number<S: serde::Serializer>(value: f64, serializer: S) -> Result<S::Ok, S::Error> {
    if serializer.is_human_readable() && value == f64::INFINITY {
        serializer.serialize_str("inf")
    } else if serializer.is_human_readable() && value == f64::NEG_INFINITY {
        serializer.serialize_str("-inf")
    } else {
        serializer.serialize_f64(value)
    }
}

/// The nearest word to what [`write_number`] wrote, in any family. Infinity is an end of the word, where that stands for
/// anything beyond it.
#[cfg(feature = "serde")]
pub(crate) fn read_number<'de, Q, D>(deserializer: D, has_ends: bool) -> Result<Q, D::Error>
where
    Q: Quantity,
    D: serde::Deserializer<'de>,
{
    struct Double;
    impl serde::de::Visitor<'_> for Double {
        type Value = f64;
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a number, \"inf\" or \"-inf\"")
        }
        fn visit_f64<E>(self, value: f64) -> Result<f64, E> {
            Ok(value)
        }
        fn visit_i64<E>(self, value: i64) -> Result<f64, E> {
            Ok(value as f64)
        }
        fn visit_u64<E>(self, value: u64) -> Result<f64, E> {
            Ok(value as f64)
        }
        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<f64, E> {
            match text {
                "inf" => Ok(f64::INFINITY),
                "-inf" => Ok(f64::NEG_INFINITY),
                _ => Err(E::invalid_value(serde::de::Unexpected::Str(text), &self)),
            }
        }
    }
    let value = if deserializer.is_human_readable() {
        deserializer.deserialize_any(Double)?
    } else {
        deserializer.deserialize_f64(Double)?
    };
    let stands_for_it = |end: Q| has_ends && end != Q::ZERO || !end.is_finite();
    if value == f64::INFINITY && stands_for_it(Q::MAX) {
        Ok(Q::MAX)
    } else if value == f64::NEG_INFINITY && stands_for_it(Q::MIN) {
        Ok(Q::MIN)
    } else {
        Q::try_from_f64(value).map_err(serde::de::Error::custom)
    }
}
