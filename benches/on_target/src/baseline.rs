//! The baseline: `f32` code as a careful developer writes it without this crate.
//!
//! Squares are taken once, losses come from the natural logarithm times a constant, |Γ| from the root of its square and
//! not from `hypotf`, which works in double precision.

use core::f32::consts::{LN_10, PI};

use libm::{atan2f, fabsf, logf, sqrtf};

use super::kernels::{Answer, Path, Words};

#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Complex {
    pub re: f32,
    pub im: f32,
}

#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Terms {
    pub directivity: Complex,
    pub source_match: Complex,
    pub tracking: Complex,
}

#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Readings {
    pub magnitude: f32,
    pub swr: f32,
    pub return_loss: f32,
    pub mismatch_loss: f32,
    pub resistance: f32,
    pub reactance: f32,
    pub impedance_magnitude: f32,
    pub phase: f32,
    pub q: f32,
}

const NEPERS_TO_DECIBELS: f32 = 10.0 / LN_10;
const DEGREES: f32 = 180.0 / PI;

fn square(gamma: Complex) -> f32 {
    gamma.re * gamma.re + gamma.im * gamma.im
}

fn standing_wave(magnitude: f32) -> f32 {
    if magnitude < 1.0 {
        (1.0 + magnitude) / (1.0 - magnitude)
    } else {
        f32::INFINITY
    }
}

fn terminate(gamma: Complex, power: f32, reference: f32) -> (f32, f32) {
    let away = 1.0 - gamma.re;
    let scale = reference / (away * away + gamma.im * gamma.im);
    ((1.0 - power) * scale, 2.0 * gamma.im * scale)
}

#[derive(Clone, Copy, Debug)]
pub struct Baseline;

impl Path for Baseline {
    type Reference = f32;
    type Gamma = Complex;
    type Load = Complex;
    type Terms = Terms;
    type Component = f32;
    type Ohms = f32;
    type Ratio = f32;
    type Decibels = f32;
    type Degrees = f32;
    type Readouts = Readings;

    fn reference(ohms: f32) -> f32 {
        ohms
    }
    fn fifty() -> f32 {
        50.0
    }
    fn magnitude(gamma: Complex) -> f32 {
        sqrtf(square(gamma))
    }
    fn swr(gamma: Complex) -> f32 {
        standing_wave(sqrtf(square(gamma)))
    }
    fn return_loss(gamma: Complex) -> f32 {
        -NEPERS_TO_DECIBELS * logf(square(gamma))
    }
    fn mismatch_loss(gamma: Complex) -> f32 {
        -NEPERS_TO_DECIBELS * logf(1.0 - square(gamma))
    }
    fn impedance(gamma: Complex, reference: f32) -> (f32, f32) {
        terminate(gamma, square(gamma), reference)
    }
    fn impedance_magnitude(gamma: Complex, reference: f32) -> f32 {
        let (resistance, reactance) = terminate(gamma, square(gamma), reference);
        sqrtf(resistance * resistance + reactance * reactance)
    }
    fn phase(gamma: Complex) -> f32 {
        atan2f(gamma.im, gamma.re) * DEGREES
    }
    fn q(gamma: Complex) -> f32 {
        fabsf(2.0 * gamma.im / (1.0 - square(gamma)))
    }
    fn all_readouts(gamma: Complex, reference: f32) -> Readings {
        let power = square(gamma);
        let magnitude = sqrtf(power);
        let (resistance, reactance) = terminate(gamma, power, reference);
        Readings {
            magnitude,
            swr: standing_wave(magnitude),
            return_loss: -NEPERS_TO_DECIBELS * logf(power),
            mismatch_loss: -NEPERS_TO_DECIBELS * logf(1.0 - power),
            resistance,
            reactance,
            impedance_magnitude: sqrtf(resistance * resistance + reactance * reactance),
            phase: atan2f(gamma.im, gamma.re) * DEGREES,
            q: fabsf(reactance / resistance),
        }
    }
    fn reflection(load: Complex, reference: f32) -> Complex {
        let above = load.re - reference;
        let below = load.re + reference;
        let square = load.im * load.im;
        let size = below * below + square;
        Complex {
            re: (above * below + square) / size,
            im: 2.0 * load.im * reference / size,
        }
    }
    fn correct(terms: &Terms, raw: Complex) -> Complex {
        let a = raw.re - terms.directivity.re;
        let b = raw.im - terms.directivity.im;
        let c = terms.tracking.re + terms.source_match.re * a - terms.source_match.im * b;
        let d = terms.tracking.im + terms.source_match.re * b + terms.source_match.im * a;
        let size = c * c + d * d;
        Complex {
            re: (a * c + b * d) / size,
            im: (b * c - a * d) / size,
        }
    }
}

impl Answer for Complex {
    fn words(&self, out: &mut Words<'_>) {
        (self.re, self.im).words(out);
    }
}

impl Answer for Readings {
    fn words(&self, out: &mut Words<'_>) {
        self.magnitude.words(out);
        self.swr.words(out);
        self.return_loss.words(out);
        self.mismatch_loss.words(out);
        self.resistance.words(out);
        self.reactance.words(out);
        self.impedance_magnitude.words(out);
        self.phase.words(out);
        self.q.words(out);
    }
}
