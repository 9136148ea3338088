//! Detects noise, and makes the curve that averages it.

use super::curve::Curve;
use super::fit::{DEGREES, Fit};
use super::window::View;
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Real};

/// The choice of a fit in the place of a curve through the nearest points, in steps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Averaging<W> {
    /// The sum of the squares by which that curve misses the next points.
    sum: W,
    /// The largest residual of a fit that is taken; `None` before the first one.
    most: Option<W>,
    /// Where the numbers of points go on.
    place: u8,
    /// The last fit. It is kept here only to save stack.
    fit: Fit,
}

/// After a step.
pub(super) enum Averaged {
    /// There is a fit.
    Fitted,
    /// There is another step.
    GoesOn,
    /// The curve through the nearest points is to be used.
    No,
}

impl<W: Real> Averaging<W> {
    pub(super) const NONE: Self = Self {
        sum: W::ZERO,
        most: None,
        place: 0,
        fit: Fit::NONE,
    };

    /// Begins where a curve through the nearest points that misses the next ones by so much may miss them because of noise;
    /// else false.
    ///
    /// The curve through the nearest five points predicts the next one on each side. On clean data this is better than the
    /// stiff curve fitted to all seven. Noise it multiplies, about sixteen times, while the fit averages it.
    pub(super) fn begin<A: Arithmetic<Working = W>>(
        &mut self,
        view: View<'_, A>,
        missed: [Option<W>; 2],
        averages_steps: bool,
    ) -> bool {
        let [Some(before), Some(after)] = missed else {
            return false;
        };
        if view.noise().is_zero() {
            return false;
        }
        self.sum = before + after;
        self.most = None;
        self.place = 0;
        // A prediction within 3e-5 of Γ needs no averaging. In 16 bits the steps of the word alone, 6e-5, make that 4e-4 in
        // the middle; only a minimum, where |Γ| hardly changes, and a slope are found better by a fit to them.
        let of_word = A::FAMILY == Family::Fixed16 && !averages_steps;
        let gate = if of_word { 1_000_000 } else { 1_000_000_000 };
        self.sum * W::from_i32(gate) >= W::ONE
    }

    /// If noise makes the nearest points useless, replaces the curve through them by one fitted to as many points as agree
    /// with it; otherwise leaves it unchanged. One step fits the points of one number.
    #[inline(never)]
    pub(super) fn step<A: Arithmetic<Working = W>>(
        &mut self,
        view: View<'_, A>,
        curve: &mut Curve<W>,
    ) -> Averaged {
        let unit = Fit::unit();
        // Over thousands of invented sweeps the sum of both squares was below 0.002 times the residual of the fit on clean
        // data, and above 0.05 times with noise of 1e-3, with few exceptions.
        if self.place == 0 {
            let is_noisy = self.fit.make(view, 7, 1).is_some() && {
                let stiff: W = self.fit.residual(1, unit);
                self.sum * W::from_i32(50) >= stiff
            };
            if !is_noisy {
                return Averaged::No;
            }
        }
        let Some(count) = COUNTS.get(usize::from(self.place)).copied() else {
            return Averaged::No;
        };
        self.place = self.place.wrapping_add(1);
        if self.fit.make(view, count, DEGREES).is_some() && self.choose(view, unit, curve).is_some() {
            return Averaged::Fitted;
        }
        if usize::from(self.place) < COUNTS.len() {
            Averaged::GoesOn
        } else {
            Averaged::No
        }
    }

    /// The first fit that misses its points as noise does, by less than 1.5 times what the most flexible one leaves, and
    /// by much less than the prediction: over the same sweeps a fit that was only too stiff left more than a third of that.
    /// The first fit gives what the most flexible one leaves; near an end of the sweep it has fewer points.
    #[inline(never)]
    fn choose<A: Arithmetic<Working = W>>(
        &mut self,
        view: View<'_, A>,
        unit: W,
        curve: &mut Curve<W>,
    ) -> Option<()> {
        let fit = &self.fit;
        let most = match self.most {
            Some(most) => most,
            None => {
                let ceiling = view.noise();
                let enough = fit.residual(DEGREES, unit) * W::from_i32(3) * W::HALF;
                enough.smaller(self.sum / W::from_i32(3)).smaller(ceiling)
            }
        };
        self.most = Some(most);
        for degree in 1..=DEGREES {
            let residual = fit.residual(degree, unit);
            if residual <= most && fit.is_noise(degree) {
                return fit.write_down(degree, residual, curve);
            }
        }
        None
    }
}

/// The squared distance of a point from a curve.
#[inline(never)]
pub(super) fn missed<A: Arithmetic>(
    view: View<'_, A>,
    curve: &Curve<A::Working>,
    offset: i32,
) -> Option<A::Working> {
    let point = view.at(offset)?;
    let told = curve.gamma(curve.place(point.frequency))?;
    Some((told - point.gamma()).power())
}

/// The numbers of points of the fits, the most averaging first.
const COUNTS: [usize; 2] = [15, 11];
