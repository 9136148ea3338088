//! Measured against predicted: differences against an oracle in doubles, and each wrong parameter found, with noise and
//! without, by the library and by the program. All circuits are invented.

use crate::common::Random;
use crate::common::complex::{C, c};
use crate::common::impedances::{gamma_of, gamma_word, henries};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::measure::{Change, PredictionCheck, PredictionReport, Suspect};
use ohmwright::quantity::{Component, Hertz, QuantityError, Ratio, Reference, Reflection};

type Pairs<A> = Vec<(Hertz, Reflection<A>, Reflection<A>)>;

/// Half a step of a component of Γ.
fn step<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::Fixed16 => 3.1e-5,
        Family::Fixed32 => 5e-10,
        Family::F32 | Family::SoftF32 => 6e-8,
        _ => 1e-16,
    }
}

/// What is wrong with a prediction, in the units of its kind (a factor, henries, metres).
#[derive(Clone, Copy, Debug)]
struct Wrong {
    suspect: Suspect,
    by: f64,
}

/// A series resonance near 71 MHz with what is wrong, from 60 to 82 MHz.
fn pairs<A: Arithmetic>(resistance: f64, wrong: &[Wrong], sigma: f64, random: &mut Random) -> Pairs<A> {
    (0..111)
        .map(|step| {
            let f = 60e6 + 0.2e6 * f64::from(step);
            let w = core::f64::consts::TAU * f;
            let plain = c(resistance, w * 0.4e-6 - 1.0 / (w * 12.56e-12));
            let mut z = plain;
            let mut turned = 0.0;
            for wrong in wrong {
                match wrong.suspect {
                    Suspect::Ratio => z = z.times(wrong.by),
                    Suspect::Leakage => z.im += w * wrong.by,
                    Suspect::LineLength => turned -= 2.0 * w * wrong.by / 299_792_458.0,
                    other => unreachable!("{other}"),
                }
            }
            let gamma = gamma_of(z, 50.0) * C::turn(turned);
            let noisy = gamma + c(random.normal(), random.normal()).times(sigma);
            (
                Hertz::new(f as u64),
                gamma_word(noisy),
                gamma_word(gamma_of(plain, 50.0)),
            )
        })
        .collect()
}

/// The change as a number with a sign.
fn amount<A: Arithmetic>(change: Change<A>) -> f64 {
    match change {
        Change::TimesImpedance(times) => times.to_f64(),
        Change::MoreInductance(inductance) => henries(inductance),
        Change::LessInductance(inductance) => -henries(inductance),
        Change::LongerLine(metres) => metres.to_f64(),
        Change::ShorterLine(metres) => -metres.to_f64(),
        other => unreachable!("{other:?}"),
    }
}

/// The report names what is wrong, and by how much; `within` in the units of its kind.
fn names<A: Arithmetic>(
    report: &PredictionReport<A>,
    wrong: Wrong,
    within: f64,
    residual: f64,
    slack: f64,
) -> Result<(), String> {
    let best = report.best();
    if best.suspect != wrong.suspect {
        return Err(format!("{wrong:?}: {best:?}"));
    }
    let got = amount::<A>(best.change);
    if (got - wrong.by).abs() > within {
        return Err(format!("{wrong:?}: got {got:e}, allowed {within:e}"));
    }
    if (best.residual.to_f64() - residual).abs() > slack {
        return Err(format!(
            "{wrong:?}: residual {}, want {residual}",
            best.residual.to_f64()
        ));
    }
    let rest = report.root_mean_square.to_f64();
    let share = 1.0 - (best.residual.to_f64() / rest).powi(2);
    // What a step of the words hides of the two.
    if (best.share.to_f64() - share).abs() > 1e-5 + 8.0 * step::<A>() / rest {
        return Err(format!("{wrong:?}: share {}, want {share}", best.share.to_f64()));
    }
    // The others explain less.
    for other in report.explanations() {
        if other.suspect != best.suspect && other.residual < best.residual {
            return Err(format!("{other:?} is better"));
        }
    }
    Ok(())
}

#[test]
fn each_wrong_parameter_is_found() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(71);
        for round in 0..30 {
            let resistance = random.between(30.0, 90.0);
            for wrong in [
                Wrong {
                    suspect: Suspect::Ratio,
                    by: random.between(0.7, 1.5),
                },
                Wrong {
                    suspect: Suspect::Leakage,
                    by: random.between(-30e-9, 30e-9),
                },
                Wrong {
                    suspect: Suspect::LineLength,
                    by: random.between(-0.25, 0.25),
                },
            ] {
                let small = match wrong.suspect {
                    Suspect::Ratio => (wrong.by - 1.0).abs() < 0.05,
                    Suspect::Leakage => wrong.by.abs() < 2e-9,
                    Suspect::LineLength => wrong.by.abs() < 0.02,
                    other => unreachable!("{other}"),
                };
                if small {
                    continue;
                }
                for sigma in [0.0, 1e-3] {
                    let pairs = pairs::<A>(resistance, &[wrong], sigma, &mut random);
                    let report = PredictionCheck::sweep(Reference::fifty(), pairs.iter().copied())
                        .unwrap()
                        .unwrap();
                    // 222 numbers for one parameter. Γ moves by some 0.3 for a ratio of e, 0.3 for a microhenry·ω/50, and
                    // by 2·2π for a wave; less where |Γ| is small.
                    let one = match wrong.suspect {
                        Suspect::Ratio => 1.0,
                        Suspect::Leakage => 50.0 / (core::f64::consts::TAU * 71e6),
                        Suspect::LineLength => 1.0,
                        other => unreachable!("{other}"),
                    };
                    let rounding = if A::FAMILY == Family::Fixed32 { 8e-6 } else { 0.0 };
                    let rounding = match wrong.suspect {
                        Suspect::Leakage => 1e-12,
                        _ => rounding + 1e-6,
                    };
                    let spread = sigma.hypot(step::<A>());
                    let within = one * 1.5 * spread + rounding + 1e-5 * wrong.by.abs();
                    let residual = sigma * 2f64.sqrt();
                    names::<A>(
                        &report,
                        wrong,
                        within,
                        residual,
                        0.2 * residual + 4.0 * step::<A>(),
                    )
                    .unwrap_or_else(|error| panic!("{:?}, {round}, {sigma}: {error}", A::FAMILY));
                    if sigma == 0.0 {
                        assert!(report.best().settled, "{wrong:?}");
                    }
                }
            }
        }
    }
    every_family!(check);
}

#[test]
fn the_checker_of_names_can_fail() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(72);
        let wrong = Wrong {
            suspect: Suspect::Leakage,
            by: 10e-9,
        };
        let pairs_of = pairs::<A>(60.0, &[wrong], 0.0, &mut random);
        let report = PredictionCheck::sweep(Reference::fifty(), pairs_of.iter().copied())
            .unwrap()
            .unwrap();
        let slack = 4.0 * step::<A>();
        names::<A>(&report, wrong, 1e-10, 0.0, slack).unwrap();
        let other = Wrong { by: 10.5e-9, ..wrong };
        names::<A>(&report, other, 1e-10, 0.0, slack).unwrap_err();
        let other = Wrong {
            suspect: Suspect::Ratio,
            by: 1.2,
        };
        names::<A>(&report, other, 10.0, 0.0, slack).unwrap_err();
        names::<A>(&report, wrong, 1e-10, 0.01, slack).unwrap_err();
        // Two things wrong at once: neither explains all.
        let two = [
            wrong,
            Wrong {
                suspect: Suspect::Ratio,
                by: 1.15,
            },
        ];
        let pairs_of = pairs::<A>(60.0, &two, 0.0, &mut random);
        let report = PredictionCheck::sweep(Reference::fifty(), pairs_of.iter().copied())
            .unwrap()
            .unwrap();
        assert!(report.best().share.to_f64() < 0.95, "{:?}", report.best());
    }
    every_family!(check);
}

/// Lengths of line of more than a wave, at several frequencies and spans; each load is an invented resonance. The share
/// where the line is named, with its length; the best start alone is not enough.
#[test]
fn a_long_line_is_found_as_a_rate() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(75);
        let (mut named, mut all, mut worst) = (0, 0, 0f64);
        for centre in [71e6, 433e6, 868e6] {
            for round in 0..40 {
                let span = centre * random.between(0.04, 0.5);
                let wave = 299_792_458.0 / (centre + span / 2.0);
                // The one that is on record first.
                let metres = match round {
                    0 if centre == 433e6 => 0.45,
                    _ => wave * random.between(-1.9, 1.9),
                };
                let (resistance, q) = (random.between(20.0, 120.0), random.between(3.0, 20.0));
                let pairs: Pairs<A> = (0..101)
                    .map(|step| {
                        let f = centre + span * (f64::from(step) / 100.0 - 0.5);
                        let z = c(resistance, resistance * q * (f / centre - centre / f));
                        let plain = gamma_of(z, 50.0);
                        let turned = -2.0 * core::f64::consts::TAU * f.round() * metres / 299_792_458.0;
                        let noise = c(random.normal(), random.normal()).times(1e-3);
                        let seen = plain * C::turn(turned) + noise;
                        (Hertz::new(f.round() as u64), gamma_word(seen), gamma_word(plain))
                    })
                    .collect();
                let report = PredictionCheck::sweep(Reference::fifty(), pairs.iter().copied())
                    .unwrap()
                    .unwrap();
                let best = report.best();
                let error = (amount::<A>(best.change) - metres).abs() / wave;
                let is_named = best.suspect == Suspect::LineLength && error < 0.01;
                if is_named {
                    worst = worst.max(error);
                }
                assert!(is_named || metres != 0.45, "{best:?}");
                named += usize::from(is_named);
                all += 1;
            }
        }
        println!("{named} of {all} lines are named, within {worst:.5} of a wave");
        assert_eq!(named, all);
    }
    every_family!(check);
}

/// Largest and mean difference, by doubles.
#[test]
fn differences() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(73);
        for _ in 0..200 {
            let count = 1 + random.bits() % 30;
            let mut gamma = || {
                let (re, im) = (random.between(-0.7, 0.7), random.between(-0.7, 0.7));
                Reflection::<A>::try_from_f64(re, im).unwrap()
            };
            let pairs: Pairs<A> = (1..=count)
                .map(|f| (Hertz::from_megahertz(f as u32), gamma(), gamma()))
                .collect();
            let sizes: Vec<f64> = pairs
                .iter()
                .map(|(_, a, b)| {
                    let re = a.real().to_f64() - b.real().to_f64();
                    re.hypot(a.imaginary().to_f64() - b.imaginary().to_f64())
                })
                .collect();
            let mut check = PredictionCheck::new(Reference::fifty());
            for (f, measured, predicted) in &pairs {
                check.push(*f, *measured, *predicted).unwrap();
            }
            let report = check.report().unwrap();
            let top = Component::<A>::MAX.to_f64();
            let single = matches!(A::FAMILY, Family::F32 | Family::SoftF32);
            let slack = 2.0 * step::<A>() + if single { 1e-6 } else { 1e-8 };
            let close = |got: Component<A>, want: f64| (got.to_f64() - want.min(top)).abs() <= slack;
            let largest = sizes.iter().copied().fold(0.0, f64::max);
            assert!(close(report.largest, largest));
            let place = sizes.iter().position(|size| *size == largest).unwrap();
            assert_eq!(report.largest_at, pairs[place].0);
            assert!(close(report.mean, sizes.iter().sum::<f64>() / count as f64));
            let square = sizes.iter().map(|size| size * size).sum::<f64>() / count as f64;
            assert!(close(report.root_mean_square, square.sqrt()));
            assert_eq!(u64::from(report.points), count);
            // Each explanation leaves no more than there was.
            for explanation in report.explanations() {
                assert!(explanation.residual.to_f64() <= report.root_mean_square.to_f64() + slack);
            }
            // Whole sweeps do not do worse than one pass promised truly.
            let settled = PredictionCheck::sweep(Reference::fifty(), pairs.iter().copied())
                .unwrap()
                .unwrap();
            assert!(settled.best().residual.to_f64() <= report.root_mean_square.to_f64() + slack);
            assert_eq!(settled.largest, report.largest);
        }
    }
    every_family!(check);
}

/// Pass by pass, as a device would do it, comes to the same as all passes over a list.
#[test]
fn pass_by_pass() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(74);
        let wrong = Wrong {
            suspect: Suspect::LineLength,
            by: 0.3,
        };
        let pairs_of = pairs::<A>(40.0, &[wrong], 0.0, &mut random);
        let mut check = PredictionCheck::new(Reference::fifty());
        let mut first = f64::NAN;
        for pass in 0..24 {
            for (f, measured, predicted) in &pairs_of {
                check.push(*f, *measured, *predicted).unwrap();
            }
            let report = check.report().unwrap();
            if pass == 0 {
                first = amount::<A>(report.best().change);
            }
            if report.explanations().iter().all(|one| one.settled) {
                break;
            }
            check = check.again(&report);
        }
        let by_hand = check.report().unwrap();
        let all = PredictionCheck::sweep(Reference::fifty(), pairs_of.iter().copied())
            .unwrap()
            .unwrap();
        assert_eq!(by_hand, all);
        // One pass alone was not enough here.
        let last = amount::<A>(all.best().change);
        assert!(
            (last - 0.3).abs() < 1e-3 && (first - 0.3).abs() > 1e-3,
            "{first} {last}"
        );
    }
    every_family!(check);
}

/// At one frequency, however often it was read, something comes near: that explains nothing.
#[test]
fn one_frequency_explains_nothing() {
    fn check<A: Arithmetic>() {
        let gamma = |re: f64, im: f64| Reflection::<A>::try_from_f64(re, im).unwrap();
        let one = (Hertz::from_megahertz(71), gamma(0.25, 0.15), gamma(0.2, 0.1));
        let other = (Hertz::from_megahertz(72), gamma(0.2, 0.1), gamma(0.15, 0.05));
        for (pairs, explains) in [
            (vec![one], false),
            (vec![one; 5], false),
            (vec![one, one, other], true),
        ] {
            let report = PredictionCheck::sweep(Reference::fifty(), pairs.iter().copied())
                .unwrap()
                .unwrap();
            assert!(report.best().share > Ratio::<A>::ZERO);
            assert_eq!(report.explained(), explains.then(|| report.best()));
        }
    }
    every_family!(check);
}

#[test]
fn nothing_and_no_difference() {
    fn check<A: Arithmetic>() {
        let mut check = PredictionCheck::<A>::new(Reference::fifty());
        assert_eq!(check.report(), None);
        let gamma = Reflection::<A>::try_from_f64(0.3, -0.2).unwrap();
        assert_eq!(
            check.push(Hertz::new(0), gamma, gamma),
            Err(QuantityError::NotPositive("frequency"))
        );
        assert_eq!(check.report(), None);
        for f in 1..5 {
            check.push(Hertz::new(f), gamma, gamma).unwrap();
        }
        let report = check.report().unwrap();
        assert_eq!(report.largest, Component::<A>::ZERO);
        assert_eq!(report.best().share, Ratio::<A>::ZERO);
        assert_eq!(report.explained(), None);
        assert!(
            report
                .explanations()
                .iter()
                .all(|one| one.settled || one.residual == Component::<A>::ZERO)
        );
        // Opens and shorts are values: everything comes out as a number.
        let mut check = PredictionCheck::<A>::new(Reference::fifty());
        for (f, (measured, predicted)) in [
            (Reflection::OPEN, Reflection::SHORT),
            (Reflection::SHORT, Reflection::OPEN),
            (Reflection::OPEN, Reflection::OPEN),
        ]
        .into_iter()
        .enumerate()
        {
            check.push(Hertz::new(f as u64 + 1), measured, predicted).unwrap();
        }
        // A unit of 1 Hz and the largest frequency there is.
        check
            .push(Hertz::new(u64::MAX), gamma, Reflection::SHORT)
            .unwrap();
        for explanation in check.report().unwrap().explanations() {
            assert!(!explanation.residual.to_f64().is_nan() && !amount::<A>(explanation.change).is_nan());
        }
    }
    every_family!(check);
}

/// Sweeps that no explanation fits: whatever is tried, none is given that is worse than no change at all.
#[test]
fn no_explanation_is_worse_than_none() {
    fn of<A: Arithmetic>() {
        let mut random = Random::new(91);
        let mut explained = 0;
        for _ in 0..150 {
            let mut gamma = |size: f64| {
                let (radius, angle) = (random.between(0.0, size), random.between(-3.2, 3.2));
                c(radius * angle.cos(), radius * angle.sin())
            };
            let (a, b, d) = (gamma(0.95), gamma(0.95), gamma(0.4));
            let (turns, other) = (gamma(9.0).re, gamma(9.0).re);
            let pairs: Pairs<A> = (0..31)
                .map(|step| {
                    let share = f64::from(step) / 31.0;
                    (
                        Hertz::new(60_000_000 + 700_000 * step as u64),
                        gamma_word(a * C::turn(turns * share)),
                        gamma_word(b * C::turn(other * share) + d.times(0.1)),
                    )
                })
                .collect();
            let report = PredictionCheck::sweep(Reference::fifty(), pairs.iter().copied())
                .unwrap()
                .unwrap();
            let whole = report.root_mean_square.to_f64();
            for explanation in report.explanations() {
                let left = explanation.residual.to_f64();
                assert!(
                    left <= whole * (1.0 + 1e-6) + 2.0 * step::<A>(),
                    "{:?}: {:?} leaves {left} of {whole}",
                    A::FAMILY,
                    explanation.suspect
                );
                explained += u32::from(left < 0.9 * whole);
            }
        }
        assert!(explained > 30, "{explained}");
    }
    of::<f64>();
    of::<f32>();
    of::<ohmwright::arithmetic::Fixed32>();
}
