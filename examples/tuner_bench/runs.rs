//! The runs themselves.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::control::mock::{AntennaModel, SimulatedBench};
use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, Outcome, Setting, Tuner, TunerSettings,
};
use ohmwright::quantity::{Capacitance, Component, Hertz, Impedance, Inductance, QFactor, Reference};

use super::loads::Load;
use super::numbers::Numbers;
use super::options::Options;

/// Above this frequency the small bank.
const LARGE_BANK_UP_TO_HZ: u64 = 32_000_000;

pub struct Run {
    pub place: String,
    pub frequency_hz: u64,
    pub resistance_ohm: f64,
    pub reactance_ohm: f64,
    pub swr_before: f64,
    pub swr_after: f64,
    pub swr_optimum: f64,
    pub readings: u8,
    pub switch_operations: u16,
    pub outcome: &'static str,
}

pub fn all(loads: &[Load], options: &Options) -> Result<Vec<Run>, String> {
    let mut runs = Vec::new();
    for (load, place) in loads.iter().zip(0u32..) {
        let seed = options.seed.wrapping_add(place);
        runs.push(match options.numbers {
            Numbers::Fixed32 => one::<Fixed32>(load, seed, options),
            Numbers::Fixed16 => one::<Fixed16>(load, seed, options),
            Numbers::F32 => one::<f32>(load, seed, options),
            Numbers::F64 => one::<f64>(load, seed, options),
        }?);
    }
    Ok(runs)
}

fn bank<A: Arithmetic>(hertz: u64) -> Result<Bank<A, 8, 8>, String> {
    let (picohenries, femtofarads) = if hertz <= LARGE_BANK_UP_TO_HZ {
        (50_000, 10_000)
    } else {
        (4_000, 800)
    };
    let q = |q: f64| QFactor::<A>::try_from_f64(q).map_err(|error| error.to_string());
    let (coil_q, capacitor_q) = (q(160.0)?, q(1000.0)?);
    let coils = core::array::from_fn(|k| BankCoil {
        inductance: Inductance::from_picohenries(picohenries << k),
        q: coil_q,
    });
    let capacitors = core::array::from_fn(|k| BankCapacitor {
        capacitance: Capacitance::from_femtofarads(femtofarads << k),
        q: capacitor_q,
    });
    Bank::new(coils, capacitors, Arrangement::Changeover).map_err(|error| error.to_string())
}

/// The true bank once more, in double precision.
fn in_doubles<A: Arithmetic>(bank: &Bank<A, 8, 8>) -> Result<Bank<f64, 8, 8>, String> {
    let (henry, farad) = match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => (1e-12, 1e-15),
        _ => (1.0, 1.0),
    };
    let mut coils = [BankCoil::<f64>::lossless(Inductance::from_picohenries(1)); 8];
    for (to, from) in coils.iter_mut().zip(bank.coils()) {
        to.inductance =
            Inductance::new(from.inductance.get().to_f64() * henry).map_err(|error| error.to_string())?;
        to.q = from.q.to_f64().into();
    }
    let mut capacitors = [BankCapacitor::<f64>::lossless(Capacitance::from_femtofarads(1)); 8];
    for (to, from) in capacitors.iter_mut().zip(bank.capacitors()) {
        to.capacitance =
            Capacitance::new(from.capacitance.get().to_f64() * farad).map_err(|error| error.to_string())?;
        to.q = from.q.to_f64().into();
    }
    Bank::new(coils, capacitors, bank.arrangement()).map_err(|error| error.to_string())
}

fn one<A: Arithmetic>(load: &Load, seed: u32, options: &Options) -> Result<Run, String> {
    let at = |error: &dyn std::fmt::Display| format!("{}: {error}", load.place);
    let numbers = options.numbers.name();
    let frequency = Hertz::new(load.frequency_hz);
    let nominal = bank::<A>(load.frequency_hz).map_err(|error| at(&error))?;
    let part = |option: &'static str, value: f64| {
        Component::<A>::try_from_f64(value)
            .map_err(|error| format!("{option}: {value}: {error} in {numbers}"))
    };
    let impedance = Impedance::<A>::try_from_f64(load.resistance_ohm, load.reactance_ohm)
        .map_err(|error| at(&format!("{error} in {numbers}")))?;
    let (value_error, noise) = (
        part("--value-error", options.value_error)?,
        part("--noise", options.noise)?,
    );
    let bench = SimulatedBench::new(nominal, AntennaModel::Fixed(impedance), frequency, seed)
        .with_tolerance(value_error)
        .with_sensor(options.sensor, noise);
    let usual = TunerSettings::<A>::default();
    let settings = TunerSettings {
        sensor_noise: noise,
        // A bank without any error is not believed in: a tenth of a per cent at least.
        value_error: part("--value-error", options.value_error.max(0.001))?,
        ..usual
    };
    let mut tuner = Tuner::new(nominal, settings).map_err(|error| at(&error))?;
    let report = bench.tune(&mut tuner, 0, None).map_err(|error| at(&error))?;

    // What really is, in double precision; the optimum by trying every setting of the true bank.
    let truth = in_doubles(bench.true_bank())
        .and_then(|bank| {
            bank.at(frequency, Reference::fifty())
                .map_err(|error| error.to_string())
        })
        .map_err(|error| at(&error))?;
    let gamma = Impedance::<f64>::try_from_f64(load.resistance_ohm, load.reactance_ohm)
        .map_err(|error| at(&error))?
        .reflection(Reference::fifty());
    let swr = |setting| {
        truth
            .reflection(setting, gamma)
            .map(|input| input.swr())
            .map_err(|error| at(&error))
    };
    let mut least = f64::INFINITY;
    for setting in truth.settings() {
        least = least.min(truth.power(setting, gamma));
    }
    let size = least.sqrt();
    let optimum = if size < 1.0 {
        (1.0 + size) / (1.0 - size)
    } else {
        f64::INFINITY
    };
    Ok(Run {
        place: load.place.clone(),
        frequency_hz: load.frequency_hz,
        resistance_ohm: load.resistance_ohm,
        reactance_ohm: load.reactance_ohm,
        swr_before: swr(Setting::BYPASS)?.get(),
        swr_after: match report.setting {
            Some(setting) => swr(setting)?.get(),
            None => bench.reflection().swr().to_f64(),
        },
        swr_optimum: optimum,
        readings: report.readings,
        switch_operations: report.operations,
        outcome: name(report.outcome),
    })
}

/// The outcomes in the output.
pub fn name(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Matched => "matched",
        Outcome::BestAvailable => "best available",
        Outcome::BudgetSpent => "budget spent",
        Outcome::TooLittlePower => "too little power",
        Outcome::TooMuchPower => "too much power",
        Outcome::SensorFault => "sensor fault",
        Outcome::BankFault => "bank fault",
        Outcome::Drifting => "drifting",
        Outcome::LoadWithoutResistance => "load without resistance",
        Outcome::TimedOut => "timed out",
        Outcome::Cancelled => "cancelled",
        Outcome::Bypassed => "bypassed",
        _ => "another",
    }
}
