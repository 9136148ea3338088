//! Where the capacitors of a bank stand, and which settings that leaves.

use super::code::all;
use super::setting::{Setting, Side};

/// Where the capacitors stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Arrangement {
    /// All across the line at the transmitter's end of the coils.
    SourceSide,
    /// All across the line at the antenna's end of the coils.
    LoadSide,
    /// A relay puts all of them at one end or at the other.
    Changeover,
    /// At both ends: the first ones of the list at the transmitter's, the rest at the antenna's.
    BothSides {
        /// How many of the list stand at the transmitter's end.
        at_source: u8,
    },
}

impl Arrangement {
    /// Whether a bank of this arrangement, of L coils and C capacitors, with so many taps, has a setting.
    pub(super) fn has<const L: usize, const C: usize>(self, setting: Setting, taps: u8) -> bool {
        let side = self == Self::Changeover || setting.side == Side::Source;
        setting.coils & !all(L) == 0 && setting.capacitors & !all(C) == 0 && side && setting.tap < taps
    }
}
