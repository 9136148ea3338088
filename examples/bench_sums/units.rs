//! Numbers with a unit and its prefix behind them.

use ohmwright::quantity::{Capacitance, Hertz, Inductance, Metres};

use super::input;
use super::output::trimmed;

pub fn frequency(name: &str, given: &str) -> Result<Hertz, String> {
    let hertz = input::hertz(name, given)?;
    if !(0.5..1e15).contains(&hertz) {
        return Err(format!("{name}: {given} must be greater than zero, and no light"));
    }
    Ok(Hertz::new(hertz.round() as u64))
}

/// The number before a prefix, and what the prefix is.
fn prefixed(name: &str, text: &str, wrong: &str) -> Result<(f64, bool), String> {
    let (digits, scale) = match text.char_indices().last() {
        Some((end, 'p')) => (&text[..end], 1e-12),
        Some((end, 'n')) => (&text[..end], 1e-9),
        Some((end, 'u' | '\u{b5}' | '\u{3bc}')) => (&text[..end], 1e-6),
        Some((end, 'm')) => (&text[..end], 1e-3),
        Some((end, 'c')) => (&text[..end], 1e-2),
        _ => (text, 1.0),
    };
    let value = input::number(name, digits).map_err(|_| wrong.to_string())?;
    Ok((value * scale, scale != 1.0))
}

/// Henries, with a prefix or with the whole unit: `3n`, `3nH`.
pub fn inductance(name: &str, given: &str) -> Result<Inductance<f64>, String> {
    let wrong = format!("{name}: {given:?} is not an inductance (3n, 3nH, 1.2u)");
    let text = given.trim();
    let bare = text.strip_suffix('H').map(str::trim_end);
    let (value, has_prefix) = prefixed(name, bare.unwrap_or(text), &wrong)?;
    if !has_prefix && bare.is_none() && value >= 1e-2 {
        return Err(format!(
            "{name}: {text} alone is {text} H: write {text}n for nanohenries, {text}u for microhenries"
        ));
    }
    Inductance::new(value).map_err(|error| format!("{name}: {error}"))
}

/// Metres; a unit is asked for, since nobody knows which is meant without one.
pub fn length(name: &str, given: &str) -> Result<Metres<f64>, String> {
    let wrong = format!("{name}: {given:?} is not a length with its unit (9mm, 1.5cm, 12m)");
    let text = given.trim();
    let bare = text.strip_suffix('m').ok_or_else(|| wrong.clone())?.trim_end();
    let (value, _) = prefixed(name, bare, &wrong)?;
    if value > 0.0 {
        Ok(Metres::new(value))
    } else {
        Err(format!("{name}: {given} must be greater than zero"))
    }
}

/// A whole number, both ends included.
pub fn whole(name: &str, given: &str, least: u16, most: u16) -> Result<u16, String> {
    match given.trim().parse::<u16>() {
        Ok(value) if (least..=most).contains(&value) => Ok(value),
        _ => Err(format!(
            "{name}: {given:?} is no whole number from {least} to {most}"
        )),
    }
}

/// Four digits that count and a prefix.
pub fn engineering(value: f64, unit: &str) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value} {unit}");
    }
    let prefixes = [
        (1e9, "G"),
        (1e6, "M"),
        (1e3, "k"),
        (1.0, ""),
        (1e-3, "m"),
        (1e-6, "µ"),
        (1e-9, "n"),
        (1e-12, "p"),
    ];
    let size = value.abs() * (1.0 + 1e-9);
    let (scale, prefix) = prefixes
        .into_iter()
        .find(|(scale, _)| size >= *scale)
        .unwrap_or((1e-15, "f"));
    let shown = value / scale;
    let decimals = match shown.abs() {
        size if size >= 999.95 => 0,
        size if size >= 99.995 => 1,
        size if size >= 9.9995 => 2,
        _ => 3,
    };
    format!("{} {prefix}{unit}", trimmed(shown, decimals))
}

pub fn henries(value: Inductance<f64>) -> String {
    engineering(value.get(), "H")
}

pub fn farads(value: Capacitance<f64>) -> String {
    engineering(value.get(), "F")
}
