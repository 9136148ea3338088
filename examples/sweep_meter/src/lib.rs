//! A sweep analyser for one port, as far as it goes without a known front end.
//!
//! A board brings a [`Source`] whose frequency can be set, two [`Receivers`] for the incident and the reflected wave, a
//! [`Vault`] of two slots, buttons and a display. Here is the rest: a sweep point by point, the calibration with open,
//! short and load as a dialogue on the display, its store with a checksum, and the state machine behind the buttons
//! ([`Instrument::press`]).
//!
//! Nothing ends the instrument. A point that cannot be measured is left out and counted; a source or a receiver that
//! fails ends the sweep with its cause on the display; a calibration that cannot be solved leaves the one before.
#![no_std]
#![forbid(unsafe_code)]
#![deny(missing_docs)]

mod front;
mod instrument;
mod vault;
mod view;

pub use front::{Receivers, Source, Waves};
pub use instrument::{Ability, Button, Instrument, Settings, Stage, Trouble};
pub use vault::{Slot, Vault, VaultError};
