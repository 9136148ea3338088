//! The position of the capacitors in a bank, and the settings that follow from it.

use super::code::all;
use super::setting::{Setting, Side};

/// The position of the capacitors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Arrangement {
    /// All across the line at the transmitter's end of the coils.
    SourceSide,
    /// All across the line at the antenna's end of the coils.
    LoadSide,
    /// A relay connects all of them at one end or at the other.
    Changeover,
    /// At both ends: the first ones of the list at the transmitter's end, the others at the antenna's end.
    BothSides {
        /// The number of capacitors at the transmitter's end.
        at_source: u8,
    },
}

impl Arrangement {
    /// Whether a bank of this arrangement, with L coils, C capacitors and `taps` taps, has a setting.
    pub(super) fn has<const L: usize, const C: usize>(self, setting: Setting, taps: u8) -> bool {
        let side = self == Self::Changeover || setting.side == Side::Source;
        setting.coils & !all(L) == 0 && setting.capacitors & !all(C) == 0 && side && setting.tap < taps
    }
}
