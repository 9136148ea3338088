//! What the tuner says of time, power and order is true, also where relays, sensor and transmitter do as they like.

use crate::tuners::*;
use ohmwright::control::{
    Command, Event, MatchSensor, Outcome, Positions, Progress, SensorReading, Setting, SwitchedBank, Tuner,
    TunerDriver, TunerSettings,
};
use ohmwright::quantity::{Hertz, Watts};

type Usual = Tuner<f64, 8, 8>;

const SEVEN: Hertz = Hertz::from_kilohertz(7_100);

fn started(settings: TunerSettings<f64>) -> Usual {
    let mut tuner = Tuner::new(usual_bank(), settings).unwrap();
    tuner.start(0, SEVEN, None).unwrap();
    tuner
}

fn half() -> Option<Watts<f64>> {
    Some(Watts::new(0.5))
}

fn size(size: f64) -> Event<f64> {
    Event::Reading(SensorReading::Magnitude(size.into()))
}

/// To the next order, at half a watt; relays answer at once.
fn to_a_reading(tuner: &mut Usual, now: &mut u32, mut event: Event<f64>) -> Command<f64> {
    loop {
        let command = tuner.step(*now, half(), event);
        event = match command {
            Command::Switch(_) => Event::Switched,
            Command::WaitUntil(time) => {
                *now = time;
                Event::Tick
            }
            other => return other,
        };
    }
}

/// An answer that comes late is not that to the next order.
#[test]
fn an_answer_belongs_to_its_order() {
    let mut tuner = started(TunerSettings::default());
    let Command::Switch(_) = tuner.step(0, half(), Event::Tick) else {
        panic!("not moving");
    };
    let first = tuner.order();
    // No answer in time: the relays are driven to bypass once more.
    let mut now = 600;
    let mut command = tuner.step(now, half(), Event::Tick);
    while let Command::WaitUntil(time) = command {
        now = time;
        command = tuner.step(now, half(), Event::Tick);
    }
    let Command::Switch(_) = command else {
        panic!("{command:?}");
    };
    let second = tuner.order();
    assert_ne!(first, second);
    let before = format!("{tuner:?}");
    let _ = tuner.answer(now, half(), first, Event::Switched);
    assert_eq!(format!("{tuner:?}"), before);
    // Nor is what is not asked for at all.
    let _ = tuner.answer(now, half(), second, size(0.1));
    assert_eq!(format!("{tuner:?}"), before);
    let _ = tuner.answer(now, half(), second, Event::Switched);
    assert_ne!(format!("{tuner:?}"), before);
}

/// A reading that fails, or whose power goes, counts: none is asked for beyond the budget.
#[test]
fn every_reading_counts() {
    let mut tuner = started(TunerSettings::default().with_most_readings(5));
    let (mut now, mut asked) = (0, 0);
    let mut event = Event::Tick;
    let report = loop {
        match to_a_reading(&mut tuner, &mut now, event) {
            Command::Measure => {
                asked += 1;
                assert!(asked <= 5);
                // The power goes during each reading.
                let _ = tuner.step(now, Some(Watts::new(0.0)), size(0.6));
                event = Event::Tick;
            }
            Command::Done(report) => break report,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!((report.readings, asked), (5, 5));
    assert_eq!(report.outcome, Outcome::SensorFault);
}

/// Relays that fail on the way to bypass may still be moving: the end waits until they rest.
#[test]
fn the_end_waits_for_the_relays() {
    let mut tuner = started(TunerSettings::default());
    let Command::Switch(_) = tuner.step(0, half(), Event::Tick) else {
        panic!("not moving");
    };
    tuner.cancel(5);
    let mut now = 5;
    let mut command = tuner.step(now, half(), Event::Tick);
    while let Command::WaitUntil(time) = command {
        now = time;
        command = tuner.step(now, half(), Event::Tick);
    }
    assert!(matches!(command, Command::Switch(_)), "{command:?}");
    assert_eq!(
        tuner.step(now, half(), Event::SwitchFailed),
        Command::WaitUntil(now + 15)
    );
    assert_eq!(tuner.setting(), None);
    let Command::Done(report) = tuner.step(now + 15, half(), Event::Tick) else {
        panic!("not done");
    };
    assert_eq!((report.outcome, report.setting), (Outcome::Cancelled, None));
}

/// A transmitter that does not reduce its power once does not end the watch for ever.
#[test]
fn the_watch_survives_a_refused_reduction_of_power() {
    let settings = TunerSettings::default().with_retune_after_ms(Some(500));
    let mut tuner = started(settings);
    let mut now = 0;
    let mut event = Event::Tick;
    loop {
        match to_a_reading(&mut tuner, &mut now, event) {
            Command::Measure => event = size(0.001),
            Command::Done(report) => {
                assert_eq!(report.outcome, Outcome::Matched);
                break;
            }
            other => panic!("{other:?}"),
        }
    }
    let hot = Some(Watts::new(100.0));
    let mut refusals = 0;
    for _ in 0..600 {
        now += 100;
        // The load has drifted; the transmitter stays at full power.
        let event = if tuner.is_running() {
            Event::Tick
        } else {
            size(0.6)
        };
        match tuner.step(now, hot, event) {
            Command::Done(report) => {
                assert_eq!((report.outcome, report.swr), (Outcome::TooMuchPower, None));
                refusals += 1;
            }
            // The run reads where it stands before it wants to move.
            Command::Measure => {
                let _ = tuner.step(now, hot, size(0.6));
            }
            Command::Switch(_) => panic!("a relay moves at 100 W"),
            _ => {}
        }
    }
    assert!(refusals >= 3, "{refusals}");
}

/// Whatever refuses to answer, and from whenever: the end comes within the time of a run.
#[test]
fn a_run_ends_within_its_time() {
    let settings = TunerSettings::default().with_run_timeout_ms(20_000);
    let mut timed_out = 0;
    for obeys_until in (0..20_000).step_by(83) {
        for deaf in 0..3 {
            let mut tuner = started(settings);
            let (mut now, mut event, mut k) = (0u32, Event::Tick, 0u32);
            loop {
                let is_deaf = now >= obeys_until;
                let power = if is_deaf && deaf == 0 { 50.0 } else { 0.5 };
                let command = tuner.step(now, Some(Watts::new(power)), event);
                event = match command {
                    Command::Done(report) => {
                        timed_out += u32::from(report.outcome == Outcome::TimedOut);
                        break;
                    }
                    Command::Switch(_) if !(is_deaf && deaf == 1) => Event::Switched,
                    Command::Measure if !(is_deaf && deaf == 2) => {
                        // A sensor that takes its time and mostly fails: the budget lasts longer than the run.
                        k += 1;
                        now += 1_000;
                        if k.is_multiple_of(3) {
                            size(0.6)
                        } else {
                            Event::SensorFailed
                        }
                    }
                    _ => Event::Tick,
                };
                now += 40;
                assert!(now < 30_000, "no end");
            }
            assert!(now <= 20_000 + 40, "{now} ms, deaf {deaf} from {obeys_until}");
        }
    }
    assert!(timed_out > 10, "{timed_out}");
}

/// Half a watt until the first reading.
struct Fading(u32);

impl MatchSensor<f64> for &mut Fading {
    type Error = ();
    fn forward_power(&mut self) -> Result<Watts<f64>, ()> {
        Ok(Watts::new(if self.0 > 0 { 0.0 } else { 0.5 }))
    }
    fn read(&mut self) -> Result<SensorReading<f64>, ()> {
        self.0 += 1;
        Ok(SensorReading::Magnitude(0.0.into()))
    }
}

struct Obedient;

impl SwitchedBank for Obedient {
    type Error = ();
    fn set(&mut self, _: Positions) -> Result<(), ()> {
        Ok(())
    }
}

/// Without power nothing comes back: a reading during which the power has gone is not a match.
#[test]
fn the_driver_reads_the_power_after_the_reading_too() {
    let mut tuner = started(TunerSettings::default());
    let mut sensor = Fading(0);
    let mut now = 0;
    let report = loop {
        match TunerDriver::new(&mut tuner, &mut sensor, Obedient).step(now) {
            Progress::Done(report) => break report,
            Progress::SleepUntil(time) => now = time.max(now),
            _ => now += 1,
        }
    };
    assert_eq!(report.outcome, Outcome::TooLittlePower);
    assert_eq!(report.setting, Some(Setting::BYPASS));
}

/// Powers that cannot be are no power: neither for a reading nor for a relay.
#[test]
fn a_power_that_is_not_a_number_moves_nothing() {
    for power in [f64::NAN, -0.5, f64::INFINITY] {
        let mut tuner = started(TunerSettings::default());
        let command = tuner.step(0, Some(Watts::new(power)), Event::Tick);
        assert!(matches!(command, Command::ReducePower(_)), "{command:?}");
    }
}
