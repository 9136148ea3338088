//! The main job on a host: a measured one-port sweep, and what to make of it.
//!
//! Everything that is computed here is computed by the library, in the family of numbers chosen at run time: by
//! default in fixed point, by the same code that runs in a handheld instrument.

#[path = "sweep_report/built.rs"]
mod built;
#[path = "sweep_report/coil.rs"]
mod coil;
#[path = "sweep_report/correction.rs"]
mod correction;
#[path = "sweep_report/diagnosis.rs"]
mod diagnosis;
#[path = "sweep_report/figures.rs"]
mod figures;
// The other programs need more of these two.
#[allow(dead_code)]
#[path = "shared/input.rs"]
mod input;
#[path = "sweep_report/json.rs"]
mod json;
#[path = "sweep_report/learnt.rs"]
mod learnt;
#[path = "sweep_report/line.rs"]
mod line;
#[path = "sweep_report/mask.rs"]
mod mask;
#[path = "sweep_report/next.rs"]
mod next;
#[path = "sweep_report/next_words.rs"]
mod next_words;
#[path = "shared/numbers.rs"]
mod numbers;
#[path = "sweep_report/options.rs"]
mod options;
#[allow(dead_code)]
#[path = "shared/output.rs"]
mod output;
#[path = "sweep_report/page.rs"]
mod page;
#[path = "sweep_report/picture.rs"]
mod picture;
#[path = "sweep_report/predicted.rs"]
mod predicted;
#[path = "sweep_report/prose.rs"]
mod prose;
#[path = "sweep_report/quality.rs"]
mod quality;
#[path = "sweep_report/readings.rs"]
mod readings;
#[path = "sweep_report/sweep.rs"]
mod sweep;
#[path = "sweep_report/uncertain.rs"]
mod uncertain;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use correction::Standards;
use figures::Figures;
use ohmwright::measure::TuningElement;
use options::{Options, Request};
use output::visible;
use sweep::Sweep;

/// The demo scenario: a file, the frequency that matters for it, and what can be moved.
const DEMO: [(&str, u64, TuningElement); 4] = [
    ("relay_input_before.s1p", 71_000_000, TuningElement::Capacitance),
    ("relay_input_after.s1p", 71_000_000, TuningElement::Capacitance),
    ("relay_antenna_75.s1p", 71_000_000, TuningElement::Length),
    ("field_whip.s1p", 5_300_000, TuningElement::Inductance),
];

/// What is read beside the sweeps themselves.
#[derive(Clone, Copy)]
struct Beside<'a> {
    /// The raw sweeps of open, short and load.
    standards: Option<&'a Standards>,
    /// What was predicted.
    predicted: Option<&'a Sweep>,
}

/// A file to read, and what is wanted of it.
struct Source {
    path: PathBuf,
    /// What the report calls it.
    name: String,
    target_hz: Option<u64>,
    tuning: TuningElement,
}

fn main() -> ExitCode {
    output::finish(run())
}

fn run() -> Result<String, String> {
    let options = match options::parse(std::env::args_os())? {
        Request::Help => return Ok(options::HELP.to_string()),
        Request::Report(options) => options,
    };
    let is_demo = options.files.is_empty() && !options.only_readings();
    let standards = options.standards.as_ref().map(Standards::read).transpose()?;
    let read = |path: &PathBuf| Sweep::read(path, &input::name(path));
    let predicted = options.predicted.as_ref().map(read).transpose()?;
    let beside = Beside {
        standards: standards.as_ref(),
        predicted: predicted.as_ref(),
    };
    let mut reports = Vec::new();
    for source in sources(&options) {
        let sweep = Sweep::read(&source.path, &source.name)?;
        reports.push(Figures::work_out(&sweep, beside, &options, &source)?);
    }
    learnt::work_out(&mut reports, &options)?;
    let readings = options.agreement()?;
    let written = pictures(&options, &reports)?;
    Ok(if options.json {
        json::document(&reports, readings)
    } else {
        prose::report(&reports, readings, &options, is_demo) + &written
    })
}

/// Writes the pictures asked for, and says where.
fn pictures(options: &Options, reports: &[Figures]) -> Result<String, String> {
    let mut said = String::new();
    if let Some(wanted) = &options.picture {
        for (place, figures) in reports.iter().enumerate() {
            if let Some(picture) = &figures.picture {
                let path = wanted.path(place, reports.len());
                output::save(&path, picture)?;
                said += &format!(
                    "Picture         {} shows {}\n",
                    visible(&input::name(&path)),
                    visible(&figures.name)
                );
            }
            if let Some(picture) = &figures.line.picture {
                let path = wanted.beside(&wanted.path(place, reports.len()), "-distance");
                output::save(&path, picture)?;
                said += &format!(
                    "Picture         {} shows its reflections over distance\n",
                    visible(&input::name(&path))
                );
            }
        }
    }
    Ok(said)
}

/// The files given, or those of the demo scenario; none where there are readings alone.
fn sources(options: &Options) -> Vec<Source> {
    if options.only_readings() {
        return Vec::new();
    }
    if options.files.is_empty() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
        let demo = |(file, target, tuning): &(&str, u64, TuningElement)| Source {
            path: folder.join(file),
            name: format!("demo-data/{file}"),
            target_hz: options.target_hz.or(Some(*target)),
            tuning: options.tuning.unwrap_or(*tuning),
        };
        return DEMO.iter().map(demo).collect();
    }
    let given = |path: &PathBuf| Source {
        path: path.clone(),
        name: input::name(path),
        target_hz: options.target_hz,
        tuning: options.tuning.unwrap_or(TuningElement::Inductance),
    };
    options.files.iter().map(given).collect()
}
