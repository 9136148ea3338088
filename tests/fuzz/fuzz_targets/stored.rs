#![no_main]

#[path = "../drive/mod.rs"]
mod drive;

libfuzzer_sys::fuzz_target!(|data: &[u8]| drive::stored::run(data));
