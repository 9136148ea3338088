//! What the command line may say.

use std::ffi::OsString;
use std::path::PathBuf;

use lexopt::prelude::*;
use ohmwright::control::mock::BenchSensor;

use super::input::{file, plain, text};
use super::numbers::Numbers;

pub const HELP: &str = "\
Drives the tuner's controller against a simulated bank, load after load, and holds each end against the best that the
bank could have done. Without a file it tunes the antennas of the demo scenario.

    tuner_bench [options]

  --loads FILE        loads to tune, comma separated, with the header frequency_hz,resistance_ohm,reactance_ohm
  --sensor NAME       vector (magnitude and phase, unless said otherwise) or scalar (SWR alone)
  --arithmetic NAME   fixed32, fixed16, f32 or f64: the numbers the controller computes in (fixed32 unless given)
  --value-error PART  how far the true values of the bank are off at most, 0 to 0.5 (0.05 unless given)
  --noise PART        standard deviation of the sensor as a part of its reading, 0.0001 to 0.5 (0.01 unless given)
  --seed N            which errors and which noise (1 unless given)
  --json              one JSON object: frequencies in hertz, impedances in ohms, null where a value is infinite
  --help              this text

The simulated bank has eight coils and eight capacitors, each twice the one before, the capacitors at either end: from
50 nH and 10 pF up to 32 MHz, from 4 nH and 0.8 pF above. Every run is of its own: nothing is remembered.

A tuner carries high radio-frequency voltage even at low power: never touch or switch it under power. Transmit only where
you are licensed to; listen first, tune at low power. Local rules and licensed practice come first.

Exit status 0, or 1 with one line on standard error that names file, line and cause.
";

/// What was asked for.
pub enum Request {
    Help,
    Bench(Options),
}

pub struct Options {
    pub loads: Option<PathBuf>,
    pub sensor: BenchSensor,
    pub numbers: Numbers,
    pub value_error: f64,
    pub noise: f64,
    pub seed: u32,
    pub json: bool,
}

impl Options {
    pub fn sensor_name(&self) -> &'static str {
        match self.sensor {
            BenchSensor::Vector => "vector",
            BenchSensor::Scalar => "scalar",
        }
    }
}

pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Request, String> {
    let mut options = Options {
        loads: None,
        sensor: BenchSensor::Vector,
        numbers: Numbers::Fixed32,
        value_error: 0.05,
        noise: 0.01,
        seed: 1,
        json: false,
    };
    let mut parser = lexopt::Parser::from_iter(arguments);
    while let Some(argument) = parser.next().map_err(plain)? {
        match argument {
            Short('h') | Long("help") => return Ok(Request::Help),
            Long("json") => options.json = true,
            Long("loads") => options.loads = Some(file(&mut parser)?),
            Long("sensor") => {
                options.sensor = match text(&mut parser)?.as_str() {
                    "vector" => BenchSensor::Vector,
                    "scalar" => BenchSensor::Scalar,
                    other => return Err(format!("--sensor: {other:?} is none of vector, scalar")),
                }
            }
            Long("arithmetic") => options.numbers = Numbers::parse(&text(&mut parser)?)?,
            Long("value-error") => options.value_error = part("--value-error", &text(&mut parser)?, 0.0)?,
            // The controller is told of it, and does not believe in a sensor without any.
            Long("noise") => options.noise = part("--noise", &text(&mut parser)?, 0.0001)?,
            Long("seed") => {
                let given = text(&mut parser)?;
                options.seed = given
                    .parse()
                    .map_err(|_| format!("--seed: {given:?} is no whole number below 2^32"))?;
            }
            other => return Err(plain(other.unexpected())),
        }
    }
    Ok(Request::Bench(options))
}

fn part(name: &str, given: &str, least: f64) -> Result<f64, String> {
    match given.parse::<f64>() {
        Ok(value) if (least..=0.5).contains(&value) => Ok(value),
        _ => Err(format!("{name}: {given:?} is no number from {least} to 0.5")),
    }
}
