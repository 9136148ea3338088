//! Transformers as they are and transformers of lines: every row of `data/real_transformer_published.csv`, the power
//! balance against a solution of the node equations, limits, bands, and recovery from measurement. All invented.
//!
//! With `transformer.rs`, `winding.rs` and `load.rs` no row of their common source is left out.

mod circuit;
mod fit;
mod halves;
mod leads;
mod lines;
mod open_short;
mod published;
mod refusals;

use core::f64::consts::TAU;

use crate::common::Random;
use crate::common::complex::{C, ONE, c};
use crate::common::impedances::{capacitor, coil, farads, half_a_picohenry, henries, ohms, word};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::transformer::{LineKind, LineTransformer, RealTransformer};
use ohmwright::quantity::{Component, Hertz, Impedance, Metres, Ohms, VelocityFactor};

fn roundings<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 3e-8,
        Family::F32 | Family::SoftF32 => 1e-6,
        _ => 4e-15,
    }
}

/// What a component of Γ may be off.
fn reflection_slack<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed16 => 3.2e-5,
        Family::Fixed32 => 3e-8,
        _ => roundings::<A>(),
    }
}

/// What the table of a logarithm may cost, dB.
fn decibel_slack<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 6e-5,
        Family::F32 | Family::SoftF32 => 6e-6,
        _ => 5e-14,
    }
}

/// What half a picohenry is of an inductance.
fn entry<A: Arithmetic>(value: f64) -> f64 {
    half_a_picohenry::<A>() / value
}

fn hertz(value: f64) -> Hertz {
    Hertz::new(value.round() as u64)
}

const LINE_AT: f64 = 10e6;

/// Lines of a length that is a share of the wave at [`LINE_AT`].
fn line<A: Arithmetic>(kind: LineKind, impedance: f64, eighths_of_a_turn: f64) -> LineTransformer<A> {
    let length = 299_792_458.0 / LINE_AT * eighths_of_a_turn / 8.0;
    let (impedance, length) = (word::<Ohms<A>>(impedance), word::<Metres<A>>(length));
    LineTransformer::new(kind, impedance, length, VelocityFactor::whole::<1>()).unwrap()
}

// ---- An oracle: the node equations in doubles -----------------------------------------------------------------------

/// A transformer as two coupled coils, and what is around them.
#[derive(Clone, Copy, Debug)]
struct Coils {
    first: f64,
    second: f64,
    mutual: f64,
    resistances: [f64; 2],
    capacitances: [f64; 2],
}

impl Coils {
    /// Input impedance, and the share of the power that arrives, by the impedance matrix of coupled coils: no step in
    /// common with the crate's equivalent circuit.
    fn solve(&self, load: C, f: f64) -> (C, f64) {
        let w = TAU * f;
        let z2 = ONE / (ONE / load + c(0.0, w * self.capacitances[1]));
        let z22 = c(self.resistances[1], w * self.second);
        let zm = c(0.0, w * self.mutual);
        // One ampere into the first coil.
        let i2 = zm / (z22 + z2);
        let v1 = c(self.resistances[0], w * self.first) - zm * i2;
        // Power into it, and into the load.
        let into = v1.re;
        let v2 = i2 * z2;
        let of_load = v2.size().powi(2) * (ONE / load).re;
        let seen = ONE / (ONE / v1 + c(0.0, w * self.capacitances[0]));
        (seen, of_load / into)
    }
}

struct Case<A: Arithmetic> {
    transformer: RealTransformer<A>,
    truth: Coils,
    load: Impedance<A>,
    frequency: Hertz,
}

/// A random transformer as the family holds it, and the same in doubles.
fn case<A: Arithmetic>(random: &mut Random) -> Case<A> {
    let first = coil::<A>(random.decades(1e-6, 1e-4).abs());
    let second = coil::<A>(random.decades(1e-6, 1e-4).abs());
    let k = word::<Component<A>>(1.0 - random.decades(3e-3, 0.5).abs());
    let resistances = [(); 2].map(|()| word::<Ohms<A>>(random.decades(0.01, 3.0).abs()));
    let capacitances = [(); 2].map(|()| capacitor::<A>(random.decades(1e-13, 1e-11).abs()));
    let transformer = RealTransformer::coupled(first, second, k)
        .unwrap()
        .with_resistances(resistances[0], resistances[1])
        .unwrap()
        .with_capacitances(capacitances[0], capacitances[1]);
    let (l1, l2) = (henries(first), henries(second));
    let truth = Coils {
        first: l1,
        second: l2,
        mutual: k.to_f64() * (l1 * l2).sqrt(),
        resistances: resistances.map(Quantity::to_f64),
        capacitances: capacitances.map(farads),
    };
    Case {
        transformer,
        truth,
        load: ohms(random.decades(2.0, 2000.0).abs(), random.decades(2.0, 2000.0)),
        frequency: hertz(random.decades(1e6, 3e7).abs()),
    }
}
