//! The result of a file: its records, and a summary.

use super::options::{Format, FrequencyUnit, Parameter, Version};
use crate::quantity::{Hertz, Reflection};

/// One data line: a frequency and the reflection there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Record {
    /// Frequency, rounded to the nearest whole hertz.
    pub frequency: Hertz,
    /// Reflection coefficient with respect to [`Reader::reference_ohm`](super::Reader::reference_ohm).
    pub reflection: Reflection<f64>,
}

#[cfg(feature = "defmt")]
impl defmt::Format for Record {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{=u64} Hz {=f64} {=f64}",
            self.frequency.get(),
            self.reflection.real().get(),
            self.reflection.imaginary().get()
        );
    }
}

/// Faults of a file that was accepted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Warnings {
    /// A version 2 file ends without `[End]`. It may have been cut off after a whole line.
    pub missing_end: bool,
    /// Something other than comments follows `[End]`. It was ignored.
    pub text_after_end: bool,
    /// There was a further option line. It was ignored.
    pub further_option_line: bool,
    /// The keywords between `[Number of Ports]` and `[Network Data]` are not in the order of the specification.
    pub keyword_order: bool,
    /// The file begins with a byte order mark, which is not plain ASCII.
    pub byte_order_mark: bool,
}

impl Warnings {
    /// Whether there is a warning.
    #[must_use]
    pub const fn any(self) -> bool {
        self.missing_end
            || self.text_after_end
            || self.further_option_line
            || self.keyword_order
            || self.byte_order_mark
    }
}

/// The summary of a whole file.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Summary {
    /// Number of data lines.
    pub records: u64,
    /// Reference resistance in ohms.
    pub reference_ohm: f64,
    /// Version of the file.
    pub version: Version,
    /// The quantity of its data before the conversion to reflection coefficients.
    pub parameter: Parameter,
    /// How its numbers were written.
    pub format: Format,
    /// Unit of its frequencies.
    pub unit: FrequencyUnit,
    /// The faults found.
    pub warnings: Warnings,
}
