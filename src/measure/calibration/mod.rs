//! From a raw reflection to a calibrated one.
//!
//! Between the detector and the plane of the load stands a fixture: a bridge, a coupler, cables. At one frequency it is
//! described by three complex numbers, the [`ErrorTerms`]. They are found by reading devices that are known (the
//! *standards*) and solving for them; from then on [`ErrorTerms::correct`] takes them out of every reading.
//!
//! 1. **What is known.** A [`Standard`] is an open with a fringing capacitance, a short with an inductance, a load, or
//!    anything with a known Γ, each behind an [`Offset`] if it has one. A [`Kit`] is the usual three of them.
//! 2. **Reading them.** A [`Recording`] takes the sweeps of the three, one after the other, into memory of the caller's,
//!    and turns the same memory into a [`CalibrationTable`]. For a single frequency there is [`ErrorTerms::solve`]; for
//!    more standards than three, [`LeastSquares`].
//! 3. **Correcting.** A [`Corrector`] walks along a sweep and corrects every reading with the terms of its frequency,
//!    which lie on straight lines between the frequencies of the table.
//! 4. **Trusting it.** A [`Survey`] says what a table shows by itself, a [`QualityCheck`] what standards say that are
//!    read again: is it stale, were standards exchanged, was it made at another power or on another grid?
//! 5. **Keeping it.** [`CalibrationTable::store`] and [`CalibrationTable::load`]: a form with a version and a checksum.
//!
//! ```
//! use ohmwright::fixed_point::{Reference, Reflection};
//! use ohmwright::measure::calibration::{CalibrationPoint, Conditions, Kit, Recording, Role};
//! use ohmwright::quantity::Hertz;
//!
//! # use ohmwright::measure::calibration::ErrorTerms;
//! # // An invented fixture: it sends 3/4 back as it is.
//! # let read = |gamma: Reflection| Reflection::from_bits(gamma.real().to_bits() / 4 * 3, gamma.imaginary().to_bits() / 4 * 3);
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
//! let power_dbm = ohmwright::fixed::types::I16F16::lit("-10");
//! let table = recording.solve(&Kit::IDEAL, Reference::fifty(), power_dbm)?;
//!
//! let mut corrector = table.corrector();
//! let gamma = corrector.correct(Hertz::from_megahertz(71), Reflection::from_bits(100_000_000, 0))?;
//! assert_eq!((gamma.real().to_bits() + 50) / 100, 1_333_333); // 4/3 of it
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # What a calibration cannot do
//! It is as good as what is known of the standards: an open taken for a better one than it is leaves an error that no
//! check with the same open will show. Terms drift with temperature and with every turn of a connector. And an exchange
//! of open and short turns the sign of every Γ, which a fixture might do by itself: it is found by reading a standard
//! again, by an expected phase, or by the phase at 0 Hz ([`Survey`]).

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
