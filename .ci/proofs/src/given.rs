//! A family whose words come from outside, and the quantities made of them, which every call begins with.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::quantity::{Capacitance, Impedance, Inductance, Reference, Reflection};

use crate::unknown::{Unknown, any, keep, show};

/// A family whose words may come from outside.
pub trait Words:
    Arithmetic<
        Component: Unknown,
        Ohms: Unknown,
        Siemens: Unknown,
        Ratio: Unknown,
        Decibels: Unknown,
        Degrees: Unknown,
        InductanceWord: Unknown,
        CapacitanceWord: Unknown,
        Volts: Unknown,
        Amperes: Unknown,
        Watts: Unknown,
        Metres: Unknown,
    >
{
}

impl<A> Words for A where
    A: Arithmetic<
            Component: Unknown,
            Ohms: Unknown,
            Siemens: Unknown,
            Ratio: Unknown,
            Decibels: Unknown,
            Degrees: Unknown,
            InductanceWord: Unknown,
            CapacitanceWord: Unknown,
            Volts: Unknown,
            Amperes: Unknown,
            Watts: Unknown,
            Metres: Unknown,
        >
{
}

/// A result of a constructor; the error is shown, as a device would.
pub(crate) fn take<T, E: core::fmt::Display>(result: Result<T, E>, otherwise: T) -> T {
    result.unwrap_or_else(|error| {
        show(error);
        otherwise
    })
}

pub(crate) fn gamma<A: Words>() -> Reflection<A> {
    take(Reflection::new(any(), any()), Reflection::MATCHED)
}

pub(crate) fn reference<A: Words>() -> Reference<A> {
    take(Reference::new(any()), Reference::fifty())
}

pub(crate) fn impedance<A: Words>() -> Impedance<A> {
    take(Impedance::new(any(), any()), Impedance::OPEN)
}

pub(crate) fn inductance<A: Words>() -> Inductance<A> {
    take(Inductance::new(any()), Inductance::from_picohenries(any()))
}

pub(crate) fn capacitance<A: Words>() -> Capacitance<A> {
    take(Capacitance::new(any()), Capacitance::from_femtofarads(any()))
}

/// A stand-in for a value of a constructor that cannot fail, without a panic.
pub(crate) fn never<T>() -> T {
    loop {
        keep(());
    }
}
