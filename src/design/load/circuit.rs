//! A load as a small equivalent circuit.

use super::{Load, LoadError};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Capacitance, Complex, Hertz, Impedance, Inductance, Ohms, positive};

/// A load as one of the usual equivalent circuits.
///
/// A capacitance of 0 is an open in series and absent across; an inductance of 0 is a wire in series and a short
/// across. Each circuit holds at every frequency, 0 Hz included. Error: a few roundings of the working number (1e-8 of
/// the largest of the parts' impedances in fixed point) and one of the result.
///
/// ```
/// use ohmwright::design::load::LoadCircuit;
/// use ohmwright::quantity::{Capacitance, Hertz, Inductance, Ohms};
///
/// // An invented whip: 36 Ω with 200 nH and 26 pF. Below its resonance at 69.8 MHz it looks like a capacitor.
/// let whip = LoadCircuit::<f64>::Series {
///     resistance: Ohms::new(36.0),
///     inductance: Inductance::new(200e-9)?,
///     capacitance: Some(Capacitance::new(26e-12)?),
/// }
/// .checked()?;
/// assert!(whip.impedance(Hertz::from_megahertz(66)).reactance() < -9.0);
/// assert!(whip.impedance(Hertz::from_kilohertz(69_795)).reactance().abs() < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum LoadCircuit<A: Arithmetic> {
    /// R, L and C in series: an antenna near its resonance, the input of a power device.
    Series {
        /// Ohms.
        resistance: Ohms<A>,
        /// In series with it.
        inductance: Inductance<A>,
        /// In series with both; `None` if absent.
        capacitance: Option<Capacitance<A>>,
    },
    /// R and C in parallel, behind a lead: the output of a power device in its package.
    ParallelBehindLead {
        /// Ohms.
        resistance: Ohms<A>,
        /// Across the resistance.
        capacitance: Capacitance<A>,
        /// In series with both.
        lead: Inductance<A>,
    },
    /// R, L and C in parallel: an antenna near the resonance where its resistance is high.
    Parallel {
        /// Ohms.
        resistance: Ohms<A>,
        /// Across the resistance; `None` if absent.
        inductance: Option<Inductance<A>>,
        /// Across the resistance.
        capacitance: Capacitance<A>,
    },
}

impl<A: Arithmetic> LoadCircuit<A> {
    /// Checks the resistance.
    ///
    /// # Errors
    /// `Quantity` with `NotFinite` or `NotPositive` for such a resistance.
    pub fn checked(self) -> Result<Self, LoadError> {
        let (Self::Series { resistance, .. }
        | Self::ParallelBehindLead { resistance, .. }
        | Self::Parallel { resistance, .. }) = self;
        positive(resistance, "resistance")?;
        Ok(self)
    }

    /// The impedance at this frequency.
    pub fn impedance(&self, frequency: Hertz) -> Impedance<A> {
        let omega = frequency.angular::<A::Working>();
        let coil = |inductance: Inductance<A>| omega * inductance.to_base();
        let susceptance = |capacitance: Capacitance<A>| omega * capacitance.to_base();
        match *self {
            Self::Series {
                resistance,
                inductance,
                capacitance,
            } => {
                let mut reactance = coil(inductance);
                if let Some(capacitance) = capacitance {
                    let susceptance = susceptance(capacitance);
                    if susceptance.is_zero() {
                        return Impedance::OPEN;
                    }
                    reactance = reactance - A::Working::ONE / susceptance;
                }
                Impedance::from_complex(Complex::new(resistance.to_working(), reactance))
            }
            Self::ParallelBehindLead {
                resistance,
                capacitance,
                lead,
            } => {
                let inner = side_by_side::<A>(resistance, susceptance(capacitance));
                Impedance::from_complex(inner + Complex::new(A::Working::ZERO, coil(lead)))
            }
            Self::Parallel {
                resistance,
                inductance,
                capacitance,
            } => {
                let mut across = susceptance(capacitance);
                if let Some(inductance) = inductance {
                    let reactance = coil(inductance);
                    if reactance.is_zero() {
                        return Impedance::SHORT;
                    }
                    across = across - A::Working::ONE / reactance;
                }
                Impedance::from_complex(side_by_side::<A>(resistance, across))
            }
        }
    }
}

/// R in parallel with jB: R/(1 + jBR), a division by a number of at least 1.
fn side_by_side<A: Arithmetic>(resistance: Ohms<A>, susceptance: A::Working) -> Complex<A::Working> {
    let resistance = resistance.to_working();
    Complex::real(resistance) / Complex::new(A::Working::ONE, susceptance * resistance)
}

impl<A: Arithmetic> Load<A> for LoadCircuit<A> {
    fn at(&self, frequency: Hertz) -> Result<Impedance<A>, LoadError> {
        Ok(self.impedance(frequency))
    }
}
