//! Windings: air coils, ring cores, the flux in a core, and the wire.
//!
//! For `f32` and `f64` only ([`Floating`]): for a device that works in fixed point, compute its coils beforehand.
//! Lengths are in metres, areas in square metres; there are constructors in millimetres as well. The magnetic constant
//! is 4π·10⁻⁷ H/m, as in the handbooks (the CODATA 2018 value differs by 5.5e-10).
//!
//! The formulas have two limits: a coil near metal or on a core has another inductance, and above about a fifth of its
//! own resonance every coil looks larger than it is (both common practice, no source).
//!
//! # Care
//!
//! A coil in a resonant network carries many times the voltage that the power suggests: it can arc, and RF burns go
//! deeper than they look. An overdriven core gets hot enough to burn you, to crack and to lose its properties for good.
//! Switch off and wait before touching either. Local rules and licensed practice take precedence.

mod coil;
mod magnetic;
mod nagaoka;
mod wire;

pub use coil::{AirCoil, CoilFormula};
pub use magnetic::{
    FluxDensity, InductanceFactor, RingCore, SineVoltage, peak_flux_density, volts_at_flux_density,
};
pub use nagaoka::{lundin_coefficient, nagaoka_coefficient};
pub use wire::{Conductor, RoundWire};

use crate::arithmetic::{Floating, QuantityError, Real};

/// A constant in the family.
#[inline]
fn number<F: Floating>(value: f64) -> F {
    <F as Real>::from_f64(value)
}

/// 4π·10⁻⁷ H/m.
fn magnetic_constant<F: Floating>() -> F {
    number(4e-7 * core::f64::consts::PI)
}

/// A result beyond the range of the family is refused.
fn in_range<F: Floating>(value: F, name: &'static str) -> Result<F, QuantityError> {
    if <F as Real>::is_finite(value) && value > <F as Real>::ZERO {
        Ok(value)
    } else {
        Err(QuantityError::OutOfRange(name))
    }
}
