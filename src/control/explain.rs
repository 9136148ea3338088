//! Estimates the load and the bank's true values together from the readings.
//!
//! Unknown are the load's Γ, about which nothing is assumed, and the relative error of every part, which is small: the
//! nominal value has a tolerance. Each reading is linearised about the present estimate. The load then follows by
//! generalised least squares, with S = H·P·Hᵀ + R the covariance of the readings for a given load (P the tolerances, R
//! the sensor's noise), and the errors from the residual, P·Hᵀ·S⁻¹·(r − G·δ). A few rounds of this are the Gauss–Newton
//! method (textbooks on estimation; from memory). The size of S is that of the readings, not of the bank.

use super::at::{BankAt, Learned};
use super::bank::Bank;
use super::code::is_in;
use super::reading::{Observation, Seen};
use super::sensor::Accuracy;
use super::setting::Setting;
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::plane::Plane;
use crate::quantity::{Complex, Hertz, Reference};

/// The largest number of equations: one per magnitude, two per Γ. If there are more, the latest readings are used.
const MOST_ROWS: usize = 12;
const ROUNDS: usize = 8;
/// The largest number of times that a step is halved because it increases the cost.
const HALVINGS: usize = 4;

#[derive(Clone, Copy, Debug)]
pub(super) struct Prior<W> {
    /// Standard deviation of a part's relative error.
    pub(super) tolerance: W,
    /// How far a reading may be off.
    pub(super) sensor: Accuracy<W>,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Explanation<W, const L: usize, const C: usize> {
    pub(super) load: Complex<W>,
    pub(super) learned: Learned<W, L, C>,
    /// The squared residual, in standard deviations, and the number of equations beyond those that fix the load: the
    /// two are about equal if the assumptions hold.
    pub(super) unexplained: W,
    pub(super) spare: u8,
}

impl<W: Real, const L: usize, const C: usize> Explanation<W, L, C> {
    /// As good as can be expected: about one per spare equation, plus three.
    pub(super) fn is_close(&self) -> bool {
        self.badness() <= W::from_i32(3 + i32::from(self.spare))
    }

    /// The measure that ranks explanations. A load without resistance is rare, and wrong starts end at |Γ| = 1.
    pub(super) fn badness(&self) -> W {
        if self.load.magnitude() < rim() {
            self.unexplained
        } else {
            self.unexplained + W::from_i32(8)
        }
    }

    /// Small enough that the assumptions may hold: about five standard deviations of such a sum, plus a margin.
    pub(super) fn is_believable(&self) -> bool {
        self.unexplained <= W::from_i32(16 + 4 * i32::from(self.spare))
    }
}

/// One equation.
#[derive(Clone, Copy)]
struct Row<W> {
    setting: Setting,
    residual: W,
    variance: W,
    /// To the load's Γ.
    load: [W; 2],
    /// To impedance among the coils, admittance at the source and at the load end: Re(factor · change).
    series: Complex<W>,
    at_source: Complex<W>,
    at_load: Complex<W>,
}

impl<W: Real> Row<W> {
    const EMPTY: Self = Self {
        setting: Setting::BYPASS,
        residual: W::ZERO,
        variance: W::ONE,
        load: [W::ZERO; 2],
        series: Complex::ZERO,
        at_source: Complex::ZERO,
        at_load: Complex::ZERO,
    };
}

/// Standard deviation of |Γ|².
///
/// A magnitude below 0.01 counts as a match: it has no direction, and the curvature would make the estimate diverge.
fn of_square<W: Real>(size: W, sensor: Accuracy<W>) -> W {
    let spread = sensor.spread(size) + W::ONE / W::from_i32(100);
    spread * (size + size + spread)
}

/// As many of the latest readings as fit.
fn latest<W: Real>(observations: &[Observation<W>]) -> &[Observation<W>] {
    let is_vector = observations
        .iter()
        .any(|observation| matches!(observation.seen, Seen::Vector(_)));
    let most = if is_vector { MOST_ROWS / 2 } else { MOST_ROWS };
    observations
        .get(observations.len().saturating_sub(most)..)
        .unwrap_or(observations)
}

/// Re(a·b).
fn along<W: Real>(a: Complex<W>, b: Complex<W>) -> W {
    a.re * b.re - a.im * b.im
}

impl<A: Arithmetic, const L: usize, const C: usize> BankAt<A, L, C> {
    /// The derivative of a row with respect to the relative error of a coil.
    fn of_coil(&self, row: &Row<A::Working>, k: usize) -> A::Working {
        match self.coils.get(k) {
            Some(part) if is_in(row.setting.coils, k) => along(row.series, *part),
            _ => A::Working::ZERO,
        }
    }

    fn of_capacitor(&self, row: &Row<A::Working>, k: usize) -> A::Working {
        let (source, load) = self.capacitors_at(row.setting);
        match self.capacitors.get(k) {
            Some(part) if is_in(source, k) => along(row.at_source, *part),
            Some(part) if is_in(load, k) => along(row.at_load, *part),
            _ => A::Working::ZERO,
        }
    }

    /// The sum over all parts of the products of the derivatives of two rows.
    #[inline(never)]
    fn in_common(&self, p: &Row<A::Working>, q: &Row<A::Working>) -> A::Working {
        let mut sum = A::Working::ZERO;
        let coils = p.setting.coils & q.setting.coils;
        for k in 0..L {
            if is_in(coils, k) {
                sum = sum + self.of_coil(p, k) * self.of_coil(q, k);
            }
        }
        let capacitors = p.setting.capacitors & q.setting.capacitors;
        for k in 0..C {
            if is_in(capacitors, k) {
                sum = sum + self.of_capacitor(p, k) * self.of_capacitor(q, k);
            }
        }
        sum
    }

    /// The squared deviation of readings and parts, in standard deviations.
    #[inline(never)]
    fn cost(
        &self,
        observations: &[Observation<A::Working>],
        load: Complex<A::Working>,
        learned: &Learned<A::Working, L, C>,
        before: &Learned<A::Working, L, C>,
        prior: Prior<A::Working>,
    ) -> A::Working {
        let mut cost = A::Working::ZERO;
        let port = Plane::of(load);
        for observation in latest(observations) {
            let here = self.input(observation.setting, port);
            let gamma = (here.voltage - here.current) / (here.voltage + here.current);
            cost = cost
                + match observation.seen {
                    Seen::Vector(seen) => {
                        let spread = prior.sensor.spread(seen.magnitude());
                        (seen - gamma).power() / spread.square()
                    }
                    Seen::Size(size) => {
                        let spread = of_square(size, prior.sensor);
                        ((size.square() - gamma.power()) / spread).square()
                    }
                };
        }
        let mut errors = A::Working::ZERO;
        let parts = learned.coils.iter().zip(&before.coils);
        for (now, before) in parts.chain(learned.capacitors.iter().zip(&before.capacitors)) {
            errors = errors + (*now - *before).square();
        }
        cost + errors / prior.tolerance.square()
    }

    fn rows(
        &self,
        observation: &Observation<A::Working>,
        load: Complex<A::Working>,
        sensor: Accuracy<A::Working>,
    ) -> [Option<Row<A::Working>>; 2] {
        let at = self.sensitivity(observation.setting, load);
        let row = |residual, variance, factor: Complex<A::Working>| {
            let by_load = factor * at.load;
            Row {
                setting: observation.setting,
                residual,
                variance,
                load: [by_load.re, -by_load.im],
                series: factor * at.series,
                at_source: factor * at.at_source,
                at_load: factor * at.at_load,
            }
        };
        match observation.seen {
            Seen::Vector(seen) => {
                let residual = seen - at.reflection;
                let variance = sensor.spread(seen.magnitude()).square();
                let minus_j = Complex::new(A::Working::ZERO, -A::Working::ONE);
                [
                    Some(row(residual.re, variance, Complex::ONE)),
                    Some(row(residual.im, variance, minus_j)),
                ]
            }
            Seen::Size(size) => {
                let residual = size.square() - at.reflection.power();
                let variance = of_square(size, sensor).square();
                let factor = at.reflection.conjugate().scale(A::Working::TWO);
                [Some(row(residual, variance, factor)), None]
            }
        }
    }
}

/// The data that do not change from round to round.
struct Problem<'a, A: Arithmetic, const L: usize, const C: usize> {
    bank: &'a Bank<A, L, C>,
    at: (Hertz, Reference<A>),
    before: &'a Learned<A::Working, L, C>,
    observations: &'a [Observation<A::Working>],
    prior: Prior<A::Working>,
}

struct Estimate<A: Arithmetic, const L: usize, const C: usize> {
    load: Complex<A::Working>,
    learned: Learned<A::Working, L, C>,
    /// The bank at the frequency, with the learned errors.
    here: BankAt<A, L, C>,
    cost: A::Working,
}

struct Equations<W> {
    rows: [Row<W>; MOST_ROWS],
    count: usize,
}

/// Explains the readings, from an estimate of the load and the errors learned before. `None` if the numbers diverge.
#[inline(never)]
pub(super) fn explain<A: Arithmetic, const L: usize, const C: usize>(
    bank: &Bank<A, L, C>,
    at: (Hertz, Reference<A>),
    before: &Learned<A::Working, L, C>,
    observations: &[Observation<A::Working>],
    start: Complex<A::Working>,
    prior: Prior<A::Working>,
) -> Option<Explanation<A::Working, L, C>> {
    let problem = Problem {
        bank,
        at,
        before,
        observations,
        prior,
    };
    let mut estimate = problem.estimate(within_the_chart(start), *before)?;
    let mut count = 0usize;
    for _ in 0..ROUNDS {
        let equations = problem.equations(&estimate);
        count = equations.count;
        let rows = equations.rows.get(..count)?;
        let factor = problem.factor(&estimate.here, rows)?;
        let (step, weights) = solve(&factor, rows)?;
        let learned = problem.errors(&estimate.here, rows, &weights);
        let step = at_most_a_half(step)?;
        if !problem.descend(&mut estimate, step, learned)? {
            break;
        }
    }
    Some(Explanation {
        load: estimate.load,
        learned: estimate.learned,
        unexplained: estimate.cost,
        spare: count.saturating_sub(2) as u8,
    })
}

impl<A: Arithmetic, const L: usize, const C: usize> Problem<'_, A, L, C> {
    fn estimate(
        &self,
        load: Complex<A::Working>,
        learned: Learned<A::Working, L, C>,
    ) -> Option<Estimate<A, L, C>> {
        let here = BankAt::new(self.bank, Some(&learned), self.at.0, self.at.1).ok()?;
        let cost = here.cost(self.observations, load, &learned, self.before, self.prior);
        Some(Estimate {
            load,
            learned,
            here,
            cost,
        })
    }

    /// The readings, linearised about an estimate.
    fn equations(&self, estimate: &Estimate<A, L, C>) -> Equations<A::Working> {
        let mut rows = [Row::EMPTY; MOST_ROWS];
        let mut count = 0usize;
        for observation in latest(self.observations) {
            let own = estimate.here.rows(observation, estimate.load, self.prior.sensor);
            for mut row in own.into_iter().flatten() {
                row.residual = self.without_errors(estimate, &row);
                if let Some(place) = rows.get_mut(count) {
                    *place = row;
                }
                count = count.saturating_add(1);
            }
        }
        Equations { rows, count }
    }

    /// The residual of a row without the errors assumed so far: what they explain counts as unexplained again.
    fn without_errors(&self, estimate: &Estimate<A, L, C>, row: &Row<A::Working>) -> A::Working {
        let (here, learned) = (&estimate.here, &estimate.learned);
        let mut residual = row.residual;
        for k in 0..L {
            if let (Some(now), Some(before)) = (learned.coils.get(k), self.before.coils.get(k)) {
                residual = residual + here.of_coil(row, k) * (*now - *before);
            }
        }
        for k in 0..C {
            if let (Some(now), Some(before)) = (learned.capacitors.get(k), self.before.capacitors.get(k)) {
                residual = residual + here.of_capacitor(row, k) * (*now - *before);
            }
        }
        residual
    }

    /// The Cholesky factor of the covariance of the readings for a given load.
    fn factor(&self, here: &BankAt<A, L, C>, rows: &[Row<A::Working>]) -> Option<Triangle<A::Working>> {
        let tolerance = self.prior.tolerance.square();
        let mut factor = Triangle::new();
        for (p, row) in rows.iter().enumerate() {
            for (q, other) in rows.iter().enumerate().take(p.saturating_add(1)) {
                let mut value = tolerance * here.in_common(row, other);
                if p == q {
                    value = value + row.variance;
                }
                factor.set(p, q, value);
            }
        }
        factor.factorise(rows.len())?;
        Some(factor)
    }

    /// The errors of the parts that belong to the weights of the rows.
    fn errors(
        &self,
        here: &BankAt<A, L, C>,
        rows: &[Row<A::Working>],
        weights: &[A::Working; MOST_ROWS],
    ) -> Learned<A::Working, L, C> {
        let tolerance = self.prior.tolerance.square();
        let mut errors = *self.before;
        for k in 0..L {
            let mut sum = A::Working::ZERO;
            for (row, weight) in rows.iter().zip(weights) {
                sum = sum + here.of_coil(row, k) * *weight;
            }
            if let Some(place) = errors.coils.get_mut(k) {
                *place = *place + limited(sum * tolerance, self.prior.tolerance);
            }
        }
        for k in 0..C {
            let mut sum = A::Working::ZERO;
            for (row, weight) in rows.iter().zip(weights) {
                sum = sum + here.of_capacitor(row, k) * *weight;
            }
            if let Some(place) = errors.capacitors.get_mut(k) {
                *place = *place + limited(sum * tolerance, self.prior.tolerance);
            }
        }
        errors
    }

    /// Takes the step, halved while it increases the cost; false if another round is not useful.
    fn descend(
        &self,
        estimate: &mut Estimate<A, L, C>,
        step: Complex<A::Working>,
        mut learned: Learned<A::Working, L, C>,
    ) -> Option<bool> {
        let mut load = within_the_chart(estimate.load + step);
        for _ in 0..HALVINGS {
            let there = self.estimate(load, learned)?;
            if there.cost <= estimate.cost {
                let gain = estimate.cost - there.cost;
                *estimate = there;
                let is_at_the_bottom = gain < A::Working::ONE / A::Working::from_i32(64);
                return Some(!is_at_the_bottom);
            }
            load = (estimate.load + load).scale(A::Working::HALF);
            learned.draw_near(&estimate.learned);
        }
        Some(false)
    }
}

/// The step of the load by generalised least squares, and the weight of each row in the errors of the parts; `None` if
/// the rows do not determine both coordinates of the load.
fn solve<W: Real>(factor: &Triangle<W>, rows: &[Row<W>]) -> Option<(Complex<W>, [W; MOST_ROWS])> {
    let column = |of: &dyn Fn(&Row<W>) -> W| {
        let mut column = [W::ZERO; MOST_ROWS];
        for (place, row) in column.iter_mut().zip(rows.iter()) {
            *place = of(row);
        }
        factor.forward(&mut column, rows.len());
        column
    };
    let residual = column(&|row| row.residual);
    let x = column(&|row| row.load[0]);
    let y = column(&|row| row.load[1]);
    let (xx, xy, yy) = (dot(&x, &x), dot(&x, &y), dot(&y, &y));
    let (xr, yr) = (dot(&x, &residual), dot(&y, &residual));
    let determinant = xx * yy - xy.square();
    // NaN fails this comparison too.
    let tells = determinant > W::EPSILON * xx * yy;
    if !tells {
        return None;
    }
    let step = Complex::new(
        (yy * xr - xy * yr) / determinant,
        (xx * yr - xy * xr) / determinant,
    );
    let mut weights = residual;
    for ((weight, x), y) in weights.iter_mut().zip(&x).zip(&y) {
        *weight = *weight - *x * step.re - *y * step.im;
    }
    factor.backward(&mut weights, rows.len());
    Some((step, weights))
}

/// A step, shortened to a half if it is longer; `None` if it is not a number.
fn at_most_a_half<W: Real>(step: Complex<W>) -> Option<Complex<W>> {
    let size = step.magnitude();
    if !size.is_finite() {
        return None;
    }
    Some(if size > W::HALF {
        step.scale(W::HALF / size)
    } else {
        step
    })
}

/// Limits the error of a part to four standard deviations.
fn limited<W: Real>(error: W, tolerance: W) -> W {
    let most = tolerance * W::from_i32(4);
    error.smaller(most).larger(-most)
}

/// The largest |Γ| of an estimated load: SWR 4000.
pub(super) fn rim<W: Real>() -> W {
    W::ONE - W::ONE / W::from_i32(2000)
}

/// A load beyond that limit is moved back to it.
pub(super) fn within_the_chart<W: Real>(load: Complex<W>) -> Complex<W> {
    let (size, rim) = (load.magnitude(), rim());
    if size > rim { load.scale(rim / size) } else { load }
}

fn dot<W: Real>(a: &[W; MOST_ROWS], b: &[W; MOST_ROWS]) -> W {
    let mut sum = W::ZERO;
    for (a, b) in a.iter().zip(b) {
        sum = sum + *a * *b;
    }
    sum
}

/// One triangle of a symmetric matrix; later its Cholesky factor.
struct Triangle<W> {
    rows: [[W; MOST_ROWS]; MOST_ROWS],
}

impl<W: Real> Triangle<W> {
    fn new() -> Self {
        Self {
            rows: [[W::ZERO; MOST_ROWS]; MOST_ROWS],
        }
    }

    fn get(&self, p: usize, q: usize) -> W {
        self.rows
            .get(p)
            .and_then(|row| row.get(q))
            .copied()
            .unwrap_or(W::ZERO)
    }

    fn set(&mut self, p: usize, q: usize, value: W) {
        if let Some(place) = self.rows.get_mut(p).and_then(|row| row.get_mut(q)) {
            *place = value;
        }
    }

    /// In place; `None` if the matrix is not positive definite.
    fn factorise(&mut self, count: usize) -> Option<()> {
        for p in 0..count {
            for q in 0..=p {
                let mut value = self.get(p, q);
                for k in 0..q {
                    value = value - self.get(p, k) * self.get(q, k);
                }
                if p == q {
                    if !(value > W::ZERO && value.is_finite()) {
                        return None;
                    }
                    self.set(p, p, value.square_root());
                } else {
                    self.set(p, q, value / self.get(q, q));
                }
            }
        }
        Some(())
    }

    /// Solves with the factor itself.
    fn forward(&self, column: &mut [W; MOST_ROWS], count: usize) {
        for p in 0..count {
            let mut value = column.get(p).copied().unwrap_or(W::ZERO);
            for k in 0..p {
                let solved = column.get(k).copied().unwrap_or(W::ZERO);
                value = value - self.get(p, k) * solved;
            }
            if let Some(place) = column.get_mut(p) {
                *place = value / self.get(p, p);
            }
        }
    }

    /// Solves with the transposed factor.
    fn backward(&self, column: &mut [W; MOST_ROWS], count: usize) {
        for p in (0..count).rev() {
            let mut value = column.get(p).copied().unwrap_or(W::ZERO);
            for k in p.saturating_add(1)..count {
                let solved = column.get(k).copied().unwrap_or(W::ZERO);
                value = value - self.get(k, p) * solved;
            }
            if let Some(place) = column.get_mut(p) {
                *place = value / self.get(p, p);
            }
        }
    }
}
