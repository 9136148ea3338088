//! Frequencies in whole hertz.

use core::fmt;

use crate::arithmetic::Real;

/// The speed of light in vacuum, m/s; exact by the definition of the metre.
pub(crate) const LIGHT: u64 = 299_792_458;

/// A frequency in whole hertz, the same in every family: 0 to 1.8e19 Hz.
///
/// ```
/// use ohmwright::quantity::Hertz;
///
/// let carrier = Hertz::from_kilohertz(71_000);
/// assert_eq!(carrier, Hertz::from_megahertz(71));
/// assert_eq!(carrier.get(), 71_000_000);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Hertz(u64);

#[cfg(feature = "defmt")]
impl defmt::Format for Hertz {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=u64} Hz", self.0);
    }
}

impl Hertz {
    /// From hertz.
    pub const fn new(hertz: u64) -> Self {
        Self(hertz)
    }

    /// From kilohertz (a `u32`, so that it cannot overflow).
    pub const fn from_kilohertz(kilohertz: u32) -> Self {
        Self(kilohertz as u64 * 1_000)
    }

    /// From megahertz (a `u32`, so that it cannot overflow).
    pub const fn from_megahertz(megahertz: u32) -> Self {
        Self(megahertz as u64 * 1_000_000)
    }

    /// The number of hertz.
    pub const fn get(self) -> u64 {
        self.0
    }

    /// ω = 2πf in radians per second.
    pub(crate) fn angular<W: Real>(self) -> W {
        W::TAU * W::from_u64(self.0)
    }

    /// The frequency `steps · unit` away, to the nearest hertz; stops at 0 and at the largest value.
    pub(crate) fn moved<W: Real>(self, steps: W, unit: u64) -> Self {
        let offset = (steps * W::from_u64(unit)).to_i64();
        Self(self.0.saturating_add_signed(offset))
    }

    /// `self − other` in units of `unit` hertz, with its sign.
    pub(crate) fn steps_from<W: Real>(self, other: Self, unit: u64) -> W {
        let steps = W::from_u64(self.0.abs_diff(other.0)) / W::from_u64(unit);
        if self.0 < other.0 { -steps } else { steps }
    }
}

impl fmt::Display for Hertz {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} Hz", self.0)
    }
}
