//! The residual errors of a calibration.

use crate::arithmetic::{Arithmetic, Quantity};
use crate::quantity::{Complex, Component};

/// The residual errors, the largest at any frequency, each as a fraction of a full reflection.
///
/// −20·lg of them is the residual (or effective) directivity, source match and tracking in dB. With
/// [`reading_range`](super::reading_range) the first gives the interval of a return loss.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Residual<A: Arithmetic> {
    /// The |Γ| that is read with no reflection from the load.
    pub directivity: Component<A>,
    /// The apparent reflection of the instrument back towards the load.
    pub source_match: Component<A>,
    /// The distance of the tracking from 1.
    pub tracking: Component<A>,
}

impl<A: Arithmetic> Residual<A> {
    /// From the residual directivity, source match and tracking.
    pub(super) fn from_terms([directivity, source_match, tracking]: [Complex<A::Working>; 3]) -> Self {
        let size = |term: Complex<A::Working>| Component::<A>::from_working(term.magnitude());
        Self {
            directivity: size(directivity),
            source_match: size(source_match),
            tracking: size(tracking - Complex::ONE),
        }
    }
}
