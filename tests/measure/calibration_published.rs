//! Values of calibration from outside the project: every row of `data/calibration_published.csv`.
//!
//! `f64` must meet the tolerance of the row. The other families must meet it besides what their words allow: the rounding
//! of what goes in and comes out, and the figures that `ErrorTerms::solve` and `Standard::reflection` document.

use crate::common::complex::{C, ONE, ZERO, c};
use crate::common::fixture::{Fixture, distort};
use crate::common::impedances::gamma_held;
use crate::common::published::number_behind;
use crate::common::{Row, Table};
use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::measure::calibration::{
    CalibrationError, Delay, ErrorTerms, Kit, LeastSquares, Offset, Polynomial, Standard, reading_range,
};
use ohmwright::quantity::{
    Decibels, Hertz, Impedance, Inductance, Metres, Ohms, Reference, Reflection, VelocityFactor,
};

fn echo(size: C, hertz: f64, picoseconds: f64) -> C {
    size * C::turn(-core::f64::consts::TAU * hertz * picoseconds * 1e-12)
}

/// How far a Γ, or a term, may be off besides the tolerance of the row.
fn slack<A: Arithmetic>() -> f64 {
    match A::FAMILY {
        Family::F64 => 0.0,
        Family::Fixed32 => 4e-8,
        Family::Fixed16 => 3e-4,
        _ => 4e-6,
    }
}

fn reflection<A: Arithmetic>(gamma: C) -> Result<Reflection<A>, String> {
    Reflection::try_from_f64(gamma.re, gamma.im).map_err(|error| error.to_string())
}

fn pair<A: Arithmetic>(gamma: Reflection<A>) -> Vec<f64> {
    vec![gamma.real().to_f64(), gamma.imaginary().to_f64()]
}

/// The number behind `key` in the inputs.
fn numbers(text: &str) -> Vec<f64> {
    text.split(';')
        .map(|part| part.parse().unwrap_or_else(|_| panic!("{text}")))
        .collect()
}

/// The number of a row.
fn place(row: Row) -> u32 {
    row.text("id")
        .strip_prefix("T5-")
        .expect("an id")
        .parse()
        .expect("a number")
}

/// The fixture of example A.
const EXAMPLE: Fixture = [c(0.021, -0.034), c(0.053, 0.028), c(0.914, -0.127)];

const OPEN: Polynomial = Polynomial::from_thousandths([50_000, -300_000, 20_000, -120]);
const SHORT: Polynomial = Polynomial::from_thousandths([2_000, -100_000, 2_000, -10]);

/// The imperfect standards of the rows.
fn kit<A: Arithmetic>() -> Kit<A> {
    let ohms = Ohms::<A>::try_from_f64(50.4).unwrap();
    let line = |femtoseconds| Offset::lossless(Delay::from_femtoseconds(femtoseconds));
    Kit {
        open: Standard::open(OPEN).behind(line(29_243)),
        short: Standard::short(SHORT).behind(line(31_785)),
        load: Standard::load(ohms, Inductance::from_picohenries(4)).unwrap(),
    }
}

fn imperfect_fixture(hertz: f64) -> Fixture {
    [
        echo(c(0.02, -0.01), hertz, 120.0),
        echo(c(0.06, 0.03), hertz, 80.0),
        echo(c(0.93, 0.0), hertz, 400.0),
    ]
}

/// The fixture found with a kit from readings of these Γ, which are worked out in f64.
fn solved<A: Arithmetic>(
    kit: &Kit<A>,
    fixture: Fixture,
    hertz: f64,
    connected: [C; 3],
) -> Result<ErrorTerms<A>, String> {
    let mut raw = [Reflection::MATCHED; 3];
    for (to, gamma) in raw.iter_mut().zip(connected) {
        *to = reflection(distort(fixture, gamma))?;
    }
    ErrorTerms::solve(kit, Hertz::new(hertz as u64), Reference::fifty(), &raw)
        .map_err(|error| error.to_string())
}

/// What a family answers to a row, and how far that may be off; or why it cannot.
fn answer<A: Arithmetic>(row: Row) -> Result<(Vec<f64>, f64), String> {
    let (inputs, quantity) = (row.text("inputs"), row.text("quantity"));
    let gamma = |gamma: Reflection<A>| Ok((pair(gamma), slack::<A>()));
    let half = |word: f64| if A::FAMILY == Family::F64 { 0.0 } else { word };
    match place(row) {
        // Example A: ideal standards, on one frequency.
        number @ 1..=23 => {
            let connected = if number < 22 {
                [ONE, -ONE, ZERO]
            } else {
                [-ONE, ONE, ZERO]
            };
            let terms = solved::<A>(&Kit::IDEAL, EXAMPLE, 1e6, connected)?;
            match number {
                1..=3 => gamma(terms.distort(
                    [Reflection::OPEN, Reflection::SHORT, Reflection::MATCHED][number as usize - 1],
                )),
                4 => gamma(terms.directivity),
                5 | 23 => gamma(terms.source_match),
                6 | 22 => gamma(terms.tracking),
                8 => gamma(terms.distort(load::<A>(25.0, 0.0))),
                18 => gamma(terms.distort(load::<A>(300.0, -200.0))),
                9 | 13 | 15 | 19 => {
                    let device = numbers(row.text("expected"));
                    gamma(terms.correct(reflection(distort(EXAMPLE, c(device[0], device[1])))?))
                }
                20 => {
                    let loss = terms.directivity.return_loss().to_f64();
                    // 20/ln 10 times the relative error of |Γ|.
                    Ok((
                        vec![loss],
                        half(
                            bound(Readout::ReturnLoss, A::FAMILY).allowance(loss, 1.0) + 217.2 * slack::<A>(),
                        ),
                    ))
                }
                21 => {
                    let swr = terms.directivity.swr().to_f64();
                    Ok((
                        vec![swr],
                        half(bound(Readout::Swr, A::FAMILY).allowance(swr, 1.0) + 2.2 * slack::<A>()),
                    ))
                }
                _ => Err(format!("nobody handles row {}", row.text("id"))),
            }
        }
        27..=81 => {
            let hertz = number_behind(inputs, "; f=");
            let frequency = Hertz::new(hertz as u64);
            let (kit, fifty) = (kit::<A>(), Reference::<A>::fifty());
            let fixture = imperfect_fixture(hertz);
            // What is connected, in f64 (those rows are checked by themselves), with the load as the family holds it.
            let exact = self::kit::<f64>();
            let ohms = Ohms::<A>::try_from_f64(50.4).unwrap().to_f64();
            let load = Standard::load(ohms, Inductance::from_picohenries(4)).unwrap();
            let connected = [exact.open, exact.short, load]
                .map(|standard| gamma_held(standard.reflection(frequency, Reference::fifty())));
            let terms = || solved::<A>(&kit, fixture, hertz, connected);
            // Half a femtofarad or a picohenry is the rounding of the word in fixed point.
            let word = if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) {
                0.5
            } else {
                half(1e-5)
            };
            let unit = if matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16) {
                1.0
            } else {
                1e15
            };
            match quantity {
                "open capacitance C(f)" => {
                    Ok((vec![OPEN.capacitance::<A>(frequency).get().to_f64() * unit], word))
                }
                "short inductance L(f)" => Ok((
                    vec![
                        SHORT.inductance::<A>(frequency).get().to_f64() * unit
                            / if unit == 1.0 { 1.0 } else { 1e3 },
                    ],
                    word,
                )),
                "Gamma of open, with offset" => gamma(kit.open.reflection(frequency, fifty)),
                "Gamma of short, with offset" => gamma(kit.short.reflection(frequency, fifty)),
                // 50.4 Ω is rounded to the word: 1.2e-4 Ω are 1.2e-6 of Γ.
                "Gamma of load" => Ok((
                    pair(kit.load.reflection(frequency, fifty)),
                    slack::<A>() + half(1.3e-6),
                )),
                "raw reading of open" => gamma(terms()?.distort(kit.open.reflection(frequency, fifty))),
                "raw reading of short" => gamma(terms()?.distort(kit.short.reflection(frequency, fifty))),
                "raw reading of load" => Ok((
                    pair(terms()?.distort(kit.load.reflection(frequency, fifty))),
                    slack::<A>() + half(1.3e-6),
                )),
                "recovered e00" => gamma(terms()?.directivity),
                "recovered e11" => gamma(terms()?.source_match),
                "recovered e10e01" => gamma(terms()?.tracking),
                "corrected Gamma of DUT" => {
                    let device = numbers(row.text("expected"));
                    let raw = reflection(distort(fixture, c(device[0], device[1])))?;
                    gamma(terms()?.correct(raw))
                }
                other => Err(format!("nobody handles {other} of row {}", row.text("id"))),
            }
        }
        // The second coefficient in SI, by the change of the capacitance from 0 to 1 GHz.
        83 => {
            let only = Polynomial::try_from_f64([1000.0, -300.0, 0.0, 0.0]).unwrap();
            assert_eq!(only, Polynomial::from_thousandths([1_000_000, -300_000, 0, 0]));
            let fixed = matches!(A::FAMILY, Family::Fixed32 | Family::Fixed16);
            let at = |megahertz| {
                let word = only
                    .capacitance::<A>(Hertz::from_megahertz(megahertz))
                    .get()
                    .to_f64();
                if fixed { word * 1e-15 } else { word }
            };
            let slack = if fixed { 1e-15 / 1e12 } else { half(1.2e-31) };
            let span = 1_000_000;
            let falls = (at(span) - at(0)) / 1e12;
            // The difference of two doubles near 1e-12 F.
            Ok((vec![falls], slack + 1e-39))
        }
        84 => {
            let permittivity: f64 = number_behind(inputs, "er=");
            let metres = number_behind(inputs, "offset length ") / 1e3;
            let delay = Delay::<A>::of_length(
                Metres::<A>::try_from_f64(metres).unwrap(),
                VelocityFactor::<A>::try_from_f64(1.0 / permittivity.sqrt()).unwrap(),
            )
            .unwrap();
            let slack = match A::FAMILY {
                Family::F64 => 0.0,
                // Half a step of 15 µm, and of the factor.
                Family::Fixed32 | Family::Fixed16 => 7.63e-6 / 299.8e-6 + 29.3 * 7.63e-6,
                _ => 1e-5,
            };
            let rounded = delay.femtoseconds() as f64 / 1e3;
            assert!((rounded - delay.to_f64() * 1e12).abs() <= 0.5001e-3);
            Ok((vec![delay.to_f64() * 1e12], slack))
        }
        85 => {
            let standard = Standard::<A>::SHORT.behind(Offset {
                delay: Delay::from_femtoseconds(31_785),
                loss: 2_360,
            });
            Ok((
                pair(standard.reflection(Hertz::from_megahertz(100), Reference::fifty())),
                slack::<A>() + half(6e-8),
            ))
        }
        87..=94 => {
            let word = |key| Decibels::<A>::try_from_f64(number_behind(inputs, key)).unwrap();
            let (low, high) = reading_range::<A>(word("true return loss "), word("effective directivity "));
            let value = if quantity == "worst low reading" {
                low
            } else {
                high
            };
            Ok((vec![value.to_f64()], half(2e-4)))
        }
        97 => {
            let delay = Delay::<A>::from_picoseconds(number_behind(inputs, "one-way ") as i32);
            let measured = reflection::<A>(c(0.3, -0.4))?;
            gamma(delay.nearer_the_load(measured, Hertz::from_megahertz(500)))
        }
        98 => {
            let measured = reflection::<A>(c(0.2, 0.1))?;
            gamma(measured.change_reference(Reference::fifty(), Reference::try_from_f64(75.0).unwrap()))
        }
        _ => Err(format!("nobody handles row {}", row.text("id"))),
    }
}

fn load<A: Arithmetic>(resistance: f64, reactance: f64) -> Reflection<A> {
    Impedance::<A>::try_from_f64(resistance, reactance)
        .unwrap()
        .reflection(Reference::fifty())
}

/// Rows in words.
fn words<A: Arithmetic>(row: Row) {
    let at = |re| Reflection::<A>::try_from_f64(re, 0.0).unwrap();
    match row.text("id") {
        "T5-025" => {
            let twice = [(at(0.9), at(0.8)), (at(0.9), at(0.8)), (at(0.0), at(0.1))];
            assert_eq!(
                ErrorTerms::from_known(&twice),
                Err(CalibrationError::EqualStandards(1, 2))
            );
            let mut fit = LeastSquares::new();
            for (known, raw) in twice.into_iter().chain(twice) {
                fit.push(known, raw);
            }
            assert_eq!(fit.solve(), Err(CalibrationError::Singular));
        }
        // 0.5 + 0.5·(m − 0.25) = 0 at m = −0.75.
        "T5-026" => {
            let terms = ErrorTerms {
                directivity: at(0.25),
                source_match: at(0.5),
                tracking: at(0.5),
            };
            assert_eq!(terms.checked_correct(at(-0.75)), None);
            assert!(terms.checked_correct(at(0.5)).is_some());
        }
        "T5-092" => {
            let forty = Decibels::<A>::try_from_f64(40.0).unwrap();
            assert_eq!(reading_range::<A>(forty, forty).1, Decibels::<A>::MAX);
        }
        other => panic!("nobody handles row {other}"),
    }
}

/// One row in one family; `perturb` stands for a wrong answer in the control test.
fn check<A: Arithmetic>(row: Row, perturb: f64) -> Result<(), String> {
    let (values, slack) = answer::<A>(row)?;
    let wants = numbers(row.text("expected"));
    assert_eq!(wants.len(), values.len(), "{}", row.text("id"));
    let slack = row.number("tolerance") + slack;
    for (got, want) in values.iter().zip(wants) {
        let got = got + perturb * slack;
        if (got - want).abs() > slack || got.is_nan() {
            let id = row.text("id");
            return Err(format!(
                "{id} {:?}: {got:e}, want {want:e}, allowed {slack:e}",
                A::FAMILY
            ));
        }
    }
    Ok(())
}

fn table() -> Table {
    Table::parse(include_str!("../data/calibration_published.csv"))
}

/// Every row belongs here: none is of the detector or of a balanced port. Seven rows rest on the reading of the open at
/// 10 MHz, which is 1.009: every family answers those too.
#[test]
fn every_published_row() {
    let (table, mut rows) = (table(), 0);
    for row in table.rows() {
        rows += 1;
        if row.text("kind") == "text" {
            every_family!(words(row));
        } else {
            every_family!(check(row, 0.0).unwrap());
        }
    }
    assert_eq!(rows, 65);
}

/// Control: an answer that is off by three times what is allowed is noticed in every row.
#[test]
fn a_wrong_answer_is_noticed() {
    let table = table();
    for row in table.rows().filter(|row| row.text("kind") != "text") {
        for off in [3.0, -3.0] {
            let answers = every_family!(check(row, off));
            assert!(answers.iter().all(Result::is_err), "{}", row.text("id"));
        }
    }
}

/// Control: a row that no branch knows is an error.
#[test]
fn an_unknown_row_is_noticed() {
    let text =
        "id,inputs,quantity,unit,expected,tolerance,printed,printed_tol,kind\nT5-999,x,y,1,1,1,,,real\n";
    let table = Table::parse(text);
    let row = table.rows().next().unwrap();
    assert_eq!(
        check::<f64>(row, 0.0),
        Err("nobody handles row T5-999".to_string())
    );
}
