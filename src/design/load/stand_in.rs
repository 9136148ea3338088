//! Parts that imitate a device on the bench.

use super::{Load, LoadCircuit, LoadError};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{
    Capacitance, Complex, Hertz, Impedance, Inductance, Ohms, Swr, positive, positive_frequency,
};

/// A resistance and a part that look like a given impedance at one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub enum StandInParts<A: Arithmetic> {
    /// A resistor alone, ohms: the load has no reactance.
    Resistor(Ohms<A>),
    /// A resistor and a coil in series.
    ResistorAndCoil(Ohms<A>, Inductance<A>),
    /// A resistor and a capacitor in series.
    ResistorAndCapacitor(Ohms<A>, Capacitance<A>),
    /// A resistor and a capacitor in parallel.
    ResistorBesideCapacitor(Ohms<A>, Capacitance<A>),
    /// A resistor and a coil in parallel.
    ResistorBesideCoil(Ohms<A>, Inductance<A>),
}

/// The effect of its leads on a stand-in.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct LeadEffect<A: Arithmetic> {
    /// The reactance of the leads at the frequency, ohms.
    pub lead_reactance: Ohms<A>,
    /// The impedance of the stand-in with its leads.
    pub seen: Impedance<A>,
    /// The SWR of that for a source that matches the load itself (power waves): 1 without leads.
    pub swr: Swr<A>,
    /// True where the leads' reactance is more than a tenth of |Z|: the stand-in then shows its leads more than the
    /// device. This limit is the crate's own choice.
    pub swamped: bool,
}

/// A stand-in for a load at one frequency: parts to solder in place of the device while a network is tried.
///
/// It is right at that frequency only, and bears only the power of its resistor: for chip parts a fraction of a watt.
///
/// ```
/// use ohmwright::design::load::{StandIn, StandInParts};
/// use ohmwright::design::winding::RoundWire;
/// use ohmwright::quantity::{Hertz, Impedance};
///
/// let device = Impedance::<f64>::new(1.8, -2.5)?;
/// let stand_in = StandIn::series(device, Hertz::from_megahertz(71))?;
/// let StandInParts::ResistorAndCapacitor(ohms, capacitor) = stand_in.parts() else { panic!() };
/// assert!((ohms - 1.8).abs() < 1e-12 && (capacitor.get() - 897e-12).abs() < 1e-12);
/// // Two leads of 5 mm each swamp it: they have more reactance than the capacitor, and of the other sign.
/// let leads = RoundWire::from_millimetres(0.5)?.inductance(10e-3)?;
/// assert!(stand_in.with_leads(leads).swamped);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct StandIn<A: Arithmetic> {
    load: Impedance<A>,
    frequency: Hertz,
    parts: StandInParts<A>,
}

impl<A: Arithmetic> StandIn<A> {
    /// A resistor in series with a coil or a capacitor.
    ///
    /// # Errors
    /// `OutsideLimits` for an open load, `NotPositive` for a load without positive resistance and a frequency of 0,
    /// `OutOfRange` for a part that its word (the family's number type) cannot hold or rounds to 0; each in `Quantity`.
    pub fn series(load: Impedance<A>, frequency: Hertz) -> Result<Self, LoadError> {
        Self::check(load, frequency)?;
        let (resistance, reactance) = (load.resistance(), load.reactance());
        let parts = if reactance == Ohms::<A>::ZERO {
            StandInParts::Resistor(resistance)
        } else if reactance > Ohms::<A>::ZERO {
            let coil = Inductance::<A>::with_reactance(reactance, frequency)?;
            held(coil.get(), "inductance")?;
            StandInParts::ResistorAndCoil(resistance, coil)
        } else {
            let capacitor = Capacitance::<A>::with_reactance(load.conjugate().reactance(), frequency)?;
            held(capacitor.get(), "capacitance")?;
            StandInParts::ResistorAndCapacitor(resistance, capacitor)
        };
        Ok(Self {
            load,
            frequency,
            parts,
        })
    }

    /// A resistor in parallel with a capacitor or a coil: the parallel form of the load.
    ///
    /// # Errors
    /// As [`series`](Self::series); `OutOfRange` also for a parallel resistance or reactance beyond the word.
    pub fn parallel(load: Impedance<A>, frequency: Hertz) -> Result<Self, LoadError> {
        Self::check(load, frequency)?;
        let form = load.parallel_form();
        let resistance = held(form.resistance, "parallel resistance")?;
        let parts = if load.reactance() == Ohms::<A>::ZERO {
            StandInParts::Resistor(resistance)
        } else {
            let reactance = held(form.reactance, "parallel reactance")?;
            if reactance > Ohms::<A>::ZERO {
                let coil = Inductance::<A>::with_reactance(reactance, frequency)?;
                held(coil.get(), "inductance")?;
                StandInParts::ResistorBesideCoil(resistance, coil)
            } else {
                let size = Ohms::<A>::from_working(-reactance.to_working());
                let capacitor = Capacitance::<A>::with_reactance(size, frequency)?;
                held(capacitor.get(), "capacitance")?;
                StandInParts::ResistorBesideCapacitor(resistance, capacitor)
            }
        };
        Ok(Self {
            load,
            frequency,
            parts,
        })
    }

    fn check(load: Impedance<A>, frequency: Hertz) -> Result<(), LoadError> {
        if load.is_open() {
            return Err(LoadError::Quantity(outside!("load", "must not be an open")));
        }
        positive(load.resistance(), "load resistance")?;
        positive_frequency(frequency)?;
        Ok(())
    }

    /// The parts to solder.
    pub fn parts(self) -> StandInParts<A> {
        self.parts
    }

    /// The load it stands for.
    pub fn load(self) -> Impedance<A> {
        self.load
    }

    /// The frequency at which it is right.
    pub fn frequency(self) -> Hertz {
        self.frequency
    }

    /// The impedance of the parts at any frequency, without leads.
    pub fn impedance(self, frequency: Hertz) -> Impedance<A> {
        let none = Inductance::default();
        match self.parts {
            StandInParts::Resistor(resistance) => LoadCircuit::Series {
                resistance,
                inductance: none,
                capacitance: None,
            },
            StandInParts::ResistorAndCoil(resistance, inductance) => LoadCircuit::Series {
                resistance,
                inductance,
                capacitance: None,
            },
            StandInParts::ResistorAndCapacitor(resistance, capacitance) => LoadCircuit::Series {
                resistance,
                inductance: none,
                capacitance: Some(capacitance),
            },
            StandInParts::ResistorBesideCapacitor(resistance, capacitance) => {
                LoadCircuit::ParallelBehindLead {
                    resistance,
                    capacitance,
                    lead: none,
                }
            }
            StandInParts::ResistorBesideCoil(resistance, inductance) => LoadCircuit::Parallel {
                resistance,
                inductance: Some(inductance),
                capacitance: Capacitance::default(),
            },
        }
        .impedance(frequency)
    }

    /// The effect of leads of this inductance. [`RoundWire::inductance`](super::super::winding::RoundWire::inductance)
    /// gives that of a straight wire; the usual rule is 1 nH for each millimetre (common practice, no source).
    pub fn with_leads(self, leads: Inductance<A>) -> LeadEffect<A> {
        let reactance = self.frequency.angular::<A::Working>() * leads.to_base();
        let seen = self.load.complex() + Complex::new(A::Working::ZERO, reactance);
        let seen = Impedance::from_complex(seen);
        let swr = match seen.power_wave_reflection(self.load.conjugate()) {
            Ok(gamma) => gamma.swr(),
            Err(_) => Swr::MAX,
        };
        LeadEffect {
            lead_reactance: Ohms::<A>::from_working(reactance),
            seen,
            swr,
            swamped: reactance * A::Working::from_i32(10) > self.load.complex().magnitude(),
        }
    }
}

impl<A: Arithmetic> Load<A> for StandIn<A> {
    fn at(&self, frequency: Hertz) -> Result<Impedance<A>, LoadError> {
        Ok(self.impedance(frequency))
    }
}

/// A value that is neither 0 nor at an end of its word: a part that exists.
fn held<Q: Quantity>(word: Q, name: &'static str) -> Result<Q, LoadError> {
    if word == Q::ZERO || word.is_at_end() {
        Err(LoadError::Quantity(QuantityError::OutOfRange(name)))
    } else {
        Ok(word)
    }
}
