//! What the three programs share: invented readings in the place of a front end, and a board that is a machine of QEMU.
#![no_std]
#![forbid(unsafe_code)]

use core::panic::PanicInfo;

use cortex_m as _;
use ohmwright::fixed_point::{Hertz, Impedance, Reference, Reflection, SweepReport};
use semihosting::{println, process};

/// The points of the sweep.
pub const POINTS: u32 = 61;

/// The frequency of a point: 68 to 74 MHz.
pub fn frequency(point: u32) -> Hertz {
    Hertz::from_kilohertz(68_000 + 100 * point)
}

/// What a front end would read there. Invented: 45 Ω, and a reactance that goes through 0 at 71 MHz.
pub fn read(point: u32) -> Reflection {
    let reactance = i16::try_from(3 * point).unwrap_or(i16::MAX) - 90;
    Impedance::new(45, reactance).map_or(Reflection::MATCHED, |load| load.reflection(Reference::fifty()))
}

/// Prints the result and ends QEMU: with status 0 if all points came and the dip is where it should be.
pub fn finish(report: &SweepReport<4>) -> ! {
    let found = report.best().map_or(Hertz::new(0), |dip| dip.frequency);
    println!("{} points, best at {} Hz", report.points(), found.get());
    let is_there = found.get().abs_diff(71_000_000) < 1_000;
    process::exit(i32::from(!is_there || report.points() != POINTS))
}

#[panic_handler]
fn panic(info: &PanicInfo) -> ! {
    println!("{info}");
    process::exit(1)
}
