//! The analyser on sweeps that are made to mislead it: how often a figure of the report is grossly wrong.
//!
//! Random networks behind cables, several resonances, coarse converters, noise, jumps, wrong samples, dips narrower than
//! the grid: all invented, and their truth is their own algebra. A figure is grossly wrong if it is off by more than a
//! person would accept who sees the samples: 0.05 in Γ, and four times the noise. What is promised is a rate for each class, printed
//! with its worst case: `cargo test --test analyser hostile -- --nocapture`.

use crate::circuits::{Analysis, C, Circuit, ROOM, Told, ToldTarget, analyse, c, even, feed, quantile};
use crate::common::complex::ONE;
use crate::common::{Random, deep};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::{Method, SweepSettings};
use ohmwright::quantity::{Component, Hertz, Reference, Reflection, Swr};

const START: u64 = 100_000_000;
const STOP: u64 = 200_000_000;
const STEP: f64 = 1e6;

/// What a sweep shows, and how it was spoilt.
struct Case {
    /// The Γ of the load, without what the instrument does to it.
    truth: Box<dyn Fn(f64) -> C>,
    grid: Vec<u64>,
    samples: Vec<C>,
    /// The indices of wrong samples.
    wrong: Vec<usize>,
    /// The index of the first sample after a jump.
    jump: Option<usize>,
    /// The largest error of a component that the instrument is known to make.
    noise: f64,
    /// Narrower than the grid can show: a figure may be wrong if the report marks it.
    narrow: bool,
    target: u64,
    limit: f64,
}

fn resonator(random: &mut Random) -> Circuit {
    let resistance = random.decades(5.0, 500.0).abs();
    let q = random.decades(3.0, 40.0).abs();
    let resonance = random.between(95e6, 205e6);
    if random.bits() & 1 == 0 {
        Circuit::series(resistance, q, resonance)
    } else {
        Circuit::parallel(resistance, q, resonance)
    }
}

fn behind_a_cable(random: &mut Random) -> Box<dyn Fn(f64) -> C> {
    let circuit = resonator(random).behind(random.between(25.0, 150.0), random.between(5e-9, 40e-9));
    Box::new(move |f| circuit.gamma(f))
}

fn simple(random: &mut Random) -> Box<dyn Fn(f64) -> C> {
    let mut circuit = resonator(random);
    circuit.stray = random.between(0.0, 3e-12);
    if random.bits() & 1 == 0 {
        circuit = circuit.behind(random.between(35.0, 90.0), random.between(1e-9, 10e-9));
    }
    Box::new(move |f| circuit.gamma(f))
}

/// Two to four coupled or separate resonances: series circuits side by side.
fn several(random: &mut Random) -> Box<dyn Fn(f64) -> C> {
    let parts: Vec<Circuit> = (0..2 + random.bits() % 3)
        .map(|_| {
            Circuit::series(
                random.decades(10.0, 200.0).abs(),
                random.decades(5.0, 60.0).abs(),
                random.between(95e6, 205e6),
            )
        })
        .collect();
    let delay = random.between(0.0, 10e-9);
    Box::new(move |f| {
        let y = parts
            .iter()
            .fold(c(0.0, 0.0), |sum, part| sum + ONE / part.impedance(f));
        let z = ONE / y;
        (z - c(50.0, 0.0)) / (z + c(50.0, 0.0)) * C::turn(-2.0 * core::f64::consts::TAU * f * delay)
    })
}

/// A dip of 0.2 to 1.5 steps between its half-power points, in a background that reflects.
fn narrow(random: &mut Random) -> Box<dyn Fn(f64) -> C> {
    let half = random.between(0.1, 0.75) * STEP;
    let place = random.between(110e6, 190e6);
    let depth = random.between(0.3, 1.9);
    let rim = random.between(0.8, 0.98);
    let (angle, delay) = (random.between(-3.0, 3.0), random.between(0.0, 5e-9));
    Box::new(move |f| {
        let dip = ONE - c(depth, 0.0) / c(1.0, (f - place) / half);
        dip.times(rim) * C::turn(angle - 2.0 * core::f64::consts::TAU * (f - place) * delay)
    })
}

fn quantised(g: C, step: f64) -> C {
    c((g.re / step).round() * step, (g.im / step).round() * step)
}

impl Case {
    fn new(random: &mut Random, truth: Box<dyn Fn(f64) -> C>) -> Self {
        let grid = even(START, STOP, 101);
        let samples = grid.iter().map(|f| truth(*f as f64)).collect();
        Self {
            truth,
            grid,
            samples,
            wrong: vec![],
            jump: None,
            noise: 0.0,
            narrow: false,
            target: random.between(100e6, 200e6) as u64,
            limit: [1.35, 1.5, 2.0, 3.0][random.bits() as usize % 4],
        }
    }

    fn of(class: Class, random: &mut Random) -> Self {
        let network = match class {
            Class::Cable => behind_a_cable(random),
            Class::Several => several(random),
            Class::Narrow => narrow(random),
            _ => simple(random),
        };
        let mut case = Self::new(random, network);
        match class {
            Class::Clean | Class::Cable | Class::Several => {}
            Class::Narrow => case.narrow = true,
            Class::EightBits => case.quantise(2f64.powi(-7)),
            Class::TenBits => case.quantise(2f64.powi(-9)),
            Class::Noise => {
                for sample in &mut case.samples {
                    *sample = *sample + c(random.normal(), random.normal()).times(1e-2);
                }
                case.noise = 1e-2;
            }
            Class::Jump => {
                let from = 10 + random.bits() as usize % 80;
                let factor = C::turn(random.between(-0.6, 0.6)).times(random.between(0.8, 1.0));
                for sample in case.samples.iter_mut().skip(from) {
                    *sample = *sample * factor;
                }
                case.jump = Some(from);
                let clean = core::mem::replace(&mut case.truth, Box::new(|_| ONE));
                let middle = (case.grid[from] + case.grid[from - 1]) as f64 / 2.0;
                case.truth = Box::new(move |f| if f < middle { clean(f) } else { clean(f) * factor });
            }
            Class::OneWrong => case.spoil(&[1], random),
            Class::TwoWrong => case.spoil(&[2], random),
            Class::Wrongs => case.spoil(&[1, 1, 2], random),
        }
        case
    }

    fn quantise(&mut self, step: f64) {
        for sample in &mut self.samples {
            *sample = quantised(*sample, step);
        }
        self.noise = step * 0.5;
    }

    /// Spoils as many samples in a row as each number says, apart from each other.
    fn spoil(&mut self, runs: &[usize], random: &mut Random) {
        let mut from = 3 + random.bits() as usize % (80 / runs.len());
        for run in runs {
            let new = C::turn(random.between(-3.2, 3.2)).times(random.between(0.0, 1.0).sqrt());
            for index in from..from + run {
                self.samples[index] = if random.bits().is_multiple_of(3) {
                    C::turn(random.between(-3.2, 3.2)).times(random.between(0.0, 1.0).sqrt())
                } else {
                    new
                };
                self.wrong.push(index);
            }
            from += run + 10 + random.bits() as usize % 12;
        }
        // A sample that is hardly off is no wrong one.
        let truth = &self.truth;
        let (samples, grid) = (&self.samples, &self.grid);
        self.wrong
            .retain(|i| (samples[*i] - truth(grid[*i] as f64)).size() > 0.05);
    }

    /// How far Γ at this frequency may be from what is said, beside the truth itself: beside a jump either side holds.
    fn off(&self, f: u64, said: C) -> f64 {
        let off = (said - (self.truth)(f as f64)).size();
        match self.jump {
            Some(jump) if (self.grid[jump - 1]..=self.grid[jump]).contains(&f) => {
                let (from, to) = (self.samples[jump - 1], self.samples[jump]);
                let share = (f - self.grid[jump - 1]) as f64 / STEP;
                let line = from + (to - from).times(share);
                let reach = (to - from).size() / 2.0;
                off.min(((said - line).size() - reach).max(0.0))
            }
            _ => off,
        }
    }

    /// What is grossly wrong in a report.
    fn faults(&self, told: &Told, unresolved: impl Fn(u64) -> bool) -> Vec<String> {
        let mut faults = vec![];
        let allowed = 0.05 + 4.0 * self.noise;
        let rho = (self.limit - 1.0) / (self.limit + 1.0);
        let good = |i: &usize| !self.wrong.contains(i);
        let least = (0..self.grid.len())
            .filter(good)
            .map(|i| self.samples[i].size())
            .fold(f64::INFINITY, f64::min);
        let best = told.best.expect("points");
        let mut say = |f: u64, off: f64, what: &str| {
            if off > allowed && !unresolved(f) {
                faults.push(format!("{what} at {:.3} MHz off by {off:.3}", f as f64 / 1e6));
            }
        };
        say(
            best.hertz,
            self.off(best.hertz, best.gamma),
            &format!("best ({:?})", best.method),
        );
        say(
            best.hertz,
            best.gamma.size() - least - self.noise,
            "best is worse than a sample,",
        );
        for dip in &told.dips {
            say(
                dip.hertz,
                self.off(dip.hertz, dip.gamma),
                &format!("dip ({:?})", dip.method),
            );
        }
        for band in &told.bands {
            let (low, high) = (band.low.get(), band.high.get());
            for (edge, open) in [(low, band.low_open), (high, band.high_open)] {
                let true_size = (self.truth)(edge as f64).size();
                let off = if open {
                    true_size - rho
                } else {
                    let direction = (self.truth)(edge as f64);
                    let said = direction.times(rho / direction.size());
                    self.off(edge, said)
                };
                say(
                    edge,
                    off,
                    &format!("edge ({:?} {:?})", band.low_method, band.high_method),
                );
            }
            let middle = low.midpoint(high);
            let size = (self.truth)(middle as f64).size();
            if self
                .jump
                .is_none_or(|jump| !(self.grid[jump - 1]..=self.grid[jump]).contains(&middle))
            {
                say(middle, size - rho, "band");
            }
        }
        // Every stretch of three good samples well under the limit lies in a band.
        for i in 1..self.grid.len() - 1 {
            let under = (i - 1..=i + 1).all(|k| good(&k) && self.samples[k].size() < rho - allowed);
            let f = self.grid[i];
            if under && !told.bands.iter().any(|b| b.low.get() <= f && f <= b.high.get()) {
                say(f, 1.0, "no band");
            }
        }
        for crossing in &told.crossings {
            let said = (self.truth)(crossing.hertz as f64);
            say(
                crossing.hertz,
                self.off(crossing.hertz, c(said.re, 0.0)),
                &format!("crossing ({:?})", crossing.method),
            );
        }
        if let ToldTarget::Reading {
            hertz, gamma, method, ..
        } = told.target
        {
            say(hertz, self.off(hertz, gamma), &format!("target ({method:?})"));
        }
        faults
    }
}

/// What a report must not say at once, whatever the sweep.
fn contradictions(told: &Told, limit: f64, spread: f64, step: f64, lowest_sample: f64) -> Vec<String> {
    let mut found = vec![];
    let best = told.best.expect("points");
    let in_band = |hertz: u64| {
        told.bands
            .iter()
            .any(|b| b.low.get() <= hertz && hertz <= b.high.get())
    };
    let mut require = |holds: bool, what: String| {
        if !holds {
            found.push(what);
        }
    };
    // What a fit makes of a dip is above its lowest sample, since noise is taken out.
    let fitted = told
        .dips
        .iter()
        .chain([&best])
        .any(|dip| dip.method == Method::ManyPoints);
    require(
        best.gamma.size() <= lowest_sample + step + if fitted { spread } else { 0.0 },
        format!(
            "{best:?}, {}, is worse than a sample of {lowest_sample}; {:?}",
            best.gamma.size(),
            told.dips
        ),
    );
    for dip in told.dips.iter().chain([&best]) {
        require(
            best.gamma.size() <= dip.gamma.size() * (1.0 + 1e-6) + 1e-9,
            format!("{dip:?} below {best:?}"),
        );
        require(
            dip.swr > limit || in_band(dip.hertz),
            format!("{dip:?} in none of {:?}", told.bands),
        );
    }
    if let ToldTarget::Reading {
        hertz, gamma, pass, ..
    } = told.target
    {
        require(
            pass == in_band(hertz),
            format!("{pass} at {hertz}, {:?}", told.bands),
        );
        require(
            best.gamma.size() <= gamma.size() * (1.0 + 1e-6) + 1e-9,
            format!("target below {best:?}"),
        );
        let swr = (1.0 + gamma.size()) / (1.0 - gamma.size());
        let clear = (swr - limit).abs() > 1e-4 * limit;
        require(
            !clear || pass == (gamma.size() < 1.0 && swr <= limit),
            format!("{pass} at SWR {swr}"),
        );
    }
    found
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Class {
    Clean,
    Cable,
    Several,
    EightBits,
    TenBits,
    Noise,
    Jump,
    OneWrong,
    TwoWrong,
    Wrongs,
    Narrow,
}

const CLASSES: [(Class, f64); 11] = [
    (Class::Clean, 0.003),
    (Class::Cable, 0.003),
    (Class::Several, 0.003),
    (Class::EightBits, 0.003),
    (Class::TenBits, 0.003),
    (Class::Noise, 0.01),
    (Class::Jump, 0.003),
    (Class::OneWrong, 0.02),
    (Class::TwoWrong, 0.02),
    (Class::Wrongs, 0.02),
    (Class::Narrow, 0.02),
];

fn settings<A: Arithmetic>(case: &Case) -> SweepSettings<A> {
    SweepSettings {
        swr_limit: Swr::<A>::try_from_f64(case.limit).unwrap(),
        prominence: Component::<A>::try_from_f64((10.0 * case.noise).max(0.01)).unwrap(),
        target: Some(Hertz::new(case.target)),
        ..Default::default()
    }
}

/// What one case came to.
struct Verdict {
    faults: Vec<String>,
    contradictions: Vec<String>,
    /// The best is marked as not resolved, or is beside a sample that was left out.
    marked: bool,
    /// Good samples that were left out.
    left_out: usize,
}

fn judge<A: Arithmetic>(analysis: Analysis<A>, case: &Case) -> Verdict {
    let points = case.grid.iter().zip(&case.samples);
    let points: Vec<_> = points
        .map(|(f, g)| {
            let gamma = Reflection::<f64>::try_from_f64(g.re, g.im).unwrap();
            (Hertz::new(*f), gamma.convert::<A>())
        })
        .collect();
    let report = analysis(settings(case), &points);
    let told = Told::of(&report);
    let lowest = points
        .iter()
        .filter(|(f, _)| !report.spoilt().contains(f))
        .map(|(_, gamma)| gamma.magnitude().to_f64())
        .fold(f64::INFINITY, f64::min);
    // A fit takes noise out of a sample: where there is none, so much of a curve that is not quite of its kind.
    let spread = 2.5e-2 + 4.0 * case.noise;
    let step = match A::FAMILY {
        Family::Fixed16 | Family::F32 => 1e-4,
        _ => 1e-6,
    };
    let marked = |f: u64| {
        let near = |low: u64, high: u64| low.saturating_sub(1_500_000) <= f && f <= high + 1_500_000;
        let best = report.best();
        let dips = report.dips().iter().chain(&best);
        let mut unresolved = dips.filter_map(|dip| dip.unresolved);
        report.spoilt().iter().any(|s| near(s.get(), s.get()))
            || unresolved.any(|range| near(range.low.get(), range.high.get()))
    };
    let good = |f: &Hertz| !case.wrong.iter().any(|i| case.grid[*i] == f.get());
    Verdict {
        faults: case.faults(&told, |f| (case.narrow || case.jump.is_some()) && marked(f)),
        contradictions: contradictions(&told, report.swr_limit().to_f64(), spread, step, lowest),
        marked: report.best().is_some_and(|dip| marked(dip.frequency.get())),
        left_out: report.spoilt().iter().filter(|f| good(f)).count(),
    }
}

/// Prints the share of each class that is grossly wrong, and holds it to what is allowed.
pub fn rates<A: Arithmetic>(analysis: Analysis<A>, classes: &[(Class, f64)]) {
    let cases = if deep() { 3000 } else { 300 };
    let mut missed = vec![];
    for (class, allowed) in classes.iter().copied() {
        let mut random = Random::new(0x5eed ^ class as u64);
        let (mut bad, mut marked, mut left_out) = (0, 0, 0);
        let mut worst = String::new();
        for number in 0..cases {
            let verdict = judge::<A>(analysis, &Case::of(class, &mut random));
            let said = &verdict.contradictions;
            assert!(said.is_empty(), "{class:?} {number} contradicts itself: {said:?}");
            bad += usize::from(!verdict.faults.is_empty());
            marked += usize::from(verdict.marked);
            left_out += verdict.left_out;
            if !verdict.faults.is_empty() && worst.is_empty() {
                worst = format!("; case {number}: {}", verdict.faults.join("; "));
            }
        }
        let share = |count: usize| 100.0 * count as f64 / cases as f64;
        println!(
            "{:?} {class:?}: {:.1} % grossly wrong, {:.1} % marked, {left_out} of {} good samples left out{worst}",
            A::FAMILY,
            share(bad),
            share(marked),
            cases * 101,
        );
        if bad as f64 > allowed * cases as f64 {
            missed.push(class);
        }
    }
    assert!(missed.is_empty(), "{missed:?}");
}

#[test]
fn in_double() {
    rates::<f64>(analyse, &CLASSES);
}
#[test]
fn in_single() {
    rates::<f32>(analyse, &CLASSES);
}
#[test]
fn in_fixed_point() {
    rates::<Fixed32>(analyse, &CLASSES);
}
#[test]
fn in_small_fixed_point() {
    rates::<Fixed16>(analyse, &CLASSES);
}

/// Controls: a figure that is moved is seen as a fault, and as a contradiction.
#[test]
fn a_moved_figure_is_seen() {
    let case = Case::of(Class::Clean, &mut Random::new(2));
    let points: Vec<_> = (case.grid.iter().zip(&case.samples))
        .map(|(f, g)| {
            (
                Hertz::new(*f),
                Reflection::<f64>::try_from_f64(g.re, g.im).unwrap(),
            )
        })
        .collect();
    let mut told = Told::of(&feed::<f64, ROOM>(settings(&case), &points).report());
    let lowest = case
        .samples
        .iter()
        .map(|g| g.size())
        .fold(f64::INFINITY, f64::min);
    assert_eq!(case.faults(&told, |_| false), Vec::<String>::new());
    let best = told.best.as_mut().unwrap();
    best.gamma = best.gamma + c(0.06, 0.0);
    assert!(!case.faults(&told, |_| false).is_empty());
    told.best.as_mut().unwrap().gamma = c(lowest + 0.1, 0.0);
    assert!(!contradictions(&told, case.limit, 0.0, 1e-6, lowest).is_empty());
}

fn sweep(gammas: &[C]) -> Vec<(Hertz, Reflection<f64>)> {
    let grid = (0..).map(|i| START + i * 1_000_000);
    grid.zip(gammas)
        .map(|(f, g)| (Hertz::new(f), Reflection::try_from_f64(g.re, g.im).unwrap()))
        .collect()
}

/// Two plateaus of a converter: between them Γ lies between them, and hardly moves with the target. (A curve fitted to
/// both had a pole there: 22 − j96 Ω where every sample says 147 − j25 Ω.)
#[test]
fn nothing_wild_between_two_plateaus() {
    let (low, high) = (C::turn(-0.52).times(0.9), C::turn(0.52).times(0.9));
    let mut gammas = vec![low; 12];
    gammas.extend([high; 12]);
    for step in 0..=40 {
        let target = START + 11_000_000 + step * 25_000;
        let settings = SweepSettings {
            target: Some(Hertz::new(target)),
            ..Default::default()
        };
        let told = Told::of(&feed::<f64, ROOM>(settings, &sweep(&gammas)).report());
        let ToldTarget::Reading { gamma, .. } = told.target else {
            panic!("{told:?}")
        };
        let line = low + (high - low).times(step as f64 / 40.0);
        assert!((gamma - line).size() < 0.25, "{target}: {gamma:?}");
    }
}

/// What is left out is told, with its frequency; the rest is as if it had not been measured.
#[test]
fn wrong_samples_are_told_and_left_out() {
    let circuit = Circuit::series(40.0, 12.0, 150e6);
    for wrong in [&[30][..], &[50], &[0], &[1], &[100], &[99], &[49, 50], &[20, 70]] {
        let mut gammas: Vec<C> = (0..=100)
            .map(|i| circuit.gamma(START as f64 + i as f64 * STEP))
            .collect();
        for i in wrong {
            gammas[*i] = c(0.3, -0.5);
        }
        let points = sweep(&gammas);
        let report = feed::<f64, ROOM>(SweepSettings::default(), &points).report();
        let at: Vec<Hertz> = wrong.iter().map(|i| points[*i].0).collect();
        assert_eq!(report.spoilt(), at);
        let rest: Vec<_> = points.iter().filter(|(f, _)| !at.contains(f)).copied().collect();
        let other = feed::<f64, ROOM>(SweepSettings::default(), &rest).report();
        let (mut one, other) = (Told::of(&report), Told::of(&other));
        assert_eq!(one.best, other.best, "{wrong:?}");
        assert_eq!(one.bands, other.bands, "{wrong:?}");
        one.dips.retain(|dip| !other.dips.contains(dip));
        assert!(one.dips.is_empty(), "{wrong:?}");
    }
    // A control: the same sweep without a wrong sample.
    let gammas: Vec<C> = (0..=100)
        .map(|i| circuit.gamma(START as f64 + i as f64 * STEP))
        .collect();
    assert!(
        feed::<f64, ROOM>(SweepSettings::default(), &sweep(&gammas))
            .report()
            .spoilt()
            .is_empty()
    );
}

/// A dip narrower than three steps is marked with what it may be; a wider one is not.
#[test]
fn a_dip_that_the_grid_does_not_resolve_is_marked() {
    for (half_width, narrow) in [(0.5, true), (1.2, true), (1.8, false), (4.0, false)] {
        for shift in [0.0, 0.25, 0.5, 0.75] {
            let middle = 150e6 + shift * STEP;
            let gammas: Vec<C> = (0..=100)
                .map(|i| {
                    let off = (START as f64 + i as f64 * STEP - middle) / (half_width * STEP);
                    c(0.9, 0.0) - c(0.85, 0.0) / c(1.0, off)
                })
                .collect();
            let best = feed::<f64, ROOM>(SweepSettings::default(), &sweep(&gammas))
                .report()
                .best()
                .unwrap();
            assert_eq!(best.unresolved.is_some(), narrow, "{half_width} {shift} {best:?}");
            if let Some(range) = best.unresolved {
                assert!(
                    range.low.get() as f64 <= middle && middle <= range.high.get() as f64,
                    "{range:?}"
                );
                assert!(range.swr_at_most >= best.swr());
            }
        }
    }
}

/// Samples beyond the rim by more than twice the noise are counted; so are steps over which a long cable turns Γ too far.
#[test]
fn what_is_beyond_the_rim_and_what_turns_too_fast_is_counted() {
    let gammas: Vec<C> = (0..=100)
        .map(|i| C::turn(0.02 * i as f64).times(1.0 + 1e-3 * i as f64))
        .collect();
    for (noise, beyond) in [(0.01, 80), (0.0, 100), (0.03, 40), (0.1, 0)] {
        let settings = SweepSettings::default().with_noise(Component::new(noise));
        let report = feed::<f64, ROOM>(settings, &sweep(&gammas)).report();
        assert!(
            report.beyond_rim().abs_diff(beyond) <= 1,
            "{noise}: {}",
            report.beyond_rim()
        );
        assert!(!report.is_too_coarse());
    }
    for (degrees, fast) in [(100.0f64, 0), (119.0, 0), (121.0, 100), (170.0, 100)] {
        let gammas: Vec<C> = (0..=100)
            .map(|i| C::turn(degrees.to_radians() * i as f64).times(0.9))
            .collect();
        let report = feed::<f64, ROOM>(SweepSettings::default(), &sweep(&gammas)).report();
        assert_eq!(report.fast_turns(), fast, "{degrees}");
        assert_eq!(report.is_too_coarse(), fast > 0, "{degrees}");
        assert_eq!(report.beyond_rim(), 0);
    }
}

/// A resonance behind a cable, on a grid that resolves it, is not taken for noise: Γ at a target near a sample is that of the
/// sample, and Q that of the circuit at its port.
#[test]
fn a_clean_sweep_is_not_taken_for_noise() {
    let mut random = Random::new(77);
    let mut errors = vec![];
    for _ in 0..500 {
        let circuit = resonator(&mut random).behind(random.between(25.0, 150.0), random.between(5e-9, 40e-9));
        let f = START + 20_000_000 + (random.bits() % 60) * 1_000_000;
        let settings = SweepSettings {
            target: Some(Hertz::new(f + 9_000)),
            ..Default::default()
        };
        let gammas: Vec<C> = (0..=100)
            .map(|i| circuit.gamma(START as f64 + i as f64 * STEP))
            .collect();
        let told = Told::of(&feed::<f64, ROOM>(settings, &sweep(&gammas)).report());
        let ToldTarget::Reading { gamma, .. } = told.target else {
            panic!("{told:?}")
        };
        errors.push((gamma - circuit.gamma(f as f64 + 9e3)).size());
    }
    let shares = [0.5, 0.9, 0.98, 1.0].map(|share| quantile(&errors, share));
    println!("median, 90, 98, 100 of 100 within {shares:?}");
    assert!(shares[2] < 1e-3 && shares[3] < 2e-2, "{shares:?}");
}

/// A crossing in the last step is reported, though Im Γ has had no room to go farther beyond.
#[test]
fn a_crossing_at_the_end_is_not_lost() {
    for count in [8, 20] {
        let gammas: Vec<C> = (0..count)
            .map(|i| c(0.3, 0.001 - 0.004 * (count - 1 - i) as f64))
            .collect();
        let told = Told::of(&feed::<f64, ROOM>(SweepSettings::default(), &sweep(&gammas)).report());
        assert_eq!(told.crossings.len(), 1, "{told:?}");
        let last = START + (count - 1) as u64 * 1_000_000;
        assert!(
            (last - 1_000_000..=last).contains(&told.crossings[0].hertz),
            "{told:?}"
        );
    }
}

/// The resistance at a crossing is that of the reference of the sweep.
#[test]
fn a_crossing_knows_the_reference() {
    let circuit = Circuit {
        reference: 75.0,
        ..Circuit::series(30.0, 10.0, 150.3e6)
    };
    let gammas: Vec<C> = (0..=100)
        .map(|i| circuit.gamma(START as f64 + i as f64 * STEP))
        .collect();
    let settings = SweepSettings::default().with_reference(Reference::whole::<75>());
    let told = Told::of(&feed::<f64, ROOM>(settings, &sweep(&gammas)).report());
    assert!((told.crossings[0].resistance - 30.0).abs() < 1e-3, "{told:?}");
    assert!((told.crossings[0].q - 10.0).abs() < 1e-2, "{told:?}");
}
