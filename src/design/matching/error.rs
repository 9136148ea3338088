//! Why there is no network.

use core::fmt;

use super::WhyNot;
use crate::arithmetic::QuantityError;
use crate::design::ladder::LadderError;

/// Why a match is impossible, or a request is refused. The text names the parameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum MatchingError {
    /// The load is open or a short, or its resistance is not positive: a lossless network cannot feed power into it.
    LoadWithoutResistance,
    /// The source is open or a short, or its resistance is not positive.
    SourceWithoutResistance,
    /// A value outside its allowed range.
    Quantity(QuantityError),
    /// The Q is below that of the two-element network between the same resistances, which is the least.
    QTooLow {
        /// The requested Q in thousandths, rounded down; saturates at the largest `u32`.
        asked_thousandths: u32,
        /// The least Q in thousandths, rounded up; saturates at the largest `u32`.
        least_thousandths: u32,
    },
    /// The part exists, but its value is too large or too small for the family's word (its number type).
    PartBeyondWord(&'static str),
    /// The network does not fit into the ladder, or the ladder cannot be walked.
    Ladder(LadderError),
    /// The load is not known at the frequency of the match, or in a part of the band.
    NotCovered,
    /// The network does not exist; the reason is given.
    DoesNotExist(WhyNot),
    /// No network could be built for this load.
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
            Self::PartBeyondWord(part) => write!(f, "the {part} is outside the range of its number type"),
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
