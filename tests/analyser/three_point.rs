//! The analyser for small parts, on the sweeps of its larger kin: how exact it is, how often it is grossly wrong, and what it
//! says of what it cannot know. `cargo test --test analyser three_point -- --nocapture` prints all of it.

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::measure::{Method, SweepAnalyser, SweepError, SweepSettings, Target, ThreePointAnalyser};
use ohmwright::quantity::{Component, Hertz, QuantityError, Reference, Swr};

use crate::circuits::{
    C, Circuit, Points, ROOM, Told, analyse, analyse_by_three, c, even, plain, points, reversed,
};
use crate::hostile::{Class, rates};
use crate::known_sweeps::{Bounds, Grid, sweep_by};
use crate::single_resonances::trial;

const START: u64 = 100_000_000;
const STEP: u64 = 1_000_000;

/// The circuits of `data/circuits.csv`, worked out with mpmath, on an even and on a geometric grid; without every third
/// point a step is twice as long. About one and a half times what is reached.
fn bounds(family: Family, grid: Grid) -> Bounds {
    let bounds = Bounds {
        dip: [3e-3, 1.1e-2, 2e-2],
        dip_hz: [700.0, 4.1e3, 2e4],
        excess: 9e-5,
        swr: 8e-4,
        edge: [2.2e-4, 2.6e-3],
        edge_hz: [75.0, 2.6e3],
        crossing: [1.5e-4, 3e-3],
        crossing_hz: [35.0, 5.9e3],
        resistance: [2e-6, 2e-4],
        target: 4.1e-4,
        soft: 1.0,
    };
    let bounds = match grid {
        Grid::Thinned => Bounds {
            dip: [5e-3, 2.7e-2, 4e-2],
            dip_hz: [1.6e3, 1.2e4, 6.2e4],
            excess: 1.7e-4,
            swr: 2.7e-3,
            edge: [8e-4, 1e-2],
            edge_hz: [210.0, 8.8e3],
            crossing: [6e-4, 7e-3],
            crossing_hz: [120.0, 3.8e3],
            resistance: [6.5e-6, 6.3e-4],
            target: 1.3e-3,
            ..bounds
        },
        _ => bounds,
    };
    if family != Family::Fixed16 {
        return bounds;
    }
    // Steps of 6e-5 in Γ, which nothing averages: where a dip is soft it may lie a few steps beside the deepest place. The
    // SWR is counted in what such a step makes of it.
    Bounds {
        dip: [1.7e-2, 0.35, 1.9],
        dip_hz: [3.4e3, 9.3e4, 5.4e5],
        excess: 2.6e-4,
        swr: 1.8,
        edge: [2.3e-3, 4.7e-2],
        edge_hz: [600.0, 1.3e4],
        crossing: [1.5e-3, 2.3e-2],
        crossing_hz: [300.0, 4.4e3],
        resistance: [7.5e-5, 1.5e-3],
        target: 1.3e-3,
        soft: 8.0,
    }
}

fn known<A: Arithmetic>(grid: Grid) {
    let bounds = bounds(A::FAMILY, grid);
    for falling in [false, true] {
        sweep_by::<A>(analyse_by_three, grid, falling, 0.0, &bounds)
            .unwrap_or_else(|error| panic!("{:?} {grid:?} falling: {falling}\n{error}", A::FAMILY));
    }
}

#[test]
fn every_circuit_on_an_even_grid() {
    every_family!(known(Grid::Even));
}

#[test]
fn every_circuit_without_every_third_point() {
    every_family!(known(Grid::Thinned));
}

#[test]
fn every_circuit_on_a_geometric_grid() {
    every_family!(known(Grid::Geometric));
}

/// Control: a ten-thousandth more inductance is noticed.
#[test]
fn a_detuned_circuit_is_noticed() {
    let bounds = bounds(Family::F64, Grid::Even);
    sweep_by::<f64>(analyse_by_three, Grid::Even, false, 1e-4, &bounds).unwrap_err();
}

/// Median and 95 % of the dip's error in steps, and 95 % of the SWR's. The README has the figures of the first three.
fn single<A: Arithmetic>(noise: f64, hard: bool, most: (f64, f64, f64)) {
    let got = trial::<A>(analyse_by_three, noise, hard);
    println!("three points, {:?} noise {noise} hard {hard}: {got:?}", A::FAMILY);
    assert!(got.0 < most.0 && got.1 < most.1 && got.2 < most.2, "{got:?}");
}

#[test]
fn single_resonances() {
    every_family!(single(0.0, false, (5e-3, 4e-2, 4e-3)));
    every_family!(single(0.0, true, (1.2e-2, 0.1, 1e-2)));
    every_family!(single(1e-3, false, (4e-2, 0.5, 1e-2)));
    every_family!(single(1e-2, false, (0.3, 2.5, 9e-2)));
}

/// The share of each class of hostile sweeps that may be grossly wrong.
const CLASSES: [(Class, f64); 11] = [
    (Class::Clean, 0.003),
    (Class::Cable, 0.13),
    (Class::Several, 0.05),
    (Class::EightBits, 0.003),
    (Class::TenBits, 0.003),
    (Class::Noise, 0.01),
    (Class::Jump, 0.003),
    (Class::OneWrong, 0.02),
    // Two wrong samples in a row it does not recognise; the documentation says so. What is reached is 0.947 and 0.9.
    (Class::TwoWrong, 0.97),
    (Class::Wrongs, 0.94),
    (Class::Narrow, 0.02),
];

fn hostile<A: Arithmetic>() {
    rates::<A>(analyse_by_three, &CLASSES);
}

#[test]
fn hostile_sweeps() {
    every_family!(hostile());
}

fn whip() -> Circuit {
    Circuit::series(40.0, 12.0, 150.3e6)
}

fn grid() -> Vec<u64> {
    even(START, START + 100 * STEP, 101)
}

/// A sample alone among smooth neighbours is told and left out, as if it had not been measured; a narrow dip is not.
#[test]
fn a_wrong_sample_is_told_and_left_out() {
    let clean: Points<f64> = whip().points(&grid());
    for wrong in [3, 30, 50, 51, 70, 97] {
        for falling in [false, true] {
            let mut spoilt = clean.clone();
            spoilt[wrong].1 = points::<f64>(&[0], |_| c(0.3, -0.5))[0].1;
            let mut rest = clean.clone();
            rest.remove(wrong);
            if falling {
                (spoilt, rest) = (reversed(&spoilt), reversed(&rest));
            }
            let report = analyse_by_three::<f64, ROOM>(SweepSettings::default(), &spoilt);
            assert_eq!(report.spoilt(), [clean[wrong].0]);
            let other = analyse_by_three::<f64, ROOM>(SweepSettings::default(), &rest);
            assert_eq!(report.dips(), other.dips());
            assert_eq!(report.bands(), other.bands());
        }
    }
    // Controls: nothing wrong; and one wrong sample next to an end, which is not judged.
    let report = analyse_by_three::<f64, ROOM>(SweepSettings::default(), &clean);
    assert_eq!((report.spoilt(), report.dips().len()), (&[][..], 1));
    let mut at_the_end = clean;
    at_the_end[99].1 = points::<f64>(&[0], |_| c(0.3, -0.5))[0].1;
    let report = analyse_by_three::<f64, ROOM>(SweepSettings::default(), &at_the_end);
    assert_eq!(report.spoilt(), &[]);
}

/// A dip narrower than three steps is marked with what it may be; a wider one is not. A sample of a dip that is a third of a
/// step wide may be left out instead, and is told then.
#[test]
fn a_dip_that_the_grid_does_not_resolve_is_marked() {
    for (half_width, narrow) in [(0.5, true), (1.2, true), (1.8, false), (4.0, false)] {
        for shift in [0.0, 0.25, 0.5, 0.75] {
            let middle = 150e6 + shift * STEP as f64;
            let points = points::<Fixed32>(&grid(), |f| {
                let off = (f - middle) / (half_width * STEP as f64);
                c(0.9, 0.0) - c(0.85, 0.0) / c(1.0, off)
            });
            let report = analyse_by_three::<Fixed32, ROOM>(SweepSettings::default(), &points);
            let best = report.best().unwrap();
            assert_eq!(best.unresolved.is_some(), narrow, "{half_width} {shift} {best:?}");
            if let Some(range) = best.unresolved {
                let (low, high) = (range.low.get() as f64, range.high.get() as f64);
                assert!(low <= middle && middle <= high, "{range:?}");
                assert!(range.swr_at_most >= best.swr());
            }
        }
    }
}

/// What is beyond the rim and what turns too fast is counted as by the larger analyser, in every family.
fn counts<A: Arithmetic>() {
    for degrees in [2.0f64, 119.0, 121.0] {
        let points: Points<A> = points(&grid(), |f| {
            let step = (f - START as f64) / STEP as f64;
            C::turn(degrees.to_radians() * step).times(0.95 + 1e-3 * step)
        });
        let [one, other] = [analyse_by_three::<A, ROOM>, analyse::<A, ROOM>]
            .map(|analysis| analysis(SweepSettings::default(), &points));
        assert_eq!(one.beyond_rim(), other.beyond_rim());
        assert_eq!(one.fast_turns(), other.fast_turns());
        assert!(one.beyond_rim() > 20, "{}", one.beyond_rim());
        assert_eq!(one.is_too_coarse(), degrees > 120.0);
    }
}

#[test]
fn it_counts_as_the_larger_one() {
    every_family!(counts());
}

/// At any moment the report is that of a sweep that ended there; it disturbs nothing; and a restarted analyser is a new one.
fn reports_at_any_moment<A: Arithmetic>() {
    let settings = SweepSettings::<A>::default().with_target(Some(Hertz::new(151_200_000)));
    let points: Points<A> = whip().points(&grid());
    for points in [points.clone(), reversed(&points)] {
        let mut analyser = ThreePointAnalyser::<A, ROOM>::new(SweepSettings::default()).unwrap();
        analyser.push(Hertz::new(1), points[0].1).unwrap();
        analyser.push(Hertz::new(2), points[1].1).unwrap();
        analyser.restart_with(settings).unwrap();
        for (i, (frequency, gamma)) in points.iter().enumerate() {
            let before = analyser.report();
            assert_eq!(analyser.push(Hertz::new(frequency.get()), *gamma), Ok(()), "{i}");
            if i > 0 {
                assert_eq!(
                    analyser.push(*frequency, *gamma),
                    Err(SweepError::Repeated(*frequency))
                );
                let back = points[i - 1].0;
                let refused = analyser.push(back, *gamma);
                assert!(matches!(refused, Err(SweepError::OutOfOrder { .. })));
            }
            let now = Told::of(&analyser.report());
            let so_far = Told::of(&analyse_by_three::<A, ROOM>(settings, &points[..=i]));
            assert_eq!(now, so_far);
            assert_eq!(before.points() as usize, i);
        }
        let whole = Told::of(&analyser.report());
        assert_eq!(
            (whole.dips.len(), whole.bands.len(), whole.crossings.len()),
            (1, 1, 1)
        );
        analyser.restart();
        assert_eq!(analyser.points(), 0);
        for (frequency, gamma) in &points {
            analyser.push(*frequency, *gamma).unwrap();
        }
        let copy = analyser.report();
        assert_eq!(Told::of(&copy), whole);
        // The end of the sweep tells the same, however often, and the next point begins another one.
        assert_eq!(*analyser.finish(), copy);
        assert_eq!(*analyser.finish(), copy);
        assert_eq!(analyser.report(), copy);
        let mut other = ThreePointAnalyser::<A, ROOM>::new(settings).unwrap().report();
        analyser.report_into(&mut other);
        assert_eq!(other, copy);
        for (frequency, gamma) in points.iter().rev() {
            analyser.push(*frequency, *gamma).unwrap();
        }
        assert_eq!(
            analyser.report(),
            analyse_by_three::<A, ROOM>(settings, &reversed(&points))
        );
    }
}

#[test]
fn a_report_at_any_moment() {
    every_family!(reports_at_any_moment());
}

/// Settings that break a rule are refused by name and change nothing; the constant is what `new` gives.
#[test]
fn settings() {
    type Analyser = ThreePointAnalyser<Fixed32, 4>;
    let mut analyser = Analyser::with_defaults();
    let bad = SweepSettings::new().with_swr_limit(Swr::thousandths::<900>());
    assert!(matches!(
        analyser.restart_with(bad),
        Err(QuantityError::BelowOne("SWR limit"))
    ));
    let bad = SweepSettings::new().with_noise(Component::thousandths::<-1>());
    assert!(Analyser::new(bad).is_err());
    assert_eq!(
        analyser.report(),
        Analyser::new(SweepSettings::new()).unwrap().report()
    );
    let constant = Analyser::constant::<1_500, 20>(Reference::whole::<75>(), None);
    let settings = SweepSettings::new()
        .with_swr_limit(Swr::thousandths::<1_500>())
        .with_prominence(Component::thousandths::<20>())
        .with_reference(Reference::whole::<75>());
    let made = Analyser::new(settings).unwrap();
    assert_eq!(format!("{constant:?}"), format!("{made:?}"));
}

/// It takes two thirds of the room of the larger one, most of it for the lists.
#[test]
fn room() {
    let [one, other] = [
        size_of::<ThreePointAnalyser<Fixed32, 4>>(),
        size_of::<SweepAnalyser<Fixed32, 4>>(),
    ];
    println!("{one} bytes, {other} bytes");
    assert!(one < 1_000 && one * 4 < other * 3, "{one} {other}");
}

/// One point, two points, and points that are all alike: no dip is invented, and the methods are those that it knows.
#[test]
fn short_and_flat_sweeps() {
    let report = analyse_by_three::<f64, ROOM>(SweepSettings::default(), &[]);
    assert_eq!((report.best(), report.points()), (None, 0));
    for count in [1, 2, 5] {
        let flat = points::<f64>(&even(START, START + 4 * STEP, 5)[..count], |_| c(0.1, 0.2));
        let target = Hertz::new(START);
        let settings = SweepSettings::default().with_target(Some(target));
        let report = analyse_by_three::<f64, ROOM>(settings, &flat);
        let best = report.best().unwrap();
        assert_eq!(plain(best.reflection), c(0.1, 0.2));
        assert!(report.bands()[0].low_open && report.bands()[0].high_open);
        assert!(matches!(report.target(), Target::Reading(reading) if reading.method == Method::Measured));
        assert_eq!(report.resonances().len(), 0);
    }
}
