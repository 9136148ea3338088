//! Correcting a raw reflection for an imperfect fixture: the one-port error model.
//!
//! Between the detector and the plane of the load stand three terms: what leaks past the load (directivity), what is
//! reflected back towards it (source match), and the way there and back (tracking). A raw reading m of a load Γ is
//! m = directivity + tracking·Γ/(1 − source match·Γ) (D. Rytting, "Network Analyzer Error Models and Calibration
//! Methods"; from memory).

use crate::arithmetic::Arithmetic;
use crate::quantity::Reflection;

/// The three error terms of a one-port at one frequency.
///
/// A perfect fixture has no directivity, no source match and a tracking of 1: [`ErrorTerms::PERFECT`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ErrorTerms<A: Arithmetic> {
    /// What is read with nothing coming back from the load.
    pub directivity: Reflection<A>,
    /// What the fixture sends back towards the load.
    pub source_match: Reflection<A>,
    /// The product of the transmissions there and back.
    pub tracking: Reflection<A>,
}

impl<A: Arithmetic> ErrorTerms<A> {
    /// A fixture that changes nothing.
    pub const PERFECT: Self = Self {
        directivity: Reflection::MATCHED,
        source_match: Reflection::MATCHED,
        tracking: Reflection::OPEN,
    };

    /// The load behind a raw reading: Γ = (m − directivity)/(tracking + source match·(m − directivity)).
    ///
    /// Error in fixed point: 2.5e-8 over the size of that denominator, which is near |tracking| for a passive load and
    /// a good fixture (found: 1.6e-8 in 200 000 random fixtures, `tests/correction.rs`). Where the denominator vanishes, or the result leaves the range of the family, it saturates like
    /// [`Impedance::reflection`](crate::quantity::Impedance::reflection).
    pub fn correct(&self, raw: Reflection<A>) -> Reflection<A> {
        let parts = |gamma: Reflection<A>| (gamma.real(), gamma.imaginary());
        let terms = [
            parts(self.directivity),
            parts(self.source_match),
            parts(self.tracking),
        ];
        let (re, im) = A::correct(parts(raw), &terms);
        Reflection::from_words(re, im)
    }
}
