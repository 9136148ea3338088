//! SWR from the two voltages of a directional coupler: forward and reflected.
//!
//! ```sh
//! cargo run --example swr_from_volts
//! ```
//!
//! Care: a line that carries transmit power burns. Connect and disconnect the meter with the transmitter off, transmit
//! only where you are licensed to, at low power first.

use std::io::Write;

use ohmwright::double::Reflection;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // Where println! would stop in a panic, as on a full disk, writeln! gives an error.
    let mut out = std::io::stdout();
    // Change these. Both in volts, both taken the same way (RMS or peak). Invented.
    let forward = 10.0;
    let reflected = 2.5;

    // A coupler with diodes tells no phase, and the SWR needs none: Γ may as well be real.
    let gamma = Reflection::new(reflected / forward, 0.0)?;

    writeln!(out, "SWR            {:.3}", gamma.swr())?;
    writeln!(out, "return loss    {:.2} dB", gamma.return_loss())?;
    // What comes back, and what a matched load would take more than this one.
    writeln!(out, "power back     {:.2} %", 100.0 * gamma.reflected_share())?;
    writeln!(out, "mismatch loss  {:.3} dB", gamma.mismatch_loss())?;
    Ok(())
}
