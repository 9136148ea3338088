//! The values of two channels at one moment, as whole numbers.

use crate::arithmetic::kernel::multiply::square;
use crate::arithmetic::{Real, Scaled};

/// The counts of one channel behind a quadrature mixer: in phase, and 90° behind.
///
/// With the signal A·cos(ωt + φ), I is A·cos φ and Q is A·sin φ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Iq {
    /// In phase.
    pub i: i32,
    /// In quadrature.
    pub q: i32,
}

impl Iq {
    /// From two counts.
    pub const fn new(i: i32, q: i32) -> Self {
        Self { i, q }
    }

    /// Whether a count has at least this magnitude.
    pub(super) fn reaches(self, full_scale: u32) -> bool {
        self.i.unsigned_abs() >= full_scale || self.q.unsigned_abs() >= full_scale
    }
}

/// Two demodulated channels, from which a [`VectorDetector`](super::VectorDetector) calculates a reflection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Pair {
    pub(super) reference: Iq,
    pub(super) reflected: Iq,
    /// Units per count of amplitude.
    pub(super) units_per_count: u32,
    /// The number of real samples of each channel: the noise falls with its root.
    pub(super) samples: u32,
    /// Whether a sample of the reference, of the reflected channel was at the converter's limit.
    pub(super) overloaded: [bool; 2],
}

impl Pair {
    /// The phasor of the reference, with [`units_per_count`](Self::units_per_count) units per count of amplitude.
    pub fn reference(&self) -> Iq {
        self.reference
    }

    /// The reflected channel, in the same units.
    pub fn reflected(&self) -> Iq {
        self.reflected
    }

    /// Units per count of amplitude, rounded to a whole number.
    pub fn units_per_count(&self) -> u32 {
        self.units_per_count
    }

    /// The number of real samples of each channel; two for a pair of I and Q.
    pub fn samples(&self) -> u32 {
        self.samples
    }

    /// The amplitude of the reference in counts, rounded.
    pub fn reference_amplitude(&self) -> u32 {
        whole(self.amplitude(self.reference))
    }

    /// The amplitude of the reflected channel in counts, rounded.
    pub fn reflected_amplitude(&self) -> u32 {
        whole(self.amplitude(self.reflected))
    }

    /// Whether a sample of either channel was at the converter's limit.
    pub fn is_overloaded(&self) -> bool {
        self.overloaded != [false; 2]
    }

    /// Whether this phasor has an amplitude of at least `counts` counts, up to 2²⁴.
    pub(super) fn reaches(&self, phasor: Iq, counts: u32) -> bool {
        const MOST: u32 = 1 << 31;
        // In two halves, since there are up to 2¹⁵ units per count; no phasor is longer than 1.5 · 2³¹ units.
        let upper = (counts >> 12).wrapping_mul(self.units_per_count);
        let lower = (counts & 0xfff).wrapping_mul(self.units_per_count);
        let limit = if upper >> 19 == 0 {
            (upper << 12).saturating_add(lower).min(MOST)
        } else {
            MOST
        };
        power(phasor) >= square(limit)
    }

    /// In counts.
    pub(super) fn amplitude<W: Real>(&self, phasor: Iq) -> W {
        W::from_u64(power(phasor)).square_root() / W::from_u64(self.units_per_count as u64)
    }
}

/// I² + Q², exact: up to 2⁶³.
pub(super) fn power(phasor: Iq) -> u64 {
    square(phasor.i.unsigned_abs()) + square(phasor.q.unsigned_abs())
}

fn whole(amplitude: Scaled) -> u32 {
    amplitude.to_bits(0).clamp(0, u32::MAX as i64) as u32
}
