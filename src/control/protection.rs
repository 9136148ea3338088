//! A fast verdict on every reading, independent of tuning: is the match good enough to transmit?

use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::swr::SwrLimit;
use crate::quantity::{QuantityError, Swr, Watts};

use super::reading::SensorReading;
use super::settings::TunerError;

/// What to do about a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
#[must_use = "a transmitter is only protected if it is heeded"]
pub enum Verdict {
    /// Nothing to do.
    Fine,
    /// Warn the operator, or reduce the power.
    Alarm,
    /// Switch the power off at once, and keep it off until a person has checked: [`Protection::reset`].
    Trip,
}

/// An alarm and a trip by SWR.
///
/// A reading costs a square and two comparisons, no division and no root: it can be checked in an interrupt at every
/// conversion. During a tuning run high readings are normal: set `least_power` above the tuning power. A power or a
/// reading that cannot be true, as of a broken sensor, counts as a bad one: see [`check`](Self::check).
///
/// ```
/// use ohmwright::control::{Protection, SensorReading, Verdict};
/// use ohmwright::floating::Reflection;
///
/// let mut protection = Protection::<f32>::new(2.0, 5.0, 10.0, 2)?;
/// let at_swr = |swr| SensorReading::from_swr(swr);
/// assert_eq!(protection.check(50.0, at_swr(1.5)?), Verdict::Fine);
/// assert_eq!(protection.check(50.0, at_swr(3.0)?), Verdict::Alarm);
/// assert_eq!(protection.check(5.0, at_swr(9.0)?), Verdict::Fine); // too little power to matter
/// assert_eq!(protection.check(50.0, at_swr(9.0)?), Verdict::Alarm); // one reading may be a spike
/// assert_eq!(protection.check(50.0, at_swr(9.0)?), Verdict::Trip);
/// assert_eq!(protection.check(50.0, at_swr(1.0)?), Verdict::Trip); // until the reset
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Protection<A: Arithmetic> {
    alarm: SwrLimit<A>,
    trip: SwrLimit<A>,
    least_power: Watts<A>,
    readings_to_trip: u8,
    in_a_row: u8,
    has_tripped: bool,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Protection<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match self.has_tripped {
            true => defmt::write!(f, "protection tripped"),
            false => defmt::write!(f, "protection armed"),
        }
    }
}

impl<A: Arithmetic> Protection<A> {
    /// An alarm above one SWR, a trip after `readings_to_trip` readings in a row above another; both only at or above
    /// the forward power `least_power` (watts).
    ///
    /// # Errors
    /// [`Quantity`](TunerError::Quantity) for an SWR below 1 or not finite, a power that is negative or not finite, or
    /// 0 readings; [`Contradiction`](TunerError::Contradiction) for an alarm SWR above the trip SWR.
    pub fn new(
        alarm_swr: impl Into<Swr<A>>,
        trip_swr: impl Into<Swr<A>>,
        least_power: impl Into<Watts<A>>,
        readings_to_trip: u8,
    ) -> Result<Self, TunerError> {
        let (alarm_swr, trip_swr, least_power) = (alarm_swr.into(), trip_swr.into(), least_power.into());
        if trip_swr < alarm_swr {
            return Err(TunerError::Contradiction(
                "the alarm SWR must not be above the trip SWR",
            ));
        }
        if !least_power.is_finite() {
            return Err(QuantityError::NotFinite("least power").into());
        }
        if least_power < Watts::<A>::ZERO {
            return Err(QuantityError::Negative("least power").into());
        }
        if readings_to_trip == 0 {
            return Err(QuantityError::NotPositive("readings to trip").into());
        }
        Ok(Self {
            alarm: SwrLimit::new(alarm_swr).map_err(|error| error.of("alarm SWR"))?,
            trip: SwrLimit::new(trip_swr).map_err(|error| error.of("trip SWR"))?,
            least_power,
            readings_to_trip,
            in_a_row: 0,
            has_tripped: false,
        })
    }

    /// The verdict on a reading at this forward power, watts.
    ///
    /// What cannot be true counts as a reading above the trip SWR, to be safe, whatever the other of the two says: a
    /// forward power that is NaN, negative, infinite or at the end of its word (524 kW in fixed point: the sensor is
    /// overdriven or disconnected), and a reading that is NaN, infinite or below 0. At a power below `least_power` only
    /// the power is looked at. A sensor that reads a little below 0 W when the transmitter is off needs its offset
    /// removed, and what is left below 0 set to 0, before this call.
    pub fn check(&mut self, forward_power: impl Into<Watts<A>>, reading: SensorReading<A>) -> Verdict {
        let forward_power = forward_power.into();
        if self.has_tripped {
            return Verdict::Trip;
        }
        // Written so that a NaN, which no comparison holds for, is not possible.
        let is_possible = Watts::<A>::ZERO <= forward_power && forward_power < Watts::<A>::MAX;
        if is_possible && forward_power < self.least_power {
            self.in_a_row = 0;
            return Verdict::Fine;
        }
        let reflected = match reading.power() {
            Some(power) if is_possible => power,
            _ => A::Working::LARGEST,
        };
        if reflected > self.trip.power {
            self.in_a_row = self.in_a_row.saturating_add(1);
            if self.in_a_row >= self.readings_to_trip {
                self.has_tripped = true;
                return Verdict::Trip;
            }
            return Verdict::Alarm;
        }
        self.in_a_row = 0;
        if reflected > self.alarm.power {
            Verdict::Alarm
        } else {
            Verdict::Fine
        }
    }

    /// Whether it has tripped.
    pub fn has_tripped(&self) -> bool {
        self.has_tripped
    }

    /// Ends the trip, after a person has checked the cause.
    pub fn reset(&mut self) {
        self.in_a_row = 0;
        self.has_tripped = false;
    }
}
