//! An SWR limit, checked once.

use super::{QuantityError, Reflection, finite};
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Quantity, Real};

/// An SWR limit of at least 1, and |Γ|² there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SwrLimit<A: Arithmetic> {
    pub(crate) swr: A::Ratio,
    /// |Γ|² = ((S − 1)/(S + 1))².
    pub(crate) power: A::Working,
    /// The same for all that reads as the limit once it is rounded: a point on the limit is inside of a band.
    pub(crate) inside: A::Working,
}

impl<A: Arithmetic> SwrLimit<A> {
    pub(crate) fn new(swr: A::Ratio) -> Result<Self, QuantityError> {
        let working = finite(swr, "SWR limit")?.to_working();
        if working < A::Working::ONE {
            return Err(QuantityError::BelowOne("SWR limit"));
        }
        let power = |swr: A::Working| ((swr - A::Working::ONE) / (swr + A::Working::ONE)).square();
        let rounding = match A::FAMILY {
            // Half of the last place of its word.
            Family::Fixed32 | Family::Fixed16 => A::Working::HALF / A::Working::from_i32(1 << 16),
            _ => working * A::Working::EPSILON,
        };
        Ok(Self {
            swr,
            power: power(working),
            inside: power(working + rounding),
        })
    }

    /// Whether a load is at or under the limit.
    ///
    /// Whoever reads an SWR at the limit sees it pass, also where |Γ| is over it by a rounding.
    pub(crate) fn holds(&self, reflection: Reflection<A>) -> bool {
        let reads_within = reflection.swr() <= self.swr && !reflection.is_total();
        reads_within || reflection.power() <= self.inside
    }
}
