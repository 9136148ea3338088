//! A square in decibels.

use super::super::logarithm;
use super::raised::Raised;

/// `round(2¹⁶ · 10 · log10 2)`: what one step of the exponent is worth.
const OCTAVE: i32 = 197_283;

/// `−2¹⁶ · 10 · log10(8 + i/16)`, since 1 has three zeros before it; the first and the last are multiples of [`OCTAVE`],
/// so that octaves meet.
static LOSS: [i32; 129] = {
    let mut table = [0i32; 129];
    let mut i = 0;
    while i < 128 {
        table[i] = -3 * OCTAVE - ((logarithm::decibels_of_node(i as u64) + 8) >> 4);
        i += 1;
    }
    table[128] = -4 * OCTAVE;
    table
};

/// `−10 · log10` of a square in decibels, 16 binary digits after the point. Not for 0.
///
/// Linear interpolation between nodes; 1 gives exactly 0. Largest error found: 5.14e-5 dB within an octave.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn loss(square: Raised) -> i32 {
    let step = ((square.mantissa << 1) >> 25) as usize;
    let rest = (square.mantissa << 8) >> 16;
    let (a, b) = match (LOSS.get(step), LOSS.get(step + 1)) {
        (Some(a), Some(b)) => (*a, *b),
        _ => (0, 0),
    };
    let more = a.wrapping_sub(b).wrapping_mul(rest as i32) >> 16;
    square
        .lead
        .wrapping_mul(OCTAVE)
        .wrapping_add(a)
        .wrapping_sub(more)
}
