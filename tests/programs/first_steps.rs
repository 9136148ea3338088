//! The five short programs for the values that people compute most: each is run, and each figure that it prints is held
//! against the handbook's formula, computed here. Beside each stands a usual mistake, which must be noticed.

use std::path::Path;
use std::process::Command;

/// What a program prints.
fn printed(name: &str) -> String {
    // target/<profile>/deps/this_test → target/<profile>/examples/<name>
    let test = std::env::current_exe().unwrap();
    let path = test
        .parent()
        .unwrap()
        .parent()
        .unwrap()
        .join("examples")
        .join(name);
    assert!(
        path.exists(),
        "{}: build it with `cargo build --examples`",
        path.display()
    );
    let output = Command::new(path).output().unwrap();
    assert!(output.status.success() && output.stderr.is_empty(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The number behind a label at the beginning of a line.
fn figure(text: &str, label: &str) -> f64 {
    let line = text.lines().find_map(|line| line.strip_prefix(label));
    let line = line.unwrap_or_else(|| panic!("no {label:?} in {text}"));
    line.split_whitespace().next().unwrap().parse().unwrap()
}

/// Within half of the last digit that is printed, and a hair.
fn shows(printed: f64, value: f64, decimals: i32) -> bool {
    (printed - value).abs() <= 0.500_001 * 10f64.powi(-decimals)
}

/// SWR = (Vf + Vr)/(Vf − Vr), return loss 20·lg(Vf/Vr), the powers as the squares of the voltages (common practice, in
/// any handbook; from memory).
#[test]
fn swr_from_volts() {
    let text = printed("swr_from_volts");
    let (forward, reflected) = (10.0f64, 2.5f64);
    let swr = |forward: f64, reflected: f64| (forward + reflected) / (forward - reflected);
    assert!(shows(figure(&text, "SWR"), swr(forward, reflected), 3));
    assert!(shows(
        figure(&text, "return loss"),
        20.0 * (forward / reflected).log10(),
        2
    ));
    let back = reflected * reflected / (forward * forward);
    assert!(shows(figure(&text, "power back"), 100.0 * back, 2));
    assert!(shows(
        figure(&text, "mismatch loss"),
        -10.0 * (1.0 - back).log10(),
        3
    ));
    // Powers taken for voltages.
    let wrong = swr(forward * forward, reflected * reflected);
    assert!(!shows(figure(&text, "SWR"), wrong, 3));
}

/// The formulas for two elements of D. M. Pozar, "Microwave Engineering", section 5.1 (from memory): with the first element
/// across the load B = (X ± √(R/Z0)·√(R² + X² − Z0·R))/(R² + X²) and then 1/B + X·Z0/R − Z0/(B·R) in series; with the
/// first in series ±√(R·(Z0 − R)) − X, and then ±√((Z0 − R)/R)/Z0 across.
#[test]
fn l_match() {
    let text = printed("l_match");
    let omega = core::f64::consts::TAU * 5.3e6;
    let (r, x, z0) = (25.0f64, -40.0f64, 50.0f64);
    let power = r * r + x * x;
    let mut wanted = Vec::new();
    for sign in [1.0, -1.0] {
        let b = (x + sign * (r / z0).sqrt() * (power - z0 * r).sqrt()) / power;
        wanted.push((1.0 / b + x * z0 / r - z0 / (b * r), b));
    }
    for sign in [1.0, -1.0] {
        let series = sign * (r * (z0 - r)).sqrt() - x;
        wanted.push((series, sign * ((z0 - r) / r).sqrt() / z0));
    }
    // Reactance in series and susceptance across, of the parts printed: `L 1.952 uH`.
    let reactance = |line: &str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let [.., kind, value, unit] = words[..] else {
            panic!("{line}")
        };
        let scale = match &unit[..1] {
            "u" => 1e-6,
            "n" => 1e-9,
            "p" => 1e-12,
            _ => panic!("{line}"),
        };
        let value = value.parse::<f64>().unwrap() * scale;
        match kind {
            "L" => omega * value,
            "C" => -1.0 / (omega * value),
            _ => panic!("{line}"),
        }
    };
    let mut found = Vec::new();
    for network in text.lines().collect::<Vec<_>>().chunks(3) {
        assert!(network[1].starts_with("  in series") && network[2].starts_with("  across"));
        found.push((reactance(network[1]), -1.0 / reactance(network[2])));
    }
    // Four digits are printed.
    let near = |a: f64, b: f64| (a - b).abs() < 6e-4 * b.abs();
    let same = |a: &(f64, f64), b: &(f64, f64)| near(a.0, b.0) && near(a.1, b.1);
    assert_eq!(found.len(), 4);
    for network in &wanted {
        let count = found.iter().filter(|found| same(found, network)).count();
        assert_eq!(count, 1, "{network:?} is not among {found:?}");
    }
    // The load's own reactance forgotten.
    let wrong = ((r * (z0 - r)).sqrt(), ((z0 - r) / r).sqrt() / z0);
    assert!(!found.iter().any(|found| same(found, &wrong)));
}

/// L = A_L·N² (the definition of the inductance factor).
#[test]
fn turns_on_core() {
    let text = printed("turns_on_core");
    let (factor, wanted) = (4e-9f64, 1.28e-6f64);
    let exact = (wanted / factor).sqrt();
    assert!(shows(figure(&text, "exact turns"), exact, 2));
    assert_eq!(figure(&text, "whole turns"), exact.ceil());
    assert!(shows(
        figure(&text, "inductance"),
        factor * exact.ceil().powi(2) * 1e6,
        3
    ));
    assert!(shows(
        figure(&text, "one less"),
        factor * exact.floor().powi(2) * 1e6,
        3
    ));
    // An inductance that goes with the turns and not with their square.
    assert!(!shows(figure(&text, "exact turns"), wanted / factor, 2));
}

/// H. A. Wheeler, "Simple Inductance Formulas for Radio Coils", Proceedings of the IRE 16 (1928): L = r²·n²/(9r + 10l) in
/// microhenries and inches, to 1 % for a length above 0.8 of the radius (from memory).
#[test]
fn coil_length() {
    let text = printed("coil_length");
    let (turns, wanted) = (8.0f64, 0.5f64);
    let inch = 25.4;
    let length = figure(&text, "length");
    let inductance =
        |radius: f64| (radius / inch * turns).powi(2) / (9.0 * radius / inch + 10.0 * length / inch);
    let radius = 11.0 / 2.0;
    assert!(length > 0.8 * radius);
    assert!((inductance(radius) / wanted - 1.0).abs() < 0.01);
    assert!(shows(figure(&text, "pitch"), length / turns, 2));
    assert_eq!(figure(&text, "inductance"), wanted);
    // The diameter taken for the radius.
    assert!((inductance(2.0 * radius) / wanted - 1.0).abs() > 0.5);
}

/// Z = Z0·(1 + Γ)/(1 − Γ) and SWR = (1 + |Γ|)/(1 − |Γ|) of the point in the file (the definitions of Γ and SWR). The
/// analyser takes the noise out of its neighbours as well: noise of 2e-4 in each component makes 0.11 Ω here, and 0.002 of
/// SWR (one standard deviation); three times that is allowed.
#[test]
fn load_from_sweep() {
    let text = printed("load_from_sweep");
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/relay_input_before.s1p");
    let file = std::fs::read_to_string(file).unwrap();
    let line = file.lines().find(|line| line.starts_with("71 ")).unwrap();
    let numbers: Vec<f64> = line
        .split_whitespace()
        .map(|number| number.parse().unwrap())
        .collect();
    let (re, im) = (numbers[1], numbers[2]);
    let below = (1.0 - re) * (1.0 - re) + im * im;
    let (resistance, reactance) = (50.0 * (1.0 - re * re - im * im) / below, 50.0 * 2.0 * im / below);
    let near = |printed: f64, value: f64| (printed - value).abs() < 0.34;
    assert!(near(figure(&text, "resistance"), resistance), "{resistance}");
    assert!(near(figure(&text, "reactance"), reactance), "{reactance}");
    let size = re.hypot(im);
    assert!((figure(&text, "SWR") - (1.0 + size) / (1.0 - size)).abs() < 7e-3);
    // What demo-data/README.md says of the file.
    assert!((figure(&text, "best at") - 76.4).abs() < 0.05);
    // Nothing is doubtful in it; a sample spoilt is told.
    assert!(!text.contains("doubtful"));
    let spoilt = file.replace(
        file.lines().find(|line| line.starts_with("65 ")).unwrap(),
        "65 -0.5 -0.5",
    );
    let spoilt = crate::program::file("first_spoilt.s1p", spoilt);
    let told = crate::program::Program("load_from_sweep").text(&[&spoilt]);
    assert!(told.contains("doubtful    measure again"), "{told}");
    // The sign of the reactance turned.
    assert!(!near(figure(&text, "reactance"), -reactance));
}

/// They are short, and say what can hurt.
#[test]
fn the_programs_read_well() {
    for name in [
        "swr_from_volts",
        "l_match",
        "turns_on_core",
        "coil_length",
        "load_from_sweep",
    ] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("examples")
            .join(name)
            .with_extension("rs");
        let text = std::fs::read_to_string(path).unwrap();
        let is_code = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with("//");
        assert!(
            (10..=40).contains(&text.lines().filter(is_code).count()),
            "{name}"
        );
        assert!(
            text.contains("//! Care: ") && text.contains("Change th"),
            "{name}"
        );
    }
}
