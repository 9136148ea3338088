//! Fixed point, for those who have never used it.
//!
//! A small core has no circuit for floating point; every `f32` operation is then a routine of a hundred instructions.
//! What it has is integers. Fixed point is nothing but integers with an agreement about the unit: not "3.3 volts" but
//! "3300, in millivolts". Here the units are powers of two, because moving by those is a shift.
//!
//! # A word and its unit
//!
//! The type `I2F30` of the crate [`fixed`] is an `i32` that counts in units of 2⁻³⁰: two bits before the
//! point (the sign among them), thirty behind it.
//!
//! ```
//! use ohmwright::fixed::types::I2F30;
//!
//! let fifth = I2F30::lit("0.2"); // worked out by the compiler
//! assert_eq!(fifth.to_bits(), 214_748_365); // 0.2 · 2³⁰, to the nearest whole number
//! assert_eq!(I2F30::from_bits(1 << 29).to_string(), "0.5");
//!
//! // All its values are equally far apart, and it ends just under ±2.
//! assert_eq!(I2F30::DELTA.to_bits(), 1);
//! assert!(I2F30::MAX < 2 && I2F30::MIN == -2);
//! ```
//!
//! So three things must be known of a quantity before there is a word for it: how large it can get, how fine it must be,
//! and what happens beyond. This crate has settled them for you:
//!
#![doc = include_str!("../arithmetic/words.md")]
//!
//! ```
//! use ohmwright::fixed::types::{I16F16, I1F15, I20F12, I2F30, I8F24, U16F16};
//!
//! // The table above, checked: bits behind the point, and the first number that is too large.
//! let words = [
//!     (I2F30::FRAC_NBITS, I2F30::MAX.to_num::<f64>(), 2.0),
//!     (I1F15::FRAC_NBITS, I1F15::MAX.to_num::<f64>(), 1.0),
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
//! A converter gives integers, so nothing has to be converted: shift them to the unit of the word.
//!
//! ```
//! use ohmwright::fixed::types::{I20F12, U16F16};
//! use ohmwright::fixed_point::{Reference, Reflection};
//!
//! // A filter that gives Γ in 16 bits with a sign, so in units of 2⁻¹⁵: 15 more bits to 2⁻³⁰.
//! let (real, imaginary) = (6_554i16, 0i16); // 0.2
//! let gamma = Reflection::from_bits(i32::from(real) << 15, i32::from(imaginary) << 15);
//!
//! // Out: compare words with words, take whole numbers, or the bits.
//! assert!(gamma.swr() < U16F16::lit("1.51"));
//! let load = gamma.impedance(Reference::fifty());
//! assert_eq!(load.resistance().round().to_num::<i32>(), 75);
//! assert_eq!(gamma.swr().to_bits() * 100 >> 16, 150); // hundredths of SWR, for a display of digits
//!
//! // A constant of your own, worked out by the compiler and checked there.
//! const LIMIT: I20F12 = I20F12::lit("62.5");
//! assert!(load.resistance() > LIMIT);
//! ```
//!
//! For text there is [`show::text`](crate::show::text), which prints any readout without floating point. `to_num::<f64>()`
//! and `try_from_f64` are for hosts, tests and constants: one call on a device brings in the routines that you wanted to
//! be rid of.
//!
//! # What is different from `f32`
//!
//! **Words of different units do not add up.** The compiler refuses it, as it should. Bring one into the other's unit,
//! and say what is to happen if it does not fit:
//!
//! ```
//! use ohmwright::fixed::types::{I20F12, U16F16};
//!
//! let swr = U16F16::lit("1.5");
//! let resistance = I20F12::lit("50") * I20F12::from_num(swr); // 16 bits before the point fit in 20
//! assert_eq!(resistance, 75);
//! assert_eq!(I20F12::saturating_from_num(1_000_000), I20F12::MAX);
//! assert_eq!(I20F12::checked_from_num(1_000_000), None);
//! ```
//!
//! **There is an end.** An `f32` runs on to infinity; a word stops. The plain operators of `fixed` do on overflow what
//! those of integers do (a panic where overflow is checked, a wrapped number elsewhere), so use `saturating_` and
//! `checked_` in your own sums. This crate's readouts *saturate*: an SWR of 70,000 reads as the largest SWR there is. Each
//! says so in its documentation, and a question stands beside it that tells the end from a value.
//!
//! ```
//! use ohmwright::fixed::types::U16F16;
//! use ohmwright::fixed_point::{Reference, Reflection};
//!
//! assert_eq!(Reflection::OPEN.swr(), U16F16::MAX);
//! assert!(Reflection::OPEN.is_total());
//! assert!(Reflection::OPEN.impedance(Reference::fifty()).is_open());
//! ```
//!
//! **There is no NaN**, no infinity and no negative zero. Nothing that comes out of a fixed readout has to be asked
//! whether it is a number.
//!
//! **The error is absolute.** An `f32` is right to seven digits of whatever size; a word is right to its unit, whatever the
//! value. 300 Ω in steps of 2⁻¹² is better than six digits, 0.01 Ω is one and a half. That suits Γ, which never gets
//! large, and is why this crate starts from Γ. Near total reflection fixed point even wins: 1 − |Γ|² is formed without
//! any rounding before the difference is taken.
//!
//! ```
//! use ohmwright::fixed_point::Reflection;
//!
//! // |Γ| = 1 − 2⁻³⁰: an SWR of 2³¹, and known to be none that can be told from more.
//! let nearly = Reflection::from_bits((1 << 30) - 1, 0);
//! assert!(nearly.swr().is_at_end() && !nearly.is_total());
//! # use ohmwright::arithmetic::Quantity;
//! // An f32 cannot hold that Γ at all: the nearest one is 1.
//! assert_eq!((1.0f32 - 0.5f32.powi(30)), 1.0);
//! ```
//!
//! **The same bits everywhere.** Integers know no fused multiplication and no rounding mode. What the test on the host
//! computes is what the device computes, to the last bit.
//!
//! # And inside?
//!
//! A sum of products of unlike sizes (an impedance through three sections of line) has no unit that fits throughout. There
//! the fixed families compute with a mantissa and an exponent, both integers, and round to the word at the end. You
//! never see that number; it is why a designed network comes out right to a word although its parts span six decades.
//!
//! # Which one
//!
//! `Fixed32` unless you know better. `Fixed16` is for readings that hold no more than 12 or 15 bits anyway; mind that +1
//! does not exist there: an open is the largest component instead. What each costs: [`families`](super::families).
