//! What is seen at a plane between two elements, while walking through series, shunt and through elements.
//!
//! Two forms, each for its purpose: [`Plane`], voltage and current, in which a walk needs no division and an open and a
//! short are ordinary numbers; and [`Port`], an impedance or an open, where the impedance itself is wanted after each step.

use super::{Complex, Impedance, Reference, Reflection};
use crate::arithmetic::{Arithmetic, Real};

/// Voltage and current at a plane, as phasors that share one unknown scale: their ratio is the impedance.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plane<W> {
    pub(crate) voltage: Complex<W>,
    pub(crate) current: Complex<W>,
}

impl<W: Real> Plane<W> {
    pub(crate) fn new(voltage: Complex<W>, current: Complex<W>) -> Self {
        Self { voltage, current }
    }

    /// From Γ, the current in units of the reference: 1 + Γ and 1 − Γ.
    pub(crate) fn of(reflection: Complex<W>) -> Self {
        Self::new(Complex::ONE + reflection, Complex::ONE - reflection)
    }

    /// The waves towards the end and back, as voltages.
    pub(crate) fn waves(self, z0: W) -> (Complex<W>, Complex<W>) {
        let drop = self.current.scale(z0);
        (
            (self.voltage + drop).scale(W::HALF),
            (self.voltage - drop).scale(W::HALF),
        )
    }

    pub(crate) fn scale(self, factor: W) -> Self {
        Self::new(self.voltage.scale(factor), self.current.scale(factor))
    }

    pub(crate) fn is_finite(self) -> bool {
        self.voltage.is_finite() && self.current.is_finite()
    }
}

/// The impedance at a port in working numbers, or `None` for an open.
pub(crate) type Port<W> = Option<Complex<W>>;

/// An admittance across.
pub(crate) fn across<W: Real>(port: Port<W>, admittance: Complex<W>) -> Port<W> {
    match port {
        None => Complex::ONE.checked_div(admittance),
        Some(z) => z.checked_div(Complex::ONE + admittance * z),
    }
}

/// An impedance in series.
pub(crate) fn behind<W: Real>(port: Port<W>, impedance: Complex<W>) -> Port<W> {
    port.map(|z| z + impedance)
}

/// The port of an impedance.
pub(crate) fn port<A: Arithmetic>(impedance: Impedance<A>) -> Port<A::Working> {
    (!impedance.is_open()).then(|| impedance.complex())
}

/// The impedance of a port, in words.
pub(crate) fn shown<A: Arithmetic>(port: Port<A::Working>) -> Impedance<A> {
    port.map_or(Impedance::OPEN, Impedance::from_complex)
}

/// Γ on a source in working numbers, `None` for an open or beyond the range (Z + Z0 is not 0 if R is positive).
fn gamma<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> Option<Complex<A::Working>> {
    let z0 = Complex::real(source.working());
    port.and_then(|z| (z - z0).checked_div(z + z0))
}

/// Γ on a source, without rounding the impedance to words first.
pub(crate) fn reflected<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> Reflection<A> {
    gamma(port, source).map_or(Reflection::OPEN, Reflection::from_complex)
}

/// |Γ|² in working numbers, 1 for an open.
pub(crate) fn reflected_power<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> A::Working {
    gamma(port, source).map_or(A::Working::ONE, Complex::power)
}
