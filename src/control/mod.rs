//! Keeping it matched: the controller of an automatic tuner.
//!
//! Three parts that can be used separately:
//!
//! - [`Bank`]: the switched coils and capacitors with their real values. [`Bank::at`] a frequency it calculates Γ at
//!   the input for a load, the load for a reading, the part of the Smith chart that it matches, and
//!   ([`BankAt::best_setting`]) the setting with the lowest SWR for a load: the same as by trying all of them.
//! - [`Tuner`]: the state machine. Readings go in, commands come out; the caller does timing, input and output.
//!   [`TunerDriver`] joins it to a board by two small traits, [`mock::SimulatedBench`] to a simulated one.
//! - [`Protection`], a verdict on each reading, and [`TunerMemory`], the settings that worked, by frequency.
//!
//! ```
//! use ohmwright::control::{Arrangement, Bank, BankCapacitor, BankCoil, Setting};
//! use ohmwright::fixed_point::{Capacitance, Family, Inductance, Reference, Reflection};
//! use ohmwright::quantity::Hertz;
//!
//! let coils = core::array::from_fn(|k| BankCoil::lossless(Inductance::from_picohenries(50_000 << k)));
//! let capacitors = core::array::from_fn(|k| BankCapacitor::lossless(Capacitance::from_femtofarads(10_000 << k)));
//! let bank = Bank::<Family, 8, 7>::new(coils, capacitors, Arrangement::Changeover)?;
//! let at = bank.at(Hertz::from_kilohertz(7_100), Reference::fifty())?;
//!
//! // In bypass a reading is the load itself: here 25 ohms.
//! let load = at.load_behind(Setting::BYPASS, Reflection::from_bits(-357_913_941, 0))?;
//! let best = at.best_setting(load)?;
//! assert_eq!((best.setting.coils, best.setting.capacitors), (11, 45));
//! assert_eq!(format!("{:.3}", best.reflection.swr()), "1.019"); // of 65,536 settings
//! # Ok::<(), ohmwright::control::BankError>(())
//! ```
//!
//! # Care
//!
//! A tuner carries high radio-frequency voltage even at low power, and far more than the power suggests if the match is
//! poor. Never touch it, open it, or switch its relays under power. Transmit only where you are licensed to; listen
//! first, and tune at low power. Local rules and licensed practice come first.

mod arrangement;
mod at;
mod bank;
mod code;
mod command;
mod explain;
mod hardware;
mod memory;
pub mod mock;
mod multistate;
mod protection;
mod reading;
mod run;
mod search;
mod sensor;
mod setting;
mod settings;
mod subset_sums;
mod tuner;

pub use arrangement::Arrangement;
pub use at::BankAt;
pub use bank::{Bank, BankCapacitor, BankCoil, BankError, MOST_TAPS, Stray};
pub use code::MOST_PARTS;
pub use command::{Command, Event, Outcome, TunerReport};
pub use hardware::{MatchSensor, Progress, SwitchedBank, TunerDriver};
pub use memory::{MemoryEntry, TunerMemory};
pub use protection::{Protection, Verdict};
pub use reading::SensorReading;
pub use search::{BestSetting, Coverage};
pub use sensor::SensorErrors;
pub use setting::{Positions, Setting, Side};
pub use settings::{TunerError, TunerSettings};
pub use tuner::Tuner;
