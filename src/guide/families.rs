//! Which family of numbers for which core, from the measured table.
//!
//! The family is a type parameter, so it can be changed late: name it once (`use ohmwright::fixed_point as family;`)
//! and take every type from there. Start with:
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
//! On a core with a floating-point unit `f32` is more than twice as cheap as fixed point for what runs with every point
//! of a sweep: the correction and the analyser. For the nine readouts of a point it is not: the tidy code below, which
//! guards nothing, beats `Fixed32` there, and `Fixed32` beats this crate's `f32`, which guards each readout to the rim. No
//! speed is claimed against tidy hardware float.
//! On a core with a floating-point unit `f32` takes less than half the instructions of fixed point for the two jobs
//! that run at every point of a sweep: the correction and the analyser. For the nine readouts of a point the tidy code
//! below, which has no range checks, is faster than `Fixed32`, and `Fixed32` is faster than this crate's `f32`, which
//! keeps each readout valid up to |Γ| = 1. This crate does not claim to be faster than tidy hardware float.
//! reflection. `f32` works there too, several times cheaper for the readouts than code over floating-point routines, since
//! it goes through the same integer kernels; take it where the firmware is in `f32` already. `Fixed16` takes fewer
//! instructions still for the readouts, on every core. For a correction, which is computed in wider numbers and rounded,
//! Without such a unit `Fixed32` takes fewer instructions than `f32` in all three jobs, and is more exact near total
//! reflection. `f32` works there too, and its readouts cost several times less than code over floating-point routines,
//! since it uses the same integer kernels; take it if the firmware already uses `f32`. `Fixed16` takes still fewer
//! instructions for the readouts, on every core. For a correction, computed in wider numbers and then rounded, it takes
//! about as many. For a point of a sweep it takes several times more: its steps of 2⁻¹⁵ in Γ look like noise, and the
//! analyser then fits its curves to many points.
//! `benches/README.md` in the sources says how. "Tidy `f32`" is what a careful developer would write over `libm`
//! without this crate. Flash and stack stand in the README.
//!
//! Instructions, not cycles: the mean over 1,001 points, counted under QEMU by `cargo bench --bench on_target` (method:
//! `benches/README.md` in the sources). "Tidy `f32`" is what a careful developer would write over `libm` without this
//! crate. Flash and stack are in the README.
//! | --- | --- | --- | --- | --- | --- | --- |
//! | Cortex-M0 | nine readouts | 10737 | 965 | 737 | 368 | `Fixed16` |
//! | Cortex-M0 | a correction | 2491 | 674 | 393 | 391 | `Fixed16` |
//! | Cortex-M0 | a point of a sweep |  | 1692 | 1247 | 5524 | `Fixed32` |
//! | Cortex-M3 | nine readouts | 5978 | 504 | 377 | 246 | `Fixed16` |
//! | Cortex-M3 | a correction | 1440 | 288 | 140 | 179 | `Fixed32` |
//! | Cortex-M3 | a point of a sweep |  | 1054 | 866 | 3979 | `Fixed32` |
//! | RV32IMC | nine readouts | 5655 | 882 | 611 | 389 | `Fixed16` |
//! | RV32IMC | a correction | 1337 | 436 | 212 | 235 | `Fixed32` |
//! | RV32IMC | a point of a sweep |  | 1097 | 1016 | 4595 | `Fixed32` |
//! | Cortex-M4F | nine readouts | 328 | 686 | 386 | 251 | `Fixed16` |
//! | Cortex-M4F | a correction | 26 | 47 | 137 | 174 | `f32` |
//! | Cortex-M4F | a point of a sweep |  | 263 | 814 | 3847 | `f32` |
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
