//! Mean and spread of readings, one at a time and in constant memory.
//!
//! The update is that of B. P. Welford, "Note on a Method for Calculating Corrected Sums of Squares and Products",
//! Technometrics 4(3), 1962: it never subtracts two large sums, so a small spread on a large mean is not lost.

use core::marker::PhantomData;

#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
use crate::arithmetic::{Quantity, Real};
use crate::quantity::Complex;

/// Mean and standard deviation of a quantity, over the readings so far.
///
/// All readings are of one word type (ohms, decibels, …), and so are the results. Sums are relative to the first
/// reading, so that no digits are lost on a large mean. Error in fixed point after n readings: of the mean, half a unit
/// of the word and n·1e-9 of the range of the readings (usually √n in place of n); of the standard deviation, half a
/// unit and the same fraction of itself. After 2³² − 1 readings further ones are not counted.
///
/// ```
/// use ohmwright::measure::Statistics;
///
/// let mut ohms = Statistics::<f64>::new();
/// for reading in [49.0, 51.0, 50.0] {
///     ohms.push(reading);
/// }
/// assert_eq!(ohms.mean(), Some(50.0));
/// assert_eq!(ohms.standard_deviation(), Some(1.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Statistics<Q: Quantity> {
    spread: Spread<Q::Working>,
    word: PhantomData<Q>,
}

#[cfg(feature = "defmt")]
impl<Q: Quantity> defmt::Format for Statistics<Q> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=u32} readings", self.count());
        if let Some(mean) = self.mean() {
            defmt::write!(f, ", mean {}", Number(mean));
        }
        if let Some(deviation) = self.standard_deviation() {
            defmt::write!(f, ", standard deviation {}", Number(deviation));
        }
    }
}

impl<Q: Quantity> Statistics<Q> {
    /// Statistics without readings.
    pub fn new() -> Self {
        Self {
            spread: Spread::new(),
            word: PhantomData,
        }
    }

    /// Takes a reading. Returns false and changes nothing if it is NaN or infinite, if its square leaves the range
    /// (never in fixed point), or if the counter is full.
    pub fn push(&mut self, reading: Q) -> bool {
        reading.is_finite() && self.spread.push(reading.to_working())
    }

    /// The number of readings taken.
    pub fn count(&self) -> u32 {
        self.spread.count
    }

    /// The mean; `None` without a reading.
    pub fn mean(&self) -> Option<Q> {
        (self.spread.count > 0).then(|| Q::from_working(self.spread.mean()))
    }

    /// The standard deviation of one reading (n − 1 in the denominator); `None` below two. Saturates at the largest
    /// word.
    pub fn standard_deviation(&self) -> Option<Q> {
        Some(Q::from_working(self.spread.variance()?.square_root()))
    }

    /// The standard deviation of the mean of independent readings, one reading's over √n; `None` below two readings.
    pub fn standard_error(&self) -> Option<Q> {
        Some(Q::from_working(self.spread.variance_of_mean()?.square_root()))
    }
}

impl<Q: Quantity> Default for Statistics<Q> {
    fn default() -> Self {
        Self::new()
    }
}

/// The same in working numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spread<W> {
    pub(crate) count: u32,
    /// The first value.
    origin: W,
    /// The mean, relative to it.
    mean: W,
    /// Σ(x − mean)².
    squares: W,
}

impl<W: Real> Spread<W> {
    pub(crate) fn new() -> Self {
        Self {
            count: 0,
            origin: W::ZERO,
            mean: W::ZERO,
            squares: W::ZERO,
        }
    }

    /// Returns false and changes nothing if the counter is full or a sum leaves the range.
    pub(crate) fn push(&mut self, value: W) -> bool {
        let Some(count) = self.count.checked_add(1) else {
            return false;
        };
        let origin = if count == 1 { value } else { self.origin };
        let value = value - origin;
        let before = value - self.mean;
        let mean = self.mean + before / W::from_u64(count as u64);
        let squares = self.squares + before * (value - mean);
        // A square may leave the range of `f32`, from 1e19 on.
        let fits = mean.is_finite() && squares.is_finite();
        if fits {
            *self = Self {
                count,
                origin,
                mean,
                squares,
            };
        }
        fits
    }

    pub(crate) fn mean(&self) -> W {
        self.origin + self.mean
    }

    /// Of a single value, with n − 1 in the denominator; `None` below two values.
    pub(crate) fn variance(&self) -> Option<W> {
        let others = self.count.checked_sub(1).filter(|others| *others > 0)?;
        Some(self.squares / W::from_u64(others as u64))
    }

    /// Of the mean of independent values; `None` below two values.
    pub(crate) fn variance_of_mean(&self) -> Option<W> {
        Some(self.variance()? / W::from_u64(self.count as u64))
    }
}

/// Mean and spread of complex numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ComplexSpread<W> {
    pub(crate) re: Spread<W>,
    im: Spread<W>,
}

impl<W: Real> ComplexSpread<W> {
    pub(crate) fn new() -> Self {
        Self {
            re: Spread::new(),
            im: Spread::new(),
        }
    }

    pub(crate) fn push(&mut self, value: Complex<W>) -> bool {
        self.re.push(value.re) && self.im.push(value.im)
    }

    pub(crate) fn mean(&self) -> Complex<W> {
        Complex::new(self.re.mean(), self.im.mean())
    }

    /// The expected square of a single value's distance from the truth.
    pub(crate) fn variance(&self) -> Option<W> {
        Some(self.re.variance()? + self.im.variance()?)
    }

    /// The expected square of the mean's distance from the truth.
    pub(crate) fn variance_of_mean(&self) -> Option<W> {
        Some(self.re.variance_of_mean()? + self.im.variance_of_mean()?)
    }
}
