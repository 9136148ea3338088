//! Why there is no calibration, or no corrected reading.

use core::fmt;

use super::Role;
use crate::quantity::Hertz;

/// One of the three error terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Term {
    /// What is read with nothing coming back from the load.
    Directivity,
    /// What the fixture sends back towards the load.
    SourceMatch,
    /// The way there and back.
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

/// Why a calibration was refused, or a reading was not corrected. What was asked is then left as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum CalibrationError {
    /// Three unknowns want three standards; so many were given.
    TooFewStandards(u32),
    /// What is known of two standards is the same, within 1e-3 of Γ: they tell no more than one. Numbered from 1, in the
    /// order given.
    EqualStandards(u8, u8),
    /// The readings of two standards are the same, within a thousandth of the largest difference: one of them was not
    /// connected, or nothing comes through. Numbered from 1, in the order given.
    EqualReadings(u8, u8),
    /// Among the standards there are not three that differ enough to tell the terms apart.
    Singular,
    /// A source match of 1 or more: no passive fixture has one, but it is what comes out when the load is exchanged with
    /// the open or the short.
    ImpossibleSourceMatch,
    /// The term is beyond what the family's word holds, or not finite.
    OutOfRange(Term),
    /// This standard was not read, or not to the end of the grid.
    Unread(Role),
    /// A table of fewer than two frequencies; so many were given.
    TooShort(u32),
    /// The frequency at this index (from 0) does not lie above the one before.
    NotRising(u32),
    /// The sweeps do not share one grid.
    GridDiffers {
        /// The index in the sweep, from 0.
        index: u32,
        /// The frequency of the grid there, that of the standard read first; `None` beyond its end.
        expected: Option<Hertz>,
        /// The one that came.
        found: Hertz,
    },
    /// More frequencies than there is room for; so many fit.
    Full(u32),
    /// The frequency lies outside of the table. Nothing is extrapolated.
    Outside(Hertz),
}

impl fmt::Display for CalibrationError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewStandards(given) => write!(f, "{given} standards where at least three are needed"),
            Self::EqualStandards(a, b) => write!(f, "standards {a} and {b} are the same: they tell no more than one"),
            Self::EqualReadings(a, b) => write!(
                f,
                "standards {a} and {b} read the same: one was not connected, or nothing comes through"
            ),
            Self::Singular => f.write_str("there are not three standards that differ enough"),
            Self::ImpossibleSourceMatch => f.write_str(
                "a source match of 1 or more, which no passive fixture has: was the load exchanged with the open or the \
                 short?",
            ),
            Self::OutOfRange(term) => write!(f, "the {term} is out of range"),
            Self::Unread(role) => write!(f, "the {role} was not read, or not to the end of the grid"),
            Self::TooShort(points) => write!(f, "a table of {points} frequencies where at least two are needed"),
            Self::NotRising(index) => write!(f, "the frequency at place {index} does not lie above the one before"),
            Self::GridDiffers { index, expected: Some(expected), found } => write!(
                f,
                "the grids do not match: {found} at place {index}, where the first standard was read at {expected}"
            ),
            Self::GridDiffers { index, expected: None, found } => write!(
                f,
                "the grids do not match: {found} at place {index}, where the sweep of the first standard had ended"
            ),
            Self::Full(points) => write!(f, "more frequencies than there is room for, which is {points}"),
            Self::Outside(frequency) => write!(f, "{frequency} is outside of the calibration"),
        }
    }
}

impl core::error::Error for CalibrationError {}

/// Why the sweeps of the standards make no calibration, and at which frequency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct CalibrationFailure {
    /// Where it was noticed; `None` where the cause is of no one frequency.
    pub frequency: Option<Hertz>,
    /// Why.
    pub cause: CalibrationError,
}

impl CalibrationFailure {
    /// What was noticed at a frequency. (Of none: by `From`.)
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
