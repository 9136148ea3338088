//! One-port Touchstone files, read and written line by line.
//!
//! A Touchstone file lists measured or computed data against frequency, as plain text. This module reads files of one
//! port in the versions 1.0, 1.1, 2.0 and 2.1 and writes 1.1 and 2.0, in constant memory and without an allocator.
//!
//! - [`Reader`] takes one line after the other and returns [`Record`]s; [`Reader::finish`] checks that the file is
//!   complete. [`read`] does both for a file in memory.
//! - [`LineBuffer`] splits a stream of bytes into lines, [`lines`] splits a slice.
//! - [`Writer`] writes a file into any [`core::fmt::Write`], in the form of a [`Layout`].
//!
//! Text is read and written in `f64` only: on a PC, or on a core that is fast enough. Other number families convert
//! afterwards. All data, also `Z` and `Y`, become a reflection coefficient on the reference of the file.
//!
//! # What is accepted
//!
//! | | |
//! | --- | --- |
//! | Parameters | `S`, `Z`, `Y`. `H` and `G` belong to two-ports and are refused. |
//! | Formats | `RI`, `MA`, `DB`; angles in degrees. `-inf` as a decibel value stands for zero. |
//! | Units | `GHz`, `MHz`, `kHz`, `Hz`; converted to whole hertz in decimal, to the nearest one, halves upwards. |
//! | Defaults | `GHz`, `S`, `MA`, `R 50`, for anything that the option line omits. |
//! | `Z` and `Y` | relative to the reference in version 1; in ohms and siemens in version 2. |
//! | Reference | one real resistance from [`REFERENCE_OHM_MIN`] to [`REFERENCE_OHM_MAX`] ohms. |
//! | Frequencies | strictly increasing, in whole hertz; zero is allowed. |
//! | Characters | ASCII without control characters, also in comments. Letter case does not matter. |
//!
//! In version 2 the keywords between `[Number of Ports]` and `[Network Data]` may come in any order, with a warning.
//! `[Begin Information]` to `[End Information]` is skipped. Text after `[End]` is ignored, with a warning. A missing
//! `[End]` is a warning too, because older files lack it. A further option line is ignored in every version.
//!
//! **Not accepted:** more than one port, noise data, mixed-mode data, complex references.
//!
//! A file does not state how good its data are. Treat a reading from a file like one from an unknown instrument: check
//! the calibration before you rely on it at power.
//!
//! Sources: Touchstone File Format Specification Rev 1.1 (EIA/IBIS Open Forum, 2002); Version 2.0
//! (IBIS Open Forum, 2009); Version 2.1 (IBIS Open Forum, 2024).

mod characters;
mod error;
mod keyword;
mod line_buffer;
mod number;
mod options;
mod pair;
mod reader;
mod record;
mod scan;
mod state;
mod writer;

pub use error::{Excerpt, TouchstoneCause, TouchstoneError};
pub use keyword::Keyword;
pub use line_buffer::{LineBuffer, Lines, lines};
pub use options::{Format, FrequencyUnit, Parameter, REFERENCE_OHM_MAX, REFERENCE_OHM_MIN, Version};
pub use reader::Reader;
pub use record::{Record, Summary, Warnings};
pub use writer::{Layout, WriteError, Writer};

/// Reads a whole file in memory and passes every record to `each`.
///
/// ```
/// use ohmwright::measure::touchstone::read;
///
/// let mut worst = 0.0_f64;
/// let summary = read(b"# kHz S MA\n7000 0.3 90\n7100 0.2 45\n", |record| {
///     worst = worst.max(record.reflection.imaginary().get());
/// })?;
/// assert_eq!(summary.records, 2);
/// assert_eq!(worst, 0.3);
/// # Ok::<(), ohmwright::measure::touchstone::TouchstoneError>(())
/// ```
///
/// # Errors
/// The first error of [`Reader::line`], or that of [`Reader::finish`]. The records before it have been passed by then.
pub fn read(bytes: &[u8], mut each: impl FnMut(Record)) -> Result<Summary, TouchstoneError> {
    let mut reader = Reader::new();
    for line in lines(bytes) {
        if let Some(record) = reader.line(line)? {
            each(record);
        }
    }
    reader.finish()
}
