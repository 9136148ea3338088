//! Advice: every row of `data/trade_published.csv`, facts of the trade, and the laws of retuning, of comparing readings
//! and of the diagnosis. All loads are invented.

use crate::common::complex::c;
use crate::common::impedances::{ohms, swr_by_distance};
use crate::common::law::near;
use crate::common::{Random, Row, Table, allowance, impedance_truth, is_fixed};
use ohmwright::arithmetic::accuracy::{Family, Readout};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::design::transformer::{
    CancellingPart, MagnitudeRule, TransformerError, Turns, TurnsChoice, wanted_impedance_ratio,
};
use ohmwright::measure::{
    Agreement, Cause, Diagnosis, Direction, Printed, Reading, ReadingError, Retune, TuningElement,
    compare_readings, reactance_beside, swr_interval,
};
use ohmwright::quantity::{
    Component, Hertz, Impedance, Ohms, QuantityError, Reactor, Reference, Reflection, Swr,
};
use proptest::prelude::*;

fn printed(text: &str) -> Printed {
    Printed::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// What the last step of a word of ratios may cost, and some roundings of the working number, relative.
fn rounding<A: Arithmetic>() -> (f64, f64) {
    match A::FAMILY {
        Family::Fixed32 | Family::Fixed16 => (0.5 / 65536.0, 1e-8),
        Family::F32 | Family::SoftF32 => (0.0, 1e-6),
        _ => (0.0, 3e-15),
    }
}

fn swr_slack<A: Arithmetic>(swr: f64) -> f64 {
    crate::common::swr_slack::<A>(swr, rounding::<A>().1)
}

fn swr_of((r, x): (f64, f64), z0: f64) -> f64 {
    swr_by_distance(c(r, x), z0)
}

fn share_of(swr: f64) -> f64 {
    ((swr - 1.0) / (swr + 1.0)).powi(2)
}

// ---- Published values -------------------------------------------------------------------------------------------

/// A row of two readings: its id, the readings, and the SWR interval of each where a note gives them.
type Pair = (&'static str, [Reading; 2], Option<[(f64, f64); 2]>);

/// The pairs of readings of the table by id, with the SWR intervals its notes give (six digits), by the interval test
/// of its source column.
#[rustfmt::skip]
fn pairs() -> Vec<Pair> {
    use Reading::{ImpedanceMagnitude, MismatchLoss, ReflectedPercent, Resistive, ReturnLoss, Swr};
    let p = printed;
    let both = |a, b| Some([a, b]);
    vec![
        ("T8-051", [Swr(p("1.5")), ReturnLoss(p("14"))], both((1.45, 1.55), (1.46416, 1.53598))),
        ("T8-052", [Swr(p("1.50")), ReturnLoss(p("15"))], both((1.495, 1.505), (1.4035, 1.46416))),
        ("T8-054", [Swr(p("2.0")), ReturnLoss(p("9.5"))], both((1.95, 2.05), (1.99869, 2.01613))),
        ("T8-055", [Swr(p("2.0")), ReflectedPercent(p("11"))], both((1.95, 2.05), (1.95874, 2.02625))),
        ("T8-057", [Swr(p("1.20")), ReturnLoss(p("20.0"))], both((1.195, 1.205), (1.22081, 1.22365))),
        ("T8-058", [Swr(p("1.2")), ReturnLoss(p("20"))], both((1.15, 1.25), (1.2085, 1.23695))),
        ("T8-061", [Swr(p("2.0")), MismatchLoss(p("0.5"))], both((1.95, 2.05), (1.91432, 2.05294))),
        ("T8-063", [Swr(p("1.9")), ReflectedPercent(p("10"))], both((1.85, 1.95), (1.8911, 1.95874))),
        ("T8-064", [Swr(p("1.5")), ReflectedPercent(p("10"))], both((1.45, 1.55), (1.8911, 1.95874))),
        ("T8-066", [ReturnLoss(p("34")), Swr(p("1.04"))], both((1.0384, 1.04318), (1.035, 1.045))),
        ("T8-067", [Swr(p("3.0")), Resistive(p("150"))], both((2.95, 3.05), (2.99, 3.01))),
        ("T8-069", [Swr(p("3.0")), ReturnLoss(p("7.0"))], both((2.95, 3.05), (2.5979, 2.63149))),
        ("T8-073", [Swr(p("1.1")), ReturnLoss(p("26"))], both((1.05, 1.15), (1.09933, 1.11213))),
        ("T8-075", [ImpedanceMagnitude(p("50")), Swr(p("1.0"))], None),
        ("T8-077", [
            ImpedanceMagnitude(p("50.0")),
            Reading::Impedance { resistance: p("30"), reactance: p("45") },
        ], None),
        ("T8-080", [Reading::Powers { forward: p("100"), reflected: p("10") }, Swr(p("1.50"))], None),
    ]
}

/// Rows that are practice: no call to check. Where the calibration plane lies, what a tuner at the transmitter's end
/// leaves on the line, how a turn on a toroid is counted, what the hand does to a reading.
const NO_CALL: [&str; 4] = ["T8-088", "T8-089", "T8-091", "T8-092"];

/// The dip, where it is wanted, and what is moved.
const RETUNES: [(&str, TuningElement, u32, u32); 7] = [
    ("T6-001", TuningElement::Inductance, 7_000, 7_200),
    ("T6-003", TuningElement::Inductance, 3_500, 4_000),
    ("T6-004", TuningElement::Inductance, 144_000, 145_000),
    ("T6-006", TuningElement::Inductance, 1_800, 2_000),
    ("T6-007", TuningElement::Inductance, 10_000, 20_000),
    ("T6-009", TuningElement::Turns, 139_000, 144_000),
    ("T6-010", TuningElement::Length, 143_200, 145_000),
];

fn kind(agreement: Agreement) -> &'static str {
    match agreement {
        Agreement::Consistent => "yes",
        Agreement::Contradictory { .. } | Agreement::ContradictoryTogether => "no",
        Agreement::Undecided => "undecided",
    }
}

fn published_row<A: Arithmetic>(row: Row<'_>) -> Result<(), String> {
    let (id, expected, z0) = (row.text("id"), row.text("expected"), Reference::<A>::fifty());
    let (step, relative) = rounding::<A>();
    if let Some((_, readings, intervals)) = pairs().into_iter().find(|(name, ..)| *name == id) {
        let verdict = compare_readings(&readings, z0).map_err(|error| error.to_string())?;
        if kind(verdict) != expected {
            return Err(format!("{id}: {verdict:?}, want {expected}"));
        }
        for (reading, (low, high)) in readings.iter().zip(intervals.into_iter().flatten()) {
            // To half a unit of the sixth digit.
            let (from, to) = swr_interval(reading, z0).unwrap();
            near(id, from.to_f64(), low, 5e-6 + step + 3.0 * relative)?;
            near(id, to.to_f64(), high, 5e-6 + step + 3.0 * relative)?;
        }
        return Ok(());
    }
    if let Some((_, element, dip, wanted)) = RETUNES.iter().find(|(name, ..)| *name == id) {
        let (dip, wanted) = (Hertz::from_kilohertz(*dip), Hertz::from_kilohertz(*wanted));
        let retune = Retune::<A>::new(*element, dip, wanted).unwrap();
        // Ten turns; everything else is a factor already.
        let before = if row.text("unit") == "turns" { 10.0 } else { 1.0 };
        let own = if A::FAMILY == Family::F64 {
            0.0
        } else {
            before * (step + relative)
        };
        let slack = row.number("tolerance") + own;
        return near(id, before * retune.factor.to_f64(), row.number("expected"), slack);
    }
    if NO_CALL.contains(&id) {
        return Ok(());
    }
    match id {
        "T8-090" => {
            let way = |dip, wanted| {
                let (dip, wanted) = (Hertz::from_kilohertz(dip), Hertz::from_kilohertz(wanted));
                match Retune::<A>::new(TuningElement::Length, dip, wanted)
                    .unwrap()
                    .direction
                {
                    Direction::Less => "shorten",
                    Direction::More => "lengthen",
                    Direction::Keep => "keep",
                }
            };
            let (below, above) = (way(6_950, 7_050), way(7_150, 7_050));
            let told = format!("resonance below target: {below}; above target: {above}");
            if told == expected { Ok(()) } else { Err(told) }
        }
        "T8-093" | "T8-094" | "T8-096" | "T8-097" => {
            let (_, z) = row.text("inputs").split_once("Z=(").unwrap();
            let (r, x) = z.trim_end_matches("j)").split_once(" + ").unwrap();
            let load = ohms::<A>(r.parse().unwrap(), x.parse().unwrap());
            near(id, load.magnitude().to_f64(), 50.0, 50.0 * relative)?;
            let gamma = load.reflection(z0);
            if expected == "+infinity" {
                return if gamma.is_total() && gamma.swr() == Swr::<A>::MAX {
                    Ok(())
                } else {
                    Err(format!("{id}: {gamma:?}"))
                };
            }
            let want = row.number("expected");
            let own = if A::FAMILY == Family::F64 {
                0.0
            } else {
                swr_slack::<A>(want)
            };
            near(id, gamma.swr().to_f64(), want, row.number("tolerance") + own)
        }
        other => Err(format!("nobody checks row {other}")),
    }
}

#[test]
fn published_values() {
    let table = Table::parse(include_str!("../data/trade_published.csv"));
    for row in table.rows() {
        every_family!(published_row(row).unwrap());
    }
    // Every reading and every factor listed here has its row.
    let ids: Vec<_> = table.rows().map(|row| row.text("id")).collect();
    assert_eq!(ids.len(), 32);
    assert!(pairs().iter().all(|(id, ..)| ids.contains(id)));
    assert!(RETUNES.iter().all(|(id, ..)| ids.contains(id)));
    assert!(NO_CALL.iter().all(|id| ids.contains(id)));
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    for row in [
        "T8-051,,,,no,exact",
        "T8-075,,,,yes,exact",
        "T8-090,,,,resonance below target: lengthen; above target: shorten,exact",
        "T8-093,|Z|=50 family: Z=(30.0 + 40.0j),,1,2.99,3e-9",
        "T8-096,|Z|=50 family: Z=(1.0 + 49.99j),,1,+infinity,exact",
        "T6-001,,,1,0.946,9e-10",
        "T6-009,,,turns,0.9653,9e-9",
        "T8-999,,,,yes,exact",
    ] {
        let table = Table::parse(&format!("id,inputs,quantity,unit,expected,tolerance\n{row}\n"));
        let row = table.rows().next().unwrap();
        every_family!(published_row(row).unwrap_err());
    }
}

/// Facts of the trade (common practice, no source), each recomputed.
#[test]
fn facts_of_the_trade() {
    fn check<A: Arithmetic>() {
        let (z0, load) = (Reference::<A>::fifty(), ohms::<A>(1.6, 5.0));
        let is = |got: f64, want: f64, half: f64| near("fact", got, want, half).unwrap();
        // The magnitude rule on a load that is mostly reactance.
        let rule = MagnitudeRule::apply(load, z0, 12).unwrap();
        is(rule.magnitude.to_f64(), 5.25, 0.005);
        is(rule.impedance_ratio.to_f64(), 9.5, 0.05);
        is(wanted_impedance_ratio(load, z0).unwrap().to_f64(), 9.5, 0.05);
        assert_eq!(rule.turns, Turns::new(3, 1).unwrap());
        is(rule.turns.impedance_ratio::<A>().to_f64(), 9.0, 1e-12);
        is(rule.swr_promised.to_f64(), 1.06, 0.005);
        // Half a step of the word of ohms goes through the transformer ninefold.
        is(rule.seen.resistance().to_f64(), 14.4, 2e-3);
        is(rule.seen.reactance().to_f64(), 45.0, 2e-3);
        is(rule.reflection.swr().to_f64(), 6.4, 0.05);
        is(rule.reflection.return_loss().to_f64(), 2.7, 0.05);
        // 16 dB of return loss is SWR 1.38, not 1.2.
        let gamma = Reflection::<A>::try_from_f64(10f64.powf(-16.0 / 20.0), 0.0).unwrap();
        is(gamma.swr().to_f64(), 1.38, 0.005);
        // 52 Ω resistive is 34 dB.
        is(
            ohms::<A>(52.0, 0.0).reflection(z0).return_loss().to_f64(),
            34.0,
            0.5,
        );
        // Shown together, the three disagree, and each pair of them.
        let three = ["1.2", "16", "52"].map(printed);
        let readings = [
            Reading::Swr(three[0]),
            Reading::ReturnLoss(three[1]),
            Reading::Resistive(three[2]),
        ];
        assert_eq!(
            compare_readings(&readings, z0),
            Ok(Agreement::Contradictory { first: 0, second: 1 })
        );
        for (a, b) in [(0, 1), (0, 2), (1, 2)] {
            assert_eq!(
                kind(compare_readings(&[readings[a], readings[b]], z0).unwrap()),
                "no"
            );
        }
    }
    every_family!(check);
}

// ---- Retuning ---------------------------------------------------------------------------------------------------

const ELEMENTS: [TuningElement; 4] = [
    TuningElement::Inductance,
    TuningElement::Capacitance,
    TuningElement::Turns,
    TuningElement::Length,
];

fn undoes<A: Arithmetic>(there: &Retune<A>, back: &Retune<A>) -> Result<(), String> {
    let (one, other) = (there.factor.to_f64(), back.factor.to_f64());
    let (step, relative) = rounding::<A>();
    near("product", one * other, 1.0, step * (one + other) + relative)
}

/// The factor is on the side of 1 that the direction names; a shift below the family's last step gives 1.
fn points_the_same_way<A: Arithmetic>(retune: &Retune<A>, dip: u64, wanted: u64) -> Result<(), String> {
    let factor = retune.factor.to_f64();
    let (step, relative) = rounding::<A>();
    let clear = dip.abs_diff(wanted) as f64 / wanted as f64 > 2.0 * (step + relative);
    let (agrees, want) = match retune.direction {
        Direction::Less => (factor < 1.0 || (!clear && factor == 1.0), dip < wanted),
        Direction::Keep => (factor == 1.0, dip == wanted),
        Direction::More => (factor > 1.0 || (!clear && factor == 1.0), dip > wanted),
    };
    if agrees && want {
        Ok(())
    } else {
        Err(format!("{dip} to {wanted}: {retune:?}"))
    }
}

fn retune_laws<A: Arithmetic>() -> Result<(), String> {
    let mut random = Random::new(3);
    let (step, relative) = rounding::<A>();
    for _ in 0..4000 {
        let dip = random.decades(1e5, 1e9).abs() as u64;
        let wanted = match random.bits() % 4 {
            0 => dip,
            1 => dip + random.bits() % 100,
            _ => (dip as f64 * random.between(0.2, 5.0)) as u64,
        };
        for element in ELEMENTS {
            let there = Retune::<A>::new(element, Hertz::new(dip), Hertz::new(wanted)).unwrap();
            let back = Retune::<A>::new(element, Hertz::new(wanted), Hertz::new(dip)).unwrap();
            undoes(&there, &back)?;
            points_the_same_way(&there, dip, wanted)?;
            points_the_same_way(&back, wanted, dip)?;
            let squared = matches!(element, TuningElement::Inductance | TuningElement::Capacitance);
            let want = (dip as f64 / wanted as f64).powi(if squared { 2 } else { 1 });
            near("factor", there.factor.to_f64(), want, step + want * relative)?;
            if there.element != element {
                return Err(format!("{there:?}"));
            }
        }
    }
    let zero = Hertz::new(0);
    for element in ELEMENTS {
        for (dip, wanted) in [(zero, Hertz::new(5)), (Hertz::new(5), zero), (zero, zero)] {
            if Retune::<A>::new(element, dip, wanted).is_some() {
                return Err("0 Hz has an answer".into());
            }
        }
    }
    Ok(())
}

#[test]
fn retuning_back_undoes_it() {
    every_family!(retune_laws().unwrap());
}

#[test]
fn the_retune_checkers_can_fail() {
    fn check<A: Arithmetic>() {
        let retune = |dip, wanted| {
            Retune::<A>::new(TuningElement::Inductance, Hertz::new(dip), Hertz::new(wanted)).unwrap()
        };
        let (there, back) = (retune(7_000_000, 7_200_000), retune(7_200_000, 7_000_000));
        undoes(&there, &back).unwrap();
        undoes(&there, &there).unwrap_err();
        undoes(&there, &retune(7_200_000, 7_000_100)).unwrap_err();
        points_the_same_way(&there, 7_000_000, 7_200_000).unwrap();
        points_the_same_way(&there, 7_200_000, 7_000_000).unwrap_err();
        let mut swapped = there;
        swapped.direction = Direction::More;
        points_the_same_way(&swapped, 7_000_000, 7_200_000).unwrap_err();
        let mut inverted = there;
        inverted.factor = back.factor;
        points_the_same_way(&inverted, 7_000_000, 7_200_000).unwrap_err();
    }
    every_family!(check);
}

/// Thomson's formula on an actual series circuit: where it resonates after the advice was taken.
fn resonance_after(retune: &Retune<f64>, dip: f64, capacitance: f64) -> f64 {
    let inductance = 1.0 / ((core::f64::consts::TAU * dip).powi(2) * capacitance);
    let (l, c) = match retune.element {
        TuningElement::Inductance => (inductance * retune.factor, capacitance),
        TuningElement::Capacitance => (inductance, capacitance * retune.factor),
        // L ∝ n²
        TuningElement::Turns => (inductance * retune.factor * retune.factor, capacitance),
        // The dip goes as 1/length, as if both grew with it.
        _ => (inductance * retune.factor, capacitance * retune.factor),
    };
    1.0 / (core::f64::consts::TAU * (l * c).sqrt())
}

#[test]
fn the_advice_moves_a_resonance_to_the_hertz() {
    let mut random = Random::new(4);
    for _ in 0..3000 {
        let dip = random.decades(1e5, 1e9).abs().round();
        let wanted = (dip * random.between(0.3, 3.0)).round();
        let capacitance = random.decades(1e-12, 1e-9).abs();
        for element in ELEMENTS {
            let retune =
                Retune::<f64>::new(element, Hertz::new(dip as u64), Hertz::new(wanted as u64)).unwrap();
            let moved = resonance_after(&retune, dip, capacitance);
            assert!((moved - wanted).abs() < 1.0, "{element}: {moved} for {wanted}");
            // Taken the wrong way it would not arrive.
            let mut wrong = retune;
            wrong.factor = (1.0 / retune.factor).into();
            let missed = (resonance_after(&wrong, dip, capacitance) - wanted).abs();
            assert!(missed > 1.0 || (dip - wanted).abs() < 2.0);
        }
    }
    assert_eq!(
        ELEMENTS.map(|e| e.to_string()),
        ["inductance", "capacitance", "turns", "length"]
    );
}

// ---- Printed numbers --------------------------------------------------------------------------------------------

proptest! {
    #[test]
    fn what_is_printed_is_read_again(digits in -999_999_999i32..=999_999_999, decimals in 0u8..=9) {
        let number = Printed::new(digits, decimals).unwrap();
        let text = number.to_string();
        prop_assert_eq!(Printed::parse(&text), Ok(number), "{}", text);
        // And it is the number that a general reader sees.
        let value: f64 = text.parse().unwrap();
        let want = f64::from(digits) / 10f64.powi(i32::from(decimals));
        prop_assert!((value - want).abs() <= want.abs() * 1e-15);
    }

    #[test]
    fn text_is_taken_or_refused_but_never_panics(text in "[-+.0-9e ]{0,14}") {
        if let Ok(number) = Printed::parse(&text) {
            let value: f64 = text.parse().unwrap();
            let again: f64 = number.to_string().parse().unwrap();
            prop_assert_eq!(value, again);
        }
    }
}

#[test]
fn numbers_as_they_are_written() {
    for (text, digits, decimals) in [
        ("34", 34, 0),
        ("1.50", 150, 2),
        ("-3.2", -32, 1),
        ("+3.2", 32, 1),
        ("0.05", 5, 2),
        ("-0.05", -5, 2),
        (".5", 5, 1),
        ("5.", 5, 0),
        ("007", 7, 0),
        ("0", 0, 0),
        ("0.123456789", 123_456_789, 9),
        ("999999999", 999_999_999, 0),
    ] {
        assert_eq!(Printed::parse(text), Printed::new(digits, decimals), "{text}");
    }
    // A digit more is another reading.
    assert_ne!(printed("1.5"), printed("1.50"));
    let long = "0.".to_string() + &"0".repeat(300);
    for text in [
        "",
        "-",
        "+",
        ".",
        "-.",
        "1.2.3",
        "1,5",
        "1e3",
        " 1",
        "1 ",
        "--1",
        "1-",
        "½",
        "inf",
        "NaN",
        "1234567890",
        "1.234567890",
        "0.1234567890",
        &long,
    ] {
        assert_eq!(Printed::parse(text), Err(ReadingError::NotANumber), "{text}");
    }
    assert_eq!(Printed::new(1, 10), Err(ReadingError::NotANumber));
    assert_eq!(Printed::new(i32::MIN, 9).unwrap().to_string(), "-2.147483648");
}

#[test]
fn readings_that_make_no_sense() {
    use Reading::{
        ImpedanceMagnitude, Magnitude, MismatchLoss, ReflectedPercent, Resistive, ReturnLoss,
        SeriesResistance, Swr,
    };
    fn check<A: Arithmetic>() {
        let z0 = Reference::<A>::fifty();
        let p = printed;
        let powers = |forward, reflected| Reading::Powers {
            forward: p(forward),
            reflected: p(reflected),
        };
        let impedance = |resistance| Reading::Impedance {
            resistance: p(resistance),
            reactance: p("5"),
        };
        for (reading, error) in [
            (Swr(p("0.9")), ReadingError::SwrBelowOne),
            (Swr(p("-2")), ReadingError::SwrBelowOne),
            (MismatchLoss(p("-0.1")), ReadingError::NotPassive),
            (ReflectedPercent(p("-1")), ReadingError::NotPassive),
            (ReflectedPercent(p("101")), ReadingError::NotPassive),
            (Magnitude(p("1.2")), ReadingError::NotPassive),
            (Magnitude(p("-0.2")), ReadingError::NotPassive),
            (powers("10", "12"), ReadingError::NotPassive),
            (powers("10", "-2"), ReadingError::NotPassive),
            (powers("0", "0"), ReadingError::NoForwardPower),
            (powers("-5", "0"), ReadingError::NoForwardPower),
            (Resistive(p("0")), ReadingError::NoResistance),
            (Resistive(p("-50")), ReadingError::NoResistance),
            (ImpedanceMagnitude(p("0.0")), ReadingError::NoResistance),
            (impedance("-1"), ReadingError::NoResistance),
            (SeriesResistance(p("-0.1")), ReadingError::NoResistance),
        ] {
            assert_eq!(swr_interval(&reading, z0), Err(error), "{reading:?}");
            // Wherever it stands, also behind two that disagree.
            let [a, b] = [Swr(p("1.2")), ReturnLoss(p("16"))];
            for list in [[reading, a, b], [a, reading, b], [a, b, reading]] {
                assert_eq!(compare_readings(&list, z0), Err(error), "{list:?}");
            }
            assert!(!error.to_string().is_empty());
        }
        // At the edge of sense: these stand for something possible.
        for reading in [
            Swr(p("1")),
            ReturnLoss(p("0")),
            ReflectedPercent(p("100")),
            Magnitude(p("1.0")),
            powers("10", "10"),
            impedance("0"),
            SeriesResistance(p("0")),
        ] {
            let (low, high) = swr_interval(&reading, z0).unwrap();
            assert!(low.to_f64() >= 1.0 && low < high, "{reading:?}");
            assert_eq!(compare_readings(&[reading], z0), Ok(Agreement::Undecided));
        }
        assert_eq!(compare_readings(&[], z0), Ok(Agreement::Undecided));
    }
    every_family!(check);
}

/// Two intervals that touch share a value: SWR 1.25 is the upper end of 1.2, and 62.5 Ω the lower end of 63 Ω.
#[test]
fn touching_intervals_agree() {
    fn check<A: Arithmetic>() {
        for tenths in 11..200 {
            // The SWR s reaches up to s + 0.05, and 50·s + 3 ohms down to 50·s + 2.5.
            let swr = printed(&format!("{}.{}", tenths / 10, tenths % 10));
            let next = printed(&format!("{}", 5 * tenths + 3));
            let after = printed(&format!("{}", 5 * tenths + 4));
            let verdict = |ohms| {
                kind(
                    compare_readings(
                        &[Reading::Swr(swr), Reading::Resistive(ohms)],
                        Reference::<A>::fifty(),
                    )
                    .unwrap(),
                )
            };
            assert_eq!(verdict(next), "yes", "{swr} {next} in {:?}", A::FAMILY);
            assert_eq!(verdict(after), "no", "{swr} {after} in {:?}", A::FAMILY);
        }
    }
    every_family!(check);
}

// ---- Agreement --------------------------------------------------------------------------------------------------

/// Every scale that a load R + jX on 50 Ω can be read off, rounded to so many decimals.
fn read_off((r, x): (f64, f64), forward: f64, decimals: usize) -> Vec<Reading> {
    let rounded = |value: f64| printed(&format!("{value:.decimals$}"));
    let swr = swr_of((r, x), 50.0);
    let share = share_of(swr);
    // The powers are read together: what is sent is a printed number itself.
    let mut list = vec![
        Reading::Swr(rounded(swr)),
        Reading::ReturnLoss(rounded(-10.0 * share.log10())),
        Reading::MismatchLoss(rounded(-10.0 * (1.0 - share).log10())),
        Reading::ReflectedPercent(rounded(100.0 * share)),
        Reading::Magnitude(rounded(share.sqrt())),
        Reading::ImpedanceMagnitude(rounded(r.hypot(x))),
        Reading::SeriesResistance(rounded(r)),
        Reading::Impedance {
            resistance: rounded(r),
            reactance: rounded(x),
        },
        Reading::Powers {
            forward: rounded(forward),
            reflected: rounded(forward * share),
        },
    ];
    if x == 0.0 {
        list.push(Reading::Resistive(rounded(r)));
    }
    list
}

/// The SWRs that a reading of one of three scales allows, worked out here.
fn interval((r, x): (f64, f64), scale: usize, decimals: usize) -> (Reading, f64, f64) {
    let swr = swr_of((r, x), 50.0);
    let share = share_of(swr);
    let value = [swr, -10.0 * share.log10(), 100.0 * share][scale];
    let text = format!("{value:.decimals$}");
    let (middle, half): (f64, f64) = (text.parse().unwrap(), 0.5 / 10f64.powi(decimals as i32));
    let of_share = |share: f64| {
        let rho = share.clamp(0.0, 1.0).sqrt();
        (1.0 + rho) / (1.0 - rho)
    };
    let p = printed(&text);
    match scale {
        0 => (Reading::Swr(p), middle - half, middle + half),
        1 => {
            let of = |loss: f64| of_share(10f64.powf(-loss / 10.0));
            (Reading::ReturnLoss(p), of(middle + half), of(middle - half))
        }
        _ => {
            let of = |percent: f64| of_share(percent / 100.0);
            (Reading::ReflectedPercent(p), of(middle - half), of(middle + half))
        }
    }
}

fn has_verdict<A: Arithmetic>(readings: &[Reading], want: &str) -> Result<(), String> {
    match compare_readings(readings, Reference::<A>::fifty()) {
        Ok(verdict) if kind(verdict) == want => Ok(()),
        other => Err(format!("{other:?}, want {want}: {readings:?} in {:?}", A::FAMILY)),
    }
}

fn in_all_families(readings: &[Reading], want: &str) -> Result<(), String> {
    has_verdict::<f64>(readings, want)?;
    has_verdict::<f32>(readings, want)?;
    has_verdict::<Fixed32>(readings, want)?;
    has_verdict::<Fixed16>(readings, want)
}

fn kind_or_error<A: Arithmetic>(readings: &[Reading]) -> String {
    match compare_readings(readings, Reference::<A>::fifty()) {
        Ok(verdict) => kind(verdict).to_string(),
        Err(_) => "senseless".to_string(),
    }
}

/// The kind of verdict is the same in every order; a contradiction names two that contradict.
fn has_no_order<A: Arithmetic>(readings: &[Reading], shuffled: &[Reading]) -> Result<(), String> {
    let (one, other) = (kind_or_error::<A>(readings), kind_or_error::<A>(shuffled));
    if one != other {
        return Err(format!("{one} and {other}: {readings:?}, {shuffled:?}"));
    }
    for list in [readings, shuffled] {
        if let Ok(Agreement::Contradictory { first, second }) =
            compare_readings(list, Reference::<A>::fifty())
        {
            has_verdict::<A>(&[list[first], list[second]], "no")?;
        }
    }
    Ok(())
}

fn one_load_agrees(load: (f64, f64), forward: f64, decimals: usize) -> Result<(), String> {
    let readings = read_off(load, forward, decimals);
    in_all_families(&readings, "yes")?;
    for (place, one) in readings.iter().enumerate() {
        for other in &readings[..place] {
            let kinds = [one, other].map(|reading| match reading {
                Reading::ImpedanceMagnitude(_) => 'm',
                Reading::SeriesResistance(_) => 'r',
                _ => ' ',
            });
            // Neither |Z| nor R tells an SWR; the two together do, but then there is nothing to hold it against.
            let want = if kinds == [' ', ' '] { "yes" } else { "undecided" };
            in_all_families(&[*one, *other], want)?;
        }
    }
    // Taken together at several resolutions, too.
    let mut mixed = readings;
    for other in 0..=4 {
        mixed.extend(read_off(load, forward, other));
    }
    in_all_families(&mixed, "yes")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn readings_of_one_load_agree(
        r in 1.0..1500.0f64,
        x in prop_oneof![Just(0.0), -1500.0..1500.0f64],
        forward in 1.0..900.0f64,
        decimals in 0usize..=4,
    ) {
        one_load_agrees((r, x), forward, decimals).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn readings_of_two_loads_disagree(
        one in (5.0..500.0f64, -300.0..300.0f64),
        other in (5.0..500.0f64, -300.0..300.0f64),
        scales in (0usize..3, 0usize..3),
        decimals in 0usize..=4,
    ) {
        let (first, low, high) = interval(one, scales.0, decimals);
        let (second, from, to) = interval(other, scales.1, decimals);
        // Further apart than the printing resolves: more than a rounding of f32 there.
        let gap = (from - high).max(low - to);
        if gap > 1e-5 * (low.min(from) + 1.0).powi(2) {
            in_all_families(&[first, second], "no").map_err(TestCaseError::fail)?;
        } else if gap < -1e-5 * (low.min(from) + 1.0).powi(2) {
            in_all_families(&[first, second], "yes").map_err(TestCaseError::fail)?;
        }
    }

    #[test]
    fn the_order_of_readings_does_not_matter(
        loads in proptest::collection::vec((2.0..300.0f64, -100.0..100.0f64), 1..4),
        decimals in 0usize..=3,
        nonsense in any::<bool>(),
        seed in any::<u64>(),
    ) {
        let mut readings: Vec<_> = loads.iter().flat_map(|load| read_off(*load, 100.0, decimals)).collect();
        let mut random = Random::new(seed);
        let shuffle = |list: &mut Vec<Reading>, random: &mut Random| {
            for place in (1..list.len()).rev() {
                list.swap(place, (random.bits() % (place as u64 + 1)) as usize);
            }
        };
        shuffle(&mut readings, &mut random);
        readings.truncate(5);
        if nonsense && seed % 4 == 0 {
            readings.push(Reading::Swr(printed("0.5")));
        }
        let mut shuffled = readings.clone();
        shuffle(&mut shuffled, &mut random);
        has_no_order::<f64>(&readings, &shuffled).map_err(TestCaseError::fail)?;
        has_no_order::<f32>(&readings, &shuffled).map_err(TestCaseError::fail)?;
        has_no_order::<Fixed32>(&readings, &shuffled).map_err(TestCaseError::fail)?;
        has_no_order::<Fixed16>(&readings, &shuffled).map_err(TestCaseError::fail)?;
    }
}

/// The SWRs that a reading stands for, where one limit decides: a rectangle of R and X beside the match, |Z| and R on either
/// side of the reference. Each worked out by hand: SWR is R/50 or 50/R.
#[test]
fn the_intervals_of_one_reading() {
    fn check<A: Arithmetic>() {
        let p = printed;
        let impedance = |r, x| Reading::Impedance {
            resistance: p(r),
            reactance: p(x),
        };
        let ends = |reading| {
            let (low, high) = swr_interval::<A>(&reading, Reference::fifty()).unwrap();
            (low.to_f64(), high.to_f64())
        };
        let is = |got: f64, want: f64| near("SWR", got, want, swr_slack::<A>(want)).unwrap();
        // 10 Ω stands for 9.5 to 10.5: never for a match.
        let (low, high) = ends(impedance("10", "0"));
        is(low, 50.0 / 10.5);
        is(high, swr_of((9.5, 0.5), 50.0));
        let (low, high) = ends(impedance("250", "0"));
        is(low, 249.5 / 50.0);
        is(high, swr_of((250.5, 0.5), 50.0));
        // A rectangle about the match holds it.
        is(ends(impedance("50", "0")).0, 1.0);
        // The nearest point of a rectangle beside it lies at R = √(Z0² + X²), if the rectangle has it.
        is(ends(impedance("50", "30")).0, swr_of((50.5, 29.5), 50.0));
        is(
            ends(impedance("58", "30")).0,
            swr_of((50f64.hypot(29.5), 29.5), 50.0),
        );
        is(ends(impedance("90", "-30")).0, swr_of((89.5, 29.5), 50.0));
        let without_end = Swr::<A>::MAX.to_f64();
        for reading in [Reading::ImpedanceMagnitude, Reading::SeriesResistance] {
            for (ohms, want) in [
                ("10", 50.0 / 10.5),
                ("49", 50.0 / 49.5),
                ("50", 1.0),
                ("51", 50.5 / 50.0),
                ("250", 249.5 / 50.0),
            ] {
                let (low, high) = ends(reading(p(ohms)));
                is(low, want);
                assert_eq!(high, without_end, "{ohms}");
            }
        }
        // 0 Ω of R stands for up to half an ohm.
        is(ends(Reading::SeriesResistance(p("0"))).0, 100.0);
        let (low, high) = ends(impedance("0", "0"));
        assert!(low > 90.0 && high >= without_end * 0.99, "{low} {high}");
        // The minus sign of a return loss is left out.
        assert_eq!(
            ends(Reading::ReturnLoss(p("-16.0"))),
            ends(Reading::ReturnLoss(p("16.0")))
        );
    }
    every_family!(check);
}

/// A reading outside what the other allows, by each limit alone.
#[test]
fn limits_that_a_reading_sets_alone() {
    let p = printed;
    let impedance = |r, x| Reading::Impedance {
        resistance: p(r),
        reactance: p(x),
    };
    let (size, series) = (Reading::ImpedanceMagnitude, Reading::SeriesResistance);
    let swr = |text| Reading::Swr(p(text));
    for (one, other, want) in [
        (impedance("10", "0"), swr("1.00"), "no"),
        (impedance("250", "0"), swr("1.00"), "no"),
        (impedance("10", "0"), swr("5.0"), "yes"),
        (size(p("10")), swr("1.5"), "no"),
        (size(p("10")), swr("4.7"), "no"),
        (size(p("10")), swr("5.0"), "undecided"),
        (size(p("10")), swr("50"), "undecided"),
        (size(p("250")), swr("1.5"), "no"),
        (series(p("15")), swr("4.5"), "undecided"),
        (series(p("15")), swr("1.5"), "no"),
        (series(p("250")), swr("1.5"), "no"),
        // R is never above |Z|.
        (series(p("60")), size(p("50")), "no"),
        (series(p("50")), size(p("50")), "undecided"),
        (series(p("60")), impedance("50", "0"), "no"),
        (series(p("50")), impedance("50", "70"), "undecided"),
        // X is never above the radius of the circle of an SWR: of 3 it is 50·(3 − 1/3)/2 = 66.7 Ω, about 83.3 Ω.
        (impedance("112", "60"), swr("3.0"), "yes"),
        (impedance("80", "70"), swr("3.0"), "no"),
        // A pure resistance has no X.
        (Reading::Resistive(p("52")), impedance("52", "30"), "no"),
    ] {
        for list in [[one, other], [other, one]] {
            in_all_families(&list, want).unwrap();
        }
    }
    // Three of which each two go together. 30 Ω in 50 Ω is X = 40 Ω and SWR 3 (a 3-4-5 triangle).
    for (third, want) in [("2.8", "no"), ("3.0", "yes"), ("3.2", "no"), ("9.0", "no")] {
        let list = [size(p("50.0")), series(p("30.0")), swr(third)];
        in_all_families(&list, want).unwrap();
        if third == "9.0" {
            for pair in [[0, 1], [0, 2], [1, 2]] {
                in_all_families(&pair.map(|place| list[place]), "undecided").unwrap();
            }
            assert_eq!(
                compare_readings(&list, Reference::<Fixed32>::fifty()),
                Ok(Agreement::ContradictoryTogether)
            );
        }
    }
}

/// Three readings of which each two go together, so that every limit of R by itself is what tells: |Z|, R and X in ohms.
/// Worked out by hand from R² + X² = |Z|² and R² + X² + Z0² = Z0·(s + 1/s)·R; beside each list that does not fit
/// stands one that does.
#[test]
fn three_readings_by_each_limit() {
    let p = printed;
    let (size, series) = (Reading::ImpedanceMagnitude, Reading::SeriesResistance);
    let impedance = |r, x| Reading::Impedance {
        resistance: p(r),
        reactance: p(x),
    };
    let of_one = |third: Reading| [impedance("1", "0"), Reading::Swr(p("40.0")), third];
    let of_both = |third: Reading| [impedance("1", "1"), Reading::Swr(p("70.0")), third];
    let beside = |swr: &str, third: &str| [impedance("2", "2"), Reading::Swr(p(swr)), series(p(third))];
    for (reference, list, fits) in [
        // R is 1.25 Ω, X at most 0.5 Ω: |Z| at most 1.35 Ω.
        (50.0, of_one(size(p("1.50"))), false),
        (50.0, of_one(size(p("1.30"))), true),
        // R is 0.71 Ω, X at least 0.5 Ω: |Z| at least 0.87 Ω.
        (50.0, of_both(size(p("0.75"))), false),
        (50.0, of_both(size(p("1.00"))), true),
        // On 2 Ω, so that half a unit is much. X at least 1.5 Ω inside the circle of SWR 2.15: R at least 1.85 Ω.
        (2.0, beside("2.1", "1.7"), false),
        (2.0, beside("2.1", "2.0"), true),
        // X at most 2.5 Ω outside the circle of SWR 3.15: R at most 2.14 Ω, or 4.8 Ω and more.
        (2.0, beside("3.2", "2.2"), false),
        (2.0, beside("3.2", "2.0"), true),
    ] {
        fn check<A: Arithmetic>(reference: f64, list: &[Reading; 3], fits: bool) {
            let wanted = if fits {
                Agreement::Consistent
            } else {
                Agreement::ContradictoryTogether
            };
            let z0 = Reference::<A>::try_from_f64(reference).unwrap();
            assert_eq!(compare_readings(list, z0), Ok(wanted), "{list:?}");
            for pair in [[0, 1], [0, 2], [1, 2]] {
                let pair = pair.map(|place| list[place]);
                assert_ne!(kind(compare_readings(&pair, z0).unwrap()), "no", "{pair:?}");
            }
        }
        every_family!(check(reference, &list, fits));
    }
}

/// |X| beside an SWR and an R: walked back to the SWR.
#[test]
fn the_reactance_beside_an_swr_and_a_resistance() {
    fn check<A: Arithmetic>() {
        let z0 = Reference::<A>::fifty();
        let x = |swr: f64, r: f64| {
            let (swr, r) = (
                Swr::<A>::try_from_f64(swr).unwrap(),
                Ohms::<A>::try_from_f64(r).unwrap(),
            );
            reactance_beside(swr, r, z0).map(Ohms::to_f64)
        };
        near("4.5 beside 15", x(4.5, 15.0).unwrap(), 28.5774, 2e-3).unwrap();
        for (swr, r) in [(1.5, 40.0), (2.0, 60.0), (3.0, 30.0), (9.0, 20.0), (30.0, 700.0)] {
            let found = x(swr, r).unwrap();
            near("SWR", swr_of((r, found), 50.0), swr, 1e-3 * swr).unwrap();
        }
        // The two ends of the circle, and beyond them.
        near("end", x(2.0, 100.0).unwrap(), 0.0, 0.01).unwrap();
        assert_eq!(x(2.0, 101.0), None);
        assert_eq!(x(2.0, 24.5), None);
        assert_eq!(x(1.5, 15.0), None);
        assert_eq!(x(4.5, -15.0), None);
        assert_eq!(x(4.5, 0.0), None);
    }
    every_family!(check);
}

/// A reading as a person writes it down, with the digits that its scale shows.
fn scribbled((r, x): (f64, f64), scale: u64, decimals: usize) -> Option<Reading> {
    let swr = swr_of((r, x), 50.0);
    let share = share_of(swr);
    let text = |value: f64| {
        // Nine digits are the most that can be read.
        let text = format!("{value:.decimals$}");
        Printed::parse(&text).ok().filter(|_| value < 1e6)
    };
    let over_zero =
        |value: f64| text(value).filter(|printed| !printed.to_string().trim_matches(['0', '.']).is_empty());
    Some(match scale {
        0 => Reading::Swr(text(swr)?),
        1 => Reading::ReturnLoss(text(-10.0 * share.log10())?),
        2 => Reading::ReturnLoss(text(10.0 * share.log10())?),
        3 => Reading::ImpedanceMagnitude(over_zero(r.hypot(x))?),
        4 => Reading::SeriesResistance(text(r)?),
        5 => Reading::Impedance {
            resistance: text(r)?,
            reactance: text(x.abs())?,
        },
        6 => Reading::ReflectedPercent(text(100.0 * share)?),
        7 => Reading::Magnitude(text(share.sqrt())?),
        8 if x == 0.0 => Reading::Resistive(over_zero(r)?),
        _ => Reading::MismatchLoss(text(-10.0 * (1.0 - share).log10())?),
    })
}

/// Even on a logarithmic scale.
fn spread(random: &mut Random, low: f64, high: f64) -> f64 {
    low * (high / low).powf(random.between(0.0, 1.0))
}

/// A load as it is met: now and then a pure resistance, a short, or near the match.
fn any_load(random: &mut Random) -> (f64, f64) {
    match random.bits() % 8 {
        0 => (spread(random, 0.5, 5000.0), 0.0),
        1 => (spread(random, 0.001, 1.0), spread(random, 0.01, 100.0)),
        2 => (50.0 + random.between(-0.5, 0.5), random.between(-0.5, 0.5)),
        3 => (spread(random, 1.0, 20_000.0), -spread(random, 1.0, 20_000.0)),
        _ => (spread(random, 1.0, 500.0), spread(random, 1.0, 500.0)),
    }
}

/// Brute force, one load: whatever is read off it, in whatever digits, is never called a contradiction.
#[test]
fn no_reading_of_one_load_contradicts_another() {
    fn count<A: Arithmetic>(reference: &str, draws: u32) -> (u32, u32) {
        let mut random = Random::new(61);
        let (mut told, mut wrong, mut worst) = (0, 0, None);
        while told < draws {
            let load = any_load(&mut random);
            let count = 2 + random.bits() % 5;
            let list: Vec<_> = (0..count)
                .filter_map(|_| scribbled(load, random.bits() % 10, (random.bits() % 4) as usize))
                .collect();
            told += 1;
            match compare_readings(&list, Reference::<A>::fifty()) {
                Ok(Agreement::Consistent | Agreement::Undecided) => {}
                other => {
                    wrong += 1;
                    worst = Some(format!("{load:?}: {other:?} of {list:?}"));
                }
            }
        }
        println!(
            "{reference}: {wrong} of {told} lists of readings of one load are called contradictory {worst:?}"
        );
        (wrong, told)
    }
    assert_eq!(count::<f64>("f64", 100_000).0, 0);
    assert_eq!(count::<f32>("f32", 100_000).0, 0);
    assert_eq!(count::<Fixed32>("Fixed32", 30_000).0, 0);
    assert_eq!(count::<Fixed16>("Fixed16", 30_000).0, 0);
}

/// Brute force, two loads: a reading of the one against R, |Z| and X of the other. Whether they can belong together is
/// found by trying: the other load anywhere in what its figures round to, in 31 by 31 steps.
#[test]
fn readings_of_two_loads_are_told_apart() {
    /// The lowest and highest value of a scale, where a load lies between these ends.
    fn range(r: (f64, f64), x: (f64, f64), value: impl Fn(f64, f64) -> Option<f64>) -> Option<(f64, f64)> {
        let step = |(low, high): (f64, f64), place: u32| low + (high - low) * f64::from(place) / 30.0;
        let mut ends: Option<(f64, f64)> = None;
        for i in 0..=30 {
            for k in 0..=30 {
                if let Some(value) = value(step(r, i), step(x, k)) {
                    let (low, high) = ends.unwrap_or((value, value));
                    ends = Some((low.min(value), high.max(value)));
                }
            }
        }
        ends
    }
    fn half(printed: &Printed) -> (f64, f64) {
        let text = printed.to_string();
        let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
        let (value, half) = (text.parse::<f64>().unwrap(), 0.5 / 10f64.powi(decimals as i32));
        ((value - half).max(0.0), value + half)
    }
    /// Whether the SWR is far from a range, in |Γ|: beyond the steps of the trial.
    fn far((low, high): (f64, f64), (from, to): (f64, f64), slack: f64) -> bool {
        let size = |swr: f64| (swr - 1.0) / (swr + 1.0);
        size(from) - size(high) > slack || size(low) - size(to) > slack
    }
    fn count<A: Arithmetic>(name: &str, draws: u32) {
        let mut random = Random::new(62);
        let (mut due, mut caught, mut possible, mut blamed) = ([0u32; 2], [0u32; 2], 0u32, 0u32);
        let mut missed = None;
        for _ in 0..draws {
            let (one, other) = (any_load(&mut random), any_load(&mut random));
            let decimals = (random.bits() % 3) as usize;
            let (Some(swr), Some(size), Some(resistance), Some(impedance)) = (
                scribbled(one, 0, decimals),
                scribbled(other, 3, decimals),
                scribbled(other, 4, decimals),
                scribbled(other, 5, decimals),
            ) else {
                continue;
            };
            let (Reading::Swr(s), Reading::ImpedanceMagnitude(m), Reading::SeriesResistance(r)) =
                (swr, size, resistance)
            else {
                panic!("{swr:?} {size:?} {resistance:?}")
            };
            let Reading::Impedance { reactance: x, .. } = impedance else {
                panic!("{impedance:?}")
            };
            let (s, m, r, x) = (half(&s), half(&m), half(&r), half(&x));
            let of_box = range(r, x, |r, x| Some(swr_of((r.max(1e-9), x), 50.0)));
            let of_ring = range(r, m, |r, m| {
                (m >= r).then(|| swr_of((r.max(1e-9), (m * m - r * r).sqrt()), 50.0))
            });
            // A step of the trial is a thirtieth of what the figures round to.
            let slack = |(low, high): (f64, f64)| {
                1e-3 + ((high - 1.0) / (high + 1.0) - (low - 1.0) / (low + 1.0)) / 8.0
            };
            for (way, list, range) in [
                (0, vec![swr, impedance], of_box),
                (1, vec![swr, size, resistance], of_ring),
            ] {
                let Some(range) = range else { continue };
                let verdict = compare_readings(&list, Reference::<A>::fifty()).unwrap();
                if far(range, s, slack(range)) {
                    due[way] += 1;
                    if kind(verdict) == "no" {
                        caught[way] += 1;
                    } else {
                        missed = Some(format!("{list:?}: SWR {s:?} against {range:?}"));
                    }
                } else if !far(range, s, 0.0) {
                    possible += 1;
                    blamed += u32::from(kind(verdict) == "no");
                }
            }
        }
        println!(
            "{name}: of SWR against R + jX {} of {} contradictions found, against |Z| with R {} of {} {missed:?}; \
             {blamed} of {possible} possible lists blamed",
            caught[0], due[0], caught[1], due[1]
        );
        assert!(
            due[0] > draws / 3 && due[1] > draws / 3 && possible > draws / 50,
            "{due:?} {possible}"
        );
        assert_eq!((due, blamed), (caught, 0));
    }
    count::<f64>("f64", 6000);
    count::<f32>("f32", 3000);
    count::<Fixed32>("Fixed32", 2000);
    count::<Fixed16>("Fixed16", 2000);
}

#[test]
fn the_agreement_checkers_can_fail() {
    let p = printed;
    let (good, bad) = (Reading::ReturnLoss(p("14")), Reading::ReturnLoss(p("16")));
    in_all_families(&[Reading::Swr(p("1.5")), good], "yes").unwrap();
    in_all_families(&[Reading::Swr(p("1.5")), bad], "yes").unwrap_err();
    in_all_families(&[Reading::Swr(p("1.5")), good], "no").unwrap_err();
    // Different readings are no shuffling of each other.
    let (one, two) = ([Reading::Swr(p("1.5")), good], [Reading::Swr(p("1.5")), bad]);
    every_family!(has_no_order(&one, &two).unwrap_err());
    // A power that is read wrongly by one digit in the last place but one.
    let mut readings = read_off((75.0, 20.0), 100.0, 2);
    in_all_families(&readings, "yes").unwrap();
    readings[3] = Reading::ReflectedPercent(p(&format!(
        "{:.2}",
        100.0 * share_of(swr_of((75.0, 20.0), 50.0)) + 0.1
    )));
    in_all_families(&readings, "yes").unwrap_err();
}

// ---- Diagnosis --------------------------------------------------------------------------------------------------

const FREQUENCY: u64 = 14_000_000;

/// The SWR with a part at a place of the circuit: load, part, transformer, part, source.
fn walk((r, x): (f64, f64), turns: Turns, part: Option<Reactor<f64>>, across: bool, at_source: bool) -> f64 {
    let omega = core::f64::consts::TAU * FREQUENCY as f64;
    let n = (f64::from(turns.primary()) / f64::from(turns.secondary())).powi(2);
    let reactance = match part {
        None => None,
        Some(Reactor::Inductor(coil)) => Some(omega * coil.get()),
        Some(Reactor::Capacitor(capacitor)) => Some(-1.0 / (omega * capacitor.get())),
    };
    let with_part = |(r, x): (f64, f64)| match reactance {
        None => (r, x),
        Some(p) if !across => (r, x + p),
        Some(p) => {
            // 1/(1/Z + 1/jp)
            let (g, b) = (r / (r * r + x * x), -x / (r * r + x * x) - 1.0 / p);
            (g / (g * g + b * b), -b / (g * g + b * b))
        }
    };
    let through = |(r, x): (f64, f64)| (r * n, x * n);
    let seen = if at_source {
        with_part(through((r, x)))
    } else {
        through(with_part((r, x)))
    };
    swr_of(seen, 50.0)
}

/// Each SWR that a choice predicts, against the walk.
fn choice_is_walked(load: (f64, f64), choice: &TurnsChoice<f64>) -> Result<(), String> {
    let slack = |swr: f64| 1e-13 * (swr + 1.0).powi(2) + 1e-7;
    let alone = walk(load, choice.turns, None, false, false);
    near("turns alone", choice.reflection.swr().get(), alone, slack(alone))?;
    let placed = |part: &CancellingPart<f64>, across| {
        for (reactor, at_source) in [(part.load_side, false), (part.source_side, true)] {
            let swr = walk(load, choice.turns, reactor, across, at_source);
            near("with the part", part.swr.get(), swr, slack(swr))?;
        }
        Ok::<_, String>(())
    };
    placed(&choice.series, false)?;
    placed(&choice.shunt, true)
}

fn cause_of(load: (f64, f64), limit: f64) -> (Cause, f64) {
    let (r, x) = load;
    let size = r.hypot(x);
    let now = swr_of(load, 50.0);
    let cancelled = swr_of((r, 0.0), 50.0).min(swr_of((size * size / r, 0.0), 50.0));
    let mended = swr_of((r * 50.0 / size, x * 50.0 / size), 50.0);
    let cause = match (cancelled <= limit, mended <= limit) {
        _ if now <= limit => Cause::Matched,
        (true, true) if mended < cancelled => Cause::Ratio,
        (true, _) => Cause::Reactance,
        (false, true) => Cause::Ratio,
        (false, false) => Cause::RatioAndReactance,
    };
    // How near to another verdict.
    let hair = [now - limit, cancelled - limit, mended - limit, mended - cancelled];
    (
        cause,
        hair.iter().fold(f64::INFINITY, |least, gap| least.min(gap.abs())),
    )
}

fn cause_is_true<A: Arithmetic>(
    diagnosis: &Diagnosis<A>,
    load: (f64, f64),
    limit: f64,
    hair: f64,
) -> Result<(), String> {
    let (want, distance) = cause_of(load, limit);
    let by_words = diagnosis.reflection.swr().to_f64() <= limit;
    if by_words != (diagnosis.cause == Cause::Matched) || (distance > hair && diagnosis.cause != want) {
        return Err(format!(
            "{:?}, want {want:?} for {load:?} under {limit}",
            diagnosis.cause
        ));
    }
    Ok(())
}

/// What a Γ in 16 bits, mended and then squared, may lose of a share: half a step of each part of Γ, along the line to
/// the centre at most √2 of it, twice because of the square, and the step of the share's own word.
fn share_rounding<A: Arithmetic>() -> f64 {
    if A::FAMILY == Family::Fixed16 {
        2.0 * 2f64.sqrt() * allowance::<A>(Readout::Reflection, 1.0)
            + allowance::<A>(Readout::ReflectedShare, 1.0)
    } else {
        0.0
    }
}

/// No pair of turns leaves less by itself than the diagnosis says.
fn share_is_a_bound<A: Arithmetic>(diagnosis: &Diagnosis<A>, (r, x): (f64, f64)) -> Result<(), String> {
    let bound = diagnosis.reflected_power_with_ratio.to_f64();
    for primary in 1..=30 {
        for secondary in 1..=30 {
            let n = (f64::from(primary) / f64::from(secondary)).powi(2);
            let left = share_of(swr_of((r * n, x * n), 50.0));
            if left < bound - rounding::<A>().1 - share_rounding::<A>() {
                return Err(format!(
                    "{primary} : {secondary} leaves {left:e}, less than {bound:e}"
                ));
            }
        }
    }
    // And it is reached where |Z| becomes the reference.
    let size = r.hypot(x) / 50.0;
    let reached = share_of(swr_of((r / size, x / size), 50.0));
    near(
        "share",
        bound,
        reached,
        allowance::<A>(Readout::ReflectedShare, 1.0) + 4.0 * rounding::<A>().1 + share_rounding::<A>(),
    )
}

fn diagnose<A: Arithmetic>(
    gamma: Reflection<A>,
    limit: f64,
    most: u8,
) -> Result<Diagnosis<A>, TransformerError> {
    let limit = Swr::<A>::try_from_f64(limit).unwrap();
    Diagnosis::new(gamma, Reference::fifty(), limit, Hertz::new(FREQUENCY), most)
}

fn held<A: Arithmetic>(z: Impedance<A>) -> (f64, f64) {
    (z.resistance().to_f64(), z.reactance().to_f64())
}

/// R and X that belong to the Γ of a diagnosis. In 16 bits they are worked out from Γ, since the diagnosis goes on from
/// there as well, and the word of ohms is only held to its own bound.
fn true_load<A: Arithmetic>(diagnosis: &Diagnosis<A>) -> Result<(f64, f64), String> {
    let (r, x) = held(diagnosis.load);
    if A::FAMILY != Family::Fixed16 {
        return Ok((r, x));
    }
    let gamma = diagnosis.reflection;
    let truth = impedance_truth(gamma.real().to_f64(), gamma.imaginary().to_f64(), 50.0);
    near("R", r, truth.0, allowance::<A>(Readout::Resistance, truth.2))?;
    near("X", x, truth.1, allowance::<A>(Readout::Reactance, truth.2))?;
    Ok((truth.0, truth.1))
}

fn diagnosis_laws<A: Arithmetic>() -> Result<(), String> {
    let mut random = Random::new(9);
    for _ in 0..250 {
        let z = ohms::<A>(random.decades(2.0, 1000.0).abs(), random.decades(1.0, 1000.0));
        let limit = (random.between(1.1, 4.0) * 64.0).round() / 64.0;
        let most = 1 + (random.bits() % 12) as u8;
        let diagnosis = diagnose(z.reflection(Reference::fifty()), limit, most).unwrap();
        let load = true_load(&diagnosis)?;
        cause_is_true(&diagnosis, load, limit, 1e-3)?;
        share_is_a_bound(&diagnosis, load)?;
        let cancelled = diagnosis
            .as_it_is
            .series
            .swr
            .to_f64()
            .min(diagnosis.as_it_is.shunt.swr.to_f64());
        let left = diagnosis.reflected_power_without_reactance.to_f64();
        let word = if A::FAMILY == Family::Fixed16 {
            allowance::<A>(Readout::ReflectedShare, 1.0)
        } else {
            0.0
        };
        near("share", left, share_of(cancelled), 2.0 * rounding::<A>().1 + word)?;
        if diagnosis.as_it_is.turns != Turns::new(1, 1).unwrap() {
            return Err("as it is has turns".into());
        }
        if is_fixed::<A>() {
            fixed_follows_double(&diagnosis, limit, most)?;
        }
    }
    Ok(())
}

/// Against the same Γ in `f64`. ln SWR is a distance that grows by no more than |ΔZ|/R when the load moves (hyperbolic
/// geometry), and half a step of each word is what the load moves by. The best pairs may differ, their SWR may not.
fn fixed_follows_double<A: Arithmetic>(fixed: &Diagnosis<A>, limit: f64, most: u8) -> Result<(), String> {
    let double = diagnose::<f64>(fixed.reflection.convert(), limit, most).unwrap();
    let (r, x) = held(double.load);
    let moved = 1.5 * (0.5 / 4096.0 + 2e-9 * r.hypot(x)) / r;
    let swr = |what: &str, got: Swr<A>, want: f64| {
        near(
            what,
            got.to_f64(),
            want,
            want * moved * 1.5 + swr_slack::<A>(want),
        )
    };
    swr(
        "series",
        fixed.as_it_is.series.swr,
        double.as_it_is.series.swr.get(),
    )?;
    swr(
        "turns",
        fixed.turns_alone.reflection.swr(),
        double.turns_alone.reflection.swr().get(),
    )?;
    swr(
        "turns and series",
        fixed.turns_and_series.series.swr,
        double.turns_and_series.series.swr.get(),
    )?;
    swr(
        "promised",
        fixed.magnitude_rule.swr_promised,
        double.magnitude_rule.swr_promised.get(),
    )?;
    // (R² + X²)/R moves by at most three times as much.
    let shunt = |what: &str, got: Swr<A>, want: f64| {
        near(
            what,
            got.to_f64(),
            want,
            want * moved * 4.5 + swr_slack::<A>(want),
        )
    };
    shunt("shunt", fixed.as_it_is.shunt.swr, double.as_it_is.shunt.swr.get())?;
    shunt(
        "turns and shunt",
        fixed.turns_and_shunt.shunt.swr,
        double.turns_and_shunt.shunt.swr.get(),
    )?;
    near(
        "share",
        fixed.reflected_power_with_ratio.to_f64(),
        double.reflected_power_with_ratio.get(),
        2.0 * moved + share_rounding::<A>(),
    )
}

#[test]
fn the_diagnosis_holds_in_every_family() {
    every_family!(diagnosis_laws().unwrap());
}

#[test]
fn every_remedy_is_what_a_walk_of_the_circuit_gives() {
    let mut random = Random::new(10);
    for _ in 0..2000 {
        let z = ohms::<f64>(random.decades(0.5, 2000.0).abs(), random.decades(0.5, 2000.0));
        let diagnosis = diagnose(z.reflection(Reference::fifty()), 1.5, 12).unwrap();
        let load = held(diagnosis.load);
        for choice in [
            &diagnosis.as_it_is,
            &diagnosis.turns_alone,
            &diagnosis.turns_and_series,
            &diagnosis.turns_and_shunt,
        ] {
            choice_is_walked(load, choice).unwrap();
        }
        let rule = &diagnosis.magnitude_rule;
        let truth = walk(load, rule.turns, None, false, false);
        near(
            "rule",
            rule.reflection.swr().get(),
            truth,
            1e-9 * (truth + 1.0).powi(2),
        )
        .unwrap();
        // Each is the best of its kind among those the diagnosis holds.
        let alone = diagnosis.turns_alone.reflection.swr();
        assert!(
            alone <= diagnosis.turns_and_series.reflection.swr()
                && alone <= diagnosis.reflection.swr() + 1e-9
        );
        assert!(diagnosis.turns_and_series.series.swr <= diagnosis.turns_alone.series.swr);
        assert!(diagnosis.turns_and_shunt.shunt.swr <= diagnosis.turns_alone.shunt.swr);
    }
}

#[test]
fn the_diagnosis_checkers_can_fail() {
    fn check<A: Arithmetic>() {
        let gamma = ohms::<A>(12.0, 30.0).reflection(Reference::fifty());
        let good = diagnose(gamma, 2.0, 12).unwrap();
        let load = true_load(&good).unwrap();
        cause_is_true(&good, load, 2.0, 1e-3).unwrap();
        for cause in [
            Cause::Matched,
            Cause::Ratio,
            Cause::Reactance,
            Cause::RatioAndReactance,
        ] {
            let mut told = good;
            told.cause = cause;
            assert_eq!(cause_is_true(&told, load, 2.0, 1e-3).is_ok(), cause == good.cause);
        }
        share_is_a_bound(&good, load).unwrap();
        for share in [0.0, 0.9] {
            let reflected_power_with_ratio = Component::<A>::try_from_f64(share).unwrap();
            let mut told = good;
            told.reflected_power_with_ratio = reflected_power_with_ratio;
            share_is_a_bound(&told, load).unwrap_err();
        }
        let other = diagnose(ohms::<A>(12.0, 31.0).reflection(Reference::fifty()), 2.0, 12).unwrap();
        let mut mixed = good;
        mixed.turns_and_shunt = other.turns_and_shunt;
        fixed_follows_double(&mixed, 2.0, 12).unwrap_err();
        fixed_follows_double(&good, 2.0, 12).unwrap();
    }
    every_family!(check);
    let diagnosis = diagnose(ohms::<f64>(12.0, 30.0).reflection(Reference::fifty()), 2.0, 12).unwrap();
    let load = held(diagnosis.load);
    let good = diagnosis.turns_and_series;
    choice_is_walked(load, &good).unwrap();
    choice_is_walked((load.0, -load.1), &good).unwrap_err();
    let mut wrong_side = good;
    wrong_side.series.load_side = good.series.source_side;
    choice_is_walked(load, &wrong_side).unwrap_err();
    let mut promising = good;
    promising.shunt.swr = 1.0.into();
    choice_is_walked(load, &promising).unwrap_err();
}

#[test]
fn each_cause_has_a_load() {
    fn check<A: Arithmetic>() {
        for (r, x, limit, cause) in [
            (50.0, 0.0, 1.0, Cause::Matched),
            (60.0, 10.0, 1.5, Cause::Matched),
            (200.0, 0.0, 1.5, Cause::Ratio),
            (200.0, 20.0, 1.5, Cause::Ratio),
            (50.0, 80.0, 1.5, Cause::Reactance),
            (50.0, -80.0, 1.5, Cause::Reactance),
            (1.6, 5.0, 1.5, Cause::RatioAndReactance), // common practice, no source
        ] {
            let diagnosis = diagnose(ohms::<A>(r, x).reflection(Reference::fifty()), limit, 12).unwrap();
            assert_eq!(diagnosis.cause, cause, "{r} + j{x} in {:?}", A::FAMILY);
        }
    }
    every_family!(check);
}

#[test]
fn loads_that_cannot_be_matched() {
    fn check<A: Arithmetic>() {
        let gamma = |re, im| Reflection::<A>::try_from_f64(re, im);
        let mut loads = vec![Reflection::OPEN, Reflection::SHORT];
        loads.extend(
            [
                (0.0, -1.0),
                (0.75, 0.75),
                (-0.9, 0.5),
                (-1.0, -1.0),
                (0.0, 1.0),
                (1.2, 0.0),
                (-1.2, 0.3),
                (0.0, -1.5),
            ]
            .map(|(re, im)| gamma(re, im).unwrap()),
        );
        for load in loads {
            for most in [0, 1, 12] {
                let answer = diagnose(load, 2.0, most).map(|_| ());
                assert_eq!(answer, Err(TransformerError::LoadWithoutResistance), "{load:?}");
            }
        }
        assert_eq!(
            diagnose(gamma(0.3, 0.2).unwrap(), 2.0, 0).map(|_| ()),
            Err(TransformerError::NoTurns)
        );
    }
    every_family!(check);
}

/// A limit that is no SWR is refused by name, and before anything is said of the load.
#[test]
fn a_limit_that_is_no_swr_is_refused() {
    fn refused<A: Arithmetic>(limit: Swr<A>, want: QuantityError) {
        let (fifty, hertz) = (Reference::<A>::fifty(), Hertz::from_megahertz(71));
        let loads = [
            Reflection::MATCHED,
            Reflection::try_from_f64(0.3, -0.6).unwrap(),
            Reflection::OPEN,
        ];
        for load in loads {
            let answer = Diagnosis::new(load, fifty, limit, hertz, 12).map(|found| found.cause);
            assert_eq!(
                answer,
                Err(TransformerError::Quantity(want)),
                "{load:?} {limit:?}"
            );
        }
    }
    fn check<A: Arithmetic>() {
        let swr = |value| Swr::<A>::try_from_f64(value).unwrap();
        refused(swr(0.999), QuantityError::BelowOne("SWR limit"));
        refused(swr(0.0), QuantityError::BelowOne("SWR limit"));
        let matched = diagnose(Reflection::<A>::MATCHED, 1.0, 12).map(|found| found.cause);
        assert_eq!(matched, Ok(Cause::Matched));
    }
    every_family!(check);
    refused::<f32>(f32::NAN.into(), QuantityError::NotFinite("SWR limit"));
    refused::<f64>(f64::NAN.into(), QuantityError::NotFinite("SWR limit"));
    refused::<f64>(f64::INFINITY.into(), QuantityError::NotFinite("SWR limit"));
}

/// A resistance that is lost beside the reference leaves everything, and no NaN.
#[test]
fn next_to_total_reflection() {
    fn check<A: Arithmetic>(step: f64) {
        for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.6, 0.8), (-0.8, 0.6)] {
            for gap in [1.0, 2.0, 5.0, 1000.0] {
                let size = 1.0 - gap * step;
                let gamma = Reflection::<A>::try_from_f64(x * size, y * size).unwrap();
                let Ok(diagnosis) = diagnose(gamma, 2.0, 12) else {
                    continue;
                };
                let shares = [
                    diagnosis.reflected_power_without_reactance,
                    diagnosis.reflected_power_with_ratio,
                ];
                for share in shares.map(|share| share.to_f64()) {
                    assert!((0.0..=1.0 + 1e-6).contains(&share), "{share} at {gamma:?}");
                }
            }
        }
    }
    check::<f64>(2f64.powi(-53));
    check::<f32>(2f64.powi(-24));
    check::<Fixed32>(2f64.powi(-30));
    check::<Fixed16>(2f64.powi(-14));
    // The resistance is 2.8e-15 Ω, and in R + 50 nothing of it is left.
    let short = Reflection::<f64>::new(2f64.powi(-53) - 1.0, 0.0).unwrap();
    assert_eq!(
        diagnose(short, 2.0, 12)
            .unwrap()
            .reflected_power_without_reactance,
        1.0
    );
}
