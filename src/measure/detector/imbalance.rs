//! The errors of a quadrature receiver: offsets, unequal gains, and an angle that differs from 90°.

use super::{DetectorError, Iq};
use crate::arithmetic::kernel::multiply::signed_product;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Decibels, Degrees, finite};

/// The units per count after the correction.
pub(super) const UNITS_PER_COUNT: u32 = 16;

/// The imbalance of one receiver, and its correction.
///
/// The receiver gives I = A·cos φ + o₁ and Q = g·A·sin(φ + ψ) + o₂ of a signal with amplitude A and angle φ (the usual
/// model of a direct-conversion receiver; from memory). The correction subtracts the offsets o₁ and o₂ and replaces Q
/// by (Q − o₂)/(g·cos ψ) − (I − o₁)·tan ψ: two multiplications of whole numbers, the same in every family.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Imbalance<A: Arithmetic> {
    offset: Iq,
    gain: Decibels<A>,
    skew: Degrees<A>,
    /// 1/(g·cos ψ) − 1 and −tan ψ, in units of 2⁻³⁰.
    excess: i32,
    across: i32,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Imbalance<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let Iq { i, q } = self.offset;
        defmt::write!(f, "offset {=i32}/16 and {=i32}/16 counts", i, q);
        defmt::write!(f, ", gain of Q {}, angle of Q {}", self.gain, self.skew);
    }
}

impl<A: Arithmetic> Imbalance<A> {
    /// A receiver without errors.
    pub const NONE: Self = Self {
        offset: Iq::new(0, 0),
        gain: Decibels::<A>::ZERO,
        skew: Degrees::<A>::ZERO,
        excess: 0,
        across: 0,
    };

    /// From the offsets in *sixteenths of a count*, the gain of Q over that of I in dB (20·lg g), and the angle ψ in
    /// degrees by which Q leads its 90° position. [`ImbalanceEstimate`] finds all of them. Error of the correction:
    /// 3e-9 of the amplitude and 1/16 of a count.
    ///
    /// # Errors
    /// [`DetectorError::Quantity`]: offset beyond 2²⁴ counts, gain beyond ±4 dB, angle beyond ±30°, or not finite.
    pub fn new(
        offset: Iq,
        gain: impl Into<Decibels<A>>,
        skew: impl Into<Degrees<A>>,
    ) -> Result<Self, DetectorError> {
        let (gain, skew) = (gain.into(), skew.into());
        const LARGEST: u32 = UNITS_PER_COUNT << 24;
        if offset.i.unsigned_abs() > LARGEST || offset.q.unsigned_abs() > LARGEST {
            return Err(outside!("offset", "must be within 16777216 counts of 0").into());
        }
        let within = |value: A::Working, limit: i32| value.absolute() <= A::Working::from_i32(limit);
        finite(gain, "gain of Q")?;
        finite(skew, "angle of Q")?;
        let (decibels, degrees) = (gain.to_working(), skew.to_working());
        if !within(decibels, 4) {
            return Err(outside!("gain of Q", "must be from -4 to 4 dB").into());
        }
        if !within(degrees, 30) {
            return Err(outside!("angle of Q", "must be from -30 to 30 degrees").into());
        }
        let (sine, cosine) = (degrees / A::Working::from_i32(360)).sine_cosine();
        let ratio = (decibels * A::Working::HALF).ratio_of_decibels();
        let unit = A::Working::from_i32(1 << 30);
        // 1/(g·cos ψ) is from 0.63 to 1.84: both fit.
        let bits = |value: A::Working| (value * unit).to_i64() as i32;
        Ok(Self {
            offset,
            gain,
            skew,
            excess: bits(A::Working::ONE / (ratio * cosine) - A::Working::ONE),
            across: bits(-(sine / cosine)),
        })
    }

    /// The offsets of I and Q in sixteenths of a count.
    pub fn offset(&self) -> Iq {
        self.offset
    }

    /// The gain of Q over that of I, dB.
    pub fn gain(&self) -> Decibels<A> {
        self.gain
    }

    /// The angle by which Q leads its 90° position, degrees.
    pub fn skew(&self) -> Degrees<A> {
        self.skew
    }

    /// In units of 1/16 count; counts up to 2²⁴.
    #[inline(always)]
    pub(super) fn correct(&self, raw: Iq) -> Iq {
        const SHIFT: u32 = UNITS_PER_COUNT.trailing_zeros();
        // Up to 2²⁸ and an offset of the same size: within the 2³⁰ of a product, and three of them within a word.
        let i = (raw.i << SHIFT).wrapping_sub(self.offset.i);
        let q = (raw.q << SHIFT).wrapping_sub(self.offset.q);
        Iq {
            i,
            q: q.wrapping_add(signed_product(q, self.excess))
                .wrapping_add(signed_product(i, self.across)),
        }
    }
}

/// Finds a receiver's imbalance from readings of a signal whose phase goes round the circle, one at a time.
///
/// Three or more readings of one amplitude at phases evenly spread round the circle give the imbalance exactly; so does
/// a signal slightly off frequency, over whole turns. Random phases give it to 1/√n of the amplitude: take many.
///
/// The offsets are the means of I and Q; g² is the ratio of their variances and sin ψ their correlation.
///
/// ```
/// use ohmwright::double::ImbalanceEstimate;
/// use ohmwright::measure::detector::Iq;
///
/// // Four readings a quarter turn apart: I is 100 counts too high, and Q a tenth too small.
/// let mut estimate = ImbalanceEstimate::new();
/// for (i, q) in [(10_100, 0), (100, 9_000), (-9_900, 0), (100, -9_000)] {
///     estimate.push(Iq::new(i, q));
/// }
/// let imbalance = estimate.imbalance()?;
/// assert_eq!(imbalance.offset(), Iq::new(1_600, 0)); // in sixteenths
/// assert!((imbalance.gain() + 0.915).abs() < 1e-3); // 20·lg 0.9
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImbalanceEstimate<A: Arithmetic> {
    count: u32,
    means: [A::Working; 2],
    /// Σ I², Σ Q² and Σ I·Q, about the means.
    moments: [A::Working; 3],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for ImbalanceEstimate<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        match self.imbalance() {
            Ok(imbalance) => defmt::write!(f, "{}", imbalance),
            Err(error) => defmt::write!(f, "{}", error),
        }
    }
}

impl<A: Arithmetic> ImbalanceEstimate<A> {
    /// An estimate without readings.
    pub fn new() -> Self {
        Self {
            count: 0,
            means: [A::Working::ZERO; 2],
            moments: [A::Working::ZERO; 3],
        }
    }

    /// Takes a reading; beyond 2²⁴ counts or after 2³² − 1 readings it returns false and changes nothing.
    pub fn push(&mut self, counts: Iq) -> bool {
        let Some(count) = self.count.checked_add(1) else {
            return false;
        };
        if counts.reaches((1 << 24) + 1) {
            return false;
        }
        self.count = count;
        let n = A::Working::from_u64(count as u64);
        // As in `statistics`, with the product as well: the new mean, and the distance from it before and after.
        let step = |value: i32, mean: A::Working| {
            let value = A::Working::from_i32(value);
            let now = mean + (value - mean) / n;
            (now, value - mean, value - now)
        };
        let [i, q] = self.means;
        let (i, i_before, i_now) = step(counts.i, i);
        let (q, q_before, q_now) = step(counts.q, q);
        self.means = [i, q];
        let [i2, q2, iq] = self.moments;
        self.moments = [
            i2 + i_before * i_now,
            q2 + q_before * q_now,
            iq + i_before * q_now,
        ];
        true
    }

    /// The imbalance.
    ///
    /// # Errors
    /// [`DetectorError::NotRound`] below three readings, or if they are not spread to all sides: the gain would be
    /// beyond ±4 dB or the angle beyond ±30°.
    pub fn imbalance(&self) -> Result<Imbalance<A>, DetectorError> {
        let [i2, q2, iq] = self.moments;
        if self.count < 3 || i2 <= A::Working::ZERO || q2 <= A::Working::ZERO {
            return Err(DetectorError::NotRound);
        }
        let sine = iq / (i2 * q2).square_root();
        let cosine = (A::Working::ONE - sine.square()).square_root();
        let sixteenths =
            |mean: A::Working| (mean * A::Working::from_i32(UNITS_PER_COUNT as i32)).to_i64() as i32;
        let [i, q] = self.means.map(sixteenths);
        Imbalance::new(
            Iq::new(i, q),
            Decibels::<A>::from_working((q2 / i2).decibels()),
            Degrees::<A>::from_working(A::Working::turns(sine, cosine) * A::Working::from_i32(360)),
        )
        .map_err(|_| DetectorError::NotRound)
    }
}

impl<A: Arithmetic> Default for ImbalanceEstimate<A> {
    fn default() -> Self {
        Self::new()
    }
}
