//! SWR and Q, which need only the reciprocal of 1 − |Γ|².

use super::point::ShortPoint;
use super::raised::Raised;
use super::round::rounded;

/// (1 + |Γ|)²/(1 − |Γ|²) in units of 2⁻¹⁶, for |Γ| below 1, in units of 2⁻¹⁵.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn standing_wave(magnitude: u32, passive: Raised, inverse: u32) -> u32 {
    let sum = (1 << 15) + magnitude;
    let value = (sum.wrapping_mul(sum) >> 16).wrapping_mul(inverse);
    rounded(value, 17 - passive.lead).max(1 << 16)
}

/// 2·|Im Γ|/|1 − |Γ|²| in units of 2⁻¹⁶.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) fn quality(point: ShortPoint, passive: Raised, inverse: u32) -> u32 {
    if passive.mantissa != 0 {
        rounded(point.up().wrapping_mul(inverse), 16 - passive.lead)
    } else if point.im == 0 {
        0
    } else {
        u32::MAX
    }
}
