//! Coils in air, cores, and straight wires.

use ohmwright::design::winding::{
    AirCoil, CoilFormula, Conductor, InductanceFactor, RingCore, RoundWire, SineVoltage, peak_flux_density,
};
use ohmwright::quantity::{Hertz, Inductance, QuantityError};

use super::answer::Answer;
use super::input;
use super::options::Given;
use super::output::trimmed;
use super::units;

/// The inductance, and with a frequency its reactance.
fn inductance(answer: &mut Answer, value: Inductance<f64>, frequency: Option<Hertz>) {
    answer.figure("inductance", units::henries(value), "inductance_h", value.get());
    if let Some(frequency) = frequency {
        let reactance = value.reactance(frequency).get();
        answer.number("frequency_hz", frequency.get() as f64);
        answer.figure(
            "reactance",
            units::engineering(reactance, "ohm"),
            "reactance_ohm",
            reactance,
        );
    }
}

/// Either the turns or the inductance that is wanted.
fn either(given: &Given) -> Result<(), String> {
    match (given.has("--turns"), given.has("--inductance")) {
        (true, true) => Err("--inductance: either this or --turns, not both".into()),
        (false, false) => Err("--turns: is missing, or the inductance that is wanted: --inductance".into()),
        _ => Ok(()),
    }
}

pub fn coil(given: &Given) -> Result<Answer, String> {
    either(given)?;
    let diameter = given.required("--diameter", units::length)?;
    let length = given.required("--length", units::length)?;
    let frequency = given.frequency()?;
    let wrong = |error: QuantityError| format!("coil: {error}");
    let mut answer = Answer::default();
    let coil = match given.optional("--turns", input::positive)? {
        Some(turns) => AirCoil::new(turns, diameter, length).map_err(wrong)?,
        None => {
            let wanted = given.required("--inductance", units::inductance)?;
            let one = AirCoil::new(1.0, diameter, length).map_err(wrong)?;
            let turns = one
                .turns_for(wanted, CoilFormula::CurrentSheet)
                .map_err(|error| format!("--inductance: {error}"))?;
            AirCoil::new(turns, diameter, length).map_err(wrong)?
        }
    };
    answer.figure("turns", trimmed(coil.turns(), 2), "turns", coil.turns());
    answer.figure(
        "mean diameter",
        units::engineering(diameter.get(), "m"),
        "diameter_m",
        diameter.get(),
    );
    answer.figure(
        "length",
        units::engineering(length.get(), "m"),
        "length_m",
        length.get(),
    );
    inductance(&mut answer, coil.inductance(), frequency);
    answer.note("That of a current sheet. Gaps between round turns change it by a few per cent, and the leads add to it: about 1 nH each millimetre. Stretch or squeeze to the value.");
    Ok(answer)
}

pub fn core(given: &Given) -> Result<Answer, String> {
    either(given)?;
    let frequency = given.frequency()?;
    let mut answer = Answer::default();
    let (factor, area) = if given.has("--al") {
        let al = given.required("--al", units::inductance)?;
        let factor = InductanceFactor::new(al.get()).map_err(|error| format!("--al: {error}"))?;
        (
            factor,
            given.optional("--area", input::positive)?.map(|area| area * 1e-6),
        )
    } else {
        let outer = given.required("--outer", units::length)?;
        let inner = given.required("--inner", units::length)?;
        let height = given.required("--height", units::length)?;
        let ring = RingCore::<f64>::new(outer, inner, height).map_err(|error| format!("core: {error}"))?;
        let permeability = given.required("--permeability", input::positive)?;
        let factor = ring
            .inductance_factor(permeability)
            .map_err(|error| format!("--permeability: {error}"))?;
        let (length, area) = (ring.effective_length().get(), ring.effective_area());
        answer.figure(
            "effective length",
            units::engineering(length, "m"),
            "effective_length_m",
            length,
        );
        answer.figure(
            "effective area",
            format!("{} mm²", trimmed(area * 1e6, 3)),
            "effective_area_m2",
            area,
        );
        (factor, Some(area))
    };
    answer.figure(
        "inductance factor",
        format!("{} nH for each turn squared", trimmed(factor.nanohenries(), 2)),
        "inductance_factor_h",
        factor.henries(),
    );
    let turns = match given.optional("--turns", |name, text| units::whole(name, text, 1, u16::MAX))? {
        Some(turns) => turns,
        None => {
            let wanted = given.required("--inductance", units::inductance)?;
            let exact = factor.turns(wanted);
            answer.figure("turns, not rounded", trimmed(exact, 2), "turns_exact", exact);
            factor
                .whole_turns(wanted)
                .map_err(|error| format!("--inductance: {error}"))?
        }
    };
    answer.figure("turns", turns.to_string(), "turns", f64::from(turns));
    inductance(&mut answer, factor.inductance(turns), frequency);
    if let Some(power) = given.optional("--power", input::positive)? {
        let frequency = frequency.ok_or("--frequency: is missing: the flux of a power needs it")?;
        let area = area.ok_or("--area: is missing: the flux needs the area of the core")?;
        let (source, _) = given.source()?;
        let drive =
            SineVoltage::<f64>::of_power(power, source).map_err(|error| format!("--power: {error}"))?;
        let flux =
            peak_flux_density(drive, frequency, turns, area).map_err(|error| format!("--power: {error}"))?;
        answer.figure(
            "voltage",
            format!("{}, RMS", units::engineering(drive.rms().get(), "V")),
            "voltage_rms_v",
            drive.rms().get(),
        );
        answer.figure(
            "peak flux density",
            units::engineering(flux.tesla(), "T"),
            "peak_flux_density_t",
            flux.tesla(),
        );
        answer.note("Keep a ferrite far below its saturation at radio frequency: it heats long before that, and a hot core loses permeability and heats more.");
    }
    answer.note("Every pass through the hole is a turn. Permeability differs by a fifth from ring to ring, and falls with frequency.");
    Ok(answer)
}

pub fn wire(given: &Given) -> Result<Answer, String> {
    let wire = if given.has("--gauge") {
        let gauge = given.required("--gauge", |name, text| match text.trim().parse::<i8>() {
            Ok(gauge) => Ok(gauge),
            Err(_) => Err(format!("{name}: {text:?} is no gauge")),
        })?;
        RoundWire::<f64>::of_gauge(gauge).map_err(|error| format!("--gauge: {error}"))?
    } else {
        let diameter = given.required("--diameter", units::length)?;
        RoundWire::new(diameter).map_err(|error| format!("--diameter: {error}"))?
    };
    let length = given.required("--length", units::length)?;
    let frequency = given.required("--frequency", units::frequency)?;
    let wrong = |error: QuantityError| format!("wire: {error}");
    let copper = Conductor::copper();
    let depth = copper.skin_depth(frequency).map_err(wrong)?.get();
    let direct = wire
        .resistance(length, copper, Hertz::new(0))
        .map_err(wrong)?
        .get();
    let risen = wire.resistance(length, copper, frequency).map_err(wrong)?.get();
    let straight = wire.inductance(length).map_err(wrong)?;
    let mut answer = Answer::default();
    answer.figure(
        "diameter",
        format!(
            "{}, near gauge {}",
            units::engineering(wire.diameter().get(), "m"),
            wire.nearest_gauge()
        ),
        "diameter_m",
        wire.diameter().get(),
    );
    answer.number("length_m", length.get());
    answer.figure(
        "skin depth",
        units::engineering(depth, "m"),
        "skin_depth_m",
        depth,
    );
    answer.figure(
        "resistance",
        format!(
            "{}, for direct current {}",
            units::engineering(risen, "ohm"),
            units::engineering(direct, "ohm")
        ),
        "resistance_ohm",
        risen,
    );
    answer.number("direct_resistance_ohm", direct);
    inductance(&mut answer, straight, Some(frequency));
    answer.note(
        "Copper, straight, far from its return path. In a coil the turns beside add to the resistance.",
    );
    Ok(answer)
}
