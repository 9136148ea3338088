//! The load from readings of |Γ| alone: the bank itself is the reflectometer.
//!
//! In a known setting Γ at the input is a Möbius map of the load's Γ, (a·Γ + b)/(c·Γ + d). With ρ the reading of |Γ| at
//! the input, |a·Γ + b|² = ρ²·|c·Γ + d|² is *linear* in the three numbers |Γ|², Re Γ and Im Γ of the load. Three
//! readings in well-spread settings determine the load, more readings by least squares (own derivation; the six-port
//! reflectometer of G. F. Engen, "The Six-Port Reflectometer: An Alternative Network Analyzer", IEEE Transactions on
//! Microwave Theory and Techniques 25(12), 1977, solves circles of the same kind; from memory). Settings are well
//! spread if the loads that they match are far from a common line.

use super::arrangement::Arrangement;
use super::at::BankAt;
use super::reading::Observation;
use super::setting::{Setting, Side};
use crate::arithmetic::{Arithmetic, Real};
use crate::quantity::Complex;
use crate::quantity::plane::Plane;

/// The least number of readings for an answer.
pub(super) const FEWEST: usize = 3;

impl<A: Arithmetic, const L: usize, const C: usize> BankAt<A, L, C> {
    /// The load that agrees best with the magnitudes; `None` with fewer than three, or if they do not determine it.
    pub(super) fn load_from_sizes(
        &self,
        observations: &[Observation<A::Working>],
    ) -> Option<Complex<A::Working>> {
        if observations.len() < FEWEST {
            return None;
        }
        // Normal equations, with the right side in the last column.
        let mut rows = [[A::Working::ZERO; 4]; 3];
        for observation in observations {
            let row = self.row(observation);
            for (sums, factor) in rows.iter_mut().zip(row) {
                for (sum, value) in sums.iter_mut().zip(row) {
                    *sum = *sum + factor * value;
                }
            }
        }
        let [_, re, im] = solve(rows)?;
        let load = Complex::new(re, im);
        load.is_finite().then_some(load)
    }

    /// Coefficients of |Γ|², Re Γ and Im Γ, and the right side.
    fn row(&self, observation: &Observation<A::Working>) -> [A::Working; 4] {
        let square = observation.seen.power();
        let (series, at_source, at_load) = self.elements(observation.setting);
        let one = Complex::<A::Working>::ONE;
        // From (v, i) at the load to v − i and v + i at the input, with v = 1 + Γ and i = 1 − Γ.
        let tap = self.tap(observation.setting.tap);
        let through = |v: Complex<A::Working>, i: Complex<A::Working>| {
            let v = v.scale(tap);
            let i = i + at_load * v;
            let v = v + series * i;
            let i = i + at_source * v;
            (v - i, v + i)
        };
        let (b, d) = through(one, one);
        let (a, c) = through(one, -one);
        let across = a * b.conjugate() - (c * d.conjugate()).scale(square);
        let weight = A::Working::ONE / (c.power() + d.power());
        let twice = weight + weight;
        [
            (a.power() - square * c.power()) * weight,
            across.re * twice,
            -(across.im * twice),
            (square * d.power() - b.power()) * weight,
        ]
    }

    /// Loads, spread over the chart, that agree best with the measured magnitudes: starting points, since the circles
    /// meet at more than one point. If there are fewer, the last entries stay empty.
    #[inline(never)]
    pub(super) fn starts(
        &self,
        observations: &[Observation<A::Working>],
    ) -> [Option<Complex<A::Working>>; STARTS] {
        let mut kept: [Option<Start<A::Working>>; STARTS] = [None; STARTS];
        let hundredth = |n: i32| A::Working::from_i32(n) / A::Working::from_i32(100);
        let apart = hundredth(9); // 0.3 squared
        for (ring, count) in RINGS {
            let size = hundredth(ring);
            for k in 0..count {
                let (sine, cosine) = (A::Working::from_i32(k) / A::Working::from_i32(count)).sine_cosine();
                let load = Complex::new(size * cosine, size * sine);
                let mut cost = A::Working::ZERO;
                let port = Plane::of(load);
                for observation in observations {
                    let size = self.power_of(observation.setting, port).square_root();
                    cost = cost + (size - observation.seen.power().square_root()).square();
                }
                keep(&mut kept, cost, load, apart);
            }
        }
        kept.map(|place| place.map(|(_, load)| load))
    }

    /// A setting not yet read that gives the most information about a load that is not yet determined.
    ///
    /// `size` is the estimated |Γ| of the load.
    pub(super) fn next_probe(
        &self,
        observations: &[Observation<A::Working>],
        size: A::Working,
    ) -> Option<Setting> {
        let fraction = |n: i32, d: i32| A::Working::from_i32(n) / A::Working::from_i32(d);
        let wanted = size.smaller(fraction(3, 4)).larger(fraction(2, 5));
        let mut origin = Complex::ZERO;
        let mut arm = None;
        if let [first, rest @ ..] = observations {
            origin = self.load_of(first.setting, Complex::ZERO);
            if let [second, ..] = rest {
                arm = Some(self.load_of(second.setting, Complex::ZERO) - origin);
            }
        }
        let sides: &[Side] = if self.arrangement == Arrangement::Changeover {
            &[Side::Source, Side::Load]
        } else {
            &[Side::Source]
        };
        let mut best: Option<(A::Working, Setting)> = None;
        for side in sides {
            // At most one coil with at most one capacitor.
            for coil in 0..=L {
                for capacitor in 0..=C {
                    let single = |k: usize, count: usize| if k < count { 1u16 << (k & 15) } else { 0 };
                    let setting = Setting {
                        coils: single(coil, L),
                        capacitors: single(capacitor, C),
                        side: *side,
                        tap: 0,
                    };
                    if observations.iter().any(|seen| seen.setting == setting) {
                        continue;
                    }
                    let centre = self.load_of(setting, Complex::ZERO);
                    // Far from the load's |Γ| a setting gives less information.
                    let off = (centre.magnitude() - wanted).absolute();
                    let from = centre - origin;
                    let area = match arm {
                        None => A::Working::ONE,
                        Some(arm) => (arm.re * from.im - arm.im * from.re).absolute(),
                    };
                    let score = area - off;
                    if centre.is_finite() && best.is_none_or(|(most, _)| score > most) {
                        best = Some((score, setting));
                    }
                }
            }
        }
        best.map(|(_, setting)| setting)
    }
}

/// The cost of a load, and the load.
type Start<W> = (W, Complex<W>);

/// The number of starting points.
pub(super) const STARTS: usize = 4;
/// |Γ| in hundredths, and the number of loads at this |Γ|.
const RINGS: [(i32, i32); 7] = [(0, 1), (20, 6), (40, 10), (60, 14), (76, 18), (88, 20), (95, 20)];

/// Keeps a load among the best, unless a better one is near; it replaces near ones that are worse.
fn keep<W: Real, const N: usize>(kept: &mut [Option<Start<W>>; N], cost: W, load: Complex<W>, apart: W) {
    let is_near = |other: &Complex<W>| (*other - load).power() < apart;
    if kept
        .iter()
        .flatten()
        .any(|(least, other)| *least <= cost && is_near(other))
    {
        return;
    }
    for place in kept.iter_mut() {
        if place.is_some_and(|(_, other)| is_near(&other)) {
            *place = None;
        }
    }
    // The empty entry, or the worst.
    let mut worst: Option<(usize, W)> = None;
    for (k, place) in kept.iter_mut().enumerate() {
        match *place {
            None => {
                *place = Some((cost, load));
                return;
            }
            Some((own, _)) => {
                if worst.is_none_or(|(_, most)| own > most) {
                    worst = Some((k, own));
                }
            }
        }
    }
    if let Some((k, most)) = worst
        && cost < most
        && let Some(place) = kept.get_mut(k)
    {
        *place = Some((cost, load));
    }
}

/// Solves three equations with three unknowns, by elimination with the largest pivot; `None` if they are singular.
fn solve<W: Real>(rows: [[W; 4]; 3]) -> Option<[W; 3]> {
    let [a, b, c] = rows;
    let (a, b, c) = largest_first(a, b, c, 0);
    let b = eliminate(b, a, 0)?;
    let c = eliminate(c, a, 0)?;
    let (b, c) = if at(&b, 1).absolute() < at(&c, 1).absolute() {
        (c, b)
    } else {
        (b, c)
    };
    let c = eliminate(c, b, 1)?;
    // The last pivot must be larger than rounding errors.
    let floor = W::EPSILON * W::from_i32(1 << 6);
    let [a0, a1, a2, ar] = a;
    let [_, b1, b2, br] = b;
    let [_, _, c2, cr] = c;
    if c2.absolute() <= floor * a0.absolute() {
        return None;
    }
    let z = cr / c2;
    let y = (br - b2 * z) / b1;
    let x = (ar - a1 * y - a2 * z) / a0;
    Some([x, y, z])
}

fn at<W: Real>(row: &[W; 4], column: usize) -> W {
    row.get(column).copied().unwrap_or(W::ZERO)
}

fn largest_first<W: Real>(a: [W; 4], b: [W; 4], c: [W; 4], column: usize) -> ([W; 4], [W; 4], [W; 4]) {
    let size = |row: &[W; 4]| at(row, column).absolute();
    if size(&a) < size(&b) {
        if size(&b) < size(&c) { (c, a, b) } else { (b, a, c) }
    } else if size(&a) < size(&c) {
        (c, a, b)
    } else {
        (a, b, c)
    }
}

/// `row` minus the multiple of `by` that makes its column zero.
fn eliminate<W: Real>(row: [W; 4], by: [W; 4], column: usize) -> Option<[W; 4]> {
    let pivot = at(&by, column);
    if pivot.is_zero() || !pivot.is_finite() {
        return None;
    }
    let factor = at(&row, column) / pivot;
    let mut result = row;
    for (value, other) in result.iter_mut().zip(by) {
        *value = *value - factor * other;
    }
    Some(result)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::reading::Seen;
    use crate::control::{Bank, BankCapacitor, BankCoil};
    use crate::quantity::{Capacitance, Hertz, Inductance, Reference, Reflection};

    /// From exact magnitudes in three settings the load comes back, with the sign of its reactance.
    #[test]
    fn three_magnitudes_give_the_load() {
        let coils =
            core::array::from_fn(|k| BankCoil::<f64>::lossless(Inductance::from_picohenries(200_000 << k)));
        let capacitors =
            core::array::from_fn(|k| BankCapacitor::lossless(Capacitance::from_femtofarads(50_000 << k)));
        let bank = Bank::<f64, 4, 4>::new(coils, capacitors, Arrangement::Changeover).unwrap();
        let at = bank.at(Hertz::from_megahertz(7), Reference::fifty()).unwrap();
        let settings = [
            Setting::BYPASS,
            Setting {
                coils: 0b101,
                ..Setting::BYPASS
            },
            Setting {
                capacitors: 0b110,
                ..Setting::BYPASS
            },
            Setting {
                coils: 0b10,
                capacitors: 0b11,
                side: Side::Load,
                tap: 0,
            },
        ];
        for (re, im) in [(0.3, 0.5), (0.3, -0.5), (-0.7, 0.1), (0.0, -0.2), (-0.1, 0.9)] {
            let load = Reflection::<f64>::new(re, im).unwrap();
            let seen = settings.map(|setting| {
                let gamma = at.reflection(setting, load).unwrap();
                Observation {
                    setting,
                    seen: Seen::Size(gamma.magnitude().get()),
                }
            });
            for observations in [&seen[..3], &seen[1..], &seen[..]] {
                let found = at.load_from_sizes(observations).unwrap();
                let off = (found - load.complex()).magnitude();
                assert!(off < 1e-9, "{re} {im}: {found:?}");
                // The control: another sign is far off.
                assert!((found.conjugate() - load.complex()).magnitude() > 0.1);
            }
            assert_eq!(at.load_from_sizes(&seen[..2]), None);
        }
    }
}
