//! Errors: what they say, what they wrap, and how small they are.

use std::error::Error;

use ohmwright::control::{BankError, TunerError};
use ohmwright::design::ladder::LadderError;
use ohmwright::design::load::LoadError;
use ohmwright::design::matching::{MatchingError, ThreeElementShape, three_element};
use ohmwright::design::transformer::TransformerError;
use ohmwright::double::{Delay, Impedance, Line, VectorSettings};
use ohmwright::measure::balance::BalanceError;
use ohmwright::measure::calibration::{CalibrationError, CalibrationFailure};
use ohmwright::measure::detector::DetectorError;
use ohmwright::measure::touchstone::Reader;
use ohmwright::quantity::{Hertz, Limits, QFactor, QuantityError};

/// The errors from the outermost to what lies at the bottom, as a report of the whole chain walks them.
fn chain(error: &dyn Error) -> Vec<String> {
    let mut texts = vec![error.to_string()];
    let mut next = error.source();
    while let Some(error) = next {
        texts.push(error.to_string());
        next = error.source();
    }
    texts
}

#[test]
fn what_is_wrapped_is_the_source() {
    let quantity = QuantityError::NotPositive("frequency");
    let inner = "frequency must be greater than zero";
    let wrapping: [&dyn Error; 8] = [
        &LadderError::Quantity(quantity),
        &LoadError::Quantity(quantity),
        &TransformerError::Quantity(quantity),
        &MatchingError::Quantity(quantity),
        &BalanceError::Quantity(quantity),
        &DetectorError::Quantity(quantity),
        &BankError::Quantity(quantity),
        &TunerError::Quantity(quantity),
    ];
    for error in wrapping {
        let chain = chain(error);
        assert_eq!(chain.len(), 2, "{chain:?}");
        assert_eq!(chain[1], inner);
        assert!(chain[0].contains(inner), "{chain:?}");
    }
    let three: [&dyn Error; 2] = [
        &TunerError::Bank(BankError::Quantity(quantity)),
        &TransformerError::Load(LoadError::Quantity(quantity)),
    ];
    for error in three {
        assert_eq!(chain(error).len(), 3);
        assert_eq!(chain(error)[2], inner);
    }
    let failure = CalibrationFailure::from(CalibrationError::Singular);
    assert_eq!(chain(&failure)[1], CalibrationError::Singular.to_string());
    let file = Reader::new().line(b"1 2").unwrap_err();
    assert_eq!(chain(&file)[1], file.cause.to_string());
    // A control: what wraps nothing has no source.
    assert_eq!(chain(&MatchingError::NoNetwork).len(), 1);
    assert_eq!(chain(&LadderError::Full(3)).len(), 1);
}

#[test]
fn a_refusal_says_what_the_parameter_must_be() {
    let line = Line::new(50.0, 1.2, 3.0).unwrap_err();
    assert_eq!(line.to_string(), "velocity factor must be above 0 and at most 1");
    assert_eq!(line.parameter(), "velocity factor");
    assert_eq!(Delay::of_length(1.0, 1.01).unwrap_err(), line);
    let bits = VectorSettings::for_bits(1).unwrap_err();
    assert_eq!(bits.to_string(), "bits of the converter must be from 2 to 25");
    assert_eq!(
        LoadError::BeyondTable(Hertz::from_megahertz(9)).to_string(),
        "9000000 Hz lies outside the load's table"
    );
    assert_eq!(
        line.of("stub"),
        QuantityError::OutOfRange("stub"),
        "a rule is of its own parameter"
    );
    assert_ne!(
        line,
        QuantityError::OutsideLimits(&Limits {
            parameter: "velocity factor",
            rule: "must be above 0"
        })
    );
}

#[test]
fn a_q_below_the_least_is_told_with_the_least_which_then_serves() {
    // From 10 Ω to 170 Ω: Q = √(170/10 − 1) = 4 of two elements (textbook).
    let (load, source) = (
        Impedance::new(170.0, 0.0).unwrap(),
        Impedance::new(10.0, 0.0).unwrap(),
    );
    for shape in [ThreeElementShape::Pi, ThreeElementShape::Tee] {
        let error = three_element(shape, load, source, QFactor::new(3.1)).unwrap_err();
        let MatchingError::QTooLow {
            asked_thousandths,
            least_thousandths,
        } = error
        else {
            panic!("{error}")
        };
        assert!(asked_thousandths.abs_diff(3_100) <= 1);
        assert!(
            (4_000..=4_001).contains(&least_thousandths),
            "{least_thousandths}"
        );
        assert!(error.to_string().starts_with("the Q is 3."), "{error}");
        assert!(error.to_string().contains("at least 4.00"), "{error}");
        let least = QFactor::new(f64::from(least_thousandths) / 1000.0);
        assert!(three_element(shape, load, source, least).is_ok());
        // A control: a little less does not serve.
        assert!(three_element(shape, load, source, QFactor::new(3.999)).is_err());
    }
}

/// Sizes in bytes on a host of 64 bits; half of that, where pointers dominate, on a device.
#[test]
#[cfg(target_pointer_width = "64")]
fn errors_are_small() {
    let sizes = [
        ("quantity", size_of::<QuantityError>()),
        ("load", size_of::<LoadError>()),
        ("ladder", size_of::<LadderError>()),
        ("matching", size_of::<MatchingError>()),
        ("bank", size_of::<BankError>()),
        ("tuner", size_of::<TunerError>()),
        ("detector", size_of::<DetectorError>()),
    ];
    for (name, size) in sizes {
        println!("{name}: {size} bytes");
        assert!(size <= 32, "{name}: {size}");
    }
    // A rule costs nothing: it stands in the program's constants.
    assert_eq!(size_of::<QuantityError>(), 24);
}
