//! A directional coupler with a diode detector on each of its ports.

use super::level::{Level, LevelTable};
use super::{Channel, DetectorError, Quality};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{
    Component, Decibels, QuantityError, Reference, Swr, Volts, Watts, not_negative, positive,
};

/// The data of the coupler and the converter.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct ScalarSettings<A: Arithmetic> {
    /// The resistance for which the coupler is made, and which terminates its ports.
    pub reference: Reference<A>,
    /// The power of the forward and of the reverse port below that of the line, dB, 0 or more.
    pub coupling: Decibels<A>,
    /// The least directivity of the coupler, dB, above 0: the level of the reverse port at a perfect match, below the
    /// forward port. Use the worst figure of the data sheet, since the interval depends on it.
    pub directivity: Decibels<A>,
    /// The count at the converter's limit.
    pub full_scale: i32,
    /// The least forward voltage accepted as divisor, at the detector; above 0.
    pub weakest: Volts<A>,
}

impl<A: Arithmetic> ScalarSettings<A> {
    setters! {
        with_reference(reference: Reference<A>);
        with_coupling(coupling: Decibels<A>);
        with_directivity(directivity: Decibels<A>);
        with_full_scale(full_scale: i32);
        with_weakest(weakest: Volts<A>);
    }
}

/// Forward and reflected power, |Γ| and SWR from the counts of two diode detectors.
///
/// ```
/// use ohmwright::double::{LevelTable, Reference, ScalarDetector, ScalarSettings};
///
/// // Linear detectors with one count per millivolt, on a coupler of 20 dB.
/// let points = [(0, 0.0.into()), (4_000, 4.0.into())];
/// let table = LevelTable::new(&points)?;
/// let detector = ScalarDetector::new(
///     ScalarSettings {
///         reference: Reference::fifty(),
///         coupling: 20.0.into(),
///         directivity: 30.0.into(),
///         full_scale: 4_095,
///         weakest: 0.05.into(),
///     },
///     table,
///     table,
/// )?;
/// let reading = detector.read(2_000, 400)?;
/// assert!((reading.forward() - 8.0).abs() < 1e-9); // 2² V² / 50 Ω, 20 dB below the line
/// assert!((reading.swr() - 1.5).abs() < 1e-9);
/// let interval = reading.swr_interval(); // the uncertainty from a directivity of 30 dB
/// assert!((interval.low - 1.405).abs() < 1e-3 && (interval.high.unwrap() - 1.602).abs() < 1e-3);
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScalarDetector<'a, A: Arithmetic> {
    settings: ScalarSettings<A>,
    forward: LevelTable<'a, A>,
    reverse: LevelTable<'a, A>,
    /// Watts on the line per squared volt at the detector.
    watts: A::Working,
    /// The leakage, as a fraction of the forward voltage.
    leak: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ScalarDetector<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "scalar detector: {}", self.settings);
    }
}

impl<'a, A: Arithmetic> ScalarDetector<'a, A> {
    /// A detector with a table for each diode (the same table twice if they are alike). The tables hold volts, root
    /// mean square, at the detector's input.
    ///
    /// # Errors
    /// [`DetectorError::Quantity`] for a coupling below 0 or above 200 dB, a directivity not above 0 or above 200 dB, a
    /// full scale or a weakest voltage not above 0, or a value that is not finite.
    pub fn new(
        settings: ScalarSettings<A>,
        forward: LevelTable<'a, A>,
        reverse: LevelTable<'a, A>,
    ) -> Result<Self, DetectorError> {
        let decibels = |value: Decibels<A>, beyond: QuantityError| {
            let value = not_negative(value, beyond.parameter())?.to_working();
            if value > A::Working::from_i32(200) {
                return Err(beyond);
            }
            Ok(value)
        };
        let coupling = decibels(
            settings.coupling,
            outside!("coupling", "must be from 0 to 200 dB"),
        )?;
        let directivity = decibels(
            settings.directivity,
            outside!("directivity", "must be above 0 and at most 200 dB"),
        )?;
        if directivity.is_zero() {
            return Err(QuantityError::NotPositive("directivity").into());
        }
        if settings.full_scale <= 0 {
            return Err(QuantityError::NotPositive("full scale").into());
        }
        positive(settings.weakest, "weakest voltage")?;
        Ok(Self {
            settings,
            forward,
            reverse,
            watts: coupling.ratio_of_decibels() / settings.reference.working(),
            leak: (-directivity * A::Working::HALF).ratio_of_decibels(),
        })
    }

    /// The settings.
    pub fn settings(&self) -> &ScalarSettings<A> {
        &self.settings
    }

    /// A reading from the counts of both detectors.
    ///
    /// A good match may bring the reverse detector below the first point of its table. That is no error: the reading is
    /// then that of the first point, marked as an [upper limit](Quality::upper_limit).
    ///
    /// # Errors
    /// [`DetectorError::Overload`] for a count at the limit, [`DetectorError::AboveTable`] for one above its table;
    /// [`DetectorError::BelowTable`] and [`DetectorError::TooWeak`] for the forward detector only.
    pub fn read(&self, forward: i32, reverse: i32) -> Result<ScalarReading<A>, DetectorError> {
        let full_scale = self.settings.full_scale;
        for (counts, channel) in [(forward, Channel::Forward), (reverse, Channel::Reverse)] {
            if counts >= full_scale {
                return Err(DetectorError::Overload(channel));
            }
        }
        let sent = self.forward.inside(forward, Channel::Forward)?;
        let weakest = self.settings.weakest.to_working();
        if sent < weakest {
            return Err(DetectorError::TooWeak(Channel::Forward));
        }
        let (back, upper_limit) = match self.reverse.look_up(reverse) {
            Level::Inside(level) => (level, false),
            Level::Below(level) => (level, true),
            Level::Above => return Err(DetectorError::AboveTable(Channel::Reverse)),
        };
        let high = full_scale.saturating_sub(full_scale >> 3);
        let rho = back / sent;
        Ok(ScalarReading {
            sent,
            back,
            watts: self.watts,
            rho,
            leak: self.leak,
            quality: Quality {
                near_overload: forward >= high || reverse >= high,
                weak: sent < A::Working::from_i32(4) * weakest,
                phase_ambiguous: true,
                above_unity: rho > A::Working::ONE,
                upper_limit,
            },
        })
    }
}

/// The interval that contains an SWR.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct SwrInterval<A: Arithmetic> {
    /// The lowest SWR.
    pub low: Swr<A>,
    /// The highest SWR; `None` if there is no limit: the load may reflect everything.
    pub high: Option<Swr<A>>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for SwrInterval<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match self.high {
            Some(high) => defmt::write!(f, "SWR {} to {}", self.low, high),
            None => defmt::write!(f, "SWR {} or more", self.low),
        }
    }
}

/// Powers and |Γ| of a load, and their uncertainty from the coupler.
///
/// In addition to the errors of table and counts, the error of |Γ| is 2e-8·|Γ| in fixed point and 5e-7·|Γ| in `f32`,
/// and half a unit of the word (3.1e-5 in 16 bits); that of the powers 1e-7 relative (5e-6 in `f32`) and half a unit of
/// their word, 0.12 mW in fixed point. The coupling is used as its word stores it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScalarReading<A: Arithmetic> {
    /// At the detectors, volts.
    sent: A::Working,
    back: A::Working,
    watts: A::Working,
    rho: A::Working,
    leak: A::Working,
    quality: Quality,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ScalarReading<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "forward {}, reflected {}, delivered {}, |Gamma| {}, SWR {} ({}), {}",
            self.forward(),
            self.reflected(),
            self.delivered(),
            self.magnitude(),
            self.swr(),
            self.swr_interval(),
            self.quality,
        );
    }
}

impl<A: Arithmetic> ScalarReading<A> {
    /// The power towards the load, watts. Saturates.
    pub fn forward(&self) -> Watts<A> {
        self.watts(self.sent.square())
    }

    /// The power reflected by the load, watts. Saturates.
    pub fn reflected(&self) -> Watts<A> {
        self.watts(self.back.square())
    }

    /// Forward minus reflected power, watts: the power that the load takes. Negative if |Γ| > 1.
    pub fn delivered(&self) -> Watts<A> {
        self.watts((self.sent - self.back) * (self.sent + self.back))
    }

    /// |Γ|; if it is above 1 ([`Quality::above_unity`]), it saturates at the largest word.
    pub fn magnitude(&self) -> Component<A> {
        Component::<A>::from_working(self.rho)
    }

    /// The standing wave ratio; the family's largest value for |Γ| ≥ 1.
    pub fn swr(&self) -> Swr<A> {
        Swr::of(self.rho)
    }

    /// The lowest and the highest |Γ| that agree with the reading, given the directivity. A coupler that leaks D of the
    /// forward voltage in any phase shows between |Γ| − D and |Γ| + D (common practice), so |Γ| lies within D of the
    /// reading, and not below 0. If the reading is an upper limit, the lowest is 0.
    ///
    /// This bounds the effect of the directivity alone, without table, diodes and connectors.
    pub fn magnitude_interval(&self) -> (Component<A>, Component<A>) {
        let (low, high) = self.ends();
        (
            Component::<A>::from_working(low),
            Component::<A>::from_working(high),
        )
    }

    /// The SWR of both limits; `high` is `None` from |Γ| + D = 1 on, and if it is beyond the word.
    pub fn swr_interval(&self) -> SwrInterval<A> {
        let (low, high) = self.ends();
        SwrInterval {
            low: Swr::of(low),
            high: standing_wave::<A>(high),
        }
    }

    /// The marks of the reading; the phase is never known.
    pub fn quality(&self) -> Quality {
        self.quality
    }

    fn watts(&self, square: A::Working) -> Watts<A> {
        Watts::<A>::from_working(self.watts * square)
    }

    fn ends(&self) -> (A::Working, A::Working) {
        let low = if self.quality.upper_limit {
            A::Working::ZERO
        } else {
            (self.rho - self.leak).larger(A::Working::ZERO)
        };
        (low, self.rho + self.leak)
    }
}

/// (1 + ρ)/(1 − ρ), or `None` from 1 on and beyond the word.
fn standing_wave<A: Arithmetic>(rho: A::Working) -> Option<Swr<A>> {
    let swr = Swr::of(rho);
    (swr != Swr::MAX).then_some(swr)
}
