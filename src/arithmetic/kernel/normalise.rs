//! A positive integer as a mantissa with its top bit set and a binary exponent.

/// `mantissa · 2^exponent`, with `mantissa` in `[2³¹, 2³²)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Normal {
    pub(crate) mantissa: u32,
    pub(crate) exponent: i32,
}

/// Splits `value`, cutting off what stands below the 32nd significant bit (relative error below 2⁻³¹, never upwards).
///
/// `None` for zero, which has no top bit.
pub(crate) fn normalise(value: u64) -> Option<Normal> {
    if value == 0 {
        return None;
    }
    let lead = value.leading_zeros();
    Some(Normal {
        mantissa: ((value << lead) >> 32) as u32,
        exponent: 32 - lead as i32,
    })
}

/// `value · 2^shift`, rounded to the nearest integer (halves upwards) and saturating at `u64::MAX`.
pub(crate) fn shift_rounded(value: u64, shift: i32) -> u64 {
    if value == 0 {
        return 0;
    }
    if shift >= 0 {
        if shift as u32 > value.leading_zeros() {
            u64::MAX
        } else {
            value << shift
        }
    } else {
        let down = shift.unsigned_abs();
        if down > 64 {
            0
        } else {
            // Half of the last place kept is the bit just below it.
            let half = (value >> (down - 1)) & 1;
            let kept = if down == 64 { 0 } else { value >> down };
            kept + half
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_top_bit_is_set_and_the_value_is_kept() {
        assert_eq!(normalise(0), None);
        for value in
            (0..64)
                .map(|bit| 1u64 << bit)
                .chain([3, 5, u64::MAX, 0x1234_5678_9abc_def0, 0xffff_ffff])
        {
            let n = normalise(value).unwrap();
            assert!(n.mantissa >= 1 << 31);
            let back = n.mantissa as f64 * 2f64.powi(n.exponent);
            assert!(back <= value as f64 && back > value as f64 * (1.0 - 2f64.powi(-31)));
        }
    }

    #[test]
    fn shifting_rounds_to_nearest_and_saturates() {
        assert_eq!(shift_rounded(5, -1), 3);
        assert_eq!(shift_rounded(4, -3), 1);
        assert_eq!(shift_rounded(3, -3), 0);
        assert_eq!(shift_rounded(1 << 63, -64), 1);
        assert_eq!(shift_rounded(u64::MAX, -64), 1);
        assert_eq!(shift_rounded(u64::MAX, -65), 0);
        assert_eq!(shift_rounded(u64::MAX, -1), 1 << 63);
        assert_eq!(shift_rounded(1, 63), 1 << 63);
        assert_eq!(shift_rounded(2, 63), u64::MAX);
        assert_eq!(shift_rounded(0, 200), 0);
        assert_eq!(shift_rounded(7, i32::MIN), 0);
    }
}
