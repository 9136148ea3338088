//! A line: how long, how many wavelengths, what it loses and what it shows.

use ohmwright::design::line::Line;
use ohmwright::quantity::{QuantityError, Reference, VelocityFactor};

use super::answer::Answer;
use super::input;
use super::options::Given;
use super::output::{swr, trimmed};
use super::units;

pub fn line(given: &Given) -> Result<Answer, String> {
    let impedance = given.required("--impedance", input::positive)?;
    let velocity = if given.has("--permittivity") {
        let permittivity = given.required("--permittivity", input::positive)?;
        VelocityFactor::<f64>::from_permittivity(permittivity)
            .map_err(|error| format!("--permittivity: {error}"))?
    } else {
        VelocityFactor::new(given.required("--velocity", |name, text| input::within(name, text, 1e-3, 1.0))?)
    };
    let frequency = given.required("--frequency", units::frequency)?;
    let wrong = |error: QuantityError| format!("line: {error}");
    let mut line = if given.has("--wavelengths") {
        let wavelengths = given.required("--wavelengths", input::positive)?;
        Line::<f64>::of_wavelengths(impedance, velocity, wavelengths, frequency)
            .map_err(|error| format!("--wavelengths: {error}"))?
    } else {
        let length = given.required("--length", units::length)?;
        Line::new(impedance, velocity, length).map_err(wrong)?
    };
    if let Some(loss) = given.optional("--loss", |name, text| input::within(name, text, 0.0, 1e6))? {
        let at = given
            .optional("--loss-at", units::frequency)?
            .unwrap_or(frequency);
        line = line
            .with_loss(loss, at)
            .map_err(|error| format!("--loss: {error}"))?;
    }
    let mut answer = Answer::default();
    let length = line.length().get();
    let turns = line.wavelengths(frequency).get();
    let matched = line.matched_loss(frequency).get();
    answer.number("frequency_hz", frequency.get() as f64);
    answer.number("impedance_ohm", impedance);
    answer.figure(
        "velocity factor",
        trimmed(velocity.get(), 4),
        "velocity_factor",
        velocity.get(),
    );
    answer.figure("length", units::engineering(length, "m"), "length_m", length);
    answer.figure(
        "wavelengths",
        format!("{}, {} degrees", trimmed(turns, 4), trimmed(turns * 360.0, 1)),
        "wavelengths",
        turns,
    );
    answer.figure(
        "matched loss",
        format!("{} dB", trimmed(matched, 3)),
        "matched_loss_db",
        matched,
    );
    if let Some(load) = given.load()? {
        let reference = Reference::new(impedance).map_err(|error| format!("--impedance: {error}"))?;
        let at_load = load.reflection(reference);
        let at_input = line.reflection_at_input(at_load, frequency);
        let seen = line.input_impedance(load, frequency);
        let total = line.loss(at_load, frequency).get();
        let sign = if seen.reactance() < 0.0 { '-' } else { '+' };
        answer.line(
            "shown at its input",
            format!(
                "{} {sign} j{} ohm",
                trimmed(seen.resistance().get(), 3),
                trimmed(seen.reactance().abs().get(), 3)
            ),
        );
        answer.number("input_resistance_ohm", seen.resistance().get());
        answer.number("input_reactance_ohm", seen.reactance().get());
        answer.figure(
            "SWR at the load",
            swr(at_load.swr().get()),
            "swr_at_load",
            at_load.swr().get(),
        );
        answer.figure(
            "SWR at the input",
            swr(at_input.swr().get()),
            "swr_at_input",
            at_input.swr().get(),
        );
        let text = if total.is_infinite() {
            "no power arrives".into()
        } else {
            format!("{} dB", trimmed(total, 3))
        };
        answer.figure("loss with this load", text, "loss_db", total);
        if matched > 0.0 {
            answer.note("A line with loss shows a better SWR at its input than there is at the load.");
        }
    }
    Ok(answer)
}
