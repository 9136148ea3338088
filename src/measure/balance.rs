//! The two outputs of a balanced port: how nearly they are equal and opposite.
//!
//! Both are measured from the same input, each as a transmission coefficient. Their difference is the useful signal;
//! their common part is radiated by the feed line, or loads two push-pull devices unequally. Differential and common
//! parts after D. E. Bockelman and W. R. Eisenstadt, "Combined Differential and Common-Mode Scattering Parameters",
//! IEEE Transactions on Microwave Theory and Techniques 43(7), 1995 (from memory).

use core::fmt;

use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{Complex, Component, Decibels, Degrees, finite, not_negative};

/// One of the two outputs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Output {
    /// The output that defines 0°.
    First,
    /// The output that should be opposite.
    Second,
}

/// Why a pair of outputs cannot be compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum BalanceError {
    /// This output is zero: it has no phase, and the pair no ratio.
    Silent(Output),
    /// A number was refused.
    Quantity(QuantityError),
}

impl fmt::Display for BalanceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Silent(Output::First) => f.write_str("the first output is zero"),
            Self::Silent(Output::Second) => f.write_str("the second output is zero"),
            Self::Quantity(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for BalanceError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for BalanceError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

/// A transmission coefficient: output over input, as real and imaginary part.
///
/// In fixed point the parts have the words of Γ, up to just below 2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phasor<A: Arithmetic> {
    re: Component<A>,
    im: Component<A>,
}

checked_form! {
    [A: Arithmetic] Phasor<A>, this {
        real: Component<A> = this.re,
        imaginary: Component<A> = this.im,
    } => Self::new(real, imaginary)
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Phasor<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "re {} im {}", self.re, self.im);
    }
}

impl<A: Arithmetic> Phasor<A> {
    /// From real and imaginary part.
    ///
    /// # Errors
    /// [`QuantityError::NotFinite`] for NaN or infinity; never in fixed point.
    pub fn new(
        real: impl Into<Component<A>>,
        imaginary: impl Into<Component<A>>,
    ) -> Result<Self, QuantityError> {
        let (real, imaginary) = (real.into(), imaginary.into());
        finite(real, "real part")?;
        finite(imaginary, "imaginary part")?;
        Ok(Self {
            re: real,
            im: imaginary,
        })
    }

    /// From magnitude and phase, as a two-channel voltmeter shows them; rounded to the family's words.
    ///
    /// # Errors
    /// [`QuantityError`] for NaN or infinity, or a negative magnitude.
    pub fn polar(
        magnitude: impl Into<Component<A>>,
        phase: impl Into<Degrees<A>>,
    ) -> Result<Self, QuantityError> {
        let (magnitude, phase) = (magnitude.into(), phase.into());
        not_negative(magnitude, "magnitude")?;
        finite(phase, "phase")?;
        let (sine, cosine) = (phase.to_working() / A::Working::from_i32(360)).sine_cosine();
        let size = magnitude.to_working();
        Ok(Self::from_complex(Complex::new(size * cosine, size * sine)))
    }

    /// The real part.
    pub fn real(self) -> Component<A> {
        self.re
    }

    /// The imaginary part.
    pub fn imaginary(self) -> Component<A> {
        self.im
    }

    fn complex(self) -> Complex<A::Working> {
        Complex::new(self.re.to_working(), self.im.to_working())
    }

    fn from_complex(value: Complex<A::Working>) -> Self {
        Self {
            re: Component::<A>::from_working(value.re),
            im: Component::<A>::from_working(value.im),
        }
    }
}

/// The balance of two outputs.
///
/// ```
/// use ohmwright::measure::balance::{Balance, Phasor};
///
/// // 0.5 dB apart, and 5° off from opposite.
/// let balance = Balance::<f64>::new(Phasor::polar(0.7, 0.0)?, Phasor::polar(0.7 * 0.944, 175.0)?)?;
/// assert!((balance.amplitude_imbalance - 0.5).abs() < 0.01);
/// assert!((balance.phase_imbalance - 5.0).abs() < 1e-9);
/// assert!((balance.common_mode_rejection - 25.6).abs() < 0.1);
/// # Ok::<(), ohmwright::measure::balance::BalanceError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct Balance<A: Arithmetic> {
    /// The level of the first output above the second, dB.
    ///
    /// Within 1e-4 dB in fixed point, 1e-5 dB in `f32` up to ±60 dB; ±∞ if the ratio leaves the range of a float.
    pub amplitude_imbalance: Decibels<A>,
    /// The phase by which the first output leads the opposite of the second, in (−180°, 180°]: 0 for a perfect balance.
    ///
    /// Within 1e-5° in fixed point (half its last place), 3e-5° in `f32`.
    pub phase_imbalance: Degrees<A>,
    /// The useful part: (first − second)/√2. Its square is the power that a differential load takes.
    pub differential: Phasor<A>,
    /// The unwanted part: (first + second)/√2.
    pub common: Phasor<A>,
    /// 20·lg |first − second|/|first + second|, dB; the largest value of the word (floating: infinity) if the common
    /// part is 0. Negative if the outputs are nearer to equal than to opposite.
    ///
    /// Within 1e-4 dB in fixed point.
    pub common_mode_rejection: Decibels<A>,
}

impl<A: Arithmetic> Balance<A> {
    /// Compares two outputs measured from the same input.
    ///
    /// In fixed point the parts saturate if a phasor leaves its word, which those of a passive port do not.
    ///
    /// # Errors
    /// [`BalanceError::Silent`] for an output that is zero.
    pub fn new(first: Phasor<A>, second: Phasor<A>) -> Result<Self, BalanceError> {
        let (one, other) = (first.complex(), second.complex());
        if one.is_zero() {
            return Err(BalanceError::Silent(Output::First));
        }
        if other.is_zero() {
            return Err(BalanceError::Silent(Output::Second));
        }
        // −first/second, and so −first·second*, is real and positive if the two are opposite.
        let turned = Complex::new(
            -(one.re * other.re + one.im * other.im),
            one.re * other.im - one.im * other.re,
        );
        let turns = A::Working::turns(turned.im, turned.re);
        let (difference, sum) = (one - other, one + other);
        let root = A::Working::HALF.square_root();
        Ok(Self {
            amplitude_imbalance: ratio_in_decibels::<A>(one, other),
            phase_imbalance: Degrees::<A>::from_working(turns * A::Working::from_i32(360)),
            differential: Phasor::from_complex(difference.scale(root)),
            common: Phasor::from_complex(sum.scale(root)),
            common_mode_rejection: ratio_in_decibels::<A>(difference, sum),
        })
    }

    /// Compares the figures with limits.
    pub fn verdict(&self, limits: &BalanceLimits<A>) -> BalanceVerdict {
        let size = |value: A::Working| value.absolute();
        BalanceVerdict {
            amplitude: size(self.amplitude_imbalance.to_working()) <= limits.amplitude.to_working(),
            phase: size(self.phase_imbalance.to_working()) <= limits.phase.to_working(),
            rejection: self.common_mode_rejection >= limits.rejection,
        }
    }
}

/// 20·lg of the ratio of two magnitudes; the limits of the word if one of them is zero.
fn ratio_in_decibels<A: Arithmetic>(above: Complex<A::Working>, below: Complex<A::Working>) -> Decibels<A> {
    if below.is_zero() {
        return Decibels::<A>::MAX;
    }
    if above.is_zero() {
        return Decibels::<A>::MIN;
    }
    // By magnitudes, so that no square leaves the range of a float.
    let ratio = above.magnitude() / below.magnitude();
    Decibels::<A>::from_working(ratio.decibels() * A::Working::TWO)
}

/// Limits for two outputs.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct BalanceLimits<A: Arithmetic> {
    amplitude: Decibels<A>,
    phase: Degrees<A>,
    rejection: Decibels<A>,
}

checked_form! {
    [A: Arithmetic] BalanceLimits<A>, this {
        amplitude: Decibels<A> = this.amplitude,
        phase: Degrees<A> = this.phase,
        rejection: Decibels<A> = this.rejection,
    } => Self::new(amplitude, phase, rejection)
}

impl<A: Arithmetic> BalanceLimits<A> {
    /// The largest amplitude (dB) and phase imbalance (degrees), of either sign, and the least common-mode rejection
    /// (dB).
    ///
    /// # Errors
    /// [`QuantityError`] for NaN or infinity, or a negative imbalance.
    pub fn new(
        amplitude: impl Into<Decibels<A>>,
        phase: impl Into<Degrees<A>>,
        rejection: impl Into<Decibels<A>>,
    ) -> Result<Self, QuantityError> {
        let (amplitude, phase, rejection) = (amplitude.into(), phase.into(), rejection.into());
        not_negative(amplitude, "amplitude imbalance")?;
        not_negative(phase, "phase imbalance")?;
        finite(rejection, "common-mode rejection")?;
        Ok(Self {
            amplitude,
            phase,
            rejection,
        })
    }
}

/// The figures that are within their limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
#[must_use = "it says what keeps to its limits"]
pub struct BalanceVerdict {
    /// The amplitude imbalance is.
    pub amplitude: bool,
    /// The phase imbalance is.
    pub phase: bool,
    /// The common-mode rejection is.
    pub rejection: bool,
}

impl BalanceVerdict {
    /// True if all three are.
    pub fn pass(&self) -> bool {
        self.amplitude && self.phase && self.rejection
    }
}
