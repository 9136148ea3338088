//! Settings: the defaults are what they are said to be, in every family, and a setter sets its own field alone.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::Quantity;
use ohmwright::control::TunerSettings;
use ohmwright::measure::SweepSettings;
use ohmwright::measure::calibration::QualityLimits;
use ohmwright::quantity::{Component, Decibels, Hertz, Reference, Swr, Watts};

/// The nearest word.
fn word<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

fn defaults<A: Arithmetic>() {
    let sweep = SweepSettings::<A>::default();
    assert_eq!(
        sweep,
        SweepSettings {
            reference: Reference::fifty(),
            swr_limit: word::<Swr<A>>(2.0),
            target: None,
            prominence: word::<Component<A>>(0.01),
            noise: word::<Component<A>>(0.01),
        }
    );
    let tuner = TunerSettings::<A>::default();
    assert_eq!(tuner.switching_limit, word::<Watts<A>>(1.0));
    assert_eq!(tuner.measuring_minimum, word::<Watts<A>>(0.1));
    assert_eq!(tuner.sensor_noise, word::<Component<A>>(0.01));
    assert_eq!(tuner.value_error, word::<Component<A>>(0.05));
    assert_eq!(tuner.good_swr, word::<Swr<A>>(1.5));
    assert_eq!(tuner.retune_swr, word::<Swr<A>>(2.0));
    let quality = QualityLimits::<A>::default();
    assert_eq!(quality.error, word::<Component<A>>(0.02));
    assert_eq!(quality.power_db, word::<Decibels<A>>(1.0));
}

fn setters<A: Arithmetic>() {
    let at = Some(Hertz::from_megahertz(71));
    let built = SweepSettings::<A>::new()
        .with_target(at)
        .with_swr_limit(Swr::thousandths::<1_500>());
    let written = SweepSettings::<A> {
        target: at,
        swr_limit: word(1.5),
        ..Default::default()
    };
    assert_eq!(built, written);
    // A control: what was not set differs where it is set.
    assert_ne!(built.with_prominence(Component::ZERO), written);
    let built = TunerSettings::<A>::new()
        .with_settle_ms(20)
        .with_retune_after_ms(Some(5));
    let written = TunerSettings::<A> {
        settle_ms: 20,
        retune_after_ms: Some(5),
        ..Default::default()
    };
    assert_eq!(built, written);
}

#[test]
fn defaults_are_the_nearest_words() {
    every_family!(defaults);
}

#[test]
fn a_setter_sets_one_field() {
    every_family!(setters);
}
