//! The plans as one JSON object.

use ohmwright::design::ladder::{Element, PartKind, PartLoss, Stress, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::design::matching::MatchPlan;
use ohmwright::quantity::Reactor;
use serde_json::{Value, json};

use super::loads::Load;
use super::options::Options;
use super::output::json_number as number;
use super::prose;
use super::work::Design;

pub fn document(options: &Options, load: &Load, design: &Design) -> String {
    let rule = &design.rule;
    let plans: Vec<Value> = design
        .shown(options)
        .iter()
        .map(|plan| self::plan(options, design, plan))
        .collect();
    let document = json!({
        "frequency_hz": options.frequency_hz,
        "low_hz": design.low_hz(),
        "high_hz": design.high_hz(),
        "source_ohm": options.source_ohm,
        "power_w": options.power_w,
        "swr_limit": options.swr_limit,
        "tolerance_percent": options.tolerance() * 100.0,
        "load": {
            "resistance_ohm": design.load.resistance(),
            "reactance_ohm": design.load.reactance(),
            "model": load.model(),
            "q": design.plans.load_q().map(|q| number(q.get())),
        },
        "limit": {
            "worst_swr": design.plans.least_worst_swr().map(|swr| number(swr.get())),
            "bandwidth_hz": design.plans.widest_band().map(|width| number(width * design.middle_hz())),
        },
        "magnitude_rule": {
            "ratio": number(rule.impedance_ratio.get()),
            "primary_turns": rule.turns.primary(),
            "secondary_turns": rule.turns.secondary(),
            "swr_promised": number(rule.swr_promised.get()),
            "swr_true": number(rule.reflection.swr().get()),
        },
        "looked_at": design.plans.looked_at(),
        "plans": plans,
    });
    format!("{document:#}\n")
}

fn plan(options: &Options, design: &Design, plan: &MatchPlan<f64>) -> Value {
    let stresses = design.stresses(options, plan);
    let elements: Vec<Value> = plan
        .ladder
        .elements()
        .iter()
        .zip(&stresses)
        .map(|(element, stress)| self::element(design, element, stress))
        .collect();
    let edges = plan.band.map(|band| {
        json!({
            "low_hz": band.low.get(),
            "high_hz": band.high.get(),
            "low_open": band.low_open,
            "high_open": band.high_open,
        })
    });
    json!({
        "name": prose::name(plan),
        "elements": elements,
        "swr": number(plan.swr().get()),
        "return_loss_db": number(plan.reflection.return_loss().get()),
        "bandwidth_hz": plan.band.map_or(0, |band| band.width().get()),
        "band": edges,
        "worst_swr": number(plan.worst_swr.get()),
        "loss_db": number(plan.loss.get()),
        "beyond_rating": plan.is_overstressed,
        "buildable": plan.is_buildable,
        "limit_kept": plan.limit_kept.to_string(),
        "cost_db": number(plan.cost.get()),
        "harmonics_db": plan.harmonics.map(|decibels| number(decibels.get())),
        "passes_dc": plan.passes_dc,
        "grounds_load": plan.grounds_load,
    })
}

fn element(design: &Design, element: &Element<f64>, stress: &Stress<f64>) -> Value {
    let mut object = match element {
        Element::Transformer(turns) => json!({
            "place": "transformer",
            "primary_turns": turns.primary(),
            "secondary_turns": turns.secondary(),
        }),
        Element::Line(line) => {
            let mut object = self::line(design, line);
            object["place"] = "line".into();
            object
        }
        Element::Series(part) | Element::Shunt(part) => {
            let mut object = match part.kind() {
                PartKind::Resistor(resistance) => json!({ "kind": "resistor", "value": resistance }),
                PartKind::Reactor(reactor, loss) => {
                    let (kind, value) = match reactor {
                        Reactor::Inductor(inductance) => ("inductor", inductance.get()),
                        Reactor::Capacitor(capacitance) => ("capacitor", capacitance.get()),
                    };
                    let resistance = match loss {
                        PartLoss::None => 0.0,
                        PartLoss::SeriesResistance(resistance) => resistance.get(),
                        PartLoss::Q(q) => {
                            (reactor.reactance(design.settings.frequency).abs() / q.get()).get()
                        }
                    };
                    json!({ "kind": kind, "value": value, "series_resistance_ohm": resistance })
                }
                PartKind::Stub(line, end) => {
                    let mut object = self::line(design, &line);
                    object["kind"] = match end {
                        StubEnd::Open => "open_stub".into(),
                        StubEnd::Shorted => "shorted_stub".into(),
                    };
                    object
                }
            };
            let place = if matches!(element, Element::Series(_)) {
                "series"
            } else {
                "shunt"
            };
            object["place"] = place.into();
            object
        }
    };
    object["stress"] = json!({
        "volts_peak": number(stress.volts_peak.get()),
        "amperes_peak": number(stress.amperes_peak.get()),
        "watts": number(stress.watts.get()),
    });
    object["beyond_rating"] = design.settings.is_beyond_rating(element, stress).into();
    object
}

fn line(design: &Design, line: &Line<f64>) -> Value {
    json!({
        "impedance_ohm": line.impedance(),
        "length_m": line.length(),
        "velocity_factor": line.velocity_factor(),
        "matched_loss_db": line.matched_loss(design.settings.frequency),
    })
}
