//! The best setting is that of trying all of them, in every family and for every bank; and it is the one that others have
//! found.

use crate::common::{Random, Table};
use crate::tuners::*;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::control::{Arrangement, Bank, BankAt, BankCapacitor, BankCoil, BankError, Setting, Side};
use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, Reference, Reflection};

fn by_trying_all<A: Arithmetic, const L: usize, const C: usize>(
    at: &BankAt<A, L, C>,
    load: Reflection<A>,
) -> (Setting, A::Working) {
    let mut best = (Setting::BYPASS, at.power(Setting::BYPASS, load));
    for setting in at.settings() {
        let power = at.power(setting, load);
        if power < best.1 {
            best = (setting, power);
        }
    }
    best
}

/// How often the search is not as good as trying all, to the last bit. With `spoil` the values tried are not those searched.
fn misses<A: Arithmetic, const L: usize, const C: usize>(
    seed: u64,
    loads: u32,
    arrangement: Arrangement,
    spoil: bool,
) -> u32 {
    let mut random = Random::new(seed);
    let mut misses = 0;
    for _ in 0..loads {
        let RandomBank { bank, .. } = random_bank::<A, L, C>(&mut random, arrangement);
        let frequency = random_frequency(&mut random);
        let at = bank.at(frequency, Reference::fifty()).unwrap();
        let other = if spoil {
            bank.at(Hertz::new(frequency.get() * 102 / 100), Reference::fifty())
                .unwrap()
        } else {
            at
        };
        let load = random_load(&mut random, 0.98);
        let best = by_trying_all(&at, load);
        let found = other.best_setting(load).unwrap();
        assert!(bank.has(found.setting));
        misses += u32::from(at.power(found.setting, load) != best.1);
    }
    misses
}

fn all_arrangements<A: Arithmetic>(seed: u64) {
    let none = |misses: u32, what: &str| assert_eq!(misses, 0, "{:?}, {what}", A::FAMILY);
    for arrangement in [
        Arrangement::Changeover,
        Arrangement::SourceSide,
        Arrangement::LoadSide,
    ] {
        none(misses::<A, 6, 5>(seed, 120, arrangement, false), "one side");
    }
    let both = Arrangement::BothSides { at_source: 3 };
    none(misses::<A, 5, 6>(seed, 80, both, false), "both sides");
    none(
        misses::<A, 0, 6>(seed, 20, Arrangement::Changeover, false),
        "no coils",
    );
    none(
        misses::<A, 6, 0>(seed, 20, Arrangement::Changeover, false),
        "no capacitors",
    );
    none(
        misses::<A, 1, 1>(seed, 20, Arrangement::Changeover, false),
        "one of each",
    );
    // The control: a search in a bank whose values are two per cent off is seen.
    assert!(misses::<A, 6, 5>(seed, 60, Arrangement::Changeover, true) > 20);
}

#[test]
fn the_search_equals_trying_all_in_every_family() {
    all_arrangements::<f64>(1);
    all_arrangements::<f32>(2);
    all_arrangements::<Fixed32>(3);
    all_arrangements::<Fixed16>(4);
}

#[test]
fn the_search_equals_trying_all_of_131072_settings() {
    assert_eq!(misses::<f64, 8, 8>(5, 16, Arrangement::Changeover, false), 0);
    assert_eq!(misses::<Fixed32, 8, 8>(6, 5, Arrangement::Changeover, false), 0);
    let both = Arrangement::BothSides { at_source: 5 };
    assert_eq!(misses::<f64, 7, 10>(7, 2, both, false), 0);
}

/// No setting is better by an independent computation in double precision of the bank as it is held.
fn nothing_is_better<A: Arithmetic>(seed: u64, allowed: f64, told: f64) {
    let mut random = Random::new(seed);
    for arrangement in [Arrangement::Changeover, Arrangement::BothSides { at_source: 2 }] {
        for _ in 0..60 {
            let RandomBank { bank, stray, taps } = random_bank::<A, 5, 4>(&mut random, arrangement);
            let frequency = random_frequency(&mut random);
            let oracle = Oracle::new(&bank, stray, &taps, frequency, 50.0);
            let at = bank.at(frequency, Reference::fifty()).unwrap();
            let load = random_load::<A>(&mut random, 0.95);
            let gamma = c(load.real().to_f64(), load.imaginary().to_f64());
            let best = at
                .settings()
                .map(|setting| oracle.reflection(setting, gamma).size())
                .fold(f64::INFINITY, f64::min);
            let found = at.best_setting(load).unwrap();
            let chosen = oracle.reflection(found.setting, gamma).size();
            assert!(chosen <= best + allowed, "{:?}: {chosen} {best}", A::FAMILY);
            let reflection = c(
                found.reflection.real().to_f64(),
                found.reflection.imaginary().to_f64(),
            );
            let off = (reflection - oracle.reflection(found.setting, gamma)).size();
            assert!(off <= allowed + told, "{off}");
        }
    }
}

#[test]
fn no_setting_is_better_in_double_precision() {
    nothing_is_better::<f64>(11, 1e-12, 0.0);
    nothing_is_better::<f32>(12, 3e-5, 0.0);
    nothing_is_better::<Fixed32>(13, 3e-7, 0.0);
    nothing_is_better::<Fixed16>(14, 3e-7, 4e-5);
}

#[test]
fn loads_that_take_no_power_are_refused() {
    fn of<A: Arithmetic>() {
        let at = usual_bank::<A>()
            .at(Hertz::from_megahertz(7), Reference::fifty())
            .unwrap();
        for load in [Reflection::SHORT, Reflection::try_from_f64(0.7, -0.75).unwrap()] {
            assert_eq!(at.best_setting(load), Err(BankError::LoadWithoutResistance));
        }
        assert!(at.best_setting(Reflection::MATCHED).is_ok());
        // A finite load may be as near to the rim as it likes.
        assert!(
            at.best_setting(Reflection::try_from_f64(0.999, 0.0).unwrap())
                .is_ok()
        );
    }
    of::<f64>();
    of::<f32>();
    of::<Fixed32>();
    of::<Fixed16>();
}

// --- against the world ---------------------------------------------------------------------------------------------

fn published() -> Table {
    Table::parse(include_str!("../data/tuner_published.csv"))
}

/// The bank of the published optima: 50 nH · 2⁰..⁷ in series, 10 pF · 2⁰..⁶ across, at either end, without loss.
fn published_bank<A: Arithmetic>() -> Bank<A, 8, 7> {
    let coils = core::array::from_fn(|k| BankCoil::lossless(Inductance::from_picohenries(50_000 << k)));
    let capacitors =
        core::array::from_fn(|k| BankCapacitor::lossless(Capacitance::from_femtofarads(10_000 << k)));
    Bank::new(coils, capacitors, Arrangement::Changeover).unwrap()
}

fn optimum<A: Arithmetic>(load: (f64, f64), hertz: u64, expected: &str, tolerance: f64) {
    let fields: Vec<&str> = expected.split(';').collect();
    let side = match fields[3] {
        "C at source side" => Side::Source,
        "C at load side" => Side::Load,
        other => panic!("{other}"),
    };
    let load = Impedance::<A>::try_from_f64(load.0, load.1).unwrap();
    let at = published_bank::<A>()
        .at(Hertz::new(hertz), Reference::fifty())
        .unwrap();
    let found = at.best_setting(load.reflection(Reference::fifty())).unwrap();
    let setting = Setting {
        coils: fields[1].parse().unwrap(),
        capacitors: fields[2].parse().unwrap(),
        side,
        tap: 0,
    };
    assert_eq!(found.setting, setting, "{:?}", A::FAMILY);
    let swr: f64 = fields[0].parse().unwrap();
    let off = (found.reflection.swr().to_f64() - swr).abs();
    assert!(off <= tolerance, "{:?}: {off}", A::FAMILY);
}

/// The two elements that a textbook gives: a bank whose steps are fine finds the same ones.
fn continuous_limit<A: Arithmetic>(load: (f64, f64), reference: f64, hertz: f64, x: f64, b: f64, side: Side) {
    let omega = std::f64::consts::TAU * hertz;
    let (henries, farads) = (x / omega, b / omega);
    // Ten bits each, the textbook's value in the middle.
    let (henry, farad) = (henries / 600.0, farads / 600.0);
    let (unit_l, unit_c) = units::<A>();
    let coils = core::array::from_fn(|k| {
        BankCoil::lossless(Inductance::new(word(henry * f64::from(1 << k) / unit_l)).unwrap())
    });
    let capacitors = core::array::from_fn(|k| {
        BankCapacitor::lossless(Capacitance::new(word(farad * f64::from(1 << k) / unit_c)).unwrap())
    });
    let bank = Bank::<A, 10, 10>::new(coils, capacitors, Arrangement::Changeover).unwrap();
    let reference = Reference::<A>::try_from_f64(reference).unwrap();
    let at = bank.at(Hertz::new(hertz as u64), reference).unwrap();
    let load = Impedance::<A>::try_from_f64(load.0, load.1)
        .unwrap()
        .reflection(reference);
    let found = at.best_setting(load).unwrap();
    assert!(
        found.reflection.swr().to_f64() < 1.02,
        "{:?}",
        found.reflection.swr()
    );
    assert_eq!(found.setting.side, side);
    let inductance = bank.inductance(found.setting).unwrap().get().to_f64() * unit_l;
    let capacitance = bank.capacitance(found.setting).unwrap().get().to_f64() * unit_c;
    assert!(
        (inductance / henries - 1.0).abs() < 0.02,
        "{inductance} {henries}"
    );
    assert!(
        (capacitance / farads - 1.0).abs() < 0.02,
        "{capacitance} {farads}"
    );
}

fn pair(text: &str) -> (f64, f64) {
    let (a, b) = text.split_once(';').unwrap();
    (a.parse().unwrap(), b.parse().unwrap())
}

/// Every row of `data/tuner_published.csv`, each with its source there.
#[test]
fn published_optima_and_textbook_matches() {
    let mut rows = 0;
    for row in published().rows() {
        rows += 1;
        let id = row.text("id");
        let expected = row.text("expected");
        let limit = |load, hertz, side| {
            let (x, b) = pair(expected);
            continuous_limit::<f64>(load, 50.0, hertz, x, b, side);
            continuous_limit::<f32>(load, 50.0, hertz, x, b, side);
            if hertz < 1e8 {
                // Whole picohenries and femtofarads are too coarse for 600 steps at 500 MHz.
                continuous_limit::<Fixed32>(load, 50.0, hertz, x, b, side);
                continuous_limit::<Fixed16>(load, 50.0, hertz, x, b, side);
            }
        };
        let optima = |load, hertz| {
            optimum::<f64>(load, hertz, expected, 1e-9);
            optimum::<f32>(load, hertz, expected, 2e-4);
            optimum::<Fixed32>(load, hertz, expected, 2e-5);
        };
        match id {
            "T6-070" => optima((25.0, 0.0), 7_100_000),
            "T6-072" => optima((20.0, -60.0), 3_600_000),
            "T6-073" => optima((600.0, -400.0), 7_100_000),
            "T6-075" => optima((1000.0, 0.0), 28_500_000),
            // Normalised b and x of one example, given in two rows; 100 Ω.
            "T2-001" => {
                let b = row.number("expected") / 100.0;
                continuous_limit::<f64>((200.0, -100.0), 100.0, 5e8, 122.474487139159, b, Side::Load);
            }
            "T2-002" => {
                let x = row.number("expected") * 100.0;
                continuous_limit::<f64>((200.0, -100.0), 100.0, 5e8, x, 0.00289897948556636, Side::Load);
            }
            // The same as parts: picofarads, nanohenries.
            "T2-003" => {
                let b = row.number("expected") * 1e-12 * std::f64::consts::TAU * 5e8;
                continuous_limit::<f64>((200.0, -100.0), 100.0, 5e8, 122.474487139159, b, Side::Load);
            }
            "T2-004" => {
                let x = row.number("expected") * 1e-9 * std::f64::consts::TAU * 5e8;
                continuous_limit::<f64>((200.0, -100.0), 100.0, 5e8, x, 0.00289897948556636, Side::Load);
            }
            "T2-009" => limit((25.0, 0.0), 7.1e6, Side::Source),
            "T2-011" => limit((200.0, 0.0), 14.15e6, Side::Load),
            "T2-015" => limit((20.0, -60.0), 3.6e6, Side::Source),
            "T2-017" => limit((10.0, 300.0), 1.85e6, Side::Load),
            "T2-021" => limit((600.0, -400.0), 28.5e6, Side::Load),
            "T2-029" => limit((50.0, 100.0), 21.2e6, Side::Load),
            "T2-032" => limit((10.0, 10.0), 5e8, Side::Source),
            // Of the same circuit the coil alone, nanohenries.
            "T2-034" => {
                let x = row.number("expected") * 1e-9 * std::f64::consts::TAU * 5e8;
                continuous_limit::<f64>((10.0, 10.0), 50.0, 5e8, x, 0.04, Side::Source);
            }
            other => panic!("no check for {other}"),
        }
    }
    assert_eq!(rows, 16);
}

/// The control: another load has another optimum.
#[test]
#[should_panic]
fn another_load_is_not_the_published_one() {
    optimum::<f64>(
        (26.0, 0.0),
        7_100_000,
        "1.01914710542;11;45;C at source side",
        1e-9,
    );
}
