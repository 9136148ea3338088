//! Transformers: the ideal one, the real one with its parasitics, and those made of lines.
//!
//! - Ideal: [`Turns`], the [`MagnitudeRule`], and every pair of turns ranked ([`TurnsRanking`]; [`HalfTurnsRanking`]).
//! - Real: [`RealTransformer`] with magnetising and leakage inductance, resistances and capacitances; its band
//!   ([`Band`](crate::quantity::Band)); its parameters recovered from measurement ([`OpenShortTest`], [`TransformerFit`]).
//! - Of lines: [`LineTransformer`].
//!
//! Turns are written primary : secondary, with the primary towards the source and the secondary at the load. An
//! impedance is transformed by the square of the turns ratio (J. D. Irwin and other circuit textbooks; from memory).
//!
//! # Care
//!
//! A transformer under power carries high voltage at its high side, and RF burns. A core that is driven too hard or
//! works into a wrong load gets hot enough to burn you and to crack. Try it at low power; switch off before touching.
//! Local rules and licensed practice take precedence.

mod band;
mod fit;
mod halves;
mod ideal;
mod line;
mod real;
mod recovered;
mod rules;

pub use fit::{FittedTransformer, TransformerFit};
pub use halves::{HalfTurns, HalfTurnsRanking};
pub use ideal::{
    CancellingPart, MagnitudeRule, Remedy, Turns, TurnsChoice, TurnsRanking, wanted_impedance_ratio,
};
pub use line::{ImpedanceSide, LineKind, LineTransformer, USUAL_CHOKING_MULTIPLE, minimum_choking_impedance};
pub use real::{RealTransformer, TeeModel};
pub use recovered::OpenShortTest;
pub use rules::{USUAL_MAGNETISING_MULTIPLE, coupling, minimum_magnetising_inductance, mutual_inductance};

use core::fmt;

use super::load::LoadError;
use crate::arithmetic::QuantityError;

/// Why there is no transformer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum TransformerError {
    /// A winding needs at least one turn.
    NoTurns,
    /// The load is open or a short, or its resistance is not positive: no transformer matches it.
    LoadWithoutResistance,
    /// A value that no transformer can have; it is named.
    Quantity(QuantityError),
    /// The load is not known at a frequency.
    Load(LoadError),
    /// The SWR is above the limit already at the frequency where the search starts.
    AboveLimit,
    /// A fit needs at least three different frequencies.
    TooFewPoints,
    /// The measurements determine no transformer: they are all alike, or beyond the range of the numbers.
    Undetermined,
    /// The measurements need a negative value of this parameter: the device is not such a transformer.
    Unphysical(&'static str),
}

impl fmt::Display for TransformerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoTurns => "a winding needs at least one turn",
            Self::LoadWithoutResistance => "the load has no positive resistance: no transformer matches it",
            Self::Quantity(error) => return error.fmt(f),
            Self::Load(error) => return error.fmt(f),
            Self::AboveLimit => "the SWR is above the limit where the search for the band begins",
            Self::TooFewPoints => "a fit needs at least three different frequencies",
            Self::Undetermined => "the measurements determine no transformer",
            Self::Unphysical(parameter) => {
                return write!(f, "the measurements ask for a negative {parameter}");
            }
        })
    }
}

impl core::error::Error for TransformerError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            Self::Load(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for TransformerError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

impl From<LoadError> for TransformerError {
    fn from(error: LoadError) -> Self {
        Self::Load(error)
    }
}
