//! Matching networks, and a predicted match against the measured one.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod buildable_plans;
mod matching_published;
mod networks;
mod prediction;
