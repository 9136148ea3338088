//! Measured against predicted: the difference, and which single cause explains it.

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::measure::line::echoes::Echoes;
use crate::quantity::{
    Complex, Component, Hertz, ImpedanceRatio, Inductance, LIGHT, Metres, Ratio, Reference, Reflection,
    positive_frequency,
};

/// A parameter of a prediction that may be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Suspect {
    /// The impedance ratio: every impedance is a multiple of the predicted one.
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

/// The difference of a parameter from its assumed value.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum Change<A: Arithmetic> {
    /// All impedances are this many times the predicted ones.
    TimesImpedance(ImpedanceRatio<A>),
    /// This inductance more in series.
    MoreInductance(Inductance<A>),
    /// This inductance less in series.
    LessInductance(Inductance<A>),
    /// A line longer by this many metres in vacuum; multiply by the velocity factor for metres of cable.
    LongerLine(Metres<A>),
    /// A line shorter by this many metres in vacuum.
    ShorterLine(Metres<A>),
}

/// The remaining difference if one parameter alone may change.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Explanation<A: Arithmetic> {
    /// The parameter.
    pub suspect: Suspect,
    /// Its change.
    pub change: Change<A>,
    /// The root of the mean |ΔΓ|² that remains.
    pub residual: Component<A>,
    /// The fraction of the mean |ΔΓ|² that it explains, 0 to 1.
    pub share: Ratio<A>,
    /// True if another pass would improve the result by no more than a ten-thousandth of the remainder, or rounding.
    pub settled: bool,
}

/// A trial value of a parameter, and the remainder.
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
    /// The best value of earlier passes.
    before: Option<Trial<W>>,
    /// The value that this pass tries.
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

/// The state of a suspect after a pass.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Standing<W> {
    suspect: Suspect,
    best: Trial<W>,
    /// The value for the next pass.
    next: W,
    /// The value to report, and Σ|ΔΓ|² with it.
    value: W,
    left: W,
    settled: bool,
}

/// Lengths of line that the second pass tries beside that of the first: 16 to either side of none.
const LENGTHS: usize = 33;
const EITHER_SIDE: i32 = 16;

/// The second pass looks for the length of line far away too: Γ turns round with it, so that a step from 0 alone would
/// end at the next half wave.
#[derive(Clone, Copy, Debug)]
struct Search<W> {
    /// Σ measured·predicted*, turned on by each length in waves at the unit of frequency: where it is largest, its size
    /// says how much that length explains, and its angle how far away the best length is.
    echoes: Echoes<W, LENGTHS>,
    /// Σ|predicted|², and the same times the frequency.
    predicted: W,
    moment: W,
    /// Σ|measured|².
    measured: W,
}

impl<W: Real> Search<W> {
    /// `highest` in units of the first frequency.
    fn new(highest: W) -> Self {
        // An eighth of a wave at the highest frequency, there and back a quarter of a turn.
        let spacing = W::ONE / (W::from_i32(8) * highest);
        Self {
            echoes: Echoes::new(-spacing * W::from_i32(EITHER_SIDE), spacing),
            predicted: W::ZERO,
            moment: W::ZERO,
            measured: W::ZERO,
        }
    }

    fn push(&mut self, t: W, measured: Complex<W>, predicted: Complex<W>) {
        // There and back.
        self.echoes.push(W::TWO * t, measured * predicted.conjugate());
        let power = predicted.power();
        self.predicted = self.predicted + power;
        self.moment = self.moment + power * t;
        self.measured = self.measured + measured.power();
    }

    /// The length that explains most, and Σ|ΔΓ|² that it would leave.
    fn best(&self) -> Option<Trial<W>> {
        let mut found: Option<(W, W, Complex<W>)> = None;
        let mut index = W::ZERO;
        for sum in self.echoes.sums() {
            let size = sum.magnitude();
            if found.is_none_or(|(most, ..)| size > most) {
                found = Some((size, self.echoes.cells(index), *sum));
            }
            index = index + W::ONE;
        }
        let (size, start, sum) = found?;
        if size.is_zero() || self.moment <= W::ZERO {
            return None;
        }
        // What is left of the angle, by the mean frequency.
        let left = W::turns(sum.im, sum.re) * W::HALF * (self.predicted / self.moment);
        Some(Trial {
            value: start - left,
            square: (self.measured + self.predicted - W::TWO * size).larger(W::ZERO),
        })
    }
}

/// A comparison of measured and predicted reflections, one pair at a time, in constant memory.
///
/// A pass fits each suspect alone, by a Gauss–Newton step from its starting value; the first pass starts from the
/// prediction. For small differences one pass is enough. [`again`](Self::again) starts the next pass from the result of
/// the last; [`sweep`](Self::sweep) makes as many passes as needed over pairs in memory.
///
/// A length of line is looked for up to two wavelengths of the highest frequency to either side: the second pass tries 33
/// of them, an eighth of a wavelength apart, and the next starts from the best.
///
/// ```
/// use ohmwright::measure::{Change, PredictionCheck, Suspect};
/// use ohmwright::quantity::{Hertz, Impedance, Reference};
///
/// // The prediction was 50 Ω and a resonance; the measurement is 1.2 times that impedance.
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
    /// The unit of frequency: the first frequency pushed.
    unit: Hertz,
    points: u32,
    /// Whether the pairs stand at more than one frequency.
    several: bool,
    sum: A::Working,
    square: A::Working,
    largest: A::Working,
    largest_at: Hertz,
    candidates: [Candidate<A::Working>; 3],
    /// The highest frequency so far, and which pass this is.
    highest: Hertz,
    pass: u8,
    /// In the second pass.
    search: Option<Search<A::Working>>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for PredictionCheck<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "comparison of {=u32} pairs so far", self.points);
    }
}

/// The difference between measured and predicted reflections.
#[derive(Clone, Copy, Debug, PartialEq)]
#[must_use = "it reports what was found"]
pub struct PredictionReport<A: Arithmetic> {
    /// Pairs compared.
    pub points: u32,
    /// The largest |ΔΓ|; saturates at the largest word.
    pub largest: Component<A>,
    /// The frequency of the largest |ΔΓ|.
    pub largest_at: Hertz,
    /// The mean |ΔΓ|.
    pub mean: Component<A>,
    /// The root of the mean |ΔΓ|².
    pub root_mean_square: Component<A>,
    explanations: [Explanation<A>; 3],
    several: bool,
    unit: Hertz,
    standings: [Standing<A::Working>; 3],
    highest: Hertz,
    pass: u8,
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

/// The largest number of passes of [`PredictionCheck::sweep`].
const PASSES: u32 = 24;

impl<A: Arithmetic> PredictionCheck<A> {
    /// A comparison against this reference.
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
        let next = Self::starting(self.reference, report.unit, candidates);
        let search = (report.pass == 1 && report.unit.get() > 0).then(|| {
            let highest = A::Working::from_u64(report.highest.get());
            Search::new(highest / A::Working::from_u64(report.unit.get()))
        });
        Self {
            pass: report.pass.saturating_add(1),
            search,
            ..next
        }
    }

    /// The number of pairs in this pass so far.
    pub fn points(&self) -> u32 {
        self.points
    }

    fn starting(reference: Reference<A>, unit: Hertz, candidates: [Candidate<A::Working>; 3]) -> Self {
        let none = A::Working::ZERO;
        Self {
            reference,
            unit,
            points: 0,
            several: false,
            sum: none,
            square: none,
            largest: none,
            largest_at: Hertz::new(0),
            candidates,
            highest: Hertz::new(0),
            pass: 1,
            search: None,
        }
    }

    /// At most 24 passes over pairs (frequency, measured, predicted), until every suspect is settled. `None` without
    /// pairs.
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

    /// Takes a pair. The order of frequencies does not matter.
    ///
    /// # Errors
    /// [`QuantityError`] for a frequency of 0; the comparison is then unchanged.
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
        self.several |= frequency != self.unit;
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
        if let Some(search) = &mut self.search {
            search.push(t, measured, predicted);
        }
        self.highest = self.highest.max(frequency);
        self.points = self.points.saturating_add(1);
        Ok(())
    }

    /// The comparison so far; `None` without pairs.
    pub fn report(&self) -> Option<PredictionReport<A>> {
        if self.points == 0 {
            return None;
        }
        let count = A::Working::from_u64(u64::from(self.points));
        let standings = self.candidates.map(|candidate| {
            let standing = stand(candidate, self.square);
            if candidate.suspect == Suspect::LineLength {
                self.searched(candidate, standing)
            } else {
                standing
            }
        });
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
            several: self.several,
            unit: self.unit,
            standings,
            highest: self.highest,
            pass: self.pass,
        })
    }

    /// The standing of the line: nothing is settled before the search, which may name another length to go on from.
    fn searched(
        &self,
        candidate: Candidate<A::Working>,
        standing: Standing<A::Working>,
    ) -> Standing<A::Working> {
        if self.pass == 1 && !candidate.slope.is_zero() && !candidate.square.is_zero() {
            return Standing {
                settled: false,
                ..standing
            };
        }
        let best = standing.best;
        // By more than what the search itself may be wrong.
        let enough = best.square - best.square / A::Working::from_i32(64);
        match self.search.as_ref().and_then(Search::best) {
            Some(found) if found.square < enough => Standing {
                next: found.value,
                value: best.value,
                left: best.square,
                settled: false,
                ..standing
            },
            _ => standing,
        }
    }

    /// A parameter in its unit.
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
                // The wavelength at the unit of frequency, with the speed of light in vacuum.
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

    /// The suspect with the smallest remainder; the first of several equal ones.
    ///
    /// It may still explain little: see [`Explanation::share`] and [`explained`](Self::explained).
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

    /// The suspect that brings the prediction closest, if the pairs can tell: `None` where no suspect brings it closer,
    /// and where all pairs stand at one frequency. There a difference is two numbers, and one suspect or another comes
    /// near them by chance; what tells the suspects apart is how the difference goes with frequency.
    ///
    /// The share that it explains may still be small: see [`Explanation::share`].
    pub fn explained(&self) -> Option<&Explanation<A>> {
        let best = self.best();
        if self.several && best.share > Ratio::<A>::ZERO {
            Some(best)
        } else {
            None
        }
    }
}

/// The result of a pass for a suspect; `whole` is Σ|ΔΓ|² of the unchanged prediction.
fn stand<W: Real>(candidate: Candidate<W>, whole: W) -> Standing<W> {
    let suspect = candidate.suspect;
    let here = Trial {
        value: candidate.value,
        square: candidate.square,
    };
    if let Some(before) = candidate.before.filter(|before| before.square < here.square) {
        // The step was too long: take half of it, unless no gain is possible.
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
        // A step of the logarithm: the value stays positive, and changes by a factor of two at most.
        Suspect::Ratio => here.value * (W::ONE + step).larger(W::HALF).smaller(W::TWO),
        _ => here.value + step,
    };
    let left = (here.square - gain).larger(W::ZERO);
    // The possible gain is small against the remainder, or no more than some roundings of Γ.
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

/// The predicted Γ with a changed parameter, and its derivative: by the logarithm of the ratio, the reactance at the
/// unit of frequency in units of the reference, or the length in waves at the unit of frequency.
fn model<W: Real>(suspect: Suspect, value: W, t: W, gamma: Complex<W>) -> (Complex<W>, Complex<W>) {
    let imaginary = |value: W| Complex::new(W::ZERO, value);
    let two = Complex::real(W::TWO);
    match suspect {
        Suspect::Ratio => {
            // z·ρ, as a map of Γ: an open and a short do not change.
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
