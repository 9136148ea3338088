//! The residual errors of a calibration.

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Component, Decibels, QuantityError, not_negative};

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
    /// Known errors, each as a fraction of a full reflection.
    ///
    /// # Errors
    /// [`QuantityError`] for one that is negative or not finite.
    pub fn new(
        directivity: impl Into<Component<A>>,
        source_match: impl Into<Component<A>>,
        tracking: impl Into<Component<A>>,
    ) -> Result<Self, QuantityError> {
        Ok(Self {
            directivity: not_negative(directivity.into(), "directivity")?,
            source_match: not_negative(source_match.into(), "source match")?,
            tracking: not_negative(tracking.into(), "tracking")?,
        })
    }

    /// The same from decibels, as data sheets state them: 40 dB are 0.01. The error is that of the word.
    ///
    /// # Errors
    /// [`QuantityError`] for one that is negative or not finite.
    ///
    /// ```
    /// use ohmwright::double::Residual;
    /// let residual = Residual::from_decibels(40.0.into(), 30.0.into(), 60.0.into())?;
    /// assert!((residual.directivity - 0.01).abs() < 1e-12);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    pub fn from_decibels(
        directivity: Decibels<A>,
        source_match: Decibels<A>,
        tracking: Decibels<A>,
    ) -> Result<Self, QuantityError> {
        let size = |loss: Decibels<A>, name| {
            let loss = not_negative(loss, name)?;
            Ok(Component::from_working(
                (-loss.to_working()).ratio_of_decibels().square_root(),
            ))
        };
        Ok(Self {
            directivity: size(directivity, "directivity")?,
            source_match: size(source_match, "source match")?,
            tracking: size(tracking, "tracking")?,
        })
    }

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
