//! What the instrument's calls of both families share: plain numbers, slices of C, storage of a tuner, and words.

use core::ffi::c_char;

use ohmwright::control::{BankError, Outcome as TunerOutcome, Tuner, TunerError};
use ohmwright::design::matching::{MatchingError, WhyNot};
use ohmwright::fixed::{FixedI32, FixedU32};
use ohmwright::measure::calibration::CalibrationError;
use ohmwright::measure::detector::{DetectorError, Quality};
use ohmwright::quantity::Hertz;
use ohmwright::show::text::{self, TextError};
use ohmwright::stored::StoredError;

use crate::analyser::Family;
use crate::calls::usable;
use crate::text::fill;
use crate::{CAPACITORS, COILS, Status, TUNER_STORAGE_BYTES, TUNER_WORDS};

/// The number that C has of a word.
pub(crate) trait Number: Copy {
    type Plain;
    fn plain(self) -> Self::Plain;
    fn of(plain: Self::Plain) -> Self;
}

impl<F> Number for FixedI32<F> {
    type Plain = i32;
    fn plain(self) -> i32 {
        self.to_bits()
    }
    fn of(plain: i32) -> Self {
        Self::from_bits(plain)
    }
}

impl<F> Number for FixedU32<F> {
    type Plain = u32;
    fn plain(self) -> u32 {
        self.to_bits()
    }
    fn of(plain: u32) -> Self {
        Self::from_bits(plain)
    }
}

macro_rules! itself {
    ($($number:ty)*) => {$(
        impl Number for $number {
            type Plain = Self;
            fn plain(self) -> Self {
                self
            }
            fn of(plain: Self) -> Self {
                plain
            }
        }
    )*};
}
itself!(u32 f32);

/// The elements that C has in a row.
///
/// # Safety
/// `first` is null, misaligned, or points to `count` elements that the caller may read and nobody writes meanwhile.
pub(crate) unsafe fn elements<'a, T>(first: *const T, count: usize) -> Result<&'a [T], Status> {
    usable(first)?;
    if count > isize::MAX as usize / size_of::<T>().max(1) {
        return Err(Status::BadNumber);
    }
    // SAFETY: the caller's promise, and what was checked.
    Ok(unsafe { core::slice::from_raw_parts(first, count) })
}

/// The same, to be written.
///
/// # Safety
/// `first` is null, misaligned, or points to `count` elements that the caller may write and nobody uses meanwhile.
pub(crate) unsafe fn elements_mut<'a, T>(first: *mut T, count: usize) -> Result<&'a mut [T], Status> {
    usable(first)?;
    if count > isize::MAX as usize / size_of::<T>().max(1) {
        return Err(Status::BadNumber);
    }
    // SAFETY: the caller's promise, and what was checked.
    Ok(unsafe { core::slice::from_raw_parts_mut(first, count) })
}

impl From<CalibrationError> for Status {
    fn from(error: CalibrationError) -> Self {
        match error {
            CalibrationError::EqualStandards(..) => Self::EqualStandards,
            CalibrationError::EqualReadings(..) => Self::EqualReadings,
            CalibrationError::ImpossibleSourceMatch => Self::ImpossibleSourceMatch,
            CalibrationError::OutOfRange(_) => Self::OutOfRange,
            CalibrationError::TooShort(_) => Self::TableTooShort,
            CalibrationError::NotRising(_) => Self::NotRising,
            CalibrationError::Outside(_) => Self::OutsideTable,
            CalibrationError::NoTracking(_) => Self::NoTracking,
            CalibrationError::AtPole(_) => Self::AtPole,
            _ => Self::BadNumber,
        }
    }
}

impl From<StoredError> for Status {
    fn from(error: StoredError) -> Self {
        match error {
            StoredError::TooShort | StoredError::Full => Self::NoRoom,
            StoredError::Foreign => Self::Foreign,
            StoredError::Version(_) => Self::OtherVersion,
            StoredError::OtherFamily => Self::OtherFamily,
            StoredError::Damaged => Self::Damaged,
            _ => Self::Contradiction,
        }
    }
}

impl From<DetectorError> for Status {
    fn from(error: DetectorError) -> Self {
        match error {
            DetectorError::Overload(_) => Self::Overload,
            DetectorError::TooWeak(_) => Self::TooWeak,
            DetectorError::TableTooShort => Self::TableTooShort,
            DetectorError::TableNotMonotone(_) => Self::NotRising,
            DetectorError::BelowTable(_) => Self::BelowTable,
            DetectorError::AboveTable(_) => Self::AboveTable,
            DetectorError::OutOfRange => Self::OutOfRange,
            _ => Self::BadNumber,
        }
    }
}

impl From<MatchingError> for Status {
    fn from(error: MatchingError) -> Self {
        match error {
            MatchingError::LoadWithoutResistance | MatchingError::SourceWithoutResistance => {
                Self::NoResistance
            }
            MatchingError::PartBeyondWord(_) => Self::OutOfRange,
            _ => Self::BadNumber,
        }
    }
}

impl From<TunerError> for Status {
    fn from(error: TunerError) -> Self {
        match error {
            TunerError::Bank(error) => error.into(),
            TunerError::Contradiction(_) => Self::Contradiction,
            TunerError::Busy => Self::Busy,
            _ => Self::BadNumber,
        }
    }
}

impl From<BankError> for Status {
    fn from(error: BankError) -> Self {
        match error {
            BankError::NotInTheBank => Self::NotInBank,
            BankError::Split | BankError::TooMany(_) => Self::Contradiction,
            _ => Self::BadNumber,
        }
    }
}

/// The marks of a reading that is right within its error, but should be looked at: each is 1 where it applies,
/// otherwise 0.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// A channel is above seven eighths of the converter's range.
    pub near_overload: u8,
    /// The signal that is divided by is below four times the least that is accepted.
    pub weak: u8,
    /// The phase is not known: always with a scalar detector; with a vector detector where the error reaches 0.
    pub phase_ambiguous: u8,
    /// The reflected wave reads larger than the incident one.
    pub above_unity: u8,
    /// The reverse detector is below its table: magnitude, reflected power and SWR are upper limits.
    pub upper_limit: u8,
}

impl From<Quality> for Marks {
    fn from(quality: Quality) -> Self {
        Self {
            near_overload: quality.near_overload.into(),
            weak: quality.weak.into(),
            phase_ambiguous: quality.phase_ambiguous.into(),
            above_unity: quality.above_unity.into(),
            upper_limit: quality.upper_limit.into(),
        }
    }
}

/// A device whose reflection is known. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StandardKind {
    /// An open, with a fringing capacitance.
    Open = 0,
    /// A short, with an inductance.
    Short = 1,
    /// A load, with a resistance.
    Load = 2,
}

/// Whether a network of two elements exists. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum NetworkState {
    /// It exists, and its values hold.
    #[default]
    Exists = 0,
    /// No shunt element at the load raises its resistance to that of the source.
    ResistanceTooLow = 1,
    /// No series element at the load lowers its resistance to that of the source.
    ResistanceTooHigh = 2,
    /// Both solutions of this orientation are one: it is the one before.
    SameAsOther = 3,
    /// The network exists, but a value is beyond the range of its number: more than 4.29 mH or 4.29 uF in fixed point.
    BeyondRange = 4,
}

impl From<WhyNot> for NetworkState {
    fn from(why: WhyNot) -> Self {
        match why {
            WhyNot::SeriesResistanceTooHigh => Self::ResistanceTooHigh,
            WhyNot::SameAsOther => Self::SameAsOther,
            _ => Self::ResistanceTooLow,
        }
    }
}

/// Where the capacitors of a bank are. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Capacitors {
    /// All at the transmitter's end of the coils.
    AtSource = 0,
    /// All at the antenna's end of the coils.
    AtLoad = 1,
    /// A relay connects all of them at one end or at the other.
    Changeover = 2,
    /// The first `at_source` of the list at the transmitter's end, the others at the antenna's end.
    BothEnds = 3,
}

/// What has happened since the last step of a tuner. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventKind {
    /// Time has passed, nothing else.
    Tick = 0,
    /// The relays have been set as the command required.
    Switched = 1,
    /// The relays could not be set.
    SwitchFailed = 2,
    /// A reading with magnitude and phase, in `reading`.
    Vector = 3,
    /// A reading of the magnitude alone, in `reading.re`; `reading.im` is ignored.
    Magnitude = 4,
    /// The sensor could not read.
    SensorFailed = 5,
}

/// What a tuner asks for. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CommandKind {
    /// Nothing: no run is under way.
    #[default]
    Idle = 0,
    /// Call again at `until_ms`, or later, with a tick.
    Wait = 1,
    /// Reduce the forward power to `power` or less, then call again with a tick.
    ReducePower = 2,
    /// Raise the forward power to `power` or more, then call again with a tick.
    RaisePower = 3,
    /// Set the relays as `relays` says at once, and answer `SWITCHED` or `SWITCH_FAILED`.
    Switch = 4,
    /// Take a reading, and answer `VECTOR`, `MAGNITUDE` or `SENSOR_FAILED`.
    Measure = 5,
    /// The run is over: `outcome` and what follows it hold.
    Done = 6,
}

/// How a tuner's run ended. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Outcome {
    /// The best setting of the bank is set, and its SWR is good.
    #[default]
    Matched = 0,
    /// The best setting of the bank is set, but the bank cannot match this load well.
    BestAvailable = 1,
    /// The budget of readings or relay operations is spent; the best setting found is set.
    BudgetSpent = 2,
    /// There was not enough power for a reading.
    TooLittlePower = 3,
    /// The power stayed above the switching limit of the relays.
    TooMuchPower = 4,
    /// The sensor failed, or gave impossible readings.
    SensorFault = 5,
    /// The relays failed, or did not answer.
    BankFault = 6,
    /// The load changed during the run.
    Drifting = 7,
    /// The load takes no power: an open, a short, or a cable without a load.
    LoadWithoutResistance = 8,
    /// The run took too long.
    TimedOut = 9,
    /// It was stopped by a call.
    Cancelled = 10,
    /// Bypass was asked for, and is set.
    Bypassed = 11,
    /// What this interface has no word for yet.
    Other = 12,
}

impl From<TunerOutcome> for Outcome {
    fn from(outcome: TunerOutcome) -> Self {
        match outcome {
            TunerOutcome::Matched => Self::Matched,
            TunerOutcome::BestAvailable => Self::BestAvailable,
            TunerOutcome::BudgetSpent => Self::BudgetSpent,
            TunerOutcome::TooLittlePower => Self::TooLittlePower,
            TunerOutcome::TooMuchPower => Self::TooMuchPower,
            TunerOutcome::SensorFault => Self::SensorFault,
            TunerOutcome::BankFault => Self::BankFault,
            TunerOutcome::Drifting => Self::Drifting,
            TunerOutcome::LoadWithoutResistance => Self::LoadWithoutResistance,
            TunerOutcome::TimedOut => Self::TimedOut,
            TunerOutcome::Cancelled => Self::Cancelled,
            TunerOutcome::Bypassed => Self::Bypassed,
            _ => Self::Other,
        }
    }
}

/// The tap of `Relays` between two taps: none is connected.
pub const NO_TAP: u8 = 255;

/// The relays of a bank at one moment. Bit k of a code stands for part k of the bank's list.
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Relays {
    /// The coils that are in the path: the relay across each of them is open.
    pub coils: u16,
    /// The capacitors that are connected.
    pub capacitors: u16,
    /// 1 where the capacitors are at the antenna's end, in a bank with a changeover; otherwise 0.
    pub at_load: u8,
    /// The tap of the transformer, from 0; `OHMWRIGHT_NO_TAP` between two. 0 without a transformer.
    pub tap: u8,
}

/// Room for a tuner; only the library looks inside. It may be copied as bytes, and moved.
#[repr(C)]
pub struct TunerStorage {
    /// Says that the rest is a tuner, and of which family.
    started: u64,
    /// The tuner.
    words: [u64; TUNER_WORDS],
}

/// A tuner of the bank that the library is built for.
pub(crate) type Controller<A> = Tuner<A, COILS, CAPACITORS>;

/// The largest of both families fits, and no more than a few words are asked for that neither needs.
const _: () = {
    let (fixed, float) = (
        size_of::<Controller<ohmwright::arithmetic::Fixed32>>(),
        size_of::<Controller<f32>>(),
    );
    let most = if fixed < float { float } else { fixed };
    assert!(most <= 8 * TUNER_WORDS, "a tuner needs more: raise TUNER_WORDS");
    assert!(
        8 * TUNER_WORDS < most + 64,
        "no tuner needs so much: lower TUNER_WORDS"
    );
    assert!(size_of::<TunerStorage>() == TUNER_STORAGE_BYTES);
};

/// Another mark than that of an analyser, though its storage has another type.
const fn mark<A: Family>() -> u64 {
    !A::MARK
}

/// Writes a tuner into a caller's storage.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write.
pub(crate) unsafe fn put_tuner<A: Family>(storage: *mut TunerStorage, tuner: Controller<A>) -> Status {
    const { assert!(align_of::<Controller<A>>() <= 8) };
    if let Err(status) = usable(storage) {
        return status;
    }
    // SAFETY: the caller's promise; the words are large enough and aligned, as was checked. Nothing is read of what may
    // never have been written.
    unsafe {
        (&raw mut (*storage).words).cast::<Controller<A>>().write(tuner);
        (&raw mut (*storage).started).write(mark::<A>());
    }
    Status::Done
}

/// The tuner in a caller's storage.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write, and that nobody else uses meanwhile.
pub(crate) unsafe fn tuner_at<'a, A: Family>(
    storage: *mut TunerStorage,
) -> Result<&'a mut Controller<A>, Status> {
    usable(storage)?;
    // SAFETY: the caller's promise. `put_tuner` wrote a tuner of this family where the mark says so, and only this
    // crate changes it; the reference given is the only one.
    unsafe {
        if (*storage).started != mark::<A>() {
            return Err(Status::NotStarted);
        }
        Ok(&mut *(&raw mut (*storage).words).cast::<Controller<A>>())
    }
}

/// `f        71.0000 MHz`: a frequency, hertz, in six digits, in a buffer of `size` bytes, the last of which is the 0
/// that ends a string. `NO_ROOM` where the buffer is too short (21 bytes hold every line); the line is then blank.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_text_frequency(
    frequency_hz: u64,
    line: *mut c_char,
    size: usize,
) -> Status {
    // SAFETY: the caller's promise.
    unsafe { fill(line, size, |line| text::frequency(line, Hertz::new(frequency_hz))) }
}

/// `from     69.8000 MHz`: the lower edge of a band, hertz; `from <` where `is_open` is not 0, since the sweep began
/// inside the band. Otherwise like `ohmwright_text_frequency`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_text_band_low(
    low_hz: u64,
    is_open: u8,
    line: *mut c_char,
    size: usize,
) -> Status {
    let label: &[u8] = if is_open == 0 { b"from" } else { b"from <" };
    // SAFETY: the caller's promise.
    unsafe { fill(line, size, |line| labelled(line, label, Hertz::new(low_hz))) }
}

/// `to       70.6000 MHz`: the upper edge of a band, hertz; `to >` where `is_open` is not 0, since the sweep ended
/// inside the band. Otherwise like `ohmwright_text_frequency`.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn ohmwright_text_band_high(
    high_hz: u64,
    is_open: u8,
    line: *mut c_char,
    size: usize,
) -> Status {
    let label: &[u8] = if is_open == 0 { b"to" } else { b"to >" };
    // SAFETY: the caller's promise.
    unsafe { fill(line, size, |line| labelled(line, label, Hertz::new(high_hz))) }
}

/// A frequency with another label than its own, which is one letter; blank where that has no room.
fn labelled<'a>(line: &'a mut [u8], label: &[u8], frequency: Hertz) -> Result<&'a str, TextError> {
    text::frequency(line, frequency)?;
    // The label, and a blank after it.
    let free = line.iter().skip(1).take_while(|letter| **letter == b' ').count();
    if free < label.len() {
        line.fill(b' ');
        return Err(TextError::BufferTooShort(label.len().wrapping_sub(free)));
    }
    for (place, letter) in line.iter_mut().zip(label) {
        *place = *letter;
    }
    Ok("")
}
