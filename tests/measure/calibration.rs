//! The laws of the calibration: what is measured through a fixture comes back, in every family; and what is wrong is
//! noticed.

use crate::common::complex::{C, ONE, ZERO, c, polar};
use crate::common::fixture::{Fixture, distort};
use crate::common::impedances::{gamma_held as held, gamma_word as word};
use crate::common::{Random, Table};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::calibration::{
    CalibrationError, CalibrationFailure, CalibrationPoint, CalibrationTable, Conditions, Delay, ErrorTerms,
    Grid, Kit, LeastSquares, Offset, Polynomial, QualityCheck, QualityLimits, QualityVerdict, Recording,
    Role, Standard, Term,
};
use ohmwright::quantity::{
    Decibels, Hertz, Inductance, Metres, Ohms, QuantityError, Reference, Reflection, VelocityFactor,
};
use ohmwright::stored::StoredError;

/// The linear equations of three readings by Cramer's rule: another way than the library's.
fn cramer(readings: &[(C, C); 3]) -> Fixture {
    let rows = readings.map(|(gamma, raw)| [ONE, gamma * raw, -gamma]);
    let determinant = |m: [[C; 3]; 3]| {
        let minor = |a: usize, b: usize| m[1][a] * m[2][b] - m[1][b] * m[2][a];
        m[0][0] * minor(1, 2) - m[0][1] * minor(0, 2) + m[0][2] * minor(0, 1)
    };
    let with = |column: usize| {
        let mut matrix = rows;
        for (row, (_, raw)) in matrix.iter_mut().zip(readings) {
            row[column] = *raw;
        }
        determinant(matrix) / determinant(rows)
    };
    let (e00, e11, delta) = (with(0), with(1), with(2));
    [e00, e11, e00 * e11 - delta]
}

fn terms_of<A: Arithmetic>(terms: &ErrorTerms<A>) -> Fixture {
    [terms.directivity, terms.source_match, terms.tracking].map(held)
}

fn terms<A: Arithmetic>(fixture: Fixture) -> ErrorTerms<A> {
    let [directivity, source_match, tracking] = fixture.map(word);
    ErrorTerms {
        directivity,
        source_match,
        tracking,
    }
}

/// A fixture whose readings of passive devices stay within ±1.
fn any_fixture(random: &mut Random) -> Fixture {
    let mut any = |low, high| polar(random.between(low, high), random.between(-3.2, 3.2));
    [any(0.0, 0.15), any(0.0, 0.3), any(0.2, 0.55)]
}

/// What `ErrorTerms::solve` documents.
fn documented<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::F64 => 2e-15,
        Family::Fixed32 => 5e-9,
        Family::Fixed16 => 3.1e-5,
        _ => 6e-7,
    }
}

/// One step of a component, both parts together.
fn rounding<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::F64 => 2e-16,
        Family::Fixed32 => 7e-10,
        Family::Fixed16 => 4.4e-5,
        _ => 5e-8,
    }
}

// --- solving ---------------------------------------------------------------------------------------------------------

/// The largest error of a component of the terms, against the linear equations of what the words hold.
fn worst_solution<A: Arithmetic>(spoil: f64) -> f64 {
    let mut random = Random::new(501);
    let mut worst = 0f64;
    for _ in 0..20_000 {
        let fixture = any_fixture(&mut random);
        // An open, a short and a load, each a little off, and all of them turned.
        let turn = random.between(-3.2, 3.2);
        let known = [
            polar(random.between(0.95, 0.999), turn + random.between(-0.3, 0.3)),
            polar(
                random.between(0.95, 0.999),
                turn + core::f64::consts::PI + random.between(-0.3, 0.3),
            ),
            polar(random.between(0.0, 0.1), random.between(-3.2, 3.2)),
        ];
        let words = known.map(|gamma| {
            let known = word::<A>(gamma);
            (known, word(distort(fixture, held(known))))
        });
        let got = terms_of(&ErrorTerms::from_known(&words).unwrap());
        let want = cramer(&words.map(|(known, raw)| (held(known), held(raw))));
        for (got, want) in got.into_iter().zip(want) {
            worst = worst
                .max((got.re + spoil - want.re).abs())
                .max((got.im - want.im).abs());
        }
    }
    worst
}

#[test]
fn three_standards_give_the_terms() {
    for (worst, bound) in [
        (worst_solution::<f64>(0.0), documented::<f64>()),
        (worst_solution::<f32>(0.0), documented::<f32>()),
        (worst_solution::<Fixed32>(0.0), documented::<Fixed32>()),
        (worst_solution::<Fixed16>(0.0), documented::<Fixed16>()),
    ] {
        println!("{worst:e}, documented {bound:e}");
        assert!(worst < bound, "{worst:e}");
    }
    // The law can fail.
    assert!(worst_solution::<Fixed32>(1e-7) > documented::<Fixed32>());
}

/// Measure, calibrate, correct: any passive device through any fixture, with standards anywhere in the disc that are far
/// enough from each other. Gives the largest error in steps of the family times what the standards' distance costs.
fn there_and_back<A: Arithmetic>(standards: usize, spoil: f64) -> f64 {
    let mut random = Random::new(502 + standards as u64);
    let (mut worst, mut done) = (0f64, 0);
    while done < 5_000 {
        let fixture = any_fixture(&mut random);
        let known: Vec<C> = (0..standards)
            .map(|_| polar(random.between(0.0, 0.999), random.between(-3.2, 3.2)))
            .collect();
        let mut least = f64::INFINITY;
        for a in 0..3 {
            for b in 0..a {
                least = least.min((known[a] - known[b]).size());
            }
        }
        if least < 0.5 {
            continue;
        }
        let mut fit = LeastSquares::<A>::new();
        let words: Vec<_> = known
            .iter()
            .map(|gamma| {
                let known = word::<A>(*gamma);
                (known, word(distort(fixture, held(known))))
            })
            .collect();
        for (known, raw) in &words {
            fit.push(*known, *raw);
        }
        let fit = fit.solve().unwrap();
        let found = if let [a, b, c] = words[..] {
            // The closed form and the fit are one and the same for three.
            let closed = ErrorTerms::from_known(&[a, b, c]).unwrap();
            for (one, other) in terms_of(&closed).into_iter().zip(terms_of(&fit.terms)) {
                assert!(
                    (one - other).size() < 30.0 * rounding::<A>().max(documented::<A>()) / least,
                    "{one:?} {other:?}"
                );
            }
            assert_eq!(fit.residual, None);
            closed
        } else {
            // Rounding alone is left over.
            assert!(fit.residual.unwrap().to_f64() < 8.0 * rounding::<A>());
            fit.terms
        };
        assert_eq!(fit.standards as usize, standards);
        let device = word::<A>(polar(random.between(0.0, 0.98), random.between(-3.2, 3.2)));
        let corrected = found.correct(word(distort(fixture, held(device))));
        let gap = (held(corrected) + c(spoil, 0.0) - held(device)).size();
        // What a rounding of a reading means at the device: over the tracking, and over the distance of the standards.
        let [_, _, tracking] = fixture;
        worst = worst.max(gap * tracking.size() * least * least / rounding::<A>());
        done += 1;
    }
    worst
}

#[test]
fn a_device_comes_back() {
    for standards in [3, 4, 7] {
        for (name, worst, bound) in [
            ("f64", there_and_back::<f64>(standards, 0.0), 30.0),
            ("f32", there_and_back::<f32>(standards, 0.0), 30.0),
            ("Fixed32", there_and_back::<Fixed32>(standards, 0.0), 40.0),
            ("Fixed16", there_and_back::<Fixed16>(standards, 0.0), 12.0),
        ] {
            println!("{standards} standards, {name}: {worst:.1} roundings");
            assert!(worst < bound, "{standards} {name}: {worst}");
        }
    }
    // The law can fail.
    assert!(there_and_back::<Fixed32>(3, 2e-6) > 40.0);
    assert!(there_and_back::<Fixed16>(3, 0.02) > 12.0);
}

/// Every reading of `solve_vectors.csv`, answers by mpmath.
fn solve_vectors<A: Arithmetic>() -> f64 {
    let table = Table::parse(include_str!("../data/solve_vectors.csv"));
    let mut worst = 0f64;
    for row in table.rows() {
        let gamma = |name: &str| {
            let part = |part: &str| f64::from(row.bits(&format!("{name}_{part}_bits"))) / 2f64.powi(30);
            word::<A>(c(part("re"), part("im")))
        };
        let readings = [1, 2, 3].map(|n| (gamma(&format!("known{n}")), gamma(&format!("raw{n}"))));
        let got = terms_of(&ErrorTerms::from_known(&readings).unwrap());
        for (name, got) in ["directivity", "source_match", "tracking"].into_iter().zip(got) {
            let want = c(
                row.number(&format!("{name}_re")),
                row.number(&format!("{name}_im")),
            );
            worst = worst.max((got - want).size());
        }
    }
    worst
}

#[test]
fn the_terms_of_mpmath() {
    // f32 has to round what goes in first.
    let (double, single, fixed) = (
        solve_vectors::<f64>(),
        solve_vectors::<f32>(),
        solve_vectors::<Fixed32>(),
    );
    println!("{double:e} {single:e} {fixed:e}");
    assert!(double < 1e-14 && single < 5e-6 && fixed < 5e-8);
}

/// Every standard of `standard_vectors.csv`, answers by mpmath; gives the largest errors without and with loss.
fn standard_vectors<A: Arithmetic>(only: &str) -> (f64, f64) {
    let table = Table::parse(include_str!("../data/standard_vectors.csv"));
    let (mut lossless, mut lossy) = (0f64, 0f64);
    for row in table.rows() {
        let whole = |name: &str| row.text(name).parse::<i64>().unwrap();
        let polynomial = Polynomial::from_thousandths(
            ["first", "second", "third", "fourth"].map(|name| whole(name) as i32),
        );
        let ohms = |name: &str| Ohms::<A>::try_from_f64(whole(name) as f64 / 4096.0).unwrap();
        let standard = match row.text("kind") {
            kind if !only.is_empty() && kind != only => continue,
            "open" => Standard::<A>::open(polynomial),
            "short" => Standard::short(polynomial),
            "load" => Standard::load(
                ohms("ohms_bits"),
                Inductance::from_picohenries(whole("inductance_ph") as u32),
            )
            .unwrap(),
            other => panic!("unknown kind {other}"),
        };
        let standard = standard.behind(Offset {
            delay: Delay::from_femtoseconds(whole("delay_fs")),
            loss: whole("loss") as u32,
        });
        let reference = Reference::new(ohms("reference_bits")).unwrap();
        let got = standard.reflection(Hertz::new(whole("hertz") as u64), reference);
        let gap = (held(got) - c(row.number("gamma_re"), row.number("gamma_im"))).size();
        // At a few hertz the model of the loss cancels itself: documented apart.
        let gap = if whole("loss") != 0 && whole("hertz") < 1000 {
            gap / 7.0
        } else {
            gap
        };
        let worst = if whole("loss") == 0 {
            &mut lossless
        } else {
            &mut lossy
        };
        if gap > *worst {
            *worst = gap;
        }
    }
    (lossless, lossy)
}

#[test]
fn the_standards_of_mpmath() {
    for (name, (lossless, lossy), bounds) in [
        ("f64", standard_vectors::<f64>(""), (1e-13, 1e-13)),
        ("f32", standard_vectors::<f32>(""), (1e-6, 3e-6)),
        ("Fixed32", standard_vectors::<Fixed32>(""), (1e-8, 6e-8)),
        ("Fixed16", standard_vectors::<Fixed16>(""), (8e-5, 8e-5)),
    ] {
        println!("{name}: {lossless:e} without loss, {lossy:e} with");
        assert!(
            lossless < bounds.0 && lossy < bounds.1,
            "{name}: {lossless:e} {lossy:e}"
        );
    }
    // The ideal ones are exact in every family, whatever the reference.
    fn ideal<A: Arithmetic>() {
        for reference in [Reference::fifty(), Reference::<A>::try_from_f64(75.0).unwrap()] {
            for hertz in [0, 71_000_000, 3_000_000_000] {
                let at = |standard: Standard<A>| standard.reflection(Hertz::new(hertz), reference);
                assert_eq!(at(Standard::OPEN), Reflection::OPEN);
                assert_eq!(at(Standard::SHORT), Reflection::SHORT);
                assert_eq!(at(Standard::LOAD), Reflection::MATCHED);
            }
        }
    }
    every_family!(ideal);
}

/// Noise σ on the readings of n standards: the residual is σ in the root of the mean square, whatever n; the terms err as
/// the normal equations say.
#[test]
fn a_residual_is_the_noise() {
    let mut random = Random::new(503);
    let fixture = [c(0.03, -0.02), c(0.04, 0.02), c(0.8, -0.3)];
    for sigma in [1e-4, 1e-3] {
        let mut errors = Vec::new();
        for standards in [4usize, 8, 16] {
            let (mut squares, mut of_terms) = (0.0, 0.0);
            let runs = 3_000;
            for _ in 0..runs {
                let mut fit = LeastSquares::<f64>::new();
                for n in 0..standards {
                    // The rim, evenly.
                    let known = polar(0.99, core::f64::consts::TAU * n as f64 / standards as f64);
                    let raw = distort(fixture, known) + c(random.normal(), random.normal()).times(sigma);
                    fit.push(word(known), word(raw));
                }
                let fit = fit.solve().unwrap();
                squares += fit.residual.unwrap().get().powi(2);
                of_terms += (held(fit.terms.directivity) - fixture[0]).size().powi(2);
            }
            // σ of both parts is √2·σ of one. The equation weighs a reading by |1 − e11·Γ|, 1 ± 0.05: a few parts in a
            // thousand of the mean square. The spread of the mean over the runs is 1/√(runs·(n − 3)), below 2 %.
            let ratio = (squares / runs as f64).sqrt() / (sigma * 2f64.sqrt());
            assert!((ratio - 1.0).abs() < 0.05, "{standards} standards: {ratio}");
            // Evenly around, the mean of the readings is the directivity: √2·σ/√n.
            let error = (of_terms / runs as f64).sqrt() / (sigma * 2f64.sqrt()) * (standards as f64).sqrt();
            assert!((error - 1.0).abs() < 0.06, "{standards} standards: {error}");
            errors.push(squares / runs as f64);
        }
        // The law can fail: with n in place of n − 3 it would depend on the number of standards.
        assert!((errors[0] / 4.0) / (errors[2] * 13.0 / 16.0) < 0.5);
    }
}

/// A standard that is not what it is taken for shows in the residual; in every family.
#[test]
fn a_wrong_standard_shows_in_the_residual() {
    fn residual<A: Arithmetic>(off: f64) -> f64 {
        let fixture = [c(0.03, -0.02), c(0.04, 0.02), c(0.5, -0.3)];
        let mut fit = LeastSquares::<A>::new();
        for (known, off) in [
            (c(0.9, 0.0), 0.0),
            (c(-0.9, 0.0), 0.0),
            (ZERO, 0.0),
            (c(0.0, 0.9), off),
            (c(0.3, -0.4), 0.0),
        ] {
            fit.push(word(known), word(distort(fixture, known + c(off, 0.0))));
        }
        fit.solve().unwrap().residual.unwrap().to_f64()
    }
    fn both<A: Arithmetic>() {
        assert!(residual::<A>(0.0) < 4.0 * rounding::<A>());
        assert!(residual::<A>(0.02) > 2e-3);
    }
    every_family!(both);
}

// --- refusals --------------------------------------------------------------------------------------------------------

fn refusals<A: Arithmetic>() {
    let at = |re: f64, im: f64| word::<A>(c(re, im));
    let good = [
        (at(0.9, 0.0), at(0.8, 0.1)),
        (at(-0.9, 0.0), at(-0.7, 0.0)),
        (at(0.0, 0.0), at(0.1, 0.0)),
    ];
    assert!(ErrorTerms::from_known(&good).is_ok());
    for (first, second) in [(0usize, 1usize), (0, 2), (1, 2)] {
        let numbers = (first as u8 + 1, second as u8 + 1);
        let mut same = good;
        same[second].0 = same[first].0;
        assert_eq!(
            ErrorTerms::from_known(&same),
            Err(CalibrationError::EqualStandards(numbers.0, numbers.1))
        );
        let mut same = good;
        same[second].1 = same[first].1;
        assert_eq!(
            ErrorTerms::from_known(&same),
            Err(CalibrationError::EqualReadings(numbers.0, numbers.1))
        );
    }
    // Nothing comes through.
    let dead = good.map(|(known, _)| (known, at(0.1, 0.1)));
    assert_eq!(
        ErrorTerms::from_known(&dead),
        Err(CalibrationError::EqualReadings(1, 2))
    );
    // A NaN does not come as far as this.
    if A::FAMILY == Family::F64 {
        assert_eq!(
            Reflection::<f64>::new(f64::NAN, 0.0),
            Err(QuantityError::NotFinite("real part of Γ"))
        );
    }
    // A tracking of 1.5 has a word everywhere, one of 3 none in fixed point.
    let strong = |raw| {
        ErrorTerms::from_known(&[
            (at(0.3, 0.0), at(raw, 0.0)),
            (at(-0.3, 0.0), at(-raw, 0.0)),
            (at(0.0, 0.0), at(0.0, 0.0)),
        ])
    };
    assert!(strong(0.45).is_ok());
    if A::FAMILY.is_fixed() {
        assert_eq!(strong(0.9), Err(CalibrationError::OutOfRange(Term::Tracking)));
    } else {
        assert!(strong(0.9).is_ok());
    }

    let mut fit = LeastSquares::<A>::new();
    assert_eq!(fit.solve(), Err(CalibrationError::TooFewStandards(0)));
    fit.push(good[0].0, good[0].1);
    fit.push(good[1].0, good[1].1);
    assert_eq!(fit.solve(), Err(CalibrationError::TooFewStandards(2)));
    for _ in 0..5 {
        fit.push(good[1].0, good[1].1);
    }
    assert_eq!(fit.solve(), Err(CalibrationError::Singular));
    assert_eq!(fit.count(), 7);
    fit.push(good[2].0, good[2].1);
    assert!(fit.solve().is_ok());
}

#[test]
fn standards_that_do_not_decide_are_refused() {
    every_family!(refusals);
}

/// Every exchange with the load is refused, whatever the fixture; one of open and short turns the tracking.
fn exchanges<A: Arithmetic>() {
    let mut random = Random::new(504);
    let known = [ONE, -ONE, ZERO];
    for _ in 0..2_000 {
        let fixture = any_fixture(&mut random);
        let solve = |order: [usize; 3]| {
            let raw = order.map(|place| word::<A>(distort(fixture, known[place])));
            ErrorTerms::solve(&Kit::IDEAL, Hertz::from_megahertz(71), Reference::fifty(), &raw)
        };
        for order in [[2, 1, 0], [0, 2, 1], [1, 2, 0], [2, 0, 1]] {
            assert_eq!(
                solve(order),
                Err(CalibrationError::ImpossibleSourceMatch),
                "{fixture:?} {order:?}"
            );
        }
        // The control: the right order is taken, and the other is noticed by what is known of the fixture.
        let right = solve([0, 1, 2]).unwrap();
        assert!(!right.is_turned_from(word(fixture[2])));
        let wrong = solve([1, 0, 2]).unwrap();
        assert!(wrong.is_turned_from(right.tracking));
        // It turns the sign of everything.
        let device = word::<A>(distort(fixture, c(0.3, -0.4)));
        let (one, other) = (held(right.correct(device)), held(wrong.correct(device)));
        assert!((one + other).size() < 4e3 * rounding::<A>());
    }
}

#[test]
fn exchanged_standards_are_noticed() {
    every_family!(exchanges);
}

// --- tables ----------------------------------------------------------------------------------------------------------

/// An invented fixture of three echoes.
fn echoes(hertz: f64) -> Fixture {
    let echo = |size: f64, angle: f64, nanoseconds: f64| {
        polar(size, angle - core::f64::consts::TAU * hertz * nanoseconds * 1e-9)
    };
    [
        echo(0.05, 0.4, 0.3) + echo(0.03, 2.0, 1.9),
        echo(0.1, 1.0, 0.4) + echo(0.06, -2.0, 1.2),
        echo(0.7, 0.0, 0.8),
    ]
}

fn grid(start: u64, step: u64, points: u64) -> Vec<Hertz> {
    (0..points).map(|n| Hertz::new(start + n * step)).collect()
}

fn points<A: Arithmetic>(grid: &[Hertz], fixture: impl Fn(f64) -> Fixture) -> Vec<CalibrationPoint<A>> {
    grid.iter()
        .map(|frequency| CalibrationPoint {
            frequency: *frequency,
            terms: terms(fixture(frequency.get() as f64)),
        })
        .collect()
}

fn ten_below<A: Arithmetic>() -> Decibels<A> {
    Decibels::<A>::try_from_f64(-10.0).unwrap()
}

fn table<A: Arithmetic>(points: &[CalibrationPoint<A>]) -> CalibrationTable<'_, A> {
    CalibrationTable::new(points, Reference::fifty(), ten_below::<A>()).unwrap()
}

/// The sweeps of a kit through a fixture, recorded and solved.
fn recorded<'a, A: Arithmetic>(
    room: &'a mut [CalibrationPoint<A>],
    kit: &Kit<A>,
    grid: &[Hertz],
    fixture: impl Fn(f64) -> Fixture,
    roles: [Role; 3],
) -> Result<CalibrationTable<'a, A>, CalibrationFailure> {
    let mut recording = Recording::new(room);
    // The load first: any order will do.
    for (taken_as, connected) in Role::ALL.into_iter().zip(roles).rev() {
        for frequency in grid {
            let gamma = held(kit.standard(connected).reflection(*frequency, Reference::fifty()));
            let raw = distort(fixture(frequency.get() as f64), gamma);
            recording.push(taken_as, *frequency, word(raw))?;
        }
    }
    recording.solve(kit, Reference::fifty(), ten_below::<A>())
}

fn imperfect<A: Arithmetic>() -> Kit<A> {
    let line = |femtoseconds, loss| Offset {
        delay: Delay::from_femtoseconds(femtoseconds),
        loss,
    };
    Kit {
        open: Standard::open(Polynomial::from_thousandths([82_000, 300_000, -20_000, 120]))
            .behind(line(31_000, 2_000)),
        short: Standard::short(Polynomial::from_thousandths([12_000, -100_000, 0, 0]))
            .behind(line(29_500, 2_000)),
        load: Standard::load(
            Ohms::<A>::try_from_f64(49.5).unwrap(),
            Inductance::from_picohenries(90),
        )
        .unwrap(),
    }
}

/// Sweeps of imperfect standards, recorded; then a device on the same grid.
fn through_a_table<A: Arithmetic>(kit: Kit<A>, believed: Kit<A>) -> f64 {
    let grid = grid(400_000_000, 5_000_000, 41);
    let mut room = [CalibrationPoint::EMPTY; 64];
    let table = {
        // What is connected, and what it is believed to be.
        let mut recording = Recording::new(&mut room);
        for role in Role::ALL {
            for frequency in &grid {
                let gamma = held(kit.standard(role).reflection(*frequency, Reference::fifty()));
                let raw = word(distort(echoes(frequency.get() as f64), gamma));
                recording.push(role, *frequency, raw).unwrap();
            }
        }
        recording
            .solve(&believed, Reference::fifty(), ten_below::<A>())
            .unwrap()
    };
    assert_eq!(table.points().len(), 41);
    assert_eq!(table.conditions().grid, Grid::of(grid.iter().copied()));
    let mut corrector = table.corrector();
    let mut worst = 0f64;
    for frequency in grid {
        let device = polar(0.7, frequency.get() as f64 * 1e-8);
        let raw = word(distort(echoes(frequency.get() as f64), device));
        worst = worst.max((held(corrector.correct(frequency, raw).unwrap()) - device).size());
    }
    worst
}

#[test]
fn sweeps_of_imperfect_standards_calibrate() {
    fn both<A: Arithmetic>() {
        let good = through_a_table(imperfect::<A>(), imperfect());
        let allowed = 12.0 * rounding::<A>().max(documented::<A>());
        assert!(good < allowed, "{:?}: {good:e}, allowed {allowed:e}", A::FAMILY);
        // The control: taken for ideal ones, they spoil it by what they are off.
        assert!(through_a_table(imperfect::<A>(), Kit::IDEAL) > 0.1);
    }
    every_family!(both);
}

/// Between the points: the straight line, to the rounding; and at the points the table itself.
fn on_straight_lines<A: Arithmetic>() {
    let grid = grid(60_000_001, 333_337, 40);
    let points = points::<A>(&grid, echoes);
    let table = table(&points);
    for point in &points {
        assert_eq!(table.terms_at(point.frequency), Ok(point.terms));
    }
    let mut random = Random::new(505);
    let (first, last) = (grid[0].get(), grid[39].get());
    let mut worst = 0f64;
    for _ in 0..20_000 {
        let hertz = random.between(first as f64, last as f64) as u64;
        let place = ((hertz - first) / 333_337) as usize;
        let way = (hertz - grid[place].get()) as f64 / 333_337.0;
        let (low, high) = (terms_of(&points[place].terms), terms_of(&points[place + 1].terms));
        let got = terms_of(&table.terms_at(Hertz::new(hertz)).unwrap());
        for ((low, high), got) in low.into_iter().zip(high).zip(got) {
            let off = got - (low + (high - low).times(way));
            worst = worst.max(off.re.abs()).max(off.im.abs());
        }
    }
    let allowed = match A::FAMILY {
        Family::F64 => 3e-16,
        Family::Fixed32 => 1.4e-9,
        Family::Fixed16 => 3.1e-5,
        _ => 1.2e-7,
    };
    assert!(worst <= allowed, "{:?}: {worst:e}", A::FAMILY);
    // Nothing beyond the ends, and the ends themselves.
    for hertz in [0, first - 1, last + 1, u64::MAX] {
        assert_eq!(
            table.terms_at(Hertz::new(hertz)),
            Err(CalibrationError::Outside(Hertz::new(hertz)))
        );
    }
}

#[test]
fn terms_between_lie_on_straight_lines() {
    every_family!(on_straight_lines);
}

/// What the straight line costs of a turning echo: no more than θ²/8 of its size, and hardly less.
#[test]
fn the_error_of_interpolation_is_the_documented_one() {
    for degrees in [1.0f64, 5.0, 20.0] {
        let step = 1_000_000;
        let delay = degrees / 360.0 / step as f64;
        let turning = |hertz: f64| [ZERO, ZERO, polar(0.8, -core::f64::consts::TAU * hertz * delay)];
        let points = points::<f64>(&grid(50_000_000, step, 20), turning);
        let table = table(&points);
        let mut worst = 0f64;
        for hertz in (50_000_000..=69_000_000).step_by(10_000) {
            let got = held(table.terms_at(Hertz::new(hertz)).unwrap().tracking);
            worst = worst.max((got - turning(hertz as f64)[2]).size());
        }
        let bound = 0.8 * degrees.to_radians().powi(2) / 8.0;
        assert!(
            worst <= bound * 1.000_001 && worst > 0.95 * bound,
            "{degrees}: {worst:e} {bound:e}"
        );
        // Of which the survey tells, times √1.5/4.
        let uneven = table.survey().unevenness * 1.5f64.sqrt() / 4.0;
        assert!((uneven / bound - 1.0).abs() < 0.02, "{uneven:e} {bound:e}");
    }
}

/// A corrector gives what the terms of each frequency give, wherever it comes from.
fn wherever_it_comes_from<A: Arithmetic>() {
    let grid = [5, 6, 9, 10, 30, 31, 32, 100, 1 << 33, 1 << 62].map(Hertz::new);
    let points = points::<A>(&grid, |hertz| echoes(hertz.min(1e4) * 1e5));
    let table = table(&points);
    let raw = word::<A>(c(0.3, -0.2));
    let mut corrector = table.corrector();
    let mut random = Random::new(506);
    let upwards = (0..120).map(Hertz::new);
    let downwards = (0..120).rev().map(Hertz::new);
    let anywhere = (0..3_000).map(|_| Hertz::new(random.bits() >> (1 + random.bits() % 63)));
    let (mut inside, mut outside) = (0, 0);
    for frequency in upwards.chain(downwards).chain(anywhere).chain(grid) {
        let got = corrector.correct(frequency, raw);
        match table.terms_at(frequency) {
            Ok(terms) => {
                inside += 1;
                let (got, want) = (held(got.unwrap()), held(terms.correct(raw)));
                // In 16 bits the terms between keep more digits on the way.
                assert!(
                    (got - want).size() <= 6.0 * rounding::<A>(),
                    "{frequency}: {got:?} {want:?}"
                );
            }
            Err(cause) => {
                outside += 1;
                assert_eq!(got, Err(cause));
                assert_eq!(cause, CalibrationError::Outside(frequency));
            }
        }
    }
    assert!(inside > 1_000 && outside > 100, "{inside} {outside}");
}

#[test]
fn a_corrector_finds_its_place() {
    every_family!(wherever_it_comes_from);
}

/// A checked correction is the plain one to the bit, or says that there is none: of hostile readings and tables (words of
/// any bits, tracking of 0, of a few steps, and readings at the pole and beside it), judged by the error model in doubles.
fn checked<A: Arithmetic>() {
    const CASES: u32 = 40_000;
    let mut random = Random::new(507);
    let limit: f64 = match A::FAMILY {
        Family::Fixed16 => 1.0,
        Family::Fixed32 => 2.0,
        _ => 1_048_576.0,
    };
    let step = match A::FAMILY {
        Family::Fixed16 => 2f64.powi(-15),
        Family::Fixed32 => 2f64.powi(-30),
        Family::F64 => 2f64.powi(-52),
        _ => 2f64.powi(-23),
    };
    // What is no divisor any more.
    let least = match A::FAMILY {
        Family::Fixed16 => 2f64.powi(-11),
        Family::Fixed32 | Family::SoftF32 => 2f64.powi(-18),
        _ => 0.0,
    };
    // Of the larger part of the tracking: next to the pole, only rounding is left of a denominator smaller than that.
    let near = if A::FAMILY == Family::F64 { 9e-14 } else { 4.4e-5 };
    // Answers, answers that are not near the truth, refusals of what is well within range; and each kind of refusal.
    let (mut answers, mut wrong, mut timid, mut poles, mut blind) = (0u32, 0u32, 0u32, 0u32, 0u32);
    let (mut worst, mut largest) = (0f64, 0f64);
    for _ in 0..CASES {
        let kind = random.bits() % 8;
        let mut any = |size: f64| polar(random.between(0.0, size), random.between(-3.2, 3.2));
        let (directivity, source_match) = (any(0.3), any(0.7));
        let tracking = match kind {
            0 => c(0.0, 0.0),
            1 => any(20.0 * step),
            _ => any(0.99),
        };
        let raw = match kind {
            // The pole, as near as the word has it, and beside.
            2 | 3 => directivity - tracking / source_match,
            4 => directivity - tracking / source_match * (c(1.0, 0.0) + any(0.01)),
            _ => distort([directivity, source_match, tracking], any(1.0)),
        };
        if raw.re.abs().max(raw.im.abs()) > 0.9999 * limit.min(1e3) {
            continue;
        }
        let words = [directivity, source_match, tracking, raw].map(word::<A>);
        let [directivity, source_match, tracking, raw] = words;
        let terms = ErrorTerms {
            directivity,
            source_match,
            tracking,
        };
        let points = [1_000, 2_000].map(|hertz| CalibrationPoint {
            frequency: Hertz::new(hertz),
            terms,
        });
        let table = self::table(&points);
        let mut corrector = table.corrector();
        // On a frequency of the table and between two.
        let frequency = Hertz::new(1_000 + 700 * (random.bits() % 2));
        let plain = corrector.correct(frequency, raw).unwrap();
        let got = corrector.checked_correct(frequency, raw);
        let [e0, e1, t, m] = words.map(held);
        let below = t + e1 * (m - e0);
        let want = (m - e0) / below;
        match got {
            Ok(gamma) => {
                answers += 1;
                assert_eq!(gamma, plain);
                // The kernel's error grows as the denominator falls, and so does that of rounded numbers.
                let kernel = (2.5e-8 / below.size() + rounding::<A>()) * want.size().max(1.0);
                let parts = t.size() + (e1 * (m - e0)).size();
                let rounded = 4.0 * step * (1.0 + parts / below.size()) * want.size();
                let allowed = match A::FAMILY {
                    Family::Fixed32 | Family::Fixed16 => kernel,
                    Family::SoftF32 => kernel + rounded,
                    _ => rounded,
                };
                let error = (held(gamma) - want).size();
                worst = worst.max(error / allowed);
                largest = largest.max(allowed / (1.0 + want.size()));
                wrong += u32::from(t.size() == 0.0 || error.is_nan() || error > allowed);
            }
            Err(error) => {
                let is_little = |z: C| z.re.abs().max(z.im.abs()) <= least;
                let is_within = want.re.abs().max(want.im.abs()) < 0.95 * limit;
                let is_far = below.size() > near * t.size();
                timid += u32::from(!is_little(t) && !is_little(below) && is_far && is_within);
                if frequency.get() == 1_000 {
                    assert_eq!(terms.has_tracking(), !is_little(t));
                }
                // Between the frequencies the terms of 16 bits are rounded once more.
                if !table.terms_at(frequency).unwrap().has_tracking() {
                    assert_eq!(error, CalibrationError::NoTracking(frequency));
                    blind += 1;
                } else {
                    assert_eq!(error, CalibrationError::AtPole(frequency));
                    poles += 1;
                }
            }
        }
    }
    println!(
        "{:?}: {wrong} of {answers} answers are wrong (worst {worst:.2} of what is allowed, at most \
         {largest:.1e}), {timid} of {} refusals \
         were not needed; {poles} at the pole, {blind} without tracking",
        A::FAMILY,
        poles + blind
    );
    assert_eq!((wrong, timid), (0, 0));
    assert!(
        answers > 10_000 && poles > 1_000 && blind > 1_000,
        "{answers} {poles} {blind}"
    );
    let points = points::<A>(&grid(5, 1, 2), echoes);
    let outside = table(&points)
        .corrector()
        .checked_correct(Hertz::new(9), Reflection::OPEN);
    assert_eq!(outside, Err(CalibrationError::Outside(Hertz::new(9))));
}

#[test]
fn a_checked_correction_is_right_or_says_that_there_is_none() {
    every_family!(checked);
}

#[test]
fn tables_that_are_none_are_refused() {
    fn refused<A: Arithmetic>() {
        let new = |points: &[CalibrationPoint<A>]| {
            CalibrationTable::new(points, Reference::fifty(), ten_below::<A>()).map(|_| ())
        };
        let of = |hertz: &[u64]| -> Vec<CalibrationPoint<A>> {
            points(
                &hertz.iter().map(|hertz| Hertz::new(*hertz)).collect::<Vec<_>>(),
                echoes,
            )
        };
        assert_eq!(new(&[]), Err(CalibrationError::TooShort(0)));
        assert_eq!(new(&of(&[5])), Err(CalibrationError::TooShort(1)));
        assert_eq!(new(&of(&[5, 6, 6])), Err(CalibrationError::NotRising(2)));
        assert_eq!(new(&of(&[5, 4, 6])), Err(CalibrationError::NotRising(1)));
        assert_eq!(new(&of(&[5, 6])), Ok(()));
    }
    every_family!(refused);
}

/// Grids that do not match, standards that are missing, no room: each by name, and nothing is changed by a refusal.
#[test]
fn recordings_that_do_not_fit_are_refused() {
    let mut room = [CalibrationPoint::<Fixed32>::EMPTY; 3];
    let (ten, twenty, thirty) = (Hertz::new(10), Hertz::new(20), Hertz::new(30));
    let at = |re: f64| word(c(re, 0.0));
    let mut recording = Recording::new(&mut room);
    assert_eq!(recording.push(Role::Short, ten, at(-0.7)), Ok(()));
    assert_eq!(
        recording.push(Role::Short, ten, at(-0.7)),
        Err(CalibrationError::NotRising(1))
    );
    assert_eq!(recording.push(Role::Short, twenty, at(-0.6)), Ok(()));
    assert_eq!(recording.push(Role::Short, thirty, at(-0.5)), Ok(()));
    assert_eq!(
        recording.push(Role::Short, Hertz::new(40), at(-0.4)),
        Err(CalibrationError::Full(3))
    );
    let differs = |index, expected, found| {
        Err(CalibrationError::GridDiffers {
            index,
            expected,
            found,
        })
    };
    assert_eq!(
        recording.push(Role::Open, twenty, at(0.7)),
        differs(0, Some(ten), twenty)
    );
    assert_eq!(recording.push(Role::Open, ten, at(0.7)), Ok(()));
    assert_eq!(
        recording.push(Role::Open, thirty, at(0.7)),
        differs(1, Some(twenty), thirty)
    );
    assert_eq!(recording.push(Role::Open, twenty, at(0.6)), Ok(()));
    assert_eq!(recording.push(Role::Open, thirty, at(0.5)), Ok(()));
    assert_eq!(
        recording.push(Role::Open, Hertz::new(40), at(0.5)),
        differs(3, None, Hertz::new(40))
    );
    assert_eq!(recording.readings(0), None);
    // The short once more: the open keeps the grid.
    recording.restart(Role::Short);
    assert_eq!(recording.taken(Role::Short), 0);
    assert_eq!(
        recording.push(Role::Short, Hertz::new(11), at(-0.7)),
        differs(0, Some(ten), Hertz::new(11))
    );
    for (frequency, re) in [(ten, -0.7), (twenty, -0.6), (thirty, -0.5)] {
        recording.push(Role::Short, frequency, at(re)).unwrap();
    }
    recording.push(Role::Load, ten, at(0.0)).unwrap();
    recording.push(Role::Load, twenty, at(0.0)).unwrap();
    assert_eq!(
        recording.readings(1),
        Some((twenty, [at(0.6), at(-0.6), at(0.0)]))
    );
    assert_eq!(recording.readings(2), None);
    let solve = |recording: Recording<'_, Fixed32>| {
        recording
            .solve(&Kit::IDEAL, Reference::fifty(), ten_below::<Fixed32>())
            .map(|table| table.points().len())
    };
    assert_eq!(
        solve(recording),
        Err(CalibrationFailure::at(
            thirty,
            CalibrationError::Unread(Role::Load)
        ))
    );
    assert_eq!(
        solve(Recording::new(&mut room)),
        Err(CalibrationFailure::from(CalibrationError::Unread(Role::Open)))
    );
    // One frequency is no table.
    let mut recording = Recording::new(&mut room);
    for (role, re) in Role::ALL.into_iter().zip([0.7, -0.7, 0.0]) {
        recording.push(role, ten, at(re)).unwrap();
    }
    assert_eq!(
        solve(recording).map_err(|failure| failure.cause),
        Err(CalibrationError::TooShort(1))
    );
    // The frequency of a cause is named.
    let mut recording = Recording::new(&mut room);
    for (role, re) in Role::ALL.into_iter().zip([0.7, -0.7, 0.0]) {
        recording.push(role, ten, at(re)).unwrap();
    }
    for (role, re) in Role::ALL.into_iter().zip([0.7, 0.0, -0.7]) {
        recording.push(role, twenty, at(re)).unwrap();
    }
    let failure = solve(recording).unwrap_err();
    assert_eq!(
        (failure.frequency, failure.cause),
        (Some(twenty), CalibrationError::ImpossibleSourceMatch)
    );
    assert!(failure.to_string().starts_with("at 20 Hz: "), "{failure}");
    // Starting anew with the only standard forgets the grid.
    let mut recording = Recording::new(&mut room);
    recording.push(Role::Load, ten, at(0.0)).unwrap();
    recording.restart(Role::Load);
    assert_eq!(recording.push(Role::Load, Hertz::new(7), at(0.0)), Ok(()));
}

// --- the plane -------------------------------------------------------------------------------------------------------

fn moved_planes<A: Arithmetic>() {
    let mut random = Random::new(507);
    for _ in 0..2_000 {
        let frequency = Hertz::new(random.between(1e6, 3e9) as u64);
        let picoseconds = random.between(-900.0, 900.0) as i32;
        let delay = Delay::<A>::from_picoseconds(picoseconds);
        assert_eq!(delay.femtoseconds(), i64::from(picoseconds) * 1000);
        let gamma = word::<A>(polar(random.between(0.0, 0.9), random.between(-3.2, 3.2)));
        let angle = 2.0 * core::f64::consts::TAU * frequency.get() as f64 * f64::from(picoseconds) * 1e-12;
        let want = held(gamma) * C::turn(angle);
        let got = delay.nearer_the_load(gamma, frequency);
        let turns = (angle / core::f64::consts::TAU).abs();
        let allowed = match A::FAMILY {
            Family::F64 => 1e-14,
            Family::Fixed32 => 1e-8 + 3e-8 * turns,
            Family::Fixed16 => 4.5e-5,
            _ => 3e-7 + 1e-6 * turns,
        };
        assert!(
            (held(got) - want).size() < allowed,
            "{:?} {frequency} {picoseconds}",
            A::FAMILY
        );
        // There and back; and the other way of getting it, at no cost a reading.
        let back = (-delay).nearer_the_load(got, frequency);
        assert!((held(back) - held(gamma)).size() < 2.0 * allowed);
        let fixture = any_fixture(&mut random);
        let raw = word::<A>(distort(fixture, held(gamma)));
        let of_terms = terms::<A>(fixture)
            .with_plane_moved(delay, frequency)
            .correct(raw);
        assert!(
            (held(of_terms) - want).size() < 14.0 * (allowed + rounding::<A>()) / 0.2,
            "{of_terms:?} {want:?}"
        );
        // The control: the wrong sign is another Γ.
        if (angle.sin() * held(gamma).size()).abs() > 0.1 {
            assert!((held((-delay).nearer_the_load(gamma, frequency)) - want).size() > 0.05);
        }
    }
    for (length, factor, cause) in [
        (1.0, 0.0, QuantityError::NotPositive("velocity factor")),
        (
            1.0,
            1.5,
            QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
                parameter: "velocity factor",
                rule: "must be above 0 and at most 1",
            }),
        ),
    ] {
        let of = Delay::<A>::of_length(
            Metres::<A>::try_from_f64(length).unwrap(),
            VelocityFactor::<A>::try_from_f64(factor).unwrap(),
        );
        assert_eq!(of, Err(cause));
    }
    for (ohms, cause) in [
        (f64::NAN, QuantityError::NotFinite("resistance of the load")),
        (-1.0, QuantityError::Negative("resistance of the load")),
    ] {
        assert_eq!(
            Standard::<f64>::load(ohms, Inductance::from_picohenries(0)),
            Err(cause)
        );
    }
    assert_eq!(
        Delay::<f64>::of_length(f64::NAN, 0.5),
        Err(QuantityError::NotFinite("length"))
    );
    assert_eq!(
        Delay::<f64>::of_length(1.0, f64::NAN),
        Err(QuantityError::NotFinite("velocity factor"))
    );
}

#[test]
fn a_plane_moves_there_and_back() {
    every_family!(moved_planes);
}

// --- quality ---------------------------------------------------------------------------------------------------------

/// Every verdict, in its turn.
fn verdicts<A: Arithmetic>() {
    let kit = imperfect::<A>();
    let grid = grid(60_000_000, 1_000_000, 21);
    let mut room = [CalibrationPoint::EMPTY; 21];
    let table = recorded(&mut room, &kit, &grid, echoes, Role::ALL).unwrap();
    let conditions = *table.conditions();
    let check = || QualityCheck::new(&table, kit, QualityLimits::default());
    let read = |role: Role, frequency: Hertz, drift: f64| {
        let gamma = held(kit.standard(role).reflection(frequency, Reference::fifty()));
        let mut fixture = echoes(frequency.get() as f64);
        fixture[0].re += drift;
        word::<A>(distort(fixture, gamma))
    };
    let report = check().report(&conditions);
    assert_eq!(
        (report.verdict, report.readings, report.worst),
        (QualityVerdict::Unchecked, 0, None)
    );
    // Good, with what is left of the order of the roundings.
    let mut good = check();
    for frequency in &grid {
        good.push_all(*frequency, &Role::ALL.map(|role| read(role, *frequency, 0.0)))
            .unwrap();
    }
    let report = good.report(&conditions);
    assert_eq!((report.verdict, report.readings), (QualityVerdict::Good, 63));
    let slack = 20.0 * rounding::<A>().max(documented::<A>());
    let residual = report.residual.unwrap();
    for left in [
        residual.directivity,
        residual.source_match,
        residual.tracking,
        report.worst.unwrap().error,
    ] {
        assert!(left.to_f64() < slack, "{:?}: {left:?}", A::FAMILY);
    }
    // Another power, another grid.
    let other_power = Conditions {
        power_dbm: Decibels::<A>::try_from_f64(-12.0).unwrap(),
        ..conditions
    };
    let report = good.report(&other_power);
    assert_eq!(
        (report.verdict, report.other_power, report.other_grid),
        (QualityVerdict::OtherPower, true, false)
    );
    let nearly = Conditions {
        power_dbm: Decibels::<A>::try_from_f64(-10.5).unwrap(),
        ..conditions
    };
    assert_eq!(good.report(&nearly).verdict, QualityVerdict::Good);
    // One frequency that is another, between the same ends.
    let mut shifted = grid.clone();
    shifted[7] = Hertz::new(shifted[7].get() + 1);
    let other_grid = Conditions {
        grid: Grid::of(shifted),
        ..conditions
    };
    let report = good.report(&other_grid);
    assert_eq!(
        (report.verdict, report.other_grid),
        (QualityVerdict::OtherGrid, true)
    );
    // Stale: the directivity has drifted by 0.03, which over the tracking of 0.7 is 0.043.
    let mut stale = check();
    for frequency in &grid {
        stale
            .push_all(*frequency, &Role::ALL.map(|role| read(role, *frequency, 0.03)))
            .unwrap();
    }
    let report = stale.report(&other_power);
    assert_eq!(report.verdict, QualityVerdict::Stale);
    assert!(report.other_power);
    assert!(
        (report.residual.unwrap().directivity.to_f64() - 0.03 / 0.7).abs() < 0.002,
        "{report:?}"
    );
    let mut load_alone = check();
    load_alone
        .push(Role::Load, grid[3], read(Role::Load, grid[3], 0.03))
        .unwrap();
    let report = load_alone.report(&conditions);
    assert_eq!(
        (report.verdict, report.worst.unwrap().role),
        (QualityVerdict::Stale, Role::Load)
    );
    assert_eq!(report.residual, None);
    // Half of that is still good.
    let mut fresh = check();
    fresh
        .push(Role::Load, grid[3], read(Role::Load, grid[3], 0.01))
        .unwrap();
    assert_eq!(fresh.report(&conditions).verdict, QualityVerdict::Good);
    // Outside of the table nothing is said.
    assert_eq!(
        fresh.push(Role::Load, Hertz::new(1), Reflection::MATCHED),
        Err(CalibrationError::Outside(Hertz::new(1)))
    );
    assert_eq!(fresh.report(&conditions).readings, 1);
    // Exchanged now: any two.
    for (role, connected) in [
        (Role::Open, Role::Short),
        (Role::Short, Role::Load),
        (Role::Load, Role::Open),
    ] {
        let mut exchanged = check();
        for frequency in &grid {
            exchanged
                .push(role, *frequency, read(connected, *frequency, 0.0))
                .unwrap();
        }
        assert_eq!(
            exchanged.report(&conditions).verdict,
            QualityVerdict::Exchanged(role, connected)
        );
    }
    // Exchanged when the calibration was made: open and short, which is the exchange that can be solved for.
    let mut room = [CalibrationPoint::EMPTY; 21];
    let swapped = recorded(
        &mut room,
        &kit,
        &grid,
        echoes,
        [Role::Short, Role::Open, Role::Load],
    )
    .unwrap();
    let mut noticed = QualityCheck::new(&swapped, kit, QualityLimits::default());
    for frequency in &grid {
        noticed
            .push_all(*frequency, &Role::ALL.map(|role| read(role, *frequency, 0.0)))
            .unwrap();
    }
    assert_eq!(
        noticed.report(swapped.conditions()).verdict,
        QualityVerdict::Exchanged(Role::Open, Role::Short)
    );
    // The phase at 0 Hz suspects it without a further reading, and does not suspect the right one.
    assert!(swapped.survey().suspects_exchange());
    let right = table.survey();
    assert!(!right.suspects_exchange());
    assert!(right.tracking_at_zero.unwrap().to_f64().abs() < 20.0, "{right:?}");
    assert_eq!(right.points, 21);
}

#[test]
fn every_verdict_in_its_turn() {
    every_family!(verdicts);
}

/// The figures of a survey, against f64.
#[test]
fn a_survey_tells_what_the_table_shows() {
    fn surveyed<A: Arithmetic>() {
        let grid = grid(60_000_000, 1_000_000, 21);
        let points = points::<A>(&grid, echoes);
        let survey = table(&points).survey();
        let held: Vec<Fixture> = points.iter().map(|point| terms_of(&point.terms)).collect();
        let decibels = |ratio: f64| -20.0 * ratio.log10();
        let worst = held
            .iter()
            .map(|term| term[0].size() / term[2].size())
            .fold(0.0, f64::max);
        assert!((survey.directivity.to_f64() - decibels(worst)).abs() < 2e-4);
        let worst = held.iter().map(|term| term[1].size()).fold(0.0, f64::max);
        assert!((survey.source_match.to_f64() - decibels(worst)).abs() < 2e-4);
        let least = held.iter().map(|term| term[2].size()).fold(0.0, f64::max);
        assert!((survey.least_loss.to_f64() - decibels(least)).abs() < 2e-4);
        let most = held.iter().map(|term| term[2].size()).fold(2.0, f64::min);
        assert!((survey.most_loss.to_f64() - decibels(most)).abs() < 2e-4);
    }
    every_family!(surveyed);
    // A tracking that turns unevenly, and two points alone, tell no phase at 0 Hz.
    let wild = |hertz: f64| [ZERO, ZERO, polar(0.5, (hertz * 2e-7).sin())];
    let far = points::<f64>(&grid(60_000_000, 1_000_000, 21), wild);
    assert_eq!(table(&far).survey().tracking_at_zero, None);
    let two = points::<f64>(&grid(60_000_000, 1_000_000, 2), echoes);
    let survey = table(&two).survey();
    assert_eq!((survey.tracking_at_zero, survey.unevenness), (None, 0.0.into()));
}

/// What a correction leaves is told by three known devices.
fn residual_terms<A: Arithmetic>() {
    let mut random = Random::new(508);
    for _ in 0..500 {
        let fixture = any_fixture(&mut random);
        // The fixture has changed since.
        let mut now = fixture;
        now[0] = now[0] + polar(0.01, random.between(-3.2, 3.2));
        let known = [c(0.9, 0.0), c(-0.9, 0.1), c(0.05, 0.0)].map(word::<A>);
        let readings = known.map(|known| (known, word(distort(now, held(known)))));
        let got = terms::<A>(fixture).residual(&readings).unwrap();
        // The old correction after the new fixture is again a fixture.
        let corrected = readings.map(|(known, raw)| (held(known), held(terms::<A>(fixture).correct(raw))));
        let mut want = cramer(&corrected);
        want[2] = want[2] - ONE;
        let slack = 8.0 * rounding::<A>().max(documented::<A>());
        for (got, want) in [got.directivity, got.source_match, got.tracking]
            .into_iter()
            .zip(want)
        {
            assert!(
                (got.to_f64() - want.size()).abs() < slack,
                "{:?} {got:?} {want:?}",
                A::FAMILY
            );
        }
        // 0.01 over the tracking of 0.2 to 0.55, times what the source match makes of it.
        let left = got.directivity.to_f64();
        assert!((0.01..0.06).contains(&left), "{left}");
    }
}

#[test]
fn residual_terms_are_a_fixture_again() {
    every_family!(residual_terms);
}

// --- stored ----------------------------------------------------------------------------------------------------------

fn stored<A: Arithmetic>(bytes_a_point: usize) {
    let grid = grid(60_000_000, 100_000, 12);
    let points = points::<A>(&grid, echoes);
    let table = table(&points);
    let mut buffer = [0xa5u8; 1024];
    let length = table.store(&mut buffer).unwrap();
    assert_eq!(length, table.stored_bytes());
    // The first step takes a byte more than the others.
    let head = 12 + 4 + if A::FAMILY == Family::F64 { 16 } else { 8 };
    assert_eq!(length, head + 1 + 12 * bytes_a_point);
    let mut room = [CalibrationPoint::EMPTY; 20];
    assert_eq!(CalibrationTable::load(&buffer, &mut room), Ok(table));
    assert_eq!(CalibrationTable::load(&buffer[..length], &mut room), Ok(table));
    // Every damaged bit, every length that is too short, every other family.
    for bit in 0..8 * length {
        let mut damaged = buffer;
        damaged[bit / 8] ^= 1 << (bit % 8);
        assert!(
            CalibrationTable::<A>::load(&damaged[..length], &mut room).is_err(),
            "bit {bit}"
        );
    }
    for short in 0..length {
        assert!(
            CalibrationTable::<A>::load(&buffer[..short], &mut room).is_err(),
            "{short} bytes"
        );
        assert_eq!(table.store(&mut { buffer }[..short]), Err(StoredError::TooShort));
    }
    // Whatever it fails for, the table that is in the buffer stays there, to the bit.
    let longer = self::grid(60_000_000, 100_000, 13);
    let longer = self::points::<A>(&longer, echoes);
    let longer = self::table(&longer);
    for short in 0..longer.stored_bytes() {
        let mut held = buffer;
        assert_eq!(longer.store(&mut held[..short]), Err(StoredError::TooShort));
        assert!(held == buffer, "{short} bytes");
    }
    if A::FAMILY == Family::F32 || A::FAMILY == Family::F64 {
        for power in [Decibels::MAX, Decibels::MIN] {
            let nowhere = CalibrationTable::new(&points, Reference::fifty(), power).unwrap();
            let mut held = buffer;
            assert_eq!(nowhere.store(&mut held), Err(StoredError::Content));
            assert!(held == buffer);
        }
    }
    assert_eq!(
        CalibrationTable::load(&buffer, &mut room[..11]).map(|_: CalibrationTable<'_, A>| ()),
        Err(StoredError::Full)
    );
    let other = if A::FAMILY == Family::Fixed32 {
        CalibrationTable::<Fixed16>::load(&buffer, &mut [CalibrationPoint::EMPTY; 20]).map(|_| ())
    } else {
        CalibrationTable::<Fixed32>::load(&buffer, &mut [CalibrationPoint::EMPTY; 20]).map(|_| ())
    };
    assert_eq!(other, Err(StoredError::OtherFamily));
    // The largest steps there are.
    let far = self::points::<A>(&[Hertz::new(0), Hertz::new(1), Hertz::new(u64::MAX)], |_| {
        echoes(0.0)
    });
    let far = self::table(&far);
    let length = far.store(&mut buffer).unwrap();
    assert_eq!(length, far.stored_bytes());
    assert_eq!(CalibrationTable::load(&buffer[..length], &mut room), Ok(far));
}

#[test]
fn a_stored_table_comes_back_and_a_damaged_one_does_not() {
    stored::<Fixed32>(3 + 24);
    stored::<Fixed16>(3 + 12);
    stored::<f32>(3 + 24);
    stored::<f64>(3 + 48);
}

/// CRC-32 of IEEE 802.3, written anew.
fn checksum(bytes: &[u8]) -> u32 {
    let mut sum = !0u32;
    for byte in bytes {
        for bit in 0..8 {
            let feed = (sum ^ u32::from(byte >> bit)) & 1;
            sum = (sum >> 1) ^ if feed == 1 { 0xedb8_8320 } else { 0 };
        }
    }
    !sum
}

/// A form whose checksum is right and whose content is not: refused as well.
#[test]
fn content_that_is_no_table_is_refused() {
    let points = points::<f32>(&grid(100, 10, 2), echoes);
    let mut buffer = [0u8; 128];
    let length = table(&points).store(&mut buffer).unwrap();
    let load = |change: &dyn Fn(&mut [u8])| {
        let mut bytes = buffer;
        change(&mut bytes[..length]);
        let sum = checksum(&bytes[..length - 4]);
        bytes[length - 4..length].copy_from_slice(&sum.to_le_bytes());
        CalibrationTable::<f32>::load(&bytes, &mut [CalibrationPoint::EMPTY; 4]).map(|_| ())
    };
    assert_eq!(load(&|_| ()), Ok(()));
    // Head 8, power 4, reference 4, count 4; then a step of one byte and 24 of the terms.
    assert_eq!(
        load(&|bytes| bytes[12..16].fill(0)),
        Err(StoredError::Content),
        "no reference"
    );
    assert_eq!(
        load(&|bytes| bytes[16] = 1),
        Err(StoredError::Content),
        "more points than announced"
    );
    assert_eq!(
        load(&|bytes| bytes[16] = 3),
        Err(StoredError::Content),
        "fewer points than announced"
    );
    assert_eq!(
        load(&|bytes| bytes[45] = 0),
        Err(StoredError::Content),
        "a frequency twice"
    );
    assert_eq!(
        load(&|bytes| bytes[21..25].copy_from_slice(&f32::NAN.to_le_bytes())),
        Err(StoredError::Content),
        "NaN"
    );
    assert_eq!(
        load(&|bytes| bytes[21..25].copy_from_slice(&1e9f32.to_le_bytes())),
        Err(StoredError::Content),
        "beyond Γ"
    );
    assert_eq!(
        load(&|bytes| bytes[20..32].fill(0xff)),
        Err(StoredError::Content),
        "a step without an end"
    );
    assert_eq!(load(&|bytes| bytes[2] = 9), Err(StoredError::Version(9)));
}

/// Any words at all: no panic with overflow checks on, and no NaN.
#[test]
fn any_words_at_all() {
    let mut random = Random::new(509);
    for _ in 0..30_000 {
        let mut any = || Reflection::<Fixed32>::from_bits(random.bits() as i32, random.bits() as i32);
        let readings = [(any(), any()), (any(), any()), (any(), any())];
        let _ = ErrorTerms::from_known(&readings);
        let mut fit = LeastSquares::<Fixed32>::new();
        for (known, raw) in readings.into_iter().chain([(any(), any())]) {
            fit.push(known, raw);
            let _ = fit.solve();
        }
        let terms = ErrorTerms {
            directivity: any(),
            source_match: any(),
            tracking: any(),
        };
        let _ = (
            terms.checked_correct(any()),
            terms.distort(any()),
            terms.residual(&readings),
        );
        let polynomial = Polynomial::from_thousandths([random.bits() as i32; 4]);
        let offset = Offset {
            delay: Delay::from_femtoseconds(random.bits() as i64),
            loss: random.bits() as u32,
        };
        for standard in [Standard::<Fixed32>::open(polynomial), Standard::short(polynomial)] {
            let _ = standard.behind(offset).reflection(
                Hertz::new(random.bits() >> (random.bits() % 64)),
                Reference::fifty(),
            );
        }
        let points = [3, 4, 900].map(|hertz| CalibrationPoint {
            frequency: Hertz::new(hertz),
            terms: ErrorTerms {
                directivity: Reflection::<Fixed32>::from_bits(random.bits() as i32, random.bits() as i32),
                source_match: Reflection::<Fixed32>::from_bits(random.bits() as i32, random.bits() as i32),
                tracking: Reflection::<Fixed32>::from_bits(random.bits() as i32, random.bits() as i32),
            },
        });
        let table = table(&points);
        let _ = table.survey();
        let hertz = Hertz::new(3 + random.bits() % 898);
        assert!(
            table.terms_at(hertz).is_ok()
                && table.corrector().correct(hertz, points[0].terms.tracking).is_ok()
        );
    }
    let largest = 1_048_576.0f32;
    let far = [(largest, largest), (-largest, 0.0), (0.0, -largest)]
        .map(|(re, im)| Reflection::<f32>::new(re, im).unwrap());
    for raw in [far, [Reflection::OPEN, Reflection::SHORT, Reflection::MATCHED]] {
        match ErrorTerms::from_known(&[(far[0], raw[0]), (far[1], raw[1]), (far[2], raw[2])]) {
            Ok(terms) => assert!(
                terms_of(&terms)
                    .iter()
                    .all(|term| term.re.is_finite() && term.im.is_finite())
            ),
            Err(cause) => println!("{cause}"),
        }
    }
}

/// What has no word is none, in either part and with either sign; what has one is the same as without the check.
fn beyond_the_word<A: Arithmetic>() {
    for turn in [c(1.0, 0.0), c(-1.0, 0.0), c(0.0, 1.0), c(0.0, -1.0)] {
        // From a tracking of 0.25 the load is four times the reading.
        for (size, is_held) in [
            (0.2, true),
            (0.24, true),
            (0.26, true),
            (0.49, true),
            (0.51, false),
        ] {
            let is_held = is_held || matches!(A::FAMILY, Family::F32 | Family::SoftF32 | Family::F64);
            let terms = terms::<A>([ZERO, ZERO, c(0.25, 0.0)]);
            let raw = word::<A>(turn * c(size, 0.0));
            let checked = terms.checked_correct(raw);
            assert_eq!(checked.is_some(), is_held, "{:?}: {turn:?} {size}", A::FAMILY);
            if let Some(checked) = checked {
                assert!((held(checked) - held(raw) * c(4.0, 0.0)).size() < 1e-3);
            }
        }
    }
}

#[test]
fn a_load_that_has_no_word_is_none() {
    every_family!(beyond_the_word);
    // In a float too there is an end.
    let far = terms::<f64>([ZERO, c(1.0, 0.0), c(1e-9, 0.0)]);
    assert!(
        far.checked_correct(word::<f64>(c(-0.999_999_9e-9, 0.0)))
            .is_none()
    );
}

/// A source that reflects more than it gets is no fixture, from three standards or from more.
fn impossible_source<A: Arithmetic>() {
    for (size, is_possible) in [(0.9, true), (0.99, true), (1.01, false), (1.3, false)] {
        for angle in [0.3, 2.0, -1.2] {
            let fixture = [c(0.01, 0.02), polar(size, angle), c(0.2, 0.1)];
            let loads = [c(0.5, 0.0), c(-0.5, 0.0), ZERO, c(0.0, 0.4)];
            let mut fit = LeastSquares::<A>::new();
            let readings = loads.map(|load| (word::<A>(load), word::<A>(distort(fixture, load))));
            for (load, raw) in readings {
                fit.push(load, raw);
            }
            let solved = fit.solve();
            if is_possible {
                assert!(solved.is_ok(), "{:?} {size}: {solved:?}", A::FAMILY);
            } else {
                assert_eq!(solved, Err(CalibrationError::ImpossibleSourceMatch));
            }
        }
    }
}

#[test]
fn a_source_that_gives_power_is_refused() {
    every_family!(impossible_source);
}
