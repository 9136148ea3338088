//! `f32` for cores without a floating-point unit: single precision in and out, integers in between.
//!
//! A component of 2⁻⁷ to 2 is a whole number of steps of 2⁻³⁰, so the exact squares of the fixed-point families work
//! here too: 1 − |Γ|² has no cancellation, and each readout is built from mantissa and exponent without rounding to a
//! word first. This path calls no floating-point routine, not even for a comparison.
//!
//! A component below 2⁻⁷ may have digits below the last step. It is rounded to a step where that costs less than the
//! error of the readouts (`steps.rs` decides), but its square is not; X and Q take the imaginary part with all of its
//! digits. The other cases have steps of their own (`rare.rs`): |Γ| below 2⁻⁷, next to the open and the short, a component
//! of 2 and beyond. A reference below 2⁻⁶⁰ or from 2⁶¹ Ω costs a scaling of R, X and |Z| at the end.
//!
//! Γ of an impedance and the correction of a reading use integers as well, with parts in steps or with a common
//! exponent: right to 1e-8, against some 1e-7 in floating point. Floating point computes what integers would lose: a
//! negative resistance, a denominator below 1/8, a result below 2⁻⁷.
//!
//! Largest errors found over 3 million points, relative: |Γ| 6.1e-8, SWR and Q 6.3e-8, R and X 6.1e-8·|Z|, |Z| 6.8e-8;
//! return and mismatch loss 3.5e-5 dB, angle 2.5e-4°. That is so to the rim.

mod bits;
mod rare;
mod readouts;
mod reflection;
mod steps;
#[cfg(test)]
mod tests;

use bits::{SIGN, digits, number, pack, places, signed};
use rare::Rare;
use readouts::{
    decibels, impedance_magnitude, magnitude, mismatch_loss, phase, quality, reactance, resistance, swr,
};
use reflection::{corrected, reflected};
use steps::Steps;

use super::accuracy::Family;
use super::float::Floating32;
use super::kernel::normalise::{Normal, normalise_short, normalise_square};
use super::kernel::point::Unit;
use super::kernel::quotient::{Part, quotient};
use super::kernel::root::{root, root_and_inverse};
use super::{Arithmetic, Constant, Fraction, Readouts};

/// `f32` computed with integers, under another name where `f32` itself computes in floating point: for tests.
#[cfg(not(ohmwright_soft_float))]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SoftF32;
#[cfg(not(ohmwright_soft_float))]
impl super::Sealed for SoftF32 {}

/// `f32` computed with integers, as on this core.
#[cfg(ohmwright_soft_float)]
pub type SoftF32 = f32;

/// A reference resistance, and the same as `normal · 2^beyond`. The power of two is used only where R, X or |Z| might
/// not be normal numbers otherwise.
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

/// Applies the power of two to R and X; an impedance beyond the range becomes an open.
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

/// Applies the power of two to |Z|.
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

/// Keeps the floating-point code out of the integer functions.
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

    #[inline(always)]
    fn holds(component: f32) -> bool {
        // By size; what is no number is beyond all of them.
        component.to_bits() << 1 <= Self::REFLECTION_LIMIT.to_bits() << 1
    }

    fn coarse(component: f32) -> i32 {
        let bits = component.to_bits();
        let size = match places(bits) {
            places @ 0..=14 => digits(bits) >> (places + 16),
            15..=127 => 0,
            _ => 32_767, // 2 and beyond, and what is no number
        };
        signed(bits, size)
    }

    fn fine(component: f32) -> i32 {
        let bits = component.to_bits();
        let size = match places(bits) {
            places @ 0..=30 => digits(bits) >> places,
            31..=127 => 0,
            _ => i32::MAX as u32, // 2 and beyond, and what is no number
        };
        signed(bits, size) >> 3
    }

    fn power(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(steps) => {
                let square = normalise_square(steps.point.square());
                number(pack(square.mantissa, square.exponent.wrapping_sub(60)))
            }
            None => Rare::new(re, im).power(),
        }
    }

    fn passive(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, .. }) => {
                let passive = normalise_square(point.passive());
                if passive.mantissa == 0 {
                    return 0.0;
                }
                let sign = if point.is_active() { SIGN } else { 0 };
                number(pack(passive.mantissa, passive.exponent.wrapping_sub(60)) | sign)
            }
            None => Rare::new(re, im).passive(),
        }
    }

    fn magnitude(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(steps) => magnitude(root(normalise_square(steps.point.square()))),
            None => Rare::new(re, im).magnitude(),
        }
    }

    fn is_total(re: f32, im: f32) -> bool {
        match Steps::new(re, im) {
            Some(steps) => steps.point.is_total(),
            None => Rare::new(re, im).is_total,
        }
    }

    fn is_active(re: f32, im: f32) -> bool {
        match Steps::new(re, im) {
            Some(steps) => steps.point.is_active(),
            None => Rare::new(re, im).is_active,
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
            None => Rare::new(re, im).swr(),
        }
    }

    fn return_loss(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(steps) => decibels(normalise_square(steps.point.square())),
            None => Rare::new(re, im).return_loss(),
        }
    }

    fn mismatch_loss(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, .. }) => mismatch_loss(&point, normalise_square(point.passive())),
            None => Rare::new(re, im).mismatch_loss(),
        }
    }

    fn phase(re: f32, im: f32) -> f32 {
        match Steps::new(re, im) {
            Some(Steps { point, .. }) => {
                let (root, inverse) = root_and_inverse(normalise_square(point.square()));
                phase(&point, root, inverse)
            }
            None => Rare::new(re, im).phase(),
        }
    }

    fn terminate(re: f32, im: f32, reference: Scale) -> (f32, f32) {
        let Some(steps) = Steps::new(re, im) else {
            return Rare::new(re, im).terminate(reference);
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
            return Rare::new(re, im).impedance_magnitude(reference);
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
            None => Rare::new(re, im).quality(),
        }
    }

    fn readouts(re: f32, im: f32, reference: Scale) -> Readouts<Self> {
        let Some(steps) = Steps::new(re, im) else {
            return Rare::new(re, im).readouts(reference);
        };
        let point = &steps.point;
        // In the order that keeps few values at a time.
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

    // So that its frame is not under that of what is called next.
    #[cfg_attr(ohmwright_smallest, inline(never))]
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
