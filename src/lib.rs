//! RF impedance matching on a microcontroller, in floating and in fixed point: from a reflection coefficient to SWR,
//! return loss and impedance; from a running sweep to what to change and by how much.
//!
//! `no_std`, no allocation, no `unsafe`, and no panic: bad input gets a typed error or a documented saturation.
//!
//! # From counts to a verdict
//!
//! This page goes from the converter to the line on the display, in fixed point. Everything in it is invented: an
//! antenna of 36 Ω that resonates at 66.5 MHz but should work at 71 MHz, behind an imperfect bridge. In the examples
//! `counts_at` stands for the hardware: it tunes the source and returns the counts of two receivers.
//!
//! ## 1. Counts to a raw reflection
//!
//! One receiver measures the incident wave, the other the reflected wave; each gives the two counts I and Q of its
//! converter. A [`VectorDetector`](measure::detector::VectorDetector) divides one by the other. It refuses readings
//! that would give a wrong number: a converter at its limit, a reference too weak to divide by. (For a coupler with
//! diodes, or three voltages across a resistor, see [`measure::detector`].)
//!
//! ```
//! use ohmwright::fixed_point::{DetectorError, Iq, VectorDetector, VectorSettings};
//!
//! let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
//! let reading = detector.read_counts(Iq::new(20_000, 0), Iq::new(4_000, 0))?;
//! let raw = reading.reflection(); // 0.2, not yet corrected for the bridge
//! assert_eq!(raw.real().to_string(), "0.2");
//! assert!(reading.quality().is_clean());
//!
//! let clipped = detector.read_counts(Iq::new(32_767, 0), Iq::new(4_000, 0));
//! assert!(matches!(clipped, Err(DetectorError::Overload(_))));
//! # Ok::<(), DetectorError>(())
//! ```
//!
//! ## 2. Raw to corrected
//!
//! At each frequency three complex numbers describe bridge, coupler and cable. They are found by reading an open, a
//! short and a load in place of the antenna, and every later reading is corrected with them. For the quality of the
//! standards, and how a calibration is checked and stored in flash, see [`measure::calibration`].
//!
//! ```
//! # use ohmwright::double;
//! # use ohmwright::measure::detector::Iq;
//! # use ohmwright::quantity::Hertz as Frequency;
//! # fn counts_at(_: Frequency, load: ohmwright::fixed_point::Reflection) -> (Iq, Iq) {
//! #     let part = |re, im| double::Reflection::new(re, im).unwrap();
//! #     let bridge = double::ErrorTerms {
//! #         directivity: part(0.05, -0.02), source_match: part(-0.08, 0.06), tracking: part(0.5, 0.3),
//! #     };
//! #     let seen = bridge.distort(load.convert());
//! #     let count = |part: f64| (20_000.0 * part).round() as i32;
//! #     (Iq::new(20_000, 0), Iq::new(count(seen.real().get()), count(seen.imaginary().get())))
//! # }
//! use ohmwright::fixed_point::{
//!     CalibrationPoint, Hertz, Kit, Recording, Reference, Reflection, Role, VectorDetector, VectorSettings,
//! };
//!
//! let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
//! let mut buffer = [CalibrationPoint::EMPTY; 3];
//! let mut recording = Recording::new(&mut buffer);
//! for (role, connected) in [
//!     (Role::Open, Reflection::OPEN),
//!     (Role::Short, Reflection::SHORT),
//!     (Role::Load, Reflection::MATCHED),
//! ] {
//!     for megahertz in [60, 70, 80] {
//!         let frequency = Hertz::from_megahertz(megahertz);
//!         let (sent, back) = counts_at(frequency, connected);
//!         recording.push(role, frequency, detector.read_counts(sent, back)?.reflection())?;
//!     }
//! }
//! let table = recording.solve(&Kit::IDEAL, Reference::fifty(), -10)?; // calibrated at −10 dBm
//!
//! // 75 Ω in place of the antenna: Γ = 0.2 after correction. Between its frequencies the table interpolates the terms
//! // linearly.
//! let frequency = Hertz::from_megahertz(66);
//! let (sent, back) = counts_at(frequency, Reflection::try_from_f64(0.2, 0.0)?);
//! let raw = detector.read_counts(sent, back)?.reflection();
//! let gamma = table.corrector().correct(frequency, raw)?;
//! assert!((raw.real().to_f64() - 0.2).abs() > 0.04);
//! assert!((gamma.real().to_f64() - 0.2).abs() < 1e-4); // limited by the resolution of the counts
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! ## 3. Readouts of one point
//!
//! All values on a display come from a corrected [`Reflection`](quantity::Reflection). Each readout has a value for
//! every Γ, at |Γ| = 1 too. [`readouts`](quantity::Reflection::readouts) gives all nine; in fixed point for
//! much less than one by one.
//!
//! ```
//! use ohmwright::fixed_point::{Reference, Reflection};
//!
//! // Γ as an integer signal chain delivers it: 0.0588 + j0.2353, in units of 2⁻³⁰.
//! let gamma = Reflection::from_bits(63_161_284, 252_645_135);
//! let load = gamma.impedance(Reference::fifty());
//! assert_eq!(format!("{:.1} {:+.1}", load.resistance(), load.reactance()), "50.0 +25.0");
//! assert_eq!(format!("{:.2}", gamma.swr()), "1.64");
//! assert!(gamma.magnitude() < 0.2426);
//! let all = gamma.readouts(Reference::fifty());
//! assert!(all.return_loss > 12); // dB
//! ```
//!
//! ## 4. A sweep, the verdict, and what to do
//!
//! A [`SweepAnalyser`](measure::SweepAnalyser) takes the points one at a time, stores none of them, and reports at any
//! moment: the dips (also between points), the bands under the SWR limit, the crossings X = 0, and whether the target
//! passes. A [`ThreePointAnalyser`](measure::ThreePointAnalyser) does it on parts with little flash. Beside it a [`SweepSurvey`](measure::SweepSurvey) looks at the sweep as a whole. From both, and from what is
//! built, follows one [`NextStep`](measure::NextStep): move the tuning element, which way and how far; other turns; add a
//! part; leave it; or why nothing can be advised. [`Diagnosis`](measure::Diagnosis) finds whether ratio or reactance is at
//! fault, and [`show::text`] writes the lines for a small display.
//!
//! ```
//! # use ohmwright::double;
//! # use ohmwright::measure::detector::Iq;
//! # fn bridge() -> double::ErrorTerms {
//! #     let part = |re, im| double::Reflection::new(re, im).unwrap();
//! #     double::ErrorTerms {
//! #         directivity: part(0.05, -0.02), source_match: part(-0.08, 0.06), tracking: part(0.5, 0.3),
//! #     }
//! # }
//! # fn counts_at(frequency: Hertz) -> (Iq, Iq) {
//! #     let ratio = frequency.get() as f64 / 66.5e6;
//! #     let antenna = double::Impedance::new(36.0, 260.0 * (ratio - 1.0 / ratio)).unwrap();
//! #     let seen = bridge().distort(antenna.reflection(double::Reference::fifty()));
//! #     let count = |part: f64| (20_000.0 * part).round() as i32;
//! #     (Iq::new(20_000, 0), Iq::new(count(seen.real().get()), count(seen.imaginary().get())))
//! # }
//! # fn calibration() -> ErrorTerms {
//! #     let terms = bridge();
//! #     ErrorTerms {
//! #         directivity: terms.directivity.convert(),
//! #         source_match: terms.source_match.convert(),
//! #         tracking: terms.tracking.convert(),
//! #     }
//! # }
//! use ohmwright::fixed_point::{
//!     Built, Cause, Diagnosis, ErrorTerms, FrequencyPlan, Hertz, NextStep, SweepAnalyser, SweepSettings, SweepSurvey,
//!     Target, TuningElement, VectorDetector, VectorSettings,
//! };
//! use ohmwright::show::text;
//!
//! let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
//! let fixture: ErrorTerms = calibration(); // from step 2; here the same at all frequencies
//! let target = Hertz::from_megahertz(71);
//! // Capacity for four dips, four bands and four crossings; by default the SWR limit is 2 and the reference 50 Ω.
//! let mut analyser = SweepAnalyser::<4>::new(SweepSettings { target: Some(target), ..Default::default() })?;
//! let mut survey = SweepSurvey::new();
//!
//! let plan = FrequencyPlan::linear(Hertz::from_megahertz(60), Hertz::from_megahertz(80), 81)?;
//! for frequency in plan.iter() {
//!     let (sent, back) = counts_at(frequency);
//! // A point that cannot be read is skipped; the grid may be uneven.
//!     let Ok(reading) = detector.read_counts(sent, back) else { continue };
//!     let gamma = fixture.correct(reading.reflection());
//!     analyser.push(frequency, gamma)?;
//!     survey.push(frequency, gamma)?;
//! }
//!
//! let report = analyser.report();
//! let dip = report.best().unwrap();
//! assert!(dip.frequency.get().abs_diff(66_500_000) < 20_000);
//!
//! // The verdict.
//! let mut line = [b' '; 20];
//! assert_eq!(text::verdict(&mut line, &report)?, "fail        SWR 2.32");
//!
//! // The dip is too low. What is to be done? Shorten the antenna to 0.937 of its length.
//! let next = NextStep::new(&report, &survey, &Built::new(TuningElement::Length))?;
//! assert_eq!(text::next_step(&mut line, &next)?, "shorter      x 0.937");
//! assert!(text::expected(&mut line, &next)?.starts_with("for SWR 1.3")); // to the worst that can be
//! // Nothing is to be said of the readings: the line is blank.
//! assert_eq!(text::quality(&mut line, &survey.quality(&report))?.trim(), "");
//!
//! // And if the dip must stay where it is? The mismatch at the target is reactance, not a wrong ratio.
//! let Target::Reading(reading) = report.target() else { unreachable!() };
//! let diagnosis = Diagnosis::new(reading.reflection, report.reference(), report.swr_limit(), target, 6)?;
//! assert_eq!(diagnosis.cause, Cause::Reactance);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Samples may be bad. The report leaves out one or two that fit none of their neighbours and says where
//! ([`spoilt`](measure::SweepReport::spoilt)), counts those that no passive load gives
//! ([`beyond_rim`](measure::SweepReport::beyond_rim)), marks a dip that is too narrow for the steps
//! ([`unresolved`](measure::Dip::unresolved)), and a sweep that is too coarse for what it shows
//! ([`is_too_coarse`](measure::SweepReport::is_too_coarse)). The survey adds noise and ripple; [`show::text::quality`] writes the gravest of these as a line.
//! What counts as noise is [`noise`](measure::SweepSettings::noise) in the settings, 0.01 by default: set it to the
//! standard deviation of a component of Γ of your instrument.
//!
//! ## Where to go from here
//!
//! - A firmware to start from, with this loop: `examples/firmware` in the sources; from C: `examples/c_interface`.
//! - Fixed point for beginners: [`guide::fixed_point`]. Which family for which core: [`guide::families`]. How to build it
//!   small, and what that costs: [`guide::size`].
//! - To design the match: [`design::matching`] for parts and lines, [`design::transformer`] for turns,
//!   [`design::winding`] for coils and cores.
//! - To keep the load matched in service: [`control`], an automatic tuner.
//! - Charts on a display: `show::chart` (feature `embedded-graphics`).
//!
//! # The layers, from the bottom up
//!
//! 1. [`arithmetic`]: *numbers*. The families (`f32`, `f64`, [`Fixed32`](arithmetic::Fixed32),
//!    [`Fixed16`](arithmetic::Fixed16)), the *word* (storage type) that each uses for a quantity, and the error bounds
//!    ([`arithmetic::accuracy`]: one table, which the tests read).
//! 2. [`quantity`]: *what is measured and calculated*. [`Reflection`](quantity::Reflection),
//!    [`Impedance`](quantity::Impedance), [`Hertz`](quantity::Hertz) and others, written once for all families. The
//!    conventions (signs, branches, open and short) are stated there.
//! 3. [`design`]: *before anything is wound*. Loads as data sheets state them ([`design::load`]); transformers, ideal,
//!    real and made of lines ([`design::transformer`]): turns, the magnitude rule of the trade, and what a complex load
//!    really shows; coils, cores and wire ([`design::winding`]); lossy lines ([`design::line`]), chains of elements
//!    with the stress in each ([`design::ladder`]), preferred values ([`design::preferred`]), and networks that match a
//!    load, with the theoretical limit for comparison ([`design::matching`]).
//! 4. [`measure`]: *from readings to answers*. From the counts of a detector to a raw reflection
//!    ([`measure::detector`]), calibration from standards ([`measure::calibration`]), the balance of two outputs
//!    ([`measure::balance`]), plans of frequencies ([`FrequencyPlan`](measure::FrequencyPlan),
//!    [`Refinement`](measure::Refinement)), cables and the distance to a fault ([`measure::line`]), one-port Touchstone
//!    files ([`measure::touchstone`]), the streaming [`SweepAnalyser`](measure::SweepAnalyser) and its report, masks, and advice: one next step
//!    ([`NextStep`](measure::NextStep)); what to change, which way, how much ([`Retune`](measure::Retune)); ratio or reactance ([`Diagnosis`](measure::Diagnosis)); do these readings agree
//!    ([`compare_readings`](measure::compare_readings)); does the measurement agree with the prediction, and if not,
//!    why ([`PredictionCheck`](measure::PredictionCheck)).
//! 5. [`control`]: *keeping it matched*. A switched bank and the best of its settings, the state machine of an
//!    automatic tuner ([`Tuner`](control::Tuner)), protection, memory, and a simulated bench to test them on.
//! 6. [`show`]: *what the user sees*. Readouts as lines of text ([`show::text`]), and with the feature
//!    `embedded-graphics` a Smith chart, an SWR curve and whole screens on any display.
//!
//! Data for flash has one frame with a checksum ([`stored`]).
//!
//! A layer uses only the layers above it in this list.
//!
//! # Which family?
//!
//! With a floating-point unit `f32`, without one [`Fixed32`](arithmetic::Fixed32), on a PC `f64`;
//! [`Fixed16`](arithmetic::Fixed16) if the readings have at most 14 bits. [`guide::families`] has reasons and figures.
//! The alias modules [`fixed_point`], [`small_fixed_point`], [`floating`] (`f32`) and [`double`] (`f64`) fix the
//! family.
//!
//! # Care
//!
//! This work can hurt people: RF burns, high voltage in a mismatched network, stored charge, toxic ceramics in some
//! power devices. Transmit only where you are licensed to. Local rules and licensed practice come first.

#![no_std]
#![forbid(unsafe_code)]
#![deny(missing_debug_implementations)]
#![deny(missing_docs)]
#![cfg_attr(docsrs, feature(doc_cfg))]

#[cfg(test)]
extern crate std;

pub use fixed;

#[macro_use]
mod serialised;
#[macro_use]
mod setters;

#[macro_use]
pub mod arithmetic;
pub mod control;
pub mod design;
mod families;
pub mod guide;
pub mod measure;
pub mod quantity;
pub mod show;
pub mod stored;

pub use families::{double, fixed_point, floating, small_fixed_point};

/// The README's program, compiled and run with the documentation tests.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
