//! The loads: from a file, or those of the demo scenario.

use std::path::Path;

use ohmwright::control::mock::AntennaModel;
use ohmwright::quantity::{Capacitance, Hertz, Inductance, Reference};

use super::input;

pub const HEADER: &str = "frequency_hz,resistance_ohm,reactance_ohm";

/// One load, and where it stands: for messages.
pub struct Load {
    pub place: String,
    pub frequency_hz: u64,
    pub resistance_ohm: f64,
    pub reactance_ohm: f64,
}

pub fn read(path: &Path) -> Result<Vec<Load>, String> {
    let name = input::name(path);
    let text = input::read_text(path)?;
    let mut lines = text.lines().enumerate();
    match lines.next() {
        Some((_, line)) if line.trim_end() == HEADER => {}
        _ => return Err(format!("{name}: line 1: the header is not {HEADER}")),
    }
    let mut loads = Vec::new();
    for (index, line) in lines {
        if line.trim().is_empty() {
            continue;
        }
        let place = format!("{name}: line {}", index + 1);
        let fields: Vec<&str> = line.split(',').map(str::trim).collect();
        let &[frequency, resistance, reactance] = fields.as_slice() else {
            return Err(format!("{place}: {} fields instead of three", fields.len()));
        };
        let number = |column: &str, field: &str| match field.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(value),
            _ => Err(format!("{place}: {column}: {field:?} is not a number")),
        };
        let frequency = number("frequency_hz", frequency)?;
        // 2⁵³: up to there every whole number is a double.
        if !(1.0..=9e15).contains(&frequency) || frequency.fract() != 0.0 {
            return Err(format!(
                "{place}: frequency_hz: not a whole, positive number of hertz"
            ));
        }
        loads.push(Load {
            frequency_hz: frequency as u64,
            resistance_ohm: number("resistance_ohm", resistance)?,
            reactance_ohm: number("reactance_ohm", reactance)?,
            place,
        });
    }
    if loads.is_empty() {
        return Err(format!("{name}: line 1: no loads below the header"));
    }
    Ok(loads)
}

/// The antennas of the demo scenario, where they are used: invented, as `demo-data/README.md` says.
pub fn demo() -> Vec<Load> {
    let whip = AntennaModel::<f64>::Series {
        resistance: 17.0.into(),
        inductance: Inductance::from_picohenries(24_000_000),
        capacitance: Capacitance::from_femtofarads(39_000),
    };
    let wire = AntennaModel::Parallel {
        resistance: 1_900.0.into(),
        inductance: Inductance::from_picohenries(9_500_000),
        capacitance: Capacitance::from_femtofarads(110_000),
    };
    let rods = AntennaModel::Series {
        resistance: 41.0.into(),
        inductance: Inductance::from_picohenries(310_000),
        capacitance: Capacitance::from_femtofarads(16_800),
    };
    let places: [(&str, AntennaModel<f64>, &[u64]); 3] = [
        (
            "field whip",
            whip,
            &[4_600_000, 4_900_000, 5_200_000, 5_300_000, 5_600_000, 6_100_000],
        ),
        (
            "wire at the gauge hut",
            wire,
            &[3_600_000, 4_600_000, 5_300_000, 7_100_000, 10_100_000],
        ),
        (
            "relay rods, iced over",
            rods,
            &[
                64_500_000, 68_000_000, 70_950_000, 71_000_000, 71_050_000, 74_000_000,
            ],
        ),
    ];
    let mut loads = Vec::new();
    for (name, antenna, frequencies) in places {
        for frequency in frequencies {
            let gamma = antenna.reflection(Hertz::new(*frequency), Reference::fifty());
            let z = gamma.impedance(Reference::fifty());
            loads.push(Load {
                place: name.to_string(),
                frequency_hz: *frequency,
                resistance_ohm: z.resistance().get(),
                reactance_ohm: z.reactance().get(),
            });
        }
    }
    loads
}
