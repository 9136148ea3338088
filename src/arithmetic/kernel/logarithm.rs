//! Ten times the decimal logarithm, from a table that is already in decibels.

use super::normalise::Normal;

/// Binary digits after the point in the table and in the result.
pub(crate) const FRACTION: u32 = 24;

/// `round(2²⁴ · 10 · log10 2)`: what one step of the exponent is worth.
const OCTAVE: i64 = 50_504_453;

/// `round(2²⁴ · 10 · log10(1 + i/128))`, two nodes beyond the octave for the second difference.
const TABLE: [i32; 130] = {
    let mut table = [0i32; 130];
    let mut i = 0;
    while i < 130 {
        table[i] = decibels_of_node(i as u64);
        i += 1;
    }
    table
};

/// `2²⁴ · 10 · log10(1 + i/128)`, by the series of the inverse hyperbolic tangent:
/// ln x = 2·(z + z³/3 + z⁵/5 + …) with z = (x − 1)/(x + 1) = i/(256 + i), at 2⁴⁰.
const fn decibels_of_node(i: u64) -> i32 {
    let z = (i << 40) / (256 + i);
    let square = ((z as u128 * z as u128) >> 40) as u64;
    let mut power = z;
    let mut sum = 0u64;
    let mut n = 1;
    while n < 40 {
        sum += power / n;
        power = ((power as u128 * square as u128) >> 40) as u64;
        n += 2;
    }
    // 2·10/ln 10 = 8.685 889 638 065 036 553…; times 2⁴⁰.
    let scale = 9_550_236_654_632u128;
    (((sum as u128 * scale) + (1 << 55)) >> 56) as i32
}

/// `10 · log10(mantissa · 2^exponent)` in decibels, 24 binary digits after the point.
///
/// Quadratic between exact nodes: a power of two gives a multiple of [`OCTAVE`], so 1 gives exactly 0. Largest error
/// found over every 2¹²th mantissa: 4.2e-7 dB within an octave; the exponent adds at most half of 2⁻²⁴ dB a step.
pub(crate) fn decibels(value: Normal) -> i64 {
    let step = ((value.mantissa >> 24) & 0x7f) as usize;
    let (a, b, c) = match TABLE.get(step..step + 3) {
        Some([a, b, c]) => (*a as i64, *b as i64, *c as i64),
        _ => (0, 0, 0),
    };
    let rest = (value.mantissa & 0x00ff_ffff) as i64; // in 2⁻²⁴ of a step
    let first = b - a;
    let second = (c - b) - first; // negative
    let linear = (first * rest) >> 24;
    // Newton's forward form: second difference times u(u − 1)/2.
    let bend = (second * ((rest * (rest - (1 << 24))) >> 24)) >> 25;
    (value.exponent as i64 + 31) * OCTAVE + a + linear + bend
}

#[cfg(test)]
mod tests {
    use super::super::normalise::normalise;
    use super::*;

    #[test]
    fn the_constant_and_the_nodes() {
        assert_eq!(OCTAVE, (2f64.log10() * 10.0 * 2f64.powi(24)).round() as i64);
        for (i, node) in TABLE.iter().enumerate() {
            let exact = 10.0 * (1.0 + i as f64 / 128.0).log10() * 2f64.powi(24);
            assert!((*node as f64 - exact).abs() <= 0.51, "{i}: {node} {exact}");
        }
    }

    #[test]
    fn one_is_exactly_nothing() {
        assert_eq!(decibels(normalise(1).unwrap()), 0);
    }

    #[test]
    fn error_within_the_documented_figure() {
        let mut worst = 0f64;
        for mantissa in (0x8000_0000u64..=0xffff_ffff).step_by(1 << 12) {
            let got = decibels(Normal {
                mantissa: mantissa as u32,
                exponent: -31,
            }) as f64
                / 2f64.powi(24);
            let want = 10.0 * (mantissa as f64 / 2f64.powi(31)).log10();
            worst = worst.max((got - want).abs());
        }
        assert!(worst < 4.2e-7, "{worst:e}");
        assert!(worst > 1e-8, "the search saw no error at all: {worst:e}");
    }
}
