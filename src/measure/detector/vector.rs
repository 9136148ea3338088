//! Two receivers: one for the incident wave (the reference), one for the reflected wave.

use super::demodulator::overload;
use super::imbalance::{self, Imbalance};
use super::pair::{Iq, Pair};
use super::{Channel, DetectorError, Quality};
use crate::arithmetic::accuracy::Family;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Component, QuantityError, Ratio, Reflection, not_negative};

/// The data of the converters.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct VectorSettings<A: Arithmetic> {
    /// The magnitude of a count at the converter's limit: 2,047 with 12 bits and a sign, 32,767 with 16. A count of
    /// this magnitude or more is an overload. At most 2²⁴.
    pub full_scale: u32,
    /// The least amplitude of the reference accepted as divisor, in counts.
    pub weakest: u32,
    /// The standard deviation of a single count, in counts. Quantisation alone is 0.29.
    pub noise: Ratio<A>,
}

impl<A: Arithmetic> VectorSettings<A> {
    setters! {
        with_full_scale(full_scale: u32);
        with_weakest(weakest: u32);
        with_noise(noise: Ratio<A>);
    }
}

impl<A: Arithmetic> VectorSettings<A> {
    /// For 2 to 25 bits including the sign: full scale, a reference of at least 1/32 of that, a noise of one count.
    ///
    /// # Errors
    /// [`DetectorError::Quantity`] for any other number of bits.
    pub const fn for_bits(bits: u32) -> Result<Self, DetectorError> {
        if bits < 2 || bits > 25 {
            return Err(DetectorError::Quantity(outside!(
                "bits of the converter",
                "must be from 2 to 25"
            )));
        }
        let full_scale = (1u32 << (bits.wrapping_sub(1) & 31)).saturating_sub(1);
        let weakest = full_scale >> 5;
        Ok(Self {
            full_scale,
            weakest: if weakest == 0 { 1 } else { weakest },
            noise: Ratio::whole::<1>(),
        })
    }

    /// The same for a number of bits that is known when the code is compiled; another than 2 to 25 does not compile.
    pub const fn of_bits<const BITS: u32>() -> Self {
        const {
            match Self::for_bits(BITS) {
                Ok(settings) => settings,
                Err(_) => panic!("a converter has 2 to 25 bits"),
            }
        }
    }
}

/// Calculates reflections from the counts of two receivers.
///
/// ```
/// use ohmwright::fixed_point::{VectorDetector, VectorSettings};
/// use ohmwright::measure::detector::Iq;
///
/// let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
/// // Half of the amplitude is reflected, with a quarter turn of delay.
/// let reading = detector.read_counts(Iq::new(20_000, 0), Iq::new(0, -10_000))?;
/// assert!((reading.reflection().imaginary().to_f64() + 0.5).abs() < 1e-8);
/// assert!(reading.quality().is_clean());
/// // A count at the limit of the converter is refused.
/// assert!(detector.read_counts(Iq::new(32_767, 0), Iq::new(0, 0)).is_err());
/// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VectorDetector<A: Arithmetic> {
    settings: VectorSettings<A>,
    imbalances: [Imbalance<A>; 2],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for VectorDetector<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "vector detector: {}", self.settings);
    }
}

impl<A: Arithmetic> VectorDetector<A> {
    /// A detector without imbalance.
    ///
    /// # Errors
    /// [`DetectorError::Quantity`] for a full scale of 0 or beyond 2²⁴, a weakest reference of 0 or above the full
    /// scale, or a noise that is negative or not finite.
    pub fn new(settings: VectorSettings<A>) -> Result<Self, DetectorError> {
        if settings.full_scale == 0 || settings.full_scale > 1 << 24 {
            return Err(outside!("full scale", "must be from 1 to 16777216 counts").into());
        }
        if settings.weakest == 0 {
            return Err(QuantityError::NotPositive("weakest reference").into());
        }
        if settings.weakest > settings.full_scale {
            return Err(outside!("weakest reference", "must not be above the full scale").into());
        }
        not_negative(settings.noise, "noise")?;
        Ok(Self {
            settings,
            imbalances: [Imbalance::NONE; 2],
        })
    }

    /// A detector for a converter of so many bits (2 to 25), without imbalance, known when the code is compiled; its
    /// settings are those of [`VectorSettings::for_bits`].
    ///
    /// ```
    /// use ohmwright::measure::detector::Iq;
    /// use ohmwright::{fixed_point, floating};
    ///
    /// static BRIDGE: fixed_point::VectorDetector = fixed_point::VectorDetector::of_bits::<12>();
    /// static OTHER: floating::VectorDetector = floating::VectorDetector::of_bits::<16>();
    /// let reading = BRIDGE.read_counts(Iq::new(1_500, 0), Iq::new(0, -750))?;
    /// assert!((reading.reflection().imaginary().to_f64() + 0.5).abs() < 1e-8);
    /// assert_eq!(OTHER.settings().full_scale, 32_767);
    /// # Ok::<(), ohmwright::measure::detector::DetectorError>(())
    /// ```
    ///
    /// ```compile_fail
    /// let none = ohmwright::fixed_point::VectorDetector::of_bits::<1>();
    /// ```
    pub const fn of_bits<const BITS: u32>() -> Self {
        // Settings that are made for a number of bits keep every rule of `new`.
        Self {
            settings: VectorSettings::of_bits::<BITS>(),
            imbalances: [Imbalance::NONE; 2],
        }
    }

    /// The same detector for receivers with an imbalance, which [`read_counts`](Self::read_counts) corrects.
    #[must_use]
    pub const fn with_imbalance(mut self, reference: Imbalance<A>, reflected: Imbalance<A>) -> Self {
        self.imbalances = [reference, reflected];
        self
    }

    /// The settings.
    pub const fn settings(&self) -> &VectorSettings<A> {
        &self.settings
    }

    /// A reading from the counts of two quadrature receivers.
    ///
    /// # Errors
    /// As [`read`](Self::read).
    pub fn read_counts(&self, reference: Iq, reflected: Iq) -> Result<VectorReading<A>, DetectorError> {
        let full_scale = self.settings.full_scale;
        let overloaded = [reference.reaches(full_scale), reflected.reaches(full_scale)];
        if overloaded != [false; 2] {
            // Before anything is computed from counts of any size.
            return Err(DetectorError::Overload(if overloaded[0] {
                Channel::Reference
            } else {
                Channel::Reflected
            }));
        }
        let [first, second] = &self.imbalances;
        self.read(Pair {
            reference: first.correct(reference),
            reflected: second.correct(reflected),
            units_per_count: imbalance::UNITS_PER_COUNT,
            // I and Q have the information of two samples of a carrier.
            samples: 2,
            overloaded,
        })
    }

    /// A reading from two demodulated channels ([`Tone::demodulate`](super::Tone::demodulate) and similar functions).
    ///
    /// # Errors
    /// [`DetectorError::Overload`] if a sample was at the converter's limit; [`DetectorError::TooWeak`] if the
    /// reference is below the weakest of the settings; [`DetectorError::OutOfRange`] if the quotient is beyond a
    /// component of the family: ±2²⁰ in the floating families, ±2 in fixed point. Set the gains of the receivers so that
    /// an open reads below that.
    pub fn read(&self, pair: Pair) -> Result<VectorReading<A>, DetectorError> {
        if let Some(channel) = overload(&pair) {
            return Err(DetectorError::Overload(channel));
        }
        if !pair.reaches(pair.reference, self.settings.weakest) {
            return Err(DetectorError::TooWeak(Channel::Reference));
        }
        let parts = |phasor: Iq| (phasor.i, phasor.q);
        let words =
            A::ratio(parts(pair.reflected), parts(pair.reference)).ok_or(DetectorError::OutOfRange)?;
        Ok(VectorReading {
            reflection: Reflection::from_words(words),
            pair,
            settings: self.settings,
        })
    }
}

/// A raw reflection, and its quality.
///
/// The reflection is the reflected channel over the reference. In addition to the errors of the counts, its error is
/// 1.2e-8·|Γ| and half a unit of the word in fixed point, 4e-7·|Γ| in `f32`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VectorReading<A: Arithmetic> {
    reflection: Reflection<A>,
    pair: Pair,
    settings: VectorSettings<A>,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for VectorReading<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (error, quality) = (self.error(), self.quality());
        defmt::write!(f, "{}, standard error {}, {}", self.reflection, error, quality);
    }
}

impl<A: Arithmetic> VectorReading<A> {
    /// Γ, not yet corrected for the fixture.
    pub fn reflection(&self) -> Reflection<A> {
        self.reflection
    }

    /// The channels that it was calculated from.
    pub fn pair(&self) -> &Pair {
        &self.pair
    }

    /// The standard error of Γ: the root of the mean square of its distance from the truth, from the noise of the
    /// settings and the rounding of the family; rounded up to the word in fixed point.
    ///
    /// With the noise s of a count, n real samples of each channel (two for a pair of I and Q) and the reference's
    /// amplitude a it is 2s/(a·√n)·√(1 + |Γ|²), since both channels have the noise. For normal noise the truth is
    /// within it in 63 of 100 readings, within twice of it in 98. It is no bound, and does not include systematic
    /// errors, such as distortion of the receivers.
    pub fn error(&self) -> Component<A> {
        let up = A::Working::HALF * step::<A>();
        Component::<A>::from_working(self.variance().square_root() + up)
    }

    fn variance(&self) -> A::Working {
        let amplitude: A::Working = self.pair.amplitude(self.pair.reference);
        let one = self.settings.noise.to_working() / amplitude;
        let both = A::Working::ONE + self.reflection.power();
        let samples = A::Working::from_u64(self.pair.samples as u64);
        A::Working::from_i32(4) * one.square() * both / samples + rounding::<A>()
    }

    /// The marks of the reading.
    ///
    /// The phase is ambiguous if |Γ| is below three times the standard error.
    pub fn quality(&self) -> Quality {
        let VectorSettings {
            full_scale, weakest, ..
        } = self.settings;
        let high = full_scale.saturating_sub(full_scale >> 3).max(1);
        let high = high.min(1 << 24);
        Quality {
            near_overload: self.pair.reaches(self.pair.reference, high)
                || self.pair.reaches(self.pair.reflected, high),
            weak: !self
                .pair
                .reaches(self.pair.reference, weakest.saturating_mul(4).min(1 << 24)),
            phase_ambiguous: self.reflection.power() < A::Working::from_i32(9) * self.variance(),
            above_unity: self.reflection.is_active(),
            upper_limit: false,
        }
    }
}

/// The last place of the family's components; 0 for the floating families.
fn step<A: Arithmetic>() -> A::Working {
    let places = |bits: u32| A::Working::ONE / A::Working::from_i32(1 << (bits & 31));
    match A::FAMILY {
        Family::Fixed16 => places(14),
        Family::Fixed32 => places(30),
        _ => A::Working::ZERO,
    }
}

/// The mean square error of a quotient: a step in each of two components, over 12, and the kernel's 1.2e-8.
fn rounding<A: Arithmetic>() -> A::Working {
    let kernel = A::Working::EPSILON * A::Working::from_i32(4);
    step::<A>().square() / A::Working::from_i32(6) + kernel.square()
}
