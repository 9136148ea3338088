//! What comes in: the values behind the options of a command line.

use std::path::PathBuf;

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

/// Hertz with an optional k, M or G.
pub fn hertz(name: &str, given: &str) -> Result<f64, String> {
    let (digits, scale) = match given.char_indices().last() {
        Some((end, 'k')) => (&given[..end], 1e3),
        Some((end, 'M')) => (&given[..end], 1e6),
        Some((end, 'G')) => (&given[..end], 1e9),
        _ => (given, 1.0),
    };
    number(name, digits)
        .map(|value| value * scale)
        .map_err(|_| format!("{name}: {given:?} is not a frequency (hertz, with k, M or G behind it)"))
}
