//! Puts the memory map of the core where the linker finds it: that of QEMU's boards `microbit` and `netduinoplus2`.

use std::path::PathBuf;
use std::{env, fs};

fn main() {
    let (flash, ram) = match env::var("TARGET").unwrap().as_str() {
        "thumbv6m-none-eabi" => ("ORIGIN = 0x00000000, LENGTH = 256K", "LENGTH = 16K"),
        _ => ("ORIGIN = 0x08000000, LENGTH = 1024K", "LENGTH = 128K"),
    };
    let map = format!("MEMORY {{\n  FLASH : {flash}\n  RAM : ORIGIN = 0x20000000, {ram}\n}}\n");
    let out = PathBuf::from(env::var("OUT_DIR").unwrap());
    fs::write(out.join("memory.x"), map).unwrap();
    println!("cargo::rustc-link-search={}", out.display());
    println!("cargo::rerun-if-changed=build.rs");
    for argument in ["--nmagic", "-Tlink.x"] {
        println!("cargo::rustc-link-arg-bins={argument}");
    }
}
