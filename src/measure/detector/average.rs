//! Several readings of one load.

use super::VectorReading;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::measure::statistics::ComplexSpread;
use crate::quantity::{Component, Reflection};

/// The mean of vector readings, with phase, and its standard error: one reading at a time, in constant memory.
///
/// Γ is averaged and not the channels, since the phase of each channel is different in every block, while that of their
/// quotient stays. Noise falls with the root of the number of readings; a systematic error stays.
///
/// ```
/// use ohmwright::double::{VectorAverage, VectorDetector, VectorSettings};
/// use ohmwright::measure::detector::Iq;
///
/// let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
/// let mut average = VectorAverage::new();
/// for noise in [-20, 10, 10] {
///     average.push(&detector.read_counts(Iq::new(20_000, 0), Iq::new(4_000 + noise, 0))?);
/// }
/// assert!((average.reflection().unwrap().real() - 0.2).abs() < 1e-12);
/// assert!(average.standard_error().unwrap() < 1e-3);
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VectorAverage<A: Arithmetic> {
    spread: ComplexSpread<A::Working>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for VectorAverage<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=u32} readings", self.count());
        if let Some(reflection) = self.reflection() {
            defmt::write!(f, ", {}", reflection);
        }
        if let Some(error) = self.standard_error() {
            defmt::write!(f, ", standard error {}", error);
        }
    }
}

impl<A: Arithmetic> VectorAverage<A> {
    /// A mean without readings.
    pub fn new() -> Self {
        Self {
            spread: ComplexSpread::new(),
        }
    }

    /// Takes a reading; after 2³² − 1 of them it returns false and changes nothing.
    pub fn push(&mut self, reading: &VectorReading<A>) -> bool {
        self.spread.push(reading.reflection().complex())
    }

    /// The number of readings.
    pub fn count(&self) -> u32 {
        self.spread.re.count
    }

    /// The mean; `None` without a reading.
    pub fn reflection(&self) -> Option<Reflection<A>> {
        (self.count() > 0).then(|| Reflection::from_complex(self.spread.mean()))
    }

    /// The standard deviation of a single reading, calculated from the readings: the root of the mean square of its
    /// distance from the truth, both components together. `None` below two readings.
    ///
    /// If it is well above [`VectorReading::error`], something moves: the load, the source, a hand beside the antenna.
    pub fn standard_deviation(&self) -> Option<Component<A>> {
        Some(Component::<A>::from_working(
            self.spread.variance()?.square_root(),
        ))
    }

    /// The standard error of the mean: the standard deviation over √n. For normal noise and many readings the truth is
    /// within it in 63 of 100 cases, within twice of it in 98. `None` below two readings.
    pub fn standard_error(&self) -> Option<Component<A>> {
        Some(Component::<A>::from_working(
            self.spread.variance_of_mean()?.square_root(),
        ))
    }
}

impl<A: Arithmetic> Default for VectorAverage<A> {
    fn default() -> Self {
        Self::new()
    }
}
