//! A family whose words come from outside, and the quantities made of them, which every call begins with.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::quantity::{Capacitance, Component, Impedance, Inductance, Ohms, Reference, Reflection};

use crate::unknown::{Unknown, any, keep, show};

/// A family whose words may come from outside.
pub trait Words:
    Arithmetic<
        ComponentWord: Unknown,
        OhmsWord: Unknown,
        SiemensWord: Unknown,
        RatioWord: Unknown,
        DecibelsWord: Unknown,
        DegreesWord: Unknown,
        InductanceWord: Unknown,
        CapacitanceWord: Unknown,
        VoltsWord: Unknown,
        AmperesWord: Unknown,
        WattsWord: Unknown,
        MetresWord: Unknown,
    >
{
}

impl<A> Words for A where
    A: Arithmetic<
            ComponentWord: Unknown,
            OhmsWord: Unknown,
            SiemensWord: Unknown,
            RatioWord: Unknown,
            DecibelsWord: Unknown,
            DegreesWord: Unknown,
            InductanceWord: Unknown,
            CapacitanceWord: Unknown,
            VoltsWord: Unknown,
            AmperesWord: Unknown,
            WattsWord: Unknown,
            MetresWord: Unknown,
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
    take(
        Reflection::new(any::<Component<A>>(), any::<Component<A>>()),
        Reflection::MATCHED,
    )
}

pub(crate) fn reference<A: Words>() -> Reference<A> {
    take(Reference::new(any::<Ohms<A>>()), Reference::fifty())
}

pub(crate) fn impedance<A: Words>() -> Impedance<A> {
    take(
        Impedance::new(any::<Ohms<A>>(), any::<Ohms<A>>()),
        Impedance::OPEN,
    )
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
