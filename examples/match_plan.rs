//! Before anything is wound: the ways to match a load, with parts as they can be had, ranked.
//!
//! Everything that is computed here is computed by the library, in double precision.

#[path = "match_plan/json.rs"]
mod json;
#[path = "match_plan/loads.rs"]
mod loads;
#[path = "match_plan/options.rs"]
mod options;
#[path = "match_plan/prose.rs"]
mod prose;
#[path = "match_plan/work.rs"]
mod work;

use std::io::Write;
use std::process::ExitCode;

use loads::Load;
use options::{Options, Request};
use work::Design;

fn main() -> ExitCode {
    match run() {
        Ok(text) => {
            // A closed pipe is the reader's choice and no error.
            let _ = std::io::stdout().write_all(text.as_bytes());
            ExitCode::SUCCESS
        }
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
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
    let mut text = prose::DEMO_OPENING.to_string();
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
