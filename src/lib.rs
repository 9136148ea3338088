//! RF impedance matching on a microcontroller: from a reflection coefficient to SWR, return loss and impedance, from a
//! running sweep to what should be changed and by how much, in floating and in fixed point.
//!
//! `no_std`, no allocation, no `unsafe`, and no panic: bad input gets a typed error or a documented end of range.
//!
//! # From counts to a verdict
//!
//! This page goes once from the converter to the line on the display, in fixed point. Everything in it is invented: an
//! antenna of 36 Ω that resonates at 66.5 MHz, though it is to work at 71, behind a bridge that is none of the best. In
//! each of the examples `counts_at` stands for the hardware: it tunes the source and gives the counts of two receivers.
//!
//! ## 1. Counts to a raw reflection
//!
//! Two receivers listen, one to what is sent and one to what comes back, each with the two counts I and Q of its
//! converter. A [`VectorDetector`](measure::detector::VectorDetector) divides the one by the other, and refuses what would
//! give a wrong number: a converter at its end, a reference too weak to divide by. (For a coupler with diodes, or three
//! voltages across a resistor, see [`measure::detector`].)
//!
//! ```
//! use ohmwright::fixed_point::{VectorDetector, VectorSettings};
//! use ohmwright::measure::detector::{DetectorError, Iq};
//!
//! let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
//! let reading = detector.read_counts(Iq::new(20_000, 0), Iq::new(4_000, 0))?;
//! let raw = reading.reflection(); // 0.2, still with the bridge in it
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
//! Bridge, coupler and cable are three complex numbers at each frequency. They are found by reading an open, a short and a
//! load in place of the antenna, and are taken out of every reading from then on. How good the standards must be, how a
//! calibration is checked and kept in flash: [`measure::calibration`].
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
//! #     (Iq::new(20_000, 0), Iq::new(count(seen.real()), count(seen.imaginary())))
//! # }
//! use ohmwright::fixed::types::I16F16;
//! use ohmwright::fixed_point::{CalibrationPoint, Kit, Reference, Reflection, VectorDetector, VectorSettings};
//! use ohmwright::measure::calibration::{Recording, Role};
//! use ohmwright::quantity::Hertz;
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
//! let power_dbm = I16F16::lit("-10");
//! let table = recording.solve(&Kit::IDEAL, Reference::fifty(), power_dbm)?;
//!
//! // 75 Ω in place of the antenna: Γ = 0.2, whatever the bridge makes of it. Between the frequencies of the table the
//! // terms lie on straight lines.
//! let frequency = Hertz::from_megahertz(66);
//! let (sent, back) = counts_at(frequency, Reflection::try_from_f64(0.2, 0.0)?);
//! let raw = detector.read_counts(sent, back)?.reflection();
//! let gamma = table.corrector().correct(frequency, raw)?;
//! assert!((raw.real().to_num::<f64>() - 0.2).abs() > 0.04);
//! assert!((gamma.real().to_num::<f64>() - 0.2).abs() < 1e-4); // as exact as the counts are fine
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! ## 3. Readouts of one point
//!
//! Everything that a display shows is read off a corrected [`Reflection`](quantity::Reflection), and each readout has a
//! value for every Γ, at the rim too. [`readouts`](quantity::Reflection::readouts) gives all nine for much less than one
//! by one.
//!
//! ```
//! use ohmwright::fixed::types::I2F30;
//! use ohmwright::fixed_point::{Reference, Reflection};
//!
//! // Γ as an integer signal chain delivers it: 0.0588 + j0.2353, in units of 2⁻³⁰.
//! let gamma = Reflection::from_bits(63_161_284, 252_645_135);
//! let load = gamma.impedance(Reference::fifty());
//! assert_eq!(load.resistance().to_num::<i32>(), 50);
//! assert_eq!(load.reactance().round().to_num::<i32>(), 25);
//! assert_eq!(gamma.swr().to_bits() * 100 >> 16, 164); // SWR 1.64
//! assert!(gamma.magnitude() < I2F30::lit("0.2426"));
//! let all = gamma.readouts(Reference::fifty());
//! assert_eq!(all.return_loss.to_num::<i32>(), 12); // dB
//! ```
//!
//! ## 4. A sweep, the verdict, and what to do
//!
//! A [`SweepAnalyser`](measure::SweepAnalyser) takes the points one at a time, keeps none of them, and reports at any
//! moment: the dips, between the points too, the bands under the SWR limit, the crossings X = 0, and whether the target
//! passes. From the report it is one step to the advice: [`Retune`](measure::Retune) says which way to move the tuning
//! element and how far, [`Diagnosis`](measure::Diagnosis) whether ratio or reactance is at fault, and [`show::text`]
//! writes the lines for a small display.
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
//! #     (Iq::new(20_000, 0), Iq::new(count(seen.real()), count(seen.imaginary())))
//! # }
//! # fn calibration() -> ErrorTerms {
//! #     let terms = bridge();
//! #     ErrorTerms {
//! #         directivity: terms.directivity.convert(),
//! #         source_match: terms.source_match.convert(),
//! #         tracking: terms.tracking.convert(),
//! #     }
//! # }
//! use ohmwright::fixed_point::{Diagnosis, ErrorTerms, Retune};
//! use ohmwright::fixed_point::{SweepAnalyser, SweepSettings, VectorDetector, VectorSettings};
//! use ohmwright::measure::{Cause, FrequencyPlan, Target, TuningElement};
//! use ohmwright::quantity::Hertz;
//! use ohmwright::show::text;
//!
//! let detector = VectorDetector::new(VectorSettings::for_bits(16)?)?;
//! let fixture: ErrorTerms = calibration(); // of step 2; here the same at all frequencies
//! let target = Hertz::from_megahertz(71);
//! // Room for four dips, four bands and four crossings; SWR limit 2 and reference 50 Ω unless said otherwise.
//! let mut analyser = SweepAnalyser::<4>::new(SweepSettings { target: Some(target), ..Default::default() })?;
//!
//! let plan = FrequencyPlan::linear(Hertz::from_megahertz(60), Hertz::from_megahertz(80), 81)?;
//! for frequency in plan.iter() {
//!     let (sent, back) = counts_at(frequency);
//!     // A point that cannot be read is left out; the grid need not be even.
//!     let Ok(reading) = detector.read_counts(sent, back) else { continue };
//!     analyser.push(frequency, fixture.correct(reading.reflection()))?;
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
//! // The dip is low. What brings it to the target? (Shorten the antenna: 0.937 of its length.)
//! let advice = Retune::new(TuningElement::Length, dip.frequency, target).unwrap();
//! assert_eq!(text::advice(&mut line, &advice)?, "shorter      x 0.937");
//!
//! // And if the dip is to stay where it is? What is left at the target is reactance, not a wrong ratio.
//! let Target::Reading(reading) = report.target() else { unreachable!() };
//! let diagnosis = Diagnosis::new(reading.reflection, report.reference(), report.swr_limit(), target, 6)?;
//! assert_eq!(diagnosis.cause, Cause::Reactance);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! ## Where to go from here
//!
//! - A firmware to start from, with this loop in it: `examples/firmware` in the sources; from C: `examples/c_interface`.
//! - Fixed point, for those who have never used it: [`guide::fixed_point`]. Which family for which core:
//!   [`guide::families`].
//! - To design the match in the first place: [`design::matching`] for parts and lines,
//!   [`design::transformer`] for turns, [`design::winding`] for coils and cores.
//! - To keep it matched while it is in service: [`control`], an automatic tuner.
//! - Charts on a display: `show::chart` (feature `embedded-graphics`).
//!
//! # The layers, from the bottom up
//!
//! 1. [`arithmetic`]: *numbers*. Which families there are (`f32`, `f64`, [`Fixed32`](arithmetic::Fixed32),
//!    [`Fixed16`](arithmetic::Fixed16)), in which word each keeps a quantity, and how exact it is
//!    ([`arithmetic::accuracy`]: one table, which the tests read).
//! 2. [`quantity`]: *what is talked about*. [`Reflection`](quantity::Reflection), [`Impedance`](quantity::Impedance),
//!    [`Hertz`](quantity::Hertz) and their relatives, written once for all families. The conventions (signs, branches,
//!    open and short) are stated there, in one place.
//! 3. [`design`]: *before anything is wound*. Loads as their makers print them ([`design::load`]); transformers, ideal,
//!    real and of lines ([`design::transformer`]): turns, the magnitude rule of the trade, and what a complex load
//!    really shows; coils, cores and wire ([`design::winding`]); lossy lines ([`design::line`]), chains of elements with
//!    the stress in each ([`design::ladder`]), preferred values ([`design::preferred`]), and the networks that match a
//!    load, with the limit of all of them beside ([`design::matching`]).
//! 4. [`measure`]: *readings in, answers out*. From the counts of a detector to a raw reflection
//!    ([`measure::detector`]), calibration from standards ([`measure::calibration`]), the balance of two outputs
//!    ([`measure::balance`]), plans of frequencies ([`FrequencyPlan`](measure::FrequencyPlan),
//!    [`Refinement`](measure::Refinement)), one-port Touchstone files ([`measure::touchstone`]), the streaming
//!    [`SweepAnalyser`](measure::SweepAnalyser) and its report, masks, and advice: what to change, which way, how much
//!    ([`Retune`](measure::Retune)); ratio or reactance ([`Diagnosis`](measure::Diagnosis)); do these readings agree
//!    ([`compare_readings`](measure::compare_readings))? Is this what was predicted, and if not, what is wrong
//!    ([`PredictionCheck`](measure::PredictionCheck))?
//! 5. [`control`]: *keeping it matched*. A switched bank and the best of its settings, the state machine of an automatic
//!    tuner ([`Tuner`](control::Tuner)), protection, memory, and a simulated bench to test them on.
//! 6. [`show`]: *what the person sees*. Readouts as lines of text ([`show::text`]), and with the feature
//!    `embedded-graphics` a Smith chart, an SWR curve and whole screens on any display.
//!
//! What is kept in flash has one frame with a checksum ([`stored`]).
//!
//! A layer uses those above it in this list, and none below.
//!
//! # Which family?
//!
//! With a floating-point unit `f32`, without one [`Fixed32`](arithmetic::Fixed32), on hosts `f64`;
//! [`Fixed16`](arithmetic::Fixed16) where the readings have no more bits. [`guide::families`] has the reasons and the
//! measured table. The alias modules [`fixed_point`], [`small_fixed_point`], [`floating`] (`f32`) and [`double`] (`f64`)
//! fix the family once, and hold every name that a firmware needs, so that one `use` is enough.
//!
//! # Care
//!
//! What these numbers are used for can hurt: RF burns, high voltage in a mismatched network, stored charge, toxic
//! ceramics in some power devices. Transmit only where you are licensed to. Local rules and licensed practice come
//! first.

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
