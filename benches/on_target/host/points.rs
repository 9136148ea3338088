//! What the kernels are fed with, in double precision. All of it is invented.

use std::f64::consts::{PI, TAU};
use std::ops::{Add, Div, Mul, Sub};

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complex {
    pub re: f64,
    pub im: f64,
}

pub const ONE: Complex = Complex { re: 1.0, im: 0.0 };
pub const Z0: f64 = 50.0;

impl Complex {
    pub fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }
    pub fn polar(size: f64, angle: f64) -> Self {
        Self::new(size * angle.cos(), size * angle.sin())
    }
    pub fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }
    pub fn size(self) -> f64 {
        self.re.hypot(self.im)
    }
    pub fn scale(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}
impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}
impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}
impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let above = self * Self::new(other.re, -other.im);
        above.scale(1.0 / other.square())
    }
}

/// 1,001 reflections: 800 spread evenly over the disc, 84 ever nearer to the rim (down to 1e-7 of it), 12 beyond it, 50
/// near the match (|Γ| from 2⁻⁷ down to 1e-4), 50 in the disc near the open (from 2⁻⁷ down to 2⁻²⁴ of it), and match,
/// open, short, coil and capacitor.
pub fn reflections() -> Vec<Complex> {
    // The golden angle, which never comes round to where it was.
    let angle = |k: i32| f64::from(k) * PI * (3.0 - 5f64.sqrt());
    let mut points = Vec::new();
    for k in 0..800 {
        points.push(Complex::polar(
            0.999 * ((f64::from(k) + 0.5) / 800.0).sqrt(),
            angle(k),
        ));
    }
    for k in 0..84 {
        points.push(Complex::polar(
            1.0 - 10f64.powf(-1.0 - 6.0 * f64::from(k) / 83.0),
            angle(k),
        ));
    }
    for k in 0..12 {
        points.push(Complex::polar(
            1.0 + 10f64.powf(-4.0 + 3.2 * f64::from(k) / 11.0),
            angle(k),
        ));
    }
    let near = |k: i32, most: f64, least: f64| most * (least / most).powf(f64::from(k) / 49.0);
    for k in 0..50 {
        points.push(Complex::polar(near(k, 1.0 / 128.0, 1e-4), angle(k)));
    }
    for k in 0..50 {
        let distance = near(k, 1.0 / 128.0, 2f64.powi(-24));
        // Up to 80° to either side of the way from the open to the match.
        let aside = (f64::from(k) * 0.618).fract() * 2.0 - 1.0;
        points.push(ONE - Complex::polar(distance, aside * 80f64.to_radians()));
    }
    for (re, im) in [(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
        points.push(Complex::new(re, im));
    }
    points
}

/// Every twelfth of these reflections, short of |Γ| = 0.999: what a tuner reads behind its bank.
pub fn tuner_readings() -> Vec<Complex> {
    let passive = reflections().into_iter().filter(|gamma| gamma.size() < 0.999);
    passive.step_by(12).collect()
}

/// The impedances of these reflections, an open being 500 kΩ: the largest that every word holds.
pub fn loads() -> Vec<Complex> {
    let most = 500e3;
    let load = |gamma: Complex| {
        if gamma == ONE {
            return Complex::new(most, 0.0);
        }
        let z = ((ONE + gamma) / (ONE - gamma)).scale(Z0);
        Complex::new(z.re.clamp(-most, most), z.im.clamp(-most, most))
    };
    reflections().into_iter().map(load).collect()
}

/// Directivity, source match, tracking.
#[derive(Clone, Copy)]
pub struct Terms(pub [Complex; 3]);

impl Terms {
    /// An invented fixture, whose terms turn a little from point to point.
    fn turned(angle: f64) -> Self {
        Self([
            Complex::polar(0.05, 0.5 + angle),
            Complex::polar(0.11, 2.1 - angle),
            Complex::polar(0.78, 0.4 - 2.0 * angle),
        ])
    }

    /// What is read of a load.
    fn distort(&self, gamma: Complex) -> Complex {
        let [directivity, source_match, tracking] = self.0;
        directivity + tracking * gamma / (ONE - source_match * gamma)
    }

    /// The load behind a reading.
    pub fn correct(&self, raw: Complex) -> Complex {
        let [directivity, source_match, tracking] = self.0;
        let above = raw - directivity;
        above / (tracking + source_match * above)
    }
}

/// The reflections as an imperfect fixture shows them.
pub fn readings() -> Vec<(Complex, Terms)> {
    let reading = |(k, gamma): (usize, Complex)| {
        let terms = Terms::turned(TAU * k as f64 / 1001.0);
        (terms.distort(gamma), terms)
    };
    reflections().into_iter().enumerate().map(reading).collect()
}

/// An open, a short and a load that are not quite ideal, each before the reading of it: once for every fixture.
pub fn standards() -> Vec<[Complex; 6]> {
    let of_fixture = |k: u32| {
        let angle = TAU * f64::from(k) / 401.0;
        let terms = Terms::turned(angle);
        let known = [
            Complex::polar(0.99, -0.9 * angle),
            Complex::polar(0.99, TAU / 2.0 - 0.8 * angle),
            Complex::polar(0.01, angle),
        ];
        let [open, short, load] = known.map(|gamma| (gamma, terms.distort(gamma)));
        [open.0, open.1, short.0, short.1, load.0, load.1]
    };
    (0..401).map(of_fixture).collect()
}

/// The sweep that is checked against closed forms, of an invented whip, 36 Ω, 600 nH and 8.6 pF in series, at the far end of a metre of lossless cable.
pub mod sweep {
    use super::*;

    pub const RESISTANCE: f64 = 36.0;
    const INDUCTANCE: f64 = 600e-9;
    const CAPACITANCE: f64 = 8.6e-12;
    const CABLE_METRES: f64 = 1.0;
    const VELOCITY: f64 = 0.66 * 299_792_458.0;

    /// 401 frequencies from 60 to 80 MHz.
    pub fn frequencies() -> impl Iterator<Item = u64> {
        (0..=400).map(|k| 60_000_000 + 50_000 * k)
    }

    /// Γ at the near end of the cable.
    pub fn reflection(hertz: f64) -> Complex {
        let omega = TAU * hertz;
        let z = Complex::new(RESISTANCE, omega * INDUCTANCE - 1.0 / (omega * CAPACITANCE));
        let z0 = Complex::new(Z0, 0.0);
        (z - z0) / (z + z0) * Complex::polar(1.0, -2.0 * omega * CABLE_METRES / VELOCITY)
    }

    /// Where the reactance of the whip is `ohms`: ω²·L·C − ω·C·X − 1 = 0.
    pub fn frequency_of_reactance(ohms: f64) -> f64 {
        let half = ohms / (2.0 * INDUCTANCE);
        (half + (half * half + 1.0 / (INDUCTANCE * CAPACITANCE)).sqrt()) / TAU
    }

    /// The reactance at which |Γ| is `size`: from ((R − Z0)² + X²) = |Γ|²·((R + Z0)² + X²).
    pub fn reactance_of_size(size: f64) -> f64 {
        let power = size * size;
        let near = (RESISTANCE - Z0).powi(2);
        let far = (RESISTANCE + Z0).powi(2);
        ((power * far - near) / (1.0 - power)).sqrt()
    }

    /// Γ of four invented circuits: a short antenna with a coil, Q 170; two resonances beside each other behind three
    /// metres of cable; a resistive load behind 22 m of cable with a connector that reflects a little; and the whip.
    fn circuits() -> [fn(f64) -> Complex; 4] {
        fn of(z: Complex) -> Complex {
            let z0 = Complex::new(Z0, 0.0);
            (z - z0) / (z + z0)
        }
        fn series(resistance: f64, inductance: f64, resonance: f64, hertz: f64) -> Complex {
            let reactance = TAU * inductance * (hertz - resonance * resonance / hertz);
            Complex::new(resistance, reactance)
        }
        let narrow: fn(f64) -> Complex = |hertz| of(series(22.0, 9e-6, 66.31e6, hertz));
        let double: fn(f64) -> Complex = |hertz| {
            let low = ONE / series(40.0, 1.2e-6, 64.2e6, hertz);
            let high = ONE / series(70.0, 1.5e-6, 75.5e6, hertz);
            of(ONE / (low + high)) * Complex::polar(1.0, -2.0 * TAU * hertz * 3.0 / VELOCITY)
        };
        let rippled: fn(f64) -> Complex = |hertz| {
            let far =
                of(Complex::new(95.0, 20.0)) * Complex::polar(1.0, -2.0 * TAU * hertz * 22.0 / VELOCITY);
            Complex::new(0.04, 0.05) + far.scale(0.96)
        };
        [narrow, double, rippled, reflection]
    }

    /// As many sweeps of every circuit, from 60 to 80 MHz, one after the other, with noise of this standard deviation in
    /// each component of Γ.
    fn sweeps(points: u64, rounds: u32, noise: f64) -> Vec<(u64, Complex)> {
        let mut chance = Chance(0x5EED);
        let mut all = Vec::new();
        for _ in 0..rounds {
            for circuit in circuits() {
                for k in 0..points {
                    let hertz = 60_000_000 + 20_000_000 * k / (points - 1);
                    let off = Complex::new(chance.normal(), chance.normal()).scale(noise);
                    all.push((hertz, circuit(hertz as f64) + off));
                }
            }
        }
        all
    }

    /// Of 401 points each, in steps of 50 kHz; the whip stands last.
    pub fn clean() -> Vec<(u64, Complex)> {
        sweeps(401, 1, 0.0)
    }

    /// The same twice, with noise of 1e-3.
    pub fn noisy() -> Vec<(u64, Complex)> {
        sweeps(401, 2, 1e-3)
    }

    /// The same circuits in steps of 250 kHz, 500 kHz and 1 MHz, clean, and with noise of 1e-3 four times.
    pub fn coarse() -> Vec<(u64, Complex)> {
        let grid = |points| [sweeps(points, 1, 0.0), sweeps(points, 4, 1e-3)].concat();
        [grid(81), grid(41), grid(21)].concat()
    }

    /// Numbers that only look like chance: the same ones on every computer.
    struct Chance(u64);

    impl Chance {
        /// Even between 0 and 1: a linear congruential generator (D. E. Knuth, The Art of Computer Programming, volume 2,
        /// section 3.3.4, from memory).
        fn even(&mut self) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1u64 << 53) as f64
        }

        /// Mean 0 and standard deviation 1: the sum of twelve even ones less six.
        fn normal(&mut self) -> f64 {
            (0..12).map(|_| self.even()).sum::<f64>() - 6.0
        }
    }

    /// Corrected sweeps, of which each asks for another step: a dip to move beside a resistance that is too small; a load
    /// without a dip of its own, so that turns and parts are tried; the same behind a connector that reflects a little,
    /// with noise; and the sweep of the other rows, which stands last.
    pub fn cases() -> [Vec<(u64, Complex)>; 4] {
        let z0 = Complex::new(Z0, 0.0);
        let of = |z: Complex| (z - z0) / (z + z0);
        let swept = |gamma: &dyn Fn(f64) -> Complex| -> Vec<(u64, Complex)> {
            frequencies().map(|hertz| (hertz, gamma(hertz as f64))).collect()
        };
        let far = |hertz: f64| {
            let omega = TAU * hertz;
            of(Complex::new(12.0, omega * 400e-9 - 1.0 / (omega * 13.8e-12)))
        };
        let flat = |hertz: f64| of(Complex::new(9.0, TAU * hertz * 21e-9));
        let rippled = |hertz: f64| {
            let echo = Complex::polar(0.06, -2.0 * TAU * hertz * 7.0 / VELOCITY);
            // Any angle at all.
            let noise = Complex::polar(0.004, (hertz / 50_000.0).powi(2));
            flat(hertz) + echo + noise
        };
        let bench = readings();
        let bench = bench
            .iter()
            .map(|(hertz, raw, terms)| (*hertz, terms.correct(*raw)));
        [swept(&far), swept(&flat), swept(&rippled), bench.collect()]
    }

    /// Frequency, raw reading and terms of every point.
    pub fn readings() -> Vec<(u64, Complex, Terms)> {
        let reading = |(k, frequency): (usize, u64)| {
            let terms = Terms::turned(0.002 * k as f64);
            (frequency, terms.distort(reflection(frequency as f64)), terms)
        };
        frequencies().enumerate().map(reading).collect()
    }
}
