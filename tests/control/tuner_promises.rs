//! What the tuner promises, each at its edge: one millisecond, one failure or one relay more makes the difference. Then
//! all of it at once, in worlds that answer late, wrongly or not at all.

use crate::common::Random;
use crate::tuners::*;
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::control::mock::{AntennaModel, BenchFaults, BenchSensor, SimulatedBench};
use ohmwright::control::{
    Command, Event, Outcome, Positions, SensorReading, Setting, Tuner, TunerReport, TunerSettings,
};
use ohmwright::quantity::{Component, Hertz, Impedance, Reference, Reflection, Swr, Watts};

const SEVEN: Hertz = Hertz::from_kilohertz(7_100);
const DAY_MS: u32 = 24 * 3600 * 1000;

type Usual<A> = Tuner<A, 8, 8>;

fn tuner<A: Arithmetic>(settings: TunerSettings<A>) -> Usual<A> {
    Tuner::new(usual_bank(), settings).unwrap()
}

fn watts<A: Arithmetic>(watts: f64) -> Option<Watts<A>> {
    Some(word(watts))
}

fn size<A: Arithmetic>(size: f64) -> Event<A> {
    Event::Reading(SensorReading::Magnitude(word(size)))
}

fn at_swr<A: Arithmetic>(swr: f64) -> Event<A> {
    Event::Reading(SensorReading::from_swr(word::<Swr<A>>(swr)).unwrap())
}

/// Drives a run at half a watt until the tuner measures, or ends. Relays obey; time passes only where it is asked for.
fn up_to_a_reading<A: Arithmetic>(
    tuner: &mut Usual<A>,
    now: &mut u32,
    mut event: Event<A>,
) -> Option<TunerReport<A>> {
    for _ in 0..200 {
        event = match tuner.step(*now, watts(0.5), event) {
            Command::Done(report) => return Some(report),
            Command::Measure => return None,
            Command::Switch(_) => Event::Switched,
            Command::WaitUntil(time) => {
                *now = time;
                Event::Tick
            }
            other => panic!("{other:?}"),
        };
    }
    panic!("no reading and no end");
}

/// A run whose readings are those given, one after the other.
fn run_of<A: Arithmetic>(
    tuner: &mut Usual<A>,
    now: &mut u32,
    mut reading: impl FnMut() -> Event<A>,
) -> TunerReport<A> {
    let mut event = Event::Tick;
    loop {
        if let Some(report) = up_to_a_reading(tuner, now, event) {
            return report;
        }
        event = reading();
    }
}

/// A tuner that watches: a run has just ended with this |Γ|, at this time.
fn watching<A: Arithmetic>(settings: TunerSettings<A>, start: u32, held: f64) -> (Usual<A>, u32) {
    let mut tuner = tuner(settings);
    let mut now = start;
    tuner.start(now, SEVEN, None).unwrap();
    let report = run_of(&mut tuner, &mut now, || size(held));
    assert!(report.outcome.is_usable(), "{report:?}");
    (tuner, now)
}

fn sees<A: Arithmetic>(tuner: &mut Usual<A>, now: u32, swr: f64) -> bool {
    let _ = tuner.step(now, watts(10.0), at_swr(swr));
    tuner.is_running()
}

fn retuning<A: Arithmetic>() -> TunerSettings<A> {
    TunerSettings {
        retune_after_ms: Some(500),
        rest_ms: 4_000,
        ..TunerSettings::default()
    }
}

// --- between runs --------------------------------------------------------------------------------------------------

fn rests<A: Arithmetic>() {
    // Also with a clock that wraps meanwhile.
    for start in [10_000, u32::MAX - 2_000, u32::MAX - 300] {
        let (mut tuner, end) = watching::<A>(retuning(), start, 0.0);
        let after = |ms: u32| end.wrapping_add(ms);
        for ms in [100, 600, 3_000, 3_999] {
            assert!(!sees(&mut tuner, after(ms), 3.0), "{ms} ms after a run");
        }
        assert!(sees(&mut tuner, after(4_000), 3.0));
    }
    // Rested, it still waits until the match has been lost for long enough.
    let (mut tuner, end) = watching::<A>(retuning(), 10_000, 0.0);
    assert!(!sees(&mut tuner, end + 9_000, 3.0));
    assert!(!sees(&mut tuner, end + 9_499, 3.0));
    assert!(sees(&mut tuner, end + 9_500, 3.0));
}

#[test]
fn a_run_is_followed_by_a_rest() {
    every_family!(rests);
}

/// Half of the clock's span is 25 days; a tuner that has been left alone for longer retunes like any other.
fn rests_once<A: Arithmetic>() {
    for days in [1, 20, 26, 30, 45] {
        let (mut tuner, end) = watching::<A>(retuning(), 10_000, 0.0);
        for day in 0..days {
            let _ = tuner.step(end.wrapping_add(day * DAY_MS), None, Event::Tick);
        }
        let now = end.wrapping_add(days * DAY_MS);
        assert!(!sees(&mut tuner, now, 3.0));
        assert!(sees(&mut tuner, now.wrapping_add(500), 3.0), "after {days} days");
        // Lost before the transmitter was silent for so long.
        let (mut tuner, end) = watching::<A>(retuning(), 10_000, 0.0);
        assert!(!sees(&mut tuner, end + 100, 3.0));
        for day in 0..=days {
            let _ = tuner.step(end.wrapping_add(day * DAY_MS + 5_000), None, Event::Tick);
        }
        let now = end.wrapping_add(days * DAY_MS + 6_000);
        assert!(sees(&mut tuner, now, 3.0), "lost {days} days ago");
    }
}

#[test]
fn a_rest_of_weeks_is_a_rest() {
    every_family!(rests_once);
}

/// A load that never matched well must become worse by a quarter.
fn is_worse_by_a_quarter<A: Arithmetic>() {
    // 2 Ω at 1.8 MHz are out of reach of the bank.
    let bench = SimulatedBench::new(
        usual_bank::<A>(),
        AntennaModel::Fixed(Impedance::try_from_f64(2.0, 0.0).unwrap()),
        Hertz::from_kilohertz(1_800),
        1,
    );
    let mut tuner = tuner(retuning::<A>());
    let report = bench.tune(&mut tuner, 0, None).unwrap();
    assert_eq!(report.outcome, Outcome::BestAvailable);
    let held = report.swr.unwrap().to_f64();
    assert!(held * 1.2 > 2.0, "{held}: the quarter is not what limits");
    let mut seen = |now: u32, factor: f64| sees(&mut tuner, now, held * factor);
    for k in 0..100 {
        assert!(!seen(100_000 + 100 * k, 1.23));
    }
    // A tenth below the limit it is forgotten, in between it is not.
    assert!(!seen(120_000, 1.27));
    assert!(!seen(120_400, 1.25 * 0.88));
    assert!(!seen(120_600, 1.27));
    assert!(!seen(120_700, 1.25 * 0.92));
    assert!(seen(121_100, 1.27));
}

#[test]
fn a_poor_match_is_lost_when_it_is_worse_by_a_quarter() {
    every_family!(is_worse_by_a_quarter);
}

fn does_not_hold_a_bypass<A: Arithmetic>() {
    let mut tuner = tuner(retuning::<A>());
    let mut now = 10_000;
    tuner.bypass(now).unwrap();
    let report = up_to_a_reading(&mut tuner, &mut now, Event::Tick).unwrap();
    assert_eq!((report.outcome, report.swr), (Outcome::Bypassed, None));
    for k in 0..200 {
        assert!(!sees(&mut tuner, now + 100 * k, 9.0), "a bypass is not a match");
    }
    // Nor is a match held that ended before it.
    let (mut tuner, mut now) = watching::<A>(retuning(), 10_000, 0.0);
    tuner.bypass(now).unwrap();
    let _ = up_to_a_reading(&mut tuner, &mut now, Event::Tick).unwrap();
    for k in 0..200 {
        assert!(!sees(&mut tuner, now + 100 * k, 9.0));
    }
}

#[test]
fn after_a_bypass_nothing_begins_by_itself() {
    every_family!(does_not_hold_a_bypass);
}

/// Without power, or with an invalid reading, nothing is known of the match.
#[test]
fn what_is_no_reading_is_not_watched() {
    let (mut tuner, end) = watching::<f64>(retuning(), 10_000, 0.0);
    for k in 0..100 {
        let now = end + 5_000 + 100 * k;
        let _ = tuner.step(now, None, at_swr(9.0));
        let _ = tuner.step(now, watts(0.05), at_swr(9.0));
        let _ = tuner.step(now, Some(f64::NAN.into()), at_swr(9.0));
        let nothing = SensorReading::Magnitude(f64::NAN.into());
        let _ = tuner.step(now, watts(10.0), Event::Reading(nothing));
        assert!(!tuner.is_running());
    }
    assert!(!sees(&mut tuner, end + 20_000, 9.0));
    assert!(sees(&mut tuner, end + 20_500, 9.0));
}

// --- readings ------------------------------------------------------------------------------------------------------

fn three_failures<A: Arithmetic>() {
    let fails: [fn() -> Event<A>; 2] = [|| Event::SensorFailed, || size(1.5)];
    for fail in fails {
        let mut tuner = tuner(TunerSettings::<A>::default());
        let (mut now, mut asked) = (0, 0);
        tuner.start(now, SEVEN, None).unwrap();
        let report = run_of(&mut tuner, &mut now, || {
            asked += 1;
            fail()
        });
        assert_eq!((report.outcome, asked), (Outcome::SensorFault, 3));
        assert_eq!((report.setting, report.swr), (Some(Setting::BYPASS), None));
        // Two, and a reading, and so on: the sensor works.
        let mut asked = 0;
        tuner.start(now, SEVEN, None).unwrap();
        let report = run_of(&mut tuner, &mut now, || {
            asked += 1;
            match asked % 3 {
                0 => size(if asked < 12 { 0.6 } else { 0.0 }),
                _ => fail(),
            }
        });
        assert_eq!(
            (report.outcome, report.readings, asked),
            (Outcome::Matched, 12, 12) // those that failed count too
        );
    }
}

#[test]
fn three_failures_in_a_row_end_a_run_and_two_do_not() {
    every_family!(three_failures);
}

/// More power than was sent may seem to return, by four standard deviations of the sensor.
fn four_deviations<A: Arithmetic>() {
    for noise in [0.01, 0.03] {
        let settings = TunerSettings {
            sensor_noise: word::<Component<A>>(noise),
            ..TunerSettings::default()
        };
        let outcome = |deviations: f64| {
            let mut tuner = tuner(settings);
            let mut now = 0;
            tuner.start(now, SEVEN, None).unwrap();
            run_of(&mut tuner, &mut now, || size(1.0 + deviations * noise)).outcome
        };
        for deviations in [0.0, 1.5, 2.5, 3.8] {
            assert_eq!(
                outcome(deviations),
                Outcome::LoadWithoutResistance,
                "{deviations}"
            );
        }
        for deviations in [4.2, 6.0] {
            assert_eq!(outcome(deviations), Outcome::SensorFault, "{deviations}");
        }
    }
}

#[test]
fn a_reading_beyond_four_deviations_is_none() {
    every_family!(four_deviations);
}

/// The parts have far more than their tolerance: over many runs no error is learned beyond four times that.
fn learns_within_limits<A: Arithmetic>() {
    let settings = TunerSettings {
        value_error: word::<Component<A>>(0.02),
        ..TunerSettings::default()
    };
    let (mut at_the_limit, mut largest) = (0, 0.0f64);
    let mut random = Random::new(4);
    for seed in 1..60 {
        let mut tuner = tuner(settings);
        let antenna = |load: Reflection<f64>| {
            let load = load.impedance(Reference::fifty());
            AntennaModel::Fixed(
                Impedance::try_from_f64(load.resistance().get(), load.reactance().get()).unwrap(),
            )
        };
        let first = antenna(random_load(&mut random, 0.8));
        let mut bench = SimulatedBench::new(usual_bank::<A>(), first, SEVEN, seed)
            .with_tolerance(word::<Component<A>>(0.15))
            .with_sensor(BenchSensor::Vector, word::<Component<A>>(0.005));
        for k in 0..30 {
            bench.connect(antenna(random_load(&mut random, 0.8)), SEVEN);
            let _ = bench.tune(&mut tuner, 100_000 * k, None).unwrap();
        }
        let (coils, capacitors) = tuner.learned_errors();
        for error in coils.iter().chain(&capacitors) {
            let error = error.to_f64().abs();
            largest = largest.max(error);
            at_the_limit += usize::from(error > 0.0799);
        }
    }
    println!("{:?}: {at_the_limit} at the limit, largest {largest}", A::FAMILY);
    assert!(largest <= 0.08 + 1e-4, "{largest}");
    // The control: there was more to learn than is allowed.
    assert!(at_the_limit >= 5, "{at_the_limit}");
}

#[test]
fn no_error_is_learned_beyond_four_tolerances() {
    learns_within_limits::<f64>();
    learns_within_limits::<Fixed32>();
}

/// By magnitudes alone a suggested setting is kept if it is good, without a search; one that is not good, and a good one
/// that nobody suggested, are searched on.
fn keeps_what_is_good<A: Arithmetic>() {
    let suggestion = Setting {
        coils: 9,
        capacitors: 4,
        ..Setting::BYPASS
    };
    for (suggested, swr, is_kept) in [
        (Some(suggestion), 1.1, true),
        (Some(suggestion), 1.45, true),
        (Some(suggestion), 1.55, false),
        (Some(suggestion), 3.0, false),
        (None, 1.45, false),
    ] {
        let mut tuner = tuner(TunerSettings::<A>::default());
        let mut now = 0;
        tuner.start(now, SEVEN, suggested).unwrap();
        assert_eq!(up_to_a_reading(&mut tuner, &mut now, Event::Tick), None);
        let report = up_to_a_reading(&mut tuner, &mut now, at_swr(swr));
        match report {
            Some(report) => {
                assert!(is_kept, "SWR {swr}: {report:?}");
                assert_eq!((report.outcome, report.readings), (Outcome::Matched, 1));
                assert_eq!(report.setting, suggested);
                assert!((report.swr.unwrap().to_f64() - swr).abs() < 0.01);
            }
            None => assert!(!is_kept, "SWR {swr}"),
        }
    }
}

#[test]
fn a_good_suggestion_is_kept_and_nothing_else() {
    every_family!(keeps_what_is_good);
}

// --- relays, power and time ----------------------------------------------------------------------------------------

/// Left while its relays move, the tuner does not know where they are, and sets every one of them.
fn forgets_positions<A: Arithmetic>() {
    let most = usual_bank::<A>().most_operations();
    let mut tuner = tuner(TunerSettings::<A>::default());
    let mut now = 1_000;
    tuner.start(now, SEVEN, None).unwrap();
    let _ = run_of(&mut tuner, &mut now, || size(0.0));
    assert_eq!(tuner.setting(), Some(Setting::BYPASS));
    // To a setting of its own, and cancelled on the way.
    let goal = Setting {
        coils: 5,
        capacitors: 3,
        ..Setting::BYPASS
    };
    tuner.start(now, SEVEN, Some(goal)).unwrap();
    let command = tuner.step(now, watts(0.5), Event::Tick);
    assert_eq!(command, Command::Switch(goal.positions()));
    tuner.cancel(now + 1);
    assert_eq!(tuner.setting(), None, "nobody knows where they are");
    // The answer comes too late: it is not that of the next command.
    let command = tuner.step(now + 2, watts(0.5), Event::Switched);
    assert!(matches!(command, Command::WaitUntil(_)), "{command:?}");
    assert_eq!(tuner.setting(), None);
    // They come to rest before they are moved again.
    let settled = now + 1 + 15;
    for ms in now + 3..settled {
        assert_eq!(
            tuner.step(ms, watts(0.5), Event::Tick),
            Command::WaitUntil(settled)
        );
    }
    let command = tuner.step(settled, watts(0.5), Event::Tick);
    assert_eq!(command, Command::Switch(Setting::BYPASS.positions()));
    now = settled;
    let report = up_to_a_reading(&mut tuner, &mut now, Event::Switched).unwrap();
    assert_eq!(
        (report.outcome, report.setting, report.operations),
        (Outcome::Cancelled, Some(Setting::BYPASS), 4 + most)
    );
}

#[test]
fn positions_are_forgotten_where_a_move_is_abandoned() {
    every_family!(forgets_positions);
}

/// Relays that come to rest when the run is cancelled do come to rest, and their positions are still known.
fn settles_when_cancelled<A: Arithmetic>() {
    let mut tuner = tuner(TunerSettings::<A>::default());
    let mut now = 1_000;
    tuner.start(now, SEVEN, None).unwrap();
    let _ = run_of(&mut tuner, &mut now, || size(0.0));
    let goal = Setting {
        coils: 5,
        ..Setting::BYPASS
    };
    tuner.start(now, SEVEN, Some(goal)).unwrap();
    let _ = tuner.step(now, watts(0.5), Event::Tick);
    let command = tuner.step(now + 2, watts(0.5), Event::Switched);
    let settled = now + 2 + 15;
    assert_eq!(command, Command::WaitUntil(settled));
    assert_eq!(tuner.setting(), None, "not before they are at rest");
    tuner.cancel(now + 3);
    assert_eq!(
        tuner.step(now + 4, watts(0.5), Event::Tick),
        Command::WaitUntil(settled)
    );
    let command = tuner.step(settled, watts(0.5), Event::Tick);
    assert_eq!(command, Command::Switch(Setting::BYPASS.positions()));
    now = settled;
    let report = up_to_a_reading(&mut tuner, &mut now, Event::Switched).unwrap();
    assert_eq!((report.outcome, report.operations), (Outcome::Cancelled, 4));
}

#[test]
fn relays_come_to_rest_even_when_a_run_is_cancelled() {
    every_family!(settles_when_cancelled);
}

/// A clock that goes back a little, or wraps, ends nothing.
fn keeps_its_patience<A: Arithmetic>() {
    for start in [1_000u32, u32::MAX - 40] {
        let mut tuner = tuner(TunerSettings::<A>::default());
        let mut now = start;
        tuner.start(now, SEVEN, None).unwrap();
        // Waiting for power, for relays, for rest, for a reading: each with a step of the past in between.
        let back = |now: u32| now.wrapping_sub(900);
        let reduce = tuner.step(back(now), watts(50.0), Event::Tick);
        assert!(matches!(reduce, Command::ReducePower(_)), "{reduce:?}");
        assert!(matches!(
            tuner.step(now, watts(0.5), Event::Tick),
            Command::Switch(_)
        ));
        let reply = now.wrapping_add(500);
        assert_eq!(
            tuner.step(back(now), watts(0.5), Event::Tick),
            Command::WaitUntil(reply)
        );
        let rest = now.wrapping_add(15);
        assert_eq!(
            tuner.step(now, watts(0.5), Event::Switched),
            Command::WaitUntil(rest)
        );
        assert_eq!(
            tuner.step(back(now), watts(0.5), Event::Tick),
            Command::WaitUntil(rest)
        );
        now = rest;
        assert_eq!(tuner.step(now, watts(0.5), Event::Tick), Command::Measure);
        let reply = now.wrapping_add(500);
        assert_eq!(
            tuner.step(back(now), watts(0.5), Event::Tick),
            Command::WaitUntil(reply)
        );
        let report = up_to_a_reading(&mut tuner, &mut now, size(0.0)).unwrap();
        assert_eq!((report.outcome, report.readings), (Outcome::Matched, 1));
    }
}

#[test]
fn a_clock_that_goes_back_ends_nothing() {
    every_family!(keeps_its_patience);
}

/// A power that cannot be is an unknown one: no relay moves, and nothing is read.
#[test]
fn a_power_that_cannot_be_is_unknown() {
    for power in [-0.1, -f64::INFINITY, f64::INFINITY, f64::NAN] {
        let mut tuner = tuner(TunerSettings::<f64>::default());
        let mut now = 1_000;
        tuner.start(now, SEVEN, None).unwrap();
        let command = tuner.step(now, Some(power.into()), Event::Tick);
        assert!(matches!(command, Command::ReducePower(_)), "{power}: {command:?}");
        let _ = tuner.step(now, watts(0.5), Event::Tick);
        let _ = tuner.step(now, watts(0.5), Event::Switched);
        now += 15;
        let command = tuner.step(now, Some(power.into()), Event::Tick);
        assert!(matches!(command, Command::RaisePower(_)), "{power}: {command:?}");
        // And the one who is asked for it in vain is the sensor, not the transmitter.
        let command = tuner.step(now + 5_000, Some(power.into()), Event::Tick);
        assert!(
            matches!(command, Command::Done(report) if report.outcome == Outcome::SensorFault),
            "{power}: {command:?}"
        );
    }
}

/// Each wait ends at its time and not a millisecond before.
#[test]
fn patience_ends_at_its_time() {
    let started = || {
        let mut tuner = tuner(TunerSettings::<f64>::default());
        tuner.start(1_000, SEVEN, None).unwrap();
        tuner
    };
    // For less power: 5,000 ms.
    let mut waits = started();
    assert!(matches!(
        waits.step(5_999, watts(50.0), Event::Tick),
        Command::ReducePower(_)
    ));
    assert!(matches!(
        waits.step(6_000, watts(50.0), Event::Tick),
        Command::Done(report) if report.outcome == Outcome::TooMuchPower
    ));
    // For the relays: 500 ms, then they are set once more, to bypass, and again 500 ms.
    let mut waits = started();
    assert!(matches!(
        waits.step(1_000, watts(0.5), Event::Tick),
        Command::Switch(_)
    ));
    assert_eq!(
        waits.step(1_499, watts(0.5), Event::Tick),
        Command::WaitUntil(1_500)
    );
    assert_eq!(
        waits.step(1_500, watts(0.5), Event::Tick),
        Command::WaitUntil(1_515)
    );
    assert!(matches!(
        waits.step(1_515, watts(0.5), Event::Tick),
        Command::Switch(_)
    ));
    assert_eq!(
        waits.step(2_014, watts(0.5), Event::Tick),
        Command::WaitUntil(2_015)
    );
    assert!(matches!(
        waits.step(2_015, watts(0.5), Event::Tick),
        Command::WaitUntil(2_030)
    ));
    // They may be moving all the same: the end waits until they rest.
    assert!(matches!(
        waits.step(2_030, watts(0.5), Event::Tick),
        Command::Done(report) if (report.outcome, report.setting) == (Outcome::BankFault, None)
    ));
    // For a reading: 500 ms, and it counts as one that failed.
    let mut waits = started();
    let mut now = 1_000;
    assert_eq!(up_to_a_reading(&mut waits, &mut now, Event::Tick), None);
    assert_eq!(
        waits.step(now + 499, watts(0.5), Event::Tick),
        Command::WaitUntil(now + 500)
    );
    assert_eq!(waits.step(now + 500, watts(0.5), Event::Tick), Command::Measure);
    // For more power: 5,000 ms, then bypass, which is there already.
    let mut waits = started();
    let mut now = 1_000;
    let _ = waits.step(now, watts(0.0), Event::Tick);
    let _ = waits.step(now, watts(0.0), Event::Switched);
    now += 15;
    assert!(matches!(
        waits.step(now, watts(0.0), Event::Tick),
        Command::RaisePower(_)
    ));
    assert!(matches!(
        waits.step(now + 4_999, watts(0.0), Event::Tick),
        Command::RaisePower(_)
    ));
    assert!(matches!(
        waits.step(now + 5_000, watts(0.0), Event::Tick),
        Command::Done(report) if report.outcome == Outcome::TooLittlePower
    ));
    // For the whole run: 60,000 ms less what the way to bypass may take, 5,000 ms for power and three steps of 515 ms.
    let mut waits = started();
    let mut now = 1_000;
    assert_eq!(up_to_a_reading(&mut waits, &mut now, Event::Tick), None);
    assert_eq!(waits.step(54_400, watts(0.5), Event::Tick), Command::Measure);
    assert!(matches!(
        waits.step(54_455, watts(0.5), Event::Tick),
        Command::WaitUntil(_)
    ));
    assert!(matches!(
        waits.step(54_456, watts(0.5), Event::Tick),
        Command::Done(report) if report.outcome == Outcome::TimedOut
    ));
}

/// The best setting is found, and the power does not let the relays go there: no SWR is reported, and nothing is held.
fn reports_no_swr_of_a_refused_setting<A: Arithmetic>() {
    let bench = |from: u32| {
        let faults = BenchFaults {
            power_stuck: Some((from, word(100.0))),
            ..BenchFaults::default()
        };
        SimulatedBench::new(
            usual_bank::<A>(),
            AntennaModel::Fixed(Impedance::try_from_f64(18.0, -45.0).unwrap()),
            SEVEN,
            1,
        )
        .with_sensor(BenchSensor::Scalar, word::<Component<A>>(0.003))
        .with_faults(faults)
    };
    let mut refused = 0;
    for from in (0..400).step_by(5) {
        let bench = bench(from);
        let mut tuner = tuner(retuning::<A>());
        let report = bench.tune(&mut tuner, 0, None).unwrap();
        assert_eq!(bench.switched_hot(), 0);
        if report.outcome == Outcome::TooMuchPower {
            refused += 1;
            assert_eq!(report.swr, None);
            // The limit in force must not be that of a match that was never set.
            assert!(!sees(&mut tuner, 1_000_000, 9.0) && !sees(&mut tuner, 1_001_000, 9.0));
        }
    }
    assert!(refused > 20, "{refused}");
}

#[test]
fn a_setting_that_was_refused_has_no_swr() {
    every_family!(reports_no_swr_of_a_refused_setting);
}

// --- all of it at once ---------------------------------------------------------------------------------------------

/// Relays that do what they are told, or half of it, and answer at once, later, never, or with an error.
struct World {
    random: Random,
    relays: Positions,
    /// The answer under way.
    answer: Option<(u32, Event<f64>)>,
    /// How reliable the world is, from 0 to 9.
    goodwill: u64,
}

impl World {
    fn chance(&mut self, of_ten: u64) -> bool {
        self.random.bits() % 10 < of_ten
    }

    fn switch(&mut self, wanted: Positions, now: u32) {
        let delay = (self.random.bits() % 4 * (self.random.bits() % 200)) as u32;
        if self.chance(self.goodwill.max(5)) {
            self.relays = wanted;
            self.answer = Some((now + delay, Event::Switched));
            return;
        }
        let some = self.random.bits() as u16;
        self.relays.coils = self.relays.coils & some | wanted.coils & !some;
        self.relays.capacitors = wanted.capacitors;
        self.answer = self.chance(5).then_some((now + delay, Event::SwitchFailed));
    }

    fn power(&mut self) -> Option<f64> {
        if self.chance(self.goodwill) {
            return Some(0.5);
        }
        match self.random.bits() % 5 {
            0 => None,
            1 => Some(f64::NAN),
            2 => Some(0.01),
            3 => Some(1.0),
            _ => Some(100.0),
        }
    }

    fn reading(&mut self) -> Event<f64> {
        if !self.chance(self.goodwill) {
            return Event::SensorFailed;
        }
        if self.chance(5) {
            return size(self.random.between(0.0, 1.0));
        }
        Event::Reading(SensorReading::Vector(random_load::<f64>(&mut self.random, 0.98)))
    }
}

#[derive(Default, Debug)]
struct Tally {
    runs: u32,
    switches: u32,
    abandoned: u32,
    usable: u32,
    most_operations: u16,
    spent: u32,
}

/// The positions between which relays moved: from known ones only parts that leave, or the changeover, or parts that
/// come.
fn is_break_before_make(before: Positions, after: Positions) -> bool {
    let leave = before.coils & !after.coils != 0
        || before.capacitors & !after.capacitors != 0
        || (before.tap.is_some() && before.tap != after.tap);
    let come = after.coils & !before.coils != 0
        || after.capacitors & !before.capacitors != 0
        || (after.tap.is_some() && before.tap != after.tap);
    let changes_over = before.side != after.side;
    u8::from(leave) + u8::from(come) + u8::from(changes_over) <= 1
}

fn survives(seed: u64, settings: TunerSettings<f64>, tally: &mut Tally) {
    let mut world = World {
        random: Random::new(seed),
        relays: Positions::default(),
        answer: None,
        goodwill: 9,
    };
    world.relays.coils = world.random.bits() as u16 & 255;
    let mut tuner = tuner(settings);
    // What the tuner may know: the positions after the last answer.
    let mut known: Option<Positions> = None;
    let mut now = 0;
    for _ in 0..3 {
        world.goodwill = 6 + world.random.bits() % 4;
        let suggestion = world.chance(5).then(|| Setting {
            coils: world.random.bits() as u16 & 255,
            capacitors: world.random.bits() as u16 & 255,
            ..Setting::BYPASS
        });
        tuner.start(now, SEVEN, suggestion).unwrap();
        tally.runs += 1;
        // When the last relay was commanded or has answered, and whether an answer is awaited.
        let mut moved: Option<u32> = None;
        let mut awaited: Option<Positions> = None;
        let mut event = Event::Tick;
        let report = loop {
            if awaited.is_some() && world.chance(1) && world.chance(5) {
                // One that is on its way to bypass already is not cancelled, and goes on waiting for its answer.
                if format!("{tuner:?}").contains("is_leaving: false") {
                    tally.abandoned += 1;
                    awaited = None;
                    known = None;
                    moved = Some(now);
                }
                tuner.cancel(now);
            } else if awaited.is_none() && world.random.bits().is_multiple_of(200) {
                tuner.cancel(now);
            }
            let power = world.power();
            let command = tuner.step(now, power.map(Into::into), event);
            match (event, awaited) {
                (Event::Switched, Some(positions)) => {
                    known = Some(positions);
                    awaited = None;
                    moved = Some(now);
                }
                (Event::SwitchFailed, Some(_)) => {
                    known = None;
                    awaited = None;
                    moved = Some(now);
                }
                _ => {}
            }
            if awaited.is_some() && moved.is_some_and(|moved| now - moved >= 500) {
                // It has lost patience, and the relays may be anywhere.
                awaited = None;
                known = None;
                moved = Some(now);
            }
            event = Event::Tick;
            match command {
                Command::Done(report) => break report,
                Command::Switch(wanted) => {
                    assert!(
                        power.is_some_and(|power| power <= 1.0),
                        "seed {seed}: at {power:?} W"
                    );
                    assert!(
                        moved.is_none_or(|moved| now - moved >= 15),
                        "seed {seed}: relays are moved at {now} that were still moving at {moved:?}"
                    );
                    match known {
                        Some(before) => assert!(
                            is_break_before_make(before, wanted),
                            "seed {seed}: {before:?} to {wanted:?}"
                        ),
                        None => assert_eq!(wanted, Setting::BYPASS.positions(), "seed {seed}"),
                    }
                    tally.switches += 1;
                    world.switch(wanted, now);
                    awaited = Some(wanted);
                    moved = Some(now);
                }
                Command::Measure => {
                    assert!(power.is_some_and(|power| power >= 0.1), "seed {seed}");
                    event = world.reading();
                }
                Command::WaitUntil(time) => {
                    now = match world.answer {
                        Some((at, answer)) if at <= time => {
                            world.answer = None;
                            event = answer;
                            at.max(now)
                        }
                        _ => time.max(now),
                    };
                }
                Command::ReducePower(_) | Command::RaisePower(_) => now += 7,
                other => panic!("seed {seed}: {other:?}"),
            }
        };
        assert!(report.readings <= settings.most_readings, "seed {seed}");
        assert!(
            report.operations <= settings.most_operations,
            "seed {seed}: {report:?}"
        );
        // What is said of the relays is so.
        if let Some(setting) = report.setting {
            assert_eq!(world.relays, setting.positions(), "seed {seed}: {report:?}");
        }
        tally.usable += u32::from(report.outcome.is_usable());
        tally.spent += u32::from(report.outcome == Outcome::BudgetSpent);
        tally.most_operations = tally.most_operations.max(report.operations);
        now += 1_000;
        world.answer = None;
    }
}

#[test]
fn no_promise_is_broken_in_a_hostile_world() {
    let most = usual_bank::<f64>().most_operations();
    for times in [3, 4, 5, 8] {
        let settings = TunerSettings {
            most_operations: times * most,
            run_timeout_ms: 1_000_000,
            ..TunerSettings::default()
        };
        let mut tally = Tally::default();
        for seed in 0..3_000 {
            survives(seed, settings, &mut tally);
        }
        println!("of {} operations: {tally:?}", times * most);
        // The control: all of it happened, and the budget was nearly reached.
        assert!(tally.abandoned > 20 && tally.switches > 10_000 && tally.usable > 50);
        assert!(times > 4 || tally.spent > 20, "{tally:?}");
        assert!(times > 4 || tally.most_operations + most / 2 >= settings.most_operations);
    }
}
