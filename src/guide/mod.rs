//! Pages to read before the first line of firmware: [fixed point](fixed_point) for beginners, [which family of
//! numbers](families) suits which core, [where an analyser lives](firmware) in a firmware, and [how to build](size) for speed
//! or for size. They contain no code except examples.
//!
//! The way from the counts of a converter to a verdict is on the [front page](crate#from-counts-to-a-verdict).

pub mod families;
pub mod firmware;
pub mod fixed_point;
pub mod size;
