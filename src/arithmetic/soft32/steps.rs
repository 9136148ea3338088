//! Γ as a whole number of steps of 2⁻³⁰, where it is one.

use super::bits::{SIGN, UNIT_EXPONENT, digits, places, signed};
use crate::arithmetic::kernel::multiply::square;
use crate::arithmetic::kernel::normalise::{Normal, normalise_short};
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
    /// `None` where Γ needs steps of its own.
    #[inline(always)]
    pub(super) fn new(re: f32, im: f32) -> Option<Self> {
        let (a, b) = (re.to_bits(), im.to_bits());
        let (a_places, b_places) = (places(a), places(b));
        let (point, up) = if a_places | b_places <= SPARE {
            let (re, im) = (digits(a) >> (a_places & 31), digits(b));
            let up = Normal {
                mantissa: im,
                exponent: (b_places as i32).wrapping_neg(),
            };
            (Point::new(signed(a, re), signed(b, im >> (b_places & 31))), up)
        } else {
            let (re, im, up, square) = rarely(a, b)?;
            (Point::with_square(re, im, square), up)
        };
        Some(Self {
            point,
            up,
            below: b & SIGN,
        })
    }
}

/// A component in steps, with all of its digits; smaller than the smallest normal number, too.
#[inline]
pub(super) fn component(bits: u32) -> Normal {
    let field = (bits >> 23) & 0xff;
    if field == 0 {
        // Units of 2⁻¹⁴⁹.
        let small = normalise_short(bits & !SIGN);
        return if small.mantissa == 0 {
            small
        } else {
            small.shifted(30 - 149)
        };
    }
    Normal {
        mantissa: digits(bits),
        exponent: (field as i32).wrapping_sub(UNIT_EXPONENT as i32),
    }
}

/// The nearest number of steps, of a component below 2.
#[inline]
pub(super) fn nearest(component: Normal) -> u32 {
    let down = component.exponent.unsigned_abs();
    if down == 0 {
        return component.mantissa;
    }
    let twice = component.mantissa.checked_shr(down.wrapping_sub(1)).unwrap_or(0);
    (twice >> 1).wrapping_add(twice & 1)
}

/// The square of a component below 2 in units of 2⁻⁶⁰. What is below the steps counts as well: down to 2⁻¹⁴ all of it,
/// below that within 2⁻⁵².
#[inline]
pub(super) fn square_of(component: Normal) -> u64 {
    let down = component.exponent.unsigned_abs();
    match down.checked_sub(SPARE) {
        None => square(component.mantissa >> (down & 31)),
        Some(down) => square(component.mantissa.checked_shr(down).unwrap_or(0)) >> (2 * SPARE),
    }
}

/// [`Steps::new`] where a component is below 2⁻⁷, or from 2 on.
///
/// Rounding moves a component by up to half a step, 2⁻³¹. Where the other is at least 2⁻⁷, that is at most 2⁻²⁵ of |Γ| and
/// 2⁻²² of |1 − Γ| or |1 + Γ| where those are not too small; |Γ|² has all of the digits.
#[cold]
#[inline(never)]
fn rarely(a: u32, b: u32) -> Option<(i32, i32, Normal, u64)> {
    let (across, up) = (component(a), component(b));
    // From 2⁻⁶⁰, so that X stays a normal number.
    let out = |part: Normal| part.exponent > 0 || part.exponent < -60;
    if out(across) || out(up) {
        return None;
    }
    let (re, im) = (nearest(across), nearest(up));
    let exact = |part: Normal| part.mantissa.trailing_zeros() >= part.exponent.unsigned_abs();
    let (re_exact, im_exact) = (exact(across), exact(up));
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
    let square = square_of(across).wrapping_add(square_of(up));
    Some((signed(a, re), signed(b, im), up, square))
}
