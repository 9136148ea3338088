//! The analyser on random single-resonance networks with a line and stray capacitance, against a dense search.
//!
//! The networks are invented; their truth comes from the circuit algebra itself, searched to a few hertz. There are 250 of
//! them, and with `OHMWRIGHT_SEARCH=deep` 1000: the same bounds hold.

use core::f64::consts::TAU;

use crate::circuits::{Analysis, C, Circuit, analyse};
use crate::common::complex::{ONE, ZERO, c};
use crate::common::deep;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::SweepSettings;
use ohmwright::quantity::{Hertz, Reflection};

struct Random(u64);
impl Random {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
    fn log_between(&mut self, low: f64, high: f64) -> f64 {
        (low.ln() + (high / low).ln() * self.next()).exp()
    }
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() - 6.0
    }
}

/// `hard`: three times as far from 50 Ω, three times the cable, and not a cable of 50 Ω either.
fn network(random: &mut Random, hard: bool) -> Circuit {
    let f0 = random.between(108e6, 192e6);
    let q = random.log_between(3.0, 40.0);
    let series = random.next() < 0.5;
    let resistance = if hard {
        random.log_between(15.0, 170.0)
    } else {
        random.log_between(25.0, 100.0)
    };
    let plain = if series {
        Circuit::series(resistance, q, f0)
    } else {
        Circuit::parallel(resistance, q, f0)
    };
    let stray = random.between(0.0, 3e-12);
    let line = if hard { random.between(45.0, 80.0) } else { 50.0 };
    let delay = random.between(0.0, if hard { 15e-9 } else { 5e-9 });
    Circuit { stray, ..plain }.behind(line, delay)
}

/// The lowest |Γ| of the sweep, by dense search and bisection; `None` at an edge.
fn dip(network: &Circuit, start: f64, stop: f64) -> Option<f64> {
    let power = |f: f64| network.gamma(f).size().powi(2);
    let steps = 4000;
    let at = |i: usize| start + (stop - start) * i as f64 / steps as f64;
    let best = (0..=steps).min_by(|a, b| power(at(*a)).total_cmp(&power(at(*b))))?;
    if best < 40 || best > steps - 40 {
        return None;
    }
    // The derivative changes its sign at the minimum; bisect it on a difference wide enough to be exact.
    let (mut low, mut high) = (at(best - 1), at(best + 1));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if power(middle + 500.0) > power(middle - 500.0) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(0.5 * (low + high))
}

fn quantile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share) as usize]
}

/// A network, its dip, and what noise adds to Γ at each point, in units of its size.
struct Case {
    network: Circuit,
    truth: f64,
    noise: Vec<C>,
}

/// As many of them, always the same.
fn cases(hard: bool) -> Vec<Case> {
    let mut random = Random(0x1357_9bdf_2468_ace1);
    let mut cases = Vec::new();
    while cases.len() < if deep() { 1000 } else { 250 } {
        let network = network(&mut random, hard);
        let Some(truth) = dip(&network, 100e6, 200e6) else {
            continue;
        };
        let noise = (0..=100).map(|_| c(random.normal(), random.normal())).collect();
        cases.push(Case {
            network,
            truth,
            noise,
        });
    }
    cases
}

fn grid() -> Vec<f64> {
    (0..=100).map(|i| 100e6 + 1e6 * f64::from(i)).collect()
}

/// Median and 95 % of the dip's error in steps, and 95 % of its SWR's error.
pub fn trial<A: Arithmetic>(analysis: Analysis<A>, noise: f64, hard: bool) -> (f64, f64, f64) {
    let (mut place, mut swr) = (Vec::new(), Vec::new());
    for case in cases(hard) {
        let network = case.network;
        let points = grid().into_iter().zip(case.noise).map(|(f, off)| {
            let g = network.gamma(f) + off.times(noise);
            // To the nearest word; what is beyond it is held at its end.
            let reflection = Reflection::<f64>::try_from_f64(g.re, g.im).unwrap().convert();
            (Hertz::new(f as u64), reflection)
        });
        let points: Vec<_> = points.collect();
        let best = analysis(SweepSettings::default(), &points).best().unwrap();
        place.push((best.frequency.get() as f64 - case.truth).abs() / 1e6);
        swr.push((best.swr().to_f64() - network.swr(case.truth)).abs());
    }
    (
        quantile(&mut place.clone(), 0.5),
        quantile(&mut place, 0.95),
        quantile(&mut swr, 0.95),
    )
}

fn within<A: Arithmetic>(noise: f64, hard: bool, median: f64, most: f64, swr: f64) {
    let (got_median, got_most, got_swr) = trial::<A>(analyse, noise, hard);
    println!(
        "{:?} noise {noise} hard {hard}: {got_median:.6} {got_most:.6} {got_swr:.2e}",
        A::FAMILY
    );
    assert!(got_median < median, "median {got_median}");
    assert!(got_most < most, "95 % {got_most}");
    assert!(got_swr < swr, "SWR {got_swr}");
}

#[test]
fn clean_sweeps_in_double_precision() {
    within::<f64>(0.0, false, 1e-5, 1e-4, 1e-6);
    within::<f64>(0.0, true, 1e-4, 2e-3, 1e-4);
}

#[test]
fn clean_sweeps_in_fixed_point() {
    // Half of the last place of an SWR is 7.6e-6.
    within::<Fixed32>(0.0, false, 1e-5, 1e-4, 1e-5);
    within::<Fixed32>(0.0, true, 1e-4, 2e-3, 1e-4);
}

#[test]
fn clean_sweeps_in_single_precision() {
    within::<f32>(0.0, false, 1e-5, 2e-4, 1e-6);
    within::<f32>(0.0, true, 1e-4, 2e-3, 1e-4);
}

#[test]
fn noisy_sweeps() {
    within::<f64>(1e-3, false, 1.0 / 100.0, 1.0 / 10.0, 1e-2);
    within::<Fixed32>(1e-3, false, 1.0 / 100.0, 1.0 / 10.0, 1e-2);
    within::<f32>(1e-3, false, 1.0 / 100.0, 1.0 / 10.0, 1e-2);
    within::<Fixed16>(1e-3, false, 1.0 / 100.0, 1.0 / 10.0, 1e-2);
}

/// Rounding to 2⁻¹⁴ is noise of 2⁻¹⁴/√12 = 1.8e-5 in each part of Γ. With noise of 1e-3 the median is held to 1/100 of a
/// step and 95 % to 1/10: a fifty-seventh of that, and what clean sweeps leave. With three times that, since
/// what is rounded is no noise where the points hardly move. The SWR is read to 1e-4, and half a step of both parts of Γ is
/// (SWR + 1)²/2 times as much of it. Reached: 1.2e-4, 1.4e-3, 9.4e-5.
///
/// The dips of the hard networks are shallower and softer: there it is three times what is reached (3.2e-4, 1.0e-2;
/// 2.2e-4 in SWR).
#[test]
fn clean_sweeps_in_16_bits() {
    let share = 2f64.powi(-14) / 12f64.sqrt() / 1e-3;
    // SWR up to 2 in 95 of 100 easy networks, up to 3.4 in the hard ones.
    let swr = |swr: f64| 1e-4 * swr + 4.4e-5 * (swr + 1.0) * (swr + 1.0) / 2.0;
    let place = |each: f64, clean: f64| 3.0 * (each * share + clean);
    within::<Fixed16>(0.0, false, place(0.01, 1e-5), place(0.1, 1e-4), swr(2.0));
    within::<Fixed16>(0.0, true, 1e-3, 3.1e-2, swr(3.4));
}

/// The law can fail: ten times the noise does not pass for a thousandth of it.
#[test]
#[should_panic(expected = "median")]
fn noise_does_not_pass_for_clean() {
    within::<f64>(1e-2, false, 1e-5, 1e-4, 1e-6);
}

/// Γ by real parameters and the frequency.
type Formula = dyn Fn(&[f64], f64) -> C;

/// A formula, and for each parameter a step small enough for differences.
struct Model {
    gamma: Box<Formula>,
    steps: Vec<f64>,
}

impl Model {
    /// The circuit itself, and its parameters: R, L, C, delay, stray. In a parallel circuit the stray capacitance is a part of
    /// C: no reading tells them apart, and C stands for both.
    fn circuit(network: &Circuit) -> (Self, Vec<f64>) {
        let base = *network;
        let mut at = vec![
            base.resistance,
            base.inductance,
            base.capacitance,
            base.delay,
            base.stray,
        ];
        let mut steps = vec![1e-4 * at[0], 1e-4 * at[1], 1e-4 * at[2], 5e-13, 3e-16];
        if !base.series {
            at.pop();
            steps.pop();
        }
        let gamma = move |p: &[f64], f: f64| {
            Circuit {
                resistance: p[0],
                inductance: p[1],
                capacitance: p[2],
                delay: p[3],
                stray: p.get(4).copied().unwrap_or(base.stray),
                ..base
            }
            .gamma(f)
        };
        let gamma = Box::new(gamma);
        (Self { gamma, steps }, at)
    }

    /// The analyser's own curve P(t)/(1 + c·t), t in steps from `centre`, fitted to points as the analyser fits it. With a
    /// `delay` it is turned by a cable of about that delay, which then is a parameter as well.
    fn curve(
        degree: usize,
        delay: Option<f64>,
        centre: f64,
        points: &[f64],
        network: &Circuit,
    ) -> (Self, Vec<f64>) {
        let place = move |f: f64| (f - centre) / 1e6;
        let angle = delay.map(|delay| 2.0 * TAU * delay * 1e6);
        let turned = |f: &f64| network.gamma(*f) * C::turn(angle.unwrap_or(0.0) * place(*f));
        let mut columns = Vec::new();
        for power in 0..=degree as i32 {
            let real: Vec<C> = points.iter().map(|f| c(place(*f).powi(power), 0.0)).collect();
            columns.push(flat(real.iter().copied()));
            columns.push(flat(real.iter().map(|g| *g * c(0.0, 1.0))));
        }
        for unit in [ONE, c(0.0, 1.0)] {
            columns.push(flat(points.iter().map(|f| -turned(f) * unit.times(place(*f)))));
        }
        let mut at = Factors::of(columns).solved(&flat(points.iter().map(turned)));
        at.extend(angle);
        let gamma = move |p: &[f64], f: f64| {
            let t = place(f);
            let pair = |i: usize| c(p[2 * i], p[2 * i + 1]);
            let above = (0..=degree).rev().fold(ZERO, |sum, i| sum.times(t) + pair(i));
            let turn = p.get(2 * degree + 4).copied().unwrap_or(0.0);
            above / (ONE + pair(degree + 1).times(t)) * C::turn(-turn * t)
        };
        let steps = vec![1e-5; at.len()];
        let gamma = Box::new(gamma);
        (Self { gamma, steps }, at)
    }

    fn each_step<T>(&self, at: &[f64], change: impl Fn(&[f64], &[f64]) -> T) -> Vec<T> {
        let moved = |k: usize, step: f64| {
            let mut moved = at.to_vec();
            moved[k] += step;
            moved
        };
        let steps = self.steps.iter().enumerate();
        steps
            .map(|(k, step)| change(&moved(k, *step), &moved(k, -step)))
            .collect()
    }

    /// How Γ at the points changes with each parameter, by one step of it.
    fn columns(&self, at: &[f64], points: &[f64]) -> Vec<Vec<f64>> {
        self.each_step(at, |up, down| {
            let change = |f: &f64| ((self.gamma)(up, *f) - (self.gamma)(down, *f)).times(0.5);
            flat(points.iter().map(change))
        })
    }

    /// The slope of |Γ|², but for a factor.
    fn slope(&self, at: &[f64], f: f64) -> f64 {
        let power = |f: f64| (self.gamma)(at, f).size().powi(2);
        power(f + 1e4) - power(f - 1e4)
    }

    /// The dip within three steps of a frequency.
    fn dip(&self, at: &[f64], near: f64) -> Option<f64> {
        let (mut low, mut high) = (near - 3e6, near + 3e6);
        if self.slope(at, low) > 0.0 || self.slope(at, high) < 0.0 {
            return None;
        }
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if self.slope(at, middle) > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(0.5 * (low + high))
    }

    /// The Cramér–Rao bound of the dip's frequency, in hertz for a noise of 1: with the columns J, the Fisher matrix is JᵀJ/σ²,
    /// and the bound of the variance of a function of the parameters with gradient g is σ²·gᵀ(JᵀJ)⁻¹g. The dip is where
    /// the slope is zero, which gives its gradient by the rule for implicit functions.
    fn bound(&self, at: &[f64], points: &[f64], dip: f64) -> f64 {
        let bend = (self.slope(at, dip + 1e4) - self.slope(at, dip - 1e4)) / 2e4;
        let moves = self.each_step(at, |up, down| {
            (self.slope(down, dip) - self.slope(up, dip)) / 2.0 / bend
        });
        Factors::of(self.columns(at, points)).length(&moves)
    }

    /// The parameters fitted to readings by least squares: Gauss's and Newton's method, from the true ones.
    fn fitted(&self, mut at: Vec<f64>, points: &[f64], readings: &[C]) -> Vec<f64> {
        for _ in 0..6 {
            let missed = |(f, g): (&f64, &C)| *g - (self.gamma)(&at, *f);
            let rest = flat(points.iter().zip(readings).map(missed));
            let change = Factors::of(self.columns(&at, points)).solved(&rest);
            for ((p, n), step) in at.iter_mut().zip(change).zip(&self.steps) {
                *p += n * step;
            }
        }
        at
    }
}

/// Real and imaginary parts, as least squares takes them.
fn flat(values: impl Iterator<Item = C>) -> Vec<f64> {
    values.flat_map(|g| [g.re, g.im]).collect()
}

fn along(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Columns as Q·R, by the modified method of Gram and Schmidt: JᵀJ itself would lose half of the digits.
struct Factors {
    q: Vec<Vec<f64>>,
    /// By columns.
    r: Vec<Vec<f64>>,
}

impl Factors {
    fn of(columns: Vec<Vec<f64>>) -> Self {
        let (mut q, mut r) = (Vec::<Vec<f64>>::new(), Vec::new());
        for mut column in columns {
            let mut parts = Vec::new();
            for known in &q {
                let part = along(known, &column);
                for (value, known) in column.iter_mut().zip(known) {
                    *value -= part * known;
                }
                parts.push(part);
            }
            let size = along(&column, &column).sqrt();
            parts.push(size);
            q.push(column.into_iter().map(|value| value / size).collect());
            r.push(parts);
        }
        Self { q, r }
    }

    /// The square root of gᵀ(JᵀJ)⁻¹g: the length of R⁻ᵀg.
    fn length(&self, gradient: &[f64]) -> f64 {
        let mut y = Vec::new();
        for (parts, g) in self.r.iter().zip(gradient) {
            let known = along(parts, &y);
            y.push((g - known) / parts[y.len()]);
        }
        along(&y, &y).sqrt()
    }

    /// The least-squares solution.
    fn solved(&self, right: &[f64]) -> Vec<f64> {
        let mut rest: Vec<f64> = self.q.iter().map(|q| along(q, right)).collect();
        for k in (0..rest.len()).rev() {
            rest[k] /= self.r[k][k];
            for i in 0..k {
                rest[i] -= rest[k] * self.r[k][i];
            }
        }
        rest
    }
}

/// Median and 95 % over the networks of the error of estimators with these standard deviations and offsets: sixty-four
/// draws of |offset + σ·N(0, 1)| for each network, all together.
fn expected(estimators: &[(f64, f64)]) -> [f64; 2] {
    let mut random = Random(0x0f1e_2d3c_4b5a_6978);
    let mut errors = Vec::new();
    for (sigma, offset) in estimators {
        errors.extend((0..64).map(|_| (offset + sigma * random.normal()).abs()));
    }
    [quantile(&mut errors.clone(), 0.5), quantile(&mut errors, 0.95)]
}

fn two_quantiles(mut errors: Vec<f64>) -> [f64; 2] {
    [quantile(&mut errors.clone(), 0.5), quantile(&mut errors, 0.95)]
}

/// In hertz, the median and 95 % of the dip's error over the networks.
struct Bounds {
    /// Of an efficient estimator that knows the circuit and all 101 points.
    sweep: [f64; 2],
    /// Of the circuit fitted to all 101 points, with a hundredth of the noise of the trials, times 100: with so little it is
    /// efficient, and shows that the bound is right.
    fitted: [f64; 2],
    /// Of an efficient estimator that knows the circuit and the fifteen points nearest the dip.
    window: [f64; 2],
    /// The same with 31 points.
    wider: [f64; 2],
    /// Of one that knows a curve and these fifteen points, with the curve's own error.
    curves: Vec<(String, [f64; 2])>,
}

fn bounds(noise: f64) -> Bounds {
    let cases = cases(false);
    let points = grid();
    let (mut sweep, mut window, mut wider) = (Vec::new(), Vec::new(), Vec::new());
    let mut fitted = Vec::new();
    let mut curves = [(1, false), (2, false), (3, false), (1, true)].map(|kind| (kind, Vec::new()));
    for case in &cases {
        let (model, at) = Model::circuit(&case.network);
        let middle = |reach: usize| {
            let nearest = ((case.truth - 100e6) / 1e6).round() as usize;
            nearest.clamp(reach, 100 - reach)
        };
        let round = |reach: usize| &points[middle(reach) - reach..=middle(reach) + reach];
        let near = round(7);
        sweep.push((noise * model.bound(&at, &points, case.truth), 0.0));
        window.push((noise * model.bound(&at, near, case.truth), 0.0));
        wider.push((noise * model.bound(&at, round(15), case.truth), 0.0));
        let reading = |(f, off): (&f64, &C)| case.network.gamma(*f) + off.times(noise / 100.0);
        let readings: Vec<C> = points.iter().zip(&case.noise).map(reading).collect();
        let found = model.fitted(at, &points, &readings);
        fitted.push(100.0 * (model.dip(&found, case.truth).unwrap() - case.truth).abs());
        for ((degree, turned), found) in &mut curves {
            let delay = turned.then_some(case.network.delay);
            let (model, at) = Model::curve(*degree, delay, points[middle(7)], near, &case.network);
            let dip = model.dip(&at, case.truth).unwrap();
            found.push((noise * model.bound(&at, near, dip), dip - case.truth));
        }
    }
    let named = |((degree, turned), found): &((usize, bool), Vec<(f64, f64)>)| {
        let cable = if *turned { ", turned by a cable" } else { "" };
        (format!("curve of degree {degree}{cable}"), expected(found))
    };
    Bounds {
        sweep: expected(&sweep),
        fitted: two_quantiles(fitted),
        window: expected(&window),
        wider: expected(&wider),
        curves: curves.iter().map(named).collect(),
    }
}

/// The error with `noise` against the bounds of a noise of 1e-3; and of the bound against a fit of the circuit.
fn near_the_bounds(noise: f64) {
    let bounds = bounds(1e-3);
    let (median, most, _) = trial::<f64>(analyse, noise, false);
    let reached = [median * 1e6, most * 1e6];
    let show = |name: &str, [median, most]: [f64; 2]| {
        println!("{name}: {:.2} kHz, 95 % {:.1} kHz", median / 1e3, most / 1e3);
    };
    show("reached", reached);
    show("bound, circuit, 101 points", bounds.sweep);
    show("circuit fitted to 101 points", bounds.fitted);
    show("bound, circuit, 15 points", bounds.window);
    show("bound, circuit, 31 points", bounds.wider);
    for (name, bound) in &bounds.curves {
        show(&format!("bound, 15 points, {name}"), *bound);
    }
    let check =
        |name: &str, [got_median, got_most]: [f64; 2], [median, most]: [f64; 2], allowed: [f64; 2]| {
            let times = [got_median / median, got_most / most];
            println!("{name}: {times:.2?} times");
            assert!(times[0] < allowed[0], "{name}, median: {times:.2?} times");
            assert!(times[1] < allowed[1], "{name}, 95 %: {times:.2?} times");
        };
    // A bound that is wrong by a third is noticed: a fit of the circuit comes as near as the number of networks lets it.
    check("fit to bound", bounds.fitted, bounds.sweep, [1.3, 1.3]);
    check("bound to fit", bounds.sweep, bounds.fitted, [1.3, 1.3]);
    check("reached to bound", reached, bounds.sweep, [3.0, 7.0]);
    check(
        "reached to bound of 15 points",
        reached,
        bounds.window,
        [1.9, 2.4],
    );
}

/// How near to what noise allows the dip is, with noise of 1e-3 in each component of Γ.
///
/// The bound is that of Cramér and Rao, of estimators without bias (S. M. Kay, "Fundamentals of Statistical Signal Processing: Estimation Theory",
/// Prentice Hall, 1993; from memory), for the circuit's own parameters (R, L, C, stray, delay; four if L and C are
/// side by side) and normal noise. It gives each network a σ; the error of an efficient estimator is |σ·N(0, 1)|, and the
/// figures are its median and 95 % over all networks together. (The median and 95 % of 0.674 σ would be something else: the
/// median error of a network in the middle, and of a hard one.) A curve's own error, which no bound knows, is added to
/// its normal error. With 1000 networks, in kHz:
///
/// | | median | 95 % |
/// | --- | --- | --- |
/// | reached | 5.9 | 59 |
/// | bound: the circuit is known, and all 101 points | 2.3 | 9.5 |
/// | reached by a fit of the circuit to these, with a hundredth of the noise, times 100 | 2.2 | 9.1 |
/// | bound: the circuit is known, and the 31 points nearest the dip | 2.8 | 15 |
/// | bound: the circuit is known, and the fifteen nearest | 3.7 | 29 |
/// | bound: P(t)/(1 + c·t), fifteen points, P of degree 1, with its own error | 20 | 105 |
/// | the same, of degree 2 | 6.2 | 62 |
/// | the same, of degree 3 | 6.0 | 63 |
/// | the same, of degree 1, turned by a cable of unknown length | 4.3 | 32 |
///
/// So it is 2.6 and 6.2 times the bound of the sweep. Twice it in the median and three times in 95 % are not reached:
///
/// - The window takes 1.6 and 3.0 times. Where Q is 3 the dip is 50 steps wide, and fifteen points see only its bottom:
///   three times in 95 % is all that an efficient estimator could do there that knows the kind of circuit. The
///   smallest cores have no memory for a wider window.
/// - The method takes 1.6 and 2.1 times of that. It is as near as its curve of degree 2 or 3 can be: to describe a cable
///   these spend two or four real parameters more, and noise moves each. A curve that is turned by a cable spends one.
///   Γ is not linear in it: in a model of the analyser in numpy that looked for the turn by nine more fits, on two sets of a
///   thousand networks, the median was 10 and 19 % lower, and 95 % 22 and 8 %. That makes a point dearer.
///
/// Tried in that model, within the fifteen points, and left, since none takes 10 % from the 95 % of both sets: other orders
/// of the fits; fits accepted up to 2.5 times what the most flexible one leaves instead of 1.5 (7 and 8 %; in the analyser
/// itself 95 % of 250 networks did not change, and the crossings of clean sweeps in 16 bits got worse); on one of the sets, weights
/// 1/|1 + c·t|² in a second pass, and a correction of c for the noise in its own column (below 1 %).
#[test]
fn the_dip_is_near_what_noise_allows() {
    near_the_bounds(1e-3);
}

/// The law can fail: twice the noise is not as near.
#[test]
#[should_panic(expected = "reached to bound, median")]
fn twice_the_noise_is_not_near_the_bounds() {
    near_the_bounds(2e-3);
}
