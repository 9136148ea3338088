//! What load a measured sweep shows at your frequency, and where it matches best.
//!
//! ```sh
//! cargo run --example load_from_sweep -- yours.s1p
//! ```
//!
//! Care: never connect an instrument to a line with a transmitter or a charged antenna on it.

use ohmwright::double::{Reference, SweepAnalyser, SweepSettings};
use ohmwright::measure::Target;
use ohmwright::measure::touchstone::{Reader, lines};
use ohmwright::quantity::Hertz;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // Change this: the frequency that matters. Without a file the invented demo is read.
    let wanted = Hertz::from_megahertz(71);
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/relay_input_before.s1p");
    let file = std::env::args().nth(1).unwrap_or(demo.to_string());

    // A Touchstone file, line by line: most give nothing, some give a point.
    let bytes = std::fs::read(file)?;
    let (mut reader, mut points) = (Reader::new(), Vec::new());
    for line in lines(&bytes) {
        points.extend(reader.line(line)?);
    }
    // Γ of the file refers to a resistance, mostly 50 ohm.
    let reference = Reference::new(reader.finish()?.reference_ohm)?;

    let target = Some(wanted);
    let mut analyser = SweepAnalyser::<8>::new(SweepSettings {
        reference,
        target,
        ..Default::default()
    })?;
    for point in points {
        analyser.push(point.frequency, point.reflection)?;
    }
    let report = analyser.report();
    let Target::Reading(reading) = report.target() else {
        return Err("the sweep does not reach this frequency".into());
    };
    let load = report.impedance(reading.reflection);
    println!("resistance  {:.2} ohm", load.resistance());
    println!("reactance   {:.2} ohm", load.reactance()); // positive: as a coil; negative: as a capacitor
    println!("SWR         {:.3}", reading.reflection.swr());
    if let Some(best) = report.best() {
        println!(
            "best at     {:.4} MHz, SWR {:.3}",
            best.frequency.get() as f64 / 1e6,
            best.swr()
        );
    }
    Ok(())
}
