//! What a ladder adds to a plane: the end of a stub, and the way through a line.

use super::stub_end::StubEnd;
use crate::arithmetic::Real;
use crate::design::line::Propagation;
use crate::quantity::Complex;
use crate::quantity::plane::Plane;

impl<W: Real> Plane<W> {
    pub(crate) fn end_of(end: StubEnd) -> Self {
        match end {
            StubEnd::Open => Self::new(Complex::ONE, Complex::ZERO),
            StubEnd::Shorted => Self::new(Complex::ZERO, Complex::ONE),
        }
    }

    /// The plane at the input of a line that ends here.
    pub(crate) fn through(self, z0: W, way: &Propagation<W>) -> Self {
        if way.sinh.is_zero() {
            return self; // without a rounding
        }
        let rise = (self.current * way.sinh).scale(z0);
        let gain = (self.voltage * way.sinh).scale(W::ONE / z0);
        Self::new(self.voltage * way.cosh + rise, self.current * way.cosh + gain)
    }
}
