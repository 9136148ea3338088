//! What the user sees: readouts as text of a fixed width, and charts on any display.

#[cfg(feature = "embedded-graphics")]
pub mod chart;
mod number;
pub mod text;
