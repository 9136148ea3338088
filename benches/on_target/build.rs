//! Links with the memory map of the core.

use std::env;
use std::path::PathBuf;

fn main() {
    let folder = PathBuf::from(env::var("CARGO_MANIFEST_DIR").unwrap());
    let target = env::var("TARGET").unwrap();
    let map = if target.starts_with("thumb") {
        "arm.ld"
    } else {
        "riscv.ld"
    };
    let map = folder.join("memory").join(map);
    println!("cargo::rerun-if-changed={}", map.display());
    println!("cargo::rustc-link-arg-bins=-T{}", map.display());
    // Without it every segment begins on a page of its own, and the image no longer fits the part.
    println!("cargo::rustc-link-arg-bins=--nmagic");
}
