//! What the tests of impedances share: impedances, reflections and parts of a family from numbers in ohms, henries and
//! farads, what the family holds of them, and what the steps of its words hide.

use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, Reference, Reflection};

use super::complex::{C, c};
use super::is_fixed;

pub fn word<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

pub fn ohms<A: Arithmetic>(resistance: f64, reactance: f64) -> Impedance<A> {
    Impedance::try_from_f64(resistance, reactance).unwrap()
}

pub fn source<A: Arithmetic>(resistance: f64) -> Reference<A> {
    Reference::try_from_f64(resistance).unwrap()
}

/// R + jX as the family holds it.
pub fn held<A: Arithmetic>(z: Impedance<A>) -> C {
    c(z.resistance().to_f64(), z.reactance().to_f64())
}

pub fn gamma_word<A: Arithmetic>(gamma: C) -> Reflection<A> {
    Reflection::try_from_f64(gamma.re, gamma.im).unwrap()
}

/// Γ as the family holds it.
pub fn gamma_held<A: Arithmetic>(gamma: Reflection<A>) -> C {
    c(gamma.real().to_f64(), gamma.imaginary().to_f64())
}

/// Henries in one unit of the word.
fn henry<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 1e-12 } else { 1.0 }
}

/// Farads in one unit of the word.
fn farad<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 1e-15 } else { 1.0 }
}

pub fn coil<A: Arithmetic>(henries: f64) -> Inductance<A> {
    Inductance::new(word(henries / henry::<A>())).unwrap()
}

pub fn capacitor<A: Arithmetic>(farads: f64) -> Capacitance<A> {
    Capacitance::new(word(farads / farad::<A>())).unwrap()
}

/// Henries as the family holds them.
pub fn henries<A: Arithmetic>(part: Inductance<A>) -> f64 {
    part.get().to_f64() * henry::<A>()
}

/// Farads as the family holds them.
pub fn farads<A: Arithmetic>(part: Capacitance<A>) -> f64 {
    part.get().to_f64() * farad::<A>()
}

/// Half a step of a word of ohms, watts or volts; the floating families round relatively.
pub fn half_a_step<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 0.5 / 4096.0 } else { 0.0 }
}

/// The same of a word of ratios or decibels.
pub fn half_a_ratio<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 0.5 / 65536.0 } else { 0.0 }
}

/// Half a step of a word of inductance, henries.
pub fn half_a_picohenry<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 0.5e-12 } else { 0.0 }
}

/// Half a step of a word of capacitance, farads.
pub fn half_a_femtofarad<A: Arithmetic>() -> f64 {
    if is_fixed::<A>() { 0.5e-15 } else { 0.0 }
}

pub fn omega(frequency: Hertz) -> f64 {
    core::f64::consts::TAU * frequency.get() as f64
}

/// Γ of an impedance.
pub fn gamma_of(z: C, z0: f64) -> C {
    (z - c(z0, 0.0)) / (z + c(z0, 0.0))
}

/// The SWR of R + jX on a source, from hyperbolic distance: no step in common with the crate.
pub fn swr_by_distance(z: C, z0: f64) -> f64 {
    // cosh of the distance, less 1: near a match nothing cancels.
    let excess = ((z.re - z0).powi(2) + z.im * z.im) / (2.0 * z.re * z0);
    1.0 + excess + (excess * (2.0 + excess)).sqrt()
}

pub fn swr_of(gamma: C) -> f64 {
    (1.0 + gamma.size()) / (1.0 - gamma.size())
}
