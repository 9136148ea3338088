//! Two mismatches at one junction, of which only the magnitudes are known.

use super::{Decibels, QuantityError, Reflection};
use crate::arithmetic::{Arithmetic, Quantity, Real};

/// The limits of the loss between a generator and a load that are both mismatched, for any phases of the two.
///
/// The power into the load is (1 − |Γg|²)(1 − |Γl|²)/|1 − Γg·Γl|² of what the generator could give, and the phase of Γg·Γl
/// is what scalar figures do not tell. Source: D. M. Pozar, "Microwave Engineering", section 2.6 (from memory), and the
/// usual statement of mismatch uncertainty in power measurement (common practice, no source).
///
/// ```
/// use ohmwright::double::{MismatchLimits, Reflection};
///
/// let (generator, load) = (Reflection::from_swr(1.5)?, Reflection::from_swr(2.0)?);
/// let limits = MismatchLimits::new(generator, load)?;
/// assert!((limits.least_loss - 0.090).abs() < 1e-3);
/// assert!((limits.most_loss - 1.249).abs() < 1e-3);
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct MismatchLimits<A: Arithmetic> {
    /// The least mismatch loss in dB, against a conjugate match: 0 where both magnitudes are equal.
    pub least_loss: Decibels<A>,
    /// The most, in dB.
    pub most_loss: Decibels<A>,
    /// How much a reading of power can be too high, in dB: 20·lg(1 + |Γg|·|Γl|).
    pub uncertainty_above: Decibels<A>,
    /// How much it can be too low, in dB, as a positive number: −20·lg(1 − |Γg|·|Γl|).
    pub uncertainty_below: Decibels<A>,
}

impl<A: Arithmetic> MismatchLimits<A> {
    /// From both reflection coefficients; only their magnitudes count.
    ///
    /// Error: a rounding of the word, and 1e-7 dB in fixed point; near |Γ| = 1 the error of Γ itself counts more.
    ///
    /// # Errors
    /// `OutsideLimits` for a |Γ| of 1 or more, from which or into which no power goes.
    pub fn new(generator: Reflection<A>, load: Reflection<A>) -> Result<Self, QuantityError> {
        if generator.is_total() {
            return Err(outside!("|Γ| of the generator", "must be below 1"));
        }
        if load.is_total() {
            return Err(outside!("|Γ| of the load", "must be below 1"));
        }
        let one = A::Working::ONE;
        let product = (generator.power() * load.power()).square_root();
        let taken = |gamma: Reflection<A>| {
            let (re, im) = gamma.words();
            A::passive(re, im)
        };
        let passed = taken(generator) * taken(load);
        let (near, far) = ((one - product).square(), (one + product).square());
        let decibels = |ratio: A::Working| Decibels::<A>::from_working(ratio.decibels());
        Ok(Self {
            // Equal magnitudes give 1 but for a rounding; a loss is never negative.
            least_loss: decibels((near / passed).larger(one)),
            most_loss: decibels(far / passed),
            uncertainty_above: decibels(far),
            uncertainty_below: decibels(one / near),
        })
    }
}
