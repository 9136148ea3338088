//! The samples of a sweep that are kept to look at it as a whole.

use crate::quantity::Hertz;

/// The most samples that are kept; a power of two.
pub(super) const CELLS: usize = 64;

/// Several neighbours of a sweep.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    /// Of the first.
    pub(super) frequency: Hertz,
    /// Γ of the first, in steps of 2⁻¹⁴. Not the mean: behind a long cable that would be smaller than each.
    pub(super) re: i16,
    pub(super) im: i16,
    /// The mean of |Γ|², in steps of 2⁻¹⁴; less than 4.
    pub(super) power: u16,
    /// The mean size of the third differences, in steps of 2⁻¹⁴.
    pub(super) rough: u16,
}

/// The whole part of a quotient, digit by digit: cores without a division would link a routine of a kilobyte. 0 for 0 below.
#[inline(never)]
pub(crate) fn quotient(above: u64, below: u32) -> u64 {
    let below = u64::from(below);
    if below == 0 {
        return 0;
    }
    let (mut rest, mut digits, mut whole) = (0u64, above, 0u64);
    for _ in 0..64 {
        rest = rest << 1 | digits >> 63;
        digits <<= 1;
        whole <<= 1;
        if rest >= below {
            rest = rest.wrapping_sub(below);
            whole |= 1;
        }
    }
    whole
}
