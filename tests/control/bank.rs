//! The bank: what codes are worth, what a setting does to a load, what it reaches, and how relays go from one to another.

use crate::common::Random;
use crate::tuners::*;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::control::{
    Arrangement, Bank, BankCapacitor, BankCoil, BankError, Positions, Setting, Side, Stray,
};
use ohmwright::design::transformer::Turns;
use ohmwright::quantity::{Capacitance, Hertz, Inductance, QFactor, QuantityError, Reference, Reflection};

/// Γ at the input against a computation with impedances in double precision; and the load back from it.
fn input_and_back<A: Arithmetic>(seed: u64, allowed: f64, allowed_back: f64, matched: f64) {
    let mut random = Random::new(seed);
    let mut spoilt = 0;
    for case in 0..800 {
        let arrangement = match case % 4 {
            0 => Arrangement::Changeover,
            1 => Arrangement::SourceSide,
            2 => Arrangement::LoadSide,
            _ => Arrangement::BothSides { at_source: 2 },
        };
        let RandomBank { bank, stray, taps } = random_bank::<A, 5, 5>(&mut random, arrangement);
        let frequency = random_frequency(&mut random);
        let at = bank.at(frequency, Reference::fifty()).unwrap();
        let oracle = Oracle::new(&bank, stray, &taps, frequency, 50.0);
        let side = if arrangement == Arrangement::Changeover && random.bits() & 1 == 1 {
            Side::Load
        } else {
            Side::Source
        };
        let setting = Setting {
            coils: random.bits() as u16 & 31,
            capacitors: random.bits() as u16 & 31,
            side,
            tap: (random.bits() % u64::from(bank.taps())) as u8,
        };
        assert!(bank.has(setting));
        let load = random_load::<A>(&mut random, 0.95);
        let gamma = c(load.real().to_f64(), load.imaginary().to_f64());
        let input = at.reflection(setting, load).unwrap();
        let got = c(input.real().to_f64(), input.imaginary().to_f64());
        let want = oracle.reflection(setting, gamma);
        let off = (got - want).size();
        assert!(off <= allowed, "{:?}: {got:?} {want:?} {off:e}", A::FAMILY);
        // The control: one relay more is seen.
        let other = Setting {
            coils: setting.coils ^ 4,
            ..setting
        };
        spoilt += u32::from((oracle.reflection(other, gamma) - got).size() > allowed);

        let back = at.load_behind(setting, input).unwrap();
        let off = (c(back.real().to_f64(), back.imaginary().to_f64()) - gamma).size();
        // A reading near the rim says little of the load: the error grows with (1 − |Γ|²) of the two.
        let passive = 1.0 - want.size().powi(2);
        assert!(
            off * passive.powi(2) <= allowed_back,
            "{:?}: {off:e} {passive}",
            A::FAMILY
        );
        if let Some(load) = at.matched_load(setting).unwrap() {
            let input = at.reflection(setting, load).unwrap();
            assert!(input.magnitude().to_f64() < matched, "{:?} {input:?}", A::FAMILY);
        }
    }
    assert!(spoilt > 700, "{spoilt}");
}

#[test]
fn a_setting_does_to_a_load_what_its_parts_do() {
    input_and_back::<f64>(1, 1e-12, 1e-12, 1e-9);
    input_and_back::<f32>(2, 2e-5, 2e-5, 1e-3);
    input_and_back::<Fixed32>(3, 2e-7, 2e-7, 1e-4);
    // Γ itself is a 16-bit word here.
    input_and_back::<Fixed16>(4, 8e-5, 4e-4, 4e-2);
}

#[test]
fn codes_are_sums_and_values_find_their_codes() {
    fn of<A: Arithmetic>() {
        let mut random = Random::new(9);
        for _ in 0..20 {
            let RandomBank { bank, .. } = random_bank::<A, 6, 6>(&mut random, Arrangement::LoadSide);
            let (henry, farad) = units::<A>();
            let coil = |code: u16| -> f64 {
                let parts = bank
                    .coils()
                    .iter()
                    .enumerate()
                    .filter(|(k, _)| code >> k & 1 == 1);
                parts.map(|(_, part)| part.inductance.get().to_f64()).sum()
            };
            let capacitor = |code: u16| -> f64 {
                let parts = bank
                    .capacitors()
                    .iter()
                    .enumerate()
                    .filter(|(k, _)| code >> k & 1 == 1);
                parts.map(|(_, part)| part.capacitance.get().to_f64()).sum()
            };
            for _ in 0..40 {
                let wanted = (
                    random.between(0.0, 5e-6) / henry,
                    random.between(0.0, 1e-9) / farad,
                );
                let setting = bank
                    .nearest(
                        Inductance::new(word(wanted.0)).unwrap(),
                        Capacitance::new(word(wanted.1)).unwrap(),
                        Side::Source,
                        0,
                    )
                    .unwrap();
                let inductance = bank.inductance(setting).unwrap().get().to_f64();
                assert!((inductance - coil(setting.coils)).abs() <= 1e-6 * inductance);
                let capacitance = bank.capacitance(setting).unwrap().get().to_f64();
                assert!((capacitance - capacitor(setting.capacitors)).abs() <= 1e-6 * capacitance);
                let nearest = |value: &dyn Fn(u16) -> f64, wanted: f64| {
                    (0..64)
                        .map(|code| (value(code) - wanted).abs())
                        .fold(f64::INFINITY, f64::min)
                };
                // Within the units of the search, 2⁻²⁴ of the largest part each.
                assert!((inductance - wanted.0).abs() <= nearest(&coil, wanted.0) + 1e-11 / henry);
                assert!((capacitance - wanted.1).abs() <= nearest(&capacitor, wanted.1) + 1e-15 / farad);
            }
        }
    }
    of::<f64>();
    of::<f32>();
    of::<Fixed32>();
    of::<Fixed16>();
}

#[test]
fn every_setting_is_gone_through_once() {
    let mut random = Random::new(3);
    for arrangement in [Arrangement::Changeover, Arrangement::BothSides { at_source: 1 }] {
        let RandomBank { bank, .. } = random_bank::<f64, 3, 4>(&mut random, arrangement);
        let at = bank.at(Hertz::from_megahertz(7), Reference::fifty()).unwrap();
        let settings: std::collections::HashSet<Setting> = at.settings().collect();
        assert_eq!(settings.len() as u64, bank.count());
        assert_eq!(at.settings().count() as u64, bank.count());
        assert!(settings.iter().all(|setting| bank.has(*setting)));
    }
}

#[test]
fn banks_that_cannot_be_are_refused() {
    fn of<A: Arithmetic>() {
        let coil = |picohenries| BankCoil::<A>::lossless(Inductance::from_picohenries(picohenries));
        let capacitor =
            |femtofarads| BankCapacitor::<A>::lossless(Capacitance::from_femtofarads(femtofarads));
        let changeover = Arrangement::Changeover;
        assert_eq!(Bank::<A, 0, 0>::new([], [], changeover), Err(BankError::Empty));
        assert_eq!(
            Bank::new([coil(1); 17], [capacitor(1)], changeover),
            Err(BankError::TooMany("coils"))
        );
        assert_eq!(
            Bank::new([coil(1)], [capacitor(1); 17], changeover),
            Err(BankError::TooMany("capacitors"))
        );
        let nothing = |what| Err(BankError::Quantity(QuantityError::NotPositive(what)));
        assert_eq!(
            Bank::new([coil(0)], [capacitor(1)], changeover),
            nothing("inductance")
        );
        assert_eq!(
            Bank::new([coil(1)], [capacitor(0)], changeover),
            nothing("capacitance")
        );
        let no_q = BankCoil {
            q: QFactor::<A>::ZERO,
            ..coil(1)
        };
        assert_eq!(Bank::new([no_q], [capacitor(1)], changeover), nothing("Q"));
        let both = Arrangement::BothSides { at_source: 2 };
        assert_eq!(Bank::new([coil(1)], [capacitor(1)], both), Err(BankError::Split));
        let bank = Bank::new([coil(1000)], [capacitor(1000)], changeover).unwrap();
        assert_eq!(bank.with_taps(&[]), Err(BankError::NoTap));
        let tap = Turns::new(1, 1).unwrap();
        assert_eq!(bank.with_taps(&[tap; 5]), Err(BankError::TooMany("taps")));
        let none = bank.at(Hertz::new(0), Reference::fifty());
        assert_eq!(none, Err(BankError::NoFrequency));
        let at = bank.at(Hertz::new(1_000_000), Reference::fifty()).unwrap();
        for setting in [
            Setting {
                coils: 2,
                ..Setting::BYPASS
            },
            Setting {
                capacitors: 2,
                ..Setting::BYPASS
            },
            Setting {
                tap: 1,
                ..Setting::BYPASS
            },
        ] {
            assert!(!bank.has(setting));
            assert_eq!(bank.inductance(setting), Err(BankError::NotInTheBank));
            assert_eq!(
                at.reflection(setting, Reflection::MATCHED),
                Err(BankError::NotInTheBank)
            );
            assert_eq!(
                at.load_behind(setting, Reflection::MATCHED),
                Err(BankError::NotInTheBank)
            );
            assert_eq!(at.matched_load(setting), Err(BankError::NotInTheBank));
        }
        let fixed = Bank::new([coil(1)], [capacitor(1)], Arrangement::LoadSide).unwrap();
        assert!(!fixed.has(Setting {
            side: Side::Load,
            ..Setting::BYPASS
        }));
    }
    of::<f64>();
    of::<f32>();
    of::<Fixed32>();
    of::<Fixed16>();
    let nan = BankCoil::<f64> {
        q: f64::NAN.into(),
        inductance: Inductance::from_picohenries(1),
    };
    let refused = Bank::new([nan], [], Arrangement::Changeover);
    assert_eq!(refused, Err(BankError::Quantity(QuantityError::NotPositive("Q"))));
}

/// A coil in series and a capacitor across, at either end, reach the whole chart (common practice, no source); at one end
/// only a part of it.
#[test]
fn coverage_of_the_chart() {
    let coils =
        core::array::from_fn(|k| BankCoil::<f64>::lossless(Inductance::from_picohenries(20_000 << k)));
    let capacitors =
        core::array::from_fn(|k| BankCapacitor::lossless(Capacitance::from_femtofarads(4_000 << k)));
    let at = |arrangement| {
        let bank = Bank::<f64, 9, 9>::new(coils, capacitors, arrangement).unwrap();
        bank.at(Hertz::from_megahertz(14), Reference::fifty()).unwrap()
    };
    let share = |arrangement| {
        let coverage = at(arrangement).coverage(1.2, 0.8, 200).unwrap();
        assert_eq!(coverage.loads, 200);
        f64::from(coverage.matched) / 200.0
    };
    assert!(share(Arrangement::Changeover) > 0.995);
    let (source, load) = (share(Arrangement::SourceSide), share(Arrangement::LoadSide));
    // What one end cannot do the other can; a good deal both can.
    assert!(
        (0.3..0.9).contains(&source) && (0.3..0.9).contains(&load),
        "{source} {load}"
    );
    assert!(source + load >= 1.0);
    assert!(at(Arrangement::Changeover).coverage(1.2, 1.0, 10).is_err());
    assert!(at(Arrangement::Changeover).coverage(1.2, f64::NAN, 10).is_err());
    // 25 Ω needs the capacitors at the transmitter's end, 200 Ω at the antenna's.
    let low = Reflection::new(-1.0 / 3.0, 0.0).unwrap();
    let high = Reflection::new(0.6, 0.0).unwrap();
    assert_eq!(at(Arrangement::SourceSide).reaches(low, 1.1), Ok(true));
    assert_eq!(at(Arrangement::SourceSide).reaches(high, 1.1), Ok(false));
    assert_eq!(at(Arrangement::LoadSide).reaches(high, 1.1), Ok(true));
    assert_eq!(at(Arrangement::LoadSide).reaches(low, 1.1), Ok(false));
}

/// From every setting of a small bank to every other one: no relay moves that need not, none moves twice, whatever leaves
/// leaves before anything comes.
#[test]
fn relays_break_before_they_make_and_move_no_more_than_they_must() {
    let tap = |p, s| Turns::new(p, s).unwrap();
    let coils = [BankCoil::<f64>::lossless(Inductance::from_picohenries(1)); 2];
    let capacitors = [BankCapacitor::lossless(Capacitance::from_femtofarads(1)); 2];
    let bank = Bank::new(coils, capacitors, Arrangement::Changeover)
        .and_then(|bank| bank.with_taps(&[tap(1, 1), tap(1, 2)]))
        .unwrap();
    let at = bank.at(Hertz::from_megahertz(1), Reference::fifty()).unwrap();
    let settings: Vec<Setting> = at.settings().collect();
    let parts = |positions: Positions| u32::from(positions.coils) | u32::from(positions.capacitors) << 16;
    let mut most = 0;
    for from in &settings {
        for to in &settings {
            let mut now = from.positions();
            let mut operations = 0;
            let mut has_made = false;
            let mut steps = 0;
            while let Some(next) = to.next_from(now) {
                let (gone, come) = (parts(now) & !parts(next), parts(next) & !parts(now));
                assert!(gone == 0 || come == 0, "out and in at once");
                assert!(!has_made || gone == 0, "out after in");
                has_made |= come != 0;
                if now.side != next.side {
                    assert_eq!(
                        (gone, come, now.tap == next.tap),
                        (0, 0, true),
                        "the changeover moves alone"
                    );
                    assert!(!has_made);
                }
                if let (Some(a), Some(b)) = (now.tap, next.tap) {
                    assert_eq!(a, b, "a tap is left before another is taken");
                }
                operations += now.operations_to(next);
                now = next;
                steps += 1;
                assert!(steps <= 3);
            }
            assert_eq!(now, to.positions());
            assert_eq!(operations, from.operations_to(*to));
            let differing = (parts(from.positions()) ^ parts(to.positions())).count_ones() as u16
                + u16::from(from.side != to.side)
                + if from.tap == to.tap { 0 } else { 2 };
            assert_eq!(operations, differing);
            most = most.max(operations);
        }
    }
    assert_eq!(most, bank.most_operations());
}

#[test]
fn strays_are_there_even_in_bypass() {
    let bank = usual_bank::<f64>().with_stray(Stray {
        series: Inductance::from_picohenries(60_000),
        ..Stray::default()
    });
    let at = bank.at(Hertz::from_megahertz(28), Reference::fifty()).unwrap();
    let plain = usual_bank::<f64>()
        .at(Hertz::from_megahertz(28), Reference::fifty())
        .unwrap();
    let load = Reflection::MATCHED;
    assert!(at.reflection(Setting::BYPASS, load).unwrap().magnitude() > 0.05);
    assert!(plain.reflection(Setting::BYPASS, load).unwrap().magnitude() < 1e-12);
}
