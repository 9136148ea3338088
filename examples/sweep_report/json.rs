//! The report as one JSON object.

use ohmwright::measure::{Agreement, Cause, Direction, Method, Suspect};
use serde_json::{Map, Value, json};

use super::correction::Correction;
use super::figures::{AtTarget, Choice, DiagnosisFigures, Figures, Part, Point, PredictedFigures};
use super::options::{ReadingFigures, Readings};
use super::output::json_number as number;

/// The object for one sweep; for several, that of the last with all of them under `sweeps`.
pub fn document(reports: &[Figures], readings: Option<Readings>) -> String {
    let sweeps: Vec<Value> = reports.iter().map(sweep).collect();
    let mut document = match sweeps.last() {
        Some(Value::Object(last)) => last.clone(),
        _ => Map::new(),
    };
    if sweeps.len() > 1 {
        document.insert("comparison".into(), comparison(reports));
        document.insert("sweeps".into(), Value::Array(sweeps));
    }
    if let Some(readings) = readings {
        document.insert("readings".into(), agreement(&readings));
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
        "calibration": figures.correction.as_ref().map(calibration),
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
        "quality": quality(figures),
        "target": target(&figures.target),
        "mask": figures.mask.iter().map(|stretch| json!({
            "low_hz": stretch.low_hz,
            "high_hz": stretch.high_hz,
            "swr_limit": number(stretch.swr_limit),
            "covered": stretch.covered,
            "pass": stretch.pass,
            "worst_hz": stretch.worst.map(|(hertz, _)| hertz),
            "worst_swr": stretch.worst.map(|(_, swr)| number(swr)),
        })).collect::<Vec<_>>(),
        "advice": advice(figures),
        "predicted": figures.predicted.as_ref().map(predicted),
    });
    figures.line.json(&mut object);
    figures.told.json(&mut object);
    object
}

fn predicted(predicted: &PredictedFigures) -> Value {
    let explanations: Vec<Value> = predicted
        .explanations
        .iter()
        .map(|explanation| {
            let unit = match explanation.suspect {
                Suspect::Ratio => "times_impedance",
                Suspect::Leakage => "inductance_h",
                Suspect::LineLength => "electrical_length_m",
                _ => "change",
            };
            let mut object = json!({
                "parameter": explanation.suspect.to_string(),
                "residual": number(explanation.residual),
                "share_explained": number(explanation.share),
            });
            object[unit] = number(explanation.change);
            object
        })
        .collect();
    let best = predicted.explanations.first().filter(|_| predicted.explained);
    json!({
        "file": predicted.file,
        "points": predicted.points,
        "left_out": predicted.left_out,
        "largest_difference": number(predicted.largest),
        "largest_at_hz": predicted.largest_at_hz,
        "mean_difference": number(predicted.mean),
        "root_mean_square_difference": number(predicted.root_mean_square),
        "best_explanation": best.map(|best| best.suspect.to_string()),
        "explanations": explanations,
    })
}

fn calibration(correction: &Correction) -> Value {
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

/// How far the samples can be trusted.
fn quality(figures: &Figures) -> Value {
    let quality = &figures.quality;
    json!({
        "spoilt": quality.spoilt_hz.iter().map(|hertz| json!({ "frequency_hz": hertz })).collect::<Vec<_>>(),
        "spoilt_left_out": quality.spoilt_left_out,
        "beyond_rim": quality.beyond_rim,
        "unresolved": figures.unresolved().len(),
        "too_coarse": quality.is_too_coarse,
    })
}

fn dip(point: &Point) -> Value {
    json!({
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
    })
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
            "pass": false,
        }),
        AtTarget::Reading(point, pass) => json!({
            "frequency_hz": point.frequency_hz,
            "covered": true,
            "swr": number(point.swr),
            "return_loss_db": number(point.return_loss_db),
            "resistance_ohm": number(point.resistance_ohm),
            "reactance_ohm": number(point.reactance_ohm),
            "pass": pass,
            "method": method(point.method),
        }),
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
            json!({ "retune": retune, "diagnosis": diagnose(diagnosis), "magnitude_rule": rule(diagnosis) })
        }
        Err(cause) => {
            json!({ "retune": retune, "diagnosis": null, "magnitude_rule": null, "no_remedy": cause })
        }
    }
}

fn diagnose(diagnosis: &DiagnosisFigures) -> Value {
    json!({
        "frequency_hz": diagnosis.at_hz,
        "cause": match diagnosis.cause {
            Cause::Matched => "matched",
            Cause::Ratio => "ratio",
            Cause::Reactance => "reactance",
            Cause::RatioAndReactance => "ratio and reactance",
            _ => "other",
        },
        "reflected_share": number(diagnosis.share_now),
        "reflected_share_without_reactance": number(diagnosis.reflected_power_without_reactance),
        "reflected_share_with_ratio": number(diagnosis.reflected_power_with_ratio),
        "series_part": part(&diagnosis.as_it_is.series),
        "shunt_part": part(&diagnosis.as_it_is.shunt),
        "turns": choice(&diagnosis.turns_alone, None),
        "turns_and_series_part": choice(&diagnosis.turns_and_series, Some(&diagnosis.turns_and_series.series)),
        "turns_and_shunt_part": choice(&diagnosis.turns_and_shunt, Some(&diagnosis.turns_and_shunt.shunt)),
    })
}

fn part(part: &Part) -> Value {
    json!({
        "kind": if part.inductance_h.is_some() { "inductor" } else if part.capacitance_f.is_some() { "capacitor" } else { "none" },
        "value": part.inductance_h.or(part.capacitance_f),
        "reactance_ohm": number(part.reactance_ohm),
        "swr": number(part.swr),
    })
}

fn choice(choice: &Choice, with: Option<&Part>) -> Value {
    let mut object = json!({
        "primary_turns": choice.primary,
        "secondary_turns": choice.secondary,
        "swr": number(with.map_or(choice.swr, |part| part.swr)),
    });
    if let Some(with) = with {
        object["part"] = part(with);
    }
    object
}

fn rule(diagnosis: &DiagnosisFigures) -> Value {
    let rule = &diagnosis.rule;
    json!({
        "magnitude_ohm": number(rule.magnitude_ohm),
        "ratio": number(rule.ratio),
        "primary_turns": rule.primary,
        "secondary_turns": rule.secondary,
        "swr_promised": number(rule.swr_promised),
        "swr_true": number(rule.swr_true),
    })
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

fn agreement(readings: &Readings) -> Value {
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
