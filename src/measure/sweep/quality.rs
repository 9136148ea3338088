//! How far the readings of a sweep can be trusted.

use crate::arithmetic::Arithmetic;
use crate::measure::calibration::Residual;
use crate::measure::uncertainty::Uncertainty;
use crate::quantity::{Component, Hertz};

/// A small reflection that adds to that of the load: of a connector, of a cable that does not match, of a bridge that leaks.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Ripple<A: Arithmetic> {
    /// The frequency from one crest to the next. Between what reflects and the load the wave needs half of 1/period: a
    /// cable has that length times its velocity, v/(2·period).
    pub period: Hertz,
    /// The size of the reflection, as |Γ|.
    pub size: Component<A>,
}

/// How far the readings of a sweep can be trusted; see [`SweepSurvey::quality`](super::SweepSurvey::quality).
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct SweepQuality<A: Arithmetic> {
    /// The noise of the samples: the standard deviation of a component of Γ, found where the curve is smoothest. In steps of
    /// 6e-5; a curve that bends sharply from point to point everywhere counts as noise.
    pub noise: Component<A>,
    /// The strongest regular ripple over the whole sweep; `None` where none stands out of the noise, on an uneven grid and for
    /// fewer than 16 points.
    pub ripple: Option<Ripple<A>>,
    /// The samples that fit none of their neighbours, as [`SweepReport::spoilt`](crate::measure::SweepReport::spoilt).
    pub spoilt: u32,
    /// The samples with |Γ| above 1 by more than the noise, as
    /// [`SweepReport::beyond_rim`](crate::measure::SweepReport::beyond_rim).
    pub beyond_rim: u32,
    /// The dips that are too narrow for the steps of the sweep.
    pub unresolved: u32,
    /// True where Γ turns too fast for the steps, as
    /// [`SweepReport::is_too_coarse`](crate::measure::SweepReport::is_too_coarse).
    pub too_coarse: bool,
    /// True where the readings look as if they had not been corrected: Γ turns the wrong way round as frequency rises, or
    /// more than an eighth of the samples is beyond |Γ| = 1. Not every uncorrected sweep looks so.
    pub uncorrected: bool,
    /// The samples at which a channel of the receivers was close to its limit, as the survey was
    /// [told](super::SweepSurvey::mark): the next ones may be overloaded. Turn the level down.
    pub level_high: u32,
    /// The samples at which the receivers had little signal, as the survey was told: their noise is larger.
    pub level_low: u32,
    /// What the calibration left, where that is known: nobody but the caller can tell. Screens then mark a verdict that the
    /// error of the readings reaches over.
    pub residual: Option<Residual<A>>,
}

impl<A: Arithmetic> SweepQuality<A> {
    /// Whether there is nothing to say of it: no ripple, and none of the faults. Noise alone is none.
    pub fn is_clean(&self) -> bool {
        self.ripple.is_none()
            && self.spoilt == 0
            && self.beyond_rim == 0
            && self.unresolved == 0
            && !self.too_coarse
            && !self.uncorrected
            && self.level_high == 0
            && self.level_low == 0
    }

    /// The same with what the calibration [left](Self::residual).
    #[must_use]
    pub fn with_residual(self, residual: Option<Residual<A>>) -> Self {
        Self { residual, ..self }
    }

    /// How far a reading of this sweep may be from the truth: by its noise, and by what the calibration left, where that is
    /// known.
    ///
    /// Noise is found in steps of 6e-5: below that it counts as none.
    pub fn uncertainty(&self) -> Uncertainty<A> {
        Uncertainty::of_parts(self.noise, self.residual)
    }
}
