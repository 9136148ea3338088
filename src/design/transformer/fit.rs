//! A transformer's parameters from a sweep with a known resistor on its secondary.

use super::{RealTransformer, TransformerError};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{
    Complex, Component, Hertz, Ohms, Ratio, Reference, Reflection, positive, positive_frequency,
    positive_omega,
};

/// A least-squares fit of effective ratio, leakage and magnetising inductance to a sweep of Γ at the primary, with a
/// known resistor on the secondary: one point at a time, in constant memory.
///
/// The first pass through the sweep solves a linear system (the circuit's equation multiplied out), which noise biases.
/// Each further pass, from [`again`](Self::again), is a Gauss-Newton step towards the least sum of |ΔΓ|². Two or three
/// passes reach it. [`sweep`](Self::sweep) does them all for a sweep in memory. Resistances and capacitances are not
/// fitted: the residual shows whether the three parameters are enough.
///
/// The magnetising inductance shows at the low end of a sweep, where its reactance is up to about ten times the
/// resistance, and the leakage at the high end. A sweep without either end determines that parameter badly.
///
/// ```
/// use ohmwright::design::transformer::{RealTransformer, TransformerFit};
/// use ohmwright::quantity::{Hertz, Impedance, Inductance, Reference};
///
/// let truth = RealTransformer::<f64>::coupled(Inductance::new(20e-6)?, Inductance::new(2.2e-6)?, 0.995)?;
/// let points = (1..=30).map(|mhz| {
///     let (f, load) = (Hertz::from_megahertz(mhz), Impedance::new(5.6, 0.0)?);
///     Ok((f, truth.reflection(load, f, Reference::fifty())?))
/// });
/// let points: Result<Vec<_>, Box<dyn std::error::Error>> = points.collect();
/// let fitted = TransformerFit::sweep(5.6, Reference::fifty(), points?.iter().copied())?;
/// assert!((fitted.transformer.leakage().get() - truth.leakage().get()).abs() < 1e-15);
/// assert!(fitted.residual.unwrap() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct TransformerFit<A: Arithmetic> {
    resistor: A::Working,
    reference: Reference<A>,
    /// The start of this pass; `None` for the first, linear one.
    start: Option<RealTransformer<A>>,
    /// The unit of frequency: the first one pushed.
    unit: Hertz,
    /// The second frequency that differs from it; 0 until there is one.
    second: Hertz,
    /// True after a third one.
    enough: bool,
    /// The upper triangle of the normal matrix, row by row, and its right side.
    matrix: [A::Working; 6],
    right: [A::Working; 3],
    /// Σ|ΔΓ|².
    square: A::Working,
    points: u32,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TransformerFit<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "fit of {=u32} points so far", self.points);
    }
}

/// The result of a pass of a [`TransformerFit`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FittedTransformer<A: Arithmetic> {
    /// The transformer with the fitted ratio, leakage and magnetising inductance.
    pub transformer: RealTransformer<A>,
    /// The residual: the root of the mean |ΔΓ|². `None` after the first pass, which does not compute it. After a pass
    /// that still changes the parameters much, it is a prediction.
    pub residual: Option<Component<A>>,
    /// The largest relative change of a parameter in this pass: ratio, magnetising inductance, or leakage (relative to
    /// a thousandth of the resistance where the leakage is smaller). 1 after the first pass.
    pub step: Ratio<A>,
    /// The number of points used.
    pub points: u32,
}

impl<A: Arithmetic> TransformerFit<A> {
    /// For a sweep with this resistor, in ohms, on the secondary; Γ against `reference`.
    ///
    /// # Errors
    /// `Quantity` with `NotFinite` or `NotPositive` for such a resistance.
    pub fn new(resistor: impl Into<Ohms<A>>, reference: Reference<A>) -> Result<Self, TransformerError> {
        let resistor = resistor.into();
        let resistor = positive(resistor, "resistor")?.to_working();
        Ok(Self::starting(resistor, reference, None))
    }

    /// The next pass: push the same sweep again.
    #[must_use]
    pub fn again(&self, fitted: &FittedTransformer<A>) -> Self {
        Self::starting(self.resistor, self.reference, Some(fitted.transformer))
    }

    /// The number of points in this pass so far.
    pub fn points(&self) -> u32 {
        self.points
    }

    fn starting(resistor: A::Working, reference: Reference<A>, start: Option<RealTransformer<A>>) -> Self {
        let none = A::Working::ZERO;
        Self {
            resistor,
            reference,
            start,
            unit: Hertz::new(0),
            second: Hertz::new(0),
            enough: false,
            matrix: [none; 6],
            right: [none; 3],
            square: none,
            points: 0,
        }
    }

    /// All passes over a sweep in memory, until a pass changes no parameter by more than a few roundings; at most 16.
    ///
    /// # Errors
    /// As [`new`](Self::new), [`push`](Self::push) and [`finish`](Self::finish).
    pub fn sweep(
        resistor: impl Into<Ohms<A>>,
        reference: Reference<A>,
        points: impl Iterator<Item = (Hertz, Reflection<A>)> + Clone,
    ) -> Result<FittedTransformer<A>, TransformerError> {
        let resistor = resistor.into();
        let mut fit = Self::new(resistor, reference)?;
        let mut fitted = fit.pass(points.clone())?;
        for _ in 0..15 {
            fit = fit.again(&fitted);
            fitted = fit.pass(points.clone())?;
            if fitted.step.to_working() <= A::Working::EPSILON * A::Working::from_i32(64) {
                break;
            }
        }
        Ok(fitted)
    }

    fn pass(
        &mut self,
        points: impl Iterator<Item = (Hertz, Reflection<A>)>,
    ) -> Result<FittedTransformer<A>, TransformerError> {
        for (frequency, reflection) in points {
            self.push(frequency, reflection)?;
        }
        self.finish()
    }

    /// Adds one point. The order does not matter.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0; the point is then not used.
    pub fn push(&mut self, frequency: Hertz, measured: Reflection<A>) -> Result<(), TransformerError> {
        positive_frequency(frequency)?;
        if self.points == 0 {
            self.unit = frequency;
        } else if frequency != self.unit && self.second.get() == 0 {
            self.second = frequency;
        } else if frequency != self.unit && frequency != self.second {
            self.enough = true;
        }
        let t = A::Working::from_u64(frequency.get()) / A::Working::from_u64(self.unit.get());
        let gamma = measured.complex();
        match self.start {
            None => self.push_linear(t, gamma),
            Some(start) => self.push_step(t, gamma, self.scaled(start)),
        }
        self.points = self.points.saturating_add(1);
        Ok(())
    }

    /// (b, l, m) in units of the reference: the resistance at the primary, and the reactances of leakage and
    /// magnetising inductance at the unit of frequency.
    fn scaled(&self, start: RealTransformer<A>) -> [A::Working; 3] {
        let (ratio, leakage, magnetising) = start.parts();
        let z0 = self.reference.working();
        let per_henry = self.unit.angular::<A::Working>() / z0;
        [
            ratio * self.resistor / z0,
            leakage * per_henry,
            magnetising * per_henry,
        ]
    }

    /// z·(b + j·t·m) = j·t·l·(b + j·t·m) + j·t·m·b, divided by b: linear in p = m/b, q = l + m and s = l·m/b. Weighted
    /// by dΓ/dz, so that an open has no infinity, and by 1/t, which compensates for the multiplication.
    fn push_linear(&mut self, t: A::Working, gamma: Complex<A::Working>) {
        let (up, down) = (Complex::ONE + gamma, Complex::ONE - gamma);
        let weighted = (up * down).scale(A::Working::HALF);
        let square = (down * down).scale(A::Working::HALF);
        let turned = |z: Complex<A::Working>| Complex::new(-z.im, z.re);
        self.add(
            [-turned(weighted), turned(square), -square.scale(t)],
            weighted.scale(A::Working::ONE / t),
        );
    }

    /// The linear part of Γ around the start: in ln b, l and ln m.
    fn push_step(&mut self, t: A::Working, gamma: Complex<A::Working>, [b, l, m]: [A::Working; 3]) {
        let none = A::Working::ZERO;
        let u = Complex::new(none, t * m);
        let below = Complex::real(b) + u;
        let (of_u, of_b) = (u / below, Complex::real(b) / below);
        let series = Complex::new(none, t);
        let z = series.scale(l) + of_u.scale(b);
        let sum = z + Complex::ONE;
        let model = (z - Complex::ONE) / sum;
        let weight = Complex::real(A::Working::TWO) / sum / sum;
        self.add(
            [
                weight * (of_u * of_u).scale(b),
                weight * series,
                weight * (of_b * of_b) * u,
            ],
            gamma - model,
        );
    }

    /// One complex equation Σ column·unknown = value.
    fn add(&mut self, columns: [Complex<A::Working>; 3], value: Complex<A::Working>) {
        let product = |x: Complex<A::Working>, y: Complex<A::Working>| x.re * y.re + x.im * y.im;
        let [a, b, c] = columns;
        let pairs = [(a, a), (a, b), (a, c), (b, b), (b, c), (c, c)];
        for (sum, (x, y)) in self.matrix.iter_mut().zip(pairs) {
            *sum = *sum + product(x, y);
        }
        for (sum, column) in self.right.iter_mut().zip(columns) {
            *sum = *sum + product(column, value);
        }
        self.square = self.square + value.power();
    }

    /// The parameters from the points so far.
    ///
    /// # Errors
    /// `TooFewPoints` for fewer than three different frequencies; `Undetermined` for points that do not determine the
    /// parameters; `Unphysical` for points that need a negative leakage, magnetising inductance or ratio.
    pub fn finish(&self) -> Result<FittedTransformer<A>, TransformerError> {
        if !self.enough {
            return Err(TransformerError::TooFewPoints);
        }
        let solution = solve(self.matrix, self.right).ok_or(TransformerError::Undetermined)?;
        let one = A::Working::ONE;
        let ([b, l, m], step, residual) = match self.start {
            None => {
                let [p, q, s] = solution;
                if p <= A::Working::ZERO {
                    return Err(TransformerError::Unphysical("magnetising inductance"));
                }
                let l = s / p;
                let m = q - l;
                ([m / p, l, m], one, None)
            }
            Some(start) => self.moved(start, solution),
        };
        if m <= A::Working::ZERO {
            return Err(TransformerError::Unphysical("magnetising inductance"));
        }
        if b <= A::Working::ZERO {
            return Err(TransformerError::Unphysical("ratio"));
        }
        // A first guess may be wrong by its noise, and a step may go too far: the next pass then starts without
        // leakage. A negative leakage found from there, beyond a few roundings of the resistance, is real.
        let from_none = self.start.is_some_and(|start| start.parts().1.is_zero());
        let rounding = b * A::Working::EPSILON * A::Working::from_i32(64);
        let l = if !from_none || l.absolute() <= rounding {
            l.larger(A::Working::ZERO)
        } else {
            l
        };
        if l < A::Working::ZERO {
            return Err(TransformerError::Unphysical("leakage inductance"));
        }
        if !(b.is_finite() && l.is_finite() && m.is_finite()) {
            return Err(TransformerError::Undetermined);
        }
        let z0 = self.reference.working();
        let henries = z0 / positive_omega::<A>(self.unit)?;
        Ok(FittedTransformer {
            transformer: RealTransformer::of(b * z0 / self.resistor, l * henries, m * henries),
            residual,
            step: Ratio::<A>::from_working(step),
            points: self.points,
        })
    }

    /// One Newton step from a start: the parameters, how much they changed, and the residual.
    fn moved(
        &self,
        start: RealTransformer<A>,
        [by_b, by_l, by_m]: [A::Working; 3],
    ) -> ([A::Working; 3], A::Working, Option<Component<A>>) {
        let one = A::Working::ONE;
        let [b, l, m] = self.scaled(start);
        let small = b / A::Working::from_i32(1000);
        let share_l = by_l.absolute() / l.absolute().larger(small);
        let step = by_b.absolute().larger(by_m.absolute()).larger(share_l);
        let [right_b, right_l, right_m] = self.right;
        let residual = self.square - (right_b * by_b + right_l * by_l + right_m * by_m);
        let mean = residual.larger(A::Working::ZERO) / A::Working::from_u64(u64::from(self.points));
        let moved = |value: A::Working, by: A::Working| {
            // Far from the solution a Newton step overshoots: limited to a factor of ½ or 2.
            value * (one + by).larger(A::Working::HALF).smaller(A::Working::TWO)
        };
        (
            [moved(b, by_b), l + by_l, moved(m, by_m)],
            step,
            Some(Component::<A>::from_working(mean.square_root())),
        )
    }
}

/// Solves the symmetric system by L·D·Lᵀ; `None` where a pivot is only rounding.
fn solve<W: Real>([aa, ab, ac, bb, bc, cc]: [W; 6], [a, b, c]: [W; 3]) -> Option<[W; 3]> {
    let stands = |pivot: W, of: W| pivot > of * W::EPSILON;
    if aa <= W::ZERO {
        return None;
    }
    let (ba, ca) = (ab / aa, ac / aa);
    let second = bb - ba * ab;
    if !stands(second, bb) {
        return None;
    }
    let mixed = bc - ba * ac;
    let cb = mixed / second;
    let third = cc - ca * ac - cb * mixed;
    if !stands(third, cc) {
        return None;
    }
    let y = b - ba * a;
    let z = (c - ca * a - cb * y) / third;
    let y = y / second - cb * z;
    let x = a / aa - ba * y - ca * z;
    (x.is_finite() && y.is_finite() && z.is_finite()).then_some([x, y, z])
}
