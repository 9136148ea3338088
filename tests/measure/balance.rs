//! Two outputs of a balanced port: every row of `data/balance_published.csv`, and the laws, in every family. All
//! outputs are invented.

use crate::common::{Random, Table};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::balance::{Balance, BalanceError, BalanceLimits, Output, Phasor};
use ohmwright::quantity::{Component, Decibels, Degrees, QuantityError};

type C = (f64, f64);

fn phasor<A: Arithmetic>(value: C) -> Phasor<A> {
    Phasor::new(
        Component::<A>::try_from_f64(value.0).unwrap(),
        Component::<A>::try_from_f64(value.1).unwrap(),
    )
    .unwrap()
}

fn held<A: Arithmetic>(phasor: Phasor<A>) -> C {
    (phasor.real().to_f64(), phasor.imaginary().to_f64())
}

fn polar(size: f64, degrees: f64) -> C {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    (size * cosine, size * sine)
}

fn size(value: C) -> f64 {
    value.0.hypot(value.1)
}

/// dB, degrees: what the documentation allows.
fn allowed<A: Arithmetic>() -> (f64, f64) {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => (1e-4, 1e-5),
        Family::F32 | Family::SoftF32 => (1e-5, 3e-5),
        _ => (1e-12, 1e-12),
    }
}

/// The figures of two outputs, from what the words hold: (amplitude dB, phase degrees, rejection dB).
fn truth(first: C, second: C) -> (f64, f64, f64) {
    let (difference, sum) = (
        (first.0 - second.0, first.1 - second.1),
        (first.0 + second.0, first.1 + second.1),
    );
    // −first/second, by its conjugate.
    let turned = (
        -(first.0 * second.0 + first.1 * second.1),
        first.0 * second.1 - first.1 * second.0,
    );
    (
        20.0 * (size(first) / size(second)).log10(),
        turned.1.atan2(turned.0).to_degrees(),
        20.0 * (size(difference) / size(sum)).log10(),
    )
}

fn wrapped(degrees: f64) -> f64 {
    degrees - 360.0 * (degrees / 360.0).round()
}

fn check<A: Arithmetic>(first: C, second: C) -> Result<(), String> {
    let (one, other) = (phasor::<A>(first), phasor::<A>(second));
    let balance = Balance::new(one, other).map_err(|error| error.to_string())?;
    let (first, second) = (held(one), held(other));
    let (amplitude, phase, rejection) = truth(first, second);
    let (decibels, degrees) = allowed::<A>();
    let near = |name: &str, got: f64, want: f64, allowed: f64| {
        if (got - want).abs() <= allowed {
            Ok(())
        } else {
            Err(format!("{name} of {first:?} and {second:?}: {got}, not {want}"))
        }
    };
    near(
        "amplitude",
        balance.amplitude_imbalance.to_f64(),
        amplitude,
        decibels,
    )?;
    let turned = wrapped(balance.phase_imbalance.to_f64() - phase);
    near("phase", turned, 0.0, degrees)?;
    // What the rounding of the difference and of the sum in single precision may do.
    let lost = if matches!(A::FAMILY, Family::F32 | Family::SoftF32) {
        20.0 * (1e-7 / size((first.0 + second.0, first.1 + second.1))).ln_1p()
    } else {
        0.0
    };
    if !balance.common_mode_rejection.is_at_end() {
        near(
            "rejection",
            balance.common_mode_rejection.to_f64(),
            rejection,
            decibels + lost,
        )?;
    }
    let half_a_step = match A::FAMILY {
        Family::Fixed16 => 0.5 / 16384.0 + 1e-8,
        Family::F64 => 1e-15,
        _ => 2e-7,
    };
    let root = 0.5f64.sqrt();
    for (name, part, sign) in [
        ("differential", balance.differential, -1.0),
        ("common", balance.common, 1.0),
    ] {
        let want = (
            root * (first.0 + sign * second.0),
            root * (first.1 + sign * second.1),
        );
        near(name, held(part).0, want.0, half_a_step)?;
        near(name, held(part).1, want.1, half_a_step)?;
    }
    Ok(())
}

/// Pairs of passive outputs: the sum of their powers is at most 1.
fn pairs() -> Vec<(C, C)> {
    let mut random = Random::new(5);
    let mut pairs = vec![
        (polar(0.7, 0.0), polar(0.7, 180.0)),
        (polar(0.7, 90.0), polar(0.7, 90.0)),
        (polar(0.5, -30.0), polar(0.6, 149.0)),
        (polar(0.01, 10.0), polar(0.9, -170.0)),
    ];
    for _ in 0..20_000 {
        let first = polar(random.between(0.05, 0.7), random.between(-180.0, 180.0));
        let near = random.decades(1e-3, 100.0);
        let second = polar(
            random.between(0.05, 0.7),
            first.1.atan2(first.0).to_degrees() + 180.0 + near,
        );
        pairs.push((first, second));
    }
    pairs
}

fn law<A: Arithmetic>() {
    for (first, second) in pairs() {
        if let Err(error) = check::<A>(first, second) {
            panic!("{error}");
        }
    }
}

#[test]
fn every_family_is_within_its_bounds() {
    every_family!(law);
}

/// A control: the check sees outputs that are exchanged, and one that is turned the other way.
#[test]
fn the_check_can_fail() {
    let (first, second) = (polar(0.7, 0.0), polar(0.6, 175.0));
    let balance = Balance::<f64>::new(phasor(second), phasor(first)).unwrap();
    let (amplitude, phase, _) = truth(first, second);
    assert!((balance.amplitude_imbalance - amplitude).abs() > 1.0);
    assert!((balance.phase_imbalance - phase).abs() > 1.0);
    // A leading first output counts as positive, in the truth too.
    assert!((phase - 5.0).abs() < 1e-9, "{phase}");
}

/// Both ways of giving an output agree, to the rounding of the words.
#[test]
fn polar_and_parts_agree() {
    fn one<A: Arithmetic>(allowed: f64) {
        let mut random = Random::new(9);
        for _ in 0..5_000 {
            let (magnitude, phase) = (random.between(0.0, 0.99), random.between(-400.0, 400.0));
            let magnitude = Component::<A>::try_from_f64(magnitude).unwrap();
            let phase = Degrees::<A>::try_from_f64(phase).unwrap();
            let got = held(Phasor::<A>::polar(magnitude, phase).unwrap());
            let want = polar(magnitude.to_f64(), phase.to_f64());
            let error = size((got.0 - want.0, got.1 - want.1));
            assert!(error <= allowed, "{magnitude:?} {phase:?}: {error:e}");
        }
    }
    one::<f64>(1e-14);
    one::<f32>(4e-7);
    one::<Fixed32>(6e-9);
    one::<Fixed16>(0.75 / 16384.0);
}

/// Mixed-mode definition of common-mode rejection; the source stands in each row.
#[test]
fn published_rows() {
    let table = Table::parse(include_str!("../data/balance_published.csv"));
    let mut seen = 0;
    for row in table.rows() {
        seen += 1;
        let id = row.text("id");
        let (amplitude, phase) = match id {
            "T3-131" => (0.0, 1.0),
            "T3-133" => (0.0, 5.0),
            "T3-134" => (0.0, 10.0),
            "T3-136" => (0.5, 0.0),
            "T3-137" => (1.0, 0.0),
            "T3-139" => (0.5, 5.0),
            "T3-140" => (1.0, 10.0),
            "T3-142" => (0.0, 0.0),
            unknown => panic!("a row that no test knows: {unknown}"),
        };
        let size = 10f64.powf(-amplitude / 20.0);
        let first = phasor::<f64>((0.5, 0.0));
        let second = phasor::<f64>(polar(0.5 * size, 180.0 - phase));
        let balance = Balance::new(first, second).unwrap();
        if id == "T3-142" {
            let perfect = Balance::new(first, phasor::<f64>((-0.5, 0.0))).unwrap();
            assert_eq!(row.text("expected"), "+infinity");
            assert_eq!(perfect.common_mode_rejection, f64::INFINITY);
            let perfect =
                Balance::new(phasor::<Fixed32>((0.5, 0.0)), phasor::<Fixed32>((-0.5, 0.0))).unwrap();
            assert!(perfect.common_mode_rejection.is_at_end());
            assert_eq!(perfect.phase_imbalance, 0);
            continue;
        }
        let got = balance.common_mode_rejection;
        assert!(
            (got - row.number("expected")).abs() <= row.number("tolerance"),
            "{id}: {got}"
        );
        assert!((balance.amplitude_imbalance - amplitude).abs() < 1e-12, "{id}");
        assert!((balance.phase_imbalance - phase).abs() < 1e-12, "{id}");
        // In fixed point the rounding of the outputs to their words moves the figure: the bound follows from it.
        let (first, second) = (phasor::<Fixed32>((0.5, 0.0)), held(second));
        let balance = Balance::new(first, phasor::<Fixed32>(second)).unwrap();
        let moved = balance.common_mode_rejection.to_f64() - row.number("expected");
        assert!(moved.abs() < 1e-4, "{id}: {moved:e}");
    }
    assert_eq!(seen, 8);
}

#[test]
fn limits_and_verdicts() {
    fn one<A: Arithmetic>() {
        let decibels = |value: f64| Decibels::<A>::try_from_f64(value).unwrap();
        let degrees = |value: f64| Degrees::<A>::try_from_f64(value).unwrap();
        let limits = BalanceLimits::<A>::new(decibels(0.5), degrees(5.0), decibels(25.0)).unwrap();
        let of = |second: C| {
            let balance = Balance::<A>::new(phasor((0.6, 0.0)), phasor(second)).unwrap();
            balance.verdict(&limits)
        };
        assert!(of(polar(0.6, 179.0)).pass());
        let verdict = of(polar(0.5, 180.0));
        assert!(!verdict.amplitude && verdict.phase && !verdict.rejection && !verdict.pass());
        for turned in [170.0, 190.0] {
            let verdict = of(polar(0.6, turned));
            assert!(verdict.amplitude && !verdict.phase && !verdict.rejection);
        }
        // The first may be the smaller one as well.
        let swapped = Balance::<A>::new(phasor((0.5, 0.0)), phasor((-0.6, 0.0))).unwrap();
        assert!(!swapped.verdict(&limits).amplitude);
        // Equal instead of opposite: nothing is right about the phase.
        assert!(!of((0.6, 0.0)).phase);
    }
    every_family!(one);
}

#[test]
fn bad_input_is_named() {
    let some = phasor::<f64>((0.5, 0.0));
    let none = phasor::<f64>((0.0, 0.0));
    assert_eq!(Balance::new(none, some), Err(BalanceError::Silent(Output::First)));
    assert_eq!(
        Balance::new(some, none),
        Err(BalanceError::Silent(Output::Second))
    );
    assert_eq!(
        Phasor::<f64>::new(f64::NAN, 0.0),
        Err(QuantityError::NotFinite("real part"))
    );
    assert_eq!(
        Phasor::<f32>::new(0.0, f32::INFINITY),
        Err(QuantityError::NotFinite("imaginary part"))
    );
    assert_eq!(
        Phasor::<f64>::polar(-0.1, 0.0),
        Err(QuantityError::Negative("magnitude"))
    );
    assert_eq!(
        Phasor::<f64>::polar(f64::NAN, 0.0),
        Err(QuantityError::NotFinite("magnitude"))
    );
    assert_eq!(
        Phasor::<f64>::polar(0.1, f64::NAN),
        Err(QuantityError::NotFinite("phase"))
    );
    assert_eq!(
        BalanceLimits::<f64>::new(-0.1, 0.0, 0.0),
        Err(QuantityError::Negative("amplitude imbalance"))
    );
    assert_eq!(
        BalanceLimits::<f64>::new(f64::NAN, 0.0, 0.0),
        Err(QuantityError::NotFinite("amplitude imbalance"))
    );
    assert_eq!(
        BalanceLimits::<f64>::new(0.1, f64::INFINITY, 0.0),
        Err(QuantityError::NotFinite("phase imbalance"))
    );
    assert_eq!(
        BalanceLimits::<f64>::new(0.1, -1.0, 0.0),
        Err(QuantityError::Negative("phase imbalance"))
    );
    assert_eq!(
        BalanceLimits::<f64>::new(0.1, 1.0, f64::NAN),
        Err(QuantityError::NotFinite("common-mode rejection"))
    );
    // Nothing leaves a float's range on the way, however large or small the outputs.
    let balance = Balance::<f64>::new(phasor((1e150, 0.0)), phasor((-1e-150, 0.0))).unwrap();
    assert!((balance.amplitude_imbalance - 6000.0).abs() < 1e-9);
    assert_eq!(balance.phase_imbalance, 0.0);
}
