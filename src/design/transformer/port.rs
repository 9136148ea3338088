//! What is seen at a port while walking towards the source.

use crate::arithmetic::{Arithmetic, QuantityError, Real};
use crate::quantity::{Complex, Impedance, Reference, Reflection};

/// What there is at a port: an impedance in working numbers, or nothing (an open).
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

/// Γ on a source in working numbers, `None` for an open. Z + Z0 is not zero where R is positive: of the others only what
/// leaves the range has no quotient.
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

/// What is above zero in working numbers; a part's own word is never less.
pub(super) fn positive_part<W: Real>(value: W, name: &'static str) -> Result<W, QuantityError> {
    if value > W::ZERO {
        Ok(value)
    } else {
        Err(QuantityError::NotPositive(name))
    }
}
