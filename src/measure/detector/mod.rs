//! From the counts of a detector to a checked raw reflection.
//!
//! Three front ends, for what a builder may have on the board:
//!
//! | front end | hardware | what it tells |
//! | --- | --- | --- |
//! | [`VectorDetector`] | two receivers, as I and Q or at an intermediate frequency ([`Tone`], [`quarter_rate`]) | Γ |
//! | [`ScalarDetector`] | a directional coupler with two diode detectors | \|Γ\|, SWR with its interval, power |
//! | [`ThreeVoltageDetector`] | a known resistor and three voltmeters for its ends and itself | R, \|X\|; the sign of X by a second reading |
//!
//! Each takes raw integer counts and gives either a reading or a [`DetectorError`]. A number that is wrong is never
//! given: a converter at its end, no reference to divide by, counts outside of a table, voltages that belong to no
//! triangle are errors. What makes a reading doubtful without making it wrong stands in its [`Quality`].
//!
//! A vector reading is *raw*: the fixture is still in it, and
//! [`ErrorTerms::correct`](super::calibration::ErrorTerms::correct) takes it out.
//!
//! # Care
//!
//! A detector sits on the line that may carry the transmitter. Never connect a converter or a receiver to a line with
//! transmit power or a charged antenna on it without the coupler and the protection it needs; RF burns; transmit only
//! where you are licensed to. Local rules and licensed practice come first.

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
