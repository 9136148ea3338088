//! The runs for people.

use std::fmt::Write;

use super::options::Options;
use super::runs::Run;

pub fn report(runs: &[Run], options: &Options) -> String {
    let mut text = String::new();
    let demo = options.loads.is_none();
    // Writing to a string cannot fail.
    let _ = write(&mut text, runs, options, demo);
    text
}

fn write(text: &mut String, runs: &[Run], options: &Options, demo: bool) -> std::fmt::Result {
    if demo {
        writeln!(
            text,
            "The antennas of the demo scenario (invented; demo-data/README.md), each tuned from bypass."
        )?;
    }
    writeln!(
        text,
        "Simulated bank, values off by up to {} %; {} sensor, {} % of noise; computed in {}.\n",
        options.value_error * 100.0,
        options.sensor_name(),
        options.noise * 100.0,
        options.numbers.name(),
    )?;
    writeln!(
        text,
        "{:>10}  {:>18}  {:>8}  {:>7}  {:>7}  {:>8}  {:>6}  outcome",
        "MHz", "load, ohm", "SWR", "after", "optimum", "readings", "relays"
    )?;
    let mut last = "";
    for run in runs {
        if demo && run.place != last {
            writeln!(text, "{}", run.place)?;
            last = &run.place;
        }
        let sign = if run.reactance_ohm < 0.0 { '-' } else { '+' };
        writeln!(
            text,
            "{:>10.3}  {:>18}  {:>8}  {:>7}  {:>7}  {:>8}  {:>6}  {}",
            run.frequency_hz as f64 / 1e6,
            format!("{:.1} {sign} j{:.1}", run.resistance_ohm, run.reactance_ohm.abs()),
            swr(run.swr_before),
            swr(run.swr_after),
            swr(run.swr_optimum),
            run.readings,
            run.switch_operations,
            run.outcome,
        )?;
    }
    let sorted = |value: &dyn Fn(&Run) -> f64| {
        let mut values: Vec<f64> = runs.iter().map(value).filter(|value| value.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        values
    };
    let ratios = sorted(&|run| run.swr_after / run.swr_optimum);
    let readings = sorted(&|run| run.readings.into());
    let relays = sorted(&|run| run.switch_operations.into());
    let middle = |values: &[f64]| values.get(values.len() / 2).copied().unwrap_or(f64::NAN);
    let most = |values: &[f64]| values.last().copied().unwrap_or(f64::NAN);
    writeln!(text, "\n{} runs", runs.len())?;
    if !ratios.is_empty() {
        writeln!(
            text,
            "  SWR over the optimum: median {:.3}, largest {:.3}",
            middle(&ratios),
            most(&ratios)
        )?;
    }
    writeln!(
        text,
        "  readings: median {}, most {}",
        middle(&readings),
        most(&readings)
    )?;
    writeln!(
        text,
        "  relay operations: median {}, most {}",
        middle(&relays),
        most(&relays)
    )?;
    writeln!(text)?;
    text.push_str(CAUTIONS);
    Ok(())
}

fn swr(value: f64) -> String {
    if value.is_infinite() {
        "inf".into()
    } else if value < 100.0 {
        format!("{value:.2}")
    } else {
        format!("{value:.0}")
    }
}

const CAUTIONS: &str = "\
Before you do the like on real hardware: a tuner carries high radio-frequency voltage even at low power, more the worse
the match. It burns, deeper than it looks. Never touch the tuner, or switch its relays, under power. Transmit only where
you are licensed to; listen first, tune at low power and keep it short. A tuner at the transmitter's end gives the
transmitter its 50 ohms, but the cable behind it keeps its SWR and its loss. Local rules and licensed practice come first.
";
