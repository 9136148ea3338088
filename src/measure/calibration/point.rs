//! One line of a calibration table.

use super::ErrorTerms;
use crate::arithmetic::Arithmetic;
use crate::quantity::Hertz;

/// The error terms at one frequency: one line of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct CalibrationPoint<A: Arithmetic> {
    /// The frequency.
    pub frequency: Hertz,
    /// The error terms there.
    pub terms: ErrorTerms<A>,
}

impl<A: Arithmetic> CalibrationPoint<A> {
    /// An empty entry.
    pub const EMPTY: Self = Self {
        frequency: Hertz::new(0),
        terms: ErrorTerms::PERFECT,
    };
}
