//! The controller of an automatic tuner on the device, against a simulated bench: loads of the scenario, then a few faults.
//!
//! On hardware your sensor and your relays take the bench's place: two small traits. All data are invented. A tuner carries
//! high voltage even at low power: never touch or switch it under power. Transmit only where you are licensed to; listen
//! first, tune at low power. Local rules and licensed practice come first.

#![no_std]
#![no_main]

#[path = "../board.rs"]
mod board;

// The family of numbers for the whole firmware. `floating` is the better choice on a core with a floating-point unit.
#[cfg(not(feature = "float"))]
use ohmwright::fixed_point as family;
#[cfg(feature = "float")]
use ohmwright::floating as family;

use defmt::{error, info, unwrap, warn};
use ohmwright::control::mock::{AntennaModel, BenchFaults, BenchSensor, SimulatedBench};
use ohmwright::control::{
    Arrangement, BankCapacitor, BankCoil, Outcome, Progress, Setting, TunerDriver, TunerReport,
};
use ohmwright::quantity::{Component, Hertz, QFactor, Watts};

use board::entry;
use family::{Bank, Capacitance, Family, Impedance, Inductance, Tuner, TunerMemory, TunerSettings};

type Bench = SimulatedBench<Family, 7, 7>;

#[entry]
fn main() -> ! {
    info!("tuner of the gauge hut on a simulated bench; INVENTED DATA");
    let coils = core::array::from_fn(|k| BankCoil {
        inductance: Inductance::from_picohenries(100_000 << k),
        q: QFactor::whole::<160>(),
    });
    let capacitors = core::array::from_fn(|k| BankCapacitor {
        capacitance: Capacitance::from_femtofarads(20_000 << k),
        q: QFactor::whole::<1_000>(),
    });
    let bank: Bank<7, 7> = unwrap!(Bank::new(coils, capacitors, Arrangement::Changeover));
    info!("{}", bank);
    let mut tuner: Tuner<7, 7> = unwrap!(Tuner::new(bank, TunerSettings::default()));
    let mut storage = [None; 8];
    let mut memory = TunerMemory::new(&mut storage);

    let mut bench: Bench = SimulatedBench::new(bank, antenna(50, 0), Hertz::from_kilohertz(5_300), 1)
        .with_tolerance(Component::thousandths::<50>());
    let mut now_ms = 0;

    // A day's work, with a vector sensor and then by SWR alone.
    let mut is_fine = true;
    for sensor in [BenchSensor::Vector, BenchSensor::Scalar] {
        info!("sensor: {}", sensor);
        bench = bench.with_sensor(sensor, Component::thousandths::<10>());
        for (kilohertz, resistance, reactance) in [(5_300, 17, 29), (3_600, 106, 436), (7_100, 78, -376)] {
            let frequency = Hertz::from_kilohertz(kilohertz);
            bench.connect(antenna(resistance, reactance), frequency);
            let report = run(&bench, &mut tuner, &mut now_ms, frequency, None);
            is_fine &= report.outcome == Outcome::Matched;
            if let (Some(setting), Some(swr)) = (report.setting, report.swr) {
                is_fine &= memory.learn(frequency, setting, swr).is_ok();
            }
        }
    }

    // What is remembered is tried first.
    let frequency = Hertz::from_kilohertz(5_310);
    let suggestion = memory.suggest(frequency, Hertz::from_kilohertz(50), tuner.bank());
    bench.connect(antenna(17, 30), frequency);
    let report = run(&bench, &mut tuner, &mut now_ms, frequency, suggestion);
    is_fine &= report.outcome == Outcome::Matched && report.readings <= 2;

    // What goes wrong ends in a word.
    bench.connect(antenna(90, -40), frequency);
    for fault in 0..4 {
        let (from, always) = (now_ms + 20, now_ms + 1_000_000);
        let mut faults = BenchFaults::<Family>::default();
        match fault {
            0 => faults.power_gone = Some((from, always)),
            1 => faults.power_stuck = Some((now_ms, Watts::whole::<50>())),
            2 => faults.sensor_fails = Some((from, always)),
            _ => faults.relays_fail_from = Some(now_ms),
        }
        bench = bench.with_faults(faults);
        let report = run(&bench, &mut tuner, &mut now_ms, frequency, suggestion);
        is_fine &= !report.outcome.is_usable();
    }
    is_fine &= bench.switched_hot() == 0;
    info!("{}", memory);
    board::stop(is_fine)
}

fn antenna(resistance: i16, reactance: i16) -> AntennaModel<Family> {
    AntennaModel::Fixed(unwrap!(Impedance::new(resistance, reactance)))
}

/// The main loop of a firmware: one step after the other until the run is over.
fn run(
    bench: &Bench,
    tuner: &mut Tuner<7, 7>,
    now_ms: &mut u32,
    frequency: Hertz,
    suggestion: Option<Setting>,
) -> TunerReport<Family> {
    if let Err(error) = tuner.start(*now_ms, frequency, suggestion) {
        error!("{}", error);
        board::stop(false)
    }
    loop {
        bench.advance(*now_ms);
        match TunerDriver::new(tuner, bench, bench).step(*now_ms) {
            Progress::Done(report) => {
                if report.outcome.is_usable() {
                    info!("{}: {}", frequency, report);
                } else {
                    warn!("{}: {}", frequency, report);
                }
                return report;
            }
            // Here a firmware sleeps.
            Progress::SleepUntil(time) => *now_ms = time,
            Progress::ReducePower(watts) | Progress::RaisePower(watts) => {
                bench.transmit(watts);
                *now_ms += 1;
            }
            _ => *now_ms += 1,
        }
    }
}
