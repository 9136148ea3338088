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
//! that run at every point of a sweep: the correction and the analyser. For the nine readouts of a point the tidy code
//! below, which has no range checks, is cheaper than `Fixed32`, and `Fixed32` is cheaper than this crate's `f32`: its readouts
//! share nothing there, |Γ| is taken several times, and the logarithms and the arctangent are those of `libm`. This crate
//! does not claim to be faster than tidy hardware float.
//!
//! # Where fixed point wins
//!
//! Without such a unit `Fixed32` takes fewer instructions than `f32` in all these jobs, and is more exact near total
//! reflection. `f32` works there too: in the mean its readouts cost less than half of code over floating-point
//! routines, since it uses the same integer kernels; but for |Γ| below 2⁻⁷, and within 2⁻⁹ of the open, it falls back on those
//! routines and takes longer than tidy code. Take it if the firmware already uses `f32`. `Fixed16` takes still fewer
//! instructions for the readouts, on every core. For a correction, computed in wider numbers and then rounded, it takes
//! about as many. For a point of a clean sweep it takes several times more: its steps of 2⁻¹⁴ in Γ look like noise, and the
//! analyser then fits its curves to many points.
//!
//! # The figures
//!
//! Instructions, not cycles: the mean and the longest call over 1,001 points and some sweeps, counted under QEMU by `cargo bench --bench on_target` (method:
//! `benches/README.md` in the sources). "Tidy `f32`" is what a careful developer would write over `libm` without this
//! crate. Flash and stack are in the README.
//!
//! <!-- cost:begin -->
//!
//! | core | instructions of | tidy `f32` | `f32` | `Fixed32` | `Fixed16` | least of this crate's |
//! | --- | --- | --- | --- | --- | --- | --- |
//! | Cortex-M0 | nine readouts | 10737 | 965 | 737 | 382 | `Fixed16` |
//! | Cortex-M0 | a correction | 2491 | 674 | 393 | 311 | `Fixed16` |
//! | Cortex-M0 | a point of a sweep |  | 1827 | 1334 | 4120 | `Fixed32` |
//! | Cortex-M3 | nine readouts | 5978 | 504 | 377 | 247 | `Fixed16` |
//! | Cortex-M3 | a correction | 1440 | 288 | 140 | 161 | `Fixed32` |
//! | Cortex-M3 | a point of a sweep |  | 1140 | 927 | 2951 | `Fixed32` |
//! | RV32IMC | nine readouts | 5655 | 882 | 611 | 392 | `Fixed16` |
//! | RV32IMC | a correction | 1337 | 436 | 212 | 225 | `Fixed32` |
//! | RV32IMC | a point of a sweep |  | 1203 | 1089 | 3404 | `Fixed32` |
//! | Cortex-M4F | nine readouts | 328 | 686 | 386 | 253 | `Fixed16` |
//! | Cortex-M4F | a correction | 26 | 47 | 137 | 159 | `f32` |
//! | Cortex-M4F | a point of a sweep |  | 326 | 874 | 2840 | `f32` |
//!
//! <!-- cost:end -->
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
