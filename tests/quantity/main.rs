//! Γ, impedance and their readouts: laws, reference tables, published values, and how far each readout may be off.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod laws;
mod mpmath_vectors;
mod next_to_open;
mod next_to_rim;
mod one_figure;
mod reflection_published;
mod rim;
mod search;
mod short_words;
mod statistics;
mod worst_case;
