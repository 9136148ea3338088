//! Single cases of the next step whose answer is known; the rates stand in `tests/judgement`. All circuits are invented.

use core::f64::consts::TAU;

use crate::common::complex::{C, c};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::transformer::Turns;
use ohmwright::measure::{
    Action, Built, NextStep, Reason, SweepAnalyser, SweepSettings, SweepSurvey, TuningElement,
};
use ohmwright::quantity::{Hertz, Ratio, Reflection};

/// Sweeps a load of this impedance, and asks.
fn ask<A: Arithmetic>(
    (start, stop): (u64, u64),
    target: u64,
    built: &Built<A>,
    impedance: impl Fn(f64) -> C,
) -> NextStep<A> {
    let settings = SweepSettings::new().with_target(Some(Hertz::new(target)));
    let mut analyser = SweepAnalyser::<A, 8>::new(settings).unwrap();
    let mut survey = SweepSurvey::new();
    for index in 0..=200 {
        let f = start + (stop - start) * index / 200;
        let z = impedance(f as f64);
        let gamma = (z - c(50.0, 0.0)) / (z + c(50.0, 0.0));
        let gamma = Reflection::<A>::try_from_f64(gamma.re, gamma.im).unwrap();
        analyser.push(Hertz::new(f), gamma).unwrap();
        survey.push(Hertz::new(f), gamma).unwrap();
    }
    NextStep::new(&analyser.report(), &survey, built).unwrap()
}

/// R, L and C in series, by the resonance and the reactance of L there.
fn series(r: f64, resonance: f64, reactance: f64) -> impl Fn(f64) -> C {
    move |f| c(r, reactance * (f / resonance - resonance / f))
}

/// An antenna with an SWR of 5 at its dip, which stands 1 % below the target: moving it would gain nothing.
#[test]
fn a_move_that_gains_nothing_is_not_told() {
    fn of<A: Arithmetic>() {
        let antenna = series(10.0, 37.6e6, 280.0);
        let one = Turns::new(1, 1).unwrap();
        let fixed = Built::<A>::new(TuningElement::Length).with_most_turns(one);
        let next = ask((30_000_000, 44_000_000), 37_650_000, &fixed, &antenna);
        assert_eq!((next.action, next.reason), (Action::Leave, Reason::NothingGains));
        // With turns there is something to gain.
        let next = ask(
            (30_000_000, 44_000_000),
            37_650_000,
            &Built::<A>::new(TuningElement::Length),
            &antenna,
        );
        assert!(matches!(next.action, Action::Turns(_)), "{next:?}");
    }
    of::<f64>();
    of::<f32>();
    of::<Fixed32>();
    of::<Fixed16>();
}

/// A coil in series with a resistor has no resonance: it is answered with a part, and with no direction.
#[test]
fn a_coil_and_a_resistor_have_no_dip_to_move() {
    let load = |f: f64| c(40.0, TAU * f * 200e-9);
    let next = ask(
        (100_000, 200_000_000),
        100_000_000,
        &Built::<Fixed32>::new(TuningElement::Inductance),
        load,
    );
    assert!(matches!(next.action, Action::Part(_)), "{next:?}");
    assert_eq!(next.reason, Reason::Reactance);
    let expected = next.expected.unwrap();
    assert!((expected.swr.to_f64() - 1.25).abs() < 0.01);
}

/// What the element cannot do is not asked of it; the limits themselves can be refused.
#[test]
fn the_element_has_limits() {
    let tank = series(45.0, 60e6, 300.0);
    let sweep = (30_000_000, 110_000_000);
    let wide = Built::<f64>::new(TuningElement::Capacitance);
    let next = ask(sweep, 70_000_000, &wide, &tank);
    let Action::Move(trimmer) = next.action else {
        panic!("{next:?}")
    };
    assert!((trimmer.factor.get() - (60.0f64 / 70.0).powi(2)).abs() < 1e-3);
    assert_eq!(
        (trimmer.dip.get() / 100_000, trimmer.wanted.get()),
        (600, 70_000_000)
    );
    let narrow = wide.with_least_factor(Ratio::new(0.9));
    assert!(!matches!(
        ask(sweep, 70_000_000, &narrow, &tank).action,
        Action::Move(_)
    ));
    let mut analyser = SweepAnalyser::<f64, 4>::new(SweepSettings::new()).unwrap();
    analyser.push(Hertz::new(1), Reflection::OPEN).unwrap();
    for wrong in [
        wide.with_least_factor(Ratio::new(0.0)),
        wide.with_least_factor(Ratio::new(1.1)),
        wide.with_most_factor(Ratio::new(0.9)),
        wide.with_most_factor(Ratio::new(f64::NAN)),
    ] {
        assert!(NextStep::new(&analyser.report(), &SweepSurvey::new(), &wrong).is_err());
    }
}

/// Before the first point.
#[test]
fn no_sweep_has_no_step() {
    let analyser = SweepAnalyser::<Fixed32, 4>::new(SweepSettings::new()).unwrap();
    let built = Built::new(TuningElement::Length);
    let next = NextStep::new(&analyser.report(), &SweepSurvey::new(), &built).unwrap();
    assert_eq!(
        (next.action, next.reason),
        (Action::MeasureAgain, Reason::NoSweep)
    );
}
