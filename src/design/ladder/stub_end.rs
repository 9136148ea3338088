//! How the far end of a stub is terminated.

/// The end of a stub.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum StubEnd {
    /// Nothing connected.
    Open,
    /// Both conductors joined.
    Shorted,
}
