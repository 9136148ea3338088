//! A control: a 64-bit division must be seen.

#![no_std]
#![no_main]

use ohmwright_proofs::unknown::{any, keep};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!(keep(any::<u64>() / (any::<u64>() | 1)));
