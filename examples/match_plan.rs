//! Before anything is wound: the ways to match a load, with parts as they can be had, ranked.
//!
//! Everything that is computed here is computed by the library, in double precision.

// The other programs need more of these two.
#[allow(dead_code)]
#[path = "shared/input.rs"]
mod input;
#[path = "match_plan/json.rs"]
mod json;
#[path = "match_plan/loads.rs"]
mod loads;
#[path = "match_plan/options.rs"]
mod options;
#[allow(dead_code)]
#[path = "shared/output.rs"]
mod output;
#[path = "match_plan/prose.rs"]
mod prose;
#[path = "match_plan/work.rs"]
mod work;

use std::process::ExitCode;

use loads::Load;
use options::{Options, Request};
use work::Design;

fn main() -> ExitCode {
    output::finish(run())
}

fn run() -> Result<String, String> {
    let options = match options::parse(std::env::args_os())? {
        Request::Help => return Ok(options::HELP.to_string()),
        Request::Demo(options) => return demo(options),
        Request::Plan(options) => options,
    };
    let load = Load::from_options(&options)?;
    let design = Design::work_out(&options, &load)?;
    if let Some(path) = &options.predict {
        work::predict(path, &options, &load, &design)?;
    }
    Ok(if options.json {
        json::document(&options, &load, &design)
    } else {
        prose::report(&options, &load, &design)
    })
}

/// The story of the invented relay station and of its crew's whip.
fn demo(asked: Options) -> Result<String, String> {
    let chapters = options::demo(&asked);
    let mut text = prose::opening();
    for (title, options) in &chapters {
        let load = Load::from_options(options)?;
        let design = Design::work_out(options, &load)?;
        if asked.json {
            // The relay station alone: one object.
            return Ok(json::document(options, &load, &design));
        }
        text += &prose::chapter(title, options, &load, &design);
    }
    text += &prose::caution();
    Ok(text)
}
