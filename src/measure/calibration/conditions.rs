//! The conditions under which a calibration was made.

use crate::arithmetic::Arithmetic;
#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
use crate::quantity::{Decibels, Hertz, Reference};
use crate::stored::checksum;

/// A short description of a grid of frequencies: both ends, the number of points, and a checksum of all of them.
///
/// Grids with equal fields are equal: the checksum (CRC-32) covers every frequency in order, of uneven grids too.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Grid {
    /// The first frequency.
    pub start: Hertz,
    /// The last frequency.
    pub stop: Hertz,
    /// The number of frequencies.
    pub points: u32,
    /// A checksum of all frequencies.
    pub mark: u32,
}

impl Grid {
    /// The grid of these frequencies, in this order. Takes some hundred instructions per frequency.
    pub fn of(frequencies: impl IntoIterator<Item = Hertz>) -> Self {
        let mut grid = Self::default();
        for frequency in frequencies {
            if grid.points == 0 {
                grid.start = frequency;
            }
            grid.stop = frequency;
            grid.points = grid.points.saturating_add(1);
            let mut bytes = [0; 12];
            let all = grid
                .mark
                .to_le_bytes()
                .into_iter()
                .chain(frequency.get().to_le_bytes());
            for (to, from) in bytes.iter_mut().zip(all) {
                *to = from;
            }
            grid.mark = checksum(&bytes);
        }
        grid
    }
}

/// The head of a table: the conditions when it was made, which must be the same when it is used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct Conditions<A: Arithmetic> {
    /// The power of the source in dBm, at a reference point of the caller's choice. A detector that is not quite linear
    /// reads differently at another power.
    pub power_dbm: Decibels<A>,
    /// The frequencies at which the standards were read.
    pub grid: Grid,
    /// The reference of the corrected Γ, the same as that of the standards.
    pub reference: Reference<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Conditions<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let power = Number(self.power_dbm);
        defmt::write!(f, "{} dBm, reference {}, {}", power, self.reference, self.grid);
    }
}
