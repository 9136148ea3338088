//! Two async loops on one core: one reads, the other reports. A channel for one reading lies between them, and the
//! analyser belongs to the loop that uses it, so that nothing is locked for longer than a copy.
//!
//! Any executor will do; the one here has no more than these two loops need.
#![no_std]
#![no_main]
#![forbid(unsafe_code)]

use core::cell::Cell;
use core::future::{Future, poll_fn};
use core::pin::pin;
use core::task::{Context, Poll, Waker};

use cortex_m_rt::entry;
use critical_section::Mutex;
use generic_firmware::{POINTS, finish, frequency, read};
use ohmwright::fixed_point::{Hertz, Reflection, SweepAnalyser};
use semihosting::process;

/// Room for one reading. Safe to fill from an interrupt as well.
static CHANNEL: Mutex<Cell<Option<(Hertz, Reflection)>>> = Mutex::new(Cell::new(None));

/// Waits until there is room.
async fn send(reading: (Hertz, Reflection)) {
    poll_fn(|_| {
        critical_section::with(|token| {
            let room = CHANNEL.borrow(token);
            match room.take() {
                None => {
                    room.set(Some(reading));
                    Poll::Ready(())
                }
                waiting => {
                    room.set(waiting);
                    Poll::Pending
                }
            }
        })
    })
    .await
}

/// Waits until there is a reading.
async fn receive() -> (Hertz, Reflection) {
    poll_fn(
        |_| match critical_section::with(|token| CHANNEL.borrow(token).take()) {
            Some(reading) => Poll::Ready(reading),
            None => Poll::Pending,
        },
    )
    .await
}

async fn measure() {
    for point in 0..POINTS {
        send((frequency(point), read(point))).await;
    }
}

async fn report() {
    // In a task of its own this may be a static too, as in `interrupt.rs`; here the future holds it.
    let mut analyser = SweepAnalyser::<4>::with_defaults();
    while analyser.points() < POINTS {
        let (frequency, reading) = receive().await;
        if analyser.push(frequency, reading).is_err() {
            process::exit(2)
        }
    }
    finish(&analyser.report())
}

#[entry]
fn main() -> ! {
    let (mut measuring, mut reporting) = (pin!(measure()), pin!(report()));
    let mut context = Context::from_waker(Waker::noop());
    let mut is_measured = false;
    loop {
        is_measured = is_measured || measuring.as_mut().poll(&mut context).is_ready();
        let _ = reporting.as_mut().poll(&mut context);
    }
}
