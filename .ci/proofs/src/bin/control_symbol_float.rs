//! A control: floating point by software must be seen.

#![no_std]
#![no_main]

use ohmwright_proofs::unknown::{any, keep};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!(keep(any::<f32>() * any::<f32>() + any::<f64>() as f32));
