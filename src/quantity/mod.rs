//! The quantities: frequencies, parts, impedances and reflections, each in any family of numbers.
//!
//! These conventions hold for the whole crate:
//!
//! - Γ is the voltage reflection coefficient, Γ = (Z − Z0)/(Z + Z0), with a real, positive reference Z0. The power-wave
//!   form for a complex source is a separate, named function, [`Impedance::power_wave_reflection`].
//! - Return loss is positive for a passive load. A negative one means that more comes back than was sent (gain).
//! - SWR is at least 1. At |Γ| ≥ 1 it is the family's largest value (floating: infinity); see [`Reflection::is_total`].
//! - Inductive reactance is positive. Phase lies in (−180°, 180°].
//! - An open and a short are values, not errors: an open has the family's largest resistance.
//! - NaN and infinity are refused as inputs.

pub(crate) mod band;
mod check;
#[allow(missing_docs)] // hidden from users, and self-explaining
mod complex;
mod frequency;
mod impedance;
mod mismatch;
mod one_figure;
pub(crate) mod plane;
mod reactive;
mod reflection;
pub(crate) mod swr;

pub use crate::arithmetic::error::{Limits, QuantityError};
pub use crate::arithmetic::readouts::Readouts;
pub use crate::arithmetic::values::{
    Amperes, Component, Decibels, Degrees, ImpedanceRatio, Metres, Ohms, QFactor, Ratio, Siemens, Swr,
    VelocityFactor, Volts, Watts,
};
pub use band::Band;
pub(crate) use check::{finite, not_negative, positive, positive_frequency, positive_omega, positive_part};
#[doc(hidden)]
pub use complex::Complex;
pub use frequency::Hertz;
pub(crate) use frequency::LIGHT;
pub use impedance::{Admittance, Impedance, ParallelForm, Reference};
pub use mismatch::MismatchLimits;
pub use reactive::{Capacitance, Inductance, Reactor};
pub use reflection::Reflection;
