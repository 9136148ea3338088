//! The option line and its choices.

use core::fmt;

use super::error::{Excerpt, TouchstoneCause};
use super::number::parse_real;
use super::scan::tokens;

/// Smallest reference resistance that is read or written, in ohms.
pub const REFERENCE_OHM_MIN: f64 = 1e-6;

/// Largest reference resistance that is read or written, in ohms.
pub const REFERENCE_OHM_MAX: f64 = 1e12;

/// Version of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Version {
    /// 1.0 or 1.1, which are the same for one port: an option line and data.
    One,
    /// 2.0: keywords in brackets.
    TwoPointZero,
    /// 2.1: the same keywords.
    TwoPointOne,
}

impl Version {
    /// Ending of the file name that the specification suggests, without its dot: `s1p` for a
    /// one-port, `ts` for a file with keywords.
    #[must_use]
    pub const fn file_extension(self) -> &'static str {
        match self {
            Self::One => "s1p",
            Self::TwoPointZero | Self::TwoPointOne => "ts",
        }
    }
}

/// The quantity of the data.
///
/// `H` and `G` exist for two-ports only and are refused.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Parameter {
    /// `S`: the reflection coefficient.
    #[default]
    Scattering,
    /// `Z`: the impedance; relative to the reference in version 1, in ohms in version 2.
    Impedance,
    /// `Y`: the admittance; relative to that of the reference in version 1, in siemens in version 2.
    Admittance,
}

/// How a complex value is written. Angles are always in degrees.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Format {
    /// `RI`: real and imaginary part.
    RealImaginary,
    /// `MA`: magnitude and angle. The default if the option line states none.
    #[default]
    MagnitudeAngle,
    /// `DB`: twenty times the decimal logarithm of the magnitude, and angle. `-inf`, and any value
    /// too low for `f64`, is read as a magnitude of zero.
    DecibelAngle,
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::RealImaginary => "RI",
            Self::MagnitudeAngle => "MA",
            Self::DecibelAngle => "DB",
        })
    }
}

/// Unit of the frequencies. The format has only these four.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum FrequencyUnit {
    /// `Hz`.
    Hertz,
    /// `kHz`.
    Kilohertz,
    /// `MHz`.
    Megahertz,
    /// `GHz`. The default if the option line states none.
    #[default]
    Gigahertz,
}

impl FrequencyUnit {
    /// The unit in hertz.
    #[must_use]
    pub const fn hertz(self) -> u64 {
        match self {
            Self::Hertz => 1,
            Self::Kilohertz => 1_000,
            Self::Megahertz => 1_000_000,
            Self::Gigahertz => 1_000_000_000,
        }
    }

    /// The power of ten of the unit, in hertz.
    pub(super) const fn decimals(self) -> u8 {
        match self {
            Self::Hertz => 0,
            Self::Kilohertz => 3,
            Self::Megahertz => 6,
            Self::Gigahertz => 9,
        }
    }
}

impl fmt::Display for FrequencyUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Hertz => "Hz",
            Self::Kilohertz => "kHz",
            Self::Megahertz => "MHz",
            Self::Gigahertz => "GHz",
        })
    }
}

/// The contents of an option line, with defaults for omitted options.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OptionLine {
    pub(super) unit: FrequencyUnit,
    pub(super) parameter: Parameter,
    pub(super) format: Format,
    pub(super) reference_ohm: f64,
}

impl OptionLine {
    /// Reads the text after the `#`.
    pub(super) fn parse(text: &[u8]) -> Result<Self, TouchstoneCause> {
        let (mut unit, mut parameter, mut format, mut reference_ohm) = (None, None, None, None);
        let mut options = tokens(text);
        while let Some(token) = options.next() {
            match Choice::from_token(token) {
                Some(Choice::Unit(value)) => set(&mut unit, value, token)?,
                Some(Choice::Parameter(value)) => set(&mut parameter, value, token)?,
                Some(Choice::Format(value)) => set(&mut format, value, token)?,
                Some(Choice::Resistance) => {
                    let value = options.next().ok_or(TouchstoneCause::MissingReference)?;
                    set(&mut reference_ohm, parse_reference(value)?, token)?;
                }
                Some(Choice::TwoPort) => return Err(TouchstoneCause::TwoPortParameter(Excerpt::new(token))),
                // A second resistance belongs to a second port (added by version 2.1).
                None if reference_ohm.is_some() && parse_real(token).is_ok() => {
                    return Err(TouchstoneCause::SeveralReferences);
                }
                None => return Err(TouchstoneCause::UnknownOption(Excerpt::new(token))),
            }
        }
        Ok(Self {
            unit: unit.unwrap_or_default(),
            parameter: parameter.unwrap_or_default(),
            format: format.unwrap_or_default(),
            reference_ohm: reference_ohm.unwrap_or(50.0),
        })
    }
}

/// One word of an option line.
enum Choice {
    Unit(FrequencyUnit),
    Parameter(Parameter),
    Format(Format),
    Resistance,
    TwoPort,
}

impl Choice {
    fn from_token(token: &[u8]) -> Option<Self> {
        let is = |word: &str| token.eq_ignore_ascii_case(word.as_bytes());
        Some(match () {
            () if is("Hz") => Self::Unit(FrequencyUnit::Hertz),
            () if is("kHz") => Self::Unit(FrequencyUnit::Kilohertz),
            () if is("MHz") => Self::Unit(FrequencyUnit::Megahertz),
            () if is("GHz") => Self::Unit(FrequencyUnit::Gigahertz),
            () if is("S") => Self::Parameter(Parameter::Scattering),
            () if is("Z") => Self::Parameter(Parameter::Impedance),
            () if is("Y") => Self::Parameter(Parameter::Admittance),
            () if is("RI") => Self::Format(Format::RealImaginary),
            () if is("MA") => Self::Format(Format::MagnitudeAngle),
            () if is("DB") => Self::Format(Format::DecibelAngle),
            () if is("R") => Self::Resistance,
            () if is("H") || is("G") => Self::TwoPort,
            () => return None,
        })
    }
}

/// Fills a slot that must still be empty.
fn set<T>(slot: &mut Option<T>, value: T, token: &[u8]) -> Result<(), TouchstoneCause> {
    match slot.replace(value) {
        None => Ok(()),
        Some(_) => Err(TouchstoneCause::RepeatedOption(Excerpt::new(token))),
    }
}

/// A reference resistance in ohms, within its limits.
pub(super) fn parse_reference(token: &[u8]) -> Result<f64, TouchstoneCause> {
    let ohm = parse_real(token)?;
    if ohm <= 0.0 {
        Err(TouchstoneCause::ReferenceNotPositive(Excerpt::new(token)))
    } else if is_reference(ohm) {
        Ok(ohm)
    } else {
        Err(TouchstoneCause::ReferenceOutOfRange(Excerpt::new(token)))
    }
}

/// Whether a reference resistance lies within the limits.
pub(super) fn is_reference(ohm: f64) -> bool {
    (REFERENCE_OHM_MIN..=REFERENCE_OHM_MAX).contains(&ohm)
}
