//! A simulated bench: antennas, relays, a sensor and a transmitter, with faults. For your own tests, on a PC and on the
//! device; all of it is invented, and nothing is a measurement.

use core::cell::Cell;
use core::fmt;

use super::at::BankAt;
use super::bank::{Bank, BankError};
use super::code::all;
use super::command::TunerReport;
use super::hardware::{MatchSensor, Progress, SwitchedBank, TunerDriver};
use super::reading::SensorReading;
use super::sensor::SensorErrors;
use super::setting::{Positions, Setting};
use super::settings::TunerError;
use super::tuner::Tuner;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::plane::Plane;
use crate::quantity::{
    Capacitance, Complex, Component, Hertz, Impedance, Inductance, Ohms, Reference, Reflection, Watts,
};

/// An antenna against frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum AntennaModel<A: Arithmetic> {
    /// The same impedance at every frequency.
    Fixed(Impedance<A>),
    /// Resistance, coil and capacitor in series: a whip near its first resonance.
    Series {
        /// Ohms.
        resistance: Ohms<A>,
        /// The coil.
        inductance: Inductance<A>,
        /// The capacitor.
        capacitance: Capacitance<A>,
    },
    /// Resistance, coil and capacitor in parallel: a wire near a half wave, fed at its end.
    Parallel {
        /// Ohms.
        resistance: Ohms<A>,
        /// The coil.
        inductance: Inductance<A>,
        /// The capacitor.
        capacitance: Capacitance<A>,
    },
}

impl<A: Arithmetic> AntennaModel<A> {
    /// Γ of the antenna at a frequency; an open at 0 Hz.
    pub fn reflection(&self, frequency: Hertz, reference: Reference<A>) -> Reflection<A> {
        let reactive = |im| Complex::new(A::Working::ZERO, im);
        let ohms = reference.working();
        let omega = frequency.angular::<A::Working>();
        match *self {
            Self::Fixed(impedance) => impedance.reflection(reference),
            Self::Series {
                resistance,
                inductance,
                capacitance,
            } => {
                let susceptance = omega * capacitance.to_base();
                if susceptance.is_zero() {
                    return Reflection::OPEN;
                }
                let x = omega * inductance.to_base() - A::Working::ONE / susceptance;
                let z = Complex::real(resistance.to_working()) + reactive(x);
                let z0 = Complex::real(ohms);
                Reflection::from_quotient(z - z0, z + z0)
            }
            Self::Parallel {
                resistance,
                inductance,
                capacitance,
            } => {
                let reactance = omega * inductance.to_base();
                let resistance = resistance.to_working();
                if reactance.is_zero() || resistance.is_zero() {
                    return Reflection::SHORT;
                }
                let b = omega * capacitance.to_base() - A::Working::ONE / reactance;
                let y = Complex::new(ohms / resistance, b * ohms);
                Reflection::from_quotient(Complex::ONE - y, Complex::ONE + y)
            }
        }
    }
}

/// The faults of the bench. Times are in milliseconds of the bench's clock; by default there are none.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct BenchFaults<A: Arithmetic> {
    /// Coils that are always in circuit.
    pub coils_stuck_in: u16,
    /// Coils that are never in circuit.
    pub coils_stuck_out: u16,
    /// Capacitors that are always in circuit.
    pub capacitors_stuck_in: u16,
    /// Capacitors that are never in circuit.
    pub capacitors_stuck_out: u16,
    /// The time that relays take to move.
    pub relay_ms: u32,
    /// From this time on the relays cannot be set.
    pub relays_fail_from: Option<u32>,
    /// Between these times the sensor cannot read.
    pub sensor_fails: Option<(u32, u32)>,
    /// Between these times it gives nonsense: |Γ| = 1.5.
    pub sensor_lies: Option<(u32, u32)>,
    /// From this time on another antenna is connected.
    pub antenna_from: Option<(u32, AntennaModel<A>)>,
    /// Every second reading sees this antenna: the antenna moves in the wind.
    pub antenna_swings_to: Option<AntennaModel<A>>,
    /// Between these times there is no power.
    pub power_gone: Option<(u32, u32)>,
    /// From this time on the transmitter gives this power, watts, whatever is requested.
    pub power_stuck: Option<(u32, Watts<A>)>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for BenchFaults<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match *self == Self::default() {
            true => defmt::write!(f, "simulated bench no faults"),
            false => defmt::write!(f, "simulated bench with faults"),
        }
    }
}

impl<A: Arithmetic> BenchFaults<A> {
    setters! {
        with_coils_stuck_in(coils_stuck_in: u16);
        with_coils_stuck_out(coils_stuck_out: u16);
        with_capacitors_stuck_in(capacitors_stuck_in: u16);
        with_capacitors_stuck_out(capacitors_stuck_out: u16);
        with_relay_ms(relay_ms: u32);
        with_relays_fail_from(relays_fail_from: Option<u32>);
        with_sensor_fails(sensor_fails: Option<(u32, u32)>);
        with_sensor_lies(sensor_lies: Option<(u32, u32)>);
        with_antenna_from(antenna_from: Option<(u32, AntennaModel<A>)>);
        with_antenna_swings_to(antenna_swings_to: Option<AntennaModel<A>>);
        with_power_gone(power_gone: Option<(u32, u32)>);
        with_power_stuck(power_stuck: Option<(u32, Watts<A>)>);
    }
}

impl<A: Arithmetic> Default for BenchFaults<A> {
    fn default() -> Self {
        Self {
            coils_stuck_in: 0,
            coils_stuck_out: 0,
            capacitors_stuck_in: 0,
            capacitors_stuck_out: 0,
            relay_ms: 0,
            relays_fail_from: None,
            sensor_fails: None,
            sensor_lies: None,
            antenna_from: None,
            antenna_swings_to: None,
            power_gone: None,
            power_stuck: None,
        }
    }
}

/// Why the bench does not execute a request.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum BenchError {
    /// [`BenchFaults::sensor_fails`].
    Sensor,
    /// [`BenchFaults::relays_fail_from`].
    Relays,
}

impl fmt::Display for BenchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Sensor => "the simulated sensor does not read",
            Self::Relays => "the simulated relays do not move",
        })
    }
}

impl core::error::Error for BenchError {}

/// The type of sensor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum BenchSensor {
    /// Γ.
    #[default]
    Vector,
    /// |Γ| alone.
    Scalar,
}

#[derive(Clone, Copy, Debug)]
struct State<A: Arithmetic> {
    now: u32,
    power: Watts<A>,
    /// The present and the requested positions of the relays.
    positions: Positions,
    pending: Option<(u32, Positions)>,
    random: u32,
    readings: u32,
    operations: u32,
    switched_hot: u32,
}

/// A bank with its true values, an antenna, a sensor with noise, and a transmitter.
///
/// It is shared, not borrowed: the sensor and the relays of a [`TunerDriver`] are both `&SimulatedBench`.
#[derive(Debug)]
pub struct SimulatedBench<A: Arithmetic, const L: usize, const C: usize> {
    bank: Bank<A, L, C>,
    antenna: AntennaModel<A>,
    frequency: Hertz,
    reference: Reference<A>,
    sensor: BenchSensor,
    noise: A::Working,
    errors: SensorErrors<A>,
    /// The directions of directivity and source match.
    directions: [Complex<A::Working>; 2],
    /// The power above which relays must not move.
    limit: Watts<A>,
    faults: BenchFaults<A>,
    state: Cell<State<A>>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const L: usize, const C: usize> defmt::Format for SimulatedBench<A, L, C> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (readings, operations) = (self.readings(), self.operations());
        defmt::write!(f, "simulated bench after {=u32} readings", readings);
        defmt::write!(f, ", {=u32} relay operations", operations);
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> SimulatedBench<A, L, C> {
    /// A bench with exact values and a vector sensor without noise, at 50 Ω; `seed` starts its random numbers. All
    /// relays are at rest, and the transmitter gives half a watt.
    pub fn new(bank: Bank<A, L, C>, antenna: AntennaModel<A>, frequency: Hertz, seed: u32) -> Self {
        let half = Watts::<A>::from_working(A::Working::HALF);
        Self {
            bank,
            antenna,
            frequency,
            reference: Reference::fifty(),
            sensor: BenchSensor::Vector,
            noise: A::Working::ZERO,
            errors: SensorErrors::none(),
            directions: [Complex::ONE; 2],
            limit: Watts::<A>::from_working(A::Working::ONE),
            faults: BenchFaults::default(),
            state: Cell::new(State {
                now: 0,
                power: half,
                positions: Setting::BYPASS.positions(),
                pending: None,
                // A seed of zero would stay zero.
                random: seed.wrapping_mul(0x9e37_79b9) | 1,
                readings: 0,
                operations: 0,
                switched_hot: 0,
            }),
        }
    }

    /// Changes every value of the bank by its own random error, uniform within ±`part` of the value.
    #[must_use]
    pub fn with_tolerance(mut self, part: impl Into<Component<A>>) -> Self {
        let part = part.into();
        let part = part.to_working();
        for k in 0..L {
            let factor = A::Working::ONE + part * self.even();
            if let Some(coil) = self.bank.coils.get_mut(k) {
                coil.inductance = Inductance::from_base(coil.inductance.to_base() * factor);
            }
        }
        for k in 0..C {
            let factor = A::Working::ONE + part * self.even();
            if let Some(capacitor) = self.bank.capacitors.get_mut(k) {
                capacitor.capacitance = Capacitance::from_base(capacitor.capacitance.to_base() * factor);
            }
        }
        self
    }

    /// A sensor of this kind, with noise of a standard deviation of `noise` of the reading, and a tenth of that without
    /// reflection, in each component of Γ.
    #[must_use]
    pub fn with_sensor(mut self, sensor: BenchSensor, noise: impl Into<Component<A>>) -> Self {
        let noise = noise.into();
        self.sensor = sensor;
        self.noise = noise.to_working();
        self
    }

    /// Gives the sensor errors of these sizes beside its noise; the angles of directivity and source match are random,
    /// by the seed.
    #[must_use]
    pub fn with_sensor_errors(mut self, errors: SensorErrors<A>) -> Self {
        self.errors = errors;
        for k in 0..self.directions.len() {
            let (sine, cosine) = (self.even() * A::Working::HALF).sine_cosine();
            if let Some(place) = self.directions.get_mut(k) {
                *place = Complex::new(cosine, sine);
            }
        }
        self
    }

    /// Γ as the sensor shows it, but for noise and steps.
    fn shown(&self, gamma: Complex<A::Working>) -> Complex<A::Working> {
        if self.errors == SensorErrors::none() {
            return gamma;
        }
        let [directivity, source] = self.directions;
        let seen = directivity.scale(self.errors.directivity.to_working())
            + gamma / (Complex::ONE - source.scale(self.errors.source_match.to_working()) * gamma);
        seen.scale(A::Working::ONE - self.errors.compression.to_working() * seen.power())
    }

    /// The nearest step of the converter.
    fn stepped(&self, value: A::Working) -> A::Working {
        let step = self.errors.step.to_working();
        if step.is_zero() {
            return value;
        }
        let half = if value < A::Working::ZERO {
            -A::Working::HALF
        } else {
            A::Working::HALF
        };
        A::Working::from_i32((value / step + half).to_i64() as i32) * step
    }

    /// Sets another reference than 50 Ω.
    #[must_use]
    pub fn with_reference(mut self, reference: Reference<A>) -> Self {
        self.reference = reference;
        self
    }

    /// Sets the faults.
    #[must_use]
    pub fn with_faults(mut self, faults: BenchFaults<A>) -> Self {
        self.faults = faults;
        self
    }

    /// The power, watts, above which a relay that moves counts as [`switched_hot`](Self::switched_hot). Default 1 W.
    #[must_use]
    pub fn with_limit(mut self, watts: impl Into<Watts<A>>) -> Self {
        let watts = watts.into();
        self.limit = watts;
        self
    }

    /// Connects another antenna, at another frequency; relays, clock and counts stay.
    pub fn connect(&mut self, antenna: AntennaModel<A>, frequency: Hertz) {
        self.antenna = antenna;
        self.frequency = frequency;
    }

    /// The bank with its true values.
    pub fn true_bank(&self) -> &Bank<A, L, C> {
        &self.bank
    }

    /// The true bank at the present frequency.
    ///
    /// # Errors
    /// [`BankError::NoFrequency`] at 0 Hz.
    pub fn true_bank_at(&self) -> Result<BankAt<A, L, C>, BankError> {
        self.bank.at(self.frequency, self.reference)
    }

    /// Γ of the antenna that is connected now.
    pub fn load(&self) -> Reflection<A> {
        let state = self.state.get();
        let mut antenna = self.antenna;
        if let Some((from, other)) = self.faults.antenna_from
            && state.now >= from
        {
            antenna = other;
        }
        if let Some(other) = self.faults.antenna_swings_to
            && state.readings & 1 == 1
        {
            antenna = other;
        }
        antenna.reflection(self.frequency, self.reference)
    }

    /// The true Γ at the input now, without the sensor's noise.
    pub fn reflection(&self) -> Reflection<A> {
        let positions = self.state.get().positions;
        let Some(tap) = positions.tap else {
            return Reflection::OPEN;
        };
        let faults = &self.faults;
        let setting = Setting {
            coils: (positions.coils | faults.coils_stuck_in & all(L)) & !faults.coils_stuck_out,
            capacitors: (positions.capacitors | faults.capacitors_stuck_in & all(C))
                & !faults.capacitors_stuck_out,
            side: positions.side,
            tap,
        };
        match self.true_bank_at() {
            Ok(at) => {
                let port = at.input(setting, Plane::of(self.load().complex()));
                Reflection::from_quotient(port.voltage - port.current, port.voltage + port.current)
            }
            Err(_) => Reflection::OPEN,
        }
    }

    /// Moves the clock forward to this time, never back.
    pub fn advance(&self, now_ms: u32) {
        let mut state = self.state.get();
        state.now = state.now.max(now_ms);
        if let Some((time, positions)) = state.pending
            && state.now >= time
        {
            state.positions = positions;
            state.pending = None;
        }
        self.state.set(state);
    }

    /// Asks the transmitter for this power, watts.
    pub fn transmit(&self, watts: impl Into<Watts<A>>) {
        let watts = watts.into();
        let mut state = self.state.get();
        state.power = watts;
        self.state.set(state);
    }

    /// The forward power now, watts.
    pub fn power(&self) -> Watts<A> {
        let state = self.state.get();
        if let Some((from, watts)) = self.faults.power_stuck
            && state.now >= from
        {
            return watts;
        }
        if is_between(state.now, self.faults.power_gone) {
            Watts::<A>::ZERO
        } else {
            state.power
        }
    }

    /// Readings taken so far.
    pub fn readings(&self) -> u32 {
        self.state.get().readings
    }

    /// Relays moved so far.
    pub fn operations(&self) -> u32 {
        self.state.get().operations
    }

    /// The number of relay movements above the power of [`with_limit`](Self::with_limit). It must stay 0.
    pub fn switched_hot(&self) -> u32 {
        self.state.get().switched_hot
    }

    /// Does a whole run: drives the tuner with this bench from the given time until it is done. The transmitter does
    /// what is requested, unless a fault prevents it.
    ///
    /// # Errors
    /// As [`Tuner::start`].
    pub fn tune(
        &self,
        tuner: &mut Tuner<A, L, C>,
        now_ms: u32,
        suggestion: Option<Setting>,
    ) -> Result<TunerReport<A>, TunerError> {
        tuner.start(now_ms, self.frequency, suggestion)?;
        Ok(self.finish(tuner, now_ms))
    }

    /// Drives a started run until it is done.
    fn finish(&self, tuner: &mut Tuner<A, L, C>, now_ms: u32) -> TunerReport<A> {
        let mut now = now_ms;
        loop {
            self.advance(now);
            match TunerDriver::new(tuner, self, self).step(now) {
                Progress::Done(report) => return report,
                Progress::SleepUntil(time) => now = time.max(now),
                Progress::ReducePower(watts) | Progress::RaisePower(watts) => {
                    self.transmit(watts);
                    now = now.saturating_add(1);
                }
                Progress::Idle | Progress::Busy => now = now.saturating_add(1),
            }
        }
    }

    /// The next 32 random bits (G. Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8(14), 2003; from memory).
    fn bits(&self) -> u32 {
        let mut state = self.state.get();
        let mut x = state.random;
        x ^= x << 13;
        x ^= x >> 17;
        x ^= x << 5;
        state.random = x;
        self.state.set(state);
        x
    }

    /// Uniform between −1 and 1.
    fn even(&self) -> A::Working {
        A::Working::from_i32((self.bits() as i32) >> 8) / A::Working::from_i32(1 << 23)
    }

    /// About normal, with a standard deviation of 1: the sum of four uniform numbers, times √3/2.
    fn normal(&self) -> A::Working {
        let sum = self.even() + self.even() + self.even() + self.even();
        sum * (A::Working::from_i32(866) / A::Working::from_i32(1000))
    }
}

fn is_between(now: u32, times: Option<(u32, u32)>) -> bool {
    times.is_some_and(|(from, to)| from <= now && now < to)
}

impl<A: Arithmetic, const L: usize, const C: usize> MatchSensor<A> for &SimulatedBench<A, L, C> {
    type Error = BenchError;

    fn forward_power(&mut self) -> Result<Watts<A>, BenchError> {
        if is_between(self.state.get().now, self.faults.sensor_fails) {
            return Err(BenchError::Sensor);
        }
        Ok(self.power())
    }

    fn read(&mut self) -> Result<SensorReading<A>, BenchError> {
        let mut state = self.state.get();
        state.readings = state.readings.saturating_add(1);
        self.state.set(state);
        if is_between(state.now, self.faults.sensor_fails) {
            return Err(BenchError::Sensor);
        }
        if is_between(state.now, self.faults.sensor_lies) {
            let large = A::Working::ONE + A::Working::HALF;
            return Ok(SensorReading::Magnitude(Component::<A>::from_working(large)));
        }
        let gamma = self.shown(self.reflection().complex());
        let size = gamma.magnitude();
        let spread = self.noise * (size + A::Working::ONE / A::Working::from_i32(10));
        Ok(match self.sensor {
            BenchSensor::Vector => {
                let noise = Complex::new(self.normal() * spread, self.normal() * spread);
                let seen = gamma + noise;
                let seen = Complex::new(self.stepped(seen.re), self.stepped(seen.im));
                SensorReading::Vector(Reflection::from_complex(seen))
            }
            BenchSensor::Scalar => {
                let size = (size + self.normal() * spread).absolute();
                SensorReading::Magnitude(Component::<A>::from_working(self.stepped(size)))
            }
        })
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> SwitchedBank for &SimulatedBench<A, L, C> {
    type Error = BenchError;

    fn set(&mut self, positions: Positions) -> Result<(), BenchError> {
        let power = self.power();
        let mut state = self.state.get();
        if self.faults.relays_fail_from.is_some_and(|from| state.now >= from) {
            return Err(BenchError::Relays);
        }
        let before = state.pending.map_or(state.positions, |(_, positions)| positions);
        let moved = before.operations_to(positions);
        state.operations = state.operations.saturating_add(moved.into());
        if moved > 0 && power > self.limit {
            state.switched_hot = state.switched_hot.saturating_add(1);
        }
        if self.faults.relay_ms == 0 {
            state.positions = positions;
            state.pending = None;
        } else {
            state.pending = Some((state.now.saturating_add(self.faults.relay_ms), positions));
        }
        self.state.set(state);
        Ok(())
    }
}
