//! The quotient of two complex whole numbers, such as the counts of two channels: no division, nothing lost of a weak one.

use super::multiply::{signed_product, square};
use super::normalise::{normalise, normalise_short, rounded};

/// One part of the quotient: `±value · 2^exponent`, with 30 to 32 digits, or fewer where it is small against the other.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part {
    pub(crate) negative: bool,
    pub(crate) value: u32,
    pub(crate) exponent: i32,
}

impl Part {
    /// In units of 2^−fraction, rounded; `None` beyond 31 bits and the sign.
    #[inline(always)]
    pub(crate) fn to_bits(self, fraction: i32) -> Option<i32> {
        let size = rounded(self.value, self.exponent.wrapping_add(fraction));
        if size > i32::MAX as u32 {
            None
        } else if self.negative {
            Some((size as i32).wrapping_neg())
        } else {
            Some(size as i32)
        }
    }
}

/// Both parts, shifted so that the larger lies in `[2²⁹, 2³⁰)`, and that shift to the left; zero stays zero.
#[inline(always)]
fn aligned((a, b): (i32, i32)) -> ((i32, i32), i32) {
    // The highest bit of both sizes combined is that of the larger.
    let places = (-1i32).wrapping_sub(normalise_short(a.unsigned_abs() | b.unsigned_abs()).exponent);
    if places >= 0 {
        let places = places as u32 & 31;
        ((a << places, b << places), places as i32)
    } else {
        let down = places.wrapping_neg() as u32;
        // Towards zero, so that 2³⁰ is not reached from below either.
        let ones = (1i32 << (down & 31)).wrapping_sub(1);
        let less = |part: i32| part.wrapping_add((part >> 31) & ones) >> (down & 31);
        ((less(a), less(b)), places)
    }
}

/// `above/below`, or `None` where `below` is zero.
///
/// Each part is right to 1.2e-8 of the size of the whole quotient: at most two units are cut off from a numerator of
/// 2²⁸ or more; the reciprocal adds 2e-9 and the two roundings 1e-9 each.
#[inline(always)]
pub(crate) fn quotient(above: (i32, i32), below: (i32, i32)) -> Option<(Part, Part)> {
    let ((a, b), above_places) = aligned(above);
    let ((c, d), below_places) = aligned(below);
    // Below 2⁶¹, and from 2⁵⁸ on.
    let size = normalise(square(c.unsigned_abs()) + square(d.unsigned_abs()));
    if size.mantissa == 0 {
        return None;
    }
    let inverse = size.inverse();
    // (above·2³⁰)/2³⁰ · 2³¹/mantissa, and the shifts of both.
    let exponent = (-1i32)
        .wrapping_sub(size.exponent)
        .wrapping_add(below_places)
        .wrapping_sub(above_places);
    let part = |one: i32, other: i32| {
        // Each product lies within ±2³⁰, and not both at an end.
        let sum = one.wrapping_add(other);
        Part {
            negative: sum < 0,
            value: super::multiply::product(sum.unsigned_abs(), inverse),
            exponent,
        }
    };
    Some((
        part(signed_product(a, c), signed_product(b, d)),
        part(signed_product(b, c), signed_product(a, d).wrapping_neg()),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(above: (i32, i32), below: (i32, i32), spoil: f64) -> f64 {
        let (re, im) = quotient(above, below).unwrap();
        let value = |part: Part| {
            let size = part.value as f64 * 2f64.powi(part.exponent);
            if part.negative { -size } else { size }
        };
        let [a, b, c, d] = [above.0, above.1, below.0, below.1].map(f64::from);
        let size = c * c + d * d;
        let want = ((a * c + b * d) / size, (b * c - a * d) / size);
        let whole = want.0.hypot(want.1);
        if whole == 0.0 {
            assert_eq!((re.value, im.value), (0, 0));
            return 0.0;
        }
        ((value(re) * spoil - want.0).abs().max((value(im) - want.1).abs())) / whole
    }

    #[test]
    fn within_the_documented_figure() {
        let mut state = 0x1234_5678_9abc_def1u64;
        let mut next = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state as i32) >> ((state >> 40) % 32)
        };
        let (mut worst, mut spoilt) = (0f64, 0f64);
        for _ in 0..2_000_000 {
            let (above, below) = ((next(), next()), (next(), next()));
            if below == (0, 0) {
                continue;
            }
            worst = worst.max(close(above, below, 1.0));
            spoilt = spoilt.max(close(above, below, 1.000_000_03));
        }
        let ends = [
            i32::MIN,
            i32::MIN + 1,
            -1,
            0,
            1,
            i32::MAX - 1,
            i32::MAX,
            1 << 30,
            1 << 29,
        ];
        for a in ends {
            for b in ends {
                for c in ends {
                    for d in ends {
                        if (c, d) != (0, 0) {
                            assert!(close((a, b), (c, d), 1.0) < 1e-6, "{a} {b} {c} {d}");
                            worst = worst.max(close((a, b), (c, d), 1.0));
                        }
                    }
                }
            }
        }
        assert!(worst < 1.2e-8, "{worst:e}");
        assert!(worst > 2e-9, "the search saw too little: {worst:e}");
        // The law can fail.
        assert!(spoilt > 1.2e-8, "{spoilt:e}");
    }

    #[test]
    fn nothing_below_has_no_quotient_and_the_ends_are_seen() {
        assert!(quotient((1, 2), (0, 0)).is_none());
        let whole = |above, below| quotient(above, below).unwrap().0.to_bits(30);
        assert_eq!(
            whole((1, 0), (1, 0)).map(|bits| (bits - (1 << 30)).abs() <= 4),
            Some(true)
        );
        assert_eq!(whole((9, 0), (4, 0)), None);
        assert_eq!(whole((i32::MAX, 0), (1, 0)), None);
        assert_eq!(whole((2, 0), (i32::MAX, 0)), Some(1));
    }
}
