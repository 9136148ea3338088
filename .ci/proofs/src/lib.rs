//! What the images share: values the optimiser cannot know, a sink it cannot remove, and everything a device calls.

#![no_std]

pub mod calibrating;
pub mod detecting;
pub mod device;
pub mod given;
pub mod networks;
pub mod plans;
pub mod sounding;
pub mod unknown;

/// A panic handler that calls a function nobody defines: an image from which a panic can be reached does not link.
#[macro_export]
macro_rules! a_panic_breaks_the_link {
    () => {
        #[panic_handler]
        fn panic(info: &core::panic::PanicInfo<'_>) -> ! {
            unsafe extern "C" {
                safe fn a_panic_can_be_reached(from: &core::panic::Location<'_>) -> !;
            }
            match info.location() {
                // Asked for, so that the places stay in the image and can be listed.
                Some(place) => a_panic_can_be_reached(place),
                None => loop {},
            }
        }
    };
}

/// A panic handler that links, for images whose symbols are looked at.
#[macro_export]
macro_rules! a_panic_hangs {
    () => {
        #[panic_handler]
        fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
            loop {}
        }
    };
}

/// Where an image begins.
#[macro_export]
macro_rules! start {
    ($body:expr) => {
        #[unsafe(no_mangle)]
        pub extern "C" fn _start() -> ! {
            loop {
                $body
            }
        }
    };
}
