//! The rest of an instrument, in the numbers of `fixed.rs`: calibration, detectors, networks and the tuner.
//!
//! `float_instrument.rs` is made from this file by `run --header`: so what a number is stands in `fixed.rs` and
//! `float.rs` alone, as a type with a name. (The header's maker reads no macros.)

use core::ffi::c_char;
use core::mem::offset_of;

use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, Command, Event, Positions, SensorReading, Setting, Side,
    Stray, TunerSettings,
};
use ohmwright::design::matching::{Orientation, TwoElement, two_element};
use ohmwright::design::transformer::Turns;
use ohmwright::measure::calibration::{
    CalibrationPoint, CalibrationTable, Delay, ErrorTerms, Offset, Polynomial, Standard,
};
use ohmwright::measure::detector::{
    Iq, LevelTable, ScalarDetector, ScalarSettings, VectorDetector, VectorSettings,
};
use ohmwright::measure::{Resonance, Retune};
use ohmwright::quantity::{
    Capacitance, Component, Decibels, Hertz, Impedance, Inductance, Ohms, QFactor, Ratio, Reactor, Reference,
    Reflection, Swr, Volts, Watts,
};
use ohmwright::show::text;

use crate::analyser::{self, Storage};
use crate::calls::{Plain, done, element, turns};
use crate::fixed::{
    Family, FixedCapacitance, FixedComponent, FixedDecibels, FixedErrorTerms, FixedInductance, FixedOhms,
    FixedRatio, FixedReflection, FixedSwr, FixedVolts, FixedWatts,
};
use crate::instrument::{Number, elements, elements_mut, put_tuner, tuner_at};
use crate::text::fill;
use crate::{
    CAPACITORS, COILS, Capacitors, CommandKind, EventKind, Marks, NO_TAP, NetworkState, Outcome, PartKind,
    ROOM, Relays, StandardKind, Status, StepDirection, TAPS, TunerStorage,
};

/// The error terms of a fixture at one frequency of a calibration.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedCalibrationPoint {
    /// The frequency, hertz.
    pub frequency_hz: u64,
    /// The terms there.
    pub terms: FixedErrorTerms,
}

/// What a calibration was made with; kept with it.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedConditions {
    /// The reference; above 0.
    pub reference: FixedOhms,
    /// The power of the source, dBm.
    pub power_dbm: FixedDecibels,
}

/// One value for each of the three standards.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedOpenShortLoad {
    /// Of the open.
    pub open: FixedReflection,
    /// Of the short.
    pub shorted: FixedReflection,
    /// Of the load.
    pub load: FixedReflection,
}

/// A standard, by the values that belong to it. With all of them 0 it is ideal.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedStandard {
    /// Which one: a value of `OhmwrightStandardKind`.
    pub kind: u32,
    /// The fringing capacitance of an open, attofarads (50 fF are 50000). Not used by the others.
    pub attofarads: i32,
    /// The inductance of a short, femtohenries (50 pH are 50000). Not used by the others.
    pub femtohenries: i32,
    /// The delay, one way, of the line in front of it, femtoseconds; taken as without loss and of the reference.
    pub femtoseconds: i32,
    /// The resistance of a load; 0 for one equal to the reference. Not used by the others.
    pub resistance: FixedOhms,
}

/// The converter of a vector detector.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedVectorSettings {
    /// The size of a count at the converter's limit, which counts as overload: 2047 with 12 bits and a sign; 1 to 2^24.
    pub full_scale: u32,
    /// The least amplitude of the reference channel that is divided by, counts; 0 for a 32nd of the full scale.
    pub weakest: u32,
    /// The standard deviation of a count, counts; 0 for one count.
    pub noise: FixedRatio,
}

/// The counts of two receivers behind quadrature mixers: with A*cos(wt + phi) as signal, in phase A*cos(phi) and in
/// quadrature A*sin(phi).
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedCounts {
    /// The incident wave, in phase.
    pub reference_i: i32,
    /// The incident wave, in quadrature.
    pub reference_q: i32,
    /// The reflected wave, in phase.
    pub reflected_i: i32,
    /// The reflected wave, in quadrature.
    pub reflected_q: i32,
}

/// A raw reflection coefficient, and its quality.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedVectorReading {
    /// Reflected over incident wave, not corrected yet.
    pub reflection: FixedReflection,
    /// Its standard error, from the noise of both channels.
    pub error: FixedComponent,
    /// What is to be said of it.
    pub marks: Marks,
}

/// A count of a diode detector and what it stands for.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedLevel {
    /// The count.
    pub counts: i32,
    /// The voltage at the detector's input, root mean square; 0 or more.
    pub volts: FixedVolts,
}

/// A directional coupler with two diode detectors, and their converter.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedScalarSettings {
    /// The resistance for which the coupler is made; 0 for 50 ohms.
    pub reference: FixedOhms,
    /// The power at its ports below that of the line, dB, 0 to 200.
    pub coupling: FixedDecibels,
    /// The least directivity of the coupler, dB, above 0 and at most 200: the range of the SWR depends on it.
    pub directivity: FixedDecibels,
    /// The count at the converter's limit, which counts as overload; above 0.
    pub full_scale: i32,
    /// The least forward voltage at the detector that is divided by; above 0.
    pub weakest: FixedVolts,
}

/// Powers and SWR from two diode detectors, and the range of the SWR that the coupler leaves open.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedScalarReading {
    /// The power towards the load.
    pub forward: FixedWatts,
    /// The power that comes back.
    pub reflected: FixedWatts,
    /// The power that the load takes: the difference.
    pub delivered: FixedWatts,
    /// The magnitude of the reflection coefficient.
    pub magnitude: FixedComponent,
    /// The SWR; the largest value at total reflection.
    pub swr: FixedSwr,
    /// The lowest SWR that agrees with the reading.
    pub swr_low: FixedSwr,
    /// The highest SWR that does; the largest value where there is no limit (`swr_unlimited`).
    pub swr_high: FixedSwr,
    /// 1 where the load may reflect everything. Otherwise 0.
    pub swr_unlimited: u8,
    /// What is to be said of it.
    pub marks: Marks,
}

/// How to bring a dip to another frequency.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedRetune {
    /// Which way.
    pub direction: StepDirection,
    /// New value over old.
    pub factor: FixedRatio,
}

/// A crossing of the reactance through 0.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedResonance {
    /// Where, hertz.
    pub frequency_hz: u64,
    /// The resistance there; the largest value at an open.
    pub resistance: FixedOhms,
    /// Its Q by the slope of the reactance, of the load at this port with nothing else connected.
    pub q: FixedRatio,
    /// 1 where the reactance rises with frequency, as in a series circuit; 0 where it falls.
    pub rising: u8,
}

/// The crossings that a sweep has shown so far.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedResonances {
    /// The crossings, by frequency.
    pub found: [FixedResonance; ROOM],
    /// How many of `found` hold.
    pub count: u32,
    /// How many there was no room for.
    pub left_out: u32,
}

/// One network of two elements. What is said of an element holds where `state` is `EXISTS`.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedNetwork {
    /// Whether it exists, and if not, why.
    pub state: NetworkState,
    /// What the element in series is; `NONE` where none is needed.
    pub series_kind: PartKind,
    /// What the element across is; `NONE` where none is needed.
    pub across_kind: PartKind,
    /// The inductance of the element in series, where it is a coil; otherwise 0.
    pub series_inductance: FixedInductance,
    /// The capacitance of the element in series, where it is a capacitor; otherwise 0.
    pub series_capacitance: FixedCapacitance,
    /// The inductance of the element across, where it is a coil; otherwise 0.
    pub across_inductance: FixedInductance,
    /// The capacitance of the element across, where it is a capacitor; otherwise 0.
    pub across_capacitance: FixedCapacitance,
    /// The Q of the transformation: larger means a narrower band and more loss.
    pub q: FixedRatio,
    /// 1 where the element across is at the load, 0 where it is at the source.
    pub across_at_load: u8,
}

/// The networks of two elements: with the element across at the load, both roots; then at the source, both roots.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedNetworks {
    /// In the order that is said above.
    pub all: [FixedNetwork; 4],
}

/// An impedance.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedImpedance {
    /// The resistance.
    pub resistance: FixedOhms,
    /// The reactance; positive is inductive.
    pub reactance: FixedOhms,
}

/// A coil of a bank, with a relay across it.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedBankCoil {
    /// Its real value, measured in the circuit if possible; above 0.
    pub inductance: FixedInductance,
    /// Its Q, taken as the same at every frequency; 0 for a coil without loss.
    pub q: FixedRatio,
}

/// A capacitor of a bank, with a relay in series.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedBankCapacitor {
    /// Its real value; above 0.
    pub capacitance: FixedCapacitance,
    /// Its Q, taken as the same at every frequency; 0 for a capacitor without loss.
    pub q: FixedRatio,
}

/// The switched parts of a tuner. In order from the transmitter: capacitors at the source's end, coils in series,
/// capacitors at the load's end, the transformer if there is one, the antenna.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixedBank {
    /// The coils. Bit 0 of a code is the first.
    pub coils: [FixedBankCoil; COILS],
    /// The capacitors. Bit 0 of a code is the first.
    pub capacitors: [FixedBankCapacitor; CAPACITORS],
    /// Where the capacitors are: a value of `OhmwrightCapacitors`.
    pub place: u32,
    /// How many of the capacitors are at the transmitter's end, with `BOTH_ENDS`; otherwise not used.
    pub at_source: u32,
    /// What remains in series with every relay at rest.
    pub stray_series: FixedInductance,
    /// What remains across the line at the transmitter's end.
    pub stray_at_source: FixedCapacitance,
    /// What remains across the line at the antenna's end.
    pub stray_at_load: FixedCapacitance,
    /// The turns of the transformer's taps towards the bank; all 0 without a transformer. The first tap is the rest
    /// position.
    pub tap_primary: [u8; TAPS],
    /// The turns of the taps towards the antenna.
    pub tap_secondary: [u8; TAPS],
}

/// Limits, times and budgets of a tuner. A field that is 0 takes its default. The defaults are for small relays and a
/// transmitter that can be reduced to a few watts: check each of them.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedTunerSettings {
    /// The resistance to match; 50 ohms by default.
    pub reference: FixedOhms,
    /// No relay moves above this forward power: take it from the data of the relays (what they may switch, not carry).
    /// 1 W by default; a negative value means that the power must be off.
    pub switching_limit: FixedWatts,
    /// A reading needs at least this forward power; 0.1 W by default.
    pub measuring_minimum: FixedWatts,
    /// The standard deviation of the sensor, as a share of its reading; 0.01 by default, at most 0.5.
    pub sensor_noise: FixedComponent,
    /// The tolerance of the parts, as a share of their values; 0.05 by default, at most 0.5.
    pub value_error: FixedComponent,
    /// At or under this SWR it is a match; 1.5 by default.
    pub good_swr: FixedSwr,
    /// Above this SWR a match counts as lost; 2 by default, not below `good_swr`.
    pub retune_swr: FixedSwr,
    /// How long it must be lost before a run starts by itself, milliseconds; 0, the default: none ever does.
    pub retune_after_ms: u32,
    /// The least time between two such runs, milliseconds; 10000 by default.
    pub rest_ms: u32,
    /// The longest wait for the power that was asked for, milliseconds; 5000 by default.
    pub power_timeout_ms: u32,
    /// The longest wait for relays or sensor, milliseconds; 500 by default.
    pub reply_timeout_ms: u32,
    /// The longest run, milliseconds; 60000 by default.
    pub run_timeout_ms: u32,
    /// The time that relays need to come to rest, milliseconds; 15 by default.
    pub settle_ms: u16,
    /// The most relay operations in a run, with the way to the safe state; 300 by default, at least three times what
    /// the bank may need at once.
    pub most_operations: u16,
    /// The most readings in a run; 24 by default.
    pub most_readings: u8,
}

/// What has happened since the last step of a tuner.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedEvent {
    /// What: a value of `OhmwrightEventKind`.
    pub kind: u32,
    /// The reading, with the kinds that have one: corrected for the sensor's own errors, at the transmitter's end of
    /// the bank.
    pub reading: FixedReflection,
}

/// What a tuner asks for. Where a field says nothing it is 0.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedCommand {
    /// What.
    pub kind: CommandKind,
    /// With `WAIT`: when to call again, milliseconds on the caller's clock.
    pub until_ms: u32,
    /// With `REDUCE_POWER` and `RAISE_POWER`: the limit.
    pub power: FixedWatts,
    /// With `DONE`: how the run ended.
    pub outcome: Outcome,
    /// With `DONE`: the SWR in this setting, from readings and bank; 0 where it is not known.
    pub swr: FixedSwr,
    /// With `SWITCH`: how the relays must stand. With `DONE`: the setting, where it is known.
    pub relays: Relays,
    /// With `DONE`: relay operations of this run.
    pub operations: u16,
    /// With `DONE`: readings of this run.
    pub readings: u8,
    /// With `DONE`: 1 where the setting is known. 0 where the relays may be anywhere: transmit no power through them.
    pub is_set: u8,
}

// What the header checks with the compiler of the firmware.
const _: () = {
    assert!(size_of::<FixedCalibrationPoint>() == crate::CALIBRATION_POINT_BYTES);
    assert!(size_of::<FixedStandard>() == crate::STANDARD_BYTES);
    assert!(size_of::<FixedVectorReading>() == crate::VECTOR_READING_BYTES);
    assert!(size_of::<FixedScalarSettings>() == crate::SCALAR_SETTINGS_BYTES);
    assert!(size_of::<FixedScalarReading>() == crate::SCALAR_READING_BYTES);
    assert!(size_of::<FixedResonances>() == crate::RESONANCES_BYTES);
    assert!(size_of::<FixedNetworks>() == crate::NETWORKS_BYTES);
    assert!(size_of::<FixedBank>() == crate::BANK_BYTES);
    assert!(size_of::<FixedTunerSettings>() == crate::TUNER_SETTINGS_BYTES);
    assert!(size_of::<FixedEvent>() == crate::EVENT_BYTES);
    assert!(size_of::<FixedCommand>() == crate::COMMAND_BYTES);
};

// The library has the points of a calibration and of a level table in its own types. They lie in memory as those of C
// do: otherwise this does not compile. Every pattern of bits is one of each.
const _: () = {
    type Inside = CalibrationPoint<Family>;
    assert!(size_of::<Inside>() == size_of::<FixedCalibrationPoint>());
    assert!(align_of::<Inside>() <= align_of::<FixedCalibrationPoint>());
    assert!(offset_of!(Inside, frequency) == offset_of!(FixedCalibrationPoint, frequency_hz));
    assert!(offset_of!(Inside, terms) == offset_of!(FixedCalibrationPoint, terms));
    type Terms = ErrorTerms<Family>;
    assert!(offset_of!(Terms, directivity) == offset_of!(FixedErrorTerms, directivity));
    assert!(offset_of!(Terms, source_match) == offset_of!(FixedErrorTerms, source_match));
    assert!(offset_of!(Terms, tracking) == offset_of!(FixedErrorTerms, tracking));
    assert!(size_of::<Reflection<Family>>() == size_of::<FixedReflection>());
    // SAFETY: two words of 32 bits, as was checked. The real part comes first.
    let [re, im] = unsafe { core::mem::transmute::<Reflection<Family>, [u32; 2]>(Reflection::OPEN) };
    assert!(re != 0 && im == 0);

    type Level = (i32, Volts<Family>);
    assert!(size_of::<Level>() == size_of::<FixedLevel>());
    assert!(align_of::<Level>() <= align_of::<FixedLevel>());
    assert!(offset_of!(Level, 0) == offset_of!(FixedLevel, counts));
    assert!(offset_of!(Level, 1) == offset_of!(FixedLevel, volts));
};

fn reference(ohms: FixedOhms) -> Result<Reference<Family>, Status> {
    if ohms == FixedOhms::default() {
        return Ok(Reference::fifty());
    }
    reference_above_0(ohms)
}

fn reference_above_0(ohms: FixedOhms) -> Result<Reference<Family>, Status> {
    Reference::new(Ohms::new(Number::of(ohms))).map_err(|_| Status::BadNumber)
}

fn impedance(load: FixedImpedance) -> Result<Impedance<Family>, Status> {
    let part = |ohms| Ohms::<Family>::new(Number::of(ohms));
    Impedance::new(part(load.resistance), part(load.reactance)).map_err(|_| Status::BadNumber)
}

fn terms(terms: FixedErrorTerms) -> Result<ErrorTerms<Family>, Status> {
    Ok(ErrorTerms {
        directivity: terms.directivity.take()?,
        source_match: terms.source_match.take()?,
        tracking: terms.tracking.take()?,
    })
}

fn plain_terms(terms: &ErrorTerms<Family>) -> FixedErrorTerms {
    FixedErrorTerms {
        directivity: Plain::of(terms.directivity),
        source_match: Plain::of(terms.source_match),
        tracking: Plain::of(terms.tracking),
    }
}

fn standard(standard: FixedStandard, reference: Reference<Family>) -> Result<Standard<Family>, Status> {
    let first = |coefficient| Polynomial::from_thousandths([coefficient, 0, 0, 0]);
    let kinds = [StandardKind::Open, StandardKind::Short, StandardKind::Load];
    let kind = kinds.into_iter().find(|kind| *kind as u32 == standard.kind);
    let device = match kind.ok_or(Status::BadNumber)? {
        StandardKind::Open => Standard::open(first(standard.attofarads)),
        StandardKind::Short => Standard::short(first(standard.femtohenries)),
        StandardKind::Load if standard.resistance == FixedOhms::default() => Standard::LOAD,
        StandardKind::Load => {
            let resistance = Ohms::<Family>::new(Number::of(standard.resistance));
            if resistance == reference.ohms() {
                Standard::LOAD
            } else {
                Standard::load(resistance, Inductance::from_picohenries(0)).map_err(|_| Status::BadNumber)?
            }
        }
    };
    Ok(if standard.femtoseconds == 0 {
        device
    } else {
        let delay = Delay::from_femtoseconds(standard.femtoseconds.into());
        device.behind(Offset::lossless(delay))
    })
}

/// What a standard reflects at a frequency: what `ohmwright_fixed_solve` is to know of it. `reference` above 0. Error
/// 1e-8. `BAD_NUMBER` for a kind that is none, or a resistance below 0.
///
/// # Safety
/// `gamma` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_standard(
    standard: FixedStandard,
    frequency_hz: u64,
    reference: FixedOhms,
    gamma: *mut FixedReflection,
) -> Status {
    let reflected = || {
        let reference = reference_above_0(reference)?;
        let standard = self::standard(standard, reference)?;
        Ok(Plain::of(
            standard.reflection(Hertz::new(frequency_hz), reference),
        ))
    };
    // SAFETY: the caller's promise.
    unsafe { done(gamma, reflected()) }
}

/// The error terms of a fixture at one frequency, from what the three standards reflect (`known`; 1, -1 and 0 for ideal
/// ones) and what was read of them (`raw`). `EQUAL_STANDARDS`, `EQUAL_READINGS` (one was not connected),
/// `IMPOSSIBLE_SOURCE_MATCH` (the load was exchanged with another one) and `OUT_OF_RANGE` refuse them. An exchange of
/// open and short cannot be seen here: each corrected reading is then that of the inverse impedance.
///
/// # Safety
/// `solved` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_solve(
    known: FixedOpenShortLoad,
    raw: FixedOpenShortLoad,
    solved: *mut FixedErrorTerms,
) -> Status {
    let terms = || {
        let pairs = [
            (known.open.take()?, raw.open.take()?),
            (known.shorted.take()?, raw.shorted.take()?),
            (known.load.take()?, raw.load.take()?),
        ];
        Ok(plain_terms(&ErrorTerms::from_known(&pairs)?))
    };
    // SAFETY: the caller's promise.
    unsafe { done(solved, terms()) }
}

/// The load behind a raw reading, by a calibration of `count` points (at least two) in rising order of frequency, which
/// the caller owns and may have in flash. Between two points the terms are interpolated, along a straight line. The
/// time goes with the logarithm of `count`; only the points beside the frequency are looked at. `OUTSIDE_TABLE` for a
/// frequency outside (nothing is extrapolated), `TABLE_TOO_SHORT`, `NOT_RISING` where those points are not in order;
/// otherwise like `ohmwright_fixed_correct`.
///
/// # Safety
/// `points` is null, misaligned, or points to `count` of them; `corrected` to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_correct_at(
    points: *const FixedCalibrationPoint,
    count: usize,
    frequency_hz: u64,
    raw: FixedReflection,
    corrected: *mut FixedReflection,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    let points = unsafe { elements(points, count) };
    let load = || {
        let points = points?;
        if points.len() < 2 {
            return Err(Status::TableTooShort);
        }
        // The last frequency belongs to the last stretch.
        let above = points.partition_point(|point| point.frequency_hz <= frequency_hz);
        let above = above.min(points.len().wrapping_sub(1));
        let (Some(low), Some(high)) = (
            above.checked_sub(1).and_then(|low| points.get(low)),
            points.get(above),
        ) else {
            return Err(Status::OutsideTable);
        };
        let inside = |point: &FixedCalibrationPoint| -> Result<CalibrationPoint<Family>, Status> {
            Ok(CalibrationPoint {
                frequency: Hertz::new(point.frequency_hz),
                terms: terms(point.terms)?,
            })
        };
        let stretch = [inside(low)?, inside(high)?];
        let table = CalibrationTable::new(&stretch, Reference::fifty(), zero_dbm())?;
        let corrected = table
            .corrector()
            .checked_correct(Hertz::new(frequency_hz), raw.take()?)?;
        Ok(Plain::of(corrected))
    };
    unsafe { done(corrected, load()) }
}

fn zero_dbm() -> Decibels<Family> {
    Decibels::new(Number::of(FixedDecibels::default()))
}

/// The table of points in C's memory.
///
/// # Safety
/// `points` is null, misaligned, or points to `count` of them.
unsafe fn table<'a>(
    points: *const FixedCalibrationPoint,
    count: usize,
    made: FixedConditions,
) -> Result<CalibrationTable<'a, Family>, Status> {
    // SAFETY: the caller's promise.
    let points = unsafe { elements(points, count)? };
    for point in points {
        terms(point.terms)?;
    }
    // SAFETY: as many points; both types lie alike in memory, as was checked when this was compiled.
    let points = unsafe { core::slice::from_raw_parts(points.as_ptr().cast(), points.len()) };
    let power = Decibels::<Family>::new(Number::of(made.power_dbm));
    Ok(CalibrationTable::new(
        points,
        reference_above_0(made.reference)?,
        power,
    )?)
}

/// How many bytes `ohmwright_fixed_calibration_store` writes for these points: at most 24 and 34 for each of them.
/// `TABLE_TOO_SHORT` below two, `NOT_RISING` where a frequency is not above the one before.
///
/// # Safety
/// `points` is null, misaligned, or points to `count` of them; `bytes` to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_calibration_bytes(
    points: *const FixedCalibrationPoint,
    count: usize,
    bytes: *mut usize,
) -> Status {
    let fifty = FixedConditions {
        reference: Reference::<Family>::fifty().ohms().get().plain(),
        ..Default::default()
    };
    // SAFETY: the caller's promise.
    unsafe {
        done(
            bytes,
            table(points, count, fifty).map(|table| table.stored_bytes()),
        )
    }
}

/// Writes a calibration as bytes, for flash or a file, with a checksum: `size` bytes from `bytes` on are the caller's,
/// `written` says how many of them were used. The bytes are the same on every core, and those that the library reads in
/// Rust. `NO_ROOM` where they are too few, and otherwise as `ohmwright_fixed_calibration_bytes`; nothing is written
/// then.
///
/// # Safety
/// Each pointer is null, misaligned, or points to what the caller may use: `count` points, `size` bytes, one number.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_calibration_store(
    points: *const FixedCalibrationPoint,
    count: usize,
    made: FixedConditions,
    bytes: *mut u8,
    size: usize,
    written: *mut usize,
) -> Status {
    if let Err(status) = crate::calls::usable(written) {
        return status;
    }
    // SAFETY: the caller's promise.
    unsafe {
        let stored =
            table(points, count, made).and_then(|table| Ok(table.store(elements_mut(bytes, size)?)?));
        done(written, stored)
    }
}

/// Reads a calibration from bytes that `ohmwright_fixed_calibration_store` has written, into `capacity` points of the
/// caller. `found` says how many, `made` what it was made with. Bytes after it are ignored. `FOREIGN` where nothing, or
/// something else, is stored there, `DAMAGED` where the checksum does not fit, `OTHER_FAMILY` for one of the other kind
/// of numbers, `OTHER_VERSION`, `CONTRADICTION`; `NO_ROOM` for more points than `capacity`, and for bytes that end
/// before the calibration does. After an error the points may have changed; the rest has not.
///
/// # Safety
/// Each pointer is null, misaligned, or points to what the caller may use: `size` bytes, `capacity` points, one of
/// each.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_calibration_load(
    bytes: *const u8,
    size: usize,
    points: *mut FixedCalibrationPoint,
    capacity: usize,
    found: *mut usize,
    made: *mut FixedConditions,
) -> Status {
    if let Err(status) = crate::calls::usable(found).and(crate::calls::usable(made)) {
        return status;
    }
    // SAFETY: the caller's promise. The points are given a value before they are seen as those of the library, which
    // lie alike in memory, as was checked when this was compiled.
    let read = unsafe {
        let bytes = elements(bytes, size);
        let points = elements_mut(points, capacity).map(|points| {
            core::ptr::write_bytes(points.as_mut_ptr(), 0, points.len());
            core::slice::from_raw_parts_mut(points.as_mut_ptr().cast(), points.len())
        });
        bytes.and_then(|bytes| Ok(CalibrationTable::<Family>::load(bytes, points?)?))
    };
    match read {
        Err(status) => status,
        Ok(table) => {
            let conditions = FixedConditions {
                reference: table.conditions().reference.ohms().get().plain(),
                power_dbm: table.conditions().power_dbm.get().plain(),
            };
            // SAFETY: the caller's promise, and what was checked.
            unsafe {
                found.write(table.points().len());
                made.write(conditions);
            }
            Status::Done
        }
    }
}

/// A raw reflection coefficient from the counts of two receivers: reflected over incident wave. Error 1.2e-8 of it
/// beside that of the counts. `OVERLOAD` for a count at the limit, `TOO_WEAK` where the reference is below the least,
/// `OUT_OF_RANGE` for a quotient beyond a reflection coefficient of this family, `BAD_NUMBER` for settings that are
/// impossible.
///
/// # Safety
/// `reading` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_vector_read(
    settings: FixedVectorSettings,
    counts: FixedCounts,
    reading: *mut FixedVectorReading,
) -> Status {
    let read = || {
        let weakest = if settings.weakest == 0 {
            (settings.full_scale >> 5).max(1)
        } else {
            settings.weakest
        };
        let noise = if settings.noise == FixedRatio::default() {
            Ratio::<Family>::whole::<1>()
        } else {
            Ratio::new(Number::of(settings.noise))
        };
        let detector = VectorDetector::<Family>::new(VectorSettings {
            full_scale: settings.full_scale,
            weakest,
            noise,
        })?;
        let found = detector.read_counts(
            Iq::new(counts.reference_i, counts.reference_q),
            Iq::new(counts.reflected_i, counts.reflected_q),
        )?;
        Ok(FixedVectorReading {
            reflection: Plain::of(found.reflection()),
            error: found.error().get().plain(),
            marks: found.quality().into(),
        })
    };
    // SAFETY: the caller's promise.
    unsafe { done(reading, read()) }
}

/// The level table of a diode detector in C's memory.
///
/// # Safety
/// `levels` is null, misaligned, or points to `count` of them.
unsafe fn level_table<'a>(levels: *const FixedLevel, count: usize) -> Result<LevelTable<'a, Family>, Status> {
    // SAFETY: the caller's promise; both types lie alike in memory, as was checked when this was compiled.
    let levels = unsafe {
        let levels = elements(levels, count)?;
        core::slice::from_raw_parts(levels.as_ptr().cast(), levels.len())
    };
    Ok(LevelTable::new(levels)?)
}

/// Powers and SWR from the counts of the two diode detectors of a directional coupler. Each has a table of at least two
/// levels, counts and volts both rising (twice the same table where they are alike), which the caller owns; between two
/// of them it goes along a straight line. A reverse count below its table is no error: it makes the reading an upper
/// limit.
///
/// The true SWR lies from `swr_low` to `swr_high`, whatever the phase of what the coupler leaks; errors of tables,
/// diodes and connectors come on top. `OVERLOAD`, `ABOVE_TABLE`, and for the forward detector `BELOW_TABLE` and
/// `TOO_WEAK`, refuse counts; `TABLE_TOO_SHORT`, `NOT_RISING` and `BAD_NUMBER` refuse tables and settings.
///
/// # Safety
/// Each table is null, misaligned, or points to so many levels; `reading` to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_scalar_read(
    settings: FixedScalarSettings,
    forward_table: *const FixedLevel,
    forward_levels: usize,
    reverse_table: *const FixedLevel,
    reverse_levels: usize,
    forward_counts: i32,
    reverse_counts: i32,
    reading: *mut FixedScalarReading,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    let tables = unsafe {
        (
            level_table(forward_table, forward_levels),
            level_table(reverse_table, reverse_levels),
        )
    };
    let read = || {
        let settings = ScalarSettings::<Family> {
            reference: reference(settings.reference)?,
            coupling: Decibels::new(Number::of(settings.coupling)),
            directivity: Decibels::new(Number::of(settings.directivity)),
            full_scale: settings.full_scale,
            weakest: Volts::new(Number::of(settings.weakest)),
        };
        let detector = ScalarDetector::new(settings, tables.0?, tables.1?)?;
        let found = detector.read(forward_counts, reverse_counts)?;
        let range = found.swr_interval();
        Ok(FixedScalarReading {
            forward: found.forward().get().plain(),
            reflected: found.reflected().get().plain(),
            delivered: found.delivered().get().plain(),
            magnitude: found.magnitude().get().plain(),
            swr: found.swr().get().plain(),
            swr_low: range.low.get().plain(),
            swr_high: range.high.unwrap_or(Swr::MAX).get().plain(),
            swr_unlimited: range.high.is_none().into(),
            marks: found.quality().into(),
        })
    };
    unsafe { done(reading, read()) }
}

/// Which way, and by what factor, to change an element (a value of `OhmwrightElement`) so that a dip at `dip_hz` comes
/// to `wanted_hz`: as (dip/wanted)^2 for inductance and capacitance, as dip/wanted for turns and length. The factor
/// saturates. `BAD_NUMBER` for 0 Hz or an element that is none. What a whole sweep asks for,
/// `ohmwright_fixed_sweep_next_step` says.
///
/// # Safety
/// `retune` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_retune(
    element: u32,
    dip_hz: u64,
    wanted_hz: u64,
    retune: *mut FixedRetune,
) -> Status {
    let advised = || {
        let element = self::element(element)?;
        let found = Retune::<Family>::new(element, Hertz::new(dip_hz), Hertz::new(wanted_hz));
        let found = found.ok_or(Status::BadNumber)?;
        Ok(FixedRetune {
            direction: found.direction.into(),
            factor: found.factor.get().plain(),
        })
    };
    // SAFETY: the caller's promise.
    unsafe { done(retune, advised()) }
}

/// Where the reactance of the load crossed 0 in the sweep so far. The sweep may go on afterwards.
///
/// # Safety
/// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_sweep_resonances(
    storage: *const Storage,
    resonances: *mut FixedResonances,
) -> Status {
    let told = |sweep: &analyser::Sweep<Family>| {
        let report = sweep.analyser.report();
        let mut all = FixedResonances {
            left_out: report.resonances_left_out(),
            ..Default::default()
        };
        for (place, found) in all.found.iter_mut().zip(report.resonances()) {
            *place = resonance(found);
            all.count = all.count.saturating_add(1);
        }
        all
    };
    // SAFETY: the caller's promise.
    unsafe { done(resonances, analyser::at::<Family>(storage).map(told)) }
}

fn resonance(found: &Resonance<Family>) -> FixedResonance {
    FixedResonance {
        frequency_hz: found.frequency.get(),
        resistance: found.resistance.get().plain(),
        q: found.q.get().plain(),
        rising: found.rising.into(),
    }
}

/// `L           38.98 nH`: a coil in four digits; otherwise like `ohmwright_fixed_text_swr`. `BAD_NUMBER` below 0 or
/// not finite.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_inductance(
    inductance: FixedInductance,
    line: *mut c_char,
    size: usize,
) -> Status {
    match Inductance::<Family>::new(Number::of(inductance)) {
        // SAFETY: the caller's promise.
        Ok(coil) => unsafe { fill(line, size, |line| text::inductance(line, coil)) },
        Err(_) => Status::BadNumber,
    }
}

/// `C           22.28 pF`: a capacitor in four digits; otherwise like `ohmwright_fixed_text_inductance`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_capacitance(
    capacitance: FixedCapacitance,
    line: *mut c_char,
    size: usize,
) -> Status {
    match Capacitance::<Family>::new(Number::of(capacitance)) {
        // SAFETY: the caller's promise.
        Ok(capacitor) => unsafe { fill(line, size, |line| text::capacitance(line, capacitor)) },
        Err(_) => Status::BadNumber,
    }
}

fn network(
    found: &Result<TwoElement<Family>, ohmwright::design::matching::WhyNot>,
    at: Hertz,
) -> FixedNetwork {
    let network = match found {
        Ok(network) => network,
        Err(why) => {
            return FixedNetwork {
                state: (*why).into(),
                ..Default::default()
            };
        }
    };
    // Too large for the word: the parts could not be told then.
    if network.ladder::<2>(at).is_err() {
        return FixedNetwork {
            state: NetworkState::BeyondRange,
            ..Default::default()
        };
    }
    let mut all = FixedNetwork {
        q: network.q().get().plain(),
        across_at_load: (network.orientation() == Orientation::ShuntAtLoad).into(),
        ..Default::default()
    };
    match network.series_part(at) {
        Some(Reactor::Inductor(coil)) => {
            all.series_kind = PartKind::Inductor;
            all.series_inductance = coil.get().plain();
        }
        Some(Reactor::Capacitor(capacitor)) => {
            all.series_kind = PartKind::Capacitor;
            all.series_capacitance = capacitor.get().plain();
        }
        None => {}
    }
    match network.shunt_part(at) {
        Some(Reactor::Inductor(coil)) => {
            all.across_kind = PartKind::Inductor;
            all.across_inductance = coil.get().plain();
        }
        Some(Reactor::Capacitor(capacitor)) => {
            all.across_kind = PartKind::Capacitor;
            all.across_capacitance = capacitor.get().plain();
        }
        None => {}
    }
    all
}

/// Every network of two reactances that shows the source the conjugate of its own impedance (a real source its own
/// resistance) with this load, at one frequency: up to four, with the values of their parts, and of the others the
/// reason. `NO_RESISTANCE` where load or source have no resistance above 0, `BAD_NUMBER` at 0 Hz or for a number that
/// is not finite.
///
/// Care: a mismatched network carries high voltage even at low power.
///
/// # Safety
/// `networks` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_two_element(
    load: FixedImpedance,
    source: FixedImpedance,
    frequency_hz: u64,
    networks: *mut FixedNetworks,
) -> Status {
    let found = || {
        if frequency_hz == 0 {
            return Err(Status::BadNumber);
        }
        let set = two_element(impedance(load)?, impedance(source)?)?;
        let at = Hertz::new(frequency_hz);
        let mut all = FixedNetworks::default();
        for (place, found) in all.all.iter_mut().zip(set.all()) {
            *place = network(found, at);
        }
        Ok(all)
    };
    // SAFETY: the caller's promise.
    unsafe { done(networks, found()) }
}

fn lossless_if_0(q: FixedRatio) -> QFactor<Family> {
    if q == FixedRatio::default() {
        QFactor::MAX
    } else {
        QFactor::new(Number::of(q))
    }
}

fn coil(plain: FixedBankCoil) -> Result<BankCoil<Family>, Status> {
    Ok(BankCoil {
        inductance: Inductance::new(Number::of(plain.inductance)).map_err(|_| Status::BadNumber)?,
        q: lossless_if_0(plain.q),
    })
}

fn capacitance(plain: FixedCapacitance) -> Result<Capacitance<Family>, Status> {
    Capacitance::new(Number::of(plain)).map_err(|_| Status::BadNumber)
}

/// A bank in the library's types. `bank` is read in place: it is large.
fn bank(bank: &FixedBank) -> Result<Bank<Family, COILS, CAPACITORS>, Status> {
    let mut coils = [BankCoil::lossless(Inductance::from_picohenries(0)); COILS];
    for (place, plain) in coils.iter_mut().zip(&bank.coils) {
        *place = coil(*plain)?;
    }
    let mut capacitors = [BankCapacitor::lossless(Capacitance::from_femtofarads(0)); CAPACITORS];
    for (place, plain) in capacitors.iter_mut().zip(&bank.capacitors) {
        *place = BankCapacitor {
            capacitance: capacitance(plain.capacitance)?,
            q: lossless_if_0(plain.q),
        };
    }
    let places = [
        Capacitors::AtSource,
        Capacitors::AtLoad,
        Capacitors::Changeover,
        Capacitors::BothEnds,
    ];
    let place = places.into_iter().find(|place| *place as u32 == bank.place);
    let arrangement = match place.ok_or(Status::BadNumber)? {
        Capacitors::AtSource => Arrangement::SourceSide,
        Capacitors::AtLoad => Arrangement::LoadSide,
        Capacitors::Changeover => Arrangement::Changeover,
        Capacitors::BothEnds => Arrangement::BothSides {
            at_source: u8::try_from(bank.at_source).map_err(|_| Status::Contradiction)?,
        },
    };
    let stray = Stray {
        series: Inductance::new(Number::of(bank.stray_series)).map_err(|_| Status::BadNumber)?,
        at_source: capacitance(bank.stray_at_source)?,
        at_load: capacitance(bank.stray_at_load)?,
    };
    let made = Bank::new(coils, capacitors, arrangement)?.with_stray(stray);
    let mut taps = [Turns::new(1, 1).map_err(|_| Status::BadNumber)?; TAPS];
    let mut count = 0;
    for (primary, secondary) in bank.tap_primary.iter().zip(&bank.tap_secondary) {
        let Some(tap) = turns(*primary, *secondary)? else {
            break;
        };
        if let Some(place) = taps.get_mut(count) {
            *place = tap;
            count += 1;
        }
    }
    match taps.get(..count) {
        Some(taps) if count > 0 => Ok(made.with_taps(taps)?),
        _ => Ok(made),
    }
}

fn tuner_settings(plain: FixedTunerSettings) -> Result<TunerSettings<Family>, Status> {
    let mut wanted = TunerSettings::<Family>::new();
    let unset = FixedTunerSettings::default();
    wanted.reference = reference(plain.reference)?;
    if plain.switching_limit < unset.switching_limit {
        wanted.switching_limit = Watts::ZERO;
    } else if plain.switching_limit != unset.switching_limit {
        wanted.switching_limit = Watts::new(Number::of(plain.switching_limit));
    }
    if plain.measuring_minimum != unset.measuring_minimum {
        wanted.measuring_minimum = Watts::new(Number::of(plain.measuring_minimum));
    }
    if plain.sensor_noise != unset.sensor_noise {
        wanted.sensor_noise = Component::new(Number::of(plain.sensor_noise));
    }
    if plain.value_error != unset.value_error {
        wanted.value_error = Component::new(Number::of(plain.value_error));
    }
    if plain.good_swr != unset.good_swr {
        wanted.good_swr = Swr::new(Number::of(plain.good_swr));
    }
    if plain.retune_swr != unset.retune_swr {
        wanted.retune_swr = Swr::new(Number::of(plain.retune_swr));
    }
    wanted.retune_after_ms = (plain.retune_after_ms != 0).then_some(plain.retune_after_ms);
    for (place, time) in [
        (&mut wanted.rest_ms, plain.rest_ms),
        (&mut wanted.power_timeout_ms, plain.power_timeout_ms),
        (&mut wanted.reply_timeout_ms, plain.reply_timeout_ms),
        (&mut wanted.run_timeout_ms, plain.run_timeout_ms),
    ] {
        if time != 0 {
            *place = time;
        }
    }
    if plain.settle_ms != 0 {
        wanted.settle_ms = plain.settle_ms;
    }
    if plain.most_operations != 0 {
        wanted.most_operations = plain.most_operations;
    }
    if plain.most_readings != 0 {
        wanted.most_readings = plain.most_readings;
    }
    Ok(wanted)
}

/// Makes a tuner for a bank in a caller's storage. It knows nothing of the relays yet: its first run sets bypass first.
/// The bank is copied. `BAD_NUMBER` for a value beyond its range, `CONTRADICTION` for settings that do not go together.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write; `bank` to one that the caller may read.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_tuner_start(
    storage: *mut TunerStorage,
    bank: *const FixedBank,
    settings: FixedTunerSettings,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    let tuner = unsafe { elements(bank, 1) }.and_then(|banks| {
        let bank = banks.first().ok_or(Status::NullPointer)?;
        Ok(ohmwright::control::Tuner::new(
            self::bank(bank)?,
            tuner_settings(settings)?,
        )?)
    });
    match tuner {
        Ok(tuner) => unsafe { put_tuner(storage, tuner) },
        Err(status) => status,
    }
}

/// Begins a run at a frequency: ask `ohmwright_fixed_tuner_step` what to do from now on. `now_ms` is the caller's clock
/// in milliseconds, which may wrap. `suggestion` is null, or a setting that worked there before and is tried first.
/// `BUSY` during a run, `BAD_NUMBER` at 0 Hz, `NOT_IN_BANK` for a suggestion that the bank does not have; no run begins
/// then.
///
/// # Safety
/// `storage` as for the step; `suggestion` is null, misaligned, or points to one that the caller may read.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_tuner_run(
    storage: *mut TunerStorage,
    now_ms: u32,
    frequency_hz: u64,
    suggestion: *const Relays,
) -> Status {
    let begun = || {
        let suggestion = if suggestion.is_null() {
            None
        } else {
            // SAFETY: the caller's promise, here and below.
            unsafe { elements(suggestion, 1) }?.first().map(|relays| Setting {
                coils: relays.coils,
                capacitors: relays.capacitors,
                side: side(relays.at_load),
                tap: relays.tap,
            })
        };
        let tuner = unsafe { tuner_at::<Family>(storage) }?;
        tuner.start(now_ms, Hertz::new(frequency_hz), suggestion)?;
        Ok(())
    };
    match begun() {
        Ok(()) => Status::Done,
        Err(status) => status,
    }
}

fn side(at_load: u8) -> Side {
    if at_load == 0 { Side::Source } else { Side::Load }
}

/// Begins a run that only sets bypass, the safe state to begin with. `BUSY` during a run.
///
/// # Safety
/// `storage` as for the step.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_tuner_bypass(storage: *mut TunerStorage, now_ms: u32) -> Status {
    // SAFETY: the caller's promise.
    let begun = unsafe { tuner_at::<Family>(storage) }.and_then(|tuner| Ok(tuner.bypass(now_ms)?));
    match begun {
        Ok(()) => Status::Done,
        Err(status) => status,
    }
}

/// Stops a run, if there is one: it goes to bypass, and ends as `CANCELLED`. Go on with the steps until it is over.
///
/// # Safety
/// `storage` as for the step.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_tuner_cancel(storage: *mut TunerStorage, now_ms: u32) -> Status {
    // SAFETY: the caller's promise.
    match unsafe { tuner_at::<Family>(storage) } {
        Ok(tuner) => {
            tuner.cancel(now_ms);
            Status::Done
        }
        Err(status) => status,
    }
}

/// The tuner's decision: takes what has happened, and says the one thing to do next. It does no input or output itself.
///
/// `forward_power` is the transmitter's power **now**, read just before the call: relays may move because of it. A
/// negative one (or one that is not a number) means that it is not known. `SWITCH` and `MEASURE` come only as the
/// answer to a tick, and `SWITCH` only with a power at or under the switching limit. Call this at least once in ten
/// days. A step with a reading takes the longest: it computes the best setting. `BAD_NUMBER` for a kind of event that
/// is none, or a reading that is not a number; the tuner is unchanged then.
///
/// Care: in a tuner the voltage is high even at low power. This is no safety device: local rules and licensed practice
/// come first.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile; `command`
/// to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_tuner_step(
    storage: *mut TunerStorage,
    now_ms: u32,
    forward_power: FixedWatts,
    event: FixedEvent,
    command: *mut FixedCommand,
) -> Status {
    if let Err(status) = crate::calls::usable(command) {
        return status;
    }
    let stepped = || {
        let kinds = [
            EventKind::Tick,
            EventKind::Switched,
            EventKind::SwitchFailed,
            EventKind::Vector,
            EventKind::Magnitude,
            EventKind::SensorFailed,
        ];
        let kind = kinds.into_iter().find(|kind| *kind as u32 == event.kind);
        let event = match kind.ok_or(Status::BadNumber)? {
            EventKind::Tick => Event::Tick,
            EventKind::Switched => Event::Switched,
            EventKind::SwitchFailed => Event::SwitchFailed,
            EventKind::Vector => Event::Reading(SensorReading::Vector(event.reading.take()?)),
            EventKind::Magnitude => {
                // The other part is ignored.
                let im = FixedComponent::default();
                FixedReflection { im, ..event.reading }.take()?;
                let magnitude = Component::<Family>::new(Number::of(event.reading.re));
                Event::Reading(SensorReading::Magnitude(magnitude))
            }
            EventKind::SensorFailed => Event::SensorFailed,
        };
        // SAFETY: the caller's promise.
        let tuner = unsafe { tuner_at::<Family>(storage) }?;
        let power = Some(Watts::<Family>::new(Number::of(forward_power)));
        Ok(plain_command(tuner.step(now_ms, power, event)))
    };
    // SAFETY: the caller's promise.
    unsafe { done(command, stepped()) }
}

fn plain_command(command: Command<Family>) -> FixedCommand {
    let mut all = FixedCommand::default();
    all.kind = match command {
        Command::WaitUntil(time) => {
            all.until_ms = time;
            CommandKind::Wait
        }
        Command::ReducePower(power) => {
            all.power = power.get().plain();
            CommandKind::ReducePower
        }
        Command::RaisePower(power) => {
            all.power = power.get().plain();
            CommandKind::RaisePower
        }
        Command::Switch(positions) => {
            all.relays = relays(positions);
            CommandKind::Switch
        }
        Command::Measure => CommandKind::Measure,
        Command::Done(report) => {
            all.outcome = report.outcome.into();
            if let Some(swr) = report.swr {
                all.swr = swr.get().plain();
            }
            if let Some(setting) = report.setting {
                all.relays = relays(setting.positions());
                all.is_set = 1;
            }
            all.operations = report.operations;
            all.readings = report.readings;
            CommandKind::Done
        }
        _ => CommandKind::Idle,
    };
    all
}

fn relays(positions: Positions) -> Relays {
    Relays {
        coils: positions.coils,
        capacitors: positions.capacitors,
        at_load: (positions.side == Side::Load).into(),
        tap: positions.tap.unwrap_or(NO_TAP),
    }
}
