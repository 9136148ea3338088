//! How long to stretch a coil of bare wire, without a core, for an inductance.
//!
//! ```sh
//! cargo run --example coil_length
//! ```
//!
//! Care: the ends of a coil in a tuned circuit burn at low power already. Switch the transmitter off before you stretch
//! or compress it, and use no fingers where a stick of dry plastic will do.

use std::io::Write;

use ohmwright::design::winding::AirCoil;
use ohmwright::double::Inductance;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // Where println! would stop in a panic, as on a full disk, writeln! gives an error.
    let mut out = std::io::stdout();
    // Change these. Turns, and millimetres between the middles of the wire on either side: the former and one thickness
    // of wire. Invented.
    let turns = 8.0;
    let diameter = 11.0;
    let wanted = Inductance::new(0.5e-6)?; // henries

    // Wound with any length, then stretched until the inductance is what is wanted.
    let coil = AirCoil::from_millimetres(turns, diameter, 10.0)?.with_inductance(wanted)?;
    let length = coil.length() * 1e3;
    writeln!(out, "length      {length:.2} mm")?;
    // The wire must be thinner than this, or its turns touch.
    writeln!(out, "pitch       {:.2} mm", length / turns)?;
    writeln!(out, "inductance  {:.4} uH", coil.inductance().get() * 1e6)?;
    Ok(())
}
