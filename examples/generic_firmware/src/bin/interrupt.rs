//! An interrupt reads a point and pushes it; the main loop reports. One analyser, a static that needs no start-up code.
#![no_std]
#![no_main]
#![forbid(unsafe_code)]

use core::cell::RefCell;

use cortex_m::peripheral::syst::SystClkSource;
use cortex_m_rt::{entry, exception};
use critical_section::Mutex;
use generic_firmware::{POINTS, finish, frequency, read};
use ohmwright::fixed_point::{SweepAnalyser, SweepReport};
use semihosting::process;

/// In memory before `main`: its construction is a constant.
static ANALYSER: Mutex<RefCell<SweepAnalyser<4>>> = Mutex::new(RefCell::new(SweepAnalyser::with_defaults()));

/// On the device this is the interrupt of the converter: the end of a conversion.
#[exception]
fn SysTick() {
    // A variable of the handler itself: the macro makes sure that nobody else sees it.
    static mut POINT: u32 = 0;
    if *POINT < POINTS {
        let reading = read(*POINT);
        // Nothing else waits for longer than this push: the table of instructions gives its longest call.
        let pushed =
            critical_section::with(|token| ANALYSER.borrow_ref_mut(token).push(frequency(*POINT), reading));
        // A frequency that does not rise: here a mistake of the program, on a device a reason to sweep again.
        if pushed.is_err() {
            process::exit(2)
        }
        *POINT += 1;
    }
}

#[entry]
fn main() -> ! {
    let Some(mut core) = cortex_m::Peripherals::take() else {
        process::exit(2)
    };
    core.SYST.set_clock_source(SystClkSource::Core);
    core.SYST.set_reload(64_000);
    core.SYST.clear_current();
    core.SYST.enable_counter();
    core.SYST.enable_interrupt();
    // The report is made with the interrupts off: it reads the whole analyser. Where the interrupt must not wait for so
    // long, copy the analyser, which is a plain value, and make the report of the copy.
    loop {
        let so_far: SweepAnalyser<4> = critical_section::with(|token| ANALYSER.borrow_ref(token).clone());
        if so_far.points() >= POINTS {
            let report: SweepReport<4> = so_far.report();
            finish(&report)
        }
        cortex_m::asm::wfi();
    }
}
