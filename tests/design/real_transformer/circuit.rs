//! The circuit against the node equations, its limits, and its band.

use core::f64::consts::TAU;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::load::{Load, LoadCircuit, LoadError, LoadTable};
use ohmwright::design::transformer::{ImpedanceSide, LineKind, RealTransformer, TransformerError, Turns};
use ohmwright::quantity::{Impedance, Ohms, QuantityError, Reference, Swr};

use super::{Case, Coils, case, decibel_slack, hertz, line, reflection_slack, roundings};
use crate::common::Random;
use crate::common::complex::c;
use crate::common::impedances::{capacitor, coil, gamma_of, held, ohms, swr_of, word};
use crate::common::law::near;

fn is_solved<A: Arithmetic>(case: &Case<A>) -> Result<(), String> {
    let Case {
        transformer,
        truth,
        load,
        frequency,
    } = case;
    let f = frequency.get() as f64;
    let (z, share) = truth.solve(held(*load), f);
    let gamma = transformer
        .reflection(*load, *frequency, Reference::fifty())
        .unwrap();
    let want = gamma_of(z, 50.0);
    // The oracle's own roundings, and the circuit's: what is on the way is up to this much larger than what is seen.
    let w = TAU * f;
    let on_the_way = w * truth.first / z.size().max(1.0) + w * truth.second / held(*load).size().max(1.0);
    let slack = reflection_slack::<A>() + (roundings::<A>() + 1e-14) * 10.0 * (1.0 + on_the_way);
    near("Re Γ", gamma.real().to_f64(), want.re, slack)?;
    near("Im Γ", gamma.imaginary().to_f64(), want.im, slack)?;
    // Power in = power in the load + what the parts take.
    let loss = transformer.loss(*load, *frequency).unwrap().to_f64();
    let slack = decibel_slack::<A>() + 40.0 * roundings::<A>() * (1.0 + on_the_way) / share;
    near("loss", loss, -10.0 * share.log10(), slack)?;
    let insertion = transformer
        .insertion_loss(*load, *frequency, Reference::fifty())
        .unwrap()
        .to_f64();
    let taken = 4.0 * z.re * 50.0 / ((z.re + 50.0).powi(2) + z.im * z.im);
    let wanted = -10.0 * (share * taken).log10();
    // R of the input is a small part of a large |Z| at times.
    let slack = slack + 40.0 * roundings::<A>() * (1.0 + on_the_way) * z.size() / z.re;
    near("insertion loss", insertion, wanted, slack)
}

#[test]
fn the_circuit_solves_the_node_equations() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(3);
        for _ in 0..3000 {
            let case = case::<A>(&mut random);
            is_solved(&case).unwrap_or_else(|error| {
                panic!(
                    "{:?}: {:?} {:?} {}: {error}",
                    A::FAMILY,
                    case.truth,
                    case.load,
                    case.frequency
                )
            });
        }
    }
    every_family!(check);
}

#[test]
fn the_solution_checker_can_fail() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(4);
        for _ in 0..50 {
            let good = case::<A>(&mut random);
            let f = good.frequency.get() as f64;
            let mut bad = case::<A>(&mut random);
            bad.transformer = good.transformer;
            is_solved(&bad).unwrap_err();
            // Resistances forgotten, where they matter.
            let forgetful = Coils {
                resistances: [0.0; 2],
                ..good.truth
            };
            if forgetful.solve(held(good.load), f).1 / good.truth.solve(held(good.load), f).1 > 1.01 {
                let bad = Case {
                    truth: forgetful,
                    ..good
                };
                is_solved(&bad).unwrap_err();
            }
        }
    }
    every_family!(check);
}

/// k → 1 and a magnetising inductance without end give the ideal transformer.
#[test]
fn the_limit_is_the_ideal_one() {
    fn check<A: Arithmetic>() {
        let turns = Turns::new(3, 2).unwrap();
        let (load, f) = (ohms::<A>(20.0, 12.0), hertz(30e6));
        let ideal = turns.seen_from_primary(load).reflection(Reference::fifty());
        let off = |open: f64, leakage: f64| {
            let real = RealTransformer::<A>::wound(turns, coil(open), coil(leakage)).unwrap();
            let got = real.reflection(load, f, Reference::fifty()).unwrap();
            (got.real().to_f64() - ideal.real().to_f64())
                .hypot(got.imaginary().to_f64() - ideal.imaginary().to_f64())
        };
        // 1 mH at 30 MHz is 188 kΩ; the words add their step.
        let floor = 3.0 * reflection_slack::<A>();
        let steps = [1e-6, 1e-5, 1e-4, 1e-3].map(|open| off(open, 0.0));
        for (pair, open) in steps.windows(2).zip([1e-6, 1e-5, 1e-4]) {
            assert!(pair[1] < 0.15 * pair[0] + floor, "{open}: {steps:?}");
        }
        assert!(steps[0] > 0.05 && steps[3] < 2e-4 + floor);
        // And the leakage, linearly.
        let steps = [1e-8, 1e-9, 1e-10].map(|leakage| off(1e-3, leakage));
        assert!(
            steps[0] > 1e-2 && steps[2] < 2e-2 * steps[0] + 2e-4 + floor,
            "{steps:?}"
        );
        // No parts, no loss.
        let real = RealTransformer::<A>::wound(turns, coil(1e-4), coil(1e-7)).unwrap();
        near(
            "loss",
            real.loss(load, f).unwrap().to_f64(),
            0.0,
            decibel_slack::<A>(),
        )
        .unwrap();
        // A loss across: half of the power where it equals the load seen from the primary, 45 Ω.
        let lossy = RealTransformer::<A>::wound(turns, coil(4e-3), coil(0.0)).unwrap();
        let lossy = lossy.with_core_loss(word::<Ohms<A>>(45.0)).unwrap();
        let loss = lossy.loss(ohms(20.0, 0.0), f).unwrap().to_f64();
        near("core", loss, 10.0 * 2f64.log10(), 1e-5 + decibel_slack::<A>()).unwrap();
        // An open and a short on the secondary.
        let w = TAU * 30e6;
        let open = real.input_impedance(Impedance::OPEN, f).unwrap();
        let short = real.input_impedance(Impedance::SHORT, f).unwrap();
        near(
            "open",
            held(open).im,
            w * 1e-4,
            1.0 / 4096.0 + w * 1e-4 * roundings::<A>(),
        )
        .unwrap();
        near("short", held(short).im, w * 1e-7, 1.0 / 4096.0 + w * 1e-7 * 1e-5).unwrap();
    }
    every_family!(check);
}

#[test]
fn the_useful_band() {
    fn check<A: Arithmetic>() {
        let fifty = Reference::<A>::fifty();
        let turns = Turns::new(1, 1).unwrap();
        let transformer = RealTransformer::<A>::wound(turns, coil(20.15e-6), coil(0.15e-6)).unwrap();
        let load = ohms::<A>(50.0, 0.0);
        let range = [hertz(1e4), hertz(1e9)];
        let limit = word::<Swr<A>>(1.5);
        let band = transformer
            .useful_band(&load, fifty, limit, hertz(5e6), range)
            .unwrap();
        assert!(!band.low_open && !band.high_open);
        // At the edges the SWR is the limit; the true circuit in doubles says so.
        let k2 = 20.0 / 20.15;
        let truth = Coils {
            first: 20.15e-6,
            second: 20.15e-6,
            mutual: f64::sqrt(k2) * 20.15e-6,
            resistances: [0.0; 2],
            capacitances: [0.0; 2],
        };
        for (edge, outwards) in [(band.low, -1.0), (band.high, 1.0)] {
            let f = edge.get() as f64;
            let swr = |f: f64| swr_of(gamma_of(truth.solve(c(50.0, 0.0), f).0, 50.0));
            // One part in a million, a hertz, and what the family's numbers hide of the SWR.
            let margin = f * (2e-6 + 10.0 * roundings::<A>()) + 1.0;
            assert!(swr(f - outwards * margin) <= 1.5, "{edge}: {}", swr(f));
            assert!(swr(f + outwards * margin) > 1.5, "{edge}: {}", swr(f));
            // A control: a per mille further the checker says no.
            assert!(swr(f * (1.0 + outwards * 1e-3)) > 1.5);
        }
        // Above the limit everywhere near; out of order; below 1.
        let bad = |limit: f64, inside: f64, range| {
            transformer
                .useful_band(&load, fifty, word(limit), hertz(inside), range)
                .unwrap_err()
        };
        assert_eq!(bad(1.5, 100e6, range), TransformerError::AboveLimit);
        assert_eq!(
            bad(1.5, 1e3, range),
            TransformerError::Quantity(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "frequency",
                rule: "must lie between the lowest and the highest of the search"
            }))
        );
        assert_eq!(
            bad(0.5, 5e6, range),
            TransformerError::Quantity(QuantityError::BelowOne("SWR limit"))
        );
        assert_eq!(
            bad(1.5, 5e6, [hertz(0.0), hertz(1e9)]),
            TransformerError::Quantity(QuantityError::NotPositive("frequency"))
        );
        // A table that ends on the way says so.
        let rows = [(hertz(4e6), load), (hertz(6e6), load)];
        let table = LoadTable::new(&rows).unwrap();
        let result = transformer.useful_band(&table, fifty, limit, hertz(5e6), range);
        assert!(
            matches!(result, Err(TransformerError::Load(LoadError::BeyondTable(at))) if at < hertz(4e6) || at > hertz(6e6))
        );
        let within = transformer
            .useful_band(&&table, fifty, limit, hertz(5e6), [hertz(4e6), hertz(6e6)])
            .unwrap();
        assert!(within.low_open && within.high_open);
        // A load with its own resonance, and a transformer of lines.
        let antenna = LoadCircuit::<A>::Series {
            resistance: word(200.0),
            inductance: coil(5e-6),
            capacitance: Some(capacitor(5.0661e-12)),
        };
        let lines = line::<A>(LineKind::Guanella(2), 100.0, 0.5);
        let band = lines
            .useful_band(
                &antenna,
                ImpedanceSide::Low,
                fifty,
                word(2.0),
                hertz(31.6e6),
                [hertz(1e6), hertz(100e6)],
            )
            .unwrap();
        for edge in [band.low, band.high] {
            let at = antenna.at(edge).unwrap();
            let swr = lines
                .reflection(at, edge, ImpedanceSide::Low, fifty)
                .unwrap()
                .swr()
                .to_f64();
            assert!((1.999..=2.0005).contains(&swr), "{swr}");
        }
    }
    every_family!(check);
}
