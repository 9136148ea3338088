//! From a raw reflection to a calibrated one.
//!
//! A fixture lies between the detector and the plane of the load: a bridge, a coupler, cables. At one frequency three
//! complex numbers describe it, the [`ErrorTerms`]. They are found by reading known devices (the *standards*) and
//! solving an equation; after that [`ErrorTerms::correct`] removes them from every reading.
//!
//! 1. **Known devices.** A [`Standard`] is an open with a fringing capacitance, a short with an inductance, a load, or
//!    anything with a known Γ, each with an [`Offset`] if it has one. A [`Kit`] is the usual three of them.
//! 2. **Reading them.** A [`Recording`] takes the three sweeps, one after the other, into the caller's memory, and
//!    turns the same memory into a [`CalibrationTable`]. For a single frequency there is [`ErrorTerms::solve`]; for
//!    more standards than three, [`LeastSquares`].
//! 3. **Correcting.** A [`Corrector`] follows a sweep and corrects every reading with the terms of its frequency,
//!    linearly interpolated between the frequencies of the table.
//! 4. **Checking it.** A [`Survey`] evaluates a table alone, a [`QualityCheck`] new readings of standards: is the table
//!    stale, were standards exchanged, was it made at another power or on another grid?
//! 5. **Storing it.** [`CalibrationTable::store`] and [`CalibrationTable::load`]: a form with a version and a checksum.
//!
//! ```
//! use ohmwright::fixed_point::{Reference, Reflection};
//! use ohmwright::measure::calibration::{CalibrationPoint, Conditions, Kit, Recording, Role};
//! use ohmwright::quantity::Hertz;
//!
//! # use ohmwright::measure::calibration::ErrorTerms;
//! # // An invented fixture: it returns 3/4 of the wave.
//! # let read = |gamma: Reflection| Reflection::from_bits(gamma.real().get().to_bits() / 4 * 3, gamma.imaginary().get().to_bits() / 4 * 3);
//! # let sweep = || [60u32, 70, 80].map(Hertz::from_megahertz);
//! let mut buffer = [CalibrationPoint::EMPTY; 3];
//! let mut recording = Recording::new(&mut buffer);
//! for (role, standard) in [
//!     (Role::Open, Reflection::OPEN),
//!     (Role::Short, Reflection::SHORT),
//!     (Role::Load, Reflection::MATCHED),
//! ] {
//!     // "Connect the open, the short, the load": here `read` stands for the detector.
//!     for frequency in sweep() {
//!         recording.push(role, frequency, read(standard))?;
//!     }
//! }
//! let table = recording.solve(&Kit::IDEAL, Reference::fifty(), -10)?; // calibrated at −10 dBm
//!
//! let mut corrector = table.corrector();
//! let gamma = corrector.correct(Hertz::from_megahertz(71), Reflection::from_bits(100_000_000, 0))?;
//! assert_eq!((gamma.real().get().to_bits() + 50) / 100, 1_333_333); // 4/3 of the reading
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # What a calibration cannot do
//! It is as good as the known values of the standards: if the assumed open is better than the real one, no check with
//! the same open shows the error. Terms drift with temperature and with every turn of a connector. An exchange of open
//! and short inverts the sign of every Γ, which a fixture might do by itself: a second reading of a standard shows it,
//! or an expected phase, or the phase at 0 Hz ([`Survey`]).

mod conditions;
mod delay;
mod error;
mod error_terms;
mod least_squares;
mod point;
mod quality;
mod recording;
mod residual;
mod solve;
mod standard;
mod stored;
mod survey;
mod table;

pub use conditions::{Conditions, Grid};
pub use delay::Delay;
pub use error::{CalibrationError, CalibrationFailure, Term};
pub use error_terms::ErrorTerms;
pub use least_squares::{Fit, LeastSquares};
pub use point::CalibrationPoint;
pub use quality::{QualityCheck, QualityLimits, QualityReport, QualityVerdict, WorstReading, reading_range};
pub use recording::Recording;
pub use residual::Residual;
pub use standard::{Kit, Offset, Polynomial, Role, Standard};
pub use survey::Survey;
pub use table::{CalibrationTable, Corrector};
