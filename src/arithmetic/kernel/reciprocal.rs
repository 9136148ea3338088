//! The reciprocal of a normalised mantissa, in 16-bit multiplications.

/// First guesses of 1/x for x in `[1, 2)` at the middle of each of 128 steps: `round(2¹⁵ / (1 + (i + ½)/128))`.
pub(super) static SEED: [u16; 128] = {
    let mut table = [0u16; 128];
    let mut i = 0;
    while i < 128 {
        // 2¹⁵ · 256 / (256 + 2i + 1), rounded.
        let denominator = 256 + 2 * i as u32 + 1;
        table[i] = (((1 << 23) + denominator / 2) / denominator) as u16;
        i += 1;
    }
    table
};

/// `2⁶¹/mantissa` for a mantissa in `[2³⁰, 2³¹)`: 31 bits in `(2³⁰, 2³¹)`, or one less than 2³¹ for 2³⁰ itself.
///
/// A table and two Newton steps, no division. Relative error found over every 2⁸th mantissa: −1.4e-9 to +1.7e-10, with
/// a mean of −5.1e-10; the last bit is worth 4.7e-10 to 9.3e-10. The result must not be larger: 2³¹ would not fit.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) const fn reciprocal(mantissa: u32) -> u32 {
    let step = ((mantissa >> 23) & 0x7f) as usize;
    let seed = SEED[step] as u32; // 15 digits after the point
    // 1 − x·y at 37 digits, from x at 22: what stands above a word is nothing. A step of Newton leaves a negative error
    // of up to 1.6e-5; the constant, 9e-6, centres it.
    let missing = (151u32 << 13).wrapping_sub((mantissa >> 8).wrapping_mul(seed)) as i32;
    // y·(1 + missing), at 18 digits.
    let y = (seed << 3).wrapping_add_signed((seed as i32).wrapping_mul(missing >> 14) >> 20);
    // The remaining error at 34 digits, from all of the mantissa: within ±2¹⁸.
    let missing = product_without_top(mantissa, y).wrapping_neg() as i32;
    // The same again, at 31 digits.
    let more = ((y >> 2) as i32).wrapping_mul(missing >> 3) >> 16;
    (y << 13).wrapping_add_signed(more)
}

/// The lower word of `⌊a·b/2¹⁴⌋`, for b up to 2¹⁸.
#[inline(always)]
const fn product_without_top(a: u32, b: u32) -> u32 {
    if cfg!(ohmwright_no_long_multiply) {
        product_from_short(a, b)
    } else {
        ((a as u64 * b as u64) >> 14) as u32
    }
}

#[inline(always)]
const fn product_from_short(a: u32, b: u32) -> u32 {
    let (high, low) = (a >> 14, a & 0x3fff);
    high.wrapping_mul(b).wrapping_add(low.wrapping_mul(b) >> 14)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn error_within_the_documented_figure() {
        let (mut low, mut high) = (0f64, 0f64);
        let mut check = |mantissa: u32| {
            let got = reciprocal(mantissa);
            let other = (got >> 13) + (mantissa & 1);
            assert_eq!(
                product_from_short(mantissa, other),
                product_without_top(mantissa, other)
            );
            assert!((1 << 30..1u32 << 31).contains(&got), "{mantissa:#x}");
            let want = 2f64.powi(61) / mantissa as f64;
            let error = got as f64 / want - 1.0;
            (low, high) = (low.min(error), high.max(error));
        };
        for mantissa in (1u32 << 30..1 << 31).step_by(256) {
            check(mantissa);
            check(mantissa + 255);
        }
        assert!(low > -1.4e-9 && high < 1.7e-10, "{low:e} {high:e}");
        assert!(
            low < -1e-9 && high > 1e-10,
            "the search saw too little: {low:e} {high:e}"
        );
    }
}
