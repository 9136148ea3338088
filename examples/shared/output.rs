//! What goes out: the end of a program, paragraphs, and numbers as people and as other programs read them.

use std::fs::File;
use std::io::{ErrorKind, Write};
use std::path::Path;
use std::process::ExitCode;

use serde_json::Value;

use super::input;

/// Text is broken at this column.
const WIDTH: usize = 100;

/// Prints what a program came to: its text, or why there is none, in one line on standard error. Exit status 1 for the
/// latter, and for a text that could not be written whole.
pub fn finish(outcome: Result<String, String>) -> ExitCode {
    match outcome.and_then(|text| print(&text)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            complain(&message);
            ExitCode::FAILURE
        }
    }
}

/// One line on standard error.
pub fn complain(message: &str) {
    // Where nobody can be told, the exit status still says it.
    let _ = std::io::stderr().write_all(format!("{}\n", visible(message)).as_bytes());
}

fn print(text: &str) -> Result<(), String> {
    let mut output = std::io::stdout().lock();
    match output.write_all(text.as_bytes()).and_then(|()| output.flush()) {
        // A closed pipe is the reader's choice and no error.
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(format!("standard output: {error}")),
        _ => Ok(()),
    }
}

/// Writes a file whole, or leaves none: half a file looks like a good one.
pub fn save(path: &Path, content: &[u8]) -> Result<(), String> {
    let wrong = |error: std::io::Error| format!("{}: {error}", input::name(path));
    let mut file = File::create(path).map_err(wrong)?;
    let kept = file.write_all(content).and_then(|()| match file.sync_all() {
        // Pipes and terminals keep nothing.
        Err(error) if !matches!(error.kind(), ErrorKind::InvalidInput | ErrorKind::Unsupported) => Err(error),
        _ => Ok(()),
    });
    kept.map_err(|error| {
        // A device or a pipe is not ours to take away.
        if std::fs::symlink_metadata(path).is_ok_and(|found| found.is_file()) {
            let _ = std::fs::remove_file(path);
        }
        wrong(error)
    })
}

/// Text in which nothing moves the cursor, breaks the line or turns the direction of writing: such characters are shown
/// by their code.
pub fn visible(text: &str) -> String {
    let is_hidden = |one: char| {
        one.is_control()
            || matches!(one, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
    };
    let mut shown = String::with_capacity(text.len());
    for one in text.chars() {
        if is_hidden(one) {
            shown.extend(one.escape_default());
        } else {
            shown.push(one);
        }
    }
    shown
}

/// A number as in a message: never a row of zeros.
pub fn plain_number(value: f64) -> String {
    if value == 0.0 || (1e-4..1e7).contains(&value.abs()) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

/// A space at which a line is not broken.
pub const GLUE: char = '\u{a0}';

/// A paragraph broken at the width, its sentences behind the label and so many columns in. What is glued stays together.
pub fn paragraph(to: &mut String, indent: usize, label: &str, text: &str) {
    let mut line = format!("{label:<indent$}");
    let mut empty = true;
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            to.push_str(line.trim_end());
            to.push('\n');
            line = " ".repeat(indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.extend(word.chars().map(|one| if one == GLUE { ' ' } else { one }));
        empty = false;
    }
    to.push_str(line.trim_end());
    to.push('\n');
}

/// A number with so many decimals at most.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// A frequency with the unit that suits its size, at most four decimals (of gigahertz six).
pub fn hertz(value: u64) -> String {
    let (scale, unit) = match value {
        0..=999 => (1.0, "Hz"),
        1_000..=999_999 => (1e3, "kHz"),
        1_000_000..=999_999_999 => (1e6, "MHz"),
        _ => (1e9, "GHz"),
    };
    let decimals = if scale == 1e9 { 6 } else { 4 };
    format!("{} {unit}", trimmed(value as f64 / scale, decimals))
}

pub fn swr(value: f64) -> String {
    if value.is_infinite() {
        "without limit".into()
    } else if value < 100.0 {
        format!("{value:.2}")
    } else {
        format!("{value:.0}")
    }
}

/// A number of JSON, or null where it is infinite.
pub fn json_number(value: f64) -> Value {
    serde_json::Number::from_f64(value).map_or(Value::Null, Value::Number)
}
