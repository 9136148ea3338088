//! Measured against predicted: how far apart, and which single thing explains it.

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{
    Complex, Component, Hertz, ImpedanceRatio, Inductance, LIGHT, Metres, Ratio, Reference, Reflection,
    positive_frequency,
};

/// One parameter of a prediction that may be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Suspect {
    /// The impedance ratio: everything seen is a number of times what was predicted.
    Ratio,
    /// An inductance in series with the input, as the leakage of a transformer is.
    Leakage,
    /// A length of line of the reference's impedance in front of the input.
    LineLength,
}

impl fmt::Display for Suspect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Ratio => "ratio",
            Self::Leakage => "leakage",
            Self::LineLength => "line length",
        })
    }
}

/// By how much a parameter would have to differ from what was assumed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum Change<A: Arithmetic> {
    /// Impedances so many times as large as predicted.
    TimesImpedance(ImpedanceRatio<A>),
    /// So much more inductance in series.
    MoreInductance(Inductance<A>),
    /// So much less.
    LessInductance(Inductance<A>),
    /// A line longer by so many metres, as the wave counts them in vacuum; times the velocity factor they are metres of
    /// cable.
    LongerLine(Metres<A>),
    /// A line shorter by so many.
    ShorterLine(Metres<A>),
}

/// What is left of the difference where one parameter alone is allowed to differ.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Explanation<A: Arithmetic> {
    /// Which.
    pub suspect: Suspect,
    /// By how much.
    pub change: Change<A>,
    /// The root of the mean |ΔΓ|² that is left with it.
    pub residual: Component<A>,
    /// The share of the mean |ΔΓ|² that it explains, 0 to 1.
    pub share: Ratio<A>,
    /// True where another pass would gain no more than a ten-thousandth of what is left, or rounding.
    pub settled: bool,
}

/// A parameter and what it left, by trial.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Trial<W> {
    value: W,
    /// Σ|ΔΓ|² there.
    square: W,
}

/// One suspect during a pass.
#[derive(Clone, Copy, Debug)]
struct Candidate<W> {
    suspect: Suspect,
    /// The best place tried so far, from earlier passes.
    before: Option<Trial<W>>,
    /// Where this pass tries it.
    value: W,
    /// Σ|ΔΓ|², Σ|dΓ|² and Σ Re ΔΓ·dΓ*.
    square: W,
    slope: W,
    product: W,
}

impl<W: Real> Candidate<W> {
    fn new(suspect: Suspect, before: Option<Trial<W>>, value: W) -> Self {
        Self {
            suspect,
            before,
            value,
            square: W::ZERO,
            slope: W::ZERO,
            product: W::ZERO,
        }
    }
}

/// Where a suspect stands after a pass.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Standing<W> {
    suspect: Suspect,
    best: Trial<W>,
    /// What the next pass should try.
    next: W,
    /// The value to report, and Σ|ΔΓ|² with it.
    value: W,
    left: W,
    settled: bool,
}

/// A comparison of measured and predicted reflections, one pair at a time, in constant memory.
///
/// A pass fits each suspect alone, by a step of Gauss and Newton from where it starts; the first starts from the
/// prediction. For small differences one pass is enough. [`again`](Self::again) starts the next from where the last
/// ended; [`sweep`](Self::sweep) does as many as are needed over pairs in memory.
///
/// ```
/// use ohmwright::measure::{Change, PredictionCheck, Suspect};
/// use ohmwright::quantity::{Hertz, Impedance, Reference};
///
/// // Predicted was 50 Ω and a resonance; 60 Ω is what came, everything else alike.
/// let pairs = (60..=80).map(|mhz| {
///     let x = f64::from(mhz) - 70.0;
///     let gamma = |times: f64| Impedance::<f64>::new(50.0 * times, x * times).map(|z| z.reflection(Reference::fifty()));
///     Ok((Hertz::from_megahertz(mhz), gamma(1.2)?, gamma(1.0)?))
/// });
/// let pairs: Result<Vec<_>, ohmwright::quantity::QuantityError> = pairs.collect();
/// let report = PredictionCheck::sweep(Reference::fifty(), pairs?.iter().copied())?.unwrap();
/// let best = report.best();
/// assert_eq!(best.suspect, Suspect::Ratio);
/// let Change::TimesImpedance(times) = best.change else { panic!() };
/// assert!((times - 1.2).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct PredictionCheck<A: Arithmetic> {
    reference: Reference<A>,
    /// The unit of frequency: the first one that came.
    unit: Hertz,
    points: u32,
    sum: A::Working,
    square: A::Working,
    largest: A::Working,
    largest_at: Hertz,
    candidates: [Candidate<A::Working>; 3],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for PredictionCheck<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "comparison of {=u32} pairs so far", self.points);
    }
}

/// How far measured and predicted reflections are apart.
#[derive(Clone, Copy, Debug, PartialEq)]
#[must_use = "it tells what was found"]
pub struct PredictionReport<A: Arithmetic> {
    /// Pairs compared.
    pub points: u32,
    /// The largest |ΔΓ|; saturates at the end of the word.
    pub largest: Component<A>,
    /// Where it is.
    pub largest_at: Hertz,
    /// The mean |ΔΓ|.
    pub mean: Component<A>,
    /// The root of the mean |ΔΓ|².
    pub root_mean_square: Component<A>,
    explanations: [Explanation<A>; 3],
    unit: Hertz,
    standings: [Standing<A::Working>; 3],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for PredictionReport<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{=u32} pairs, difference {} at most (at {}), {} on average; best {}",
            self.points,
            self.largest,
            self.largest_at,
            self.mean,
            *self.best()
        );
    }
}

/// Passes that [`PredictionCheck::sweep`] makes at most.
const PASSES: u32 = 24;

impl<A: Arithmetic> PredictionCheck<A> {
    /// For reflections against this reference.
    pub fn new(reference: Reference<A>) -> Self {
        // A ratio of 1, no inductance, no line.
        let candidates = [
            Candidate::new(Suspect::Ratio, None, A::Working::ONE),
            Candidate::new(Suspect::Leakage, None, A::Working::ZERO),
            Candidate::new(Suspect::LineLength, None, A::Working::ZERO),
        ];
        Self::starting(reference, Hertz::new(0), candidates)
    }

    /// The next pass: push the same pairs again.
    #[must_use]
    pub fn again(&self, report: &PredictionReport<A>) -> Self {
        let candidates = report
            .standings
            .map(|standing| Candidate::new(standing.suspect, Some(standing.best), standing.next));
        Self::starting(self.reference, report.unit, candidates)
    }

    /// Pairs taken in by this pass so far.
    pub fn points(&self) -> u32 {
        self.points
    }

    fn starting(reference: Reference<A>, unit: Hertz, candidates: [Candidate<A::Working>; 3]) -> Self {
        let none = A::Working::ZERO;
        Self {
            reference,
            unit,
            points: 0,
            sum: none,
            square: none,
            largest: none,
            largest_at: Hertz::new(0),
            candidates,
        }
    }

    /// All passes over pairs (frequency, measured, predicted) in memory, until every suspect is settled, at most 24.
    /// `None` without pairs.
    ///
    /// # Errors
    /// As [`push`](Self::push).
    pub fn sweep(
        reference: Reference<A>,
        pairs: impl Iterator<Item = (Hertz, Reflection<A>, Reflection<A>)> + Clone,
    ) -> Result<Option<PredictionReport<A>>, QuantityError> {
        let mut check = Self::new(reference);
        let mut report = None;
        for _ in 0..PASSES {
            for (frequency, measured, predicted) in pairs.clone() {
                check.push(frequency, measured, predicted)?;
            }
            report = check.report();
            match &report {
                Some(report) if !report.explanations.iter().all(|one| one.settled) => {
                    check = check.again(report);
                }
                _ => break,
            }
        }
        Ok(report)
    }

    /// Takes in a pair. The order of frequencies does not matter.
    ///
    /// # Errors
    /// A frequency of 0; nothing is taken in then.
    pub fn push(
        &mut self,
        frequency: Hertz,
        measured: Reflection<A>,
        predicted: Reflection<A>,
    ) -> Result<(), QuantityError> {
        positive_frequency(frequency)?;
        if self.unit.get() == 0 {
            self.unit = frequency;
        }
        let t = A::Working::from_u64(frequency.get()) / A::Working::from_u64(self.unit.get());
        let (measured, predicted) = (measured.complex(), predicted.complex());
        let apart = measured - predicted;
        let size = apart.magnitude();
        self.sum = self.sum + size;
        self.square = self.square + apart.power();
        if self.points == 0 || size > self.largest {
            self.largest = size;
            self.largest_at = frequency;
        }
        for candidate in &mut self.candidates {
            let (model, slope) = model(candidate.suspect, candidate.value, t, predicted);
            let left = measured - model;
            candidate.square = candidate.square + left.power();
            candidate.slope = candidate.slope + slope.power();
            candidate.product = candidate.product + (left.re * slope.re + left.im * slope.im);
        }
        self.points = self.points.saturating_add(1);
        Ok(())
    }

    /// The comparison so far; `None` without pairs.
    pub fn report(&self) -> Option<PredictionReport<A>> {
        if self.points == 0 {
            return None;
        }
        let count = A::Working::from_u64(u64::from(self.points));
        let standings = self.candidates.map(|candidate| stand(candidate, self.square));
        let explained = |standing: Standing<A::Working>| Explanation {
            suspect: standing.suspect,
            change: self.change(standing.suspect, standing.value),
            residual: Component::<A>::from_working((standing.left / count).square_root()),
            share: Ratio::<A>::from_working(if self.square.is_zero() {
                A::Working::ZERO
            } else {
                A::Working::ONE - (standing.left / self.square).smaller(A::Working::ONE)
            }),
            settled: standing.settled,
        };
        Some(PredictionReport {
            points: self.points,
            largest: Component::<A>::from_working(self.largest),
            largest_at: self.largest_at,
            mean: Component::<A>::from_working(self.sum / count),
            root_mean_square: Component::<A>::from_working((self.square / count).square_root()),
            explanations: standings.map(explained),
            unit: self.unit,
            standings,
        })
    }

    /// A parameter in the units of its kind.
    fn change(&self, suspect: Suspect, value: A::Working) -> Change<A> {
        let less = value < A::Working::ZERO;
        match suspect {
            Suspect::Ratio => Change::TimesImpedance(ImpedanceRatio::from_working(value)),
            Suspect::Leakage => {
                let henries = value.absolute() * self.reference.working() / self.unit.angular::<A::Working>();
                let inductance = Inductance::from_base(henries);
                if less {
                    Change::LessInductance(inductance)
                } else {
                    Change::MoreInductance(inductance)
                }
            }
            Suspect::LineLength => {
                // Waves at the unit of frequency, by the speed of light in vacuum.
                let wave = A::Working::from_u64(LIGHT) / A::Working::from_u64(self.unit.get());
                let metres = Metres::<A>::from_working(value.absolute() * wave);
                if less {
                    Change::ShorterLine(metres)
                } else {
                    Change::LongerLine(metres)
                }
            }
        }
    }
}

impl<A: Arithmetic> PredictionReport<A> {
    /// The three suspects, each alone, in the order ratio, leakage, line length.
    pub fn explanations(&self) -> &[Explanation<A>; 3] {
        &self.explanations
    }

    /// The suspect that leaves the least; among equals the first.
    ///
    /// It may still explain little: [`Explanation::share`] says how much.
    pub fn best(&self) -> &Explanation<A> {
        let [first, second, third] = &self.explanations;
        let [a, b, c] = self.standings.map(|standing| standing.left);
        if b < a && b <= c {
            second
        } else if c < a {
            third
        } else {
            first
        }
    }
}

/// What a pass says of a suspect; `whole` is Σ|ΔΓ|² of the prediction as it is.
fn stand<W: Real>(candidate: Candidate<W>, whole: W) -> Standing<W> {
    let suspect = candidate.suspect;
    let here = Trial {
        value: candidate.value,
        square: candidate.square,
    };
    if let Some(before) = candidate.before.filter(|before| before.square < here.square) {
        // The step went too far: half of the way, unless nothing is to be gained.
        let next = (before.value + here.value) * W::HALF;
        return Standing {
            suspect,
            best: before,
            next,
            value: before.value,
            left: before.square,
            settled: (here.square - before.square) <= whole * W::EPSILON || next == before.value,
        };
    }
    let sums = [candidate.slope, candidate.product, candidate.square];
    if candidate.slope.is_zero() || !sums.iter().all(|sum| sum.is_finite()) {
        return Standing {
            suspect,
            best: here,
            next: here.value,
            value: here.value,
            left: here.square,
            settled: true,
        };
    }
    let step = candidate.product / candidate.slope;
    let gain = candidate.product * step;
    let next = match suspect {
        // In the logarithm: it stays positive, and no more than to a half or twice at once.
        Suspect::Ratio => here.value * (W::ONE + step).larger(W::HALF).smaller(W::TWO),
        _ => here.value + step,
    };
    let left = (here.square - gain).larger(W::ZERO);
    // What is left to be gained is small against what is left, or no more than some roundings of Γ.
    let small = here.square / W::from_i32(10_000);
    let rounding = whole * W::EPSILON.square() * W::from_i32(256);
    Standing {
        suspect,
        best: here,
        next,
        value: next,
        left,
        settled: (gain <= small && candidate.before.is_some()) || gain <= rounding,
    }
}

/// The predicted Γ with a parameter changed, and its derivative: by the logarithm of the ratio, the reactance at the unit
/// of frequency in units of the reference, or the length in waves at the unit of frequency.
fn model<W: Real>(suspect: Suspect, value: W, t: W, gamma: Complex<W>) -> (Complex<W>, Complex<W>) {
    let imaginary = |value: W| Complex::new(W::ZERO, value);
    let two = Complex::real(W::TWO);
    match suspect {
        Suspect::Ratio => {
            // z·ρ, as a map of Γ: an open and a short stay what they are.
            let (up, down) = (value + W::ONE, value - W::ONE);
            let above = Complex::real(down) + gamma.scale(up);
            let model = above / (Complex::real(up) + gamma.scale(down));
            (model, (Complex::ONE - model * model).scale(W::HALF))
        }
        Suspect::Leakage => {
            let added = (Complex::ONE - gamma) * imaginary(value * t);
            let model = (gamma.scale(W::TWO) + added) / (two + added);
            let away = Complex::ONE - model;
            (model, (away * away * imaginary(t)).scale(W::HALF))
        }
        Suspect::LineLength => {
            // There and back.
            let (sine, cosine) = (W::TWO * value * t).sine_cosine();
            let model = gamma * Complex::new(cosine, -sine);
            (model, model * imaginary(-(W::TWO * W::TAU * t)))
        }
    }
}
