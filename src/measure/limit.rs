//! An SWR limit, checked once.

use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{QuantityError, Reflection};

/// An SWR limit of at least 1, and |Γ|² there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SwrLimit<A: Arithmetic> {
    swr: A::Ratio,
    /// |Γ|² = ((S − 1)/(S + 1))².
    pub(crate) power: A::Working,
}

impl<A: Arithmetic> SwrLimit<A> {
    pub(crate) fn new(swr: A::Ratio) -> Result<Self, QuantityError> {
        if !swr.is_finite() {
            return Err(QuantityError::NotFinite("SWR limit"));
        }
        let working = swr.to_working();
        if working < A::Working::ONE {
            return Err(QuantityError::BelowOne("SWR limit"));
        }
        Ok(Self {
            swr,
            power: ((working - A::Working::ONE) / (working + A::Working::ONE)).square(),
        })
    }

    /// Whether a load is at or under the limit.
    ///
    /// Whoever reads an SWR at the limit sees it pass, also where |Γ| is over it by a rounding.
    pub(crate) fn holds(&self, reflection: Reflection<A>) -> bool {
        let reads_within = reflection.swr() <= self.swr && !reflection.is_total();
        reads_within || reflection.power() <= self.power
    }
}
