//! What is to be matched: an impedance against frequency, as its maker prints it, and how to imitate it on the bench.
//!
//! Two pairs of things are taken for each other in the trade, at the price of a device. They are distinct types here.
//!
//! - Some makers print the impedance seen when looking into the device ([`LookingIn`]), others the impedance to be
//!   presented to it ([`Presented`]). The one is the conjugate of the other.
//! - Some print one side of a push-pull pair ([`OneSide`]), others the pair from side to side ([`SideToSide`]), which is
//!   twice as much: the two sides are in series, with the common point between them at rest (common practice, no
//!   source).
//!
//! ```compile_fail
//! use ohmwright::design::load::{LookingIn, Presented};
//! use ohmwright::quantity::Impedance;
//!
//! let printed = LookingIn::new(Impedance::<f64>::new(1.6, -5.0)?);
//! let wanted: Presented<f64> = printed; // not without saying so: `printed.wants()`
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Care
//!
//! The ceramic of some RF power devices and resistors is beryllium oxide: its dust is toxic. Never break, file, sand
//! or heat them open. The supply of a power stage and what its network stores can kill, RF burns: switch off, discharge,
//! and try a network on a [`StandIn`] before a device is put at risk. Local rules and licensed practice come first.

mod circuit;
mod convention;
mod push_pull;
mod stand_in;
mod table;

pub use circuit::LoadCircuit;
pub use convention::{Convention, LookingIn, OneSide, Presented, SideToSide};
pub use push_pull::PushPull;
pub use stand_in::{LeadEffect, StandIn, StandInParts};
pub use table::LoadTable;

use core::fmt;

use crate::arithmetic::{Arithmetic, QuantityError};
use crate::quantity::{Hertz, Impedance};

/// Why there is no impedance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LoadError {
    /// A table needs at least one row.
    NoRows,
    /// The row at this place, counted from 0, does not come after the one before it.
    OutOfOrder(usize),
    /// The row at this place, counted from 0, is an open: nothing can be interpolated from it.
    OpenRow(usize),
    /// This frequency lies outside the table, and nothing is guessed there.
    BeyondTable(Hertz),
    /// No such part, or no such stand-in.
    Quantity(QuantityError),
}

impl fmt::Display for LoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRows => f.write_str("the table of the load has no rows"),
            Self::OutOfOrder(place) => {
                write!(
                    f,
                    "row {place} of the load's table, counted from 0, is not above the one before it"
                )
            }
            Self::OpenRow(place) => write!(f, "row {place} of the load's table, counted from 0, is an open"),
            Self::BeyondTable(frequency) => write!(f, "{frequency} lies outside the load's table"),
            Self::Quantity(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for LoadError {
    fn source(&self) -> Option<&(dyn core::error::Error + 'static)> {
        match self {
            Self::Quantity(error) => Some(error),
            _ => None,
        }
    }
}

impl From<QuantityError> for LoadError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

/// Something that has an impedance at each frequency: a constant, a [`LoadTable`], a [`LoadCircuit`].
pub trait Load<A: Arithmetic> {
    /// The impedance at this frequency.
    ///
    /// # Errors
    /// [`LoadError::BeyondTable`] where it is not known. A constant and a circuit always know.
    fn at(&self, frequency: Hertz) -> Result<Impedance<A>, LoadError>;
}

impl<A: Arithmetic> Load<A> for Impedance<A> {
    /// The same at every frequency.
    fn at(&self, _: Hertz) -> Result<Impedance<A>, LoadError> {
        Ok(*self)
    }
}

impl<A: Arithmetic, L: Load<A> + ?Sized> Load<A> for &L {
    fn at(&self, frequency: Hertz) -> Result<Impedance<A>, LoadError> {
        (**self).at(frequency)
    }
}
