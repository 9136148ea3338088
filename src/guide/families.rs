//! Which family of numbers for which core, from the measured table.
//!
//! The family is a type parameter, so it can be changed late: name it once and take every name from there, those without
//! a family (`Hertz`, errors, directions) too:
//!
//! ```
//! use ohmwright::fixed_point as family; // the one line to change
//!
//! use family::{Hertz, Reflection, SweepAnalyser, SweepError};
//!
//! fn best(sweep: &[(Hertz, Reflection)]) -> Result<Option<Hertz>, SweepError> {
//!     let mut analyser = SweepAnalyser::<4>::with_defaults();
//!     for &(frequency, gamma) in sweep {
//!         analyser.push(frequency, gamma)?;
//!     }
//!     Ok(analyser.report().best().map(|dip| dip.frequency))
//! }
//!
//! let sweep = [(Hertz::from_megahertz(71), Reflection::MATCHED)];
//! assert_eq!(best(&sweep)?, Some(Hertz::from_megahertz(71)));
//! # Ok::<(), SweepError>(())
//! ```
//!
//! Start with:
//!
//! | core | take |
//! | --- | --- |
//! | without a floating-point unit (Armv6-M, Armv7-M, Armv8-M baseline, RV32I without F) | [`Fixed32`](crate::arithmetic::Fixed32), module [`fixed_point`](crate::fixed_point) |
//! | the same, with a 12-bit converter, and only readouts are needed | [`Fixed16`](crate::arithmetic::Fixed16), module [`small_fixed_point`](crate::small_fixed_point) |
//! | with a single-precision unit (names that end in `F`, targets in `hf`) | `f32`, module [`floating`](crate::floating) |
//! | with one, if the bits must be the same as on other cores, or interrupts must not use floating point | `Fixed32` |
//! | a PC | `f64`, module [`double`](crate::double) |
//!
//! # Where hardware float wins
//!
//! On a core with a floating-point unit `f32` takes less than half the instructions of fixed point for the two jobs
//! that run at every point of a sweep: the correction and the analyser. For the nine readouts of a point it takes fewer than
//! the tidy code below, with the SWR right to the rim, and fewer than `Fixed32`.
//!
//! # Where fixed point wins
//!
//! Without such a unit `Fixed32` takes fewer instructions than `f32` in all three jobs, and is more exact near total
//! reflection. `f32` works there too: its readouts cost several times less than code over floating-point routines, since
//! it uses the same integer kernels, for every Γ in the disc. Take it if the firmware already uses `f32`. `Fixed16` takes
//! still fewer instructions for the readouts, on every core. For a correction, computed in wider numbers and then rounded,
//! it takes about as many. For a point of a sweep it takes up to twice as many: its steps of 2⁻¹⁴ in Γ look like noise,
//! and the analyser then fits its curves to many points.
//!
//! # The figures
//!
//! Instructions, not cycles: the mean and the longest call over 1,001 points and some sweeps, counted under QEMU by
//! `cargo bench --bench on_target` (method: `benches/README.md` in the sources). "Tidy `f32`" is what a careful developer would write over `libm` without this
//! crate. Flash and stack are in the README.
//!
//! <!-- cost:begin -->
//!
//! | core | instructions, mean / longest call, of | tidy `f32` | `f32` | `Fixed32` | `Fixed16` | least mean of this crate's |
//! | --- | --- | --- | --- | --- | --- | --- |
//! | Cortex-M0 | nine readouts | 10598 / 11516 | 1057 / 2039 | 748 / 938 | 386 / 553 | `Fixed16` |
//! | Cortex-M0 | a correction | 2492 / 2607 | 804 / 3331 | 393 / 396 | 312 / 312 | `Fixed16` |
//! | Cortex-M0 | a point of a clean sweep |  | 2563 / 76800 | 1938 / 53719 | 2900 / 89315 | `Fixed32` |
//! | Cortex-M0 | the same with noise of 1e-3 |  | 4287 / 99016 | 3538 / 84964 | 3527 / 84953 | `Fixed16` |
//! | Cortex-M3 | nine readouts | 5901 / 6410 | 553 / 1155 | 382 / 508 | 248 / 375 | `Fixed16` |
//! | Cortex-M3 | a correction | 1439 / 1464 | 363 / 1822 | 140 / 140 | 161 / 161 | `Fixed32` |
//! | Cortex-M3 | a point of a clean sweep |  | 1620 / 45237 | 1367 / 37471 | 1862 / 48695 | `Fixed32` |
//! | Cortex-M3 | the same with noise of 1e-3 |  | 2394 / 49322 | 2133 / 45687 | 2150 / 45750 | `Fixed32` |
//! | RV32IMC | nine readouts | 5582 / 6135 | 951 / 1669 | 616 / 734 | 393 / 511 | `Fixed16` |
//! | RV32IMC | a correction | 1339 / 1441 | 504 / 1860 | 212 / 214 | 225 / 226 | `Fixed32` |
//! | RV32IMC | a point of a clean sweep |  | 1709 / 45940 | 1631 / 46466 | 2194 / 58036 | `Fixed32` |
//! | RV32IMC | the same with noise of 1e-3 |  | 2571 / 52859 | 2504 / 54436 | 2510 / 54453 | `Fixed32` |
//! | Cortex-M4F | nine readouts | 326 / 340 | 240 / 342 | 391 / 514 | 254 / 375 | `f32` |
//! | Cortex-M4F | a correction | 26 / 26 | 30 / 30 | 137 / 137 | 159 / 159 | `f32` |
//! | Cortex-M4F | a point of a clean sweep |  | 515 / 5255 | 1315 / 35456 | 1779 / 46307 | `f32` |
//! | Cortex-M4F | the same with noise of 1e-3 |  | 1005 / 20484 | 2041 / 43376 | 2053 / 43440 | `f32` |
//!
//! <!-- cost:end -->
//!
//! # Which analyser
//!
//! [`SweepAnalyser`](crate::measure::SweepAnalyser) and [`ThreePointAnalyser`](crate::measure::ThreePointAnalyser) take the
//! same settings and give the same report, so that everything after them is the same.
//!
//! | | take |
//! | --- | --- |
//! | flash of 64 KB or more, and a push may take long | `SweepAnalyser` |
//! | flash of 32 KB | `ThreePointAnalyser` |
//! | a push in an interrupt, or between two samples | `ThreePointAnalyser`: its longest push takes six to eight thousand instructions on a Cortex-M0 |
//! | noise above 1e-3 in Γ, or a converter of 8 bits, and the dip's frequency matters to less than a tenth of a step | `SweepAnalyser`, which averages |
//! | relays, a bus or a transmitter near by spoil several samples in a row | `SweepAnalyser` |
//! | a long cable, five to ten points a turn | `SweepAnalyser` |
//! | ten points per width of the dip, noise below 1e-3 | either: they differ by less than a hundredth of a step in 95 of 100 sweeps |
//!
//! What they cost stands in `benches/on_target.csv` of the sources: rows `whole_job_z` and `light_job_z` for a whole job built
//! for size, `sweep_push_clean` and `light_push` for the longest push. The README has the errors of both.
//!
//! # Without deciding
//!
//! Code can be generic over [`Arithmetic`](crate::arithmetic::Arithmetic): the tests of a firmware can run in `f64`
//! what the device runs in fixed point.
//!
//! ```
//! use ohmwright::arithmetic::{Arithmetic, Fixed32, Quantity};
//! use ohmwright::quantity::{Impedance, QuantityError, Reference};
//!
//! fn swr<A: Arithmetic>(resistance: f64, reactance: f64) -> Result<f64, QuantityError> {
//!     let load = Impedance::<A>::try_from_f64(resistance, reactance)?;
//!     Ok(load.reflection(Reference::fifty()).swr().to_f64())
//! }
//!
//! let (truth, device) = (swr::<f64>(36.0, 21.0)?, swr::<Fixed32>(36.0, 21.0)?);
//! assert!((truth - device).abs() < 8e-6); // half a unit of the word
//! # Ok::<(), QuantityError>(())
//! ```
