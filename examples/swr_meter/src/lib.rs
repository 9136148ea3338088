//! An SWR and power meter over `embedded-hal` 1.0: everything but the board.
//!
//! Two diode detectors on a directional coupler give counts ([`FrontEnd`]). [`Meter::step`] turns them into forward power
//! with its peak and an SWR with its range, drives the alarm line, and shows all of it on a display of 128 × 64 pixels
//! ([`Panel`]). What belongs to one instrument, above all the table of its diodes, is the [`Setup`]; [`store`] keeps it in
//! two slots, so that one is whole whenever the supply fails.
//!
//! Nothing here ends the meter. What fails is marked ([`Troubles`]), tried again, and told on the display as far as there
//! is one. Where the meter cannot measure, the alarm is on: whoever relies on the line must not take silence for a match.
//!
//! The numbers are those of any family that has [`Numbers`]: 32-bit fixed point for a core without a floating-point unit,
//! `f32` with one.
#![no_std]
#![forbid(unsafe_code)]
#![deny(missing_docs)]

mod alarm;
pub mod demo;
mod front;
mod instrument;
mod line;
pub mod memory;
mod meter;
mod numbers;
mod panel;
mod peak;
mod setup;
pub mod store;
mod view;

pub use alarm::{Alarm, AlarmCause};
pub use front::{Counts, FrontEnd};
pub use instrument::Instrument;
pub use meter::{Meter, Polarity, Signal, Status, Troubles};
pub use numbers::Numbers;
pub use panel::Panel;
pub use peak::Peak;
pub use setup::{LevelPoint, Levels, MOST_POINTS, SETUP_BYTES, Setup, SetupError};
pub use view::draw;
