//! Tells the story through semihosting, and ends QEMU: with status 0, or with another if something failed.
#![no_std]
#![no_main]

mod story;

use core::fmt::{self, Write};
use core::panic::PanicInfo;

use cortex_m as _;
use semihosting::{print, println, process};

#[cfg(not(target_abi = "eabihf"))]
type Family = ohmwright::arithmetic::Fixed32;
#[cfg(target_abi = "eabihf")]
type Family = f32;

struct Out;

impl Write for Out {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        print!("{text}");
        Ok(())
    }
}

#[panic_handler]
fn panic(info: &PanicInfo) -> ! {
    println!("{info}");
    process::exit(1)
}

#[cortex_m_rt::exception]
unsafe fn HardFault(_: &cortex_m_rt::ExceptionFrame) -> ! {
    process::exit(3)
}

#[cortex_m_rt::entry]
fn main() -> ! {
    process::exit(i32::from(story::tell::<Family>(&mut Out).is_err()))
}
