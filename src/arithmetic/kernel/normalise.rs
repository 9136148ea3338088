//! A positive integer as a 31-bit mantissa with its top bit set, and a binary exponent.

use core::num::NonZeroU32;

use super::multiply::product;
use super::reciprocal::reciprocal;

/// `mantissa · 2^exponent`, with `mantissa` in `[2³⁰, 2³¹)`; zero is a mantissa of 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Normal {
    pub(crate) mantissa: u32,
    pub(crate) exponent: i32,
}

impl Normal {
    /// `1/self`, as a mantissa of 31 bits with the exponent `−61 − self.exponent`. Not for zero.
    #[inline(always)]
    pub(crate) fn inverse(self) -> u32 {
        reciprocal(self.mantissa)
    }

    /// `self · 2^places`.
    #[inline(always)]
    pub(crate) const fn shifted(self, places: i32) -> Self {
        Self {
            mantissa: self.mantissa,
            exponent: self.exponent.wrapping_add(places),
        }
    }

    /// `self/below`, given the mantissa of the inverse of `below`: 30 to 32 digits, and the exponent.
    #[inline(always)]
    pub(crate) fn over(self, inverse: u32, below: Normal) -> (u32, i32) {
        (
            product(self.mantissa, inverse),
            self.exponent.wrapping_sub(below.exponent).wrapping_sub(31),
        )
    }
}

/// Splits `value`, cutting off all digits below the 31st (relative error below 2⁻³⁰, never upwards).
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn normalise(value: u64) -> Normal {
    match usual(value) {
        Some(normal) => normal,
        None => normalise_any(value),
    }
}

/// The same for the exact squares of a Γ. Few of them are small; for those this saves stack instead of time.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn normalise_square(value: u64) -> Normal {
    if cfg!(ohmwright_no_long_multiply) {
        match usual(value) {
            Some(normal) => normal,
            None => normalise_by_bytes(value),
        }
    } else {
        normalise_any(value)
    }
}

/// The usual case in few instructions: a square of at least 1/16, its leading zeros from a table.
#[inline(always)]
fn usual(value: u64) -> Option<Normal> {
    let high = (value >> 32) as u32;
    if cfg!(ohmwright_no_long_multiply) && high >> 24 != 0 {
        return Some(aligned(high, value as u32, zeros_of_top_byte(high)));
    }
    None
}

/// [`normalise`] for every value.
#[cfg_attr(ohmwright_no_long_multiply, inline(never))]
#[cfg_attr(not(ohmwright_no_long_multiply), inline(always))]
fn normalise_any(value: u64) -> Normal {
    let (high, low) = ((value >> 32) as u32, value as u32);
    match NonZeroU32::new(high) {
        None => match NonZeroU32::new(low) {
            None => NOTHING,
            Some(low) => aligned(low.get(), 0, leading_zeros(low)).shifted(-32),
        },
        Some(high) => aligned(high.get(), low, leading_zeros(high)),
    }
}

/// The same byte by byte, in so few registers that it needs almost no stack.
#[inline(never)]
fn normalise_by_bytes(value: u64) -> Normal {
    let (mut high, mut low, mut places) = ((value >> 32) as u32, value as u32, 0i32);
    if high == 0 {
        (high, low, places) = (low, 0, -32);
    }
    if high == 0 {
        return NOTHING;
    }
    while high >> 24 == 0 {
        high = (high << 8) | (low >> 24);
        low <<= 8;
        places = places.wrapping_sub(8);
    }
    aligned(high, low, zeros_of_top_byte(high)).shifted(places)
}

/// The 31 uppermost digits of two words, given the leading zeros of the upper one.
#[inline(always)]
const fn aligned(high: u32, low: u32, lead: u32) -> Normal {
    // In two shifts, since one of 32 places is none.
    let low = (low >> 1) >> (31 - lead);
    Normal {
        mantissa: ((high << lead) | low) >> 1,
        exponent: 33 - lead as i32,
    }
}

const NOTHING: Normal = Normal {
    mantissa: 0,
    exponent: 0,
};

/// The same for a 32-bit value: exact below 2³¹.
#[cfg_attr(ohmwright_no_long_multiply, inline(never))]
#[cfg_attr(not(ohmwright_no_long_multiply), inline(always))]
pub(crate) const fn normalise_short(value: u32) -> Normal {
    if cfg!(ohmwright_no_long_multiply) {
        return normalise_short_by_bytes(value);
    }
    match NonZeroU32::new(value) {
        None => NOTHING,
        Some(value) => aligned(value.get(), 0, value.leading_zeros()).shifted(-32),
    }
}

/// In few registers, as above.
#[inline(always)]
const fn normalise_short_by_bytes(mut value: u32) -> Normal {
    if value == 0 {
        return NOTHING;
    }
    let mut places = -32i32;
    while value >> 24 == 0 {
        value <<= 8;
        places = places.wrapping_sub(8);
    }
    aligned(value, 0, zeros_of_top_byte(value)).shifted(places)
}

/// The zeros above the highest set bit.
#[inline(always)]
pub(crate) const fn leading_zeros(value: NonZeroU32) -> u32 {
    if cfg!(ohmwright_no_long_multiply) {
        leading_zeros_by_table(value.get()) & 31
    } else {
        value.leading_zeros()
    }
}

#[inline(always)]
const fn leading_zeros_by_table(mut value: u32) -> u32 {
    let mut zeros = 0;
    if value < 1 << 16 {
        value <<= 16;
        zeros = 16;
    }
    if value < 1 << 24 {
        value <<= 8;
        zeros |= 8;
    }
    zeros + zeros_of_top_byte(value)
}

/// The zeros above the highest set bit, where that is one of the upper eight; at most 7.
#[inline(always)]
const fn zeros_of_top_byte(value: u32) -> u32 {
    ZEROS[(value >> 24) as usize] as u32 & 7
}

/// The leading zeros of each byte; 0 for 0, which stays 0 whatever the shift.
static ZEROS: [u8; 256] = {
    let mut table = [0u8; 256];
    let mut i = 1;
    while i < 256 {
        table[i] = (i as u8).leading_zeros() as u8;
        i += 1;
    }
    table
};

/// `value · 2^exponent` as the nearest integer (halves upwards), saturating.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn rounded(value: u32, exponent: i32) -> u32 {
    // One digit more than needed; the last one is the half.
    let down = !exponent as u32;
    if down < 32 {
        let twice = value >> down;
        (twice >> 1).wrapping_add(twice & 1)
    } else {
        rounded_at_the_ends(value, exponent)
    }
}

/// The same where nothing or everything is cut off.
#[cold]
#[inline(never)]
fn rounded_at_the_ends(value: u32, exponent: i32) -> u32 {
    if exponent < 0 || value == 0 {
        0
    } else if exponent < 32 && (exponent == 0 || value >> ((32 - exponent) & 31) == 0) {
        value << (exponent & 31)
    } else {
        u32::MAX
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_top_bit_is_set_and_the_value_is_kept() {
        assert_eq!(normalise(0).mantissa, 0);
        assert_eq!(normalise_short(0).mantissa, 0);
        for value in (0..64)
            .map(|bit| 1u64 << bit)
            .chain((1..64).map(|bit| (1u64 << bit) - 1))
            .chain([3, 5, u64::MAX, 0x1234_5678_9abc_def0, 0xffff_ffff])
        {
            let n = normalise(value);
            assert!((1 << 30..1u32 << 31).contains(&n.mantissa));
            let back = n.mantissa as f64 * 2f64.powi(n.exponent);
            assert!(back <= value as f64 && back > value as f64 * (1.0 - 2f64.powi(-30)));
            if value < 1 << 32 {
                assert_eq!(normalise_short(value as u32), n);
            }
        }
    }

    #[test]
    fn the_table_and_the_bytes_give_the_same_bits() {
        assert_eq!(normalise_by_bytes(0), normalise(0));
        assert_eq!(normalise_short_by_bytes(0), normalise_short(0));
        for bit in 0..64 {
            for value in [
                1u64 << bit,
                (1u64 << bit) | 1,
                u64::MAX >> (63 - bit),
                0x9e37_79b9_7f4a_7c15 >> (63 - bit),
            ] {
                let (high, low) = ((value >> 32) as u32, value as u32);
                assert_eq!(normalise_by_bytes(value), normalise(value));
                for word in [high, low] {
                    assert_eq!(normalise_short_by_bytes(word), normalise_short(word));
                    assert!(word == 0 || leading_zeros_by_table(word) == word.leading_zeros());
                }
            }
        }
    }

    #[test]
    fn rounding_to_a_word() {
        assert_eq!(rounded(0x8000_0000, -31), 1);
        assert_eq!(rounded(0x4000_0000, -31), 1);
        assert_eq!(rounded(0x4000_0000, -32), 0);
        assert_eq!(rounded(0xffff_ffff, -32), 1);
        assert_eq!(rounded(0xffff_ffff, -33), 0);
        assert_eq!(rounded(0xffff_ffff, -1), 0x8000_0000);
        assert_eq!(rounded(0xffff_ffff, i32::MIN), 0);
        assert_eq!(rounded(0x7fff_ffff, 1), 0xffff_fffe);
        assert_eq!(rounded(0x8000_0000, 1), u32::MAX);
        assert_eq!(rounded(0x4000_0000, 2), u32::MAX);
        assert_eq!(rounded(0, 5), 0);
    }
}
