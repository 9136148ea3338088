//! The example programs, as their users run them.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod cable;
mod first_steps;
mod match_plan;
mod picture;
mod program;
mod sweep_report;
mod tuner_bench;
