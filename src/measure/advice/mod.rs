//! Advice from a measurement: which way to move the tuning element, whether ratio or reactance is at fault, whether
//! readings agree, and whether a measurement agrees with its prediction.

mod agreement;
mod diagnosis;
mod evidence;
mod judgement;
mod learn;
mod learn_dips;
mod learn_error;
mod moving;
mod next_step;
mod prediction;
mod remaining;
mod remedy;
mod retune;

pub use agreement::{
    Agreement, Printed, Reading, ReadingError, compare_readings, reactance_beside, swr_interval,
};
pub use diagnosis::{Cause, Diagnosis};
pub use learn::{Adjustment, Learnt, MovedShare};
pub use learn_error::LearnError;
pub use next_step::{Action, AddedPart, Built, Expected, NextStep, Placement, Reason, Toward};
pub use prediction::{Change, Explanation, PredictionCheck, PredictionReport, Suspect};
pub use retune::{Direction, Retune, TuningElement};
