//! The meter step by step: what it measures, when it alarms, and that nothing stops it.

mod bench;

use bench::{Bench, bench, straight};
use embedded_hal::i2c::ErrorKind;
use embedded_hal_mock::eh1::MockError;
use embedded_hal_mock::eh1::digital::{Mock as Line, State, Transaction as OnLine};
use embedded_hal_mock::eh1::i2c::{Mock as Bus, Transaction as OnBus};
use ohmwright::arithmetic::Fixed32;
use swr_meter::demo::DEMO;
use swr_meter::{AlarmCause, Meter, Numbers, Panel, Polarity, Setup, Signal, Troubles};

fn in_every_family(check: fn(Bench<Fixed32>), same: fn(Bench<f32>), setup: Setup) {
    check(bench(setup));
    same(bench(setup));
}

macro_rules! every_family {
    ($check:ident, $setup:expr) => {
        in_every_family($check::<Fixed32>, $check::<f32>, $setup)
    };
}

/// By hand: 2 V and 0.4 V at the detectors. |Γ| = 0.2, SWR 1.2/0.8 = 1.5; 2² V²/50 Ω = 80 mW, 20 dB below 8 W; a directivity
/// of 30 dB leaks 0.0316, so the SWR is from 1.1684/0.8316 = 1.405 to 1.2316/0.7684 = 1.603.
fn measures<A: Numbers>(mut bench: Bench<A>) {
    bench.front.give(2_000, 400);
    bench.front.stick();
    let status = bench.meter.step(10);
    let Signal::Reading(reading) = status.signal else {
        panic!("{status:?}")
    };
    assert!((149..=150).contains(&A::hundredths(reading.swr())));
    let interval = reading.swr_interval();
    assert_eq!(A::hundredths(interval.low), 140);
    assert_eq!(interval.high.map(A::hundredths), Some(160));
    assert!(
        (reading.forward().to_f64() - 8.0).abs() < 0.01,
        "{:?}",
        reading.forward()
    );
    assert!((reading.reflected().to_f64() - 0.32).abs() < 0.001);
    assert_eq!((status.alarm, status.peak), (None, reading.forward()));
    assert!(!bench.wire.is_high());
}

#[test]
fn what_is_worked_out_by_hand_is_measured() {
    every_family!(measures, straight());
}

fn alarms<A: Numbers>(mut bench: Bench<A>) {
    // On until something was measured.
    assert!(bench.wire.is_high());
    let mut state = |forward, reverse, elapsed| {
        bench.front.give(forward, reverse);
        let status = bench.meter.step(elapsed);
        assert_eq!(status.alarm.is_some(), bench.wire.is_high());
        status.alarm
    };
    assert_eq!(state(0, 0, 10), None);
    // SWR 1.5, and then 3: above the limit of 2.
    assert_eq!(state(2_000, 400, 10), None);
    assert_eq!(state(2_000, 1_000, 10), Some(AlarmCause::Swr));
    // It stays for a second after that.
    assert_eq!(state(2_000, 400, 10), Some(AlarmCause::Swr));
    assert_eq!(state(2_000, 400, 980), Some(AlarmCause::Swr));
    assert_eq!(state(2_000, 400, 10), None);
    // Below a quarter of a watt (0.35 V here) nothing is judged.
    assert_eq!(state(340, 300, 10), None);
    assert_eq!(state(360, 300, 10), Some(AlarmCause::Swr));
    assert_eq!(state(0, 0, 2_000), None);
    // The converter's limit, and above the table, at either detector.
    for (forward, reverse) in [
        (4_095, 100),
        (2_000, 4_095),
        (4_050, 100),
        (2_000, 4_050),
        (0, 4_095),
    ] {
        assert_eq!(
            state(forward, reverse, 10),
            Some(AlarmCause::TooMuch),
            "{forward} {reverse}"
        );
        assert_eq!(state(0, 0, 2_000), None);
    }
    // More comes back than goes out.
    assert_eq!(state(1_000, 1_200, 10), Some(AlarmCause::Swr));
    assert_eq!(state(0, 0, 2_000), None);
    // A broken forward diode must not silence it.
    assert_eq!(state(0, 500, 10), Some(AlarmCause::NotMeasured));
    assert_eq!(state(0, 0, 2_000), None);
}

#[test]
fn the_alarm_comes_at_once_and_stays_for_its_time() {
    every_family!(alarms, straight());
}

fn stuck<A: Numbers>(mut bench: Bench<A>) {
    bench.front.give(2_000, 400);
    for _ in 0..2_000 {
        assert_eq!(bench.meter.step(10).alarm, None);
    }
    bench.front.stick();
    let after = (0..2_000).position(|_| bench.meter.step(10).signal == Signal::Stuck);
    assert!(
        after.is_some_and(|after| (499..=501).contains(&after)),
        "{after:?}"
    );
    assert!(bench.wire.is_high());
    assert_eq!(bench.meter.step(10).alarm, Some(AlarmCause::NotMeasured));
    // It moves again.
    bench.front.give(2_000, 400);
    bench.meter.step(10);
    assert!(matches!(bench.meter.step(10).signal, Signal::Reading(_)));
    // Silence for a minute is no fault.
    bench.front.give(0, 0);
    for _ in 0..6_000 {
        assert_eq!(bench.meter.step(10).signal, Signal::NoSignal);
    }
}

#[test]
fn a_converter_that_is_stuck_is_noticed_and_silence_is_not_taken_for_it() {
    every_family!(stuck, straight());
}

fn failing<A: Numbers>(mut bench: Bench<A>) {
    bench.front.give(2_000, 400);
    bench.meter.step(10);
    bench.front.fail();
    let status = bench.meter.step(10);
    assert_eq!(
        (status.signal, status.alarm),
        (Signal::ConverterFailed, Some(AlarmCause::NotMeasured))
    );
    bench.front.give(2_000, 400);
    assert!(matches!(bench.meter.step(10).signal, Signal::Reading(_)));
    assert_eq!(bench.meter.step(1_000).alarm, None);
}

#[test]
fn a_converter_that_fails_alarms_and_is_read_again() {
    every_family!(failing, straight());
}

fn peak<A: Numbers>(mut bench: Bench<A>) {
    let mut peak = |forward, elapsed| {
        bench.front.give(forward, 100);
        bench.front.stick();
        bench.meter.step(elapsed).peak.to_f64().round()
    };
    assert_eq!(peak(2_000, 10), 8.0);
    assert_eq!(peak(1_000, 1_400), 8.0);
    assert_eq!(peak(1_000, 99), 8.0);
    assert_eq!(peak(1_000, 1), 2.0);
    assert_eq!(peak(3_000, 10), 18.0);
    assert_eq!(peak(0, 10), 18.0);
    assert_eq!(peak(0, 1_500), 0.0);
}

#[test]
fn the_peak_is_held_for_its_time() {
    every_family!(peak, straight());
}

/// Every pair of counts on a grid, through the whole table and beyond: an answer each time, and never silence where a
/// detector is at its limit.
fn every_count<A: Numbers>(mut bench: Bench<A>) {
    for forward in (0..=4_095).step_by(65).chain([4_094, 4_095, u16::MAX - 1]) {
        for reverse in (0..=4_095).step_by(65).chain([4_094, 4_095, u16::MAX]) {
            bench.front.give(forward, reverse);
            let status = bench.meter.step(2_000);
            let beyond = forward > 4_000 || reverse > 4_000;
            assert_eq!(
                beyond,
                matches!(status.signal, Signal::TooMuch(_)),
                "{forward} {reverse} {status:?}"
            );
            assert_eq!(status.alarm.is_some(), bench.wire.is_high());
            if beyond {
                assert_eq!(status.alarm, Some(AlarmCause::TooMuch));
            }
        }
    }
}

#[test]
fn every_count_has_an_answer() {
    every_family!(every_count, DEMO);
    every_family!(every_count, straight());
}

#[test]
fn a_line_that_fails_is_marked_and_driven_again() {
    let broken = || MockError::Io(std::io::ErrorKind::BrokenPipe);
    let mut line = Line::new(&[
        OnLine::set(State::High),
        OnLine::set(State::Low).with_error(broken()),
        OnLine::set(State::Low),
        OnLine::set(State::High).with_error(broken()),
        OnLine::set(State::High),
    ]);
    let glass = bench::Glass::default();
    let front = bench::Front::default();
    front.give(2_000, 400);
    let panel = Panel::new(glass.clone());
    let mut meter =
        Meter::<Fixed32, _, _, _>::new(straight(), front.clone(), line.clone(), Polarity::High, panel)
            .unwrap();
    assert!(meter.step(10).troubles.alarm_line);
    assert!(!meter.step(10).troubles.alarm_line);
    front.give(2_000, 1_500);
    let status = meter.step(10);
    assert_eq!(
        (status.troubles.alarm_line, status.alarm),
        (true, Some(AlarmCause::Swr))
    );
    assert!(!meter.step(10).troubles.alarm_line);
    line.done();
}

#[test]
fn low_may_mean_alarm() {
    let mut line = Line::new(&[
        OnLine::set(State::Low),
        OnLine::set(State::High),
        OnLine::set(State::Low),
    ]);
    let front = bench::Front::default();
    front.give(2_000, 400);
    let panel = Panel::new(bench::Glass::default());
    let mut meter =
        Meter::<f32, _, _, _>::new(straight(), front.clone(), line.clone(), Polarity::Low, panel).unwrap();
    meter.step(10);
    front.fail();
    meter.step(10);
    line.done();
}

/// No display on the bus: one attempt a second, and no more.
#[test]
fn an_absent_display_costs_one_attempt_a_second() {
    // The first command of the driver, display off.
    let refused = || OnBus::write(0x3c, vec![0, 0xae]).with_error(ErrorKind::Other);
    let mut bus = Bus::new(&[refused(), refused(), refused()]);
    let (front, wire) = (bench::Front::default(), bench::Wire::default());
    let panel = Panel::new(bus.clone());
    let mut meter =
        Meter::<f32, _, _, _>::new(straight(), front.clone(), wire.clone(), Polarity::High, panel).unwrap();
    front.give(2_000, 1_500);
    for _ in 0..250 {
        let status = meter.step(10);
        assert_eq!(
            status.troubles,
            Troubles {
                display: true,
                ..Troubles::default()
            }
        );
        assert_eq!(status.alarm, Some(AlarmCause::Swr));
        assert!(wire.is_high());
    }
    bus.done();
}

#[test]
fn a_display_that_comes_back_shows_the_whole_frame() {
    let mut bench = bench::<Fixed32>(straight());
    bench.front.give(2_000, 400);
    bench.front.stick();
    bench.meter.step(100);
    assert!(bench.glass.is_on());
    let before = bench.glass.picture();
    bench.glass.unplug();
    // Without a change of the frame nothing would be sent; the driver sends what the drawing touched.
    let noticed = (0..5).any(|_| bench.meter.step(100).troubles.display);
    assert!(noticed, "the loss of the display is not noticed");
    bench.front.give(2_000, 1_500);
    for _ in 0..30 {
        let status = bench.meter.step(100);
        assert!(status.troubles.display && bench.wire.is_high());
    }
    bench.glass.plug();
    bench.front.give(2_000, 400);
    bench.front.stick();
    // A second until it is tried, another until the alarm is over.
    let troubles: Vec<bool> = (0..25).map(|_| bench.meter.step(100).troubles.display).collect();
    assert!(!troubles[24] && bench.glass.is_on());
    assert_eq!(bench.glass.picture(), before);
}

/// The bus fails after so many bytes of a frame: two seconds later the glass shows what it should.
#[test]
fn a_bus_that_fails_in_the_middle_of_a_frame_leaves_no_trace() {
    let wanted = {
        let mut bench = bench::<f32>(straight());
        bench.front.give(2_000, 400);
        bench.front.stick();
        bench.meter.step(100);
        bench.glass.picture()
    };
    for after in (0..1_024).step_by(37) {
        let mut bench = bench::<f32>(straight());
        bench.glass.0.borrow_mut().fails_after = Some(after);
        bench.front.give(2_000, 400);
        bench.front.stick();
        assert!(bench.meter.step(100).troubles.display, "{after}");
        for _ in 0..11 {
            bench.meter.step(100);
        }
        assert_eq!(bench.glass.picture(), wanted, "after {after} bytes");
    }
}

#[test]
fn a_setup_out_of_range_makes_no_meter() {
    let good = straight();
    let spoilt = [
        Setup {
            full_scale: 0,
            ..good
        },
        Setup {
            reference_milliohms: 999,
            ..good
        },
        Setup {
            coupling_hundredths: 20_001,
            ..good
        },
        Setup {
            directivity_hundredths: 0,
            ..good
        },
        Setup {
            weakest_microvolts: 0,
            ..good
        },
        Setup {
            limit_thousandths: 1_099,
            ..good
        },
        Setup {
            judged_from_milliwatts: 400_000_001,
            ..good
        },
        Setup {
            forward: swr_meter::Levels::of([(1, 1_000)]),
            ..good
        },
        Setup {
            reverse: swr_meter::Levels::of([(1, 1_000), (1, 2_000)]),
            ..good
        },
        Setup {
            reverse: swr_meter::Levels::of([(1, 2_000), (2, 2_000)]),
            ..good
        },
        Setup {
            reverse: swr_meter::Levels::of([(1, 2_000), (4_095, 3_000)]),
            ..good
        },
        Setup {
            reverse: swr_meter::Levels::of([(1, 2_000), (2, 400_000_001)]),
            ..good
        },
    ];
    let mut bench = bench::<Fixed32>(good);
    for setup in spoilt {
        let error = setup.check().unwrap_err();
        assert_eq!(bench.meter.set_up(setup), Err(error));
        assert_eq!(*bench.meter.setup(), good);
        let panel = Panel::new(bench::Glass::default());
        let made = Meter::<f32, _, _, _>::new(
            setup,
            bench.front.clone(),
            bench.wire.clone(),
            Polarity::High,
            panel,
        );
        assert_eq!(made.err(), Some(error));
    }
}

#[test]
fn the_button_goes_through_the_limits() {
    let mut bench = bench::<f32>(straight());
    let mut next = || {
        bench.meter.next_limit();
        bench.meter.setup().limit_thousandths
    };
    assert_eq!([next(), next(), next(), next()], [2_500, 3_000, 1_500, 2_000]);
}
