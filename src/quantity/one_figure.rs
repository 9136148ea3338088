//! Γ from one figure of a scalar meter, and the everyday conversions of the bench.
//!
//! None of them needs more than a square root. What a scalar meter reads has no phase: a Γ made of it is real.

use super::{
    Amperes, Capacitance, Component, Decibels, Hertz, ImpedanceRatio, Inductance, Ohms, QuantityError, Ratio,
    Reflection, Swr, VelocityFactor, Volts, Watts, finite, not_negative, positive, swr,
};
use crate::arithmetic::{Arithmetic, Quantity, Real};

impl<A: Arithmetic> Reflection<A> {
    /// The real, positive Γ with this SWR: Γ = (S − 1)/(S + 1).
    ///
    /// The phase is not known from an SWR. This Γ stands for all on its circle: its magnitude, SWR, return loss and
    /// mismatch loss are right, its phase and impedance (the resistance S·Z0) are one choice of many.
    ///
    /// [`Swr::MAX`], which every total reflection shows, gives [`OPEN`](Self::OPEN). Error: a rounding of the word and
    /// 4e-9 in fixed point, three roundings in floating point. Source: IEC 60050-726 (from memory).
    ///
    /// ```
    /// use ohmwright::double::Reflection;
    ///
    /// let gamma = Reflection::from_swr(2.0)?;
    /// assert!((gamma.return_loss() - 9.542).abs() < 1e-3);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `BelowOne` for such an SWR, `NotFinite` for NaN.
    pub fn from_swr(standing_wave: impl Into<Swr<A>>) -> Result<Self, QuantityError> {
        let standing_wave = standing_wave.into();
        if standing_wave == Swr::MAX {
            return Ok(Self::OPEN);
        }
        let ratio = swr::limit(standing_wave, "SWR")?;
        Self::of_magnitude(swr::magnitude(ratio), "SWR")
    }

    /// The real, positive Γ with this return loss in dB: Γ = 10^(−RL/20).
    ///
    /// The phase is not known from a return loss; see [`from_swr`](Self::from_swr). A negative return loss is that of
    /// an active load, |Γ| above 1. The family's largest value (floating: infinity), which a match shows, gives
    /// [`MATCHED`](Self::MATCHED). Error: the step of the return loss times |Γ|/8.7, and 2e-8 of |Γ| in fixed point.
    /// Source: IEC 60050-702-07-25.
    ///
    /// # Errors
    /// `NotFinite` for NaN; `OutOfRange` for a |Γ| beyond the family (2 in fixed point: −6.02 dB).
    pub fn from_return_loss(return_loss: impl Into<Decibels<A>>) -> Result<Self, QuantityError> {
        let return_loss = return_loss.into();
        if return_loss == Decibels::MAX {
            return Ok(Self::MATCHED);
        }
        let decibels = finite(return_loss, "return loss")?.to_working();
        Self::of_magnitude(
            (-(decibels * A::Working::HALF)).ratio_of_decibels(),
            "return loss",
        )
    }

    /// The real, positive Γ of a power meter's two readings, forward and reflected: Γ = √(Pr/Pf).
    ///
    /// The phase is not known from powers; see [`from_swr`](Self::from_swr). Only the ratio counts: any unit of power
    /// will do, where both are in it. Error: a few roundings (4e-9 in fixed point) on top of that of the readings.
    ///
    /// ```
    /// use ohmwright::double::Reflection;
    ///
    /// assert!((Reflection::from_powers(100.0, 4.0)?.swr() - 1.5).abs() < 1e-12);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `NotPositive` for the forward power, `Negative` for the reflected one, `NotFinite` for NaN and infinity;
    /// `OutOfRange` for a |Γ| beyond the family (2 in fixed point: four times the forward power).
    pub fn from_powers(
        forward: impl Into<Watts<A>>,
        reflected: impl Into<Watts<A>>,
    ) -> Result<Self, QuantityError> {
        let forward = positive(forward.into(), "forward power")?.to_working();
        let reflected = not_negative(reflected.into(), "reflected power")?.to_working();
        Self::of_magnitude((reflected / forward).square_root(), "reflected power")
    }

    fn of_magnitude(magnitude: A::Working, name: &'static str) -> Result<Self, QuantityError> {
        if magnitude > A::REFLECTION_LIMIT.to_working() {
            return Err(QuantityError::OutOfRange(name));
        }
        Self::new(Component::<A>::from_working(magnitude), Component::<A>::ZERO)
    }
}

impl<A: Arithmetic> Inductance<A> {
    /// The frequency at which this coil and that capacitor resonate: f = 1/(2π√(LC)) (Thomson's formula).
    ///
    /// To the nearest hertz. Error besides: 5e-7 of it in `f32`, 1e-15 in `f64`, 2e-8 in fixed point.
    ///
    /// ```
    /// use ohmwright::double::{Capacitance, Inductance};
    ///
    /// let coil = Inductance::from_picohenries(100_000); // 100 nH
    /// let frequency = coil.resonant_frequency(Capacitance::from_femtofarads(50_000))?; // 50 pF
    /// assert_eq!(frequency.get(), 71_176_254);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `NotPositive` for an inductance or a capacitance of 0; `OutOfRange` beyond 9.2e18 Hz.
    pub fn resonant_frequency(self, capacitance: Capacitance<A>) -> Result<Hertz, QuantityError> {
        let (henries, farads) = (self.to_base(), capacitance.to_base());
        if henries <= A::Working::ZERO {
            return Err(QuantityError::NotPositive("inductance"));
        }
        if farads <= A::Working::ZERO {
            return Err(QuantityError::NotPositive("capacitance"));
        }
        // Root by root: the product of two small parts would leave the range of `f32`.
        let frequency = A::Working::ONE / (A::Working::TAU * henries.square_root()) / farads.square_root();
        match frequency.to_i64() {
            i64::MAX => Err(QuantityError::OutOfRange("resonant frequency")),
            hertz => Ok(Hertz::new(hertz.unsigned_abs())),
        }
    }
}

impl<A: Arithmetic> ImpedanceRatio<A> {
    /// The turns ratio that transforms by this impedance ratio: its square root (textbook).
    ///
    /// Primary to secondary, as the impedances. 0 for what is not positive. Error: a rounding of the word, and 2e-9 of
    /// it in fixed point.
    ///
    /// ```
    /// use ohmwright::double::ImpedanceRatio;
    ///
    /// assert_eq!(ImpedanceRatio::new(9.0).turns_ratio(), 3.0);
    /// ```
    pub fn turns_ratio(self) -> Ratio<A> {
        Ratio::from_working(self.to_working().square_root())
    }
}

impl<A: Arithmetic> VelocityFactor<A> {
    /// The velocity factor of a line whose whole field is in a medium of this relative permittivity: 1/√εr.
    ///
    /// For a coaxial cable with solid filling; a line partly in air is faster, and its effective permittivity goes in
    /// here. Without magnetic material. Error: a rounding of the word, and 2e-9 in fixed point. Source: D. M. Pozar,
    /// "Microwave Engineering", chapter 2 (from memory).
    ///
    /// ```
    /// use ohmwright::double::VelocityFactor;
    ///
    /// let solid_polyethylene = VelocityFactor::from_permittivity(2.25)?;
    /// assert!((solid_polyethylene.get() - 2.0 / 3.0).abs() < 1e-15);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `BelowOne` for such a permittivity, `NotFinite` for NaN and infinity.
    pub fn from_permittivity(relative: impl Into<Ratio<A>>) -> Result<Self, QuantityError> {
        let relative = finite(relative.into(), "relative permittivity")?.to_working();
        if relative < A::Working::ONE {
            return Err(QuantityError::BelowOne("relative permittivity"));
        }
        Ok(Self::from_working(A::Working::ONE / relative.square_root()))
    }
}

macro_rules! effective {
    ($name:ident, $what:literal, $of_power:ident, $formula:literal, |$power:ident, $resistance:ident| $value:expr) => {
        impl<A: Arithmetic> $name<A> {
            #[doc = concat!("The RMS value of a sine whose peak ", $what, " this is: peak/√2. With the sign of the peak.")]
            ///
            /// Error: a rounding of the word, and 2e-9 of it in fixed point.
            #[must_use]
            pub fn peak_to_rms(self) -> Self {
                Self::from_working(self.to_working() * A::Working::HALF.square_root())
            }

            #[doc = concat!("The peak of a sine whose RMS ", $what, " this is: RMS·√2. With the sign of the RMS value; saturates.")]
            ///
            /// Error: a rounding of the word, and 2e-9 of it in fixed point.
            #[must_use]
            pub fn rms_to_peak(self) -> Self {
                Self::from_working(self.to_working() * A::Working::TWO.square_root())
            }

            #[doc = concat!("The RMS ", $what, " of this power in a resistance: ", $formula, " (Joule's law). Saturates.")]
            ///
            /// Error: a rounding of the word, and 4e-9 of it in fixed point.
            ///
            /// # Errors
            /// `Negative` for the power, `NotPositive` for the resistance, `NotFinite` for NaN and infinity.
            pub fn $of_power(
                power: impl Into<Watts<A>>,
                resistance: impl Into<Ohms<A>>,
            ) -> Result<Self, QuantityError> {
                let $power = not_negative(power.into(), "power")?.to_working();
                let $resistance = positive(resistance.into(), "resistance")?.to_working();
                Ok(Self::from_working(($value).square_root()))
            }
        }
    };
}

effective!(
    Volts,
    "voltage",
    rms_of_power,
    "√(P·R)",
    |power, resistance| power * resistance
);
effective!(
    Amperes,
    "current",
    rms_of_power,
    "√(P/R)",
    |power, resistance| power / resistance
);
