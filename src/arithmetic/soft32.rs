//! `f32` for cores without a floating-point unit: single precision in and out, and nothing but integers between.
//!
//! A component of 2⁻⁷ to 2 is a whole number of steps of 2⁻³⁰, so the exact squares of the fixed-point families serve
//! here too: 1 − |Γ|² has no cancellation, and each readout is put together from mantissa and exponent without being
//! rounded to a word before. No routine for floating-point numbers is called on this path, not even for a comparison.
//!
//! A component below 2⁻⁷ may have digits below the last step. It is rounded to a step where that costs less than the
//! readouts lose anyway ([`rarely`] knows where); X and Q take the imaginary part with all of its digits. The rest goes
//! the floating way: no Γ at all, |Γ| below 2⁻⁷ with digits below the steps, a component of 2 and beyond, next to the
//! open and the short with such digits. A reference below 2⁻⁶⁰ or from 2⁶¹ Ω costs a scaling of R, X and |Z| at the end.
//!
//! Γ of an impedance and the correction of a reading go through the integers of the fixed-point families as well, their
//! parts brought to steps, or to a common exponent: right to 1e-8 where the floating way is right to some 1e-7. What the
//! integers would lose goes that way: a negative resistance, a denominator below 1/8, a result below 2⁻⁷.
//!
//! Largest errors found over 2.6 million points, apart from 2⁻³⁷/|1 − |Γ|²| where a component was rounded: |Γ| 1.2e-7,
//! SWR and Q 6.3e-8, R 2.3e-7·|Z|, X 5.2e-7·|Z|, |Z| 2.9e-7 (all relative); return
//! and mismatch loss 4e-5 dB, the angle 2.5e-4°.

use super::accuracy::Family;
use super::float::Floating32;
use super::kernel::logarithm;
use super::kernel::normalise::{Normal, normalise_short, normalise_square};
use super::kernel::point::{Point, Size, Unit, correct_above, mean, reflect};
use super::kernel::quotient::{Part, quotient};
use super::kernel::root::{root, root_and_inverse};
use super::{Arithmetic, Constant, Fraction, Readouts};

/// `f32` with integers inside, by a name of its own where `f32` itself computes in floating point: for tests.
#[cfg(not(ohmwright_soft_float))]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SoftF32;
#[cfg(not(ohmwright_soft_float))]
impl super::Sealed for SoftF32 {}

/// `f32` with integers inside: what `f32` is on this core.
#[cfg(ohmwright_soft_float)]
pub type SoftF32 = f32;

const SIGN: u32 = 1 << 31;
const ONE: u32 = f32::to_bits(1.0);
/// The exponent field of a number from 1 to 2.
const UNIT_EXPONENT: u32 = 127;
/// So many places to the right a component may stand without losing a digit to the steps.
const SPARE: u32 = 7;

/// A reference resistance, and the same as `normal · 2^beyond`: the power of two is only there where R, X or |Z| might
/// not be normal numbers without it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    ohms: f32,
    normal: Normal,
    beyond: i32,
}

impl Scale {
    /// Of a reference so that no power of two is needed: not for the largest and the smallest.
    pub(crate) const fn usual(ohms: f32) -> Option<Self> {
        let bits = ohms.to_bits();
        let exponent = (places(bits) as i32).wrapping_neg();
        if exponent.unsigned_abs() > 60 {
            return None;
        }
        Some(Self {
            ohms,
            normal: Normal {
                mantissa: digits(bits),
                exponent: exponent - 30,
            },
            beyond: 0,
        })
    }
}

impl<const N: i32, const D: i32> Constant<(f32, Scale)> for Fraction<N, D> {
    const VALUE: (f32, Scale) = {
        assert!(N > 0 && D > 0, "a reference must be above 0");
        let ohms = N as f32 / D as f32;
        // Of any N and D: 2⁻³¹ to 2³¹.
        (ohms, Scale::usual(ohms).expect("a reference of a usual size"))
    };
}

/// R and X that were computed without the power of two; beyond the range an impedance is an open.
#[cold]
#[inline(never)]
fn scaled(resistance: f32, reactance: f32, beyond: i32) -> (f32, f32) {
    let z = (libm::ldexpf(resistance, beyond), libm::ldexpf(reactance, beyond));
    if z.0.is_finite() && z.1.is_finite() {
        z
    } else {
        (f32::INFINITY, 0.0)
    }
}

/// |Z| that was computed without the power of two.
#[cold]
#[inline(never)]
fn scaled_magnitude(magnitude: f32, beyond: i32) -> f32 {
    libm::ldexpf(magnitude, beyond)
}

#[cold]
#[inline(never)]
fn scaled_readouts(all: &mut Readouts<SoftF32>, beyond: i32) {
    let (resistance, reactance) = scaled(all.resistance.get(), all.reactance.get(), beyond);
    (all.resistance, all.reactance) = (resistance.into(), reactance.into());
    all.impedance_magnitude = scaled_magnitude(all.impedance_magnitude.get(), beyond).into();
}

/// How many places a component stands to the right of a number from 1 to 2; wraps for 2 and beyond.
#[inline(always)]
const fn places(bits: u32) -> u32 {
    UNIT_EXPONENT.wrapping_sub((bits >> 23) & 0xff)
}

/// The digits of a normal number from 1 to 2, in steps.
#[inline(always)]
const fn digits(bits: u32) -> u32 {
    ((bits << 8) >> 1) | 1 << 30
}

#[inline(always)]
fn signed(bits: u32, size: u32) -> i32 {
    let sign = bits as i32 >> 31;
    (size as i32 ^ sign).wrapping_sub(sign)
}

/// Γ in steps of 2⁻³⁰.
struct Steps {
    point: Point,
    /// |Im Γ| in steps, with all of its digits.
    up: Normal,
    /// The sign of Im Γ, in its place.
    below: u32,
}

impl Steps {
    /// `None` where Γ has to go the floating way.
    #[inline(always)]
    fn new(re: f32, im: f32) -> Option<Self> {
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

/// A component as the nearest number of steps, whether it is just that, and its digits; `None` from 2 on.
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
/// Rounding moves a component by half a step, 2⁻³¹. Where the other is at least 2⁻⁷, that is at most 2⁻²⁵ of |Γ|, 2⁻³⁷
/// in 1 − |Γ|², and 2⁻²² of |1 − Γ| or |1 + Γ| where those are not too small.
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

/// `mantissa · 2^exponent` to the nearest `f32`, as bits; for a mantissa of 31 digits and normal results.
#[inline(always)]
fn pack(mantissa: u32, exponent: i32) -> u32 {
    // The top digit of the mantissa adds one to the exponent, and so does a carry.
    let exponent = exponent.wrapping_add(30 + UNIT_EXPONENT as i32 - 1) as u32;
    (exponent << 23).wrapping_add((mantissa + (1 << 6)) >> 7)
}

/// The same for a size of 31 or 32 digits.
#[inline(always)]
fn pack_size(size: Size) -> u32 {
    let (value, exponent) = size.parts();
    let over = value >> 31;
    pack(value >> over, exponent.wrapping_add(over as i32))
}

/// `±size · 2^−fraction`, for a size below 2³¹.
#[inline(always)]
fn pack_fraction(value: i32, fraction: u32) -> u32 {
    let normal = normalise_short(value.unsigned_abs());
    if normal.mantissa == 0 {
        return 0;
    }
    pack(normal.mantissa, normal.exponent.wrapping_sub(fraction as i32)) | (value as u32 & SIGN)
}

#[inline(always)]
fn number(bits: u32) -> f32 {
    f32::from_bits(bits)
}

/// From |Γ|² in units of 2⁻⁶⁰.
#[inline(always)]
fn magnitude(root: Normal) -> f32 {
    number(pack(root.mantissa, root.exponent.wrapping_sub(30)))
}

#[inline(always)]
fn swr(point: &Point, root: Normal, passive: Normal, inverse: u32) -> f32 {
    if point.is_total() {
        return f32::INFINITY;
    }
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
#[inline(always)]
fn decibels(power: Normal) -> f32 {
    let gain = logarithm::decibels(power.shifted(-60));
    number(pack_fraction(gain.wrapping_neg(), logarithm::FRACTION))
}

#[inline(always)]
fn mismatch_loss(point: &Point, passive: Normal) -> f32 {
    if point.is_total() {
        f32::INFINITY
    } else {
        decibels(passive)
    }
}

#[inline(always)]
fn phase(point: &Point, root: Normal, inverse: u32) -> f32 {
    // Sixteen digits after the point: an `f32` holds them all.
    number(pack_fraction(point.degrees(root, inverse), 16))
}

#[inline(always)]
fn quality(up: Normal, passive: Normal, inverse: u32) -> f32 {
    if up.mantissa == 0 {
        0.0
    } else if passive.mantissa == 0 {
        f32::INFINITY
    } else {
        number(pack_size(Size::quotient(up.shifted(31), passive, inverse)))
    }
}

#[inline(always)]
fn resistance(point: &Point, unit: Unit, passive: Normal) -> f32 {
    if passive.mantissa == 0 {
        return 0.0;
    }
    let sign = if point.is_active() { SIGN } else { 0 };
    number(pack_size(unit.times(passive)) | sign)
}

#[inline(always)]
fn reactance(steps: &Steps, unit: Unit) -> f32 {
    if steps.up.mantissa == 0 {
        return 0.0;
    }
    number(pack_size(unit.times(steps.up.shifted(31))) | steps.below)
}

#[inline(always)]
fn impedance_magnitude(towards: Normal, unit: Unit, away: Normal) -> f32 {
    if towards.mantissa == 0 {
        return 0.0;
    }
    number(pack_size(unit.times(mean(towards, away))))
}

/// Γ from steps that are right to some four of them. `None` where the floating way is better: for |Γ| below 2⁻⁷, which
/// it gives with all digits, and at the ends of the word.
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

/// [`Arithmetic::correct`] in steps, where the denominator is at least 1/8: the error of some steps is then below what
/// single precision makes of parts of about 1.
#[inline(always)]
fn corrected(raw: (f32, f32), terms: &[(f32, f32); 3]) -> Option<(f32, f32)> {
    let pair = |(re, im): (f32, f32)| Some((cut(re)?, cut(im)?));
    let [directivity, source_match, tracking] = *terms;
    let terms = [pair(directivity)?, pair(source_match)?, pair(tracking)?];
    gamma(correct_above(28 - 6, pair(raw)?, terms)?)
}

/// [`Arithmetic::reflect`] with the three in units of 2⁻²⁹ of the power of two below the largest. Not for a negative
/// resistance, where R + Z0 may cancel, and not for infinities and the smallest numbers.
#[inline(always)]
fn reflected(resistance: f32, reactance: f32, reference: f32) -> Option<(f32, f32)> {
    let (r, x, z) = (resistance.to_bits(), reactance.to_bits(), reference.to_bits());
    let exponent = |bits: u32| (bits >> 23) & 0xff;
    let top = exponent(r).max(exponent(x)).max(exponent(z));
    if r & SIGN != 0 || !(32..255).contains(&top) {
        return None;
    }
    let part = |bits: u32| signed(bits, digits(bits) >> (top - exponent(bits) + 1).min(31));
    gamma(reflect(part(r), part(x), part(z)))
}

/// Keeps the floating way out of the other's code.
#[cold]
#[inline(never)]
fn floating<T>(way: impl FnOnce() -> T) -> T {
    way()
}

impl Arithmetic for SoftF32 {
    const FAMILY: Family = Family::SoftF32;
    type Working = f32;
    type ComponentWord = f32;
    type OhmsWord = f32;
    type SiemensWord = f32;
    type RatioWord = f32;
    type DecibelsWord = f32;
    type DegreesWord = f32;
    type InductanceWord = f32;
    type CapacitanceWord = f32;
    type VoltsWord = f32;
    type AmperesWord = f32;
    type WattsWord = f32;
    type MetresWord = f32;
    const HENRIES_PER_UNIT: f32 = Floating32::HENRIES_PER_UNIT;
    const FARADS_PER_UNIT: f32 = Floating32::FARADS_PER_UNIT;
    const REFLECTION_LIMIT: f32 = Floating32::REFLECTION_LIMIT;

    type Scale = Scale;
    fn prepare(reference: f32) -> Scale {
        let bits = reference.to_bits();
        let exponent = (places(bits) as i32).wrapping_neg();
        let (bits, exponent, beyond) = if exponent.unsigned_abs() <= 60 {
            (bits, exponent, 0)
        } else {
            // The fraction is from ½ to 1.
            let (fraction, beyond) = libm::frexpf(reference);
            (fraction.to_bits(), -1, beyond)
        };
        Scale {
            ohms: reference,
            normal: Normal {
                mantissa: digits(bits),
                exponent: exponent - 30,
            },
            beyond,
        }
    }

    const FIFTY: (f32, Scale) = (
        50.0,
        Scale {
            ohms: 50.0,
            normal: Normal {
                mantissa: 50 << 25,
                exponent: -25,
            },
            beyond: 0,
        },
    );
    type Prepared<const N: i32, const D: i32> = Fraction<N, D>;

    const UNIT: f32 = Floating32::UNIT;
    const MINUS_UNIT: f32 = Floating32::MINUS_UNIT;

    fn from_picohenries(count: u32) -> f32 {
        Floating32::from_picohenries(count)
    }
    fn from_femtofarads(count: u32) -> f32 {
        Floating32::from_femtofarads(count)
    }

    fn power(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(steps) => {
                let square = normalise_square(steps.point.square());
                number(pack(square.mantissa, square.exponent.wrapping_sub(60)))
            }
            None => floating(|| Floating32::power(re, im)),
        }
    }

    fn magnitude(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(steps) => magnitude(root(normalise_square(steps.point.square()))),
            None => floating(|| Floating32::magnitude(re, im)),
        }
    }

    fn is_total(re: f32, im: f32) -> bool {
        match Steps::new(re, im) {
            Some(steps) => steps.point.is_total(),
            None => floating(|| Floating32::is_total(re, im)),
        }
    }

    fn is_active(re: f32, im: f32) -> bool {
        match Steps::new(re, im) {
            Some(steps) => steps.point.is_active(),
            None => floating(|| Floating32::is_active(re, im)),
        }
    }

    fn standing_wave(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, .. }) => {
                let passive = normalise_square(point.passive());
                swr(
                    &point,
                    root(normalise_square(point.square())),
                    passive,
                    passive.inverse(),
                )
            }
            None => floating(|| Floating32::standing_wave(re, im)),
        }
    }

    fn return_loss(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(steps) => decibels(normalise_square(steps.point.square())),
            None => floating(|| Floating32::return_loss(re, im)),
        }
    }

    fn mismatch_loss(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, .. }) => mismatch_loss(&point, normalise_square(point.passive())),
            None => floating(|| Floating32::mismatch_loss(re, im)),
        }
    }

    fn phase(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, .. }) => {
                let (root, inverse) = root_and_inverse(normalise_square(point.square()));
                phase(&point, root, inverse)
            }
            None => floating(|| Floating32::phase(re, im)),
        }
    }

    fn terminate(re: f32, im: f32, reference: Scale) -> (f32, f32) {
        let Some(steps) = Steps::new(re, im) else {
            return floating(|| Floating32::terminate(re, im, reference.ohms));
        };
        let unit = Unit::new(reference.normal, normalise_square(steps.point.away()));
        let passive = normalise_square(steps.point.passive());
        let (resistance, reactance) = (resistance(&steps.point, unit, passive), reactance(&steps, unit));
        if reference.beyond == 0 {
            (resistance, reactance)
        } else {
            scaled(resistance, reactance, reference.beyond)
        }
    }

    fn impedance_magnitude(re: f32, im: f32, reference: Scale) -> f32 {
        let Some(Steps { point, .. }) = Steps::new(re, im) else {
            return floating(|| Floating32::impedance_magnitude(re, im, reference.ohms));
        };
        let (away, towards) = (normalise_square(point.away()), normalise_square(point.towards()));
        let magnitude = impedance_magnitude(towards, Unit::new(reference.normal, away), away);
        if reference.beyond == 0 {
            magnitude
        } else {
            scaled_magnitude(magnitude, reference.beyond)
        }
    }

    fn quality(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, up, .. }) => {
                let passive = normalise_square(point.passive());
                quality(up, passive, passive.inverse())
            }
            None => floating(|| Floating32::quality(re, im)),
        }
    }

    fn readouts(re: f32, im: f32, reference: Scale) -> Readouts<Self> {
        let Some(steps) = Steps::new(re, im) else {
            return floating(|| otherwise(re, im, reference.ohms));
        };
        let point = &steps.point;
        // In an order in which little has to be kept.
        let square = normalise_square(point.square());
        let return_loss = decibels(square);
        let (root, root_inverse) = root_and_inverse(square);
        let phase = phase(point, root, root_inverse);
        let magnitude = magnitude(root);
        let passive = normalise_square(point.passive());
        let mismatch_loss = mismatch_loss(point, passive);
        let passive_inverse = passive.inverse();
        let swr = swr(point, root, passive, passive_inverse);
        let q = quality(steps.up, passive, passive_inverse);
        let away = normalise_square(point.away());
        let unit = Unit::new(reference.normal, away);
        let mut all = Readouts {
            magnitude: magnitude.into(),
            swr: swr.into(),
            return_loss: return_loss.into(),
            mismatch_loss: mismatch_loss.into(),
            resistance: resistance(point, unit, passive).into(),
            reactance: reactance(&steps, unit).into(),
            impedance_magnitude: impedance_magnitude(normalise_square(point.towards()), unit, away).into(),
            phase: phase.into(),
            q: q.into(),
        };
        if reference.beyond != 0 {
            scaled_readouts(&mut all, reference.beyond);
        }
        all
    }

    fn correct(raw: (f32, f32), terms: &[(f32, f32); 3]) -> (f32, f32) {
        corrected(raw, terms).unwrap_or_else(|| floating(|| Floating32::correct(raw, terms)))
    }

    fn ratio(above: (i32, i32), below: (i32, i32)) -> Option<(f32, f32)> {
        let (re, im) = quotient(above, below)?;
        let part = |part: Part| {
            let normal = normalise_short(part.value);
            if normal.mantissa == 0 {
                return Some(0.0);
            }
            let exponent = normal.exponent.wrapping_add(part.exponent);
            // At most 2²⁰. As a quotient of 32-bit numbers it is far from the smallest normal one.
            if exponent > 19 - 30 {
                return None;
            }
            let sign = if part.negative { SIGN } else { 0 };
            Some(f32::from_bits(pack(normal.mantissa, exponent) | sign))
        };
        Some((part(re)?, part(im)?))
    }

    type Span = f32;
    fn span(hertz: u64) -> f32 {
        Floating32::span(hertz)
    }
    fn between(low: &[(f32, f32); 3], high: &[(f32, f32); 3], offset: u64, span: f32) -> [(f32, f32); 3] {
        Floating32::between(low, high, offset, span)
    }

    fn reflect(resistance: f32, reactance: f32, reference: f32) -> (f32, f32) {
        reflected(resistance, reactance, reference)
            .unwrap_or_else(|| floating(|| Floating32::reflect(resistance, reactance, reference)))
    }
}

/// All readouts the floating way.
fn otherwise(re: f32, im: f32, reference: f32) -> Readouts<SoftF32> {
    let all = Floating32::readouts(re, im, <Floating32 as Arithmetic>::prepare(reference));
    Readouts {
        magnitude: all.magnitude.get().into(),
        swr: all.swr.get().into(),
        return_loss: all.return_loss.get().into(),
        mismatch_loss: all.mismatch_loss.get().into(),
        resistance: all.resistance.get().into(),
        reactance: all.reactance.get().into(),
        impedance_magnitude: all.impedance_magnitude.get().into(),
        phase: all.phase.get().into(),
        q: all.q.get().into(),
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::super::accuracy::{Readout, bound};
    use super::*;

    const REFERENCE: f32 = 50.0;

    /// Γ: evenly in the circle, close to the rim, next to the axes, small, beyond the rim, and any bits.
    fn points(count: u32) -> Vec<(f32, f32)> {
        let mut state = 0x1234_5678_9abc_def1u64;
        let mut next = move || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let mut list = Vec::new();
        for turn in 0..count {
            let decade = 10f64.powf(-9.0 * next());
            let size = match turn % 5 {
                0 => next().sqrt(),
                1 => 1.0 - decade,
                2 => decade,
                3 => 1.0 + 0.8 * decade,
                _ => next(),
            };
            let angle = match turn % 7 {
                0 => (turn % 4) as f64 * core::f64::consts::FRAC_PI_2 + decade * (next() - 0.5),
                _ => next() * core::f64::consts::TAU,
            };
            list.push(((size * angle.cos()) as f32, (size * angle.sin()) as f32));
        }
        let mut edges = Vec::from([0.0, 0.6, 0.8, 1.0, f32::MIN_POSITIVE, 1e-40, 3.0, 1_048_576.0]);
        for k in 0..=45 {
            let step = 2f32.powi(-k);
            edges.extend([step, 1.999_999_9 * step, 1.5 * step, 1.0 - step, 1.0 + step]);
        }
        for a in &edges {
            for b in &edges {
                list.extend([(*a, *b), (-a, *b), (*a, -b)]);
            }
        }
        list
    }

    /// The readouts in the order of [`READOUTS`].
    fn nine<
        A: Arithmetic<
                ComponentWord = f32,
                OhmsWord = f32,
                RatioWord = f32,
                DecibelsWord = f32,
                DegreesWord = f32,
            >,
    >(
        all: Readouts<A>,
    ) -> [f32; 9] {
        [
            all.magnitude.get(),
            all.swr.get(),
            all.return_loss.get(),
            all.mismatch_loss.get(),
            all.resistance.get(),
            all.reactance.get(),
            all.impedance_magnitude.get(),
            all.phase.get(),
            all.q.get(),
        ]
    }

    const READOUTS: [Readout; 9] = [
        Readout::Magnitude,
        Readout::Swr,
        Readout::ReturnLoss,
        Readout::MismatchLoss,
        Readout::Resistance,
        Readout::Reactance,
        Readout::ImpedanceMagnitude,
        Readout::Phase,
        Readout::Q,
    ];

    fn soft(re: f32, im: f32) -> [f32; 9] {
        nine(SoftF32::readouts(re, im, SoftF32::prepare(REFERENCE)))
    }

    /// 1 − |Γ|² to the digits of a double.
    fn passive(re: f32, im: f32) -> f64 {
        let (a, b) = ((re as f64).abs(), (im as f64).abs());
        (1.0 - a.max(b)) * (1.0 + a.max(b)) - a.min(b) * a.min(b)
    }

    /// The nine in double precision; the last of them is the scale of each.
    fn truth(re: f32, im: f32) -> ([f64; 9], [f64; 9]) {
        let passive = passive(re, im);
        let (a, b) = (re as f64, im as f64);
        let (size, away) = (a.hypot(b), (1.0 - a).hypot(b));
        let z = REFERENCE as f64 * (1.0 + a).hypot(b) / away;
        let lg = 10.0 / core::f64::consts::LN_10;
        let near = (0.7..1.4).contains(&size);
        let swr = (1.0 + size).powi(2) / passive;
        let want = [
            size,
            if passive > 0.0 { swr } else { f64::INFINITY },
            if near {
                -lg * (-passive).ln_1p()
            } else {
                -20.0 * size.log10()
            },
            match passive {
                0.5.. => -lg * (-size * size).ln_1p(),
                p if p > 0.0 => -10.0 * p.log10(),
                _ => f64::INFINITY,
            },
            REFERENCE as f64 * passive / away / away,
            REFERENCE as f64 * 2.0 * b / away / away,
            z,
            b.atan2(a).to_degrees(),
            2.0 * b.abs() / passive.abs(),
        ];
        let mut scale = want.map(f64::abs);
        (scale[4], scale[5], scale[7]) = (z, z, 1.0);
        (want, scale)
    }

    fn gap(readout: Readout, one: f64, other: f64) -> f64 {
        let gap = (one - other).abs();
        if readout == Readout::Phase {
            gap.min(360.0 - gap)
        } else {
            gap
        }
    }

    #[test]
    fn errors_within_the_documented_figures() {
        let mut worst = [0f64; 9];
        let mut count = 0;
        for (re, im) in points(3_000_000) {
            if Steps::new(re, im).is_none() {
                continue;
            }
            count += 1;
            let (got, (want, scale)) = (soft(re, im), truth(re, im));
            let rim = 2f64.powi(-37) / passive(re, im).abs();
            for (i, readout) in READOUTS.into_iter().enumerate() {
                // Closer to the rim than rounding the smaller component tells.
                if !want[i].is_finite() || got[i] as f64 == want[i] || rim > 0.5 {
                    continue;
                }
                let gap = gap(readout, got[i] as f64, want[i]);
                let error = match readout {
                    // A rounding of the result, and what a lost digit is worth in dB.
                    Readout::ReturnLoss => gap - 6e-8 * scale[i],
                    Readout::MismatchLoss => gap - 6e-8 * scale[i] - 4.4 * rim,
                    Readout::Phase => gap,
                    Readout::Swr | Readout::Q => gap / scale[i] - rim,
                    _ => gap / scale[i],
                };
                if error > worst[i] {
                    worst[i] = error;
                }
            }
        }
        // In the order of the readouts; |Γ|, SWR, R, X, |Z| and Q relative.
        let most = [1.2e-7, 6.3e-8, 4e-5, 4e-5, 2.3e-7, 5.2e-7, 2.9e-7, 2.5e-4, 6.3e-8];
        let least = most.map(|error| error / 4.0);
        assert!(count > 2_000_000);
        for (i, readout) in READOUTS.into_iter().enumerate() {
            assert!(worst[i] < most[i], "{readout:?}: {:e}", worst[i]);
            assert!(
                worst[i] > least[i],
                "{readout:?}: the search saw too little: {:e}",
                worst[i]
            );
        }
    }

    /// The two ways agree within the sum of their bounds.
    fn agreement(re: f32, im: f32, soft: [f32; 9], float: [f32; 9]) -> Result<(), Readout> {
        let passive = passive(re, im);
        let (_, scale) = truth(re, im);
        for (i, readout) in READOUTS.into_iter().enumerate() {
            let (a, b) = (bound(readout, Family::SoftF32), bound(readout, Family::F32));
            let allowed = a.allowance(scale[i], passive) + b.allowance(scale[i], passive);
            let blind = passive.abs() <= b.rim;
            let same = soft[i] == float[i] || gap(readout, soft[i] as f64, float[i] as f64) <= allowed;
            if !same && (!blind || soft[i].is_nan()) {
                return Err(readout);
            }
        }
        Ok(())
    }

    #[test]
    fn both_ways_agree() {
        for (re, im) in points(300_000) {
            let scale = <Floating32 as Arithmetic>::prepare(REFERENCE);
            let float = nine(Floating32::readouts(re, im, scale));
            let soft = soft(re, im);
            agreement(re, im, soft, float)
                .unwrap_or_else(|readout| panic!("{readout:?} of {re:e} {im:+e}j: {soft:?} {float:?}"));
        }
        // Control: off by one part in 2¹⁰, each is refused.
        let (re, im) = (0.3, -0.4);
        for i in 0..9 {
            let (right, mut wrong) = (soft(re, im), soft(re, im));
            wrong[i] *= 1.001;
            assert_eq!(agreement(re, im, right, right), Ok(()));
            assert_eq!(agreement(re, im, wrong, right), Err(READOUTS[i]));
        }
    }

    #[test]
    fn one_by_one_gives_the_same_bits() {
        for reference in [REFERENCE, 1e-30, 3e37, 1e-42, 0.25] {
            let scale = SoftF32::prepare(reference);
            for (re, im) in points(20_000) {
                let together = nine(SoftF32::readouts(re, im, scale));
                let (resistance, reactance) = SoftF32::terminate(re, im, scale);
                let single = [
                    SoftF32::magnitude(re, im),
                    SoftF32::standing_wave(re, im),
                    SoftF32::return_loss(re, im),
                    SoftF32::mismatch_loss(re, im),
                    resistance,
                    reactance,
                    SoftF32::impedance_magnitude(re, im, scale),
                    SoftF32::phase(re, im),
                    SoftF32::quality(re, im),
                ];
                assert_eq!(
                    together.map(f32::to_bits),
                    single.map(f32::to_bits),
                    "{re:e} {im:+e}j"
                );
            }
        }
    }

    /// Numbers in [0, 1).
    fn numbers() -> impl FnMut() -> f64 {
        let mut state = 0x2545_f491_4f6c_dd1du64;
        move || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1u64 << 53) as f64
        }
    }

    type Pair = (f64, f64);

    fn times(a: Pair, b: Pair) -> Pair {
        (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
    }

    fn over(a: Pair, b: Pair) -> Pair {
        let square = b.0 * b.0 + b.1 * b.1;
        let above = times(a, (b.0, -b.1));
        (above.0 / square, above.1 / square)
    }

    fn apart(a: (f32, f32), b: Pair) -> f64 {
        (a.0 as f64 - b.0).hypot(a.1 as f64 - b.1)
    }

    /// The error of a reflected impedance, of what the table allows.
    fn reflected_law(r: f32, x: f32, z: f32, got: (f32, f32)) -> f64 {
        let (wide_r, wide_x, wide_z) = (r as f64, x as f64, z as f64);
        let want = over((wide_r - wide_z, wide_x), (wide_r + wide_z, wide_x));
        apart(got, want) / bound(Readout::Reflection, Family::SoftF32).allowance(want.0.hypot(want.1), 1.0)
    }

    #[test]
    fn an_impedance_reflects_as_it_should() {
        let mut next = numbers();
        let (mut worst, mut whole, count) = (0f64, 0, 1_000_000);
        for turn in 0..count {
            // The three within some decades of one another, and the lot anywhere a word can be.
            let middle = if turn % 3 == 0 {
                10f64.powf(60.0 * next() - 30.0)
            } else {
                50.0
            };
            let mut ohms = |decades: f64| (middle * 10f64.powf(decades * (next() - 0.5))) as f32;
            let (mut r, mut x, z) = (ohms(8.0), ohms(8.0), ohms(3.0));
            match turn % 11 {
                0 => r = 0.0,
                1 => x = 0.0,
                2 => x = -x,
                3 => (r, x) = (z + x / 1024.0, x / 1024.0),
                // (Of numbers beyond 10⁻⁹ to 10¹⁵ the floating way takes ratios first, which R + Z0 near 0 shows.)
                4 if turn % 3 != 0 => r = -r,
                _ => {}
            }
            whole += reflected(r, x, z).is_some() as u32;
            worst = worst.max(reflected_law(r, x, z, SoftF32::reflect(r, x, z)));
        }
        assert!(worst < 1.0, "{worst}");
        assert!(whole > count * 7 / 10, "{whole}");
        // Control: what is off by a little more is seen.
        let (re, im) = SoftF32::reflect(75.0, 20.0, 50.0);
        assert!(reflected_law(75.0, 20.0, 50.0, (re, im + 1e-6)) > 1.0);
    }

    #[test]
    fn where_an_impedance_goes_the_floating_way() {
        assert!(reflected(75.0, -20.0, 50.0).is_some() && reflected(0.0, 1e12, 50.0).is_some());
        for (r, x, z) in [
            (50.0, 0.0, 50.0),
            (50.1, 0.1, 50.0),
            (-75.0, 20.0, 50.0),
            (f32::INFINITY, 0.0, 50.0),
            (0.0, f32::NEG_INFINITY, 50.0),
            (1e-42, 0.0, 2e-42),
        ] {
            assert!(reflected(r, x, z).is_none(), "{r} {x} {z}");
            assert_eq!(SoftF32::reflect(r, x, z), Floating32::reflect(r, x, z));
        }
        assert_eq!(SoftF32::reflect(50.0, 0.0, 50.0), (0.0, 0.0));
        assert_eq!(SoftF32::reflect(f32::INFINITY, 0.0, 50.0), (1.0, 0.0));
    }

    /// The largest error of corrected readings times |tracking + source match·(m − directivity)|, and how many of them
    /// went through the integers.
    fn worst_correction(count: u32, spoil: f32) -> (f64, u32) {
        let mut next = numbers();
        let (mut worst, mut whole) = (0f64, 0);
        for _ in 0..count {
            let mut polar = |least: f64, most: f64| {
                let (size, turn) = (least + (most - least) * next(), core::f64::consts::TAU * next());
                ((size * turn.cos()) as f32, (size * turn.sin()) as f32)
            };
            let wide = |(re, im): (f32, f32)| (re as f64, im as f64);
            let (raw, directivity, source_match) = (polar(0.0, 1.2), polar(0.0, 0.2), polar(0.0, 0.5));
            let tracking = polar(0.1, 1.2);
            let terms = [directivity, source_match, tracking];
            whole += corrected(raw, &terms).is_some() as u32;
            let (re, im) = SoftF32::correct(raw, &terms);
            let (m, d) = (wide(raw), wide(directivity));
            let above = (m.0 - d.0, m.1 - d.1);
            let bent = times(wide(source_match), above);
            let below = (bent.0 + tracking.0 as f64, bent.1 + tracking.1 as f64);
            let want = over(above, below);
            // Beyond 2 there is more to lose in all ways.
            if want.0.hypot(want.1) < 2.0 {
                worst = worst.max(apart((re + spoil, im), want) * below.0.hypot(below.1));
            }
        }
        (worst, whole)
    }

    #[test]
    fn a_reading_is_corrected_as_it_should() {
        let (worst, whole) = worst_correction(1_000_000, 0.0);
        assert!(worst < 5e-7, "{worst:e}");
        assert!(whole > 700_000, "{whole}");
        // Control.
        assert!(worst_correction(10_000, 1e-6).0 > 5e-7);
    }

    #[test]
    fn where_a_reading_goes_the_floating_way() {
        let none = (0.0, 0.0);
        let perfect = [none, none, (1.0, 0.0)];
        assert!(corrected((0.5, -0.25), &perfect).is_some());
        for (raw, terms) in [
            ((1e-3, 1e-3), perfect),
            ((2.5, 0.0), perfect),
            ((f32::NAN, 0.0), perfect),
            ((0.5, 0.0), [none, none, (0.01, 0.0)]),
            ((0.5, 0.0), [none, none, none]),
            ((1.9, 0.0), [(-1.9, 0.0), none, (1.0, 0.0)]),
        ] {
            assert!(corrected(raw, &terms).is_none(), "{raw:?} {terms:?}");
            let (got, want) = (SoftF32::correct(raw, &terms), Floating32::correct(raw, &terms));
            assert_eq!(
                (got.0.to_bits(), got.1.to_bits()),
                (want.0.to_bits(), want.1.to_bits())
            );
        }
    }

    #[test]
    fn where_the_floating_way_serves() {
        let whole = |re, im| Steps::new(re, im).is_some();
        let step = 2f32.powi(-30);
        assert!(whole(0.5, -0.25) && whole(1.999_999_9, 2f32.powi(-7)));
        assert!(whole(-1.0, 0.0) && whole(0.0, 1.0) && whole(step, 0.0) && whole(step, -step));
        // Digits below the steps.
        assert!(whole(0.5, 1e-3) && whole(1.1e-3, -0.7) && whole(0.9, 1e-15));
        assert!(whole(0.01, 1e-3) && !whole(0.006, 1e-3) && !whole(1e-3, 0.006));
        assert!(
            whole(1.0, 0.003) && !whole(1.0, 0.001) && !whole(-0.9999, 0.001) && whole(1.0, 1024.0 * step)
        );
        assert!(whole(1e-4, 1.0) && !whole(0.5, 1e-20));
        for (re, im) in [
            (0.0, 0.0),
            (1.0, 0.0),
            (2.0, 0.0),
            (0.0, -2.0),
            (1e6, 1.0),
            (1e-40, 0.5),
        ] {
            assert!(!whole(re, im), "{re} {im}");
        }
        assert_eq!(soft(1.0, 0.0)[4..8], [f32::INFINITY, 0.0, f32::INFINITY, 0.0]);
        assert_eq!(
            soft(0.0, 0.0),
            [0.0, 1.0, f32::INFINITY, 0.0, 50.0, 0.0, 50.0, 0.0, 0.0]
        );
    }
}
