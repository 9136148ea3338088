//! A Touchstone file in memory, with the line each point stood on.

use std::path::Path;

use ohmwright::measure::touchstone::{Reader, Record, lines};

pub struct Sweep {
    pub name: String,
    pub reference_ohm: f64,
    /// Line and record.
    pub points: Vec<(u32, Record)>,
    pub missing_end: bool,
}

impl Sweep {
    pub fn read(path: &Path, name: &str) -> Result<Self, String> {
        let bytes = std::fs::read(path).map_err(|error| format!("{name}: {error}"))?;
        let mut reader = Reader::new();
        let mut points = Vec::new();
        for line in lines(&bytes) {
            let record = reader.line(line).map_err(|error| format!("{name}: {error}"))?;
            if let Some(record) = record {
                points.push((reader.lines(), record));
            }
        }
        let summary = reader.finish().map_err(|error| format!("{name}: {error}"))?;
        Ok(Self {
            name: name.to_string(),
            reference_ohm: summary.reference_ohm,
            points,
            missing_end: summary.warnings.missing_end,
        })
    }
}
