//! One Γ in 16 bits and its exact squares.

use super::raised::{Raised, raise, raise_long};

/// 1 in the unit of a square, 2⁻³⁰.
pub(super) const ONE: u32 = 1 << 30;

/// Γ = (re + j·im)·2⁻¹⁵ and |Γ|², which is exact: at most 2³¹ in units of 2⁻³⁰.
#[derive(Clone, Copy)]
pub(crate) struct ShortPoint {
    pub(super) re: i32,
    pub(super) im: i32,
    square: u32,
}

impl ShortPoint {
    #[inline(always)]
    pub(crate) fn new(re: i16, im: i16) -> Self {
        let (re, im) = (re as i32, im as i32);
        Self {
            re,
            im,
            // Each at most 2³⁰.
            square: (re.wrapping_mul(re) as u32).wrapping_add(im.wrapping_mul(im) as u32),
        }
    }

    /// |Γ|².
    #[inline(always)]
    pub(crate) fn square(self) -> u32 {
        self.square
    }

    /// |Γ| ≥ 1.
    #[inline(always)]
    pub(crate) fn is_total(self) -> bool {
        self.square >= ONE
    }

    /// |Γ| > 1.
    #[inline(always)]
    pub(crate) fn is_active(self) -> bool {
        self.square > ONE
    }

    /// Im Γ < 0.
    #[inline(always)]
    pub(crate) fn is_below(self) -> bool {
        self.im < 0
    }

    /// |Im Γ|.
    #[inline(always)]
    pub(crate) fn up(self) -> u32 {
        self.im.unsigned_abs()
    }

    /// |1 − |Γ|²|, exact.
    #[inline(always)]
    pub(crate) fn passive(self) -> u32 {
        (ONE as i32).wrapping_sub(self.square as i32).unsigned_abs()
    }

    /// |1 − Γ|² and |1 + Γ|², exact before they are raised. The first is never 0, since Γ = 1 is beyond the word.
    #[inline(always)]
    pub(crate) fn away_and_towards(self) -> (Raised, Raised) {
        let sum = ONE.wrapping_add(self.square);
        if self.is_total() {
            // Beyond the rim they may reach 5·2³⁰.
            let (middle, difference) = (sum as i64, (self.re as i64) << 16);
            (raise_long(middle - difference), raise_long(middle + difference))
        } else {
            // Inside, both are below 2³².
            let difference = (self.re << 16) as u32;
            (
                raise(sum.wrapping_sub(difference)),
                raise(sum.wrapping_add(difference)),
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_corners_do_not_wrap() {
        let corner = ShortPoint::new(i16::MIN, i16::MIN);
        assert_eq!(corner.square(), 1 << 31);
        assert_eq!(corner.passive(), ONE);
        let (away, towards) = corner.away_and_towards();
        assert_eq!(away.mantissa as f64 * 2f64.powi(-away.lead), 5.0 * 2f64.powi(30));
        assert_eq!(towards, raise(ONE));
        let (away, towards) = ShortPoint::new(i16::MIN, 0).away_and_towards();
        assert_eq!(
            away,
            Raised {
                mantissa: 1 << 31,
                lead: -1
            }
        );
        assert_eq!(towards.mantissa, 0);
        assert_eq!(ShortPoint::new(i16::MAX, 0).away_and_towards().0, raise(1));
    }
}
