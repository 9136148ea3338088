//! Between the grid points: a Möbius map through neighbouring points of a sweep.
//!
//! Near any one resonance Γ is very nearly (a + b·t)/(1 + c·t) in the frequency t, with complex a, b, c. Three points
//! fix the map. |Γ(t)|² is then a ratio of two quadratics, so its minimum, the places where it passes a level, and the
//! places where Im Γ(t) = 0 are each roots of one quadratic.
//!
//! A cable turns Γ as well, which no such map does. Therefore a numerator of higher degree takes more points in: P(t)/(1 +
//! c·t) through five of them, or fitted to up to fifteen. Its roots have no closed form; they are found by the same
//! closed forms again, on the map through three points of that curve close to the first answer.

use super::window::Point;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::{Complex, Hertz};

/// Γ(t) = (a + b·t)/(1 + c·t), with t counted in `step`s of `unit` hertz from `origin` units above `centre`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LocalMap<W> {
    centre: Hertz,
    unit: u64,
    origin: W,
    step: W,
    a: Complex<W>,
    b: Complex<W>,
    c: Complex<W>,
    curve: Option<Curve<W>>,
}

/// A curve through four or five points, P(t)/(1 + c·t) with P of the second or third degree: one resonance as in the
/// map, on a smooth background. P in Newton's form with the nodes 0, `before`, `after`.
#[derive(Clone, Copy, Debug)]
struct Curve<W> {
    before: W,
    after: W,
    p: [Complex<W>; 4],
    c: Complex<W>,
}

/// The degrees of P that are tried in fits by least squares, 1 to this.
const DEGREES: usize = 3;

/// The most points that are fitted to.
pub(crate) const WIDEST: usize = 15;

impl<W: Real> LocalMap<W> {
    /// The map through three points, with the curve through the next points on both sides as well; `None` where there
    /// is none (the outer two of the three equal, or a repeated frequency).
    pub(crate) fn through<A: Arithmetic<Working = W>>(
        [before, centre, after]: [&Point<A>; 3],
        beyond: [Option<&Point<A>>; 2],
    ) -> Option<Self> {
        let unit = after.frequency.get().abs_diff(centre.frequency.get());
        if unit == 0 {
            return None;
        }
        let t1: W = before.frequency.steps_from(centre.frequency, unit);
        let t2: W = after.frequency.steps_from(centre.frequency, unit);
        if t1.is_zero() {
            return None;
        }
        let (g1, g0, g2) = (
            before.reflection.complex(),
            centre.reflection.complex(),
            after.reflection.complex(),
        );
        // Each outer point says (g − g0)/t = b − c·g; the difference of the two gives c.
        let slope1 = (g1 - g0).scale(W::ONE / t1);
        let slope2 = (g2 - g0).scale(W::ONE / t2);
        let span = g1 - g2;
        let c = (slope2 - slope1).checked_div(span)?;
        let b = slope1 + c * g1;
        let mut map = Self {
            centre: centre.frequency,
            unit,
            origin: W::ZERO,
            step: W::ONE,
            a: g0,
            b,
            c,
            curve: None,
        };
        // A pole among the points would mean that the three are no stretch of one smooth curve.
        let clear = |t: W| map.below(t).power() > W::EPSILON;
        if !(clear(t1) && clear(t2) && b.is_finite()) {
            return None;
        }
        let of = |point: &Point<A>| (map.place(point.frequency), point.reflection.complex());
        let near = [(W::ZERO, g0), (t1, g1), (t2, g2)];
        map.curve = match beyond.map(|point| point.map(of)) {
            [Some(lower), Some(upper)] => {
                let [p, q, r] = near;
                Curve::through([p, q, r, lower, upper])
            }
            [Some(other), None] | [None, Some(other)] => {
                let [p, q, r] = near;
                Curve::through([p, q, r, other])
            }
            [None, None] => None,
        };
        Some(map)
    }

    /// Γ(t) on the curve through all points, or on the map where there is none; `None` at a pole.
    pub(crate) fn value(&self, t: W) -> Option<Complex<W>> {
        match &self.curve {
            Some(curve) => curve.at(t),
            None => self.at(t),
        }
    }

    /// The map through three points of the curve close to t, an eighth of a step apart.
    fn zoomed(&self, t: W) -> Option<Self> {
        let near = W::HALF * W::HALF * W::HALF;
        let (g1, g0, g2) = (self.value(t - near)?, self.value(t)?, self.value(t + near)?);
        // As in `through`, with the points at −1, 0 and 1.
        let (slope1, slope2) = (g0 - g1, g2 - g0);
        let c = (slope2 - slope1).checked_div(g1 - g2)?;
        Some(Self {
            centre: self.centre,
            unit: self.unit,
            origin: self.origin + t * self.step,
            step: self.step * near,
            a: g0,
            b: slope1 + c * g1,
            c,
            curve: None,
        })
    }

    /// The answer of `pick` on the map and, where there is a curve, on a closer map round that first answer; with the
    /// map it holds for.
    pub(crate) fn solve(self, pick: impl Fn(&Self) -> Option<W>) -> Option<(Self, W)> {
        let first = pick(&self);
        let mut answer = first.map(|t| (self, t));
        if self.curve.is_some() {
            let mut t = first.unwrap_or(W::ZERO);
            for _ in 0..4 {
                let Some(close) = self.zoomed(t) else { break };
                let Some(u) = pick(&close) else { break };
                let moved = t + u * (close.step / self.step);
                // The curve holds between its points. Whatever leads further is no refinement.
                if moved.absolute() > W::TWO {
                    break;
                }
                answer = Some((close, u));
                if u.absolute() < W::HALF {
                    break;
                }
                t = moved;
            }
        }
        answer
    }

    /// The map to use right at a frequency, with the curve worked in.
    pub(crate) fn close_to(self, frequency: Hertz) -> Self {
        match self.curve {
            None => self,
            Some(_) => self.zoomed(self.place(frequency)).unwrap_or(self),
        }
    }

    /// The curves P(t)/(1 + c·t) that fit many points best, with P of degree 1, 2 and 3, and what each leaves: the mean
    /// square distance per degree of freedom.
    ///
    /// P(t) − c·t·Γ = Γ is linear in P and c. The powers of t are made orthogonal over the points one by one (G. E.
    /// Forsythe, "Generation and Use of Orthogonal Polynomials for Data-Fitting with a Digital Computer", Journal of
    /// the SIAM 5(2), 1957; from memory), which keeps the digits that normal equations would lose.
    pub(crate) fn fitted<A: Arithmetic<Working = W>>(
        points: &[Point<A>],
        centre: &Point<A>,
    ) -> Option<[(Self, W); DEGREES]> {
        let count = points.len();
        let mut unit = 0;
        for point in points {
            let away = point.frequency.get().abs_diff(centre.frequency.get());
            unit = if away > unit { away } else { unit };
        }
        if unit == 0 || !(DEGREES + 3..=WIDEST).contains(&count) {
            return None;
        }
        let g0 = centre.reflection.complex();
        // h = Γ − g0 and v = −t·h, so that the column of c is not a copy of the column of t.
        let mut rows = [(W::ZERO, W::ZERO, W::ZERO, Complex::ZERO, Complex::ZERO); WIDEST];
        for (row, point) in rows.iter_mut().zip(points) {
            let t: W = point.frequency.steps_from(centre.frequency, unit);
            let h = point.reflection.complex() - g0;
            *row = (t, W::ONE, W::ZERO, h, -h.scale(t));
        }
        let rows = rows.get_mut(..count)?;
        // The orthogonal polynomial of this degree and of the last, as coefficients of 1, t, t², t³.
        let (mut now, mut last) = ([W::ONE, W::ZERO, W::ZERO, W::ZERO], [W::ZERO; 4]);
        let mut last_norm = W::ONE;
        let (mut of_h, mut of_v) = ([Complex::ZERO; 4], [Complex::ZERO; 4]);
        let mut fits = [None; DEGREES];
        for degree in 0..=DEGREES {
            let (mut norm, mut along_t) = (W::ZERO, W::ZERO);
            let (mut h_part, mut v_part) = (Complex::ZERO, Complex::ZERO);
            for (t, q, _, h, v) in rows.iter() {
                norm = norm + q.square();
                along_t = along_t + *t * q.square();
                h_part = h_part + h.scale(*q);
                v_part = v_part + v.scale(*q);
            }
            if norm.is_zero() {
                return None;
            }
            let share = W::ONE / norm;
            (h_part, v_part) = (h_part.scale(share), v_part.scale(share));
            for ((h_sum, v_sum), factor) in of_h.iter_mut().zip(&mut of_v).zip(&now) {
                *h_sum = *h_sum + h_part.scale(*factor);
                *v_sum = *v_sum + v_part.scale(*factor);
            }
            let (alpha, beta) = (
                along_t * share,
                if degree == 0 { W::ZERO } else { norm / last_norm },
            );
            let (mut vv, mut vh, mut hh) = (W::ZERO, Complex::ZERO, W::ZERO);
            for (t, q, before, h, v) in rows.iter_mut() {
                *h = *h - h_part.scale(*q);
                *v = *v - v_part.scale(*q);
                vv = vv + v.power();
                vh = vh + v.conjugate() * *h;
                hh = hh + h.power();
                let next = (*t - alpha) * *q - beta * *before;
                (*before, *q) = (*q, next);
            }
            let [n0, n1, n2, n3] = now;
            let [l0, l1, l2, l3] = last;
            last = now;
            now = [
                -(alpha * n0) - beta * l0,
                n0 - alpha * n1 - beta * l1,
                n1 - alpha * n2 - beta * l2,
                n2 - alpha * n3 - beta * l3,
            ];
            last_norm = norm;
            let Some(slot) = degree.checked_sub(1).and_then(|place| fits.get_mut(place)) else {
                continue;
            };
            let c = if vv.is_zero() {
                Complex::ZERO
            } else {
                vh.scale(W::ONE / vv)
            };
            let mut left = W::ZERO;
            for (_, _, _, h, v) in rows.iter() {
                left = left + (*h - c * *v).power();
            }
            let [p0, p1, p2, p3] = of_h;
            let [v0, v1, v2, v3] = of_v;
            // Back from h to Γ: g0·(1 + c·t) is added above the line.
            let p = [p0 - c * v0 + g0, p1 - c * v1 + g0 * c, p2 - c * v2, p3 - c * v3];
            if !(p.iter().all(|coefficient| coefficient.is_finite()) && c.is_finite()) {
                return None;
            }
            let [a, b, ..] = p;
            let curve = Curve {
                before: W::ZERO,
                after: W::ZERO,
                p,
                c,
            };
            let map = Self {
                centre: centre.frequency,
                unit,
                origin: W::ZERO,
                step: W::ONE,
                a,
                b,
                c,
                curve: (degree > 1).then_some(curve),
            };
            *slot = Some((map, left / W::from_i32(count.saturating_sub(2 + degree) as i32)));
        }
        let [one, two, three] = fits;
        Some([one?, two?, three?])
    }

    fn below(&self, t: W) -> Complex<W> {
        Complex::ONE + self.c.scale(t)
    }

    fn above(&self, t: W) -> Complex<W> {
        self.a + self.b.scale(t)
    }

    /// t of a frequency.
    pub(crate) fn place(&self, frequency: Hertz) -> W {
        let units: W = frequency.steps_from(self.centre, self.unit);
        (units - self.origin) / self.step
    }

    /// The frequency of t, to the nearest hertz.
    pub(crate) fn frequency(&self, t: W) -> Hertz {
        self.centre.moved(self.origin + t * self.step, self.unit)
    }

    /// Γ(t); `None` at a pole.
    pub(crate) fn at(&self, t: W) -> Option<Complex<W>> {
        self.above(t).checked_div(self.below(t))
    }

    /// |Γ|² as (numerator, denominator), each the coefficients of 1, t, t².
    fn power_quadratics(&self) -> ([W; 3], [W; 3]) {
        let twice_product = |x: Complex<W>, y: Complex<W>| W::TWO * (x.re * y.re + x.im * y.im);
        (
            [self.a.power(), twice_product(self.a, self.b), self.b.power()],
            [W::ONE, W::TWO * self.c.re, self.c.power()],
        )
    }

    /// Where |Γ(t)| is least on the whole line; `None` for a map whose magnitude has no single minimum.
    pub(crate) fn lowest(&self) -> Option<W> {
        let ([n0, n1, n2], [d0, d1, d2]) = self.power_quadratics();
        // The derivative of N/D vanishes where N'·D = N·D'.
        let roots = quadratic(n2 * d1 - n1 * d2, W::TWO * (n2 * d0 - n0 * d2), n1 * d0 - n0 * d1);
        let mut best: Option<(W, W)> = None;
        for t in roots.into_iter().flatten() {
            let Some(gamma) = self.at(t) else { continue };
            let power = gamma.power();
            if power.is_finite() && best.is_none_or(|(_, least)| power < least) {
                best = Some((t, power));
            }
        }
        best.map(|(t, _)| t)
    }

    /// Where |Γ(t)|² passes `level`: up to two places.
    pub(crate) fn at_level(&self, level: W) -> [Option<W>; 2] {
        let ([n0, n1, n2], [d0, d1, d2]) = self.power_quadratics();
        quadratic(n2 - level * d2, n1 - level * d1, n0 - level * d0)
    }

    /// Where Im Γ(t) = 0: up to two places.
    pub(crate) fn on_axis(&self) -> [Option<W>; 2] {
        // Im (a + b·t)·(1 + c·t)*
        let cross = |x: Complex<W>, y: Complex<W>| x.im * y.re - x.re * y.im;
        quadratic(
            cross(self.b, self.c),
            self.b.im + cross(self.a, self.c),
            self.a.im,
        )
    }

    /// Q from the slope of the reactance, for t on the real axis.
    ///
    /// Q = (f/2R)·|dX/df|; where the impedance is the larger of impedance and admittance, the same is taken from
    /// the admittance, which gives the same number and keeps its digits at a high resistance. (A. D. Yaghjian, S. R.
    /// Best, "Impedance, Bandwidth, and Q of Antennas", IEEE Transactions on Antennas and Propagation 53(4), 2005.)
    pub(crate) fn q(&self, t: W) -> Option<W> {
        let (above, below) = (self.above(t), self.below(t));
        // z = (below + above)/(below − above)
        let (high, low) = (below + above, below - above);
        let (high_slope, low_slope) = (self.c + self.b, self.c - self.b);
        let impedance_is_large = high.power() > low.power();
        let (top, top_slope, bottom, bottom_slope) = if impedance_is_large {
            (low, low_slope, high, high_slope)
        } else {
            (high, high_slope, low, low_slope)
        };
        let ratio = top.checked_div(bottom)?;
        // (top/bottom)' = (top' − (top/bottom)·bottom')/bottom
        let slope = (top_slope - ratio * bottom_slope).checked_div(bottom)?;
        let frequency = W::from_u64(self.frequency(t).get()) / W::from_u64(self.unit) / self.step;
        let resistance = ratio.re.absolute();
        let turn = frequency * slope.im.absolute() * W::HALF;
        Some(if turn.is_zero() {
            W::ZERO
        } else if resistance.is_zero() {
            W::LARGEST
        } else {
            turn / resistance
        })
    }
}

impl<W: Real> Curve<W> {
    /// Through the given (t, Γ), the first of them at t = 0; `None` where the pole would lie among the points.
    ///
    /// P(t) = Γ·(1 + c·t) is of a degree that its highest divided difference vanishes, which gives c.
    fn through<const M: usize>(points: [(W, Complex<W>); M]) -> Option<Self> {
        let t = points.map(|(t, _)| t);
        let plain = divided_differences(t, points.map(|(_, g)| g));
        let times_t = divided_differences(t, points.map(|(t, g)| g.scale(t)));
        let (top, top_t) = (plain.last()?, times_t.last()?);
        let c = -top.checked_div(*top_t)?;
        let [_, before, after, ..] = t.as_slice() else {
            return None;
        };
        let (mut p, mut outside) = ([Complex::ZERO; 4], true);
        let known = plain.iter().zip(&times_t).take(M.saturating_sub(1));
        for (coefficient, (one, other)) in p.iter_mut().zip(known) {
            *coefficient = *one + c * *other;
        }
        // The pole at t = −1/c = −c*/|c|²: a fiftieth of a step off the axis, or beyond the points.
        let size = c.power();
        let margin = size * (W::ONE / W::from_i32(50));
        if c.im.absolute() < margin {
            let reach = t.iter().fold(W::ZERO, |reach, t| reach.larger(t.absolute()));
            outside = c.re.absolute() > size * reach;
        }
        let finite = p.iter().all(|coefficient| coefficient.is_finite());
        (outside && finite).then_some(Self {
            before: *before,
            after: *after,
            p,
            c,
        })
    }

    fn at(&self, t: W) -> Option<Complex<W>> {
        let [p0, p1, p2, p3] = self.p;
        let inner = p2 + p3.scale(t - self.after);
        let above = p0 + (p1 + inner.scale(t - self.before)).scale(t);
        above.checked_div(Complex::ONE + self.c.scale(t))
    }
}

/// Newton's divided differences of y over t: \[t0\]y, \[t0, t1\]y, …
fn divided_differences<W: Real, const M: usize>(t: [W; M], mut y: [Complex<W>; M]) -> [Complex<W>; M] {
    for order in 1..M {
        for place in (order..M).rev() {
            if let (Some(high), Some(low), Some(t_high), Some(t_low)) =
                (y.get(place), y.get(place - 1), t.get(place), t.get(place - order))
            {
                let next = (*high - *low).scale(W::ONE / (*t_high - *t_low));
                if let Some(slot) = y.get_mut(place) {
                    *slot = next;
                }
            }
        }
    }
    y
}

/// The real roots of p·t² + q·t + r, in no order; the leading coefficients may be zero.
///
/// Takes the root without cancellation first, and the other from the product of both (D. Goldberg, "What Every
/// Computer Scientist Should Know About Floating-Point Arithmetic", ACM Computing Surveys 23(1), 1991).
fn quadratic<W: Real>(p: W, q: W, r: W) -> [Option<W>; 2] {
    let half = q * W::HALF;
    let mut discriminant = half.square() - p * r;
    if discriminant < W::ZERO {
        // Two equal roots, missed by rounding?
        if discriminant < -(half.square() * W::EPSILON) {
            return [None, None];
        }
        discriminant = W::ZERO;
    }
    let root = discriminant.square_root();
    let sum = if half < W::ZERO { root - half } else { -half - root };
    let finite = |t: W| t.is_finite().then_some(t);
    let first = if p.is_zero() { None } else { finite(sum / p) };
    let second = if sum.is_zero() { None } else { finite(r / sum) };
    [first, second]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::Fixed32;
    use crate::quantity::Reflection;

    #[test]
    fn roots_of_a_quadratic() {
        let sorted = |p: f64, q, r| {
            let mut roots: std::vec::Vec<f64> = quadratic(p, q, r).into_iter().flatten().collect();
            roots.sort_by(f64::total_cmp);
            roots
        };
        assert_eq!(sorted(1.0, -3.0, 2.0), [1.0, 2.0]);
        assert_eq!(sorted(0.0, 2.0, -1.0), [0.5]);
        assert!(sorted(1.0, 0.0, 1.0).is_empty());
        assert!(sorted(0.0, 0.0, 1.0).is_empty());
        // The small root keeps its digits.
        assert_eq!(sorted(1.0, -1e9, 1.0)[0], 1e-9);
    }

    fn exact_points<A: Arithmetic>(hertz: &[u64]) -> std::vec::Vec<Point<A>> {
        // Γ = (0.2 + 0.1j + (0.3 − 0.2j)·t)/(1 + (0.1 + 0.4j)·t), t in units of 100 Hz from 1000 Hz.
        hertz
            .iter()
            .map(|f| {
                let t = (*f as f64 - 1000.0) / 100.0;
                let gamma = (Complex::new(0.2, 0.1) + Complex::new(0.3, -0.2).scale(t))
                    / (Complex::ONE + Complex::new(0.1, 0.4).scale(t));
                Point::new(
                    Hertz::new(*f),
                    Reflection::try_from_f64(gamma.re, gamma.im).unwrap(),
                )
            })
            .collect()
    }

    fn gives_back_the_map<A: Arithmetic>(tolerance: f64) {
        let points = exact_points::<A>(&[700, 800, 900, 1000, 1130, 1200, 1280]);
        let [o, p, q, r, s] = [1, 2, 3, 4, 5].map(|i| &points[i]);
        let three = LocalMap::through([p, q, r], [Some(o), Some(s)]).unwrap();
        let [(one, left), (two, _), (three_degrees, _)] = LocalMap::fitted(&points, q).unwrap();
        assert!(left.to_f64() < tolerance * tolerance);
        for map in [three, one, two, three_degrees] {
            for other in &exact_points::<A>(&[850, 950, 1050, 1170]) {
                let gamma = map.value(map.place(other.frequency)).unwrap();
                let error = (gamma - other.reflection.complex()).magnitude().to_f64();
                assert!(error < tolerance, "{error:e}");
            }
        }
    }

    #[test]
    fn a_moebius_map_is_found_again() {
        gives_back_the_map::<f64>(1e-14);
        gives_back_the_map::<f32>(3e-6);
        gives_back_the_map::<Fixed32>(3e-8);
    }
}
