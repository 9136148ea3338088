//! Readouts and correction in `Fixed32`. Its symbols are looked at.

#![no_std]
#![no_main]

use ohmwright::arithmetic::Fixed32;
use ohmwright_proofs::{calibrating, device};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!({
    device::readouts::<Fixed32>();
    device::correction::<Fixed32>();
    calibrating::table_correction::<Fixed32>();
});
