//! R, X and |Z| of a Γ and a reference.

use super::inverse::inverse;
use super::point::ShortPoint;
use super::raised::{Raised, raise};
use super::root::coarse_root;
use super::round::rounded_with_sign;

/// A reference, prepared: `mantissa · 2^(15 − places)` units of its word, with 16 digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShortReference {
    mantissa: u32,
    places: i32,
}

impl ShortReference {
    /// 50 Ω in units of 2⁻¹² Ω.
    pub(crate) const FIFTY: Self = Self {
        mantissa: 50 << 10,
        places: 15 - (12 - 10),
    };

    pub(crate) const fn new(bits: u32) -> Self {
        let raised = raise(bits);
        // To the nearest; a carry brings one digit more.
        let mantissa = (raised.mantissa >> 16) + ((raised.mantissa >> 15) & 1);
        let over = mantissa >> 16;
        Self {
            mantissa: mantissa >> over,
            places: raised.lead - 1 - over as i32,
        }
    }
}

/// Z0/|1 − Γ|², the common factor of R, X and |Z|.
#[derive(Clone, Copy)]
pub(crate) struct ShortUnit {
    mantissa: u32,
    places: i32,
}

impl ShortUnit {
    #[cfg_attr(not(ohmwright_smallest), inline(always))]
    pub(crate) fn new(reference: ShortReference, away: Raised) -> Self {
        Self {
            mantissa: reference.mantissa.wrapping_mul(inverse(away)) >> 16,
            places: reference.places.wrapping_sub(away.lead),
        }
    }

    #[cfg_attr(not(ohmwright_smallest), inline(always))]
    fn ohms(self, negative: bool, factor: u32, lead: i32) -> i32 {
        let value = self.mantissa.wrapping_mul(factor);
        rounded_with_sign(negative, value, self.places.wrapping_add(lead))
    }

    #[inline(always)]
    pub(crate) fn resistance(self, point: ShortPoint, passive: Raised) -> i32 {
        self.ohms(point.is_active(), passive.short(), passive.lead)
    }

    #[inline(always)]
    pub(crate) fn reactance(self, point: ShortPoint) -> i32 {
        // 2·Im Γ in units of 2⁻¹³, over |1 − Γ|² in units of 2⁻²⁸: 15 places, where the mantissa counts on 14.
        self.ohms(point.is_below(), point.up(), 1)
    }

    /// |Z| from the root of |1 + Γ|²·|1 − Γ|².
    #[inline(always)]
    pub(crate) fn magnitude(self, away: Raised, towards: Raised) -> i32 {
        let lead = away.lead.wrapping_add(towards.lead);
        let root = coarse_root(away.short().wrapping_mul(towards.short()) >> (lead & 1));
        self.ohms(false, root, lead >> 1)
    }
}
