//! Error terms from any number of standards, by least squares.
//!
//! The error model is linear in three unknowns, m = directivity + Γ·m·source match − Γ·Δ, with Δ = directivity·source
//! match − tracking: each standard gives an equation. Each new equation is brought into triangular form by Givens
//! rotations without square roots (W. M. Gentleman, "Least squares computations by Givens transformations without
//! square roots", Journal of the Institute of Mathematics and its Applications 12, 1973; from memory). The fit and the
//! constant memory are the same as with normal equations, but half as many digits are lost, and the residual sum of
//! squares follows without a difference of large numbers: with 32 bits that difference would be lost below 3e-5.

use super::solve::Pair;
use super::{CalibrationError, ErrorTerms, Standard};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Component, Hertz, Reference, Reflection};

/// The calibration of one frequency by three or more standards; constant in memory, one standard at a time.
///
/// ```
/// use ohmwright::double::Reflection;
/// use ohmwright::measure::calibration::{ErrorTerms, LeastSquares};
///
/// let fixture = ErrorTerms {
///     directivity: Reflection::new(0.02, -0.01)?,
///     source_match: Reflection::new(0.06, 0.03)?,
///     tracking: Reflection::new(0.9, -0.1)?,
/// };
/// let mut fit = LeastSquares::new();
/// for (re, im) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 0.0), (0.0, 1.0), (0.3, -0.4)] {
///     let known = Reflection::new(re, im)?;
///     fit.push(known, fixture.distort(known)); // the reading of a detector
/// }
/// let fit = fit.solve()?;
/// assert!((fit.terms.tracking.real() - 0.9).abs() < 1e-12);
/// assert!(fit.residual.unwrap() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeastSquares<A: Arithmetic> {
    /// The rows of the triangle: weight, and the values right of the diagonal (which is 1).
    rows: [Row<A::Working>; 3],
    /// The squared columns, to judge what is small.
    columns: [A::Working; 3],
    /// The residual sum of squares.
    left: A::Working,
    count: u32,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for LeastSquares<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "fit of {=u32} standards", self.count);
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Row<W> {
    weight: W,
    /// The coefficients of the later unknowns, and the right side as the last.
    right: [Complex<W>; 3],
}

/// The result of a fit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Fit<A: Arithmetic> {
    /// The error terms.
    pub terms: ErrorTerms<A>,
    /// √(Σ|r|²/(n − 3)), with r the residual of each of the n equations; `None` for three standards, which have none.
    ///
    /// With n exactly known standards and readings with noise of standard deviation σ (of both components together, √2
    /// times that of one), the mean of its square is σ², from n − 3 complex degrees of freedom. (A reading has the
    /// factor 1 − source match·Γ in its equation, taken as 1.) A residual well above the noise means that the known Γ
    /// of a standard is wrong. The error of the terms themselves is about σ·√(3/n).
    pub residual: Option<Component<A>>,
    /// The number of standards read.
    pub standards: u32,
}

impl<A: Arithmetic> LeastSquares<A> {
    /// A fit without standards.
    pub fn new() -> Self {
        let empty = Row {
            weight: A::Working::ZERO,
            right: [Complex::ZERO; 3],
        };
        Self {
            rows: [empty; 3],
            columns: [A::Working::ZERO; 3],
            left: A::Working::ZERO,
            count: 0,
        }
    }

    /// Takes a device with this known Γ, and its raw reading.
    pub fn push(&mut self, gamma: Reflection<A>, raw: Reflection<A>) {
        self.take((gamma.complex(), raw.complex()));
    }

    /// Takes a standard at the frequency of this calibration, and its raw reading.
    pub fn push_standard(
        &mut self,
        standard: &Standard<A>,
        frequency: Hertz,
        reference: Reference<A>,
        raw: Reflection<A>,
    ) {
        self.take((standard.exact(frequency, reference), raw.complex()));
    }

    /// The number of standards taken.
    pub fn count(&self) -> u32 {
        self.count
    }

    fn take(&mut self, (gamma, raw): Pair<A::Working>) {
        self.count = self.count.saturating_add(1);
        let mut equation = [Complex::ONE, gamma * raw, -gamma];
        let mut side = raw;
        let mut weight = A::Working::ONE;
        for (column, part) in self.columns.iter_mut().zip(&equation) {
            *column = *column + part.power();
        }
        for (row, later_unknowns) in self.rows.iter_mut().zip([2, 1, 0]) {
            let [first, later @ ..] = equation;
            // Eliminated columns move to the front, so that the pivot is always the first.
            equation = [later[0], later[1], Complex::ZERO];
            let size = first.power();
            // Nothing to eliminate; or all of the equation has gone into an empty row.
            if size.is_zero() || weight.is_zero() {
                continue;
            }
            let before = row.weight;
            row.weight = before + weight * size;
            let keep = before / row.weight;
            let turn = first.conjugate().scale(weight / row.weight);
            weight = weight * keep;
            let [a, b, c] = &mut row.right;
            let rotate = |of_row: &mut Complex<A::Working>, of_equation: &mut Complex<A::Working>| {
                let rest = *of_equation - first * *of_row;
                *of_row = of_row.scale(keep) + turn * *of_equation;
                *of_equation = rest;
            };
            if later_unknowns > 0 {
                rotate(a, &mut equation[0]);
            }
            if later_unknowns > 1 {
                rotate(b, &mut equation[1]);
            }
            rotate(c, &mut side);
        }
        self.left = self.left + weight * side.power();
    }

    /// The error terms that fit best, from the standards so far.
    ///
    /// # Errors
    /// [`TooFewStandards`](CalibrationError::TooFewStandards) below three; [`Singular`](CalibrationError::Singular) if
    /// no three of them differ (by a thousandth of their size, in the equations);
    /// [`ImpossibleSourceMatch`](CalibrationError::ImpossibleSourceMatch) for 1 or more;
    /// [`OutOfRange`](CalibrationError::OutOfRange) for a term beyond the word.
    pub fn solve(&self) -> Result<Fit<A>, CalibrationError> {
        if self.count < 3 {
            return Err(CalibrationError::TooFewStandards(self.count));
        }
        let small = A::Working::ONE / A::Working::from_i32(1 << 20);
        for (row, column) in self.rows.iter().zip(&self.columns) {
            // NaN fails this comparison.
            let stands_out = row.weight > *column * small;
            if !stands_out {
                return Err(CalibrationError::Singular);
            }
        }
        let [first, second, third] = &self.rows;
        let delta = third.right[2];
        let source_match = second.right[2] - second.right[0] * delta;
        let directivity = first.right[2] - first.right[0] * source_match - first.right[1] * delta;
        let possible = source_match.power() < A::Working::ONE;
        if !possible {
            return Err(CalibrationError::ImpossibleSourceMatch);
        }
        let tracking = directivity * source_match - delta;
        let spare = self.count - 3;
        let residual = (spare > 0).then(|| {
            let mean = self.left / A::Working::from_u64(spare as u64);
            Component::<A>::from_working(mean.square_root())
        });
        Ok(Fit {
            terms: ErrorTerms::from_complex([directivity, source_match, tracking])?,
            residual,
            standards: self.count,
        })
    }
}

impl<A: Arithmetic> Default for LeastSquares<A> {
    /// [`new`](Self::new).
    fn default() -> Self {
        Self::new()
    }
}
