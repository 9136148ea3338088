//! Published values of reflection, SWR, losses and impedance: every row of `data/reflection_published.csv`.
//!
//! `f64` must meet the tolerance of the row. The other families must meet it to the table of bounds, plus what rounding
//! the input to the family costs.

use crate::common::published::number_behind;
use crate::common::{Row, Table, truth, word_within};
use ohmwright::arithmetic::accuracy::{Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::quantity::{Decibels, Impedance, QuantityError, Reference, Reflection, Swr};

/// What a family makes of a row: the numbers, and how far each may be off (0 for `f64`, where the row says it).
struct Answer {
    values: Vec<f64>,
    slack: f64,
}

fn is_double<A: Arithmetic>() -> bool {
    A::FAMILY == f64::FAMILY
}

fn allowed<A: Arithmetic>(readout: Readout, scale: f64, passive: f64) -> f64 {
    if is_double::<A>() {
        0.0
    } else {
        bound(readout, A::FAMILY).allowance(scale, passive)
    }
}

/// `a+bj`, `a-bj`, `a+jb` or `a`.
fn complex(text: &str) -> (f64, f64) {
    let text = text.replace('j', "");
    let split = text[1..].find(['+', '-']).map(|place| place + 1);
    match split {
        Some(place) => (text[..place].parse().unwrap(), text[place..].parse().unwrap()),
        None => (text.parse().unwrap(), 0.0),
    }
}

/// The part behind `key`, up to a comma or a space.
fn part<'a>(text: &'a str, key: &str) -> &'a str {
    let start = text.find(key).unwrap_or_else(|| panic!("{key} in {text}")) + key.len();
    text[start..].split([',', ' ']).next().unwrap()
}

fn reference<A: Arithmetic>(ohms: f64) -> Reference<A> {
    Reference::try_from_f64(ohms).unwrap()
}

fn real<A: Arithmetic>(magnitude: f64) -> Reflection<A> {
    Reflection::try_from_f64(magnitude, 0.0).unwrap()
}

/// The readout as a number, after the table has held it to the oracle's answer for the Γ that the family holds: what the
/// input lost by rounding is not allowed for here.
fn held_to<A: Arithmetic, Q: Quantity>(readout: Readout, got: Q, want: f64, passive: f64) -> f64 {
    word_within(readout, A::FAMILY, got, want, want.abs(), passive).unwrap();
    got.to_f64()
}

/// A readout of a Γ of this magnitude, in the direction where all of them are defined.
fn read<A: Arithmetic>(readout: Readout, magnitude: f64) -> Answer {
    let gamma = real::<A>(magnitude);
    let (exact, held) = (truth(magnitude, 0.0), truth(gamma.real().to_f64(), 0.0));
    let passive = held.passive;
    let (value, exact, held) = match readout {
        Readout::Magnitude => (
            held_to::<A, _>(readout, gamma.magnitude(), held.magnitude, passive),
            exact.magnitude,
            held.magnitude,
        ),
        Readout::Swr => (
            held_to::<A, _>(readout, gamma.swr(), held.swr, passive),
            exact.swr,
            held.swr,
        ),
        Readout::ReturnLoss => (
            held_to::<A, _>(readout, gamma.return_loss(), held.return_loss, passive),
            exact.return_loss,
            held.return_loss,
        ),
        Readout::MismatchLoss => (
            held_to::<A, _>(readout, gamma.mismatch_loss(), held.mismatch_loss, passive),
            exact.mismatch_loss,
            held.mismatch_loss,
        ),
        Readout::ReflectedShare => (
            held_to::<A, _>(readout, gamma.reflected_share(), held.share, passive),
            exact.share,
            held.share,
        ),
        other => panic!("no magnitude decides {other:?}"),
    };
    Answer {
        values: vec![value],
        slack: if is_double::<A>() {
            0.0
        } else {
            allowed::<A>(readout, held.abs(), truth(magnitude, 0.0).passive) + (exact - held).abs()
        },
    }
}

fn from_swr(swr: f64) -> f64 {
    (swr - 1.0) / (swr + 1.0)
}

/// Rows of the form `SWR=…`.
fn swr_row<A: Arithmetic>(row: Row) -> Answer {
    let magnitude = from_swr(number_behind(row.text("inputs"), "SWR="));
    match row.text("quantity") {
        "reflection coefficient magnitude |Gamma|" => {
            // And back again, the direction the crate has a readout for.
            let swr = real::<A>(magnitude).swr().to_f64();
            let want = number_behind(row.text("inputs"), "SWR=");
            let gap = truth(real::<A>(magnitude).real().to_f64(), 0.0).swr - want;
            let slack =
                bound(Readout::Swr, A::FAMILY).allowance(want, 1.0 - magnitude * magnitude) + gap.abs();
            assert!((swr - want).abs() <= slack, "{}: {swr} {want}", row.text("id"));
            read::<A>(Readout::Magnitude, magnitude)
        }
        "return loss (positive)" => read::<A>(Readout::ReturnLoss, magnitude),
        "mismatch loss" => read::<A>(Readout::MismatchLoss, magnitude),
        "reflected power" => scaled(read::<A>(Readout::ReflectedShare, magnitude), 100.0),
        other => panic!("{other}"),
    }
}

fn scaled(answer: Answer, factor: f64) -> Answer {
    Answer {
        values: answer.values.iter().map(|value| value * factor).collect(),
        slack: answer.slack * factor,
    }
}

/// Rows of the form `RL=… dB`.
fn return_loss_row<A: Arithmetic>(row: Row) -> Answer {
    let magnitude = 10f64.powf(-number_behind(row.text("inputs"), "RL=") / 20.0);
    match row.text("quantity") {
        "SWR from return loss" => read::<A>(Readout::Swr, magnitude),
        "|Gamma| from return loss" => {
            let loss = real::<A>(magnitude).return_loss().to_f64();
            let want = number_behind(row.text("inputs"), "RL=");
            let gap = truth(real::<A>(magnitude).real().to_f64(), 0.0).return_loss - want;
            let slack = bound(Readout::ReturnLoss, A::FAMILY).allowance(want, 1.0) + gap.abs() + 1e-14;
            assert!((loss - want).abs() <= slack, "{}: {loss} {want}", row.text("id"));
            read::<A>(Readout::Magnitude, magnitude)
        }
        other => panic!("{other}"),
    }
}

/// Rows of the form `|Gamma|=…`.
fn magnitude_row<A: Arithmetic>(row: Row) -> Answer {
    let magnitude = number_behind(row.text("inputs"), "|Gamma|=");
    match row.text("quantity") {
        "SWR" => read::<A>(Readout::Swr, magnitude),
        "mismatch loss (use ln1p form; naive 1-x*x loses digits)" => {
            read::<A>(Readout::MismatchLoss, magnitude)
        }
        // SWR itself cannot hold these digits: 2|Γ|/(1 − |Γ|) can.
        "SWR-1" => {
            let held = real::<A>(magnitude).magnitude().to_f64();
            let excess = 2.0 * held / (1.0 - held);
            Answer {
                values: vec![excess],
                slack: 2.0 * allowed::<A>(Readout::Magnitude, held, 1.0),
            }
        }
        other => panic!("{other}"),
    }
}

/// An impedance of the row, with its reference: `Z=a+bj ohm, Z0=c` or `Z0=c, ZL=a+jb`.
fn load<A: Arithmetic>(text: &str) -> (Impedance<A>, Reference<A>) {
    let z = if text.starts_with("Z0=") {
        part(text, "ZL=")
    } else {
        part(text, "Z=")
    };
    let (resistance, reactance) = complex(z);
    (
        Impedance::try_from_f64(resistance, reactance).unwrap(),
        reference(number_behind(text, "Z0=")),
    )
}

/// Rows that start from an impedance: Γ first, then the readout, whose slack includes that of Γ.
fn impedance_row<A: Arithmetic>(row: Row) -> Answer {
    let (z, z0) = load::<A>(row.text("inputs"));
    let gamma = z.reflection(z0);
    let (re, im) = (gamma.real().to_f64(), gamma.imaginary().to_f64());
    let (z, z0) = (
        (z.resistance().to_f64(), z.reactance().to_f64()),
        z0.ohms().to_f64(),
    );
    let (exact_re, exact_im) = crate::common::wave_truth(z, (z0, 0.0));
    let (exact, held) = (truth(exact_re, exact_im), truth(re, im));
    // What the word of ohms lost of the input (49.9 Ω is not a binary fraction).
    let asked = complex(if row.text("inputs").starts_with("Z0=") {
        part(row.text("inputs"), "ZL=")
    } else {
        part(row.text("inputs"), "Z=")
    });
    let (asked_re, asked_im) = crate::common::wave_truth(asked, (z0, 0.0));
    let asked = truth(asked_re, asked_im);
    let component = allowed::<A>(Readout::Reflection, exact.magnitude, 1.0);
    let answer = |values, slack| Answer {
        values,
        slack: if is_double::<A>() { 0.0 } else { slack },
    };
    match row.text("quantity") {
        "Gamma" | "Gamma, VOLTAGE convention (ZL-Z0)/(ZL+Z0)" => answer(
            vec![re, im],
            component + (asked_re - exact_re).hypot(asked_im - exact_im),
        ),
        "|Gamma|" => answer(
            vec![gamma.magnitude().to_f64()],
            1.5 * component
                + allowed::<A>(Readout::Magnitude, 1.0, 1.0)
                + (asked.magnitude - exact.magnitude).abs(),
        ),
        "SWR" => answer(
            vec![gamma.swr().to_f64()],
            allowed::<A>(Readout::Swr, held.swr, held.passive) + (held.swr - asked.swr).abs(),
        ),
        "return loss" => answer(
            vec![gamma.return_loss().to_f64()],
            allowed::<A>(Readout::ReturnLoss, held.return_loss, 1.0)
                + (held.return_loss - asked.return_loss).abs(),
        ),
        "return loss as IEV text defines (-20 lg|r|)" => answer(
            vec![gamma.return_loss().to_f64()],
            allowed::<A>(Readout::ReturnLoss, held.return_loss, 1.0)
                + (held.return_loss - asked.return_loss).abs(),
        ),
        other => panic!("{other}"),
    }
}

/// A Γ given by magnitude and degrees.
fn polar<A: Arithmetic>(magnitude: f64, degrees: f64) -> Reflection<A> {
    let angle = degrees.to_radians();
    Reflection::try_from_f64(magnitude * angle.cos(), magnitude * angle.sin()).unwrap()
}

/// Z of a Γ, as two numbers.
fn impedance_answer<A: Arithmetic>(gamma: Reflection<A>, ohms: f64, divisor: f64) -> Answer {
    let z = gamma.impedance(reference(ohms));
    let (re, im) = (gamma.real().to_f64(), gamma.imaginary().to_f64());
    let size = crate::common::impedance_truth(re, im, ohms).2;
    // Γ was rounded to the family, both of its parts: |dZ| = 2·Z0·|dΓ|/|1 − Γ|².
    let step = if is_double::<A>() {
        0.0
    } else {
        bound(Readout::Magnitude, A::FAMILY).allowance(1.0, 1.0) * 2f64.sqrt()
    };
    let rounded = 2.0 * ohms * step / ((1.0 - re) * (1.0 - re) + im * im);
    Answer {
        values: vec![
            z.resistance().to_f64() / divisor,
            z.reactance().to_f64() / divisor,
        ],
        slack: (allowed::<A>(Readout::Resistance, size, 1.0) + rounded) / divisor,
    }
}

/// What a family answers to a numeric row. A row nobody handles fails.
fn answer<A: Arithmetic>(row: Row) -> Answer {
    let inputs = row.text("inputs");
    match row.text("id") {
        id if numbered(id, 1, 136) => swr_row::<A>(row),
        id if numbered(id, 241, 280) => return_loss_row::<A>(row),
        id if numbered(id, 282, 294) => magnitude_row::<A>(row),
        // SWR from forward and reflected power: |Γ| = √(Pr/Pf).
        "T1-306" | "T1-308" => {
            let share = number_behind(inputs, "Prefl=") / number_behind(inputs, "Pfwd=");
            read::<A>(Readout::Swr, share.sqrt())
        }
        "T1-309" => {
            let magnitude = from_swr(number_behind(inputs, "SWR="));
            scaled(
                read::<A>(Readout::ReflectedShare, magnitude),
                number_behind(inputs, "Pinc="),
            )
        }
        "T1-310" | "T1-311" | "T1-312" => impedance_row::<A>(row),
        // The source's own coefficient is of currents: −Γ of voltages, half a turn away.
        "T1-313" => {
            let current = polar::<A>(number_behind(inputs, "rho_I="), -120.0);
            let turned =
                Reflection::<A>::try_from_f64(-current.real().to_f64(), -current.imaginary().to_f64());
            impedance_answer(turned.unwrap(), number_behind(inputs, "Z0="), 1.0)
        }
        "T1-314" => impedance_answer(
            polar::<A>(number_behind(inputs, "Gamma="), 60.0),
            number_behind(inputs, "Z0="),
            1.0,
        ),
        // Normalised: against 50 Ω, and divided by it.
        "T1-315" => impedance_answer(polar::<A>(0.4, -30.0), 50.0, 50.0),
        "T1-316" => impedance_answer(polar::<A>(0.2, 45.0), 50.0, 50.0),
        "T1-317" => {
            // y = 1/z, with a reference of 1 Ω.
            let z0 = reference::<A>(1.0);
            let z = polar::<A>(0.2, 45.0).impedance(z0);
            let y = z.admittance();
            let step = allowed::<A>(Readout::Resistance, 1.4, 1.0)
                + allowed::<A>(Readout::Reflection, 0.2, 1.0) * 4.0;
            Answer {
                values: vec![y.conductance().to_f64(), y.susceptance().to_f64()],
                slack: step + allowed::<A>(Readout::Conductance, 0.8, 1.0),
            }
        }
        id if numbered(id, 318, 377) => impedance_row::<A>(row),
        // 20·lg(1 − r1·r2) = −(return loss of a Γ of 1 − r1·r2).
        "T1-379" | "T1-385" | "T1-388" => {
            let source = real::<A>(from_swr(number_behind(inputs, "source SWR=")));
            let load = real::<A>(from_swr(number_behind(inputs, "load SWR=")));
            let product = source.magnitude().to_f64() * load.magnitude().to_f64();
            let mut answer = scaled(read::<A>(Readout::ReturnLoss, 1.0 - product), -1.0);
            answer.slack = answer.slack.abs() + 9.0 * allowed::<A>(Readout::Magnitude, 1.0, 1.0);
            answer
        }
        // The largest SWR of two mismatches is the product of both.
        "T1-380" | "T1-386" | "T1-389" => {
            let first = read::<A>(Readout::Swr, from_swr(number_behind(inputs, "SWR ")));
            let second = read::<A>(Readout::Swr, from_swr(number_behind(inputs, "mismatch SWR ")));
            Answer {
                values: vec![first.values[0] * second.values[0]],
                slack: first.slack * second.values[0] + second.slack * first.values[0],
            }
        }
        // (1 − |Γs|²)(1 − |Γl|²)/|1 − Γs·Γl|², and the same by resistances.
        "T1-390" | "T1-391" => {
            let source = Reflection::<A>::try_from_f64(0.3, 0.2).unwrap();
            let load = Reflection::<A>::try_from_f64(-0.1, 0.4).unwrap();
            let slack = 20.0 * allowed::<A>(Readout::Magnitude, 1.0, 1.0)
                + 4.0 * allowed::<A>(Readout::Reflection, 1.0, 1.0);
            if row.text("id") == "T1-390" {
                let (a, b) = (source.real().to_f64(), source.imaginary().to_f64());
                let (c, d) = (load.real().to_f64(), load.imaginary().to_f64());
                let below = (1.0 - (a * c - b * d)).hypot(a * d + b * c);
                let passed = |gamma: Reflection<A>| 1.0 - gamma.reflected_share().to_f64();
                Answer {
                    values: vec![passed(source) * passed(load) / (below * below)],
                    slack,
                }
            } else {
                let z0 = Reference::fifty();
                let (zs, zl) = (source.impedance(z0), load.impedance(z0));
                let step = allowed::<A>(Readout::Resistance, 80.0, 1.0) / 25.0;
                Answer {
                    values: vec![zl.share_taken_from(zs).unwrap().to_f64()],
                    slack: slack + step,
                }
            }
        }
        "T1-398" => {
            let z = Impedance::<A>::try_from_f64(number_behind(inputs, "Z="), 0.0).unwrap();
            let gamma = z.reflection(reference(number_behind(inputs, "Z'=")));
            let want = truth(1.0 / 3.0, 0.0).return_loss;
            Answer {
                values: vec![gamma.return_loss().to_f64()],
                slack: allowed::<A>(Readout::ReturnLoss, want, 1.0)
                    + 30.0 * allowed::<A>(Readout::Reflection, 0.3, 1.0),
            }
        }
        other => panic!("nobody handles row {other}"),
    }
}

fn numbered(id: &str, first: u32, last: u32) -> bool {
    let number: u32 = id.strip_prefix("T1-").expect("an id").parse().expect("a number");
    (first..=last).contains(&number)
}

/// What a family answers to a row in words. A row nobody handles fails.
fn words<A: Arithmetic>(row: Row) {
    let half = Reflection::<A>::try_from_f64(0.5, 0.0).unwrap();
    // 1.2 in a direction that every word holds.
    let active = Reflection::<A>::try_from_f64(-0.72, 0.96).unwrap();
    let active_truth = truth(active.real().to_f64(), active.imaginary().to_f64());
    match row.text("id") {
        "T1-295" => assert_eq!(Reflection::<A>::MATCHED.return_loss(), Decibels::<A>::MAX),
        "T1-296" => assert_eq!(Reflection::<A>::MATCHED.swr().to_f64(), 1.0),
        "T1-300" => {
            let want = number_behind(row.text("expected"), "negative: ");
            let slack = bound(Readout::ReturnLoss, A::FAMILY).allowance(want.abs(), 1.0)
                + (active_truth.return_loss - want).abs();
            assert!(
                (active_truth.return_loss - want).abs() < 3e-4,
                "a Γ of 1.2 is wanted"
            );
            assert!((active.return_loss().to_f64() - want).abs() <= slack);
            assert!(active.is_total() && active.is_active());
            assert_eq!(active.swr(), Swr::<A>::MAX);
            assert_eq!(active.mismatch_loss(), Decibels::<A>::MAX);
        }
        // No readout gives an SWR below 1, and the error for one that is put in says so.
        "T1-301" => {
            let inverted = real::<A>(from_swr(number_behind(row.text("inputs"), "SWR=")));
            assert!(inverted.swr().to_f64() >= 1.0);
            assert_eq!(
                QuantityError::BelowOne("SWR").to_string(),
                "SWR must be at least 1"
            );
        }
        "T1-303" => assert_eq!(
            Impedance::<A>::SHORT.reflection(Reference::fifty()),
            Reflection::SHORT
        ),
        "T1-304" => assert_eq!(
            Impedance::<A>::OPEN.reflection(Reference::fifty()),
            Reflection::OPEN
        ),
        // −20 lg of the magnitude, positive for a passive load; 10 lg of a ratio of powers.
        "T1-392" | "T1-393" | "T1-394" => {
            let loss = half.return_loss().to_f64();
            let slack = bound(Readout::ReturnLoss, A::FAMILY).allowance(loss, 1.0);
            assert!(loss > 0.0);
            assert!((loss + 20.0 * half.magnitude().to_f64().log10()).abs() <= slack);
            assert!((loss + 10.0 * half.reflected_share().to_f64().log10()).abs() <= slack);
        }
        // A ratio of voltages: at SWR 2 a ninth of the power comes back.
        "T1-395" => {
            let swr = read::<A>(Readout::Swr, 1.0 / 3.0);
            assert!((swr.values[0] - 2.0).abs() <= swr.slack.max(1e-14));
            let share = read::<A>(Readout::ReflectedShare, 1.0 / 3.0);
            assert!((share.values[0] - 1.0 / 9.0).abs() <= share.slack.max(1e-15));
            word_within(Readout::Swr, A::FAMILY, half.swr(), 3.0, 3.0, 0.75).unwrap();
        }
        // Against a matched load, positive: none at the match although no conjugate is involved.
        "T1-396" => {
            assert_eq!(Reflection::<A>::MATCHED.mismatch_loss().to_f64(), 0.0);
            let want = -10.0 * 0.75f64.log10();
            let slack = bound(Readout::MismatchLoss, A::FAMILY).allowance(want, 0.75);
            assert!((half.mismatch_loss().to_f64() - want).abs() <= slack);
        }
        "T1-397" => assert!(active.return_loss().to_f64() < 0.0),
        other => panic!("nobody handles row {other}"),
    }
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(';')
        .map(|part| part.parse().unwrap_or_else(|_| panic!("{text}")))
        .collect()
}

/// One row in one family; `perturb` stands for a wrong answer in the control test.
fn check<A: Arithmetic>(row: Row, perturb: f64) -> Result<(), String> {
    let answer = answer::<A>(row);
    let complain = |column: &str, got: f64, want: f64, slack: f64| {
        let id = row.text("id");
        Err(format!(
            "{id} {:?} {column}: {got:e}, want {want:e}, allowed {slack:e}",
            A::FAMILY
        ))
    };
    for (column, tolerance) in [("expected", "tolerance"), ("printed", "printed_tol")] {
        if row.text(column).is_empty() {
            continue;
        }
        let wants = numbers(row.text(column));
        assert_eq!(wants.len(), answer.values.len(), "{}", row.text("id"));
        for (got, want) in answer.values.iter().zip(wants) {
            let slack = row.number(tolerance) + answer.slack;
            // A tolerance of the table is exactly zero where the value is.
            let got = got + perturb * (slack + f64::MIN_POSITIVE);
            if (got - want).abs() > slack || got.is_nan() {
                return complain(column, got, want, slack);
            }
        }
    }
    Ok(())
}

fn table() -> Table {
    Table::parse(include_str!("../data/reflection_published.csv"))
}

#[test]
fn every_published_row() {
    let table = table();
    let mut rows = 0;
    for row in table.rows() {
        rows += 1;
        if row.text("kind") == "text" {
            every_family!(words(row));
        } else {
            every_family!(check(row, 0.0).unwrap());
        }
    }
    assert_eq!(rows, 201);
}

/// Control: an answer that is off by three times what is allowed is noticed in every row.
#[test]
fn a_wrong_answer_is_noticed() {
    let table = table();
    for row in table.rows().filter(|row| row.text("kind") != "text") {
        for off in [3.0, -3.0] {
            every_family!(check(row, off).expect_err(row.text("id")));
        }
    }
}

/// Control: a row that no branch knows is an error.
#[test]
#[should_panic(expected = "nobody handles row T1-999")]
fn an_unknown_row_is_noticed() {
    let text =
        "id,inputs,quantity,unit,expected,tolerance,printed,printed_tol,kind\nT1-999,x,y,1,1,1,,,real\n";
    let table = Table::parse(text);
    let row = table.rows().next().unwrap();
    let _ = check::<f64>(row, 0.0);
}
