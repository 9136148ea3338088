//! The on-target benchmark: instructions, flash and stack of every kernel, on emulated cores.
//!
//! `cargo bench --bench on_target` builds one firmware image (`on_target/`) for each core, path and kernel, runs it
//! under QEMU, checks its answers and prints the table as CSV; nothing else goes to standard output. Every figure of a
//! row is of one and the same image. `benches/README.md` says how it is counted and what it means.
//!
//! It exits 1 with a message when a tool is missing, the counter is not exact, an image panics or hangs, an answer is
//! wrong, or (`--check`) a figure is worse than the accepted one.

#[path = "on_target/src/baseline.rs"]
mod baseline;
#[path = "on_target/host/cores.rs"]
mod cores;
#[path = "on_target/host/detecting.rs"]
mod detecting;
// Some of it is the firmware's alone.
#[allow(dead_code)]
#[path = "on_target/src/detectors.rs"]
mod detectors;
#[path = "on_target/host/image.rs"]
mod image;
// The empty kernel is the firmware's alone.
#[allow(dead_code)]
#[path = "on_target/src/kernels.rs"]
mod kernels;
#[path = "on_target/host/paths.rs"]
mod paths;
#[path = "on_target/host/points.rs"]
mod points;
#[path = "on_target/host/run.rs"]
mod run;
#[path = "on_target/src/steps.rs"]
mod steps;
#[path = "on_target/host/table.rs"]
mod table;
#[path = "on_target/src/texts.rs"]
mod texts;
#[path = "on_target/host/truth.rs"]
mod truth;
#[path = "on_target/host/writing.rs"]
mod writing;

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, ExitCode};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Fixed16, Fixed32, SoftF32};

use cores::{CORES, Core};
use image::Image;
use kernels::Library;
use paths::{HostPath, Job};
use table::{KERNELS, Row, Timed};
use truth::Format;

/// A place for a table that lasts as long as the program: one for each path and core.
fn keep<T>(value: T) -> &'static T {
    Box::leak(Box::new(value))
}

const HELP: &str = "\
usage: cargo bench --bench on_target [-- OPTION...]

  --core NAME    only this core (m0, m3, m4f, riscv32); may be given again
  --kernel NAME  only this kernel; may be given again
  --check        exit 1 when a figure is worse than in benches/on_target.csv by more than 3 % and two units
  --accept       rewrite benches/on_target.csv
  --level LEVEL  build at this opt-level, s or z, instead of 3; for a look, not for the table
  --goals        tell on standard error which goals are met, and what the fixed-point images hold
  --help         this text";

/// The host's side of a path: which row of the accuracy table holds, and what must come out.
#[derive(Clone, Copy)]
struct Host {
    family: Option<Family>,
    job: fn(Timed) -> Option<Job>,
}

const fn host<P: HostPath>() -> Host {
    Host {
        family: P::FAMILY,
        job: paths::job::<P>,
    }
}

/// A way to compute, by name.
struct Way {
    name: &'static str,
    format: Format,
    host: Host,
    /// The same on a core without a floating-point unit.
    without_unit: Host,
}

const fn way<P: HostPath>(name: &'static str, component: Option<u32>) -> Way {
    Way {
        name,
        format: Format { component },
        host: host::<P>(),
        without_unit: host::<P>(),
    }
}

/// The paths. The baseline stands first, since the others are compared with it.
const WAYS: &[Way] = &[
    way::<baseline::Baseline>("f32_baseline", None),
    Way {
        without_unit: host::<Library<SoftF32>>(),
        ..way::<Library<f32>>("f32", None)
    },
    way::<Library<Fixed32>>("fixed32", Some(30)),
    way::<Library<Fixed16>>("fixed16", Some(14)),
];

struct Options {
    cores: Vec<String>,
    kernels: Vec<String>,
    check: bool,
    accept: bool,
    goals: bool,
    level: String,
}

/// `None` when only the help was asked for.
fn options() -> Result<Option<Options>, String> {
    use lexopt::prelude::*;
    let mut options = Options {
        cores: Vec::new(),
        kernels: Vec::new(),
        check: false,
        accept: false,
        goals: false,
        level: image::FOR_SPEED.into(),
    };
    let name = |value: Result<std::ffi::OsString, lexopt::Error>| -> Result<String, String> {
        let value = value.map_err(|error| error.to_string())?;
        value
            .into_string()
            .map_err(|value| format!("not a name: {value:?}"))
    };
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next().map_err(|error| error.to_string())? {
        match argument {
            Long("core") => {
                let name = name(arguments.value())?;
                if !CORES.iter().any(|core| core.name == name) {
                    return Err(format!("there is no core {name}"));
                }
                options.cores.push(name);
            }
            Long("kernel") => {
                let name = name(arguments.value())?;
                if !KERNELS.iter().any(|kernel| kernel.name() == name) {
                    return Err(format!("there is no kernel {name}"));
                }
                options.kernels.push(name);
            }
            Long("check") => options.check = true,
            Long("accept") => options.accept = true,
            Long("goals") => options.goals = true,
            Long("level") => {
                options.level = name(arguments.value())?;
                if !["3", "s", "z"].contains(&options.level.as_str()) {
                    return Err(format!("{} is none of the levels 3, s and z", options.level));
                }
            }
            // What cargo adds.
            Long("bench") => {}
            Long("help") | Short('h') => return Ok(None),
            other => return Err(other.unexpected().to_string()),
        }
    }
    if options.accept && (options.check || !options.kernels.is_empty()) {
        return Err("--accept goes with neither --check nor --kernel".into());
    }
    if options.level != image::FOR_SPEED && (options.check || options.accept) {
        return Err(
            "--level goes with neither --check nor --accept: the table is of builds for speed".into(),
        );
    }
    Ok(Some(options))
}

/// Says which tool is missing, and how to get it.
fn find_tools(core: &Core) -> Result<(), String> {
    let emulator = Command::new(core.emulator).arg("--version").output();
    if !emulator.is_ok_and(|done| done.status.success()) {
        return Err(format!(
            "{} is missing: install the package {} (Debian and its relatives: apt-get install {})",
            core.emulator, core.package, core.package
        ));
    }
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let library = Command::new(rustc)
        .args(["--print", "target-libdir", "--target", core.target])
        .output()
        .map_err(|error| format!("rustc does not start: {error}"))?;
    let folder = String::from_utf8_lossy(&library.stdout).trim().to_owned();
    if !library.status.success() || !Path::new(&folder).is_dir() {
        return Err(format!(
            "the target {} is missing: rustup target add {}",
            core.target, core.target
        ));
    }
    Ok(())
}

/// What one core has given.
#[derive(Default)]
struct Findings {
    rows: Vec<Row>,
    /// What `--goals` tells of the images.
    remarks: Vec<String>,
    /// The first wrong answer of each kernel that gives one.
    wrong: Vec<String>,
}

/// Measures everything on one core.
fn measure(core: &Core, wanted: &[Timed], level: &str) -> Result<Findings, String> {
    find_tools(core)?;
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("on_target")
        .join(core.name);
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let inputs = folder.join("inputs");
    let run = |file: &Path, job: &[u8]| {
        std::fs::write(&inputs, job).map_err(|error| format!("{}: {error}", inputs.display()))?;
        run::run(core, file, &inputs)
    };

    let known = image::build(core, "calibration", level)?;
    run::calibrate(core, &run(&known.file, &[])?)?;

    let mut found = Findings::default();
    for way in WAYS {
        let host = if core.has_float_unit {
            way.host
        } else {
            way.without_unit
        };
        // Some rows share an image.
        let mut built: BTreeMap<(String, &str), Image> = BTreeMap::new();
        let mut image_of = |features: String, level| -> Result<Image, String> {
            if let Some(image) = built.get(&(features.clone(), level)) {
                return Ok(image.clone());
            }
            let image = image::build(core, &features, level)?;
            built.insert((features, level), image.clone());
            Ok(image)
        };
        let mut burdened = Vec::new();
        for &kernel in wanted {
            // What a level is worth is told of one core.
            if kernel.level().is_some() && core.name != CORES[0].name {
                continue;
            }
            let Some(job) = (host.job)(kernel) else { continue };
            let level = kernel.level().unwrap_or(level);
            let empty = image_of(way.name.into(), level)?;
            let image = image_of(format!("{},{}", way.name, kernel.image()), level)?;
            let telling = run::understand(core, &run(&image.file, &job.bytes)?)?;
            if let Err(error) = verify(way.format, host.family, kernel, &job, &telling) {
                found
                    .wrong
                    .push(format!("{} {} {}: {error}", core.name, way.name, kernel.name()));
            }
            found.rows.push(Row {
                core: core.name.into(),
                path: way.name.into(),
                kernel: kernel.name().into(),
                instructions: mean(&job, &telling),
                worst: worst(&job, &telling),
                flash: image.flash.saturating_sub(empty.flash),
                stack: stack(kernel, &telling),
                baseline: None,
            });
            if way.format.component.is_some() {
                let names = unwanted(image.symbols.difference(&empty.symbols));
                if !names.is_empty() {
                    burdened.push(format!("{} ({})", kernel.name(), names.join(", ")));
                }
            }
        }
        if way.format.component.is_some() {
            let holds = if burdened.is_empty() {
                "none".into()
            } else {
                burdened.join("; ")
            };
            found.remarks.push(format!(
                "{} {}: soft float, long routines or panics in the image: {holds}",
                core.name, way.name
            ));
        }
    }
    for place in 0..found.rows.len() {
        let row = &found.rows[place];
        found.rows[place].baseline = table::baseline_of(&found.rows, &row.core, &row.kernel);
    }
    Ok(found)
}

/// The instructions of each call that is measured.
fn measured(job: &Job, telling: &run::Telling) -> impl Iterator<Item = u64> {
    let calls = telling.points.iter().zip(&job.measured);
    calls
        .filter(|(_, is_measured)| **is_measured)
        .map(|((count, _), _)| *count)
}

/// The mean of a call, to the nearest whole instruction, with its share of the last one.
fn mean(job: &Job, telling: &run::Telling) -> u64 {
    let calls = measured(job, telling).count() as u64;
    let last = last(job, telling).unwrap_or(0);
    (measured(job, telling).sum::<u64>() + last + calls / 2) / calls.max(1)
}

/// The longest single call, be it the last one.
fn worst(job: &Job, telling: &run::Telling) -> u64 {
    let calls = measured(job, telling).chain(last(job, telling));
    calls.max().unwrap_or(0)
}

/// The last call, if it is measured: where some of the others only get something ready, it tells what they left.
fn last(job: &Job, telling: &run::Telling) -> Option<u64> {
    let (count, _) = telling.last.as_ref()?;
    job.measured.iter().all(|measured| *measured).then_some(*count)
}

fn stack(kernel: Timed, telling: &run::Telling) -> u64 {
    let (of_point, of_last) = telling.stack;
    match kernel {
        // The last call is the report.
        Timed::NextStep => of_point,
        _ => of_point.max(of_last),
    }
}

/// Every answer: the bits against the same kernel on the host, the figures against double precision.
///
/// The bits must be equal on the floating paths too: IEEE 754 leaves no choice in +, −, ·, / and the root, and the rest
/// is made of these, or of integers. A NaN is a NaN, whatever its bits.
fn verify(
    format: Format,
    family: Option<Family>,
    kernel: Timed,
    job: &Job,
    telling: &run::Telling,
) -> Result<(), String> {
    let alike = |a: &[u32], b: &[u32]| {
        let is_nan = |word: u32| format.component.is_none() && f32::from_bits(word).is_nan();
        let equal = |(&a, &b): (&u32, &u32)| a == b || is_nan(a) && is_nan(b);
        a.len() == b.len() && a.iter().zip(b).all(equal)
    };
    let different = |what: String, core: &[u32], host: &[u32]| {
        format!("{what}: {core:08x?} on the core, {host:08x?} on the host")
    };
    if telling.points.len() != job.points.len() {
        return Err(format!(
            "{} points came for {}",
            telling.points.len(),
            job.points.len()
        ));
    }
    for (place, ((_, core), host)) in telling.points.iter().zip(&job.points).enumerate() {
        if !alike(core, host) {
            return Err(different(format!("point {place}"), core, host));
        }
        if kernel == Timed::TunerDecision {
            truth::check_decision(format, &job.inputs[place], core)
                .map_err(|error| format!("point {place}: {error}"))?;
        } else if detecting::is_of_a_detector(kernel) {
            detecting::check(kernel, format, &job.inputs[place], core)
                .map_err(|error| format!("point {place}: {error}"))?;
        } else if writing::is_of_text(kernel) {
            writing::check(kernel, format, &job.inputs[place], core)
                .map_err(|error| format!("point {place}: {error}"))?;
        } else if !matches!(
            kernel,
            Timed::ReadoutsAndSwr
                | Timed::SweepPushClean
                | Timed::SweepPushNoisy
                | Timed::SweepPushCoarse
                | Timed::SweepJob
                | Timed::SweepReport
                | Timed::SweepReportNoisy
                | Timed::WholeJob
                | Timed::WholeJobS
                | Timed::WholeJobZ
                | Timed::LightPush
                | Timed::LightPushNoisy
                | Timed::LightReport
                | Timed::LightJob
                | Timed::LightJobZ
                | Timed::SweepSurvey
                | Timed::NextStep
        ) {
            truth::check(kernel, format, family, &job.inputs[place], core)
                .map_err(|error| format!("point {place}: {error}"))?;
        }
    }
    if matches!(kernel, Timed::SweepReport | Timed::LightReport) {
        // The sweep that has closed forms stands last.
        let (_, report) = telling.points.last().ok_or("there is no report")?;
        truth::check_report(format, kernel == Timed::LightReport, report)?;
    }
    match (&telling.last, &job.last) {
        (None, None) => Ok(()),
        (Some((_, core)), Some(host)) if alike(core, host) => match kernel {
            Timed::SweepJob | Timed::NextStep => truth::check_report(format, false, core),
            Timed::LightJob | Timed::LightJobZ => writing::check_screen(core, 0.02),
            _ => writing::check_screen(core, 0.0),
        },
        (Some((_, core)), Some(host)) => Err(different("the report".into(), core, host)),
        _ => Err("one of core and host has no report".into()),
    }
}

/// What a fixed-point image should not hold: soft floats, long multiplies and divisions by a routine, panics.
fn unwanted<'a>(symbols: impl Iterator<Item = &'a String>) -> Vec<&'a str> {
    let is_unwanted = |name: &&String| {
        let routine = |start: &str| name.starts_with(start);
        routine("__aeabi_f")
            || routine("__aeabi_d")
            || ["__aeabi_lmul", "__aeabi_uldivmod", "__aeabi_ldivmod"].contains(&name.as_str())
            || ["__muldi3", "__udivdi3", "__divdi3", "__umoddi3"].contains(&name.as_str())
            || (routine("__") && (name.ends_with("sf3") || name.ends_with("df3")))
            || name.contains("panic")
    };
    symbols.filter(is_unwanted).map(String::as_str).collect()
}

/// Measures several cores at once: the images of one do not disturb the counts of another.
fn measure_all(cores: &[&Core], wanted: &[Timed], level: &str) -> Result<Findings, String> {
    let threads = std::thread::available_parallelism().map_or(1, |count| count.get());
    let next = AtomicUsize::new(0);
    let results: Vec<Mutex<Option<Result<Findings, String>>>> =
        cores.iter().map(|_| Mutex::new(None)).collect();
    std::thread::scope(|scope| {
        for _ in 0..threads.min(cores.len()) {
            scope.spawn(|| {
                while let Some((core, result)) = {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    cores.get(place).zip(results.get(place))
                } {
                    let found = measure(core, wanted, level);
                    if let Ok(mut result) = result.lock() {
                        *result = Some(found);
                    }
                }
            });
        }
    });
    let mut all = Findings::default();
    for (core, result) in cores.iter().zip(results) {
        let found = result.into_inner().ok().flatten();
        let found = found.ok_or_else(|| format!("{}: the measurement broke off", core.name))??;
        all.rows.extend(found.rows);
        all.remarks.extend(found.remarks);
        all.wrong.extend(found.wrong);
    }
    Ok(all)
}

fn go(options: &Options) -> Result<(), String> {
    let chosen = |names: &[String], name: &str| names.is_empty() || names.iter().any(|other| other == name);
    let cores: Vec<&Core> = CORES
        .iter()
        .filter(|core| chosen(&options.cores, core.name))
        .collect();
    let wanted: Vec<Timed> = KERNELS
        .iter()
        .copied()
        .filter(|kernel| chosen(&options.kernels, kernel.name()))
        .collect();
    let found = measure_all(&cores, &wanted, &options.level)?;
    print!("{}", table::write(&found.rows));

    if options.goals {
        for line in table::goals(&found.rows).iter().chain(&found.remarks) {
            eprintln!("{line}");
        }
    }
    if !found.wrong.is_empty() {
        // How fast a wrong answer comes is of no interest: such a table is not accepted.
        return Err(format!("wrong answers:\n{}", found.wrong.join("\n")));
    }
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/on_target.csv");
    let name = file.display();
    if options.check {
        let text = std::fs::read_to_string(&file).map_err(|error| format!("{name}: {error}"))?;
        let accepted = table::read(&text).map_err(|error| format!("{name}: {error}"))?;
        let mut worse = table::worse(&accepted, &found.rows);
        // A kernel that is no longer measured would otherwise go unnoticed.
        for row in &accepted {
            let is_due = chosen(&options.cores, &row.core) && chosen(&options.kernels, &row.kernel);
            if is_due && table::find(&found.rows, &row.core, &row.path, &row.kernel).is_none() {
                worse.push(format!(
                    "{} {} {}: no longer measured",
                    row.core, row.path, row.kernel
                ));
            }
        }
        if !worse.is_empty() {
            return Err(format!(
                "worse than {name}:\n{}\nif that is meant: cargo bench --bench on_target -- --accept",
                worse.join("\n")
            ));
        }
    }
    if options.accept {
        // The rows of cores that were left out stay.
        let before = match std::fs::read_to_string(&file) {
            Ok(text) if cores.len() < CORES.len() => table::read(&text),
            _ => Ok(Vec::new()),
        };
        let before = before.map_err(|error| format!("{name}: {error}"))?;
        let mut rows = Vec::new();
        for core in &CORES {
            let source = if chosen(&options.cores, core.name) {
                &found.rows
            } else {
                &before
            };
            rows.extend(source.iter().filter(|row| row.core == core.name).cloned());
        }
        std::fs::write(&file, table::write(&rows)).map_err(|error| format!("{name}: {error}"))?;
    }
    Ok(())
}

fn main() -> ExitCode {
    let done = match options() {
        Ok(None) => {
            println!("{HELP}");
            Ok(())
        }
        Ok(Some(options)) => go(&options),
        Err(error) => Err(format!("{error}; see --help")),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("on_target: {error}");
            ExitCode::FAILURE
        }
    }
}
