//! No call in `Fixed32` can panic: the image links.

#![no_std]
#![no_main]

use ohmwright::arithmetic::Fixed32;
use ohmwright_proofs::device;

ohmwright_proofs::a_panic_breaks_the_link!();
ohmwright_proofs::start!(device::everything::<Fixed32>());
