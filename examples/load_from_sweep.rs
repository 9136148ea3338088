//! What load a measured sweep shows at your frequency, and where it matches best.
//!
//! ```sh
//! cargo run --example load_from_sweep -- yours.s1p
//! ```
//!
//! Care: never connect an instrument to a line with a transmitter or a charged antenna on it.

use std::io::{Read, Write};

use ohmwright::double::{Reference, SweepAnalyser, SweepSettings};
use ohmwright::measure::Target;
use ohmwright::measure::touchstone::read;
use ohmwright::quantity::Hertz;

/// In bytes.
const MOST: u64 = 100_000_000;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // Where println! would stop in a panic, as on a full disk, writeln! gives an error.
    let mut out = std::io::stdout();
    // Change this: the frequency that matters. Without a file the invented demo is read.
    let wanted = Some(Hertz::from_megahertz(71));
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/relay_input_before.s1p");
    let file = std::env::args_os().nth(1).unwrap_or(demo.into());
    let wrong = |error: &dyn std::fmt::Display| format!("{}: {error}", file.display());

    // A Touchstone file: Γ at each frequency, and the resistance that Γ refers to, mostly 50 ohm.
    let mut bytes = Vec::new();
    let taken = std::fs::File::open(&file).and_then(|source| source.take(MOST).read_to_end(&mut bytes));
    if taken.map_err(|error| wrong(&error))? as u64 == MOST {
        return Err(wrong(&"larger than any sweep").into());
    }
    let mut points = Vec::new();
    let summary = read(&bytes, |point| points.push(point)).map_err(|error| wrong(&error))?;

    let settings = SweepSettings::new().with_reference(Reference::new(summary.reference_ohm)?);
    let mut analyser = SweepAnalyser::<8>::new(settings.with_target(wanted))?;
    for point in points {
        analyser.push(point.frequency, point.reflection)?;
    }
    let report = analyser.report();
    let Target::Reading(reading) = report.target() else {
        return Err(wrong(&"the sweep does not reach this frequency").into());
    };
    if report.beyond_rim() > 0 || report.is_too_coarse() || !report.spoilt().is_empty() {
        writeln!(out, "doubtful    measure again; sweep_report tells what is wrong")?;
    }
    let load = report.impedance(reading.reflection);
    writeln!(out, "resistance  {:.2} ohm", load.resistance())?;
    writeln!(out, "reactance   {:.2} ohm", load.reactance())?; // positive: as a coil; negative: as a capacitor
    writeln!(out, "SWR         {:.3}", reading.reflection.swr())?;
    let best = report.best().ok_or_else(|| wrong(&"no points"))?;
    let megahertz = best.frequency.get() as f64 / 1e6;
    writeln!(out, "best at     {megahertz:.4} MHz, SWR {:.3}", best.swr())?;
    Ok(())
}
