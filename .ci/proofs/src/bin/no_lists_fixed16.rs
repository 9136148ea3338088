//! As `all_fixed16`, without what holds a list.

#![no_std]
#![no_main]

use ohmwright::arithmetic::Fixed16;
use ohmwright_proofs::device;

ohmwright_proofs::a_panic_breaks_the_link!();
ohmwright_proofs::start!(device::without_lists::<Fixed16>());
