//! The runs as one JSON object.

use serde_json::{Value, json};

use super::options::Options;
use super::runs::Run;

pub fn document(runs: &[Run], options: &Options) -> String {
    let document = json!({
        "arithmetic": options.numbers.name(),
        "sensor": options.sensor_name(),
        "value_error": options.value_error,
        "noise": options.noise,
        "runs": runs.iter().map(run).collect::<Vec<_>>(),
    });
    format!("{document:#}\n")
}

/// A number, or null where it is infinite.
fn number(value: f64) -> Value {
    serde_json::Number::from_f64(value).map_or(Value::Null, Value::Number)
}

fn run(run: &Run) -> Value {
    json!({
        "frequency_hz": run.frequency_hz,
        "resistance_ohm": number(run.resistance_ohm),
        "reactance_ohm": number(run.reactance_ohm),
        "swr_before": number(run.swr_before),
        "swr_after": number(run.swr_after),
        "swr_optimum": number(run.swr_optimum),
        "readings": run.readings,
        "switch_operations": run.switch_operations,
        "outcome": run.outcome,
    })
}
