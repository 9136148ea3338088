//! What is talked about: frequencies, parts, impedances and reflections, each in any family of numbers.
//!
//! Conventions, which hold for the whole crate:
//!
//! - Γ is the voltage reflection coefficient, Γ = (Z − Z0)/(Z + Z0), with a real, positive reference Z0. The power-wave
//!   form for a complex source is a separate, named function, [`Impedance::power_wave_reflection`].
//! - Return loss is positive for a passive load. A negative one means that more comes back than was sent (gain); it is
//!   reported as such, never hidden.
//! - SWR is at least 1. At |Γ| ≥ 1 it is the family's largest value (floating: infinity);
//!   [`Reflection::is_total`] tells.
//! - Inductive reactance is positive. Phase lies in (−180°, 180°].
//! - An open and a short are values, not errors: an open has the family's largest resistance.
//! - NaN and infinity are refused where they would come in.

use core::fmt;

#[allow(missing_docs)] // hidden from users, and self-explaining
mod complex;
mod frequency;
mod impedance;
mod reactive;
mod reflection;

#[doc(hidden)]
pub use complex::Complex;
pub use frequency::Hertz;
pub use impedance::{Admittance, Impedance, ParallelForm, Reference};
pub use reactive::{Capacitance, Inductance, Reactor};
pub use reflection::Reflection;

/// Why a value was refused. The text names the parameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum QuantityError {
    /// NaN or infinity.
    NotFinite(&'static str),
    /// Beyond what the family's word can hold, or beyond the documented limit.
    OutOfRange(&'static str),
    /// Must be greater than zero.
    NotPositive(&'static str),
    /// Must not be below zero.
    Negative(&'static str),
    /// An SWR below 1 does not exist.
    BelowOne(&'static str),
}

impl QuantityError {
    /// The parameter that was refused.
    pub fn parameter(&self) -> &'static str {
        match self {
            Self::NotFinite(parameter)
            | Self::OutOfRange(parameter)
            | Self::NotPositive(parameter)
            | Self::Negative(parameter)
            | Self::BelowOne(parameter) => parameter,
        }
    }

    /// The same reason, said of another parameter.
    #[must_use]
    pub fn of(self, parameter: &'static str) -> Self {
        match self {
            Self::NotFinite(_) => Self::NotFinite(parameter),
            Self::OutOfRange(_) => Self::OutOfRange(parameter),
            Self::NotPositive(_) => Self::NotPositive(parameter),
            Self::Negative(_) => Self::Negative(parameter),
            Self::BelowOne(_) => Self::BelowOne(parameter),
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let reason = match self {
            Self::NotFinite(_) => "is not a finite number",
            Self::OutOfRange(_) => "is out of range",
            Self::NotPositive(_) => "must be greater than zero",
            Self::Negative(_) => "must not be negative",
            Self::BelowOne(_) => "must be at least 1",
        };
        write!(f, "{} {reason}", self.parameter())
    }
}

impl core::error::Error for QuantityError {}
