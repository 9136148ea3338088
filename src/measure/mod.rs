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
mod uncertainty;

pub use advice::{
    Action, AddedPart, Adjustment, Agreement, Built, Cause, Change, Diagnosis, Direction, Expected,
    Explanation, LearnError, Learnt, MovedShare, NextStep, Placement, PredictionCheck, PredictionReport,
    Printed, Reading, ReadingError, Reason, Retune, Suspect, Toward, TuningElement, compare_readings,
    reactance_beside, swr_interval,
};
pub use plan::{FrequencyPlan, NextReading, PlanError, Refinement, RefinementError};
pub use statistics::Statistics;
pub use sweep::{
    Dip, MaskCheck, MaskReport, MaskSegment, MaskVerdict, Method, Resonance, Ripple, SweepAnalyser,
    SweepBand, SweepError, SweepQuality, SweepReport, SweepSettings, SweepSurvey, Target, TargetReading,
    ThreePointAnalyser, Unresolved, WorstPoint,
};
pub use uncertainty::{Certainty, Uncertainty};
