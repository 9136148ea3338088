//! A control: this indexing can panic, so the image must not link.

#![no_std]
#![no_main]

use ohmwright_proofs::unknown::{any, keep};

ohmwright_proofs::a_panic_breaks_the_link!();
ohmwright_proofs::start!(keep([1u8, 2, 3][any::<usize>()]));
