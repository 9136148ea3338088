//! What the person sees: lines of text, and charts.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod chart;
mod interval;
mod outdoors;
mod rooms;
mod short;
mod step;
mod text;
