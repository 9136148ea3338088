//! |Γ| against distance: against numpy's transform, and against the sums of the definition in doubles, in every family;
//! single reflections and several, with noise, as rates. All lines are invented.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use crate::common::complex::{C, ZERO, c};
use crate::common::impedances::{gamma_held, gamma_word, half_a_step, word};
use crate::common::{Random, Table, deep, is_fixed};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::measure::FrequencyPlan;
use ohmwright::measure::line::{
    CableEnd, CableSettings, CableSweep, DistanceSettings, DistanceSweep, DistanceWindow, LineError,
};
use ohmwright::quantity::{Component, Hertz, Metres, QuantityError, Reference, Reflection, VelocityFactor};

const LIGHT: f64 = 299_792_458.0;
const WINDOWS: [DistanceWindow; 3] = [
    DistanceWindow::Uniform,
    DistanceWindow::Hann,
    DistanceWindow::Blackman,
];

fn weight(window: DistanceWindow, x: f64) -> f64 {
    match window {
        DistanceWindow::Uniform => 1.0,
        DistanceWindow::Hann => 0.5 - 0.5 * (TAU * x).cos(),
        DistanceWindow::Blackman => 0.42 - 0.5 * (TAU * x).cos() + 0.08 * (2.0 * TAU * x).cos(),
        other => unreachable!("{other:?}"),
    }
}

/// |h(d)| by its definition, at absolute frequencies.
fn truth(points: &[(u64, C)], window: DistanceWindow, metres: f64, factor: f64) -> f64 {
    let (mut sum, mut weights) = (ZERO, 0.0);
    let (start, count) = (points[0].0 as f64, points.len() as f64);
    let span = points[points.len() - 1].0 as f64 - start;
    for (hertz, gamma) in points {
        // Half a step within the window, whole hertz as they are.
        let place = (*hertz as f64 - start) / span * (count - 1.0);
        let w = weight(window, (place + 0.5) / count);
        let turns = 2.0 * *hertz as f64 * metres / (factor * LIGHT);
        sum = sum + *gamma * C::turn(TAU * (turns - turns.round())).times(w);
        weights += w;
    }
    sum.size() / weights
}

/// What the documentation allows of a magnitude.
fn allowed<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed32 => 1e-7,
        Family::Fixed16 => 1e-7 + half_a_component::<A>(),
        Family::F32 | Family::SoftF32 => 1e-5,
        _ => 1e-10,
    }
}

fn half_a_component<A: Arithmetic>() -> f64 {
    if A::FAMILY == Family::Fixed16 {
        0.5 / 16_384.0
    } else {
        0.0
    }
}

type Points<A> = Vec<(Hertz, Reflection<A>)>;

fn run<A: Arithmetic, const N: usize>(
    settings: DistanceSettings<A>,
    points: &[(Hertz, Reflection<A>)],
) -> DistanceSweep<A, N> {
    let mut sweep = DistanceSweep::new(settings).unwrap();
    for (frequency, gamma) in points {
        sweep.push(*frequency, *gamma).unwrap();
    }
    sweep
}

fn the_definition<A: Arithmetic>() {
    const N: usize = 64;
    let mut random = Random::new(401);
    let mut worst = 0f64;
    for round in 0..if deep() { 400 } else { 24 } {
        let count = 4 + (random.bits() % 150) as u32;
        let start = Hertz::new(random.between(0.0, 2e9) as u64);
        let stop = Hertz::new(start.get() + random.decades(1e7, 3e9).abs() as u64 + 1_000);
        let factor = word::<VelocityFactor<A>>(random.between(0.3, 1.0));
        let window = WINDOWS[round % 3];
        let mut settings = DistanceSettings::new(start, stop, count, factor)
            .unwrap()
            .with_window(window);
        let cell = factor.to_f64() * LIGHT / 2.0 / (stop.get() - start.get()) as f64;
        // All within the unambiguous range.
        let spacing = cell * random.between(0.1, 1.0).min(f64::from(count - 1) / 70.0);
        settings.spacing = word(spacing);
        settings.nearest = word(random.between(0.0, 5.0) * spacing);
        let points: Points<A> = FrequencyPlan::linear(start, stop, count)
            .unwrap()
            .iter()
            .map(|frequency| {
                let gamma = c(random.between(-0.7, 0.7), random.between(-0.7, 0.7));
                (frequency, gamma_word(gamma))
            })
            .collect();
        let held: Vec<(u64, C)> = points.iter().map(|(f, g)| (f.get(), gamma_held(*g))).collect();
        let sweep = run::<A, N>(settings, &points);
        // Falling, too: the same sums.
        let falling: Points<A> = points.iter().copied().rev().collect();
        let other = run::<A, N>(settings, &falling);
        for index in 0..N {
            // The distance of the settings, not of its word.
            let metres = settings.nearest.to_f64() + index as f64 * settings.spacing.to_f64();
            let shown = sweep.distance(index).unwrap().to_f64();
            assert!((shown - metres).abs() <= if is_fixed::<A>() { 2e-5 } else { 1e-6 } + 1e-6 * metres);
            let want = truth(&held, window, metres, factor.to_f64());
            for sweep in [&sweep, &other] {
                let error = (sweep.magnitude(index).unwrap().to_f64() - want).abs();
                worst = worst.max(error);
                assert!(error <= allowed::<A>(), "{round}, {index}: off by {error:e}");
            }
        }
        assert_eq!(sweep.magnitude(N), None);
        assert_eq!(sweep.distance(N), None);
    }
    println!("worst error of a magnitude in {:?}: {worst:.1e}", A::FAMILY);
}

/// `data/distance_vectors.csv`: numpy.fft.
fn numpys_transform<A: Arithmetic>() {
    const N: usize = 62;
    let table = Table::parse(include_str!("../data/distance_vectors.csv"));
    let mut columns: BTreeMap<&str, Vec<(f64, f64)>> = BTreeMap::new();
    for row in table.rows() {
        let second = if row.text("kind") == "gamma" {
            row.number("second")
        } else {
            0.0
        };
        columns
            .entry(row.text("kind"))
            .or_default()
            .push((row.number("first"), second));
    }
    let (start, step) = (40_000_000u64, 5_000_000u64);
    let points: Points<A> = columns["gamma"]
        .iter()
        .enumerate()
        .map(|(index, (re, im))| (Hertz::new(start + step * index as u64), gamma_word(c(*re, *im))))
        .collect();
    let stop = points.last().unwrap().0;
    // The transform's own distances: k/(64 · step) there and back. 0.25 m each, by the velocity factor.
    let factor = 0.25 * 2.0 * 64.0 * step as f64 / LIGHT;
    let settings = DistanceSettings::<A>::new(Hertz::new(start), stop, 32, word::<VelocityFactor<A>>(factor))
        .unwrap()
        .with_spacing(word(0.25));
    for (name, window) in [("uniform", 0), ("hann", 1), ("blackman", 2)] {
        let sweep = run::<A, N>(settings.with_window(WINDOWS[window]), &points);
        for (index, (want, _)) in columns[name].iter().enumerate() {
            let got = sweep.magnitude(index).unwrap().to_f64();
            // A velocity factor is good to a step of its word, which moves the last distances by a thousandth.
            let slack = if is_fixed::<A>() { 2e-3 } else { allowed::<A>() };
            assert!((got - want).abs() <= slack, "{name} {index}: {got} {want}");
        }
        // A control: the row beside it is another.
        let other = columns[name][20].0;
        assert!((sweep.magnitude(19).unwrap().to_f64() - other).abs() > 1e-2);
    }
}

in_every_family!(the_definition, numpys_transform);

/// Echoes (metres, Γ) on a line without loss, with noise.
fn echoes<A: Arithmetic>(
    (start, stop, count): (Hertz, Hertz, u32),
    factor: f64,
    echoes: &[(f64, f64)],
    sigma: f64,
    random: &mut Random,
) -> Points<A> {
    FrequencyPlan::linear(start, stop, count)
        .unwrap()
        .iter()
        .map(|frequency| {
            let mut gamma = c(random.normal(), random.normal()).times(sigma);
            for (metres, size) in echoes {
                let turns = 2.0 * frequency.get() as f64 * metres / (factor * LIGHT);
                gamma = gamma + C::turn(-TAU * turns).times(*size);
            }
            (frequency, gamma_word(gamma))
        })
        .collect()
}

/// A single reflection anywhere between the distances.
#[test]
fn a_single_reflection_between_the_distances() {
    fn check<A: Arithmetic>() {
        const N: usize = 48;
        let mut random = Random::new(402);
        for (spacing, place_within, size_within) in [(0.5, 0.002, 0.002), (1.0, 0.02, 0.04)] {
            for window in WINDOWS {
                // Its lobe is too sharp for that.
                if window == DistanceWindow::Uniform && spacing > 0.5 {
                    continue;
                }
                let (mut worst, mut worst_size) = (0f64, 0f64);
                for _ in 0..60 {
                    let factor = word::<VelocityFactor<A>>(0.7);
                    let grid = (Hertz::from_megahertz(100), Hertz::from_megahertz(900), 201);
                    let settings = DistanceSettings::new(grid.0, grid.1, grid.2, factor).unwrap();
                    let sweep_settings = settings
                        .with_window(window)
                        .with_spacing(word(settings.spacing.to_f64() * 2.0 * spacing));
                    let cell = factor.to_f64() * LIGHT / 1.6e9;
                    let (at, size) = (cell * random.between(6.0, 18.0), random.between(0.05, 0.95));
                    let points = echoes::<A>(grid, factor.to_f64(), &[(at, size)], 0.0, &mut random);
                    let sweep = run::<A, N>(sweep_settings, &points);
                    let found: Vec<_> = sweep.faults(word::<Component<A>>(0.5 * size)).unwrap().collect();
                    assert_eq!(found.len(), 1, "{found:?}");
                    worst = worst.max((found[0].distance.to_f64() - at).abs() / cell);
                    worst_size = worst_size.max((found[0].reflection.to_f64() / size - 1.0).abs());
                    assert!(!found[0].at_edge);
                }
                println!("{window:?}, {spacing} cell: place {worst:.4} of a cell, size {worst_size:.4}");
                // Uniform has the sharpest lobe, for which the parabola is least good.
                let (place_within, size_within) = match window {
                    DistanceWindow::Uniform => (0.02, 0.04),
                    _ => (place_within, size_within),
                };
                assert!(worst <= place_within && worst_size <= size_within);
            }
        }
    }
    every_family!(check);
}

/// Several faults on one line, one far stronger than the others: each is found, none is invented.
#[test]
fn several_faults_as_a_rate() {
    const N: usize = 200;
    let mut random = Random::new(403);
    let cases = if deep() { 2_000 } else { 200 };
    let (mut missed, mut invented, mut all, mut worst, mut worst_size) = (0, 0, 0, 0f64, 0f64);
    let grid = (Hertz::from_megahertz(50), Hertz::from_megahertz(1_250), 401);
    let factor = 0.66;
    let settings = DistanceSettings::<f64>::new(grid.0, grid.1, grid.2, factor)
        .unwrap()
        .with_window(DistanceWindow::Blackman);
    let cell = factor * LIGHT / 2.4e9;
    for _ in 0..cases {
        // From four cells of one another on, which is more than two equal ones need.
        let count = 2 + (random.bits() % 4) as usize;
        let mut at = random.between(3.0, 10.0);
        let mut line = Vec::new();
        for _ in 0..count {
            line.push((at * cell, random.decades(0.02, 0.08)));
            at += random.between(4.0, 16.0);
        }
        line.push((at * cell, if random.bits() & 1 == 0 { 0.8 } else { -0.8 }));
        let points = echoes::<f64>(grid, factor, &line, 1e-3, &mut random);
        let sweep = run::<f64, N>(settings, &points);
        let mut found: Vec<_> = sweep.faults(0.01).unwrap().collect();
        for (metres, size) in &line {
            all += 1;
            let near = found
                .iter()
                .position(|fault| (fault.distance.get() - metres).abs() < 0.25 * cell);
            match near {
                None => missed += 1,
                Some(place) => {
                    let fault = found.remove(place);
                    worst = worst.max((fault.distance.get() - metres).abs() / cell);
                    worst_size = worst_size.max((fault.reflection.get() - size.abs()).abs());
                }
            }
        }
        invented += found.len();
    }
    println!(
        "{all} faults on {cases} lines: {missed} missed, {invented} invented; \
         place within {worst:.3} of a resolution, |Γ| within {worst_size:.4}"
    );
    assert_eq!((missed, invented), (0, 0));
    assert!(worst < 0.1 && worst_size < 0.005);
}

/// What the span resolves: two equal reflections beyond it are two, nearer ones are one.
#[test]
fn the_resolution_is_what_it_says() {
    const N: usize = 80;
    let mut random = Random::new(404);
    let grid = (Hertz::from_megahertz(200), Hertz::from_megahertz(800), 161);
    for window in WINDOWS {
        let settings = DistanceSettings::<f64>::new(grid.0, grid.1, grid.2, 0.8)
            .unwrap()
            .with_window(window);
        let (mut apart, mut together) = (0, 0);
        let cases = 100;
        let sweep = DistanceSweep::<f64, N>::new(settings.with_spacing(Metres::new(0.1))).unwrap();
        // v/(2·span), worked out by hand: 0.8 · c/1.2 GHz.
        assert!((sweep.resolution() - 0.199_861_6).abs() < 1e-6);
        assert!((sweep.unambiguous_range() - 160.0 * 0.199_861_6).abs() < 1e-4);
        for _ in 0..cases {
            let at = random.between(1.5, 4.0);
            // Of any phase against each other.
            let fine = settings.with_spacing(Metres::new(0.09));
            let two = |distance: f64, random: &mut Random| {
                let turn = random.between(0.0, 1.0) * LIGHT * 0.8 / 1e9;
                let line = [(at, 0.3), (at + distance + 0.02 * turn, 0.3)];
                let points = echoes::<f64>(grid, 0.8, &line, 0.0, random);
                let sweep = run::<f64, N>(fine, &points);
                // Not the side lobes of the uniform window.
                sweep.faults(0.15).unwrap().count()
            };
            apart += usize::from(two(1.5 * sweep.separable().get(), &mut random) == 2);
            together += usize::from(two(0.45 * sweep.resolution().get(), &mut random) == 1);
        }
        println!("{window:?}: {apart} of {cases} are two, {together} of {cases} are one");
        // Two that cancel each other in the middle of the sweep never look like one.
        assert!(apart == cases && together >= cases / 5);
    }
}

/// A reflection beyond the unambiguous range appears nearer by that range.
#[test]
fn beyond_the_unambiguous_range() {
    const N: usize = 30;
    let mut random = Random::new(405);
    let grid = (Hertz::from_megahertz(10), Hertz::from_megahertz(110), 21);
    let settings =
        DistanceSettings::<Fixed32>::new(grid.0, grid.1, grid.2, word::<VelocityFactor<_>>(0.75)).unwrap();
    let range = DistanceSweep::<Fixed32, N>::new(settings)
        .unwrap()
        .unambiguous_range()
        .to_f64();
    assert!((range - 0.75 * LIGHT / 10e6).abs() < 1e-3);
    let points = echoes::<Fixed32>(grid, 0.75, &[(range + 6.0, 0.5)], 0.0, &mut random);
    let sweep = run::<Fixed32, N>(settings, &points);
    let found: Vec<_> = sweep.faults(Component::thousandths::<100>()).unwrap().collect();
    assert_eq!(found.len(), 1);
    assert!((found[0].distance.to_f64() - 6.0).abs() < 0.02, "{found:?}");
}

#[test]
fn what_is_refused() {
    fn check<A: Arithmetic>() {
        type Sweep<A> = DistanceSweep<A, 8>;
        let factor = word::<VelocityFactor<A>>(0.66);
        let (start, stop) = (Hertz::from_megahertz(100), Hertz::from_megahertz(200));
        let new = |start, stop, points, factor| DistanceSettings::<A>::new(start, stop, points, factor);
        assert_eq!(new(stop, stop, 11, factor).unwrap_err(), LineError::Empty);
        assert_eq!(
            new(start, stop, 3, factor).unwrap_err(),
            LineError::TooFewPoints(4)
        );
        let outside = new(start, stop, 11, word(1.5)).unwrap_err();
        assert_eq!(
            outside.to_string(),
            "velocity factor must be above 0 and at most 1"
        );
        let zero = LineError::Quantity(QuantityError::NotPositive("velocity factor"));
        assert_eq!(new(start, stop, 11, VelocityFactor::ZERO).unwrap_err(), zero);
        assert!(
            std::error::Error::source(&zero).is_some()
                && std::error::Error::source(&LineError::Empty).is_none()
        );
        let settings = new(start, stop, 11, factor).unwrap();
        let sparse = settings.with_spacing(word(1.01));
        assert_eq!(Sweep::new(sparse).unwrap_err(), LineError::Sparse);
        let far = settings.with_nearest(word(8.5));
        assert_eq!(Sweep::new(far).unwrap_err(), LineError::TooFar);
        assert!(Sweep::new(settings.with_spacing(Metres::ZERO)).is_err());
        // Points that are none of the grid's change nothing.
        let mut sweep = Sweep::new(settings).unwrap();
        let gamma = gamma_word::<A>(c(0.3, 0.2));
        assert_eq!(sweep.magnitude(0), None);
        let push = |sweep: &mut Sweep<A>, kilohertz| sweep.push(Hertz::from_kilohertz(kilohertz), gamma);
        assert_eq!(
            push(&mut sweep, 105_000),
            Err(LineError::OffGrid(Hertz::from_kilohertz(105_000)))
        );
        assert_eq!(
            push(&mut sweep, 90_000),
            Err(LineError::OffGrid(Hertz::from_kilohertz(90_000)))
        );
        push(&mut sweep, 100_000).unwrap();
        let before = sweep.magnitude(3);
        assert_eq!(
            push(&mut sweep, 100_000),
            Err(LineError::OutOfOrder(Hertz::from_megahertz(100)))
        );
        assert_eq!(
            push(&mut sweep, 120_000),
            Err(LineError::OffGrid(Hertz::from_kilohertz(120_000)))
        );
        assert_eq!((sweep.points(), sweep.magnitude(3)), (1, before));
        assert_eq!(sweep.mean().unwrap_err(), LineError::Unfinished(10));
        assert_eq!(
            sweep.faults(Component::ZERO).map(Iterator::count),
            Err(LineError::Unfinished(10))
        );
        for step in 1..=10 {
            // A little beside the grid, as a synthesiser may be.
            push(&mut sweep, 100_000 + 10_000 * step - 900).unwrap_or_else(|error| panic!("{step}: {error}"));
        }
        assert!(sweep.faults(Component::ZERO).is_ok());
        let negative = if A::FAMILY == Family::Fixed16 { -0.5 } else { -1.0 };
        assert!(sweep.faults(word::<Component<A>>(negative)).is_err());
        assert_eq!(
            push(&mut sweep, 200_000),
            Err(LineError::OffGrid(Hertz::from_megahertz(200)))
        );
    }
    every_family!(check);
}

/// What a small core has to hold.
#[test]
fn sizes_are_as_documented() {
    let (sweep, cable) = (
        size_of::<DistanceSweep<Fixed32, 32>>(),
        size_of::<CableSweep<Fixed32>>(),
    );
    println!("32 distances: {sweep} bytes; a cable: {cable} bytes");
    assert!((512..640).contains(&sweep) && cable < 1_024);
}

/// A match reflects nothing, and nothing is found; everything at one place is found there.
#[test]
fn nothing_and_everything() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(406);
        let grid = (Hertz::new(0), Hertz::from_megahertz(300), 64);
        let settings =
            DistanceSettings::<A>::new(grid.0, grid.1, grid.2, word::<VelocityFactor<A>>(1.0)).unwrap();
        let nothing = run::<A, 20>(settings, &echoes(grid, 1.0, &[], 0.0, &mut random));
        assert_eq!(nothing.faults(Component::ZERO).unwrap().count(), 0);
        assert_eq!(nothing.mean().unwrap(), Component::ZERO);
        let size = gamma_held(gamma_word::<A>(c(-0.75, 0.0))).size();
        let near = run::<A, 20>(settings, &echoes(grid, 1.0, &[(0.0, -0.75)], 0.0, &mut random));
        let found: Vec<_> = near.faults(Component::thousandths::<100>()).unwrap().collect();
        assert_eq!(found.len(), 1);
        assert!(found[0].at_edge && found[0].distance == Metres::<A>::ZERO);
        assert!((found[0].reflection.to_f64() - size).abs() < 1e-4 + half_a_step::<A>());
    }
    every_family!(check);
}

/// Any sweep, any settings, any Γ: an error or figures, never a panic, and no figure that is no number.
#[test]
fn any_input_gives_figures_or_an_error() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(407);
        let (mut taken, mut refused, mut measured) = (0, 0, 0);
        for _ in 0..if deep() { 20_000 } else { 600 } {
            let edge = |random: &mut Random| match random.bits() % 6 {
                0 => 0,
                1 => u64::MAX - random.bits() % 1000,
                2 => random.bits() >> (random.bits() % 60),
                _ => random.bits() % 6_000_000_000,
            };
            let (start, stop) = (Hertz::new(edge(&mut random)), Hertz::new(edge(&mut random)));
            let points = match random.bits() % 8 {
                0 => random.bits() as u32,
                _ => (random.bits() % 40) as u32,
            };
            let factor = word::<VelocityFactor<A>>([0.0, 1e-4, 0.66, 1.0, 1.5][(random.bits() % 5) as usize]);
            let gamma = |random: &mut Random| {
                let any = &mut || match random.bits() % 5 {
                    0 => 0.0,
                    1 => -1.0,
                    2 => random.decades(1e-9, 0.9),
                    _ => random.between(-0.9, 0.9),
                };
                gamma_word::<A>(c(any(), any()))
            };
            let settings = DistanceSettings::<A>::new(start, stop, points, factor).map(|settings| {
                let metres = |random: &mut Random| word::<Metres<A>>(random.decades(1e-3, 6e4).abs());
                let mut settings = settings.with_window(WINDOWS[(random.bits() % 3) as usize]);
                if random.bits().is_multiple_of(3) {
                    settings.nearest = metres(&mut random);
                }
                if random.bits().is_multiple_of(3) {
                    settings.spacing = metres(&mut random);
                }
                settings
            });
            let Ok(mut sweep) = settings.and_then(DistanceSweep::<A, 9>::new) else {
                refused += 1;
                continue;
            };
            // Half of them a single echo.
            let is_echo = random.bits() & 1 == 0;
            let turn = random.between(0.1, 0.9);
            let line: Vec<(Hertz, Reflection<A>)> = FrequencyPlan::linear(start, stop, points.clamp(2, 48))
                .map(|plan| {
                    let gammas = plan.iter().enumerate().map(|(index, frequency)| {
                        let echo = gamma_word(C::turn(-TAU * turn * index as f64).times(0.8));
                        (frequency, if is_echo { echo } else { gamma(&mut random) })
                    });
                    gammas.collect()
                })
                .unwrap_or_default();
            for (frequency, gamma) in &line {
                taken += usize::from(sweep.push(*frequency, *gamma).is_ok());
                let _ = sweep.push(Hertz::new(edge(&mut random)), *gamma);
            }
            let figures = |sweep: &DistanceSweep<A, 9>| {
                let mut all = vec![sweep.resolution().to_f64(), sweep.separable().to_f64()];
                all.push(sweep.unambiguous_range().to_f64());
                for index in 0..10 {
                    all.extend(sweep.magnitude(index).map(|size| size.to_f64()));
                    all.extend(sweep.distance(index).map(|metres| metres.to_f64()));
                }
                if let Ok(faults) = sweep.faults(Component::<A>::ZERO) {
                    all.extend(faults.flat_map(|fault| [fault.distance.to_f64(), fault.reflection.to_f64()]));
                }
                all
            };
            assert!(
                figures(&sweep)
                    .iter()
                    .all(|value| !value.is_nan() && *value >= 0.0)
            );
            let settings = CableSettings {
                start,
                stop,
                points,
                reference: Reference::fifty(),
                end: [CableEnd::Open, CableEnd::Short, CableEnd::Load][(random.bits() % 3) as usize],
            };
            if points <= 48
                && let Ok(report) = CableSweep::measure(settings, line.iter().copied())
            {
                measured += 1;
                let loss = report.loss(stop).map_or(0.0, |loss| loss.to_f64());
                let ohms = report.impedance().map_or(0.0, |ohms| ohms.to_f64());
                let size = report.end_reflection().to_f64();
                let all = [loss, ohms, size, report.delay().to_f64()];
                assert!(all.iter().all(|value| !value.is_nan()), "{report:?}");
            }
        }
        println!("{taken} points taken, {refused} settings refused, {measured} cables measured");
        assert!(taken > 500 && refused > 100 && measured > 5);
    }
    every_family!(check);
}
