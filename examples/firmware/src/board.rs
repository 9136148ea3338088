//! The board, which here is a machine of QEMU: the entry, the log's way out, and how the program ends.
//!
//! On hardware this is the file to replace. `defmt-rtt` takes the place of `defmt-semihosting`, and nothing ends.

use core::panic::PanicInfo;
use core::sync::atomic::{AtomicBool, Ordering};

// Linked for what they provide: the log's transport, and critical sections.
#[cfg(target_arch = "arm")]
use cortex_m as _;
use defmt_semihosting as _;
#[cfg(target_arch = "riscv32")]
use riscv as _;

#[cfg(target_arch = "arm")]
pub use cortex_m_rt::entry;
#[cfg(target_arch = "riscv32")]
pub use riscv_rt::entry;

/// Ends QEMU: with status 0, or with 1.
pub fn stop(success: bool) -> ! {
    semihosting::process::exit(if success { 0 } else { 1 })
}

#[panic_handler]
fn panic(info: &PanicInfo) -> ! {
    // A panic in the logger itself would come back here.
    static PANICKED: AtomicBool = AtomicBool::new(false);
    if !PANICKED.load(Ordering::Relaxed) {
        PANICKED.store(true, Ordering::Relaxed);
        match info.location() {
            Some(place) => defmt::error!("panic in {=str}, line {=u32}", place.file(), place.line()),
            None => defmt::error!("panic"),
        }
    }
    stop(false)
}

/// A fault (a bad address, an overflowing stack) ends QEMU too, with status 3. Nothing is logged: the memory may be
/// spoilt.
#[cfg(target_arch = "arm")]
#[cortex_m_rt::exception]
unsafe fn HardFault(_frame: &cortex_m_rt::ExceptionFrame) -> ! {
    semihosting::process::exit(3)
}

#[cfg(target_arch = "riscv32")]
#[unsafe(export_name = "ExceptionHandler")]
fn exception_handler(_frame: &riscv_rt::TrapFrame) -> ! {
    semihosting::process::exit(3)
}
