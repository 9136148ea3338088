//! Puts the memory map of the core where the linker finds it, and asks for the linker scripts.

use std::path::PathBuf;
use std::{env, fs};

fn main() {
    println!("cargo::rerun-if-changed=memory-cortex-m.x");
    println!("cargo::rerun-if-changed=memory-riscv.x");
    if env::var("CARGO_CFG_TARGET_OS").unwrap() != "none" {
        return;
    }
    let map = match env::var("CARGO_CFG_TARGET_ARCH").unwrap().as_str() {
        "arm" => "memory-cortex-m.x",
        _ => "memory-riscv.x",
    };
    // Not `memory.x` in this folder: the linker would take that one first, for every core.
    let out = PathBuf::from(env::var("OUT_DIR").unwrap());
    fs::copy(map, out.join("memory.x")).unwrap();
    println!("cargo::rustc-link-search={}", out.display());
    for argument in ["--nmagic", "-Tlink.x", "-Tdefmt.x"] {
        println!("cargo::rustc-link-arg-bins={argument}");
    }
}
