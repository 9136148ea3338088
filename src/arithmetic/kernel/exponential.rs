//! From decibels back to a ratio of powers.

use super::scaled::Scaled;

/// `round(2³⁰ · 2^(i/64))`, by repeated square roots of 2 at 2⁶².
const TABLE: [u32; 64] = {
    // 2^(1/64): six square roots of 2.
    let mut root: u128 = 2 << 62;
    let mut n = 0;
    while n < 6 {
        root = square_root(root << 62);
        n += 1;
    }
    let mut table = [0u32; 64];
    let mut value: u128 = 1 << 62;
    let mut i = 0;
    while i < 64 {
        table[i] = ((value + (1 << 31)) >> 32) as u32;
        value = (value * root) >> 62;
        i += 1;
    }
    table
};

const fn square_root(value: u128) -> u128 {
    let mut root = 0u128;
    let mut bit = 1u128 << 63;
    while bit != 0 {
        if (root + bit) * (root + bit) <= value {
            root += bit;
        }
        bit >>= 1;
    }
    root
}

/// `round(2³⁰ · lg 10 / (10 · lg 2))`: octaves in a decibel, 0.332 192 809 488 7…
const OCTAVES: Scaled = Scaled::constant(1_426_757_253, -32);

/// 10^(decibels/10), within 3e-8 relative for ±100 dB; saturates far outside of ±10⁶ dB.
///
/// A table in steps of 1/64 octave and a cubic for the remainder.
pub(crate) fn from_decibels(decibels: Scaled) -> Scaled {
    // Octaves, 34 binary digits after the point.
    let octaves = (decibels * OCTAVES).to_bits(34);
    let whole = octaves >> 34;
    if !(-(1 << 19)..1 << 19).contains(&whole) {
        return if whole < 0 { Scaled::ZERO } else { Scaled::LARGEST };
    }
    let step = ((octaves >> 28) & 63) as usize;
    let node = TABLE.get(step).copied().unwrap_or(0) as u64;
    // The remainder r is below 1/64 octave; u = r·ln 2 at 2³⁴, below 2²⁷·1.4.
    let rest = (octaves & ((1 << 28) - 1)) as u64;
    let u = (rest * 744_261_118) >> 30; // round(ln 2 · 2³⁰)
    let square = (u * u) >> 34;
    let cube = ((square * u) >> 34) as u32;
    let factor = (1u64 << 34) + u + (square >> 1) + sixth(cube) as u64;
    // 2³⁰ · 2³⁴, brought down to 2⁶² so that it fits.
    Scaled::from_magnitude(false, (node * (factor >> 4)) << 2, whole as i32 - 62)
}

/// The sixth part of a number below 2¹⁵, cut off, without a division: for some cores that of 64 bits is a routine.
const fn sixth(number: u32) -> u32 {
    number.wrapping_mul(10_923) >> 16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sixth_is_what_division_gives() {
        // The largest remainder there is, and with it the largest cube.
        let rest = (1u64 << 28) - 1;
        let u = (rest * 744_261_118) >> 30;
        let cube = (((u * u) >> 34) * u) >> 34;
        assert_eq!(cube, 21_825);
        (0..=cube as u32).for_each(|cube| assert_eq!(sixth(cube), cube / 6, "{cube}"));
        // A control: further on it is not.
        assert!((0..1 << 17).any(|number| sixth(number) != number / 6));
    }

    #[test]
    fn the_nodes() {
        for (i, node) in TABLE.iter().enumerate() {
            let exact = 2f64.powf(i as f64 / 64.0) * 2f64.powi(30);
            assert!((*node as f64 - exact).abs() <= 0.51);
        }
    }

    #[test]
    fn error_within_the_documented_figure() {
        let mut worst = 0f64;
        for i in -100_000..=100_000 {
            let decibels = Scaled::from_f64(i as f64 / 1000.37);
            let want = 10f64.powf(decibels.to_f64() / 10.0);
            worst = worst.max((from_decibels(decibels).to_f64() / want - 1.0).abs());
        }
        assert!(worst < 3e-8, "{worst:e}");
        assert_eq!(from_decibels(Scaled::ZERO), Scaled::ONE);
        assert_eq!(from_decibels(Scaled::from_f64(-1e9)), Scaled::ZERO);
        assert_eq!(from_decibels(Scaled::from_f64(1e9)), Scaled::LARGEST);
    }
}
