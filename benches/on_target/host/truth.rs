//! The answers against double precision, within the crate's own table of accuracy.
//!
//! The formulas are those of the textbooks, written anew; the words are taken apart here by their documented formats, so
//! that nothing of the crate but the table is trusted.

use ohmwright::arithmetic::accuracy::{Family, Readout, bound};

use crate::kernels::{STEP_FEMTOFARADS, STEP_FREQUENCY, TABLE_POINTS, TARGET, table_hertz, table_terms};
use crate::points::{Complex, ONE, Z0, sweep};
use crate::table::Timed;

/// What a word stands for.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Component,
    Ohms,
    Ratio,
    Decibels,
    Degrees,
    Siemens,
}

/// The formats of a path's words.
#[derive(Clone, Copy)]
pub struct Format {
    /// Binary digits after the point of a component; none: `f32` throughout.
    pub component: Option<u32>,
}

impl Format {
    fn value(self, kind: Kind, word: u32) -> f64 {
        let Some(component) = self.component else {
            return f64::from(f32::from_bits(word));
        };
        match kind {
            Kind::Component => f64::from(word as i32) / f64::from(1u32 << component),
            Kind::Ohms => f64::from(word as i32) / 4096.0,
            Kind::Siemens => f64::from(word as i32) / f64::from(1u32 << 24),
            Kind::Ratio => f64::from(word) / 65536.0,
            Kind::Decibels | Kind::Degrees => f64::from(word as i32) / 65536.0,
        }
    }

    /// What a word of a component stands for.
    pub fn component_of(self, word: u32) -> f64 {
        self.value(Kind::Component, word)
    }

    /// What a word of an SWR stands for.
    pub fn ratio_of(self, word: u32) -> f64 {
        self.value(Kind::Ratio, word)
    }

    /// What a word of ohms stands for.
    pub fn ohms_of(self, word: u32) -> f64 {
        self.value(Kind::Ohms, word)
    }

    /// The ends of a word, where it saturates.
    fn ends(self, kind: Kind) -> (f64, f64) {
        let Some(component) = self.component else {
            return (f64::NEG_INFINITY, f64::INFINITY);
        };
        let signed = |bits: u32, fraction: u32| {
            let size = f64::from(2u32.pow(bits - 1));
            let unit = 1.0 / f64::from(1u32 << fraction);
            (-size * unit, (size - 1.0) * unit)
        };
        match kind {
            Kind::Component if component < 16 => signed(16, component),
            Kind::Component => signed(32, component),
            Kind::Ohms => signed(32, 12),
            Kind::Siemens => signed(32, 24),
            Kind::Ratio => (0.0, f64::from(u32::MAX) / 65536.0),
            Kind::Decibels | Kind::Degrees => signed(32, 16),
        }
    }

    /// Γ or an impedance as the core holds it.
    fn pair(self, kind: Kind, words: &[u32]) -> Complex {
        Complex::new(self.value(kind, words[0]), self.value(kind, words[1]))
    }
}

/// One figure that should come out.
struct Figure {
    kind: Kind,
    readout: Readout,
    truth: f64,
    /// What a relative bound refers to.
    scale: f64,
}

/// The figures of a Γ, in the order in which a point of `all_readouts` is told.
fn figures(gamma: Complex) -> [Figure; 9] {
    let power = gamma.square();
    let passive = 1.0 - power;
    let magnitude = gamma.size();
    let (z, size) = if gamma == ONE {
        (Complex::new(f64::INFINITY, 0.0), f64::INFINITY)
    } else {
        let z = ((ONE + gamma) / (ONE - gamma)).scale(Z0);
        let away = (ONE - gamma).square();
        // Without cancelling: R from 1 − |Γ|².
        let resistance = Z0 * passive / away;
        (Complex::new(resistance, z.im), z.size())
    };
    let figure = |kind, readout, truth: f64, scale: f64| Figure {
        kind,
        readout,
        truth,
        scale,
    };
    let plain = |kind, readout, truth: f64| figure(kind, readout, truth, truth.abs());
    let total = passive <= 0.0;
    let swr = if total {
        f64::INFINITY
    } else {
        (1.0 + magnitude).powi(2) / passive
    };
    let loss = if total {
        f64::INFINITY
    } else {
        -10.0 * passive.log10()
    };
    let q = if gamma.im == 0.0 {
        0.0
    } else {
        (2.0 * gamma.im / passive).abs()
    };
    let phase = if power == 0.0 {
        0.0
    } else {
        gamma.im.atan2(gamma.re).to_degrees()
    };
    [
        plain(Kind::Component, Readout::Magnitude, magnitude),
        plain(Kind::Ratio, Readout::Swr, swr),
        plain(Kind::Decibels, Readout::ReturnLoss, -20.0 * magnitude.log10()),
        plain(Kind::Decibels, Readout::MismatchLoss, loss),
        figure(Kind::Ohms, Readout::Resistance, z.re, size),
        figure(Kind::Ohms, Readout::Reactance, z.im, size),
        plain(Kind::Ohms, Readout::ImpedanceMagnitude, size),
        plain(Kind::Degrees, Readout::Phase, phase),
        plain(Kind::Ratio, Readout::Q, q),
    ]
}

fn component(truth: f64, size: f64) -> Figure {
    Figure {
        kind: Kind::Component,
        readout: Readout::Reflection,
        truth,
        scale: size,
    }
}

/// The allowance on a figure; `below` is the size of what a correction divides by, 1 elsewhere.
///
/// The baseline has no row in the table: it is no claim of this crate, and only gross mistakes are looked for.
fn allowance(family: Option<Family>, kernel: Timed, figure: &Figure, passive: f64, below: f64) -> f64 {
    let Some(family) = family else {
        let distance = passive.abs();
        return if distance < 1e-3 {
            f64::INFINITY
        } else {
            1e-3 * (1.0 + figure.scale) + 1e-6 / distance
        };
    };
    if matches!(kernel, Timed::LadderStep | Timed::TwoElement) {
        // What `Ladder` and `two_element` promise: half a step of the word, and a few roundings of the largest number that
        // goes into the figure.
        let (step, roundings) = match (family, figure.kind) {
            (Family::Fixed32 | Family::Fixed16, Kind::Ohms) => (0.5 / 4096.0, 5e-8),
            (Family::Fixed32 | Family::Fixed16, _) => (0.5 / f64::from(1u32 << 24), 5e-8),
            _ => (0.0, 2e-6),
        };
        return step + roundings * figure.scale;
    }
    if kernel == Timed::CalibrationSolve {
        // What `ErrorTerms::solve` promises.
        return match family {
            Family::Fixed32 => 5e-9,
            Family::Fixed16 => 3.1e-5,
            _ => 6e-7,
        };
    }
    if matches!(kernel, Timed::Correction | Timed::TableCorrection) {
        // What `ErrorTerms::correct` promises in fixed point; it stands in no table. In single precision a few roundings
        // of numbers up to 1.
        let promised = match family {
            Family::Fixed32 => 2.5e-8,
            Family::Fixed16 => 4e-5,
            _ => 6e-7,
        };
        return promised / below;
    }
    bound(figure.readout, family).allowance(figure.scale, passive)
}

/// Directivity, source match and tracking from three devices, each as known Γ and reading: the linear equations
/// m = e00 + Γ·m·e11 − Γ·Δ, eliminated one by one.
fn solved(readings: [(Complex, Complex); 3]) -> [Complex; 3] {
    let [first, second, third] = readings.map(|(gamma, raw)| (gamma * raw, gamma, raw));
    // Without e00.
    let less = |a: (Complex, Complex, Complex)| (a.0 - third.0, a.1 - third.1, a.2 - third.2);
    let (a, b) = (less(first), less(second));
    let source_match = (a.2 * b.1 - b.2 * a.1) / (a.0 * b.1 - b.0 * a.1);
    let delta = (a.0 * source_match - a.2) / a.1;
    let directivity = third.2 - third.0 * source_match + third.1 * delta;
    [directivity, source_match, directivity * source_match - delta]
}

/// An impedance behind a capacitor, and how much of it is left of what was added.
fn step(z: Complex) -> Vec<Figure> {
    let susceptance =
        std::f64::consts::TAU * STEP_FREQUENCY.get() as f64 * f64::from(STEP_FEMTOFARADS) * 1e-15;
    let seen = z / (ONE + Complex::new(-susceptance * z.im, susceptance * z.re));
    let size = seen.size();
    let grown = size * (1.0 + susceptance * z.size()) * (size / z.size().max(1e-9)).max(1.0);
    let figure = |truth, readout| Figure {
        kind: Kind::Ohms,
        readout,
        truth,
        scale: grown,
    };
    vec![
        figure(seen.re, Readout::Resistance),
        figure(seen.im, Readout::Reactance),
    ]
}

/// The four networks of two elements between an impedance and 50 Ω; `None` where a hair decides whether there are any.
fn two_element(z: Complex) -> Option<Vec<Figure>> {
    let mut figures = Vec::new();
    let mut pair = |x: f64, x_scale: f64, b: f64, b_scale: f64| {
        for (kind, readout, truth, scale) in [
            (Kind::Ohms, Readout::Reactance, x, x_scale),
            (Kind::Siemens, Readout::Susceptance, b, b_scale),
        ] {
            figures.push(Figure {
                kind,
                readout,
                truth,
                scale,
            });
        }
    };
    if z.re <= 0.0 {
        for _ in 0..4 {
            pair(0.0, 0.0, 0.0, 0.0);
        }
        return Some(figures);
    }
    let y = ONE / z;
    // First the element at the load: it makes the real part of the inverse that of the other end.
    for (end, other, shunt_first) in [(y, Z0, true), (z, 1.0 / Z0, false)] {
        let above = 1.0 / other - end.re;
        let sharp = (1.0 / other + end.re) / above.abs();
        if sharp > 1e4 {
            return None;
        }
        let root = (end.re * above.max(0.0)).sqrt();
        for sign in [1.0, -1.0] {
            if above < 0.0 {
                pair(0.0, 0.0, 0.0, 0.0);
                continue;
            }
            let (first, second) = (sign * root - end.im, sign * root * other / end.re);
            let (first_scale, second_scale) = (root * sharp + end.size(), second.abs() * sharp);
            if shunt_first {
                pair(second, second_scale, first, first_scale);
            } else {
                pair(first, first_scale, second, second_scale);
            }
        }
    }
    Some(figures)
}

/// Checks one answer. `input` is what the core was given: words of Γ, of an impedance, or of a reading and its terms.
pub fn check(
    kernel: Timed,
    format: Format,
    family: Option<Family>,
    input: &[u32],
    answer: &[u32],
) -> Result<(), String> {
    let mut below = 1.0;
    let (gamma, expected): (Complex, Vec<Figure>) = match kernel {
        Timed::Reflection => {
            let z = format.pair(Kind::Ohms, input);
            let z0 = Complex::new(Z0, 0.0);
            let gamma = (z - z0) / (z + z0);
            let size = gamma.size();
            (gamma, vec![component(gamma.re, size), component(gamma.im, size)])
        }
        Timed::TableCorrection => {
            let hertz = input[0];
            let place = (0..TABLE_POINTS as u32 - 2)
                .take_while(|place| table_hertz(place + 1) <= hertz)
                .count();
            let way = f64::from(hertz - table_hertz(place as u32))
                / f64::from(table_hertz(place as u32 + 1) - table_hertz(place as u32));
            let at = |place: usize| {
                table_terms(place as i32)
                    .map(|(re, im)| Complex::new(f64::from(re), f64::from(im)).scale(1.0 / 1024.0))
            };
            let (low, high) = (at(place), at(place + 1));
            let term = |n: usize| low[n] + (high[n] - low[n]).scale(way);
            let above = format.pair(Kind::Component, &input[1..]) - term(0);
            let divisor = term(2) + term(1) * above;
            below = divisor.size();
            let gamma = above / divisor;
            let size = gamma.size();
            (gamma, vec![component(gamma.re, size), component(gamma.im, size)])
        }
        Timed::CalibrationSolve => {
            let at = |place: usize| format.pair(Kind::Component, &input[2 * place..]);
            let terms = solved([(at(0), at(1)), (at(2), at(3)), (at(4), at(5))]);
            let figures = terms
                .iter()
                .flat_map(|term| [component(term.re, 1.0), component(term.im, 1.0)]);
            (ONE, figures.collect())
        }
        Timed::LadderStep => {
            let z = format.pair(Kind::Ohms, input);
            (z, step(z))
        }
        Timed::TwoElement => {
            let z = format.pair(Kind::Ohms, input);
            match two_element(z) {
                Some(figures) => (z, figures),
                None => return Ok(()),
            }
        }
        Timed::Correction => {
            let at = |place: usize| format.pair(Kind::Component, &input[2 * place..]);
            let above = at(0) - at(1);
            let divisor = at(3) + at(2) * above;
            below = divisor.size();
            let gamma = above / divisor;
            let size = gamma.size();
            (gamma, vec![component(gamma.re, size), component(gamma.im, size)])
        }
        _ => {
            let gamma = format.pair(Kind::Component, input);
            let wanted: &[usize] = match kernel {
                Timed::Magnitude => &[0],
                Timed::Swr => &[1],
                Timed::ReturnLoss => &[2],
                Timed::MismatchLoss => &[3],
                Timed::Impedance => &[4, 5],
                Timed::ImpedanceMagnitude => &[6],
                Timed::SummaryReadouts => &[1, 2, 4, 5],
                Timed::Phase => &[7],
                Timed::Q => &[8],
                Timed::AllReadouts | Timed::AllReadoutsFifty => &[0, 1, 2, 3, 4, 5, 6, 7, 8],
                _ => &[],
            };
            let all = figures(gamma).into_iter().enumerate();
            let some = all
                .filter(|(place, _)| wanted.contains(place))
                .map(|(_, figure)| figure);
            (gamma, some.collect())
        }
    };
    if answer.len() != expected.len() {
        return Err(format!(
            "{} words came for {} figures",
            answer.len(),
            expected.len()
        ));
    }
    let passive = match kernel {
        Timed::Reflection
        | Timed::Correction
        | Timed::TableCorrection
        | Timed::CalibrationSolve
        | Timed::LadderStep
        | Timed::TwoElement => 1.0,
        _ => 1.0 - gamma.square(),
    };
    for (figure, &word) in expected.iter().zip(answer) {
        let value = format.value(figure.kind, word);
        let (least, most) = format.ends(figure.kind);
        // Beyond the ends of the word of ohms the whole impedance counts as open: nothing to compare.
        if figure.kind == Kind::Ohms && (figure.scale >= most || figure.scale.is_infinite()) {
            continue;
        }
        let truth = figure.truth.clamp(least, most);
        let mut error = if value == truth {
            0.0
        } else {
            (value - truth).abs()
        };
        if figure.kind == Kind::Degrees {
            error = error.min((360.0 - error).abs());
        }
        let allowed = allowance(family, kernel, figure, passive, below);
        // Not `>`, which would let a NaN pass; but where everything is allowed, so is that.
        if !(error == 0.0 || error <= allowed || allowed == f64::INFINITY) {
            return Err(format!(
                "{:?} of Γ = {} + j({}): {value} instead of {truth}, {error:e} off where {allowed:e} is allowed",
                figure.readout, gamma.re, gamma.im
            ));
        }
    }
    Ok(())
}

/// Checks the report of the sweep against the closed forms of its circuit.
///
/// A lossless cable turns Γ and leaves |Γ| as it is: minimum and edges of the band are those of the whip alone.
pub fn check_report(format: Format, by_three_points: bool, words: &[u32]) -> Result<(), String> {
    // A 32-bit component costs a few hertz; in 16 bits the steps of Γ show as noise.
    let (hertz, gamma) = match format.component {
        // Three points average no steps.
        Some(component) if component < 16 && by_three_points => (20_000.0, 2e-3),
        Some(component) if component < 16 => (20_000.0, 3e-4),
        Some(_) => (60.0, 1e-5),
        None => (250.0, 2e-5),
    };
    let mut words = words.iter().copied();
    let mut next = || words.next().ok_or("the report is too short");
    let points = next()?;
    if points != 401 {
        return Err(format!("{points} points instead of 401"));
    }
    let edge = sweep::reactance_of_size(1.0 / 3.0);
    let close = |name: &str, got: f64, truth: f64, allowed: f64| {
        if (got - truth).abs() <= allowed {
            Ok(())
        } else {
            Err(format!("{name} of the sweep: {got} instead of {truth}"))
        }
    };
    let bands = next()?;
    if bands != 1 {
        return Err(format!("{bands} bands instead of one"));
    }
    close(
        "lower edge",
        next()?.into(),
        sweep::frequency_of_reactance(-edge),
        hertz,
    )?;
    close(
        "upper edge",
        next()?.into(),
        sweep::frequency_of_reactance(edge),
        hertz,
    )?;
    let dips = next()?;
    if dips != 1 {
        return Err(format!("{dips} dips instead of one"));
    }
    let resonance = sweep::frequency_of_reactance(0.0);
    close("dip", next()?.into(), resonance, hertz)?;
    for _ in 0..next()? {
        // At the near end of the cable Im Γ changes its sign where X does.
        let frequency = f64::from(next()?);
        let there = sweep::reflection(frequency);
        let slope =
            (sweep::reflection(frequency + 500.0).im - sweep::reflection(frequency - 500.0).im) / 1000.0;
        close("crossing", frequency, frequency - there.im / slope, hertz)?;
        // Resistance and Q follow from the rest; they are compared bit for bit.
        next()?;
        next()?;
    }
    for (name, frequency) in [("best point", resonance), ("target", TARGET.get() as f64)] {
        let truth = sweep::reflection(frequency);
        close(name, format.value(Kind::Component, next()?), truth.re, gamma)?;
        close(name, format.value(Kind::Component, next()?), truth.im, gamma)?;
    }
    Ok(())
}

/// Checks a tuner's decision against trying all settings in double precision.
///
/// The reading is the load itself: the bank has no strays. In 16 bits what is told of Γ is coarse, the choice is not.
pub fn check_decision(format: Format, input: &[u32], words: &[u32]) -> Result<(), String> {
    use crate::kernels::bank::*;
    let load = format.pair(Kind::Component, input);
    let [coils, capacitors, at_load, re, im] = *words else {
        return Err(format!("no setting for the load {load:?}"));
    };
    let omega = std::f64::consts::TAU * FREQUENCY_HZ as f64;
    let sum = |code: u32, unit: f64, q: i32| {
        let x = f64::from(code) * unit;
        Complex::new(x / f64::from(q), x)
    };
    let coil = omega * f64::from(COIL_PICOHENRIES) * 1e-12 / Z0;
    let capacitor = omega * f64::from(CAPACITOR_FEMTOFARADS) * 1e-15 * Z0;
    let reflection = |coils: u32, capacitors: u32, at_load: bool| {
        let (z, y) = (sum(coils, coil, COIL_Q), sum(capacitors, capacitor, CAPACITOR_Q));
        // Voltage and current, up to a factor.
        let (mut v, mut i) = (
            Complex::new(1.0 + load.re, load.im),
            Complex::new(1.0 - load.re, -load.im),
        );
        let plus = |a: Complex, b: Complex| Complex::new(a.re + b.re, a.im + b.im);
        if at_load {
            i = plus(i, y * v);
            v = plus(v, z * i);
        } else {
            v = plus(v, z * i);
            i = plus(i, y * v);
        }
        (v - i) / plus(v, i)
    };
    let mut best = f64::INFINITY;
    for at_load in [false, true] {
        for code in 0..65_536 {
            best = best.min(reflection(code >> 8, code & 255, at_load).square());
        }
    }
    let chosen = reflection(coils, capacitors, at_load != 0);
    // What rounding to the family's numbers may cost. Two settings can be as good as each other.
    let (allowed, told) = match format.component {
        Some(component) if component < 16 => (1e-6, 8e-5),
        Some(_) => (1e-6, 1e-6),
        None => (2e-5, 1e-4),
    };
    if chosen.size() > best.sqrt() + allowed {
        return Err(format!(
            "|Γ| {} with {coils}/{capacitors}/{at_load} where {} can be had of {load:?}",
            chosen.size(),
            best.sqrt()
        ));
    }
    let off = (format.pair(Kind::Component, &[re, im]) - chosen).size();
    if off > told {
        return Err(format!("Γ told is {off:e} off what the setting gives"));
    }
    Ok(())
}
