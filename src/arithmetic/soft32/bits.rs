//! The bits of an `f32`: taken apart, and put together.

use crate::arithmetic::kernel::normalise::normalise_short;
use crate::arithmetic::kernel::point::Size;

pub(super) const SIGN: u32 = 1 << 31;
pub(super) const INFINITE: u32 = f32::INFINITY.to_bits();
/// The exponent field of a number from 1 to 2.
pub(super) const UNIT_EXPONENT: u32 = 127;

/// How many digits a component stands to the right of a number from 1 to 2; wraps for 2 and beyond.
#[inline(always)]
pub(super) const fn places(bits: u32) -> u32 {
    UNIT_EXPONENT.wrapping_sub((bits >> 23) & 0xff)
}

/// The digits of a normal number from 1 to 2, in steps.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(super) const fn digits(bits: u32) -> u32 {
    ((bits << 8) >> 1) | 1 << 30
}

#[inline(always)]
pub(super) fn signed(bits: u32, size: u32) -> i32 {
    let sign = bits as i32 >> 31;
    (size as i32 ^ sign).wrapping_sub(sign)
}

/// `mantissa · 2^exponent` to the nearest `f32`, as bits; for a mantissa of 31 digits and normal results.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
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

/// [`pack`] for any exponent: infinity beyond the range, and fewer digits below the smallest normal number.
pub(super) fn pack_any(mantissa: u32, exponent: i32) -> u32 {
    let field = exponent.saturating_add(30 + UNIT_EXPONENT as i32);
    if mantissa == 0 || field < -23 {
        0
    } else if field >= 255 {
        INFINITE
    } else if field > 0 {
        pack(mantissa, exponent)
    } else {
        let down = 8u32.wrapping_add(field.unsigned_abs()) & 31;
        (mantissa + (1 << (down - 1))) >> down
    }
}

/// The same for `size · 2^beyond`, of 31 or 32 digits.
pub(super) fn pack_size_any(size: Size, beyond: i32) -> u32 {
    let (value, exponent) = size.parts();
    let over = value >> 31;
    pack_any(
        value >> over,
        exponent.wrapping_add(over as i32).wrapping_add(beyond),
    )
}

#[inline(always)]
pub(super) fn number(bits: u32) -> f32 {
    f32::from_bits(bits)
}
