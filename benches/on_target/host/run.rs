//! Running an image, and understanding what it says.

use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::cores::Core;

/// An image that has not ended by then hangs.
const PATIENCE: Duration = Duration::from_secs(60);

/// Runs an image and gives what it has said.
pub fn run(core: &Core, image: &Path, inputs: &Path) -> Result<String, String> {
    let what = || format!("{} on {}", image.display(), core.name);
    let mut emulator = Command::new(core.emulator);
    emulator
        .args(core.machine)
        .args(["-nographic", "-monitor", "none", "-serial", "none", "-icount"])
        .arg(format!("shift={},align=off,sleep=off", core.shift))
        .args(["-semihosting-config", "enable=on,target=native", "-device"])
        // A comma in an option's value is doubled.
        .arg(format!(
            "loader,file={},addr={:#x},force-raw=on",
            inputs.display().to_string().replace(',', ",,"),
            core.inputs_at
        ))
        .arg("-kernel")
        .arg(image)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    let mut child = emulator
        .spawn()
        .map_err(|error| format!("{} does not start: {error}", core.emulator))?;
    let mut said = child.stderr.take().ok_or("no line to the emulator")?;
    let reader = std::thread::spawn(move || {
        let mut text = Vec::new();
        // What was read until an error is told below all the same.
        let _ = said.read_to_end(&mut text);
        String::from_utf8_lossy(&text).into_owned()
    });
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().map_err(|error| error.to_string())? {
            break Some(status);
        }
        if begun.elapsed() > PATIENCE {
            // It may just have ended by itself.
            let _ = child.kill();
            let _ = child.wait();
            break None;
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let text = reader.join().map_err(|_| "the reader failed")?;
    let end = |text: &str| {
        let lines: Vec<_> = text.lines().collect();
        lines[lines.len().saturating_sub(6)..].join("\n")
    };
    match status {
        None => Err(format!("{} hangs: nothing for {PATIENCE:?}", what())),
        Some(status) if !status.success() => Err(format!("{} failed ({status}):\n{}", what(), end(&text))),
        Some(_) => Ok(text),
    }
}

/// What a timed image says.
pub struct Telling {
    /// Instructions and answer of every point.
    pub points: Vec<(u64, Vec<u32>)>,
    /// Of the last call, if there is one.
    pub last: Option<(u64, Vec<u32>)>,
    /// Bytes of stack of the points' calls and of the last call.
    pub stack: (u64, u64),
}

/// More than this would be all of the memory there is.
const MOST_STACK: u32 = 12_000;

/// Reads the lines of a timed image; the empty kernel is subtracted.
pub fn understand(core: &Core, text: &str) -> Result<Telling, String> {
    let mut nothing = None;
    let mut points = Vec::new();
    let mut last = None;
    let mut stack = None;
    for line in text.lines() {
        let mut fields = line.split_ascii_whitespace();
        let kind = fields.next().unwrap_or("");
        let words: Option<Vec<u32>> = fields.map(|field| u32::from_str_radix(field, 16).ok()).collect();
        let Some(words) = words else {
            return Err(format!("{}: not understood: {line}", core.name));
        };
        let timed = |base: Option<(u64, u32)>| {
            let (base, _) = base?;
            let (ticks, answer) = words.split_first()?;
            Some((core.instructions(*ticks)?.checked_sub(base)?, answer.to_vec()))
        };
        let understood = match (kind, words.as_slice()) {
            ("p" | "l", &[u32::MAX, ..]) => {
                return Err(format!(
                    "{}: a call takes longer than the counter reaches",
                    core.name
                ));
            }
            ("e", &[ticks, bytes]) => {
                nothing = core.instructions(ticks).map(|count| (count, bytes));
                nothing.is_some()
            }
            ("p", _) => timed(nothing).map(|point| points.push(point)).is_some(),
            ("l", _) => {
                last = timed(nothing);
                last.is_some()
            }
            ("s", &[of_point, of_last]) if of_point.max(of_last) < MOST_STACK => {
                let base = nothing.map_or(0, |(_, bytes)| bytes);
                let above = |bytes: u32| u64::from(bytes.saturating_sub(base));
                stack = Some((above(of_point), above(of_last)));
                true
            }
            _ => false,
        };
        if !understood {
            return Err(format!("{}: not understood: {line}", core.name));
        }
    }
    Ok(Telling {
        points,
        last,
        stack: stack.ok_or_else(|| format!("{}: the image says nothing of its stack", core.name))?,
    })
}

/// Compares what the core counts with code of known length.
pub fn calibrate(core: &Core, text: &str) -> Result<(), String> {
    // Nothing; sleds of nops; a constant and so many turns of two instructions. A constant takes one instruction on the
    // Cortex-M, two on RISC-V. The last must be refused where it is beyond the counter.
    let constant = if core.is_short { 1 } else { 2 };
    let long = (!core.is_short).then_some(10_000_000 + constant);
    let known = [0, 0, 1, 10, 100, 1000, 10_000 + constant].map(Some);
    let counted: Vec<Option<u64>> = text
        .lines()
        .filter_map(|line| u32::from_str_radix(line.strip_prefix("k ")?, 16).ok())
        .map(|ticks| core.instructions(ticks))
        .collect();
    let base = counted.first().copied().flatten().unwrap_or(0);
    let counted: Vec<Option<u64>> = counted
        .into_iter()
        .map(|count| count.map(|count| count.wrapping_sub(base)))
        .collect();
    let known: Vec<Option<u64>> = known.into_iter().chain([long]).collect();
    if counted == known {
        Ok(())
    } else {
        Err(format!(
            "{}: the counter is not exact: {counted:?} instructions were counted for {known:?}; nothing is reported",
            core.name
        ))
    }
}
