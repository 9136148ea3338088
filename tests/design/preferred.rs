//! Preferred values and tolerance corners: every row of `data/preferred_published.csv`, and the laws.

use crate::common::published::all_refused;
use crate::common::{Random, Row, Table};
use ohmwright::arithmetic::Floating;
use ohmwright::design::preferred::{MOST_CORNER_PARTS, PreferredSeries, Tolerance, worst_corner};
use ohmwright::quantity::QuantityError;

fn series(name: &str) -> PreferredSeries {
    *PreferredSeries::ALL
        .iter()
        .find(|series| series.to_string() == name)
        .unwrap_or_else(|| panic!("no series {name}"))
}

fn decade(series: PreferredSeries) -> Vec<f64> {
    series.hundredths().map(|h| f64::from(h) / 100.0).collect()
}

fn formula(n: usize, i: usize, digits: f64) -> f64 {
    (10f64.powf(i as f64 / n as f64) * digits).round() / digits
}

fn published_row(row: Row<'_>) -> Result<(), String> {
    let (id, inputs, expected) = (row.text("id"), row.text("inputs"), row.text("expected"));
    let holds = |holds: bool| {
        if holds {
            Ok(())
        } else {
            Err(format!("{id}: {inputs}"))
        }
    };
    let list = || -> Vec<f64> { expected.split(' ').map(|value| value.parse().unwrap()).collect() };
    match id {
        "T4-171" | "T4-172" | "T4-173" | "T4-175" | "T4-176" => {
            let wanted = list();
            holds(decade(series(inputs)) == wanted)?;
            // Every value is its own nearest, in every decade.
            for decade in [1e-12, 1e-6, 1.0, 1e3] {
                for value in &wanted {
                    holds(
                        (series(inputs).nearest(value * decade).unwrap() / (value * decade) - 1.0).abs()
                            < 1e-14,
                    )?;
                }
            }
            Ok(())
        }
        "T4-174" => {
            let differ: Vec<String> = decade(PreferredSeries::E24)
                .into_iter()
                .enumerate()
                .filter(|(i, value)| *value != formula(24, *i, 10.0))
                .map(|(i, value)| format!("{value:.1} (formula {:.1})", formula(24, i, 10.0)))
                .collect();
            holds(differ.join("; ") == expected)
        }
        "T4-177" => {
            let differ: Vec<(usize, f64)> = decade(PreferredSeries::E192)
                .into_iter()
                .enumerate()
                .filter(|(i, value)| *value != formula(192, *i, 100.0))
                .collect();
            holds(differ == [(185, 9.20)] && formula(192, 185, 100.0) == 9.19 && expected.contains("i=185"))
        }
        "T4-178" | "T4-180" | "T4-181" | "T4-183" | "T4-184" | "T4-186" | "T4-187" | "T4-189" => {
            let mut words = inputs.split(' ').skip(1);
            let of = series(words.next().unwrap());
            let value: f64 = words.nth(2).unwrap().parse().unwrap();
            let want: f64 = expected.parse().unwrap();
            holds(of.nearest(value) == Ok(want))?;
            holds((f64::from(of.nearest(value as f32).unwrap()) / want - 1.0).abs() < 1e-7)
        }
        _ => Err(format!("nobody checks row {id}")),
    }
}

#[test]
fn published_values() {
    let table = Table::parse(include_str!("../data/preferred_published.csv"));
    for row in table.rows() {
        published_row(row).unwrap();
    }
    assert_eq!(table.rows().count(), 15);
}

#[test]
fn a_wrong_or_unknown_row_is_noticed() {
    let header = "id,inputs,quantity,unit,expected";
    let rows = [
        "T4-171,E6,list,,1.0 1.5 2.2 3.3 4.7 6.9",
        "T4-178,nearest E12 value to 477 (smallest ratio error),,,560",
        "T4-174,,list,,2.7 (formula 2.6)",
        "T4-999,,,,1",
    ];
    all_refused(header, &rows, published_row);
}

#[test]
fn neighbours_enclose_and_the_nearest_is_nearest() {
    fn check<F: Floating>(from: impl Fn(f64) -> F, to: impl Fn(F) -> f64) {
        let mut random = Random::new(3);
        for _ in 0..20_000 {
            let of = PreferredSeries::ALL[(random.bits() % 6) as usize];
            let value = from(random.decades(1e-15, 1e12).abs());
            let (below, above) = of.neighbours(value).unwrap();
            assert!(
                below <= value && value <= above || to(above) / to(below) == 1.0,
                "{value:?}"
            );
            // No two values of a series are further apart than this.
            let widest = [1.55, 1.26, 1.16, 1.06, 1.031, 1.02][of as usize];
            assert!(to(above) / to(below) < widest, "{of} {below:?} {above:?}");
            let nearest = of.nearest(value).unwrap();
            let off = |one: F| (to(one) / to(value)).ln().abs();
            assert!(off(nearest) <= off(below) + 1e-7 && off(nearest) <= off(above) + 1e-7);
            // The control: the other one is not nearer.
            let other = if nearest == below { above } else { below };
            assert!(off(other) >= off(nearest) - 1e-7);
        }
    }
    check::<f64>(|x| x, |x| x);
    check::<f32>(|x| x as f32, f64::from);
    // The decimal value itself, not a neighbour of it in the last place.
    assert_eq!(PreferredSeries::E24.nearest(4.69e-12), Ok(4.7e-12));
    assert_eq!(PreferredSeries::E24.nearest(3.31e-7f32), Ok(3.3e-7f32));
    assert_eq!(PreferredSeries::E6.neighbours(1e-18), Ok((1e-18, 1e-18)));
    assert_eq!(PreferredSeries::E6.neighbours(9.99e-10), Ok((6.8e-10, 1e-9)));
}

#[test]
fn refusals_name_the_parameter() {
    let nearest = |value: f64| PreferredSeries::E24.nearest(value);
    assert_eq!(nearest(0.0), Err(QuantityError::NotPositive("value of a part")));
    assert_eq!(nearest(-1.0), Err(QuantityError::NotPositive("value of a part")));
    assert_eq!(
        nearest(f64::NAN),
        Err(QuantityError::NotFinite("value of a part"))
    );
    assert_eq!(
        nearest(1e19),
        Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
            parameter: "value of a part",
            rule: "must be from 1e-18 to 1e18"
        }))
    );
    assert_eq!(
        Tolerance::new(1.0f64),
        Err(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
            parameter: "tolerance",
            rule: "must be below 1, which is 100 %"
        }))
    );
    assert_eq!(Tolerance::new(-0.1f64), Err(QuantityError::Negative("tolerance")));
    assert_eq!(
        Tolerance::new(f32::INFINITY),
        Err(QuantityError::NotFinite("tolerance"))
    );
    let many = [Tolerance::new(0.05f64).unwrap(); MOST_CORNER_PARTS + 1];
    assert_eq!(
        worst_corner(&many, |_| 1.0).err(),
        Some(QuantityError::OutsideLimits(&ohmwright::quantity::Limits {
            parameter: "number of parts",
            rule: "must be at most 8"
        }))
    );
}

#[test]
fn the_worst_corner_is_the_worst_of_all_in_between() {
    let tolerances = [0.05, 0.0, 0.1].map(|t| Tolerance::new(t).unwrap());
    // |Γ| of a series circuit off resonance, in units of its resistance.
    let measure = |f: &[f64]| {
        let x = 5.0 * f[0] - 5.0 / f[2];
        x.abs() * f[1] / (4.0 + x * x).sqrt()
    };
    let mut calls = 0;
    let corner = worst_corner(&tolerances, |f| {
        calls += 1;
        measure(f)
    })
    .unwrap();
    assert_eq!(calls, 4);
    assert_eq!(measure(corner.factors()), corner.worst);
    let mut random = Random::new(4);
    let mut worst: f64 = 0.0;
    for _ in 0..20_000 {
        let between = [random.between(0.95, 1.05), 1.0, random.between(0.9, 1.1)];
        worst = worst.max(measure(&between));
    }
    assert!(
        worst <= corner.worst && worst > 0.98 * corner.worst,
        "{worst} {}",
        corner.worst
    );
    // The control: the best corner is not it.
    let best = worst_corner(&tolerances, |f| -measure(f)).unwrap();
    assert!(-best.worst < 0.9 * corner.worst);
    assert_eq!(worst_corner::<f64>(&[], |_| 7.0).unwrap().worst, 7.0);
    assert!(worst_corner(&tolerances, |_| f64::NAN).unwrap().worst.is_nan());
    // One corner that has no value is the worst, wherever it stands.
    for none in 0..4 {
        let mut corner = 0;
        let found = worst_corner(&tolerances, |f| {
            corner += 1;
            if corner == none + 1 { f64::NAN } else { measure(f) }
        });
        assert!(found.unwrap().worst.is_nan(), "corner {none}");
    }
}
