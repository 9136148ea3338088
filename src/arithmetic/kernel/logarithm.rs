//! Ten times the decimal logarithm, from a table that is already in decibels.

use super::normalise::Normal;

/// Binary digits after the point in the table and in the result.
pub(crate) const FRACTION: u32 = 20;

/// `round(2²⁰ · 10 · log10 2)`: what one step of the exponent is worth.
const OCTAVE: i32 = 3_156_528;

/// `round(2²⁰ · 10 · log10(1 + i/128))`; the last is [`OCTAVE`], so that octaves meet.
static TABLE: [i32; 129] = {
    let mut table = [0i32; 129];
    let mut i = 0;
    while i < 129 {
        table[i] = decibels_of_node(i as u64);
        i += 1;
    }
    table
};

/// `2²⁰ · 10 · log10(1 + i/128)`, by the series of the inverse hyperbolic tangent:
/// ln x = 2·(z + z³/3 + z⁵/5 + …) with z = (x − 1)/(x + 1) = i/(256 + i), at 2⁴⁰.
pub(super) const fn decibels_of_node(i: u64) -> i32 {
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
    (((sum as u128 * scale) + (1 << 59)) >> 60) as i32
}

/// `10 · log10(mantissa · 2^exponent)` in decibels, 20 binary digits after the point.
///
/// Linear interpolation between exact nodes: a power of two gives a multiple of [`OCTAVE`], so 1 gives exactly 0.
/// Largest error found over every 2¹⁰th mantissa: 3.4e-5 dB within an octave, above the curve by a rounding at most;
/// the exponent adds at most 2.75e-7 dB a step.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn decibels(value: Normal) -> i32 {
    let step = ((value.mantissa >> 23) & 0x7f) as usize;
    let rest = (value.mantissa >> 7) & 0xffff; // in 2⁻¹⁶ of a step
    let (a, b) = match (TABLE.get(step), TABLE.get(step + 1)) {
        (Some(a), Some(b)) => (*a, *b),
        _ => (0, 0),
    };
    let more = (b.wrapping_sub(a) as u32).wrapping_mul(rest) >> 16;
    value
        .exponent
        .wrapping_add(30)
        .wrapping_mul(OCTAVE)
        .wrapping_add(a)
        .wrapping_add(more as i32)
}

#[cfg(test)]
mod tests {
    use super::super::normalise::normalise;
    use super::*;

    #[test]
    fn the_constant_and_the_nodes() {
        assert_eq!(OCTAVE, (2f64.log10() * 10.0 * 2f64.powi(20)).round() as i32);
        for (i, node) in TABLE.iter().enumerate() {
            let exact = 10.0 * (1.0 + i as f64 / 128.0).log10() * 2f64.powi(20);
            assert!((*node as f64 - exact).abs() <= 0.51, "{i}: {node} {exact}");
        }
    }

    #[test]
    fn one_is_exactly_nothing() {
        assert_eq!(decibels(normalise(1)), 0);
        assert_eq!(TABLE[128], OCTAVE);
    }

    #[test]
    fn error_within_the_documented_figure() {
        let mut worst = 0f64;
        for mantissa in (1u64 << 30..1 << 31).step_by(1 << 10) {
            let got = decibels(Normal {
                mantissa: mantissa as u32,
                exponent: -30,
            }) as f64
                / 2f64.powi(20);
            let want = 10.0 * (mantissa as f64 / 2f64.powi(30)).log10();
            worst = worst.max((got - want).abs());
        }
        assert!(worst < 3.4e-5, "{worst:e}");
        assert!(worst > 1e-6, "the search saw no error at all: {worst:e}");
    }

    #[test]
    fn each_octave_adds_what_it_is_worth() {
        for exponent in -100..100 {
            let got = decibels(Normal {
                mantissa: 1 << 30,
                exponent: exponent - 30,
            }) as f64
                / 2f64.powi(20);
            let want = 10.0 * 2f64.log10() * f64::from(exponent);
            let off = (got - want).abs();
            assert!(
                off <= 2.75e-7 * f64::from(exponent).abs(),
                "2^{exponent}: {off:e}"
            );
        }
    }
}
