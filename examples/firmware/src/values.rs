//! Values of any family from numbers that are known to be good.

use defmt::unwrap;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::quantity::{Impedance, Reflection};

pub fn gamma<A: Arithmetic>(re: f64, im: f64) -> Reflection<A> {
    unwrap!(Reflection::try_from_f64(re, im))
}

pub fn ohms<A: Arithmetic>(resistance: f64, reactance: f64) -> Impedance<A> {
    unwrap!(Impedance::try_from_f64(resistance, reactance))
}
