//! `sweep_report` on two sweeps with a move between them, and on the coil that is moved. All circuits are invented.

use core::f64::consts::{PI, TAU};

use serde_json::Value;

use crate::common::Random;
use crate::common::complex::c;
use crate::program::{Program, file};

const PROGRAM: Program = Program("sweep_report");

/// 48 Ω in series with 25 pF and an inductance; `noise` of a component of Γ.
fn sweep(name: &str, henries: f64, ohms: f64, noise: f64) -> String {
    let mut random = Random::new(17);
    let mut content = String::from("! invented\n# Hz S RI R 50\n");
    for step in 0..=200u64 {
        let hertz = 40_000_000 + 300_000 * step;
        let omega = TAU * hertz as f64;
        let z = c(ohms, omega * henries - 1.0 / (omega * 25e-12));
        let gamma = (z - c(50.0, 0.0)) / (z + c(50.0, 0.0));
        let [re, im] = [gamma.re, gamma.im].map(|part| part + noise * random.normal());
        content += &format!("{hertz} {re:.9} {im:.9}\n");
    }
    file(name, content)
}

/// 60 % of 280 nH in the coil, which is spread to 0.85.
const COIL: f64 = 168e-9;
const LEADS: f64 = 112e-9;
const MOVED: f64 = 0.85;

fn pair(name: &str, noise: f64) -> [String; 2] {
    [("before", 1.0), ("after", MOVED)]
        .map(|(when, part)| sweep(&format!("{name}_{when}.s1p"), LEADS + part * COIL, 48.0, noise))
}

fn near(value: &Value, want: f64, slack: f64) -> bool {
    value.as_f64().is_some_and(|value| (value - want).abs() <= slack)
}

/// The factor of the coil now that brings 25 pF to resonance there.
fn wanted(hertz: f64) -> f64 {
    let whole = 1.0 / ((TAU * hertz).powi(2) * 25e-12);
    (whole - LEADS) / (MOVED * COIL)
}

#[test]
fn the_share_and_the_next_move_are_told() {
    let [before, after] = pair("learnt", 0.0);
    for numbers in ["fixed32", "fixed16", "f32", "f64"] {
        let report = PROGRAM.json(&[
            "--moved",
            "0.85",
            "--target",
            "66M",
            "--arithmetic",
            numbers,
            &before,
            &after,
        ]);
        let learnt = &report["learnt"];
        assert!(near(&learnt["share_moved"], 0.6, 2e-3), "{numbers}: {learnt}");
        assert!(learnt["share_least"].as_f64().unwrap() <= 0.6);
        assert!(learnt["share_most"].as_f64().unwrap() >= 0.6);
        assert!(near(&learnt["factor"], wanted(66e6), 2e-3), "{numbers}: {learnt}");
        assert!(near(&learnt["whole_factor"], 0.4 + 0.6 * MOVED, 1e-3));
        assert_eq!(learnt["direction"], "less");
        assert_eq!(learnt["moved"], 0.85);
        assert!(learnt["reason"].is_null() && learnt["coil_length_m"].is_null());
        // Of the first sweep nothing is learnt.
        assert!(report["sweeps"][0]["learnt"].is_null() && report["sweeps"][1]["learnt"].is_object());
    }
    let page = PROGRAM.prose(&["--moved", "0.85", "--target", "66M", &before, &after]);
    assert!(page.contains("Learnt the dip went from 60.1"), "{page}");
    assert!(
        page.contains("What was moved went to 0.85 of its value, so it held 60 % of the inductance"),
        "{page}"
    );
    let next = format!("the coil itself to {:.3} of what it is now (less)", wanted(66e6));
    assert!(page.contains(&next), "{next}: {page}");
    // The target is matched already, unless more is asked.
    assert!(page.contains(&format!("nothing need be moved. To centre the dip: {next}")));
    let strict = [
        "--swr-limit",
        "1.1",
        "--moved",
        "0.85",
        "--target",
        "66M",
        &before,
        &after,
    ];
    assert!(PROGRAM.prose(&strict).contains(&format!("Move next {next}")));
}

#[test]
fn without_a_target_the_share_is_told_and_without_the_factor_what_the_dips_say() {
    let [before, after] = pair("parts", 5e-4);
    let share = PROGRAM.json(&["--moved", "0.85", &before, &after]);
    assert!(
        near(&share["learnt"]["share_moved"], 0.6, 0.02),
        "{}",
        share["learnt"]
    );
    assert!(share["learnt"]["factor"].is_null() && share["learnt"]["reason"].is_null());
    let dips = PROGRAM.json(&["--target", "66M", &before, &after]);
    let learnt = &dips["learnt"];
    assert!(learnt["share_moved"].is_null() && learnt["moved"].is_null());
    let whole = 1.0 / ((TAU * 66e6).powi(2) * 25e-12) / (LEADS + MOVED * COIL);
    assert!(near(&learnt["factor"], whole, 2e-3), "{learnt} {whole}");
    // A control: that is not what the coil needs.
    assert!((whole - wanted(66e6)).abs() > 0.03);
    assert!(PROGRAM.json(&[&before, &after])["learnt"].is_null());
    assert!(PROGRAM.json(&["--target", "66M", &after])["learnt"].is_null());
    let three = PROGRAM.json(&["--target", "66M", &before, &before, &after]);
    assert!(three["learnt"].is_null());
}

#[test]
fn a_refusal_is_the_answer() {
    let [before, after] = pair("refused", 0.0);
    let mended = sweep("refused_load.s1p", LEADS + MOVED * COIL, 110.0, 0.0);
    for (arguments, said) in [
        (
            ["0.85", "66M", &before, &before],
            "no more than the sweeps can tell",
        ),
        (
            ["0.85", "66M", &after, &before],
            "the dip has moved against what was said; check the factor",
        ),
        (
            ["0.98", "66M", &before, &after],
            "the dip has moved by 450 % of the most that was said",
        ),
        (["1", "66M", &before, &after], "a move by a factor of 1 is none"),
        (
            ["0.85", "66M", &before, &mended],
            "more has changed than the element",
        ),
        // 95 MHz needs less than the leads have.
        (
            ["0.85", "99M", &before, &after],
            "% of the whole are in what was moved, too little",
        ),
    ] {
        let [factor, target, first, second] = arguments;
        let arguments = ["--moved", factor, "--target", target, first, second];
        let learnt = PROGRAM.json(&arguments)["learnt"].clone();
        assert!(
            learnt["factor"].is_null() && learnt["direction"].is_null(),
            "{learnt}"
        );
        assert!(learnt["reason"].as_str().unwrap().contains(said), "{learnt}");
        assert!(PROGRAM.prose(&arguments).contains(said));
        assert_eq!(learnt["share_moved"].is_number(), target == "99M", "{learnt}");
    }
    // Where the move is not told, two files may be compared for another reason: the page is silent.
    let silent = PROGRAM.prose(&["--target", "66M", &before, &before]);
    assert!(!silent.contains("Learnt"));
}

#[test]
fn options_that_do_not_fit_are_named() {
    let [before, after] = pair("options", 0.0);
    for (arguments, said) in [
        (
            vec!["--moved", "0.9"],
            "--moved needs two sweeps, before and after the move: none is given",
        ),
        (
            vec!["--moved", "0.9", &before],
            "--moved needs two sweeps, before and after the move: one is given",
        ),
        (vec!["--moved", "0.9", &before, &after, &after], "3 are given"),
        (
            vec!["--moved", "0", &before, &after],
            "--moved: 0 is not from 0.1 to 10",
        ),
        (
            vec!["--moved=-0.9", &before, &after],
            "--moved: -0.9 is not from 0.1 to 10",
        ),
        (
            vec!["--moved", "NaN", &before, &after],
            "--moved: \"NaN\" is not a number",
        ),
        (
            vec!["--moved", "10.1", &before, &after],
            "--moved: 10.1 is not from",
        ),
        (
            vec!["--moved", "0.9", "--reading", "swr=2"],
            "--moved needs two sweeps",
        ),
        (vec!["--coil", "8,5,9,1"], "--coil needs a sweep"),
        (
            vec!["--coil", "8,5,9", &after],
            "is not DIAMETER,TURNS,LENGTH,WIRE",
        ),
        (
            vec!["--coil", "8,5,9,0", &after],
            "--coil: 0 must be greater than zero",
        ),
        (vec!["--coil", "8,5,9,x", &after], "--coil: \"x\" is not a number"),
        (
            vec!["--coil", "8,5,9,8", &after],
            "--coil: wire of 8 mm does not go round",
        ),
        (
            vec!["--coil", "8,5,4,1", &after],
            "--coil: 5 turns of 1 mm wire are at least 5 mm long, not 4",
        ),
        (
            vec!["--coil", "20000,5,9,1", &after],
            "--coil: a diameter of 20000 is more than",
        ),
        (
            vec!["--coil", "8,5,9,1", "--tuning", "capacitance", &after],
            "not with capacitance",
        ),
        (
            vec!["--coil", "8,5,9,1", "--tuning", "turns", &after],
            "not with turns",
        ),
    ] {
        let line = PROGRAM.refusal(&arguments);
        assert!(line.contains(said), "{arguments:?}: {line}");
    }
}

/// The current sheet with Lundin's coefficients would do as well; here H. A. Wheeler's formula of 1982, within 0.1 % for
/// every shape (from memory), in nanohenries of millimetres.
fn wheeler(diameter: f64, turns: f64, length: f64) -> f64 {
    let shape = 2.0 * length / diameter;
    let logarithm = (1.0 + PI / shape).ln() + 1.0 / (2.3004 + 1.6 * shape + 0.4409 * shape * shape);
    1e9 * 4e-7 * PI * turns * turns * (diameter / 2e3) * logarithm
}

#[test]
fn the_coil_is_told_in_millimetres() {
    let [before, after] = pair("coil", 0.0);
    let arguments = [
        "--moved", "0.85", "--target", "66M", "--coil", "9,6,12,1", &before, &after,
    ];
    let report = PROGRAM.json(&arguments);
    let length = 1e3 * report["learnt"]["coil_length_m"].as_f64().unwrap();
    let factor = report["learnt"]["factor"].as_f64().unwrap();
    assert!(near(&report["learnt"]["factor"], wanted(66e6), 1e-3));
    let now = wheeler(9.0, 6.0, 12.0);
    assert!(
        near(&report["coil"]["inductance_h"], 1e-9 * now, 2e-3 * 1e-9 * now),
        "{}",
        report["coil"]
    );
    assert!(
        (wheeler(9.0, 6.0, length) / now - factor).abs() < 2e-3,
        "{length} {factor}"
    );
    assert!(factor < 1.0 && length > 12.0);
    assert_eq!(report["coil"]["change"], "stretch");
    let page = PROGRAM.prose(&arguments);
    assert!(
        page.contains(&format!("stretch it from 12.0 to {length:.1} mm")),
        "{page}"
    );
    // More inductance than the touching turns have.
    let arguments = [
        "--moved",
        "0.85",
        "--target",
        "52M",
        "--coil",
        "9,6,6.5,1",
        &before,
        &after,
    ];
    let report = PROGRAM.json(&arguments);
    let [turns, length] = ["coil_turns", "coil_length_m"].map(|key| report["learnt"][key].as_f64().unwrap());
    let factor = report["learnt"]["factor"].as_f64().unwrap();
    assert!(
        factor > 1.3 && turns > 6.0 && 1e3 * length >= turns,
        "{}",
        report["learnt"]
    );
    assert!((wheeler(9.0, turns, 1e3 * length) / wheeler(9.0, 6.0, 6.5) - factor).abs() < 3e-3);
    let page = PROGRAM.prose(&arguments);
    assert!(
        page.contains(&format!(
            "its turns touch before that: wind {turns} turns in place of 6"
        )),
        "{page}"
    );
    // One sweep: by the dip, for all the inductance there is.
    let arguments = [
        "--swr-limit",
        "1.1",
        "--target",
        "63M",
        "--coil",
        "9,6,12,1",
        &before,
    ];
    let report = PROGRAM.json(&arguments);
    let retune = report["advice"]["retune"]["factor"].as_f64().unwrap();
    assert!(near(&report["coil"]["factor"], retune, 1e-12));
    let length = 1e3 * report["coil"]["new_length_m"].as_f64().unwrap();
    assert!((wheeler(9.0, 6.0, length) / now - retune).abs() < 2e-3);
    assert!(
        PROGRAM
            .prose(&arguments)
            .contains(&format!("stretch it from 12.0 to {length:.1} mm"))
    );
    // No coil, no target: nothing of either.
    assert!(PROGRAM.json(&["--target", "63M", &before])["coil"].is_null());
    assert!(PROGRAM.json(&["--coil", "9,6,12,1", &before])["coil"]["change"].is_null());
}

#[test]
fn what_a_coil_cannot_do_is_said() {
    let [before, after] = pair("cannot", 0.0);
    // A third of the inductance, from a coil of one turn.
    let arguments = [
        "--moved", "0.85", "--target", "75M", "--coil", "9,1,1,1", &before, &after,
    ];
    let report = PROGRAM.json(&arguments);
    let factor = report["learnt"]["factor"].as_f64().unwrap();
    assert!(factor < 0.6, "{factor}");
    assert_eq!(report["coil"]["change"], "impossible", "{}", report["coil"]);
    let reason = report["learnt"]["reason"].as_str().unwrap();
    assert!(reason.contains("the coil cannot do that"), "{reason}");
    assert!(
        PROGRAM
            .prose(&arguments)
            .contains("the coil cannot do that: no winding of this wire")
    );
    // Fewer turns where stretching would be too much.
    let arguments = [
        "--moved", "0.85", "--target", "75M", "--coil", "20,6,7,1", &before, &after,
    ];
    let report = PROGRAM.json(&arguments);
    let turns = report["coil"]["new_turns"].as_f64().unwrap();
    assert!(turns < 6.0, "{}", report["coil"]);
    assert!(
        PROGRAM
            .prose(&arguments)
            .contains("more than twice its length: wind")
    );
}
