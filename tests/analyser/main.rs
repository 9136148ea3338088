//! Sweeps: plans of frequencies, the streaming analyser, masks.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod bounded;
mod circuits;
mod edge_cases;
mod frequency_plan;
mod hostile;
mod known_sweeps;
mod mask;
mod refinement;
mod restart;
mod single_resonances;
mod sweep_laws;
mod three_point;
