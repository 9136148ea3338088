//! The reader, which takes lines from the caller.

use super::error::{TouchstoneCause, TouchstoneError};
use super::keyword::Keyword;
use super::options::{Format, FrequencyUnit, Parameter, Version};
use super::record::{Record, Summary};
use super::state::State;

/// Reads a one-port Touchstone file line by line, in constant memory.
///
/// Pass every line in order to [`line`](Self::line), then call [`finish`](Self::finish).
///
/// After an error the reader is unchanged, except for the line count: the bad line counts as a comment. So the caller
/// may stop, or go on with the next line and lose one record. After that, later lines may be wrong as well, for
/// instance after a bad option line.
///
/// ```
/// use ohmwright::measure::touchstone::{Reader, Version};
/// use ohmwright::quantity::{Hertz, Reflection};
///
/// let file = "! invented: a whip antenna on a test mast\n# MHz Z RI R 50\n7.1 1 0\n7.2 1 2\n";
/// let mut reader = Reader::new();
/// let mut last = None;
/// for line in file.lines() {
///     if let Some(record) = reader.line(line.as_bytes())? {
///         last = Some(record);
///     }
/// }
/// let last = last.unwrap();
/// assert_eq!(last.frequency, Hertz::new(7_200_000));
/// // 50 + j100 ohm on 50 ohm: 2j / (2 + 2j) = 0.5 + j0.5
/// assert_eq!(Reflection::<f64>::new(0.5, 0.5), Ok(last.reflection));
///
/// let summary = reader.finish()?;
/// assert_eq!(summary.records, 2);
/// assert_eq!(summary.version, Version::One);
/// assert_eq!(summary.reference_ohm, 50.0);
/// assert!(!summary.warnings.any());
/// # Ok::<(), ohmwright::measure::touchstone::TouchstoneError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Reader {
    lines: u32,
    state: State,
}

#[cfg(feature = "defmt")]
impl defmt::Format for Reader {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (lines, records) = (self.lines(), self.records());
        defmt::write!(
            f,
            "Touchstone reader after {=u32} lines, {=u64} records",
            lines,
            records
        );
    }
}

impl Reader {
    /// A reader before its first line.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            lines: 0,
            state: State::NEW,
        }
    }

    /// Takes one line, with or without its LF, CR or CR LF.
    ///
    /// Returns a record for a data line, `None` for any other. A byte order mark (UTF-8) before the first line is
    /// accepted, with a warning. Lines after `[End]` are not checked.
    ///
    /// # Errors
    /// Every [`TouchstoneCause`] of a line, with the line number. The bad line then counts as a comment.
    pub fn line(&mut self, line: &[u8]) -> Result<Option<Record>, TouchstoneError> {
        let first = self.lines == 0;
        self.skip_line();
        // Works on a copy, so that an error leaves no partial change.
        let mut next = self.state;
        match next.line(line, first) {
            Ok(record) => {
                self.state = next;
                Ok(record)
            }
            Err(cause) => Err(self.error(cause)),
        }
    }

    /// Counts a line that could not be passed, such as one that was too long for its [`LineBuffer`](super::LineBuffer),
    /// so that the line numbers stay right. The count saturates at the largest `u32`.
    pub const fn skip_line(&mut self) {
        self.lines = self.lines.saturating_add(1);
    }

    /// Checks at the end of the file that it is complete, and returns a summary.
    ///
    /// Does not change the reader: a call before the end answers for a file that ends here.
    ///
    /// # Errors
    /// [`TouchstoneCause::NoData`] for a file without data. In version 2 also a missing keyword, option line or value
    /// of `[Reference]`, and a number of data lines other than announced. A missing `[End]` is only a warning.
    pub fn finish(&self) -> Result<Summary, TouchstoneError> {
        self.state.finish().map_err(|cause| self.error(cause))
    }

    /// Number of lines so far.
    #[must_use]
    pub const fn lines(&self) -> u32 {
        self.lines
    }

    /// Number of records so far.
    #[must_use]
    pub const fn records(&self) -> u64 {
        self.state.records
    }

    /// Version, known after the option line (version 1) or `[Version]`.
    #[must_use]
    pub const fn version(&self) -> Option<Version> {
        self.state.version
    }

    /// The quantity of the data, known after the option line.
    #[must_use]
    pub fn parameter(&self) -> Option<Parameter> {
        self.state.options.map(|options| options.parameter)
    }

    /// How the numbers are written, known after the option line.
    #[must_use]
    pub fn format(&self) -> Option<Format> {
        self.state.options.map(|options| options.format)
    }

    /// Unit of the frequencies, known after the option line.
    #[must_use]
    pub fn unit(&self) -> Option<FrequencyUnit> {
        self.state.options.map(|options| options.unit)
    }

    /// Reference resistance in ohms, known after the option line (version 1) or `[Network Data]`
    /// (version 2, where `[Reference]` goes before `R`).
    #[must_use]
    pub fn reference_ohm(&self) -> Option<f64> {
        self.state.reference_ohm()
    }

    /// Number of data lines that the file announces. Version 2 only, known after
    /// [`Keyword::NumberOfFrequencies`].
    #[must_use]
    pub fn announced_records(&self) -> Option<u64> {
        self.state
            .has(Keyword::NumberOfFrequencies)
            .then_some(self.state.announced)
    }

    const fn error(&self, cause: TouchstoneCause) -> TouchstoneError {
        TouchstoneError {
            line: self.lines,
            cause,
        }
    }
}

impl Default for Reader {
    fn default() -> Self {
        Self::new()
    }
}
