//! What is laid out before anything is wound: loads, transformers, coils, lines, ladders, preferred values.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod ladder;
mod line;
mod load;
mod preferred;
mod real_transformer;
mod transformer;
mod winding;
