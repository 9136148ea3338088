//! The behaviour of a tuner: limits, times, budgets.

use core::fmt;

use super::bank::BankError;
use super::sensor::{Accuracy, SensorErrors};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::swr::limit;
use crate::quantity::{Component, QuantityError, Reference, Swr, Watts, not_negative, positive};

/// Why a tuner is not made, or a run does not start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum TunerError {
    /// A setting is outside its range.
    Quantity(QuantityError),
    /// Two settings contradict each other; the text states which.
    Contradiction(&'static str),
    /// A fault of the bank, or a setting that it does not have.
    Bank(BankError),
    /// A run is under way.
    Busy,
}

impl fmt::Display for TunerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Quantity(error) => error.fmt(f),
            Self::Contradiction(what) => f.write_str(what),
            Self::Bank(error) => error.fmt(f),
            Self::Busy => f.write_str("a run is under way"),
        }
    }
}

impl core::error::Error for TunerError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            Self::Bank(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for TunerError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

impl From<BankError> for TunerError {
    fn from(error: BankError) -> Self {
        Self::Bank(error)
    }
}

/// Limits, times and budgets of a [`Tuner`](super::Tuner).
///
/// The defaults are for small relays and a transmitter that can be reduced to a few watts: check each of them.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct TunerSettings<A: Arithmetic> {
    /// The resistance to match.
    pub reference: Reference<A>,
    /// No relay moves above this forward power, watts. Take the value from the data of the relays: the power that they
    /// may switch, not the power that they may carry. Default 1 W; 0 requires the power to be off.
    pub switching_limit: Watts<A>,
    /// A reading needs at least this forward power, watts. Default 0.1 W. It may be above `switching_limit`: the tuner
    /// then asks for more and for less power in turn.
    pub measuring_minimum: Watts<A>,
    /// The time that relays need to come to rest, milliseconds. Default 15.
    pub settle_ms: u16,
    /// The longest wait for the power asked for, milliseconds. Default 5,000.
    pub power_timeout_ms: u32,
    /// The longest wait for a relay's answer or a reading, milliseconds. Default 500.
    pub reply_timeout_ms: u32,
    /// A run ends within this time, milliseconds: the way to bypass begins before, by what it may take, at most by half of
    /// this. Default 60,000.
    pub run_timeout_ms: u32,
    /// The largest number of readings in one run. Default 24.
    pub most_readings: u8,
    /// The largest number of relay operations in one run, including the way to the safe state. Default 300.
    pub most_operations: u16,
    /// Standard deviation of the sensor, as a fraction of Γ or |Γ| (a tenth of it is assumed at Γ = 0). Default 0.01.
    pub sensor_noise: Component<A>,
    /// The errors that remain in the sensor beside its noise. Default none.
    #[cfg_attr(feature = "serde", serde(default))]
    pub sensor_errors: SensorErrors<A>,
    /// The tolerance of the parts, as a fraction of their values. Default 0.05.
    pub value_error: Component<A>,
    /// At or under this SWR a stored setting is kept without a search, and the outcome is a match. Default 1.5.
    pub good_swr: Swr<A>,
    /// Above this SWR a match counts as lost. Default 2; not below `good_swr`.
    pub retune_swr: Swr<A>,
    /// The match must be lost for this time, milliseconds, before a run starts automatically; `None` (default): never.
    pub retune_after_ms: Option<u32>,
    /// The least time between two automatic runs, milliseconds. Default 10,000.
    pub rest_ms: u32,
}

/// The limits of power, the budget of a run, and what is good enough.
#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TunerSettings<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "reference {}, switching up to {}, measuring from {}, {=u8} readings, {=u16} operations, good SWR {}",
            self.reference,
            self.switching_limit,
            self.measuring_minimum,
            self.most_readings,
            self.most_operations,
            self.good_swr,
        );
    }
}

impl<A: Arithmetic> TunerSettings<A> {
    setters! {
        with_reference(reference: Reference<A>);
        with_switching_limit(switching_limit: Watts<A>);
        with_measuring_minimum(measuring_minimum: Watts<A>);
        with_settle_ms(settle_ms: u16);
        with_power_timeout_ms(power_timeout_ms: u32);
        with_reply_timeout_ms(reply_timeout_ms: u32);
        with_run_timeout_ms(run_timeout_ms: u32);
        with_most_readings(most_readings: u8);
        with_most_operations(most_operations: u16);
        with_sensor_noise(sensor_noise: Component<A>);
        with_sensor_errors(sensor_errors: SensorErrors<A>);
        with_value_error(value_error: Component<A>);
        with_good_swr(good_swr: Swr<A>);
        with_retune_swr(retune_swr: Swr<A>);
        with_retune_after_ms(retune_after_ms: Option<u32>);
        with_rest_ms(rest_ms: u32);
    }
}

impl<A: Arithmetic> TunerSettings<A> {
    /// The defaults stated at each field.
    pub const fn new() -> Self {
        Self {
            reference: Reference::fifty(),
            switching_limit: Watts::whole::<1>(),
            measuring_minimum: Watts::thousandths::<100>(),
            settle_ms: 15,
            power_timeout_ms: 5_000,
            reply_timeout_ms: 500,
            run_timeout_ms: 60_000,
            most_readings: 24,
            most_operations: 300,
            sensor_noise: Component::thousandths::<10>(),
            sensor_errors: SensorErrors::none(),
            value_error: Component::thousandths::<50>(),
            good_swr: Swr::thousandths::<1_500>(),
            retune_swr: Swr::whole::<2>(),
            retune_after_ms: None,
            rest_ms: 10_000,
        }
    }
}

impl<A: Arithmetic> Default for TunerSettings<A> {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}

/// The longest time that can be distinguished from one in the past, milliseconds: the clock is a `u32` and wraps.
const LONGEST_MS: u32 = 1 << 30;

impl<A: Arithmetic> TunerSettings<A> {
    pub(super) fn check(&self, most_operations: u16) -> Result<(), TunerError> {
        self.check_values()?;
        self.check_times()?;
        if u32::from(self.settle_ms) >= self.run_timeout_ms {
            return Err(TunerError::Contradiction(
                "a run ends before the first relay has come to rest",
            ));
        }
        if self.most_readings == 0 {
            return Err(QuantityError::NotPositive("most readings").into());
        }
        // To bypass at the start, to a setting, and back to bypass: with less nothing can be done.
        if self.most_operations < most_operations.saturating_mul(3) {
            return Err(TunerError::Contradiction(
                "the budget of relay operations is less than three times what the bank may need at once",
            ));
        }
        Ok(())
    }

    /// Powers, errors and SWRs, each alone and against the others.
    fn check_values(&self) -> Result<(), TunerError> {
        let watts = [
            (self.switching_limit, "switching limit"),
            (self.measuring_minimum, "measuring minimum"),
        ];
        for (power, name) in watts {
            not_negative(power, name)?;
        }
        let parts = [
            (
                self.sensor_noise,
                outside!("sensor noise", "must be above 0 and at most 0.5"),
            ),
            (
                self.value_error,
                outside!("value error", "must be above 0 and at most 0.5"),
            ),
        ];
        for (part, beyond) in parts {
            positive(part, beyond.parameter())?;
            if part.to_working() > A::Working::HALF {
                return Err(beyond.into());
            }
        }
        self.sensor_errors.check()?;
        for (swr, name) in [(self.good_swr, "good SWR"), (self.retune_swr, "retune SWR")] {
            limit(swr, name)?;
        }
        if self.retune_swr < self.good_swr {
            return Err(TunerError::Contradiction(
                "a match counts as lost at an SWR that is still good",
            ));
        }
        Ok(())
    }

    fn check_times(&self) -> Result<(), QuantityError> {
        let times = [
            (
                self.power_timeout_ms,
                outside!("power timeout", "must be at most 1073741824 ms"),
            ),
            (
                self.reply_timeout_ms,
                outside!("reply timeout", "must be at most 1073741824 ms"),
            ),
            (
                self.run_timeout_ms,
                outside!("run timeout", "must be at most 1073741824 ms"),
            ),
        ];
        for (time, beyond) in times {
            if time == 0 {
                return Err(QuantityError::NotPositive(beyond.parameter()));
            }
        }
        let rest = [
            (
                self.retune_after_ms.unwrap_or(0),
                outside!("retune time", "must be at most 1073741824 ms"),
            ),
            (
                self.rest_ms,
                outside!("rest time", "must be at most 1073741824 ms"),
            ),
        ];
        for (time, beyond) in times.into_iter().chain(rest) {
            if time > LONGEST_MS {
                return Err(beyond);
            }
        }
        Ok(())
    }

    /// A run works for this long; what is left of its time, at most half, is for the way to bypass.
    pub(super) fn working_ms(&self) -> u32 {
        let step = self.reply_timeout_ms.saturating_add(self.settle_ms.into());
        let way = step.saturating_mul(3).saturating_add(self.power_timeout_ms);
        self.run_timeout_ms
            .saturating_sub(way.min(self.run_timeout_ms / 2))
    }

    /// After this time nothing is waited for before relays move.
    pub(super) fn moving_ms(&self) -> u32 {
        let step = self.reply_timeout_ms.saturating_add(self.settle_ms.into());
        self.run_timeout_ms
            .saturating_sub(step.min(self.run_timeout_ms / 4))
    }

    /// How far a reading may be off.
    pub(super) fn accuracy(&self) -> Accuracy<A::Working> {
        self.sensor_errors.accuracy(self.sensor_noise)
    }

    /// Standard deviation of a part's error: uniform between the ends of its tolerance.
    pub(super) fn tolerance(&self) -> A::Working {
        // 1/√3.
        self.value_error.to_working() * (A::Working::from_i32(577) / A::Working::from_i32(1000))
    }
}
