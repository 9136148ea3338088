//! From the counts of a detector to a checked raw reflection.
//!
//! Three front ends, for different hardware:
//!
//! | front end | hardware | result |
//! | --- | --- | --- |
//! | [`VectorDetector`] | two receivers, as I and Q or at an intermediate frequency ([`Tone`], [`quarter_rate`]) | Γ |
//! | [`ScalarDetector`] | a directional coupler with two diode detectors | \|Γ\|, SWR with its interval, power |
//! | [`ThreeVoltageDetector`] | a known resistor, with three voltmeters at its ends and across it | R, \|X\|; the sign of X by a second reading |
//!
//! Each takes raw integer counts and gives either a reading or a [`DetectorError`]. It never gives a wrong number: a
//! converter at its limit, no reference to divide by, counts outside a table, voltages that form no triangle are
//! errors. The [`Quality`] of a reading marks what makes it doubtful but not wrong.
//!
//! A *raw* vector reading is corrected by [`ErrorTerms::correct`](super::calibration::ErrorTerms::correct).
//!
//! # Care
//!
//! A detector is connected to a line that may carry the transmitter. Never connect a converter or a receiver to a line
//! with transmit power or a charged antenna on it without the coupler and the protection it needs; RF burns; transmit
//! only where you are licensed to. Local rules and licensed practice come first.

mod average;
mod demodulator;
mod error;
mod imbalance;
mod level;
mod pair;
mod quality;
mod scalar;
mod sign;
mod three_voltages;
mod tone;
mod vector;

pub use average::VectorAverage;
pub use demodulator::{Demodulator, quarter_rate};
pub use error::{Channel, DetectorError};
pub use imbalance::{Imbalance, ImbalanceEstimate};
pub use level::LevelTable;
pub use pair::{Iq, Pair};
pub use quality::Quality;
pub use scalar::{ScalarDetector, ScalarReading, ScalarSettings, SwrInterval};
pub use sign::{Sign, Signs};
pub use three_voltages::{ThreeVoltageDetector, ThreeVoltageReading, ThreeVoltageSettings};
pub use tone::Tone;
pub use vector::{VectorDetector, VectorReading, VectorSettings};
