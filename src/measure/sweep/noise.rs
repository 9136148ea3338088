//! Detects noise, and makes the curve that averages it.

use super::curve::Curve;
use super::fit::{DEGREES, Fit};
use super::window::View;
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Real};

/// Whether a curve through the nearest points that misses the next ones by so much may miss them because of noise.
///
/// The curve through the nearest five points predicts the next one on each side. On clean data this is better than the
/// stiff curve fitted to all seven. Noise it multiplies, about sixteen times, while the fit averages it.
pub(super) fn needs_averaging<A: Arithmetic>(
    view: View<'_, A>,
    missed: [Option<A::Working>; 2],
    averages_steps: bool,
) -> bool {
    let [Some(before), Some(after)] = missed else {
        return false;
    };
    if view.window.noise.is_zero() {
        return false;
    }
    // A prediction within 3e-5 of Γ needs no averaging. In 16 bits the steps of the word alone, 6e-5, make that 4e-4 in the
    // middle; only a minimum, where |Γ| hardly changes, and a slope are found better by a fit to them.
    let of_word = A::FAMILY == Family::Fixed16 && !averages_steps;
    let gate = if of_word { 1_000_000 } else { 1_000_000_000 };
    (before + after) * A::Working::from_i32(gate) >= A::Working::ONE
}

/// If noise makes the nearest points useless, replaces the curve through them by one fitted to as many points as agree
/// with it; otherwise leaves it unchanged.
#[inline(never)]
pub(super) fn averaged<A: Arithmetic>(
    view: View<'_, A>,
    curve: &mut Curve<A::Working>,
    missed: [Option<A::Working>; 2],
) -> Option<()> {
    let [before, after] = missed;
    let sum = before? + after?;
    let ceiling = view.window.noise;
    // Over thousands of invented sweeps the sum of both squares was below 0.002 times the residual of the fit on clean
    // data, and above 0.05 times with noise of 1e-3, with few exceptions.
    let mut fit = Fit::NONE;
    fit.make(view, 7, 1)?;
    let unit = Fit::unit();
    let stiff: A::Working = fit.residual(1, unit);
    if sum * A::Working::from_i32(50) < stiff {
        return None;
    }
    // The first fit that misses its points as noise does, by less than 1.5 times what the most flexible one leaves, and
    // by much less than the prediction: over the same sweeps a fit that was only too stiff left more than a third of that.
    // The first fit gives what the most flexible one leaves; near an end of the sweep it has fewer points.
    let mut most = None;
    for count in COUNTS {
        if fit.make(view, count, DEGREES).is_none() {
            continue;
        }
        let most = *most.get_or_insert_with(|| {
            let enough = fit.residual(DEGREES, unit) * A::Working::from_i32(3) * A::Working::HALF;
            enough.smaller(sum / A::Working::from_i32(3)).smaller(ceiling)
        });
        for degree in 1..=DEGREES {
            let residual = fit.residual(degree, unit);
            if residual <= most && fit.is_noise(degree) {
                return fit.write_down(degree, residual, curve);
            }
        }
    }
    None
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
