//! In `float`: for cores with a floating-point unit.

use core::ffi::c_char;

use ohmwright::quantity::{Ratio, Swr};
use ohmwright::show::text;

use crate::analyser::{self, Storage};
use crate::calls::{calls, done};
use crate::text::fill;
use crate::{PartPlace, StepDirection, StepReason, SweepToward};

pub(crate) type Family = f32;

/// Ohms.
pub type FloatOhms = f32;
/// Volts.
pub type FloatVolts = f32;
/// Watts.
pub type FloatWatts = f32;
/// Decibels.
pub type FloatDecibels = f32;
/// A component or a magnitude of a reflection coefficient.
pub type FloatComponent = f32;
/// An SWR, 1 or more.
pub type FloatSwr = f32;
/// A ratio or a Q, 0 or more.
pub type FloatRatio = f32;
/// An inductance, henries.
pub type FloatInductance = f32;
/// A capacitance, farads.
pub type FloatCapacitance = f32;

/// A reflection coefficient: two numbers up to 2^20 in size.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatReflection {
    /// The real part.
    pub re: f32,
    /// The imaginary part.
    pub im: f32,
}

/// The nine readouts of one reflection coefficient.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatReadouts {
    /// The magnitude, a pure number.
    pub magnitude: f32,
    /// SWR; the largest value at total reflection.
    pub swr: f32,
    /// Return loss, dB.
    pub return_loss: f32,
    /// Mismatch loss, dB.
    pub mismatch_loss: f32,
    /// Resistance, ohms; the largest value where there is none to speak of (an open).
    pub resistance: f32,
    /// Reactance, ohms.
    pub reactance: f32,
    /// The magnitude of the impedance, ohms.
    pub impedance_magnitude: f32,
    /// The angle of the reflection coefficient, degrees.
    pub phase: f32,
    /// The size of reactance over resistance.
    pub q: f32,
}

/// The error terms of a fixture at one frequency.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatErrorTerms {
    /// What is read with nothing coming back from the load.
    pub directivity: FloatReflection,
    /// What the fixture sends back towards the load.
    pub source_match: FloatReflection,
    /// The product of the transmissions there and back; 1 for a perfect fixture.
    pub tracking: FloatReflection,
}

/// What an analyser is to look for.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatSettings {
    /// The reference, ohms; 0 for 50 ohms.
    pub reference: f32,
    /// A match is good enough at this SWR; 0 for 2.
    pub swr_limit: f32,
    /// The frequency that matters, hertz; 0 for none.
    pub target_hz: u64,
    /// How far the magnitude of the reflection coefficient must rise on both sides of a dip; 0 for 0.01, a negative
    /// value for every minimum. About ten times the noise is a good choice.
    pub prominence: FloatComponent,
    /// The noise of a component of the reflection coefficient, its standard deviation; 0 for 0.01, a negative value for
    /// none.
    pub noise: FloatComponent,
}

/// A dip: where the load comes nearest to the reference.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatDip {
    /// Where, hertz; between the measured points as a rule.
    pub frequency_hz: u64,
    /// The reflection coefficient there.
    pub reflection: FloatReflection,
    /// 1 where the best point is the first or the last of the sweep: the real dip lies outside. Otherwise 0.
    pub at_edge: u8,
    /// 1 where the sweep is too coarse for this dip: how deep it is, only a finer one near it shows. Otherwise 0.
    pub unresolved: u8,
}

/// A stretch of frequencies at or under the SWR limit.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatBand {
    /// The lower edge, hertz.
    pub low_hz: u64,
    /// The upper edge, hertz.
    pub high_hz: u64,
    /// 1 where the sweep begins inside the band, otherwise 0.
    pub low_open: u8,
    /// 1 where the sweep ends inside the band, otherwise 0.
    pub high_open: u8,
}

/// What a sweep has shown so far.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatReport {
    /// How many points were taken; without any, nothing below holds.
    pub points: u32,
    /// The best point.
    pub best: FloatDip,
    /// How many of `dips` hold.
    pub dip_count: u32,
    /// How many dips there was no room for; the deepest are kept.
    pub dips_left_out: u32,
    /// The dips, by frequency.
    pub dips: [FloatDip; ROOM],
    /// How many of `bands` hold.
    pub band_count: u32,
    /// How many bands there was no room for; the first are kept.
    pub bands_left_out: u32,
    /// The bands, by frequency.
    pub bands: [FloatBand; ROOM],
    /// What became of the target.
    pub target: Target,
    /// The reflection coefficient at the target, where that was reached.
    pub target_reflection: FloatReflection,
    /// How many samples fit none of their neighbours and were left out: measure again, or finer.
    pub spoilt: u32,
    /// How many samples have a reflection coefficient above 1 in size by more than 0.02: check calibration and
    /// reference.
    pub beyond_rim: u32,
    /// Over how many steps the reflection coefficient turns by more than a third of a circle; where these are more than
    /// an eighth of the points, the sweep is too coarse.
    pub fast_turns: u32,
}

/// What is built: what can be moved and how far, and the transformer that the load is measured through.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatBuilt {
    /// What can be adjusted: a value of `OhmwrightElement`.
    pub element: u32,
    /// The smallest factor that it can be changed by, at most 1; 0 for one half.
    pub least_factor: f32,
    /// The largest factor, at least 1; 0 for two.
    pub most_factor: f32,
    /// Turns towards the source of the transformer that is there; both 0 for none.
    pub winding_primary: u8,
    /// Its turns at the load.
    pub winding_secondary: u8,
    /// The most turns that the primary can have; both 0 for 12 each.
    pub most_primary: u8,
    /// The most turns that the secondary can have.
    pub most_secondary: u8,
    /// 1 where the readings are those of the load itself: there is no line, or it was taken out. Otherwise 0.
    pub is_at_load: u8,
}

/// One next step. What does not belong to its kind is 0.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatNextStep {
    /// How far to sweep, hertz; the lower end where both sides are meant.
    pub until_hz: u64,
    /// What to do.
    pub kind: StepKind,
    /// Why.
    pub reason: StepReason,
    /// What can be adjusted, as it was given.
    pub element: Element,
    /// Which way to move it.
    pub direction: StepDirection,
    /// Where the part goes.
    pub part_place: PartPlace,
    /// What part it is.
    pub part_kind: PartKind,
    /// Which way to sweep wider.
    pub toward: SweepToward,
    /// New value over old of what is moved.
    pub factor: f32,
    /// The value of the part, henries or farads.
    pub part_value: f32,
    /// The SWR at the target after it; 0 where that is not known before the next sweep.
    pub swr_expected: f32,
    /// The best that noise and ripple allow.
    pub swr_least: f32,
    /// The worst that noise and ripple allow.
    pub swr_most: f32,
    /// Turns towards the source.
    pub primary_turns: u8,
    /// Turns at the load.
    pub secondary_turns: u8,
}

/// How far the readings of a sweep can be trusted.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FloatQuality {
    /// From one crest of a regular ripple to the next, hertz; 0 where there is none.
    pub ripple_period_hz: u64,
    /// The noise: the standard deviation of a component of the reflection coefficient.
    pub noise: f32,
    /// The size of the ripple.
    pub ripple_size: f32,
    /// How many samples fit none of their neighbours.
    pub spoilt: u32,
    /// How many samples have a reflection coefficient above 1 in size by more than the noise.
    pub beyond_rim: u32,
    /// How many dips are too narrow for the steps of the sweep.
    pub unresolved: u32,
    /// 1 where the reflection coefficient turns too fast for the steps. Otherwise 0.
    pub too_coarse: u8,
    /// 1 where the readings look as if they had not been corrected. Otherwise 0.
    pub uncorrected: u8,
}

calls!(
    Family,
    core::convert::identity,
    core::convert::identity,
    FloatReflection,
    FloatReadouts,
    FloatErrorTerms,
    FloatSettings,
    FloatDip,
    FloatBand,
    FloatReport,
    FloatBuilt,
    FloatNextStep,
    FloatQuality
);

impl Plain<Family> for FloatReflection {
    fn take(self) -> Result<Reflection<Family>, Status> {
        Reflection::new(self.re, self.im).map_err(|_| Status::BadNumber)
    }

    fn of(gamma: Reflection<Family>) -> Self {
        Self {
            re: gamma.real().get(),
            im: gamma.imaginary().get(),
        }
    }
}

fn ohms(ohms: f32) -> Result<Reference<Family>, Status> {
    Reference::new(ohms).map_err(|_| Status::BadNumber)
}

fn ratio(value: f32) -> Ratio<Family> {
    value.into()
}

fn swr(value: f32) -> Swr<Family> {
    value.into()
}

/// All readouts of a reflection coefficient, referred to `reference` (ohms), above 0. At total reflection SWR, and
/// at an open the resistance, are the largest values of their numbers. `BAD_NUMBER` for a reference not above 0, and
/// in float for a number that is not finite.
///
/// # Safety
/// `readouts` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_readouts(
    gamma: FloatReflection,
    reference: f32,
    readouts: *mut FloatReadouts,
) -> Status {
    let value = ohms(reference).and_then(|reference| self::readouts(gamma, reference));
    // SAFETY: the caller's promise.
    unsafe { done(readouts, value) }
}

/// The load behind a raw reading of a fixture, at the frequency that the terms belong to (`ohmwright_float_correct_at`
/// takes them from a table). `NO_TRACKING` and `AT_POLE` say that there is none; `BAD_NUMBER` in float for a number
/// that is not finite.
///
/// # Safety
/// `corrected` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_correct(
    raw: FloatReflection,
    terms: FloatErrorTerms,
    corrected: *mut FloatReflection,
) -> Status {
    // SAFETY: the caller's promise.
    unsafe { done(corrected, self::corrected(raw, terms)) }
}

/// Begins a sweep in a caller's storage, which need hold nothing before; a sweep that is in it is dropped. `BAD_NUMBER`
/// for an SWR limit below 1, a reference not above 0 or a number that is not finite: the storage is as it was then.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_sweep_start(
    storage: *mut Storage,
    settings: FloatSettings,
) -> Status {
    match wanted(settings) {
        // SAFETY: the caller's promise.
        Ok(wanted) => unsafe { analyser::start::<Family>(storage, wanted) },
        Err(status) => status,
    }
}

/// Takes the next point of a sweep, hertz and corrected reflection coefficient, in rising or in falling order. Any
/// number of them: the memory stays the same. `OUT_OF_ORDER` for a frequency again, or back; `NOT_STARTED`;
/// `BAD_NUMBER` in float for a number that is not finite. The sweep is unchanged then. Takes longest where a dip, an
/// edge or a crossing is found.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_sweep_push(
    storage: *mut Storage,
    frequency_hz: u64,
    gamma: FloatReflection,
) -> Status {
    // SAFETY: the caller's promise.
    let sweep = unsafe { analyser::at_mut::<Family>(storage) };
    let pushed = sweep.and_then(|sweep| pushed(sweep, frequency_hz, gamma));
    match pushed {
        Ok(()) => Status::Done,
        Err(status) => status,
    }
}

/// What the points so far say, in places between them as a rule. The sweep may go on afterwards. Without a point
/// `points` is 0 and nothing else holds. `NOT_STARTED`, also for a storage of the other kind of numbers.
///
/// # Safety
/// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_sweep_report(
    storage: *const Storage,
    report: *mut FloatReport,
) -> Status {
    // SAFETY: the caller's promise.
    unsafe {
        let sweep = analyser::at::<Family>(storage);
        done(report, sweep.map(|sweep| told(&sweep.analyser.report())))
    }
}

/// `SWR             1.64` in a buffer of `size` bytes, the last of which is the 0 that ends a string. The line fills
/// the rest, label on the left and value on the right, blank between: 21 bytes hold every line. `NO_ROOM` where the
/// buffer is too short; it holds blanks and the end of the string then.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_swr(
    gamma: FloatReflection,
    line: *mut c_char,
    size: usize,
) -> Status {
    match gamma.take() {
        // SAFETY: the caller's promise.
        Ok(gamma) => unsafe { fill(line, size, |line| text::swr(line, gamma)) },
        Err(status) => status,
    }
}

/// `RL           12.3 dB`: return loss; otherwise like `ohmwright_float_text_swr`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_return_loss(
    gamma: FloatReflection,
    line: *mut c_char,
    size: usize,
) -> Status {
    match gamma.take() {
        // SAFETY: the caller's promise.
        Ok(gamma) => unsafe { fill(line, size, |line| text::return_loss(line, gamma)) },
        Err(status) => status,
    }
}

/// `Z    50.0 +j25.0 ohm`: the impedance; otherwise like `ohmwright_float_text_swr`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_impedance(
    gamma: FloatReflection,
    reference: f32,
    line: *mut c_char,
    size: usize,
) -> Status {
    let load = || Ok(gamma.take()?.impedance(ohms(reference)?));
    match load() {
        // SAFETY: the caller's promise.
        Ok(load) => unsafe { fill(line, size, |line| text::impedance(line, load)) },
        Err(status) => status,
    }
}

/// `pass        SWR 1.12`: what the sweep so far says of its target; otherwise like `ohmwright_float_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_verdict(
    storage: *const Storage,
    line: *mut c_char,
    size: usize,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    match unsafe { analyser::at::<Family>(storage) } {
        Ok(sweep) => unsafe { fill(line, size, |line| text::verdict(line, &sweep.analyser.report())) },
        Err(status) => status,
    }
}

/// What to do next after the sweep so far, at the target of its settings (without one: at its best point), from what is
/// built. `BAD_NUMBER` for an element that is none, a least factor not above 0 or above 1, a most factor below 1, or
/// one winding with turns and the other without; `NOT_STARTED`. Where nothing can be advised, the step's kind and
/// reason say why.
///
/// # Safety
/// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_sweep_next_step(
    storage: *const Storage,
    built: FloatBuilt,
    step: *mut FloatNextStep,
) -> Status {
    // SAFETY: the caller's promise.
    unsafe {
        let sweep = analyser::at::<Family>(storage);
        done(step, sweep.and_then(|sweep| stepped(sweep, built)))
    }
}

/// How far the readings of the sweep so far can be trusted. All 0 is well, but for the noise. `NOT_STARTED`.
///
/// # Safety
/// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_sweep_quality(
    storage: *const Storage,
    quality: *mut FloatQuality,
) -> Status {
    // SAFETY: the caller's promise.
    unsafe {
        let sweep = analyser::at::<Family>(storage);
        done(quality, sweep.map(judged))
    }
}

/// `more C       x 1.158`: what to do next after the sweep so far, decided anew; otherwise like
/// `ohmwright_float_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_next_step(
    storage: *const Storage,
    built: FloatBuilt,
    line: *mut c_char,
    size: usize,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    let step = unsafe { analyser::at::<Family>(storage) }.and_then(|sweep| decided(sweep, built));
    match step {
        Ok(step) => unsafe { fill(line, size, |line| text::next_step(line, &step)) },
        Err(status) => status,
    }
}

/// `for SWR 1.05 to 1.13`: what that step leaves at the target, blank where it is not known; otherwise like
/// `ohmwright_float_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_expected(
    storage: *const Storage,
    built: FloatBuilt,
    line: *mut c_char,
    size: usize,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    let step = unsafe { analyser::at::<Family>(storage) }.and_then(|sweep| decided(sweep, built));
    match step {
        Ok(step) => unsafe { fill(line, size, |line| text::expected(line, &step)) },
        Err(status) => status,
    }
}

/// `left out    2 points`: what is to be said of the readings of the sweep so far, blank where all is well; otherwise
/// like `ohmwright_float_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_float_text_quality(
    storage: *const Storage,
    line: *mut c_char,
    size: usize,
) -> Status {
    // SAFETY: the caller's promise, here and below.
    match unsafe { analyser::at::<Family>(storage) } {
        Ok(sweep) => unsafe {
            fill(line, size, |line| {
                text::quality(line, &sweep.survey.quality(&sweep.analyser.report()))
            })
        },
        Err(status) => status,
    }
}
