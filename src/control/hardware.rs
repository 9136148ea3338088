//! The interface of a tuner to a board, and a driver that joins them.
//!
//! There are two small traits, a sensor and a bank of relays, each with its own error type, each implemented for
//! `&mut T` as well. [`TunerDriver`] joins both to the [`Tuner`] and is stepped with the time: from a main loop, from a
//! task of a real-time system, or from an async task, since it never blocks and states when it must be called next. If
//! reading or switching is itself asynchronous, use [`Tuner::step`] directly: pass events and execute its commands.

use super::command::{Command, Event, TunerReport};
use super::reading::SensorReading;
use super::setting::Positions;
use super::tuner::Tuner;
use crate::arithmetic::Arithmetic;
use crate::quantity::Watts;

/// A sensor at the transmitter's end of the bank.
pub trait MatchSensor<A: Arithmetic> {
    /// Why a reading failed.
    type Error;

    /// The forward power now, watts.
    ///
    /// # Errors
    /// The error of the sensor.
    fn forward_power(&mut self) -> Result<Watts<A>, Self::Error>;

    /// One reading, averaged as the board requires.
    ///
    /// # Errors
    /// The error of the sensor.
    fn read(&mut self) -> Result<SensorReading<A>, Self::Error>;
}

impl<A: Arithmetic, T: MatchSensor<A> + ?Sized> MatchSensor<A> for &mut T {
    type Error = T::Error;

    fn forward_power(&mut self) -> Result<Watts<A>, Self::Error> {
        (**self).forward_power()
    }

    fn read(&mut self) -> Result<SensorReading<A>, Self::Error> {
        (**self).read()
    }
}

/// The relays of a bank.
pub trait SwitchedBank {
    /// Why the relays could not be set.
    type Error;

    /// Drives the relays to these positions and returns without waiting for them to settle.
    ///
    /// # Errors
    /// The error of the board, such as a relay driver that does not answer.
    fn set(&mut self, positions: Positions) -> Result<(), Self::Error>;
}

impl<T: SwitchedBank + ?Sized> SwitchedBank for &mut T {
    type Error = T::Error;

    fn set(&mut self, positions: Positions) -> Result<(), Self::Error> {
        (**self).set(positions)
    }
}

/// The result of a step of the driver.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
#[must_use = "it says what the caller has to do"]
pub enum Progress<A: Arithmetic> {
    /// No run is under way.
    Idle,
    /// Nothing to do before this time.
    SleepUntil(u32),
    /// Reduce the forward power to this value or less, watts; step again soon.
    ReducePower(Watts<A>),
    /// Raise the forward power to this value or more, watts; step again soon.
    RaisePower(Watts<A>),
    /// Step again at once.
    Busy,
    /// The run is over.
    Done(TunerReport<A>),
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Progress<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match self {
            Self::Idle => defmt::write!(f, "idle"),
            Self::SleepUntil(time) => defmt::write!(f, "sleep until {=u32} ms", *time),
            Self::ReducePower(watts) => defmt::write!(f, "reduce power to {}", watts),
            Self::RaisePower(watts) => defmt::write!(f, "raise power to {}", watts),
            Self::Busy => defmt::write!(f, "busy"),
            Self::Done(report) => defmt::write!(f, "done: {}", report),
        }
    }
}

/// A tuner with its sensor and its relays.
///
/// ```
/// use ohmwright::control::mock::{AntennaModel, SimulatedBench};
/// use ohmwright::control::{
///     Arrangement, Bank, BankCapacitor, BankCoil, Outcome, Progress, Tuner, TunerDriver, TunerSettings,
/// };
/// use ohmwright::floating::{Capacitance, Family, Impedance, Inductance};
/// use ohmwright::quantity::Hertz;
///
/// let coils = core::array::from_fn(|k| BankCoil::lossless(Inductance::from_picohenries(50_000 << k)));
/// let capacitors = core::array::from_fn(|k| BankCapacitor::lossless(Capacitance::from_femtofarads(10_000 << k)));
/// let bank = Bank::<Family, 7, 7>::new(coils, capacitors, Arrangement::Changeover)?;
/// let frequency = Hertz::from_kilohertz(5_300);
///
/// // On a board these are your own.
/// let bench = SimulatedBench::new(bank, AntennaModel::Fixed(Impedance::new(18.0, -45.0)?), frequency, 1);
///
/// let mut tuner = Tuner::new(bank, TunerSettings::default())?;
/// tuner.start(0, frequency, None)?;
/// let mut now_ms = 0;
/// let report = loop {
///     bench.advance(now_ms);
///     match TunerDriver::new(&mut tuner, &bench, &bench).step(now_ms) {
///         Progress::Done(report) => break report,
///         Progress::SleepUntil(time) => now_ms = time, // an async task awaits its timer here
///         Progress::ReducePower(watts) => bench.transmit(watts),
///         Progress::RaisePower(watts) => bench.transmit(watts),
///         _ => {}
///     }
/// };
/// assert_eq!(report.outcome, Outcome::Matched);
/// assert!(report.swr.is_some_and(|swr| swr < 1.2) && report.readings <= 4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct TunerDriver<'t, A: Arithmetic, S, B, const L: usize, const C: usize> {
    tuner: &'t mut Tuner<A, L, C>,
    sensor: S,
    relays: B,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, S, B, const L: usize, const C: usize> defmt::Format for TunerDriver<'_, A, S, B, L, C> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "driver of {}", *self.tuner);
    }
}

impl<'t, A, S, B, const L: usize, const C: usize> TunerDriver<'t, A, S, B, L, C>
where
    A: Arithmetic,
    S: MatchSensor<A>,
    B: SwitchedBank,
{
    /// Joins the three.
    pub fn new(tuner: &'t mut Tuner<A, L, C>, sensor: S, relays: B) -> Self {
        Self {
            tuner,
            sensor,
            relays,
        }
    }

    /// Sensor and relays, for something else.
    pub fn into_parts(self) -> (S, B) {
        (self.sensor, self.relays)
    }

    /// The tuner, to start and to stop runs.
    pub fn tuner(&mut self) -> &mut Tuner<A, L, C> {
        self.tuner
    }

    /// One step at this time: reads the power, asks the tuner, and does at most one action, a reading or a setting of
    /// the relays. The relays are set immediately after the power is read; after a reading the power is read once more.
    ///
    /// Most steps take as long as the sensor; for the time of a decision see [`Tuner::step`].
    pub fn step(&mut self, now_ms: u32) -> Progress<A> {
        // A sensor that cannot read the power counts as failed.
        let (power, event) = match self.sensor.forward_power() {
            Ok(power) => (Some(power), Event::Tick),
            Err(_) => (None, Event::SensorFailed),
        };
        let mut command = self.tuner.step(now_ms, power, event);
        match command {
            Command::Measure => {
                let event = match self.sensor.read() {
                    Ok(reading) => Event::Reading(reading),
                    Err(_) => Event::SensorFailed,
                };
                // The power may have gone during the reading.
                let power = self.sensor.forward_power().ok();
                command = self.tuner.step(now_ms, power, event);
            }
            Command::Switch(positions) => {
                let event = match self.relays.set(positions) {
                    Ok(()) => Event::Switched,
                    Err(_) => Event::SwitchFailed,
                };
                command = self.tuner.step(now_ms, power, event);
            }
            _ => {}
        }
        match command {
            Command::Idle => Progress::Idle,
            Command::WaitUntil(time) => Progress::SleepUntil(time),
            Command::ReducePower(watts) => Progress::ReducePower(watts),
            Command::RaisePower(watts) => Progress::RaisePower(watts),
            Command::Done(report) => Progress::Done(report),
            // These come only after a tick, never as the answer to an event.
            Command::Switch(_) | Command::Measure => Progress::Busy,
        }
    }
}
