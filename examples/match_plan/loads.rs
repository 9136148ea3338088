//! The load at every frequency: one impedance and what it is made of, or a table.

use std::path::Path;

use ohmwright::design::load::{Load as _, LoadTable};
use ohmwright::quantity::{Hertz, Impedance};

use super::input;
use super::options::Options;
use super::output::visible;

pub const NO_LOAD: &str = "--load: give the load as R,X, or a table with --loads";
const HEADER: &str = "frequency_hz,resistance_ohm,reactance_ohm";

/// What is known of the load.
pub enum Load {
    /// R in series with what has X at a frequency.
    Series { r: f64, x: f64, at_hz: u64 },
    /// Rows of a file.
    Table {
        name: String,
        rows: LoadTable<'static, f64>,
    },
}

impl Load {
    pub fn from_options(options: &Options) -> Result<Self, String> {
        if let Some(path) = &options.loads {
            return Self::read(path);
        }
        let (r, x) = options.load.ok_or(NO_LOAD)?;
        Ok(Self::Series {
            r,
            x,
            at_hz: options.frequency_hz,
        })
    }

    fn read(path: &Path) -> Result<Self, String> {
        let name = input::name(path);
        let text = input::read_text(path)?;
        let mut rows: Vec<(Hertz, Impedance<f64>)> = Vec::new();
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
            let frequency = Hertz::new(hertz.round() as u64);
            let (r, x) = (number(r, "resistance_ohm")?, number(x, "reactance_ohm")?);
            if r <= 0.0 {
                return Err(wrong("resistance_ohm must be greater than zero"));
            }
            if rows.last().is_some_and(|last| last.0 >= frequency) {
                return Err(wrong("the frequencies do not rise"));
            }
            let impedance = Impedance::new(r, x).map_err(|error| wrong(&error.to_string()))?;
            rows.push((frequency, impedance));
        }
        if rows.is_empty() {
            return Err(format!("{name}:1: no rows below the header"));
        }
        // Kept until the program ends.
        let rows = LoadTable::new(rows.leak()).map_err(|error| format!("{name}: {error}"))?;
        Ok(Self::Table { name, rows })
    }

    /// R + jX at a frequency, `None` where the table does not reach.
    pub fn at(&self, frequency: Hertz) -> Option<Impedance<f64>> {
        match self {
            Self::Series { r, x, at_hz } => {
                let ratio = frequency.get() as f64 / *at_hz as f64;
                let x = if *x > 0.0 { x * ratio } else { x / ratio };
                Impedance::new(*r, x).ok()
            }
            Self::Table { rows, .. } => rows.at(frequency).ok(),
        }
    }

    /// How the load is taken away from the frequency of the match.
    pub fn model(&self) -> String {
        match self {
            Self::Series { x, .. } if *x > 0.0 => "resistance in series with a coil".into(),
            Self::Series { x, .. } if *x < 0.0 => "resistance in series with a capacitor".into(),
            Self::Series { .. } => "resistance".into(),
            Self::Table { name, .. } => format!("table {}", visible(name)),
        }
    }

    /// Where it is known, if not everywhere.
    pub fn reach(&self) -> Option<(u64, u64)> {
        match self {
            Self::Series { .. } => None,
            Self::Table { rows, .. } => {
                let rows = rows.rows();
                Some((rows.first()?.0.get(), rows.last()?.0.get()))
            }
        }
    }
}
