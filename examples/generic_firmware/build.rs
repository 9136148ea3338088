//! Puts the memory map of QEMU's board `microbit` where the linker finds it.

use std::path::PathBuf;
use std::{env, fs};

fn main() {
    let map = "MEMORY {\n  FLASH : ORIGIN = 0x00000000, LENGTH = 256K\n  RAM : ORIGIN = 0x20000000, LENGTH = 16K\n}\n";
    let out = PathBuf::from(env::var("OUT_DIR").unwrap());
    fs::write(out.join("memory.x"), map).unwrap();
    println!("cargo::rustc-link-search={}", out.display());
    println!("cargo::rerun-if-changed=build.rs");
    for argument in ["--nmagic", "-Tlink.x"] {
        println!("cargo::rustc-link-arg-bins={argument}");
    }
}
