//! The sign of a reactance of known magnitude, by a second reading with a known change.

use super::{DetectorError, ThreeVoltageReading};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Complex, Hertz, Ohms, QuantityError};

/// The sign of a reactance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Sign {
    /// X > 0.
    Inductive,
    /// X < 0.
    Capacitive,
    /// The readings agree with both.
    Undecided,
}

/// The signs at two frequencies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Signs {
    /// Of the first reading.
    pub first: Sign,
    /// Of the second.
    pub second: Sign,
}

impl<A: Arithmetic> ThreeVoltageReading<A> {
    /// The sign of X by a second reading at the same frequency with a series reactance (ohms, negative for a
    /// capacitor).
    ///
    /// Each sign predicts a point (R, |X|) for the second reading; a sign is excluded if that point is farther from the
    /// reading than the errors of both allow. A reactance of about the size of |X|, of either sign, works best.
    ///
    /// # Errors
    /// [`DetectorError::Contradictory`] if both signs are excluded; [`DetectorError::Quantity`] for NaN or infinity.
    pub fn sign_with_series(
        &self,
        second: &Self,
        reactance: impl Into<Ohms<A>>,
    ) -> Result<Sign, DetectorError> {
        let reactance = reactance.into();
        let added = Complex::new(A::Working::ZERO, checked::<A>(reactance)?);
        self.compare(second, |load| Some((load + added, self.radius())))
    }

    /// The same with the known reactance across the load.
    ///
    /// # Errors
    /// As [`sign_with_series`](Self::sign_with_series), and for a reactance of 0, which would be a short.
    pub fn sign_with_shunt(
        &self,
        second: &Self,
        reactance: impl Into<Ohms<A>>,
    ) -> Result<Sign, DetectorError> {
        let reactance = reactance.into();
        let x = checked::<A>(reactance)?;
        if x.is_zero() {
            return Err(outside!("reactance across the load", "must not be 0, a short").into());
        }
        let across = Complex::new(A::Working::ZERO, x);
        self.compare(second, |load| {
            let below = load + across;
            let (distance, radius) = (below.magnitude(), self.radius());
            // Z·jX/(Z + jX) of two Z differs by X²·difference/(|Z₁ + jX|·|Z₂ + jX|). If Z may cancel the added
            // reactance there is no limit, and nothing is excluded.
            let nearest = distance - radius;
            if nearest <= A::Working::ZERO {
                return None;
            }
            Some((
                (load.checked_div(below)?) * across,
                radius * (x / distance).absolute() * (x / nearest).absolute(),
            ))
        })
    }

    /// The signs by a second reading at another frequency.
    ///
    /// Uses Foster's theorem (R. M. Foster, "A Reactance Theorem", Bell System Technical Journal 3, 1924): the
    /// reactance of a lossless load rises with frequency. That holds for a lossy load too, away from its
    /// anti-resonances; take a step that is small compared with their distance. X then rises from the lower to the
    /// higher frequency, so the reading with the larger |X| is inductive if it is at the higher frequency, and
    /// capacitive otherwise. The sign of the smaller one stays undecided, since X may have passed 0 in between: a step
    /// the other way decides it. If the errors of both overlap, or the frequencies are equal, nothing is decided.
    pub fn signs_by_step(&self, at: Hertz, second: &Self, second_at: Hertz) -> Signs {
        let (low, high) = self.reactance_ends;
        let (second_low, second_high) = second.reactance_ends;
        let mut signs = Signs {
            first: Sign::Undecided,
            second: Sign::Undecided,
        };
        let higher = |one: Hertz, other: Hertz| {
            if one > other {
                Sign::Inductive
            } else {
                Sign::Capacitive
            }
        };
        if at == second_at {
            return signs;
        }
        if low > second_high {
            signs.first = higher(at, second_at);
        } else if second_low > high {
            signs.second = higher(second_at, at);
        }
        signs
    }

    /// The largest distance of (R, |X|) from the truth.
    fn radius(&self) -> A::Working {
        let (low, high) = self.reactance_ends;
        let reactance = (self.reactance - low).larger(high - self.reactance);
        Complex::new(self.resistance_error, reactance).magnitude()
    }

    /// The prediction of each sign for the second reading, with its radius, against the reading.
    fn compare(
        &self,
        second: &Self,
        foretold: impl Fn(Complex<A::Working>) -> Option<(Complex<A::Working>, A::Working)>,
    ) -> Result<Sign, DetectorError> {
        let fits = |reactance: A::Working| {
            let Some((point, radius)) = foretold(Complex::new(self.resistance, reactance)) else {
                return true;
            };
            // Mirroring a point to the upper half brings no two points farther apart.
            let apart = Complex::new(
                point.re - second.resistance,
                point.im.absolute() - second.reactance,
            );
            apart.magnitude() <= radius + second.radius()
        };
        match (fits(self.reactance), fits(-self.reactance)) {
            (true, true) => Ok(Sign::Undecided),
            (true, false) => Ok(Sign::Inductive),
            (false, true) => Ok(Sign::Capacitive),
            (false, false) => Err(DetectorError::Contradictory),
        }
    }
}

fn checked<A: Arithmetic>(reactance: Ohms<A>) -> Result<A::Working, DetectorError> {
    if reactance.is_finite() {
        Ok(reactance.to_working())
    } else {
        Err(QuantityError::NotFinite("known reactance").into())
    }
}
