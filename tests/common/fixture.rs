//! The error model of one port: what stands between a device and its reading.

use super::complex::{C, ONE};

/// Directivity, source match, tracking.
pub type Fixture = [C; 3];

/// m = e00 + e10e01·Γ/(1 − e11·Γ).
pub fn distort([e00, e11, tracking]: Fixture, gamma: C) -> C {
    e00 + tracking * gamma / (ONE - e11 * gamma)
}
