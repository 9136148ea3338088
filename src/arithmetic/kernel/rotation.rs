//! Sine and cosine of an angle in turns, and the inverse, for the working number of the fixed-point families.
//!
//! Angles are in turns: whole turns are removed without rounding, however many there are.

use super::multiply::signed_product;
use super::scaled::Scaled;

/// `round(2π · 2²⁸)`
const TAU: Scaled = Scaled::constant(1_686_629_713, -28);
/// `round(2³³ / 2π)`
const TURN: Scaled = Scaled::constant(1_367_130_551, -33);

/// `round(2³⁰/n!)` with the sign that the series of sine (n odd) or cosine (n even) gives it.
const fn term(n: i64) -> i32 {
    let mut factorial = 1;
    let mut i = 2;
    while i <= n {
        factorial *= i;
        i += 1;
    }
    let size = ((1 << 30) + factorial / 2) / factorial;
    (if n / 2 % 2 == 1 { -size } else { size }) as i32
}

const SINE: [i32; 5] = [term(11), term(9), term(7), term(5), term(3)];
const COSINE: [i32; 6] = [term(12), term(10), term(8), term(6), term(4), term(2)];

/// `square` times a series in it, with terms from the highest to the lowest; all in units of 2⁻³⁰.
fn series(terms: &[i32], square: i32) -> Scaled {
    let mut sum = 0i32;
    for term in terms {
        sum = signed_product(sum, square).wrapping_add(*term);
    }
    Scaled::from_parts(signed_product(sum, square) as i64, -30)
}

/// (sine, cosine) of an angle in turns.
///
/// Both are within 4e-9; up to an eighth of a turn the sine is within 4e-9 relative. From 2²⁸ turns on there is no fraction.
#[inline(never)]
pub(crate) fn sine_cosine(turns: Scaled) -> (Scaled, Scaled) {
    // The nearest quarter, and the remainder, from −1/8 to 1/8 of a turn.
    let quarter = turns.to_bits(2);
    let angle = (turns - Scaled::from_parts(quarter, -2)) * TAU;
    let square = (angle * angle).to_bits(30) as i32;
    let sine = angle + angle * series(&SINE, square);
    let cosine = Scaled::ONE + series(&COSINE, square);
    match quarter & 3 {
        0 => (sine, cosine),
        1 => (cosine, -sine),
        2 => (-sine, -cosine),
        _ => (-cosine, sine),
    }
}

/// Steps of the tangent in the table.
const STEPS: usize = 32;

/// `round(2³² · atan(i/32) / 2π)`: turns.
static TABLE: [u32; STEPS + 1] = {
    let mut table = [0u32; STEPS + 1];
    let mut i = 0;
    while i <= STEPS {
        table[i] = turns_of_node(i as i128);
        i += 1;
    }
    table
};

/// `2³² · atan(i/32) / 2π`, by Euler's series atan x = Σ 2²ⁿ(n!)²/(2n + 1)! · x^(2n+1)/(1 + x²)^(n+1), at 2⁸⁰.
const fn turns_of_node(i: i128) -> u32 {
    // x/(1 + x²) = 32·i/(32² + i²), and x²/(1 + x²) from one term to the next.
    let below = 1024 + i * i;
    let mut power = ((32 * i) << 80) / below;
    let mut sum = 0;
    let mut n = 0;
    while power > 0 {
        sum += power;
        n += 1;
        power = power * (i * i) / below * (2 * n) / (2 * n + 1);
    }
    // 1/2π = 0.159 154 943 091 895 336…; times 2⁴⁴.
    let scale = 2_799_883_367_747;
    (((sum >> 40) * scale + (1 << 51)) >> 52) as u32
}

/// The angle of (`cosine`, `sine`) in turns, in (−½, ½]; 0 for the zero vector. Within 1e-9 turns.
#[inline(never)]
pub(crate) fn turns(sine: Scaled, cosine: Scaled) -> Scaled {
    let size = |value: Scaled| if value < Scaled::ZERO { -value } else { value };
    let (across, up) = (size(cosine), size(sine));
    let steep = across < up;
    let (long, short) = if steep { (up, across) } else { (across, up) };
    if long.is_zero() {
        return Scaled::ZERO;
    }
    let tangent = short / long;
    // The nearest node of the table, and the small angle δ between: tan δ = (t − n)/(1 + t·n).
    let node = (tangent.to_bits(5) as usize).min(STEPS);
    let at_node = Scaled::from_parts(node as i64, -5);
    let rest = (tangent - at_node) / (Scaled::ONE + tangent * at_node);
    // atan δ = δ − δ³/3 + …: the omitted terms are below 2⁻³⁰/5 of it.
    let cube = rest * rest * rest * Scaled::constant(1_431_655_765, -32);
    let octant = (rest - cube) * TURN + Scaled::from_parts(TABLE.get(node).copied().unwrap_or(0) as i64, -32);
    let quadrant = if steep {
        Scaled::from_parts(1, -2) - octant
    } else {
        octant
    };
    let upper = if cosine < Scaled::ZERO {
        Scaled::from_parts(1, -1) - quadrant
    } else {
        quadrant
    };
    // The half turn is counted as positive.
    if sine < Scaled::ZERO && upper != Scaled::from_parts(1, -1) {
        -upper
    } else {
        upper
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::TAU as FULL;

    /// Angles of all sizes, and many turns.
    fn angles() -> impl Iterator<Item = f64> {
        let mut state = 0x9e37_79b9_7f4a_7c15u64;
        core::iter::repeat_with(move || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state as i32) as f64 * 2f64.powi(-31 + ((state >> 40) % 16) as i32 - 8)
        })
        .take(300_000)
    }

    #[test]
    fn sine_and_cosine_within_the_documented_figures() {
        let (mut worst, mut relative) = (0f64, 0f64);
        for turns in angles() {
            let turns = Scaled::from_f64(turns);
            // Reduced first, so that the oracle does not lose what the kernel keeps.
            let exact = turns.to_f64();
            let rest = exact - exact.round();
            let (sine, cosine) = sine_cosine(turns);
            let want = (rest * FULL).sin_cos();
            worst = worst
                .max((sine.to_f64() - want.0).abs())
                .max((cosine.to_f64() - want.1).abs());
            if rest.abs() < 0.125 && rest != 0.0 {
                relative = relative.max((sine.to_f64() / want.0 - 1.0).abs());
            }
        }
        assert!(worst < 4e-9 && relative < 4e-9, "{worst:e} {relative:e}");
        assert!(worst > 1e-10, "the search saw no error at all: {worst:e}");
    }

    #[test]
    fn the_quarters_are_exact() {
        for quarter in -9..=9i64 {
            let (sine, cosine) = sine_cosine(Scaled::from_parts(quarter, -2));
            let want = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][(quarter & 3) as usize];
            assert_eq!((sine.to_f64(), cosine.to_f64()), want, "{quarter}");
            if (-1..=2).contains(&quarter) {
                assert_eq!(turns(sine, cosine).to_f64(), quarter as f64 / 4.0);
            }
        }
        assert_eq!(turns(Scaled::ZERO, Scaled::ZERO), Scaled::ZERO);
    }

    #[test]
    fn turns_within_the_documented_figure() {
        let mut worst = 0f64;
        for angle in angles() {
            let length = 2f64.powi((angle * 1e4) as i32 % 30);
            let (sine, cosine) = (angle * FULL).sin_cos();
            let (sine, cosine) = (Scaled::from_f64(sine * length), Scaled::from_f64(cosine * length));
            let want = sine.to_f64().atan2(cosine.to_f64()) / FULL;
            worst = worst.max((turns(sine, cosine).to_f64() - want).abs());
        }
        assert!(worst < 1e-9, "{worst:e}");
        assert!(worst > 1e-11, "the search saw no error at all: {worst:e}");
    }
}
