//! Each readout, built as an `f32` from the integers.

use super::bits::{SIGN, number, pack, pack_fraction, pack_size};
use super::steps::Steps;
use crate::arithmetic::kernel::logarithm;
use crate::arithmetic::kernel::normalise::Normal;
use crate::arithmetic::kernel::point::{Point, Size, Unit, mean};

const ONE: u32 = f32::to_bits(1.0);

/// From |Γ|² in units of 2⁻⁶⁰.
#[inline(always)]
pub(super) fn magnitude(root: Normal) -> f32 {
    number(pack(root.mantissa, root.exponent.wrapping_sub(30)))
}

#[inline(always)]
pub(super) fn swr(point: &Point, root: Normal, passive: Normal, inverse: u32) -> f32 {
    if point.is_total() {
        return f32::INFINITY;
    }
    swr_of(root, passive, inverse)
}

/// The same inside of the rim.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(super) fn swr_of(root: Normal, passive: Normal, inverse: u32) -> f32 {
    let (value, exponent) = Point::standing_wave(Point::magnitude(root), passive.exponent, inverse).parts();
    // From 30 to 32 digits.
    let short = (value >> 30 == 0) as u32;
    let value = value << short;
    let over = value >> 31;
    let bits = pack(
        value >> over,
        exponent.wrapping_sub(short as i32).wrapping_add(over as i32),
    );
    number(if bits < ONE { ONE } else { bits })
}

/// From a power in units of 2⁻⁶⁰, above zero.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(super) fn decibels(power: Normal) -> f32 {
    let gain = logarithm::decibels(power.shifted(-60));
    number(pack_fraction(gain.wrapping_neg(), logarithm::FRACTION))
}

#[inline(always)]
pub(super) fn mismatch_loss(point: &Point, passive: Normal) -> f32 {
    if point.is_total() {
        f32::INFINITY
    } else {
        decibels(passive)
    }
}

#[inline(always)]
pub(super) fn phase(point: &Point, root: Normal, inverse: u32) -> f32 {
    // Sixteen digits after the point: an `f32` holds them all.
    number(pack_fraction(point.degrees(root, inverse), 16))
}

#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(super) fn quality(up: Normal, passive: Normal, inverse: u32) -> f32 {
    if up.mantissa == 0 {
        0.0
    } else if passive.mantissa == 0 {
        f32::INFINITY
    } else {
        number(pack_size(Size::quotient(up.shifted(31), passive, inverse)))
    }
}

#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(super) fn resistance(point: &Point, unit: Unit, passive: Normal) -> f32 {
    if passive.mantissa == 0 {
        return 0.0;
    }
    let sign = if point.is_active() { SIGN } else { 0 };
    number(pack_size(unit.times(passive)) | sign)
}

#[inline(always)]
pub(super) fn reactance(steps: &Steps, unit: Unit) -> f32 {
    if steps.up.mantissa == 0 {
        return 0.0;
    }
    number(pack_size(unit.times(steps.up.shifted(31))) | steps.below)
}

#[inline(always)]
pub(super) fn impedance_magnitude(towards: Normal, unit: Unit, away: Normal) -> f32 {
    if towards.mantissa == 0 {
        return 0.0;
    }
    number(pack_size(unit.times(mean(towards, away))))
}
