//! Matching networks: what is synthesised, walked back, in every family; what does not exist, and why; and the ranking.
//! All loads are invented.

use crate::common::complex::{C, c};
use crate::common::impedances::{gamma_of, half_a_step, held, ohms, source, swr_of, word};
use crate::common::law::near;
use crate::common::networks::{blocks, roundings, walk};
use crate::common::{Random, is_fixed};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed32, Floating, Quantity};
use ohmwright::design::ladder::{Element, Ladder, PartKind, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::design::load::{Load, LoadTable};
use ohmwright::design::matching::bode_fano::{least_reflection, load_q, widest_band};
use ohmwright::design::matching::{
    MatchPlans, MatchScheme, MatchingError, Orientation, QuarterWaveRoute, RankSettings, StubSettings,
    ThreeElementShape, TransformerPlace, WhyNot, least_q, quarter_wave, quarter_wave_bandwidth, rank,
    single_stub, three_element, two_element, with_transformer,
};
use ohmwright::design::preferred::{PreferredSeries, Tolerance};
use ohmwright::design::transformer::Turns;
use ohmwright::quantity::{
    Band, Component, Hertz, Impedance, QFactor, QuantityError, Ratio, Reactor, Reference,
};

const NO_LOSS: (f64, f64) = (0.0, 1.0);

in_every_family!(
    two_elements_give_back_what_was_wanted,
    every_arrangement_is_there_or_says_why_not,
    three_elements_give_back_what_was_wanted,
    transformer_and_two_elements_match,
    a_quarter_wave_matches,
    a_stub_matches,
    what_is_told_is_what_the_doubles_tell,
    refusals_name_the_parameter,
);

fn random_load<A: Arithmetic>(random: &mut Random) -> Impedance<A> {
    let r = 10f64.powf(random.between(0.5, 3.0));
    ohms(r, random.between(-30.0, 30.0) * r.min(30.0))
}

fn random_source<A: Arithmetic>(random: &mut Random) -> Impedance<A> {
    if random.bits() & 1 == 0 {
        ohms(50.0, 0.0)
    } else {
        ohms(random.between(5.0, 300.0), random.between(-200.0, 200.0))
    }
}

fn frequency(random: &mut Random) -> Hertz {
    Hertz::new(random.between(1e6, 1e8) as u64)
}

/// Half a unit of a word, of its own size.
fn rounding_of_word<Q: Quantity>(word: Q, unit: f64) -> f64 {
    0.5 * unit / word.to_f64()
}

/// How far a network may be from what it is for: a rounding of each value to its word, a few roundings of the working
/// number, each grown by what cancels on the way.
fn allowance<A: Arithmetic, const N: usize>(ladder: &Ladder<A, N>, load: Impedance<A>, f: Hertz) -> (C, f64) {
    let (seen, growth) = walk(&blocks(ladder.elements(), NO_LOSS, f), held(load));
    let mut entry = roundings::<A>() * 3.0;
    if is_fixed::<A>() {
        for element in ladder.elements() {
            let line = match element {
                Element::Line(line) => Some(*line),
                _ => None,
            };
            let of_line = |line: Line<A>| {
                rounding_of_word(line.length(), 1.0 / 65536.0)
                    + rounding_of_word(line.impedance(), 1.0 / 4096.0)
            };
            entry += match element.part().map(|part| part.kind()) {
                Some(PartKind::Reactor(Reactor::Inductor(l), _)) => rounding_of_word(l.get(), 1.0),
                Some(PartKind::Reactor(Reactor::Capacitor(c), _)) => rounding_of_word(c.get(), 1.0),
                Some(PartKind::Stub(line, _)) => of_line(line),
                _ => line.map_or(0.0, of_line),
            };
        }
    }
    (seen, entry * growth)
}

/// The network shows the wanted impedance, walked by the crate and by the oracle.
fn shows<A: Arithmetic, const N: usize>(
    ladder: &Ladder<A, N>,
    load: Impedance<A>,
    f: Hertz,
    wanted: C,
) -> crate::common::law::Law {
    let (seen, slack) = allowance(ladder, load, f);
    // In doubles to 1e-12, whatever the way.
    let slack = if A::FAMILY == Family::F64 { 1e-12 } else { slack };
    let of_wanted = wanted.size() * slack;
    near("the oracle's walk", (seen - wanted).size(), 0.0, of_wanted)?;
    let got = held(
        ladder
            .input_impedance(load, f)
            .map_err(|error| error.to_string())?,
    );
    near(
        "the ladder's walk",
        (got - wanted).size(),
        0.0,
        of_wanted + 1.5 * half_a_step::<A>(),
    )
}

/// Whether the family is fine enough for the network for an error of a hundredth to be seen.
fn is_sharp<A: Arithmetic, const N: usize>(ladder: &Ladder<A, N>, load: Impedance<A>, f: Hertz) -> bool {
    allowance(ladder, load, f).1 < 4e-3
}

fn two_elements_give_back_what_was_wanted<A: Arithmetic>() {
    let mut random = Random::new(21);
    let (mut found, mut beyond, mut controls) = (0, 0, 0);
    for _ in 0..3000 {
        let (load, source, f) = (
            random_load::<A>(&mut random),
            random_source::<A>(&mut random),
            frequency(&mut random),
        );
        let wanted = held(source).conjugate();
        for network in two_element(load, source).unwrap().networks() {
            match network.ladder::<2>(f) {
                Ok(ladder) => {
                    shows(&ladder, load, f, wanted)
                        .unwrap_or_else(|error| panic!("{error}: {ladder:?} {load:?} {source:?}"));
                    if is_sharp(&ladder, load, f) && ladder.elements().len() == 2 {
                        shows(&ladder, load, f, wanted.times(1.01)).unwrap_err();
                        controls += 1;
                    }
                    found += 1;
                }
                Err(MatchingError::PartBeyondWord(_)) if is_fixed::<A>() => beyond += 1,
                Err(error) => panic!("{error}"),
            }
            // Q is that of the node between.
            let x = if network.orientation() == Orientation::SeriesAtLoad {
                let z = held(load) + c(0.0, network.series_reactance().to_f64());
                z.im.abs() / z.re
            } else {
                let y = c(1.0, 0.0) / held(load);
                (y.im + network.shunt_susceptance().to_f64()).abs() / y.re
            };
            let steps = if is_fixed::<A>() {
                2e-4 + 3e-7 / (c(1.0, 0.0) / held(load)).re
            } else {
                1e-9
            };
            let slack = steps
                + 1e-3 * x * f64::from(u8::from(A::FAMILY != Family::F64))
                + 1e-3 * f64::from(u8::from(matches!(A::FAMILY, Family::F32 | Family::SoftF32)));
            near("Q", network.q().to_f64(), x, slack).unwrap();
        }
    }
    assert!(
        found > 5000 && beyond < 100 && controls > 2000,
        "{found} {beyond} {controls}"
    );
}

fn every_arrangement_is_there_or_says_why_not<A: Arithmetic>() {
    let mut random = Random::new(22);
    let mut absent = 0;
    for _ in 0..3000 {
        let load = random_load::<A>(&mut random);
        let source = random_source::<A>(&mut random);
        let all = *two_element(load, source).unwrap().all();
        let (z, target) = (held(load), held(source).conjugate());
        let across = c(1.0, 0.0) / z;
        let shunt_first = 1.0 - across.re * target.re;
        let series_first = 1.0 - z.re * (c(1.0, 0.0) / target).re;
        for (there, place, why) in [
            (shunt_first, 0, WhyNot::ShuntResistanceTooLow),
            (series_first, 2, WhyNot::SeriesResistanceTooHigh),
        ] {
            if there.abs() < 1e-5 {
                continue; // a hair decides
            }
            if there > 0.0 {
                assert!(all[place].is_ok() && all[place + 1].is_ok());
                assert_ne!(all[place], all[place + 1]);
            } else {
                assert_eq!((all[place], all[place + 1]), (Err(why), Err(why)));
                absent += 1;
            }
        }
        // And where it does not exist nothing comes near: the best of very many first elements, the second cancelling all
        // reactance that is left.
        if shunt_first < -0.01 {
            let best = (-2000..=2000)
                .map(|step| {
                    let b = f64::from(step) / 500.0 * across.size();
                    let seen = c(1.0, 0.0) / c(across.re, across.im + b);
                    (seen.re - target.re).abs() / target.re
                })
                .fold(f64::INFINITY, f64::min);
            assert!(best > 0.0099, "{best}");
        }
    }
    assert!(absent > 500);
    // One root, one element.
    let source = ohms::<A>(50.0, 0.0);
    let all = *two_element(ohms(50.0, 100.0), source).unwrap().all();
    assert_eq!(all[3], Err(WhyNot::SameAsOther));
    let single = all[2].unwrap().ladder::<2>(Hertz::from_megahertz(21)).unwrap();
    assert_eq!(single.elements().len(), 1);
    assert_eq!(
        two_element(ohms(50.0, 100.0), source).unwrap().networks().count(),
        3
    );
    // Nothing to do.
    let matched = two_element(source, source).unwrap();
    for network in matched.networks() {
        assert_eq!(
            network
                .ladder::<2>(Hertz::from_megahertz(21))
                .unwrap()
                .elements()
                .len(),
            0
        );
    }
}

fn three_elements_give_back_what_was_wanted<A: Arithmetic>() {
    let mut random = Random::new(23);
    let (mut found, mut controls) = (0, 0);
    for round in 0..1500 {
        let shape = if round & 1 == 0 {
            ThreeElementShape::Pi
        } else {
            ThreeElementShape::Tee
        };
        let (load, source, f) = (
            random_load::<A>(&mut random),
            random_source::<A>(&mut random),
            frequency(&mut random),
        );
        let least = least_q(shape, load, source).unwrap().to_f64();
        let q = word::<QFactor<A>>(least * random.between(1.01, 3.0) + 0.1);
        let below = word::<QFactor<A>>(least * 0.98);
        if least > 0.5 {
            let Err(MatchingError::QTooLow {
                asked_thousandths,
                least_thousandths,
            }) = three_element(shape, load, source, below)
            else {
                panic!("{below} is below {least}")
            };
            // Between the least and its next thousandth, and what was asked for.
            let said = f64::from(least_thousandths) / 1000.0;
            assert!(
                // The least itself is shown to half a step of its word.
                said >= least * (1.0 - 1e-6) - 7.7e-6 && said <= least * (1.0 + 1e-6) + 0.0011,
                "{said} {least}"
            );
            assert!((f64::from(asked_thousandths) / 1000.0 - below.to_f64()).abs() < 0.0011);
        }
        let wanted = held(source).conjugate();
        for network in three_element(shape, load, source, q).unwrap() {
            let ladder = match network.ladder::<3>(f) {
                Ok(ladder) => ladder,
                Err(MatchingError::PartBeyondWord(_)) if is_fixed::<A>() => continue,
                Err(error) => panic!("{error}"),
            };
            // Of a Q above a hundred the doubles have lost a digit more.
            let digits = if A::FAMILY == Family::F64 && q.to_f64() > 30.0 {
                10.0
            } else {
                1.0
            };
            let (seen, slack) = allowance(&ladder, load, f);
            if digits == 1.0 {
                shows(&ladder, load, f, wanted)
                    .unwrap_or_else(|error| panic!("{error}: {ladder:?} {load:?}"));
            } else {
                near(
                    "three",
                    (seen - wanted).size(),
                    0.0,
                    wanted.size() * slack.max(1e-11),
                )
                .unwrap();
            }
            if is_sharp(&ladder, load, f) {
                shows(&ladder, load, f, wanted.times(1.01)).unwrap_err();
                controls += 1;
            }
            found += 1;
        }
    }
    assert!(found > 4000 && controls > 1000, "{found} {controls}");
}

fn transformer_and_two_elements_match<A: Arithmetic>() {
    let mut random = Random::new(24);
    let (mut found, mut controls) = (0, 0);
    for round in 0..1000 {
        let (load, source, f) = (
            random_load::<A>(&mut random),
            random_source::<A>(&mut random),
            frequency(&mut random),
        );
        let turns = Turns::new((1 + random.bits() % 5) as u8, (1 + random.bits() % 5) as u8).unwrap();
        let place = if round & 1 == 0 {
            TransformerPlace::AtLoad
        } else {
            TransformerPlace::AtSource
        };
        let wanted = held(source).conjugate();
        for ladder in with_transformer::<A, 3>(load, source, turns, place, f).unwrap() {
            match ladder {
                Ok(ladder) => {
                    shows(&ladder, load, f, wanted)
                        .unwrap_or_else(|error| panic!("{error}: {ladder:?} {load:?}"));
                    if is_sharp(&ladder, load, f) && ladder.elements().len() == 3 {
                        shows(&ladder, load, f, wanted.times(1.01)).unwrap_err();
                        controls += 1;
                    }
                    found += 1;
                }
                Err(MatchingError::DoesNotExist(_)) => {}
                Err(MatchingError::PartBeyondWord(_)) if is_fixed::<A>() => {}
                Err(error) => panic!("{error}"),
            }
        }
    }
    assert!(found > 1000 && controls > 500, "{found} {controls}");
}

fn a_quarter_wave_matches<A: Arithmetic>() {
    let mut random = Random::new(25);
    let mut controls = 0;
    for _ in 0..1000 {
        let r = random.between(5.0, 500.0);
        let load = ohms::<A>(r, random.between(-2.0, 2.0) * r);
        let z0 = random.between(20.0, 200.0);
        let f = frequency(&mut random);
        let wanted = c(source::<A>(z0).ohms().to_f64(), 0.0);
        for route in [
            QuarterWaveRoute::SeriesPart,
            QuarterWaveRoute::ShuntPart,
            QuarterWaveRoute::LineToHighest(word(75.0)),
            QuarterWaveRoute::LineToLowest(word(75.0)),
        ] {
            let ladder = quarter_wave::<A, 2>(load, source(z0), route, word(0.75), f).unwrap();
            shows(&ladder, load, f, wanted).unwrap_or_else(|error| panic!("{error}: {ladder:?} {load:?}"));
            if is_sharp(&ladder, load, f) {
                shows(&ladder, load, f, wanted.times(1.01)).unwrap_err();
                controls += 1;
            }
        }
    }
    assert!(controls > 1000, "{controls}");
    // A load that is a resistance, and one that is the line's own, need one line only.
    let f = Hertz::from_megahertz(71);
    let one = quarter_wave::<A, 2>(
        ohms(75.0, 0.0),
        source(50.0),
        QuarterWaveRoute::SeriesPart,
        word(0.75),
        f,
    );
    assert_eq!(one.unwrap().elements().len(), 1);
    let route = QuarterWaveRoute::LineToLowest(word(75.0));
    let one = quarter_wave::<A, 2>(ohms(75.0, 0.0), source(50.0), route, word(0.75), f);
    assert_eq!(one.unwrap().elements().len(), 1);
}

fn a_stub_matches<A: Arithmetic>() {
    let mut random = Random::new(26);
    let (mut found, mut never, mut controls) = (0, 0, 0);
    for round in 0..1500 {
        let r = random.between(5.0, 500.0);
        let load = ohms::<A>(r, random.between(-2.0, 2.0) * r);
        let line = if round % 3 == 0 {
            random.between(30.0, 150.0)
        } else {
            50.0
        };
        let settings = StubSettings::<A> {
            line_impedance: word(line),
            stub_impedance: word(random.between(30.0, 150.0)),
            velocity_factor: word(random.between(0.5, 1.0)),
            end: if round & 1 == 0 {
                StubEnd::Open
            } else {
                StubEnd::Shorted
            },
        };
        let f = frequency(&mut random);
        for stub in single_stub(load, source(50.0), settings).unwrap() {
            match stub {
                Ok(stub) => {
                    assert!(
                        stub.line_wavelengths().to_f64() <= 0.5 && stub.stub_wavelengths().to_f64() <= 0.5
                    );
                    let ladder = stub.ladder::<2>(f).unwrap();
                    shows(&ladder, load, f, c(50.0, 0.0))
                        .unwrap_or_else(|error| panic!("{error}: {ladder:?} {load:?}"));
                    if is_sharp(&ladder, load, f) {
                        shows(&ladder, load, f, c(50.5, 0.0)).unwrap_err();
                        controls += 1;
                    }
                    found += 1;
                }
                Err(why) => {
                    assert_eq!(why, WhyNot::LineNeverMeetsSource);
                    // The line turns the load between these two conductances.
                    let s = swr_of(gamma_of(held(load), line));
                    assert!(line / s > 50.0 * (1.0 - 1e-3) || line * s < 50.0 * (1.0 + 1e-3));
                    never += 1;
                }
            }
        }
    }
    assert!(
        found > 2000 && never > 50 && controls > 1000,
        "{found} {never} {controls}"
    );
    let settings = StubSettings::<A> {
        line_impedance: word(75.0),
        stub_impedance: word(75.0),
        velocity_factor: word(0.75),
        end: StubEnd::Open,
    };
    let same = single_stub(ohms(75.0, 0.0), source(50.0), settings).unwrap();
    assert_eq!(same, [Err(WhyNot::LoadMatchesLine); 2]);
}

/// The bounds that the documentation states, against doubles that are fed what the words hold.
fn what_is_told_is_what_the_doubles_tell<A: Arithmetic>() {
    let relative = |fixed: f64| match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => fixed,
        Family::F64 => 0.0,
        _ => 2e-5,
    };
    let step = |bits: i32| {
        if is_fixed::<A>() {
            2f64.powi(-bits - 1)
        } else {
            0.0
        }
    };
    let mut random = Random::new(27);
    let mut compared = [0; 3];
    for _ in 0..3000 {
        let (load, source) = (random_load::<A>(&mut random), random_source::<A>(&mut random));
        let (z, zs) = (held(load), held(source));
        let twins = (ohms::<f64>(z.re, z.im), ohms::<f64>(zs.re, zs.im));
        let susceptance = |z: C| (c(1.0, 0.0) / z).im.abs();
        let exact = two_element(twins.0, twins.1).unwrap();
        for (got, want) in two_element(load, source).unwrap().all().iter().zip(exact.all()) {
            let (Ok(got), Ok(want)) = (got, want) else {
                continue;
            };
            let (x, b) = (want.series_reactance().get(), want.shunt_susceptance().get());
            let largest = x.abs().max(z.im.abs()).max(zs.im.abs());
            let of_x = step(12) + relative(5e-8) * largest;
            let of_b = step(24) + relative(5e-8) * b.abs().max(susceptance(z)).max(susceptance(zs));
            let got_x = got.series_reactance().to_f64();
            near("X", got_x, x, of_x).unwrap();
            near("B", got.shunt_susceptance().to_f64(), b, of_b).unwrap();
            near("control", got_x + 1e-3 * largest + 1e-3, x, of_x).unwrap_err();
            compared[0] += 1;
        }
        for shape in [ThreeElementShape::Pi, ThreeElementShape::Tee] {
            let q = word::<QFactor<A>>(least_q(shape, twins.0, twins.1).unwrap() * 1.3 + 1.0);
            let exact = three_element(shape, twins.0, twins.1, q.to_f64().into()).unwrap()[0]
                .virtual_resistance()
                .get();
            let got = three_element(shape, load, source, q).unwrap()[0];
            let slack = step(12) + relative(2e-8) * exact;
            near("R", got.virtual_resistance().to_f64(), exact, slack).unwrap();
            near("control", exact * 1.001 + 0.001, exact, slack).unwrap_err();
            compared[1] += 1;
        }
        let settings = |end| StubSettings::<f64> {
            line_impedance: 50.0.into(),
            stub_impedance: 75.0.into(),
            velocity_factor: 1.0.into(),
            end,
        };
        let words = |settings: StubSettings<f64>| StubSettings::<A> {
            line_impedance: word(settings.line_impedance.to_f64()),
            stub_impedance: word(settings.stub_impedance.to_f64()),
            velocity_factor: word(settings.velocity_factor.to_f64()),
            end: settings.end,
        };
        for settings in [StubEnd::Open, StubEnd::Shorted].map(settings) {
            let exact = single_stub(twins.0, Reference::fifty(), settings).unwrap();
            let got = single_stub(load, Reference::fifty(), words(settings)).unwrap();
            for (got, want) in got.iter().flatten().zip(exact.iter().flatten()) {
                for (got, want) in [
                    (got.line_wavelengths().to_f64(), want.line_wavelengths().get()),
                    (got.stub_wavelengths().to_f64(), want.stub_wavelengths().get()),
                ] {
                    // Half a wavelength is none.
                    let off = (got - want).abs().min(0.5 - (got - want).abs());
                    near("wavelengths", off, 0.0, step(16) + relative(2e-8)).unwrap();
                    compared[2] += 1;
                }
            }
        }
    }
    assert!(
        compared[0] > 5000 && compared[1] == 6000 && compared[2] > 20_000,
        "{compared:?}"
    );
}

fn refusals_name_the_parameter<A: Arithmetic>() {
    let (good, f) = (ohms::<A>(50.0, 0.0), Hertz::from_megahertz(7));
    for load in [
        Impedance::SHORT,
        Impedance::OPEN,
        ohms(0.0, 70.0),
        ohms(-5.0, 70.0),
    ] {
        assert_eq!(two_element(load, good), Err(MatchingError::LoadWithoutResistance));
        assert_eq!(
            two_element(good, load),
            Err(MatchingError::SourceWithoutResistance)
        );
        let three = three_element(ThreeElementShape::Pi, load, good, word(3.0));
        assert_eq!(three, Err(MatchingError::LoadWithoutResistance));
        let route = QuarterWaveRoute::SeriesPart;
        let quarter = quarter_wave::<A, 2>(load, source(50.0), route, word(0.7), f);
        assert_eq!(quarter, Err(MatchingError::LoadWithoutResistance));
        assert_eq!(
            quarter_wave_bandwidth(load, source(50.0), word(2.0)),
            Err(MatchingError::LoadWithoutResistance)
        );
    }
    let nothing = MatchingError::Quantity(QuantityError::NotPositive("frequency"));
    let network = two_element(ohms(10.0, 5.0), good)
        .unwrap()
        .networks()
        .next()
        .unwrap();
    assert_eq!(network.ladder::<2>(Hertz::new(0)), Err(nothing));
    assert_eq!(nothing.to_string(), "frequency must be greater than zero");
    assert!(matches!(network.ladder::<1>(f), Err(MatchingError::Ladder(_))));
    let factor = quarter_wave::<A, 2>(
        ohms(10.0, 5.0),
        source(50.0),
        QuarterWaveRoute::SeriesPart,
        word(1.5),
        f,
    );
    assert_eq!(
        factor,
        Err(MatchingError::Quantity(QuantityError::OutsideLimits(
            &ohmwright::quantity::Limits {
                parameter: "velocity factor",
                rule: "must be above 0 and at most 1"
            }
        )))
    );
    let settings = StubSettings::<A> {
        line_impedance: word(50.0),
        stub_impedance: word(0.0),
        velocity_factor: word(0.75),
        end: StubEnd::Open,
    };
    assert_eq!(
        single_stub(ohms(10.0, 5.0), source(50.0), settings),
        Err(MatchingError::Quantity(QuantityError::NotPositive(
            "stub impedance"
        )))
    );
    let bandwidth = |r: f64, s: f64| quarter_wave_bandwidth(ohms::<A>(r, 0.0), source(50.0), word(s));
    for s in [0.5, 0.999] {
        assert_eq!(
            bandwidth(10.0, s),
            Err(MatchingError::Quantity(QuantityError::BelowOne("SWR limit")))
        );
    }
    // Exactly 1 is a limit like others: kept at one frequency, or at every one where the load is the source's.
    let none = bandwidth(10.0, 1.0).unwrap().unwrap().to_f64();
    near("bandwidth", none, 0.0, 20.0 * roundings::<A>()).unwrap();
    assert!(bandwidth(10.0, 1.01).unwrap().unwrap().to_f64() > 1e-3);
    assert_eq!(bandwidth(50.0, 1.0), Ok(None));
}

/// What the word cannot hold is said, not saturated: a coil of 13 mH, a capacitor of 16 microfarads.
#[test]
fn a_part_beyond_its_word_is_an_error() {
    let f = Hertz::from_kilohertz(1);
    let source = ohms::<Fixed32>(50.0, 0.0);
    let found = two_element(ohms::<Fixed32>(200.0, 0.0), source).unwrap();
    let errors: Vec<_> = found.networks().map(|n| n.ladder::<2>(f).err()).collect();
    assert_eq!(
        errors,
        [
            Some(MatchingError::PartBeyondWord("inductance")),
            Some(MatchingError::PartBeyondWord("inductance"))
        ]
    );
    let found = two_element(ohms::<Fixed32>(5.0, 0.0), source).unwrap();
    let first = found.networks().next().unwrap();
    assert_eq!(
        first.ladder::<2>(f).err(),
        Some(MatchingError::PartBeyondWord("capacitance"))
    );
    // The doubles hold it.
    let wide = two_element(ohms::<f64>(200.0, 0.0), ohms(50.0, 0.0)).unwrap();
    assert!(wide.networks().all(|network| network.ladder::<2>(f).is_ok()));
}

// ---- The limit of Bode and Fano ---------------------------------------------------------------------------------

#[test]
fn the_limit_and_its_inverse() {
    fn check<F: Floating>(from: impl Fn(f64) -> F, slack: f64) {
        let (q_of, width_of) = (
            |q| QFactor::<F>::new(from(q)),
            |width| Ratio::<F>::new(from(width)),
        );
        let gamma_of = |gamma| Component::<F>::new(from(gamma));
        for (q, width) in [(10.0, 0.1), (3.0, 0.5), (40.0, 0.02)] {
            let gamma = least_reflection(q_of(q), width_of(width)).unwrap();
            let want = (-core::f64::consts::PI / (q * width)).exp();
            near("least", Quantity::to_f64(gamma), want, slack * want).unwrap();
            let back = widest_band(q_of(q), gamma).unwrap();
            near("widest", Quantity::to_f64(back), width, 3.0 * slack * width).unwrap();
        }
        assert_eq!(
            Quantity::to_f64(least_reflection(q_of(0.0), width_of(0.1)).unwrap()),
            0.0
        );
        assert_eq!(
            widest_band(q_of(0.0), gamma_of(0.3)).map(Quantity::to_f64),
            Ok(f64::INFINITY)
        );
        assert_eq!(
            least_reflection(q_of(-1.0), width_of(0.1)),
            Err(QuantityError::Negative("Q"))
        );
        assert_eq!(
            least_reflection(q_of(f64::NAN), width_of(0.1)),
            Err(QuantityError::NotFinite("Q"))
        );
        assert_eq!(
            least_reflection(q_of(1.0), width_of(0.0)),
            Err(QuantityError::NotPositive("bandwidth"))
        );
        assert_eq!(
            widest_band(q_of(1.0), gamma_of(1.0)),
            Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "reflection",
                rule: "must be below 1"
            }))
        );
    }
    check(|x| x, 1e-14);
    check(|x| x as f32, 1e-5);
}

/// R + jX with a coil or a capacitor that has X at the frequency.
fn series_load(r: f64, x: f64, f0: f64) -> impl Fn(Hertz) -> Option<Impedance<f64>> {
    move |f: Hertz| {
        let ratio = f.get() as f64 / f0;
        Impedance::new(r, if x > 0.0 { x * ratio } else { x / ratio }).ok()
    }
}

/// The same as R and X side by side.
fn parallel_load(r: f64, x: f64, f0: f64) -> impl Fn(Hertz) -> Option<Impedance<f64>> {
    move |f: Hertz| {
        let ratio = f.get() as f64 / f0;
        let x = if x > 0.0 { x * ratio } else { x / ratio };
        let z = c(1.0, 0.0) / (c(1.0 / r, 0.0) + c(1.0, 0.0) / c(0.0, x));
        Impedance::new(z.re, z.im).ok()
    }
}

#[test]
fn q_of_a_load_is_that_of_its_parts() {
    let f0 = Hertz::from_megahertz(71);
    for (r, x) in [(10.0, 50.0), (10.0, -50.0), (300.0, 30.0), (5.0, -200.0)] {
        let at = |load: &dyn Fn(Hertz) -> Option<Impedance<f64>>, hertz: u64| {
            (Hertz::new(hertz), load(Hertz::new(hertz)).unwrap())
        };
        let load = series_load(r, x, 71e6);
        let q = load_q(
            at(&load, 70_999_000),
            at(&load, 71_000_000),
            at(&load, 71_001_000),
        )
        .unwrap();
        near("series", q.get(), f64::abs(x) / r, 1e-6 * q).unwrap();
        // A resonance: Q of the coil alone, whatever the reactance beside it.
        let whip = |f: Hertz| {
            let ratio = f.get() as f64 / 71e6;
            Impedance::new(20.0, 300.0 * (ratio - 1.0 / ratio)).ok()
        };
        let q = load_q(
            at(&whip, 70_999_000),
            at(&whip, 71_000_000),
            at(&whip, 71_001_000),
        )
        .unwrap();
        near("resonance", q.get(), 15.0, 1e-6).unwrap();
    }
    let z = ohms::<f64>(10.0, 5.0);
    assert_eq!(
        load_q((f0, z), (f0, z), (f0, z)),
        Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
            parameter: "frequency",
            rule: "must rise from each load to the next"
        }))
    );
}

/// No lossless network beats the limit; the limit for four times the Q would be beaten.
#[test]
fn no_plan_beats_bode_and_fano() {
    let mut random = Random::new(31);
    let mut beaten_if_wrong = 0;
    let mut nearest = f64::INFINITY;
    for round in 0..60 {
        let (r, x) = (random.between(5.0, 300.0), random.between(0.5, 6.0));
        let sign = if round & 1 == 0 { 1.0 } else { -1.0 };
        let f0 = 71e6;
        let mut settings = RankSettings::<f64>::new(Reference::fifty(), Hertz::new(f0 as u64));
        let width = random.between(0.05, 0.3);
        settings.low = Hertz::new((f0 * (1.0 - width / 2.0)) as u64);
        settings.high = Hertz::new((f0 * (1.0 + width / 2.0)) as u64);
        settings.most_turns = 6;
        let plans: MatchPlans<f64, 64> = if round % 4 < 2 {
            rank(&settings, series_load(r, sign * x * r, f0)).unwrap()
        } else {
            rank(&settings, parallel_load(r, sign * r / x, f0)).unwrap()
        };
        let limit = plans.least_worst_swr().unwrap();
        let q = plans.load_q().unwrap();
        for plan in plans.as_slice() {
            assert!(
                plan.worst_swr >= limit * (1.0 - 1e-6),
                "{} {limit} {plan:?}",
                plan.worst_swr
            );
        }
        // The first may be a plainer one.
        let worst = plans.as_slice().iter().map(|plan| plan.worst_swr.get());
        let best = worst.fold(f64::INFINITY, f64::min);
        let excess = ((best - 1.0) / (best + 1.0)) / ((limit - 1.0) / (limit + 1.0)).max(1e-9);
        nearest = nearest.min(excess);
        let wrong = least_reflection((4.0 * q).into(), width.into()).unwrap();
        if best < (1.0 + wrong) / (1.0 - wrong) {
            beaten_if_wrong += 1;
        }
    }
    assert!(beaten_if_wrong > 10, "{beaten_if_wrong}");
    assert!(nearest < 6.0, "the limit is far from anything: {nearest}");
}

// ---- The ranking ------------------------------------------------------------------------------------------------

fn relay() -> RankSettings<f64> {
    let mut settings = RankSettings::new(Reference::fifty(), Hertz::from_megahertz(71));
    settings.low = Hertz::from_kilohertz(70_500);
    settings.high = Hertz::from_kilohertz(71_500);
    settings.most_turns = 6;
    settings.power = 50.0.into();
    settings.coil_q = Some(150.0.into());
    settings.preferred = Some(PreferredSeries::E24);
    settings.coil_tolerance = Tolerance::new(0.05).unwrap();
    settings.capacitor_tolerance = Tolerance::new(0.05).unwrap();
    settings.line_velocity_factor = Some(0.66.into());
    settings.stubs = true;
    settings
}

#[test]
fn plans_are_in_order_and_say_what_their_ladders_do() {
    let settings = relay();
    let load = series_load(12.0, 18.0, 71e6);
    let plans: MatchPlans<f64, 64> = rank(&settings, &load).unwrap();
    let list = plans.as_slice();
    assert!(list.len() > 30 && plans.looked_at() as usize >= list.len());
    for plan in list {
        let z = held(load(settings.frequency).unwrap());
        let (seen, _) = walk(&blocks(plan.ladder.elements(), NO_LOSS, settings.frequency), z);
        let swr = plan.swr().get();
        near("SWR", swr, swr_of(gamma_of(seen, 50.0)), 1e-9 * swr).unwrap();
        assert!(plan.worst_swr >= swr * (1.0 - 1e-12));
        if let Some(band) = plan.band {
            for (edge, open, beyond, end) in [
                (band.low.get(), band.low_open, band.low.get() - 2, 71_000_000 / 4),
                (
                    band.high.get(),
                    band.high_open,
                    band.high.get() + 2,
                    4 * 71_000_000,
                ),
            ] {
                let swr = |hertz: u64| {
                    let f = Hertz::new(hertz);
                    let blocks = blocks(plan.ladder.elements(), NO_LOSS, f);
                    swr_of(gamma_of(walk(&blocks, held(load(f).unwrap())).0, 50.0))
                };
                assert!(swr(edge) <= 2.0 + 1e-6, "{}", swr(edge));
                // Nothing but the end of the search leaves it open.
                assert_eq!(open, edge == end, "{edge}");
                assert!(open || swr(beyond) > 2.0 - 1e-6, "{}", swr(beyond));
            }
        } else {
            assert!(plan.swr() > 2.0);
        }
        // Every coil and capacitor is a preferred one.
        for element in plan.ladder.elements() {
            let value = match element.part().map(|part| part.kind()) {
                Some(PartKind::Reactor(Reactor::Inductor(l), _)) => l.get(),
                Some(PartKind::Reactor(Reactor::Capacitor(c), _)) => c.get(),
                _ => continue,
            };
            let nearest = PreferredSeries::E24.nearest(value).unwrap();
            near("preferred", value, nearest, 1e-12 * value).unwrap();
        }
    }
    for pair in list.windows(2) {
        // How far the limit is kept decides, then the cost by steps of 0.01 dB.
        assert!(pair[0].limit_kept <= pair[1].limit_kept, "not in order");
        assert!(
            pair[0].limit_kept < pair[1].limit_kept || pair[0].cost <= pair[1].cost + 0.01,
            "not in order"
        );
    }
    // A shorter list is the beginning of the longer.
    let few: MatchPlans<f64, 5> = rank(&settings, &load).unwrap();
    assert_eq!(few.as_slice(), &list[..5]);
    // No two are the same.
    for (place, plan) in list.iter().enumerate() {
        assert!(list[place + 1..].iter().all(|other| other.ladder != plan.ladder));
    }
}

/// The worst corner, by trying very many networks between the corners and frequencies between the nine.
#[test]
fn worst_swr_is_the_worst_of_what_may_be_built() {
    let settings = relay();
    let load = series_load(12.0, 18.0, 71e6);
    let plans: MatchPlans<f64, 12> = rank(&settings, &load).unwrap();
    let mut random = Random::new(33);
    for plan in plans.as_slice() {
        let mut worst: f64 = 0.0;
        for _ in 0..3000 {
            let f = Hertz::new(random.between(70.5e6, 71.5e6) as u64);
            let mut off = blocks(plan.ladder.elements(), NO_LOSS, f);
            for (block, element) in off.iter_mut().zip(plan.ladder.elements()) {
                let Some(PartKind::Reactor(reactor, _)) = element.part().map(|part| part.kind()) else {
                    continue;
                };
                let factor = random.between(0.95, 1.05);
                let scale = |z: C| match reactor {
                    Reactor::Inductor(_) => c(z.re, z.im * factor),
                    Reactor::Capacitor(_) => c(z.re, z.im / factor),
                };
                match block {
                    crate::common::networks::Block::Series(z, _)
                    | crate::common::networks::Block::Shunt(z, _) => *z = scale(*z),
                    _ => {}
                }
            }
            worst = worst.max(swr_of(gamma_of(walk(&off, held(load(f).unwrap())).0, 50.0)));
        }
        assert!(worst <= plan.worst_swr * 1.0001, "{worst} {}", plan.worst_swr);
        // The control: it is near that, and above what the nominal values do.
        assert!(
            worst > 1.0 + 0.6 * (plan.worst_swr - 1.0),
            "{worst} {}",
            plan.worst_swr
        );
    }
}

#[test]
fn losses_are_allowed_for_and_told() {
    let mut settings = relay();
    settings.preferred = None;
    let load = series_load(12.0, 18.0, 71e6);
    let plans: MatchPlans<f64, 64> = rank(&settings, &load).unwrap();
    let exact = plans
        .as_slice()
        .iter()
        .filter(|plan| plan.swr() < 1.0 + 1e-9)
        .count();
    assert!(
        exact > 20,
        "{exact} of {} match with their losses",
        plans.as_slice().len()
    );
    settings.coil_q = None;
    let lossless: MatchPlans<f64, 64> = rank(&settings, &load).unwrap();
    assert!(lossless.as_slice().iter().all(|plan| plan.loss == 0.0));
    assert!(plans.as_slice().iter().any(|plan| plan.loss > 0.02));
}

#[test]
fn a_stress_above_the_rating_is_flagged_and_not_dropped() {
    let mut settings = relay();
    settings.power = 500.0.into();
    let load = series_load(3.0, 40.0, 71e6);
    let free: MatchPlans<f64, 64> = rank(&settings, &load).unwrap();
    assert!(free.as_slice().iter().all(|plan| !plan.is_overstressed));
    settings.capacitor_volts = Some(300.0.into());
    settings.coil_amperes = Some(10.0.into());
    let rated: MatchPlans<f64, 64> = rank(&settings, &load).unwrap();
    assert_eq!(free.as_slice().len(), rated.as_slice().len());
    let flagged = rated
        .as_slice()
        .iter()
        .filter(|plan| plan.is_overstressed)
        .count();
    assert!(flagged > 5 && flagged < rated.as_slice().len(), "{flagged}");
    for plan in rated.as_slice() {
        let walk = plan
            .ladder
            .walk(load(settings.frequency).unwrap(), settings.frequency)
            .unwrap();
        let over = plan.ladder.elements().iter().enumerate().any(|(place, element)| {
            let stress = walk.stress(place, 500.0).unwrap().unwrap();
            match element.part().map(|part| part.kind()) {
                Some(PartKind::Reactor(Reactor::Capacitor(_), _)) => stress.volts_peak > 300.0,
                Some(PartKind::Reactor(Reactor::Inductor(_), _)) => stress.amperes_peak > 10.0,
                _ => false,
            }
        });
        assert_eq!(over, plan.is_overstressed);
    }
    // Those that bear it come first.
    let first_flagged = rated
        .as_slice()
        .iter()
        .position(|plan| plan.is_overstressed)
        .unwrap();
    assert!(
        rated.as_slice()[first_flagged..]
            .iter()
            .all(|plan| plan.is_overstressed)
    );
}

/// Where what is known of the load ends, the band is open; also where more is known behind a gap.
#[test]
fn a_band_ends_open_where_the_load_is_not_known() {
    fn band(load: impl Fn(Hertz) -> Option<Impedance<f64>>) -> Band {
        let plans: MatchPlans<f64, 1> = rank(&relay(), load).unwrap();
        plans.as_slice()[0].band.unwrap()
    }
    let rows = [70_200_000, 72_300_000].map(|hertz| (Hertz::new(hertz), ohms::<f64>(50.0, 0.0)));
    let table = LoadTable::new(&rows).unwrap();
    let of_table = band(|f| table.at(f).ok());
    assert_eq!((of_table.low, of_table.high), (rows[0].0, rows[1].0));
    assert!(of_table.low_open && of_table.high_open);
    let step = |gap_ends: u64| {
        let load = move |f: Hertz| match f.get() {
            0..=71_800_000 => Some(ohms(50.0, 0.0)),
            hertz if hertz < gap_ends => None,
            _ => Some(ohms(500.0, 0.0)),
        };
        let band = band(load);
        assert_eq!(band.high.get(), 71_800_000);
        band.high_open
    };
    assert!(step(71_900_000));
    assert!(!step(0), "without a gap it is an edge");
}

/// A line of the source's own impedance is looked at only where it can be had, stubs included.
#[test]
fn lines_that_cannot_be_had_are_left_out() {
    let mut settings = relay();
    settings.source = source(600.0);
    let impedances = |settings: &RankSettings<f64>| {
        let plans: MatchPlans<f64, 64> = rank(settings, series_load(200.0, 100.0, 71e6)).unwrap();
        let lines = plans.as_slice().iter().flat_map(|plan| plan.ladder.elements());
        let impedance = |element: &Element<f64>| match (element, element.part().map(|part| part.kind())) {
            (Element::Line(line), _) => Some(line.impedance().get()),
            (_, Some(PartKind::Stub(line, _))) => Some(line.impedance().get()),
            _ => None,
        };
        lines.filter_map(impedance).collect::<Vec<_>>()
    };
    assert!(impedances(&settings).iter().all(|z0| (20.0..=300.0).contains(z0)));
    settings.line_impedances = (20.0.into(), 600.0.into());
    let with_600 = impedances(&settings);
    assert!(
        with_600.iter().filter(|z0| **z0 == 600.0).count() > 4,
        "{with_600:?}"
    );
}

#[test]
fn bad_settings_are_refused_by_name() {
    let load = |_: Hertz| Impedance::new(12.0, 18.0).ok();
    let refused = |change: fn(&mut RankSettings<f64>)| {
        let mut settings = relay();
        change(&mut settings);
        rank::<f64, 4>(&settings, load).unwrap_err().to_string()
    };
    assert_eq!(
        refused(|s| s.frequency = Hertz::new(0)),
        "frequency must be greater than zero"
    );
    assert_eq!(
        refused(|s| s.low = Hertz::from_megahertz(72)),
        "band must begin above 0 Hz and hold the frequency of the match"
    );
    assert_eq!(
        refused(|s| s.high = Hertz::from_megahertz(1)),
        "band must begin above 0 Hz and hold the frequency of the match"
    );
    assert_eq!(
        refused(|s| s.swr_limit = 0.999.into()),
        "SWR limit must be at least 1"
    );
    assert_eq!(
        refused(|s| s.power = (-1.0).into()),
        "power must be greater than zero"
    );
    assert_eq!(
        refused(|s| s.coil_q = Some(0.0.into())),
        "Q of the coils must be greater than zero"
    );
    assert_eq!(
        refused(|s| s.capacitor_volts = Some(f64::NAN.into())),
        "voltage of the capacitors is not a finite number"
    );
    assert_eq!(
        refused(|s| s.line_velocity_factor = Some(2.0.into())),
        "velocity factor must be above 0 and at most 1"
    );
    // Exactly 1 is a limit like others: no lossless network keeps it over a band.
    let mut strict = relay();
    strict.swr_limit = 1.0.into();
    let plans = rank::<f64, 4>(&strict, load).unwrap();
    assert_eq!(plans.widest_band(), Some(0.0.into()));
    let known_nowhere = rank::<f64, 4>(&relay(), |_| None);
    assert_eq!(known_nowhere, Err(MatchingError::NotCovered));
    let known_at_one = rank::<f64, 4>(&relay(), |f| if f.get() == 71_000_000 { load(f) } else { None });
    assert_eq!(known_at_one, Err(MatchingError::NotCovered));
    let lossless = rank::<f64, 4>(&relay(), |_| Impedance::new(0.0, 18.0).ok());
    assert_eq!(lossless, Err(MatchingError::LoadWithoutResistance));
}

#[test]
fn single_precision_ranks_alike() {
    let mut settings = RankSettings::<f32>::new(Reference::fifty(), Hertz::from_megahertz(71));
    settings.coil_q = Some(150.0.into());
    settings.most_turns = 4;
    let plans: MatchPlans<f32, 32> = rank(&settings, |_| Impedance::new(12.0, 18.0).ok()).unwrap();
    let exact = plans.as_slice().iter().filter(|plan| plan.swr() < 1.001).count();
    assert!(exact > 10, "{exact}");
}

/// Of the two nearest values of each part, those are taken that reflect least together.
#[test]
fn preferred_values_are_chosen_together() {
    let mut random = Random::new(12);
    let (mut seen, mut nearest_is_not_best) = (0, 0);
    for _ in 0..40 {
        let settings = RankSettings::<f64> {
            preferred: Some(PreferredSeries::E6),
            most_turns: 0,
            ..RankSettings::new(Reference::fifty(), Hertz::from_megahertz(71))
        };
        let load = random_load::<f64>(&mut random);
        let plans: MatchPlans<f64, 64> = rank(&settings, |_| Some(load)).unwrap();
        let f = settings.frequency;
        for network in two_element(load, ohms(50.0, 0.0)).unwrap().networks() {
            let ideal: Ladder<f64, 4> = network.ladder(f).unwrap();
            let kind = |ladder: &Ladder<f64, 4>| -> Vec<(bool, bool)> {
                let is_coil = |element: &Element<f64>| {
                    matches!(
                        element.part().map(|part| part.kind()),
                        Some(PartKind::Reactor(Reactor::Inductor(_), _))
                    )
                };
                let elements = ladder.elements().iter();
                elements
                    .map(|element| (matches!(element, Element::Series(_)), is_coil(element)))
                    .collect()
            };
            let values = |ladder: &Ladder<f64, 4>| -> Vec<f64> {
                let elements = ladder.elements().iter();
                elements
                    .map(|element| match element.part().unwrap().kind() {
                        PartKind::Reactor(Reactor::Inductor(l), _) => l.get(),
                        PartKind::Reactor(Reactor::Capacitor(c), _) => c.get(),
                        _ => panic!("no reactor"),
                    })
                    .collect()
            };
            // Every choice of neighbours, as it reflects, worked out by the oracle.
            let exact = values(&ideal);
            let sides: Vec<(f64, f64)> = exact
                .iter()
                .map(|value| PreferredSeries::E6.neighbours(*value).unwrap())
                .collect();
            let reflects = |chosen: &[f64]| {
                let mut z = held(load);
                let omega = crate::common::impedances::omega(f);
                for ((is_series, is_coil), value) in kind(&ideal).iter().zip(chosen) {
                    let x = if *is_coil {
                        omega * value
                    } else {
                        -1.0 / (omega * value)
                    };
                    z = if *is_series {
                        z + c(0.0, x)
                    } else {
                        z * c(0.0, x) / (z + c(0.0, x))
                    };
                }
                gamma_of(z, 50.0)
            };
            let mut least = f64::INFINITY;
            for choice in 0..1 << sides.len() {
                let chosen: Vec<f64> = sides
                    .iter()
                    .enumerate()
                    .map(|(k, (below, above))| if choice >> k & 1 == 1 { *above } else { *below })
                    .collect();
                least = least.min(reflects(&chosen).size());
            }
            let plan = plans
                .as_slice()
                .iter()
                .find(|plan| plan.scheme == MatchScheme::TwoElement && kind(&plan.ladder) == kind(&ideal))
                .expect("every network of two elements is ranked");
            near(
                "the least reflection",
                plan.reflection.magnitude().get(),
                least,
                1e-9,
            )
            .unwrap();
            seen += 1;
            let nearest: Vec<f64> = exact
                .iter()
                .map(|value| PreferredSeries::E6.nearest(*value).unwrap())
                .collect();
            nearest_is_not_best += u32::from(reflects(&nearest).size() > least + 1e-6);
        }
    }
    // The control: to round each part by itself is another rule.
    assert!(
        seen > 60 && nearest_is_not_best > 5,
        "{seen} {nearest_is_not_best}"
    );
}
