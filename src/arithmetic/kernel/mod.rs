//! The integer kernels under the fixed-point families: shifts, multiplications and small tables; no floating point
//! and no 64-bit division. Each file holds one kernel and the figures of its own error.

pub(crate) mod angle;
pub(crate) mod exponential;
pub(crate) mod logarithm;
pub(crate) mod multiply;
pub(crate) mod normalise;
pub(crate) mod point;
pub(crate) mod quotient;
pub(crate) mod reciprocal;
pub(crate) mod root;
pub(crate) mod rotation;
pub(crate) mod scaled;
pub(crate) mod short;
pub(crate) mod span;
