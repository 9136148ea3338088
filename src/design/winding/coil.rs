//! Single-layer air coils.

use super::nagaoka::{coefficient, lundin};
use super::{in_range, magnetic_constant, number};
#[cfg(feature = "defmt")]
use crate::arithmetic::Number;
use crate::arithmetic::{Floating, QuantityError};
use crate::quantity::{Inductance, Metres, Ratio, positive};

/// The formula for the inductance of a single-layer coil.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum CoilFormula {
    /// The current sheet with Nagaoka's coefficient, exact.
    #[default]
    CurrentSheet,
    /// The same with Lundin's approximation: within 2.6e-6.
    Lundin,
    /// H. A. Wheeler, "Simple Inductance Formulas for Radio Coils", Proceedings of the IRE 16(10), 1928 (from memory):
    /// L in µH is a²n²/(9a + 10b), radius a and length b in inches. Within 1 % where the length is more than 0.4 of the
    /// diameter; far off for shorter coils.
    Wheeler,
    /// H. A. Wheeler, "Inductance Formulas for Circular and Square Coils", Proceedings of the IEEE 70, 1982, with
    /// refitted coefficients (from memory): within 0.1 % for every shape.
    WheelerContinuous,
}

/// A coil of one layer of round wire in air: turns, mean diameter and length, in metres.
///
/// The diameter is that of the wire's centre: a former plus one thickness of wire. The length is that of the winding,
/// turns times pitch, without its leads. The number of turns need not be whole.
///
/// The inductance is that of a current sheet. Round wire with gaps differs by a few per cent (E. B. Rosa's correction,
/// not included), and the leads add to it. The *change* when a coil is stretched or compressed is accurate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirCoil<F: Floating> {
    turns: F,
    diameter: F,
    length: F,
}

#[cfg(feature = "defmt")]
impl<F: Floating> defmt::Format for AirCoil<F> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "{} turns, {} wide, {} long, {}",
            Number(self.turns),
            self.diameter(),
            self.length(),
            self.inductance()
        );
    }
}

impl<F: Floating> AirCoil<F> {
    /// From turns, mean diameter and length in metres.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a value; `OutsideLimits` for a length beyond 1e-6 to 1e6 diameters.
    pub fn new(
        turns: F,
        diameter: impl Into<Metres<F>>,
        length: impl Into<Metres<F>>,
    ) -> Result<Self, QuantityError> {
        let (diameter, length) = (diameter.into().get(), length.into().get());
        positive(turns, "turns")?;
        super::nagaoka_coefficient(length, diameter)?;
        Ok(Self {
            turns,
            diameter,
            length,
        })
    }

    /// From turns, and mean diameter and length in millimetres.
    ///
    /// ```
    /// use ohmwright::design::winding::AirCoil;
    ///
    /// let coil = AirCoil::from_millimetres(5.0_f64, 8.0, 9.0)?;
    /// let now = coil.inductance().get();
    /// // The match asks for 0.94 of it.
    /// let stretched = coil.scaled(0.94)?;
    /// assert!((stretched.length() * 1e3 - 9.81).abs() < 0.005); // "stretch it from 9.0 to 9.8 mm"
    /// assert!((stretched.inductance().get() - 0.94 * now).abs() < 1e-15);
    /// # Ok::<(), ohmwright::quantity::QuantityError>(())
    /// ```
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn from_millimetres(turns: F, diameter: F, length: F) -> Result<Self, QuantityError> {
        let metre = number::<F>(1e3);
        Self::new(turns, Metres::new(diameter / metre), Metres::new(length / metre))
    }

    /// The number of turns.
    pub fn turns(self) -> F {
        self.turns
    }

    /// The mean diameter.
    pub fn diameter(self) -> Metres<F> {
        Metres::new(self.diameter)
    }

    /// The length.
    pub fn length(self) -> Metres<F> {
        Metres::new(self.length)
    }

    /// The inductance of the current sheet, μ0·n²·π·a²·K/l; within 6e-15 relative in `f64`, 2e-6 in `f32`.
    pub fn inductance(self) -> Inductance<F> {
        self.inductance_by(CoilFormula::CurrentSheet)
    }

    /// The inductance by this formula.
    pub fn inductance_by(self, formula: CoilFormula) -> Inductance<F> {
        Inductance::from_base(self.henries(formula))
    }

    fn henries(self, formula: CoilFormula) -> F {
        let shape = self.length / self.diameter;
        let radius = self.diameter * F::HALF;
        let scale = magnetic_constant::<F>() * self.turns * self.turns;
        // μ0·n²·π·a²/l.
        let sheet = |k: F| scale * radius * (F::TAU / number(4.0)) / shape * k;
        match formula {
            CoilFormula::CurrentSheet => sheet(coefficient(shape)),
            CoilFormula::Lundin => sheet(lundin(shape)),
            CoilFormula::Wheeler => {
                let inch = number::<F>(0.0254);
                let below = number::<F>(9.0) * radius + number::<F>(10.0) * self.length;
                number::<F>(1e-6) * self.turns * self.turns * (radius / below) * (radius / inch)
            }
            CoilFormula::WheelerContinuous => {
                let long = F::TWO * shape; // b/a
                let logarithm = (F::ONE + F::TAU * F::HALF / long).natural_logarithm();
                let rest = number::<F>(2.3004) + long * (number::<F>(1.6) + long * number::<F>(0.4409));
                scale * radius * (logarithm + F::ONE / rest)
            }
        }
    }

    /// The turns, not rounded, that give this inductance at the same diameter and length.
    ///
    /// # Errors
    /// `NotPositive` for an inductance of 0, `OutOfRange` for turns beyond the range of the family.
    pub fn turns_for(self, inductance: Inductance<F>, formula: CoilFormula) -> Result<F, QuantityError> {
        let wanted = positive(inductance.to_base(), "inductance")?;
        in_range(
            self.turns * (wanted / self.henries(formula)).square_root(),
            "turns",
        )
    }

    /// The same turns on the same diameter, stretched or compressed to this inductance.
    ///
    /// The length is within 4e-15 relative in `f64` and 3e-6 in `f32`, by the exact formula. Check that the wire allows
    /// it: with touching turns the coil is at its shortest.
    ///
    /// # Errors
    /// `NotPositive` for an inductance of 0, `OutsideLimits` where it needs a length beyond 1e-6 to 1e6 diameters.
    pub fn with_inductance(self, inductance: Inductance<F>) -> Result<Self, QuantityError> {
        self.of_henries(positive(inductance.to_base(), "inductance")?)
    }

    /// The same turns on the same diameter, stretched or compressed until the inductance is `factor` times its value:
    /// turns the factor of a retuning advice into a length.
    ///
    /// # Errors
    /// `NotFinite` or `NotPositive` for such a factor; else as [`with_inductance`](Self::with_inductance).
    pub fn scaled(self, factor: impl Into<Ratio<F>>) -> Result<Self, QuantityError> {
        let factor = positive(factor.into().get(), "factor")?;
        self.of_henries(factor * self.henries(CoilFormula::CurrentSheet))
    }

    fn of_henries(self, wanted: F) -> Result<Self, QuantityError> {
        let of = |shape: F| {
            Self {
                length: shape * self.diameter,
                ..self
            }
            .henries(CoilFormula::CurrentSheet)
        };
        // A longer coil has less inductance: bisection between the two, on a logarithmic scale.
        let (mut short, mut long) = (number::<F>(1e-6), number::<F>(1e6));
        if !(of(long) <= wanted && wanted <= of(short)) {
            return Err(outside!(
                "inductance",
                "must be one that a length from 1e-6 to 1e6 of the diameter gives"
            ));
        }
        let mut guess = self.length / self.diameter;
        for _ in 0..200 {
            let here = of(guess);
            if here > wanted {
                short = guess;
            } else {
                long = guess;
            }
            // Between 1/l and a logarithm: a power of l not below −1, so that its own slope is the best next step.
            let step = number::<F>(1e-3);
            let there = of(guess * (F::ONE + step));
            let slope = (there / here - F::ONE) / step;
            let next = guess * (F::ONE + (wanted / here - F::ONE) / slope);
            let next = if next > short && next < long {
                next
            } else {
                (short * long).square_root()
            };
            if (next - guess).absolute() <= F::EPSILON * guess {
                guess = next;
                break;
            }
            guess = next;
        }
        Self::new(
            self.turns,
            Metres::new(self.diameter),
            Metres::new(guess * self.diameter),
        )
    }
}
