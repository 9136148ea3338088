//! What is refused, and the ends of the words.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::load::LoadError;
use ohmwright::design::transformer::{
    ImpedanceSide, LineKind, LineTransformer, RealTransformer, TransformerError, Turns, coupling,
    minimum_magnetising_inductance, mutual_inductance,
};
use ohmwright::quantity::{
    Capacitance, Component, Hertz, Impedance, Inductance, Metres, Ohms, QuantityError, Reference,
    VelocityFactor,
};

use crate::common::impedances::{coil, held, henries, ohms, word};
use crate::common::{Random, is_fixed};

#[test]
fn what_no_transformer_has_is_refused() {
    fn check<A: Arithmetic>() {
        let (l1, l2, none) = (coil::<A>(10e-6), coil::<A>(40e-6), coil::<A>(0.0));
        let coupled = |first, second, k: f64| {
            RealTransformer::<A>::coupled(first, second, word::<Component<A>>(k)).map(|_| ())
        };
        let quantity = |error: QuantityError| Err(TransformerError::from(error));
        assert_eq!(
            coupled(none, l2, 0.5),
            quantity(QuantityError::NotPositive("primary inductance"))
        );
        assert_eq!(
            coupled(l1, none, 0.5),
            quantity(QuantityError::NotPositive("secondary inductance"))
        );
        assert_eq!(
            coupled(l1, l2, 0.0),
            quantity(QuantityError::NotPositive("coupling"))
        );
        assert_eq!(
            coupled(l1, l2, -0.5),
            quantity(QuantityError::NotPositive("coupling"))
        );
        // The 16-bit word ends below 1.
        for k in [1.0, 1.5] {
            if let Ok(k) = Component::<A>::try_from_f64(k) {
                assert_eq!(
                    RealTransformer::<A>::coupled(l1, l2, k),
                    Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                        parameter: "coupling",
                        rule: "must be above 0 and below 1"
                    })
                    .into())
                );
            }
        }
        assert_eq!(
            coupling::<A>(l1, l2, coil(20.1e-6)),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "coupling",
                rule: "must be below 1"
            }))
        );
        assert_eq!(
            coupling::<A>(none, l2, l1),
            Err(QuantityError::NotPositive("primary inductance"))
        );
        assert_eq!(
            mutual_inductance::<A>(l1, l2),
            Err(QuantityError::Negative("mutual inductance"))
        );
        let turns = Turns::new(2, 1).unwrap();
        let wound = |open, leakage| RealTransformer::<A>::wound(turns, open, leakage).map(|_| ());
        assert_eq!(
            wound(none, none),
            quantity(QuantityError::NotPositive("primary inductance"))
        );
        assert_eq!(
            wound(l1, l1),
            quantity(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "leakage inductance",
                rule: "must be below the primary inductance"
            }))
        );
        assert_eq!(
            wound(l1, l2),
            quantity(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "leakage inductance",
                rule: "must be below the primary inductance"
            }))
        );
        let good = RealTransformer::<A>::wound(turns, l2, l1).unwrap();
        let r = word::<Ohms<A>>;
        assert_eq!(
            good.with_resistances(r(-1.0), r(0.0)).map(|_| ()),
            quantity(QuantityError::Negative("primary resistance"))
        );
        assert_eq!(
            good.with_resistances(r(1.0), r(-2.0)).map(|_| ()),
            quantity(QuantityError::Negative("secondary resistance"))
        );
        assert_eq!(
            good.with_core_loss(r(0.0)).map(|_| ()),
            quantity(QuantityError::NotPositive("core loss resistance"))
        );
        if is_fixed::<A>() {
            let beyond = Err(QuantityError::OutOfRange("reactance"));
            assert_eq!(good.tee(Hertz::from_megahertz(100_000)), beyond);
        }
        let (load, direct) = (ohms::<A>(50.0, 0.0), Hertz::new(0));
        let frequency = QuantityError::NotPositive("frequency");
        assert_eq!(
            good.input_impedance(load, direct).map(|_| ()),
            quantity(frequency)
        );
        assert_eq!(
            good.reflection(load, direct, Reference::fifty()).map(|_| ()),
            quantity(frequency)
        );
        assert_eq!(good.loss(load, direct).map(|_| ()), quantity(frequency));
        for lossless in [Impedance::OPEN, Impedance::SHORT, ohms(0.0, 5.0), ohms(-5.0, 5.0)] {
            let mhz = Hertz::from_megahertz(1);
            assert_eq!(
                good.loss(lossless, mhz),
                Err(TransformerError::LoadWithoutResistance)
            );
            assert_eq!(
                good.insertion_loss(lossless, mhz, Reference::fifty()),
                Err(TransformerError::LoadWithoutResistance)
            );
            // Its impedance is known all the same.
            good.input_impedance(lossless, mhz).unwrap();
        }
        assert_eq!(
            minimum_magnetising_inductance::<A>(word(0.0), Hertz::new(5), word(4.0)).map(|_| ()),
            Err(QuantityError::NotPositive("resistance"))
        );
        assert_eq!(
            minimum_magnetising_inductance::<A>(word(5.0), Hertz::new(5), word(0.0)).map(|_| ()),
            Err(QuantityError::NotPositive("multiple"))
        );
        assert_eq!(
            minimum_magnetising_inductance::<A>(word(5.0), direct, word(4.0)).map(|_| ()),
            Err(frequency)
        );
    }
    every_family!(check);
    for (error, says) in [
        (TransformerError::AboveLimit, "SWR"),
        (TransformerError::TooFewPoints, "three"),
        (TransformerError::Undetermined, "determine"),
        (
            TransformerError::Unphysical("leakage inductance"),
            "leakage inductance",
        ),
        (
            QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "coupling",
                rule: "must be above 0 and below 1",
            })
            .into(),
            "coupling",
        ),
        (LoadError::BeyondTable(Hertz::new(5)).into(), "5 Hz lies outside"),
    ] {
        assert!(error.to_string().contains(says), "{error}");
    }
    // NaN and infinity never get in.
    let (l1, l2) = (coil::<f64>(10e-6), coil::<f64>(40e-6));
    assert_eq!(
        RealTransformer::<f64>::coupled(l1, l2, f64::NAN),
        Err(QuantityError::NotFinite("coupling").into())
    );
}

/// Whatever is put in, what comes out is a number, an end of its word, or an error; and a passive circuit stays passive.
fn extremes<A: Arithmetic>(sizes: &[f64], parts: &[f64]) {
    let sound = |numbers: &[f64]| assert!(numbers.iter().all(|number| !number.is_nan()), "{numbers:?}");
    let mut random = Random::new(99);
    let any = |random: &mut Random, from: &[f64]| from[random.bits() as usize % from.len()];
    let fifty = Reference::<A>::fifty();
    for _ in 0..4000 {
        let size = |random: &mut Random| word::<Ohms<A>>(any(random, sizes));
        let part = |random: &mut Random| word::<A::InductanceWord>(any(random, parts));
        let load = Impedance::<A>::new(size(&mut random), size(&mut random)).unwrap();
        let f = Hertz::new(match random.bits() % 3 {
            0 => 1,
            1 => u64::MAX,
            _ => (random.bits() >> (random.bits() % 64)).max(1),
        });
        let (one, other) = (
            Inductance::new(part(&mut random)).unwrap(),
            Inductance::new(part(&mut random)).unwrap(),
        );
        let turns = Turns::new(random.bits() as u8 | 1, random.bits() as u8 | 1).unwrap();
        let capacitance = |random: &mut Random| Capacitance::<A>::new(word(any(random, parts))).unwrap();
        if let Ok(wound) = RealTransformer::<A>::wound(turns, one, other) {
            let wound = wound.with_capacitances(capacitance(&mut random), capacitance(&mut random));
            let wound = wound
                .with_resistances(size(&mut random), size(&mut random))
                .unwrap_or(wound);
            let wound = wound.with_core_loss(size(&mut random)).unwrap_or(wound);
            if let Ok(tee) = wound.tee(f) {
                sound(&[tee.primary, tee.secondary, tee.common].map(|x| x.to_f64()));
            }
            sound(&[wound.coupling().to_f64(), wound.impedance_ratio().to_f64()]);
            sound(&[
                henries(wound.secondary_inductance()),
                henries(wound.mutual_inductance()),
            ]);
            if let Ok(seen) = wound.input_impedance(load, f) {
                sound(&[held(seen).re, held(seen).im]);
                let gamma = wound.reflection(load, f, fifty).unwrap();
                assert!(
                    gamma.magnitude().to_f64() < 1.01,
                    "{wound:?} {load:?} {f}: {gamma:?}"
                );
            }
            for loss in [wound.loss(load, f), wound.insertion_loss(load, f, fifty)]
                .into_iter()
                .flatten()
            {
                sound(&[loss.to_f64()]);
                assert!(loss.to_f64() > -1e-3, "{wound:?} {load:?} {f}: gain of {loss:?}");
            }
            if let Ok(band) =
                wound.useful_band(&load, fifty, word(3.0), f, [Hertz::new(1), Hertz::new(u64::MAX)])
            {
                assert!(band.low <= f && f <= band.high);
            }
        }
        let kind = match random.bits() % 4 {
            0 => LineKind::Ruthroff,
            lines => LineKind::Guanella(lines as u8 * 85),
        };
        let metres = word::<Metres<A>>(any(&mut random, &[0.001, 1.0, 60_000.0]));
        if let Ok(lines) =
            LineTransformer::<A>::new(kind, size(&mut random), metres, word::<VelocityFactor<A>>(0.7))
        {
            for side in [ImpedanceSide::Low, ImpedanceSide::High] {
                let seen = lines.input_impedance(load, f, side).unwrap();
                sound(&[held(seen).re, held(seen).im]);
                let gamma = lines.reflection(load, f, side, fifty).unwrap();
                assert!(
                    gamma.magnitude().to_f64() < 1.01,
                    "{lines:?} {load:?} {f}: {gamma:?}"
                );
            }
        }
    }
}

#[test]
fn the_ends_of_the_words() {
    let last = f64::from(i32::MAX) / 4096.0;
    let ohms = [1.0 / 4096.0, 1.0, 50.0, 5e4, last - 1.0 / 4096.0, last];
    let parts = [1.0, 1e3, 1e6, 1e9, 4_294_967_295.0];
    extremes::<Fixed32>(&ohms, &parts);
    extremes::<Fixed16>(&ohms, &parts);
    let single = [
        f64::from(f32::MIN_POSITIVE),
        1e-20,
        1e-9,
        50.0,
        1e20,
        f64::from(f32::MAX),
    ];
    extremes::<f32>(&single, &single);
    extremes::<f64>(
        &[f64::MIN_POSITIVE, 1e-160, 1e-9, 50.0, 1e160, f64::MAX],
        &[1e-300, 1e-12, 1e-6, 1.0, 1e300],
    );
}
