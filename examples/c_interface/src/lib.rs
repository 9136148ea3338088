//! `ohmwright` for firmware in C: readouts, correction, the sweep analyser and lines of text, in 32-bit fixed point and
//! in `float`.
//!
//! Every function takes plain values and pointers that the caller owns, allocates nothing and keeps nothing. What a call
//! cannot do it says in its status; then the place for the answer is as it was.
//!
//! The library itself forbids unsafe code. Here, at the border to C, it stands in two places: where a pointer and a
//! length become a slice, and where a pointer becomes a place for an answer or an analyser.

#![cfg_attr(target_os = "none", no_std)]
#![deny(missing_docs)]

mod analyser;
mod calls;
mod fixed;
mod float;
mod step;
mod text;

pub use analyser::{STORAGE_BYTES, Storage, WORDS};
pub use fixed::*;
pub use float::*;
pub use step::*;

/// What became of a call. 32 bits wide, whatever the compiler makes of an enumeration.
#[repr(u32)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// It was done.
    Done = 0,
    /// A pointer is null.
    NullPointer = 1,
    /// A number is not finite, or beyond its range: a reference of 0, an SWR limit below 1, a NaN, an element that is none.
    BadNumber = 2,
    /// The frequency repeats the last one, or the sweep changed its direction. The point was left out.
    OutOfOrder = 3,
    /// The analyser was not started.
    NotStarted = 4,
    /// The buffer is too short for the line, and blank.
    NoRoom = 5,
    /// Nothing comes back through the fixture: its tracking is 0, or too small to say anything of the load.
    NoTracking = 6,
    /// No load within the range of the numbers gives this reading: it lies at the pole of the correction, or next to it.
    AtPole = 7,
    /// A pointer is not aligned as its type is.
    Misaligned = 8,
}

/// Room for dips, for bands and for crossings X = 0 in a report.
pub const ROOM: usize = 4;

/// Bytes of the readouts of either family. The header checks these with the compiler of the firmware.
pub const READOUTS_BYTES: usize = 36;
/// Bytes of the error terms.
pub const ERROR_TERMS_BYTES: usize = 24;
/// Bytes of the settings.
pub const SETTINGS_BYTES: usize = 16;
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
