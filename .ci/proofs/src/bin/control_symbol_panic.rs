//! A control: a symbol of the panic machinery must be seen.

#![no_std]
#![no_main]

use ohmwright_proofs::unknown::{any, keep};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!(keep([1u8, 2, 3][any::<usize>()]));
