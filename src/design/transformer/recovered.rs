//! A transformer's parameters from an open and a short test.

use super::{RealTransformer, TransformerError};
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};
use crate::quantity::{Complex, Hertz, Impedance, Ratio, positive_frequency};

/// Three impedances of one transformer at one frequency, far below its own resonances. Capacitances are not recovered:
/// with a resonance f0 they change the inductances by (f/f0)² (Thomson's formula).
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
pub struct OpenShortTest<A: Arithmetic> {
    /// At the primary, with the secondary open.
    pub primary_open: Impedance<A>,
    /// At the primary, with the secondary shorted.
    pub primary_shorted: Impedance<A>,
    /// At the secondary, with the primary open.
    pub secondary_open: Impedance<A>,
    /// The frequency of the measurement.
    pub frequency: Hertz,
}

impl<A: Arithmetic> OpenShortTest<A> {
    /// −(jωM)² = (Z11 − Zshort)·Z22, with Z11 and Z22 for the other winding open: textbook two-port algebra.
    fn mutual(&self) -> Result<Complex<A::Working>, TransformerError> {
        for (z, open) in [
            (self.primary_open, outside!("primary open", "must not be an open")),
            (
                self.primary_shorted,
                outside!("primary shorted", "must not be an open"),
            ),
            (
                self.secondary_open,
                outside!("secondary open", "must not be an open"),
            ),
        ] {
            if z.is_open() {
                return Err(open.into());
            }
        }
        positive_frequency(self.frequency)?;
        let difference = self.primary_open.complex() - self.primary_shorted.complex();
        Ok(difference * self.secondary_open.complex())
    }

    /// The transformer with these impedances: inductances, coupling, winding resistances (core loss included).
    ///
    /// ```
    /// use ohmwright::design::transformer::OpenShortTest;
    /// use ohmwright::quantity::{Hertz, Impedance};
    ///
    /// let test = OpenShortTest::<f64> {
    ///     primary_open: Impedance::new(0.5, 62.8)?,
    ///     primary_shorted: Impedance::new(1.0, 6.1)?,
    ///     secondary_open: Impedance::new(2.0, 251.3)?,
    ///     frequency: Hertz::from_megahertz(1),
    /// };
    /// let found = test.recover()?;
    /// assert!((found.coupling() - 0.95).abs() < 0.001);
    /// assert!((found.primary_inductance().get() - 10e-6).abs() < 1e-8);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// The leakage is a difference: its error is that of the two primary readings relative to the larger of them.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0, an open reading, a winding whose reactance is not positive or whose resistance
    /// is negative, and for readings with a coupling of 1 or more; `Unphysical` for readings without coupling.
    pub fn recover(&self) -> Result<RealTransformer<A>, TransformerError> {
        let product = self.mutual()?;
        let (first, second) = (self.primary_open.complex(), self.secondary_open.complex());
        for (z, reactance, resistance) in [
            (first, "primary reactance", "primary resistance"),
            (second, "secondary reactance", "secondary resistance"),
        ] {
            if z.im <= A::Working::ZERO {
                return Err(QuantityError::NotPositive(reactance).into());
            }
            if z.re < A::Working::ZERO {
                return Err(QuantityError::Negative(resistance).into());
            }
        }
        // (ωM)²; in units of ωL2 it is the magnetising reactance k²·ωL1.
        let mutual = -product.re;
        let magnetising = mutual / second.im;
        if magnetising <= A::Working::ZERO {
            return Err(TransformerError::Unphysical("mutual inductance"));
        }
        if magnetising >= first.im {
            return Err(outside!("coupling", "must be above 0 and below 1").into());
        }
        let omega = self.frequency.angular::<A::Working>();
        let leakage = (first.im - magnetising) / omega;
        Ok(
            RealTransformer::of(magnetising / second.im, leakage, magnetising / omega)
                .with_working_resistances(first.re, second.re),
        )
    }

    /// How far the three readings are from any pair of coupled coils: 0 for a perfect fit, 1 for readings that
    /// contradict each other. 1 % is a good measurement (common practice, no source). It is the fraction of
    /// (Z11 − Zshort)·Z22 that is not real and negative, as it must be.
    ///
    /// # Errors
    /// `Quantity` for a frequency of 0 or an open reading.
    pub fn disagreement(&self) -> Result<Ratio<A>, TransformerError> {
        let product = self.mutual()?;
        let size = product.magnitude();
        if size.is_zero() || product.re > A::Working::ZERO {
            return Ok(Ratio::<A>::from_working(A::Working::ONE));
        }
        Ok(Ratio::<A>::from_working(product.im.absolute() / size))
    }
}
