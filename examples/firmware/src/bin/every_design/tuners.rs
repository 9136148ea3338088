//! Banks, tuners, and the simulated bench.

use defmt::{println, unwrap};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::control::mock::{AntennaModel, BenchError, BenchFaults, BenchSensor, SimulatedBench};
use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, BankError, BestSetting, Command, Coverage, Event, Outcome,
    Positions, Progress, Protection, SensorReading, Setting, Side, Stray, Tuner, TunerDriver, TunerError,
    TunerMemory, TunerReport, TunerSettings, Verdict,
};
use ohmwright::quantity::{Capacitance, Component, Hertz, Inductance, Ohms, QFactor, Reference, Swr};

use crate::values::{gamma, ohms};

pub fn tuners<A: Arithmetic>() {
    let coil = BankCoil::<A> {
        inductance: Inductance::from_picohenries(500_000),
        q: QFactor::whole::<160>(),
    };
    let capacitor = BankCapacitor::<A>::lossless(Capacitance::from_femtofarads(150_000));
    println!(
        "coil: {}; capacitor: {}; {}",
        coil,
        capacitor,
        Stray::<A>::default()
    );
    let frequency = Hertz::from_kilohertz(5_300);
    let bank = unwrap!(Bank::new([coil; 2], [capacitor; 2], Arrangement::Changeover));
    let at = unwrap!(bank.at(frequency, Reference::fifty()));
    println!("{}; {}", bank, at);
    // Made by hand, not by the search: three families of it would not fit into the flash.
    let setting = Setting {
        coils: 1,
        capacitors: 2,
        side: Side::Load,
        tap: 0,
    };
    let best = BestSetting::new(setting, gamma::<A>(0.25, 0.0));
    println!("best: {}", best);

    let settings = TunerSettings::<A>::default();
    println!("settings: {}", settings);
    let antenna = AntennaModel::Fixed(ohms::<A>(30.0, -12.5));
    println!("antenna: {}", antenna);
    println!(
        "antenna: {}",
        AntennaModel::Series {
            resistance: Ohms::whole::<17>(),
            inductance: coil.inductance,
            capacitance: capacitor.capacitance,
        }
    );
    let bench = SimulatedBench::new(bank, antenna, frequency, 1);
    let mut report = TunerReport::<A>::new(Outcome::Matched);
    report.setting = Some(setting);
    report.swr = Some(Swr::thousandths::<1_250>());
    report.readings = 3;
    report.operations = 12;
    println!("report: {}", report);
    println!("{}; {}", bench, BenchFaults::<A>::default());
    let mut tuner = unwrap!(Tuner::new(bank, settings));
    println!("{}", tuner);
    println!("{}", TunerDriver::new(&mut tuner, &bench, &bench));
    let size = SensorReading::<A>::Magnitude(Component::thousandths::<250>());
    println!("events: {}; {}", Event::Reading(size), Event::<A>::Switched);
    println!(
        "commands: {}; {}",
        Command::<A>::Switch(Positions::default()),
        Command::Done(report)
    );
    println!(
        "progress: {}; {}",
        Progress::<A>::SleepUntil(15),
        Progress::<A>::RaisePower(settings.measuring_minimum)
    );
    let protection = Protection::<A>::new(
        Swr::whole::<2>(),
        Swr::whole::<3>(),
        settings.measuring_minimum,
        2,
    );
    println!("{}", unwrap!(protection));
    let mut storage = [None; 2];
    let mut memory = TunerMemory::<A>::new(&mut storage);
    unwrap!(memory.learn(frequency, Setting::BYPASS, Swr::thousandths::<1_250>()));
    println!("{}: {}", memory, memory.nearest(frequency, frequency));
}

/// What has no numbers.
pub fn of_no_family() {
    println!(
        "side: {}, sensor: {}, bench: {}",
        Side::Load,
        BenchSensor::Scalar,
        BenchError::Relays
    );
    println!("outcome: {}, verdict: {}", Outcome::Drifting, Verdict::Trip);
    println!("refused: {}; {}", BankError::Empty, TunerError::Busy);
    println!("coverage: {}", Coverage { matched: 3, loads: 4 });
}
