//! In 32-bit fixed point: integers with a fixed number of binary digits after the point.

use core::ffi::c_char;

use ohmwright::fixed::types::{I20F12, U16F16};
use ohmwright::quantity::{Ratio, Swr};
use ohmwright::show::text;

use crate::analyser::{self, Storage};
use crate::calls::{calls, done};
use crate::text::fill;
use crate::{PartPlace, StepDirection, StepReason, SweepToward};

pub(crate) use ohmwright::arithmetic::Fixed32 as Family;

/// Ohms, in units of 2^-12.
pub type FixedOhms = i32;
/// Volts, in units of 2^-12.
pub type FixedVolts = i32;
/// Watts, in units of 2^-12.
pub type FixedWatts = i32;
/// Decibels, in units of 2^-16.
pub type FixedDecibels = i32;
/// A component or a magnitude of a reflection coefficient, in units of 2^-30.
pub type FixedComponent = i32;
/// An SWR, 1 or more, in units of 2^-16.
pub type FixedSwr = u32;
/// A ratio or a Q, 0 or more, in units of 2^-16.
pub type FixedRatio = u32;
/// An inductance, whole picohenries, up to 4.29 mH.
pub type FixedInductance = u32;
/// A capacitance, whole femtofarads, up to 4.29 uF.
pub type FixedCapacitance = u32;

/// A reflection coefficient: two numbers in units of 2^-30, from -2 to just below 2.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedReflection {
    /// The real part.
    pub re: i32,
    /// The imaginary part.
    pub im: i32,
}

/// The nine readouts of one reflection coefficient.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedReadouts {
    /// The magnitude, in units of 2^-30.
    pub magnitude: i32,
    /// SWR, in units of 2^-16; the largest value at total reflection.
    pub swr: u32,
    /// Return loss, dB, in units of 2^-16.
    pub return_loss: i32,
    /// Mismatch loss, dB, in units of 2^-16.
    pub mismatch_loss: i32,
    /// Resistance, ohms, in units of 2^-12; the largest value where there is none to speak of (an open).
    pub resistance: i32,
    /// Reactance, ohms, in units of 2^-12.
    pub reactance: i32,
    /// The magnitude of the impedance, ohms, in units of 2^-12.
    pub impedance_magnitude: i32,
    /// The angle of the reflection coefficient, degrees, in units of 2^-16.
    pub phase: i32,
    /// The size of reactance over resistance, in units of 2^-16.
    pub q: u32,
}

/// The error terms of a fixture at one frequency.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedErrorTerms {
    /// What is read with nothing coming back from the load.
    pub directivity: FixedReflection,
    /// What the fixture sends back towards the load.
    pub source_match: FixedReflection,
    /// The product of the transmissions there and back; 1 for a perfect fixture.
    pub tracking: FixedReflection,
}

/// What an analyser is to look for.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedSettings {
    /// The reference, ohms, in units of 2^-12; 0 for 50 ohms.
    pub reference: i32,
    /// A match is good enough at this SWR, in units of 2^-16; 0 for 2.
    pub swr_limit: u32,
    /// The frequency that matters, hertz; 0 for none.
    pub target_hz: u64,
    /// How far the magnitude of the reflection coefficient must rise on both sides of a dip; 0 for 0.01, a negative
    /// value for every minimum. About ten times the noise is a good choice.
    pub prominence: FixedComponent,
    /// The noise of a component of the reflection coefficient, its standard deviation; 0 for 0.01, a negative value for
    /// none.
    pub noise: FixedComponent,
}

/// A dip: where the load comes nearest to the reference.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedDip {
    /// Where, hertz; between the measured points as a rule.
    pub frequency_hz: u64,
    /// The reflection coefficient there.
    pub reflection: FixedReflection,
    /// 1 where the best point is the first or the last of the sweep: the real dip lies outside. Otherwise 0.
    pub at_edge: u8,
    /// 1 where the sweep is too coarse for this dip: how deep it is, only a finer one near it shows. Otherwise 0.
    pub unresolved: u8,
}

/// A stretch of frequencies at or under the SWR limit.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedBand {
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
pub struct FixedReport {
    /// How many points were taken; without any, nothing below holds.
    pub points: u32,
    /// The best point.
    pub best: FixedDip,
    /// How many of `dips` hold.
    pub dip_count: u32,
    /// How many dips there was no room for; the deepest are kept.
    pub dips_left_out: u32,
    /// The dips, by frequency.
    pub dips: [FixedDip; ROOM],
    /// How many of `bands` hold.
    pub band_count: u32,
    /// How many bands there was no room for; the first are kept.
    pub bands_left_out: u32,
    /// The bands, by frequency.
    pub bands: [FixedBand; ROOM],
    /// What became of the target.
    pub target: Target,
    /// The reflection coefficient at the target, where that was reached.
    pub target_reflection: FixedReflection,
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
pub struct FixedBuilt {
    /// What can be adjusted: a value of `OhmwrightElement`.
    pub element: u32,
    /// The smallest factor that it can be changed by, in units of 2^-16, at most 1; 0 for one half.
    pub least_factor: u32,
    /// The largest factor, in units of 2^-16, at least 1; 0 for two.
    pub most_factor: u32,
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
pub struct FixedNextStep {
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
    /// New value over old of what is moved, in units of 2^-16.
    pub factor: u32,
    /// The value of the part, picohenries or femtofarads.
    pub part_value: u32,
    /// The SWR at the target after it, in units of 2^-16; 0 where that is not known before the next sweep.
    pub swr_expected: u32,
    /// The best that noise and ripple allow.
    pub swr_least: u32,
    /// The worst that noise and ripple allow.
    pub swr_most: u32,
    /// Turns towards the source.
    pub primary_turns: u8,
    /// Turns at the load.
    pub secondary_turns: u8,
}

/// How far the readings of a sweep can be trusted.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixedQuality {
    /// From one crest of a regular ripple to the next, hertz; 0 where there is none.
    pub ripple_period_hz: u64,
    /// The noise: the standard deviation of a component of the reflection coefficient, in units of 2^-30.
    pub noise: i32,
    /// The size of the ripple, in units of 2^-30.
    pub ripple_size: i32,
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
    Bits::bits,
    U16F16::to_bits,
    FixedReflection,
    FixedReadouts,
    FixedErrorTerms,
    FixedSettings,
    FixedDip,
    FixedBand,
    FixedReport,
    FixedBuilt,
    FixedNextStep,
    FixedQuality
);

/// The bits of a signed word.
trait Bits {
    fn bits(self) -> i32;
}

impl<F> Bits for ohmwright::fixed::FixedI32<F> {
    fn bits(self) -> i32 {
        self.to_bits()
    }
}

impl Plain<Family> for FixedReflection {
    fn take(self) -> Result<Reflection<Family>, Status> {
        Ok(Reflection::<Family>::from_bits(self.re, self.im))
    }

    fn of(gamma: Reflection<Family>) -> Self {
        Self {
            re: gamma.real().get().to_bits(),
            im: gamma.imaginary().get().to_bits(),
        }
    }
}

fn ohms(bits: i32) -> Result<Reference<Family>, Status> {
    Reference::new(I20F12::from_bits(bits)).map_err(|_| Status::BadNumber)
}

fn ratio(bits: u32) -> Ratio<Family> {
    U16F16::from_bits(bits).into()
}

fn swr(bits: u32) -> Swr<Family> {
    U16F16::from_bits(bits).into()
}

/// All readouts of a reflection coefficient, referred to `reference` (ohms in units of 2^-12), above 0. At total
/// reflection SWR, and at an open the resistance, are the largest values of their numbers. `BAD_NUMBER` for a reference
/// not above 0, and in float for a number that is not finite.
///
/// # Safety
/// `readouts` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_readouts(
    gamma: FixedReflection,
    reference: i32,
    readouts: *mut FixedReadouts,
) -> Status {
    let value = ohms(reference).and_then(|reference| self::readouts(gamma, reference));
    // SAFETY: the caller's promise.
    unsafe { done(readouts, value) }
}

/// The load behind a raw reading of a fixture, at the frequency that the terms belong to (`ohmwright_fixed_correct_at`
/// takes them from a table). `NO_TRACKING` and `AT_POLE` say that there is none; `BAD_NUMBER` in float for a number
/// that is not finite.
///
/// # Safety
/// `corrected` is null, misaligned, or points to one that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_correct(
    raw: FixedReflection,
    terms: FixedErrorTerms,
    corrected: *mut FixedReflection,
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
pub unsafe extern "C" fn ohmwright_fixed_sweep_start(
    storage: *mut Storage,
    settings: FixedSettings,
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
pub unsafe extern "C" fn ohmwright_fixed_sweep_push(
    storage: *mut Storage,
    frequency_hz: u64,
    gamma: FixedReflection,
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
pub unsafe extern "C" fn ohmwright_fixed_sweep_report(
    storage: *const Storage,
    report: *mut FixedReport,
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
pub unsafe extern "C" fn ohmwright_fixed_text_swr(
    gamma: FixedReflection,
    line: *mut c_char,
    size: usize,
) -> Status {
    match gamma.take() {
        // SAFETY: the caller's promise.
        Ok(gamma) => unsafe { fill(line, size, |line| text::swr(line, gamma)) },
        Err(status) => status,
    }
}

/// `RL           12.3 dB`: return loss; otherwise like `ohmwright_fixed_text_swr`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_return_loss(
    gamma: FixedReflection,
    line: *mut c_char,
    size: usize,
) -> Status {
    match gamma.take() {
        // SAFETY: the caller's promise.
        Ok(gamma) => unsafe { fill(line, size, |line| text::return_loss(line, gamma)) },
        Err(status) => status,
    }
}

/// `Z    50.0 +j25.0 ohm`: the impedance; otherwise like `ohmwright_fixed_text_swr`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_impedance(
    gamma: FixedReflection,
    reference: i32,
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

/// `pass        SWR 1.12`: what the sweep so far says of its target; otherwise like `ohmwright_fixed_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_verdict(
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
pub unsafe extern "C" fn ohmwright_fixed_sweep_next_step(
    storage: *const Storage,
    built: FixedBuilt,
    step: *mut FixedNextStep,
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
pub unsafe extern "C" fn ohmwright_fixed_sweep_quality(
    storage: *const Storage,
    quality: *mut FixedQuality,
) -> Status {
    // SAFETY: the caller's promise.
    unsafe {
        let sweep = analyser::at::<Family>(storage);
        done(quality, sweep.map(judged))
    }
}

/// `more C       x 1.158`: what to do next after the sweep so far, decided anew; otherwise like
/// `ohmwright_fixed_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_next_step(
    storage: *const Storage,
    built: FixedBuilt,
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
/// `ohmwright_fixed_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_expected(
    storage: *const Storage,
    built: FixedBuilt,
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
/// like `ohmwright_fixed_text_swr`.
///
/// # Safety
/// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_fixed_text_quality(
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
