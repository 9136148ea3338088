//! Plans of frequencies, against exact fractions and the standard library's logarithms.

use crate::common::Random;
use ohmwright::measure::{FrequencyPlan, PlanError};
use ohmwright::quantity::Hertz;

fn hertz(plan: &FrequencyPlan<'_>) -> Vec<u64> {
    plan.iter().map(Hertz::get).collect()
}

fn rises(list: &[u64]) -> bool {
    list.windows(2).all(|pair| pair[0] < pair[1])
}

/// Start, stop and points of all sizes.
fn cases() -> Vec<(u64, u64, u32)> {
    let mut random = Random::new(3);
    let mut cases = vec![
        (0, 1, 2),
        (0, 10, 11),
        (1, 2, 2),
        (60_000_000, 80_000_000, 201),
        (4_500_000, 6_500_000, 401),
        (0, u64::MAX, 7),
        (u64::MAX - 5, u64::MAX, 6),
    ];
    for _ in 0..300 {
        let start = random.decades(1.0, 1e9).abs() as u64;
        let stop = start + random.decades(1e3, 1e9).abs() as u64;
        cases.push((start, stop, 2 + random.between(0.0, 500.0) as u32));
    }
    cases
}

#[test]
fn linear_points_are_the_nearest_hertz() {
    for (start, stop, points) in cases() {
        let plan = FrequencyPlan::linear(Hertz::new(start), Hertz::new(stop), points).unwrap();
        let list = hertz(&plan);
        assert_eq!(list.len(), points as usize);
        assert_eq!((list[0], list[list.len() - 1]), (start, stop));
        assert!(rises(&list), "{start} {stop} {points}");
        let steps = u128::from(points - 1);
        for (index, place) in list.iter().enumerate() {
            // Halves upwards.
            let exact = u128::from(start) * 2 * steps + 2 * u128::from(stop - start) * index as u128;
            let want = (exact + steps) / (2 * steps);
            assert_eq!(u128::from(*place), want, "{start} {stop} {points} at {index}");
        }
        assert_eq!(plan.point(points), None);
    }
}

#[test]
fn logarithmic_points_have_one_ratio() {
    let mut seen = 0f64;
    for (start, stop, points) in cases() {
        let plan = match FrequencyPlan::logarithmic(Hertz::new(start), Hertz::new(stop), points) {
            Ok(plan) => plan,
            Err(PlanError::FromZero) if start == 0 => continue,
            Err(PlanError::TooManyPoints) => {
                // Rightly: the first step is not much more than a hertz.
                let step = (stop as f64 / start as f64).powf(1.0 / f64::from(points - 1));
                assert!(start as f64 * (step - 1.0) < 1.02, "{start} {stop} {points}");
                continue;
            }
            Err(error) => panic!("{error}"),
        };
        let list = hertz(&plan);
        assert_eq!(list.len(), points as usize);
        assert_eq!((list[0], list[list.len() - 1]), (start, stop));
        assert!(rises(&list), "{start} {stop} {points}");
        let ratio = stop as f64 / start as f64;
        for (index, place) in list.iter().enumerate() {
            let want = start as f64 * ratio.powf(index as f64 / f64::from(points - 1));
            let error = (*place as f64 - want).abs();
            seen = seen.max((error - 0.5) / want);
            assert!(
                error <= 0.5 + 3e-8 * want,
                "{start} {stop} {points} at {index}: {error}"
            );
        }
    }
    assert!(seen > 1e-11, "the search saw no error at all: {seen:e}");
}

#[test]
fn a_list_is_taken_as_it_is() {
    let list = [3, 5, 70, 71].map(Hertz::new);
    let plan = FrequencyPlan::list(&list).unwrap();
    assert_eq!(hertz(&plan), [3, 5, 70, 71]);
    assert_eq!(
        (plan.start(), plan.stop(), plan.points()),
        (Hertz::new(3), Hertz::new(71), 4)
    );
    assert_eq!(plan.point(4), None);
}

#[test]
fn bad_plans_are_named() {
    let plan =
        |start, stop, points| FrequencyPlan::linear(Hertz::new(start), Hertz::new(stop), points).unwrap_err();
    assert_eq!(plan(1, 2, 1), PlanError::TooFewPoints);
    assert_eq!(plan(2, 2, 2), PlanError::Empty);
    assert_eq!(plan(3, 2, 2), PlanError::Empty);
    assert_eq!(plan(1, 5, 6), PlanError::TooManyPoints);
    let plan = |start, stop, points| {
        FrequencyPlan::logarithmic(Hertz::new(start), Hertz::new(stop), points).unwrap_err()
    };
    assert_eq!(plan(0, 5, 3), PlanError::FromZero);
    assert_eq!(plan(1, 1000, 50), PlanError::TooManyPoints);
    assert_eq!(plan(7, 7, 3), PlanError::Empty);
    assert_eq!(FrequencyPlan::list(&[]).unwrap_err(), PlanError::TooFewPoints);
    assert_eq!(
        FrequencyPlan::list(&[Hertz::new(1)]).unwrap_err(),
        PlanError::TooFewPoints
    );
    let list = [1, 5, 5, 7].map(Hertz::new);
    assert_eq!(
        FrequencyPlan::list(&list).unwrap_err(),
        PlanError::NotRising(Hertz::new(5))
    );
}
