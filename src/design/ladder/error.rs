//! Why a ladder cannot be built or walked.

use core::fmt;

use crate::arithmetic::QuantityError;

/// Why a chain of elements is refused. The text names the parameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LadderError {
    /// The ladder holds this many elements and is full.
    Full(usize),
    /// A value that no part, line or walk can have.
    Quantity(QuantityError),
    /// No element and no load takes power: all power comes back.
    NothingTakesPower,
    /// Elements and load return more power than they take: there is no input power.
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
            Self::Full(capacity) => write!(f, "the ladder cannot hold more than {capacity} elements"),
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
