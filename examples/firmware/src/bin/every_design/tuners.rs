//! Banks, tuners, and the simulated bench.

use defmt::{println, unwrap};
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::control::mock::{AntennaModel, BenchError, BenchFaults, BenchSensor, SimulatedBench};
use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, BankError, BestSetting, Command, Coverage, Event, Outcome,
    Positions, Progress, Protection, SensorReading, Setting, Side, Stray, Tuner, TunerDriver, TunerError,
    TunerMemory, TunerReport, TunerSettings, Verdict,
};
use ohmwright::quantity::{Capacitance, Hertz, Inductance, Reference};

use crate::values::{gamma, ohms};

pub fn tuners<A: Arithmetic>() {
    let word = |value: f64| unwrap!(A::Ratio::try_from_f64(value));
    let coil = BankCoil::<A> {
        inductance: Inductance::from_picohenries(500_000),
        q: word(160.0),
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
    let best = BestSetting {
        setting,
        reflection: gamma::<A>(0.25, 0.0),
    };
    println!("best: {}", best);

    let settings = TunerSettings::<A>::default();
    println!("settings: {}", settings);
    let antenna = AntennaModel::Fixed(ohms::<A>(30.0, -12.5));
    println!("antenna: {}", antenna);
    println!(
        "antenna: {}",
        AntennaModel::Series {
            resistance: unwrap!(A::Ohms::try_from_f64(17.0)),
            inductance: coil.inductance,
            capacitance: capacitor.capacitance,
        }
    );
    let bench = SimulatedBench::new(bank, antenna, frequency, 1);
    let report = TunerReport::<A> {
        outcome: Outcome::Matched,
        setting: Some(setting),
        swr: Some(word(1.25)),
        readings: 3,
        operations: 12,
    };
    println!("report: {}", report);
    println!("{}; {}", bench, BenchFaults::<A>::default());
    let mut tuner = unwrap!(Tuner::new(bank, settings));
    println!("{}", tuner);
    println!("{}", TunerDriver::new(&mut tuner, &bench, &bench));
    let size = SensorReading::<A>::Magnitude(unwrap!(A::Component::try_from_f64(0.25)));
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
    let protection = Protection::<A>::new(word(2.0), word(3.0), settings.measuring_minimum, 2);
    println!("{}", unwrap!(protection));
    let mut storage = [None; 2];
    let mut memory = TunerMemory::<A>::new(&mut storage);
    unwrap!(memory.learn(frequency, Setting::BYPASS, word(1.25)));
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
