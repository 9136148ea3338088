//! Agreement of readings at its edges: what |Z| alone forbids, and how far a printed resistance reaches.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::{Agreement, Printed, Reading, compare_readings};
use ohmwright::quantity::Reference;

fn printed(text: &str) -> Printed {
    Printed::parse(text).unwrap()
}

fn agree<A: Arithmetic>(readings: &[Reading]) -> Agreement {
    compare_readings::<A>(readings, Reference::fifty()).unwrap()
}

const CONTRADICTORY: Agreement = Agreement::Contradictory { first: 0, second: 1 };

/// |Z| of a half or of twice the reference cannot have an SWR below 2.
fn least_of_a_magnitude<A: Arithmetic>() {
    for size in ["25.0", "100.0", "10.0", "250.0"] {
        let size = Reading::ImpedanceMagnitude(printed(size));
        for swr in ["1.00", "1.50", "1.90"] {
            let swr = Reading::Swr(printed(swr));
            assert_eq!(agree::<A>(&[size, swr]), CONTRADICTORY, "{size:?} {swr:?}");
            assert_eq!(agree::<A>(&[swr, size]), CONTRADICTORY, "{size:?} {swr:?}");
        }
    }
    // The control: what may be is not contradicted. |Z| alone decides nothing.
    for (size, swr) in [
        ("25.0", "2.00"),
        ("100.0", "2.00"),
        ("50.0", "1.00"),
        ("50.0", "9.00"),
        ("25.0", "7.50"),
    ] {
        let readings = [
            Reading::ImpedanceMagnitude(printed(size)),
            Reading::Swr(printed(swr)),
        ];
        assert_eq!(agree::<A>(&readings), Agreement::Undecided, "{size} {swr}");
    }
}

/// A resistance below the reference does not reach it: 10 ohms have an SWR of 5, not of 1.
fn reach_of_a_resistance<A: Arithmetic>() {
    let box_of = |r: &str, x: &str| Reading::Impedance {
        resistance: printed(r),
        reactance: printed(x),
    };
    for (r, x, swr, is_consistent) in [
        ("10.0", "0.0", "1.00", false),
        ("10.0", "0.0", "5.00", true),
        ("250.0", "0.0", "1.00", false),
        ("250.0", "0.0", "5.00", true),
        ("10.0", "3.0", "2.00", false),
        ("49", "0", "1.0", true),
        ("50.0", "0.0", "1.00", true),
    ] {
        let wanted = if is_consistent {
            Agreement::Consistent
        } else {
            CONTRADICTORY
        };
        let readings = [box_of(r, x), Reading::Swr(printed(swr))];
        assert_eq!(agree::<A>(&readings), wanted, "{r} + j{x}, SWR {swr}");
    }
}

#[test]
fn a_magnitude_far_from_the_reference_has_a_least_swr() {
    every_family!(least_of_a_magnitude);
}

#[test]
fn a_printed_resistance_reaches_half_a_step() {
    every_family!(reach_of_a_resistance);
}

/// A resistance above |Z| has no reactance beside it: the two contradict each other, and are named.
fn pair_without_a_load<A: Arithmetic>() {
    let pair = |r: &str, size: &str| {
        [
            Reading::SeriesResistance(printed(r)),
            Reading::ImpedanceMagnitude(printed(size)),
        ]
    };
    for (r, size) in [("40.0", "30.0"), ("80.0", "60.0"), ("50.2", "49.9")] {
        let [one, other] = pair(r, size);
        assert_eq!(agree::<A>(&[one, other]), CONTRADICTORY, "{r} {size}");
        assert_eq!(agree::<A>(&[other, one]), CONTRADICTORY, "{r} {size}");
    }
    for (r, size) in [("30.0", "40.0"), ("50.0", "50.0")] {
        assert_eq!(agree::<A>(&pair(r, size)), Agreement::Undecided, "{r} {size}");
    }
}

#[test]
fn a_resistance_above_the_magnitude_is_named() {
    every_family!(pair_without_a_load);
}
