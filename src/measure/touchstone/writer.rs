//! The writer.

use core::fmt::{self, Write};

use super::options::{Format, FrequencyUnit, REFERENCE_OHM_MAX, REFERENCE_OHM_MIN, is_reference};
use crate::quantity::{Hertz, Reflection};

/// The form of a file.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Layout {
    /// Unit of the frequencies. Every whole hertz is written exactly in every unit.
    pub unit: FrequencyUnit,
    /// How the reflection coefficient is written. Only [`Format::RealImaginary`] keeps every bit.
    pub format: Format,
    /// Reference resistance in ohms, from [`REFERENCE_OHM_MIN`] to [`REFERENCE_OHM_MAX`].
    pub reference_ohm: f64,
    /// `None` writes version 1.1. A number writes version 2.0, which states the number of records before them.
    pub announced_records: Option<u64>,
}

impl Layout {
    setters! {
        with_unit(unit: FrequencyUnit);
        with_format(format: Format);
        with_reference_ohm(reference_ohm: f64);
        with_announced_records(announced_records: Option<u64>);
    }
}

/// Version 1.1, hertz, real and imaginary part, 50 ohms.
impl Default for Layout {
    fn default() -> Self {
        Self {
            unit: FrequencyUnit::Hertz,
            format: Format::RealImaginary,
            reference_ohm: 50.0,
            announced_records: None,
        }
    }
}

/// Why nothing, or not everything, was written.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum WriteError {
    /// The reference resistance in ohms is out of range, or not a number.
    ReferenceOutOfRange(f64),
    /// A comment holds a line break, another control character or a character beyond ASCII.
    CommentCharacter(char),
    /// The frequency does not rise from one record to the next.
    NotIncreasing {
        /// Frequency of the record before.
        previous: Hertz,
        /// Frequency of this record.
        found: Hertz,
    },
    /// A reflection coefficient of zero at this frequency: it has no decibel value, and the format
    /// has no infinity. [`Format::MagnitudeAngle`] and [`Format::RealImaginary`] can write it.
    ZeroInDecibels(Hertz),
    /// A file must hold data.
    NoData,
    /// The number of records is not the announced one.
    RecordCount {
        /// The number in the layout.
        announced: u64,
        /// The number of records, at least.
        found: u64,
    },
    /// The sink returned an error. Its content is incomplete.
    Sink,
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ReferenceOutOfRange(ohm) => write!(
                f,
                "reference resistance {ohm} ohm is not within {REFERENCE_OHM_MIN} to {REFERENCE_OHM_MAX}"
            ),
            Self::CommentCharacter(character) => {
                write!(f, "character {character:?} is not allowed in a comment")
            }
            Self::NotIncreasing { previous, found } => write!(
                f,
                "frequency is not increasing, {} Hz after {} Hz",
                found.get(),
                previous.get()
            ),
            Self::ZeroInDecibels(frequency) => {
                write!(
                    f,
                    "zero reflection at {} Hz has no decibel value",
                    frequency.get()
                )
            }
            Self::NoData => f.write_str("no data"),
            Self::RecordCount { announced, found } => {
                write!(f, "announced {announced} records, found {found}")
            }
            Self::Sink => f.write_str("the sink returned an error"),
        }
    }
}

impl core::error::Error for WriteError {}

impl From<fmt::Error> for WriteError {
    fn from(_: fmt::Error) -> Self {
        Self::Sink
    }
}

/// Writes a one-port Touchstone file with `S` parameters into any [`core::fmt::Write`].
///
/// Comments may come at any time; those before the first record are above the option line.
///
/// Read back, [`Format::RealImaginary`] gives the same bits. [`Format::MagnitudeAngle`] gives the value within 3 parts
/// in 10^15 of its magnitude. [`Format::DecibelAngle`] adds 4 parts in 10^17 for every decibel away from 0 dB, so it
/// stays within 10^-14 down to -170 dB. Both polar forms need a small margin below the limit of [`Reflection`].
///
/// Every line is shorter than 100 bytes, comments aside.
///
/// After any error except [`WriteError::Sink`] that call has written nothing, and the writer can still be used.
///
/// ```
/// use ohmwright::measure::touchstone::{Format, FrequencyUnit, Layout, Writer};
/// use ohmwright::quantity::{Hertz, Reflection};
///
/// let layout = Layout { unit: FrequencyUnit::Megahertz, ..Layout::default() };
/// let mut text = String::new();
/// let mut writer = Writer::new(&mut text, layout)?;
/// writer.comment("invented: a loop on a balcony")?;
/// writer.record(Hertz::new(7_012_500), Reflection::<f64>::MATCHED)?;
/// writer.record(Hertz::new(7_100_000), Reflection::<f64>::new(0.25, -0.5).unwrap())?;
/// writer.finish()?;
/// assert_eq!(
///     text,
///     "! invented: a loop on a balcony\n# MHz S RI R 50\n7.0125 0 0\n7.1 0.25 -0.5\n"
/// );
/// # Ok::<(), ohmwright::measure::touchstone::WriteError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Writer<W> {
    sink: W,
    layout: Layout,
    records: u64,
    previous: Option<Hertz>,
}

#[cfg(feature = "defmt")]
impl<W> defmt::Format for Writer<W> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "Touchstone writer after {=u64} records", self.records);
    }
}

impl<W: Write> Writer<W> {
    /// A writer that has not written anything yet.
    ///
    /// # Errors
    /// [`WriteError::ReferenceOutOfRange`]; [`WriteError::NoData`] if the layout announces no records.
    pub fn new(sink: W, layout: Layout) -> Result<Self, WriteError> {
        if !is_reference(layout.reference_ohm) {
            return Err(WriteError::ReferenceOutOfRange(layout.reference_ohm));
        }
        if layout.announced_records == Some(0) {
            return Err(WriteError::NoData);
        }
        Ok(Self {
            sink,
            layout,
            records: 0,
            previous: None,
        })
    }

    /// Writes a comment line.
    ///
    /// # Errors
    /// [`WriteError::CommentCharacter`] for anything except printable ASCII, space and tab; [`WriteError::Sink`].
    pub fn comment(&mut self, text: &str) -> Result<(), WriteError> {
        if let Some(character) = text.chars().find(|&c| !matches!(c, '\t' | ' '..='~')) {
            return Err(WriteError::CommentCharacter(character));
        }
        let gap = if text.is_empty() { "" } else { " " };
        writeln!(self.sink, "!{gap}{text}")?;
        Ok(())
    }

    /// Writes a data line, and the header before the first one.
    ///
    /// # Errors
    /// [`WriteError::NotIncreasing`] for a frequency that does not rise; [`WriteError::ZeroInDecibels`] for Γ = 0 in
    /// that format; [`WriteError::RecordCount`] for more records than announced; [`WriteError::Sink`].
    pub fn record(&mut self, frequency: Hertz, reflection: Reflection<f64>) -> Result<(), WriteError> {
        if let Some(previous) = self.previous.filter(|&previous| previous >= frequency) {
            return Err(WriteError::NotIncreasing {
                previous,
                found: frequency,
            });
        }
        let found = self.records.saturating_add(1);
        if let Some(announced) = self.layout.announced_records.filter(|&most| found > most) {
            return Err(WriteError::RecordCount { announced, found });
        }
        let (first, second) = self.pair(frequency, reflection)?;
        if self.records == 0 {
            self.header()?;
        }
        let frequency_text = Shifted(frequency, self.layout.unit);
        writeln!(self.sink, "{frequency_text} {first} {second}")?;
        self.records = found;
        self.previous = Some(frequency);
        Ok(())
    }

    /// Ends the file and returns the sink.
    ///
    /// # Errors
    /// [`WriteError::NoData`] without a record; [`WriteError::RecordCount`] for fewer records than announced;
    /// [`WriteError::Sink`]. The sink is then lost, unless the writer has only a reference to it.
    pub fn finish(mut self) -> Result<W, WriteError> {
        if self.records == 0 {
            return Err(WriteError::NoData);
        }
        if let Some(announced) = self.layout.announced_records {
            if announced != self.records {
                return Err(WriteError::RecordCount {
                    announced,
                    found: self.records,
                });
            }
            self.sink.write_str("[End]\n")?;
        }
        Ok(self.sink)
    }

    /// The option line, and the keywords of version 2.
    fn header(&mut self) -> fmt::Result {
        let Layout {
            unit,
            format,
            reference_ohm,
            announced_records,
        } = self.layout;
        let reference = Real(reference_ohm);
        if announced_records.is_some() {
            self.sink.write_str("[Version] 2.0\n")?;
        }
        writeln!(self.sink, "# {unit} S {format} R {reference}")?;
        if let Some(records) = announced_records {
            writeln!(
                self.sink,
                "[Number of Ports] 1\n[Number of Frequencies] {records}\n[Network Data]"
            )?;
        }
        Ok(())
    }

    /// The two numbers of a data line.
    fn pair(&self, frequency: Hertz, reflection: Reflection<f64>) -> Result<(Real, Real), WriteError> {
        let (real, imaginary) = (reflection.real().get(), reflection.imaginary().get());
        if self.layout.format == Format::RealImaginary {
            return Ok((Real(real), Real(imaginary)));
        }
        let magnitude = libm::hypot(real, imaginary);
        // On the axes the quotient below gives exact multiples of 90 degrees.
        let degrees = libm::atan2(imaginary, real) * (180.0 / core::f64::consts::PI);
        if self.layout.format == Format::MagnitudeAngle {
            Ok((Real(magnitude), Real(degrees)))
        } else if magnitude == 0.0 {
            Err(WriteError::ZeroInDecibels(frequency))
        } else {
            Ok((Real(20.0 * libm::log10(magnitude)), Real(degrees)))
        }
    }
}

/// The shortest decimal that reads back as the same bits, with an exponent if that is shorter.
#[derive(Clone, Copy)]
struct Real(f64);

impl fmt::Display for Real {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self(value) = *self;
        if value == 0.0 || (1e-5..1e16).contains(&value.abs()) {
            write!(f, "{value}")
        } else {
            write!(f, "{value:e}")
        }
    }
}

/// A frequency in a unit: a shift of the decimal point, hence exact.
struct Shifted(Hertz, FrequencyUnit);

impl fmt::Display for Shifted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self(hertz, unit) = *self;
        let (Some(whole), Some(mut part)) = (
            hertz.get().checked_div(unit.hertz()),
            hertz.get().checked_rem(unit.hertz()),
        ) else {
            return Err(fmt::Error); // no unit is zero
        };
        if part == 0 {
            return write!(f, "{whole}");
        }
        let mut width = usize::from(unit.decimals());
        while part.is_multiple_of(10) {
            part /= 10;
            width = width.saturating_sub(1);
        }
        write!(f, "{whole}.{part:0width$}")
    }
}
