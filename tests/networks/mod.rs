//! What the tests of lines, ladders and matching share: an oracle in doubles that walks impedances by the textbook
//! formulas, fed with what a family holds, and ways to make random networks.

#![allow(dead_code)] // Each test binary uses its own part.

use core::f64::consts::TAU;
use core::ops::{Add, Div, Mul, Neg, Sub};

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::design::ladder::{Element, Part, PartKind, PartLoss, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, Reactor, Reference, Reflection};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

pub type Law = Result<(), String>;

pub fn require(holds: bool, what: impl FnOnce() -> String) -> Law {
    if holds { Ok(()) } else { Err(what()) }
}

/// `Err` says by how much it misses.
pub fn near(what: &str, got: f64, want: f64, slack: f64) -> Law {
    require(got == want || (got - want).abs() <= slack, || {
        format!(
            "{what}: got {got:e}, want {want:e}, off by {:e}, allowed {slack:e}",
            got - want
        )
    })
}

/// A test of a generic body in each family.
#[macro_export]
macro_rules! in_every_family {
    ($($law:ident),* $(,)?) => {
        $(
            mod $law {
                #[test]
                fn f64() {
                    super::$law::<f64>();
                }
                #[test]
                fn f32() {
                    super::$law::<f32>();
                }
                #[test]
                fn soft_f32() {
                    super::$law::<ohmwright::arithmetic::SoftF32>();
                }
                #[test]
                fn fixed32() {
                    super::$law::<ohmwright::arithmetic::Fixed32>();
                }
                #[test]
                fn fixed16() {
                    super::$law::<ohmwright::arithmetic::Fixed16>();
                }
            }
        )*
    };
}

/// A source of proptest cases that is the same on every run.
pub fn runner(cases: u32) -> TestRunner {
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
}

/// A few roundings of the family's working number, relative.
pub fn roundings<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 2e-8,
        Family::F32 | Family::SoftF32 => 2e-6,
        _ => 1e-14,
    }
}

/// Half a step of a word of ohms.
pub fn half_a_step<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 0.5 / 4096.0,
        _ => 0.0,
    }
}

pub fn is_fixed<A: Arithmetic>() -> bool {
    matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16)
}

pub fn ohms<A: Arithmetic>(resistance: f64, reactance: f64) -> Impedance<A> {
    Impedance::try_from_f64(resistance, reactance).unwrap()
}

pub fn source<A: Arithmetic>(resistance: f64) -> Reference<A> {
    Reference::try_from_f64(resistance).unwrap()
}

pub fn word<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

// ---- Complex numbers --------------------------------------------------------------------------------------------

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct C {
    pub re: f64,
    pub im: f64,
}

pub const fn c(re: f64, im: f64) -> C {
    C { re, im }
}

pub const ONE: C = c(1.0, 0.0);

impl C {
    pub fn size(self) -> f64 {
        self.re.hypot(self.im)
    }
    pub fn conjugate(self) -> C {
        c(self.re, -self.im)
    }
    pub fn times(self, factor: f64) -> C {
        c(self.re * factor, self.im * factor)
    }
    pub fn exponential(self) -> C {
        c(self.im.cos(), self.im.sin()).times(self.re.exp())
    }
    /// tanh of a + jb, by its addition theorem.
    pub fn tanh(self) -> C {
        let (t, u) = (self.re.tanh(), self.im.tan());
        c(t, u) / c(1.0, t * u)
    }
}

impl Add for C {
    type Output = C;
    fn add(self, other: C) -> C {
        c(self.re + other.re, self.im + other.im)
    }
}
impl Sub for C {
    type Output = C;
    fn sub(self, other: C) -> C {
        c(self.re - other.re, self.im - other.im)
    }
}
impl Neg for C {
    type Output = C;
    fn neg(self) -> C {
        c(-self.re, -self.im)
    }
}
impl Mul for C {
    type Output = C;
    fn mul(self, other: C) -> C {
        c(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}
impl Div for C {
    type Output = C;
    fn div(self, other: C) -> C {
        let size = other.size();
        let turned = c(other.re / size, -other.im / size);
        (self * turned).times(1.0 / size)
    }
}

pub fn held<A: Arithmetic>(z: Impedance<A>) -> C {
    c(z.resistance().to_f64(), z.reactance().to_f64())
}

pub fn gamma_held<A: Arithmetic>(gamma: Reflection<A>) -> C {
    c(gamma.real().to_f64(), gamma.imaginary().to_f64())
}

/// Γ of an impedance.
pub fn gamma_of(z: C, z0: f64) -> C {
    (z - c(z0, 0.0)) / (z + c(z0, 0.0))
}

pub fn swr_of(gamma: C) -> f64 {
    (1.0 + gamma.size()) / (1.0 - gamma.size())
}

// ---- The oracle -------------------------------------------------------------------------------------------------

/// What an element is, in doubles.
#[derive(Clone, Copy, Debug)]
pub enum Block {
    /// An impedance, and how much an error of its making may have grown.
    Series(C, f64),
    Shunt(C, f64),
    Ratio(f64),
    /// Z0, nepers, radians.
    Line(f64, f64, f64),
}

pub fn angular(frequency: Hertz) -> f64 {
    TAU * frequency.get() as f64
}

/// Nepers and radians of a line as the family holds it; `loss` is what it was made with.
pub fn way<A: Arithmetic>(line: Line<A>, loss: (f64, f64), frequency: Hertz) -> (f64, f64) {
    let f = frequency.get() as f64;
    let length = line.length().to_f64();
    let radians = TAU * length * f / (299_792_458.0 * line.velocity_factor().to_f64());
    let decibels = if loss.0 == 0.0 {
        0.0
    } else {
        loss.0 * length / 100.0 * (f / loss.1).sqrt()
    };
    (decibels * core::f64::consts::LN_10 / 20.0, radians)
}

/// The impedance of a part, as the family holds its values.
pub fn part_impedance<A: Arithmetic>(part: Part<A>, loss: (f64, f64), frequency: Hertz) -> C {
    let (henries, farads) = if is_fixed::<A>() {
        (1e-12, 1e-15)
    } else {
        (1.0, 1.0)
    };
    match part.kind() {
        PartKind::Resistor(resistance) => c(resistance.to_f64(), 0.0),
        PartKind::Reactor(reactor, loss) => {
            let x = match reactor {
                Reactor::Inductor(inductance) => angular(frequency) * inductance.get().to_f64() * henries,
                Reactor::Capacitor(capacitance) => {
                    -1.0 / (angular(frequency) * capacitance.get().to_f64() * farads)
                }
            };
            let r = match loss {
                PartLoss::None => 0.0,
                PartLoss::SeriesResistance(resistance) => resistance.to_f64(),
                PartLoss::Q(q) => x.abs() / q.to_f64(),
            };
            c(r, x)
        }
        PartKind::Stub(line, end) => {
            let (nepers, radians) = way(line, loss, frequency);
            let tanh = c(nepers, radians).tanh();
            let z0 = c(line.impedance().to_f64(), 0.0);
            match end {
                StubEnd::Open => z0 / tanh,
                StubEnd::Shorted => z0 * tanh,
            }
        }
    }
}

/// How much larger the relative error of a part is than that of its values: a stub near resonance is sharp.
fn sharpness<A: Arithmetic>(part: Part<A>, loss: (f64, f64), frequency: Hertz) -> f64 {
    match part.kind() {
        PartKind::Stub(line, _) => {
            let (nepers, radians) = way(line, loss, frequency);
            let tanh = c(nepers, radians).tanh().size();
            (1.0 + radians) * (tanh + 1.0 / tanh)
        }
        _ => 1.0,
    }
}

/// All lines of a test are made with the same loss, which the family does not tell.
pub fn blocks<A: Arithmetic>(elements: &[Element<A>], loss: (f64, f64), frequency: Hertz) -> Vec<Block> {
    let block = |element: &Element<A>| match element {
        Element::Series(part) => Block::Series(
            part_impedance(*part, loss, frequency),
            sharpness(*part, loss, frequency),
        ),
        Element::Shunt(part) => Block::Shunt(
            part_impedance(*part, loss, frequency),
            sharpness(*part, loss, frequency),
        ),
        Element::Transformer(turns) => {
            Block::Ratio(f64::from(turns.primary()) / f64::from(turns.secondary()))
        }
        Element::Line(line) => {
            let (nepers, radians) = way(*line, loss, frequency);
            Block::Line(line.impedance().to_f64(), nepers, radians)
        }
    };
    elements.iter().map(block).collect()
}

impl Block {
    /// The impedance seen through it.
    pub fn seen(self, z: C) -> C {
        match self {
            Block::Series(own, _) => z + own,
            Block::Shunt(own, _) => ONE / (ONE / z + ONE / own),
            Block::Ratio(n) => z.times(n * n),
            Block::Line(z0, nepers, radians) => {
                let tanh = c(nepers, radians).tanh();
                let z0 = c(z0, 0.0);
                z0 * (z + z0 * tanh) / (z0 + z * tanh)
            }
        }
    }
}

/// What the source sees, and the largest ratio of an impedance or admittance met on the way to the part of it that is
/// left: how much an error on the way may grow.
pub fn walk(blocks: &[Block], load: C) -> (C, f64) {
    let mut z = load;
    let mut growth: f64 = 1.0;
    for block in blocks {
        let before = z;
        z = block.seen(z);
        let grown = match block {
            Block::Series(own, sharp) => (before.size() + own.size() * sharp) / z.size(),
            Block::Shunt(own, sharp) => (1.0 / before.size() + sharp / own.size()) * z.size(),
            Block::Ratio(_) => 1.0,
            Block::Line(z0, nepers, radians) => {
                let tanh = c(*nepers, *radians).tanh();
                let (above, below) = (before + c(*z0, 0.0) * tanh, c(*z0, 0.0) + before * tanh);
                let sums = (before.size() + z0 * tanh.size()) / above.size()
                    + (z0 + before.size() * tanh.size()) / below.size();
                // The phase of a long line is a rounding of all its turns; how it tells is the derivative by it.
                let square = c(z0 * z0, 0.0) - before * before;
                let steep = (ONE - tanh * tanh).size() * square.size() / above.size() / below.size();
                sums + (1.0 + radians) * steep
            }
        };
        growth *= grown.max(1.0);
    }
    (z, growth)
}

/// Peak voltage, peak current and watts of each element, and of the load: from the source to the load, at an input power.
pub fn stresses(blocks: &[Block], load: C, power: f64) -> (Vec<(f64, f64, f64)>, f64) {
    let mut seen = vec![load];
    for block in blocks {
        seen.push(block.seen(seen[seen.len() - 1]));
    }
    let input = seen[seen.len() - 1];
    let mut current = c((2.0 * power / input.re).sqrt(), 0.0);
    let mut all = Vec::new();
    for (place, block) in blocks.iter().enumerate().rev() {
        let (behind, here) = (seen[place], seen[place + 1]);
        let voltage = here * current;
        let into = 0.5 * (voltage * current.conjugate()).re;
        let (volts, amperes, next) = match *block {
            Block::Series(own, _) => ((own * current).size(), current.size(), current),
            Block::Shunt(own, _) => {
                let through = voltage / own;
                (voltage.size(), through.size(), voltage / behind)
            }
            Block::Ratio(n) => {
                let next = current.times(n);
                (
                    voltage.size().max(voltage.size() / n),
                    current.size().max(current.size() * n),
                    next,
                )
            }
            Block::Line(z0, nepers, radians) => {
                // The voltage at the end, from the waves; the highest by looking at very many places.
                let forward = (voltage + current.times(z0)).times(0.5);
                let back = (voltage - current.times(z0)).times(0.5);
                let at = |share: f64| {
                    let go = c(nepers, radians).times(share);
                    let (a, b) = (forward * (-go).exponential(), back * go.exponential());
                    ((a + b), (a - b).times(1.0 / z0))
                };
                let (mut volts, mut amperes) = (0f64, 0f64);
                for step in 0..=4000 {
                    let (v, i) = at(f64::from(step) / 4000.0);
                    volts = volts.max(v.size());
                    amperes = amperes.max(i.size());
                }
                (volts, amperes, at(1.0).1)
            }
        };
        let out = 0.5 * (behind * next).re * next.re + 0.5 * (behind * next).im * next.im;
        all.push((volts, amperes, into - out));
        current = next;
    }
    all.reverse();
    let last = 0.5 * current.size().powi(2) * load.re;
    (all, last)
}

// ---- Random networks --------------------------------------------------------------------------------------------

pub fn coil<A: Arithmetic>(henries: f64) -> Inductance<A> {
    if is_fixed::<A>() {
        Inductance::from_picohenries((henries * 1e12).round() as u32)
    } else {
        Inductance::new(word(henries)).unwrap()
    }
}

pub fn capacitor<A: Arithmetic>(farads: f64) -> Capacitance<A> {
    if is_fixed::<A>() {
        Capacitance::from_femtofarads((farads * 1e15).round() as u32)
    } else {
        Capacitance::new(word(farads)).unwrap()
    }
}
