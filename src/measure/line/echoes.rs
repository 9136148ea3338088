//! The sums of the distance transform.

use crate::arithmetic::Real;
use crate::quantity::Complex;

/// exp(j·2π·turns).
pub(crate) fn turned<W: Real>(turns: W) -> Complex<W> {
    let (sine, cosine) = turns.sine_cosine();
    Complex::new(cosine, sine)
}

/// One sum for each of N evenly spaced distances.
///
/// Distances are in *cells*: a reflection one cell away turns once from one end of the sweep to the other, there and
/// back.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Echoes<W, const N: usize> {
    first: W,
    spacing: W,
    sums: [Complex<W>; N],
}

impl<W: Real, const N: usize> Echoes<W, N> {
    pub fn new(first: W, spacing: W) -> Self {
        Self {
            first,
            spacing,
            sums: [Complex::ZERO; N],
        }
    }

    /// Adds a value at a place of the sweep, 0 at its start and 1 at its stop.
    ///
    /// Two angles are computed for each point and none for each distance: from one distance to the next the value turns
    /// on by the same angle. No error is carried from point to point.
    pub fn push(&mut self, place: W, value: Complex<W>) {
        let step = turned(self.spacing * place);
        let mut value = value * turned(self.first * place);
        for sum in &mut self.sums {
            *sum = *sum + value;
            value = value * step;
        }
    }

    pub fn sum(&self, index: usize) -> Option<Complex<W>> {
        self.sums.get(index).copied()
    }

    pub fn sums(&self) -> &[Complex<W>; N] {
        &self.sums
    }

    /// The distance of a sum, in cells; `index` may lie between two.
    pub fn cells(&self, index: W) -> W {
        self.first + self.spacing * index
    }
}

/// A peak between three sums: how far from the middle one, in spacings, and its power.
///
/// A parabola through the logarithms, which is nearly exact for the main lobe of a window. `None` without a maximum in
/// the middle.
pub(crate) fn peak<W: Real>(before: W, middle: W, after: W) -> Option<(W, W)> {
    if middle <= W::ZERO || before >= middle || after > middle {
        return None;
    }
    if before <= W::ZERO || after <= W::ZERO {
        return Some((W::ZERO, middle));
    }
    // Ratios to the middle one: the logarithm of a number near 1 loses nothing.
    let (left, right) = ((before / middle).decibels(), (after / middle).decibels());
    let curvature = left + right;
    if !curvature.is_finite() || curvature >= W::ZERO {
        return Some((W::ZERO, middle));
    }
    let quarter = W::HALF * W::HALF;
    let offset = (left - right) / curvature * W::HALF;
    let rise = (left - right) * offset * quarter;
    Some((offset, middle * (-rise).ratio_of_decibels()))
}
