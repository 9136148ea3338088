//! Readings by eye: what each stands for, and whether they belong together.

use ohmwright::measure::{Agreement, Printed, Reading, compare_readings, reactance_beside, swr_interval};
use ohmwright::quantity::Reference;
use serde_json::{Value, json};

use super::input;
use super::options::Options;
use super::output::{json_number as number, plain_number, visible};
use super::page::{Page, ohm};

/// The readings given, and what they come to.
pub struct Readings {
    pub list: Vec<ReadingFigures>,
    pub agreement: Agreement,
    /// |X| in ohms that an SWR and a series resistance leave, where these two were read and it exists.
    pub reactance_ohm: Option<f64>,
}

/// One reading.
pub struct ReadingFigures {
    /// As written.
    pub name: String,
    /// The SWRs that round to it; infinite without an upper limit.
    pub swr: (f64, f64),
    /// A return loss was written with a minus sign.
    pub sign_left_out: bool,
}

/// What `--reading` was given.
pub fn parse(given: &str) -> Result<Reading, String> {
    let wrong = |cause: &dyn std::fmt::Display| format!("--reading: {given:?}: {cause}");
    let (name, value) = given.split_once('=').ok_or_else(|| wrong(&"is not NAME=VALUE"))?;
    let printed = |text: &str| Printed::parse(text.trim()).map_err(|error| wrong(&error));
    let pair = || -> Result<(Printed, Printed), String> {
        let (first, second) = value
            .split_once(',')
            .ok_or_else(|| wrong(&"needs two values, A,B"))?;
        Ok((printed(first)?, printed(second)?))
    };
    Ok(match name {
        "swr" => Reading::Swr(printed(value)?),
        "return-loss" => Reading::ReturnLoss(printed(value)?),
        "mismatch-loss" => Reading::MismatchLoss(printed(value)?),
        "reflected-percent" => Reading::ReflectedPercent(printed(value)?),
        "magnitude" => Reading::Magnitude(printed(value)?),
        "impedance-magnitude" => Reading::ImpedanceMagnitude(printed(value)?),
        "resistance" => Reading::Resistive(printed(value)?),
        "series-resistance" => Reading::SeriesResistance(printed(value)?),
        "impedance" => {
            let (resistance, reactance) =
                input::impedance("", value).map_err(|_| wrong(&"is not R,X or R+jX"))?;
            Reading::Impedance {
                resistance: printed(&resistance)?,
                reactance: printed(&reactance)?,
            }
        }
        "powers" => {
            let (forward, reflected) = pair()?;
            Reading::Powers { forward, reflected }
        }
        _ => return Err(wrong(&"is no reading; --help lists them")),
    })
}

impl Options {
    /// Whether the readings given belong together; `None` where there are none.
    pub fn agreement(&self) -> Result<Option<Readings>, String> {
        if self.readings.is_empty() {
            return Ok(None);
        }
        let ohms = self.reference_ohm.unwrap_or(50.0);
        let reference = Reference::<f64>::new(ohms)
            .map_err(|error| format!("--reference: {}: {error}", plain_number(ohms)))?;
        let readings: Vec<Reading> = self.readings.iter().map(|(_, reading)| *reading).collect();
        let mut list = Vec::new();
        for (name, reading) in &self.readings {
            let (low, high) =
                swr_interval(reading, reference).map_err(|error| format!("--reading: {name:?}: {error}"))?;
            list.push(ReadingFigures {
                name: name.clone(),
                swr: (low.get(), high.get()),
                sign_left_out: matches!(reading, Reading::ReturnLoss(printed) if value(printed) < 0.0),
            });
        }
        let agreement =
            compare_readings(&readings, reference).map_err(|error| format!("--reading: {error}"))?;
        let swr = readings.iter().find_map(|reading| match reading {
            Reading::Swr(printed) => Some(value(printed)),
            _ => None,
        });
        let resistance = readings.iter().find_map(|reading| match reading {
            Reading::SeriesResistance(printed) => Some(value(printed)),
            _ => None,
        });
        let reactance_ohm = swr
            .zip(resistance)
            .and_then(|(swr, resistance)| reactance_beside(swr, resistance, reference))
            .map(|reactance| reactance.get());
        Ok(Some(Readings {
            list,
            agreement,
            reactance_ohm,
        }))
    }
}

/// The middle of what a printed number stands for.
fn value(printed: &Printed) -> f64 {
    // It was parsed from such a text.
    printed.to_string().parse().unwrap_or(f64::NAN)
}

impl Page {
    pub fn readings(&mut self, readings: &Readings) {
        let name = |place: usize| readings.list.get(place).map_or("", |reading| reading.name.trim());
        let text = match readings.agreement {
            Agreement::Consistent => "they may all belong to one load.".to_string(),
            Agreement::Undecided if readings.list.len() == 1 => {
                "one alone, with nothing to hold it against.".to_string()
            }
            Agreement::Undecided => {
                "nothing speaks against them, but nothing confirms them either; neither |Z| nor R tells an SWR alone."
                    .to_string()
            }
            Agreement::Contradictory { first, second } => format!(
                "THEY DISAGREE: {} and {} cannot both be right, however they were rounded.",
                visible(name(first)),
                visible(name(second))
            ),
            Agreement::ContradictoryTogether => {
                "THEY DISAGREE: each two may be right, but no load gives all of them, however they were rounded."
                    .to_string()
            }
        };
        self.paragraph("Readings", &text);
        for reading in &readings.list {
            let (low, high) = reading.swr;
            let allowed = if high.is_infinite() {
                format!("SWR {low:.2} or more")
            } else {
                format!("SWR {low:.2} to {high:.2}")
            };
            let sign = if reading.sign_left_out {
                "; its minus sign is left out: a return loss is positive, the reflection in dB is not"
            } else {
                ""
            };
            self.paragraph(
                " ",
                &format!("{} stands for {allowed}{sign}.", visible(reading.name.trim())),
            );
        }
        if let Some(reactance) = readings.reactance_ohm {
            let text = format!(
                "This SWR with this series resistance means a reactance of ±{}.",
                ohm(reactance)
            );
            self.paragraph(" ", &text);
        }
        self.text.push('\n');
    }
}

pub fn json(readings: &Readings) -> Value {
    let name = |place: usize| readings.list.get(place).map(|reading| reading.name.as_str());
    let mut object = match readings.agreement {
        Agreement::Consistent => json!({ "agreement": "consistent" }),
        Agreement::Undecided => json!({ "agreement": "undecided" }),
        Agreement::Contradictory { first, second } => {
            json!({ "agreement": "contradictory", "first": name(first), "second": name(second) })
        }
        Agreement::ContradictoryTogether => json!({ "agreement": "contradictory together" }),
    };
    object["reactance_ohm"] = readings.reactance_ohm.map_or(Value::Null, number);
    let row = |reading: &ReadingFigures| {
        json!({
            "reading": reading.name,
            "swr_low": number(reading.swr.0),
            "swr_high": number(reading.swr.1),
            "sign_left_out": reading.sign_left_out,
        })
    };
    object["list"] = readings.list.iter().map(row).collect();
    object
}
