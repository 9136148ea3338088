//! A sweep as a whole: its noise and its ripple, over hundreds of circuits whose truth is known from their algebra. All
//! invented. Printed as rates: `cargo test --test measure survey -- --nocapture`.

use core::f64::consts::TAU;

use crate::common::complex::{C, ONE, c};
use crate::common::{Random, deep};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::{SweepAnalyser, SweepQuality, SweepSettings, SweepSurvey};
use ohmwright::quantity::{Hertz, Reflection};

/// One or two resonances, in series or in parallel, of a device, a tank or a pair.
struct Circuit {
    parts: Vec<(f64, f64, f64)>,
    parallel: bool,
}

const START: f64 = 50e6;
const STOP: f64 = 100e6;

impl Circuit {
    fn any(random: &mut Random, most: u64) -> Self {
        let parts = (0..1 + random.bits() % most)
            .map(|_| {
                (
                    random.decades(10.0, 250.0).abs(),
                    random.decades(1.0, 25.0).abs(),
                    random.between(40e6, 110e6),
                )
            })
            .collect();
        Self {
            parts,
            parallel: random.bits() & 1 == 0,
        }
    }

    fn gamma(&self, f: f64) -> C {
        let sum = self.parts.iter().fold(c(0.0, 0.0), |sum, &(r, q, f0)| {
            let detuning = q * (f / f0 - f0 / f);
            let z = c(r, r * detuning);
            sum + if self.parallel { ONE / (ONE / z) } else { ONE / z }
        });
        let (z, z0) = if self.parallel {
            (sum, c(50.0, 0.0))
        } else {
            (ONE / sum, c(50.0, 0.0))
        };
        let gamma = (z - z0) / (z + z0);
        if self.parallel { -gamma } else { gamma }
    }
}

fn quality<A: Arithmetic>(points: usize, falling: bool, mut sample: impl FnMut(f64) -> C) -> SweepQuality<A> {
    let mut analyser = SweepAnalyser::<A, 8>::new(SweepSettings::new()).unwrap();
    let mut survey = SweepSurvey::new();
    for index in 0..points {
        let place = if falling { points - 1 - index } else { index };
        let f = (START + (STOP - START) * place as f64 / (points - 1) as f64).round();
        let gamma = sample(f);
        let gamma = Reflection::<A>::try_from_f64(gamma.re, gamma.im).unwrap();
        let frequency = Hertz::new(f as u64);
        analyser.push(frequency, gamma).unwrap();
        survey.push(frequency, gamma).unwrap();
    }
    survey.quality(&analyser.report())
}

fn cases() -> u32 {
    if deep() { 300 } else { 60 }
}

fn noisy(random: &mut Random, gamma: C, sigma: f64) -> C {
    gamma + c(sigma * random.normal(), sigma * random.normal())
}

/// The noise that is told lies between half and twice the true one; a smooth curve has hardly any.
#[test]
fn the_noise_is_found() {
    fn of<A: Arithmetic>(family: &str) {
        for sigma in [0.001, 0.003, 0.01, 0.03] {
            let mut random = Random::new(11);
            let (mut out, mut worst) = (0, 1.0f64);
            for _ in 0..cases() {
                let circuit = Circuit::any(&mut random, 2);
                let points = 101 + (random.bits() % 900) as usize;
                let told = quality::<A>(points, random.bits() & 1 == 0, |f| {
                    noisy(&mut random, circuit.gamma(f), sigma)
                });
                let ratio = told.noise.to_f64() / sigma;
                if !(0.5..2.0).contains(&ratio) {
                    out += 1;
                }
                if ratio.ln().abs() > worst.ln().abs() {
                    worst = ratio;
                }
            }
            println!(
                "{family}: noise {sigma}: {out} of {} outside half to twice, worst {worst:.2} times",
                cases()
            );
            assert!(out * 100 <= cases() * 2);
        }
        let mut random = Random::new(12);
        let mut worst = 0.0f64;
        for _ in 0..cases() {
            let circuit = Circuit::any(&mut random, 2);
            let told = quality::<A>(201, false, |f| circuit.gamma(f));
            worst = worst.max(told.noise.to_f64());
        }
        println!("{family}: without noise at most {worst:.5}");
        assert!(worst < 2e-3);
    }
    of::<f64>("f64");
    of::<f32>("f32");
    of::<Fixed32>("Fixed32");
    of::<Fixed16>("Fixed16");
}

/// A cable of 75 Ω with an open end: the ripple has the period of twice its delay, and no other.
#[test]
fn the_ripple_of_a_cable_tells_its_length() {
    for (delay, loss) in [(120e-9, 0.2), (80e-9, 0.3), (200e-9, 0.1)] {
        let told = quality::<Fixed32>(401, false, |f| {
            let back = C::turn(-2.0 * TAU * f * delay).times((-2.0 * loss * (f / STOP).sqrt()).exp());
            let step = c(0.2, 0.0); // (75 − 50)/(75 + 50)
            (step + back) / (ONE + step * back)
        });
        let ripple = told.ripple.expect("a ripple of 0.2");
        let period = 0.5 / delay;
        println!("period {} for {period}, size {}", ripple.period, ripple.size);
        assert!((ripple.period.get() as f64 / period - 1.0).abs() < 0.05);
    }
}

/// Two echoes: what is told is the distance of one from the other.
#[test]
fn the_period_is_that_of_the_difference() {
    let told = quality::<Fixed32>(401, false, |f| {
        let turn = |turns: f64| C::turn(-TAU * turns * f / (STOP - START));
        turn(10.0).times(0.7) + turn(25.0).times(0.15)
    });
    let ripple = told.ripple.expect("a ripple of 0.15");
    let period = (STOP - START) / 15.0;
    assert!(
        (ripple.period.get() as f64 / period - 1.0).abs() < 0.05,
        "{}",
        ripple.period
    );
}

/// A small echo over the whole sweep is told with its period and size; where there is none, none is told.
#[test]
fn ripple_is_found_and_nothing_else() {
    fn of<A: Arithmetic>(family: &str) {
        for (size, sigma) in [(0.01, 0.0), (0.02, 0.003), (0.05, 0.01), (0.1, 0.0), (0.1, 0.02)] {
            let mut random = Random::new(13);
            let (mut missed, mut wrong, mut worst_size) = (0, 0, 1.0f64);
            for _ in 0..cases() {
                let circuit = Circuit::any(&mut random, 1);
                let turns = random.between(6.0, 24.0);
                let period = (STOP - START) / turns;
                let phase = random.between(0.0, 1.0);
                let points = 101 + (random.bits() % 900) as usize;
                let told = quality::<A>(points, random.bits() & 1 == 0, |f| {
                    let echo = C::turn(-TAU * (f / period + phase)).times(size);
                    noisy(&mut random, circuit.gamma(f) + echo, sigma)
                });
                let Some(ripple) = told.ripple else {
                    missed += 1;
                    continue;
                };
                if (ripple.period.get() as f64 / period - 1.0).abs() > 0.1 {
                    wrong += 1;
                } else {
                    let ratio = ripple.size.to_f64() / size;
                    if ratio.ln().abs() > worst_size.ln().abs() {
                        worst_size = ratio;
                    }
                }
            }
            println!(
                "{family}: ripple {size}, noise {sigma}: {missed} missed, {wrong} with another period, of {}; size at worst \
                 {worst_size:.2} times",
                cases()
            );
            assert!((missed + wrong) * 100 <= cases() * 7);
        }
        for (parts, sigma) in [(1, 0.0), (1, 0.01), (1, 0.03), (2, 0.0), (2, 0.01), (3, 0.0)] {
            let mut random = Random::new(14);
            let (mut invented, mut worst) = (0, 0.0f64);
            for _ in 0..cases() {
                let circuit = Circuit::any(&mut random, parts);
                let points = 31 + (random.bits() % 970) as usize;
                let told = quality::<A>(points, random.bits() & 1 == 0, |f| {
                    noisy(&mut random, circuit.gamma(f), sigma)
                });
                if let Some(ripple) = told.ripple {
                    invented += 1;
                    worst = worst.max(ripple.size.to_f64());
                }
            }
            println!(
                "{family}: {parts} resonances, noise {sigma}: {invented} of {} invented, {worst:.3} at worst",
                cases()
            );
            assert!(invented * 100 <= cases());
        }
    }
    of::<f64>("f64");
    of::<Fixed16>("Fixed16");
}
