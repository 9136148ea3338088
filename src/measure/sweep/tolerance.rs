//! What the noise of the settings may explain.

use crate::arithmetic::{Arithmetic, Constant, Quantity, Real, Word};
use crate::quantity::Component;

/// What the noise of a component of Γ may explain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Tolerance<A: Arithmetic> {
    /// The mean square by which a curve may miss its points: six times the noise squared, which is 1.7 times the noise of
    /// both components.
    pub(crate) noise: A::Working,
    /// |Γ|² above which a sample is beyond the rim, in steps of 2⁻²⁸: 1 and twice the noise, squared.
    pub(crate) rim: u32,
}

impl<A: Arithmetic> Tolerance<A> {
    /// Of a noise of 0.01.
    pub(crate) const USUAL: Self = Self {
        noise: <<A::ComponentWord as Word>::WorkingFraction<6, 10_000> as Constant<A::Working>>::VALUE,
        rim: (1.02 * 1.02 * (1u64 << 28) as f64) as u32,
    };

    pub(crate) fn new(noise: Component<A>) -> Self {
        if noise == Component::<A>::thousandths::<10>() {
            return Self::USUAL;
        }
        // In steps of 2⁻¹⁴, where |Γ|² fits 32 bits.
        let coarse = A::coarse(noise.get());
        let noise = noise.to_working();
        let rim = coarse.wrapping_mul(2).wrapping_add(1 << 14).unsigned_abs();
        Self {
            noise: noise.square() * A::Working::from_i32(6),
            rim: rim.saturating_mul(rim),
        }
    }
}
