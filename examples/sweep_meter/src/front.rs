//! What a board brings for the radio frequency.

use ohmwright::measure::detector::Iq;
use ohmwright::quantity::Hertz;

/// A source of the signal.
pub trait Source {
    /// Why it failed.
    type Error;

    /// Sets the frequency, and returns when it has settled.
    ///
    /// # Errors
    /// Whatever the source tells; the sweep then ends.
    fn set(&mut self, frequency: Hertz) -> Result<(), Self::Error>;
}

/// In-phase and quadrature counts of both waves, taken at the same time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Waves {
    /// The incident wave.
    pub incident: Iq,
    /// The reflected wave.
    pub reflected: Iq,
}

/// Two receivers.
pub trait Receivers {
    /// Why they failed.
    type Error;

    /// Reads both waves at the present frequency.
    ///
    /// # Errors
    /// Whatever the receivers tell; the sweep then ends.
    fn read(&mut self) -> Result<Waves, Self::Error>;
}
