//! Turns by halves.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::transformer::{HalfTurns, HalfTurnsRanking, Remedy, TransformerError, TurnsRanking};
use ohmwright::quantity::{Impedance, QuantityError, Reference};

use super::reflection_slack;
use crate::common::Random;
use crate::common::impedances::{half_a_ratio, half_a_step, held, ohms};
use crate::common::law::near;

#[test]
fn half_turns() {
    fn check<A: Arithmetic>() {
        let z0 = Reference::<A>::fifty();
        let mut random = Random::new(2);
        for _ in 0..30 {
            let load = ohms::<A>(random.decades(1.0, 2000.0).abs(), random.decades(1.0, 100.0));
            for most in 1..6 {
                let whole = TurnsRanking::<A, 1>::new(load, z0, None, most, Remedy::SeriesElement).unwrap();
                let halves =
                    HalfTurnsRanking::<A, 3>::new(load, z0, None, most, Remedy::SeriesElement).unwrap();
                assert_eq!(halves.remedy(), Remedy::SeriesElement);
                // Never worse than whole turns, and never more wire than allowed.
                let (pair, choice) = halves.iter().next().unwrap();
                assert!(choice.swr(Remedy::SeriesElement) <= whole.as_slice()[0].swr(Remedy::SeriesElement));
                for (pair, choice) in halves.iter() {
                    assert!(pair.primary_halves() <= 2 * most && pair.secondary_halves() <= 2 * most);
                    assert_eq!(pair.as_ratio(), choice.turns);
                }
                // The best of all pairs of halves, by a search of its own.
                let best = (1..=2 * most)
                    .flat_map(|p| (1..=2 * most).map(move |s| (p, s)))
                    .map(|(p, s)| {
                        let r = held(load).re * (f64::from(p) / f64::from(s)).powi(2);
                        (r / 50.0).max(50.0 / r)
                    })
                    .fold(f64::INFINITY, f64::min);
                let slack =
                    best * (half_a_step::<A>() + 20.0 * reflection_slack::<A>() * best) + half_a_ratio::<A>();
                near("best", choice.swr(Remedy::SeriesElement).to_f64(), best, slack).unwrap();
                assert_eq!(
                    pair.are_whole(),
                    pair.primary_halves() % 2 == 0 && pair.secondary_halves() % 2 == 0
                );
            }
        }
        let load = ohms::<A>(10.0, 0.0);
        let none = |most| HalfTurnsRanking::<A, 2>::new(load, z0, None, most, Remedy::TurnsAlone).map(|_| ());
        assert_eq!(none(0), Err(TransformerError::NoTurns));
        assert_eq!(
            none(128),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "turns",
                rule: "must not be above 127"
            })
            .into())
        );
        let short = HalfTurnsRanking::<A, 2>::new(Impedance::SHORT, z0, None, 3, Remedy::TurnsAlone);
        assert_eq!(short.map(|_| ()), Err(TransformerError::LoadWithoutResistance));
    }
    every_family!(check);
    for (halves, text) in [((3, 8), "1.5 : 4"), ((1, 2), "0.5 : 1"), ((4, 7), "2 : 3.5")] {
        assert_eq!(HalfTurns::new(halves.0, halves.1).unwrap().to_string(), text);
    }
    assert_eq!(HalfTurns::new(0, 1), Err(TransformerError::NoTurns));
    assert!(HalfTurns::new(2, 4).unwrap().are_whole() && !HalfTurns::new(2, 3).unwrap().are_whole());
}
