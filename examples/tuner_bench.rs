//! A tuner on a simulated bench: loads in, runs out, each held against the best that its bank could do.
//!
//! The controller is the library's, in the family of numbers chosen at run time: by default in fixed point, by the same code
//! that runs in a tuner. Bank, sensor, transmitter and antennas are simulated; all of it is invented.

// The other programs need more of these two.
#[allow(dead_code)]
#[path = "shared/input.rs"]
mod input;
#[path = "tuner_bench/json.rs"]
mod json;
#[path = "tuner_bench/loads.rs"]
mod loads;
#[path = "shared/numbers.rs"]
mod numbers;
#[path = "tuner_bench/options.rs"]
mod options;
#[allow(dead_code)]
#[path = "shared/output.rs"]
mod output;
#[path = "tuner_bench/prose.rs"]
mod prose;
#[path = "tuner_bench/runs.rs"]
mod runs;

use std::process::ExitCode;

use options::Request;

fn main() -> ExitCode {
    output::finish(run())
}

fn run() -> Result<String, String> {
    let options = match options::parse(std::env::args_os())? {
        Request::Help => return Ok(options::HELP.to_string()),
        Request::Bench(options) => options,
    };
    let loads = match &options.loads {
        Some(path) => loads::read(path)?,
        None => loads::demo(),
    };
    let runs = runs::all(&loads, &options)?;
    Ok(if options.json {
        json::document(&runs, &options)
    } else {
        prose::report(&runs, &options)
    })
}
