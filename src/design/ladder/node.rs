//! Voltage and current between two elements, as phasors that share one unknown scale: their ratio is the impedance.
//!
//! Such a pair needs no division on its way through a ladder, and an open and a short are ordinary numbers.

use super::stub_end::StubEnd;
use crate::arithmetic::Real;
use crate::design::line::Propagation;
use crate::quantity::Complex;

#[derive(Clone, Copy, Debug)]
pub(crate) struct Node<W> {
    pub voltage: Complex<W>,
    pub current: Complex<W>,
}

impl<W: Real> Node<W> {
    pub fn new(voltage: Complex<W>, current: Complex<W>) -> Self {
        Self { voltage, current }
    }

    pub fn end_of(end: StubEnd) -> Self {
        match end {
            StubEnd::Open => Self::new(Complex::ONE, Complex::ZERO),
            StubEnd::Shorted => Self::new(Complex::ZERO, Complex::ONE),
        }
    }

    /// The node at the input of a line that ends here.
    pub fn through(self, z0: W, way: &Propagation<W>) -> Self {
        if way.sinh.is_zero() {
            return self; // without a rounding
        }
        let rise = (self.current * way.sinh).scale(z0);
        let gain = (self.voltage * way.sinh).scale(W::ONE / z0);
        Self::new(self.voltage * way.cosh + rise, self.current * way.cosh + gain)
    }

    /// The waves towards the end and back, as voltages.
    pub fn waves(self, z0: W) -> (Complex<W>, Complex<W>) {
        let drop = self.current.scale(z0);
        (
            (self.voltage + drop).scale(W::HALF),
            (self.voltage - drop).scale(W::HALF),
        )
    }

    pub fn scale(self, factor: W) -> Self {
        Self::new(self.voltage.scale(factor), self.current.scale(factor))
    }

    pub fn is_finite(self) -> bool {
        self.voltage.is_finite() && self.current.is_finite()
    }
}
