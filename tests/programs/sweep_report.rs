//! The main job as its user meets it: the program `sweep_report`, run on good files and on bad ones.

use crate::common::Random;
use crate::program::{Program, file};
use serde_json::Value;

const PROGRAM: Program = Program("sweep_report");

fn demo(name: &str) -> String {
    format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"))
}

const DEMO: [(&str, &str); 4] = [
    ("relay_input_before.s1p", "71M"),
    ("relay_input_after.s1p", "71000k"),
    ("relay_antenna_75.s1p", "0.071G"),
    ("field_whip.s1p", "5300000"),
];

#[test]
fn the_contract_of_the_json() {
    let report = PROGRAM.json(&["--target", "71M", &demo("relay_input_before.s1p")]);
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
        ("quality", "object"),
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
    assert!(report["best"]["unresolved"].is_null() && report["dips"][0]["unresolved"].is_null());
    let quality = &report["quality"];
    assert_eq!(quality["spoilt"], serde_json::json!([]));
    assert!(quality["beyond_rim"] == 0 && quality["unresolved"] == 0 && quality["spoilt_left_out"] == 0);
    assert_eq!(quality["too_coarse"], false);
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
        // The noise is known in steps of 2⁻¹⁴, and so are the ends of what is expected.
        "noise" | "size" => 1.0 / 16384.0 + 1e-9,
        "swr_least" | "swr_most" => (one.abs() + 1.0).powi(2) / 2.0 * 1.5e-4,
        // Three times that.
        "swr_low" | "swr_high" => (one.abs() + 1.0).powi(2) / 2.0 * 2.0e-4,
        k if k.contains("swr") || k == "ratio" || k == "factor" => 2e-5 + 2e-6 * one.abs(),
        k if k.ends_with("_db") => 1e-4,
        k if k.ends_with("_ohm") => 5e-4 + 2e-6 * one.abs(),
        "q" => 1e-4 * one.abs() + 1e-4,
        "value" => 1e-4 * one.abs() + 1e-15,
        _ => 1e-6 * one.abs().max(1.0),
    };
    (one - other).abs() <= allowed
}

/// The same for 16 bits: Γ is off by 1e-4 at most between the points (half a step of both parts, and once more when it is
/// rounded), and what is read off it by as much as it changes with Γ.
fn close_in_16_bits(key: &str, one: f64, other: f64) -> bool {
    const GAMMA: f64 = 1e-4;
    let size = one.abs();
    let allowed = match key {
        // Γ passes by at least twice a hertz's share of the frequency: 1e-4 of it is 5e-5 of that. (At the edge of a band the
        // steps of the word are not averaged.)
        k if k.ends_with("_hz") => 3.0 + GAMMA / 2.0 * size,
        // dSWR = (SWR + 1)²/2·d|Γ|, and the readout's own bound.
        "noise" | "size" => 2.0 / 16384.0,
        "swr_least" | "swr_most" => (size + 1.0).powi(2) / 2.0 * 4.0 * GAMMA,
        // And three times what the noise that is found may differ.
        "swr_low" | "swr_high" => (size + 1.0).powi(2) / 2.0 * 5.0 * GAMMA,
        k if k.contains("swr") => (size + 1.0).powi(2) / 2.0 * GAMMA + 1e-4 * size,
        // Of frequencies, and of |Z|.
        "factor" => 4.0 * GAMMA / 10.0 * size,
        "ratio" => 2.0 * GAMMA * size + 1.5e-4 * size,
        // 8.7 dB for each d|Γ|/|Γ|.
        k if k.ends_with("_db") => 8.7 * GAMMA * 10f64.powf(size / 20.0) + 6e-5,
        // dZ = |Z + Z0|²/(2·Z0)·dΓ; beside this part of Z the other is some 60 Ω at most.
        k if k.ends_with("_ohm") => (size + 110.0).powi(2) / 100.0 * GAMMA + 1e-4 * size,
        // A slope through points that are off; or through other points, since the steps show as noise.
        "q" => 4e-3 * size,
        // Of a reactance: of a few ohms, here.
        "value" => 1e-3 * size,
        // Shares of the power: twice |Γ| a step, and their own word.
        _ => 2.0 * GAMMA,
    };
    (one - other).abs() <= allowed
}

fn compare(path: &str, one: &Value, other: &Value) {
    compare_to(close, path, one, other);
}

fn compare_to(close: fn(&str, f64, f64) -> bool, path: &str, one: &Value, other: &Value) {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (key, value) in a {
                if key != "arithmetic" {
                    compare_to(close, &format!("{path}/{key}"), value, &b[key]);
                }
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (place, (x, y)) in a.iter().zip(b).enumerate() {
                compare_to(close, &format!("{path}/{place}"), x, y);
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
        let report = |numbers| PROGRAM.json(&["--arithmetic", numbers, "--target", target, &demo(name)]);
        compare(name, &report("f64"), &report("fixed32"));
    }
}

#[test]
fn small_fixed_point_tells_the_same_to_its_steps() {
    for (name, target) in DEMO {
        let report = |numbers| PROGRAM.json(&["--arithmetic", numbers, "--target", target, &demo(name)]);
        let short = report("fixed16");
        assert_eq!(short["arithmetic"], "fixed16");
        compare_to(close_in_16_bits, name, &report("f64"), &short);
        let prose = |numbers| PROGRAM.prose(&["--arithmetic", numbers, "--target", target, &demo(name)]);
        assert!(prose("fixed16").contains("computed in fixed16"));
        // To the digits that are shown, the verdict is the same one.
        let verdict = |text: String| {
            let from = text.find("Verdict").unwrap();
            text[from..from + text[from..].find("Next step").unwrap()].to_string()
        };
        assert_eq!(verdict(prose("fixed16")), verdict(prose("f64")), "{name}");
    }
}

/// Control: a reference that is off by two thousandths moves Γ by one, and is noticed.
#[test]
#[should_panic(expected = "best/")]
fn another_reference_does_not_pass_for_16_bits() {
    let report = |numbers, ohms| {
        let all = PROGRAM.json(&[
            "--arithmetic",
            numbers,
            "--reference",
            ohms,
            &demo("relay_input_after.s1p"),
        ]);
        serde_json::json!({ "best": all["best"] })
    };
    compare_to(
        close_in_16_bits,
        "",
        &report("f64", "50.1"),
        &report("fixed16", "50"),
    );
}

/// Both words of fixed point end at 2: an open is an open, a Γ of 1.2 is read, one of 2.1 is refused.
#[test]
fn what_16_bits_cannot_hold() {
    let open = file("open.s1p", "# MHz S RI R 50\n1 1 0\n2 1 0\n3 1 0\n");
    let report = PROGRAM.json(&["--arithmetic", "fixed16", "--target", "2M", &open]);
    assert_eq!(report["target"]["pass"], false);
    assert!(report["target"]["resistance_ohm"].is_null());
    assert!(report["target"]["swr"].is_null());
    let active = file("active16.s1p", "# MHz S RI R 50\n1 0.5 0\n2 1.2 0.1\n3 0.5 0\n");
    let report = PROGRAM.json(&["--arithmetic", "fixed16", &active]);
    assert_eq!(report["points"], 3);
    let active = file("beyond16.s1p", "# MHz S RI R 50\n1 0.5 0\n2 2.1 0.1\n3 0.5 0\n");
    let line = PROGRAM.refusal(&["--arithmetic", "fixed16", &active]);
    assert!(line.contains("line 3") && line.contains("fixed16"), "{line}");
}

#[test]
#[should_panic(expected = "best/swr")]
fn a_report_of_another_file_does_not_pass_for_the_same() {
    let report = |name| {
        let all = PROGRAM.json(&["--target", "71M", &demo(name)]);
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
    let story = PROGRAM.prose(&[]);
    for words in [
        "relay_input_before.s1p",
        "NOT MATCHED at 71 MHz",
        "Next step Dip 5.4 MHz high. Close the trimmer: C up 16 % (× 1.158).",
        "Expect SWR 1.09",
        "Next step Leave it as it is.",
        "Spread the coil, or take turns off: L down 3.2 %",
        "1 is a perfect match",
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
    let all = PROGRAM.json(&[]);
    assert_eq!(all["sweeps"].as_array().unwrap().len(), 4);
    assert_eq!(all["comparison"].as_array().unwrap().len(), 4);
    assert_eq!(all["file"], all["sweeps"][3]["file"]);
}

#[test]
fn the_demo_data_are_what_their_program_makes() {
    let output = Program("make_demo_data").run(&["--check"]);
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn help_is_answered() {
    PROGRAM.helps(include_str!("../../examples/sweep_report/options.rs"));
    let output = Program("make_demo_data").run(&["--help"]);
    assert!(output.status.success() && !output.stdout.is_empty());
}

#[test]
fn another_reference_is_another_answer() {
    // 75 Ω against 50 Ω is SWR 1.5 (the definition), whichever of the two the file refers to.
    let matched = file("flat.s1p", "# MHz S RI R 75\n1 0 0\n2 0 0\n3 0 0\n");
    let own = PROGRAM.json(&[&matched]);
    assert_eq!(
        (own["reference_ohm"].as_f64(), own["best"]["swr"].as_f64()),
        (Some(75.0), Some(1.0))
    );
    assert_eq!(own["best"]["method"], "flat");
    let fifty = PROGRAM.json(&["--reference", "50", &matched]);
    assert!((fifty["best"]["swr"].as_f64().unwrap() - 1.5).abs() < 1e-4);
    assert!(
        own["best"]["return_loss_db"].is_null(),
        "no reflection at all is no number"
    );
}

#[test]
fn a_target_outside_the_sweep_is_marked() {
    let report = PROGRAM.json(&["--target", "90M", &demo("relay_input_after.s1p")]);
    assert_eq!(report["target"]["covered"], false);
    assert_eq!(report["target"]["pass"], false);
    assert!(report["target"]["swr"].is_null());
    assert!(
        PROGRAM
            .prose(&["--target", "90M", &demo("relay_input_after.s1p")])
            .contains("UNKNOWN at 90 MHz")
    );
}

#[test]
fn a_minimum_at_the_edge_is_marked() {
    let falling = file(
        "edge.s1p",
        "# MHz S RI R 50\n1 0.5 0\n2 0.4 0\n3 0.3 0\n4 0.2 0\n",
    );
    let report = PROGRAM.json(&["--target", "2M", &falling]);
    assert_eq!(report["best"]["at_edge"], true);
    assert_eq!(report["best"]["frequency_hz"], 4_000_000);
    assert!(report["advice"]["retune"].is_null());
    assert!(
        PROGRAM
            .prose(&[&falling])
            .contains("the real minimum lies outside")
    );
}

#[test]
fn gain_is_said_and_not_hidden() {
    let active = file("active.s1p", "# MHz S RI R 50\n1 1.2 0\n2 1.1 0.1\n3 1.2 0\n");
    let report = PROGRAM.json(&[&active]);
    assert!(report["best"]["return_loss_db"].as_f64().unwrap() < 0.0);
    assert!(report["best"]["swr"].is_null());
    assert!(report["advice"]["diagnosis"].is_null());
    assert!(
        PROGRAM
            .prose(&[&active])
            .contains("more comes back than was sent")
    );
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
    assert!(PROGRAM.prose(&arguments).contains("THEY DISAGREE"));
    assert_eq!(PROGRAM.json(&arguments)["readings"]["agreement"], "contradictory");
    let alone = PROGRAM.json(&[
        "--reading",
        "impedance-magnitude=50",
        "--reading",
        "swr=1.0",
        &path,
    ]);
    assert_eq!(alone["readings"]["agreement"], "undecided");
    let same = PROGRAM.json(&["--reading", "swr=1.5", "--reading", "return-loss=14", &path]);
    assert_eq!(same["readings"]["agreement"], "consistent");
}

#[test]
fn a_mask_is_held_against_the_sweep() {
    let report = PROGRAM.json(&[
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
            let line = PROGRAM.refusal(&arguments);
            assert!(line.contains(name), "{line:?} does not name {name}");
            assert!(line.contains(cause), "{line:?} does not say {cause:?}");
        }
    }
    assert!(
        PROGRAM
            .refusal(&["no/such/file.s1p"])
            .contains("no/such/file.s1p")
    );
    // Beyond what the numbers hold: refused in fixed point, taken in floating point.
    let large = file("large.s1p", "# MHz S RI R 50\n1 0.1 0\n2 5 0\n3 0.1 0\n");
    let line = PROGRAM.refusal(&[&large]);
    assert!(line.contains("line 3") && line.contains("fixed32"), "{line}");
    assert!(PROGRAM.json(&["--arithmetic", "f64", &large])["best"].is_object());
    // The good file before the bad one does not hide it.
    assert!(
        PROGRAM
            .refusal(&[&demo("relay_input_after.s1p"), &large])
            .contains("large.s1p")
    );
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
        (&["--noise", "-0.001"], "--noise: -0.001 is below 0"),
        (&["--noise", "nan"], "--noise"),
        (&["--noise", "inf"], "--noise"),
        (&["--noise", "little"], "--noise"),
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
        let line = PROGRAM.refusal(&all);
        assert!(line.contains(cause), "{arguments:?}: {line}");
    }
}

/// The options that correct by the raw sweeps of the demo.
fn corrected(arguments: &[&str]) -> Vec<String> {
    let mut all = Vec::new();
    for (option, name) in [("--open", "open"), ("--short", "short"), ("--load", "load")] {
        all.extend([option.to_string(), demo(&format!("relay_raw_{name}.s1p"))]);
    }
    all.extend(arguments.iter().map(|argument| argument.to_string()));
    all
}

fn strings(arguments: &[String]) -> Vec<&str> {
    arguments.iter().map(String::as_str).collect()
}

/// The report without what tells the two apart.
fn figures(arguments: &[String]) -> (Value, Value) {
    let mut report = PROGRAM.json(&strings(arguments));
    let object = report.as_object_mut().unwrap();
    object.remove("file");
    let calibration = object.remove("calibration").unwrap();
    assert_eq!(object.remove("corrected").unwrap(), calibration.is_object());
    (report, calibration)
}

/// Done when: the corrected report of the raw sweep is that of the file it was made from, in every family.
#[test]
fn a_corrected_sweep_is_that_of_the_ideal_file() {
    for numbers in ["f64", "f32", "fixed32"] {
        let common = ["--arithmetic", numbers, "--target", "71M"];
        let with = |name: &str| {
            [&common[..], &[demo(name).as_str()]]
                .concat()
                .iter()
                .map(|text| text.to_string())
                .collect::<Vec<_>>()
        };
        let (got, calibration) = figures(&corrected(&strings(&with("relay_raw_input.s1p"))));
        let (want, none) = figures(&with("relay_input_after.s1p"));
        assert!(none.is_null());
        compare(numbers, &got, &want);
        assert_eq!(calibration["standards"], "ideal");
        assert_eq!(calibration["points"], 201);
        assert_eq!(calibration["exchange_suspected"], false);
        // The three terms are in `make_demo_data`: 0.64 is 3.9 dB, and the source match at most 0.12.
        assert!((calibration["least_loss_db"].as_f64().unwrap() + 20.0 * 0.64f64.log10()).abs() < 2e-4);
        assert!(calibration["source_match_db"].as_f64().unwrap() > -20.0 * 0.12f64.log10());
        assert!(calibration["unevenness"].as_f64().unwrap() < 1e-6);
        assert!(calibration["tracking_at_zero_deg"].as_f64().unwrap().abs() < 0.1);
        // The control: uncorrected it is another.
        let (raw, _) = figures(&with("relay_raw_input.s1p"));
        let swr = |report: &Value| report["target"]["swr"].as_f64().unwrap();
        assert!((swr(&got) - swr(&want)).abs() < 1e-4 && (swr(&raw) - swr(&want)).abs() > 0.3);
    }
}

/// In 16 bits a step is 6e-5: the reading and three terms, each rounded, over the tracking of 0.64 come to 2e-4 of Γ.
#[test]
fn a_corrected_sweep_in_16_bits() {
    let arguments = |file: &str| {
        ["--arithmetic", "fixed16", "--target", "71M", &demo(file)]
            .map(String::from)
            .to_vec()
    };
    let (got, calibration) = figures(&corrected(&strings(&arguments("relay_raw_input.s1p"))));
    let (want, _) = figures(&arguments("relay_input_after.s1p"));
    assert_eq!(calibration["points"], 201);
    for (place, key, allowed) in [
        ("best", "swr", 5e-4),
        ("best", "frequency_hz", 2000.0),
        ("best", "resistance_ohm", 0.03),
        ("target", "swr", 5e-4),
        ("target", "resistance_ohm", 0.03),
        ("target", "reactance_ohm", 0.03),
        ("target", "return_loss_db", 0.04),
    ] {
        let value = |report: &Value| report[place][key].as_f64().unwrap();
        let gap = (value(&got) - value(&want)).abs();
        assert!(gap <= allowed, "{place} {key}: {gap}");
    }
    for key in ["dips", "bands", "resonances"] {
        assert_eq!(
            got[key].as_array().unwrap().len(),
            want[key].as_array().unwrap().len(),
            "{key}"
        );
    }
}

#[test]
fn a_correction_is_told_and_doubted() {
    let input = demo("relay_raw_input.s1p");
    let story = PROGRAM.prose(&strings(&corrected(&[&input])));
    assert!(story.contains("Corrected raw readings, corrected by relay_raw_open.s1p, relay_raw_short.s1p and relay_raw_load.s1p"), "{story}");
    assert!(story.contains("a directivity of 11.0 dB") && !story.contains("EXCHANGED"));
    assert!(!PROGRAM.prose(&[&input]).contains("Corrected"));
    // Open and short exchanged: the phase at 0 Hz says so.
    let (open, short, load) = (
        demo("relay_raw_open.s1p"),
        demo("relay_raw_short.s1p"),
        demo("relay_raw_load.s1p"),
    );
    let exchanged = ["--open", &short, "--short", &open, "--load", &load, &input];
    assert!(
        PROGRAM
            .prose(&exchanged)
            .contains("OPEN AND SHORT MAY BE EXCHANGED")
    );
    assert_eq!(
        PROGRAM.json(&exchanged)["calibration"]["exchange_suspected"],
        true
    );
    // The load exchanged with the open is refused.
    let line = PROGRAM.refusal(&["--open", &load, "--short", &short, "--load", &open, &input]);
    assert!(
        line.contains("relay_raw_load.s1p: line 6") && line.contains("was the load exchanged"),
        "{line}"
    );
}

#[test]
fn raw_sweeps_that_do_not_fit_are_refused() {
    let sweep = |name: &str, content: &str| file(name, content);
    let open = sweep("raw_o.s1p", "# MHz S RI R 50\n1 0.8 0\n2 0.8 0.1\n3 0.8 0.2\n");
    let short = sweep(
        "raw_s.s1p",
        "# MHz S RI R 50\n1 -0.8 0\n2 -0.8 -0.1\n3 -0.8 -0.2\n",
    );
    let load = sweep("raw_l.s1p", "# MHz S RI R 50\n1 0 0\n2 0 0.1\n3 0.1 0\n");
    let device = sweep("raw_d.s1p", "# MHz S RI R 50\n1 0.1 0\n3 0.1 0\n");
    let with = |open: &str, short: &str, load: &str, device: &str| {
        ["--open", open, "--short", short, "--load", load, device]
            .map(String::from)
            .to_vec()
    };
    // A sweep need not have every frequency of the standards.
    let good = with(&open, &short, &load, &device);
    assert_eq!(PROGRAM.json(&strings(&good))["points"], 2);
    let other = sweep("raw_other.s1p", "# MHz S RI R 50\n1 0.1 0\n2.5 0.1 0\n3 0.1 0\n");
    let brief = sweep("raw_brief.s1p", "# MHz S RI R 50\n1 -0.8 0\n2 -0.8 0\n");
    let long = sweep("raw_long.s1p", "# MHz S RI R 50\n1 0 0\n2 0 0\n3 0 0\n4 0 0\n");
    let beyond = sweep("raw_beyond.s1p", "# MHz S RI R 50\n1 0.1 0\n4 0.1 0\n");
    let seventy_five = sweep("raw_75.s1p", "# MHz S RI R 75\n1 0 0\n2 0 0\n3 0 0\n");
    let single = sweep("raw_single.s1p", "# MHz S RI R 50\n1 0.8 0\n");
    let dead = sweep("raw_dead.s1p", "# MHz S RI R 50\n1 0.8 0\n2 0.8 0.1\n3 0.8 0.2\n");
    let large = sweep("raw_large.s1p", "# MHz S RI R 50\n1 0.1 0\n2 5 0\n3 0 0\n");
    for (arguments, name, line, cause) in [
        (
            with(&open, &other, &load, &device),
            "raw_other.s1p",
            "line 3",
            "grids do not match",
        ),
        (
            with(&open, &brief, &load, &device),
            "raw_brief.s1p",
            "line 3",
            "grids do not match",
        ),
        (
            with(&open, &short, &long, &device),
            "raw_long.s1p",
            "line 5",
            "grids do not match",
        ),
        (
            with(&open, &short, &load, &other),
            "raw_other.s1p",
            "line 3",
            "grids do not match",
        ),
        (
            with(&open, &short, &load, &beyond),
            "raw_beyond.s1p",
            "line 3",
            "grids do not match",
        ),
        (
            with(&open, &short, &seventy_five, &device),
            "raw_75.s1p",
            "line 1",
            "75 ohm",
        ),
        (
            with(&open, &short, &load, &seventy_five),
            "raw_75.s1p",
            "line 1",
            "75 ohm",
        ),
        (
            with(&open, &dead, &load, &device),
            "raw_o.s1p",
            "line 2",
            "standards 1 and 2 read the same",
        ),
        (
            with(&single, &single, &single, &device),
            "raw_single.s1p",
            "line 2",
            "standards 1 and 2",
        ),
        (
            with(&large, &short, &load, &device),
            "raw_large.s1p",
            "line 3",
            "fixed32",
        ),
        (with(&open, &short, "no/such.s1p", &device), "no/such.s1p", "", ""),
    ] {
        for extra in [&["--json".to_string()][..], &[]] {
            let all = [extra, &arguments].concat();
            let refused = PROGRAM.refusal(&strings(&all));
            assert!(
                refused.contains(name) && refused.contains(line) && refused.contains(cause),
                "{refused}"
            );
        }
    }
    assert!(
        PROGRAM
            .refusal(&["--open", &open, &device])
            .contains("only good together")
    );
    assert!(PROGRAM.refusal(&strings(&good[..6])).contains("name its file"));
}

/// A sweep of R + jX against 50 Ω as a file, from its impedance at each frequency in MHz.
fn sweep_file(
    name: &str,
    megahertz: impl Iterator<Item = f64>,
    reference: f64,
    impedance: impl Fn(f64) -> (f64, f64),
) -> String {
    let mut content = format!("! invented\n# MHz S RI R {reference}\n");
    for f in megahertz {
        let (r, x) = impedance(f);
        let square = (r + reference).powi(2) + x * x;
        let re = ((r - reference) * (r + reference) + x * x) / square;
        content += &format!("{f} {re:.9} {:.9}\n", 2.0 * x * reference / square);
    }
    file(name, content)
}

fn steps(count: u32) -> impl Iterator<Item = f64> {
    (0..=count).map(move |step| 60.0 + 20.0 * f64::from(step) / f64::from(count))
}

#[test]
fn measured_against_predicted() {
    let plain = |f: f64| (40.0, 3.0 * (f - 70.0));
    // 20 nH more than predicted, against another reference, on another grid, over less of the band.
    let omega = |f: f64| core::f64::consts::TAU * f * 1e6;
    let measured = sweep_file("measured.s1p", steps(100), 50.0, |f| {
        let (r, x) = plain(f);
        (r, x + omega(f) * 20e-9)
    });
    let predicted = sweep_file("predicted.s1p", steps(100).take(91), 75.0, plain);
    for numbers in ["fixed32", "f32", "f64"] {
        let report = PROGRAM.json(&["--predicted", &predicted, "--arithmetic", numbers, &measured]);
        let found = &report["predicted"];
        assert!(found["file"].as_str().unwrap().ends_with("predicted.s1p"));
        assert_eq!(found["points"], 91);
        assert_eq!(found["left_out"], 10);
        assert_eq!(found["best_explanation"], "leakage");
        let best = &found["explanations"][0];
        assert_eq!(best["parameter"], "leakage");
        assert!(
            (best["inductance_h"].as_f64().unwrap() - 20e-9).abs() < 1e-11,
            "{best}"
        );
        assert!(best["residual"].as_f64().unwrap() < 1e-6);
        assert!(best["share_explained"].as_f64().unwrap() > 0.9999);
        let largest = found["largest_difference"].as_f64().unwrap();
        let mean = found["mean_difference"].as_f64().unwrap();
        assert!(0.05 < mean && mean < largest && largest < 0.2, "{found}");
        for place in [1, 2] {
            let other = &found["explanations"][place];
            assert!(other["residual"].as_f64() > best["residual"].as_f64());
        }
    }
    let told = PROGRAM.prose(&["--predicted", &predicted, &measured]);
    for part in [
        "leakage fits best: 20.0 nH more in series",
        "explains nearly all",
        "10 measured points lie beyond it",
    ] {
        assert!(told.contains(part), "{part:?} is not in {told}");
    }
    // A coarser prediction is taken in straight lines between its points: nearly the same.
    let coarse = sweep_file("coarse.s1p", steps(40), 50.0, plain);
    let report = PROGRAM.json(&["--predicted", &coarse, &measured]);
    let best = &report["predicted"]["explanations"][0];
    assert!(
        (best["inductance_h"].as_f64().unwrap() - 20e-9).abs() < 1e-10,
        "{best}"
    );
    // The ratio, and the line, by turns.
    let scaled = sweep_file("scaled.s1p", steps(100), 50.0, |f| (40.0 * 1.2, 3.6 * (f - 70.0)));
    let report = PROGRAM.json(&["--predicted", &predicted, &scaled]);
    assert_eq!(report["predicted"]["best_explanation"], "ratio");
    let times = report["predicted"]["explanations"][0]["times_impedance"]
        .as_f64()
        .unwrap();
    assert!((times - 1.2).abs() < 2e-5);
    // The same against itself: nothing to explain. And without the option there is nothing.
    let same = PROGRAM.json(&["--predicted", &measured, &measured]);
    assert_eq!(same["predicted"]["largest_difference"], 0.0);
    assert!(same["predicted"]["best_explanation"].is_null());
    assert!(PROGRAM.json(&[&measured])["predicted"].is_null());
    // Bad predictions are refused by name.
    let elsewhere = file("elsewhere.s1p", "# MHz S RI R 50\n1 0.1 0\n2 0.1 0\n");
    let line = PROGRAM.refusal(&["--predicted", &elsewhere, &measured]);
    assert!(
        line.contains("elsewhere.s1p") && line.contains("none of the measured"),
        "{line}"
    );
    assert!(
        PROGRAM
            .refusal(&["--predicted", "no/such.s1p", &measured])
            .contains("no/such.s1p")
    );
    assert!(PROGRAM.refusal(&["--predicted"]).contains("--predicted"));
    assert!(
        PROGRAM
            .refusal(&["--predicted", &predicted])
            .contains("name its file")
    );
    let falling = file("falling_prediction.s1p", "# MHz S RI R 50\n62 0.1 0\n61 0.1 0\n");
    assert!(
        PROGRAM
            .refusal(&["--predicted", &falling, &measured])
            .contains("line 3")
    );
}

/// What the command line says wrongly is blamed on its option, with what was given, whichever file comes first.
#[test]
fn a_refused_option_is_blamed_and_not_the_file() {
    let path = demo("relay_input_after.s1p");
    let many = ["--mask", "70M,71M,2"].repeat(33);
    let cases: [(&[&str], &str); 20] = [
        (&["--noise", "-1"], "--noise: -1 is below 0"),
        (&["--noise", "3"], "--noise: 3: "),
        (&["--reference", "1e9"], "--reference: 1e9: "),
        (&["--reference", "1e-9"], "--reference: 1e-9: "),
        (
            &["--arithmetic", "fixed16", "--reference", "600000"],
            "--reference: 600000: ",
        ),
        (&["--swr-limit", "1e6"], "--swr-limit: 1000000: "),
        (&["--mask", "1M,2M,1e6"], "--mask: 1000000: "),
        (&many, "--mask: 33 stretches: "),
        (
            &["--target", "71"],
            "--target: 71 alone is 71 Hz: is 71 MHz meant?",
        ),
        (
            &["--target", "14200"],
            "--target: 14200 alone is 14200 Hz: is 14200 kHz meant?",
        ),
        (
            &["--mask", "70,72,2"],
            "--mask: 70 alone is 70 Hz: is 70 MHz meant?",
        ),
        (&["--target", "71m"], "--target: \"71m\" is not a frequency"),
        (&["--target", "71MHzz"], "--target: \"71MHzz\" is not a frequency"),
        (&["--target", "Hz"], "--target: \"Hz\" is not a frequency"),
        (&["--target", "½M"], "--target: \"½M\" is not a frequency"),
        (&["--target", "1e300G"], "--target: 1e300G is out of range"),
        (
            &["--picture", "x.png", "--picture-size", "30000x30000"],
            "--picture-size: 30000x30000 is larger than 16384",
        ),
        (
            &["--picture", "x.png", "--picture-size", "16384x16384"],
            "--picture-size: 16384x16384 is more than 16 million",
        ),
        (
            &["--picture", "x.png", "--picture-size", "9x9"],
            "--picture-size: 9x9 is smaller",
        ),
        (
            &["--reading", "swr=1.5", "--reading", "impedance=50"],
            "--reading: \"impedance=50\"",
        ),
    ];
    for (arguments, start) in cases {
        let mut all = arguments.to_vec();
        all.push(&path);
        let line = PROGRAM.refusal(&all);
        assert!(line.starts_with(start), "{start:?} is not how {line:?} begins");
        assert!(!line.contains(".s1p"), "{line}");
    }
    // What a file says wrongly is blamed on the file and its line.
    let large = file(
        "large_reference.s1p",
        "! invented\n# MHz S RI R 900000\n1 0 0\n2 0 0\n",
    );
    let line = PROGRAM.refusal(&[&large]);
    assert!(line.contains("large_reference.s1p: line 2: reference"), "{line}");
    let line = PROGRAM.refusal(&["--predicted", &large, &path]);
    assert!(line.contains("large_reference.s1p: line 2: reference"), "{line}");
}

#[test]
fn a_frequency_is_read_as_it_is_written() {
    let path = demo("relay_input_after.s1p");
    for text in [
        "71M",
        "71MHz",
        "71 MHz",
        "71mhz",
        "71000k",
        "71000K",
        "71000kHz",
        "0.071G",
        "0.071 GHz",
        "71000000",
        "71e6",
        "71000000Hz",
        "7.1e7hz",
    ] {
        let report = PROGRAM.json(&["--target", text, &path]);
        assert_eq!(report["target"]["frequency_hz"], 71_000_000, "{text}");
    }
    let report = PROGRAM.json(&["--target", "71Hz", &path]);
    assert_eq!(report["target"]["frequency_hz"], 71);
    assert_eq!(report["target"]["covered"], false);
}

/// Of the four pictures of the demo no two are kept as pixels: 4.3 MB each, of 24 MB with the program itself.
#[cfg(target_os = "linux")]
#[test]
fn pictures_take_the_memory_of_one() {
    let mut shell = std::process::Command::new("sh");
    shell
        .args(["-c", "ulimit -v 24000; exec \"$@\"", "sh"])
        .arg(PROGRAM.command().get_program())
        .args(["--picture", &crate::program::path("four.png")])
        .args(["--picture-size", "1200x1200", "--json"]);
    let output = shell.output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

/// A difference at one frequency is two numbers: ratio, leakage or length comes near them by chance.
#[test]
fn one_common_point_explains_nothing() {
    let predicted = file("one_predicted.s1p", "# MHz S RI R 50\n71 0.2 0.1\n");
    let measured = file(
        "many_measured.s1p",
        "# MHz S RI R 50\n70 0.3 0.2\n71 0.25 0.15\n72 0.2 0.1\n",
    );
    let report = PROGRAM.json(&["--predicted", &predicted, &measured]);
    assert_eq!(report["predicted"]["points"], 1);
    assert_eq!(report["predicted"]["left_out"], 2);
    assert!(
        report["predicted"]["best_explanation"].is_null(),
        "{}",
        report["predicted"]
    );
    let told = PROGRAM.prose(&["--predicted", &predicted, &measured]);
    assert!(told.contains("one common frequency does not tell"), "{told}");
    assert!(!told.contains("fits best"), "{told}");
    // The control: with two there is something to tell.
    let two = file("two_predicted.s1p", "# MHz S RI R 50\n71 0.2 0.1\n72 0.15 0.05\n");
    let report = PROGRAM.json(&["--predicted", &two, &measured]);
    assert_eq!(report["predicted"]["points"], 2);
    assert!(report["predicted"]["best_explanation"].is_string());
    // A reading at 0 Hz is no reason to refuse the others.
    let from_zero = file(
        "from_zero.s1p",
        "# MHz S RI R 50\n0 0.2 0\n71 0.2 0.1\n72 0.15 0.05\n",
    );
    let also_zero = file(
        "also_zero.s1p",
        "# MHz S RI R 50\n0 0.3 0\n71 0.25 0.15\n72 0.2 0.1\n",
    );
    let report = PROGRAM.json(&["--predicted", &from_zero, &also_zero]);
    assert_eq!(report["predicted"]["points"], 2);
    assert_eq!(report["predicted"]["left_out"], 1);
}

/// Twenty dips between two ripples of a long cable are counted, and the widest of their bands is told.
#[test]
fn many_dips_and_bands_are_counted_and_not_listed() {
    let mut content = String::from("! invented\n# MHz S RI R 50\n");
    for step in 0..=800 {
        // |Γ| swings between 0.2 and 0.5, twenty times; each trough a little deeper than the last.
        let t = f64::from(step) / 800.0;
        let size = 0.35 - 0.01 * t + 0.15 * (core::f64::consts::TAU * 20.0 * t).cos();
        content += &format!("{} {:.9} 0\n", 60.0 + 20.0 * t, size);
    }
    let path = file("twenty_dips.s1p", &content);
    let report = PROGRAM.json(&["--swr-limit", "1.9", &path]);
    let count = |key: &str| report[key].as_array().unwrap().len();
    assert!(
        count("dips") >= 20 && count("bands") >= 20,
        "{}, {}",
        count("dips"),
        count("bands")
    );
    let told = PROGRAM.prose(&["--swr-limit", "1.9", &path]);
    let others: Vec<f64> = report["dips"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|dip| dip["frequency_hz"] != report["best"]["frequency_hz"])
        .map(|dip| dip["swr"].as_f64().unwrap())
        .collect();
    let end = |order: fn(f64, f64) -> f64, from| others.iter().copied().fold(from, order);
    let words = format!(
        "Other dips {} more, of SWR {:.2} to {:.2}; --json lists them. ",
        others.len(),
        end(f64::min, f64::INFINITY),
        end(f64::max, 0.0)
    );
    assert!(told.contains(&words), "{words}: {told}");
    let widest = report["bands"].as_array().unwrap().iter();
    let widest = widest.map(|band| band["high_hz"].as_u64().unwrap() - band["low_hz"].as_u64().unwrap());
    let widest = widest.max().unwrap() as f64 / 1e3;
    let words = format!("SWR 1.90 or less in {} bands, the widest from ", count("bands"));
    assert!(told.contains(&words), "{words}: {told}");
    let (_, rest) = told.split_once(&words).unwrap();
    let (_, rest) = rest.split_once('(').unwrap();
    let wide: f64 = rest.split_once(" kHz wide)").unwrap().0.parse().unwrap();
    assert!(
        (wide - widest).abs() < 1e-3 && told.matches(" wide)").count() == 1,
        "{told}"
    );
    // Few are listed, all of them.
    let told = PROGRAM.prose(&[&demo("relay_antenna_75.s1p")]);
    assert!(
        told.contains("Other dips 64.5245 MHz (SWR 1.20)") && told.matches(" wide)").count() == 2,
        "{told}"
    );
}

#[test]
fn readings_alone_are_told_alone() {
    let told = PROGRAM.prose(&["--reading", "swr=4.5", "--reading", "series-resistance=15"]);
    assert!(told.starts_with("Readings nothing speaks against them"), "{told}");
    assert!(told.contains("a reactance of ±28.6 Ω"), "{told}");
    assert!(
        told.contains("series-resistance=15 stands for SWR 3.23 or more"),
        "{told}"
    );
    assert!(
        !told.contains("demo") && !told.contains("Measured") && !told.contains("DISAGREE"),
        "{told}"
    );
    let readings = |arguments: &[&str]| {
        let mut document = PROGRAM.json(arguments);
        let object = document.as_object_mut().unwrap();
        assert_eq!(object.len(), 1, "{arguments:?}");
        object.remove("readings").unwrap()
    };
    let found = readings(&["--reading", "swr=4.5", "--reading", "series-resistance=15"]);
    assert_eq!(found["agreement"], "undecided");
    // √(2·50·K·15 − 50² − 15²) with K = (4.5 + 1/4.5)/2: the circle of equal SWR (from memory).
    let k = (4.5f64 + 1.0 / 4.5) / 2.0;
    let x = (2.0 * 50.0 * k * 15.0 - 2500.0 - 225.0).sqrt();
    assert!(
        (found["reactance_ohm"].as_f64().unwrap() - x).abs() < 1e-9,
        "{found}"
    );
    assert_eq!(found["list"][0]["reading"], "swr=4.5");
    assert!(found["list"][1]["swr_high"].is_null());
    // On another reference another one: in units of 75 Ω, √((4.5 − 0.4)·(0.4 − 1/4.5)).
    let other = readings(&[
        "--reference",
        "75",
        "--reading",
        "swr=4.5",
        "--reading",
        "series-resistance=30",
    ]);
    let x = 75.0 * (4.1f64 * (0.4 - 1.0 / 4.5)).sqrt();
    assert!(
        (other["reactance_ohm"].as_f64().unwrap() - x).abs() < 1e-9,
        "{other}"
    );
    // 15 Ω in series cannot have SWR 1.5: alone it is 3.3 already.
    let found = readings(&["--reading", "swr=1.5", "--reading", "series-resistance=15"]);
    assert_eq!(found["agreement"], "contradictory");
    assert!(found["reactance_ohm"].is_null());
    // A pure resistance is another thing.
    let found = readings(&["--reading", "swr=4.5", "--reading", "resistance=15"]);
    assert_eq!(found["agreement"], "contradictory");
    // Each two go together, the three do not: 30 Ω in 50 Ω is X = 40 Ω, which is SWR 3 (a 3-4-5 triangle).
    let three = |swr: &str| {
        let swr = format!("swr={swr}");
        readings(&[
            "--reading",
            "impedance-magnitude=50.0",
            "--reading",
            "series-resistance=30.0",
            "--reading",
            &swr,
        ])["agreement"]
            .clone()
    };
    assert_eq!(three("3.0"), "consistent");
    assert_eq!(three("5.0"), "contradictory together");
    // What needs a sweep says so.
    for (option, value) in [("--picture", "x.png"), ("--mask", "1M,2M,2"), ("--target", "71M")] {
        let line = PROGRAM.refusal(&["--reading", "swr=2", option, value]);
        assert!(
            line.starts_with(option) && line.contains("name its file"),
            "{line}"
        );
    }
    // With a file it is both.
    let both = PROGRAM.json(&["--reading", "swr=1.5", &demo("relay_input_after.s1p")]);
    assert!(both["best"].is_object() && both["readings"].is_object());
}

/// Many write the reflection in dB and call it return loss.
#[test]
fn a_return_loss_with_a_minus_sign_is_the_same_one() {
    let verdict = |loss: &str| {
        let document = PROGRAM.json(&[
            "--reading",
            "swr=1.5",
            "--reading",
            &format!("return-loss={loss}"),
        ]);
        document["readings"].clone()
    };
    for (loss, wanted) in [
        ("14", "consistent"),
        ("-14", "consistent"),
        ("-16", "contradictory"),
        ("16", "contradictory"),
    ] {
        let found = verdict(loss);
        assert_eq!(found["agreement"], wanted, "{loss}");
        assert_eq!(found["list"][1]["sign_left_out"], loss.starts_with('-'));
    }
    assert_eq!(
        verdict("14")["list"][1]["swr_low"],
        verdict("-14")["list"][1]["swr_low"]
    );
    let told = PROGRAM.prose(&["--reading", "return-loss=-14"]);
    assert!(
        told.contains("one alone") && told.contains("its minus sign is left out"),
        "{told}"
    );
}

#[test]
fn an_impedance_is_read_as_it_is_written() {
    let swr = |text: &str| {
        let document = PROGRAM.json(&["--reading", &format!("impedance={text}")]);
        let list = document["readings"]["list"][0].clone();
        (list["swr_low"].clone(), list["swr_high"].clone())
    };
    for text in [
        "1.6+j5",
        "1.6 + 5j",
        "1.6+5j",
        "1.6 + j5",
        "1.6, 5",
        "1.6-j5",
        "1.6 - 5j",
        "1.6,-5",
        "1.6 − j5 Ω",
        "+1.6+j5",
    ] {
        assert_eq!(swr(text), swr("1.6,5"), "{text}");
    }
    assert_ne!(swr("1.6,5"), swr("1.6,6"));
    for text in [
        "1.6",
        "j5",
        "1.6+5",
        "1.6+j",
        "1.6j5",
        "1.6+j5+j5",
        "1.6+jj5",
        "a+jb",
        "",
    ] {
        let line = PROGRAM.refusal(&["--reading", &format!("impedance={text}")]);
        assert!(
            line.starts_with(&format!("--reading: \"impedance={text}\"")),
            "{line}"
        );
    }
}

/// Γ at so many points from 60 to 80 MHz, as a file.
fn gamma_file(name: &str, gammas: &[(f64, f64)]) -> String {
    let mut content = String::from("! invented\n# Hz S RI R 50\n");
    for (step, (re, im)) in gammas.iter().enumerate() {
        content += &format!("{} {re:.9} {im:.9}\n", hertz_of(step, gammas.len()));
    }
    file(name, content)
}

fn hertz_of(step: usize, points: usize) -> u64 {
    60_000_000 + 20_000_000 * step as u64 / (points as u64 - 1)
}

/// Γ of a series circuit with this Q, each component with noise of this standard deviation.
fn resonance(
    random: &mut Random,
    points: usize,
    (ohms, q, middle): (f64, f64, f64),
    noise: f64,
) -> Vec<(f64, f64)> {
    let at = |step: usize| {
        let ratio = hertz_of(step, points) as f64 / middle;
        let x = ohms * q * (ratio - 1.0 / ratio);
        let square = (ohms + 50.0).powi(2) + x * x;
        (
            ((ohms - 50.0) * (ohms + 50.0) + x * x) / square,
            100.0 * x / square,
        )
    };
    // The sum of twelve even ones has a standard deviation of 1.
    let mut normal = || (0..12).map(|_| random.between(0.0, 1.0)).sum::<f64>() - 6.0;
    let gammas = (0..points).map(at);
    gammas
        .map(|(re, im)| (re + noise * normal(), im + noise * normal()))
        .collect()
}

const WARNINGS: [&str; 8] = [
    "Quality",
    "above 1",
    "Too coarse",
    "too narrow",
    "not resolve",
    "fit none",
    "fits none",
    "doubtful",
];

/// Says nothing where all is well: sweeps of all kinds that are fine enough, with noise up to a third of what is allowed.
#[test]
fn a_good_sweep_is_not_doubted() {
    let mut random = Random::new(71);
    let mut paths = Vec::new();
    for case in 0..100 {
        let load = (
            random.between(5.0, 300.0),
            random.between(3.0, 30.0),
            random.between(58e6, 82e6),
        );
        let noise = [0.0, 2e-4, 1e-3, 3e-3][case % 4];
        let points = [101, 201, 401][case % 3];
        let gammas = resonance(&mut random, points, load, noise);
        paths.push(gamma_file(&format!("good_{case}.s1p"), &gammas));
    }
    let paths: Vec<&str> = paths.iter().map(String::as_str).collect();
    let all = PROGRAM.json(&paths);
    let reports = all["sweeps"].as_array().unwrap();
    assert_eq!(reports.len(), paths.len());
    let mut doubted = Vec::new();
    for (case, (report, path)) in reports.iter().zip(&paths).enumerate() {
        let quality = &report["quality"];
        assert_eq!(quality["spoilt"], serde_json::json!([]), "{path}");
        assert!(
            quality["beyond_rim"] == 0 && quality["too_coarse"] == false,
            "{path}"
        );
        let told = PROGRAM.prose(&[path]);
        let is_told = WARNINGS.iter().any(|words| told.contains(words));
        assert_eq!(is_told, quality["unresolved"] != 0, "{told}");
        if is_told {
            doubted.push((case, report["best"].to_string()));
        }
    }
    println!(
        "{} of {} good sweeps doubted: {doubted:#?}",
        doubted.len(),
        paths.len()
    );
    // Where noise is stronger than a thousandth, the lowest of many points that are alike may look like a narrow dip.
    assert!(doubted.iter().all(|(case, _)| case % 4 >= 2) && doubted.len() <= 10);
    // Nor the sweeps of the demo.
    let told = PROGRAM.prose(&[]);
    for words in WARNINGS {
        assert!(!told.contains(words), "{words}");
    }
}

/// One or two samples of a good sweep replaced by others: the report names them, in words as in JSON, and whatever the
/// JSON has is also in the words.
#[test]
fn bad_samples_are_named() {
    let mut random = Random::new(72);
    let (mut named, mut cases, mut missed) = (0, 0, Vec::new());
    for case in 0..60 {
        let load = (
            random.between(10.0, 200.0),
            random.between(3.0, 20.0),
            random.between(62e6, 78e6),
        );
        let points = [101, 201][case % 2];
        let mut gammas = resonance(&mut random, points, load, 3e-4);
        let count = 1 + case / 2 % 2;
        let first = 4 + (random.bits() % (points as u64 - 9)) as usize;
        let (re, im) = gammas[first];
        // From 0.3 to where it is still within the rim.
        let (mut x, mut y) = (re, im);
        while (x - re).hypot(y - im) < 0.3 || x.hypot(y) > 0.98 {
            (x, y) = (random.between(-1.0, 1.0), random.between(-1.0, 1.0));
        }
        gammas[first..first + count].fill((x, y));
        let path = gamma_file(&format!("bad_{case}.s1p"), &gammas);
        let report = PROGRAM.json(&[&path]);
        let told = PROGRAM.prose(&[&path]);
        let listed = report["quality"]["spoilt"].as_array().unwrap();
        cases += 1;
        let wanted: Vec<u64> = (first..first + count)
            .map(|step| hertz_of(step, points))
            .collect();
        let found: Vec<u64> = listed
            .iter()
            .map(|one| one["frequency_hz"].as_u64().unwrap())
            .collect();
        if found == wanted {
            named += 1;
        } else {
            missed.push((case, wanted, found.clone()));
        }
        let start = match found.len() {
            0 => {
                assert!(!told.contains("neighbours"), "{told}");
                continue;
            }
            1 => "1 sample fits none of its neighbours and was left out (".to_string(),
            count => format!("{count} samples fit none of their neighbours and were left out ("),
        };
        let (_, rest) = told
            .split_once(&start)
            .unwrap_or_else(|| panic!("{start}: {told}"));
        let (list, _) = rest.split_once("): measure again there").unwrap();
        // Four decimals of a megahertz.
        let listed: Vec<f64> = list
            .split(", ")
            .map(|one| one.strip_suffix(" MHz").unwrap().parse().unwrap())
            .collect();
        assert_eq!(listed.len(), found.len());
        for (one, hertz) in listed.iter().zip(&found) {
            assert!((one * 1e6 - *hertz as f64).abs() <= 50.0, "{list}: {hertz}");
        }
        assert!(told.find("Expect") < told.find("Quality") && told.find("Quality") < told.find("Best match"));
    }
    println!("{named} of {cases} named exactly; the others: {missed:?}");
    assert!(named * 10 >= cases * 9);
}

/// Of many, the first are told, and how many more there are.
#[test]
fn many_bad_samples_are_counted() {
    let mut random = Random::new(73);
    let mut gammas = resonance(&mut random, 401, (45.0, 8.0, 71e6), 3e-4);
    for step in (10..390).step_by(40) {
        gammas[step] = (-gammas[step].0, 0.8);
    }
    let path = gamma_file("many_bad.s1p", &gammas);
    let count = PROGRAM.json(&[&path])["quality"]["spoilt"]
        .as_array()
        .unwrap()
        .len();
    assert!(count >= 8, "{count}");
    let told = PROGRAM.prose(&[&path]);
    let (_, rest) = told.split_once("were left out (").unwrap();
    let (list, _) = rest.split_once("): measure").unwrap();
    assert_eq!(list.matches(" MHz").count(), 6, "{list}");
    assert!(list.contains(&format!("and {} more", count - 6)), "{list}");
}

/// Active loads, or a calibration that is off, of every size: never is a negative resistance told as one that is left, nor
/// is there advice from such a reading, without a word of the reason.
#[test]
fn what_is_beyond_the_rim_is_said() {
    let mut random = Random::new(74);
    let (mut beyond, mut within, mut clear) = (0, 0, 0);
    for case in 0..60 {
        // |Γ| from 0.9 to 1.3 around the rim with a dip inside it, or none.
        let size = random.between(0.9, 1.3);
        let dip = if case % 2 == 0 {
            random.between(0.3, 0.9)
        } else {
            0.0
        };
        let turn = random.between(0.5, 3.0);
        let gammas: Vec<(f64, f64)> = (0..101)
            .map(|step| {
                let t = (f64::from(step) - 60.0) / 50.0;
                let size = size * (1.0 - dip / (1.0 + 40.0 * t * t));
                let (sine, cosine) = (turn * t).sin_cos();
                // Clockwise, as that of every passive load.
                (size * cosine, -size * sine)
            })
            .collect();
        let path = gamma_file(&format!("beyond_{case}.s1p"), &gammas);
        let numbers = ["fixed32", "fixed16", "f32", "f64"][case / 2 % 4];
        let arguments = ["--arithmetic", numbers, "--target", "64M", &path];
        let report = PROGRAM.json(&arguments);
        let told = PROGRAM.prose(&arguments);
        let count = report["quality"]["beyond_rim"].as_u64().unwrap();
        assert_eq!(count > 0, told.contains("above 1: check calibration"), "{told}");
        for (before, _) in told.match_indices(" Ω left") {
            let number = told[..before].rsplit(' ').next().unwrap();
            assert!(number.parse::<f64>().unwrap() >= 0.0, "{told}");
        }
        let resistance = report["target"]["resistance_ohm"].as_f64().unwrap();
        let size = size * (1.0 - dip / (1.0 + 40.0 * 0.64));
        let kind = report["advice"]["next_step"]["kind"].as_str().unwrap();
        let advised = ["move", "turns", "part", "turns_and_part"].contains(&kind);
        if size > 1.021 {
            beyond += 1;
            assert!(resistance < 0.0 && count > 0);
            assert!(!advised, "{told}");
            assert!(
                told.contains("Next step More comes back than was sent: no passive load does that. Check the calibration"),
                "{told}"
            );
            assert!(!told.contains("Other ways") && kind == "measure_again", "{told}");
            assert!(told.contains("above 1 by more than noise explains"), "{told}");
            let reason = report["advice"]["no_remedy"].as_str().unwrap();
            assert!(reason.contains("above 1 by more than noise explains"), "{reason}");
        } else if size > 1.001 && size < 1.019 {
            within += 1;
            assert!(told.contains("above 1 by no more than noise explains"), "{told}");
        } else if size < 0.999 {
            clear += 1;
            assert!(
                !told.contains("the reflection coefficient at 64 MHz is"),
                "{told}"
            );
        }
        // More noise explains more.
        let noisy = [
            "--noise",
            "0.2",
            "--arithmetic",
            numbers,
            "--target",
            "64M",
            &path,
        ];
        assert_eq!(PROGRAM.json(&noisy)["quality"]["beyond_rim"], 0);
        assert!(!PROGRAM.prose(&noisy).contains("above 1: check"));
    }
    println!("at the target {beyond} beyond the rim, {within} within the noise of it, {clear} inside");
    assert!(beyond > 20 && clear > 5);
}

/// One sample alone, in the words of one.
#[test]
fn one_sample_beyond_the_rim() {
    let mut random = Random::new(75);
    let mut gammas = resonance(&mut random, 101, (45.0, 8.0, 71e6), 0.0);
    gammas[100] = (1.05, 0.0);
    let told = PROGRAM.prose(&["--noise", "0.02", &gamma_file("one_beyond.s1p", &gammas)]);
    assert!(
        told.contains("Quality 1 sample has a reflection more than 0.04 above 1: check"),
        "{told}"
    );
}

/// Dips much narrower than a step: where one is reported as not resolved, the words say between what, in the list of dips,
/// at the best match and beside the advice.
#[test]
fn a_dip_that_is_not_resolved_is_told() {
    let mut random = Random::new(76);
    let mut unresolved = 0;
    for case in 0..40 {
        let load = (
            random.between(20.0, 90.0),
            random.decades(100.0, 3000.0).abs(),
            random.between(64e6, 76e6),
        );
        let gammas = resonance(&mut random, 41, load, 0.0);
        let path = gamma_file(&format!("narrow_{case}.s1p"), &gammas);
        let arguments = ["--target", "70M", &path];
        let (report, told) = (PROGRAM.json(&arguments), PROGRAM.prose(&arguments));
        let count = report["quality"]["unresolved"].as_u64().unwrap();
        let words = match count {
            1 => "The dip near".to_string(),
            _ => format!("{count} dips are too narrow"),
        };
        assert_eq!(told.contains("too narrow for these steps"), count > 0, "{told}");
        assert!(count == 0 || told.contains(&words), "{told}");
        let limits = &report["best"]["unresolved"];
        assert_eq!(
            !limits.is_null(),
            told.contains("does not resolve this dip"),
            "{told}"
        );
        if limits.is_null() {
            continue;
        }
        unresolved += 1;
        let (low, high) = (
            limits["low_hz"].as_u64().unwrap(),
            limits["high_hz"].as_u64().unwrap(),
        );
        let best = report["best"]["frequency_hz"].as_u64().unwrap();
        assert!(
            low <= best && best <= high && limits["swr_at_most"].as_f64() >= report["best"]["swr"].as_f64()
        );
        let span = format!(
            "between {} MHz and {} MHz, SWR at most ",
            low as f64 / 1e6,
            high as f64 / 1e6
        );
        assert!(told.contains(&span), "{span}: {told}");
        let is_moved = report["advice"]["next_step"]["kind"] == "move";
        assert_eq!(told.contains("too coarse for this dip"), is_moved, "{told}");
    }
    println!("{unresolved} of 40 not resolved");
    assert!(unresolved > 10);
    // Side by side, the doubtful one is marked, and the other is not.
    let good = demo("relay_input_after.s1p");
    let narrow = gamma_file(
        "narrow.s1p",
        &resonance(&mut random, 41, (45.0, 600.0, 70.2e6), 0.0),
    );
    let text = PROGRAM.text(&[&good, &narrow]);
    let (_, table) = text.split_once("Side by side").unwrap();
    let row = |name: &str| table.lines().find(|line| line.contains(name)).unwrap();
    assert!(row("narrow.s1p").ends_with("  doubtful: see above"), "{table}");
    assert!(row("relay_input_after.s1p").ends_with('-'), "{table}");
}

/// On the picture, too, there is no advice from a reading that no load can have: what can be moved makes no difference.
#[test]
fn no_advice_on_the_picture_beyond_the_rim() {
    let drawn = |name: &str, size: f64, tuning: &str| {
        let gammas: Vec<(f64, f64)> = (0..101)
            .map(|step| {
                let t = (f64::from(step) - 60.0) / 10.0;
                (size * (1.0 - 0.8 / (1.0 + t * t)), 0.0)
            })
            .collect();
        let picture = crate::program::path(&format!("{name}_{tuning}.png"));
        let sweep = gamma_file(&format!("{name}.s1p"), &gammas);
        PROGRAM.text(&[
            "--target",
            "64M",
            "--tuning",
            tuning,
            "--picture",
            &picture,
            &sweep,
        ]);
        std::fs::read(picture).unwrap()
    };
    let differs = |name, size| drawn(name, size, "length") != drawn(name, size, "turns");
    assert!(differs("picture_inside", 0.98));
    assert!(!differs("picture_beyond", 1.2));
}

/// A mismatch behind a cable, whose reflection turns so many degrees from one point to the next: told where that is more
/// than a third of a circle, also in whatever family, and not where it is less.
#[test]
fn a_sweep_that_is_too_coarse_is_told() {
    for numbers in ["fixed32", "fixed16", "f32", "f64"] {
        for size in [0.4, 0.7, 0.95] {
            for (degrees, is_coarse) in [
                (20.0, false),
                (85.0, false),
                (115.0, false),
                (125.0, true),
                (162.0, true),
            ] {
                let gamma = |step: i32| {
                    let (sine, cosine) =
                        (f64::from(step) * degrees / -180.0 * core::f64::consts::PI).sin_cos();
                    (size * cosine, size * sine)
                };
                let path = gamma_file("cable_behind.s1p", &(0..101).map(gamma).collect::<Vec<_>>());
                let case = format!("{numbers}, {size}, {degrees}");
                let report = PROGRAM.json(&["--arithmetic", numbers, &path]);
                assert_eq!(report["quality"]["too_coarse"], is_coarse, "{case}");
                let told = PROGRAM.prose(&["--arithmetic", numbers, &path]);
                assert_eq!(told.contains("Too coarse"), is_coarse, "{case}");
                if is_coarse {
                    let words = "by more than a third of a circle from point to point, 100 times of 100; sweep finer.";
                    assert!(told.contains(words), "{case}: {told}");
                    assert!(told.find("Next step") < told.find("Too coarse"), "{case}");
                    assert!(told.find("Too coarse") < told.find("Best match"), "{case}");
                }
            }
        }
    }
}
