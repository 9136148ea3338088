//! Values that could be anything, and a place where results are needed.

use core::fmt;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::fixed::types::{I2F14, I2F30, I8F8, I8F24, I16F16, I20F12, U8F8, U16F16};
use ohmwright::quantity::{
    Amperes, Component, Decibels, Degrees, Hertz, ImpedanceRatio, Metres, Ohms, QFactor, Ratio, Siemens, Swr,
    VelocityFactor, Volts, Watts,
};

/// Written by nobody; read as if somebody had.
static mut INPUT: u32 = 0;

fn word() -> u32 {
    // Volatile: each read may give another value.
    unsafe { (&raw const INPUT).read_volatile() }
}

/// A value the optimiser cannot know: every value of the type may come.
pub trait Unknown: Sized {
    fn unknown() -> Self;
}

pub fn any<T: Unknown>() -> T {
    T::unknown()
}

macro_rules! integers {
    ($($integer:ty),*) => {
        $(impl Unknown for $integer {
            fn unknown() -> Self {
                word() as $integer
            }
        })*
    };
}

integers!(u8, u16, u32, usize, i8, i16, i32);

impl Unknown for u64 {
    fn unknown() -> Self {
        (word() as u64) << 32 | word() as u64
    }
}

impl Unknown for i64 {
    fn unknown() -> Self {
        any::<u64>() as i64
    }
}

impl Unknown for bool {
    fn unknown() -> Self {
        word() & 1 == 1
    }
}

impl Unknown for f32 {
    fn unknown() -> Self {
        Self::from_bits(any())
    }
}

impl Unknown for f64 {
    fn unknown() -> Self {
        Self::from_bits(any())
    }
}

impl Unknown for Hertz {
    fn unknown() -> Self {
        Self::new(any())
    }
}

macro_rules! fixed_words {
    ($($word:ty),*) => {
        $(impl Unknown for $word {
            fn unknown() -> Self {
                Self::from_bits(any())
            }
        })*
    };
}

fixed_words!(I2F14, I2F30, I8F8, I8F24, I16F16, I20F12, U8F8, U16F16);

macro_rules! quantities {
    ($($word:ident: $($quantity:ident),+;)*) => {
        $($(impl<A: Arithmetic<$word: Unknown>> Unknown for $quantity<A> {
            fn unknown() -> Self {
                Self::new(any())
            }
        })+)*
    };
}

quantities! {
    ComponentWord: Component;
    OhmsWord: Ohms;
    SiemensWord: Siemens;
    RatioWord: Swr, QFactor, VelocityFactor, ImpedanceRatio, Ratio;
    DecibelsWord: Decibels;
    DegreesWord: Degrees;
    VoltsWord: Volts;
    AmperesWord: Amperes;
    WattsWord: Watts;
    MetresWord: Metres;
}

/// One of some values.
pub fn one_of<T: Copy, const N: usize>(choices: [T; N], otherwise: T) -> T {
    choices.get(any::<usize>()).copied().unwrap_or(otherwise)
}

/// The beginning of a list, of a length nobody knows.
pub fn beginning<T>(list: &[T]) -> &[T] {
    list.get(..any()).unwrap_or(list)
}

/// Text nobody knows. (Nothing here is ever run: the place it points to does not matter.)
pub fn text() -> &'static str {
    unsafe {
        let start = core::ptr::with_exposed_provenance(any());
        core::str::from_utf8_unchecked(core::slice::from_raw_parts(start, any::<usize>() & 0xff))
    }
}

/// Needs a result, whole.
#[inline(never)]
pub fn keep<T>(value: T) {
    core::hint::black_box(&value);
}

struct Sink;

impl fmt::Write for Sink {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        keep(text);
        if any() { Ok(()) } else { Err(fmt::Error) }
    }
}

/// Needs what a value shows.
pub fn show(value: impl fmt::Display) {
    keep(fmt::write(&mut Sink, format_args!("{value}")));
}
