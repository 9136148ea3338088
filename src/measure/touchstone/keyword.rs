//! The keywords of version 2 files.

use core::fmt;

use super::scan::{tokens, trim};

/// A keyword of version 2.0 or 2.1, in the order of the specification.
///
/// Source: Touchstone File Format Specification Version 2.0 (IBIS Open Forum, 2009) and 2.1 (2024).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Keyword {
    /// `[Version]`: 2.0 or 2.1. Required, before everything but comments.
    Version,
    /// `[Number of Ports]`: required, right after the option line. 1 for this reader.
    NumberOfPorts,
    /// `[Two-Port Data Order]`: two-ports only, refused.
    TwoPortDataOrder,
    /// `[Number of Frequencies]`: required, the number of data lines.
    NumberOfFrequencies,
    /// `[Number of Noise Frequencies]`: two-ports only, refused.
    NumberOfNoiseFrequencies,
    /// `[Reference]`: the reference resistance in ohms, in place of `R` on the option line.
    Reference,
    /// `[Matrix Format]`: `Full`, `Lower` or `Upper`, all the same for one port.
    MatrixFormat,
    /// `[Mixed-Mode Order]`: needs two ports or more, refused.
    MixedModeOrder,
    /// `[Begin Information]`: starts a block that is skipped.
    BeginInformation,
    /// `[End Information]`: ends that block.
    EndInformation,
    /// `[Network Data]`: required, the data follow.
    NetworkData,
    /// `[Noise Data]`: two-ports only, refused.
    NoiseData,
    /// `[End]`: ends the file.
    End,
}

impl Keyword {
    /// Every keyword, in the order of the specification.
    pub const ALL: [Self; 13] = [
        Self::Version,
        Self::NumberOfPorts,
        Self::TwoPortDataOrder,
        Self::NumberOfFrequencies,
        Self::NumberOfNoiseFrequencies,
        Self::Reference,
        Self::MatrixFormat,
        Self::MixedModeOrder,
        Self::BeginInformation,
        Self::EndInformation,
        Self::NetworkData,
        Self::NoiseData,
        Self::End,
    ];

    /// The words between the brackets, as the specification writes them.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Version => "Version",
            Self::NumberOfPorts => "Number of Ports",
            Self::TwoPortDataOrder => "Two-Port Data Order",
            Self::NumberOfFrequencies => "Number of Frequencies",
            Self::NumberOfNoiseFrequencies => "Number of Noise Frequencies",
            Self::Reference => "Reference",
            Self::MatrixFormat => "Matrix Format",
            Self::MixedModeOrder => "Mixed-Mode Order",
            Self::BeginInformation => "Begin Information",
            Self::EndInformation => "End Information",
            Self::NetworkData => "Network Data",
            Self::NoiseData => "Noise Data",
            Self::End => "End",
        }
    }

    /// Finds the keyword with these words. Letter case and the width of the gaps do not matter.
    pub(super) fn from_words(words: &[u8]) -> Option<Self> {
        let same = |keyword: &Self| {
            let (mut left, mut right) = (tokens(words), tokens(keyword.words().as_bytes()));
            loop {
                match (left.next(), right.next()) {
                    (None, None) => return true,
                    (Some(a), Some(b)) if a.eq_ignore_ascii_case(b) => {}
                    _ => return false,
                }
            }
        };
        Self::ALL.into_iter().find(same)
    }

    /// Whether the keyword is only for files with two or more ports.
    pub(super) const fn needs_two_ports(self) -> bool {
        matches!(
            self,
            Self::TwoPortDataOrder | Self::NumberOfNoiseFrequencies | Self::MixedModeOrder | Self::NoiseData
        )
    }
}

/// Reads like `[Number of Ports]`.
impl fmt::Display for Keyword {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "[{}]", self.words())
    }
}

/// Splits `[words] rest` into its two parts. `None` if there is no closing bracket.
pub(super) fn split(text: &[u8]) -> Option<(&[u8], &[u8])> {
    let inside = text.strip_prefix(b"[")?;
    let end = inside.iter().position(|&byte| byte == b']')?;
    let (words, rest) = inside.split_at_checked(end)?;
    Some((trim(words), rest.strip_prefix(b"]")?))
}
