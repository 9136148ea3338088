//! The converter, as the meter sees it.

/// The counts of both detectors, read as close together as the board can.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Of the diode at the coupler's forward port.
    pub forward: u16,
    /// Of the diode at its reverse port.
    pub reverse: u16,
}

/// A converter with two channels. `embedded-hal` 1.0 has no trait for one, so the meter has its own.
pub trait FrontEnd {
    /// Why a conversion failed.
    type Error;

    /// Converts both channels.
    ///
    /// # Errors
    /// Whatever the converter tells. The meter goes on, with its alarm on, and reads again at the next step.
    fn read(&mut self) -> Result<Counts, Self::Error>;
}
