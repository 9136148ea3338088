//! Why a ladder is not built, or not walked.

use core::fmt;

use crate::arithmetic::QuantityError;

/// Why a chain of elements is refused. The text names the parameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LadderError {
    /// There is room for this many elements, and no more.
    Full(usize),
    /// A value that no part, line or walk can have.
    Quantity(QuantityError),
    /// Nothing in the chain or at its end takes power: what goes in comes back.
    NothingTakesPower,
    /// The chain and its end give out more power than they take: no input power can be told.
    GivesPower,
}

impl From<QuantityError> for LadderError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

impl fmt::Display for LadderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Full(capacity) => write!(f, "the ladder has room for {capacity} elements only"),
            Self::Quantity(error) => error.fmt(f),
            Self::NothingTakesPower => f.write_str("neither an element nor the load takes power"),
            Self::GivesPower => f.write_str("the load gives out more power than goes in"),
        }
    }
}

impl core::error::Error for LadderError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}
