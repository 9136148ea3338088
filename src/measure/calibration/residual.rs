//! What a calibration leaves uncorrected.

use crate::arithmetic::{Arithmetic, Quantity};
use crate::quantity::{Complex, Component};

/// What is left uncorrected, the largest at any frequency; each in parts of a full reflection.
///
/// −20·lg of it is the residual (or effective) directivity, source match and tracking in dB. With
/// [`reading_range`](super::reading_range) the first says how far a return loss may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Residual<A: Arithmetic> {
    /// The |Γ| that is read with nothing coming back.
    pub directivity: Component<A>,
    /// What the instrument seems to send back towards the load.
    pub source_match: Component<A>,
    /// How far the tracking is from 1.
    pub tracking: Component<A>,
}

impl<A: Arithmetic> Residual<A> {
    /// From directivity, source match and tracking of what is left.
    pub(super) fn from_terms([directivity, source_match, tracking]: [Complex<A::Working>; 3]) -> Self {
        let size = |term: Complex<A::Working>| Component::<A>::from_working(term.magnitude());
        Self {
            directivity: size(directivity),
            source_match: size(source_match),
            tracking: size(tracking - Complex::ONE),
        }
    }
}
