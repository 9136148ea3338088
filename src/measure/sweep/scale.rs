//! The scale of frequency near a point of a sweep.

use crate::arithmetic::Real;
use crate::quantity::Hertz;

/// The scale of t: in units of `unit` hertz from `centre`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    pub(crate) centre: Hertz,
    pub(crate) unit: u64,
}

impl Scale {
    /// t of a frequency.
    #[inline(never)]
    pub(crate) fn place<W: Real>(self, frequency: Hertz) -> W {
        frequency.steps_from(self.centre, self.unit)
    }
}
