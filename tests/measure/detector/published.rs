//! Published values of directivity and of SWR from powers: every row of `data/detector_published.csv`.

use ohmwright::arithmetic::{Arithmetic, Fixed16};
use ohmwright::measure::detector::{LevelTable, ScalarDetector, ScalarReading, ScalarSettings};
use ohmwright::quantity::{Component, Decibels, Reference, Reflection, Volts};

use crate::common::impedances::word;
use crate::common::published::number_behind;
use crate::common::{Row, Table};

/// A reading of these voltages. The table is one straight line through the wanted levels, so that counts round nothing.
fn reading<A: Arithmetic>(forward: f64, reverse: f64, directivity: f64) -> ScalarReading<A> {
    let mut points = vec![(1, Volts::<A>::ZERO)];
    let (forward, reverse) = (word::<Volts<A>>(forward), word::<Volts<A>>(reverse));
    points.extend([(2, reverse), (3, forward)]);
    let table = LevelTable::new(&points).unwrap();
    let settings = ScalarSettings {
        reference: Reference::fifty(),
        coupling: Decibels::<A>::ZERO,
        directivity: word(directivity),
        full_scale: 100,
        weakest: word(0.001),
    };
    ScalarDetector::new(settings, table, table)
        .unwrap()
        .read(3, 2)
        .unwrap()
}

/// |Γ| as a return loss in dB.
fn loss<A: Arithmetic>(magnitude: Component<A>) -> f64 {
    Reflection::<A>::new(magnitude, Component::<A>::ZERO)
        .unwrap()
        .return_loss()
        .to_f64()
}

/// What the volts that this family holds are worth, relative.
fn held<A: Arithmetic>(volts: f64) -> f64 {
    (word::<Volts<A>>(volts).to_f64() / volts - 1.0).abs()
}

fn row<A: Arithmetic>(row: Row) {
    let (id, inputs, quantity) = (row.text("id"), row.text("inputs"), row.text("quantity"));
    let (got, slack) = match id {
        "T5-087" | "T5-088" | "T5-091" | "T5-092" | "T5-093" | "T5-094" => {
            let directivity = number_behind(inputs, "directivity");
            let rho = 10f64.powf(-number_behind(inputs, "return loss") / 20.0);
            // A line with 200 V, so that a word of volts has its digits.
            let reading = reading::<A>(200.0, 200.0 * rho, directivity);
            let (low, high) = reading.magnitude_interval();
            let end = if quantity == "worst low reading" {
                high
            } else {
                low
            };
            // From here to the end of |Γ| in dB: 8.7 dB for each part of it, a step of the word, the logarithm's error.
            let step = if A::FAMILY == Fixed16::FAMILY {
                3.1e-5
            } else {
                2e-9
            };
            let slack = 8.7 * (held::<A>(200.0 * rho) + step / end.to_f64().max(1e-9)) + 1e-4;
            if row.text("expected") == "+infinity" {
                // The least |Γ| is 0, to what the words hold.
                assert!(end.to_f64() <= 2e-5, "{id}: {end:?}");
                return;
            }
            (loss::<A>(end), slack)
        }
        "T1-306" | "T1-308" => {
            let volts = ["Pfwd=", "Prefl="].map(|key| (number_behind(inputs, key) * 50.0).sqrt());
            let reading = reading::<A>(volts[0], volts[1], 40.0);
            assert!((reading.forward().to_f64() - number_behind(inputs, "Pfwd=")).abs() < 5e-3);
            (
                reading.swr().to_f64(),
                4.0 * (held::<A>(volts[0]) + held::<A>(volts[1])) + 1e-5,
            )
        }
        "T1-309" => {
            let swr = number_behind(inputs, "SWR=");
            // 200 W in place of 200 mW, so that a word of watts has its digits.
            let volts = (number_behind(inputs, "Pinc=") * 50.0).sqrt();
            let reading = reading::<A>(volts, volts * (swr - 1.0) / (swr + 1.0), 40.0);
            assert!((reading.swr().to_f64() - swr).abs() < 1e-4);
            (reading.reflected().to_f64(), 1e-3)
        }
        other => panic!("nobody looks after {other}"),
    };
    let expected = row.number("expected");
    let allowed = row.number("tolerance") + if A::FAMILY == f64::FAMILY { 0.0 } else { slack };
    assert!(
        (got - expected).abs() <= allowed,
        "{id} in {:?}: {got} instead of {expected}",
        A::FAMILY
    );
    if !row.text("printed").is_empty() {
        let allowed = row.number("printed_tol") + allowed;
        assert!((got - row.number("printed")).abs() <= allowed, "{id}: {got}");
    }
}

#[test]
fn every_row_in_every_family() {
    let table = Table::parse(include_str!("../../data/detector_published.csv"));
    assert_eq!(table.rows().count(), 9);
    for each in table.rows() {
        every_family!(row(each));
    }
}
