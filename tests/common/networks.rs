//! What the tests of lines, ladders and matching share: an oracle in doubles that walks impedances by the textbook
//! formulas, fed with what a family holds.

use core::f64::consts::TAU;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::design::ladder::{Element, Part, PartKind, PartLoss, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::quantity::{Hertz, Reactor};

use crate::common::complex::{C, ONE, c};
use crate::common::impedances::{farads, henries, omega};

/// A few roundings of the family's working number, relative.
pub fn roundings<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => 2e-8,
        Family::F32 | Family::SoftF32 => 2e-6,
        _ => 1e-14,
    }
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
    match part.kind() {
        PartKind::Resistor(resistance) => c(resistance.to_f64(), 0.0),
        PartKind::Reactor(reactor, loss) => {
            let x = match reactor {
                Reactor::Inductor(inductance) => omega(frequency) * henries(inductance),
                Reactor::Capacitor(capacitance) => -1.0 / (omega(frequency) * farads(capacitance)),
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
