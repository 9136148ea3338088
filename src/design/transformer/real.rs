//! The real transformer: magnetising and leakage inductance, resistances, capacitances.

use super::band::useful_band;
use super::ideal::resistive_part;
use super::{TransformerError, Turns};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::design::load::Load;
use crate::quantity::plane::{Port, across, behind, port, reflected, shown};
use crate::quantity::positive_part;
use crate::quantity::{
    Band, Capacitance, Complex, Component, Decibels, Hertz, Impedance, ImpedanceRatio, Inductance, Ohms,
    Reference, Reflection, Swr, not_negative, positive, positive_omega,
};

/// The T of three branches equivalent to two coupled coils at one frequency, without resistances: reactances in ohms.
/// It contains no ratio; a branch may be negative, only the sums are physical.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct TeeModel<A: Arithmetic> {
    /// ω·(L1 − M).
    pub primary: Ohms<A>,
    /// ω·(L2 − M).
    pub secondary: Ohms<A>,
    /// ω·M, the branch in common.
    pub common: Ohms<A>,
}

/// A transformer with its imperfections, as the equivalent circuit with one leakage inductance.
///
/// From the source: winding capacitance across, then winding resistance and the whole leakage inductance L1·(1 − k²) in
/// series, then across the magnetising inductance k²·L1 and the core's loss, then an ideal transformer of the turns
/// ratio times k, then the secondary's resistance in series and its capacitance across, then the load. For two coupled
/// coils this is exact: it has the same impedance matrix (textbook algebra). The parts are constant here; a core's
/// permeability and the skin effect are not, so use values measured near the frequency.
///
/// Error: a few roundings (2e-8 of the largest impedance on the way in fixed point) and one of the result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RealTransformer<A: Arithmetic> {
    /// (k·N1/N2)².
    ratio: A::Working,
    /// L1·(1 − k²), henries.
    leakage: A::Working,
    /// k²·L1, henries.
    magnetising: A::Working,
    primary_resistance: A::Working,
    secondary_resistance: A::Working,
    core_conductance: A::Working,
    primary_capacitance: A::Working,
    secondary_capacitance: A::Working,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for RealTransformer<A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (leakage, magnetising) = (self.leakage(), self.magnetising());
        defmt::write!(
            f,
            "ratio {}, leakage {}, magnetising {}",
            self.impedance_ratio(),
            leakage,
            magnetising
        );
    }
}

impl<A: Arithmetic> RealTransformer<A> {
    /// Two coupled coils: the inductance of each with the other open, and k.
    ///
    /// ```
    /// use ohmwright::design::transformer::RealTransformer;
    /// use ohmwright::quantity::{Hertz, Impedance, Inductance, Reference};
    ///
    /// let coils = RealTransformer::<f64>::coupled(Inductance::new(10e-6)?, Inductance::new(40e-6)?, 0.95)?;
    /// let load = Impedance::new(200.0, 0.0)?;
    /// let gamma = coils.reflection(load, Hertz::from_kilohertz(3_500), Reference::fifty())?;
    /// assert!((gamma.swr() - 1.969).abs() < 5e-4);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// `Quantity` for an inductance of 0, or for a k that is not above 0 and below 1.
    pub fn coupled(
        primary: Inductance<A>,
        secondary: Inductance<A>,
        coupling: impl Into<Component<A>>,
    ) -> Result<Self, TransformerError> {
        let coupling = coupling.into();
        let first = positive_part(primary.to_base(), "primary inductance")?;
        let second = positive_part(secondary.to_base(), "secondary inductance")?;
        let k = positive(coupling, "coupling")?.to_working();
        if k >= A::Working::ONE {
            return Err(outside!("coupling", "must be above 0 and below 1").into());
        }
        let square = k.square();
        // (1 − k)(1 + k) keeps the digits near 1.
        let leakage = first * ((A::Working::ONE - k) * (A::Working::ONE + k));
        Ok(Self::of(square * (first / second), leakage, square * first))
    }

    /// From the turns on one core, the primary's inductance with the secondary open, and the leakage inductance (the
    /// primary's with the secondary shorted). A leakage of 0 means k = 1, which no pair of windings reaches.
    ///
    /// # Errors
    /// `Quantity`: `NotPositive` for a primary inductance of 0; `OutsideLimits` for a leakage not below it.
    pub fn wound(
        turns: Turns,
        primary: Inductance<A>,
        leakage: Inductance<A>,
    ) -> Result<Self, TransformerError> {
        let (open, shorted) = (primary.to_base(), leakage.to_base());
        positive_part(open, "primary inductance")?;
        if shorted >= open {
            return Err(outside!("leakage inductance", "must be below the primary inductance").into());
        }
        let magnetising = open - shorted;
        let ratio = turns.ratio_squared::<A>() * (magnetising / open);
        Ok(Self::of(ratio, shorted, magnetising))
    }

    /// From the three numbers of the equivalent circuit, in working numbers and henries.
    pub(super) fn of(ratio: A::Working, leakage: A::Working, magnetising: A::Working) -> Self {
        let none = A::Working::ZERO;
        Self {
            ratio,
            leakage,
            magnetising,
            primary_resistance: none,
            secondary_resistance: none,
            core_conductance: none,
            primary_capacitance: none,
            secondary_capacitance: none,
        }
    }

    /// With these winding resistances at the frequency of use, ohms; 0 for none.
    ///
    /// # Errors
    /// `Quantity` with `NotFinite` or `Negative` for such a resistance.
    pub fn with_resistances(
        self,
        primary: impl Into<Ohms<A>>,
        secondary: impl Into<Ohms<A>>,
    ) -> Result<Self, TransformerError> {
        let (primary, secondary) = (primary.into(), secondary.into());
        Ok(Self {
            primary_resistance: not_negative(primary, "primary resistance")?.to_working(),
            secondary_resistance: not_negative(secondary, "secondary resistance")?.to_working(),
            ..self
        })
    }

    pub(super) fn with_working_resistances(self, primary: A::Working, secondary: A::Working) -> Self {
        Self {
            primary_resistance: primary,
            secondary_resistance: secondary,
            ..self
        }
    }

    /// With these capacitances across primary and secondary; 0 for none. The capacitance between the windings has no
    /// model of its own: add it to the side that drives it.
    #[must_use]
    pub fn with_capacitances(self, primary: Capacitance<A>, secondary: Capacitance<A>) -> Self {
        Self {
            primary_capacitance: primary.to_base(),
            secondary_capacitance: secondary.to_base(),
            ..self
        }
    }

    /// With the core's loss as a resistance in ohms across the magnetising inductance.
    ///
    /// # Errors
    /// `Quantity` with `NotFinite` or `NotPositive` for such a resistance.
    pub fn with_core_loss(self, resistance: impl Into<Ohms<A>>) -> Result<Self, TransformerError> {
        let resistance = resistance.into();
        let resistance = positive(resistance, "core loss resistance")?.to_working();
        Ok(Self {
            core_conductance: A::Working::ONE / resistance,
            ..self
        })
    }

    /// The transformer alone, where this one was found with leads in series with the load on its secondary that were
    /// taken for a part of it.
    ///
    /// A lead adds to the secondary's inductance and changes nothing else: L1 and M stay, L2 is less by the lead. So a
    /// sweep with a known resistor cannot tell leads from leakage, and its residual does not show them: the fit is as
    /// good with a wrong ratio. Measure the leads, or compute them ([`RoundWire::inductance`]), and take them out here.
    /// Exact without capacitance across the secondary (textbook algebra of coupled coils). Error: a few roundings,
    /// divided by 1 − lead/L2.
    ///
    /// ```
    /// use ohmwright::design::transformer::RealTransformer;
    /// use ohmwright::quantity::Inductance;
    ///
    /// let truth = RealTransformer::<f64>::coupled(Inductance::new(230e-9)?, Inductance::new(25e-9)?, 0.93)?;
    /// let with_leads = RealTransformer::coupled(Inductance::new(230e-9)?, Inductance::new(28e-9)?, 0.93 * (25.0_f64 / 28.0).sqrt())?;
    /// let found = with_leads.without_secondary_leads(Inductance::new(3e-9)?)?;
    /// assert!((found.impedance_ratio() / truth.impedance_ratio() - 1.0).abs() < 1e-12);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// [`RoundWire::inductance`]: crate::design::winding::RoundWire::inductance
    ///
    /// # Errors
    /// `Unphysical` for leads that are longer than the whole leakage allows, see
    /// [`most_secondary_leads`](Self::most_secondary_leads).
    pub fn without_secondary_leads(self, leads: Inductance<A>) -> Result<Self, TransformerError> {
        let (lead, open) = (leads.to_base(), self.leakage + self.magnetising);
        if lead.is_zero() {
            return Ok(self); // to the bit
        }
        let found = self.magnetising / self.ratio;
        let secondary = found - lead;
        if secondary <= A::Working::ZERO {
            return Err(TransformerError::Unphysical("secondary inductance"));
        }
        let grown = found / secondary;
        let magnetising = self.magnetising * grown;
        // L1 − M²/L2, as the leakage there was less what the lead was taken for.
        let leakage = self.leakage - self.magnetising * (lead / secondary);
        // Half a dozen roundings of L1: as much as nothing.
        let rounding = open * A::Working::EPSILON * A::Working::from_i32(8);
        if leakage < -rounding {
            return Err(TransformerError::Unphysical("leakage inductance"));
        }
        Ok(Self {
            ratio: self.ratio * grown * grown,
            leakage: leakage.larger(A::Working::ZERO),
            magnetising,
            ..self
        })
    }

    /// The most inductance of leads in series with its load that could hide in this transformer: L2·(1 − k²), with which
    /// no leakage is left. Saturates.
    pub fn most_secondary_leads(self) -> Inductance<A> {
        let share = self.leakage / (self.leakage + self.magnetising);
        Inductance::from_base(self.magnetising / self.ratio * share)
    }

    /// Ratio, leakage and magnetising inductance in working numbers.
    pub(super) fn parts(self) -> (A::Working, A::Working, A::Working) {
        (self.ratio, self.leakage, self.magnetising)
    }

    /// The effective impedance ratio (k·N1/N2)²: the factor for the load where neither inductance matters.
    pub fn impedance_ratio(self) -> ImpedanceRatio<A> {
        ImpedanceRatio::from_working(self.ratio)
    }

    /// The leakage inductance L1·(1 − k²): the primary's inductance with the secondary shorted.
    pub fn leakage(self) -> Inductance<A> {
        Inductance::from_base(self.leakage)
    }

    /// The magnetising inductance of the equivalent circuit, k²·L1.
    pub fn magnetising(self) -> Inductance<A> {
        Inductance::from_base(self.magnetising)
    }

    /// The primary's inductance with the secondary open, L1.
    pub fn primary_inductance(self) -> Inductance<A> {
        Inductance::from_base(self.leakage + self.magnetising)
    }

    /// The secondary's inductance with the primary open, L2.
    pub fn secondary_inductance(self) -> Inductance<A> {
        Inductance::from_base(self.magnetising / self.ratio)
    }

    /// The mutual inductance M.
    pub fn mutual_inductance(self) -> Inductance<A> {
        Inductance::from_base(self.magnetising / self.ratio.square_root())
    }

    /// The coupling k. 1 without leakage, or if the word cannot separate it from 1.
    pub fn coupling(self) -> Component<A> {
        let k_squared = self.magnetising / (self.magnetising + self.leakage);
        Component::<A>::from_working(k_squared.square_root())
    }

    /// The T of three branches at this frequency.
    ///
    /// # Errors
    /// `OutOfRange` for a reactance beyond the word of ohms (the family's number type).
    pub fn tee(self, frequency: Hertz) -> Result<TeeModel<A>, QuantityError> {
        let omega = frequency.angular::<A::Working>();
        let mutual = self.magnetising / self.ratio.square_root();
        let branch = |henries: A::Working| {
            let reactance = omega * henries;
            let word = Ohms::<A>::from_working(reactance);
            if reactance.is_finite() && !word.is_at_end() {
                Ok(word)
            } else {
                Err(QuantityError::OutOfRange("reactance"))
            }
        };
        Ok(TeeModel {
            primary: branch(self.leakage + self.magnetising - mutual)?,
            secondary: branch(self.magnetising / self.ratio - mutual)?,
            common: branch(mutual)?,
        })
    }

    /// The port seen from the source, and the power in a load with resistance as a fraction of the power taken.
    fn walk(self, load: Port<A::Working>, omega: A::Working) -> (Port<A::Working>, A::Working) {
        let one = A::Working::ONE;
        let reactive = |value: A::Working| Complex::new(A::Working::ZERO, value);
        let mut share = one;
        // In series P divides by the resistances; across by the conductances, 1/(1 + G·|z|²/r).
        let series_share = |z: Port<A::Working>, resistance: A::Working| match z {
            Some(z) if !resistance.is_zero() => z.re / (z.re + resistance),
            _ => one,
        };
        let mut z = across(load, reactive(omega * self.secondary_capacitance));
        share = share * series_share(z, self.secondary_resistance);
        z = behind(z, Complex::real(self.secondary_resistance)).map(|z| z.scale(self.ratio));
        if !self.core_conductance.is_zero() {
            // Beyond the range of a float the load gets no power.
            let beside = z.filter(|z| !z.re.is_zero()).map(|z| z.re + z.im * (z.im / z.re));
            share = match beside.filter(|beside| beside.is_finite()) {
                Some(beside) => share / (one + self.core_conductance * beside),
                None => A::Working::ZERO,
            };
        }
        let reactance = omega * self.magnetising;
        z = if reactance.is_zero() {
            Some(Complex::ZERO)
        } else {
            across(z, Complex::new(self.core_conductance, -(one / reactance)))
        };
        share = share * series_share(z, self.primary_resistance);
        z = behind(z, Complex::new(self.primary_resistance, omega * self.leakage));
        (across(z, reactive(omega * self.primary_capacitance)), share)
    }

    /// The impedance of a load on the secondary, seen from the primary. An open or a short is allowed.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0.
    pub fn input_impedance(
        self,
        load: Impedance<A>,
        frequency: Hertz,
    ) -> Result<Impedance<A>, TransformerError> {
        let omega = positive_omega::<A>(frequency)?;
        Ok(shown(self.walk(port(load), omega).0))
    }

    /// Γ of that on a source, without rounding the impedance to words first.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0.
    pub fn reflection(
        self,
        load: Impedance<A>,
        frequency: Hertz,
        source: Reference<A>,
    ) -> Result<Reflection<A>, TransformerError> {
        let omega = positive_omega::<A>(frequency)?;
        Ok(reflected(self.walk(port(load), omega).0, source))
    }

    /// The loss of the transformer, dB of the power that it takes; without the mismatch.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0; `LoadWithoutResistance`, also for an open.
    pub fn loss(self, load: Impedance<A>, frequency: Hertz) -> Result<Decibels<A>, TransformerError> {
        let omega = positive_omega::<A>(frequency)?;
        let load = resistive_part(load)?;
        let (_, share) = self.walk(Some(load), omega);
        Ok(Decibels::<A>::from_working(-share.decibels()))
    }

    /// Loss and mismatch together, dB: the source's available power over the power in the load.
    ///
    /// # Errors
    /// As [`loss`](Self::loss).
    pub fn insertion_loss(
        self,
        load: Impedance<A>,
        frequency: Hertz,
        source: Reference<A>,
    ) -> Result<Decibels<A>, TransformerError> {
        let omega = positive_omega::<A>(frequency)?;
        let load = resistive_part(load)?;
        let (seen, share) = self.walk(Some(load), omega);
        // 1 − |Γ|² as 4·R·Z0/|Z + Z0|²: no cancellation near total reflection.
        let z0 = source.working();
        let taken = match seen {
            None => A::Working::ZERO,
            Some(z) => {
                let size = (z + Complex::real(z0)).magnitude();
                let four = A::Working::from_i32(4);
                if size.is_zero() {
                    A::Working::ZERO
                } else {
                    four * (z.re / size) * (z0 / size)
                }
            }
        };
        Ok(Decibels::<A>::from_working(-(share * taken).decibels()))
    }

    /// The band around `inside` where the SWR of a load through this transformer stays at or below a limit, searched
    /// over `range`, lowest and highest; see [`Band`](crate::quantity::Band). About 22 walks for each doubling of the frequency.
    ///
    /// # Errors
    /// `Quantity` for a limit below 1 and for frequencies that are 0 or out of order; `AboveLimit` where the SWR at
    /// `inside` is above the limit; `Load` for a load that is not known at a frequency of the search.
    pub fn useful_band(
        self,
        load: &impl Load<A>,
        source: Reference<A>,
        swr_limit: Swr<A>,
        inside: Hertz,
        range: [Hertz; 2],
    ) -> Result<Band, TransformerError> {
        useful_band(source, swr_limit, inside, range, |frequency| {
            Ok(self.walk(port(load.at(frequency)?), frequency.angular()).0)
        })
    }
}
