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
    pub(crate) fn shifted(self, places: i32) -> Self {
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

/// Splits `value`, cutting off what stands below the 31st significant bit (relative error below 2⁻³⁰, never upwards).
#[inline(always)]
pub(crate) fn normalise(value: u64) -> Normal {
    let high = (value >> 32) as u32;
    if cfg!(ohmwright_no_long_multiply) && high >> 24 != 0 {
        // The usual case in few instructions: a square that is no smaller than 1/16.
        return aligned(high, value as u32, ZEROS[(high >> 24) as usize] as u32 & 7);
    }
    normalise_any(value)
}

/// [`normalise`] for every value.
#[cfg_attr(ohmwright_no_long_multiply, inline(never))]
#[cfg_attr(not(ohmwright_no_long_multiply), inline(always))]
fn normalise_any(value: u64) -> Normal {
    match NonZeroU32::new((value >> 32) as u32) {
        None => normalise_short(value as u32),
        Some(high) => aligned(high.get(), value as u32, leading_zeros(high)),
    }
}

/// The 31 uppermost digits of two words, given the leading zeros of the upper one.
#[inline(always)]
fn aligned(high: u32, low: u32, lead: u32) -> Normal {
    // In two shifts, since one of 32 places is none.
    let low = (low >> 1) >> (31 - lead);
    Normal {
        mantissa: ((high << lead) | low) >> 1,
        exponent: 33 - lead as i32,
    }
}

/// The same for a 32-bit value: exact below 2³¹.
#[cfg_attr(ohmwright_no_long_multiply, inline(never))]
#[cfg_attr(not(ohmwright_no_long_multiply), inline(always))]
pub(crate) fn normalise_short(value: u32) -> Normal {
    let Some(value) = NonZeroU32::new(value) else {
        return Normal {
            mantissa: 0,
            exponent: 0,
        };
    };
    let lead = leading_zeros(value);
    Normal {
        mantissa: (value.get() << lead) >> 1,
        exponent: 1 - lead as i32,
    }
}

/// The zeros above the highest set bit.
#[inline(always)]
fn leading_zeros(value: NonZeroU32) -> u32 {
    if cfg!(ohmwright_no_long_multiply) {
        leading_zeros_by_table(value.get()) & 31
    } else {
        value.leading_zeros()
    }
}

#[inline(always)]
fn leading_zeros_by_table(mut value: u32) -> u32 {
    let mut zeros = 0;
    if value < 1 << 16 {
        value <<= 16;
        zeros = 16;
    }
    if value < 1 << 24 {
        value <<= 8;
        zeros |= 8;
    }
    zeros + ZEROS.get((value >> 24) as usize).copied().unwrap_or(0) as u32
}

/// The leading zeros of each byte; 0 for 0, which is shifted to 0 all the same.
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
#[inline(always)]
pub(crate) fn rounded(value: u32, exponent: i32) -> u32 {
    // One digit more than wanted: the last is the half.
    let down = !exponent as u32;
    if down < 32 {
        let twice = value >> down;
        (twice >> 1).wrapping_add(twice & 1)
    } else {
        rounded_at_the_ends(value, exponent)
    }
}

/// The same where nothing is cut off, or everything.
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

/// `value · 2^shift` as the nearest integer (halves upwards), saturating at `u64::MAX`.
pub(crate) fn shift_rounded(value: u64, shift: i32) -> u64 {
    if value == 0 {
        return 0;
    }
    if shift >= 0 {
        if shift as u32 > value.leading_zeros() {
            u64::MAX
        } else {
            value << shift
        }
    } else {
        let down = shift.unsigned_abs();
        if down > 64 {
            0
        } else {
            // Half of the last place kept is the bit just below it.
            let half = (value >> (down - 1)) & 1;
            let kept = if down == 64 { 0 } else { value >> down };
            kept + half
        }
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
    fn the_table_counts_as_the_instruction_does() {
        for bit in 0..32 {
            for value in [1u32 << bit, (1u32 << bit) | 1, u32::MAX >> (31 - bit)] {
                assert_eq!(leading_zeros_by_table(value), value.leading_zeros());
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

    #[test]
    fn shifting_rounds_to_nearest_and_saturates() {
        assert_eq!(shift_rounded(5, -1), 3);
        assert_eq!(shift_rounded(4, -3), 1);
        assert_eq!(shift_rounded(3, -3), 0);
        assert_eq!(shift_rounded(1 << 63, -64), 1);
        assert_eq!(shift_rounded(u64::MAX, -64), 1);
        assert_eq!(shift_rounded(u64::MAX, -65), 0);
        assert_eq!(shift_rounded(u64::MAX, -1), 1 << 63);
        assert_eq!(shift_rounded(1, 63), 1 << 63);
        assert_eq!(shift_rounded(2, 63), u64::MAX);
        assert_eq!(shift_rounded(0, 200), 0);
        assert_eq!(shift_rounded(7, i32::MIN), 0);
    }
}
