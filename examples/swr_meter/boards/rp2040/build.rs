//! Puts the memory map where the linker finds it.

use std::path::PathBuf;
use std::{env, fs};

fn main() {
    println!("cargo::rerun-if-changed=memory.x");
    let out = PathBuf::from(env::var("OUT_DIR").unwrap());
    fs::copy("memory.x", out.join("memory.x")).unwrap();
    println!("cargo::rustc-link-search={}", out.display());
    for argument in ["--nmagic", "-Tlink.x"] {
        println!("cargo::rustc-link-arg-bins={argument}");
    }
}
