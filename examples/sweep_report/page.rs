//! The page that the report is written on: labelled paragraphs, terms explained once, and figures as people read them.

use std::collections::BTreeSet;

use super::figures::Point;
use super::output::{self, visible};

/// Where the sentences begin, behind the label.
const INDENT: usize = 16;

/// Of dips, bands and crossings; more would hide the rest.
pub const SHOWN: usize = 6;

/// The page so far, and the terms that were explained on it.
pub struct Page {
    pub text: String,
    /// Whether terms are explained.
    explains: bool,
    explained: BTreeSet<&'static str>,
}

impl Page {
    pub fn new(explains: bool) -> Self {
        Self {
            text: String::new(),
            explains,
            explained: BTreeSet::new(),
        }
    }

    /// A labelled paragraph, broken at the width.
    pub fn paragraph(&mut self, label: &str, text: &str) {
        let indent = if label.is_empty() { 0 } else { INDENT };
        output::paragraph(&mut self.text, indent, label, &glued(text));
    }

    /// The explanation of a term the first time, nothing afterwards, and nowhere unless it is asked for.
    pub fn explain(&mut self, term: &'static str, meaning: &str) -> String {
        if self.explains && self.explained.insert(term) {
            format!(" ({meaning})")
        } else {
            String::new()
        }
    }
}

/// A number stays with its unit, and a pair of turns together.
fn glued(text: &str) -> String {
    let glue = output::GLUE.to_string();
    let mut text = text.to_string();
    for one in [" : ", " %", " Hz", " kHz", " MHz", " GHz", " Ω", " dB", "SWR "] {
        text = text.replace(one, &one.replace(' ', &glue));
    }
    text
}

pub fn points(count: u32) -> String {
    if count == 1 {
        "1 point".into()
    } else {
        format!("{count} points")
    }
}

/// The file's name without its folder.
pub fn short(path: &str) -> String {
    visible(path.rsplit(['/', '\\']).next().unwrap_or(path))
}

pub fn decibels(value: f64) -> String {
    if value == f64::INFINITY {
        "without limit".into()
    } else if value < 0.0 {
        format!("{value:.1} dB, which is gain: more comes back than was sent")
    } else {
        format!("{value:.1} dB")
    }
}

pub fn ohm(value: f64) -> String {
    if value.is_infinite() {
        "an open".into()
    } else if value.abs() < 9.995 {
        format!("{value:.2} Ω")
    } else if value.abs() < 9999.5 {
        format!("{value:.1} Ω")
    } else {
        format!("{:.1} kΩ", value / 1e3)
    }
}

pub fn impedance(point: &Point) -> String {
    let (r, x) = (point.resistance_ohm, point.reactance_ohm);
    if r.is_infinite() || x.is_infinite() {
        return "an open".into();
    }
    let decimals = if r.abs().max(x.abs()) < 9.995 { 2 } else { 1 };
    let sign = if x < 0.0 { '−' } else { '+' };
    format!("{r:.decimals$} {sign} j{:.decimals$} Ω", x.abs())
}

/// Three digits and a prefix.
pub fn scaled(value: f64, unit: &str) -> String {
    let prefixes = [
        (1e-15, "f"),
        (1e-12, "p"),
        (1e-9, "n"),
        (1e-6, "µ"),
        (1e-3, "m"),
        (1.0, ""),
    ];
    let (scale, prefix) = prefixes
        .into_iter()
        .rev()
        .find(|(scale, _)| value >= 0.9995 * scale)
        .unwrap_or((1e-15, "f"));
    let number = value / scale;
    let decimals = match number {
        n if n < 9.995 => 2,
        n if n < 99.95 => 1,
        _ => 0,
    };
    format!("{number:.decimals$} {prefix}{unit}")
}
