//! All readouts of one reflection coefficient at once.

use super::{Arithmetic, Component, Decibels, Degrees, Ohms, QFactor, Swr};

/// The nine readouts of one Γ, as [`Reflection::readouts`](crate::quantity::Reflection::readouts) gives them.
///
/// Each has the same bits as the method of its name. Together they cost much less: squares, reciprocals and roots are shared.
///
/// ```
/// use ohmwright::double::{Reference, Reflection};
///
/// let all = Reflection::new(0.0, 0.5)?.readouts(Reference::fifty());
/// assert!((all.swr - 3.0).abs() < 1e-12 && (all.phase - 90.0).abs() < 1e-12);
/// assert!((all.resistance - 30.0).abs() < 1e-12 && (all.reactance - 40.0).abs() < 1e-12);
/// assert!((all.impedance_magnitude - 50.0).abs() < 1e-12); // and no match at all
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
#[must_use = "it reports what was found"]
pub struct Readouts<A: Arithmetic> {
    /// |Γ|.
    pub magnitude: Component<A>,
    /// The standing wave ratio.
    pub swr: Swr<A>,
    /// Return loss, dB.
    pub return_loss: Decibels<A>,
    /// Mismatch loss, dB.
    pub mismatch_loss: Decibels<A>,
    /// R, ohms.
    pub resistance: Ohms<A>,
    /// X, ohms.
    pub reactance: Ohms<A>,
    /// |Z|, ohms.
    pub impedance_magnitude: Ohms<A>,
    /// The angle of Γ, degrees.
    pub phase: Degrees<A>,
    /// |X|/|R|.
    pub q: QFactor<A>,
}
