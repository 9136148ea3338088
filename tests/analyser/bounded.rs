//! The work of a push is bounded: what it leaves is done later, and the report says the same.

use core::cell::RefCell;

use crate::circuits::{Circuit, ROOM, c, even, points};
use crate::common::Random;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::{Method, SweepAnalyser, SweepReport, SweepSettings};
use ohmwright::quantity::{Hertz, Reflection};

type Points<A> = Vec<(Hertz, Reflection<A>)>;

/// Two resonances behind a cable, with noise.
fn busy<A: Arithmetic>(random: &mut Random, count: usize, noise: f64) -> Points<A> {
    let low = Circuit::series(random.between(20.0, 90.0), random.between(5.0, 20.0), 120e6);
    let high = Circuit::parallel(random.between(20.0, 90.0), random.between(5.0, 20.0), 170e6);
    let (low, high) = (low.behind(75.0, 6e-9), high.behind(60.0, 3e-9));
    let random = RefCell::new(random);
    points(&even(100_000_000, 200_000_000, count), |f| {
        let mut random = random.borrow_mut();
        let off = c(random.normal(), random.normal()).times(noise);
        low.gamma(f).times(0.5) + high.gamma(f).times(0.5) + off
    })
}

/// Samples that are noise alone.
fn hopeless<A: Arithmetic>(random: &mut Random) -> Points<A> {
    let random = RefCell::new(random);
    points(&even(100_000_000, 200_000_000, 401), |_| {
        let mut random = random.borrow_mut();
        c(random.between(-0.7, 0.7), random.between(-0.7, 0.7))
    })
}

/// The report, and whether work waited after some push. If `settles`, nothing ever waits for the next push.
fn swept<A: Arithmetic>(points: &Points<A>, settles: bool) -> (SweepReport<A, ROOM>, bool) {
    let mut analyser = SweepAnalyser::<A, ROOM>::new(SweepSettings::default()).unwrap();
    let mut waits = false;
    for (frequency, gamma) in points {
        analyser.push(*frequency, *gamma).unwrap();
        if settles {
            while analyser.settle() {
                waits = true;
            }
        }
    }
    let report = analyser.report();
    for call in 0.. {
        assert!(call < 200, "there is always something left");
        if !analyser.settle() {
            break;
        }
        assert_eq!(analyser.report(), report, "a step changes the report");
    }
    assert_eq!(analyser.report(), report, "the last step changes the report");
    (report, waits)
}

/// Whether the work of a push waited or not, the figures are the same to the bit.
fn waiting_changes_nothing<A: Arithmetic>() {
    let mut random = Random::new(16);
    let (mut waited, mut compared) = (0, 0);
    for round in 0..60 {
        let points = busy::<A>(
            &mut random,
            [401, 201, 101][round % 3],
            [0.0, 1e-3, 3e-3][round / 3 % 3],
        );
        let (at_once, waits) = swept(&points, true);
        let (later, _) = swept(&points, false);
        assert_eq!(at_once.hurried(), 0);
        waited += usize::from(waits);
        if later.hurried() == 0 && later.spoilt().is_empty() {
            compared += 1;
            assert_eq!(at_once, later, "round {round}");
        }
    }
    assert!(waited > 30, "work was left by a push in {waited} of 60 only");
    assert!(compared > 50, "only {compared} of 60 were not hurried");
}

#[test]
fn waiting_changes_no_figure() {
    waiting_changes_nothing::<f64>();
    waiting_changes_nothing::<f32>();
    waiting_changes_nothing::<Fixed32>();
    waiting_changes_nothing::<Fixed16>();
}

/// On noise alone there is no time for curves: that is told, and the figures are those of points and lines.
fn noise_is_hurried<A: Arithmetic>() {
    let points = hopeless::<A>(&mut Random::new(61));
    let (report, _) = swept(&points, false);
    assert!(report.hurried() > 40, "{}", report.hurried());
    assert!(report.hurried() < report.points());
    let best = report.best().unwrap();
    let plain = |method: Method| matches!(method, Method::Measured | Method::Line);
    let lines = report
        .resonances()
        .iter()
        .filter(|found| plain(found.method))
        .count();
    assert!(lines > 0 && best.swr().to_f64() >= 1.0, "{report:?}");
    // With time between the points nothing is hurried.
    assert_eq!(swept(&points, true).0.hurried(), 0);
}

#[test]
fn samples_of_noise_alone_are_hurried_and_told() {
    noise_is_hurried::<f64>();
    noise_is_hurried::<f32>();
    noise_is_hurried::<Fixed32>();
    noise_is_hurried::<Fixed16>();
}

/// After a restart nothing of the last sweep waits.
#[test]
fn a_restart_forgets_the_work_that_waits() {
    let points = busy::<Fixed32>(&mut Random::new(5), 201, 1e-3);
    let fresh = swept(&points, false).0;
    let mut analyser = SweepAnalyser::<Fixed32, ROOM>::new(SweepSettings::default()).unwrap();
    for cut in [20, 60, 61, 62, 63, 64, 65, 140] {
        analyser.restart();
        for (frequency, gamma) in hopeless::<Fixed32>(&mut Random::new(cut))
            .iter()
            .take(cut as usize)
        {
            analyser.push(*frequency, *gamma).unwrap();
        }
        analyser.restart();
        for (frequency, gamma) in &points {
            analyser.push(*frequency, *gamma).unwrap();
        }
        assert_eq!(analyser.report(), fresh);
    }
}
