//! Γ of one figure of a scalar meter, and the everyday conversions, in every family.
//!
//! Sources: SWR, |Γ| and return loss of the handbooks' table, recomputed; the rest by the closed forms named beside them, recomputed with the mathematics of Python.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::quantity::{
    Amperes, Capacitance, Decibels, ImpedanceRatio, Inductance, MismatchLimits, Ohms, QuantityError, Ratio,
    Reflection, Swr, VelocityFactor, Volts, Watts,
};

fn value<Q: Quantity>(value: f64) -> Q {
    Q::try_from_f64(value).unwrap()
}

/// Within so much, and in the families with short words within a step of the word besides.
fn near<A: Arithmetic>(told: f64, truth: f64, what: &str) {
    let tolerance = match A::FAMILY {
        Family::F64 => 1e-12 * truth.abs().max(1.0),
        Family::F32 | Family::SoftF32 => 1e-6 * truth.abs().max(1.0),
        // In 16 bits Γ has a step of 3e-5, which counts several times in a loss.
        Family::Fixed16 => 3e-4 * truth.abs().max(1.0),
        // Steps of U16F16 and of I16F16.
        _ => 6e-5 * truth.abs().max(1.0),
    };
    assert!(
        (told - truth).abs() <= tolerance,
        "{:?}: {what}: {told} is not {truth}",
        A::FAMILY
    );
}

fn figures<A: Arithmetic>() {
    // |Γ| and return loss of an SWR: (S − 1)/(S + 1), −20·lg |Γ| (handbook table; recomputed).
    for (swr, magnitude, loss) in [
        (1.0, 0.0, f64::INFINITY),
        (1.2, 1.0 / 11.0, 20.827853703164502),
        (1.5, 0.2, 13.979400086720376),
        (2.0, 1.0 / 3.0, 9.542425094393249),
        (3.0, 0.5, 6.020599913279624),
        (10.0, 9.0 / 11.0, 1.743003514378003),
    ] {
        let gamma = Reflection::<A>::from_swr(value::<Swr<A>>(swr)).unwrap();
        near::<A>(gamma.real().to_f64(), magnitude, "Γ of SWR");
        assert_eq!(gamma.imaginary().to_f64(), 0.0);
        if swr > 1.0 {
            let gamma = Reflection::<A>::from_return_loss(value::<Decibels<A>>(loss)).unwrap();
            near::<A>(gamma.real().to_f64(), magnitude, "Γ of return loss");
            let reflected = value::<Watts<A>>(100.0 * magnitude * magnitude);
            let gamma = Reflection::<A>::from_powers(value::<Watts<A>>(100.0), reflected).unwrap();
            near::<A>(gamma.real().to_f64(), magnitude, "Γ of powers");
        }
    }
    // Edges: what an open and a match show goes back to an open and a match.
    assert_eq!(
        Reflection::<A>::from_swr(Reflection::<A>::OPEN.swr()),
        Ok(Reflection::OPEN)
    );
    let matched = Reflection::<A>::MATCHED;
    assert_eq!(Reflection::from_return_loss(matched.return_loss()), Ok(matched));
    let watts = value::<Watts<A>>;
    assert_eq!(Reflection::<A>::from_powers(watts(3.0), watts(0.0)), Ok(matched));
    let gain = Reflection::<A>::from_return_loss(value::<Decibels<A>>(-3.0)).unwrap();
    assert!(gain.is_active());
    near::<A>(gain.real().to_f64(), 1.4125375446227544, "Γ beyond the rim");
    assert_eq!(
        Reflection::<A>::from_swr(value::<Swr<A>>(0.5)),
        Err(QuantityError::BelowOne("SWR"))
    );
    assert_eq!(
        Reflection::<A>::from_powers(watts(0.0), watts(0.0)),
        Err(QuantityError::NotPositive("forward power"))
    );
    assert_eq!(
        Reflection::<A>::from_powers(watts(1.0), watts(-1.0)),
        Err(QuantityError::Negative("reflected power"))
    );
    let beyond = Reflection::<A>::from_return_loss(value::<Decibels<A>>(-200.0));
    assert_eq!(beyond, Err(QuantityError::OutOfRange("return loss")));
}

fn parts<A: Arithmetic>() {
    // 1/(2π√(LC)), in Python.
    for (picohenries, femtofarads, hertz) in [
        (100_000, 50_000, 71_176_254.0),
        (1_000, 1_000, 5_032_921_210.448_7),
        (4_000_000_000, 4_000_000_000, 1_258.230302612),
    ] {
        let coil = Inductance::<A>::from_picohenries(picohenries);
        let told = coil
            .resonant_frequency(Capacitance::from_femtofarads(femtofarads))
            .unwrap();
        let off = (told.get() as f64 - hertz).abs();
        let least = if matches!(A::FAMILY, Family::F32 | Family::SoftF32) {
            5e-7
        } else {
            2e-8
        };
        assert!(off <= 0.6 + least * hertz, "{:?}: {told}", A::FAMILY);
    }
    let none = Capacitance::<A>::default();
    assert_eq!(
        Inductance::<A>::from_picohenries(1).resonant_frequency(none),
        Err(QuantityError::NotPositive("capacitance"))
    );
    assert_eq!(
        Inductance::<A>::default().resonant_frequency(Capacitance::from_femtofarads(1)),
        Err(QuantityError::NotPositive("inductance"))
    );
    // Ideal transformer, Z2/Z1 = (N2/N1)² (textbook).
    for (ratio, turns) in [(4.0, 2.0), (2.25, 1.5), (64.0, 8.0), (0.0, 0.0)] {
        let told = value::<ImpedanceRatio<A>>(ratio).turns_ratio();
        near::<A>(told.to_f64(), turns, "turns ratio");
    }
    // 1/√εr: the handbook's 0.667, 0.690 and 0.816.
    for (permittivity, factor) in [
        (1.0, 1.0),
        (2.25, 0.666_666_666_666_667),
        (2.1, 0.690065559342354),
        (1.5, 0.816496580927726),
    ] {
        let told = VelocityFactor::<A>::from_permittivity(value::<Ratio<A>>(permittivity)).unwrap();
        near::<A>(told.to_f64(), factor, "velocity factor");
    }
    assert_eq!(
        VelocityFactor::<A>::from_permittivity(value::<Ratio<A>>(0.9)),
        Err(QuantityError::BelowOne("relative permittivity"))
    );
    // 100 W in 50 Ω: 70.71 V and 100 V peak, 1.414 A (P = U²/R = I²R).
    let (power, load) = (value::<Watts<A>>(100.0), value::<Ohms<A>>(50.0));
    let volts = Volts::<A>::rms_of_power(power, load).unwrap();
    near::<A>(volts.to_f64(), 70.7106781186548, "RMS volts");
    near::<A>(volts.rms_to_peak().to_f64(), 100.0, "peak volts");
    near::<A>(
        value::<Volts<A>>(-100.0).peak_to_rms().to_f64(),
        -70.7106781186548,
        "RMS of a peak",
    );
    let amperes = Amperes::<A>::rms_of_power(power, load).unwrap();
    near::<A>(amperes.to_f64(), core::f64::consts::SQRT_2, "RMS amperes");
    near::<A>(amperes.rms_to_peak().to_f64(), 2.0, "peak amperes");
    assert_eq!(
        Volts::<A>::rms_of_power(power, value::<Ohms<A>>(0.0)),
        Err(QuantityError::NotPositive("resistance"))
    );
    assert_eq!(
        Amperes::<A>::rms_of_power(value::<Watts<A>>(-1.0), load),
        Err(QuantityError::Negative("power"))
    );
}

fn mismatches<A: Arithmetic>() {
    let of = |swr: f64| Reflection::<A>::from_swr(value::<Swr<A>>(swr)).unwrap();
    // By Python from the definition, with the phase of Γg·Γl stepped through the whole circle; for real loads the limits
    // are the mismatch losses of SWR S1·S2 and S1/S2.
    for (first, second, least, most) in [
        (1.5, 2.0, 0.08954842653, 1.24938736608),
        (2.0, 2.0, 0.0, 1.93820026016),
        (1.0, 3.0, 1.24938736608, 1.24938736608),
    ] {
        let limits = MismatchLimits::new(of(first), of(second)).unwrap();
        let loss = |swr: f64| 10.0 * ((swr + 1.0) * (swr + 1.0) / (4.0 * swr)).log10();
        near::<A>(limits.most_loss.to_f64(), loss(first * second), "most loss");
        near::<A>(
            limits.least_loss.to_f64(),
            loss(first.max(second) / first.min(second)),
            "least loss",
        );
        assert!((limits.least_loss.to_f64() - least).abs() < 6e-4);
        assert!((limits.most_loss.to_f64() - most).abs() < 6e-4);
        let product = (first - 1.0) / (first + 1.0) * (second - 1.0) / (second + 1.0);
        near::<A>(
            limits.uncertainty_above.to_f64(),
            20.0 * (1.0 + product).log10(),
            "above",
        );
        near::<A>(
            limits.uncertainty_below.to_f64(),
            -20.0 * (1.0 - product).log10(),
            "below",
        );
    }
    let total = MismatchLimits::new(Reflection::<A>::SHORT, of(1.5)).unwrap_err();
    assert_eq!(total.to_string(), "|Γ| of the generator must be below 1");
    let total = MismatchLimits::new(of(1.5), Reflection::<A>::OPEN).unwrap_err();
    assert_eq!(total.to_string(), "|Γ| of the load must be below 1");
}

#[test]
fn gamma_of_one_figure() {
    every_family!(figures);
}

#[test]
fn parts_and_ratios() {
    every_family!(parts);
}

#[test]
fn limits_of_two_mismatches() {
    every_family!(mismatches);
}
