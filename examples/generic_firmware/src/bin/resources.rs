//! Tasks with resources, as frameworks for interrupts have them: what two tasks use is locked, what one uses it owns.
#![no_std]
#![no_main]
#![forbid(unsafe_code)]

use core::cell::RefCell;

use cortex_m::peripheral::SCB;
use cortex_m_rt::{entry, exception};
use critical_section::Mutex;
use generic_firmware::{POINTS, finish, frequency, read};
use ohmwright::fixed_point::{SweepAnalyser, SweepSurvey};
use semihosting::process;

/// What both tasks use, behind one lock each, so that neither holds the other up longer than it must.
struct Shared {
    analyser: Mutex<RefCell<SweepAnalyser<4>>>,
    /// The looks at the sweep as a whole: noise and ripple.
    survey: Mutex<RefCell<Option<SweepSurvey>>>,
}

static SHARED: Shared = Shared {
    analyser: Mutex::new(RefCell::new(SweepAnalyser::with_defaults())),
    survey: Mutex::new(RefCell::new(None)),
};

/// What a framework's `lock` does: the resource, for as long as the closure runs.
fn lock<T, R>(resource: &Mutex<RefCell<T>>, work: impl FnOnce(&mut T) -> R) -> R {
    critical_section::with(|token| work(&mut resource.borrow_ref_mut(token)))
}

/// The task that measures; `PendSV` stands for the interrupt that a framework would bind it to.
#[exception]
fn PendSV() {
    static mut POINT: u32 = 0;
    let (at, reading) = (frequency(*POINT), read(*POINT));
    let pushed = lock(&SHARED.analyser, |analyser| analyser.push(at, reading)).is_ok()
        && lock(&SHARED.survey, |survey| {
            survey
                .get_or_insert_with(SweepSurvey::new)
                .push(at, reading)
                .is_ok()
        });
    if !pushed {
        process::exit(2)
    }
    *POINT += 1;
}

/// The idle task.
#[entry]
fn main() -> ! {
    for _ in 0..POINTS {
        SCB::set_pendsv();
    }
    let report = lock(&SHARED.analyser, |analyser| analyser.report());
    let quality = lock(&SHARED.survey, |survey| {
        survey.as_ref().map(|survey| survey.quality(&report))
    });
    if quality.is_none() {
        process::exit(2)
    }
    finish(&report)
}
