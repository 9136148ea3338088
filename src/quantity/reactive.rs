//! Inductance, capacitance and their reactance at a frequency.

use super::{Hertz, Ohms, QuantityError, not_negative, positive_omega};
#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
use crate::arithmetic::{Arithmetic, Quantity, Real};
#[cfg(feature = "serde")]
use crate::arithmetic::{read_number, write_number};

macro_rules! part {
    ($name:ident, $word:ident, $unit:ident, $what:literal, $base:literal, $small:literal, $from_small:ident,
     $try_from:ident, $to:ident, $per_base:literal, $log:literal, $log_small:literal) => {
        #[doc = concat!("An ", $what, ": ", $base, " in the floating families, whole ", $small, " (a `u32`) in fixed point.")]
        ///
        #[doc = concat!("Zero and above; negative values are refused. A computed ", $what, " too large for the word (number type)")]
        /// saturates at its largest value.
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name<A: Arithmetic>(A::$word);

        impl<A: Arithmetic> $name<A> {
            #[doc = concat!("From the family's word (its number type: ", $base, ", or whole ", $small, ").")]
            ///
            /// # Errors
            /// `NotFinite` for NaN and infinity, `Negative` below 0.
            pub fn new(word: A::$word) -> Result<Self, QuantityError> {
                not_negative(word, $what).map(Self)
            }

            #[doc = concat!("From whole ", $small, ", in every family.")]
            pub fn $from_small(count: u32) -> Self {
                Self(A::$from_small(count))
            }

            #[doc = concat!("From ", $base, " as a double, the nearest word: the same in every family, and for a PC.")]
            ///
            /// # Errors
            /// Not finite, negative, or beyond the word.
            pub fn $try_from(value: f64) -> Result<Self, QuantityError> {
                let unit = if A::FAMILY.is_fixed() { $per_base } else { 1.0 };
                let value = not_negative(value, $what)?;
                let word = A::$word::try_from_f64(value * unit).map_err(|error| error.of($what))?;
                Self::new(word)
            }

            #[doc = concat!("In ", $base, " as a double: the same in every family, and for a PC.")]
            pub fn $to(self) -> f64 {
                let unit = if A::FAMILY.is_fixed() { $per_base } else { 1.0 };
                self.0.to_f64() / unit
            }

            #[doc = concat!("The family's own word: ", $base, " in the floating families, whole ", $small, " in fixed point.")]
            pub const fn get(self) -> A::$word {
                self.0
            }

            pub(crate) fn from_base(value: A::Working) -> Self {
                let word = A::$word::from_working(value / A::$unit);
                Self(if word < A::$word::ZERO { A::$word::ZERO } else { word })
            }

            pub(crate) fn to_base(self) -> A::Working {
                self.0.to_working() * A::$unit
            }
        }

        #[doc = concat!("A number of ", $base, " in every family.")]
        #[cfg(feature = "serde")]
        impl<A: Arithmetic> serde::Serialize for $name<A> {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                let is_at_end = self.0 == A::$word::MAX;
                write_number(if is_at_end { f64::INFINITY } else { self.$to() }, serializer)
            }
        }

        #[doc = concat!("From a number of ", $base, "; what is negative or beyond the word is refused.")]
        #[cfg(feature = "serde")]
        impl<'de, A: Arithmetic> serde::Deserialize<'de> for $name<A> {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let value: f64 = read_number(deserializer, true)?;
                if value == f64::INFINITY {
                    return Ok(Self(A::$word::MAX));
                }
                Self::$try_from(value).map_err(serde::de::Error::custom)
            }
        }

        #[cfg(feature = "defmt")]
        impl<A: Arithmetic> defmt::Format for $name<A> {
            fn format(&self, f: defmt::Formatter<'_>) {
                if self.0 == A::$word::MAX {
                    defmt::write!(f, "beyond range")
                } else if A::FAMILY.is_fixed() {
                    defmt::write!(f, $log_small, Number(self.0))
                } else {
                    defmt::write!(f, $log, Number(self.0))
                }
            }
        }
    };
}

part!(
    Inductance,
    InductanceWord,
    HENRIES_PER_UNIT,
    "inductance",
    "henries",
    "picohenries",
    from_picohenries,
    try_from_henries,
    to_henries,
    1e12,
    "{} H",
    "{} pH"
);
part!(
    Capacitance,
    CapacitanceWord,
    FARADS_PER_UNIT,
    "capacitance",
    "farads",
    "femtofarads",
    from_femtofarads,
    try_from_farads,
    to_farads,
    1e15,
    "{} F",
    "{} fF"
);

impl<A: Arithmetic> Inductance<A> {
    /// X = 2πfL in ohms, never negative; saturates. Error: a rounding of the word, plus 3e-9 relative in fixed point.
    ///
    /// ```
    /// use ohmwright::quantity::{Hertz, Inductance};
    ///
    /// let coil = Inductance::<f64>::from_picohenries(100_000); // 100 nH
    /// let reactance = coil.reactance(Hertz::from_megahertz(71));
    /// assert!((reactance - 44.61).abs() < 0.005);
    /// ```
    pub fn reactance(self, frequency: Hertz) -> Ohms<A> {
        if frequency.get() == 0 {
            return Ohms::<A>::ZERO; // also where the inductance has saturated
        }
        Ohms::<A>::from_working(frequency.angular::<A::Working>() * self.to_base())
    }

    /// The inductance with this reactance: L = X/(2πf).
    ///
    /// # Errors
    /// `NotPositive` for a frequency of 0; `Negative` or `NotFinite` for such a reactance.
    pub fn with_reactance(reactance: impl Into<Ohms<A>>, frequency: Hertz) -> Result<Self, QuantityError> {
        let reactance = reactance.into();
        let omega = positive_omega::<A>(frequency)?;
        let reactance = not_negative(reactance, "reactance")?.to_working();
        Ok(Self::from_base(reactance / omega))
    }

    /// The inductance that resonates with `capacitance` at `frequency`: L = 1/(ω²C) (Thomson's formula).
    ///
    /// # Errors
    /// `NotPositive` for a frequency or a capacitance of 0.
    pub fn resonant_with(capacitance: Capacitance<A>, frequency: Hertz) -> Result<Self, QuantityError> {
        let omega = positive_omega::<A>(frequency)?;
        let susceptance = omega * capacitance.to_base();
        if susceptance.is_zero() {
            return Err(QuantityError::NotPositive("capacitance"));
        }
        Ok(Self::from_base(A::Working::ONE / susceptance / omega))
    }
}

impl<A: Arithmetic> Capacitance<A> {
    /// X = −1/(2πfC) in ohms, never positive; an open (the most negative word) at 0 Hz or without capacitance.
    pub fn reactance(self, frequency: Hertz) -> Ohms<A> {
        if frequency.get() == 0 {
            return Ohms::<A>::MIN; // also where the capacitance has saturated
        }
        let susceptance = frequency.angular::<A::Working>() * self.to_base();
        if susceptance.is_zero() {
            return Ohms::<A>::MIN;
        }
        Ohms::<A>::from_working(-(A::Working::ONE / susceptance))
    }

    /// The capacitance with this reactance, given as its size |X|: C = 1/(2πf|X|).
    ///
    /// # Errors
    /// `NotPositive` for a frequency or a reactance of 0; `Negative` or `NotFinite` for such a reactance.
    pub fn with_reactance(reactance: impl Into<Ohms<A>>, frequency: Hertz) -> Result<Self, QuantityError> {
        let reactance = reactance.into();
        let omega = positive_omega::<A>(frequency)?;
        if not_negative(reactance, "reactance")? == Ohms::<A>::ZERO {
            return Err(QuantityError::NotPositive("reactance"));
        }
        Ok(Self::from_base(
            A::Working::ONE / (omega * reactance.to_working()),
        ))
    }

    /// The capacitance that resonates with `inductance` at `frequency`: C = 1/(ω²L) (Thomson's formula).
    ///
    /// # Errors
    /// `NotPositive` for a frequency or an inductance of 0.
    pub fn resonant_with(inductance: Inductance<A>, frequency: Hertz) -> Result<Self, QuantityError> {
        let omega = positive_omega::<A>(frequency)?;
        let reactance = omega * inductance.to_base();
        if reactance.is_zero() {
            return Err(QuantityError::NotPositive("inductance"));
        }
        Ok(Self::from_base(A::Working::ONE / reactance / omega))
    }
}

/// A coil or a capacitor: the part with a given reactance.
///
/// ```
/// use ohmwright::double::Reactor;
/// use ohmwright::quantity::Hertz;
///
/// // −j50 Ω at 14.2 MHz: a capacitor of 224 pF.
/// let part = Reactor::with_reactance(-50.0, Hertz::from_kilohertz(14_200));
/// assert!(matches!(part, Some(Reactor::Capacitor(c)) if (c.get() - 224.2e-12).abs() < 0.1e-12));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub enum Reactor<A: Arithmetic> {
    /// A coil.
    Inductor(Inductance<A>),
    /// A capacitor.
    Capacitor(Capacitance<A>),
}

impl<A: Arithmetic> Reactor<A> {
    /// The part whose reactance is `reactance` at `frequency`: a coil for a positive one, a capacitor for a negative
    /// one. `None` where no part is needed (zero), where none can do it (an open), and at 0 Hz.
    pub fn with_reactance(reactance: impl Into<Ohms<A>>, frequency: Hertz) -> Option<Self> {
        let reactance = reactance.into();
        if reactance.is_at_end() {
            return None;
        }
        Self::with_working_reactance(reactance.to_working(), frequency)
    }

    pub(crate) fn with_working_reactance(x: A::Working, frequency: Hertz) -> Option<Self> {
        let omega = positive_omega::<A>(frequency).ok()?;
        if x.is_zero() || !x.is_finite() {
            None
        } else if x > A::Working::ZERO {
            Some(Self::Inductor(Inductance::from_base(x / omega)))
        } else {
            Some(Self::Capacitor(Capacitance::from_base(
                -(A::Working::ONE / (x * omega)),
            )))
        }
    }

    /// The reactance of the part at `frequency`, ohms.
    pub fn reactance(self, frequency: Hertz) -> Ohms<A> {
        match self {
            Self::Inductor(inductance) => inductance.reactance(frequency),
            Self::Capacitor(capacitance) => capacitance.reactance(frequency),
        }
    }
}
