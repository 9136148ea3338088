//! What the person sees: lines of text, and charts.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod chart;
mod interval;
mod rooms;
mod step;
mod text;
