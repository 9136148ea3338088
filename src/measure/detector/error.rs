//! Why a reading is refused.

use core::fmt;

use crate::quantity::QuantityError;

/// The channels of a detector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Channel {
    /// The incident wave, of a vector detector.
    Reference,
    /// The reflected wave, of a vector detector.
    Reflected,
    /// The coupler's forward port.
    Forward,
    /// The coupler's reverse port.
    Reverse,
    /// From the source's end of the resistor to ground.
    Source,
    /// From the load's end of the resistor to ground.
    Load,
    /// From one end of the resistor to the other.
    Across,
}

impl fmt::Display for Channel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Reference => "reference channel",
            Self::Reflected => "reflected channel",
            Self::Forward => "forward detector",
            Self::Reverse => "reverse detector",
            Self::Source => "voltage at the source",
            Self::Load => "voltage at the load",
            Self::Across => "voltage across the resistor",
        })
    }
}

/// Why counts give no reading, or settings no detector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum DetectorError {
    /// A count is at the converter's limit: the true value may be larger.
    Overload(Channel),
    /// The divisor is too small: no signal, or a broken connection.
    TooWeak(Channel),
    /// A block has the wrong number of samples.
    BlockLength {
        /// The number required.
        expected: usize,
        /// The number given.
        got: usize,
    },
    /// The length of a transform must be from 3 to 512.
    TransformLength(usize),
    /// The bin must be above 0 and below half the length of the transform: elsewhere there is no phase.
    BinOutside(usize),
    /// A table needs at least two points.
    TableTooShort,
    /// From this point of a table to the next, counts or volts do not grow, or a voltage is negative or not finite.
    TableNotMonotone(usize),
    /// A count below the first point of the table.
    BelowTable(Channel),
    /// A count above the last point of the table.
    AboveTable(Channel),
    /// The three voltages form no triangle, by more than their tolerance: one of them is wrong.
    NoTriangle,
    /// The quotient is beyond the range of a component of Γ: the reference channel is too weak against the other.
    OutOfRange,
    /// Too few readings, or readings not spread round the circle, to determine an imbalance.
    NotRound,
    /// Two readings that cannot belong to one load with the known change between them.
    Contradictory,
    /// A setting was refused.
    Quantity(QuantityError),
}

impl From<QuantityError> for DetectorError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

impl fmt::Display for DetectorError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Overload(channel) => write!(f, "{channel}: the converter is at its limit"),
            Self::TooWeak(channel) => write!(f, "{channel}: too weak"),
            Self::BlockLength { expected, got } => {
                write!(f, "a block of {got} samples instead of {expected}")
            }
            Self::TransformLength(length) => {
                write!(f, "a transform of {length} samples; it must have 3 to 512")
            }
            Self::BinOutside(bin) => {
                write!(f, "bin {bin} is not above 0 and below half of the transform")
            }
            Self::TableTooShort => f.write_str("a table needs at least two points"),
            Self::TableNotMonotone(place) => {
                write!(
                    f,
                    "the table does not rise after point {place}, or its voltage there is invalid"
                )
            }
            Self::BelowTable(channel) => write!(f, "{channel}: below the first point of the table"),
            Self::AboveTable(channel) => write!(f, "{channel}: above the last point of the table"),
            Self::NoTriangle => f.write_str("the three voltages form no triangle"),
            Self::OutOfRange => f.write_str("the quotient is beyond the range of a reflection"),
            Self::NotRound => f.write_str("the readings are not spread round the circle"),
            Self::Contradictory => f.write_str("the two readings do not belong to one load"),
            Self::Quantity(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for DetectorError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}
