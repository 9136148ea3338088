//! The integer square root.

/// First guesses of 1/√x for x in `[1, 4)` at the middle of each of 96 steps of 1/32, scaled by 2¹⁵.
const SEED: [u16; 96] = {
    let mut table = [0u16; 96];
    let mut i = 0;
    while i < 96 {
        // 2¹⁵ / √((32 + i + ½)/32) = √(2³⁰ · 64 / (65 + 2i))
        let square = (1u64 << 36) / (65 + 2 * i as u64);
        let mut root = 0u64;
        let mut bit = 1u64 << 15;
        while bit != 0 {
            if (root + bit) * (root + bit) <= square {
                root += bit;
            }
            bit >>= 1;
        }
        table[i] = root as u16;
        i += 1;
    }
    table
};

/// `⌊√value⌋`, exactly, for every 64-bit value.
///
/// Table, two Newton steps for the inverse root, one for the root, and an exact correction: no division.
pub(crate) fn integer_root(value: u64) -> u32 {
    if value == 0 {
        return 0;
    }
    let shift = value.leading_zeros() & !1;
    let scaled = value << shift; // in [2⁶², 2⁶⁴)
    let x = (scaled >> 32) as u32; // x/2³⁰ in [1, 4)
    let step = (x >> 25).wrapping_sub(32) as usize;
    let mut y = (SEED.get(step).copied().unwrap_or(0) as u32) << 16; // 2³¹/√x
    let mut round = 0;
    while round < 2 {
        // y ← y·(3 − x·y²)/2
        let square = ((y as u64 * y as u64) >> 32) as u32; // 2³⁰·y²
        let product = ((square as u64 * x as u64) >> 30) as u32; // 2³⁰·x·y²
        let correction = (3u32 << 30).wrapping_sub(product); // 2³⁰·(3 − x·y²)
        y = ((y as u64 * correction as u64) >> 31) as u32;
        round += 1;
    }
    // √(x·2³²) = (x/2³⁰)·(y/2³¹)·2³¹, at most 2³².
    let mut root = (x as u64 * y as u64) >> 30;
    let excess = scaled.wrapping_sub(root.wrapping_mul(root)) as i64;
    // One more Newton step for the root itself: excess/(2·root) = excess·y/2⁶³.
    root = root.wrapping_add_signed(((excess >> 24) * (y >> 8) as i64) >> 31);
    if root > u32::MAX as u64 {
        root = u32::MAX as u64;
    }
    while root * root > scaled {
        root -= 1;
    }
    while root < u32::MAX as u64 && (root + 1) * (root + 1) <= scaled {
        root += 1;
    }
    (root >> (shift / 2)) as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equals_the_standard_library() {
        let mut values: std::vec::Vec<u64> = (0..64).map(|bit| 1u64 << bit).collect();
        values.extend((0..64).map(|bit| (1u64 << bit) - 1));
        values.extend([u64::MAX, u64::MAX - 1, 2, 3, 99, 100, 101]);
        for root in [
            1u64,
            2,
            3,
            1000,
            65535,
            65536,
            0x7fff_ffff,
            0x8000_0000,
            0xffff_ffff,
        ] {
            values.extend([root * root - 1, root * root, root * root + 1]);
        }
        let mut state = 0x2545_f491_4f6c_dd1du64;
        for turn in 0..2_000_000u32 {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            values.push(state >> (turn % 64));
        }
        for value in values {
            assert_eq!(integer_root(value) as u64, value.isqrt(), "{value}");
        }
    }
}
