//! How many turns on a ring core make an inductance.
//!
//! ```sh
//! cargo run --example turns_on_core
//! ```
//!
//! Care: a core that is driven too hard gets hot enough to burn you and to crack. Begin at low power and feel it only
//! with the transmitter off.

use std::io::Write;

use ohmwright::design::winding::InductanceFactor;
use ohmwright::double::Inductance;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // Where println! would stop in a panic, as on a full disk, writeln! gives an error.
    let mut out = std::io::stdout();
    // Change these. What the maker prints as A_L, in nanohenries for one turn (some print microhenries for a hundred
    // turns: InductanceFactor::from_microhenries_per_hundred_turns). Invented.
    let core = InductanceFactor::from_nanohenries(4.0)?;
    let wanted = Inductance::new(1.28e-6)?; // henries

    // A pass of the wire through the hole is a turn, so a winding has whole turns.
    let turns = core.whole_turns(wanted)?;
    writeln!(out, "exact turns  {:.2}", core.turns(wanted))?;
    writeln!(out, "whole turns  {turns}")?;
    writeln!(out, "inductance   {:.3} uH", core.inductance(turns).get() * 1e6)?;
    writeln!(
        out,
        "one less     {:.3} uH",
        core.inductance(turns - 1).get() * 1e6
    )?;
    Ok(())
}
