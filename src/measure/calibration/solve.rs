//! Error terms from three standards, in closed form.
//!
//! The error model is a Möbius map, fixed by three points and their images. Written in differences of Γ and readings m,
//!
//! ```text
//! u = (m1 − m3)(Γ2 − Γ3)    v = (m2 − m3)(Γ1 − Γ3)    D = Γ1·u − Γ2·v
//! source match = (u − v)/D
//! q            = (m1 − m3)(m2 − m3)(Γ1 − Γ2)/D
//! directivity  = m3 − q·Γ3
//! tracking     = q·(1 − source match·Γ3)
//! ```
//!
//! (elimination from m = directivity + Γ·m·source match − Γ·Δ, with Δ = directivity·source match − tracking), it has no
//! cancellation except between values that are themselves small: the errors are those of the readings, and a few
//! roundings. (The load is best as the third.)

use super::CalibrationError;
use crate::arithmetic::Real;
use crate::quantity::Complex;

/// The known Γ of a device, and its reading.
pub(super) type Pair<W> = (Complex<W>, Complex<W>);

/// Standards nearer to each other than this, 2⁻¹⁰, count as equal.
fn same<W: Real>() -> W {
    W::ONE / W::from_i32(1 << 10)
}

/// The larger of the two components: enough to compare two numbers, and cheap.
fn distance<W: Real>(gap: Complex<W>) -> W {
    gap.re.absolute().larger(gap.im.absolute())
}

/// Directivity, source match and tracking, as working numbers. The source match is below 1.
pub(super) fn terms<W: Real>(readings: &[Pair<W>; 3]) -> Result<[Complex<W>; 3], CalibrationError> {
    let [(g1, m1), (g2, m2), (g3, m3)] = *readings;
    let (g12, g13, g23) = (g1 - g2, g1 - g3, g2 - g3);
    let (m12, m13, m23) = (m1 - m2, m1 - m3, m2 - m3);
    let numbered = [(1, 2), (1, 3), (2, 3)];
    let same = same();
    for (gap, (first, second)) in [g12, g13, g23].into_iter().zip(numbered) {
        if distance(gap) < same {
            return Err(CalibrationError::EqualStandards(first, second));
        }
    }
    let apart = [m12, m13, m23].map(distance);
    let least = same * apart.into_iter().fold(W::ZERO, W::larger);
    for (gap, (first, second)) in apart.into_iter().zip(numbered) {
        if gap.is_zero() || gap < least {
            return Err(CalibrationError::EqualReadings(first, second));
        }
    }
    let (u, v) = (m13 * g23, m23 * g13);
    let below = g1 * u - g2 * v;
    let bent = u - v;
    // Before dividing. NaN fails this comparison too.
    let possible = bent.power() < below.power();
    if !possible {
        return Err(CalibrationError::ImpossibleSourceMatch);
    }
    let q = m13 * m23 * g12 / below;
    let source_match = bent / below;
    let tracking = q - q * (source_match * g3);
    Ok([m3 - q * g3, source_match, tracking])
}
