//! Curves fitted to many points of a sweep by least squares, for noisy data.
//!
//! What noise leaves of Γ has no more than a few digits, so the points are fitted in whole numbers: the same for each
//! family, and a multiplication is a few instructions on the smallest core. Working numbers are the sums over all points.

use core::num::NonZeroU32;

use super::curve::Curve;
use super::scale::Scale;
use super::window::{View, WIDEST};
use crate::arithmetic::kernel::multiply::signed_product;
use crate::arithmetic::kernel::normalise::leading_zeros;
use crate::arithmetic::kernel::reciprocal::reciprocal;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Complex, Hertz};

/// The largest degree of P that is tried.
pub(crate) const DEGREES: usize = 3;

/// Curves P(t)/(1 + c·t), P of degree 1 to 3, fitted to the same points.
///
/// P(t) − c·t·Γ = Γ is linear in P and c. The powers of t are made orthogonal over the points one by one (G. E.
/// Forsythe, "Generation and Use of Orthogonal Polynomials for Data-Fitting with a Digital Computer", Journal of the
/// SIAM 5(2), 1957; from memory), which keeps the digits that normal equations would lose. Each polynomial is made at
/// the points from the two before it; coefficients are worked out only for the curve that is chosen.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fit {
    scale: Scale,
    /// The number of points.
    count: i32,
    /// The rows are in units of so many steps, by their power of two.
    reach: u32,
    /// The largest t of a row, of either sign.
    farthest: i32,
    /// Γ(0).
    origin: [i32; 2],
    levels: [Level; DEGREES + 1],
    /// How the curve of each degree misses its points.
    misfits: [Misfit; DEGREES],
}

/// How a curve misses its points.
#[derive(Clone, Copy, Debug)]
struct Misfit {
    /// c = `x`·2^(`places` − 26), with t in units of the rows.
    x: [i32; 2],
    places: i8,
    /// The sum of the squares of the distances, in steps of 2^(2·`cut` − 54).
    sum: i32,
    cut: u8,
    /// Whether the curve misses its points now here, now there, none by much more than the others.
    is_scattered: bool,
}

/// An orthogonal polynomial q, and what it explains.
#[derive(Clone, Copy, Debug)]
struct Level {
    /// The parts of q in h and v, in steps of 2⁻²⁸.
    h: [i32; 2],
    v: [i32; 2],
    /// The next polynomial is 2^`places`·(t·q − `alpha`·q − `beta`·(the one before)).
    places: i32,
    /// In steps of 2⁻³⁰.
    alpha: i32,
    /// In steps of 2⁻²⁷.
    beta: i32,
}

impl Level {
    const NONE: Self = Self {
        h: [0; 2],
        v: [0; 2],
        places: 0,
        alpha: 0,
        beta: 0,
    };
}

/// A point, and its unexplained rest. The parts of Γ are in steps of 2⁻²⁷.
#[derive(Clone, Copy)]
struct Row {
    /// In steps of 2⁻³⁰, within ±1.
    t: i32,
    /// The present polynomial and the one before it at t, the largest of all rows between 2²⁸ and 2²⁹.
    q: i32,
    before: i32,
    /// Of h = Γ − Γ(0).
    h: [i32; 2],
    /// Of v = −t·h, so that the column of c is not a copy of the column of t.
    v: [i32; 2],
    /// h − c·v.
    rest: [i32; 2],
}

/// The first polynomial, which is constant.
const FIRST: i32 = 1 << 28;

/// The largest part of h that is fitted, 2: larger are no readings of a load.
const MOST: u32 = 1 << 28;

impl Fit {
    pub(crate) const NONE: Self = Self {
        scale: Scale {
            centre: Hertz::new(0),
            unit: 1,
        },
        count: 0,
        reach: 0,
        farthest: 0,
        origin: [0; 2],
        levels: [Level::NONE; DEGREES + 1],
        misfits: [Misfit {
            x: [0; 2],
            places: 0,
            sum: 0,
            cut: 0,
            is_scattered: false,
        }; DEGREES],
    };

    /// Fits curves up to degree `last` to the `count` points round the centre. `None` if there are too few points, they are
    /// too unevenly spread, or Γ is beyond what a load can reflect.
    #[inline(never)]
    pub(crate) fn make<A: Arithmetic>(&mut self, view: View<'_, A>, count: usize, last: usize) -> Option<()> {
        let mut rows = [Row {
            t: 0,
            q: FIRST,
            before: 0,
            h: [0; 2],
            v: [0; 2],
            rest: [0; 2],
        }; WIDEST];
        let rows = rows.get_mut(..count)?;
        let half = (count / 2) as i32;
        view.at(half)?;
        self.count = count as i32;
        self.scale = view.scale()?;
        self.origin = view.at(0)?.reflection.fine();
        self.reach = place(rows, view, self.scale)?;
        fill(rows, view, self.origin)?;
        self.solve(rows, last)
    }

    #[inline(always)]
    fn solve(&mut self, rows: &mut [Row], last: usize) -> Option<()> {
        self.farthest = 0;
        for row in rows.iter() {
            self.farthest = self.farthest.max(row.t.saturating_abs());
        }
        let mut before = None;
        for (degree, level) in self.levels.iter_mut().enumerate().take(last.wrapping_add(1)) {
            let sums = project(rows);
            let norm = Inverse::of(sums.norm)?;
            // A projection is no longer than what is projected: less than √15 times the largest h over the largest q.
            level.h = sums.h.map(|sum| norm.times(sum, 27));
            level.v = sums.v.map(|sum| norm.times(sum, 27));
            let sizes = take_away(rows, level);
            if let Some(misfit) = degree
                .checked_sub(1)
                .and_then(|place| self.misfits.get_mut(place))
            {
                let freedom = self.count.wrapping_sub(2).wrapping_sub(degree as i32);
                *misfit = missed(rows, sizes, freedom)?;
            }
            if degree < last {
                level.alpha = norm.times(sums.along, 30);
                level.beta = match before {
                    None => 0,
                    Some((norm, places)) => Inverse::times(norm, sums.norm, 27i32.wrapping_sub(places)),
                };
                level.places = next(rows, level)?;
                before = Some((norm, level.places));
            }
        }
        Some(())
    }

    /// The mean square distance of the points from the curve of a degree, per degree of freedom. (`unit`: see there.)
    #[inline(never)]
    pub(crate) fn residual<W: Real>(&self, degree: usize, unit: W) -> W {
        let Some(misfit) = self.misfit(degree) else {
            return W::LARGEST;
        };
        let freedom = self.count.wrapping_sub(2).wrapping_sub(degree as i32);
        // At most 2³¹, and less than 2¹⁹ cut off.
        let sum = (misfit.sum as u64).wrapping_shl(u32::from(misfit.cut).wrapping_shl(1));
        W::from_u64(sum) * unit / W::from_i32(freedom)
    }

    /// The unit of a residual, 2⁻⁵⁴.
    pub(crate) fn unit<W: Real>() -> W {
        (W::ONE / W::from_i32(1 << 27)).square()
    }

    /// Whether the curve of a degree misses its points like noise does: now here, now there, none by much more than the
    /// others, and without a pole among them. A curve of the wrong kind is on one side of several neighbours, then on the
    /// other side of several; one that bridges a jump is far from the points beside it.
    pub(crate) fn is_noise(&self, degree: usize) -> bool {
        self.misfit(degree)
            .is_some_and(|misfit| misfit.is_scattered && !self.has_pole_among(misfit))
    }

    /// Whether the pole of 1 + c·t is within a step of the frequencies of the rows.
    fn has_pole_among(&self, misfit: &Misfit) -> bool {
        // The pole is at −c*/|c|². Both sides of |Im c| < |c|² in steps of 2⁻²⁶, t in steps.
        let [re, im] = misfit.x;
        let size = signed_product(re, re).wrapping_add(signed_product(im, im));
        let places = i32::from(misfit.places)
            .wrapping_add(4)
            .wrapping_sub(self.reach as i32);
        let is_less = |part: i32, size: i32, places: i32| {
            let part = i64::from(part.saturating_abs());
            let size = i64::from(size);
            if places >= 0 {
                part < size.wrapping_shl(places.min(31) as u32)
            } else {
                part.wrapping_shl(places.wrapping_neg().min(31) as u32) < size
            }
        };
        let along = signed_product(size >> 1, self.farthest);
        is_less(im, size, places)
            && is_less(
                re,
                along.wrapping_add(1),
                places.wrapping_add(1).wrapping_add(self.reach as i32),
            )
    }

    fn misfit(&self, degree: usize) -> Option<&Misfit> {
        self.misfits.get(degree.checked_sub(1)?)
    }

    /// Makes a curve of the fit of a degree, with its residual.
    #[inline(never)]
    pub(crate) fn write_down<W: Real>(&self, degree: usize, spread: W, curve: &mut Curve<W>) -> Option<()> {
        let misfit = self.misfit(degree)?;
        let step = W::ONE / W::from_i32(1 << 27);
        let complex = |[re, im]: [i32; 2]| Complex::new(W::from_i32(re), W::from_i32(im));
        // With t in units of the rows.
        let c = complex(misfit.x).scale(power_of_two(i32::from(misfit.places).wrapping_sub(26)));
        let reach = self.reach as i32;
        // The polynomial of a level and the one before it, as coefficients of 1, t, t², t³, t in steps.
        let (mut now, mut before) = ([step, W::ZERO, W::ZERO, W::ZERO], [W::ZERO; 4]);
        curve.p = [Complex::ZERO; 4];
        for (place, level) in self.levels.iter().enumerate().take(degree.wrapping_add(1)) {
            let part = complex(level.h) - c * complex(level.v);
            let known = place.wrapping_add(1);
            add_scaled(curve.p.get_mut(..known)?, &part, &now);
            if place < degree {
                let factor = power_of_two::<W>(level.places);
                let factors = [
                    power_of_two(level.places.wrapping_sub(reach)),
                    W::from_i32(level.alpha) * (step * factor) * eighth(),
                    W::from_i32(level.beta) * (step * factor),
                ];
                next_coefficients(now.get_mut(..=known)?, &mut before, factors);
            }
        }
        curve.scale = self.scale;
        curve.c = c.scale(power_of_two(reach.wrapping_neg()));
        curve.spread = spread;
        // Back from h to Γ: Γ(0)·(1 + c·t) is added above the line.
        let origin = complex(self.origin).scale(step);
        let [p0, p1, ..] = &mut curve.p;
        *p0 = *p0 + origin;
        *p1 = *p1 + origin * curve.c;
        Some(())
    }
}

/// The inverse of a positive number, for several products.
#[derive(Clone, Copy)]
struct Inverse {
    /// 2⁶⁰ over the number moved up to 31 digits.
    inverse: i32,
    /// By so many places.
    lead: i32,
}

impl Inverse {
    fn of(number: i32) -> Option<Self> {
        let number = NonZeroU32::new(number as u32)?;
        // The highest of the 32 digits is free.
        let lead = leading_zeros(number).wrapping_sub(1);
        Some(Self {
            inverse: (reciprocal(number.get().wrapping_shl(lead)) >> 1) as i32,
            lead: lead as i32,
        })
    }

    /// A number over this one, times 2^`places`.
    fn times(self, number: i32, places: i32) -> i32 {
        moved(
            signed_product(number >> 1, self.inverse),
            self.lead.wrapping_add(places).wrapping_sub(29),
        )
    }
}

/// The positions of the rows; returns the power of two of their unit in steps.
#[inline(never)]
fn place<A: Arithmetic>(rows: &mut [Row], view: View<'_, A>, scale: Scale) -> Option<u32> {
    let half = (rows.len() / 2) as i32;
    if is_even(view, half, scale)? {
        let rises = view.at(half)?.frequency > scale.centre;
        for (row, offset) in rows.iter_mut().zip(-half..) {
            row.t = if rises { offset << 27 } else { -offset << 27 };
        }
        return Some(3);
    }
    let mut farthest = A::Working::ZERO;
    for offset in [-half, half] {
        farthest = farthest.larger(scale.place::<A::Working>(view.at(offset)?.frequency).absolute());
    }
    // A sweep that is more uneven than this has no fifteen points that are alike.
    let reach = (3..12).find(|reach| farthest < A::Working::from_i32(1 << reach))?;
    let unit = A::Working::from_i32(1i32.wrapping_shl(30u32.wrapping_sub(reach)));
    for (row, offset) in rows.iter_mut().zip(-half..) {
        let t = scale.place::<A::Working>(view.at(offset)?.frequency);
        row.t = held(t * unit)?;
    }
    Some(reach)
}

/// Whether all points are as far from their neighbours as the scale says, to a sixteen-thousandth of a step.
fn is_even<A: Arithmetic>(view: View<'_, A>, half: i32, scale: Scale) -> Option<bool> {
    let mut expected = 0u64;
    for offset in 1..=half {
        expected = expected.saturating_add(scale.unit);
        for offset in [-offset, offset] {
            let away = view.at(offset)?.frequency.get().abs_diff(scale.centre.get());
            if away.abs_diff(expected) > scale.unit >> 14 {
                return Some(false);
            }
        }
    }
    Some(true)
}

/// The points round the centre, in rows of h and v.
#[inline(never)]
fn fill<A: Arithmetic>(rows: &mut [Row], view: View<'_, A>, origin: [i32; 2]) -> Option<()> {
    let half = (rows.len() / 2) as i32;
    let [re, im] = origin;
    let mut sizes = 0;
    for (row, offset) in rows.iter_mut().zip(-half..) {
        let [point_re, point_im] = view.at(offset)?.reflection.fine();
        // Γ is within ±2²⁸.
        let h = [point_re.wrapping_sub(re), point_im.wrapping_sub(im)];
        row.h = h;
        row.v = h.map(|h| signed_product(row.t, h).wrapping_neg());
        sizes |= size(h);
    }
    (sizes < MOST).then_some(())
}

/// Sums over the rows, of products less 30 places: less than 2³¹, since h is below 2²⁸ and q below 2²⁹.
struct Sums {
    /// Of q²/2.
    norm: i32,
    /// Of t·q²/2.
    along: i32,
    /// Of q·h and q·v.
    h: [i32; 2],
    v: [i32; 2],
}

#[inline(never)]
fn project(rows: &[Row]) -> Sums {
    let mut sums = Sums {
        norm: 0,
        along: 0,
        h: [0; 2],
        v: [0; 2],
    };
    for row in rows {
        let square = signed_product(row.q, row.q) >> 1;
        sums.norm = sums.norm.wrapping_add(square);
        sums.along = sums.along.wrapping_add(signed_product(row.t, square));
        add(&mut sums.h, row.h, row.q);
        add(&mut sums.v, row.v, row.q);
    }
    sums
}

#[inline(always)]
fn add(sums: &mut [i32; 2], parts: [i32; 2], q: i32) {
    for (sum, part) in sums.iter_mut().zip(parts) {
        *sum = sum.wrapping_add(signed_product(part, q));
    }
}

/// Subtracts the parts of h and v that the polynomial explains; returns the sizes of the rests.
#[inline(never)]
fn take_away(rows: &mut [Row], level: &Level) -> [u32; 2] {
    let (mut of_h, mut of_v) = (0, 0);
    for row in rows {
        let q = row.q;
        // What is explained is a projection, so that no rest is larger than √15 times the largest part: it fits.
        let less = |from: i32, part: i32| from.wrapping_sub(signed_product(part, q) << 2);
        let ([h_re, h_im], [v_re, v_im]) = (level.h, level.v);
        row.h = [less(row.h[0], h_re), less(row.h[1], h_im)];
        row.v = [less(row.v[0], v_re), less(row.v[1], v_im)];
        of_h |= size(row.h);
        of_v |= size(row.v);
    }
    [of_h, of_v]
}

/// From an orthogonal polynomial to the next; returns by how many places that was moved up. `None` where the points do
/// not tell it from 0.
#[inline(never)]
fn next(rows: &mut [Row], level: &Level) -> Option<i32> {
    let mut sizes = 0;
    for row in rows.iter_mut() {
        let next = signed_product(row.t, row.q)
            .wrapping_sub(signed_product(level.alpha, row.q))
            .wrapping_sub(signed_product(level.beta, row.before) << 3);
        row.before = row.q;
        row.q = next;
        sizes |= size([next, 0]);
    }
    let places = 29i32.wrapping_sub(digits(sizes));
    if places > 16 {
        return None;
    }
    for row in rows {
        row.q = moved(row.q, places);
    }
    Some(places)
}

/// c of the rests, and how the curve with it misses its points.
#[inline(never)]
fn missed(rows: &mut [Row], sizes: [u32; 2], freedom: i32) -> Option<Misfit> {
    // Products of 15 digits are enough for c, which is as uncertain as the noise leaves it.
    let [of_h, of_v] = sizes.map(|size| digits(size).wrapping_sub(15));
    let (vv, vh_re, vh_im) = pole(rows, of_h, of_v);
    // Thirty products are below 2³⁵, and |c| is at most √30·2¹⁵/2¹⁴ in these digits.
    let x = match Inverse::of((vv >> 4) as i32) {
        Some(inverse) => [vh_re, vh_im].map(|sum| inverse.times((sum >> 4) as i32, 26)),
        None => [0; 2],
    };
    let cut = digits(leave(rows, x, of_h, of_v)).wrapping_sub(13).max(0) as u32;
    if cut > 16 {
        return None;
    }
    let Rests { sum, alike, worst } = left_over(rows, cut);
    Some(Misfit {
        x,
        // Differences of numbers of digits, and at most 16.
        places: of_h.wrapping_sub(of_v) as i8,
        sum,
        cut: cut as u8,
        // A square is below 2²⁷, and there are at most 12 degrees of freedom.
        is_scattered: alike < sum >> 2 && worst.wrapping_mul(freedom) >> 3 < sum,
    })
}

/// Σ|v|² and Σv*·h of the rests, of 15 digits each.
#[inline(never)]
fn pole(rows: &[Row], of_h: i32, of_v: i32) -> (i64, i64, i64) {
    let (mut vv, mut vh_re, mut vh_im) = (0i64, 0i64, 0i64);
    for row in rows {
        let [h_re, h_im] = row.h.map(|h| moved(h, of_h.wrapping_neg()));
        let [v_re, v_im] = row.v.map(|v| moved(v, of_v.wrapping_neg()));
        let product = |a: i32, b: i32| i64::from(a.wrapping_mul(b));
        vv = vv
            .wrapping_add(product(v_re, v_re))
            .wrapping_add(product(v_im, v_im));
        vh_re = vh_re
            .wrapping_add(product(v_re, h_re))
            .wrapping_add(product(v_im, h_im));
        vh_im = vh_im
            .wrapping_add(product(v_re, h_im))
            .wrapping_sub(product(v_im, h_re));
    }
    (vv, vh_re, vh_im)
}

/// h − c·v of each row, with c = `x`·2^(`of_h` − `of_v` − 26); returns its size.
#[inline(never)]
fn leave(rows: &mut [Row], x: [i32; 2], of_h: i32, of_v: i32) -> u32 {
    let [re, im] = x;
    let mut sizes = 0;
    for row in rows {
        // 28 digits.
        let [v_re, v_im] = row.v.map(|v| moved(v, 13i32.wrapping_sub(of_v)));
        let less = |h: i32, part: i32| h.wrapping_sub(moved(part, of_h.wrapping_sub(9)));
        let along = signed_product(re, v_re).wrapping_sub(signed_product(im, v_im));
        let across = signed_product(re, v_im).wrapping_add(signed_product(im, v_re));
        let [h_re, h_im] = row.h;
        row.rest = [less(h_re, along), less(h_im, across)];
        sizes |= size(row.rest);
    }
    sizes
}

/// Of the rests h − c·v.
struct Rests {
    /// The sum of their squares.
    sum: i32,
    /// The sum of the products of neighbours.
    alike: i32,
    /// The largest square.
    worst: i32,
}

#[inline(never)]
fn left_over(rows: &[Row], cut: u32) -> Rests {
    let (mut sum, mut alike, mut worst) = (0i32, 0i32, 0i32);
    let [mut last_re, mut last_im] = [0i32; 2];
    for row in rows {
        // 13 digits each, so that thirty squares fit.
        let [re, im] = row.rest.map(|rest| rest >> cut);
        let power = re.wrapping_mul(re).wrapping_add(im.wrapping_mul(im));
        sum = sum.wrapping_add(power);
        worst = worst.max(power);
        alike = alike
            .wrapping_add(re.wrapping_mul(last_re))
            .wrapping_add(im.wrapping_mul(last_im));
        [last_re, last_im] = [re, im];
    }
    Rests { sum, alike, worst }
}

/// The digits of both parts together: no part has more.
#[inline(always)]
fn size([re, im]: [i32; 2]) -> u32 {
    (re ^ (re >> 31)) as u32 | (im ^ (im >> 31)) as u32
}

/// How many binary digits a size has.
fn digits(size: u32) -> i32 {
    NonZeroU32::new(size).map_or(0, |size| 32i32.wrapping_sub(leading_zeros(size) as i32))
}

/// Up by so many places, or down.
#[inline(always)]
fn moved(part: i32, places: i32) -> i32 {
    if places >= 0 {
        part.wrapping_shl(places as u32)
    } else {
        part.wrapping_shr(places.wrapping_neg() as u32)
    }
}

/// The nearest whole number, if it has no more than thirty digits.
fn held<W: Real>(number: W) -> Option<i32> {
    let number = i32::try_from(number.to_i64()).ok()?;
    (number.unsigned_abs() < 1 << 30).then_some(number)
}

fn eighth<W: Real>() -> W {
    W::HALF * W::HALF * W::HALF
}

fn power_of_two<W: Real>(places: i32) -> W {
    let power = |places: i32| W::from_i32(1i32.wrapping_shl(places as u32));
    match places {
        31.. => W::LARGEST,
        0..=30 => power(places),
        -30..=-1 => W::ONE / power(places.wrapping_neg()),
        _ => W::ONE / power(30) / power(places.wrapping_neg().wrapping_sub(30).min(30)),
    }
}

// These steps are functions for any length: the compiler would otherwise unroll them four times.

/// Adds `part` times each of the factors.
#[inline(never)]
fn add_scaled<W: Real>(sums: &mut [Complex<W>], part: &Complex<W>, factors: &[W]) {
    for (sum, factor) in sums.iter_mut().zip(factors) {
        sum.add_scaled(part, *factor);
    }
}

/// From an orthogonal polynomial to the next, with the factors of t times this one, of this one, and of the one before.
#[inline(never)]
fn next_coefficients<W: Real>(now: &mut [W], before: &mut [W], [up, alpha, beta]: [W; 3]) {
    let mut lower = W::ZERO;
    for (now, before) in now.iter_mut().zip(before) {
        let next = lower * up - alpha * *now - beta * *before;
        lower = *now;
        (*before, *now) = (*now, next);
    }
}
