//! The subsets of a few values whose sum is within a window: the arithmetic of codes.
//!
//! Values are whole numbers, in units of 2⁻²⁴ of the largest, sorted from the largest down. A walk over all subsets
//! goes down the list and turns back if neither all of the remaining values nor none of them can reach the window. For
//! values near powers of two there are almost no wrong branches; for others the walk is only longer.

use super::code::{MOST_PARTS, is_in};
use crate::arithmetic::Real;

/// The largest value in units.
const FINEST: i32 = 1 << 24;

/// The values of up to `N` parts, ordered.
#[derive(Clone, Copy, Debug)]
pub(super) struct SubsetSums<W, const N: usize> {
    /// The part at each index, from the largest value down.
    order: [u8; N],
    units: [i32; N],
    /// The sum from each index on.
    rest: [i32; N],
    count: usize,
    /// The largest value over 2²⁴; never zero.
    pub(super) unit: W,
    pub(super) per_unit: W,
}

/// A window of sums, both ends in.
pub(super) type Window = (i32, i32);

impl<W: Real, const N: usize> SubsetSums<W, N> {
    /// From the value of each part; a part with `None` is not used.
    #[inline(never)]
    pub(super) fn new(value: impl Fn(usize) -> Option<W>) -> Self {
        let mut largest = W::ZERO;
        for k in 0..N {
            if let Some(value) = value(k) {
                largest = largest.larger(value);
            }
        }
        // Without parts the unit is never used.
        let largest = if largest > W::ZERO { largest } else { W::ONE };
        let per_unit = W::from_i32(FINEST) / largest;
        let mut sums = Self {
            order: [0; N],
            units: [0; N],
            rest: [0; N],
            count: 0,
            unit: largest / W::from_i32(FINEST),
            per_unit,
        };
        for k in 0..N {
            if let Some(value) = value(k) {
                sums.insert(k as u8, whole(value * per_unit));
            }
        }
        let mut sum = 0i32;
        for (rest, units) in sums.rest.iter_mut().zip(&sums.units).rev() {
            // The indices without a part hold zeros.
            sum = sum.saturating_add(*units);
            *rest = sum;
        }
        sums
    }

    /// Inserts a part in order.
    fn insert(&mut self, part: u8, units: i32) {
        let mut carried = (part, units);
        let mut is_shifting = false;
        for place in 0..N {
            let (Some(order), Some(held)) = (self.order.get_mut(place), self.units.get_mut(place)) else {
                break;
            };
            if place >= self.count {
                (*order, *held) = carried;
                break;
            }
            if is_shifting || *held < carried.1 {
                is_shifting = true;
                let next = (*order, *held);
                (*order, *held) = carried;
                carried = next;
            }
        }
        self.count = self.count.saturating_add(1).min(N);
    }

    /// The sum of all, in units.
    pub(super) fn total(&self) -> i32 {
        self.rest.first().copied().unwrap_or(0)
    }

    /// The largest sum of the rounding errors, in units.
    pub(super) fn slack(&self) -> i32 {
        MOST_PARTS as i32 / 2 + 1
    }

    /// Calls `visit` with the code and the sum of each subset within the window; `visit` may narrow the window.
    #[inline(never)]
    pub(super) fn walk(&self, mut window: Window, mut visit: impl FnMut(u16, i32, &mut Window)) {
        // Bit k: the part at index k is taken; all of them are below `place`.
        let mut taken = 0u32;
        let mut sum = 0i32;
        let mut place = 0usize;
        loop {
            let rest = self.rest.get(place).copied().unwrap_or(0);
            let is_possible = sum <= window.1 && sum.saturating_add(rest) >= window.0;
            if is_possible && place < self.count {
                let with = sum.saturating_add(self.units.get(place).copied().unwrap_or(0));
                if with <= window.1 {
                    taken |= 1 << (place & 31);
                    sum = with;
                }
                place = place.saturating_add(1);
                continue;
            }
            if is_possible {
                visit(self.code(taken), sum, &mut window);
            }
            if taken == 0 {
                return;
            }
            // Back to the last part that was taken: now without it.
            place = (31 - taken.leading_zeros()) as usize;
            taken &= !(1 << (place & 31));
            sum = sum.saturating_sub(self.units.get(place).copied().unwrap_or(0));
            place = place.saturating_add(1);
        }
    }

    fn code(&self, taken: u32) -> u16 {
        let mut code = 0u32;
        for place in 0..self.count {
            let part = self.order.get(place).copied().unwrap_or(0);
            code |= ((taken >> (place & 31)) & 1) << (part & 15);
        }
        code as u16
    }

    /// The subset whose sum is nearest to `wanted` units, within a window; `None` if there is none.
    #[inline(never)]
    pub(super) fn nearest_within(&self, wanted: i32, window: Window) -> Option<u16> {
        let mut best = None;
        self.walk(window, |code, sum, window| {
            // From now on only nearer sums.
            let distance = sum.saturating_sub(wanted).saturating_abs().saturating_sub(1);
            *window = (
                window.0.max(wanted.saturating_sub(distance)),
                window.1.min(wanted.saturating_add(distance)),
            );
            best = Some(code);
        });
        best
    }

    /// The subset whose sum is nearest to a value.
    pub(super) fn nearest(&self, wanted: W) -> u16 {
        let wanted = whole(wanted * self.per_unit).clamp_to(0, self.total());
        self.nearest_within(wanted, (-1, self.total().saturating_add(1)))
            .unwrap_or(0)
    }
}

/// The standard `clamp` panics if its limits are swapped.
trait ClampTo {
    fn clamp_to(self, low: i32, high: i32) -> i32;
}

impl ClampTo for i32 {
    fn clamp_to(self, low: i32, high: i32) -> i32 {
        self.min(high).max(low)
    }
}

/// The nearest whole number, limited to a range that an `i32` holds with a margin.
pub(super) fn whole<W: Real>(value: W) -> i32 {
    const MOST: i32 = 1 << 30;
    let limit = W::from_i32(MOST);
    value.smaller(limit).larger(-limit).to_i64() as i32
}

/// The sum of a code's values, from the highest bit down, starting from `base`.
///
/// The order is always the same, so that the same code always gives the same bits.
#[inline(never)]
pub(super) fn sum<T: Copy + core::ops::Add<Output = T>, const N: usize>(
    base: T,
    parts: &[T; N],
    code: u16,
) -> T {
    let mut sum = base;
    for k in (0..N).rev() {
        if let Some(part) = parts.get(k)
            && is_in(code, k)
        {
            sum = sum + *part;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn sums(values: [f64; 7]) -> SubsetSums<f64, 7> {
        SubsetSums::new(|k| values.get(k).copied())
    }

    #[test]
    fn a_walk_finds_every_subset_of_a_window_and_no_other() {
        let values = [3.0, 20.5, 1.1, 80.0, 10.0, 10.0, 41.0];
        let sums = sums(values);
        let sum = |code: u16| -> i32 {
            let mut sum = 0;
            for (k, value) in values.iter().enumerate() {
                sum += if is_in(code, k) {
                    whole(value * sums.per_unit)
                } else {
                    0
                };
            }
            sum
        };
        for step in 0..60 {
            let low = step * sums.total() / 50 - sums.total() / 20;
            for width in [0, 5, sums.total() / 40, sums.total()] {
                let mut found = Vec::new();
                sums.walk((low, low + width), |code, total, _| {
                    assert_eq!(total, sum(code));
                    found.push(code);
                });
                let inside = |code: &u16| (low..=low + width).contains(&sum(*code));
                let mut wanted: Vec<u16> = (0..128).filter(inside).collect();
                found.sort();
                wanted.sort();
                assert_eq!(found, wanted, "{low} {width}");
            }
        }
    }

    #[test]
    fn the_nearest_sum_is_the_nearest_of_all() {
        let values = [3.0, 20.5, 1.1, 80.0, 10.0, 10.0, 41.0];
        let sums = sums(values);
        let sum = |code: u16| -> f64 { (0..7).filter(|k| is_in(code, *k)).map(|k| values[k]).sum() };
        for step in 0..400 {
            let wanted = step as f64 * 0.45 - 3.0;
            let found = (sum(sums.nearest(wanted)) - wanted).abs();
            let best = (0..128)
                .map(|code| (sum(code) - wanted).abs())
                .fold(f64::MAX, f64::min);
            assert!(found <= best + 1e-5, "{wanted}: {found} {best}");
        }
    }

    #[test]
    fn no_parts_have_one_sum() {
        let none = SubsetSums::<f64, 3>::new(|_| None);
        let mut visits = 0;
        none.walk((-5, 5), |code, sum, _| {
            assert_eq!((code, sum), (0, 0));
            visits += 1;
        });
        assert_eq!(visits, 1);
        assert_eq!(none.nearest(7.0), 0);
    }
}
