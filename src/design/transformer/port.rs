//! What is seen at a port while walking towards the source, and the checks of what comes in.

use super::ideal::reflection;
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{Complex, Hertz, Impedance, Reference, Reflection};

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

pub(super) fn shown<A: Arithmetic>(port: Port<A::Working>) -> Impedance<A> {
    port.map_or(Impedance::OPEN, Impedance::from_complex)
}

pub(super) fn reflected<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> Reflection<A> {
    port.map_or(Reflection::OPEN, |z| reflection(z, source))
}

/// |Γ|² in working numbers, 1 for an open.
pub(super) fn reflected_power<A: Arithmetic>(port: Port<A::Working>, source: Reference<A>) -> A::Working {
    let z0 = Complex::real(source.working());
    port.and_then(|z| (z - z0).checked_div(z + z0))
        .map_or(A::Working::ONE, Complex::power)
}

/// |Γ|² at an SWR.
pub(super) fn power_at<A: Arithmetic>(limit: A::Ratio) -> Result<A::Working, QuantityError> {
    if !limit.is_finite() {
        return Err(QuantityError::NotFinite("SWR limit"));
    }
    let swr = limit.to_working();
    if swr < A::Working::ONE {
        return Err(QuantityError::BelowOne("SWR limit"));
    }
    Ok(((swr - A::Working::ONE) / (swr + A::Working::ONE)).square())
}

pub(super) fn positive_omega<A: Arithmetic>(frequency: Hertz) -> Result<A::Working, QuantityError> {
    if frequency.get() == 0 {
        Err(QuantityError::NotPositive("frequency"))
    } else {
        Ok(frequency.angular())
    }
}

pub(super) fn positive<Q: Quantity>(word: Q, name: &'static str) -> Result<Q::Working, QuantityError> {
    if !word.is_finite() {
        Err(QuantityError::NotFinite(name))
    } else if word > Q::ZERO {
        Ok(word.to_working())
    } else {
        Err(QuantityError::NotPositive(name))
    }
}

pub(super) fn positive_part<W: Real>(value: W, name: &'static str) -> Result<W, QuantityError> {
    if value > W::ZERO {
        Ok(value)
    } else {
        Err(QuantityError::NotPositive(name))
    }
}

pub(super) fn not_negative<Q: Quantity>(word: Q, name: &'static str) -> Result<Q::Working, QuantityError> {
    if !word.is_finite() {
        Err(QuantityError::NotFinite(name))
    } else if word < Q::ZERO {
        Err(QuantityError::Negative(name))
    } else {
        Ok(word.to_working())
    }
}
