//! A directional coupler with a diode detector on each of its ports.

use super::level::{Level, LevelTable};
use super::{Channel, DetectorError, Quality};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{
    Component, Decibels, QuantityError, Reference, Swr, Volts, Watts, not_negative, positive,
};

/// What a scalar detector must know of its coupler and its converter.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct ScalarSettings<A: Arithmetic> {
    /// The resistance the coupler is made for, which ends each of its ports.
    pub reference: Reference<A>,
    /// By how much less than the line the forward and the reverse port carry, dB, 0 or more.
    pub coupling: Decibels<A>,
    /// The least directivity of the coupler, dB, above 0: what the reverse port shows of a perfect match, below the
    /// forward port. The data sheet's figure at its worst, since the interval rests on it.
    pub directivity: Decibels<A>,
    /// The count at the converter's end.
    pub full_scale: i32,
    /// The least forward voltage that is divided by, at the detector; above 0.
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
/// // Linear detectors that give a count for each millivolt, on a coupler of 20 dB.
/// let points = [(0, 0.0), (4_000, 4.0)];
/// let table = LevelTable::new(&points)?;
/// let detector = ScalarDetector::new(
///     ScalarSettings {
///         reference: Reference::fifty(),
///         coupling: 20.0,
///         directivity: 30.0,
///         full_scale: 4_095,
///         weakest: 0.05,
///     },
///     table,
///     table,
/// )?;
/// let reading = detector.read(2_000, 400)?;
/// assert!((reading.forward() - 8.0).abs() < 1e-9); // 2² V² / 50 Ω, 20 dB below the line
/// assert!((reading.swr() - 1.5).abs() < 1e-9);
/// let interval = reading.swr_interval(); // the directivity of 30 dB leaves this much open
/// assert!((interval.low - 1.405).abs() < 1e-3 && (interval.high.unwrap() - 1.602).abs() < 1e-3);
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScalarDetector<'a, A: Arithmetic> {
    settings: ScalarSettings<A>,
    forward: LevelTable<'a, A>,
    reverse: LevelTable<'a, A>,
    /// Watts on the line for each square of a volt at the detector.
    watts: A::Working,
    /// What leaks, as part of the forward voltage.
    leak: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ScalarDetector<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "scalar detector: {}", self.settings);
    }
}

impl<'a, A: Arithmetic> ScalarDetector<'a, A> {
    /// With a table for each diode (the same one twice where they are alike). The tables hold volts, root mean square, at
    /// the detector's input.
    ///
    /// # Errors
    /// [`DetectorError::Quantity`]: a coupling that is negative or beyond 200 dB, a directivity that is not above 0 or
    /// beyond 200 dB, a full scale or a weakest voltage that is not above 0, or no number.
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

    /// From the counts of both detectors.
    ///
    /// A good match may bring the reverse detector below the first point of its table. That is no error: the reading is
    /// then that of the first point, marked as an [upper limit](Quality::upper_limit).
    ///
    /// # Errors
    /// [`DetectorError::Overload`], [`DetectorError::AboveTable`]; [`DetectorError::BelowTable`] and
    /// [`DetectorError::TooWeak`] of the forward detector.
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

/// The interval in which an SWR lies.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct SwrInterval<A: Arithmetic> {
    /// At least this.
    pub low: Swr<A>,
    /// At most this; `None` where there is no limit: the load may reflect everything.
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

/// Powers and |Γ| of a load, and how far the coupler lets one trust them.
///
/// Beyond what the table and the counts say, |Γ| is right to 2e-8·|Γ| in fixed point and to 5e-7·|Γ| in `f32`, and half
/// a unit of the word (1.6e-5 in 16 bits); the powers to 1e-7 of themselves (5e-6 in `f32`) and half a unit of their
/// word, 0.12 mW in fixed point; the coupling is taken as its word holds it.
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
    /// The power that goes towards the load, watts. Saturates.
    pub fn forward(&self) -> Watts<A> {
        self.watts(self.sent.square())
    }

    /// The power that comes back, watts. Saturates.
    pub fn reflected(&self) -> Watts<A> {
        self.watts(self.back.square())
    }

    /// Forward less reflected power, watts: what the load takes. Negative where more seems to come back.
    pub fn delivered(&self) -> Watts<A> {
        self.watts((self.sent - self.back) * (self.sent + self.back))
    }

    /// |Γ|; above 1 where more seems to come back than was sent ([`Quality::above_unity`]), and then saturating at the
    /// end of the word.
    pub fn magnitude(&self) -> Component<A> {
        Component::<A>::from_working(self.rho)
    }

    /// The standing wave ratio; from |Γ| = 1 on the family's largest value.
    pub fn swr(&self) -> Swr<A> {
        Swr::of(self.rho)
    }

    /// The least and the largest |Γ| that may stand behind the reading, given the directivity: a coupler that leaks D of
    /// the forward voltage in any phase shows between |Γ| − D and |Γ| + D (common practice), so |Γ| lies within D of what
    /// is shown, and not below 0. Of an upper limit the least is 0.
    ///
    /// This is a bound, for what the directivity does. What table, diodes and connectors do comes on top.
    pub fn magnitude_interval(&self) -> (Component<A>, Component<A>) {
        let (low, high) = self.ends();
        (
            Component::<A>::from_working(low),
            Component::<A>::from_working(high),
        )
    }

    /// The SWR of both: without an upper limit from |Γ| + D = 1 on, and where it is beyond the word.
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
