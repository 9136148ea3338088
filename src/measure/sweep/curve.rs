//! Between the grid points: a curve through neighbouring points of a sweep.
//!
//! Near a single resonance Γ is very nearly (a + b·t)/(1 + c·t) in the frequency t, with complex a, b, c. A cable turns
//! Γ as well, which no such map describes. A numerator of higher degree therefore uses more points: P(t)/(1 + c·t)
//! through five of them, or fitted to up to fifteen.
//!
//! With D = 1 + c·t, |Γ|² = |P|²/|D|². Its minimum, its crossings of a level and the zeros of Im Γ are each roots of a
//! real polynomial in P and D; for the map of the first degree, of a quadratic. So the parabola through three of its
//! values gives a first estimate, which Newton's method refines to the last digit.

use super::scale::Scale;
use super::window::View;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Complex, Hertz};

/// Γ(t) = P(t)/(1 + c·t), with P by its coefficients.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Curve<W> {
    pub(crate) scale: Scale,
    pub(crate) p: [Complex<W>; 4],
    pub(crate) c: Complex<W>,
    /// The mean square by which a fit misses its points; 0 for a curve that goes through them.
    pub(crate) spread: W,
}

/// What is sought on a curve.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Sought<W> {
    /// |Γ|² crosses this level.
    Level(W),
    /// Im Γ = 0.
    Axis,
    /// |Γ| is least.
    Least,
}

/// Γ at a position, and its slope.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Course<W> {
    pub(crate) gamma: Complex<W>,
    /// dΓ/dt.
    pub(crate) slope: Complex<W>,
}

/// One point of a table of divided differences.
#[derive(Clone, Copy)]
struct Difference<W> {
    t: W,
    /// The start of the interval of this difference.
    from: W,
    /// Of Γ.
    plain: Complex<W>,
    /// Of t·Γ.
    timed: Complex<W>,
}

/// The points of a curve, counted from the one in its middle; the first three must be there.
const NEAREST: [i32; 5] = [0, -1, 1, -2, 2];

impl<W: Real> Curve<W> {
    pub(crate) const NONE: Self = Self {
        scale: Scale {
            centre: Hertz::new(0),
            unit: 1,
        },
        p: [Complex::ZERO; 4],
        c: Complex::ZERO,
        spread: W::ZERO,
    };

    /// Makes this the curve through the nearest points round the centre of a view, up to `most` of them (2 to 5). False
    /// if there is no such curve, or its pole lies among the points.
    ///
    /// P(t) = Γ·(1 + c·t) has a degree at which its highest divided difference vanishes, which gives c. Without a
    /// `pole` c is 0, and P has one degree more.
    pub(crate) fn pass<A: Arithmetic<Working = W>>(
        &mut self,
        view: View<'_, A>,
        most: usize,
        pole: bool,
    ) -> bool {
        self.through(view, NEAREST.get(..most).unwrap_or_default(), pole)
    }

    /// The same through the points with these offsets from the centre, three to five of them.
    pub(crate) fn through<A: Arithmetic<Working = W>>(
        &mut self,
        view: View<'_, A>,
        offsets: &[i32],
        pole: bool,
    ) -> bool {
        self.try_through(view, offsets, pole).is_some()
    }

    #[inline(never)]
    fn try_through<A: Arithmetic<Working = W>>(
        &mut self,
        view: View<'_, A>,
        offsets: &[i32],
        pole: bool,
    ) -> Option<()> {
        let scale = view.scale()?;
        let mut rows = [Difference {
            t: W::ZERO,
            from: W::ZERO,
            plain: Complex::ZERO,
            timed: Complex::ZERO,
        }; 5];
        let (mut count, mut reach) = (0, W::ZERO);
        let mut offsets = offsets.iter();
        for row in &mut rows {
            let point = loop {
                let Some(offset) = offsets.next() else { break None };
                let point = view.at(*offset);
                if point.is_some() {
                    break point;
                }
                if count < 3 {
                    return None;
                }
            };
            let Some(point) = point else { break };
            row.t = scale.place(point.frequency);
            row.from = row.t;
            row.plain = point.gamma();
            row.timed.add_scaled(&row.plain, row.t);
            reach = reach.larger(row.t.absolute());
            count += 1;
        }
        divide(&mut rows, count)?;
        let mut known = rows.get(..count)?;
        let mut c = Complex::ZERO;
        if pole {
            let (top, lower) = known.split_last()?;
            known = lower;
            if !(top.plain.is_zero() && top.timed.is_zero()) {
                c = -top.plain.checked_div(top.timed)?;
            }
            // The pole at t = −1/c = −c*/|c|² must be a quarter of a step off the axis, or beyond the points. A nearer
            // one is not a resonance that these points can show; it is rounding, and a spike between two points.
            let size = c.power();
            let is_near = c.im.absolute() * W::from_i32(4) < size;
            if is_near && c.re.absolute() <= size * reach {
                return None;
            }
        }
        self.scale = scale;
        self.c = c;
        self.spread = W::ZERO;
        self.p = [Complex::ZERO; 4];
        // From Newton's form to the coefficients: the sum so far times (t − t of the row), plus the row's own.
        for (degree, row) in known.iter().rev().enumerate() {
            raise(self.p.get_mut(..=degree)?, row.plain + c * row.timed, -row.t);
        }
        self.is_finite().then_some(())
    }

    /// D(t).
    pub(crate) fn denominator(&self, t: W) -> Complex<W> {
        Complex::ONE.plus(self.c, t)
    }

    /// The least |D|² from −`reach` to `reach`.
    pub(crate) fn least_denominator(&self, reach: W) -> W {
        // |D|² is a parabola with its lowest point at −c.re/|c|².
        let size = self.c.power();
        if self.c.re.absolute() < size * reach {
            self.c.im.square() / size
        } else {
            let (one, other) = (self.denominator(-reach).power(), self.denominator(reach).power());
            one.smaller(other)
        }
    }

    /// Whether a resonance near the centre is narrower than three steps between its half-power points: its pole is less than
    /// one and a half steps off the axis.
    pub(crate) fn is_narrow(&self) -> bool {
        // The pole is at −c*/|c|².
        let size = self.c.power();
        let (off, beside) = (self.c.im.absolute(), self.c.re.absolute());
        off + off < size * W::from_i32(3) && beside < size * W::from_i32(3)
    }

    pub(crate) fn is_finite(&self) -> bool {
        self.c.is_finite() && self.p.iter().all(|coefficient| coefficient.is_finite())
    }

    /// t of a frequency.
    pub(crate) fn place(&self, frequency: Hertz) -> W {
        self.scale.place(frequency)
    }

    /// The frequency of t, to the nearest hertz.
    pub(crate) fn frequency(&self, t: W) -> Hertz {
        self.scale.centre.moved(t, self.scale.unit)
    }

    /// D(t), P(t), P'(t), P''(t)/2 and (P(t) − P(0))/t.
    #[inline(never)]
    fn parts(&self, t: W) -> [Complex<W>; 5] {
        let [p0, p1, p2, p3] = self.p;
        // Horner's rule, for the value and both derivatives.
        let bend = p2.plus(p3, t);
        let secant = p1.plus(bend, t);
        let value = p0.plus(secant, t);
        let bend = bend.plus(p3, t);
        let slope = secant.plus(bend, t);
        let bend = bend.plus(p3, t);
        [Complex::ONE.plus(self.c, t), value, slope, bend, secant]
    }

    /// The same at t = 1, or at −1 if `before`.
    #[inline(never)]
    fn parts_beside(&self, before: bool) -> [Complex<W>; 5] {
        let [p0, p1, p2, p3] = self.p;
        let (odd, even) = (p1 + p3, p2 + p2);
        let bent = odd + p3 + p3;
        if before {
            [Complex::ONE - self.c, p0 + p2 - odd, bent - even, p2, odd - p2]
        } else {
            [Complex::ONE + self.c, p0 + p2 + odd, bent + even, p2, odd + p2]
        }
    }

    /// Γ(t); `None` at a pole.
    #[inline(never)]
    pub(crate) fn gamma(&self, t: W) -> Option<Complex<W>> {
        let [p0, p1, p2, p3] = self.p;
        let above = p0.plus(p1.plus(p2.plus(p3, t), t), t);
        above.checked_div(self.denominator(t))
    }

    /// Γ(t) and its slope; `None` at a pole.
    #[inline(never)]
    pub(crate) fn course(&self, t: W) -> Option<Course<W>> {
        let [below, above, above_slope, ..] = self.parts(t);
        let gamma = above.checked_div(below)?;
        // (P/D)' = (P' − (P/D)·c)/D
        let slope = (above_slope - gamma * self.c).checked_div(below)?;
        Some(Course { gamma, slope })
    }

    /// A number that is 0 where something is found: for the minimum the derivative of |Γ|² times |D|⁴/2, otherwise the
    /// excess of |Γ|² or Im Γ times |D|². From the parts at t.
    #[inline(never)]
    fn excess(&self, sought: Sought<W>, t: W, parts: &[Complex<W>; 5]) -> W {
        let [d, p, p1, _, s] = *parts;
        let c = self.c;
        match sought {
            Sought::Level(level) => {
                // By the powers of t, since |P|² and the level are nearly equal: their difference is not rounded again.
                let [p0, ..] = self.p;
                let rest = p0.along(s) - level * c.re;
                let bend = s.power() - level * c.power();
                (p0.power() - level) + t * (rest + rest + t * bend)
            }
            Sought::Axis => p.across(d),
            Sought::Least => p.along(p1) * d.power() - p.power() * d.along(c),
        }
    }

    /// The same at t = 0.
    fn excess_at_centre(&self, sought: Sought<W>) -> W {
        let [p0, p1, ..] = self.p;
        match sought {
            Sought::Level(level) => p0.power() - level,
            Sought::Axis => p0.im,
            Sought::Least => p0.along(p1) - p0.power() * self.c.re,
        }
    }

    /// Half of the derivative of the excess.
    #[inline(never)]
    fn half_slope(&self, sought: Sought<W>, parts: &[Complex<W>; 5]) -> W {
        let [d, p, p1, p2, _] = *parts;
        let c = self.c;
        match sought {
            Sought::Level(level) => p.along(p1) - level * d.along(c),
            Sought::Axis => (p1.across(d) + p.across(c)) * W::HALF,
            Sought::Least => {
                let upper_bend = p1.power() + W::TWO * p.along(p2);
                (upper_bend * d.power() - p.power() * c.power()) * W::HALF
            }
        }
    }

    /// Estimates on both sides of the centre: first where the sought number falls through zero, then where it rises.
    #[inline(never)]
    pub(crate) fn guesses(&self, sought: Sought<W>) -> [Option<W>; 2] {
        let before = self.excess(sought, -W::ONE, &self.parts_beside(true));
        let centre = self.excess_at_centre(sought);
        let after = self.excess(sought, W::ONE, &self.parts_beside(false));
        let mean = (before + after) * W::HALF;
        quadratic(mean - centre, (after - before) * W::HALF, centre)
    }

    /// The root near an estimate; `None` if Newton's method leads away from the points.
    #[inline(never)]
    pub(crate) fn refined(&self, sought: Sought<W>, mut t: W) -> Option<W> {
        let eighth = W::HALF * W::HALF * W::HALF;
        // Each step about doubles the correct digits. After one below 2⁻¹⁸ the result is exact to a hertz.
        let enough = eighth.square() * eighth.square() * eighth.square();
        for _ in 0..8 {
            let parts = self.parts(t);
            let step = self.excess(sought, t, &parts) * W::HALF / self.half_slope(sought, &parts);
            t = t - step;
            // Neither NaN nor a distant value is a result.
            let is_near = t.absolute() < W::from_i32(4);
            if !is_near {
                return None;
            }
            if step.absolute() < enough {
                break;
            }
        }
        Some(t)
    }
}

/// From the first `count` values to divided differences: order 0 in the first row, order 1 in the second, and so on.
#[inline(always)]
fn divide<W: Real>(rows: &mut [Difference<W>; 5], count: usize) -> Option<()> {
    for order in 1..count {
        // From the last row up, each with the one before it.
        let mut rest = rows.get_mut(order - 1..count)?;
        while let Some((high, lower)) = rest.split_last_mut() {
            if let Some(low) = lower.last() {
                let per_span = W::ONE / (high.t - low.from);
                high.plain.add_scaled(&low.plain, -W::ONE);
                high.plain = high.plain.scale(per_span);
                high.timed.add_scaled(&low.timed, -W::ONE);
                high.timed = high.timed.scale(per_span);
                high.from = low.from;
            }
            rest = lower;
        }
    }
    Some(())
}

/// A polynomial times (t + `shift`), with `lowest` added.
// For any length, so that the compiler does not unroll it.
#[inline(never)]
fn raise<W: Real>(coefficients: &mut [Complex<W>], mut lowest: Complex<W>, shift: W) {
    for coefficient in coefficients {
        let held = *coefficient;
        *coefficient = lowest.plus(held, shift);
        lowest = held;
    }
}

/// The real roots of p·t² + q·t + r, first where it falls, then where it rises; the leading coefficients may be zero.
///
/// Takes the root without cancellation first, and the other from the product of both (D. Goldberg, "What Every
/// Computer Scientist Should Know About Floating-Point Arithmetic", ACM Computing Surveys 23(1), 1991).
fn quadratic<W: Real>(p: W, q: W, r: W) -> [Option<W>; 2] {
    let half = q * W::HALF;
    let mut discriminant = half.square() - p * r;
    if discriminant < W::ZERO {
        // Two equal roots, missed because of rounding?
        if discriminant < -(half.square() * W::EPSILON) {
            return [None, None];
        }
        discriminant = W::ZERO;
    }
    let root = discriminant.square_root();
    let rises = half >= W::ZERO;
    let sum = if rises { -half - root } else { root - half };
    let finite = |above: W, below: W| {
        let t = above / below;
        (!below.is_zero() && t.is_finite()).then_some(t)
    };
    // The slope is 2·root at t = (root − half)/p, and −2·root at the other.
    let (far, near) = (finite(sum, p), finite(r, sum));
    if rises { [far, near] } else { [near, far] }
}
