//! The square root of a mantissa, in 16-bit multiplications.

use super::multiply;
use super::normalise::Normal;

/// First guesses of 1/√x for x in `[1, 4)` at the middle of each step of 1/64, 15 digits after the point. The first 64
/// entries, for x below 1, are never read; they save a check.
static SEED: [u16; 256] = {
    let mut table = [0u16; 256];
    let mut i = 64;
    while i < 256 {
        // 2¹⁵ / √((i + ½)/64) = √(2³⁰ · 128 / (1 + 2i)), and the half for rounding.
        let square = (1u64 << 39) / (1 + 2 * i as u64); // four times
        let mut root = 0u64;
        let mut bit = 1u64 << 16;
        while bit != 0 {
            if (root + bit) * (root + bit) <= square {
                root += bit;
            }
            bit >>= 1;
        }
        table[i] = root.div_ceil(2) as u16;
        i += 1;
    }
    table
};

/// A first root of x, which has 30 digits after the point and lies in `[1, 4)`; 0 for 0.
#[derive(Clone, Copy)]
struct Start {
    x: u32,
    /// 1/√x, 16 digits after the point, about 14 of them right.
    inverse: u32,
    /// √x, 30 digits after the point: at most 15 units too small, never too large by one.
    root: u32,
}

/// A table, one Newton step for 1/√x, and one for √x from the residual of its square.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
fn start(x: u32) -> Start {
    let step = (x >> 24) as usize;
    let seed = SEED.get(step).copied().unwrap_or(0) as u32;
    let short = (x >> 16) + ((x >> 15) & 1); // 14 digits
    // x·y² ≈ 1 at 30 digits, by way of x·y at 15.
    let near_one = (short.wrapping_mul(seed) >> 14).wrapping_mul(seed);
    let inverse = seed.wrapping_mul((3u32 << 30).wrapping_sub(near_one) >> 15) >> 15;
    let root = short.wrapping_mul(inverse) >> 15; // 15 digits
    let missing = x.wrapping_sub(root.wrapping_mul(root)) as i32; // 30 digits
    let more = (missing >> 4).wrapping_mul(inverse as i32) >> 13;
    Start {
        x,
        inverse,
        root: (root << 15).wrapping_add_signed(more),
    }
}

/// Makes the exponent even: x in `[1, 4)` with 30 digits after the point, and the exponent of its root.
#[inline(always)]
fn even(square: Normal) -> (u32, i32) {
    let odd = square.exponent & 1;
    (
        square.mantissa << odd,
        square.exponent.wrapping_sub(odd).wrapping_sub(30) >> 1,
    )
}

/// The root of a normalised number; zero for zero. Largest relative error found over every 2⁸th mantissa: 1.3e-8, never
/// upwards by more than a unit of the last place.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn coarse_root(square: Normal) -> Normal {
    let (x, exponent) = even(square);
    Normal {
        mantissa: start(x).root,
        exponent,
    }
}

/// The root of a normalised number to the last digit, and its inverse; zeros for zero. Largest error found over every
/// 2⁸th mantissa: 0.76 units of the last place of the root, just below a power of four, and half a unit elsewhere;
/// 1.3e-8 of the inverse, relative.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn root_and_inverse(square: Normal) -> (Normal, u32) {
    let (x, exponent) = even(square);
    let start = start(x);
    // Once more, from the exact square: 60 digits after the point, 36 of them at most, and 22 suffice.
    let missing = ((start.x as u64) << 30).wrapping_sub(multiply::square(start.root)) as i64;
    let more = ((missing >> 14) as i32).wrapping_mul((start.inverse >> 6) as i32);
    let root = start.root.wrapping_add_signed(more.wrapping_add(1 << 26) >> 27);
    // Just below 4 the root may round to 2, which has a digit more.
    let root = root - (root >> 31);
    // 1 − √x·y at 31 digits, and y·(1 + that).
    let y = start.inverse;
    let reached = (root >> 15)
        .wrapping_mul(y)
        .wrapping_add((root & 0x7fff).wrapping_mul(y) >> 15);
    let missing = (1u32 << 31).wrapping_sub(reached) as i32;
    let more = ((y >> 3) as i32).wrapping_mul(missing) >> 13;
    let root = Normal {
        mantissa: root,
        exponent,
    };
    (root, (y << 15).wrapping_add_signed(more))
}

/// [`root_and_inverse`] without the inverse.
#[inline(always)]
pub(crate) fn root(square: Normal) -> Normal {
    root_and_inverse(square).0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_within_the_documented_figures() {
        let (mut worst, mut coarse, mut inverse) = (0f64, 0f64, 0f64);
        let mut check = |mantissa: u32, exponent: i32| {
            let square = Normal { mantissa, exponent };
            let (got, inverted) = root_and_inverse(square);
            assert!(
                (1 << 30..1u32 << 31).contains(&got.mantissa),
                "{square:?} {got:?}"
            );
            let want = (mantissa as f64 * 2f64.powi(exponent)).sqrt();
            let unit = 2f64.powi(got.exponent);
            worst = worst.max((got.mantissa as f64 - want / unit).abs());
            inverse = inverse.max((inverted as f64 / 2f64.powi(61) * got.mantissa as f64 - 1.0).abs());
            assert!(inverted < 1 << 31);
            let rough = coarse_root(square);
            assert_eq!(rough.exponent, got.exponent);
            coarse = coarse.max((rough.mantissa as f64 * unit / want - 1.0).abs());
        };
        for mantissa in (1u32 << 30..1 << 31).step_by(256) {
            for exponent in [-30, -29] {
                check(mantissa, exponent);
                check(mantissa | 255, exponent);
            }
        }
        for exponent in -70..70 {
            check(1 << 30, exponent);
            check((1 << 31) - 1, exponent);
        }
        assert!(worst < 0.76, "{worst:e}");
        assert!(worst > 0.49, "the search saw no error at all: {worst:e}");
        assert!(coarse < 1.3e-8, "{coarse:e}");
        assert!(inverse < 1.3e-8, "{inverse:e}");
        assert!(inverse > 1e-9, "the search saw no error at all: {inverse:e}");
    }

    #[test]
    fn nothing_has_no_root() {
        let zero = Normal {
            mantissa: 0,
            exponent: 0,
        };
        assert_eq!(root(zero).mantissa, 0);
        assert_eq!(coarse_root(zero).mantissa, 0);
    }
}
