//! Detects noise, and makes the curve that averages it.

use super::curve::Curve;
use super::fit::fitted;
use super::window::View;
use crate::arithmetic::{Arithmetic, Real};

/// If noise makes the nearest points useless, replaces the curve through them by one fitted to as many points as agree
/// with it; otherwise leaves it unchanged.
///
/// The curve through the nearest five points predicts the next one on each side. On clean data this is better than the
/// stiff curve fitted to all seven. Noise it multiplies, about sixteen times, while the fit averages it.
#[inline(never)]
pub(super) fn noisy<A: Arithmetic>(view: View<'_, A>, curve: &mut Curve<A::Working>) -> Option<()> {
    if !view.window.averages {
        return None;
    }
    let sum = missed(view, curve, -3)? + missed(view, curve, 3)?;
    // A prediction within 3e-5 of Γ needs no averaging.
    if sum * A::Working::from_i32(1_000_000_000) < A::Working::ONE {
        return None;
    }
    // Over thousands of invented sweeps the sum of both squares was below 0.002 times the residual of the fit on clean
    // data, and above 0.05 times with noise of 1e-3, with few exceptions.
    let [residual, ..] = fitted(view, 7, 0, 1, curve)?;
    if sum * A::Working::from_i32(50) < residual {
        return None;
    }
    // The first fit whose residual is less than 1.5 times that of the most flexible one. The first fit gives that
    // residual; near an end of the sweep it has fewer points.
    let mut least = None;
    for (count, degree) in FITS {
        let last = if least.is_none() { 3 } else { degree };
        let Some(residuals) = fitted(view, count, degree, last, curve) else {
            continue;
        };
        let [.., pliant] = residuals;
        let enough = *least.get_or_insert(pliant * A::Working::from_i32(3) * A::Working::HALF);
        if degree
            .checked_sub(1)
            .and_then(|place| residuals.get(place))
            .is_some_and(|residual| *residual <= enough)
        {
            return Some(());
        }
    }
    fitted(view, 7, 1, 1, curve).map(|_| ())
}

/// The squared distance of a point from a curve.
#[inline(never)]
fn missed<A: Arithmetic>(view: View<'_, A>, curve: &Curve<A::Working>, offset: i32) -> Option<A::Working> {
    let point = view.at(offset)?;
    let told = curve.course(curve.place(point.frequency))?;
    Some((told.gamma - point.gamma()).power())
}

/// The numbers of points and the degrees of the fits, the most averaging first.
const FITS: [(usize, usize); 6] = [(15, 1), (11, 1), (15, 2), (11, 2), (15, 3), (11, 3)];
