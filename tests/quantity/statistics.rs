//! Mean and standard deviation against certified values.
//!
//! Source: NIST Statistical Reference Datasets (StRD), Univariate Summary Statistics, data sets NumAcc1 to NumAcc4, which
//! are made by a rule and whose mean and standard deviation are exact (from memory).

use crate::common::Random;
use ohmwright::arithmetic::{Arithmetic, Quantity};
use ohmwright::fixed::types::{I2F30, I20F12};
use ohmwright::measure::Statistics;
use ohmwright::quantity::Ohms;
use proptest::prelude::*;

/// The set, its mean and its standard deviation.
struct Certified {
    name: &'static str,
    data: Vec<f64>,
    mean: f64,
    deviation: f64,
}

/// `middle`, then `middle` less and more a tenth in turn, five hundred times.
fn alternating(name: &'static str, whole: f64) -> Certified {
    let mut data = vec![whole + 0.2];
    for _ in 0..500 {
        data.extend([whole + 0.1, whole + 0.3]);
    }
    Certified {
        name,
        data,
        mean: whole + 0.2,
        deviation: 0.1,
    }
}

fn certified() -> [Certified; 4] {
    [
        Certified {
            name: "NumAcc1",
            data: vec![10_000_001.0, 10_000_003.0, 10_000_002.0],
            mean: 10_000_002.0,
            deviation: 1.0,
        },
        alternating("NumAcc2", 1.0),
        alternating("NumAcc3", 1_000_000.0),
        alternating("NumAcc4", 10_000_000.0),
    ]
}

/// The number of right digits, 15 at most.
fn digits(got: f64, want: f64) -> f64 {
    if got == want {
        return 15.0;
    }
    -((got - want).abs() / want.abs()).log10()
}

fn of<Q: Quantity>(data: impl IntoIterator<Item = Q>) -> Statistics<Q> {
    let mut statistics = Statistics::new();
    for reading in data {
        assert!(statistics.push(reading));
    }
    statistics
}

#[test]
fn the_certified_sets_in_double_precision() {
    // What a double leaves of a deviation of 0.1 on ten million: the data themselves are rounded to 1e-9.
    for (set, least) in certified().iter().zip([15.0, 14.0, 9.0, 8.0]) {
        let statistics = of(set.data.iter().copied());
        let (mean, deviation) = (
            statistics.mean().unwrap(),
            statistics.standard_deviation().unwrap(),
        );
        assert!(digits(mean, set.mean) >= 14.0, "{}: {mean}", set.name);
        assert!(
            digits(deviation, set.deviation) >= least,
            "{}: {deviation}",
            set.name
        );
        assert_eq!(statistics.count() as usize, set.data.len());
    }
    // Control: the formula with two large sums loses what matters.
    let set = &certified()[3];
    let n = set.data.len() as f64;
    let (sum, squares) = set
        .data
        .iter()
        .fold((0.0, 0.0), |(sum, squares), x| (sum + x, squares + x * x));
    let naive: f64 = (squares - sum * sum / n) / (n - 1.0);
    assert!(digits(naive.max(0.0).sqrt(), set.deviation) < 2.0, "{naive}");
}

#[test]
fn the_certified_sets_in_single_precision() {
    let sets = certified();
    // Whole numbers up to 2²⁴ are exact.
    let statistics = of(sets[0].data.iter().map(|x| *x as f32));
    assert_eq!(statistics.mean(), Some(10_000_002.0));
    assert_eq!(statistics.standard_deviation(), Some(1.0));
    let statistics = of(sets[1].data.iter().map(|x| *x as f32));
    assert!(digits(statistics.mean().unwrap().into(), 1.2) > 6.0);
    assert!(digits(statistics.standard_deviation().unwrap().into(), 0.1) > 5.0);
}

/// In fixed point the data are what the word holds, and the truth is computed from that.
#[test]
fn the_certified_sets_in_fixed_point() {
    let sets = certified();
    let statistics = of(sets[0].data.iter().map(|x| *x as u32));
    assert_eq!(
        (statistics.mean(), statistics.standard_deviation()),
        (Some(10_000_002), Some(1))
    );
    let held: Vec<I2F30> = sets[1].data.iter().map(|x| I2F30::from_num(*x)).collect();
    let statistics = of(held.iter().copied());
    assert!(digits(statistics.mean().unwrap().to_num(), 1.2) > 8.0);
    assert!(digits(statistics.standard_deviation().unwrap().to_num(), 0.1) > 7.5);
    // A million does not fit into a word of ohms: NumAcc3 with a tenth of it.
    let ohms: Vec<I20F12> = alternating("", 100_000.0)
        .data
        .iter()
        .map(|x| I20F12::from_num(*x))
        .collect();
    let truth = of(ohms.iter().map(|x| x.to_num::<f64>()));
    let statistics = of(ohms.iter().copied());
    let got: f64 = statistics.mean().unwrap().to_num();
    assert!(
        (got - truth.mean().unwrap()).abs() < 0.5 / 4096.0 + 100_000.0 * 4e-9 * 10.0,
        "{got}"
    );
    let got: f64 = statistics.standard_deviation().unwrap().to_num();
    assert!((got - 0.1).abs() < 1e-3, "{got}");
}

fn edges<A: Arithmetic>() {
    let mut ohms = Statistics::<Ohms<A>>::new();
    assert_eq!(
        (ohms.mean(), ohms.standard_deviation(), ohms.standard_error()),
        (None, None, None)
    );
    let reading = Ohms::<A>::try_from_f64(12.5).unwrap();
    assert!(ohms.push(reading));
    assert_eq!((ohms.mean(), ohms.standard_deviation()), (Some(reading), None));
    for _ in 0..3 {
        assert!(ohms.push(reading));
    }
    assert_eq!(
        (ohms.mean(), ohms.standard_deviation()),
        (Some(reading), Some(Ohms::<A>::ZERO))
    );
    // The ends of the word are numbers like any other in fixed point; infinity is none.
    let before = ohms;
    let taken = ohms.push(Ohms::<A>::MAX);
    assert_eq!(taken, Ohms::<A>::MAX.is_finite());
    if !taken {
        assert_eq!(ohms, before);
    }
}

#[test]
fn the_edges_of_every_family() {
    every_family!(edges);
    let mut statistics = Statistics::<f32>::new();
    assert!(!statistics.push(f32::NAN));
    // The square of the difference leaves the range: refused, and not turned into NaN.
    assert!(statistics.push(1e30) && !statistics.push(-1e30));
    assert_eq!(statistics.mean(), Some(1e30));
}

/// The standard error covers the mean as often as it says: 68.3 % within one, 95.4 % within two (normal distribution;
/// with 50 readings each a little less).
#[test]
fn the_standard_error_covers_the_mean() {
    let mut random = Random::new(1962);
    let mut within = [0; 2];
    let rounds = 4_000;
    for _ in 0..rounds {
        let mut statistics = Statistics::<f64>::new();
        for _ in 0..50 {
            let normal = (0..12).map(|_| random.between(-0.5, 0.5)).sum::<f64>();
            statistics.push(37.0 + 3.0 * normal);
        }
        let off = (statistics.mean().unwrap() - 37.0).abs();
        let error = statistics.standard_error().unwrap();
        within[0] += u32::from(off <= error);
        within[1] += u32::from(off <= 2.0 * error);
    }
    let share = within.map(|count| f64::from(count) / f64::from(rounds));
    assert!(
        (0.655..0.70).contains(&share[0]) && (0.935..0.965).contains(&share[1]),
        "{share:?}"
    );
}

proptest! {
    #[test]
    fn any_readings(data in prop::collection::vec(-1.9f64..1.9, 2..200)) {
        let words: Vec<I2F30> = data.iter().map(|x| I2F30::from_num(*x)).collect();
        let exact: Vec<f64> = words.iter().map(|x| x.to_num()).collect();
        let n = exact.len() as f64;
        let mean = exact.iter().sum::<f64>() / n;
        let deviation = (exact.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
        let statistics = of(words);
        // Two readings far apart deviate by more than the word holds: it is at its end then.
        let held = |want: f64| want.min(I2F30::MAX.to_num());
        let close = |got: Option<I2F30>, want: f64| (got.unwrap().to_num::<f64>() - held(want)).abs() < 4e-8;
        prop_assert!(close(statistics.mean(), mean));
        prop_assert!(close(statistics.standard_deviation(), deviation));
        prop_assert!(close(statistics.standard_error(), deviation / n.sqrt()));
        let double = of(exact);
        prop_assert!((double.mean().unwrap() - mean).abs() < 1e-14);
        prop_assert!((double.standard_deviation().unwrap() - deviation).abs() < 1e-13);
    }
}
