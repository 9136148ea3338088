//! The bench firmware: runs one kernel over the inputs the host has loaded, and tells the ticks, the stack and the
//! answers of every call. `../../on_target.rs` builds it, runs it and reads what it says.

#![no_std]
#![no_main]
// An image uses one of the kernels.
#![allow(dead_code, unused_imports)]

mod baseline;
mod detectors;
mod kernels;
mod machine;
mod steps;
mod texts;

// Not every kernel has a context and a last answer.
#[allow(clippy::unit_arg)]
#[cfg(not(feature = "calibration"))]
mod timed;

/// A place for a table that lasts as long as the image.
fn keep<T>(value: T) -> &'static T {
    use core::mem::MaybeUninit;
    static mut ROOM: MaybeUninit<[u64; 256]> = MaybeUninit::uninit();
    const { assert!(size_of::<T>() <= 2048 && align_of::<T>() <= 8) };
    // SAFETY: it fits, and it is called once.
    unsafe {
        let place = (&raw mut ROOM).cast::<T>();
        place.write(value);
        &*place
    }
}

/// Code of known length: a line for each, in an order the host knows.
#[cfg(feature = "calibration")]
#[unsafe(no_mangle)]
extern "C" fn run() -> ! {
    use core::ptr::null_mut;
    use machine::*;
    let known: [Call; 8] = [
        empty,
        sled_0,
        sled_1,
        sled_10,
        sled_100,
        sled_1000,
        turns_5000,
        turns_5000000,
    ];
    for call in known {
        let mut line = Line::new(b'k');
        // SAFETY: these take no notice of their arguments.
        line.word(unsafe { ticks(call, null_mut(), null_mut(), null_mut()) });
        line.send();
    }
    exit(true)
}
