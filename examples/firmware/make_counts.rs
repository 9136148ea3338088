//! Makes `src/counts.rs`: what two detector channels would have given in the sweep of `relay_input_before.s1p` of the
//! demo data, through an invented fixture. Everything about it is invented.
//!
//! `cargo run --example make_counts --target HOST` writes the file anew; `-- --check` compares.

use std::error::Error;
use std::fmt::Write;
use std::path::Path;
use std::{env, fs};

use ohmwright::measure::touchstone::{Record, read};

/// A complex number.
#[derive(Clone, Copy)]
struct C(f64, f64);

impl C {
    fn times(self, other: C) -> C {
        C(
            self.0 * other.0 - self.1 * other.1,
            self.0 * other.1 + self.1 * other.0,
        )
    }

    fn plus(self, other: C) -> C {
        C(self.0 + other.0, self.1 + other.1)
    }

    fn over(self, other: C) -> C {
        let power = other.0 * other.0 + other.1 * other.1;
        let C(re, im) = self.times(C(other.0, -other.1));
        C(re / power, im / power)
    }
}

// The fixture: a coupler that leaks, a connector that reflects, and what is lost and turned on the way.
const DIRECTIVITY: C = C(0.031, -0.022);
const SOURCE_MATCH: C = C(-0.047, 0.038);
const TRACKING: C = C(0.79, -0.33);

const HEAD: &str = "\
//! INVENTED DATA. Nothing in this file was measured.
//!
//! A sweep of the relay's input stage before tuning (`demo-data/README.md` tells the scenario), as the counts of two
//! 16-bit detector channels, and the error terms of the fixture. Made by `make_counts.rs`.

use ohmwright::measure::detector::Iq;
";

fn main() -> Result<(), Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = folder.join("src/counts.rs");
    let text = text(&fs::read(folder.join("../../demo-data/relay_input_before.s1p"))?)?;
    if env::args().any(|argument| argument == "--check") {
        if fs::read_to_string(&path)? != text {
            return Err(format!("{} differs from what would be written", path.display()).into());
        }
    } else {
        fs::write(path, text)?;
    }
    Ok(())
}

fn text(file: &[u8]) -> Result<String, Box<dyn Error>> {
    let mut records: Vec<Record> = Vec::new();
    read(file, |record| records.push(record))?;
    let (Some(first), Some(second)) = (records.first(), records.get(1)) else {
        return Err("no sweep".into());
    };
    let (start, step) = (
        first.frequency.get(),
        second.frequency.get() - first.frequency.get(),
    );
    let mut text = String::from(HEAD);
    let unit = |part: f64| libm::round(part * (1u32 << 30) as f64) as i32;
    let mut term = |name: &str, doc: &str, C(re, im): C| {
        write!(
            text,
            "\n/// {doc}, in units of 2⁻³⁰.\npub const {name}: (i32, i32) = ({}, {});\n",
            unit(re),
            unit(im)
        )
    };
    term("DIRECTIVITY", "What leaks past the load", DIRECTIVITY)?;
    term(
        "SOURCE_MATCH",
        "What the fixture sends back towards the load",
        SOURCE_MATCH,
    )?;
    term("TRACKING", "The way there and back", TRACKING)?;
    writeln!(text, "\n/// The first frequency and the step, kilohertz.")?;
    writeln!(text, "pub const START_KHZ: u32 = {};", start / 1000)?;
    writeln!(text, "pub const STEP_KHZ: u32 = {};", step / 1000)?;
    writeln!(
        text,
        "\n/// The reference and the reflected channel at each frequency."
    )?;
    writeln!(text, "#[rustfmt::skip]")?;
    writeln!(text, "pub const SWEEP: [[Iq; 2]; {}] = [", records.len())?;
    // The forward wave, in counts. Its phase turns with the frequency, and it grows weaker.
    let (mut forward, turn) = (C(23_000.0, 4_000.0), C(0.9954, -0.0951));
    for record in &records {
        let gamma = C(
            record.reflection.real().get(),
            record.reflection.imaginary().get(),
        );
        let below = C(1.0, 0.0).plus(SOURCE_MATCH.times(C(-gamma.0, -gamma.1)));
        let raw = DIRECTIVITY.plus(TRACKING.times(gamma).over(below));
        let reflected = forward.times(raw);
        let count = |C(re, im): C| (libm::round(re) as i16, libm::round(im) as i16);
        let (f, r) = (count(forward), count(reflected));
        writeln!(text, "    [Iq::new{f:?}, Iq::new{r:?}],")?;
        forward = forward.times(turn);
    }
    writeln!(text, "];")?;
    Ok(text)
}
