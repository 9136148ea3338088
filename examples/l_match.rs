//! Two parts that make a load look like 50 Ω at one frequency: every network of a coil or capacitor in series and one
//! across that there is.
//!
//! ```sh
//! cargo run --example l_match
//! ```
//!
//! Care: the parts of a matching network carry far more voltage and current than the power suggests, the more the higher
//! Q is. Switch off before you touch them: RF burns. Transmit only where you are licensed to.

use std::io::Write;

use ohmwright::design::matching::{Orientation, two_element};
use ohmwright::double::Impedance;
use ohmwright::quantity::Hertz;
use ohmwright::show::text;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // Where println! would stop in a panic, as on a full disk, writeln! gives an error.
    let mut out = std::io::stdout();
    // Change these: resistance and reactance in ohms; a positive reactance is a coil's, a negative one a capacitor's.
    // Invented: a short wire.
    let frequency = Hertz::from_kilohertz(5_300);
    let load = Impedance::new(25.0, -40.0)?;
    let source = Impedance::new(50.0, 0.0)?;

    for network in two_element(load, source)?.networks() {
        // Read from the load to the source.
        match network.orientation() {
            Orientation::ShuntAtLoad => writeln!(
                out,
                "first across the load, then in series (Q {:.2}):",
                network.q()
            )?,
            Orientation::SeriesAtLoad => writeln!(
                out,
                "first in series, then across the source (Q {:.2}):",
                network.q()
            )?,
        }
        // A line of 16 columns: L and henries, or C and farads. No part where none is needed.
        let mut line = [b' '; 16];
        if let Some(part) = network.series_part(frequency) {
            writeln!(out, "  in series  {}", text::part(&mut line, part)?)?;
        }
        if let Some(part) = network.shunt_part(frequency) {
            writeln!(out, "  across     {}", text::part(&mut line, part)?)?;
        }
    }
    Ok(())
}
