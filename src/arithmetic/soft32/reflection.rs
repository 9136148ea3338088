//! Γ of an impedance, and of a reading by its correction, in steps.

use super::bits::{SIGN, digits, number, pack_fraction, places, signed};
use crate::arithmetic::kernel::point::{correct_above, reflect};

/// Γ from steps with an error of about four steps. `None` where floating point is better: for |Γ| below 2⁻⁷, where it
/// keeps all digits, and at the ends of the word.
#[inline(always)]
fn gamma((re, im): (i32, i32)) -> Option<(f32, f32)> {
    let size = re.unsigned_abs() | im.unsigned_abs();
    if size < 1 << 23 || size >= i32::MAX as u32 {
        return None;
    }
    Some((number(pack_fraction(re, 30)), number(pack_fraction(im, 30))))
}

/// A component in steps, cut off; `None` from 2 on.
#[inline(always)]
fn cut(component: f32) -> Option<i32> {
    let bits = component.to_bits();
    let places = places(bits);
    if places as i32 >= 0 {
        Some(signed(bits, digits(bits) >> places.min(31)))
    } else {
        None
    }
}

/// [`Arithmetic::correct`] in steps, for a denominator of at least 1/8: the error is then below that of `f32`.
#[inline(always)]
pub(super) fn corrected(raw: (f32, f32), terms: &[(f32, f32); 3]) -> Option<(f32, f32)> {
    let pair = |(re, im): (f32, f32)| Some((cut(re)?, cut(im)?));
    let [directivity, source_match, tracking] = *terms;
    let terms = [pair(directivity)?, pair(source_match)?, pair(tracking)?];
    gamma(correct_above(28 - 6, pair(raw)?, terms)?)
}

/// [`Arithmetic::reflect`] with the three in units of 2⁻²⁹ of the power of two below the largest. Not for a negative
/// resistance, where R + Z0 may cancel, and not for infinities and the smallest numbers.
#[inline(always)]
pub(super) fn reflected(resistance: f32, reactance: f32, reference: f32) -> Option<(f32, f32)> {
    let (r, x, z) = (resistance.to_bits(), reactance.to_bits(), reference.to_bits());
    let exponent = |bits: u32| (bits >> 23) & 0xff;
    let top = exponent(r).max(exponent(x)).max(exponent(z));
    if r & SIGN != 0 || !(32..255).contains(&top) {
        return None;
    }
    let part = |bits: u32| signed(bits, digits(bits) >> (top - exponent(bits) + 1).min(31));
    gamma(reflect(part(r), part(x), part(z)))
}
