//! Readings off scales: printed numbers, the interval each allows, and whether they agree.

use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::measure::{Agreement, Printed, Reading, compare_readings, swr_interval};
use ohmwright::quantity::Reference;

use super::{Bytes, number};

pub fn run(data: &[u8]) {
    let mut bytes = Bytes::new(data);
    let mut readings = Vec::new();
    while !bytes.is_empty() && readings.len() < 6 {
        if let Some(reading) = reading(&mut bytes) {
            readings.push(reading);
        }
    }
    check::<f64>(&readings);
    check::<f32>(&readings);
    check::<Fixed32>(&readings);
}

/// As text or by its digits.
fn printed(bytes: &mut Bytes<'_>) -> Option<Printed> {
    let how = bytes.byte();
    let printed = if how < 0xc0 {
        let text = bytes.slice((how & 15) as usize);
        Printed::parse(core::str::from_utf8(text).ok()?)
    } else {
        Printed::new(bytes.word() as i32, how & 15)
    };
    let printed = printed.ok()?;
    // What it shows reads as itself, as long as it has no more than nine digits.
    let shown = printed.to_string();
    if shown.bytes().filter(u8::is_ascii_digit).count() <= 9 {
        assert_eq!(Printed::parse(&shown), Ok(printed), "{shown}");
    }
    Some(printed)
}

fn reading(bytes: &mut Bytes<'_>) -> Option<Reading> {
    Some(match bytes.byte() % 9 {
        0 => Reading::Swr(printed(bytes)?),
        1 => Reading::ReturnLoss(printed(bytes)?),
        2 => Reading::MismatchLoss(printed(bytes)?),
        3 => Reading::ReflectedPercent(printed(bytes)?),
        4 => Reading::Magnitude(printed(bytes)?),
        5 => Reading::ImpedanceMagnitude(printed(bytes)?),
        6 => Reading::Impedance {
            resistance: printed(bytes)?,
            reactance: printed(bytes)?,
        },
        7 => Reading::Resistive(printed(bytes)?),
        _ => Reading::Powers {
            forward: printed(bytes)?,
            reflected: printed(bytes)?,
        },
    })
}

fn check<A: Arithmetic>(readings: &[Reading]) {
    let reference = Reference::<A>::fifty();
    let mut sensible = Vec::new();
    for reading in readings {
        match swr_interval(reading, reference) {
            Ok((low, high)) => {
                let (low, high) = (number(low), number(high));
                assert!(1.0 <= low && low <= high, "{reading:?}: {low} to {high}");
                sensible.push(*reading);
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
        // Nothing to compare it with; what makes no sense makes none here either.
        let alone = compare_readings(&[*reading], reference);
        assert_eq!(alone.is_ok(), swr_interval(reading, reference).is_ok());
        assert!(matches!(alone, Ok(Agreement::Undecided) | Err(_)));
    }
    assert_eq!(
        compare_readings(readings, reference).is_ok(),
        sensible.len() == readings.len()
    );
    let Ok(verdict) = compare_readings(&sensible, reference) else {
        panic!("each makes sense by itself");
    };
    if let Agreement::Contradictory { first, second } = verdict {
        assert!(first < second && second < sensible.len());
        let pair = [sensible[first], sensible[second]];
        assert!(matches!(
            compare_readings(&pair, reference),
            Ok(Agreement::Contradictory { .. })
        ));
    }
    // The order decides which pair is named, not whether there is one.
    sensible.reverse();
    let turned = compare_readings(&sensible, reference).expect("the same readings");
    assert_eq!(
        core::mem::discriminant(&turned),
        core::mem::discriminant(&verdict)
    );
    // A reading always agrees with itself.
    for reading in &sensible {
        let twice = compare_readings(&[*reading, *reading], reference).expect("it makes sense");
        assert!(!matches!(twice, Agreement::Contradictory { .. }), "{reading:?}");
    }
}
