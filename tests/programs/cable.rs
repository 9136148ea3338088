//! `sweep_report` on cables: measured, searched for what reflects, and taken out. All cables are invented.

use ohmwright::double::{Impedance, Line, Reference, Reflection, VelocityFactor};
use ohmwright::quantity::Hertz;
use serde_json::Value;

use crate::common::Random;
use crate::program::{Program, file, path};

const PROGRAM: Program = Program("sweep_report");

/// A file of Γ at evenly spaced frequencies in hertz, against 50 Ω, with noise.
fn sweep_file(
    name: &str,
    (start, stop, points): (u64, u64, u64),
    gamma: impl Fn(Hertz) -> Reflection,
) -> String {
    let mut random = Random::new(91);
    let mut content = String::from("! invented\n# Hz S RI R 50\n");
    for step in 0..points {
        let hertz = start + (stop - start) * step / (points - 1);
        let gamma = gamma(Hertz::new(hertz));
        let [re, im] =
            [gamma.real().get(), gamma.imaginary().get()].map(|part| part + 5e-4 * random.normal());
        content += &format!("{hertz} {re:.9} {im:.9}\n");
    }
    file(name, content)
}

const WIDE: (u64, u64, u64) = (100_000_000, 900_000_000, 401);

/// 6.2 m of 52 Ω, with what is at its end.
fn cable() -> Line {
    Line::new(52.0, 0.7, 6.2)
        .unwrap()
        .with_loss(12.0, Hertz::from_megahertz(100))
        .unwrap()
}

fn ended(name: &str, load: Reflection) -> String {
    sweep_file(name, WIDE, |frequency| {
        cable().input_reflection(load, Reference::fifty(), frequency)
    })
}

fn near(value: &Value, want: f64, slack: f64) -> bool {
    value.as_f64().is_some_and(|value| (value - want).abs() <= slack)
}

#[test]
fn a_cable_is_measured_by_its_end() {
    let load = Impedance::new(75.0, 0.0).unwrap().reflection(Reference::fifty());
    let ends = [
        ("open", Reflection::OPEN),
        ("short", Reflection::SHORT),
        ("load", load),
    ];
    let mut lengths = Vec::new();
    for (end, gamma) in ends {
        let sweep = ended(&format!("cable_{end}.s1p"), gamma);
        for numbers in ["fixed32", "fixed16", "f32", "f64"] {
            let arguments = [
                "--cable-end",
                end,
                "--velocity",
                "0.7",
                "--arithmetic",
                numbers,
                &sweep,
            ];
            let report = PROGRAM.json(&arguments);
            let found = &report["cable"];
            assert!(near(&found["length_m"], 6.2, 0.02), "{numbers} {end}: {found}");
            assert!(
                near(&found["delay_s"], 6.2 / (0.7 * 299_792_458.0), 1e-10),
                "{found}"
            );
            assert!(
                near(&found["impedance_ohm"], 52.0, 0.3),
                "{numbers} {end}: {found}"
            );
            assert_eq!(found["at_hz"], 500_000_000);
            let want = cable().matched_loss(Hertz::from_megahertz(500)).get();
            if end == "load" {
                assert!(found["loss_db"].is_null());
            } else {
                assert!(
                    near(&found["loss_db"], want, 0.05),
                    "{numbers} {end}: {found} {want}"
                );
                let all = found["loss_against_frequency"].as_array().unwrap();
                assert_eq!(all.len(), 5);
                assert!(
                    all.windows(2)
                        .all(|two| two[0]["loss_db"].as_f64() < two[1]["loss_db"].as_f64())
                );
            }
            lengths.push(found["length_m"].as_f64().unwrap());
            // The same end, as what reflects.
            let faults = report["faults"].as_array().unwrap();
            let end_of_it = faults.last().unwrap();
            assert!(near(&end_of_it["metres"], 6.2, 0.03), "{faults:?}");
            assert!(near(
                &end_of_it["reflection"],
                found["end_reflection"].as_f64().unwrap(),
                0.02
            ));
        }
    }
    let (low, high) = lengths
        .iter()
        .fold((f64::MAX, 0f64), |(low, high), x| (low.min(*x), high.max(*x)));
    assert!(high / low < 1.005, "{low} {high}");
    // At the target, where there is one.
    let sweep = path("cable_open.s1p");
    let report = PROGRAM.json(&["--cable-end", "open", "--target", "200M", &sweep]);
    assert_eq!(report["cable"]["at_hz"], 200_000_000);
    // Without a velocity factor there is a delay and no length, and no faults; without either there is nothing.
    assert!(report["cable"]["length_m"].is_null() && report["cable"]["delay_s"].is_number());
    assert!(report["faults"].is_null());
    let report = PROGRAM.json(&[&sweep]);
    assert!(report["cable"].is_null() && report["faults"].is_null() && report["cable_taken_out"].is_null());
    // In prose, with the caution.
    let told = PROGRAM.prose(&["--cable-end", "open", "--velocity", "0.7", &sweep]);
    for words in [
        "6.20",
        "ns one way",
        "loses",
        "dB one way at 500 MHz",
        "take a cable off the transmitter",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
}

#[test]
fn faults_are_told_with_their_distance() {
    // A plug of 30 Ω at 4 m and one of 90 Ω at 9 m, then the load.
    let piece = |ohms, metres| Line::new(ohms, 0.82, metres).unwrap();
    let load = Impedance::new(65.0, 0.0).unwrap().reflection(Reference::fifty());
    let sweep = sweep_file("faults.s1p", WIDE, |frequency| {
        let mut gamma = load;
        for line in [
            piece(50.0, 5.5),
            piece(90.0, 0.015),
            piece(50.0, 5.0),
            piece(30.0, 0.012),
            piece(50.0, 4.0),
        ] {
            gamma = line.input_reflection(gamma, Reference::fifty(), frequency);
        }
        gamma
    });
    let report = PROGRAM.json(&["--velocity", "0.82", &sweep]);
    let faults = report["faults"].as_array().unwrap();
    assert_eq!(faults.len(), 3, "{faults:?}");
    for (fault, (metres, least)) in faults.iter().zip([(4.006, 0.05), (9.02, 0.03), (14.527, 0.1)]) {
        assert!(near(&fault["metres"], metres, 0.03), "{fault}");
        assert!(fault["reflection"].as_f64().unwrap() > least, "{fault}");
    }
    // 0.82·c/(2·800 MHz), and the window of the search.
    assert!(near(&report["distance"]["resolution_m"], 0.153_644, 1e-4));
    assert!(near(&report["distance"]["separable_m"], 2.35 * 0.153_644, 1e-4));
    let told = PROGRAM.prose(&["--velocity", "0.82", &sweep]);
    assert!(told.contains("4.01 m") && told.contains("9.02 m"), "{told}");
    // Drawn, in a picture of its own.
    let picture = path("faults.png");
    let told = PROGRAM.prose(&["--velocity", "0.82", "--picture", &picture, &sweep]);
    assert!(told.contains("faults-distance.png"), "{told}");
    for name in ["faults.png", "faults-distance.png"] {
        assert!(std::fs::read(path(name)).unwrap().starts_with(b"\x89PNG"));
    }
    // Nothing stands out of a good load at the plane itself.
    let good = sweep_file("good.s1p", WIDE, |_| Reflection::new(0.005, 0.0).unwrap());
    assert_eq!(
        PROGRAM.json(&["--velocity", "1", &good])["faults"],
        Value::Array(Vec::new())
    );
    assert!(
        PROGRAM
            .prose(&["--velocity", "1", &good])
            .contains("nothing stands out")
    );
}

#[test]
fn a_cable_is_taken_out() {
    // A series resonance at 71 MHz, seen through 12 m of 75 Ω cable.
    let cable = Line::new(75.0, 0.82, 12.0)
        .unwrap()
        .with_loss(6.5, Hertz::from_megahertz(100))
        .unwrap();
    let load = |frequency: Hertz| {
        let x = (frequency.get() as f64 - 71e6) / 1e6 * 4.0;
        Impedance::new(38.0, x).unwrap().reflection(Reference::fifty())
    };
    let grid = (66_000_000, 76_000_000, 101);
    let sweep = sweep_file("behind.s1p", grid, |frequency| {
        cable.input_reflection(load(frequency), Reference::fifty(), frequency)
    });
    let loss = cable.matched_loss(Hertz::from_megahertz(71)).get();
    let given = format!("12,0.82,75,{loss:.4}");
    for numbers in ["fixed32", "fixed16", "f32", "f64"] {
        let report = PROGRAM.json(&[
            "--cable",
            &given,
            "--target",
            "71M",
            "--arithmetic",
            numbers,
            &sweep,
        ]);
        let target = &report["target"];
        assert!(near(&target["resistance_ohm"], 38.0, 0.2), "{target}");
        assert!(near(&target["reactance_ohm"], 0.0, 0.3), "{target}");
        assert!(
            near(&report["best"]["frequency_hz"], 71e6, 1.2e5),
            "{}",
            report["best"]
        );
        let taken = &report["cable_taken_out"];
        assert!(
            near(&taken["length_m"], 12.0, 1e-4) && near(&taken["loss_db"], loss, 1e-3),
            "{taken}"
        );
        assert_eq!(taken["at_hz"], 71_000_000);
    }
    // The loss where a data sheet states it is the same.
    let elsewhere = format!("12,0.82,75,{:.4}@100M", 0.12 * 6.5);
    let report = PROGRAM.json(&["--cable", &elsewhere, "--target", "71M", &sweep]);
    assert!(near(&report["target"]["resistance_ohm"], 38.0, 0.2));
    // The controls: without it, of the file's own impedance, and without its loss it is another load.
    for arguments in [&[][..], &["--cable", "12,0.82"], &["--cable", "12,0.82,75"]] {
        let report = PROGRAM.json(&[arguments, &["--target", "71M", &sweep]].concat());
        assert!(
            !near(&report["target"]["resistance_ohm"], 38.0, 0.5),
            "{arguments:?}"
        );
    }
    let told = PROGRAM.prose(&["--cable", &given, "--target", "71M", &sweep]);
    assert!(
        told.contains("12 m of cable of 75 Ω, velocity factor 0.82, 0.66 dB at 71 MHz"),
        "{told}"
    );
    // What was measured on a cable takes it out: the length at the far end is then none.
    let open = ended("cable_open_too.s1p", Reflection::OPEN);
    let found = &PROGRAM.json(&["--cable-end", "open", "--velocity", "0.7", &open])["cable"];
    let given = format!(
        "{},0.7,{},{}",
        found["length_m"], found["impedance_ohm"], found["loss_db"]
    );
    let report = PROGRAM.json(&["--cable", &given, "--target", "500M", &open]);
    assert!(
        report["target"]["resistance_ohm"]
            .as_f64()
            .is_none_or(|ohms| ohms.abs() > 500.0),
        "{}",
        report["target"]
    );
}

#[test]
fn what_cannot_be_done_is_told() {
    let short = ended("cable_short_too.s1p", Reflection::SHORT);
    for (arguments, cause) in [
        (["--cable", "12"], "METRES,VELOCITY"),
        (["--cable", "12,0.8,50,1,2"], "METRES,VELOCITY"),
        (["--cable", "-1,0.8"], "must not be negative"),
        (["--cable", "12,0"], "must be greater than zero"),
        (["--cable", "12,1.2"], "a velocity factor of 1.2 does not exist"),
        (["--cable", "12,0.8,0"], "must be greater than zero"),
        (["--cable", "12,0.8,50,-1"], "must not be negative"),
        (["--cable", "12,0.8,50,1@x"], "is not a frequency"),
        (["--cable", "12,0.8,50,1@0"], "out of range"),
        (["--cable", "12,0.8,50,1@"], "is not a frequency"),
        (["--cable", "x,0.8"], "is not a number"),
        (["--cable-end", "loop"], "none of open, short, load"),
        (["--velocity", "1.01"], "does not exist"),
        (["--velocity", "0"], "must be greater than zero"),
    ] {
        let line = PROGRAM.refusal(&[&arguments[..], &[short.as_str()]].concat());
        assert!(line.starts_with(arguments[0]) && line.contains(cause), "{line}");
    }
    // What only the numbers chosen cannot hold is blamed on the option and its value, not on the file.
    for (arguments, value) in [
        (["--velocity", "1e-12"], "--velocity: 1e-12: "),
        (["--cable", "12,1e-12"], "--cable: 12,1e-12: "),
        (["--cable", "12,0.8,1e-12"], "--cable: 12,0.8,1e-12: "),
        (["--cable", "1e12,0.8"], "--cable: 1e12,0.8: "),
        (["--cable", "1e-3,0.8,50,1e6"], "--cable: 1e-3,0.8,50,1e6: "),
    ] {
        let line = PROGRAM.refusal(&[&arguments[..], &["--arithmetic", "fixed16", short.as_str()]].concat());
        assert!(
            line.starts_with(value) && line.ends_with(" in fixed16") && !line.contains(".s1p"),
            "{line}"
        );
    }
    // Readings alone have no cable.
    for arguments in [
        ["--cable", "12,0.8"],
        ["--cable-end", "open"],
        ["--velocity", "0.8"],
    ] {
        let line = PROGRAM.refusal(&[&arguments[..], &["--reading", "swr=1.5"]].concat());
        let want = format!("{} needs a sweep beside the --reading", arguments[0]);
        assert!(line.starts_with(&want), "{line}");
    }
    let reason = |arguments: &[&str], key: &str| -> String {
        let report = PROGRAM.json(arguments);
        assert!(report["cable"].is_null() || report["faults"].is_null());
        report[key]
            .as_str()
            .unwrap_or_else(|| panic!("{key}: {report}"))
            .to_string()
    };
    // A matched end, a line too short for the span, and a grid that is not even.
    let matched = sweep_file("matched.s1p", WIDE, |_| Reflection::MATCHED);
    assert!(reason(&["--cable-end", "load", &matched], "no_cable").contains("no echo"));
    let stub = Line::new(50.0, VelocityFactor::new(0.7), 0.05).unwrap();
    let stub = sweep_file("stub.s1p", WIDE, |f| {
        stub.reflection_at_input(Reflection::OPEN, f)
    });
    assert!(reason(&["--cable-end", "open", &stub], "no_cable").contains("wider span"));
    let mut uneven = String::from("# Hz S RI R 50\n");
    for step in 0..60u64 {
        uneven += &format!("{} 0.5 0.1\n", 100_000_000 + 90_000 * step * step);
    }
    let uneven = file("uneven.s1p", uneven);
    // A few points that are missing are filled in, and it is told; more are not.
    let whole = std::fs::read_to_string(&short).unwrap();
    let without = |each: usize| {
        let kept = whole
            .lines()
            .enumerate()
            .filter(|(line, _)| line % each != each / 2 || *line < 3);
        kept.map(|(_, line)| format!("{line}\n")).collect::<String>()
    };
    let some = file("some_missing.s1p", without(50));
    let report = PROGRAM.json(&["--cable-end", "short", "--velocity", "0.7", &some]);
    assert_eq!(report["points_filled_in"], 8);
    assert!(
        near(&report["cable"]["length_m"], 6.2, 0.02),
        "{}",
        report["cable"]
    );
    assert!(
        near(&report["faults"][0]["metres"], 6.2, 0.02),
        "{}",
        report["faults"]
    );
    assert!(
        PROGRAM
            .prose(&["--velocity", "0.7", &some])
            .contains("8 points that the even grid lacks")
    );
    let many = file("many_missing.s1p", without(12));
    assert!(reason(&["--cable-end", "short", &many], "no_cable").contains("evenly spaced"));
    for (option, key) in [("--velocity", "no_faults"), ("--cable-end", "no_cable")] {
        let value = if option == "--velocity" { "0.7" } else { "open" };
        assert!(reason(&[option, value, &uneven], key).contains("evenly spaced"));
        assert!(PROGRAM.prose(&[option, value, &uneven]).contains("evenly spaced"));
    }
}

/// A prediction at 433 MHz and a measurement through 0.45 m of line more: the line is named, not the leakage.
#[test]
fn a_line_of_more_than_half_a_wave_is_named() {
    let grid = (413_000_000, 453_000_000, 201);
    let plain = |frequency: Hertz| {
        let x = (frequency.get() as f64 - 433.5e6) / 1e6 * 3.0;
        Impedance::new(62.0, x).unwrap().reflection(Reference::fifty())
    };
    let line = Line::new(50.0, 1.0, 0.45).unwrap();
    let predicted = sweep_file("plan_433.s1p", grid, plain);
    let measured = sweep_file("measured_433.s1p", grid, |f| {
        line.reflection_at_input(plain(f), f)
    });
    for numbers in ["fixed32", "fixed16", "f32", "f64"] {
        let arguments = ["--predicted", &predicted, "--arithmetic", numbers, &measured];
        let found = &PROGRAM.json(&arguments)["predicted"];
        assert_eq!(found["best_explanation"], "line length", "{found}");
        let best = &found["explanations"][0];
        assert!(near(&best["electrical_length_m"], 0.45, 0.002), "{best}");
        assert!(best["share_explained"].as_f64().unwrap() > 0.99);
    }
}
