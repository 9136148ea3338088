//! Linear interpolation between two frequencies, without a division.

use super::multiply::{product, signed_product};
use super::normalise::normalise;

/// The distance of two frequencies, prepared to be divided by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    exponent: i32,
    inverse: u32,
}

impl Span {
    /// From hertz; 0 counts as 1.
    pub(crate) fn new(hertz: u64) -> Self {
        let normal = normalise(hertz.max(1));
        Self {
            exponent: normal.exponent,
            inverse: normal.inverse(),
        }
    }

    /// `offset/span` in units of 2⁻³⁰, below 2³⁰, for an offset that is not beyond the span; within 4e-9.
    #[inline(always)]
    pub(crate) fn fraction(self, offset: u64) -> i32 {
        // The offset in the unit of the span's mantissa; like it, below 2³¹.
        let aligned = if self.exponent <= 0 {
            (offset as u32) << (self.exponent.wrapping_neg() & 31)
        } else {
            (offset >> (self.exponent & 63)) as u32
        };
        // The inverse is 2⁶¹/mantissa.
        (product(aligned & (u32::MAX >> 1), self.inverse) >> 1).min((1 << 30) - 1) as i32
    }
}

/// `low + (high − low)·fraction/2³⁰`, rounded down to a unit, so it lies between the two. Where they are more than 2³⁰
/// apart, rounded down to four units, then at most three units outside, never beyond the word.
#[inline(always)]
pub(crate) fn between(low: i32, high: i32, fraction: i32) -> i32 {
    const USUAL: i32 = (1 << 28) - 1;
    let quarter = (high >> 2) - (low >> 2);
    if (-USUAL..USUAL).contains(&quarter) {
        low.wrapping_add(signed_product(high.wrapping_sub(low), fraction))
    } else {
        low.wrapping_add(signed_product(quarter, fraction) << 2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers() -> impl Iterator<Item = u64> {
        let mut state = 0x9e37_79b9_7f4a_7c15u64;
        core::iter::repeat_with(move || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            state
        })
    }

    #[test]
    fn a_fraction_is_right_at_every_size_of_the_span() {
        let mut source = numbers();
        let mut worst = 0f64;
        for _ in 0..300_000 {
            let places = source.next().unwrap() % 64;
            let span = (source.next().unwrap() >> places).max(1);
            for offset in [0, 1, span / 3, source.next().unwrap() % span, span - 1, span] {
                let offset = offset.min(span);
                let got = Span::new(span).fraction(offset) as f64 / 2f64.powi(30);
                let want = offset as f64 / span as f64;
                worst = worst.max((got - want).abs());
                assert!((0.0..1.0).contains(&got));
                assert!(offset != 0 || got == 0.0);
            }
        }
        assert!(worst < 4e-9, "{worst:e}");
        assert!(worst > 5e-10, "the search saw no error at all: {worst:e}");
    }

    #[test]
    fn what_lies_between_is_never_beyond() {
        let mut source = numbers();
        let ends = [i32::MIN, i32::MIN + 1, -1 << 30, -1, 0, 1, 1 << 30, i32::MAX];
        let check = |low: i32, high: i32, fraction: i32| {
            let got = between(low, high, fraction);
            let way = high as f64 - low as f64;
            let slack = if way.abs() < 2f64.powi(30) - 8.0 { 0 } else { 3 };
            let (least, most) = (low.min(high).saturating_sub(slack), low.max(high));
            assert!((least..=most).contains(&got), "{low} {high} {fraction}");
            let want = low as f64 + way * fraction as f64 / 2f64.powi(30);
            let unit = if way.abs() < 2f64.powi(30) - 8.0 { 1.0 } else { 8.0 };
            assert!(
                (got as f64 - want).abs() <= unit,
                "{low} {high} {fraction}: {got} {want}"
            );
            assert!(fraction != 0 || got == low);
        };
        for low in ends {
            for high in ends {
                for fraction in [0, 1, 1 << 29, (1 << 30) - 1] {
                    check(low, high, fraction);
                }
            }
        }
        for _ in 0..300_000 {
            let (a, b, c) = (
                source.next().unwrap(),
                source.next().unwrap(),
                source.next().unwrap(),
            );
            let near = (a as i32).saturating_add(b as i32 >> (b >> 59));
            check(a as i32, near, (c >> 34) as i32);
            check(a as i32, b as i32, (c >> 34) as i32);
        }
    }
}
