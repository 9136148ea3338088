//! RF impedance matching on a microcontroller: from a reflection coefficient to SWR, return loss and impedance, from a
//! running sweep to what should be changed and by how much, in floating and in fixed point.
//!
//! `no_std`, no allocation, no `unsafe`, and no panic: bad input gets a typed error or a documented end of range.
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
//!    ([`agreement`](measure::agreement()))? Is this what was predicted, and if not, what is wrong
//!    ([`PredictionCheck`](measure::PredictionCheck))?
//! 5. [`show`]: *what the person sees*. Readouts as lines of text ([`show::text`]), and with the feature
//!    `embedded-graphics` a Smith chart, an SWR curve and whole screens on any display.
//!
//! What is kept in flash has one frame with a checksum ([`stored`]).
//!
//! 5. [`control`]: *keeping it matched*. A switched bank and the best of its settings, the state machine of an automatic
//!    tuner ([`Tuner`](control::Tuner)), protection, memory, and a simulated bench to test them on.
//!
//! A layer uses those above it in this list, and none below.
//!
//! # One point
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
//! ```
//!
//! # A sweep
//!
//! See [`SweepAnalyser`](measure::SweepAnalyser): push one point at a time, ask for a report at any moment.
//!
//! # Which family?
//!
//! With a floating-point unit, `f32` is the family for sweeps, corrections and impedances, where it is several times
//! cheaper than fixed point; all nine readouts of a point at once are cheaper in fixed point even there. Without such a
//! unit, [`Fixed32`](arithmetic::Fixed32) takes a small part of the instructions, gives the same bits on every core, and
//! is the more exact of the two near total reflection;
//! [`Fixed16`](arithmetic::Fixed16) takes half of that again, for readings of 12 to 16 bits. `f32` on such a core goes
//! through the same integer kernels. Hosts use `f64`. The README has the measured table. The alias modules
//! [`fixed_point`], [`small_fixed_point`], [`floating`] (`f32`) and [`double`] (`f64`) fix the family once.
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

pub mod arithmetic;
pub mod control;
pub mod design;
#[cfg(any(feature = "defmt", test))]
mod loggable;
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
            /// See [`measure::ErrorTerms`](crate::measure::ErrorTerms).
            pub type ErrorTerms = crate::measure::ErrorTerms<$family>;
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
