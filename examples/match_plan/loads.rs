//! The load at every frequency: one impedance and what it is made of, or a table.

use std::path::Path;

use ohmwright::quantity::{Hertz, Impedance};

use super::options::Options;

const HEADER: &str = "frequency_hz,resistance_ohm,reactance_ohm";

/// What is known of the load.
pub enum Load {
    /// R in series with what has X at a frequency.
    Series { r: f64, x: f64, at_hz: u64 },
    /// Rows of frequency, R and X, rising.
    Table {
        name: String,
        rows: Vec<(u64, f64, f64)>,
    },
}

impl Load {
    pub fn from_options(options: &Options) -> Result<Self, String> {
        if let Some(path) = &options.loads {
            return Self::read(path);
        }
        let (r, x) = options.load.unwrap_or((f64::NAN, f64::NAN));
        Ok(Self::Series {
            r,
            x,
            at_hz: options.frequency_hz,
        })
    }

    fn read(path: &Path) -> Result<Self, String> {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path).map_err(|error| format!("{name}: {error}"))?;
        let mut rows: Vec<(u64, f64, f64)> = Vec::new();
        let mut lines = text.lines().enumerate();
        match lines.next() {
            Some((_, first)) if first.trim_start_matches('\u{feff}').trim() == HEADER => {}
            _ => return Err(format!("{name}:1: the header is not {HEADER}")),
        }
        for (place, line) in lines {
            let wrong = |cause: &str| format!("{name}:{}: {cause}", place + 1);
            if line.trim().is_empty() {
                continue;
            }
            let fields: Vec<&str> = line.split(',').map(str::trim).collect();
            let [frequency, r, x] = fields[..] else {
                return Err(wrong(&format!("{} fields where 3 are due", fields.len())));
            };
            let number = |text: &str, what: &str| match text.parse::<f64>() {
                Ok(value) if value.is_finite() => Ok(value),
                _ => Err(wrong(&format!("{what}: {text:?} is not a number"))),
            };
            let hertz = number(frequency, "frequency_hz")?;
            if !(0.5..1e15).contains(&hertz) {
                return Err(wrong("frequency_hz must be greater than zero"));
            }
            let row = (
                hertz.round() as u64,
                number(r, "resistance_ohm")?,
                number(x, "reactance_ohm")?,
            );
            if row.1 <= 0.0 {
                return Err(wrong("resistance_ohm must be greater than zero"));
            }
            if rows.last().is_some_and(|last| last.0 >= row.0) {
                return Err(wrong("the frequencies do not rise"));
            }
            rows.push(row);
        }
        if rows.is_empty() {
            return Err(format!("{name}:1: no rows below the header"));
        }
        Ok(Self::Table { name, rows })
    }

    /// R + jX at a frequency, `None` where the table does not reach.
    pub fn at(&self, frequency: Hertz) -> Option<Impedance<f64>> {
        let hertz = frequency.get();
        match self {
            Self::Series { r, x, at_hz } => {
                let ratio = hertz as f64 / *at_hz as f64;
                let x = if *x > 0.0 { x * ratio } else { x / ratio };
                Impedance::new(*r, x).ok()
            }
            Self::Table { rows, .. } => {
                let behind = rows.partition_point(|row| row.0 < hertz);
                let above = rows.get(behind)?;
                if above.0 == hertz {
                    return Impedance::new(above.1, above.2).ok();
                }
                let below = rows.get(behind.checked_sub(1)?)?;
                let share = (hertz - below.0) as f64 / (above.0 - below.0) as f64;
                let between = |a: f64, b: f64| a + (b - a) * share;
                Impedance::new(between(below.1, above.1), between(below.2, above.2)).ok()
            }
        }
    }

    /// How the load is taken away from the frequency of the match.
    pub fn model(&self) -> String {
        match self {
            Self::Series { x, .. } if *x > 0.0 => "resistance in series with a coil".into(),
            Self::Series { x, .. } if *x < 0.0 => "resistance in series with a capacitor".into(),
            Self::Series { .. } => "resistance".into(),
            Self::Table { name, .. } => format!("table {name}"),
        }
    }

    /// Where it is known, if not everywhere.
    pub fn reach(&self) -> Option<(u64, u64)> {
        match self {
            Self::Series { .. } => None,
            Self::Table { rows, .. } => Some((rows.first()?.0, rows.last()?.0)),
        }
    }
}
