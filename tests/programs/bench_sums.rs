//! The sums of the bench, as their user asks for them. Figures from outside have their source beside them; what is read
//! from memory says so. Loads and sweeps are invented.

use core::f64::consts::{PI, TAU};

use crate::common::complex::{C, c};
use crate::program::{Program, file};
use serde_json::Value;

const PROGRAM: Program = Program("bench_sums");

fn json(arguments: &str) -> Value {
    PROGRAM.json(&arguments.split_whitespace().collect::<Vec<_>>())
}

fn prose(arguments: &str) -> String {
    PROGRAM.prose(&arguments.split_whitespace().collect::<Vec<_>>())
}

fn refusal(arguments: &str) -> String {
    PROGRAM.refusal(&arguments.split_whitespace().collect::<Vec<_>>())
}

fn number(value: &Value, path: &str) -> f64 {
    let found = value.pointer(path);
    found
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("{path} in {value}"))
}

fn near(got: f64, truth: f64, slack: f64, what: &str) {
    assert!((got - truth).abs() <= slack, "{what}: {got} is not {truth}");
}

fn is(value: &Value, path: &str, truth: f64, relative: f64) {
    near(number(value, path), truth, relative * truth.abs(), path);
}

/// The SWR of an impedance on 50 Ω, by Γ.
fn swr(r: f64, x: f64) -> f64 {
    let gamma = ((r - 50.0).hypot(x)) / ((r + 50.0).hypot(x));
    (1.0 + gamma) / (1.0 - gamma)
}

#[test]
fn a_stand_in_for_a_load_and_for_an_swr() {
    // X = 1/(2πfC), B = X/(R² + X²): textbook.
    let found = json("stand-in --load 1.8-j2.5 --frequency 71M --leads 6nH");
    let omega = TAU * 71e6;
    is(&found, "/series/resistance_ohm", 1.8, 1e-12);
    is(&found, "/series/capacitance_f", 1.0 / (omega * 2.5), 1e-9);
    let square = 1.8 * 1.8 + 2.5 * 2.5;
    is(&found, "/parallel/resistance_ohm", square / 1.8, 1e-9);
    is(&found, "/parallel/capacitance_f", 2.5 / square / omega, 1e-9);
    is(&found, "/with_leads/reactance_ohm", omega * 6e-9 - 2.5, 1e-9);
    assert_eq!(found["with_leads"]["swamped"], true);
    // The SWR of R on Z0 is R/Z0 or Z0/R (textbook).
    let found = json("stand-in --swr 2 --potentiometer 80 --leads 50n --frequency 14.2MHz");
    is(&found, "/low/resistance_ohm", 25.0, 1e-12);
    is(&found, "/low/position", 0.3125, 1e-12);
    is(&found, "/high/resistance_ohm", 100.0, 1e-12);
    assert!(found["high"]["position"].is_null());
    is(&found, "/return_loss_db", 9.542425094393249, 1e-9);
    is(
        &found,
        "/low/swr_with_leads",
        swr(25.0, TAU * 14.2e6 * 50e-9),
        1e-9,
    );
    assert!(prose("stand-in --swr 2 --potentiometer 80").contains("31.2 % of the track"));
}

#[test]
fn turns_by_the_rule_and_in_truth() {
    // Z0/|Z| for 1.8 − j2.5 Ω is 16.23; four to one shows 16·Z: SWR 3.1, not the 1.01 of the rule (common practice).
    let found = json("turns --load 1.8,-2.5 --most-turns 12");
    is(&found, "/impedance_ratio", 50.0 / 1.8f64.hypot(2.5), 1e-12);
    is(&found, "/turns_ratio", (50.0 / 1.8f64.hypot(2.5)).sqrt(), 1e-12);
    assert_eq!(
        (
            number(&found, "/rule/primary_turns"),
            number(&found, "/rule/secondary_turns")
        ),
        (4.0, 1.0)
    );
    is(
        &found,
        "/rule/swr_promised",
        16.0 * 1.8f64.hypot(2.5) / 50.0 * 1.0,
        0.03,
    );
    is(&found, "/rule/swr", swr(16.0 * 1.8, -16.0 * 2.5), 1e-9);
    // 28 Ω with at most two turns: 2 : 1.5 gives 50/28·(9/16) = 1.0045.
    let found = json("turns --load 28,0 --most-turns 2");
    assert_eq!(
        (
            number(&found, "/half_turns/primary_turns"),
            number(&found, "/half_turns/secondary_turns")
        ),
        (2.0, 1.5)
    );
    is(&found, "/half_turns/swr", 50.0 / 28.0 * 9.0 / 16.0, 1e-9);
    is(&found, "/turns_alone/swr", 50.0 / 28.0, 1e-9);
    // A load without reactance: the ideal transformer's 3 : 1 for 450 Ω (N2/N1 = √(Z2/Z1), textbook).
    let found = json("turns --load 450,0");
    assert_eq!(
        (
            number(&found, "/rule/primary_turns"),
            number(&found, "/rule/secondary_turns")
        ),
        (1.0, 3.0)
    );
    is(&found, "/rule/swr", 1.0, 1e-9);
}

#[test]
fn a_coil_both_ways() {
    // Nagaoka 1909 by formula (153) of NBS Circular 74: 10 turns, 10 mm, 20 mm long (recomputed with mpmath).
    let found = json("coil --turns 10 --diameter 10mm --length 2cm --frequency 7.1M");
    is(&found, "/inductance_h", 0.403733810899165e-6, 1e-12);
    is(&found, "/reactance_ohm", TAU * 7.1e6 * 0.403733810899165e-6, 1e-9);
    let found = json("coil --inductance 0.403733810899165u --diameter 10mm --length 20mm");
    is(&found, "/turns", 10.0, 1e-12);
}

#[test]
fn a_core_its_turns_and_its_flux() {
    // IEC 60205 ring core with sharp corners, 36 × 23 × 15 mm (from memory; recomputed with mpmath).
    let found = json("core --outer 36mm --inner 23mm --height 15mm --permeability 850 --turns 1");
    is(&found, "/effective_length_m", 89.6476349605791e-3, 1e-12);
    is(&found, "/effective_area_m2", 95.8853387608603e-6, 1e-12);
    is(&found, "/inductance_factor_h", 1142.46304244375e-9, 1e-12);
    is(&found, "/inductance_h", 1142.46304244375e-9, 1e-12);
    // L = AL·N², rounded up: 17.68 µH on 420 nH needs 7 turns.
    let found = json("core --al 420n --inductance 17.68u");
    assert_eq!(number(&found, "/turns"), 7.0);
    is(&found, "/inductance_h", 49.0 * 420e-9, 1e-12);
    // Faraday: 100 W in 50 Ω at 1.8 MHz, 10 turns on 95.89 mm²: 9.2209 mT.
    let found = json("core --al 1142n --area 95.89 --turns 10 --power 100 --frequency 1.8M");
    is(&found, "/peak_flux_density_t", 9.22092114181153e-3, 1e-9);
    is(&found, "/voltage_rms_v", 70.7106781186548, 1e-12);
}

#[test]
fn a_wire_of_copper() {
    // δ = 1/√(πfμσ): 5.507 µm at 144 MHz, with σ = 5.8e7 S/m.
    let found = json("wire --diameter 1mm --length 100mm --frequency 144M");
    is(&found, "/skin_depth_m", 5.50712442506714e-6, 5e-3);
    let direct = number(&found, "/direct_resistance_ohm");
    let conductivity = 0.1 / (direct * PI * 0.25e-6);
    near(conductivity, 5.8e7, 0.05e7, "conductivity of copper");
    // Far above the skin depth R/R0 is r/(2δ) + ¼.
    let risen = 0.5e-3 / (2.0 * number(&found, "/skin_depth_m")) + 0.25;
    is(&found, "/resistance_ohm", direct * risen, 1e-3);
    // 2·l·(ln(2l/r) − 1) nH with l in cm (Rosa, from memory) but for r/l.
    is(
        &found,
        "/inductance_h",
        20e-9 * ((200.0f64 / 0.5).ln() - 1.0),
        2e-3,
    );
    // Gauge 20 is 0.8118 mm (ASTM B258, from memory).
    is(
        &json("wire --gauge 20 --length 5mm --frequency 7M"),
        "/diameter_m",
        0.8118e-3,
        1e-3,
    );
}

#[test]
fn a_line_its_length_and_its_loss() {
    // l = c·VF/(4f).
    let found = json("line --impedance 50 --velocity 0.66 --wavelengths 0.25 --frequency 144M --load 100,0");
    is(&found, "/length_m", 0.343512191458333, 1e-9);
    is(&found, "/input_resistance_ohm", 25.0, 1e-9);
    // 0.6 dB matched and SWR 3.6 at the load: 1.066 dB (The ARRL Antenna Book, 1994, p. 24-9).
    let found =
        json("line --impedance 50 --permittivity 2.25 --length 10m --loss 6 --frequency 14.2M --load 180,0");
    is(&found, "/velocity_factor", 2.0 / 3.0, 1e-12);
    is(&found, "/matched_loss_db", 0.6, 1e-9);
    is(&found, "/swr_at_load", 3.6, 1e-9);
    is(&found, "/loss_db", 1.06625634488664, 1e-9);
    is(
        &found,
        "/wavelengths",
        10.0 * 14.2e6 / (299_792_458.0 * 2.0 / 3.0),
        1e-9,
    );
    // It grows with the root of the frequency: four times the frequency, twice the loss.
    let found =
        json("line --impedance 50 --velocity 0.66 --length 10m --loss 6 --loss-at 10M --frequency 40M");
    is(&found, "/matched_loss_db", 1.2, 1e-9);
}

#[test]
fn the_balance_of_two_outputs() {
    let found = json("balance --first 0.7,10 --second 0.66,-175");
    is(
        &found,
        "/amplitude_imbalance_db",
        20.0 * (0.7f64 / 0.66).log10(),
        1e-9,
    );
    is(&found, "/phase_imbalance_degrees", 5.0, 1e-9);
    // |a − b|/|a + b| by the law of cosines.
    let part = |sign: f64| 0.7f64 * 0.7 + 0.66 * 0.66 + sign * 2.0 * 0.7 * 0.66 * (185.0 * PI / 180.0).cos();
    is(
        &found,
        "/common_mode_rejection_db",
        10.0 * (part(-1.0) / part(1.0)).log10(),
        1e-9,
    );
    assert!(json("balance --first 1,0 --second 1,180")["sum"] == "balance");
    assert!(prose("balance --first 1,0 --second 0.9,0").contains("turned round"));
}

/// Two coupled coils, in henries, and k: by the impedance matrix, not by the library's circuit.
struct Coils {
    first: f64,
    second: f64,
    coupling: f64,
}

impl Coils {
    /// jωL1 + (ωM)²/(Z + jωL2).
    fn seen(&self, load: C, omega: f64) -> C {
        let mutual = omega * self.coupling * (self.first * self.second).sqrt();
        c(0.0, omega * self.first) + c(mutual * mutual, 0.0) / (load + c(0.0, omega * self.second))
    }

    fn ratio(&self) -> f64 {
        self.coupling * self.coupling * self.first / self.second
    }

    fn leakage(&self) -> f64 {
        self.first * (1.0 - self.coupling * self.coupling)
    }
}

/// Sixty points from 2 to 120 MHz as a Touchstone file.
fn sweep(name: &str, seen: impl Fn(f64) -> C) -> String {
    let mut text = String::from("! invented\n# MHz S RI R 50\n");
    for place in 1..=60 {
        let megahertz = 2.0 * f64::from(place);
        let z = seen(TAU * megahertz * 1e6);
        let gamma = (z - c(50.0, 0.0)) / (z + c(50.0, 0.0));
        text += &format!("{megahertz} {:.15} {:.15}\n", gamma.re, gamma.im);
    }
    file(name, text)
}

/// A 5.2 Ω resistor with 3 nH of lead makes 6.69 of a ratio of 8.37, and twice the leakage, at no residual (common
/// practice, no source).
#[test]
fn a_transformer_from_one_sweep_with_leads() {
    let coils = Coils {
        first: 234.6e-9,
        second: 25.3e-9,
        coupling: 0.95,
    };
    near(coils.ratio(), 8.37, 0.005, "the case");
    let loaded = sweep("sums_loaded.s1p", |omega| coils.seen(c(5.2, omega * 3e-9), omega));
    let plain = json(&format!("transformer --loaded {loaded} --resistor 5.2"));
    near(
        number(&plain, "/impedance_ratio"),
        6.69,
        0.005,
        "without a word of leads",
    );
    assert!(number(&plain, "/leakage_h") > 1.9 * coils.leakage());
    assert!(number(&plain, "/residual") < 1e-9);
    // It says so: the true ratio lies in the range that it gives, and the leads are below the most there can be.
    let [least, most] = [0, 1].map(|place| number(&plain, &format!("/impedance_ratio_range/{place}")));
    assert!(least < coils.ratio() && coils.ratio() < most, "{least} {most}");
    assert!(number(&plain, "/most_leads_h") > 3e-9);
    assert!(
        plain["notes"][0]
            .as_str()
            .unwrap()
            .contains("cannot tell them from leakage")
    );
    // And finds the truth where it is told.
    let told = json(&format!(
        "transformer --loaded {loaded} --resistor 5.2 --leads 3nH"
    ));
    is(&told, "/impedance_ratio", coils.ratio(), 1e-6);
    is(&told, "/leakage_h", coils.leakage(), 1e-6);
    is(&told, "/primary_inductance_h", coils.first, 1e-6);
    is(&told, "/secondary_inductance_h", coils.second, 1e-6);
    is(&told, "/coupling", coils.coupling, 1e-6);
    // The control: other leads give another ratio.
    let other = json(&format!(
        "transformer --loaded {loaded} --resistor 5.2 --leads 2nH"
    ));
    assert!(number(&other, "/impedance_ratio") < 0.95 * coils.ratio());
    // More leads than the sweep allows.
    let said = refusal(&format!(
        "transformer --loaded {loaded} --resistor 5.2 --leads 9nH"
    ));
    assert!(
        said.starts_with("--leads: 9 nH is more than the sweep allows"),
        "{said}"
    );
}

#[test]
fn a_transformer_from_open_and_shorted_sweeps() {
    let coils = Coils {
        first: 10e-6,
        second: 2.5e-6,
        coupling: 0.95,
    };
    let turned = Coils {
        first: 2.5e-6,
        second: 10e-6,
        coupling: 0.95,
    };
    let none = c(1e12, 0.0);
    // A little loss, so that nothing stands on the rim.
    let open = sweep("sums_open.s1p", |omega| coils.seen(none, omega) + c(0.01, 0.0));
    let shorted = sweep("sums_shorted.s1p", |omega| {
        coils.seen(c(0.0, 0.0), omega) + c(0.01, 0.0)
    });
    let secondary = sweep("sums_secondary.s1p", |omega| {
        turned.seen(none, omega) + c(0.01, 0.0)
    });
    let all = format!("transformer --open {open} --shorted {shorted} --secondary {secondary}");
    for more in ["", " --frequency 2M"] {
        // (k·N1/N2)² = k²·L1/L2; the leakage L1·(1 − k²) is 0.975 µH (short test of coupled coils, textbook).
        let found = json(&format!("{all}{more}"));
        is(&found, "/impedance_ratio", coils.ratio(), 1e-3);
        is(&found, "/leakage_h", 0.975e-6, 1e-3);
        is(&found, "/coupling", 0.95, 1e-3);
        assert_eq!(
            number(&found, "/points"),
            if more.is_empty() { 60.0 } else { 1.0 }
        );
    }
    assert!(refusal(&format!("{all} --frequency 3M")).starts_with("--frequency: the three sweeps"));
    assert!(refusal(&format!("transformer --open {open}")).starts_with("--shorted: is missing"));
}

#[test]
fn refusals_name_the_option_or_the_file() {
    for (asked, said) in [
        ("", "which sum?"),
        ("balun", "\"balun\" is none of"),
        ("coil --turns", "missing argument"),
        ("coil --nonsense 1", "invalid option"),
        (
            "coil --turns 5 --diameter 8 --length 9mm",
            "--diameter: \"8\" is not a length with its unit",
        ),
        ("coil --turns 5 --diameter 8mm", "--length: is missing"),
        ("coil --turns 5 --turns 6", "--turns: given twice"),
        (
            "coil --turns 5 --inductance 1u --diameter 8mm --length 9mm",
            "--inductance: either",
        ),
        (
            "coil --inductance 100 --diameter 8mm --length 9mm",
            "--inductance: 100 alone is 100 H",
        ),
        (
            "coil --turns 5 --diameter 8mm --length 9mm --velocity 0.6",
            "--velocity: has nothing to do with coil",
        ),
        ("stand-in --load 5 --frequency 7M", "--load: \"5\" is not R,X"),
        ("stand-in --load=-5,1 --frequency 7M", "--load: "),
        (
            "stand-in --load 5,1 --frequency 7",
            "--frequency: 7 alone is 7 Hz",
        ),
        ("stand-in --swr 0.9", "--swr: SWR must be at least 1"),
        ("stand-in --swr 2 --leads 3n", "--frequency: is missing"),
        (
            "turns --load 5,1 --most-turns 61",
            "--most-turns: \"61\" is no whole number",
        ),
        ("core --al 420n --turns 0", "--turns: \"0\" is no whole number"),
        ("core --al 420n --turns 3 --power 5", "--frequency: is missing"),
        (
            "core --outer 2cm --inner 3cm --height 1cm --permeability 100 --turns 1",
            "core: ",
        ),
        (
            "line --impedance 50 --velocity 1.2 --length 1m --frequency 7M",
            "--velocity: 1.2 is not from",
        ),
        (
            "line --impedance 50 --permittivity 0.5 --length 1m --frequency 7M",
            "--permittivity: ",
        ),
        ("balance --first 1 --second 1,180", "--first: \"1\" is not A,P"),
        (
            "balance --first 0,0 --second 1,180",
            "--first, --second: the first output is zero",
        ),
        ("transformer --loaded no/such.s1p --resistor 5", "no/such.s1p: "),
        ("transformer", "--open: is missing"),
    ] {
        let line = refusal(asked);
        assert!(line.starts_with(said), "{asked}: {line}");
    }
    let bad = file("sums_bad.s1p", "# MHz S RI R 50\n1 0.5 0\n2 much 0\n");
    let line = refusal(&format!("transformer --loaded {bad} --resistor 5"));
    assert!(line.starts_with(&bad) && line.contains("line 3"), "{line}");
    let short = file("sums_short.s1p", "# MHz S RI R 50\n1 0.5 0\n");
    let line = refusal(&format!("transformer --loaded {short} --resistor 5"));
    assert!(
        line.starts_with(&short) && line.contains("three different frequencies"),
        "{line}"
    );
}

#[test]
fn it_helps_and_warns() {
    PROGRAM.helps(include_str!("../../examples/bench_sums/options.rs"));
    let help = PROGRAM.text(&["--help"]);
    for sum in [
        "stand-in",
        "turns",
        "coil",
        "core",
        "wire",
        "line",
        "balance",
        "transformer",
    ] {
        assert!(help.contains(&format!("\n{sum}: ")), "{sum}");
    }
    for word in ["RF burns", "licensed", "null where infinite"] {
        assert!(help.contains(word), "{word}");
    }
}
