//! Windings on a core: inductance factor, ring cores, and the flux in them.

use super::{in_range, magnetic_constant, number};
#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
use crate::arithmetic::{Floating, QuantityError, Real};
use crate::quantity::{Hertz, Inductance, Metres, Ohms, Volts, Watts, positive, positive_omega};

/// The inductance factor A_L of a core: henries for one turn, so that L = A_L·N².
///
/// The maker of the core states it in one of three units; each has a constructor. Each pass of the wire through the
/// hole is one turn (common practice, no source).
///
/// ```
/// use ohmwright::design::winding::InductanceFactor;
/// use ohmwright::double::Inductance;
///
/// let core = InductanceFactor::from_microhenries_per_hundred_turns(40.0_f64)?; // 4 nH for one turn
/// assert_eq!(core.whole_turns(Inductance::new(1.28e-6)?)?, 18);
/// assert!((core.inductance(18).get() - 1.296e-6).abs() < 1e-12);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct InductanceFactor<F: Floating> {
    henries: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for InductanceFactor<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{} nH a turn squared", Number(self.nanohenries()));
    }
}

impl<F: Floating> InductanceFactor<F> {
    /// In henries for one turn.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a factor.
    pub fn new(henries: F) -> Result<Self, QuantityError> {
        Ok(Self {
            henries: positive(henries, "inductance factor")?,
        })
    }

    /// In nanohenries per turn squared, as for ferrites.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn from_nanohenries(factor: F) -> Result<Self, QuantityError> {
        Self::new(factor * number(1e-9))
    }

    /// In microhenries for 100 turns, as for iron powder: a tenth of a nanohenry per turn squared each.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn from_microhenries_per_hundred_turns(factor: F) -> Result<Self, QuantityError> {
        Self::new(factor * number(1e-10))
    }

    /// In millihenries for 1000 turns: a nanohenry per turn squared each.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn from_millihenries_per_thousand_turns(factor: F) -> Result<Self, QuantityError> {
        Self::from_nanohenries(factor)
    }

    /// Henries for one turn.
    pub fn henries(self) -> F {
        self.henries
    }

    /// Nanohenries per turn squared.
    pub fn nanohenries(self) -> F {
        self.henries * number(1e9)
    }

    /// The inductance of this number of turns, A_L·N².
    pub fn inductance(self, turns: u16) -> Inductance<F> {
        let turns = F::from_i32(i32::from(turns));
        Inductance::from_base(self.henries * turns * turns)
    }

    /// The turns, not rounded, for an inductance: √(L/A_L).
    pub fn turns(self, inductance: Inductance<F>) -> F {
        (inductance.to_base() / self.henries).square_root()
    }

    /// The least whole number of turns with at least this inductance, for example a magnetising inductance. An
    /// inductance that is short by no more than a few roundings counts as reached.
    ///
    /// # Errors
    /// `OutsideLimits` for more than 65 535 turns.
    pub fn whole_turns(self, inductance: Inductance<F>) -> Result<u16, QuantityError> {
        let exact = self.turns(inductance);
        let nearest = exact.to_i64();
        let short = exact - <F as Real>::from_u64(nearest.unsigned_abs()) > F::EPSILON * exact;
        let turns = nearest.saturating_add(i64::from(short));
        u16::try_from(turns).map_err(|_| outside!("turns", "must not be above 65535"))
    }
}

/// A ring core of rectangular section with sharp corners: outer and inner diameter and height, in metres.
///
/// The effective dimensions are those of IEC 60205: with r1, r2 the radii, C1 = 2π/(h·ln(r2/r1)) and C2 = 2π·(1/r1 −
/// 1/r2)/(h²·ln³(r2/r1)); le = C1²/C2, Ae = C1/C2. Rounded edges and coating reduce them by a few per cent: prefer the
/// maker's values if there are any.
///
/// ```
/// use ohmwright::design::winding::RingCore;
///
/// let core = RingCore::<f64>::from_millimetres(20.0, 10.0, 7.0)?;
/// assert!((core.effective_area() * 1e6 - 33.6).abs() < 0.1); // mm²
/// // Permeability 125: about 121 nH for one turn.
/// assert!((core.inductance_factor(125.0)?.nanohenries() - 121.3).abs() < 0.1);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingCore<F: Floating> {
    constant: F,
    path: F,
    area: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for RingCore<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        let (path, area) = (self.effective_length(), Number(self.effective_area()));
        defmt::write!(f, "ring of le {}, Ae {} m2", path, area);
    }
}

impl<F: Floating> RingCore<F> {
    /// From its dimensions.
    ///
    /// ```
    /// use ohmwright::design::winding::RingCore;
    ///
    /// let ring = RingCore::from_millimetres(36.0_f64, 23.0, 15.0)?;
    /// assert!((ring.effective_area() * 1e6 - 95.89).abs() < 0.005); // mm²
    /// assert!((ring.inductance_factor(850.0)?.nanohenries() - 1142.5).abs() < 0.05);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for a dimension; `OutsideLimits` for an inner diameter not below the outer one.
    pub fn new(
        outer_diameter: impl Into<Metres<F>>,
        inner_diameter: impl Into<Metres<F>>,
        height: impl Into<Metres<F>>,
    ) -> Result<Self, QuantityError> {
        let outer = positive(outer_diameter.into().get(), "outer diameter")? * F::HALF;
        let inner = positive(inner_diameter.into().get(), "inner diameter")? * F::HALF;
        let height = positive(height.into().get(), "height")?;
        if inner >= outer {
            return Err(outside!("inner diameter", "must be below the outer diameter"));
        }
        let logarithm = (outer / inner).natural_logarithm();
        // The ratios of C1 and C2, multiplied out: Ae = h·ln²/(1/r1 − 1/r2), le = 2π·ln/(1/r1 − 1/r2).
        let apart = (outer - inner) / inner / outer;
        Ok(Self {
            constant: in_range(F::TAU / (height * logarithm), "core constant")?,
            path: in_range(F::TAU * logarithm / apart, "effective length")?,
            area: in_range(height * logarithm * logarithm / apart, "effective area")?,
        })
    }

    /// From its dimensions in millimetres.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn from_millimetres(outer: F, inner: F, height: F) -> Result<Self, QuantityError> {
        let metre = number::<F>(1e3);
        Self::new(
            Metres::new(outer / metre),
            Metres::new(inner / metre),
            Metres::new(height / metre),
        )
    }

    /// The core constant C1 = Σ l/A, in 1/m.
    pub fn core_constant(self) -> F {
        self.constant
    }

    /// The effective length of the magnetic path.
    pub fn effective_length(self) -> Metres<F> {
        Metres::new(self.path)
    }

    /// The effective area, square metres.
    pub fn effective_area(self) -> F {
        self.area
    }

    /// A_L = μ0·μr/C1 with the material's relative permeability at the frequency: it falls and turns into loss higher up.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a permeability.
    pub fn inductance_factor(self, permeability: F) -> Result<InductanceFactor<F>, QuantityError> {
        let permeability = positive(permeability, "permeability")?;
        InductanceFactor::new(magnetic_constant::<F>() * permeability / self.constant)
    }
}

/// A sinusoidal voltage. As a type, its effective (RMS) and peak value cannot be confused.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SineVoltage<F: Floating> {
    peak: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for SineVoltage<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{} peak", self.peak());
    }
}

impl<F: Floating> SineVoltage<F> {
    /// From its effective (RMS) value.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a voltage.
    pub fn from_rms(volts: impl Into<Volts<F>>) -> Result<Self, QuantityError> {
        Ok(Self {
            peak: in_range(
                positive(volts.into().get(), "voltage")? * F::TWO.square_root(),
                "voltage",
            )?,
        })
    }

    /// From its peak value.
    ///
    /// # Errors
    /// As [`from_rms`](Self::from_rms).
    pub fn from_peak(volts: impl Into<Volts<F>>) -> Result<Self, QuantityError> {
        Ok(Self {
            peak: positive(volts.into().get(), "voltage")?,
        })
    }

    /// The voltage of this power in this resistance: √(2·P·R) at the peak.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a power or resistance.
    pub fn of_power(
        power: impl Into<Watts<F>>,
        resistance: impl Into<Ohms<F>>,
    ) -> Result<Self, QuantityError> {
        let power = positive(power.into().get(), "power")?;
        let root = power.square_root() * positive(resistance.into().get(), "resistance")?.square_root();
        Ok(Self {
            peak: in_range(root * F::TWO.square_root(), "voltage")?,
        })
    }

    /// Effective value.
    pub fn rms(self) -> Volts<F> {
        Volts::new(self.peak / F::TWO.square_root())
    }

    /// Peak value.
    pub fn peak(self) -> Volts<F> {
        Volts::new(self.peak)
    }
}

/// A magnetic flux density.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct FluxDensity<F: Floating> {
    tesla: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for FluxDensity<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{} T", Number(self.tesla));
    }
}

impl<F: Floating> FluxDensity<F> {
    /// In tesla.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a flux density.
    pub fn new(tesla: F) -> Result<Self, QuantityError> {
        Ok(Self {
            tesla: positive(tesla, "flux density")?,
        })
    }

    /// Tesla.
    pub fn tesla(self) -> F {
        self.tesla
    }

    /// Gauss; 10 000 gauss are one tesla.
    pub fn gauss(self) -> F {
        self.tesla * number(1e4)
    }
}

/// ω·N·A of Faraday's law, checked.
fn flux_scale<F: Floating>(frequency: Hertz, turns: u16, area: F) -> Result<F, QuantityError> {
    let omega = positive_omega::<F>(frequency)?;
    if turns == 0 {
        return Err(QuantityError::NotPositive("turns"));
    }
    let turns = F::from_i32(i32::from(turns));
    in_range(omega * turns * positive(area, "area")?, "area of the winding")
}

/// The peak flux density in a core of this area (square metres) with a sinusoidal voltage on this number of turns:
/// B = V/(ω·N·A) with the peak voltage; in handbooks V_rms/(4.44·f·N·A), which is rounded (Faraday's law).
///
/// Common practice, no source: for ferrite keep it well below saturation, and far below that at radio frequency, where
/// the core heats long before it saturates. A hot core loses permeability, which heats it even more.
///
/// ```
/// use ohmwright::design::winding::{SineVoltage, peak_flux_density};
/// use ohmwright::quantity::Hertz;
///
/// let drive = SineVoltage::<f64>::of_power(100.0, 50.0)?;
/// let density = peak_flux_density(drive, Hertz::from_kilohertz(1_800), 10, 95.89e-6)?;
/// assert!((density.tesla() * 1e3 - 9.22).abs() < 0.005); // mT
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
///
/// # Errors
/// `NotPositive` for a frequency or turns of 0; `NotFinite` or `NotPositive` for such an area; `OutOfRange` if ω·N·A or
/// the result is beyond the range of the family.
pub fn peak_flux_density<F: Floating>(
    voltage: SineVoltage<F>,
    frequency: Hertz,
    turns: u16,
    area: F,
) -> Result<FluxDensity<F>, QuantityError> {
    let tesla = voltage.peak / flux_scale(frequency, turns, area)?;
    Ok(FluxDensity {
        tesla: in_range(tesla, "flux density")?,
    })
}

/// The voltage that drives a core to this peak flux density: the inverse of [`peak_flux_density`].
///
/// # Errors
/// As [`peak_flux_density`].
pub fn volts_at_flux_density<F: Floating>(
    density: FluxDensity<F>,
    frequency: Hertz,
    turns: u16,
    area: F,
) -> Result<SineVoltage<F>, QuantityError> {
    let peak = density.tesla * flux_scale(frequency, turns, area)?;
    Ok(SineVoltage {
        peak: in_range(peak, "voltage")?,
    })
}
