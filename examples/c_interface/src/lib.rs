//! `ohmwright` for firmware in C: readouts, correction, the sweep analyser and lines of text, in 32-bit fixed point and
//! in `float`.
//!
//! Every function takes plain values and pointers that the caller owns, allocates nothing and keeps nothing. What a
//! call cannot do it says in its status; then the place for the answer is as it was.
//!
//! The library itself forbids unsafe code. Here, at the border to C, it stands in two places: where a pointer and a
//! length become a slice, and where a pointer becomes a place for an answer or an analyser.

#![cfg_attr(target_os = "none", no_std)]
#![deny(missing_docs)]

mod analyser;
mod calls;
mod fixed;
mod fixed_instrument;
mod float;
mod float_instrument;
mod instrument;
mod step;
mod text;

pub use analyser::{STORAGE_BYTES, Storage, WORDS};
pub use fixed::*;
pub use fixed_instrument::*;
pub use float::*;
pub use float_instrument::*;
pub use instrument::*;
pub use step::*;

/// What became of a call. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// It was done.
    Done = 0,
    /// A pointer is null.
    NullPointer = 1,
    /// A number is not finite, or beyond its range: a reference of 0, an SWR limit below 1, a NaN, an element that is
    /// none.
    BadNumber = 2,
    /// The frequency repeats the last one, or the sweep changed its direction. The point was left out.
    OutOfOrder = 3,
    /// The analyser was not started.
    NotStarted = 4,
    /// The buffer is too short for the line, and blank.
    NoRoom = 5,
    /// Nothing comes back through the fixture: its tracking is 0, or too small to say anything of the load.
    NoTracking = 6,
    /// No load within the range of the numbers gives this reading: it lies at the pole of the correction, or next to
    /// it.
    AtPole = 7,
    /// A pointer is not aligned as its type is.
    Misaligned = 8,
    /// Two standards reflect the same, within a thousandth: the second says nothing.
    EqualStandards = 9,
    /// Two standards read the same: one was not connected, or nothing comes through the fixture.
    EqualReadings = 10,
    /// A source match of 1 or more, which no fixture has: the load was exchanged with the open or the short.
    ImpossibleSourceMatch = 11,
    /// The result is beyond the range of its number.
    OutOfRange = 12,
    /// A table has fewer than two rows.
    TableTooShort = 13,
    /// A row of a table is not above the one before.
    NotRising = 14,
    /// The frequency is outside the calibration.
    OutsideTable = 15,
    /// A count is at the converter's limit: the true value may be larger. Less power, or more attenuation.
    Overload = 16,
    /// The signal that is divided by is too weak: no source, or a broken connection.
    TooWeak = 17,
    /// The forward count is below the first row of its table.
    BelowTable = 18,
    /// A count is above the last row of its table.
    AboveTable = 19,
    /// Nothing, or something else, is stored there.
    Foreign = 20,
    /// It was stored in a form that this library does not know.
    OtherVersion = 21,
    /// It was stored in the other kind of numbers (fixed point or float).
    OtherFamily = 22,
    /// The checksum does not fit the stored bytes.
    Damaged = 23,
    /// Values that do not go together, or stored content that breaks a rule.
    Contradiction = 24,
    /// Load or source have no resistance above 0: no network brings power into them.
    NoResistance = 25,
    /// A run of the tuner is under way.
    Busy = 26,
    /// The bank does not have this setting.
    NotInBank = 27,
}

/// Room for dips, for bands and for crossings X = 0 in a report.
pub const ROOM: usize = 4;

/// Bytes of the readouts of either family. The header checks these with the compiler of the firmware.
pub const READOUTS_BYTES: usize = 36;
/// Bytes of the error terms.
pub const ERROR_TERMS_BYTES: usize = 24;
/// Bytes of the settings.
pub const SETTINGS_BYTES: usize = 24;
/// Bytes of a dip.
pub const DIP_BYTES: usize = 24;
/// Bytes of a band.
pub const BAND_BYTES: usize = 24;
/// Bytes of a report.
pub const REPORT_BYTES: usize = 264;
/// Bytes of a report before what it says of the target.
pub const REPORT_TARGET_AT: usize = 240;
/// Bytes of what is built.
pub const BUILT_BYTES: usize = 20;
/// Bytes of a next step.
pub const NEXT_STEP_BYTES: usize = 64;
/// Bytes of what is said of the readings.
pub const QUALITY_BYTES: usize = 32;
/// Bytes of a point of a calibration.
pub const CALIBRATION_POINT_BYTES: usize = 32;
/// Bytes of a standard.
pub const STANDARD_BYTES: usize = 20;
/// Bytes of a vector reading.
pub const VECTOR_READING_BYTES: usize = 20;
/// Bytes of the settings of a scalar detector.
pub const SCALAR_SETTINGS_BYTES: usize = 20;
/// Bytes of a scalar reading.
pub const SCALAR_READING_BYTES: usize = 36;
/// Bytes of the crossings of a sweep.
pub const RESONANCES_BYTES: usize = 104;
/// Bytes of the networks of two elements.
pub const NETWORKS_BYTES: usize = 144;
/// Bytes of a bank.
pub const BANK_BYTES: usize = 156;
/// Bytes of the settings of a tuner.
pub const TUNER_SETTINGS_BYTES: usize = 56;
/// Bytes of an event.
pub const EVENT_BYTES: usize = 12;
/// Bytes of a command.
pub const COMMAND_BYTES: usize = 32;

/// Coils of the tuner's bank. For another bank change this and what is below it in `src/lib.rs`, then `run --header`.
pub const COILS: usize = 8;
/// Capacitors of the tuner's bank.
pub const CAPACITORS: usize = 8;
/// The most taps of the transformer of a bank.
pub const TAPS: usize = 4;
/// How many words of 64 bits a tuner of this bank takes at most, in either family.
pub const TUNER_WORDS: usize = 152;
/// Bytes of the storage of a tuner: those words, and one that says what they are.
pub const TUNER_STORAGE_BYTES: usize = 8 * (TUNER_WORDS + 1);

/// What an analyser says of the target. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Target {
    /// No target was set.
    #[default]
    NotAsked = 0,
    /// The sweep does not reach it.
    NotCovered = 1,
    /// The SWR there is at or under the limit.
    Pass = 2,
    /// The SWR there is over the limit.
    Fail = 3,
}

/// Nothing here panics (the link proof of the library says so); the compiler wants an answer all the same.
#[cfg(all(target_os = "none", not(test)))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    loop {}
}
