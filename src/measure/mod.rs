//! From readings to answers.

pub mod advice;
pub mod agreement;
mod analyser;
pub mod balance;
pub mod calibration;
mod curve;
pub mod detector;
mod find;
mod fit;
pub(crate) mod limit;
#[cfg(feature = "defmt")]
mod log;
mod mask;
mod prediction;
mod report;
pub mod statistics;
mod sweep;
pub mod touchstone;
mod window;

pub use advice::{Cause, Diagnosis, Direction, Retune, TuningElement};
pub use agreement::{Agreement, Printed, Reading, ReadingError, agreement, swr_interval};
pub use analyser::{SweepAnalyser, SweepError, SweepSettings};
pub use calibration::ErrorTerms;
pub use mask::{MaskCheck, MaskReport, MaskSegment, MaskVerdict, WorstPoint};
pub use prediction::{Change, Explanation, PredictionCheck, PredictionReport, Suspect};
pub use report::{Band, Dip, Resonance, SweepReport, Target, TargetReading};
pub use statistics::Statistics;
pub use sweep::{FrequencyPlan, NextReading, PlanError, Refinement, RefinementError};
pub use window::Method;
