//! The 16-bit back end: one Γ in units of 2⁻¹⁴, its exact squares in 32 bits, and readouts from 16-bit mantissas.
//!
//! No product is wider than 32 bits, so a core without a long multiplication does each in one instruction. Reciprocal
//! and roots come from small tables and one step, which is enough for 16 digits.

mod inverse;
mod length;
mod loss;
mod ohms;
mod point;
mod raised;
mod ratios;
mod root;
mod round;
#[cfg(test)]
mod tests;

pub(crate) use inverse::inverse;
pub(crate) use length::Length;
pub(crate) use loss::loss;
pub use ohms::ShortReference;
pub(crate) use ohms::ShortUnit;
pub(crate) use point::ShortPoint;
pub(crate) use raised::{Raised, raise};
pub(crate) use ratios::{quality, standing_wave};
