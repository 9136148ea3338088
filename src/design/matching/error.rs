//! Why no network can be given.

use core::fmt;

use super::WhyNot;
use crate::arithmetic::QuantityError;
use crate::design::ladder::LadderError;

/// Why a match is impossible, or what was asked for is refused. The text names the parameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum MatchingError {
    /// The load is open or a short, or its resistance is not positive: no lossless network brings power into it.
    LoadWithoutResistance,
    /// The source is open or a short, or its resistance is not positive.
    SourceWithoutResistance,
    /// A value that nothing can have.
    Quantity(QuantityError),
    /// The Q asked for is below that of the two-element network between the same resistances, which is the least.
    QTooLow {
        /// The Q asked for, in thousandths, rounded down; stops at the largest `u32`.
        asked_thousandths: u32,
        /// The least there is, in thousandths, rounded up; stops at the largest `u32`.
        least_thousandths: u32,
    },
    /// The part exists, but the family's word cannot hold its value: it would be too large, or nothing at all.
    PartBeyondWord(&'static str),
    /// A ladder has no room for the network, or does not walk.
    Ladder(LadderError),
    /// The load is not known at the frequency of the match, or not all over the band.
    NotCovered,
    /// There is no such network.
    DoesNotExist(WhyNot),
    /// No network at all could be built for this load.
    NoNetwork,
}

impl From<QuantityError> for MatchingError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

impl From<LadderError> for MatchingError {
    fn from(error: LadderError) -> Self {
        match error {
            LadderError::Quantity(error) => Self::Quantity(error),
            other => Self::Ladder(other),
        }
    }
}

impl fmt::Display for MatchingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LoadWithoutResistance => {
                f.write_str("the load has no positive resistance: no lossless network brings power into it")
            }
            Self::SourceWithoutResistance => f.write_str("the source has no positive resistance"),
            Self::Quantity(error) => error.fmt(f),
            Self::QTooLow {
                asked_thousandths: asked,
                least_thousandths: least,
            } => write!(
                f,
                "the Q is {}.{:03}, at least {}.{:03} is needed: that of two elements between the same resistances",
                asked / 1000,
                asked % 1000,
                least / 1000,
                least % 1000
            ),
            Self::PartBeyondWord(part) => write!(f, "the {part} lies beyond what its word holds"),
            Self::Ladder(error) => error.fmt(f),
            Self::NotCovered => f.write_str("the load is not known all over the band"),
            Self::DoesNotExist(why) => why.fmt(f),
            Self::NoNetwork => f.write_str("no network could be built for this load"),
        }
    }
}

impl core::error::Error for MatchingError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            Self::Ladder(error) => Some(error),
            _ => None,
        }
    }
}
