//! The angle of a vector in degrees, from its shorter component over its length, and a table.

use super::multiply::product;
use super::normalise::Normal;

/// Binary digits after the point in the table.
const FRACTION: u32 = 18;

const QUARTER: i32 = 90 << FRACTION;
const HALF: i32 = 180 << FRACTION;

/// `round(2¹⁸ · asin(i/256))` in degrees, up to just beyond 45°.
static TABLE: [u32; 184] = {
    let mut table = [0u32; 184];
    let mut i = 0;
    while i < 184 {
        table[i] = degrees_of_node(i as i128);
        i += 1;
    }
    table
};

/// `2¹⁸ · asin(i/256)` in degrees by its series, asin x = Σ (2n)!/(4ⁿ(n!)²(2n + 1)) · x^(2n+1), at 2⁸⁰.
pub(super) const fn degrees_of_node(i: i128) -> u32 {
    let mut power = i << 72;
    let mut sum = 0;
    let mut n = 0;
    while power > 0 {
        sum += power / (2 * n + 1);
        // Times (2n + 1)/(2n + 2) · x²
        power = power * i / 256 * i / 256 * (2 * n + 1) / (2 * n + 2);
        n += 1;
    }
    // 180/π = 57.295 779 513 082 320 876 798…; times 2³⁰.
    let scale = 61_520_874_801;
    (((sum >> 20) * scale + (1 << 71)) >> 72) as u32
}

/// The angle of the vector (`re`, `im`) in degrees, 16 binary digits after the point, in (−180°, 180°]; 0 for the
/// zero vector. `length` is that of the vector, and `inverse` the mantissa of 1/length.
///
/// The shorter component over the length is the sine of an angle up to 45°. Linear interpolation between exact nodes;
/// largest error found over a million directions: 2.4e-4°.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn degrees(re: i32, im: i32, length: Normal, inverse: u32) -> i32 {
    let (across, up) = (re.unsigned_abs(), im.unsigned_abs());
    let steep = up > across;
    let shorter = if steep { across } else { up };
    // In the scale of the mantissa. The length exceeds it only at the corners of the word.
    let shorter = if length.exponent > 0 {
        shorter >> 1
    } else {
        shorter << (length.exponent.unsigned_abs() & 31)
    };
    let sine = product(shorter & (u32::MAX >> 1), inverse); // 31 digits, at most 181.02 steps of 2²³
    let step = ((sine >> 23) as usize).min(182);
    let rest = (sine >> 8) & 0x7fff; // in 2⁻¹⁵ of a step
    let (a, b) = match (TABLE.get(step), TABLE.get(step + 1)) {
        (Some(a), Some(b)) => (*a, *b),
        _ => (0, 0),
    };
    let octant = a.wrapping_add(b.wrapping_sub(a).wrapping_mul(rest) >> 15) as i32;
    let quadrant = if steep {
        QUARTER.wrapping_sub(octant)
    } else {
        octant
    };
    let upper = if re < 0 {
        HALF.wrapping_sub(quadrant)
    } else {
        quadrant
    };
    // To the word's 16 digits, by magnitude, so that Γ and Γ* differ in sign only. Just below the negative axis
    // rounding may reach the half turn, which counts as positive.
    let upper = upper.wrapping_add(1 << (FRACTION - 17)) >> (FRACTION - 16);
    if im < 0 && upper != 180 << 16 {
        -upper
    } else {
        upper
    }
}

#[cfg(test)]
mod tests {
    use super::super::multiply::square;
    use super::super::normalise::normalise;
    use super::super::root::root_and_inverse;
    use super::*;

    fn of(re: i32, im: i32) -> i32 {
        let (length, inverse) =
            root_and_inverse(normalise(square(re.unsigned_abs()) + square(im.unsigned_abs())));
        degrees(re, im, length, inverse)
    }

    #[test]
    fn the_nodes() {
        for (i, node) in TABLE.iter().enumerate() {
            let exact = (i as f64 / 256.0).asin().to_degrees() * 2f64.powi(18);
            assert!((*node as f64 - exact).abs() <= 0.51, "{i}: {node} {exact}");
        }
    }

    #[test]
    fn error_within_the_documented_figure() {
        let mut worst = 0f64;
        for turn in 0..1_000_000 {
            let direction = turn as f64 * 1e-6 * core::f64::consts::TAU;
            let length = (2u64 << (turn % 30)) as f64;
            let (re, im) = (
                (length * direction.cos()) as i32,
                (length * direction.sin()) as i32,
            );
            let got = of(re, im) as f64 / 2f64.powi(16);
            let want = (im as f64).atan2(re as f64).to_degrees();
            worst = worst.max((got - want).abs());
        }
        assert!(worst < 2.4e-4, "{worst:e}");
        assert!(worst > 1e-6, "the search saw no error at all: {worst:e}");
    }

    #[test]
    fn the_axes_and_the_ends() {
        let full = 1 << 16;
        assert_eq!(of(0, 0), 0);
        assert_eq!(of(5, 0), 0);
        assert_eq!(of(0, 5), 90 * full);
        assert_eq!(of(-5, 0), 180 * full);
        assert_eq!(of(0, -5), -90 * full);
        // Not on a node: within the error of linear interpolation.
        assert!((of(7, 7) - 45 * full).abs() <= 15);
        assert!((of(i32::MIN, i32::MIN) + 135 * full).abs() <= 15);
        assert_eq!(of(i32::MIN, 0), 180 * full);
    }
}
