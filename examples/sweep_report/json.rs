//! The report as one JSON object.

use ohmwright::measure::{Direction, Method};
use serde_json::{Map, Value, json};

use super::figures::{AtTarget, Figures, Point};
use super::output::json_number as number;
use super::readings::Readings;
use super::{correction, diagnosis, mask, predicted, quality, readings};

/// The object for one sweep; for several, that of the last with all of them under `sweeps`.
pub fn document(reports: &[Figures], agreement: Option<Readings>) -> String {
    let sweeps: Vec<Value> = reports.iter().map(sweep).collect();
    let mut document = match sweeps.last() {
        Some(Value::Object(last)) => last.clone(),
        _ => Map::new(),
    };
    if sweeps.len() > 1 {
        document.insert("comparison".into(), comparison(reports));
        document.insert("sweeps".into(), Value::Array(sweeps));
    }
    if let Some(agreement) = agreement {
        document.insert("readings".into(), readings::json(&agreement));
    }
    format!("{:#}\n", Value::Object(document))
}

fn sweep(figures: &Figures) -> Value {
    let mut object = json!({
        "file": figures.name,
        "points": figures.points,
        "start_hz": figures.start_hz,
        "stop_hz": figures.stop_hz,
        "reference_ohm": number(figures.reference_ohm),
        "arithmetic": figures.numbers.name(),
        "swr_limit": number(figures.swr_limit),
        "corrected": figures.correction.is_some(),
        "calibration": figures.correction.as_ref().map(correction::json),
        "best": dip(&figures.best),
        "dips": figures.dips.iter().map(dip).collect::<Vec<_>>(),
        "bands": figures.bands.iter().map(|band| json!({
            "low_hz": band.low.get(),
            "high_hz": band.high.get(),
            "low_open": band.low_open,
            "high_open": band.high_open,
        })).collect::<Vec<_>>(),
        "resonances": figures.resonances.iter().map(|crossing| json!({
            "frequency_hz": crossing.frequency_hz,
            "resistance_ohm": number(crossing.resistance_ohm),
            "slope": if crossing.rising { 1 } else { -1 },
            "q": number(crossing.q),
        })).collect::<Vec<_>>(),
        "left_out": figures.left_out,
        "quality": quality::json(figures),
        "target": target(&figures.target),
        "mask": mask::json(&figures.mask),
        "advice": advice(figures),
        "predicted": figures.predicted.as_ref().map(predicted::json),
    });
    figures.line.json(&mut object);
    figures.told.json(&mut object);
    object
}

fn dip(point: &Point) -> Value {
    let mut dip = json!({
        "frequency_hz": point.frequency_hz,
        "swr": number(point.swr),
        "return_loss_db": number(point.return_loss_db),
        "resistance_ohm": number(point.resistance_ohm),
        "reactance_ohm": number(point.reactance_ohm),
        "at_edge": point.at_edge,
        "method": method(point.method),
        "unresolved": point.unresolved.map(|limits| json!({
            "low_hz": limits.low_hz,
            "high_hz": limits.high_hz,
            "swr_at_most": number(limits.swr_at_most),
        })),
    });
    point.range.json(&mut dip);
    dip
}

fn method(method: Method) -> &'static str {
    match method {
        Method::NearestPoints => "nearest points",
        Method::ManyPoints => "many points",
        Method::Parabola => "parabola",
        Method::Line => "line",
        Method::Measured => "measured",
        Method::Flat => "flat",
        _ => "other",
    }
}

fn target(target: &AtTarget) -> Value {
    match target {
        AtTarget::NotAsked => Value::Null,
        AtTarget::NotCovered(hertz) => json!({
            "frequency_hz": hertz,
            "covered": false,
            "swr": null,
            "return_loss_db": null,
            "resistance_ohm": null,
            "reactance_ohm": null,
            "swr_low": null,
            "swr_high": null,
            "undecided": true,
            "pass": false,
        }),
        AtTarget::Reading(point, pass) => {
            let mut reading = json!({
            "frequency_hz": point.frequency_hz,
            "covered": true,
            "swr": number(point.swr),
            "return_loss_db": number(point.return_loss_db),
            "resistance_ohm": number(point.resistance_ohm),
            "reactance_ohm": number(point.reactance_ohm),
            "pass": pass,
            "method": method(point.method),
            });
            point.range.json(&mut reading);
            reading
        }
    }
}

fn advice(figures: &Figures) -> Value {
    let retune = figures.retune.as_ref().map(|retune| {
        json!({
            "element": retune.element.to_string(),
            "direction": match retune.direction {
                Direction::Less => "less",
                Direction::Keep => "keep",
                Direction::More => "more",
            },
            "factor": number(retune.factor),
            "dip_hz": retune.dip.frequency_hz,
            "swr_left": number(retune.dip.swr),
        })
    });
    match &figures.diagnosis {
        Ok(diagnosis) => {
            json!({ "next_step": figures.next.json(), "retune": retune, "diagnosis": diagnosis::json(diagnosis), "magnitude_rule": diagnosis::rule_json(diagnosis) })
        }
        Err(cause) => {
            json!({ "next_step": figures.next.json(), "retune": retune, "diagnosis": null, "magnitude_rule": null, "no_remedy": cause })
        }
    }
}

fn comparison(reports: &[Figures]) -> Value {
    let row = |figures: &Figures| {
        let at_target = match &figures.target {
            AtTarget::Reading(point, _) => number(point.swr),
            _ => Value::Null,
        };
        json!({
            "file": figures.name,
            "best_hz": figures.best.frequency_hz,
            "best_swr": number(figures.best.swr),
            "target_swr": at_target,
        })
    };
    Value::Array(reports.iter().map(row).collect())
}
