//! A control: an allocation must be seen.

#![no_std]
#![no_main]

extern crate alloc;

use core::alloc::{GlobalAlloc, Layout};

use ohmwright_proofs::unknown::{any, keep};

struct Nothing;

unsafe impl GlobalAlloc for Nothing {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        keep(layout);
        core::ptr::with_exposed_provenance_mut(any())
    }

    unsafe fn dealloc(&self, place: *mut u8, _: Layout) {
        keep(place);
    }
}

#[global_allocator]
static NOTHING: Nothing = Nothing;

ohmwright_proofs::a_panic_hangs!();
ohmwright_proofs::start!(keep(alloc::boxed::Box::new(any::<u32>())));
