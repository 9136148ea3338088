//! Whether noise shows, and the curve that averages it.

use super::curve::Curve;
use super::fit::fitted;
use super::window::View;
use crate::arithmetic::{Arithmetic, Real};

/// Makes the curve that through the nearest points into one fitted to as many as agree with it, where noise is what
/// keeps the nearest points from telling; else leaves it as it is.
///
/// The curve through the nearest five points says what the next one on each side should be. On clean data it comes
/// close, and closer than the stiff curve fitted to all seven. Noise it multiplies, some sixteen times, while the
/// fit averages it.
#[inline(never)]
pub(super) fn noisy<A: Arithmetic>(view: View<'_, A>, curve: &mut Curve<A::Working>) -> Option<()> {
    if !view.window.averages {
        return None;
    }
    let sum = missed(view, curve, -3)? + missed(view, curve, 3)?;
    // What is foretold to 3e-5 of Γ needs no averaging.
    if sum * A::Working::from_i32(1_000_000_000) < A::Working::ONE {
        return None;
    }
    // Over thousands of invented sweeps the sum of both squares was below 0.002 times what the fit leaves on clean
    // data, and above 0.05 times with noise of 1e-3; seldom otherwise.
    let [residual, ..] = fitted(view, 7, 0, 1, curve)?;
    if sum * A::Working::from_i32(50) < residual {
        return None;
    }
    // The first of the fits that leaves less than half as much again as the most pliant one does. The first one tells
    // what that leaves; near an end of the sweep it is one to fewer points.
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

/// The square of how far a point is from a curve.
#[inline(never)]
fn missed<A: Arithmetic>(view: View<'_, A>, curve: &Curve<A::Working>, offset: i32) -> Option<A::Working> {
    let point = view.at(offset)?;
    let told = curve.course(curve.place(point.frequency))?;
    Some((told.gamma - point.gamma()).power())
}

/// The numbers of points and the degrees of the fits, the most averaging first.
const FITS: [(usize, usize); 6] = [(15, 1), (11, 1), (15, 2), (11, 2), (15, 3), (11, 3)];
