//! Readouts and correction in `Fixed16`. Its symbols are looked at.

#![no_std]
#![no_main]

use ohmwright::arithmetic::Fixed16;
use ohmwright_proofs::{calibrating, device};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!({
    device::readouts::<Fixed16>();
    device::correction::<Fixed16>();
    calibrating::table_correction::<Fixed16>();
});
