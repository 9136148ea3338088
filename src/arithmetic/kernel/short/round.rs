//! From a product to the nearest word, saturating.

/// `value · 2^−down` to the nearest integer, saturating. The value is a product of 16-bit numbers.
#[inline(always)]
pub(super) fn rounded(value: u32, down: i32) -> u32 {
    let before = down.wrapping_sub(1) as u32;
    if before < 32 {
        // The last digit of these is the half; adding it cannot overflow.
        (value >> before).wrapping_add(1) >> 1
    } else {
        rounded_at_the_ends(value, down, u32::MAX)
    }
}

/// The same with a sign.
#[inline(always)]
pub(super) fn rounded_with_sign(negative: bool, value: u32, down: i32) -> i32 {
    let before = down.wrapping_sub(1) as u32;
    if before < 32 {
        // Below 2³¹.
        let size = ((value >> before).wrapping_add(1) >> 1) as i32;
        if negative { -size } else { size }
    } else {
        signed_at_the_ends(negative, value, down)
    }
}

/// The same where nothing or everything is cut off.
#[cold]
#[inline(never)]
fn rounded_at_the_ends(value: u32, down: i32, most: u32) -> u32 {
    let up = down.wrapping_neg();
    if up < 0 || value == 0 {
        0
    } else if up < 32 && value <= most >> up {
        value << up
    } else {
        most
    }
}

#[cold]
#[inline(never)]
fn signed_at_the_ends(negative: bool, value: u32, down: i32) -> i32 {
    if negative {
        rounded_at_the_ends(value, down, 1 << 31).wrapping_neg() as i32
    } else {
        rounded_at_the_ends(value, down, i32::MAX as u32) as i32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_to_a_word() {
        let product = 65_535u32 * 65_535;
        assert_eq!(rounded(product, 1), product.div_ceil(2));
        assert_eq!(rounded(product, 0), product);
        assert_eq!(rounded(product, -1), u32::MAX);
        assert_eq!(rounded(1, -40), u32::MAX);
        assert_eq!(rounded(0, -40), 0);
        assert_eq!(rounded(product, 32), 1);
        assert_eq!(rounded(product, 33), 0);
        assert_eq!(rounded(product, 60), 0);
        assert_eq!(rounded_with_sign(true, 5, 1), -3);
        assert_eq!(rounded_with_sign(true, 0, 1), 0);
        for (negative, end) in [(false, i32::MAX), (true, i32::MIN)] {
            assert_eq!(rounded_with_sign(negative, product, 0), end);
            assert_eq!(rounded_with_sign(negative, 3, -30), end);
            assert_eq!(rounded_with_sign(negative, 1, -99), end);
            assert_eq!(rounded_with_sign(negative, 0, -99), 0);
            assert_eq!(rounded_with_sign(negative, product, 40), 0);
        }
        assert_eq!(rounded_with_sign(false, 3, -29), 3 << 29);
        assert_eq!(rounded_with_sign(true, 3, -29), -(3 << 29));
        assert_eq!(rounded_with_sign(true, 1, -31), i32::MIN);
    }
}
