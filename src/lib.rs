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
//! fix the family once.
//!
//! # Care
//!
//! What these numbers are used for can hurt: RF burns, high voltage in a mismatched network, stored charge, toxic
//! ceramics in some power devices. Transmit only where you are licensed to. Local rules and licensed practice come
//! first.

#![no_std]
#![forbid(unsafe_code)]
#![deny(missing_docs)]
#![cfg_attr(docsrs, feature(doc_cfg))]

#[cfg(test)]
extern crate std;

pub use fixed;

#[macro_use]
mod setters;

#[macro_use]
pub mod arithmetic;
pub mod control;
pub mod design;
pub mod guide;
pub mod measure;
pub mod quantity;
pub mod show;
pub mod stored;

/// One alias for each domain type of a family, so that the compiler need not be told the family again and again.
macro_rules! aliases {
    ($(#[$doc:meta])* $module:ident, $family:ty) => {
        $(#[$doc])*
        pub mod $module {
            /// The family itself.
            pub type Family = $family;
            /// See [`quantity::Reflection`](crate::quantity::Reflection).
            pub type Reflection = crate::quantity::Reflection<$family>;
            /// See [`quantity::Impedance`](crate::quantity::Impedance).
            pub type Impedance = crate::quantity::Impedance<$family>;
            /// See [`quantity::Admittance`](crate::quantity::Admittance).
            pub type Admittance = crate::quantity::Admittance<$family>;
            /// See [`quantity::ParallelForm`](crate::quantity::ParallelForm).
            pub type ParallelForm = crate::quantity::ParallelForm<$family>;
            /// See [`quantity::Reference`](crate::quantity::Reference).
            pub type Reference = crate::quantity::Reference<$family>;
            /// See [`quantity::Inductance`](crate::quantity::Inductance).
            pub type Inductance = crate::quantity::Inductance<$family>;
            /// See [`quantity::Capacitance`](crate::quantity::Capacitance).
            pub type Capacitance = crate::quantity::Capacitance<$family>;
            /// See [`quantity::Reactor`](crate::quantity::Reactor).
            pub type Reactor = crate::quantity::Reactor<$family>;
            /// See [`measure::SweepAnalyser`](crate::measure::SweepAnalyser).
            pub type SweepAnalyser<const N: usize> = crate::measure::SweepAnalyser<$family, N>;
            /// See [`measure::SweepSettings`](crate::measure::SweepSettings).
            pub type SweepSettings = crate::measure::SweepSettings<$family>;
            /// See [`measure::SweepReport`](crate::measure::SweepReport).
            pub type SweepReport<const N: usize> = crate::measure::SweepReport<$family, N>;
            /// See [`measure::detector::VectorSettings`](crate::measure::detector::VectorSettings).
            pub type VectorSettings = crate::measure::detector::VectorSettings<$family>;
            /// See [`measure::detector::VectorDetector`](crate::measure::detector::VectorDetector).
            pub type VectorDetector = crate::measure::detector::VectorDetector<$family>;
            /// See [`measure::detector::VectorReading`](crate::measure::detector::VectorReading).
            pub type VectorReading = crate::measure::detector::VectorReading<$family>;
            /// See [`measure::detector::VectorAverage`](crate::measure::detector::VectorAverage).
            pub type VectorAverage = crate::measure::detector::VectorAverage<$family>;
            /// See [`measure::detector::Imbalance`](crate::measure::detector::Imbalance).
            pub type Imbalance = crate::measure::detector::Imbalance<$family>;
            /// See [`measure::detector::ImbalanceEstimate`](crate::measure::detector::ImbalanceEstimate).
            pub type ImbalanceEstimate = crate::measure::detector::ImbalanceEstimate<$family>;
            /// See [`measure::detector::LevelTable`](crate::measure::detector::LevelTable).
            pub type LevelTable<'a> = crate::measure::detector::LevelTable<'a, $family>;
            /// See [`measure::detector::ScalarSettings`](crate::measure::detector::ScalarSettings).
            pub type ScalarSettings = crate::measure::detector::ScalarSettings<$family>;
            /// See [`measure::detector::ScalarDetector`](crate::measure::detector::ScalarDetector).
            pub type ScalarDetector<'a> = crate::measure::detector::ScalarDetector<'a, $family>;
            /// See [`measure::detector::ThreeVoltageSettings`](crate::measure::detector::ThreeVoltageSettings).
            pub type ThreeVoltageSettings = crate::measure::detector::ThreeVoltageSettings<$family>;
            /// See [`measure::detector::ThreeVoltageDetector`](crate::measure::detector::ThreeVoltageDetector).
            pub type ThreeVoltageDetector<'a> = crate::measure::detector::ThreeVoltageDetector<'a, $family>;
            /// See [`measure::MaskCheck`](crate::measure::MaskCheck).
            pub type MaskCheck<const M: usize> = crate::measure::MaskCheck<$family, M>;
            /// See [`measure::Retune`](crate::measure::Retune).
            pub type Retune = crate::measure::Retune<$family>;
            /// See [`measure::calibration::ErrorTerms`](crate::measure::calibration::ErrorTerms).
            pub type ErrorTerms = crate::measure::calibration::ErrorTerms<$family>;
            /// See [`measure::calibration::CalibrationPoint`](crate::measure::calibration::CalibrationPoint).
            pub type CalibrationPoint = crate::measure::calibration::CalibrationPoint<$family>;
            /// See [`measure::calibration::CalibrationTable`](crate::measure::calibration::CalibrationTable).
            pub type CalibrationTable<'a> = crate::measure::calibration::CalibrationTable<'a, $family>;
            /// See [`measure::calibration::Delay`](crate::measure::calibration::Delay).
            pub type Delay = crate::measure::calibration::Delay<$family>;
            /// See [`measure::calibration::Kit`](crate::measure::calibration::Kit).
            pub type Kit = crate::measure::calibration::Kit<$family>;
            /// See [`measure::calibration::LeastSquares`](crate::measure::calibration::LeastSquares).
            pub type LeastSquares = crate::measure::calibration::LeastSquares<$family>;
            /// See [`measure::calibration::Offset`](crate::measure::calibration::Offset).
            pub type Offset = crate::measure::calibration::Offset<$family>;
            /// See [`measure::calibration::Standard`](crate::measure::calibration::Standard).
            pub type Standard = crate::measure::calibration::Standard<$family>;
            /// See [`measure::Diagnosis`](crate::measure::Diagnosis).
            pub type Diagnosis = crate::measure::Diagnosis<$family>;
            /// See [`control::Bank`](crate::control::Bank).
            pub type Bank<const L: usize, const C: usize> = crate::control::Bank<$family, L, C>;
            /// See [`control::Tuner`](crate::control::Tuner).
            pub type Tuner<const L: usize, const C: usize> = crate::control::Tuner<$family, L, C>;
            /// See [`control::TunerSettings`](crate::control::TunerSettings).
            pub type TunerSettings = crate::control::TunerSettings<$family>;
            /// See [`control::TunerMemory`](crate::control::TunerMemory).
            pub type TunerMemory<'m> = crate::control::TunerMemory<'m, $family>;
            /// See [`control::SensorReading`](crate::control::SensorReading).
            pub type SensorReading = crate::control::SensorReading<$family>;
            /// See [`control::Protection`](crate::control::Protection).
            pub type Protection = crate::control::Protection<$family>;
            /// See [`design::transformer::MagnitudeRule`](crate::design::transformer::MagnitudeRule).
            pub type MagnitudeRule = crate::design::transformer::MagnitudeRule<$family>;
            /// See [`design::line::Line`](crate::design::line::Line).
            pub type Line = crate::design::line::Line<$family>;
            /// See [`design::ladder::Part`](crate::design::ladder::Part).
            pub type Part = crate::design::ladder::Part<$family>;
            /// See [`design::ladder::Element`](crate::design::ladder::Element).
            pub type Element = crate::design::ladder::Element<$family>;
            /// See [`design::ladder::Ladder`](crate::design::ladder::Ladder).
            pub type Ladder<const N: usize> = crate::design::ladder::Ladder<$family, N>;
            /// See [`design::load::LoadTable`](crate::design::load::LoadTable).
            pub type LoadTable<'a> = crate::design::load::LoadTable<'a, $family>;
            /// See [`design::load::LoadCircuit`](crate::design::load::LoadCircuit).
            pub type LoadCircuit = crate::design::load::LoadCircuit<$family>;
            /// See [`design::load::LookingIn`](crate::design::load::LookingIn).
            pub type LookingIn = crate::design::load::LookingIn<$family>;
            /// See [`design::load::Presented`](crate::design::load::Presented).
            pub type Presented = crate::design::load::Presented<$family>;
            /// See [`design::load::PushPull`](crate::design::load::PushPull).
            pub type PushPull = crate::design::load::PushPull<$family>;
            /// See [`design::load::StandIn`](crate::design::load::StandIn).
            pub type StandIn = crate::design::load::StandIn<$family>;
            /// See [`design::transformer::RealTransformer`](crate::design::transformer::RealTransformer).
            pub type RealTransformer = crate::design::transformer::RealTransformer<$family>;
            /// See [`design::transformer::LineTransformer`](crate::design::transformer::LineTransformer).
            pub type LineTransformer = crate::design::transformer::LineTransformer<$family>;
            /// See [`design::transformer::OpenShortTest`](crate::design::transformer::OpenShortTest).
            pub type OpenShortTest = crate::design::transformer::OpenShortTest<$family>;
            /// See [`design::transformer::TransformerFit`](crate::design::transformer::TransformerFit).
            pub type TransformerFit = crate::design::transformer::TransformerFit<$family>;
            /// See [`measure::PredictionCheck`](crate::measure::PredictionCheck).
            pub type PredictionCheck = crate::measure::PredictionCheck<$family>;
            /// See [`measure::PredictionReport`](crate::measure::PredictionReport).
            pub type PredictionReport = crate::measure::PredictionReport<$family>;
        }
    };
}

aliases! {
    /// The domain types in 32-bit fixed point ([`Fixed32`](crate::arithmetic::Fixed32)): any core, the same bits on each.
    fixed_point, crate::arithmetic::Fixed32
}
aliases! {
    /// The domain types in 16-bit fixed point ([`Fixed16`](crate::arithmetic::Fixed16)): for 12-bit converters and the
    /// smallest cores.
    small_fixed_point, crate::arithmetic::Fixed16
}
aliases! {
    /// The domain types in `f32`: for cores with a floating-point unit.
    floating, f32
}
aliases! {
    /// The domain types in `f64`: for hosts.
    double, f64
}

/// The README's program, compiled and run with the documentation tests.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
