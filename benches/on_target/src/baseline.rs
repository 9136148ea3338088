//! The baseline: `f32` code as a careful developer writes it without this crate.
//!
//! Squares are taken once, losses come from the natural logarithm times a constant, |Γ| from the root of its square and
//! not from `hypotf`, which works in double precision.

use core::f32::consts::{LN_10, PI};

use libm::{atan2f, fabsf, logf, sqrtf};

use super::kernels::{
    Answer, Path, STEP_FEMTOFARADS, STEP_FREQUENCY, TABLE_POINTS, Words, table_hertz, table_terms,
};

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

fn minus(a: Complex, b: Complex) -> Complex {
    Complex {
        re: a.re - b.re,
        im: a.im - b.im,
    }
}

fn times(a: Complex, b: Complex) -> Complex {
    Complex {
        re: a.re * b.re - a.im * b.im,
        im: a.re * b.im + a.im * b.re,
    }
}

fn over(a: Complex, b: Complex) -> Complex {
    let size = b.re * b.re + b.im * b.im;
    Complex {
        re: (a.re * b.re + a.im * b.im) / size,
        im: (a.im * b.re - a.re * b.im) / size,
    }
}

/// The terms of a fixture against frequency, and the stretch the sweep is in.
pub struct Walk {
    table: &'static [(u32, Terms); TABLE_POINTS],
    place: usize,
    /// One over the width of the stretch.
    inverse: f32,
}

impl Walk {
    /// The terms at a frequency, which is inside of the table and not below the one before.
    fn at(&mut self, hertz: u32) -> Terms {
        while let [(from, low), (to, high), ..] = &self.table[self.place..] {
            if hertz < *to {
                let way = (hertz - from) as f32 * self.inverse;
                let part = |low: f32, high: f32| low + (high - low) * way;
                let term = |low: Complex, high: Complex| Complex {
                    re: part(low.re, high.re),
                    im: part(low.im, high.im),
                };
                return Terms {
                    directivity: term(low.directivity, high.directivity),
                    source_match: term(low.source_match, high.source_match),
                    tracking: term(low.tracking, high.tracking),
                };
            }
            self.place += 1;
            if let [(from, _), (to, _), ..] = &self.table[self.place..] {
                self.inverse = 1.0 / (to - from) as f32;
            }
        }
        self.table[TABLE_POINTS - 1].1
    }
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
    type Swr = f32;
    type QFactor = f32;
    type Decibels = f32;
    type Degrees = f32;
    type Readouts = Readings;
    type Siemens = f32;
    type Chain = (f32, f32);

    fn chain() -> (f32, f32) {
        (STEP_FEMTOFARADS as f32 * 1e-15, STEP_FREQUENCY.get() as f32)
    }
    fn step(chain: &(f32, f32), load: Complex) -> (f32, f32) {
        let susceptance = 2.0 * PI * chain.1 * chain.0;
        // 1/(1/Z + jB) = Z/(1 + jB·Z).
        let (c, d) = (1.0 - susceptance * load.im, susceptance * load.re);
        let size = c * c + d * d;
        (
            (load.re * c + load.im * d) / size,
            (load.im * c - load.re * d) / size,
        )
    }
    fn two_element(load: Complex, reference: f32) -> [(f32, f32); 4] {
        let mut found = [(0.0, 0.0); 4];
        if load.re <= 0.0 {
            return found;
        }
        let size = square(load);
        let (g, b) = (load.re / size, -load.im / size);
        let above = 1.0 / reference - g;
        if above >= 0.0 {
            let root = sqrtf(g * above);
            let left = root * reference / g;
            found[0] = (left, root - b);
            found[1] = (-left, -root - b);
        }
        let above = reference - load.re;
        if above >= 0.0 {
            let root = sqrtf(load.re * above);
            let left = root / (load.re * reference);
            found[2] = (root - load.im, left);
            found[3] = (-root - load.im, -left);
        }
        found
    }

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

    fn solve(readings: &[(Complex, Complex); 3]) -> Terms {
        let [(g1, m1), (g2, m2), (g3, m3)] = *readings;
        let (g13, g23) = (minus(g1, g3), minus(g2, g3));
        let u = times(minus(m1, m3), g23);
        let v = times(minus(m2, m3), g13);
        let below = minus(times(g1, u), times(g2, v));
        let source_match = over(minus(u, v), below);
        // From m1 − m3 = tracking·(Γ1 − Γ3)/((1 − match·Γ1)·(1 − match·Γ3)).
        let one = Complex { re: 1.0, im: 0.0 };
        let first = minus(one, times(source_match, g1));
        let third = minus(one, times(source_match, g3));
        let per_gamma = over(times(minus(m1, m3), first), g13);
        Terms {
            directivity: minus(m3, times(per_gamma, g3)),
            source_match,
            tracking: times(per_gamma, third),
        }
    }
    fn term_words(terms: &Terms, out: &mut Words<'_>) {
        for term in [terms.directivity, terms.source_match, terms.tracking] {
            term.words(out);
        }
    }

    type Walk = Walk;
    fn walk() -> Walk {
        Walk {
            table: crate::keep(core::array::from_fn(part_of_table)),
            place: 0,
            inverse: 1.0 / (table_hertz(1) - table_hertz(0)) as f32,
        }
    }
    fn correct_at(walk: &mut Walk, hertz: u32, raw: Complex) -> Complex {
        Self::correct(&walk.at(hertz), raw)
    }
}

fn part_of_table(place: usize) -> (u32, Terms) {
    let [directivity, source_match, tracking] = table_terms(place as i32).map(|(re, im)| Complex {
        re: re as f32 / 1024.0,
        im: im as f32 / 1024.0,
    });
    (
        table_hertz(place as u32),
        Terms {
            directivity,
            source_match,
            tracking,
        },
    )
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
