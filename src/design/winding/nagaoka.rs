//! Nagaoka's coefficient, exact and by Lundin's approximation.

use super::number;
use crate::arithmetic::{Floating, QuantityError, Real};
use crate::quantity::positive;

/// The result of an arithmetic-geometric mean: the mean itself, Σ 2ⁿ⁻¹·cₙ² without the first term, and mean − b.
struct Mean<F> {
    mean: F,
    /// Σ from n = 1 of 2ⁿ⁻¹·cₙ².
    sum: F,
    /// The mean less the smaller of its two start values, computed from positive terms only.
    above: F,
}

/// The arithmetic-geometric mean of 1 and `b` in (0, 1], with c² = 1 − b² given, so that nothing cancels.
fn repeated_mean<F: Floating>(b: F, c_squared: F) -> Mean<F> {
    let (mut a, mut b) = (F::ONE, b);
    // a − b, from the exact c².
    let mut apart = c_squared / (F::ONE + b);
    let mut weight = F::ONE;
    let (mut sum, mut above) = (<F as Real>::ZERO, <F as Real>::ZERO);
    // Each step doubles the digits; from a ratio of 1e-38 eight steps are enough for 53 binary digits.
    for _ in 0..12 {
        let half = apart * F::HALF; // the next c
        sum = sum + weight * half * half;
        weight = weight * F::TWO;
        let (root_a, root_b) = (a.square_root(), b.square_root());
        above = above + root_b * (apart / (root_a + root_b));
        let next = a - half;
        b = root_a * root_b;
        a = next;
        // c² = a² − b² of the new pair.
        apart = half * half / (a + b);
        if apart <= F::EPSILON * F::EPSILON * a {
            break;
        }
    }
    Mean { mean: a, sum, above }
}

/// Nagaoka's coefficient of a single-layer coil, from its length and diameter in the same unit: its inductance over
/// that of an equal piece of an infinite coil. In (0, 1).
///
/// H. Nagaoka, "The Inductance Coefficients of Solenoids", Journal of the College of Science, Tokyo 27, 1909:
/// K = 4/(3πk')·[(k'/k)²·(K−E) + E − k] with k² = D²/(D² + l²) and k'² = 1 − k² (the formula as in NBS Circular 74 and
/// Grover, "Inductance Calculations"; from memory). The elliptic integrals come from two arithmetic-geometric means,
/// their differences are written as sums of positive terms (Legendre's relation), so every length is accurate: within
/// 5e-15 relative in `f64` and 2e-6 in `f32`, for length/diameter from 1e-6 to 1e6.
///
/// ```
/// use ohmwright::design::winding::nagaoka_coefficient;
///
/// // As long as wide. Grover's table 36 has 0.688423.
/// assert!((nagaoka_coefficient(1.0_f64, 1.0)? - 0.688423).abs() < 1e-6);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
///
/// # Errors
/// `NotFinite` or `NotPositive` for a length or a diameter; `OutsideLimits` for a ratio beyond 1e-6 to 1e6.
pub fn nagaoka_coefficient<F: Floating>(length: F, diameter: F) -> Result<F, QuantityError> {
    Ok(coefficient(shape(length, diameter)?))
}

/// Lundin's approximation of [`nagaoka_coefficient`], within 2.6e-6 relative.
///
/// R. Lundin, "A Handbook Formula for the Inductance of a Single-Layer Circular Coil", Proceedings of the IEEE 73(9),
/// 1985 (from memory; the coefficients checked against the exact formula). Two short polynomials and, for coils
/// shorter than wide, a logarithm.
///
/// # Errors
/// As [`nagaoka_coefficient`].
pub fn lundin_coefficient<F: Floating>(length: F, diameter: F) -> Result<F, QuantityError> {
    Ok(lundin(shape(length, diameter)?))
}

/// Length/diameter, checked.
fn shape<F: Floating>(length: F, diameter: F) -> Result<F, QuantityError> {
    let ratio = positive(length, "length")? / positive(diameter, "diameter")?;
    if ratio < number(1e-6) || ratio > number(1e6) {
        return Err(outside!(
            "length of the coil over its diameter",
            "must be from 1e-6 to 1e6"
        ));
    }
    Ok(ratio)
}

/// K of length/diameter, exact.
pub(super) fn coefficient<F: Floating>(shape: F) -> F {
    // With D = 1: k = 1/√(1 + l²), k' = l·k.
    let k = F::ONE / (F::ONE + shape * shape).square_root();
    let other = shape * k;
    let (k_squared, other_squared) = (k * k, other * other);
    let quarter_turn = F::TAU / number(4.0);
    // K = π/2/agm(1, k'), and K − E = K·Σ 2ⁿ⁻¹cₙ² from n = 0, where c₀ = k.
    let of_other = repeated_mean(other, k_squared);
    let complete = quarter_turn / of_other.mean;
    let share = F::HALF + of_other.sum / k_squared;
    // E = π/2/K' + K·Σ' with Legendre's relation, where π/2/K' = agm(1, k): E − k has no difference left in it.
    let of_k = repeated_mean(k, other_squared);
    let rest = of_k.above + complete * (of_k.sum + F::HALF * other_squared);
    (number::<F>(8.0) / (number::<F>(3.0) * F::TAU * other)) * (other_squared * complete * share + rest)
}

/// K by Lundin.
pub(super) fn lundin<F: Floating>(shape: F) -> F {
    let first = |x: F| {
        (F::ONE + x * (number::<F>(0.383_901) + x * number(0.017_108)))
            / (F::ONE + x * number::<F>(0.258_952))
    };
    if shape >= F::ONE {
        let wide = F::ONE / shape;
        first(wide * wide) - number::<F>(8.0) / (number::<F>(3.0) * F::TAU) * wide
    } else {
        let x = shape * shape;
        let second = x * (number::<F>(0.093_842) + x * (number::<F>(0.002_029) - x * number::<F>(0.000_801)));
        let logarithm = (number::<F>(4.0) / shape).natural_logarithm();
        F::TWO * F::TWO / F::TAU * shape * ((logarithm - F::HALF) * first(x) + second)
    }
}
