//! The judgement in a closed loop: a stage with a known fault is measured, what the next step says is done to it and nothing
//! else, and it is measured again, up to four times. Then the truth is looked at.
//!
//! The stages, their faults and what disturbs the measurement are invented; the algebra of the stages is in `circuits.rs`
//! and has nothing in common with the crate. `cargo test --test judgement -- --nocapture` prints the tables;
//! with `OHMWRIGHT_STORIES=1` also the story of each loop that fails; with `OHMWRIGHT_SEARCH=deep` many more loops are run.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod bench;
mod circuits;
mod faults;
mod loops;
