//! Says what the target core lacks. Stable Rust has no `cfg` for it, so it is read off the target's name.

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rustc-check-cfg=cfg(ohmwright_no_long_multiply)");
    let target = std::env::var("TARGET").unwrap_or_default();
    // ARMv6-M and ARMv8-M baseline multiply 32 × 32 bits to 32, and have no instruction that counts leading zeros.
    if target.starts_with("thumbv6m") || target.starts_with("thumbv8m.base") {
        println!("cargo:rustc-cfg=ohmwright_no_long_multiply");
    }
}
