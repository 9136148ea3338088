//! Checks of inputs.

use super::Hertz;
use crate::arithmetic::{Arithmetic, Quantity, QuantityError, Real};

/// The word itself, where it is finite.
pub(crate) fn finite<Q: Quantity>(word: Q, parameter: &'static str) -> Result<Q, QuantityError> {
    if word.is_finite() {
        Ok(word)
    } else {
        Err(QuantityError::NotFinite(parameter))
    }
}

/// The word itself, where it is finite and above zero.
pub(crate) fn positive<Q: Quantity>(word: Q, parameter: &'static str) -> Result<Q, QuantityError> {
    if finite(word, parameter)? > Q::ZERO {
        Ok(word)
    } else {
        Err(QuantityError::NotPositive(parameter))
    }
}

/// The word itself, where it is finite and not below zero.
pub(crate) fn not_negative<Q: Quantity>(word: Q, parameter: &'static str) -> Result<Q, QuantityError> {
    if finite(word, parameter)? < Q::ZERO {
        Err(QuantityError::Negative(parameter))
    } else {
        Ok(word)
    }
}

/// The frequency itself, where it is not 0.
pub(crate) fn positive_frequency(frequency: Hertz) -> Result<Hertz, QuantityError> {
    if frequency.get() == 0 {
        Err(QuantityError::NotPositive("frequency"))
    } else {
        Ok(frequency)
    }
}

/// ω = 2πf in radians per second, of a frequency that is not 0.
pub(crate) fn positive_omega<A: Arithmetic>(frequency: Hertz) -> Result<A::Working, QuantityError> {
    Ok(positive_frequency(frequency)?.angular())
}

/// A value above zero in working numbers; the word of a part is never negative.
pub(crate) fn positive_part<W: Real>(value: W, name: &'static str) -> Result<W, QuantityError> {
    if value > W::ZERO {
        Ok(value)
    } else {
        Err(QuantityError::NotPositive(name))
    }
}
