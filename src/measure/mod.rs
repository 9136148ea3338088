//! From readings to answers.

mod advice;
pub mod balance;
pub mod calibration;
pub mod detector;
pub mod line;
mod plan;
pub(crate) mod statistics;
pub(crate) mod sweep;
pub mod touchstone;

pub use advice::{
    Agreement, Cause, Change, Diagnosis, Direction, Explanation, PredictionCheck, PredictionReport, Printed,
    Reading, ReadingError, Retune, Suspect, TuningElement, compare_readings, reactance_beside, swr_interval,
};
pub use plan::{FrequencyPlan, NextReading, PlanError, Refinement, RefinementError};
pub use statistics::Statistics;
pub use sweep::{
    Dip, MaskCheck, MaskReport, MaskSegment, MaskVerdict, Method, Resonance, SweepAnalyser, SweepBand,
    SweepError, SweepReport, SweepSettings, Target, TargetReading, Unresolved, WorstPoint,
};
