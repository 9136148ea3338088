//! Parameters from an open and a short test.

use core::f64::consts::TAU;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::transformer::{OpenShortTest, TransformerError};
use ohmwright::quantity::{Hertz, Impedance, QuantityError, Reference};

use super::{case, reflection_slack, roundings};
use crate::common::Random;
use crate::common::complex::{C, c};
use crate::common::impedances::{gamma_of, half_a_step, held, henries, ohms};
use crate::common::law::near;

#[test]
fn open_and_short_tests() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(6);
        for _ in 0..500 {
            let mut case = case::<A>(&mut random);
            case.truth.capacitances = [0.0; 2];
            let truth = case.truth;
            let f = case.frequency.get() as f64;
            let w = TAU * f;
            let z11 = c(truth.resistances[0], w * truth.first);
            let z22 = c(truth.resistances[1], w * truth.second);
            let zm = c(0.0, w * truth.mutual);
            let short = z11 - zm * zm / z22;
            let read = |z: C| ohms::<A>(z.re, z.im);
            let test = OpenShortTest {
                primary_open: read(z11),
                primary_shorted: read(short),
                secondary_open: read(z22),
                frequency: case.frequency,
            };
            let found = test.recover().unwrap();
            // Each reading is rounded to its word.
            let lost = 4.0 * half_a_step::<A>() / z11.im.min(z22.im) + 4.0 * roundings::<A>();
            near(
                "L1",
                henries(found.primary_inductance()) / truth.first,
                1.0,
                lost + 1e-6,
            )
            .unwrap();
            near(
                "L2",
                henries(found.secondary_inductance()) / truth.second,
                1.0,
                lost + 1e-6,
            )
            .unwrap();
            let leakage = truth.first - truth.mutual.powi(2) / truth.second;
            near(
                "leakage",
                henries(found.leakage()),
                leakage,
                truth.first * lost + 1e-12,
            )
            .unwrap();
            near(
                "disagreement",
                test.disagreement().unwrap().to_f64(),
                0.0,
                2e-5 + lost,
            )
            .unwrap();
            // The transformer found behaves like the one measured.
            let (z, share) = truth.solve(held(case.load), f);
            let gamma = found
                .reflection(case.load, case.frequency, Reference::fifty())
                .unwrap();
            let want = gamma_of(z, 50.0);
            let slack = reflection_slack::<A>() + 60.0 * lost * (1.0 + w * truth.first / 50.0);
            near("Γ", gamma.real().to_f64(), want.re, slack).unwrap();
            let loss = found.loss(case.load, case.frequency).unwrap().to_f64();
            let slack = 1e-4 + 0.02 * -10.0 * share.log10() + 100.0 * half_a_step::<A>();
            near("loss", loss, -10.0 * share.log10(), slack).unwrap();
        }
        let test = |open: f64, shorted: f64, second: f64, hz: u64| OpenShortTest::<A> {
            primary_open: ohms(0.5, open),
            primary_shorted: ohms(1.0, shorted),
            secondary_open: ohms(2.0, second),
            frequency: Hertz::new(hz),
        };
        for (bad, error) in [
            (
                test(60.0, 6.0, 250.0, 0),
                QuantityError::NotPositive("frequency").into(),
            ),
            (
                test(-60.0, 6.0, 250.0, 5),
                QuantityError::NotPositive("primary reactance").into(),
            ),
            (
                test(60.0, 6.0, -250.0, 5),
                QuantityError::NotPositive("secondary reactance").into(),
            ),
            (
                test(60.0, 61.0, 250.0, 5),
                TransformerError::Unphysical("mutual inductance"),
            ),
            (
                test(60.0, -6.0, 250.0, 5),
                QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                    parameter: "coupling",
                    rule: "must be above 0 and below 1",
                })
                .into(),
            ),
        ] {
            assert_eq!(bad.recover(), Err(error));
        }
        // A reading that belongs to another transformer: the shorted resistance is far too large.
        let strange = OpenShortTest::<A> {
            primary_shorted: ohms(40.0, 6.0),
            ..test(60.0, 6.0, 250.0, 1_000_000)
        };
        assert!(strange.disagreement().unwrap().to_f64() > 0.3);
        let open = OpenShortTest::<A> {
            secondary_open: Impedance::OPEN,
            ..test(60.0, 6.0, 250.0, 1_000_000)
        };
        assert_eq!(
            open.recover(),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "secondary open",
                rule: "must not be an open"
            })
            .into())
        );
    }
    every_family!(check);
}
