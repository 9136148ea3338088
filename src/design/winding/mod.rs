//! What is wound: air coils, ring cores, the flux in a core, and the wire.
//!
//! Floating point only: everything here takes a family `F` of [`Floating`], which is `f32` and `f64`. A device that
//! works in fixed point has its coils computed beforehand. Lengths are in metres, areas in square metres; constructors
//! in millimetres stand beside them. The magnetic constant is taken as 4π·10⁻⁷ H/m, as in the handbooks (the value of
//! CODATA 2018 differs by 5.5e-10).
//!
//! Two things that these formulas do not know: a coil near metal or with a core of its own has another inductance, and
//! above about a fifth of its own resonance every coil looks larger than it is (both common practice, no source).
//!
//! # Care
//!
//! A coil in a resonant network carries many times the voltage that the power suggests: arcs, and RF burns that go
//! deeper than they look. A core driven too far gets hot enough to burn, to crack and to lose its properties for good.
//! Switch off and wait before touching either. Local rules and licensed practice come first.

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

/// A result that has left the range of the family is refused.
fn in_range<F: Floating>(value: F, name: &'static str) -> Result<F, QuantityError> {
    if <F as Real>::is_finite(value) && value > <F as Real>::ZERO {
        Ok(value)
    } else {
        Err(QuantityError::OutOfRange(name))
    }
}
