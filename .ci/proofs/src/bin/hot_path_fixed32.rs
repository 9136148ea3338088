//! What a device does with every point, in `Fixed32`. Its symbols are looked at.

#![no_std]
#![no_main]

use ohmwright::arithmetic::Fixed32;
use ohmwright_proofs::{calibrating, detecting, device};

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!({
    device::readouts::<Fixed32>();
    device::correction::<Fixed32>();
    calibrating::table_correction::<Fixed32>();
    device::decibels::<Fixed32>();
    device::reflection_of_impedance::<Fixed32>();
    device::analyser_push::<Fixed32>();
    detecting::vector_readings::<Fixed32>();
});
