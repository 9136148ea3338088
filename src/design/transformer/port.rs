//! The impedance at a port on the way towards the source.

use crate::arithmetic::{Arithmetic, QuantityError, Real};
use crate::quantity::{Complex, Impedance, Reference, Reflection};

/// The impedance at a port in working numbers, or `None` for an open.
pub(super) type Port<W> = Option<Complex<W>>;

/// An admittance across.
pub(super) fn across<W: Real>(port: Port<W>, admittance: Complex<W>) -> Port<W> {
    match port {
        None => Complex::ONE.checked_div(admittance),
        Some(z) => z.checked_div(Complex::ONE + admittance * z),
    }
}

/// An impedance in series.
pub(super) fn behind<W: Real>(port: Port<W>, impedance: Complex<W>) -> Port<W> {
    port.map(|z| z + impedance)
}

/// A port of the quantity layer.
pub(super) fn port<A: Arithmetic>(impedance: Impedance<A>) -> Port<A::Working> {
    (!impedance.is_open()).then(|| impedance.complex())
}

/// A port in the words of the quantity layer.
pub(super) fn shown<A: Arithmetic>(port: Port<A::Working>) -> Impedance<A> {
    port.map_or(Impedance::OPEN, Impedance::from_complex)
}

/// Γ on a source in working numbers, `None` for an open or beyond the range (Z + Z0 is not 0 if R is positive).
fn gamma<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> Option<Complex<A::Working>> {
    let z0 = Complex::real(source.working());
    port.and_then(|z| (z - z0).checked_div(z + z0))
}

/// Γ on a source, without rounding the impedance to words first.
pub(super) fn reflected<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> Reflection<A> {
    gamma(port, source).map_or(Reflection::OPEN, Reflection::from_complex)
}

/// |Γ|² in working numbers, 1 for an open.
pub(super) fn reflected_power<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> A::Working {
    gamma(port, source).map_or(A::Working::ONE, Complex::power)
}

/// A value above zero in working numbers; the word of a part is never negative.
pub(super) fn positive_part<W: Real>(value: W, name: &'static str) -> Result<W, QuantityError> {
    if value > W::ZERO {
        Ok(value)
    } else {
        Err(QuantityError::NotPositive(name))
    }
}
