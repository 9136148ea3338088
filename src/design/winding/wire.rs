//! Wire: gauges, skin depth, resistance, and the inductance of a straight piece.

use super::{in_range, magnetic_constant, number};
#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
use crate::arithmetic::{Floating, QuantityError, Real};
use crate::quantity::{Complex, Hertz, Inductance, Metres, Ohms, positive, positive_omega};

/// A metal, by its conductivity in siemens per metre. Not magnetic: μr = 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conductor<F: Floating> {
    conductivity: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for Conductor<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{} S/m", Number(self.conductivity));
    }
}

impl<F: Floating> Conductor<F> {
    /// From its conductivity, S/m.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a conductivity.
    pub fn new(conductivity: F) -> Result<Self, QuantityError> {
        Ok(Self {
            conductivity: positive(conductivity, "conductivity")?,
        })
    }

    /// Annealed copper at 20 °C, 5.8·10⁷ S/m (IEC 60028).
    pub fn copper() -> Self {
        Self {
            conductivity: number(5.8e7),
        }
    }

    /// The conductivity, S/m.
    pub fn conductivity(self) -> F {
        self.conductivity
    }

    /// The depth at which the current density has fallen to 1/e: δ = 1/√(π·f·μ0·σ), for a plane conductor much thicker
    /// than δ (D. M. Pozar, "Microwave Engineering", section 1.7).
    ///
    /// # Errors
    /// `NotPositive` for a frequency of 0.
    pub fn skin_depth(self, frequency: Hertz) -> Result<Metres<F>, QuantityError> {
        let product =
            F::HALF * positive_omega::<F>(frequency)? * magnetic_constant::<F>() * self.conductivity;
        in_range(F::ONE / product.square_root(), "skin depth").map(Metres::new)
    }

    /// The resistance of a square of the surface, of any size: 1/(σδ) (Pozar, section 1.7).
    ///
    /// # Errors
    /// `NotPositive` for a frequency of 0.
    pub fn surface_resistance(self, frequency: Hertz) -> Result<Ohms<F>, QuantityError> {
        let depth = self.skin_depth(frequency)?.get();
        in_range(F::ONE / (self.conductivity * depth), "surface resistance").map(Ohms::new)
    }
}

/// A round wire, by its bare diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundWire<F: Floating> {
    diameter: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for RoundWire<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "wire of {}", self.diameter());
    }
}

impl<F: Floating> RoundWire<F> {
    /// From its diameter in metres.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a diameter.
    pub fn new(diameter: impl Into<Metres<F>>) -> Result<Self, QuantityError> {
        Ok(Self {
            diameter: positive(diameter.into().get(), "diameter of the wire")?,
        })
    }

    /// From its diameter in millimetres.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn from_millimetres(diameter: F) -> Result<Self, QuantityError> {
        Self::new(Metres::new(diameter / number(1e3)))
    }

    /// From its American wire gauge (AWG): 0.127 mm · 92^((36 − n)/39), the formula of ASTM B258. Gauges 0, −1, −2
    /// and −3 are those written 1/0, 2/0, 3/0 and 4/0.
    ///
    /// ```
    /// use ohmwright::design::winding::RoundWire;
    ///
    /// assert!((RoundWire::<f64>::of_gauge(20)?.diameter() * 1e3 - 0.812).abs() < 5e-4);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// `OutsideLimits` for a gauge outside of −3 to 60.
    pub fn of_gauge(gauge: i8) -> Result<Self, QuantityError> {
        if !(-3..=60).contains(&gauge) {
            return Err(outside!("gauge", "must be from -3 to 60"));
        }
        let steps = F::from_i32(36 - i32::from(gauge)) / number(39.0);
        Ok(Self {
            diameter: number::<F>(0.127e-3) * number::<F>(92.0).to_the_power(steps),
        })
    }

    /// The nearest American wire gauge on a logarithmic scale; −3 or 60 for a diameter beyond the scale.
    pub fn nearest_gauge(self) -> i8 {
        let ratio = self.diameter / number(0.127e-3);
        let steps = number::<F>(39.0) * ratio.natural_logarithm() / number::<F>(92.0).natural_logarithm();
        let gauge = 36i64.saturating_sub(steps.to_i64()).clamp(-3, 60);
        gauge as i8
    }

    /// The bare diameter.
    pub fn diameter(self) -> Metres<F> {
        Metres::new(self.diameter)
    }

    /// The resistance of a length at a frequency (0 Hz: direct current).
    ///
    /// The exact solution for an isolated round wire (S. Ramo, J. R. Whinnery and T. Van Duzer, "Fields and Waves in
    /// Communication Electronics", from memory): R/R0 = Re (z/2)·J0(z)/J1(z) with z = (1 − j)·r/δ, by the continued
    /// fraction of the Bessel functions, from a hundred skin depths on by the first terms of its expansion: within
    /// 1e-10 in `f64`, 2e-6 in `f32`. In a coil the proximity effect adds to it, which is not included.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a length, `OutOfRange` for a result beyond the range of the family.
    pub fn resistance(
        self,
        length: impl Into<Metres<F>>,
        metal: Conductor<F>,
        frequency: Hertz,
    ) -> Result<Ohms<F>, QuantityError> {
        let length = positive(length.into().get(), "length")?;
        let radius = self.diameter * F::HALF;
        let direct = length / metal.conductivity / (F::TAU * F::HALF * radius) / radius;
        let risen = match metal.skin_depth(frequency) {
            Ok(depth) => skin_effect(radius / depth.get()),
            Err(_) => F::ONE,
        };
        in_range(direct * risen, "resistance of the wire").map(Ohms::new)
    }

    /// The inductance of a length of straight wire, far from its return path, at radio frequency:
    /// L = μ0/2π·(l·ln((l + √(l² + r²))/r) − √(l² + r²) + r).
    ///
    /// E. B. Rosa, "The Self and Mutual Inductances of Linear Conductors", Bulletin of the Bureau of Standards 4, 1908,
    /// without the inductance inside the wire, which the skin effect removes; Grover, chapter 5 (from memory). About
    /// 0.6 to 1 nH a millimetre for short leads: the usual "1 nH/mm" is the upper end.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a length; `OutOfRange` for a result beyond the range of the family.
    pub fn inductance(self, length: impl Into<Metres<F>>) -> Result<Inductance<F>, QuantityError> {
        let length = positive(length.into().get(), "length")?;
        let radius = self.diameter * F::HALF;
        let long = length / radius;
        let slant = (long * long + F::ONE).square_root();
        // Per radius: l·ln(l + √(l² + 1)) − (√(l² + 1) − 1), without the cancellation of the difference.
        let less = if long < F::ONE {
            long * long / (slant + F::ONE)
        } else {
            slant - F::ONE
        };
        let size = long * (long + slant).natural_logarithm() - less;
        let henries = magnetic_constant::<F>() / F::TAU * radius * size;
        Ok(Inductance::from_base(in_range(henries, "inductance")?))
    }
}

/// R/R0 of a round wire with this number of skin depths in its radius.
fn skin_effect<F: Floating>(depths: F) -> F {
    if depths > number(100.0) {
        let inverse = F::ONE / depths;
        return depths * F::HALF
            + number(0.25)
            + inverse * (number::<F>(3.0 / 32.0) - inverse * inverse * number::<F>(63.0 / 1024.0));
    }
    // z² = −2j·a²; J1/J0 = z/(2 − z²/(4 − z²/(6 − …))), from the inside out. So many steps reach the last digit.
    let w = Complex::new(<F as Real>::ZERO, F::TWO * depths * depths);
    let steps = 16i32.saturating_add((F::TWO * depths).to_i64() as i32);
    let even = |step: i32| Complex::real(F::from_i32(step.saturating_mul(2)));
    let mut below = even(steps.saturating_add(1));
    for step in (2..=steps).rev() {
        below = even(step) + w / below;
    }
    F::ONE + ((w / below).scale(F::HALF)).re
}
