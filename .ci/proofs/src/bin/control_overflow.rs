//! A control: this sum can overflow, so the image must not link where overflow is checked, and link elsewhere.

#![no_std]
#![no_main]

use ohmwright_proofs::unknown::{any, keep};

ohmwright_proofs::a_panic_breaks_the_link!();
ohmwright_proofs::start!(keep(any::<i32>() + any::<i32>()));
