//! Design before winding: what to build so that a load matches.

pub mod ladder;
pub mod line;
pub mod load;
pub mod matching;
pub mod preferred;
pub mod transformer;
pub mod winding;
