//! What a sensor does to Γ beside its noise: the errors that remain after its calibration.

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Component, QuantityError, not_negative};

/// The errors that remain in a sensor, each as a part of full scale (|Γ| = 1). By default there are none.
///
/// They are the same in each reading, so more readings do not average them out. A tuner that is told of them
/// ([`TunerSettings::sensor_errors`](super::TunerSettings::sensor_errors)) believes a reading no further than they
/// allow, and does not take them for a fault. The terms are those of a one-port measurement with a coupler (textbooks on
/// network analysis; from memory): the reading is D + Γ/(1 − S·Γ).
///
/// ```
/// use ohmwright::control::SensorErrors;
/// use ohmwright::floating::{Component, Family};
///
/// // A coupler with a directivity of 30 dB.
/// let errors = SensorErrors::<Family>::default().with_directivity(Component::new(0.0316));
/// assert!(errors.check().is_ok());
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct SensorErrors<A: Arithmetic> {
    /// |D|, what is read at a match: a directivity of 20 dB is 0.1, of 30 dB 0.032. 0 to 0.5.
    pub directivity: Component<A>,
    /// |S|, what the sensor itself reflects back to the bank. 0 to 0.5.
    pub source_match: Component<A>,
    /// How much too low full scale is read, as a part of it; the error grows with |Γ|³. 0 to 0.5.
    pub compression: Component<A>,
    /// The step of the converter in Γ or |Γ|: about 2/2ᵇ with b bits. 0 to 0.5.
    pub step: Component<A>,
}

impl<A: Arithmetic> SensorErrors<A> {
    setters! {
        with_directivity(directivity: Component<A>);
        with_source_match(source_match: Component<A>);
        with_compression(compression: Component<A>);
        with_step(step: Component<A>);
    }

    /// No errors: a sensor with noise alone.
    pub const fn none() -> Self {
        Self {
            directivity: Component::thousandths::<0>(),
            source_match: Component::thousandths::<0>(),
            compression: Component::thousandths::<0>(),
            step: Component::thousandths::<0>(),
        }
    }

    /// Whether each is in its range.
    ///
    /// # Errors
    /// [`QuantityError`] with the name of the one that is not.
    pub fn check(&self) -> Result<(), QuantityError> {
        let parts = [
            (self.directivity, outside!("directivity", "must be from 0 to 0.5")),
            (
                self.source_match,
                outside!("source match", "must be from 0 to 0.5"),
            ),
            (self.compression, outside!("compression", "must be from 0 to 0.5")),
            (self.step, outside!("converter step", "must be from 0 to 0.5")),
        ];
        for (part, beyond) in parts {
            not_negative(part, beyond.parameter())?;
            if part.to_working() > A::Working::HALF {
                return Err(beyond);
            }
        }
        Ok(())
    }

    /// With the noise, in working numbers.
    pub(super) fn accuracy(&self, noise: Component<A>) -> Accuracy<A::Working> {
        Accuracy {
            noise: noise.to_working(),
            fixed: self.directivity.to_working() + self.step.to_working() * A::Working::HALF,
            square: self.source_match.to_working(),
            cube: self.compression.to_working(),
        }
    }
}

/// How far a reading may be off.
#[derive(Clone, Copy, Debug)]
pub(super) struct Accuracy<W> {
    pub(super) noise: W,
    fixed: W,
    square: W,
    cube: W,
}

impl<W: Real> Accuracy<W> {
    /// The largest error at this |Γ| beside the noise, to first order.
    pub(super) fn most(&self, size: W) -> W {
        let square = size.square();
        self.fixed + self.square * square + self.cube * square * size
    }

    /// Standard deviation of a component of Γ, or of |Γ|: a tenth of the full-scale noise remains at Γ = 0. An error of
    /// unknown direction counts with 0.7 of its size, its part along one direction.
    pub(super) fn spread(&self, size: W) -> W {
        let fraction = |n: i32| W::from_i32(n) / W::from_i32(10);
        self.noise * (size + fraction(1)) + self.most(size) * fraction(7)
    }
}

impl<A: Arithmetic> Default for SensorErrors<A> {
    /// [`none`](Self::none).
    fn default() -> Self {
        Self::none()
    }
}
