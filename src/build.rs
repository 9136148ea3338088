//! Says what the target core lacks. Stable Rust has no `cfg` for it, so it is read off the target's name.

fn main() {
    println!("cargo:rerun-if-changed=src/build.rs");
    println!("cargo:rustc-check-cfg=cfg(ohmwright_no_long_multiply)");
    println!("cargo:rustc-check-cfg=cfg(ohmwright_soft_float)");
    println!("cargo:rustc-check-cfg=cfg(ohmwright_smallest)");
    let target = std::env::var("TARGET").unwrap_or_default();
    // ARMv6-M and ARMv8-M baseline multiply 32 × 32 bits to 32, and have no instruction that counts leading zeros.
    if target.starts_with("thumbv6m") || target.starts_with("thumbv8m.base") {
        println!("cargo:rustc-cfg=ohmwright_no_long_multiply");
    }
    if lacks_floating_point(&target) {
        println!("cargo:rustc-cfg=ohmwright_soft_float");
    }
    // Compiled for size, each kernel stands in flash once; for speed it is part of every function that uses it.
    if std::env::var("OPT_LEVEL").is_ok_and(|level| level == "z") {
        println!("cargo:rustc-cfg=ohmwright_smallest");
    }
}

/// Bare ARM targets without `hf` at the end, and bare RISC-V without the letter of the F extension (or G, which has it).
fn lacks_floating_point(target: &str) -> bool {
    let (core, rest) = target.split_once('-').unwrap_or((target, ""));
    if core.starts_with("thumb") || core.starts_with("arm") {
        return rest == "none-eabi";
    }
    let extensions = core.strip_prefix("riscv32").or(core.strip_prefix("riscv64"));
    extensions.is_some_and(|letters| rest.contains("-none-elf") && !letters.contains(['f', 'g']))
}
