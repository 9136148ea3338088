//! What the programs say at the edges of their input: small frequencies, falling reactance, two dips, negative rows. The
//! data are invented.

use crate::program::{Program, file};

const REPORT: Program = Program("sweep_report");

/// A sweep of 41 points about a frequency, in kilohertz.
fn sweep(name: &str, middle_khz: f64, gamma: impl Fn(f64) -> (f64, f64)) -> String {
    let mut text = String::from("# kHz S RI R 50\n");
    for step in -20..=20 {
        let share = f64::from(step) / 20.0;
        let (re, im) = gamma(share);
        text += &format!("{} {re:.6} {im:.6}\n", middle_khz * (1.0 + share / 10.0));
    }
    file(name, text)
}

#[test]
fn a_crossing_that_falls_has_a_slope_of_minus_one() {
    for (name, sign, slope) in [("rises.s1p", 1.0, 1), ("falls.s1p", -1.0, -1)] {
        let path = sweep(name, 70_000.0, |share| {
            (0.1 + 0.3 * share * share, sign * 0.4 * share)
        });
        let report = REPORT.json(&[&path]);
        let crossings = report["resonances"].as_array().unwrap();
        assert_eq!(crossings.len(), 1, "{crossings:?}");
        assert_eq!(crossings[0]["slope"], slope, "{name}");
    }
}

#[test]
fn frequencies_below_a_megahertz_are_said_in_kilohertz() {
    let path = sweep("long_wave.s1p", 500.0, |share| {
        (0.1 + 0.3 * share * share, 0.4 * share)
    });
    let text = REPORT.prose(&[&path]);
    assert!(text.contains("450 kHz") && text.contains("550 kHz"), "{text}");
    assert!(!text.contains("MHz"), "{text}");
}

/// The dip that is moved is the one that leaves least. Where the element cannot be changed, none is, and the retuning that is
/// told beside is that of the nearest.
#[test]
fn the_dip_that_leaves_least_is_moved() {
    let dip = |share: f64, at: f64| (-((share - at) / 0.15).powi(2)).exp();
    let path = sweep("two_dips.s1p", 70_000.0, |share| {
        (0.9 - 0.85 * dip(share, -0.5) - 0.6 * dip(share, 0.5), 0.0)
    });
    for (wanted, near) in [("66M", 66.5e6), ("67M", 66.5e6), ("73M", 73.5e6), ("74M", 73.5e6)] {
        for (limits, from) in [("0.5,2", 66.5e6), ("1,1", near)] {
            let report = REPORT.json(&["--target", wanted, "--element", limits, &path]);
            assert_eq!(report["dips"].as_array().unwrap().len(), 2);
            let dip = report["advice"]["retune"]["dip_hz"].as_f64().unwrap();
            assert!((dip - from).abs() < 0.2e6, "for {wanted} from {dip} Hz");
            let is_moved = report["advice"]["next_step"]["kind"] == "move";
            // At 66 MHz the match is good enough as it is, or the dip too near to be moved.
            assert!(!is_moved || limits == "0.5,2", "{wanted}, {limits}");
            assert!(
                is_moved || limits == "1,1" || near == 66.5e6,
                "{wanted}, {limits}"
            );
        }
    }
}

#[test]
fn a_row_of_a_load_that_gives_power_is_refused() {
    let table = file(
        "gives_power.csv",
        "frequency_hz,resistance_ohm,reactance_ohm\n70000000,-5,1\n",
    );
    let line = Program("match_plan").refusal(&["--loads", &table, "--frequency", "70M"]);
    assert_eq!(
        line,
        format!("{table}:2: resistance_ohm must be greater than zero")
    );
}
