//! Programs lose nothing: a full disk or a reader that has gone away is said by the exit status, and never by a panic.
//!
//! `/dev/full` is a disk without space; a limit on the size of files is one that runs full on the way.
#![cfg(target_os = "linux")]

use std::fs::File;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::program::{Program, file, path};

/// Every program with what it does well.
fn good() -> Vec<(Program, Vec<String>)> {
    let sweep = demo("relay_input_after.s1p");
    let demo_data = format!("{}/demo-data", env!("CARGO_MANIFEST_DIR"));
    let load = file(
        "one_load.csv",
        "frequency_hz,resistance_ohm,reactance_ohm\n7100000,25,0\n",
    );
    let run = |name, arguments: &[&str]| {
        let arguments = arguments.iter().map(|argument| argument.to_string()).collect();
        (Program(name), arguments)
    };
    vec![
        run("sweep_report", &[&sweep]),
        run("sweep_report", &["--json", &sweep]),
        run("sweep_report", &["--help"]),
        run("sweep_report", &["--reading", "swr=1.5"]),
        run("match_plan", &["--load", "20,5", "--frequency", "71M"]),
        run("match_plan", &["--json", "--load", "20,5", "--frequency", "71M"]),
        run("match_plan", &["--help"]),
        run("tuner_bench", &["--loads", &load]),
        run("tuner_bench", &["--json", "--loads", &load]),
        run("tuner_bench", &["--help"]),
        run("bench_sums", &["turns", "--load", "20,5"]),
        run("bench_sums", &["turns", "--json", "--load", "20,5"]),
        run("bench_sums", &["--help"]),
        run("make_demo_data", &["--check", &demo_data]),
        run("make_demo_data", &["--help"]),
        run("load_from_sweep", &[&sweep]),
        run("coil_length", &[]),
        run("l_match", &[]),
        run("swr_from_volts", &[]),
        run("turns_on_core", &[]),
    ]
}

/// Every program that can refuse something, with that and the exit status.
fn bad() -> Vec<(Program, [&'static str; 1], i32)> {
    vec![
        (Program("sweep_report"), ["--nonsense"], 1),
        (Program("sweep_report"), ["no/such.s1p"], 1),
        (Program("match_plan"), ["--nonsense"], 1),
        (Program("tuner_bench"), ["--nonsense"], 1),
        (Program("bench_sums"), ["--nonsense"], 1),
        (Program("make_demo_data"), ["--nonsense"], 2),
        (Program("load_from_sweep"), ["no/such.s1p"], 1),
    ]
}

/// The programs for first steps: their short code takes any error of the output for one.
fn is_short(name: &str) -> bool {
    [
        "load_from_sweep",
        "coil_length",
        "l_match",
        "swr_from_volts",
        "turns_on_core",
    ]
    .contains(&name)
}

fn demo(name: &str) -> String {
    format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn full() -> Stdio {
    File::options().write(true).open("/dev/full").unwrap().into()
}

/// A pipe that nobody reads.
fn gone() -> Stdio {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    writer.into()
}

/// Through a shell, so that a stream can be closed or a limit set before the program begins.
fn by_shell(before: &str, redirected: &str, (program, arguments): (&Program, &[String])) -> Output {
    let mut shell = Command::new("sh");
    shell
        .arg("-c")
        .arg(format!("{before} exec \"$@\" {redirected}"))
        .arg("sh")
        .arg(program.command().get_program())
        .args(arguments);
    shell.output().unwrap()
}

fn ends(output: &Output, status: i32, what: &str) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(!said.contains("panicked"), "{what}: {said}");
    assert_eq!(output.status.code(), Some(status), "{what}: {said}");
}

#[test]
fn a_full_disk_behind_the_output_is_an_error() {
    for (program, arguments) in good() {
        let what = format!("{} {arguments:?}", program.0);
        let output = program
            .command()
            .args(&arguments)
            .stdout(full())
            .output()
            .unwrap();
        ends(&output, 1, &what);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(said.lines().count(), 1, "{what}: {said}");
        assert!(said.contains("No space left"), "{what}: {said}");
        if !is_short(program.0) {
            assert!(said.starts_with("standard output: "), "{what}: {said}");
        }
        // With the error stream full as well, the status is all that is left.
        let output = program
            .command()
            .args(&arguments)
            .stdout(full())
            .stderr(full())
            .output();
        ends(&output.unwrap(), 1, &what);
    }
}

/// As behind `| head -1`: the reader's choice, and no error. A short program calls it one, without a panic.
#[test]
fn a_reader_that_has_gone_is_no_panic() {
    for (program, arguments) in good() {
        let what = format!("{} {arguments:?}", program.0);
        let output = program
            .command()
            .args(&arguments)
            .stdout(gone())
            .output()
            .unwrap();
        ends(&output, i32::from(is_short(program.0)), &what);
        assert!(is_short(program.0) || output.stderr.is_empty(), "{what}");
        // The first line is there.
        let mut first = Command::new("sh");
        first
            .arg("-c")
            .arg("\"$@\" 2>&1 | head -n 1")
            .arg("sh")
            .arg(program.command().get_program())
            .args(&arguments);
        let first = first.output().unwrap().stdout;
        let whole = program.command().args(&arguments).output().unwrap().stdout;
        assert!(!first.is_empty() && whole.starts_with(&first), "{what}");
    }
}

#[test]
fn a_good_run_does_not_need_the_error_stream() {
    for (program, arguments) in good() {
        let what = format!("{} {arguments:?}", program.0);
        let whole = program.command().args(&arguments).output().unwrap();
        ends(&whole, 0, &what);
        for stderr in [full(), gone()] {
            let output = program
                .command()
                .args(&arguments)
                .stderr(stderr)
                .output()
                .unwrap();
            ends(&output, 0, &what);
            assert!(output.stdout == whole.stdout, "{what}");
        }
        let output = by_shell("", "2>&-", (&program, &arguments));
        ends(&output, 0, &what);
        assert!(output.stdout == whole.stdout, "{what}");
        // Closed output: asked for nothing.
        ends(&by_shell("", ">&-", (&program, &arguments)), 0, &what);
    }
}

#[test]
fn a_refusal_keeps_its_status_where_nobody_can_be_told() {
    for (program, arguments, status) in bad() {
        let what = format!("{} {arguments:?}", program.0);
        for stderr in [full(), gone()] {
            let output = program.command().args(arguments).stderr(stderr).output().unwrap();
            ends(&output, status, &what);
            assert!(output.stdout.is_empty(), "{what}");
        }
        let all = arguments.map(String::from);
        for redirected in ["2>&-", ">&- 2>&-", ">/dev/full 2>&-"] {
            ends(&by_shell("", redirected, (&program, &all)), status, &what);
        }
        // The control: where it can be said, it is.
        let output = program.command().args(arguments).output().unwrap();
        ends(&output, status, &what);
        assert!(!output.stderr.is_empty(), "{what}");
    }
}

/// A file that is written: whole, or an error and no file.
#[test]
fn a_file_is_written_whole_or_not_at_all() {
    let sweep = demo("relay_input_before.s1p");
    let folder = path("made_data");
    let picture = path("half.png");
    let predicted = path("half.s1p");
    let kept = |arguments: &[&str]| arguments.iter().map(|text| text.to_string()).collect::<Vec<_>>();
    let cases = [
        (
            Program("sweep_report"),
            kept(&["--picture", &picture, &sweep]),
            picture.clone(),
        ),
        (
            Program("match_plan"),
            kept(&["--load", "20,5", "--frequency", "71M", "--predict", &predicted]),
            predicted.clone(),
        ),
        (
            Program("make_demo_data"),
            kept(&[&folder]),
            format!("{folder}/relay_input_before.s1p"),
        ),
    ];
    for (program, arguments, written) in &cases {
        let what = format!("{} {arguments:?}", program.0);
        for old in [false, true] {
            let _ = std::fs::remove_dir_all(&folder);
            std::fs::create_dir_all(&folder).unwrap();
            let _ = std::fs::remove_file(written);
            if old {
                std::fs::write(written, "old").unwrap();
            }
            // Files of one block of 512 bytes at most: less than any of these.
            let output = by_shell("trap '' XFSZ; ulimit -f 1;", "", (program, arguments));
            ends(&output, 1, &what);
            assert!(output.stdout.is_empty(), "{what}");
            let said = String::from_utf8(output.stderr).unwrap();
            assert!(
                said.contains(written.as_str()) && said.lines().count() == 1,
                "{said}"
            );
            assert!(!Path::new(written).exists(), "{what}: half a file");
        }
        // The control: without the limit it is there.
        ends(&by_shell("", "", (program, arguments)), 0, &what);
        assert!(std::fs::metadata(written).unwrap().len() > 512, "{what}");
    }
    // A disk that is full before the first byte, however small the file.
    for (program, arguments) in [
        (
            "sweep_report",
            kept(&["--picture", "/dev/full", "--picture-size", "64x48", &sweep]),
        ),
        (
            "match_plan",
            kept(&["--load", "20,5", "--frequency", "71M", "--predict", "/dev/full"]),
        ),
    ] {
        let output = Program(program).command().args(&arguments).output().unwrap();
        ends(&output, 1, program);
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.starts_with("/dev/full: No space left"), "{said}");
        assert!(output.stdout.is_empty() && Path::new("/dev/full").exists());
    }
    // The second picture of a sweep is written as the first is: on a disk of its own that is full, it is blamed by its name.
    let (first, second) = (path("of_line.png"), path("of_line-distance.png"));
    let _ = std::fs::remove_file(&second);
    std::os::unix::fs::symlink("/dev/full", &second).unwrap();
    let arguments = ["--velocity", "0.8", "--picture", &first, &sweep];
    let draw = || {
        Program("sweep_report")
            .command()
            .args(arguments)
            .output()
            .unwrap()
    };
    let output = draw();
    ends(&output, 1, "a second picture");
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.starts_with(&format!("{second}: No space left")), "{said}");
    assert!(output.stdout.is_empty() && said.lines().count() == 1, "{said}");
    // The control: with room it is there.
    std::fs::remove_file(&second).unwrap();
    ends(&draw(), 0, "a second picture");
    assert!(std::fs::read(&second).unwrap().starts_with(b"\x89PNG"));
    // What may not be opened is not taken away.
    let old = file("old.png", "old");
    let folder_of_old = path("");
    let output = Program("sweep_report")
        .command()
        .args(["--picture", &folder_of_old, &sweep])
        .output()
        .unwrap();
    ends(&output, 1, "a folder for a picture");
    assert_eq!(std::fs::read_to_string(old).unwrap(), "old");
    // A pipe is a file, too.
    let output = Program("sweep_report")
        .command()
        .args(["--picture", "/dev/stdout", "--json", &sweep])
        .output()
        .unwrap();
    ends(&output, 0, "a picture into a pipe");
    assert!(output.stdout.starts_with(b"\x89PNG"));
}
