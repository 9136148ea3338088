//! What comes in: the values behind the options of a command line.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

pub fn plain(error: lexopt::Error) -> String {
    format!("{error}; --help tells what there is")
}

pub fn file(parser: &mut lexopt::Parser) -> Result<PathBuf, String> {
    Ok(parser.value().map_err(plain)?.into())
}

pub fn text(parser: &mut lexopt::Parser) -> Result<String, String> {
    let value = parser.value().map_err(plain)?;
    value
        .into_string()
        .map_err(|value| format!("{value:?} is not plain text"))
}

pub fn number(name: &str, given: &str) -> Result<f64, String> {
    match given.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("{name}: {given:?} is not a number")),
    }
}

pub fn positive(name: &str, given: &str) -> Result<f64, String> {
    match number(name, given)? {
        value if value > 0.0 => Ok(value),
        _ => Err(format!("{name}: {given} must be greater than zero")),
    }
}

/// Between two ends, both included.
pub fn within(name: &str, given: &str, least: f64, most: f64) -> Result<f64, String> {
    match number(name, given)? {
        value if (least..=most).contains(&value) => Ok(value),
        _ => Err(format!("{name}: {given} is not from {least:e} to {most:e}")),
    }
}

/// Below this a frequency without a unit is taken for one in other units.
const LEAST_BARE_HERTZ: f64 = 1e5;

/// Hertz, or a number with k, M or G, or with the whole unit: `71M`, `71MHz`, `71 MHz`, `71000000`.
pub fn hertz(name: &str, given: &str) -> Result<f64, String> {
    let wrong =
        || format!("{name}: {given:?} is not a frequency (hertz, or with k, M or G behind it: 71M, 71MHz)");
    let text = given.trim();
    let (rest, in_words) = match text.char_indices().rev().nth(1) {
        Some((end, _)) if text[end..].eq_ignore_ascii_case("hz") => (text[..end].trim_end(), true),
        _ => (text, false),
    };
    // Nobody measures in millihertz: with its unit behind it, an m is a mega.
    let (digits, scale) = match rest.char_indices().last() {
        Some((end, 'k' | 'K')) => (&rest[..end], 1e3),
        Some((end, 'M')) => (&rest[..end], 1e6),
        Some((end, 'm')) if in_words => (&rest[..end], 1e6),
        Some((end, 'G')) => (&rest[..end], 1e9),
        Some((end, 'g')) if in_words => (&rest[..end], 1e9),
        _ => (rest, 1.0),
    };
    let value = number(name, digits).map_err(|_| wrong())?;
    if scale == 1.0 && !in_words && value > 0.0 && value < LEAST_BARE_HERTZ {
        let (letter, unit) = if value < 2000.0 {
            ("M", "MHz")
        } else {
            ("k", "kHz")
        };
        return Err(format!(
            "{name}: {text} alone is {text} Hz: is {text} {unit} meant? Then write {text}{letter}, and {text}Hz if not"
        ));
    }
    Ok(value * scale)
}

/// The two parts of an impedance as they are written: `R,X`, or a sum with j as `1.6+j5`, `1.6 - 5j`.
pub fn impedance(name: &str, given: &str) -> Result<(String, String), String> {
    let wrong = || format!("{name}: {given:?} is not R,X or R+jX");
    if let Some((resistance, reactance)) = given.split_once(',') {
        return Ok((resistance.trim().into(), reactance.trim().into()));
    }
    let text: String = given.chars().filter(|one| !one.is_whitespace()).collect();
    let text = text.replace('\u{2212}', "-");
    let text = text.trim_end_matches(['\u{3a9}', '\u{2126}']);
    // The sign between the two, not that of an exponent.
    let between = text
        .char_indices()
        .skip(1)
        .filter(|(place, one)| matches!(one, '+' | '-') && !text[..*place].ends_with(['e', 'E']));
    let (place, _) = between.last().ok_or_else(wrong)?;
    let (resistance, rest) = text.split_at(place);
    let (sign, imaginary) = rest.split_at(1);
    let size = imaginary.strip_prefix('j').or(imaginary.strip_suffix('j'));
    let size = size
        .filter(|size| !size.is_empty() && !resistance.contains('j'))
        .ok_or_else(wrong)?;
    Ok((resistance.into(), format!("{}{size}", sign.trim_matches('+'))))
}

/// No sweep and no table is larger, in bytes.
const LARGEST_FILE: u64 = 100_000_000;

/// A file's name for people: bytes that are no text by their code.
pub fn name(path: &Path) -> String {
    let bytes = path.as_os_str().as_encoded_bytes();
    let mut shown = String::new();
    for chunk in bytes.utf8_chunks() {
        shown.push_str(chunk.valid());
        for byte in chunk.invalid() {
            shown += &format!("\\x{byte:02x}");
        }
    }
    if shown.is_empty() { "\"\"".into() } else { shown }
}

/// A whole file, unless it is larger than any that makes sense.
pub fn read(path: &Path) -> Result<Vec<u8>, String> {
    let wrong = |error: &dyn std::fmt::Display| format!("{}: {error}", name(path));
    let file = File::open(path).map_err(|error| wrong(&error))?;
    let mut bytes = Vec::new();
    let taken = file.take(LARGEST_FILE + 1).read_to_end(&mut bytes);
    taken.map_err(|error| wrong(&error))?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(wrong(&format!(
            "larger than {} MB, which no such file is",
            LARGEST_FILE / 1_000_000
        )));
    }
    Ok(bytes)
}

/// A whole file of text.
pub fn read_text(path: &Path) -> Result<String, String> {
    String::from_utf8(read(path)?).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let line = 1 + error.as_bytes()[..valid]
            .iter()
            .filter(|byte| **byte == b'\n')
            .count();
        format!("{}: line {line}: not plain text", name(path))
    })
}
