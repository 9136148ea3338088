//! The measurement: what lies between the stage and the samples that the library sees.

use core::f64::consts::TAU;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::calibration::{ErrorTerms, Kit};
use ohmwright::quantity::{Hertz, Reference, Reflection};

use crate::circuits::{C, Cable, Link, Stage, c};
use crate::common::Random;
use crate::common::complex::ONE;
use crate::common::fixture::{Fixture, distort};

/// What is not as it should be in the measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disturbance {
    pub name: &'static str,
    /// Standard deviation of a component of Γ.
    pub noise: f64,
    /// Size and delay of an echo that is always there.
    pub echo: Option<(f64, f64)>,
    /// So many samples are anything.
    pub pickup: usize,
    /// The samples are raw, and corrected with standards that are measured with the same noise.
    pub raw: bool,
    /// So many metres of cable that nobody thinks of.
    pub plane: f64,
    /// The two channels of the detector are exchanged such that Γ turns the wrong way round.
    pub turned: bool,
}

const CLEAN: Disturbance = Disturbance {
    name: "clean",
    noise: 0.0,
    echo: None,
    pickup: 0,
    raw: false,
    plane: 0.0,
    turned: false,
};

const fn noise(name: &'static str, noise: f64) -> Disturbance {
    Disturbance { name, noise, ..CLEAN }
}

const fn ripple(name: &'static str, size: f64, delay: f64) -> Disturbance {
    let echo = Some((size, delay));
    Disturbance { name, echo, ..CLEAN }
}

const fn pickup(name: &'static str, pickup: usize) -> Disturbance {
    Disturbance {
        name,
        pickup,
        ..CLEAN
    }
}

const fn plane(name: &'static str, plane: f64) -> Disturbance {
    Disturbance { name, plane, ..CLEAN }
}

pub const DISTURBANCES: [Disturbance; 17] = [
    CLEAN,
    noise("noise 0.002", 0.002),
    noise("noise 0.01", 0.01),
    noise("noise 0.02", 0.02),
    ripple("ripple 0.01", 0.01, 20e-9),
    ripple("ripple 0.02", 0.02, 60e-9),
    ripple("ripple 0.05, short", 0.05, 6e-9),
    ripple("ripple 0.03, long", 0.03, 150e-9),
    pickup("one sample", 1),
    pickup("two samples", 2),
    pickup("three samples", 3),
    Disturbance {
        name: "raw, standards",
        raw: true,
        ..CLEAN
    },
    Disturbance {
        name: "raw, noise 0.003",
        raw: true,
        noise: 0.003,
        ..CLEAN
    },
    plane("0.2 m of cable", 0.2),
    plane("1 m of cable", 1.0),
    Disturbance {
        name: "wrong way round",
        turned: true,
        ..CLEAN
    },
    Disturbance {
        name: "all of it",
        noise: 0.005,
        echo: Some((0.015, 40e-9)),
        pickup: 1,
        plane: 0.3,
        ..CLEAN
    },
];

pub type Points<A> = Vec<(Hertz, Reflection<A>)>;

/// A cable that nobody thinks of, where there is one.
pub fn with_plane(stage: &mut Stage, disturbance: Disturbance) {
    if disturbance.plane > 0.0 {
        stage.links.push(Link::Cable(Cable {
            impedance: 50.0,
            metres: disturbance.plane,
            velocity: 0.66,
            decibels: 0.05 * disturbance.plane,
        }));
    }
}

/// What a fixture without correction does.
fn fixture(hertz: f64) -> Fixture {
    let turned = |size: f64, seconds: f64| C::turn(-TAU * hertz * seconds).times(size);
    [
        turned(0.12, 1.1e-9),
        turned(0.15, 0.7e-9),
        turned(0.75, 2.3e-9) * C::turn(0.4),
    ]
}

/// An even grid.
pub fn grid(start: u64, stop: u64, points: usize) -> Vec<u64> {
    let last = points as u64 - 1;
    (0..=last).map(|i| start + (stop - start) * i / last).collect()
}

pub fn measure<A: Arithmetic>(
    stage: &Stage,
    grid: &[u64],
    disturbance: Disturbance,
    random: &mut Random,
) -> Points<A> {
    let word = |gamma: C| {
        let gamma = Reflection::<f64>::try_from_f64(gamma.re, gamma.im).expect("a Γ");
        gamma.convert::<A>()
    };
    let mut gammas = vec![];
    for hertz in grid {
        let f = *hertz as f64;
        let noisy = |gamma: C, random: &mut Random| {
            gamma + c(random.normal(), random.normal()).times(disturbance.noise)
        };
        let mut gamma = stage.gamma(f);
        if let Some((size, delay)) = disturbance.echo {
            gamma = gamma + C::turn(-TAU * f * delay).times(size);
        }
        if disturbance.turned {
            gamma = gamma.conjugate();
        }
        let reflection = if disturbance.raw {
            let terms = fixture(f);
            let standards = [ONE, -ONE, c(0.0, 0.0)].map(|known| word(noisy(distort(terms, known), random)));
            let solved =
                ErrorTerms::<A>::solve(&Kit::IDEAL, Hertz::new(*hertz), Reference::fifty(), &standards);
            let raw = word(noisy(distort(terms, gamma), random));
            solved.expect("standards that differ").correct(raw)
        } else {
            word(noisy(gamma, random))
        };
        gammas.push((Hertz::new(*hertz), reflection));
    }
    for _ in 0..disturbance.pickup {
        let place = random.bits() as usize % gammas.len();
        let wild = C::turn(random.between(0.0, TAU)).times(random.between(0.0, 1.0).sqrt());
        gammas[place].1 = word(wild);
    }
    gammas
}
