//! Where an analyser lives in a firmware: interrupts, resources, async loops.
//!
//! Nothing here is tied to a framework. The library has no thread, no timer and no memory of its own: an analyser is a plain
//! value, and each call on it ends after a bounded number of instructions. So the only questions are where the value
//! lives, and who may touch it when.
//!
//! # A static that needs no start-up code
//!
//! [`SweepAnalyser::with_defaults`](crate::measure::SweepAnalyser::with_defaults) and
//! [`constant`](crate::measure::SweepAnalyser::constant) are `const`: the analyser stands in memory before `main`, and no
//! stack is needed to build it. A static that is shared needs a lock. On a microcontroller that is
//! `critical_section::Mutex<RefCell<…>>`, which has a `const` constructor too and keeps interrupts off while it is held;
//! here the standard library's lock stands for it, so that this page can be tried on a PC:
//!
//! ```
//! use std::sync::Mutex;
//! use ohmwright::fixed_point::{Hertz, Reflection, SweepAnalyser};
//!
//! static ANALYSER: Mutex<SweepAnalyser<4>> = Mutex::new(SweepAnalyser::with_defaults());
//!
//! // The interrupt: "a conversion has ended".
//! fn converted(frequency: Hertz, reading: Reflection) -> bool {
//!     ANALYSER.lock().is_ok_and(|mut analyser| analyser.push(frequency, reading).is_ok())
//! }
//!
//! for point in 0..20 {
//!     assert!(converted(Hertz::from_kilohertz(70_000 + 100 * point), Reflection::MATCHED));
//! }
//! // The main loop: a copy for as short a time as possible, and the report at leisure.
//! let copy = ANALYSER.lock().unwrap().clone();
//! assert_eq!(copy.report().points(), 20);
//! # // A frequency that does not rise is an error, not a panic.
//! # assert!(!converted(Hertz::from_kilohertz(70_000), Reflection::MATCHED));
//! ```
//!
//! # An interrupt pushes, the main loop reports
//!
//! The longest call of `push` is in the table of [which family](super::families), and that is how long another interrupt
//! waits while the lock is held. A report takes longer. Two ways round that:
//!
//! - **Copy, then report.** The copy holds the lock for the time of moving its bytes ([`size_of`] says how many).
//! - **Queue the readings.** The interrupt puts frequency and Γ into a queue of some points, and the main loop pushes them.
//!   The analyser then needs no lock at all. The queue must hold what comes in during the longest call.
//!
//! A point that was refused ([`SweepError`](crate::measure::SweepError)) changes nothing. A frequency that does not rise
//! means that the sweep was begun anew: [`restart`](crate::measure::SweepAnalyser::restart).
//!
//! # Frameworks with resources
//!
//! What two tasks use is a *shared* resource, what one task uses is its own. Analyser and survey are best two resources,
//! each with its lock: the task that draws the curve then never waits for the survey. Detector, calibration and
//! corrector belong to the task that measures; a [`Corrector`](crate::measure::calibration::Corrector) borrows its table, so
//! table and corrector are made in the same place, or the table is a static.
//!
//! # Async loops
//!
//! No call here waits for anything, so there is nothing to await inside: a loop awaits the conversion, and then calls
//! `push`. Where a long report would keep other tasks waiting, give it a task of lower priority. The analyser may be held
//! across an `await`, since it borrows nothing; then it is a part of the future, and counts in its size.
//!
//! # To copy from
//!
//! In the repository, `examples/generic_firmware` has the three as whole programs for a Cortex-M0, without `unsafe`:
//! `interrupt`, `resources` and `async_loops`. `examples/swr_meter` is a meter over `embedded-hal` with two boards,
//! `examples/sweep_meter` an analyser that lacks but a front end.
