//! The delay of a line, and Γ at its other end.

use crate::arithmetic::{Arithmetic, Constant, Quantity, Real};
use crate::quantity::{
    Complex, Hertz, LIGHT, Metres, QuantityError, Reflection, VelocityFactor, finite, positive,
};

/// Femtoseconds in a second.
const FEMTO: u64 = 1_000_000_000_000_000;

/// The delay of a wave for one way through a line without loss; negative for the way back.
///
/// Used for the offset of a [`Standard`](super::Standard), and to move the reference plane: from Γ at one end of a line
/// [`nearer_the_load`](Self::nearer_the_load) calculates Γ at the other.
///
/// ```
/// use ohmwright::double::Reflection;
/// use ohmwright::measure::calibration::Delay;
/// use ohmwright::quantity::Hertz;
///
/// // A short, seen through 8 m of cable in which a wave has 2/3 of the speed of light …
/// let cable = Delay::<f64>::of_length(8.0, 2.0 / 3.0)?;
/// let frequency = Hertz::from_kilohertz(5_300);
/// let seen = (-cable).nearer_the_load(Reflection::SHORT, frequency);
/// // … is a short again when the plane is moved to the end of the cable.
/// let back = cable.nearer_the_load(seen, frequency);
/// assert!((back.real() + 1.0).abs() < 1e-12 && back.imaginary().abs() < 1e-12);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delay<A: Arithmetic> {
    femtoseconds: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for Delay<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=i64} fs", self.femtoseconds());
    }
}

impl<A: Arithmetic> Delay<A> {
    /// No delay.
    pub const NONE: Self = Self {
        femtoseconds: <A::Working as Real>::ZERO,
    };

    /// A delay in picoseconds, one way.
    pub fn from_picoseconds(picoseconds: i32) -> Self {
        Self {
            femtoseconds: A::Working::from_i32(picoseconds) * A::Working::from_i32(1000),
        }
    }

    /// The same, known when the code is compiled.
    ///
    /// ```
    /// use ohmwright::{fixed_point, floating};
    ///
    /// static FIXTURE: fixed_point::Delay = fixed_point::Delay::picoseconds::<-120>();
    /// static EXTENSION: floating::Delay = floating::Delay::picoseconds::<4_903>();
    /// assert_eq!(FIXTURE, fixed_point::Delay::from_picoseconds(-120));
    /// assert_eq!(EXTENSION, floating::Delay::from_picoseconds(4_903));
    /// ```
    pub const fn picoseconds<const N: i32>() -> Self {
        Self {
            femtoseconds: <<A::Working as Real>::Product<N, 1_000> as Constant<A::Working>>::VALUE,
        }
    }

    /// A delay in femtoseconds (thousandths of a picosecond), one way.
    pub fn from_femtoseconds(femtoseconds: i64) -> Self {
        let size = A::Working::from_u64(femtoseconds.unsigned_abs());
        Self {
            femtoseconds: if femtoseconds < 0 { -size } else { size },
        }
    }

    /// The delay of a line of `metres`, on which a wave has `velocity_factor` of the speed of light: τ = l/(v·c), with
    /// v = 1/√ε for a line filled with a dielectric ε. Error: rounding of the two words, plus 6e-9 relative in fixed
    /// point. A negative length, in families that have one, is the way back.
    ///
    /// # Errors
    /// [`QuantityError`] for a length that is not finite, or a velocity factor not above 0 and at most 1.
    pub fn of_length(
        length: impl Into<Metres<A>>,
        velocity_factor: impl Into<VelocityFactor<A>>,
    ) -> Result<Self, QuantityError> {
        let (length, velocity_factor) = (length.into(), velocity_factor.into());
        finite(length, "length")?;
        let factor = positive(velocity_factor, "velocity factor")?.to_working();
        if factor > A::Working::ONE {
            return Err(outside!("velocity factor", "must be above 0 and at most 1"));
        }
        let femtoseconds_per_metre = A::Working::from_u64(FEMTO) / A::Working::from_u64(LIGHT);
        let femtoseconds = length.to_working() * femtoseconds_per_metre / factor;
        if !femtoseconds.is_finite() {
            return Err(QuantityError::OutOfRange("length"));
        }
        Ok(Self { femtoseconds })
    }

    /// The nearest number of femtoseconds; saturates.
    pub fn femtoseconds(self) -> i64 {
        self.femtoseconds.to_i64()
    }

    /// Seconds, for programs on a PC.
    pub fn to_f64(self) -> f64 {
        self.femtoseconds.to_f64() * 1e-15
    }

    /// Γ with the reference plane moved by this delay towards the load: Γ·exp(+j·2ωτ) (D. M. Pozar, "Microwave
    /// Engineering", on shifts in reference planes).
    /// A negative delay moves the plane away from the load. Error in fixed point: 1e-8, 3e-8 per turn, and the rounding
    /// of a component; in `f32` 3e-7, and 1e-6 per turn. Beyond the range of the family it saturates.
    pub fn nearer_the_load(self, gamma: Reflection<A>, frequency: Hertz) -> Reflection<A> {
        if self.is_none() {
            return gamma;
        }
        Reflection::from_complex(gamma.complex() * self.turn(frequency))
    }

    pub(super) fn is_none(self) -> bool {
        self.femtoseconds.is_zero()
    }

    /// exp(+j·2ωτ).
    pub(super) fn turn(self, frequency: Hertz) -> Complex<A::Working> {
        let (sine, cosine) = (A::Working::TWO * self.turns(frequency)).sine_cosine();
        Complex::new(cosine, sine)
    }

    /// The delay of so many turns at a frequency that is not 0.
    pub(crate) fn of_turns(turns: A::Working, hertz: u64) -> Self {
        Self {
            femtoseconds: turns * (A::Working::from_u64(FEMTO) / A::Working::from_u64(hertz)),
        }
    }

    /// f·τ, the turns of the phase on one way.
    pub(crate) fn turns(self, frequency: Hertz) -> A::Working {
        A::Working::from_u64(frequency.get()) * self.femtoseconds / A::Working::from_u64(FEMTO)
    }

    pub(super) fn working(self) -> A::Working {
        self.femtoseconds
    }
}

impl<A: Arithmetic> Default for Delay<A> {
    /// [`NONE`](Self::NONE).
    fn default() -> Self {
        Self::NONE
    }
}

impl<A: Arithmetic> core::ops::Neg for Delay<A> {
    type Output = Self;
    /// The way back.
    fn neg(self) -> Self {
        Self {
            femtoseconds: -self.femtoseconds,
        }
    }
}
