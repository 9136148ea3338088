//! How frequencies are counted beside a point of a sweep.

use crate::arithmetic::Real;
use crate::quantity::Hertz;

/// How t is counted: in `unit`s of so many hertz from `centre`.
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
