//! The next step as `sweep_report` tells it, in words and in JSON. The circuits are invented; the figures they are checked
//! against are worked out here.

use serde_json::Value;

use crate::common::Random;
use crate::program::{Program, file};

const PROGRAM: Program = Program("sweep_report");

/// Γ of R + jX on 50 Ω.
fn gamma((r, x): (f64, f64)) -> (f64, f64) {
    let square = (r + 50.0).powi(2) + x * x;
    (((r - 50.0) * (r + 50.0) + x * x) / square, 100.0 * x / square)
}

/// A series circuit of this resistance, Q and resonance in megahertz.
fn circuit(ohms: f64, q: f64, resonance: f64) -> impl Fn(f64) -> (f64, f64) {
    move |megahertz| {
        let ratio = megahertz / resonance;
        gamma((ohms, ohms * q * (ratio - 1.0 / ratio)))
    }
}

/// Seen through so many metres of cable of 50 Ω and velocity factor 0.66.
fn through(metres: f64, gamma: impl Fn(f64) -> (f64, f64)) -> impl Fn(f64) -> (f64, f64) {
    move |megahertz| {
        let (re, im) = gamma(megahertz);
        let turn = -2.0 * core::f64::consts::TAU * megahertz * 1e6 * metres / (0.66 * 299_792_458.0);
        let (sine, cosine) = turn.sin_cos();
        (re * cosine - im * sine, re * sine + im * cosine)
    }
}

/// 201 points between two frequencies in megahertz, with noise on both components.
fn sweep(name: &str, (low, high): (f64, f64), noise: f64, gamma: impl Fn(f64) -> (f64, f64)) -> String {
    let mut random = Random::new(15);
    let mut normal = || (0..12).map(|_| random.between(0.0, 1.0)).sum::<f64>() - 6.0;
    let mut text = String::from("! invented\n# MHz S RI R 50\n");
    for step in 0..=200 {
        let megahertz = low + (high - low) * f64::from(step) / 200.0;
        let (re, im) = gamma(megahertz);
        text += &format!(
            "{megahertz} {:.9} {:.9}\n",
            re + noise * normal(),
            im + noise * normal()
        );
    }
    file(name, text)
}

const NOISE: f64 = 3e-4;
const BAND: (f64, f64) = (60.0, 80.0);

/// The step in JSON and the page; what holds for every step is checked on the way.
fn step(arguments: &[&str]) -> (Value, String) {
    let document = PROGRAM.json(arguments);
    let step = document["advice"]["next_step"].clone();
    let text = PROGRAM.text(arguments);
    holds_for_every_step(&step, &text);
    (step, PROGRAM.prose(arguments))
}

/// The fields are there, those that do not apply are null, and the page has verdict, step and expectation in six lines.
fn holds_for_every_step(step: &Value, text: &str) {
    let fields: Vec<&str> = step.as_object().unwrap().keys().map(String::as_str).collect();
    let wanted = [
        "kind",
        "element",
        "direction",
        "factor",
        "primary_turns",
        "secondary_turns",
        "part",
        "toward",
        "until_hz",
        "swr_expected",
        "swr_least",
        "swr_most",
        "reason",
    ];
    assert_eq!(fields, wanted);
    let kind = step["kind"].as_str().unwrap();
    let is_there = |field: &str| !step[field].is_null();
    for (field, kinds) in [
        ("element", &["move"][..]),
        ("direction", &["move"]),
        ("factor", &["move"]),
        ("primary_turns", &["turns", "turns_and_part"]),
        ("secondary_turns", &["turns", "turns_and_part"]),
        ("part", &["part", "turns_and_part"]),
        ("toward", &["sweep_wider"]),
        ("until_hz", &["sweep_wider"]),
        (
            "swr_expected",
            &["leave", "move", "turns", "part", "turns_and_part"],
        ),
        ("swr_least", &["leave", "move", "turns", "part", "turns_and_part"]),
    ] {
        assert_eq!(is_there(field), kinds.contains(&kind), "{kind}: {field}: {step}");
    }
    let reason = step["reason"].as_str().unwrap();
    assert!(reason.ends_with('.') && !reason.contains(". "), "{reason}");
    if let (Some(least), Some(likely)) = (step["swr_least"].as_f64(), step["swr_expected"].as_f64()) {
        // No upper end is infinite.
        let most = step["swr_most"].as_f64().unwrap_or(f64::INFINITY);
        assert!(1.0 <= least && least <= likely && likely <= most, "{step}");
    }
    let head: Vec<&str> = text.lines().take(6).collect();
    let starts = |label: &str| head.iter().position(|line| line.starts_with(label));
    assert_eq!(starts("Verdict"), Some(1), "{text}");
    assert!(starts("Next step") > Some(1), "{text}");
    assert_eq!(starts("Expect").is_some(), is_there("swr_expected"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
    assert!(!text.contains('\u{a0}'), "{text}");
}

#[test]
fn a_low_dip_is_moved_up() {
    let path = sweep("low.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    let (step, told) = step(&["--target", "71M", &path]);
    assert_eq!(step["kind"], "move");
    assert_eq!(
        (&step["element"], &step["direction"]),
        (&"inductance".into(), &"less".into())
    );
    // f goes as 1/√L, and 50 over 45 Ω is SWR 1.11.
    let factor = (67.1f64 / 71.0).powi(2);
    assert!((step["factor"].as_f64().unwrap() - factor).abs() < 5e-4, "{step}");
    assert!(
        (step["swr_expected"].as_f64().unwrap() - 50.0 / 45.0).abs() < 5e-3,
        "{step}"
    );
    assert!(
        told.contains(
            "Next step Dip 3.9 MHz low. Spread the coil, or take turns off: L down 11 % (× 0.893). Leads and leakage don't \
             move, so expect a second pass. Expect SWR 1.11 ("
        ),
        "{told}"
    );
    // What else could be done is told behind the figures, and as another way.
    assert!(
        told.find("Best match") < told.find("Other ways if the dip is to stay where it is."),
        "{told}"
    );
    let retune = &PROGRAM.json(&["--target", "71M", &path])["advice"]["retune"];
    assert_eq!(retune["factor"], step["factor"]);
}

/// Each element in its words, both ways.
#[test]
fn each_element_has_its_words() {
    let low = sweep("element_low.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    let high = sweep("element_high.s1p", BAND, NOISE, circuit(45.0, 8.0, 76.0));
    for (element, less, more, words) in [
        (
            "inductance",
            "less",
            "more",
            ["Spread the coil", "Squeeze the coil"],
        ),
        (
            "capacitance",
            "less",
            "more",
            ["Open the trimmer", "Close the trimmer"],
        ),
        ("turns", "less", "more", ["Take turns off", "Put turns on"]),
        (
            "length",
            "shorter",
            "longer",
            ["Shorten the wire", "Lengthen the wire"],
        ),
    ] {
        for (path, direction, words) in [(&low, less, words[0]), (&high, more, words[1])] {
            let (step, told) = step(&["--tuning", element, "--target", "71M", path]);
            assert_eq!(step["kind"], "move", "{element}");
            assert_eq!(step["direction"], direction, "{element}");
            assert_eq!(step["element"], element);
            let factor = step["factor"].as_f64().unwrap();
            assert_eq!(factor < 1.0, direction == less, "{step}");
            assert!(told.contains(words), "{words}: {told}");
        }
    }
}

#[test]
fn a_match_is_left_alone() {
    let path = sweep("good.s1p", BAND, NOISE, circuit(45.0, 8.0, 71.1));
    let (matched, told) = step(&["--target", "71M", &path]);
    assert_eq!(matched["kind"], "leave");
    assert!(
        told.contains("Next step Leave it as it is. Expect still SWR 1.11"),
        "{told}"
    );
    assert!(
        !told.contains("Other ways") && !told.contains("Quality"),
        "{told}"
    );
    // Without a target it is about the best point.
    let (best, told) = step(&[&path]);
    assert_eq!(best["kind"], "leave");
    assert!(
        told.contains("Next step Leave it, if the best point, 71."),
        "{told}"
    );
}

/// What has no dip is told to be what it is; nothing is to be turned, lengthened or added.
#[test]
fn nothing_is_advised_on_open_short_cable_and_dummy_load() {
    let strip =
        |re: f64| move |megahertz: f64| (re * (megahertz * 6e-4).cos(), -re * (megahertz * 6e-4).sin());
    for (name, path, words) in [
        (
            "open",
            sweep("is_open.s1p", BAND, NOISE, strip(0.998)),
            "nothing is connected",
        ),
        (
            "short",
            sweep("is_short.s1p", BAND, NOISE, strip(-0.998)),
            "a short at all frequencies",
        ),
        (
            "cable",
            sweep("is_cable.s1p", BAND, NOISE, through(8.0, |_| (0.97, 0.0))),
            "as that of a cable with an open or a short at its end",
        ),
        (
            "dummy",
            sweep("is_dummy.s1p", BAND, NOISE, |_| gamma((54.0, 1.0))),
            "the same at all frequencies, as a dummy load is",
        ),
    ] {
        for tuning in ["inductance", "capacitance", "turns", "length"] {
            // At a limit that even the dummy load misses.
            let (step, told) = step(&[
                "--swr-limit",
                "1.01",
                "--tuning",
                tuning,
                "--target",
                "71M",
                &path,
            ]);
            assert_eq!(step["kind"], "no_dip", "{name}");
            assert!(
                told.contains("Next step No dip to move:") && told.contains(words),
                "{told}"
            );
            for word in [
                "Other ways",
                "Expect",
                "coil",
                "trimmer",
                "Lengthen",
                "Shorten",
                "transformer of",
            ] {
                assert!(!told.contains(word), "{word}: {told}");
            }
        }
    }
    let good = sweep("good_dummy.s1p", BAND, NOISE, |_| gamma((54.0, 1.0)));
    assert_eq!(step(&["--target", "71M", &good]).0["kind"], "leave");
}

/// A dip that stands where it should, at the wrong depth: to move it changes nothing.
#[test]
fn a_dip_one_kilohertz_off_is_not_moved() {
    let near = sweep("one_khz.s1p", BAND, NOISE, circuit(120.0, 8.0, 71.001));
    let far = sweep("swr_five.s1p", (30.0, 40.0), NOISE, circuit(10.0, 6.0, 37.6));
    for (target, path) in [("71M", near), ("38M", far)] {
        for tuning in ["inductance", "capacitance", "turns", "length"] {
            let (step, told) = step(&["--tuning", tuning, "--target", target, &path]);
            assert_ne!(step["kind"], "move", "{told}");
        }
    }
}

#[test]
fn a_sweep_of_a_resistor_and_a_coil_has_no_dip_to_move() {
    let path = sweep("r_and_l.s1p", (10.0, 80.0), NOISE, |megahertz| {
        gamma((30.0, core::f64::consts::TAU * megahertz * 0.2))
    });
    let (step, told) = step(&["--target", "30M", &path]);
    assert_ne!(step["kind"], "move", "{told}");
    assert!(!told.contains("coil") && !told.contains("L down"), "{told}");
}

/// The winding that is there is rewound, each winding within its own limit; without one a transformer is added.
#[test]
fn a_winding_is_rewound() {
    // 150 Ω seen through 4 : 1 is 150/16 Ω behind it.
    let path = sweep("flat_150.s1p", BAND, NOISE, |_| gamma((150.0, 2.0)));
    let (rewound, told) = step(&["--winding", "4:1", "--target", "71M", &path]);
    assert_eq!(rewound["kind"], "turns", "{told}");
    let ratio =
        |step: &Value| step["primary_turns"].as_f64().unwrap() / step["secondary_turns"].as_f64().unwrap();
    let left = |ratio: f64| {
        let seen = 150.0 / 16.0 * ratio * ratio;
        (seen / 50.0).max(50.0 / seen)
    };
    assert!(
        (rewound["swr_expected"].as_f64().unwrap() - left(ratio(&rewound))).abs() < 0.02,
        "{rewound}"
    );
    assert!(left(ratio(&rewound)) < 2.0);
    let words = format!(
        "Rewind the transformer: 4 : 1 becomes {} : {}.",
        rewound["primary_turns"], rewound["secondary_turns"]
    );
    assert!(told.contains(&words), "{words}: {told}");
    // A secondary of tube is one turn.
    let (tube, told) = step(&[
        "--winding",
        "4:1",
        "--most-turns",
        "12:1",
        "--target",
        "71M",
        &path,
    ]);
    assert_eq!(
        (&tube["kind"], &tube["secondary_turns"]),
        (&"turns".into(), &1.into()),
        "{told}"
    );
    assert_eq!(tube["primary_turns"], 2, "{tube}");
    assert!(told.contains("4 : 1 becomes 2 : 1."), "{told}");
    // In all that is told of turns.
    let tuned = sweep("tuned_150.s1p", BAND, NOISE, circuit(150.0, 8.0, 64.0));
    let (_, told) = step(&[
        "--winding",
        "4:1",
        "--most-turns",
        "12:1",
        "--target",
        "71M",
        &tuned,
    ]);
    let (_, turns) = told.split_once("Turns 4 : 1 becomes ").unwrap();
    let (_, secondary) = turns.split_once(" : ").unwrap();
    assert!(
        secondary.starts_with("1 ") || secondary.starts_with("1,"),
        "{told}"
    );
    // With no winding named, nothing is there to be rewound.
    let tuned = sweep("ratio_170.s1p", BAND, NOISE, circuit(170.0, 4.0, 71.0));
    let (added, told) = step(&["--target", "71M", &tuned]);
    assert_eq!(added["kind"], "turns", "{told}");
    let words = format!(
        "Put a transformer of {} : {} turns before it ({} on the instrument's side).",
        added["primary_turns"], added["secondary_turns"], added["primary_turns"]
    );
    assert!(told.contains(&words), "{words}: {told}");
    assert!(!told.contains("becomes"), "{told}");
}

/// A part is told with its place, and what it leaves is what the circuit has with it.
#[test]
fn a_part_is_added_where_it_was_measured() {
    let path = sweep("low_fixed.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    // Nothing can be moved: the reactance of 8·45·(71/67.1 − 67.1/71) Ω is cancelled in series.
    let (added, told) = step(&["--element", "1,1", "--target", "71M", &path]);
    assert_eq!(added["kind"], "part", "{told}");
    let reactance = 360.0 * (71.0 / 67.1 - 67.1 / 71.0);
    let farads = 1.0 / (core::f64::consts::TAU * 71e6 * reactance);
    assert_eq!(added["part"]["place"], "series");
    assert_eq!(added["part"]["kind"], "capacitor");
    assert!(
        (added["part"]["value"].as_f64().unwrap() / farads - 1.0).abs() < 0.02,
        "{added}"
    );
    assert!(told.contains("Next step Reactance is left. Put 5"), "{told}");
    assert!(told.contains(" pF in series, where you measured."), "{told}");
    // What is told as the step is not told again as another way.
    let (_, others) = told.split_once("Other ways").unwrap();
    assert!(!others.contains("pF in series, SWR 1.11"), "{others}");
}

/// What the element can do bounds what is asked of it.
#[test]
fn the_limits_of_the_element_are_kept() {
    let path = sweep("limits.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    let factor = (67.1f64 / 71.0).powi(2);
    for (limits, is_moved) in [
        ("0.5,2", true),
        ("0.88,1", true),
        ("0.9,2", false),
        ("1,1", false),
    ] {
        let (step, told) = step(&["--element", limits, "--target", "71M", &path]);
        assert_eq!(step["kind"] == "move", is_moved, "{limits} for {factor}: {told}");
    }
}

#[test]
fn a_sweep_that_misses_the_dip_is_widened() {
    let above = sweep("dip_above.s1p", BAND, NOISE, circuit(45.0, 8.0, 85.0));
    let (up, told) = step(&["--target", "71M", &above]);
    assert_eq!(
        (&up["kind"], &up["toward"]),
        (&"sweep_wider".into(), &"higher".into()),
        "{told}"
    );
    // Twice the inductance moves a dip from 71·√2 MHz, told no nearer than that.
    let until = up["until_hz"].as_f64().unwrap();
    assert!((until / (71e6 * 2f64.sqrt()) - 1.0).abs() < 1e-5, "{up}");
    assert!(told.contains("Sweep up to 101 MHz."), "{told}");
    let below = sweep("dip_below.s1p", BAND, NOISE, circuit(45.0, 8.0, 55.0));
    let (down, told) = step(&["--target", "71M", &below]);
    assert_eq!(
        (&down["kind"], &down["toward"]),
        (&"sweep_wider".into(), &"lower".into()),
        "{told}"
    );
    assert!(told.contains("Sweep down to 50.2 MHz."), "{told}");
    // The target itself is not swept, and too far away.
    let far = sweep("target_far.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    let (beyond, told) = step(&["--target", "200M", &far]);
    assert_eq!(
        (&beyond["kind"], &beyond["toward"]),
        (&"sweep_wider".into(), &"higher".into()),
        "{told}"
    );
    assert!(told.contains("Verdict UNKNOWN at 200 MHz"), "{told}");
    assert!(!told.contains("Other ways"), "{told}");
}

#[test]
fn readings_that_cannot_be_trusted_are_measured_again() {
    let inside = circuit(45.0, 8.0, 67.4);
    let beyond = |megahertz: f64| {
        let (sine, cosine) = (-0.02 * megahertz).sin_cos();
        let size = 1.15 * (1.0 - 0.5 / (1.0 + ((megahertz - 68.0) / 2.0).powi(2)));
        (size * cosine, size * sine)
    };
    let spoilt = |megahertz: f64| {
        let (re, im) = circuit(45.0, 8.0, 67.4)(megahertz);
        // Every fourth of the grid.
        if (megahertz * 10.0).round() as i64 % 4 == 3 {
            (-re, -im)
        } else {
            (re, im)
        }
    };
    let backwards = |megahertz: f64| {
        let (re, im) = circuit(45.0, 40.0, 67.4)(megahertz);
        (re, -im)
    };
    for (path, reason, todo) in [
        (
            sweep("is_beyond.s1p", BAND, 0.0, beyond),
            "More comes back than was sent",
            "Check the calibration",
        ),
        (
            sweep("is_spoilt.s1p", BAND, NOISE, spoilt),
            "fit none of their neighbours",
            "loose connection",
        ),
        (
            sweep("is_backwards.s1p", BAND, NOISE, backwards),
            "look uncorrected",
            "Calibrate and sweep again",
        ),
    ] {
        let (step, told) = step(&["--target", "71M", &path]);
        assert_eq!(step["kind"], "measure_again", "{told}");
        assert!(step["reason"].as_str().unwrap().contains(reason), "{step}");
        assert!(told.contains(todo) && told.contains("Quality"), "{told}");
        assert!(!told.contains("Other ways") && !told.contains("Expect"), "{told}");
    }
    let document = PROGRAM.json(&[
        "--target",
        "71M",
        &sweep("is_backwards.s1p", BAND, NOISE, backwards),
    ]);
    assert_eq!(document["quality"]["uncorrected"], true);
    // In noise no direction is named that the circuit does not have.
    let noisy = sweep("is_noisy.s1p", BAND, 0.3, inside);
    for tuning in ["inductance", "length"] {
        let (step, told) = step(&["--tuning", tuning, "--target", "71M", &noisy]);
        assert!(
            step["kind"] != "move" || step["factor"].as_f64() < Some(1.0),
            "{told}"
        );
    }
    let document = PROGRAM.json(&[&noisy]);
    let noise = document["quality"]["noise"].as_f64().unwrap();
    assert!((noise / 0.3 - 1.0).abs() < 0.25, "{noise}");
}

#[test]
fn a_cable_before_the_load_is_taken_out_first() {
    let path = sweep(
        "behind_cable.s1p",
        BAND,
        NOISE,
        through(25.0, circuit(120.0, 4.0, 71.0)),
    );
    let (step, told) = step(&["--target", "71M", &path]);
    assert_eq!(step["kind"], "take_out_line", "{told}");
    assert!(
        told.contains("Take it out, --cable METRES,VELOCITY, or measure at the load; then ask again."),
        "{told}"
    );
    // Taken out, the load is as it was.
    let (step, told) = self::step(&["--cable", "25,0.66", "--target", "71M", &path]);
    assert_eq!(step["kind"], "turns", "{told}");
}

/// A ripple is told with its period, and how long a cable makes it.
#[test]
fn a_ripple_is_told_with_its_cable() {
    let inside = circuit(45.0, 3.0, 67.1);
    let path = sweep("rippled.s1p", BAND, NOISE, |megahertz| {
        let (re, im) = inside(megahertz);
        let echo = through(30.0, |_| (0.05, 0.0))(megahertz);
        (re + echo.0, im + echo.1)
    });
    let document = PROGRAM.json(&["--target", "71M", &path]);
    let ripple = &document["quality"]["ripple"];
    let period = ripple["period_hz"].as_f64().unwrap();
    // 30 m at 0.66 there and back.
    let wanted = 0.66 * 299_792_458.0 / 60.0;
    assert!((period / wanted - 1.0).abs() < 0.1, "{period}, {wanted}");
    assert!((ripple["size"].as_f64().unwrap() - 0.05).abs() < 0.02, "{ripple}");
    let metres = |told: &str, before: &str, behind: &str| -> f64 {
        let (_, rest) = told.split_once(before).unwrap_or_else(|| panic!("{told}"));
        rest.split_once(behind).unwrap().0.parse().unwrap()
    };
    let told = PROGRAM.prose(&["--target", "71M", &path]);
    let electrical = metres(&told, "as from a cable electrically ", " m long");
    assert!((electrical - 299_792_458.0 / 2.0 / period).abs() < 0.1, "{told}");
    let told = PROGRAM.prose(&["--velocity", "0.66", "--target", "71M", &path]);
    let long = metres(&told, "as from ", " m of cable at a velocity factor of 0.66");
    assert!((long - 0.66 * 299_792_458.0 / 2.0 / period).abs() < 0.1, "{told}");
}

#[test]
fn what_is_built_wrongly_is_blamed_on_its_option() {
    let path = sweep("built.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    for (arguments, start) in [
        (&["--winding", "4"][..], "--winding: \"4\" is not P:S"),
        (&["--winding", "0:1"], "--winding: \"0:1\""),
        (&["--winding", "256:1"], "--winding: \"256:1\""),
        (&["--most-turns", "0"], "--most-turns: \"0\""),
        (&["--most-turns", "12:0"], "--most-turns: \"12:0\""),
        (&["--most-turns", "many"], "--most-turns: \"many\""),
        (
            &["--winding", "14:1", "--most-turns", "12"],
            "--winding: 14 : 1 is there",
        ),
        (
            &["--most-turns", "12:1", "--winding", "4:2"],
            "--winding: 4 : 2 is there",
        ),
        (&["--element", "0.5"], "--element: \"0.5\" is not LEAST,MOST"),
        (&["--element", "0,2"], "--element: 0 must be greater than zero"),
        (&["--element", "-1,2"], "--element: -1 must be greater than zero"),
        (&["--element", "nan,2"], "--element: \"nan\" is not a number"),
        (
            &["--element", "1.5,2"],
            "--element: the least factor, 1.5, must be at most 1",
        ),
        (
            &["--element", "0.5,0.9"],
            "--element: the largest factor, 0.9, must be at least 1",
        ),
        (&["--element", "1e-9,2"], "--element: 1e-9: "),
        (&["--element", "1,1e9"], "--element: 1e9: "),
    ] {
        let mut all = arguments.to_vec();
        all.push(&path);
        let line = PROGRAM.refusal(&all);
        assert!(line.starts_with(start), "{start}: {line}");
        assert!(!line.contains(".s1p"), "{line}");
    }
    let line = PROGRAM.refusal(&["--reading", "swr=2", "--winding", "4:1"]);
    assert!(
        line.starts_with("--winding") && line.contains("name its file"),
        "{line}"
    );
    // More turns than the usual limit are there: they have room.
    let (_, told) = step(&["--winding", "16:1", "--target", "71M", &path]);
    assert!(told.contains("Next step Dip 3.9 MHz low"), "{told}");
}

/// Terms are explained where it is asked for, once each; and in the demo.
#[test]
fn terms_are_explained_on_request() {
    let path = sweep("explained.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1));
    const TERMS: [&str; 4] = [
        "1 is a perfect match",
        "how far the reflected wave lies below the one sent",
        "the reactance vanishes: a resonance",
        "as far as noise, ripple and the size of the step leave it open",
    ];
    let plain = PROGRAM.prose(&["--target", "71M", &path]);
    let explained = PROGRAM.prose(&["--explain", "--target", "71M", &path, &path]);
    let demo = PROGRAM.prose(&[]);
    for term in TERMS {
        assert!(!plain.contains(term), "{term}");
        assert_eq!(explained.matches(term).count(), 1, "{term}");
        assert_eq!(demo.matches(term).count(), 1, "{term}");
    }
}

/// Every sweep of the demo begins with verdict, step and expectation.
#[test]
fn the_demo_says_what_to_do_first() {
    let text = PROGRAM.text(&[]);
    let all = PROGRAM.json(&[]);
    let sweeps = all["sweeps"].as_array().unwrap();
    for sweep in sweeps {
        let name = sweep["file"].as_str().unwrap();
        let (_, rest) = text.split_once(&format!("\n{name}\n")).unwrap();
        holds_for_every_step(&sweep["advice"]["next_step"], &format!("{name}\n{rest}"));
    }
    let kinds: Vec<&str> = sweeps
        .iter()
        .map(|sweep| sweep["advice"]["next_step"]["kind"].as_str().unwrap())
        .collect();
    assert_eq!(kinds, ["move", "leave", "leave", "move"]);
}

/// All families say the same step.
#[test]
fn every_family_says_the_same() {
    let paths = [
        sweep("family_low.s1p", BAND, NOISE, circuit(45.0, 8.0, 67.1)),
        sweep("family_open.s1p", BAND, NOISE, |_| (0.999, -0.01)),
        sweep("family_ratio.s1p", BAND, NOISE, circuit(170.0, 4.0, 71.0)),
        sweep("family_wider.s1p", BAND, NOISE, circuit(45.0, 8.0, 85.0)),
    ];
    for path in &paths {
        let of = |numbers| step(&["--arithmetic", numbers, "--target", "71M", path]).0;
        let double = of("f64");
        for numbers in ["f32", "fixed32", "fixed16"] {
            let other = of(numbers);
            for field in [
                "kind",
                "element",
                "direction",
                "toward",
                "reason",
                "primary_turns",
            ] {
                assert_eq!(double[field], other[field], "{numbers}: {path}: {field}");
            }
        }
    }
}

/// What the README shows is what the program says today.
#[test]
fn the_readme_shows_the_head_of_the_page() {
    let readme = include_str!("../../README.md");
    let (_, rest) = readme.split_once("```text\nVerdict").unwrap();
    let (shown, _) = rest.split_once("```").unwrap();
    let path = format!("{}/demo-data/relay_input_before.s1p", env!("CARGO_MANIFEST_DIR"));
    let text = PROGRAM.text(&["--target", "71M", "--tuning", "capacitance", &path]);
    let (_, page) = text.split_once('\n').unwrap();
    assert!(page.starts_with(&format!("Verdict{shown}Measured")), "{page}");
}

/// What the calibration left tells between which values the SWR lies, in words and in JSON, in each family; and says so
/// where the limit lies between. A series circuit of 40 Ω in resonance: |Γ| = 1/9, with 30 dB 0.0795 to 0.1427.
#[test]
fn what_the_calibration_left() {
    let name = sweep("residual", BAND, 0.0, circuit(40.0, 20.0, 71.0));
    let swr = |rho: f64| (1.0 + rho) / (1.0 - rho);
    let leak = 10f64.powf(-1.5);
    for numbers in ["fixed32", "fixed16", "f32", "f64"] {
        let arguments = [
            "--residual",
            "30",
            "--target",
            "71M",
            "--arithmetic",
            numbers,
            &name,
        ];
        let target = PROGRAM.json(&arguments)["target"].clone();
        let told = |name: &str| target[name].as_f64().unwrap();
        // Fixed16 holds |Γ| to 6e-5; the noise that is found is at most a step of that, three times.
        let slack = 1e-3;
        assert!(
            (told("swr_low") - swr(1.0 / 9.0 - leak)).abs() < slack,
            "{target}"
        );
        assert!(
            (told("swr_high") - swr(1.0 / 9.0 + leak)).abs() < slack,
            "{target}"
        );
        assert_eq!(target["undecided"], false);
        let text = PROGRAM.prose(&arguments);
        assert!(
            text.contains("SWR 1.25 (1.17 to 1.33 by the error of the readings)"),
            "{text}"
        );
    }
    // The limit lies between: it says so, and still says which side the reading is on.
    let close = ["--residual", "30", "--swr-limit", "1.3", "--target", "71M", &name];
    assert_eq!(PROGRAM.json(&close)["target"]["undecided"], true);
    let text = PROGRAM.prose(&close);
    assert!(
        text.contains("MATCHED at 71 MHz") && text.contains("the limit lies between"),
        "{text}"
    );
    // Without it a clean sweep says nothing of it.
    let text = PROGRAM.prose(&["--target", "71M", &name]);
    assert!(!text.contains("error of the readings"), "{text}");
    for (given, cause) in [
        ("x", "\"x\" is not a number"),
        ("-3", "-3 is not between 0 and 200 dB"),
        ("1,2,3,4", "is not DIRECTIVITY"),
    ] {
        let line = PROGRAM.refusal(&["--residual", given, &name]);
        assert!(line.contains("--residual") && line.contains(cause), "{line}");
    }
}
