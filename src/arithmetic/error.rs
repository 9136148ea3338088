//! Why a number was refused.

use core::fmt;

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
