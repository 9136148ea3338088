//! The load to be matched: an impedance against frequency, as its maker states it, and how to imitate it on the bench.
//!
//! Two pairs of values are often confused, which can destroy a device. Here they are distinct types.
//!
//! - Some makers state the impedance seen when looking into the device ([`LookingIn`]), others the impedance to be
//!   presented to it ([`Presented`]). Each is the conjugate of the other.
//! - Some state one side of a push-pull pair ([`OneSide`]), others the pair from side to side ([`SideToSide`]). That is
//!   twice as much: the sides are in series, without signal on the common point between (common practice, no source).
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
//! The ceramic of some RF power devices and resistors is beryllium oxide, whose dust is toxic. Never break, file, sand,
//! open or overheat them. The supply of a power stage and the energy stored in its network can kill, and RF burns:
//! switch off, discharge, and try a network on a [`StandIn`] first. Local rules and licensed practice take precedence.

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
    /// The row at this index, counted from 0, is not above the row before it in frequency.
    OutOfOrder(usize),
    /// The row at this index, counted from 0, is an open: it cannot be interpolated.
    OpenRow(usize),
    /// This frequency lies outside the table, which is not extrapolated.
    BeyondTable(Hertz),
    /// A value that no part and no stand-in can have.
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
    /// [`LoadError::BeyondTable`] where it is not known. A constant and a circuit know it at every frequency.
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
