//! A Touchstone file in memory, with the line each point stood on.

use std::path::Path;

use ohmwright::measure::touchstone::{Reader, Record, lines};

use super::input;

pub struct Sweep {
    pub name: String,
    pub reference_ohm: f64,
    /// The line that says so, or the first of the data where none does.
    pub reference_line: u32,
    /// Line and record.
    pub points: Vec<(u32, Record)>,
    pub missing_end: bool,
}

impl Sweep {
    pub fn read(path: &Path, name: &str) -> Result<Self, String> {
        let bytes = input::read(path)?;
        let mut reader = Reader::new();
        let mut points = Vec::new();
        let mut reference_line = None;
        for line in lines(&bytes) {
            let before = reader.reference_ohm();
            let record = reader.line(line).map_err(|error| format!("{name}: {error}"))?;
            if record.is_none() && reader.reference_ohm() != before {
                reference_line = Some(reader.lines());
            }
            if let Some(record) = record {
                points.push((reader.lines(), record));
            }
        }
        let summary = reader.finish().map_err(|error| format!("{name}: {error}"))?;
        Ok(Self {
            name: name.to_string(),
            reference_ohm: summary.reference_ohm,
            reference_line: reference_line
                .or(points.first().map(|(line, _)| *line))
                .unwrap_or(1),
            points,
            missing_end: summary.warnings.missing_end,
        })
    }

    /// Γ at a frequency, real and imaginary part, in a straight line between the two nearest points; `None` beyond the
    /// ends. Against the reference of the file.
    pub fn at(&self, hertz: u64) -> Option<(f64, f64)> {
        let above = self
            .points
            .partition_point(|(_, record)| record.frequency.get() < hertz);
        let (_, upper) = self.points.get(above)?;
        let high = (upper.reflection.real().get(), upper.reflection.imaginary().get());
        if upper.frequency.get() == hertz {
            return Some(high);
        }
        let (_, lower) = self.points.get(above.checked_sub(1)?)?;
        let step = upper.frequency.get() - lower.frequency.get();
        let share = (hertz - lower.frequency.get()) as f64 / step as f64;
        let low = (lower.reflection.real().get(), lower.reflection.imaginary().get());
        Some((low.0 + share * (high.0 - low.0), low.1 + share * (high.1 - low.1)))
    }
}
