//! One-ports whose truth is known from their algebra, the grids they are swept on, and the way through the analyser.

use core::f64::consts::TAU;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::{
    Dip, Method, SweepAnalyser, SweepBand, SweepReport, SweepSettings, Target, ThreePointAnalyser,
};
use ohmwright::quantity::{Hertz, Reflection};

use crate::common::complex::ONE;
pub use crate::common::complex::{C, c};

/// A resonator, capacitance across it, and a lossless line: as `data/README.md` describes them. Zero means absent.
#[derive(Clone, Copy, Debug)]
pub struct Circuit {
    pub series: bool,
    pub resistance: f64,
    pub inductance: f64,
    pub capacitance: f64,
    pub stray: f64,
    pub line: f64,
    pub delay: f64,
    pub reference: f64,
}

impl Circuit {
    /// R, L and C in series, from the resonance and the Q of R itself.
    pub fn series(resistance: f64, q: f64, resonance: f64) -> Self {
        Self::plain(true, resistance, q * resistance, resonance)
    }

    /// R, L and C side by side.
    pub fn parallel(resistance: f64, q: f64, resonance: f64) -> Self {
        Self::plain(false, resistance, resistance / q, resonance)
    }

    fn plain(series: bool, resistance: f64, reactance: f64, resonance: f64) -> Self {
        let omega = TAU * resonance;
        Self {
            series,
            resistance,
            inductance: reactance / omega,
            capacitance: 1.0 / (reactance * omega),
            stray: 0.0,
            line: 0.0,
            delay: 0.0,
            reference: 50.0,
        }
    }

    /// The same behind a line.
    pub fn behind(self, line: f64, delay: f64) -> Self {
        Self { line, delay, ..self }
    }

    pub fn is_plain(&self) -> bool {
        self.stray == 0.0 && self.delay == 0.0
    }

    pub fn impedance(&self, hertz: f64) -> C {
        let omega = TAU * hertz;
        let z = if self.series {
            c(
                self.resistance,
                omega * self.inductance - 1.0 / (omega * self.capacitance),
            )
        } else {
            ONE / c(
                1.0 / self.resistance,
                omega * self.capacitance - 1.0 / (omega * self.inductance),
            )
        };
        if self.stray == 0.0 {
            z
        } else {
            ONE / (ONE / z + c(0.0, omega * self.stray))
        }
    }

    pub fn gamma(&self, hertz: f64) -> C {
        let mut z = self.impedance(hertz);
        if self.delay != 0.0 {
            let line = c(self.line, 0.0);
            let g = (z - line) / (z + line) * C::turn(-2.0 * TAU * hertz * self.delay);
            z = line * (ONE + g) / (ONE - g);
        }
        let reference = c(self.reference, 0.0);
        (z - reference) / (z + reference)
    }

    pub fn swr(&self, hertz: f64) -> f64 {
        swr(self.gamma(hertz).size())
    }

    pub fn points<A: Arithmetic>(&self, grid: &[u64]) -> Points<A> {
        points(grid, |hertz| self.gamma(hertz))
    }
}

/// Γ of 16 bits read between the points, off at most: it lies on a curve through points that are each off by half a step
/// of both parts, of which the nearest five make at most 1.25 times as much, and is rounded once more.
pub const BETWEEN_STEPS: f64 = 2.25 * 4.4e-5;

pub fn swr(magnitude: f64) -> f64 {
    (1.0 + magnitude) / (1.0 - magnitude)
}

/// A sweep as it goes into the analyser.
pub type Points<A> = Vec<(Hertz, Reflection<A>)>;

pub fn points<A: Arithmetic>(grid: &[u64], gamma: impl Fn(f64) -> C) -> Points<A> {
    grid.iter()
        .map(|hertz| {
            let g = gamma(*hertz as f64);
            let reflection = Reflection::<f64>::try_from_f64(g.re, g.im).expect("a Γ");
            // To the nearest; a part beyond the word is held at its end, as a converter does.
            (Hertz::new(*hertz), reflection.convert())
        })
        .collect()
}

/// `count` frequencies, evenly.
pub fn even(start: u64, stop: u64, count: usize) -> Vec<u64> {
    let step = (stop - start) / (count as u64 - 1);
    (0..count as u64).map(|i| start + i * step).collect()
}

/// Without every third; the ends stay.
pub fn thinned(grid: &[u64]) -> Vec<u64> {
    let last = grid.len() - 1;
    grid.iter()
        .enumerate()
        .filter(|(i, _)| i % 3 != 1 || *i == last)
        .map(|(_, hertz)| *hertz)
        .collect()
}

/// As many points between the same ends, each the same ratio above the last, rounded to whole hertz.
pub fn geometric(grid: &[u64]) -> Vec<u64> {
    let (first, last) = (grid[0] as f64, grid[grid.len() - 1] as f64);
    let ratio = (last / first).ln() / (grid.len() - 1) as f64;
    (0..grid.len())
        .map(|i| (first * (ratio * i as f64).exp()).round() as u64)
        .collect()
}

pub fn reversed<T: Clone>(list: &[T]) -> Vec<T> {
    list.iter().rev().cloned().collect()
}

pub fn feed<A: Arithmetic, const N: usize>(
    settings: SweepSettings<A>,
    points: &[(Hertz, Reflection<A>)],
) -> SweepAnalyser<A, N> {
    let mut analyser = SweepAnalyser::new(settings).expect("valid settings");
    for (frequency, reflection) in points {
        analyser.push(*frequency, *reflection).expect("a point in order");
    }
    analyser
}

pub fn analyse<A: Arithmetic, const N: usize>(
    settings: SweepSettings<A>,
    points: &[(Hertz, Reflection<A>)],
) -> SweepReport<A, N> {
    feed(settings, points).report()
}

/// The same by the analyser for small parts.
pub fn analyse_by_three<A: Arithmetic, const N: usize>(
    settings: SweepSettings<A>,
    points: &[(Hertz, Reflection<A>)],
) -> SweepReport<A, N> {
    let mut analyser = ThreePointAnalyser::new(settings).expect("valid settings");
    for (frequency, reflection) in points {
        analyser.push(*frequency, *reflection).expect("a point in order");
    }
    analyser.report()
}

/// Either of them.
pub type Analysis<A> = fn(SweepSettings<A>, &[(Hertz, Reflection<A>)]) -> SweepReport<A, ROOM>;

/// The value with this share of all values at or below it.
pub fn quantile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[((sorted.len() - 1) as f64 * share).round() as usize]
}

/// A report in plain doubles, which hold every word of every family exactly. It can be compared, and tampered with.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    pub points: u32,
    pub start: u64,
    pub stop: u64,
    pub best: Option<ToldDip>,
    pub dips: Vec<ToldDip>,
    pub bands: Vec<SweepBand>,
    pub crossings: Vec<ToldCrossing>,
    pub target: ToldTarget,
    /// Dips, bands and crossings without room.
    pub left_out: [u32; 3],
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToldDip {
    pub hertz: u64,
    pub gamma: C,
    pub swr: f64,
    pub at_edge: bool,
    pub method: Method,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToldCrossing {
    pub hertz: u64,
    pub resistance: f64,
    pub q: f64,
    pub rising: bool,
    pub method: Method,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToldTarget {
    NotAsked,
    NotCovered(u64),
    Reading {
        hertz: u64,
        gamma: C,
        pass: bool,
        method: Method,
    },
}

pub fn plain<A: Arithmetic>(gamma: Reflection<A>) -> C {
    c(gamma.real().to_f64(), gamma.imaginary().to_f64())
}

impl ToldDip {
    fn of<A: Arithmetic>(dip: &Dip<A>) -> Self {
        Self {
            hertz: dip.frequency.get(),
            gamma: plain(dip.reflection),
            swr: dip.swr().to_f64(),
            at_edge: dip.at_edge,
            method: dip.method,
        }
    }
}

impl Told {
    pub fn of<A: Arithmetic, const N: usize>(report: &SweepReport<A, N>) -> Self {
        Self {
            points: report.points(),
            start: report.start().get(),
            stop: report.stop().get(),
            best: report.best().as_ref().map(ToldDip::of),
            dips: report.dips().iter().map(ToldDip::of).collect(),
            bands: report.bands().to_vec(),
            crossings: report
                .resonances()
                .iter()
                .map(|crossing| ToldCrossing {
                    hertz: crossing.frequency.get(),
                    resistance: crossing.resistance.to_f64(),
                    q: crossing.q.to_f64(),
                    rising: crossing.rising,
                    method: crossing.method,
                })
                .collect(),
            target: match report.target() {
                Target::NotAsked => ToldTarget::NotAsked,
                Target::NotCovered(frequency) => ToldTarget::NotCovered(frequency.get()),
                Target::Reading(reading) => ToldTarget::Reading {
                    hertz: reading.frequency.get(),
                    gamma: plain(reading.reflection),
                    pass: reading.pass,
                    method: reading.method,
                },
            },
            left_out: [
                report.dips_left_out(),
                report.bands_left_out(),
                report.resonances_left_out(),
            ],
        }
    }
}

/// Room for everything in these tests.
pub const ROOM: usize = 24;

/// What the analyser says of a sweep.
pub fn told<A: Arithmetic>(settings: SweepSettings<A>, points: &[(Hertz, Reflection<A>)]) -> Told {
    Told::of(&analyse::<A, ROOM>(settings, points))
}
