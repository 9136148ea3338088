//! The bits of an `f32`: taken apart, and put together.

use crate::arithmetic::kernel::normalise::normalise_short;
use crate::arithmetic::kernel::point::Size;

pub(super) const SIGN: u32 = 1 << 31;
/// The exponent field of a number from 1 to 2.
pub(super) const UNIT_EXPONENT: u32 = 127;

/// How many digits a component stands to the right of a number from 1 to 2; wraps for 2 and beyond.
#[inline(always)]
pub(super) const fn places(bits: u32) -> u32 {
    UNIT_EXPONENT.wrapping_sub((bits >> 23) & 0xff)
}

/// The digits of a normal number from 1 to 2, in steps.
#[inline(always)]
pub(super) const fn digits(bits: u32) -> u32 {
    ((bits << 8) >> 1) | 1 << 30
}

#[inline(always)]
pub(super) fn signed(bits: u32, size: u32) -> i32 {
    let sign = bits as i32 >> 31;
    (size as i32 ^ sign).wrapping_sub(sign)
}

/// `mantissa · 2^exponent` to the nearest `f32`, as bits; for a mantissa of 31 digits and normal results.
#[inline(always)]
pub(super) fn pack(mantissa: u32, exponent: i32) -> u32 {
    // The top digit of the mantissa adds one to the exponent, and so does a carry.
    let exponent = exponent.wrapping_add(30 + UNIT_EXPONENT as i32 - 1) as u32;
    (exponent << 23).wrapping_add((mantissa + (1 << 6)) >> 7)
}

/// The same for a size of 31 or 32 digits.
#[inline(always)]
pub(super) fn pack_size(size: Size) -> u32 {
    let (value, exponent) = size.parts();
    let over = value >> 31;
    pack(value >> over, exponent.wrapping_add(over as i32))
}

/// `±size · 2^−fraction`, for a size below 2³¹.
#[inline(always)]
pub(super) fn pack_fraction(value: i32, fraction: u32) -> u32 {
    let normal = normalise_short(value.unsigned_abs());
    if normal.mantissa == 0 {
        return 0;
    }
    pack(normal.mantissa, normal.exponent.wrapping_sub(fraction as i32)) | (value as u32 & SIGN)
}

#[inline(always)]
pub(super) fn number(bits: u32) -> f32 {
    f32::from_bits(bits)
}
