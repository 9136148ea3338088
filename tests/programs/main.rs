//! The example programs, as their users run them.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod bench_sums;
mod cable;
mod edges;
mod first_steps;
mod learnt;
mod match_plan;
mod next_step;
mod odd_files;
mod picture;
mod program;
mod streams;
mod sweep_report;
mod tuner_bench;
