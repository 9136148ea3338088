//! The errors of a file, with their line.

use core::fmt;

use super::keyword::Keyword;
use crate::quantity::Hertz;

/// An error and its line.
///
/// ```
/// use ohmwright::measure::touchstone::{TouchstoneCause, Reader};
///
/// let mut reader = Reader::new();
/// reader.line(b"# MHz S RI R 50")?;
/// let error = reader.line(b"144.0 0.25").unwrap_err();
/// assert_eq!(error.line, 2);
/// assert_eq!(error.cause, TouchstoneCause::Columns { found: 2 });
/// assert_eq!(error.to_string(), "line 2: expected 3 numbers, found 2");
/// # Ok::<(), ohmwright::measure::touchstone::TouchstoneError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct TouchstoneError {
    /// Number of the line, the first line being 1.
    ///
    /// For an error at the end of the file, the number of the last line, 0 without lines; the text then names none.
    pub line: u32,
    /// The cause.
    pub cause: TouchstoneCause,
}

impl fmt::Display for TouchstoneError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A file without lines has no line to name.
        if self.line == 0 {
            return self.cause.fmt(f);
        }
        write!(f, "line {}: {}", self.line, self.cause)
    }
}

impl core::error::Error for TouchstoneError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        Some(&self.cause)
    }
}

/// The error of a line or of the whole file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum TouchstoneCause {
    /// A byte above 0x7F: the file is not plain ASCII.
    NotAscii(u8),
    /// A control character other than a tab or the line end, also 0x7F. Binary content gives this error.
    ControlCharacter(u8),
    /// The line did not fit into the line buffer.
    LineTooLong {
        /// Longest line that fits, in bytes.
        limit: usize,
    },
    /// The file holds no data, perhaps nothing but comments.
    NoData,
    /// No option line (`#`) where one is required.
    MissingOptionLine,
    /// The option line holds an unknown word: no unit, parameter, format or resistance.
    UnknownOption(Excerpt),
    /// The option line states the same option twice.
    RepeatedOption(Excerpt),
    /// The option line asks for `H` or `G`, which describe two-ports only.
    TwoPortParameter(Excerpt),
    /// `R` without a value.
    MissingReference,
    /// The reference resistance is zero or negative.
    ReferenceNotPositive(Excerpt),
    /// The reference resistance lies outside
    /// [`REFERENCE_OHM_MIN`](super::REFERENCE_OHM_MIN)..=[`REFERENCE_OHM_MAX`](super::REFERENCE_OHM_MAX).
    ReferenceOutOfRange(Excerpt),
    /// More than one reference resistance. A one-port has one.
    SeveralReferences,
    /// Not a number.
    NotANumber(Excerpt),
    /// A number with a Fortran exponent (`1.0D+03`), which the format does not have.
    FortranExponent(Excerpt),
    /// `nan` or an infinity. Only `-inf` as a magnitude in decibels is accepted.
    NotFinite(Excerpt),
    /// A number that does not fit into `f64`, or with an exponent beyond +-9999.
    ValueOutOfRange(Excerpt),
    /// A frequency below zero.
    NegativeFrequency(Excerpt),
    /// A frequency that does not fit into whole hertz as `u64`.
    FrequencyOutOfRange(Excerpt),
    /// The frequency does not rise from one record to the next, in whole hertz.
    NotIncreasing {
        /// Frequency of the record before.
        previous: Hertz,
        /// Frequency of this line.
        found: Hertz,
    },
    /// A magnitude below zero in `MA`.
    NegativeMagnitude(Excerpt),
    /// The reflection coefficient is infinite: the impedance is exactly minus the reference.
    InfiniteReflection,
    /// The reflection coefficient is finite but beyond the range of [`Reflection`](crate::quantity::Reflection).
    ReflectionOutOfRange,
    /// A data line must hold a frequency and one pair.
    Columns {
        /// The number of values on the line.
        found: usize,
    },
    /// Nine columns: a frequency and four pairs, as in a two-port file.
    TwoPortData,
    /// A keyword that the format does not have.
    UnknownKeyword(Excerpt),
    /// A `[` without its `]` on the same line.
    UnterminatedKeyword(Excerpt),
    /// A keyword that a one-port file must not have.
    NotForOnePort(Keyword),
    /// A keyword came before another one that it needs.
    MissingBefore {
        /// The keyword that has to come first.
        missing: Keyword,
        /// The keyword that was found.
        found: Keyword,
    },
    /// A keyword came twice.
    RepeatedKeyword(Keyword),
    /// A keyword came too late.
    OutOfPlace(Keyword),
    /// The file ended without this keyword.
    MissingKeyword(Keyword),
    /// The keyword needs a value.
    MissingValue(Keyword),
    /// No space between the keyword and its value.
    MissingSpace(Keyword),
    /// The value does not suit the keyword.
    UnsuitableValue {
        /// The keyword.
        keyword: Keyword,
        /// Its value.
        found: Excerpt,
    },
    /// Something follows where the line should end.
    UnexpectedText {
        /// The keyword of the line.
        keyword: Keyword,
        /// What follows.
        found: Excerpt,
    },
    /// `[Version]` with a value other than 2.0 or 2.1.
    UnsupportedVersion(Excerpt),
    /// `[Number of Ports]` is not 1.
    PortCount(u64),
    /// `[Number of Frequencies]` and the number of data lines differ.
    FrequencyCount {
        /// The number in the keyword.
        declared: u64,
        /// The number of data lines, at least.
        found: u64,
    },
    /// Data or other text before `[Network Data]`.
    DataBeforeNetworkData,
}

impl fmt::Display for TouchstoneCause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAscii(byte) => write!(f, "byte 0x{byte:02X} is not ASCII"),
            Self::ControlCharacter(byte) => write!(f, "control character 0x{byte:02X}"),
            Self::LineTooLong { limit } => write!(f, "longer than {limit} bytes"),
            Self::NoData => f.write_str("no data"),
            Self::MissingOptionLine => f.write_str("expected the option line (#) first"),
            Self::UnknownOption(text) => write!(f, "unknown option `{text}`"),
            Self::RepeatedOption(text) => {
                write!(f, "option `{text}` repeats or contradicts an earlier one")
            }
            Self::TwoPortParameter(text) => write!(f, "`{text}` is a two-port parameter"),
            Self::MissingReference => f.write_str("R needs a resistance after it"),
            Self::ReferenceNotPositive(text) => {
                write!(f, "reference resistance `{text}` is not positive")
            }
            Self::ReferenceOutOfRange(text) => {
                write!(f, "reference resistance `{text}` is out of range")
            }
            Self::SeveralReferences => f.write_str("a one-port has one reference resistance"),
            Self::NotANumber(text) => write!(f, "`{text}` is not a number"),
            Self::FortranExponent(text) => {
                write!(f, "`{text}` has a Fortran exponent (D), expected E")
            }
            Self::NotFinite(text) => write!(f, "`{text}` is not a finite number"),
            Self::ValueOutOfRange(text) => write!(f, "`{text}` is out of range"),
            Self::NegativeFrequency(text) => write!(f, "frequency `{text}` is negative"),
            Self::FrequencyOutOfRange(text) => write!(f, "frequency `{text}` is out of range"),
            Self::NotIncreasing { previous, found } => write!(
                f,
                "frequency is not increasing, {} Hz after {} Hz",
                found.get(),
                previous.get()
            ),
            Self::NegativeMagnitude(text) => write!(f, "magnitude `{text}` is negative"),
            Self::InfiniteReflection => f.write_str("the reflection coefficient is infinite"),
            Self::ReflectionOutOfRange => f.write_str("the reflection coefficient is out of range"),
            Self::Columns { found } => write!(f, "expected 3 numbers, found {found}"),
            Self::TwoPortData => f.write_str("expected 3 numbers, found 9: looks like two-port data"),
            Self::UnknownKeyword(text) => write!(f, "unknown keyword `{text}`"),
            Self::UnterminatedKeyword(text) => write!(f, "keyword `{text}` has no closing bracket"),
            Self::NotForOnePort(keyword) => write!(f, "{keyword} is not permitted for a one-port"),
            Self::MissingBefore { missing, found } => {
                write!(f, "{found} needs {missing} before it")
            }
            Self::RepeatedKeyword(keyword) => write!(f, "{keyword} comes twice"),
            Self::OutOfPlace(keyword) => write!(f, "{keyword} comes too late"),
            Self::MissingKeyword(keyword) => write!(f, "the file ends without {keyword}"),
            Self::MissingValue(keyword) => write!(f, "{keyword} needs a value"),
            Self::MissingSpace(keyword) => write!(f, "{keyword} needs a space after it"),
            Self::UnsuitableValue { keyword, found } => {
                write!(f, "{keyword} cannot have the value `{found}`")
            }
            Self::UnexpectedText { keyword, found } => {
                write!(f, "unexpected `{found}` on the line of {keyword}")
            }
            Self::UnsupportedVersion(text) => {
                write!(f, "version `{text}` is not supported, only 2.0 and 2.1")
            }
            Self::PortCount(ports) => {
                write!(f, "[Number of Ports] is {ports}, this reader takes one port")
            }
            Self::FrequencyCount { declared, found } => {
                write!(
                    f,
                    "[Number of Frequencies] is {declared}, but the file has {found}"
                )
            }
            Self::DataBeforeNetworkData => f.write_str("data before [Network Data]"),
        }
    }
}

impl core::error::Error for TouchstoneCause {}

/// The first bytes of the text that caused an error.
///
/// It holds up to [`Excerpt::CAPACITY`] bytes of printable ASCII, so that an error stays small and `Copy`. Longer text
/// is cut and shown with an ellipsis.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Excerpt {
    bytes: [u8; Self::CAPACITY],
    length: usize,
    cut: bool,
}

impl Excerpt {
    /// Longest text that is kept whole, in bytes.
    pub const CAPACITY: usize = 24;

    /// The start of `text`.
    pub(super) fn new(text: &[u8]) -> Self {
        let mut bytes = [0; Self::CAPACITY];
        for (slot, byte) in bytes.iter_mut().zip(text) {
            *slot = *byte;
        }
        Self {
            bytes,
            length: text.len().min(Self::CAPACITY),
            cut: text.len() > Self::CAPACITY,
        }
    }

    /// The text, without an ellipsis if it was cut.
    #[must_use]
    pub fn as_str(&self) -> &str {
        let text = self.bytes.get(..self.length).unwrap_or_default();
        core::str::from_utf8(text).unwrap_or_default()
    }

    /// Whether the text was cut.
    #[must_use]
    pub const fn is_cut(&self) -> bool {
        self.cut
    }
}

impl fmt::Display for Excerpt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())?;
        f.write_str(if self.cut { "..." } else { "" })
    }
}

impl fmt::Debug for Excerpt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "Excerpt({:?}{})",
            self.as_str(),
            if self.cut { ", cut" } else { "" }
        )
    }
}

#[cfg(feature = "defmt")]
impl defmt::Format for Excerpt {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=str}", self.as_str());
        if self.cut {
            defmt::write!(f, " (cut)");
        }
    }
}
