//! The protection: what it lets pass, what it counts, and what ends a trip.

use crate::tuners::*;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::control::{Protection, SensorReading, TunerError, Verdict};
use ohmwright::quantity::{QuantityError, Swr, Watts};

fn at<A: Arithmetic>(protection: &mut Protection<A>, power: f64, swr: f64) -> Verdict {
    let reading = SensorReading::from_swr(word::<Swr<A>>(swr)).unwrap();
    protection.check(word::<Watts<A>>(power), reading)
}

/// A person has checked: the count begins anew, after a trip and without one.
fn counts_anew<A: Arithmetic>() {
    let mut protection =
        Protection::<A>::new(Swr::whole::<2>(), Swr::whole::<4>(), Watts::whole::<5>(), 3).unwrap();
    for _ in 0..3 {
        for wanted in [Verdict::Alarm, Verdict::Alarm, Verdict::Trip, Verdict::Trip] {
            assert_eq!(at(&mut protection, 50.0, 9.0), wanted);
        }
        assert!(protection.has_tripped());
        protection.reset();
        assert!(!protection.has_tripped());
    }
    for _ in 0..3 {
        assert_eq!(at(&mut protection, 50.0, 9.0), Verdict::Alarm);
        assert_eq!(at(&mut protection, 50.0, 9.0), Verdict::Alarm);
        protection.reset();
    }
    // Short of the trip, only readings in a row count: a good one and one without power both end the row.
    for (power, swr) in [(50.0, 1.5), (50.0, 3.0), (1.0, 9.0)] {
        assert_eq!(at(&mut protection, 50.0, 9.0), Verdict::Alarm);
        assert_eq!(at(&mut protection, 50.0, 9.0), Verdict::Alarm);
        let _ = at(&mut protection, power, swr);
    }
    assert!(!protection.has_tripped());
    // The most that can be asked for is still reached.
    let mut patient =
        Protection::<A>::new(Swr::whole::<2>(), Swr::whole::<4>(), Watts::whole::<5>(), u8::MAX).unwrap();
    for _ in 0..254 {
        assert_eq!(at(&mut patient, 50.0, 9.0), Verdict::Alarm);
    }
    assert_eq!(at(&mut patient, 50.0, 9.0), Verdict::Trip);
}

#[test]
fn after_a_reset_it_counts_anew() {
    every_family!(counts_anew);
}

/// A power that is no number protects no less than one that is high.
#[test]
fn what_is_no_power_counts_as_a_bad_reading() {
    for power in [f64::NAN, f64::INFINITY] {
        let mut protection = Protection::<f64>::new(2.0, 4.0, 5.0, 2).unwrap();
        let good = SensorReading::Magnitude(0.0.into());
        assert_eq!(protection.check(power, good), Verdict::Alarm);
        assert_eq!(protection.check(power, good), Verdict::Trip);
    }
    for size in [f64::NAN, f64::INFINITY, -0.1] {
        let mut protection = Protection::<f64>::new(2.0, 4.0, 5.0, 1).unwrap();
        let bad = SensorReading::Magnitude(size.into());
        assert_eq!(protection.check(4.9, bad), Verdict::Fine);
        assert_eq!(protection.check(5.0, bad), Verdict::Trip);
    }
}

/// Limits that contradict each other, or cannot be.
#[test]
fn limits_that_cannot_be_are_refused() {
    let refused = |alarm: f64, trip: f64, power: f64, readings| {
        Protection::<f64>::new(alarm, trip, power, readings).err()
    };
    let quantity = |error| Some(TunerError::Quantity(error));
    assert_eq!(refused(2.0, 2.0, 0.0, 1), None);
    assert!(matches!(
        refused(2.1, 2.0, 0.0, 1),
        Some(TunerError::Contradiction(_))
    ));
    assert_eq!(
        refused(2.0, 3.0, -0.1, 1),
        quantity(QuantityError::Negative("least power"))
    );
    for power in [f64::NAN, f64::INFINITY] {
        assert_eq!(
            refused(2.0, 3.0, power, 1),
            quantity(QuantityError::NotFinite("least power"))
        );
    }
    assert_eq!(
        refused(2.0, 3.0, 1.0, 0),
        quantity(QuantityError::NotPositive("readings to trip"))
    );
    assert_eq!(
        refused(0.9, 3.0, 1.0, 1),
        quantity(QuantityError::BelowOne("alarm SWR"))
    );
}
