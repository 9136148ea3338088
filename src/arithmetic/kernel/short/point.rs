//! One Γ in 16 bits and its exact squares.

use super::raised::{Raised, raise};

/// 1 in the unit of a square, 2⁻²⁸.
pub(super) const ONE: u32 = 1 << 28;

/// Γ = (re + j·im)·2⁻¹⁴ and |Γ|², which is exact: at most 2³¹ in units of 2⁻²⁸.
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

    /// Γ = 1.
    #[inline(always)]
    pub(crate) fn is_open(self) -> bool {
        self.re == 1 << 14 && self.im == 0
    }

    /// |1 − Γ|² and |1 + Γ|², exact before they are raised: at most 13·2²⁸, in a corner.
    #[inline(always)]
    pub(crate) fn away_and_towards(self) -> (Raised, Raised) {
        let sum = ONE.wrapping_add(self.square);
        let difference = (self.re << 15) as u32;
        (
            raise(sum.wrapping_sub(difference)),
            raise(sum.wrapping_add(difference)),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_corners_do_not_wrap() {
        let corner = ShortPoint::new(i16::MIN, i16::MIN);
        assert_eq!(corner.square(), 8 * ONE);
        assert_eq!(corner.passive(), 7 * ONE);
        assert_eq!(corner.away_and_towards(), (raise(13 * ONE), raise(5 * ONE)));
        let end = ShortPoint::new(i16::MIN, 0);
        assert_eq!(end.away_and_towards(), (raise(9 * ONE), raise(ONE)));
        let short = ShortPoint::new(-1 << 14, 0);
        assert_eq!(short.away_and_towards(), (raise(4 * ONE), raise(0)));
        let open = ShortPoint::new(1 << 14, 0);
        assert_eq!(open.away_and_towards(), (raise(0), raise(4 * ONE)));
        assert!(open.is_open() && open.is_total() && !open.is_active());
        assert_eq!(ShortPoint::new((1 << 14) - 1, 0).away_and_towards().0, raise(1));
    }
}
