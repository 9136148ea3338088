//! Why a calibration or a corrected reading is refused.

use core::fmt;

use super::Role;
use crate::quantity::Hertz;

/// One of the three error terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Term {
    /// The reading with no reflection from the load.
    Directivity,
    /// The reflection of the fixture back towards the load.
    SourceMatch,
    /// The transmission there and back.
    Tracking,
}

impl fmt::Display for Term {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Directivity => "directivity",
            Self::SourceMatch => "source match",
            Self::Tracking => "tracking",
        })
    }
}

/// Why a calibration was refused, or a reading was not corrected. The object of the call is then unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum CalibrationError {
    /// Three unknowns need three standards; this number was given.
    TooFewStandards(u32),
    /// The known Γ of two standards, numbered from 1 in the order given, is the same within 1e-3: the second adds
    /// nothing.
    EqualStandards(u8, u8),
    /// The readings of two standards are the same, within a thousandth of the largest difference: one of them was not
    /// connected, or nothing comes through. Numbered from 1, in the order given.
    EqualReadings(u8, u8),
    /// No three of the standards differ enough to separate the terms.
    Singular,
    /// A source match of 1 or more, never that of a passive fixture: the load was exchanged with the open or the short.
    ImpossibleSourceMatch,
    /// The term is not finite, or beyond the range of the family's word.
    OutOfRange(Term),
    /// This standard was not read, or not to the end of the grid.
    Unread(Role),
    /// A table of fewer than two frequencies; this number was given.
    TooShort(u32),
    /// The frequency at this index (from 0) is not above the one before.
    NotRising(u32),
    /// The sweeps have different grids.
    GridDiffers {
        /// The index in the sweep, from 0.
        index: u32,
        /// The frequency of the grid there, that of the standard read first; `None` after its end.
        expected: Option<Hertz>,
        /// The frequency given.
        found: Hertz,
    },
    /// More frequencies than the capacity, which is this number.
    Full(u32),
    /// The frequency lies outside of the table. Nothing is extrapolated.
    Outside(Hertz),
    /// There is no tracking at this frequency ([`has_tracking`](super::ErrorTerms::has_tracking)): nothing comes back
    /// through the fixture, and every load reads the same.
    NoTracking(Hertz),
    /// At this frequency the reading lies at or near the pole of the correction, where the denominator is 0: no load within
    /// the range of the family reads so. A broken cable, a wrong calibration or a detector at its end does.
    AtPole(Hertz),
}

impl fmt::Display for CalibrationError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewStandards(given) => write!(f, "{given} standards where at least three are needed"),
            Self::EqualStandards(a, b) => write!(f, "standards {a} and {b} are the same: the second adds nothing"),
            Self::EqualReadings(a, b) => write!(
                f,
                "standards {a} and {b} read the same: one was not connected, or nothing comes through"
            ),
            Self::Singular => f.write_str("no three of the standards differ enough"),
            Self::ImpossibleSourceMatch => f.write_str(
                "a source match of 1 or more, which no passive fixture has: was the load exchanged with the open or the \
                 short?",
            ),
            Self::OutOfRange(term) => write!(f, "the {term} is out of range"),
            Self::Unread(role) => write!(f, "the {role} was not read, or not to the end of the grid"),
            Self::TooShort(points) => write!(f, "a table of {points} frequencies where at least two are needed"),
            Self::NotRising(index) => write!(f, "the frequency at index {index} is not above the one before"),
            Self::GridDiffers { index, expected: Some(expected), found } => write!(
                f,
                "the grids do not match: {found} at index {index}, where the first standard was read at {expected}"
            ),
            Self::GridDiffers { index, expected: None, found } => write!(
                f,
                "the grids do not match: {found} at index {index}, where the sweep of the first standard had ended"
            ),
            Self::Full(points) => write!(f, "more frequencies than the capacity of {points}"),
            Self::Outside(frequency) => write!(f, "{frequency} is outside the calibration"),
            Self::NoTracking(frequency) => write!(f, "at {frequency} nothing comes through the fixture: there is no tracking"),
            Self::AtPole(frequency) => write!(
                f,
                "at {frequency} no load within range gives this reading, which lies at the pole of the correction"
            ),
        }
    }
}

impl core::error::Error for CalibrationError {}

/// Why the sweeps of the standards give no calibration, and at which frequency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct CalibrationFailure {
    /// The frequency of the fault; `None` if it belongs to no single frequency.
    pub frequency: Option<Hertz>,
    /// The cause.
    pub cause: CalibrationError,
}

impl CalibrationFailure {
    /// A fault at a frequency. (For one without a frequency use `From`.)
    pub const fn at(frequency: Hertz, cause: CalibrationError) -> Self {
        Self {
            frequency: Some(frequency),
            cause,
        }
    }
}

impl fmt::Display for CalibrationFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.frequency {
            Some(frequency) => write!(f, "at {frequency}: {}", self.cause),
            None => self.cause.fmt(f),
        }
    }
}

impl core::error::Error for CalibrationFailure {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        Some(&self.cause)
    }
}

impl From<CalibrationError> for CalibrationFailure {
    fn from(cause: CalibrationError) -> Self {
        Self {
            frequency: None,
            cause,
        }
    }
}
