//! Γ as a whole number of steps of 2⁻³⁰, where it is one.

use super::bits::{SIGN, digits, places, signed};
use crate::arithmetic::kernel::normalise::Normal;
use crate::arithmetic::kernel::point::Point;

/// A component may stand this many digits to the right without losing a digit below the steps.
const SPARE: u32 = 7;

/// Γ in steps of 2⁻³⁰.
pub(super) struct Steps {
    pub(super) point: Point,
    /// |Im Γ| in steps, with all of its digits.
    pub(super) up: Normal,
    /// The sign bit of Im Γ.
    pub(super) below: u32,
}

impl Steps {
    /// `None` where Γ needs floating point.
    #[inline(always)]
    pub(super) fn new(re: f32, im: f32) -> Option<Self> {
        let (a, b) = (re.to_bits(), im.to_bits());
        let (a_places, b_places) = (places(a), places(b));
        let (re, im, up) = if a_places | b_places <= SPARE {
            let (re, im) = (digits(a) >> (a_places & 31), digits(b));
            let up = Normal {
                mantissa: im,
                exponent: (b_places as i32).wrapping_neg(),
            };
            (signed(a, re), signed(b, im >> (b_places & 31)), up)
        } else {
            rarely(a, b)?
        };
        Some(Self {
            point: Point::new(re, im),
            up,
            below: b & SIGN,
        })
    }
}

/// A component as the nearest number of steps, whether that is exact, and its digits; `None` from 2 on.
fn nearest(bits: u32) -> Option<(u32, bool, Normal)> {
    if bits << 1 == 0 {
        let nothing = Normal {
            mantissa: 0,
            exponent: 0,
        };
        return Some((0, true, nothing));
    }
    let (places, digits) = (places(bits), digits(bits));
    // From 2⁻⁶⁰, so that X stays a normal number.
    if places > 60 {
        return None;
    }
    let normal = Normal {
        mantissa: digits,
        exponent: (places as i32).wrapping_neg(),
    };
    let Some(cut) = places.checked_sub(1) else {
        return Some((digits, true, normal));
    };
    let twice = digits.checked_shr(cut).unwrap_or(0);
    let exact = digits.trailing_zeros() >= places;
    Some(((twice >> 1) + (twice & 1), exact, normal))
}

/// [`Steps::new`] where a component is below 2⁻⁷, or from 2 on.
///
/// Rounding moves a component by up to half a step, 2⁻³¹. Where the other is at least 2⁻⁷, that is at most 2⁻²⁵ of |Γ|,
/// 2⁻³⁷ in 1 − |Γ|², and 2⁻²² of |1 − Γ| or |1 + Γ| where those are not too small.
#[cold]
#[inline(never)]
fn rarely(a: u32, b: u32) -> Option<(i32, i32, Normal)> {
    let ((re, re_exact, _), (im, im_exact, up)) = (nearest(a)?, nearest(b)?);
    if !(re_exact && im_exact) {
        let near_nothing = (re | im) < 1 << 23;
        // Within 2⁻⁹ of the open or the short, either way.
        let near_an_end = !im_exact && (re.abs_diff(1 << 30) | im) < 1 << 21;
        if near_nothing || near_an_end {
            return None;
        }
    }
    let is_open = re == 1 << 30 && im == 0 && a & SIGN == 0;
    if re | im == 0 || is_open {
        return None;
    }
    Some((signed(a, re), signed(b, im), up))
}
