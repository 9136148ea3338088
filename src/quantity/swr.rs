//! SWR and |Γ|: one place for the conversion between them, and for the check of a limit.
//!
//! S = (1 + |Γ|)/(1 − |Γ|) and |Γ| = (S − 1)/(S + 1), for |Γ| below 1; from 1 on the SWR is the largest value. (The SWR
//! of a [`Reflection`] is computed from the exact squares of its family and is right up to |Γ| = 1.)

use super::{Component, QuantityError, Reflection, Swr, finite};
use crate::arithmetic::{Arithmetic, Constant, Quantity, Real};

/// (1 + ρ)/(1 − ρ) with ρ = |Γ|; the largest value from 1 on.
#[inline]
pub(crate) fn standing_wave<W: Real>(rho: W) -> W {
    if rho < W::ONE {
        (W::ONE + rho) / (W::ONE - rho)
    } else {
        W::LARGEST
    }
}

/// |Γ| = (S − 1)/(S + 1), for an SWR of at least 1.
#[inline]
pub(crate) fn magnitude<W: Real>(swr: W) -> W {
    (swr - W::ONE) / (swr + W::ONE)
}

/// Checks an SWR limit: finite, at least 1. Exactly 1 is allowed: only a match keeps it.
pub(crate) fn limit<A: Arithmetic>(swr: Swr<A>, name: &'static str) -> Result<A::Working, QuantityError> {
    let working = finite(swr, name)?.to_working();
    if working < A::Working::ONE {
        return Err(QuantityError::BelowOne(name));
    }
    Ok(working)
}

impl<A: Arithmetic> Swr<A> {
    /// The SWR of a |Γ| that is not negative: (1 + |Γ|)/(1 − |Γ|), and [`MAX`](Self::MAX) from 1 on.
    pub fn from_magnitude(magnitude: impl Into<Component<A>>) -> Self {
        Self::of(magnitude.into().to_working())
    }

    /// |Γ| = (S − 1)/(S + 1): 0 at the match. [`MAX`](Self::MAX) gives the |Γ| of an [open](Reflection::OPEN).
    pub fn magnitude(self) -> Component<A> {
        if self == Self::MAX {
            return Component::new(A::UNIT);
        }
        Component::from_working(magnitude(self.to_working()))
    }

    pub(crate) fn of(rho: A::Working) -> Self {
        if rho < A::Working::ONE {
            Self::from_working(standing_wave(rho))
        } else {
            Self::MAX
        }
    }
}

/// An SWR limit of at least 1, and its |Γ|².
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SwrLimit<A: Arithmetic> {
    pub(crate) swr: Swr<A>,
    /// |Γ|² = ((S − 1)/(S + 1))².
    pub(crate) power: A::Working,
    /// The same for the largest SWR that rounds to the limit: a point on the limit counts as inside.
    pub(crate) inside: A::Working,
}

impl<A: Arithmetic> SwrLimit<A> {
    /// A limit of so many thousandths, known when the code is compiled: what [`new`](Self::new) makes of it, to the bit.
    pub(crate) const fn thousandths<const N: i32>() -> Self {
        let (power, inside) = <<A::Working as Real>::Limit<N> as Constant<(A::Working, A::Working)>>::VALUE;
        Self {
            swr: Swr::thousandths::<N>(),
            power,
            inside,
        }
    }

    pub(crate) fn new(swr: Swr<A>) -> Result<Self, QuantityError> {
        let working = limit(swr, "SWR limit")?;
        let rounding = match A::FAMILY {
            // Half of the last place of its word.
            family if family.is_fixed() => A::Working::HALF / A::Working::from_i32(1 << 16),
            _ => working * A::Working::EPSILON,
        };
        Ok(Self {
            swr,
            power: magnitude(working).square(),
            inside: magnitude(working + rounding).square(),
        })
    }

    /// Whether a load is at or under the limit. An SWR that reads as the limit passes, also if |Γ| is just above.
    pub(crate) fn holds(&self, reflection: Reflection<A>) -> bool {
        let reads_within = reflection.swr() <= self.swr && !reflection.is_total();
        reads_within || reflection.power() <= self.inside
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::{Fixed16, Fixed32, SoftF32};

    fn constants<A: Arithmetic>() {
        fn one<A: Arithmetic, const N: i32>() {
            let constant = SwrLimit::<A>::thousandths::<N>();
            assert_eq!(SwrLimit::new(Swr::thousandths::<N>()), Ok(constant), "{N}");
        }
        one::<A, 1_000>();
        one::<A, 1_001>();
        one::<A, 1_100>();
        one::<A, 1_500>();
        one::<A, 1_777>();
        one::<A, 2_000>();
        one::<A, 3_000>();
        one::<A, 9_999>();
        one::<A, 65_000_000>();
        // A control: another limit is seen.
        assert_ne!(
            SwrLimit::new(Swr::thousandths::<1_501>()),
            Ok(SwrLimit::<A>::thousandths::<1_500>())
        );
    }

    #[test]
    fn a_limit_in_a_constant_is_the_one_of_a_run() {
        constants::<f32>();
        constants::<f64>();
        constants::<SoftF32>();
        constants::<Fixed32>();
        constants::<Fixed16>();
    }
}
