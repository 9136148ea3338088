//! How far a reading of Γ may be from the truth, and what that leaves of its SWR.

use super::calibration::Residual;
use super::detector::SwrInterval;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::swr::limit;
use crate::quantity::{Component, Decibels, QuantityError, Reflection, Swr, not_negative};

/// Whether a reading keeps an SWR limit, with what is known of its error.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[must_use = "it says whether the limit is kept"]
pub enum Certainty {
    /// Every Γ that the reading may stand for keeps the limit.
    Within,
    /// Some do and some do not: the reading cannot decide.
    Undecided,
    /// None keeps it.
    Beyond,
}

/// How far a corrected reading of Γ may be from the truth: the noise of the reading, and what the calibration left.
///
/// The noise is that of [`SweepQuality::noise`](super::SweepQuality::noise), of a
/// [`VectorAverage`](super::detector::VectorAverage), or known of the instrument; the residual errors are those of a
/// [`QualityCheck`](super::calibration::QualityCheck), or of a data sheet. Without either, a reading counts as exact.
///
/// ```
/// use ohmwright::double::{Reflection, Residual, Uncertainty};
/// use ohmwright::measure::Certainty;
///
/// // A directivity of 40 dB, and noise of 0.001.
/// let residual = Residual::from_decibels(40.0.into(), 40.0.into(), 40.0.into())?;
/// let uncertainty = Uncertainty::new().with_residual(residual).with_noise(0.001)?;
/// let gamma = Reflection::new(0.06, 0.08)?; // |Γ| = 0.1, SWR 1.22
/// let swr = uncertainty.swr(gamma);
/// assert!(swr.low < 1.195 && swr.high.is_some_and(|high| high > 1.25));
/// assert_eq!(uncertainty.judge(gamma, 1.5)?, Certainty::Within);
/// assert_eq!(uncertainty.judge(gamma, 1.22)?, Certainty::Undecided);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Uncertainty<A: Arithmetic> {
    noise: Component<A>,
    residual: Option<Residual<A>>,
}

impl<A: Arithmetic> Default for Uncertainty<A> {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}

impl<A: Arithmetic> Uncertainty<A> {
    /// Of a reading that is exact.
    pub const fn new() -> Self {
        Self {
            noise: Component::whole::<0>(),
            residual: None,
        }
    }

    /// From a noise that is known to be finite and not negative.
    pub(super) const fn of_parts(noise: Component<A>, residual: Option<Residual<A>>) -> Self {
        Self { noise, residual }
    }

    /// The same with this noise: the standard deviation of a component of the corrected Γ. Three times as much counts:
    /// for normal noise |Γ| is within that in 99.7 of 100 readings, and Γ in 98.9.
    ///
    /// # Errors
    /// [`QuantityError`] for a noise that is negative or not finite.
    pub fn with_noise(self, noise: impl Into<Component<A>>) -> Result<Self, QuantityError> {
        let noise = not_negative(noise.into(), "noise")?;
        Ok(Self { noise, ..self })
    }

    /// The same with these residual errors of the calibration.
    #[must_use]
    pub fn with_residual(self, residual: Residual<A>) -> Self {
        Self {
            residual: Some(residual),
            ..self
        }
    }

    /// The noise that counts three times.
    pub fn noise(&self) -> Component<A> {
        self.noise
    }

    /// The residual errors, where they are known.
    pub fn residual(&self) -> Option<Residual<A>> {
        self.residual
    }

    /// The largest distance of the true Γ from this reading of it; `None` where the residual errors set no bound (a
    /// tracking wrong by its own size, say).
    ///
    /// With the reading m, the residual directivity d, source match s and tracking t it is
    /// d + (|m| + d)·e/(1 − e) with e = t + s·(|m| + d), and three times the noise: m = D + (1 + T)·Γ/(1 − S·Γ), the
    /// error model of one port, solved for Γ with each term at its largest and in its worst phase. The error of the result is
    /// within 1e-6 of it, and half a unit of the word.
    pub fn distance(&self, reading: Reflection<A>) -> Option<Component<A>> {
        let distance = Component::from_working(self.working(reading)?);
        // A saturated word is no bound.
        (!distance.is_at_end()).then_some(distance)
    }

    fn working(&self, reading: Reflection<A>) -> Option<A::Working> {
        let noise = self.noise.to_working() * A::Working::from_i32(3);
        let Some(residual) = self.residual else {
            return Some(noise);
        };
        let [leak, source, tracking] =
            [residual.directivity, residual.source_match, residual.tracking].map(|term| term.to_working());
        let most = reading.power().square_root() + leak;
        let error = tracking + source * most;
        let rest = A::Working::ONE - error;
        // Written so that NaN sets no bound either.
        (rest > A::Working::ZERO).then(|| leak + most * error / rest + noise)
    }

    /// The lowest and the highest |Γ| that the reading may stand for; the highest is `None` without a bound.
    fn ends(&self, reading: Reflection<A>) -> (A::Working, Option<A::Working>) {
        let rho = reading.power().square_root();
        match self.working(reading) {
            Some(distance) => ((rho - distance).larger(A::Working::ZERO), Some(rho + distance)),
            None => (A::Working::ZERO, None),
        }
    }

    /// The SWRs that the reading may stand for; `high` is `None` where all may be reflected. For an exact reading both are
    /// its SWR.
    ///
    /// Near the rim an SWR makes much of little: with a directivity of 30 dB alone a reading of 10 stands for 8.4 to 12.3.
    pub fn swr(&self, reading: Reflection<A>) -> SwrInterval<A> {
        if self.is_exact() {
            let swr = reading.swr();
            let high = (swr != Swr::MAX).then_some(swr);
            return SwrInterval { low: swr, high };
        }
        let (low, high) = self.ends(reading);
        let high = high.map(Swr::of).filter(|swr| *swr != Swr::MAX);
        SwrInterval {
            low: Swr::of(low),
            high,
        }
    }

    /// The lowest and the highest return loss that the reading may stand for, in dB; the highest is the family's largest value
    /// where there may be no reflection at all, the lowest its smallest where nothing bounds the reading.
    pub fn return_loss(&self, reading: Reflection<A>) -> (Decibels<A>, Decibels<A>) {
        if self.is_exact() {
            return (reading.return_loss(), reading.return_loss());
        }
        let loss = |rho: A::Working| Decibels::from_working(-rho.square().decibels());
        let (low, high) = self.ends(reading);
        (
            high.map_or(Decibels::MIN, loss),
            if low > A::Working::ZERO {
                loss(low)
            } else {
                Decibels::MAX
            },
        )
    }

    /// Whether the reading keeps an SWR limit.
    ///
    /// # Errors
    /// [`QuantityError`] for a limit below 1 or not finite.
    pub fn judge(
        &self,
        reading: Reflection<A>,
        limit: impl Into<Swr<A>>,
    ) -> Result<Certainty, QuantityError> {
        let limit = limit.into();
        self::limit(limit, "SWR limit")?;
        let SwrInterval { low, high } = self.swr(reading);
        Ok(match high {
            Some(high) if high <= limit => Certainty::Within,
            _ if low > limit => Certainty::Beyond,
            _ => Certainty::Undecided,
        })
    }

    fn is_exact(&self) -> bool {
        self.residual.is_none() && self.noise == Component::ZERO
    }
}
