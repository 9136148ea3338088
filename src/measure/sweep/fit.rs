//! Curves fitted to many points of a sweep by least squares, for noisy data.

use super::curve::Curve;
use super::scale::Scale;
use super::window::{View, WIDEST};
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::Complex;

/// The largest degree of P that is tried.
pub(crate) const DEGREES: usize = 3;

/// How a fit misses its points.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Misfit<W> {
    /// The mean square distance per degree of freedom.
    pub(crate) residual: W,
    /// Whether the curve misses its points like noise does: now here, now there, none by much more than the others, and
    /// without a pole among them. A curve of the wrong kind is on one side of several neighbours, then on the other side of
    /// several; one that bridges a jump is far from the points beside it.
    pub(crate) is_noise: bool,
}

/// A point, and its unexplained rest.
#[derive(Clone, Copy)]
struct Row<W> {
    t: W,
    /// Of h = Γ − Γ(0).
    h: Complex<W>,
    /// Of v = −t·h, so that the column of c is not a copy of the column of t.
    v: Complex<W>,
}

/// Fits P(t)/(1 + c·t), P of degree 1 to `last`, to the `count` points round the centre; stores that of degree `wanted`.
///
/// Returns how each fit misses its points. `None` if there are too few points, or a number is not finite.
///
/// P(t) − c·t·Γ = Γ is linear in P and c. The powers of t are made orthogonal over the points one by one (G. E.
/// Forsythe, "Generation and Use of Orthogonal Polynomials for Data-Fitting with a Digital Computer", Journal of the
/// SIAM 5(2), 1957; from memory), which keeps the digits that normal equations would lose.
#[inline(never)]
pub(crate) fn fitted<A: Arithmetic>(
    view: View<'_, A>,
    count: usize,
    wanted: usize,
    last: usize,
    curve: &mut Curve<A::Working>,
) -> Option<[Misfit<A::Working>; DEGREES]> {
    let (zero, one) = (A::Working::ZERO, A::Working::ONE);
    let half = (count / 2) as i32;
    view.at(half)?;
    let scale = view.scale()?;
    let g0 = view.at(0)?.gamma();
    let mut rows = [Row {
        t: zero,
        h: Complex::ZERO,
        v: Complex::ZERO,
    }; WIDEST];
    let rows = rows.get_mut(..count)?;
    fill(rows, view, scale, &g0)?;
    // The orthogonal polynomial of this degree and of the last, as coefficients of 1, t, t², t³.
    let (mut now, mut before) = ([one, zero, zero, zero], [zero; 4]);
    let (mut last_norm, mut beta) = (one, zero);
    // The parts explained of h and of v, as such coefficients too.
    let (mut taken_h, mut taken_v) = ([Complex::ZERO; 4], [Complex::ZERO; 4]);
    let mut misfits = [Misfit {
        residual: zero,
        is_noise: false,
    }; DEGREES];
    for degree in 0..=last {
        let (mut norm, mut along_t) = (zero, zero);
        let (mut h_part, mut v_part) = (Complex::ZERO, Complex::ZERO);
        for row in rows.iter() {
            let q = value(&now, row.t);
            let square = q.square();
            norm = norm + square;
            along_t = along_t + row.t * square;
            h_part.add_scaled(&row.h, q);
            v_part.add_scaled(&row.v, q);
        }
        if norm.is_zero() {
            return None;
        }
        let per_norm = one / norm;
        (h_part, v_part) = (h_part.scale(per_norm), v_part.scale(per_norm));
        let (vv, vh) = take_away(rows, &now, &h_part, &v_part);
        // The next is t times this one, made orthogonal to it and to the one before.
        let alpha = along_t * per_norm;
        if degree > 0 {
            beta = norm / last_norm;
        }
        last_norm = norm;
        add_scaled(&mut taken_h, &h_part, &now);
        add_scaled(&mut taken_v, &v_part, &now);
        next(&mut now, &mut before, alpha, beta);
        let Some(slot) = degree.checked_sub(1).and_then(|place| misfits.get_mut(place)) else {
            continue;
        };
        let c = if vv.is_zero() {
            Complex::ZERO
        } else {
            vh.scale(one / vv)
        };
        let Rests { sum, alike, worst } = left_over(rows, c);
        let freedom = A::Working::from_i32(count.saturating_sub(2 + degree) as i32);
        let residual = sum / freedom;
        *slot = Misfit {
            residual,
            is_noise: alike * A::Working::from_i32(4) < sum
                && worst < residual * A::Working::from_i32(8)
                && !has_pole_among(rows, c),
        };
        if degree == wanted {
            write_down(curve, scale, &g0, c, &taken_h, taken_v.get(..=degree)?);
        }
    }
    let finite = curve.is_finite() && misfits.iter().all(|misfit| misfit.residual.is_finite());
    finite.then_some(misfits)
}

/// The points round the centre, in rows of h and v.
#[inline(always)]
fn fill<A: Arithmetic>(
    rows: &mut [Row<A::Working>],
    view: View<'_, A>,
    scale: Scale,
    g0: &Complex<A::Working>,
) -> Option<()> {
    let half = (rows.len() / 2) as i32;
    for (row, offset) in rows.iter_mut().zip(-half..) {
        let point = view.at(offset)?;
        row.t = scale.place(point.frequency);
        row.h = point.gamma();
        row.h.add_scaled(g0, -A::Working::ONE);
        row.v.add_scaled(&row.h, -row.t);
    }
    Some(())
}

/// Subtracts the part of h and v that the polynomial explains; returns Σ|v|² and Σv*·h of the rest.
#[inline(always)]
fn take_away<W: Real>(rows: &mut [Row<W>], now: &[W], h: &Complex<W>, v: &Complex<W>) -> (W, Complex<W>) {
    let (mut vv, mut vh) = (W::ZERO, Complex::ZERO);
    for row in rows {
        let q = -value(now, row.t);
        row.h.add_scaled(h, q);
        row.v.add_scaled(v, q);
        vv = vv + row.v.power();
        vh.re = vh.re + row.v.along(row.h);
        vh.im = vh.im + row.h.across(row.v);
    }
    (vv, vh)
}

/// Of the rests h − c·v.
struct Rests<W> {
    /// The sum of their squares.
    sum: W,
    /// The sum of the products of neighbours.
    alike: W,
    /// The largest square.
    worst: W,
}

#[inline(always)]
fn left_over<W: Real>(rows: &[Row<W>], c: Complex<W>) -> Rests<W> {
    let (mut sum, mut alike, mut worst) = (W::ZERO, W::ZERO, W::ZERO);
    let mut last = Complex::ZERO;
    for row in rows {
        let mut rest = row.h;
        subtract(&mut rest, &row.v, c);
        let power = rest.power();
        sum = sum + power;
        worst = worst.larger(power);
        alike = alike + rest.along(last);
        last = rest;
    }
    Rests { sum, alike, worst }
}

/// Whether the pole of 1 + c·t is within a step of the frequencies of the rows.
fn has_pole_among<W: Real>(rows: &[Row<W>], c: Complex<W>) -> bool {
    let size = c.power();
    let reach = rows
        .iter()
        .fold(W::ZERO, |reach, row| reach.larger(row.t.absolute()));
    c.im.absolute() < size && c.re.absolute() <= size * reach
}

/// Makes a curve of the explained parts of h and v.
#[inline(always)]
fn write_down<W: Real>(
    curve: &mut Curve<W>,
    scale: Scale,
    g0: &Complex<W>,
    c: Complex<W>,
    taken_h: &[Complex<W>; 4],
    taken_v: &[Complex<W>],
) {
    curve.scale = scale;
    curve.c = c;
    curve.p = *taken_h;
    for (p, of_v) in curve.p.iter_mut().zip(taken_v) {
        subtract(p, of_v, c);
    }
    // Back from h to Γ: Γ(0)·(1 + c·t) is added above the line.
    let [p0, p1, ..] = &mut curve.p;
    p0.add_scaled(g0, W::ONE);
    p1.add_scaled(&(*g0 * c), W::ONE);
}

// These steps are functions for any length: the compiler would otherwise unroll them four times.

/// Adds `part` times each of the factors.
#[inline(never)]
fn add_scaled<W: Real>(sums: &mut [Complex<W>], part: &Complex<W>, factors: &[W]) {
    for (sum, factor) in sums.iter_mut().zip(factors) {
        sum.add_scaled(part, *factor);
    }
}

/// From an orthogonal polynomial to the next: t − `alpha` times `now`, minus `beta` times `before`.
#[inline(never)]
fn next<W: Real>(now: &mut [W], before: &mut [W], alpha: W, beta: W) {
    let mut lower = W::ZERO;
    for (now, before) in now.iter_mut().zip(before) {
        let next = lower - alpha * *now - beta * *before;
        lower = *now;
        (*before, *now) = (*now, next);
    }
}

#[inline(never)]
fn subtract<W: Real>(from: &mut Complex<W>, v: &Complex<W>, c: Complex<W>) {
    *from = *from - c * *v;
}

/// A polynomial, by Horner's rule.
#[inline(never)]
fn value<W: Real>(coefficients: &[W], t: W) -> W {
    let mut sum = W::ZERO;
    for coefficient in coefficients.iter().rev() {
        sum = sum * t + *coefficient;
    }
    sum
}
