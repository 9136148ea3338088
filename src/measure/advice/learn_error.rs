//! Why nothing can be learnt from a move.

use core::fmt;

use crate::arithmetic::QuantityError;

/// Why nothing can be learnt from an adjustment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LearnError {
    /// A number of the adjustment is no good.
    Quantity(QuantityError),
    /// The sweeps are told against different references.
    OtherReference,
    /// The first sweep has no dip inside.
    NoDipBefore,
    /// The second sweep has no dip inside.
    NoDipAfter,
    /// More than the element has changed: |Γ| of the dip differs by more than 0.15, or the number of deep dips differs.
    TooMuchChanged,
    /// The dip has moved by no more than the sweeps can tell.
    NothingMoved,
    /// The element is said to be moved by a factor of 1, which is no move.
    FactorOfOne,
    /// The dip has moved against what was said.
    MovedOtherWay,
    /// The whole has changed by more than what was moved; by so many per cent of what that would make of it if nothing
    /// else were in the circuit.
    MovedFurther(u16),
    /// The share that was moved is known to no better than ±0.25.
    TooUncertain,
    /// What was moved would have to be moved beyond 1/8 to 8 of its value now, or below nothing. So many per cent of the
    /// whole are in it.
    OutOfReach(u8),
}

impl fmt::Display for LearnError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Quantity(error) => error.fmt(f),
            Self::OtherReference => f.write_str("the two sweeps have different references"),
            Self::NoDipBefore => f.write_str("the first sweep has no dip inside"),
            Self::NoDipAfter => f.write_str("the second sweep has no dip inside"),
            Self::TooMuchChanged => {
                f.write_str("more has changed than the element: the dips differ in depth or in number")
            }
            Self::NothingMoved => f.write_str("the dip has moved by no more than the sweeps can tell"),
            Self::FactorOfOne => f.write_str("a move by a factor of 1 is none"),
            Self::MovedOtherWay => f.write_str("the dip has moved against what was said"),
            Self::MovedFurther(percent) => {
                write!(f, "the dip has moved by {percent} % of the most that was said")
            }
            Self::TooUncertain => {
                f.write_str("the share that was moved is too uncertain: move further, or sweep finer")
            }
            Self::OutOfReach(percent) => write!(
                f,
                "{percent} % of the whole are in what was moved, too little to bring the dip to the target"
            ),
        }
    }
}

impl core::error::Error for LearnError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for LearnError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}
