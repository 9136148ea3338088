//! What goes out: the end of a program, paragraphs, and numbers as people and as other programs read them.

use std::io::Write;
use std::process::ExitCode;

use serde_json::Value;

/// Text is broken at this column.
const WIDTH: usize = 100;

/// Prints what a program came to: its text, or why there is none, in one line on standard error.
pub fn finish(outcome: Result<String, String>) -> ExitCode {
    match outcome {
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

/// A paragraph broken at the width, its sentences behind the label and so many columns in.
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
        line.push_str(word);
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
