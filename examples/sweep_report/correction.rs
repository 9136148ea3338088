//! The correction of raw sweeps by three standards, before anything is read off them.

use std::fmt::Display;
use std::path::PathBuf;

use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::measure::calibration::{CalibrationPoint, Kit, Recording, Role};
use ohmwright::quantity::{Decibels, Reference, Reflection};
use serde_json::{Value, json};

use super::input;
use super::output::json_number as number;
use super::page::{Page, decibels, short};
use super::sweep::Sweep;

/// The raw sweeps of open, short and load, on one grid.
pub struct Standards {
    sweeps: [Sweep; 3],
}

/// How a sweep was corrected, and how good the calibration looks by itself.
#[derive(Clone, Debug)]
pub struct Correction {
    /// Open, short, load.
    pub files: [String; 3],
    pub points: usize,
    /// The fixture before correction, where it is worst, in dB.
    pub directivity_db: f64,
    pub source_match_db: f64,
    pub least_loss_db: f64,
    pub most_loss_db: f64,
    /// How far the error terms lie from the lines between their neighbours: noise and curvature.
    pub unevenness: f64,
    /// The phase of the tracking, carried on to 0 Hz; `None` where that is too far a way.
    pub tracking_at_zero_deg: Option<f64>,
    pub suspects_exchange: bool,
}

impl Standards {
    pub fn read(files: &[PathBuf; 3]) -> Result<Self, String> {
        let read = |path: &PathBuf| Sweep::read(path, &input::name(path));
        let sweeps = [read(&files[0])?, read(&files[1])?, read(&files[2])?];
        let open = &sweeps[0];
        for (role, sweep) in Role::ALL.iter().zip(&sweeps).skip(1) {
            same_reference(sweep, open)?;
            let refused = |line: &u32, cause: &dyn Display| {
                Err(format!(
                    "{}: line {line}: {cause}; the grids do not match",
                    sweep.name
                ))
            };
            for ((line, found), (_, expected)) in sweep.points.iter().zip(&open.points) {
                if found.frequency != expected.frequency {
                    let cause = format!(
                        "the {role} was read at {} where the open was read at {}",
                        found.frequency, expected.frequency
                    );
                    return refused(line, &cause);
                }
            }
            if sweep.points.len() != open.points.len()
                && let Some((line, _)) = sweep.points.get(open.points.len()).or(sweep.points.last())
            {
                let cause = format!(
                    "the {role} was read at {} frequencies, the open at {}",
                    sweep.points.len(),
                    open.points.len()
                );
                return refused(line, &cause);
            }
        }
        Ok(Self { sweeps })
    }

    /// Every point of a raw sweep, corrected.
    pub fn correct<A: Arithmetic>(
        &self,
        sweep: &Sweep,
        numbers: &str,
    ) -> Result<(Vec<Reflection<A>>, Correction), String> {
        let open = &self.sweeps[0];
        same_reference(sweep, open)?;
        let word = |name: &str, line: u32, gamma: Reflection<f64>| {
            Reflection::<A>::try_from_f64(gamma.real().get(), gamma.imaginary().get())
                .map_err(|error| format!("{name}: line {line}: {error} in {numbers}"))
        };
        let mut buffer = vec![CalibrationPoint::<A>::EMPTY; open.points.len()];
        let mut recording = Recording::new(&mut buffer);
        for (role, standard) in Role::ALL.into_iter().zip(&self.sweeps) {
            for (line, record) in &standard.points {
                let raw = word(&standard.name, *line, record.reflection)?;
                recording
                    .push(role, record.frequency, raw)
                    .map_err(|error| format!("{}: line {line}: {error}", standard.name))?;
            }
        }
        let reference = Reference::try_from_f64(open.reference_ohm)
            .map_err(|error| format!("{}: line {}: {error}", open.name, open.reference_line))?;
        // The power of the source is not known here, nor does anything depend on it.
        let table = recording
            .solve(&Kit::IDEAL, reference, Decibels::<A>::ZERO)
            .map_err(|failure| {
                let line = failure
                    .frequency
                    .and_then(|frequency| {
                        open.points
                            .iter()
                            .find(|(_, record)| record.frequency == frequency)
                    })
                    .or(open.points.first())
                    .map_or(1, |(line, _)| *line);
                format!(
                    "{}: line {line}: {failure} (standards 1, 2, 3: open, short, load)",
                    open.name
                )
            })?;
        let mut corrector = table.corrector();
        let mut corrected = Vec::with_capacity(sweep.points.len());
        for (line, record) in &sweep.points {
            let refused = |cause: &dyn Display| format!("{}: line {line}: {cause}", sweep.name);
            // Nothing is interpolated that could have been measured.
            let known = table
                .points()
                .binary_search_by_key(&record.frequency, |point| point.frequency);
            if known.is_err() {
                return Err(refused(&format!(
                    "the standards were not read at {}; the grids do not match",
                    record.frequency
                )));
            }
            let raw = word(&sweep.name, *line, record.reflection)?;
            let gamma = corrector
                .checked_correct(record.frequency, raw)
                .map_err(|error| refused(&error))?;
            corrected.push(gamma);
        }
        let survey = table.survey();
        let value = |word: Decibels<A>| {
            if word == Decibels::<A>::MAX {
                f64::INFINITY
            } else {
                word.to_f64()
            }
        };
        let correction = Correction {
            files: self.sweeps.each_ref().map(|sweep| sweep.name.clone()),
            points: table.points().len(),
            directivity_db: value(survey.directivity),
            source_match_db: value(survey.source_match),
            least_loss_db: value(survey.least_loss),
            most_loss_db: value(survey.most_loss),
            unevenness: survey.unevenness.to_f64(),
            tracking_at_zero_deg: survey.tracking_at_zero.map(Quantity::to_f64),
            suspects_exchange: survey.suspects_exchange(),
        };
        Ok((corrected, correction))
    }
}

/// Γ of the one and the other mean the same.
fn same_reference(sweep: &Sweep, open: &Sweep) -> Result<(), String> {
    if sweep.reference_ohm == open.reference_ohm {
        Ok(())
    } else {
        Err(format!(
            "{}: line {}: refers to {} ohm, the open to {} ohm",
            sweep.name, sweep.reference_line, sweep.reference_ohm, open.reference_ohm
        ))
    }
}

impl Page {
    pub fn correction(&mut self, correction: &Correction) {
        let meaning = self.explain(
            "correction",
            "what the fixture leaks past the load, reflects back and loses on the way is found from the three, and taken \
             out of every reading",
        );
        let [open, short, load] = correction.files.each_ref().map(|file| short(file));
        let text = format!(
            "raw readings, corrected by {open}, {short} and {load}, taken for an ideal open, short and load{meaning}. \
             Before that the fixture had a directivity of {}, a source match of {} and a loss of {} to {}; its terms are \
             smooth to {:.1e} of a full reflection.",
            decibels(correction.directivity_db),
            decibels(correction.source_match_db),
            decibels(correction.least_loss_db),
            decibels(correction.most_loss_db),
            correction.unevenness,
        );
        self.paragraph("Corrected", &text);
        let doubt = if correction.suspects_exchange {
            "OPEN AND SHORT MAY BE EXCHANGED: carried on to 0 Hz, the wave comes back upside down. If the fixture does not \
             invert, every reflection has the wrong sign here."
        } else if correction.directivity_db < 10.0 {
            "the fixture leaks a third of what a full reflection is or more: small errors of the standards are large ones \
             of the load. Look for a loose connector."
        } else {
            return;
        };
        self.paragraph("Doubtful", doubt);
    }
}

pub fn json(correction: &Correction) -> Value {
    let [open, short, load] = &correction.files;
    json!({
        "open": open,
        "short": short,
        "load": load,
        "standards": "ideal",
        "points": correction.points,
        "directivity_db": number(correction.directivity_db),
        "source_match_db": number(correction.source_match_db),
        "least_loss_db": number(correction.least_loss_db),
        "most_loss_db": number(correction.most_loss_db),
        "unevenness": number(correction.unevenness),
        "tracking_at_zero_deg": correction.tracking_at_zero_deg,
        "exchange_suspected": correction.suspects_exchange,
    })
}
