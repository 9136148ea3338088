//! Readings of a sensor at the tuner's input: Γ, or only its magnitude.

use super::setting::Setting;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::swr::limit;
use crate::quantity::{Complex, Component, QuantityError, Reflection, Swr, Watts};

/// A reading at the transmitter's end of the bank, corrected for the sensor's own errors.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum SensorReading<A: Arithmetic> {
    /// Γ with magnitude and phase: a vector sensor.
    Vector(Reflection<A>),
    /// |Γ| alone: an SWR bridge, or two powers.
    Magnitude(Component<A>),
}

impl<A: Arithmetic> SensorReading<A> {
    /// From an SWR: |Γ| = (S − 1)/(S + 1). The largest word (or infinity) is total reflection.
    ///
    /// # Errors
    /// [`QuantityError`] for NaN or an SWR below 1.
    pub fn from_swr(swr: impl Into<Swr<A>>) -> Result<Self, QuantityError> {
        let swr = swr.into();
        if swr != Swr::MAX {
            limit(swr, "SWR")?;
        }
        Ok(Self::Magnitude(swr.magnitude()))
    }

    /// From forward and reflected power: |Γ| = √(reflected/forward), at most 2.
    ///
    /// # Errors
    /// [`NotFinite`](QuantityError::NotFinite) for NaN or infinity, [`Negative`](QuantityError::Negative) for a power
    /// below 0, [`NotPositive`](QuantityError::NotPositive) for a forward power of 0.
    pub fn from_powers(
        forward: impl Into<Watts<A>>,
        reflected: impl Into<Watts<A>>,
    ) -> Result<Self, QuantityError> {
        let (forward, reflected) = (forward.into(), reflected.into());
        for (power, name) in [(forward, "forward power"), (reflected, "reflected power")] {
            if !power.is_finite() {
                return Err(QuantityError::NotFinite(name));
            }
            if power < Watts::<A>::ZERO {
                return Err(QuantityError::Negative(name));
            }
        }
        if forward == Watts::<A>::ZERO {
            return Err(QuantityError::NotPositive("forward power"));
        }
        let ratio = reflected.to_working() / forward.to_working();
        // More than four times the forward power is not a reading.
        let size = ratio.square_root().smaller(A::Working::TWO);
        Ok(Self::Magnitude(Component::<A>::from_working(size)))
    }

    /// |Γ|² of the reading; `None` for an invalid one (NaN, infinity, below 0).
    pub(super) fn power(self) -> Option<A::Working> {
        match self {
            Self::Vector(gamma) => Some(gamma.power()),
            Self::Magnitude(size) => {
                (size.is_finite() && Component::<A>::ZERO <= size).then(|| size.to_working().square())
            }
        }
    }

    pub(super) fn seen(self) -> Seen<A::Working> {
        match self {
            Self::Vector(gamma) => Seen::Vector(gamma.complex()),
            Self::Magnitude(size) => Seen::Size(size.to_working()),
        }
    }
}

/// A reading in working numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Seen<W> {
    Vector(Complex<W>),
    Size(W),
}

impl<W: Real> Seen<W> {
    pub(super) fn power(self) -> W {
        match self {
            Self::Vector(gamma) => gamma.power(),
            Self::Size(size) => size.square(),
        }
    }
}

/// A reading and its setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Observation<W> {
    pub(super) setting: Setting,
    pub(super) seen: Seen<W>,
}

/// (1 + ρ)/(1 − ρ) of |Γ|² = ρ²; the largest word at total reflection.
pub(super) fn swr_of<A: Arithmetic>(power: A::Working) -> Swr<A> {
    Swr::of(power.square_root())
}
