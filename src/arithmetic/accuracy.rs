//! One table of error bounds: (readout, family) → bound. The tests read it, the documentation quotes it.
//!
//! A bound is an allowance on |result − truth|. The truth is computed from the input *as the family stores it* (its
//! *word*, see [`arithmetic`](super)): rounding the input to the word is not counted as an error of the readout.
//!
#![doc = include_str!("accuracy.md")]
//!
//! The angle is compared on the circle: just below the negative axis it may round to 180°. Where a floating-point
//! result underflows, the smallest normal number of the family is added to the bound.
//!
//! On cores without a floating-point unit `f32` is computed with integers (`SoftF32`). It has the words of `f32`; in
//! decibels and degrees it has the errors of the integer kernels' tables.
//!
//! Every family is right next to total reflection, because each forms 1 − |Γ|² without a rounding before the last: the
//! fixed ones in integers, the floating ones from products that are exact. The usual 1 − |Γ|² in `f32` is 40 % off at
//! 1 − |Γ| = 1e-7.

/// A family of numbers, as a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Family {
    /// Single-precision floating point.
    F32,
    /// Single precision computed with integers: `f32` on cores without a floating-point unit.
    SoftF32,
    /// Double-precision floating point.
    F64,
    /// The 32-bit fixed-point family, [`Fixed32`](crate::arithmetic::Fixed32).
    Fixed32,
    /// The 16-bit fixed-point family, [`Fixed16`](crate::arithmetic::Fixed16).
    Fixed16,
}

impl Family {
    /// True for [`Fixed32`](super::Fixed32) and [`Fixed16`](super::Fixed16).
    pub const fn is_fixed(self) -> bool {
        matches!(self, Self::Fixed32 | Self::Fixed16)
    }
}

/// A readout of a reflection coefficient or an impedance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Readout {
    /// |Γ|.
    Magnitude,
    /// The standing wave ratio.
    Swr,
    /// Return loss, dB.
    ReturnLoss,
    /// Mismatch loss, dB.
    MismatchLoss,
    /// The angle of Γ, degrees.
    Phase,
    /// Resistance, ohms; the bound scales with |Z|.
    Resistance,
    /// Reactance, ohms; the bound scales with |Z|.
    Reactance,
    /// |Z|, ohms.
    ImpedanceMagnitude,
    /// |X|/|R|.
    Q,
    /// |Γ|².
    ReflectedShare,
    /// 1 − |Γ|².
    AbsorbedShare,
    /// A component of Γ computed from an impedance; the bound scales with |Γ|.
    Reflection,
    /// Conductance, siemens; the bound scales with |Y|.
    Conductance,
    /// Susceptance, siemens; the bound scales with |Y|.
    Susceptance,
}

/// An allowance: `absolute + relative · scale + rim · scale / |1 − |Γ|²|`.
///
/// The scale is the size of the true value; for a component, the size of its impedance or admittance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Bound {
    /// The absolute part, in the readout's unit.
    pub absolute: f64,
    /// The relative part, to be multiplied by the scale.
    pub relative: f64,
    /// The loss near total reflection (the rim, |Γ| = 1), where the family cannot form 1 − |Γ|² exactly. Where
    /// |1 − |Γ|²| is below this value, the family cannot separate inside from outside, and there is no bound.
    pub rim: f64,
}

impl Bound {
    /// The largest distance of a result from the truth; infinite at the rim. `passive` is 1 − |Γ|² (or 1 if irrelevant).
    pub fn allowance(&self, scale: f64, passive: f64) -> f64 {
        let distance = libm::fabs(passive);
        if self.rim > 0.0 && distance <= self.rim {
            return f64::INFINITY;
        }
        let rim = if self.rim == 0.0 {
            0.0
        } else {
            self.rim * scale / distance
        };
        self.absolute + self.relative * scale + rim
    }
}

const fn flat(absolute: f64, relative: f64) -> Bound {
    Bound {
        absolute,
        relative,
        rim: 0.0,
    }
}

/// Half of the last digit of a word with this many binary digits after the point.
const fn half_ulp(fraction: u32) -> f64 {
    0.5 / (1u64 << fraction) as f64
}

/// The bound of a readout in a family.
///
/// ```
/// use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
///
/// // The SWR of a matched load in fixed point is right to half of its last place.
/// assert!(bound(Readout::Swr, Family::Fixed32).allowance(1.0, 1.0) < 8e-6);
/// ```
pub const fn bound(readout: Readout, family: Family) -> Bound {
    match family {
        // The largest errors found by `tests/quantity/worst_case.rs`, over 1.2·10⁸ random Γ, every real and every
        // imaginary one, and rings: |Γ| 1.13e-9, at √2; SWR 2.94e-9 next to the match; losses 4.3e-5 dB at multiples of
        // 3 dB; the angle 2.25e-4° next to the diagonals; R and X 2.13e-9·|Z| on random references, 1.94e-9·|Z|
        // on 50 Ω, so that up to 2 kΩ the table stands for 0.52 ulp; |Z| 1.35e-8 near the open; Q 1.81e-9 near the rim.
        Family::Fixed32 => match readout {
            Readout::Magnitude => flat(1.25e-9, 0.0),
            Readout::ReflectedShare | Readout::AbsorbedShare => flat(1e-9, 0.0),
            Readout::Swr => flat(half_ulp(16), 5e-9),
            Readout::ReturnLoss | Readout::MismatchLoss => flat(5e-5, 0.0),
            Readout::Phase => flat(2.4e-4, 0.0),
            Readout::Resistance | Readout::Reactance => flat(half_ulp(12), 2.4e-9),
            Readout::ImpedanceMagnitude => flat(half_ulp(12), 1.7e-8),
            Readout::Q => flat(half_ulp(16), 2.2e-9),
            Readout::Reflection => flat(5e-9, 0.0),
            Readout::Conductance | Readout::Susceptance => flat(half_ulp(24), 1.3e-9),
        },
        // A tenth above the largest error over all pairs of words (`tests/quantity/short_words.rs`). The worst points:
        // SWR near the match; |Γ| anywhere; R near the axis at Γ = 0.65; |Z| near the circle |Γ| = 1; the angle at the
        // diagonals. R and X on any reference: a fifth above the 1.004e-4·|Z| found over 3·10⁷ random ones.
        Family::Fixed16 => match readout {
            Readout::Magnitude | Readout::ReflectedShare | Readout::AbsorbedShare => flat(3.1e-5, 0.0),
            Readout::Swr => flat(half_ulp(16), 1e-4),
            Readout::ReturnLoss | Readout::MismatchLoss => flat(5.7e-5, 0.0),
            Readout::Phase => flat(2.3e-3, 0.0),
            Readout::Resistance | Readout::Reactance => flat(half_ulp(12), 1.2e-4),
            Readout::ImpedanceMagnitude => flat(half_ulp(12), 1.5e-4),
            Readout::Q => flat(half_ulp(16), 4.1e-5),
            Readout::Reflection => flat(3.1e-5, 0.0),
            Readout::Conductance | Readout::Susceptance => flat(half_ulp(24), 1e-9),
        },
        Family::F32 => float(readout, 1.0, f32::MIN_POSITIVE as f64, 2e-15),
        Family::SoftF32 => soft(readout),
        Family::F64 => float(readout, 2e-9, f64::MIN_POSITIVE, 1e-32),
    }
}

/// The bounds of single precision, except for decibels and degrees: there, those of the integer kernels' tables.
const fn soft(readout: Readout) -> Bound {
    let single = float(readout, 1.0, f32::MIN_POSITIVE as f64, 2e-15);
    let absolute = match readout {
        Readout::ReturnLoss | Readout::MismatchLoss => 5e-5,
        Readout::Phase => 2.5e-4,
        _ => single.absolute,
    };
    let relative = match readout {
        Readout::Swr | Readout::MismatchLoss => 3e-7,
        _ => single.relative,
    };
    Bound {
        absolute,
        relative,
        ..single
    }
}

/// The bounds of single precision, scaled by `unit` to another precision, plus the smallest normal number.
///
/// 1 − |Γ|² is within `rim`, and two roundings of itself.
const fn float(readout: Readout, unit: f64, smallest: f64, rim: f64) -> Bound {
    let (absolute, relative, rim) = match readout {
        Readout::Magnitude | Readout::ReflectedShare => (0.0, 2e-7, 0.0),
        // What the products lose on the diagonals: three half units, of ½ + 1 − |Γ|².
        Readout::AbsorbedShare => (1.2e-7, 2e-7, 0.0),
        Readout::Swr => (0.0, 4.2e-7, rim),
        Readout::ReturnLoss => (4e-7, 4e-7, 0.0),
        Readout::MismatchLoss => (0.0, 4.2e-7, rim),
        Readout::Phase => (3e-5, 0.0, 0.0),
        Readout::Resistance | Readout::Reactance | Readout::ImpedanceMagnitude => (0.0, 8e-7, 0.0),
        Readout::Q => (0.0, 2e-7, rim),
        Readout::Reflection => (4e-7, 3e-7, 0.0),
        Readout::Conductance | Readout::Susceptance => (0.0, 1.6e-7, 0.0),
    };
    Bound {
        absolute: absolute * unit + smallest,
        relative: relative * unit,
        rim,
    }
}
