//! Building the firmware, and what an image weighs.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::cores::Core;

/// The level of optimisation that the firmware's manifest names.
pub const FOR_SPEED: &str = "3";

/// One build of the firmware.
#[derive(Clone)]
pub struct Image {
    pub file: PathBuf,
    /// What goes into flash: code and constants.
    pub flash: u64,
    pub symbols: BTreeSet<String>,
}

/// Builds the firmware for a core with the given features at a level of optimisation (3, s, z).
pub fn build(core: &Core, features: &str, level: &str) -> Result<Image, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/on_target");
    // A folder for each core, so that two can be built side by side.
    let output = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("on_target")
        .join(core.name);
    let mut cargo = Command::new(env!("CARGO"));
    cargo
        .current_dir(&folder)
        .args(["build", "--quiet", "--release", "--jobs", "1"])
        .args(["--target", core.target, "--features", features, "--target-dir"])
        .arg(&output);
    if level != FOR_SPEED {
        cargo.args(["--config", &format!("profile.release.opt-level='{level}'")]);
    }
    // What was meant for the host is not meant for the firmware.
    for (name, _) in std::env::vars_os() {
        let text = name.to_string_lossy();
        if text == "RUSTFLAGS" || text == "CARGO_ENCODED_RUSTFLAGS" || text.starts_with("CARGO_PROFILE_") {
            cargo.env_remove(&name);
        }
    }
    let done = cargo
        .output()
        .map_err(|error| format!("cargo does not start: {error}"))?;
    if !done.status.success() {
        return Err(format!(
            "the firmware ({features}) does not build for {}:\n{}",
            core.target,
            String::from_utf8_lossy(&done.stderr)
        ));
    }
    let built = output.join(core.target).join("release/on-target");
    // The next build would overwrite it.
    let file = output.join(format!("{}-{level}.elf", features.replace(',', "-")));
    std::fs::copy(&built, &file).map_err(|error| format!("{}: {error}", built.display()))?;
    let bytes = std::fs::read(&file).map_err(|error| format!("{}: {error}", file.display()))?;
    let (flash, symbols) = read_elf(&bytes).ok_or_else(|| format!("{} is no ELF image", file.display()))?;
    Ok(Image { file, flash, symbols })
}

/// The bytes that are stored (not merely reserved), and the names of all symbols; from the sections of a 32-bit
/// little-endian file (Tool Interface Standard, "Executable and Linking Format", version 1.2).
fn read_elf(bytes: &[u8]) -> Option<(u64, BTreeSet<String>)> {
    const SYMBOLS: usize = 2;
    const RESERVED: usize = 8;
    const ALLOCATED: usize = 2;
    if bytes.get(..6)? != b"\x7fELF\x01\x01" {
        return None;
    }
    let half = |at: usize| Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?) as usize);
    let word = |at: usize| Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?) as usize);
    let (sections, size, count) = (word(32)?, half(46)?, half(48)?);
    let mut flash = 0;
    let mut symbols = BTreeSet::new();
    for index in 0..count {
        let header = sections + index * size;
        let (kind, flags) = (word(header + 4)?, word(header + 8)?);
        let (start, length, link) = (word(header + 16)?, word(header + 20)?, word(header + 24)?);
        if flags & ALLOCATED != 0 && kind != RESERVED {
            flash += length as u64;
        }
        if kind == SYMBOLS {
            let names = word(sections + link * size + 16)?;
            for entry in bytes.get(start..start + length)?.chunks_exact(16) {
                let name = u32::from_le_bytes(entry.get(..4)?.try_into().ok()?) as usize;
                let text = bytes.get(names + name..)?.split(|&byte| byte == 0).next()?;
                symbols.insert(String::from_utf8_lossy(text).into_owned());
            }
        }
    }
    Some((flash, symbols))
}
