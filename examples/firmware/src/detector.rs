//! From the counts of two detector channels to a raw reflection.
//!
//! A plain, checked ratio of integers and no more: the library has no detector module yet. It divides by a 64-bit
//! number, which costs a small core more than all nine readouts.

use crate::family::Reflection;

/// What the converters gave at one frequency: real and imaginary part of the forward and of the reflected wave.
pub struct Counts {
    pub forward: (i16, i16),
    pub reflected: (i16, i16),
}

/// Why there is no reflection.
#[derive(Clone, Copy, defmt::Format)]
pub enum CountsError {
    /// A converter stands at an end of its range.
    Overload,
    /// The forward wave is too weak to divide by.
    NoForward,
    /// More comes back than a word of Γ can hold.
    OutOfRange,
}

/// |forward|² must be above this: an amplitude of 1,000 counts.
const WEAKEST: i64 = 1_000_000;

impl Counts {
    /// Γ = reflected/forward, not yet corrected.
    pub fn reflection(&self) -> Result<Reflection, CountsError> {
        let counts = [self.forward.0, self.forward.1, self.reflected.0, self.reflected.1];
        if counts.iter().any(|&count| count == i16::MIN || count == i16::MAX) {
            return Err(CountsError::Overload);
        }
        let [a, b, c, d] = counts.map(i64::from);
        let power = a * a + b * b;
        if power < WEAKEST {
            return Err(CountsError::NoForward);
        }
        // (c + jd)/(a + jb) = (c + jd)·(a − jb)/power, in units of 2⁻³⁰. Above the line stand 31 bits, and 30 more.
        let part = |above: i64| i32::try_from((above << 30) / power).map_err(|_| CountsError::OutOfRange);
        from_units(part(c * a + d * b)?, part(d * a - c * b)?)
    }
}

/// Γ from units of 2⁻³⁰, in the family of this firmware.
#[cfg(not(feature = "float"))]
pub fn from_units(re: i32, im: i32) -> Result<Reflection, CountsError> {
    Ok(Reflection::from_bits(re, im))
}

#[cfg(feature = "float")]
pub fn from_units(re: i32, im: i32) -> Result<Reflection, CountsError> {
    let unit = 1.0 / (1u32 << 30) as f32;
    Reflection::new(re as f32 * unit, im as f32 * unit).map_err(|_| CountsError::OutOfRange)
}
