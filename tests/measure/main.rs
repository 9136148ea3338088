//! Readings in: detectors, calibration, balance, Touchstone; and what is advised of them.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod advice;
mod agreement_edges;
mod balance;
mod beyond_rim;
mod cable;
mod calibration;
mod calibration_published;
mod correction;
mod detector;
mod distance;
mod learn;
mod next_step;
mod serialised;
mod survey;
mod touchstone;
mod uncertainty;
