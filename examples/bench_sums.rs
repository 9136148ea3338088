//! The sums of the bench: a stand-in for a load, turns, a coil, a core, a wire, a line, the balance of two outputs, and
//! what a transformer is by its sweeps. The library computes; this program asks and tells.

#[path = "bench_sums/answer.rs"]
mod answer;
// The other programs need more of these two.
#[allow(dead_code)]
#[path = "shared/input.rs"]
mod input;
#[path = "bench_sums/lines.rs"]
mod lines;
#[path = "bench_sums/loads.rs"]
mod loads;
#[path = "bench_sums/options.rs"]
mod options;
#[allow(dead_code)]
#[path = "shared/output.rs"]
mod output;
#[path = "bench_sums/transformers.rs"]
mod transformers;
#[path = "bench_sums/units.rs"]
mod units;
#[path = "bench_sums/windings.rs"]
mod windings;

use std::process::ExitCode;

use options::Request;

fn main() -> ExitCode {
    output::finish(run())
}

fn run() -> Result<String, String> {
    let (sum, given) = match options::parse(std::env::args_os())? {
        Request::Help => return Ok(options::HELP.to_string()),
        Request::Sum(sum, given) => (sum, given),
    };
    let answer = match sum.as_str() {
        "stand-in" => loads::stand_in(&given),
        "turns" => loads::turns(&given),
        "balance" => loads::balance(&given),
        "coil" => windings::coil(&given),
        "core" => windings::core(&given),
        "wire" => windings::wire(&given),
        "line" => lines::line(&given),
        "transformer" => transformers::transformer(&given),
        other => Err(format!(
            "{other:?} is none of stand-in, turns, coil, core, wire, line, balance, transformer; --help tells more"
        )),
    }?;
    given.all_used(&sum)?;
    Ok(answer.shown(&sum, given.json()))
}
