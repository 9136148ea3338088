//! The reciprocal of a normalised mantissa, exact to its last bit.

/// First guesses of 1/x for x in `[1, 2)` at the middle of each of 128 steps: `round(2¹⁶ / (1 + (i + ½)/128))`.
const SEED: [u16; 128] = {
    let mut table = [0u16; 128];
    let mut i = 0;
    while i < 128 {
        // 2¹⁶ · 256 / (256 + 2i + 1), rounded.
        let denominator = 256 + 2 * i as u32 + 1;
        table[i] = (((1 << 24) + denominator / 2) / denominator) as u16;
        i += 1;
    }
    table
};

/// `⌊2⁶² / mantissa⌋` for a mantissa in `[2³¹, 2³²)`; the result lies in `(2³⁰, 2³¹]`.
///
/// Table, two Newton steps and one exact correction: no division. The floor is exact (checked against division at
/// every seed border and over a dense random set).
pub(crate) fn reciprocal(mantissa: u32) -> u32 {
    let step = ((mantissa >> 24) & 0x7f) as usize;
    let seed = SEED.get(step).copied().unwrap_or(0);
    let mut y = (seed as u32) << 15;
    let mut round = 0;
    while round < 2 {
        // With x = mantissa/2³¹ and y = 2³¹/x: 2 − x·y, scaled by 2³¹.
        let product = ((mantissa as u64 * y as u64) >> 31) as u32;
        let correction = 0u32.wrapping_sub(product); // 2³² − product
        y = ((y as u64 * correction as u64) >> 31) as u32;
        round += 1;
    }
    // Newton leaves at most a few units; the remainder says exactly how many.
    let mut remainder = (1i64 << 62).wrapping_sub((mantissa as u64 * y as u64) as i64);
    while remainder < 0 {
        y = y.wrapping_sub(1);
        remainder = remainder.wrapping_add(mantissa as i64);
    }
    while remainder >= mantissa as i64 {
        y = y.wrapping_add(1);
        remainder = remainder.wrapping_sub(mantissa as i64);
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(mantissa: u32) {
        assert_eq!(
            reciprocal(mantissa) as u64,
            (1u64 << 62) / mantissa as u64,
            "{mantissa:#x}"
        );
    }

    #[test]
    fn equals_division() {
        for step in 0..256u32 {
            for offset in [0u32, 1, 2, 3, 0x7f_ffff, 0x7f_fffe, 0x40_0000] {
                check((1 << 31) | (step << 23) | offset);
            }
        }
        let mut state = 0x9e37_79b9u32;
        for _ in 0..2_000_000 {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            check(state | 1 << 31);
        }
        check(u32::MAX);
        assert_eq!(reciprocal(1 << 31), 1 << 31);
    }
}
