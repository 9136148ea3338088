//! A walk through every state that the tuner can get into, with a small bank, a small budget and a world that may do
//! anything at every step: no path moves a relay under power, and none leads into a dead end.
//!
//! The world of the walk: four powers (unknown, too little to read by, right, too much to switch at), every event with
//! readings of a few sizes, and time that stands still or passes. Breadth first; a state is told by all it holds.

use std::collections::{HashSet, VecDeque};
use std::hash::{DefaultHasher, Hash, Hasher};

use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, Command, Event, Outcome, Positions, SensorReading, Setting,
    Tuner, TunerSettings,
};
use ohmwright::quantity::{Capacitance, Hertz, Inductance, Reflection};

type Small = Tuner<f64, 1, 1>;

const LIMIT: f64 = 1.0;
const LEAST: f64 = 0.1;
const POWERS: [Option<f64>; 4] = [None, Some(0.0), Some(0.5), Some(50.0)];
/// Longer than any wait but that of the whole run.
const PAUSE: u32 = 60;
const MOST_READINGS: u8 = 6;
const MOST_OPERATIONS: u16 = 24;

fn bank() -> Bank<f64, 1, 1> {
    let coil = BankCoil::lossless(Inductance::from_picohenries(1_000_000));
    let capacitor = BankCapacitor::lossless(Capacitance::from_femtofarads(400_000));
    Bank::new([coil], [capacitor], Arrangement::Changeover).unwrap()
}

fn tuner(limit: f64, least: f64) -> Small {
    let settings = TunerSettings {
        switching_limit: limit.into(),
        measuring_minimum: least.into(),
        settle_ms: 10,
        power_timeout_ms: 50,
        reply_timeout_ms: 50,
        run_timeout_ms: 500,
        most_readings: MOST_READINGS,
        most_operations: MOST_OPERATIONS,
        ..TunerSettings::default()
    };
    Tuner::new(bank(), settings).unwrap()
}

/// What the world may do, beside the power and the time.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Deed {
    Says(Event<f64>),
    Cancels,
}

fn scalar_deeds() -> Vec<Deed> {
    deeds(&[
        SensorReading::Magnitude(0.0.into()),
        SensorReading::Magnitude(0.55.into()),
        SensorReading::Magnitude(0.95.into()),
        SensorReading::Magnitude(f64::NAN.into()),
        SensorReading::Magnitude(1.4.into()),
    ])
}

fn vector_deeds() -> Vec<Deed> {
    let gamma = |re, im| SensorReading::Vector(Reflection::new(re, im).unwrap());
    deeds(&[
        gamma(0.01, 0.0),
        gamma(-0.5, 0.2),
        gamma(1.0, 0.0),
        gamma(1.2, 1.0),
    ])
}

fn deeds(readings: &[SensorReading<f64>]) -> Vec<Deed> {
    let mut deeds = vec![
        Deed::Cancels,
        Deed::Says(Event::Tick),
        Deed::Says(Event::Switched),
        Deed::Says(Event::SwitchFailed),
        Deed::Says(Event::SensorFailed),
    ];
    deeds.extend(
        readings
            .iter()
            .map(|reading| Deed::Says(Event::Reading(*reading))),
    );
    deeds
}

/// A machine under test: the tuner, or one that is broken on purpose.
trait Machine: Clone + std::fmt::Debug {
    fn act(&mut self, now: u32, power: Option<f64>, deed: Deed) -> Command<f64>;
    fn is_running(&self) -> bool;
}

impl Machine for Small {
    fn act(&mut self, now: u32, power: Option<f64>, deed: Deed) -> Command<f64> {
        match deed {
            Deed::Says(event) => self.step(now, power.map(Into::into), event),
            Deed::Cancels => {
                self.cancel(now);
                self.step(now, power.map(Into::into), Event::SensorFailed)
            }
        }
    }
    fn is_running(&self) -> bool {
        Tuner::is_running(self)
    }
}

/// Believes that the power is low when nobody can tell.
#[derive(Clone, Debug)]
struct Careless(Small);

impl Machine for Careless {
    fn act(&mut self, now: u32, power: Option<f64>, deed: Deed) -> Command<f64> {
        self.0.act(now, power.or(Some(0.5)), deed)
    }
    fn is_running(&self) -> bool {
        self.0.is_running()
    }
}

/// Never notices that time passes.
#[derive(Clone, Debug)]
struct Timeless(Small);

impl Machine for Timeless {
    fn act(&mut self, _: u32, power: Option<f64>, deed: Deed) -> Command<f64> {
        self.0.act(0, power, deed)
    }
    fn is_running(&self) -> bool {
        self.0.is_running()
    }
}

struct Found {
    states: usize,
    switches: usize,
    outcomes: HashSet<Outcome>,
}

/// A step from one state, with everything that must hold of it.
fn checked<M: Machine>(
    machine: &mut M,
    now: u32,
    power: Option<f64>,
    deed: Deed,
    limits: (f64, f64),
) -> Result<Command<f64>, String> {
    let command = machine.act(now, power, deed);
    match command {
        Command::Switch(_) => {
            if !power.is_some_and(|power| power <= limits.0) {
                return Err(format!("a relay moves at {power:?} W after {deed:?}"));
            }
            if deed != Deed::Says(Event::Tick) {
                return Err(format!(
                    "a relay moves after {deed:?}, not after a look at the power"
                ));
            }
        }
        Command::Measure if !power.is_some_and(|power| power >= limits.1) => {
            return Err(format!("a reading is taken at {power:?} W"));
        }
        Command::Done(report) => {
            if machine.is_running() {
                return Err("it runs on after its end".into());
            }
            if report.readings > MOST_READINGS || report.operations > MOST_OPERATIONS {
                return Err(format!("over its budget: {report:?}"));
            }
            let ended_in_bypass = report.setting.is_none_or(|setting| setting == Setting::BYPASS);
            let could_switch = deed == Deed::Says(Event::Tick) && report.outcome != Outcome::TooMuchPower;
            if !report.outcome.is_usable()
                && !ended_in_bypass
                && could_switch
                && power.is_some_and(|p| p <= limits.0)
            {
                return Err(format!(
                    "ended outside of bypass though it could have gone there: {report:?}"
                ));
            }
        }
        _ => {}
    }
    Ok(command)
}

/// The walk. `Err` tells what went wrong first.
fn walk<M: Machine>(start: M, deeds: &[Deed], limits: (f64, f64)) -> Result<Found, String> {
    let key = |machine: &M, now: u32| {
        let mut hasher = DefaultHasher::new();
        (format!("{machine:?}"), now).hash(&mut hasher);
        hasher.finish()
    };
    let mut seen = HashSet::from([key(&start, 0)]);
    let mut queue = VecDeque::from([(start, 0)]);
    let mut found = Found {
        states: 0,
        switches: 0,
        outcomes: HashSet::new(),
    };
    while let Some((state, then)) = queue.pop_front() {
        found.states += 1;
        ends_somehow(&state, then, limits)?;
        for pause in [0, PAUSE] {
            let now = then + pause;
            for power in POWERS {
                for deed in deeds {
                    let mut machine = state.clone();
                    match checked(&mut machine, now, power, *deed, limits)? {
                        Command::Done(report) => {
                            found.outcomes.insert(report.outcome);
                            continue; // at rest: another run begins as this one did
                        }
                        Command::Switch(_) => found.switches += 1,
                        _ => {}
                    }
                    if seen.insert(key(&machine, now)) {
                        queue.push_back((machine, now));
                    }
                }
            }
        }
        if found.states > 60_000 {
            return Err(format!(
                "the walk does not come to an end; it stands at {then} ms with {state:?}"
            ));
        }
    }
    Ok(found)
}

/// What a world says to a command.
type Answer<'a> = &'a dyn Fn(&Command<f64>) -> Event<f64>;

/// From a state the end is reached in a world that does what it is asked, and in worlds that never do anything.
fn ends_somehow<M: Machine>(state: &M, then: u32, limits: (f64, f64)) -> Result<(), String> {
    if !state.is_running() {
        return Ok(());
    }
    let helpful = |command: &Command<f64>| match command {
        Command::Switch(_) => Event::Switched,
        Command::Measure => Event::Reading(SensorReading::Magnitude(0.6.into())),
        _ => Event::Tick,
    };
    let idle = |_: &Command<f64>| Event::Tick;
    let worlds: [(Answer<'_>, Option<f64>); 5] = [
        (&helpful, Some(0.5)),
        (&idle, Some(0.5)),
        (&idle, Some(0.0)),
        (&idle, Some(50.0)),
        (&idle, None),
    ];
    for (answer, power) in worlds {
        let mut machine = state.clone();
        let mut now = then;
        let mut command = Command::Idle;
        let mut steps = 0;
        loop {
            let event = answer(&command);
            command = checked(&mut machine, now, power, Deed::Says(event), limits)?;
            match command {
                Command::Done(_) => break,
                Command::WaitUntil(time) => now = time.max(now),
                Command::ReducePower(_) | Command::RaisePower(_) => now += PAUSE,
                _ => {}
            }
            steps += 1;
            if steps > 200 {
                return Err(format!("a dead end: no end after {steps} steps from {state:?}"));
            }
        }
    }
    Ok(())
}

fn started(mut tuner: Small, suggestion: Option<Setting>) -> Small {
    tuner.start(0, Hertz::from_megahertz(7), suggestion).unwrap();
    tuner
}

/// Expected of every walk.
const ALWAYS: [Outcome; 8] = [
    Outcome::Matched,
    Outcome::BudgetSpent,
    Outcome::TooLittlePower,
    Outcome::TooMuchPower,
    Outcome::SensorFault,
    Outcome::BankFault,
    Outcome::TimedOut,
    Outcome::Cancelled,
];

fn holds(deeds: &[Deed], suggestion: Option<Setting>, limits: (f64, f64), wanted: &[Outcome]) {
    let found = walk(started(tuner(limits.0, limits.1), suggestion), deeds, limits).unwrap();
    println!(
        "{} states, {} switches, {:?}",
        found.states, found.switches, found.outcomes
    );
    for outcome in wanted {
        assert!(
            found.outcomes.contains(outcome),
            "{outcome:?} is never reached: {:?}",
            found.outcomes
        );
    }
    assert!(found.states > 500 && found.switches > 500);
}

#[test]
fn no_path_switches_under_power_and_none_is_a_dead_end_by_size() {
    holds(&scalar_deeds(), None, (LIMIT, LEAST), &ALWAYS);
}

#[test]
fn no_path_switches_under_power_and_none_is_a_dead_end_by_gamma() {
    let setting = Setting {
        coils: 1,
        ..Setting::BYPASS
    };
    holds(&vector_deeds(), Some(setting), (LIMIT, LEAST), &ALWAYS[..1]);
}

/// Relays that may not be moved at the power that a reading needs: it is asked down and up.
#[test]
fn the_same_holds_where_reading_and_switching_exclude_each_other() {
    holds(&vector_deeds(), None, (0.0, 0.4), &ALWAYS[2..5]);
}

#[test]
fn a_machine_that_believes_in_low_power_is_caught() {
    let careless = Careless(started(tuner(LIMIT, LEAST), None));
    let error = walk(careless, &scalar_deeds(), (LIMIT, LEAST)).err().unwrap();
    assert!(error.contains("a relay moves at None"), "{error}");
}

#[test]
fn a_machine_without_a_clock_is_caught_in_a_dead_end() {
    let timeless = Timeless(started(tuner(LIMIT, LEAST), None));
    let error = walk(timeless, &scalar_deeds(), (LIMIT, LEAST)).err().unwrap();
    assert!(error.contains("a dead end"), "{error}");
}

/// A fresh tuner does not know how its relays stand, and drives them all to bypass before anything else.
#[test]
fn the_first_thing_is_bypass() {
    let mut tuner = started(
        tuner(LIMIT, LEAST),
        Some(Setting {
            coils: 1,
            ..Setting::BYPASS
        }),
    );
    assert_eq!(tuner.setting(), None);
    let command = tuner.step(0, Some(0.5.into()), Event::Tick);
    let mut positions = Positions::default();
    positions.tap = Some(0);
    assert_eq!(command, Command::Switch(positions));
}
