//! Transformers of lines.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::transformer::{ImpedanceSide, LineKind, LineTransformer};
use ohmwright::quantity::{Impedance, Metres, Ohms, QuantityError, VelocityFactor};

use super::{LINE_AT, hertz, line, reflection_slack};
use crate::common::Random;
use crate::common::impedances::{coil, held, ohms, source, word};
use crate::common::law::near;

/// Looked into from the other side, through it and back: Z and its inverse; and power is kept.
#[test]
fn line_transformers_from_both_sides() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(8);
        for kind in [
            LineKind::Guanella(1),
            LineKind::Guanella(2),
            LineKind::Guanella(3),
            LineKind::Ruthroff,
        ] {
            let ratio = match kind {
                LineKind::Guanella(n) => f64::from(n).powi(2),
                LineKind::Ruthroff => 4.0,
            };
            for _ in 0..200 {
                let eighths = random.between(0.01, 3.5);
                let lines = line::<A>(kind, random.between(20.0, 150.0), eighths);
                near("ratio", lines.impedance_ratio().to_f64(), ratio, 0.0).unwrap();
                assert_eq!(lines.kind(), kind);
                let load = ohms::<A>(random.decades(5.0, 500.0).abs(), random.decades(5.0, 500.0));
                let f = hertz(LINE_AT);
                // Matched conjugately at one side it is so at the other (a lossless two-port).
                let seen = lines.input_impedance(load, f, ImpedanceSide::Low).unwrap();
                if seen.is_open() || held(seen).re < 0.5 || held(seen).size() > 5e3 {
                    continue;
                }
                let back = lines
                    .input_impedance(seen.conjugate(), f, ImpedanceSide::High)
                    .unwrap();
                let share = back.share_taken_from(load).unwrap().to_f64();
                near("share", share, 1.0, 1e-4 + 2.0 * reflection_slack::<A>()).unwrap();
            }
            // Short lines: the bare ratio, both ways.
            let lines = line::<A>(kind, 100.0, 0.001);
            let low = lines
                .input_impedance(ohms(200.0, 0.0), hertz(1e6), ImpedanceSide::Low)
                .unwrap();
            near("low", held(low).re, 200.0 / ratio, 2e-2).unwrap();
            let high = lines
                .input_impedance(ohms(50.0, 0.0), hertz(1e6), ImpedanceSide::High)
                .unwrap();
            near("high", held(high).re, 50.0 * ratio, 5e-2).unwrap();
            let open = lines
                .input_impedance(Impedance::OPEN, hertz(1e6), ImpedanceSide::Low)
                .unwrap();
            assert!(open.is_open() || held(open).im < -1e4);
            let short = lines
                .input_impedance(Impedance::SHORT, hertz(1e6), ImpedanceSide::Low)
                .unwrap();
            near("short", held(short).size(), 0.0, 0.5).unwrap();
        }
        // The choking sets the lower end: X = 4·R at 1 MHz is SWR 1.283, on either side.
        let lines = line::<A>(LineKind::Guanella(2), 100.0, 0.001)
            .with_choking(coil(200.0 / core::f64::consts::TAU / 1e6))
            .unwrap();
        for (side, load, z0) in [
            (ImpedanceSide::Low, 200.0, 50.0),
            (ImpedanceSide::High, 50.0, 200.0),
        ] {
            let gamma = lines
                .reflection(ohms(load, 0.0), hertz(1e6), side, source(z0))
                .unwrap();
            near("choked", gamma.swr().to_f64(), 1.283_195_554_634_33, 1e-3).unwrap();
        }
        assert_eq!(
            lines.with_choking(coil(0.0)),
            Err(QuantityError::NotPositive("choking inductance").into())
        );
        let new = |kind, z: f64, l: f64, v: f64| {
            let (z, l) = (word::<Ohms<A>>(z), word::<Metres<A>>(l));
            LineTransformer::<A>::new(kind, z, l, word::<VelocityFactor<A>>(v))
        };
        let one = LineKind::Guanella(1);
        for (result, error) in [
            (
                new(LineKind::Guanella(0), 50.0, 1.0, 1.0),
                QuantityError::NotPositive("number of lines"),
            ),
            (
                new(one, 0.0, 1.0, 1.0),
                QuantityError::NotPositive("line impedance"),
            ),
            (
                new(one, 50.0, 0.0, 1.0),
                QuantityError::NotPositive("line length"),
            ),
            (
                new(one, 50.0, 1.0, 0.0),
                QuantityError::NotPositive("velocity factor"),
            ),
            (
                new(one, 50.0, 1.0, 1.5),
                QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                    parameter: "velocity factor",
                    rule: "must be above 0 and at most 1",
                }),
            ),
        ] {
            assert_eq!(result, Err(error.into()));
        }
    }
    every_family!(check);
}
