//! The main job as its user meets it: the program `sweep_report`, run on good files and on bad ones.
//!
//! Cargo builds the examples together with the tests; the program is found beside them.

use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::Value;

fn program(name: &str) -> Command {
    // target/<profile>/deps/this_test → target/<profile>/examples/<name>
    let mut path = std::env::current_exe().unwrap();
    path.pop();
    path.pop();
    path.push("examples");
    path.push(name);
    assert!(
        path.exists(),
        "{} is not there: build it with `cargo build --examples`",
        path.display()
    );
    Command::new(path)
}

fn run(arguments: &[&str]) -> Output {
    program("sweep_report").args(arguments).output().unwrap()
}

fn text(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(output.stderr.is_empty());
    String::from_utf8(output.stdout).unwrap()
}

fn json(arguments: &[&str]) -> Value {
    let mut all = vec!["--json"];
    all.extend(arguments);
    serde_json::from_str(&text(&all)).unwrap()
}

/// The report in prose, with its line breaks taken out.
fn prose(arguments: &[&str]) -> String {
    text(arguments).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The one line of a refusal.
fn refusal(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(1), "{arguments:?} was not refused");
    assert!(
        output.stdout.is_empty(),
        "{arguments:?} printed something and failed"
    );
    let line = String::from_utf8(output.stderr).unwrap();
    assert_eq!(line.trim_end().lines().count(), 1, "{line:?}");
    line
}

fn demo(name: &str) -> String {
    format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// Writes a file of this test's own and gives its path.
fn file(name: &str, content: impl AsRef<[u8]>) -> String {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let path = folder.join(name);
    std::fs::write(&path, content).unwrap();
    path.to_str().unwrap().to_string()
}

const DEMO: [(&str, &str); 4] = [
    ("relay_input_before.s1p", "71M"),
    ("relay_input_after.s1p", "71000k"),
    ("relay_antenna_75.s1p", "0.071G"),
    ("field_whip.s1p", "5300000"),
];

#[test]
fn the_contract_of_the_json() {
    let report = json(&["--target", "71M", &demo("relay_input_before.s1p")]);
    for (key, kind) in [
        ("points", "number"),
        ("start_hz", "number"),
        ("stop_hz", "number"),
        ("reference_ohm", "number"),
        ("arithmetic", "string"),
        ("best", "object"),
        ("dips", "array"),
        ("bands", "array"),
        ("resonances", "array"),
        ("target", "object"),
        ("advice", "object"),
    ] {
        let value = &report[key];
        let found = match value {
            Value::Number(_) => "number",
            Value::String(_) => "string",
            Value::Array(_) => "array",
            Value::Object(_) => "object",
            _ => "nothing",
        };
        assert_eq!(found, kind, "{key}");
    }
    assert_eq!(report["arithmetic"], "fixed32");
    for key in [
        "frequency_hz",
        "swr",
        "return_loss_db",
        "resistance_ohm",
        "reactance_ohm",
    ] {
        assert!(
            report["best"][key].is_number() && report["target"][key].is_number(),
            "{key}"
        );
    }
    assert!(report["best"]["at_edge"].is_boolean() && report["best"]["method"].is_string());
    assert!(report["target"]["pass"].is_boolean());
    let band = &report["bands"][0];
    assert!(band["low_hz"].is_u64() && band["high_hz"].is_u64());
    assert!(band["low_open"].is_boolean() && band["high_open"].is_boolean());
    let crossing = &report["resonances"][0];
    assert!(crossing["frequency_hz"].is_u64() && crossing["resistance_ohm"].is_number());
    assert!(crossing["slope"] == 1 || crossing["slope"] == -1);
    assert!(crossing["q"].is_number());
}

/// How far two numbers of a report may lie apart between families: half a step of the words, and what the noise of
/// rounding Γ does to a figure between the points.
fn close(key: &str, one: f64, other: f64) -> bool {
    let allowed = match key {
        k if k.ends_with("_hz") => 3.0 + 1e-7 * one.abs(),
        k if k.contains("swr") || k == "ratio" || k == "factor" => 2e-5 + 2e-6 * one.abs(),
        k if k.ends_with("_db") => 1e-4,
        k if k.ends_with("_ohm") => 5e-4 + 2e-6 * one.abs(),
        "q" => 1e-4 * one.abs() + 1e-4,
        "value" => 1e-4 * one.abs() + 1e-15,
        _ => 1e-6 * one.abs().max(1.0),
    };
    (one - other).abs() <= allowed
}

fn compare(path: &str, one: &Value, other: &Value) {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (key, value) in a {
                if key != "arithmetic" {
                    compare(&format!("{path}/{key}"), value, &b[key]);
                }
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (place, (x, y)) in a.iter().zip(b).enumerate() {
                compare(&format!("{path}/{place}"), x, y);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let key = path
                .rsplit('/')
                .find(|part| part.parse::<usize>().is_err())
                .unwrap();
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!(close(key, a, b), "{path}: {a} and {b}");
        }
        _ => assert_eq!(one, other, "{path}"),
    }
}

/// Done when: the fixed and the f64 report of every demo file agree.
#[test]
fn fixed_point_and_double_precision_tell_the_same() {
    for (name, target) in DEMO {
        let report = |numbers| json(&["--arithmetic", numbers, "--target", target, &demo(name)]);
        compare(name, &report("f64"), &report("fixed32"));
    }
}

#[test]
#[should_panic(expected = "best/swr")]
fn a_report_of_another_file_does_not_pass_for_the_same() {
    let report = |name| {
        let all = json(&["--target", "71M", &demo(name)]);
        serde_json::json!({ "best": { "swr": all["best"]["swr"] } })
    };
    compare(
        "",
        &report("relay_input_before.s1p"),
        &report("relay_input_after.s1p"),
    );
}

#[test]
fn the_demo_tells_its_story() {
    let story = prose(&[]);
    for words in [
        "relay_input_before.s1p",
        "NOT MATCHED at 71 MHz",
        "Less inductance: spread the turns",
        "relay_input_after.s1p",
        "Verdict MATCHED at 71 MHz",
        "field_whip.s1p",
        "Side by side",
        "Caution",
        "invented",
    ] {
        assert!(story.contains(words), "{words:?} is missing");
    }
    for word in story.split(|c: char| !c.is_alphanumeric()) {
        assert!(
            !["nan", "inf"].contains(&word.to_lowercase().as_str()),
            "{word:?} is shown"
        );
    }
    let all = json(&[]);
    assert_eq!(all["sweeps"].as_array().unwrap().len(), 4);
    assert_eq!(all["comparison"].as_array().unwrap().len(), 4);
    assert_eq!(all["file"], all["sweeps"][3]["file"]);
}

#[test]
fn the_demo_data_are_what_their_program_makes() {
    let output = program("make_demo_data").arg("--check").output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn help_is_answered() {
    for flag in ["--help", "-h"] {
        assert!(text(&[flag]).contains("--swr-limit"));
    }
    let output = program("make_demo_data").arg("--help").output().unwrap();
    assert!(output.status.success() && !output.stdout.is_empty());
}

#[test]
fn another_reference_is_another_answer() {
    // 75 Ω against 50 Ω is SWR 1.5 (the definition), whichever of the two the file refers to.
    let matched = file("flat.s1p", "# MHz S RI R 75\n1 0 0\n2 0 0\n3 0 0\n");
    let own = json(&[&matched]);
    assert_eq!(
        (own["reference_ohm"].as_f64(), own["best"]["swr"].as_f64()),
        (Some(75.0), Some(1.0))
    );
    assert_eq!(own["best"]["method"], "flat");
    let fifty = json(&["--reference", "50", &matched]);
    assert!((fifty["best"]["swr"].as_f64().unwrap() - 1.5).abs() < 1e-4);
    assert!(
        own["best"]["return_loss_db"].is_null(),
        "no reflection at all is no number"
    );
}

#[test]
fn a_target_outside_the_sweep_is_marked() {
    let report = json(&["--target", "90M", &demo("relay_input_after.s1p")]);
    assert_eq!(report["target"]["covered"], false);
    assert_eq!(report["target"]["pass"], false);
    assert!(report["target"]["swr"].is_null());
    assert!(prose(&["--target", "90M", &demo("relay_input_after.s1p")]).contains("UNKNOWN at 90 MHz"));
}

#[test]
fn a_minimum_at_the_edge_is_marked() {
    let falling = file(
        "edge.s1p",
        "# MHz S RI R 50\n1 0.5 0\n2 0.4 0\n3 0.3 0\n4 0.2 0\n",
    );
    let report = json(&["--target", "2M", &falling]);
    assert_eq!(report["best"]["at_edge"], true);
    assert_eq!(report["best"]["frequency_hz"], 4_000_000);
    assert!(report["advice"]["retune"].is_null());
    assert!(prose(&[&falling]).contains("the real minimum lies outside"));
}

#[test]
fn gain_is_said_and_not_hidden() {
    let active = file("active.s1p", "# MHz S RI R 50\n1 1.2 0\n2 1.1 0.1\n3 1.2 0\n");
    let report = json(&[&active]);
    assert!(report["best"]["return_loss_db"].as_f64().unwrap() < 0.0);
    assert!(report["best"]["swr"].is_null());
    assert!(report["advice"]["diagnosis"].is_null());
    assert!(prose(&[&active]).contains("more comes back than was sent"));
}

#[test]
fn readings_that_disagree_are_told_apart() {
    // 16 dB of return loss is SWR 1.38; 52 Ω is 34 dB (common practice, no source).
    let readings = [
        "--reading",
        "swr=1.2",
        "--reading",
        "return-loss=16",
        "--reading",
        "resistance=52",
    ];
    let mut arguments = readings.to_vec();
    let path = demo("relay_input_after.s1p");
    arguments.push(&path);
    assert!(prose(&arguments).contains("THEY DISAGREE"));
    assert_eq!(json(&arguments)["readings"]["agreement"], "contradictory");
    let alone = json(&[
        "--reading",
        "impedance-magnitude=50",
        "--reading",
        "swr=1.0",
        &path,
    ]);
    assert_eq!(alone["readings"]["agreement"], "undecided");
    let same = json(&["--reading", "swr=1.5", "--reading", "return-loss=14", &path]);
    assert_eq!(same["readings"]["agreement"], "consistent");
}

#[test]
fn a_mask_is_held_against_the_sweep() {
    let report = json(&[
        "--mask",
        "70M,72M,1.5",
        "--mask",
        "61M,62M,1.5",
        "--mask",
        "79M,81M,3",
        &demo("relay_input_after.s1p"),
    ]);
    let verdict = |place: usize, key: &str| report["mask"][place][key].as_bool().unwrap();
    assert!(verdict(0, "covered") && verdict(0, "pass"));
    assert!(verdict(1, "covered") && !verdict(1, "pass"));
    assert!(!verdict(2, "covered") && !verdict(2, "pass"));
}

#[test]
fn bad_files_are_refused_with_file_line_and_cause() {
    let cases: [(&str, &[u8], &str); 15] = [
        ("empty.s1p", b"", "no data"),
        ("comments.s1p", b"! nothing\n! at all\n", "no data"),
        ("binary.s1p", b"\x00\x01\x02\xff\xfe\n", "line 1"),
        ("late_binary.s1p", b"# MHz S RI R 50\n1 0.1 0\n2 0.1 \x07 0\n", "line 3"),
        ("no_option_line.s1p", b"1 0.1 0\n", "line 1"),
        ("two_columns.s1p", b"# MHz S RI R 50\n1 0.1\n", "line 2"),
        ("two_port.s1p", b"# MHz S RI R 50\n1 1 0 0 0 0 0 1 0\n", "line 2"),
        ("unit.s1p", b"# THz S RI R 50\n1 0.1 0\n", "line 1"),
        ("version.s1p", b"[Version] 7.0\n# MHz S RI R 50\n1 0.1 0\n", "line 1"),
        ("reference.s1p", b"# MHz S RI R -50\n1 0.1 0\n", "line 1"),
        ("repeated.s1p", b"# MHz S RI R 50\n1 0.1 0\n1 0.2 0\n", "line 3"),
        ("falling.s1p", b"# MHz S RI R 50\n2 0.1 0\n1 0.2 0\n", "line 3"),
        ("nan.s1p", b"# MHz S RI R 50\n1 nan 0\n", "line 2"),
        ("infinite.s1p", b"# MHz S RI R 50\n1 inf 0\n", "line 2"),
        (
            "cut_off.s1p",
            b"[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 3\n[Network Data]\n1 0.1 0\n",
            "line",
        ),
    ];
    for (name, content, cause) in cases {
        let path = file(name, content);
        for extra in [&["--json"][..], &[][..]] {
            let mut arguments = extra.to_vec();
            arguments.push(&path);
            let line = refusal(&arguments);
            assert!(line.contains(name), "{line:?} does not name {name}");
            assert!(line.contains(cause), "{line:?} does not say {cause:?}");
        }
    }
    assert!(refusal(&["no/such/file.s1p"]).contains("no/such/file.s1p"));
    // Beyond what the numbers hold: refused in fixed point, taken in floating point.
    let large = file("large.s1p", "# MHz S RI R 50\n1 0.1 0\n2 5 0\n3 0.1 0\n");
    let line = refusal(&[&large]);
    assert!(line.contains("line 3") && line.contains("fixed32"), "{line}");
    assert!(json(&["--arithmetic", "f64", &large])["best"].is_object());
    // The good file before the bad one does not hide it.
    assert!(refusal(&[&demo("relay_input_after.s1p"), &large]).contains("large.s1p"));
}

#[test]
fn bad_options_are_refused() {
    let path = demo("relay_input_after.s1p");
    for (arguments, cause) in [
        (&["--swr-limit", "0.5"][..], "--swr-limit"),
        (&["--swr-limit", "nan"], "--swr-limit"),
        (&["--swr-limit", "inf"], "--swr-limit"),
        (&["--reference", "0"], "--reference"),
        (&["--reference", "-50"], "--reference"),
        (&["--reference", "1e9"], "reference"),
        (&["--target", "x"], "--target"),
        (&["--target", "-1M"], "--target"),
        (&["--target"], "--target"),
        (&["--arithmetic", "f16"], "--arithmetic"),
        (&["--tuning", "wire"], "--tuning"),
        (&["--most-turns", "0"], "--most-turns"),
        (&["--prominence", "-1"], "--prominence"),
        (&["--mask", "1M,2M"], "--mask"),
        (&["--mask", "2M,1M,2"], "--mask"),
        (&["--reading", "swr"], "--reading"),
        (&["--reading", "swr=0.5"], "SWR below 1"),
        (&["--reading", "colour=3"], "--reading"),
        (&["--nonsense"], "nonsense"),
    ] {
        let mut all = arguments.to_vec();
        if arguments != ["--target"] {
            all.push(&path);
        }
        let line = refusal(&all);
        assert!(line.contains(cause), "{arguments:?}: {line}");
    }
}
