//! Products of two 31-bit numbers, with the same bits on every core.
//!
//! A core with a long multiplication does this in one instruction. ARMv6-M has none, and the compiler would call a
//! general routine; there four short products are combined. Split at bit 15, the parts of 31-bit operands and the sum
//! of the middle products fit in 32 bits, so nothing is lost and the bits are the same.

/// `⌊a·b/2³⁰⌋`, for a and b below 2³¹.
#[cfg_attr(not(all(ohmwright_smallest, ohmwright_no_long_multiply)), inline(always))]
pub(crate) const fn product(a: u32, b: u32) -> u32 {
    if cfg!(ohmwright_no_long_multiply) {
        product_from_short(a, b, 0)
    } else {
        // The upper word of the product of both operands doubled. The top bit is 0, so a rotation doubles; the compiler
        // does not know that, and therefore keeps cheaper masks before it.
        ((a.rotate_left(1) as u64 * b.rotate_left(1) as u64) >> 32) as u32
    }
}

/// `⌊(a·b + half·2¹⁵)/2³⁰⌋`, with `half` 0 or 2¹⁴.
#[inline(always)]
const fn product_from_short(a: u32, b: u32, half: u32) -> u32 {
    const LOW: u32 = (1 << 15) - 1;
    let (a_high, a_low, b_high, b_low) = (a >> 15, a & LOW, b >> 15, b & LOW);
    // Each middle product is below 2³¹ and the carry from the lowest below 2¹⁵: adding the half cannot overflow.
    let middle = a_high
        .wrapping_mul(b_low)
        .wrapping_add(a_low.wrapping_mul(b_high))
        .wrapping_add(a_low.wrapping_mul(b_low) >> 15)
        .wrapping_add(half);
    a_high.wrapping_mul(b_high).wrapping_add(middle >> 15)
}

/// `⌊a·b/2³⁰⌋` for signed a and b, both in `[−2³⁰, 2³⁰)`.
#[cfg_attr(not(all(ohmwright_smallest, ohmwright_no_long_multiply)), inline(always))]
pub(crate) fn signed_product(a: i32, b: i32) -> i32 {
    if cfg!(ohmwright_no_long_multiply) {
        signed_product_from_short(a, b)
    } else {
        (((a << 1) as i64 * (b << 1) as i64) >> 32) as i32
    }
}

#[inline(always)]
fn signed_product_from_short(a: i32, b: i32) -> i32 {
    const LOW: i32 = (1 << 15) - 1;
    let (a_high, a_low, b_high, b_low) = (a >> 15, a & LOW, b >> 15, b & LOW);
    // Each middle product lies within ±2³⁰; the carry from the lowest is below 2¹⁵.
    let middle = a_high
        .wrapping_mul(b_low)
        .wrapping_add(a_low.wrapping_mul(b_high))
        .wrapping_add(a_low.wrapping_mul(b_low) >> 15);
    a_high.wrapping_mul(b_high).wrapping_add(middle >> 15)
}

/// `a·b/2³⁰` to the nearest integer (halves upwards), for a and b below 2³¹.
#[inline(always)]
pub(crate) const fn product_to_nearest(a: u32, b: u32) -> u32 {
    if cfg!(ohmwright_no_long_multiply) {
        product_from_short(a, b, 1 << 14)
    } else {
        (((a << 1) as u64 * (b << 1) as u64 + (1 << 31)) >> 32) as u32
    }
}

/// `a²`, for a up to 2³¹.
#[cfg_attr(not(all(ohmwright_smallest, ohmwright_no_long_multiply)), inline(always))]
pub(crate) fn square(a: u32) -> u64 {
    if cfg!(ohmwright_no_long_multiply) {
        square_from_short(a)
    } else {
        a as u64 * a as u64
    }
}

#[inline(always)]
fn square_from_short(a: u32) -> u64 {
    let (high, low) = (a >> 16, a & 0xffff);
    let middle = high.wrapping_mul(low);
    let (bottom, carry) = low.wrapping_mul(low).overflowing_add(middle << 17);
    let top = high
        .wrapping_mul(high)
        .wrapping_add(middle >> 15)
        .wrapping_add(carry as u32);
    ((top as u64) << 32) | bottom as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_short_forms_give_the_same_bits() {
        let mut state = 0x1234_5677u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state >> 1
        };
        let ends = [
            0u32,
            1,
            2,
            0x7fff,
            0x8000,
            0xffff,
            0x1_0000,
            0x3fff_ffff,
            0x4000_0000,
            0x7fff_ffff,
        ];
        for a in ends {
            for b in ends {
                assert_eq!(product_from_short(a, b, 0), product(a, b));
                assert_eq!(product_from_short(a, b, 1 << 14), product_to_nearest(a, b));
            }
            assert_eq!(square_from_short(a), square(a));
        }
        assert_eq!(square_from_short(1 << 31), 1 << 62);
        let signed = [
            -(1 << 30),
            1 - (1 << 30),
            -0x8000,
            -1,
            0,
            1,
            0x7fff,
            0x8000,
            (1 << 30) - 1,
        ];
        for a in signed {
            for b in signed {
                assert_eq!(signed_product_from_short(a, b), signed_product(a, b), "{a} {b}");
            }
        }
        for _ in 0..3_000_000 {
            let (a, b) = (next(), next());
            assert_eq!(product_from_short(a, b, 0), product(a, b));
            assert_eq!(product_from_short(a, b, 1 << 14), product_to_nearest(a, b));
            assert_eq!(square_from_short(a), square(a));
            let (c, d) = (a as i32 - (1 << 30), b as i32 - (1 << 30));
            assert_eq!(signed_product_from_short(c, d), signed_product(c, d));
        }
    }
}
