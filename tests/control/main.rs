//! Keeping it matched: the bank and its search, the tuner, its memory.

#[macro_use]
#[path = "../common/mod.rs"]
mod common;

mod bank;
mod memory;
mod protection;
mod settings;
mod tuner;
mod tuner_model;
mod tuner_promises;
mod tuner_search;
mod tuner_service;
mod tuner_truth;
mod tuners;
