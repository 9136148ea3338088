//! Which `opt-level` for a firmware: speed against flash, from the measured table.
//!
//! Start from this profile, and change only the level:
//!
//! ```toml
//! [profile.release]
//! opt-level = "z"   # 3 for speed, "s" between
//! lto = "fat"       # leaves out what is not called
//! codegen-units = 1
//! panic = "abort"
//! ```
//!
//! The library is generic, so it is compiled in your crate, with your profile; a level for the package `ohmwright` alone
//! changes little. `debug = 2` costs no flash: it stays in the file on the PC.
//!
//! # What a level is worth
//!
//! The whole job on a Cortex-M0: a sweep of 401 points, each corrected, read out and pushed to a `SweepAnalyser` with room
//! for four dips; then the report, and five lines of text: the best point with SWR, return loss and impedance, and the
//! verdict. Instructions of a point are the mean with its share of the report and the lines; "longest" is the longest
//! call of all. Flash is code and tables, without start-up code and drivers.
//!
//! <!-- size:begin -->
//!
//! | family | `opt-level` | instructions of a point, mean / longest | flash, bytes | stack, bytes |
//! | --- | --- | --- | --- | --- |
//! | `Fixed32` | 3 | 2527 / 54495 | 52516 | 1784 |
//! | `Fixed32` | `"s"` | 2636 / 55190 | 43152 | 1956 |
//! | `Fixed32` | `"z"` | 2928 / 57111 | 38852 | 2036 |
//! | `Fixed16` | 3 | 2488 / 80918 | 52952 | 1736 |
//! | `Fixed16` | `"s"` | 2761 / 94573 | 43328 | 1916 |
//! | `Fixed16` | `"z"` | 3139 / 115479 | 40064 | 1980 |
//! | `f32` | 3 | 3411 / 79050 | 59916 | 1716 |
//! | `f32` | `"s"` | 3447 / 79627 | 47916 | 1852 |
//! | `f32` | `"z"` | 3851 / 80596 | 42348 | 1924 |
//!
//! <!-- size:end -->
//!
//! `cargo bench --bench on_target -- --core m0 --kernel whole_job_z` measures a row; `--level z` builds any other kernel so.
//! Measure your own firmware: the figures depend on the compiler.
//!
//! # How long it takes to build
//!
//! A clean `cargo build --release` of the library for `thumbv6m-none-eabi` compiles 18 crates, itself included, in 33 s of
//! processor time, 17 s of work for each of two free cores (rustc 1.95). Six of them are not needed by any arithmetic here: they
//! come with newer versions of `half`, which `fixed` needs. In a firmware, whose lock file is its own, an older one leaves
//! them out: after `cargo update -p half --precise 2.4.1` it is 12 crates and 23 s, if no other crate of yours wants a
//! newer one. The features `defmt`, `embedded-graphics` and `serde` are off unless asked for, and so are their crates.
//!
//! # Advice
//!
//! Take `"z"` if flash is short: it costs a sixth of the speed, in `Fixed16` a third, since each kernel then stands in flash
//! once and is called. A program for a part with 32 KB takes the `ThreePointAnalyser` and ends a sweep by its
//! [`finish`](crate::measure::ThreePointAnalyser::finish), which needs no second report in memory. Take 3 if the time of a point matters.
//! Without a floating-point unit `f32` needs more flash than fixed point.
