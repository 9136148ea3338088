//! Fixed point for beginners.
//!
//! A small core has no hardware for floating point; every `f32` operation is a routine of about a hundred instructions.
//! Integers are fast. Fixed point is integers with an agreed unit: not "3.3 volts" but "3300, in millivolts". Here the
//! units are powers of two, because scaling by those is a shift.
//!
//! # A word and its unit
//!
//! A *word* is the type that stores a quantity. `I2F30` of the crate [`fixed`] is an `i32` in units of 2⁻³⁰: two bits
//! before the point (one is the sign), thirty after it.
//!
//! ```
//! use ohmwright::fixed::types::I2F30;
//!
//! // A constant, so that the compiler reads the text. In a `let` the program may read it when it runs: that links a
//! // parser, and a panic for a text that is no number.
//! const FIFTH: I2F30 = I2F30::lit("0.2");
//! assert_eq!(FIFTH.to_bits(), 214_748_365); // 0.2 · 2³⁰, to the nearest whole number
//! assert_eq!(I2F30::from_bits(1 << 29).to_string(), "0.5");
//!
//! // Its values are equally spaced; the largest is just under 2.
//! assert_eq!(I2F30::DELTA.to_bits(), 1);
//! assert!(I2F30::MAX < 2 && I2F30::MIN == -2);
//! ```
//!
//! A word for a quantity needs three decisions: the largest value, the smallest step, and what happens beyond the
//! range. This crate has made them for you:
//!
#![doc = include_str!("../arithmetic/words.md")]
//!
//! ```
//! use ohmwright::fixed::types::{I16F16, I20F12, I2F14, I2F30, I8F24, U16F16};
//!
//! // Check of the table above: bits after the point, and the first number that is too large.
//! let words = [
//!     (I2F30::FRAC_NBITS, I2F30::MAX.to_num::<f64>(), 2.0),
//!     (I2F14::FRAC_NBITS, I2F14::MAX.to_num::<f64>(), 2.0),
//!     (I20F12::FRAC_NBITS, I20F12::MAX.to_num::<f64>(), 524_288.0),
//!     (I8F24::FRAC_NBITS, I8F24::MAX.to_num::<f64>(), 128.0),
//!     (U16F16::FRAC_NBITS, U16F16::MAX.to_num::<f64>(), 65_536.0),
//!     (I16F16::FRAC_NBITS, I16F16::MAX.to_num::<f64>(), 32_768.0),
//! ];
//! for (bits, largest, end) in words {
//!     assert_eq!(largest + 0.5f64.powi(bits as i32), end);
//! }
//! ```
//!
//! # In, and out
//!
//! A converter gives integers, so no conversion is needed: shift them to the unit of the word.
//!
//! ```
//! use ohmwright::fixed_point::{Ohms, Reference, Reflection, Swr};
//!
//! // A filter that gives Γ as signed 16-bit numbers in units of 2⁻¹⁵: shift by 15 bits to reach 2⁻³⁰.
//! let (real, imaginary) = (6_554i16, 0i16); // 0.2
//! let gamma = Reflection::from_bits(i32::from(real) << 15, i32::from(imaginary) << 15);
//!
//! // Out: compare a quantity with its like or with a whole number, or take its word and that word's bits.
//! assert!(gamma.swr() < Swr::thousandths::<1_510>());
//! let load = gamma.impedance(Reference::fifty());
//! assert_eq!(load.resistance().get().round().to_num::<i32>(), 75);
//! assert_eq!(gamma.swr().get().to_bits() * 100 >> 16, 150); // hundredths of SWR, for a numeric display
//!
//! // Your own constant, computed and checked by the compiler.
//! const LIMIT: Ohms = Ohms::thousandths::<62_500>();
//! assert!(load.resistance() > LIMIT);
//! ```
//!
//! For text, [`show::text`](crate::show::text) prints any readout without floating point. `to_num::<f64>()` and
//! `try_from_f64` are for programs on a PC, tests and constants: on a device they link floating-point routines.
//!
//! # What is different from `f32`
//!
//! **Words of different units cannot be added.** Convert one to the unit of the other, and choose the overflow
//! behaviour:
//!
//! ```
//! use ohmwright::fixed::types::{I20F12, U16F16};
//!
//! const FIFTY: I20F12 = I20F12::lit("50");
//! let swr = U16F16::from_bits(3 << 15); // 1.5
//! let resistance = FIFTY * I20F12::from_num(swr); // 16 bits before the point fit in 20
//! assert_eq!(resistance, 75);
//! assert_eq!(I20F12::saturating_from_num(1_000_000), I20F12::MAX);
//! assert_eq!(I20F12::checked_from_num(1_000_000), None);
//! ```
//!
//! **The range is limited.** An `f32` goes on to infinity; a word has a largest value. On overflow the plain operators
//! of `fixed` behave like those of integers (a panic where overflow is checked, a wrapped number elsewhere), so use
//! `saturating_` and `checked_` in your own sums. This crate's readouts *saturate*: an SWR of 70,000 reads as the
//! largest SWR there is. Each documents its limit, and a method beside it distinguishes the limit from a value.
//!
//! ```
//! use ohmwright::fixed_point::{Reference, Reflection, Swr};
//!
//! assert_eq!(Reflection::OPEN.swr(), Swr::MAX);
//! assert!(Reflection::OPEN.is_total());
//! assert!(Reflection::OPEN.impedance(Reference::fifty()).is_open());
//! ```
//!
//! **There is no NaN**, no infinity and no negative zero. A fixed-point readout is always a number.
//!
//! **The error is absolute.** An `f32` has seven correct digits at any size; a word has a fixed error, whatever the
//! value. In steps of 2⁻¹² 300 Ω has more than six correct digits, 0.01 Ω one and a half. That suits Γ, which never
//! gets large, and is why this crate starts from Γ. Near total reflection fixed point is even better: 1 − |Γ|² is
//! formed without any rounding before the difference is taken.
//!
//! ```
//! use ohmwright::fixed_point::Reflection;
//!
//! // |Γ| = 1 − 2⁻³⁰: an SWR of 2³¹ is beyond the range, but the load is not a total reflector.
//! let nearly = Reflection::from_bits((1 << 30) - 1, 0);
//! assert!(nearly.swr().is_at_end() && !nearly.is_total());
//! # use ohmwright::arithmetic::Quantity;
//! // An f32 cannot hold that Γ at all: the nearest one is 1.
//! assert_eq!((1.0f32 - 0.5f32.powi(30)), 1.0);
//! ```
//!
//! **The same bits everywhere.** Integers have no fused multiplication and no rounding mode. The test on the PC and the
//! device compute the same result to the last bit.
//!
//! # And inside?
//!
//! No single unit fits a sum of products of very different sizes (an impedance through three sections of line). There
//! the fixed families compute with a *working number*: a mantissa and an exponent, both integers, rounded to the word
//! at the end. So a designed network is correct to one unit of the word although its parts span six decades.
//!
//! # Which one
//!
//! Use `Fixed32` unless you have a reason not to. `Fixed16` is for converters of 10 to 14 bits: it has the range of
//! `Fixed32` with a step of 6.1e-5. A filter that gives units of 2⁻¹⁵ has them halved for it. Costs:
//! [`families`](super::families).
