//! Before anything is wound: what to build so that a load matches.

#[cfg(feature = "defmt")]
mod log;
pub mod transformer;
