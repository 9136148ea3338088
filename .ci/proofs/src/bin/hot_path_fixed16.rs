//! What a device does with every point, in `Fixed16`. Its symbols are looked at.

#![no_std]
#![no_main]

use ohmwright::arithmetic::Fixed16;
use ohmwright_proofs::{calibrating, detecting, device};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!({
    device::readouts::<Fixed16>();
    device::correction::<Fixed16>();
    calibrating::table_correction::<Fixed16>();
    device::decibels::<Fixed16>();
    device::reflection_of_impedance::<Fixed16>();
    device::analyser_push::<Fixed16>();
    detecting::vector_readings::<Fixed16>();
});
