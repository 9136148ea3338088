//! What a reading may stand for, by the noise of its sweep and by what the calibration left.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::calibration::Residual;
use ohmwright::measure::{Certainty, SweepQuality, Uncertainty};
use ohmwright::quantity::{Decibels, QuantityError, Reflection, Swr};
use serde_json::{Value, json};

use super::figures::{of_option, value};
use super::input::number;
use super::options::Options;
use super::output::{json_number, swr};

/// The residual directivity, source match and tracking of the instrument, in dB; infinite where one is not told.
#[derive(Clone, Copy, Debug)]
pub struct Left([f64; 3]);

impl Left {
    pub fn parse(given: &str) -> Result<Self, String> {
        let mut left = Self([f64::INFINITY; 3]);
        let parts: Vec<&str> = given.split(',').collect();
        if parts.len() > 3 {
            return Err(format!(
                "--residual: {given:?} is not DIRECTIVITY[,MATCH[,TRACKING]] in dB"
            ));
        }
        for (place, part) in left.0.iter_mut().zip(parts) {
            *place = match number("--residual", part)? {
                decibels if (0.0..=200.0).contains(&decibels) => decibels,
                _ => return Err(format!("--residual: {part} is not between 0 and 200 dB")),
            };
        }
        Ok(left)
    }

    fn words<A: Arithmetic>(self, options: &Options) -> Result<Residual<A>, String> {
        // Far below any noise.
        const NONE: f64 = 300.0;
        let word = |value: f64| {
            let told =
                |value| Decibels::<A>::try_from_f64(value).map_err(|error: QuantityError| error.of("dB"));
            of_option("--residual", options, value.min(NONE), told)
        };
        let [directivity, source, tracking] = self.0;
        Residual::from_decibels(word(directivity)?, word(source)?, word(tracking)?)
            .map_err(|error| format!("--residual: {error}"))
    }
}

/// What is to be said of this sweep's readings, with what the calibration left.
pub fn of_sweep<A: Arithmetic>(
    quality: SweepQuality<A>,
    options: &Options,
) -> Result<SweepQuality<A>, String> {
    let left = options.residual.map(|left| left.words(options)).transpose()?;
    Ok(quality.with_residual(left))
}

/// From the lowest to the highest SWR that a reading may stand for.
#[derive(Clone, Copy, Debug)]
pub struct Range {
    low: f64,
    high: f64,
    /// Whether it reaches over the limit.
    is_undecided: bool,
}

impl Range {
    pub fn new<A: Arithmetic>(uncertainty: &Uncertainty<A>, reading: Reflection<A>, limit: Swr<A>) -> Self {
        let told = uncertainty.swr(reading);
        Self {
            low: value(told.low),
            high: told.high.map_or(f64::INFINITY, value),
            is_undecided: uncertainty.judge(reading, limit) == Ok(Certainty::Undecided),
        }
    }

    /// ` (1.05 to 1.21 by the error of the readings)`; nothing where that is less than 2 % and the limit is not between.
    pub fn words(&self) -> String {
        if self.high < 1.02 * self.low && !self.is_undecided {
            return String::new();
        }
        let (low, high) = (swr(self.low), swr(self.high));
        let range = match self.high.is_infinite() {
            true => format!("{low} or more"),
            false => format!("{low} to {high}"),
        };
        let doubt = if self.is_undecided {
            ": the limit lies between"
        } else {
            ""
        };
        format!(" ({range} by the error of the readings{doubt})")
    }

    pub fn json(&self, object: &mut Value) {
        object["swr_low"] = json_number(self.low);
        object["swr_high"] = json_number(self.high);
        object["undecided"] = json!(self.is_undecided);
    }
}
