//! Before anything is wound: what to build so that a load matches.

pub mod transformer;
