//! Stand-ins, turns for a load, and the balance of two outputs.

use ohmwright::design::load::{StandIn, StandInParts};
use ohmwright::design::transformer::{HalfTurnsRanking, MagnitudeRule, Remedy, TurnsRanking};
use ohmwright::measure::balance::{Balance, Phasor};
use ohmwright::quantity::{Impedance, Reflection};
use serde_json::{Value, json};

use super::answer::Answer;
use super::input;
use super::options::Given;
use super::output::{json_number, swr, trimmed};
use super::units;

fn ohm(value: f64) -> String {
    format!("{} ohm", trimmed(value, 3))
}

fn impedance(value: Impedance<f64>) -> String {
    let sign = if value.reactance() < 0.0 { '-' } else { '+' };
    format!(
        "{} {sign} j{} ohm",
        trimmed(value.resistance().get(), 3),
        trimmed(value.reactance().abs().get(), 3)
    )
}

pub fn stand_in(given: &Given) -> Result<Answer, String> {
    if given.has("--swr") {
        return for_swr(given);
    }
    let load = given
        .load()?
        .ok_or("--load: is missing: a load, or an SWR with --swr")?;
    let frequency = given.required("--frequency", units::frequency)?;
    let mut answer = Answer::default();
    answer.number("frequency_hz", frequency.get() as f64);
    let mut reference = None;
    for (label, key, found) in [
        ("in series", "series", StandIn::series(load, frequency)),
        ("in parallel", "parallel", StandIn::parallel(load, frequency)),
    ] {
        let found = match found {
            Ok(found) => found,
            Err(error) if key == "series" => return Err(format!("--load: {error}")),
            Err(_) => continue,
        };
        reference = reference.or(Some(found));
        let part = |r: f64, text: String, name: &str, value: f64| {
            (
                format!("{} and {text}", ohm(r)),
                json!({"resistance_ohm": json_number(r), name: json_number(value)}),
            )
        };
        let (text, object) = match found.parts() {
            StandInParts::Resistor(r) => (
                format!("{} alone", ohm(r.get())),
                json!({"resistance_ohm": json_number(r.get())}),
            ),
            StandInParts::ResistorAndCoil(r, l) | StandInParts::ResistorBesideCoil(r, l) => {
                part(r.get(), units::henries(l), "inductance_h", l.get())
            }
            StandInParts::ResistorAndCapacitor(r, c) | StandInParts::ResistorBesideCapacitor(r, c) => {
                part(r.get(), units::farads(c), "capacitance_f", c.get())
            }
            _ => continue,
        };
        answer.line(label, text);
        answer.value(key, object);
    }
    if let (Some(found), Some(leads)) = (reference, given.optional("--leads", units::inductance)?) {
        let effect = found.with_leads(leads);
        answer.line(
            "with its leads",
            format!(
                "{}, SWR {} for what matches the load",
                impedance(effect.seen),
                swr(effect.swr.get())
            ),
        );
        answer.value(
            "with_leads",
            json!({
                "lead_reactance_ohm": json_number(effect.lead_reactance.get()),
                "resistance_ohm": json_number(effect.seen.resistance().get()),
                "reactance_ohm": json_number(effect.seen.reactance().get()),
                "swr": json_number(effect.swr.get()),
                "swamped": effect.swamped,
            }),
        );
        if effect.swamped {
            answer.note("The leads have more than a tenth of the load's impedance: the stand-in shows its leads rather than the load.");
        }
    }
    answer.note(
        "Right at this frequency only, and for the power of its resistor: a chip bears a fraction of a watt.",
    );
    Ok(answer)
}

/// The resistances with an SWR, and where a potentiometer has them.
fn for_swr(given: &Given) -> Result<Answer, String> {
    let wanted = given.required("--swr", input::number)?;
    let (source, reference) = given.source()?;
    let gamma = Reflection::<f64>::from_swr(wanted).map_err(|error| format!("--swr: {error}"))?;
    let track = given.optional("--potentiometer", input::positive)?;
    let leads = given.optional("--leads", units::inductance)?;
    let frequency = given.frequency()?;
    let mut answer = Answer::default();
    answer.number("swr", wanted);
    answer.number("source_ohm", source);
    answer.figure(
        "return loss",
        format!("{} dB", trimmed(gamma.return_loss().get(), 2)),
        "return_loss_db",
        gamma.return_loss().get(),
    );
    let low = source / wanted;
    for (label, key, value) in [("below", "low", low), ("above", "high", source * wanted)] {
        let mut object = json!({"resistance_ohm": json_number(value)});
        let mut text = ohm(value);
        if let Some(track) = track {
            if value <= track {
                text += &format!(", at {} % of the track", trimmed(100.0 * value / track, 1));
                object["position"] = json_number(value / track);
            } else {
                text += &format!(", beyond a potentiometer of {}", ohm(track));
                object["position"] = Value::Null;
            }
        }
        if let (Some(leads), Some(frequency)) = (leads, frequency) {
            let z = Impedance::<f64>::new(value, leads.reactance(frequency))
                .map_err(|error| format!("--leads: {error}"))?;
            let seen = z.reflection(reference).swr().get();
            text += &format!(", SWR {} with its leads", swr(seen));
            object["swr_with_leads"] = json_number(seen);
        }
        answer.line(label, text);
        answer.value(key, object);
    }
    if leads.is_some() && frequency.is_none() {
        return Err("--frequency: is missing: leads have a reactance only at a frequency".into());
    }
    if track.is_some() {
        answer.note("Of a linear track, counted from the end that shorts it. Measure it with an ohmmeter before it goes in: tracks are off by a fifth. Carbon tracks do up to some ten megahertz, wire-wound ones not at radio frequency.");
    }
    Ok(answer)
}

pub fn turns(given: &Given) -> Result<Answer, String> {
    let load = given.load()?.ok_or("--load: is missing for this sum")?;
    let (source, reference) = given.source()?;
    let most = given
        .optional("--most-turns", |name, text| units::whole(name, text, 1, 60))?
        .unwrap_or(12) as u8;
    let frequency = given.frequency()?;
    let wrong = |error: ohmwright::design::transformer::TransformerError| format!("--load: {error}");
    let rule = MagnitudeRule::<f64>::apply(load, reference, most).map_err(wrong)?;
    let mut answer = Answer::default();
    answer.number("source_ohm", source);
    answer.figure(
        "|Z| of the load",
        ohm(rule.magnitude.get()),
        "magnitude_ohm",
        rule.magnitude.get(),
    );
    answer.figure(
        "ratio by the rule",
        format!(
            "{} in impedance, {} in turns",
            trimmed(rule.impedance_ratio.get(), 3),
            trimmed(rule.impedance_ratio.turns_ratio().get(), 3)
        ),
        "impedance_ratio",
        rule.impedance_ratio.get(),
    );
    answer.number("turns_ratio", rule.impedance_ratio.turns_ratio().get());
    answer.line(
        "turns by the rule",
        format!("{}: SWR {} promised", rule.turns, swr(rule.swr_promised.get())),
    );
    let truth = rule.reflection.swr().get();
    answer.line(
        "what is so",
        format!("{} seen at the source, SWR {}", impedance(rule.seen), swr(truth)),
    );
    answer.value(
        "rule",
        json!({
            "primary_turns": rule.turns.primary(),
            "secondary_turns": rule.turns.secondary(),
            "swr_promised": json_number(rule.swr_promised.get()),
            "swr": json_number(truth),
            "resistance_ohm": json_number(rule.seen.resistance().get()),
            "reactance_ohm": json_number(rule.seen.reactance().get()),
        }),
    );
    let halves = HalfTurnsRanking::<f64, 1>::new(load, reference, frequency, most, Remedy::TurnsAlone)
        .map_err(wrong)?;
    if let Some((turns, choice)) = halves.iter().next() {
        let seen = choice.reflection.swr().get();
        answer.line("best with half turns", format!("{turns}: SWR {}", swr(seen)));
        answer.value(
            "half_turns",
            json!({
                "primary_turns": f64::from(turns.primary_halves()) / 2.0,
                "secondary_turns": f64::from(turns.secondary_halves()) / 2.0,
                "swr": json_number(seen),
            }),
        );
    }
    for (remedy, label, key) in [
        (Remedy::TurnsAlone, "best turns alone", "turns_alone"),
        (Remedy::SeriesElement, "with a series part", "series_part"),
        (Remedy::ShuntElement, "with a part across", "shunt_part"),
    ] {
        let found = TurnsRanking::<f64, 1>::new(load, reference, frequency, most, remedy).map_err(wrong)?;
        let Some(choice) = found.as_slice().first() else {
            continue;
        };
        let seen = choice.swr(remedy).get();
        let mut text = format!("{}: SWR {}", choice.turns, swr(seen));
        let mut object = json!({
            "primary_turns": choice.turns.primary(),
            "secondary_turns": choice.turns.secondary(),
            "swr": json_number(seen),
        });
        let part = match remedy {
            Remedy::SeriesElement => Some(&choice.series),
            Remedy::ShuntElement => Some(&choice.shunt),
            _ => None,
        };
        if let Some(part) = part {
            let reactance = part.load_side_reactance.get();
            text += &format!(" with j{} ohm at the load", trimmed(reactance, 3));
            object["load_side_reactance_ohm"] = json_number(reactance);
        }
        answer.line(label, text);
        answer.value(key, object);
    }
    if truth > rule.swr_promised.get() * 1.1 {
        answer.note("The rule looks at the size of the load's impedance alone: its reactance is not matched by turns.");
    }
    Ok(answer)
}

/// Size and phase of an output.
fn phasor(name: &str, text: &str) -> Result<Phasor<f64>, String> {
    let (size, phase) = text
        .split_once(',')
        .ok_or_else(|| format!("{name}: {text:?} is not A,P: a size and a phase in degrees"))?;
    let (size, phase) = (input::number(name, size)?, input::number(name, phase)?);
    Phasor::polar(size, phase).map_err(|error| format!("{name}: {error}"))
}

pub fn balance(given: &Given) -> Result<Answer, String> {
    let (first, second) = (
        given.required("--first", phasor)?,
        given.required("--second", phasor)?,
    );
    let found = Balance::new(first, second).map_err(|error| format!("--first, --second: {error}"))?;
    let mut answer = Answer::default();
    let amplitude = found.amplitude_imbalance.get();
    answer.figure(
        "amplitude imbalance",
        format!("{} dB, the first above the second", trimmed(amplitude, 3)),
        "amplitude_imbalance_db",
        amplitude,
    );
    let phase = found.phase_imbalance.get();
    answer.figure(
        "phase imbalance",
        format!("{} degrees from opposite", trimmed(phase, 3)),
        "phase_imbalance_degrees",
        phase,
    );
    let rejection = found.common_mode_rejection.get();
    let text = if rejection.is_infinite() {
        "without limit".into()
    } else {
        format!("{} dB", trimmed(rejection, 2))
    };
    answer.figure(
        "common-mode rejection",
        text,
        "common_mode_rejection_db",
        rejection,
    );
    if rejection < 0.0 {
        answer.note("The two outputs are nearer to equal than to opposite: is one of them turned round?");
    }
    Ok(answer)
}
