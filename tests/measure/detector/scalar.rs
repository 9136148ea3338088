//! A coupler with two diodes: mpmath, simulated leakage, and everything that is refused.

use core::f64::consts::TAU;

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::detector::{Channel, DetectorError, LevelTable, ScalarDetector, ScalarSettings};
use ohmwright::quantity::{Component, Decibels, Ratio, Reference, Swr, Volts, Watts};
use proptest::prelude::*;

use super::{close, half_unit};
use crate::common::impedances::word;
use crate::common::{Random, Table};

/// The invented diode of the vectors.
fn diode<A: Arithmetic>() -> Vec<(i32, Volts<A>)> {
    let table = Table::parse(include_str!("../../data/detector_table.csv"));
    let point = |row: crate::common::Row| (row.bits("counts"), word(row.number("volts_bits") / 4096.0));
    table.rows().map(point).collect()
}

fn settings<A: Arithmetic>(coupling: f64, directivity: f64, reference: f64) -> ScalarSettings<A> {
    ScalarSettings {
        reference: Reference::try_from_f64(reference).unwrap(),
        coupling: word(coupling),
        directivity: word(directivity),
        full_scale: 32_767,
        weakest: word(0.04),
    }
}

/// What the families are right to, of |Γ| and of a power.
fn relative<A: Arithmetic>() -> (f64, f64) {
    match A::FAMILY {
        Family::F64 => (1e-15, 5e-15),
        Family::F32 | Family::SoftF32 => (5e-7, 5e-6),
        _ => (2e-8, 1e-7),
    }
}

fn vectors<A: Arithmetic>(spoil: f64) {
    let points = diode::<A>();
    let diode = LevelTable::new(&points).unwrap();
    let table = Table::parse(include_str!("../../data/detector_scalar.csv"));
    let mut rows = 0;
    for row in table.rows() {
        let settings = settings(
            row.number("coupling_db"),
            row.number("directivity_db"),
            row.number("reference_ohm"),
        );
        let detector = ScalarDetector::<A>::new(settings, diode, diode).unwrap();
        let reading = detector.read(row.bits("forward"), row.bits("reverse")).unwrap();
        let (near, powers) = relative::<A>();
        let unit = 1.01 * half_unit::<Component<A>>();
        let rho = row.number("magnitude");
        close("|Γ|", reading.magnitude(), rho * (1.0 + spoil), near * rho + unit);
        let (low, high) = reading.magnitude_interval();
        // The leak comes out of decibels: 3e-8 of itself in fixed point.
        let ends = 2.0 * near * (rho + 1.0) + unit;
        close("least |Γ|", low, row.number("magnitude_low"), ends);
        close("largest |Γ|", high, row.number("magnitude_high"), ends);
        let swr = |what: &str, got: Option<Swr<A>>, want: f64| {
            // What is beyond the word has no limit; at the rim rounding decides.
            match got {
                Some(got) => {
                    let slack = 3.0 * near * (1.0 + want).powi(2) + half_unit::<Ratio<A>>();
                    close(what, got, want, if slack > want { f64::INFINITY } else { slack });
                }
                None => assert!(want > 6e4 || want * near > 0.01, "{what}: {want}"),
            }
        };
        let interval = reading.swr_interval();
        let total = row.text("swr") == "inf";
        if total {
            assert!(reading.swr() == Swr::<A>::MAX);
        } else {
            swr("SWR", Some(reading.swr()), row.number("swr"));
        }
        assert_eq!(row.text("swr_high") == "inf", interval.high.is_none(), "{rho}");
        if row.text("swr_high") != "inf" {
            swr("largest SWR", interval.high, row.number("swr_high"));
        }
        if row.text("swr_low") == "inf" {
            assert!(interval.low == Swr::<A>::MAX);
        } else {
            swr("least SWR", Some(interval.low), row.number("swr_low"));
        }
        let unit = 1.01 * half_unit::<Watts<A>>();
        let forward = row.number("forward_w");
        close("forward", reading.forward(), forward, powers * forward + unit);
        let reflected = row.number("reflected_w");
        close(
            "reflected",
            reading.reflected(),
            reflected,
            powers * reflected + unit,
        );
        let sum = forward + reflected;
        close(
            "delivered",
            reading.delivered(),
            row.number("delivered_w"),
            powers * sum + unit,
        );
        let quality = reading.quality();
        assert!(quality.phase_ambiguous && !quality.upper_limit);
        assert_eq!(quality.above_unity, rho > 1.0, "{rho}");
        assert_eq!(
            quality.near_overload,
            row.bits("forward") >= 28_672 || row.bits("reverse") >= 28_672
        );
        rows += 1;
    }
    assert_eq!(rows, 212);
}

#[test]
fn as_mpmath_has_it() {
    every_family!(vectors(0.0));
}

#[test]
#[should_panic(expected = "|Γ|")]
fn the_law_can_fail() {
    vectors::<Fixed32>(1e-7);
}

fn refusals<A: Arithmetic>() {
    use Channel::{Forward, Reverse};
    let points = diode::<A>();
    let diode = LevelTable::new(&points).unwrap();
    let sound = settings::<A>(30.0, 28.0, 50.0);
    let detector = ScalarDetector::new(sound, diode, diode).unwrap();
    let read = |forward, reverse| {
        detector
            .read(forward, reverse)
            .map(|reading| reading.quality().upper_limit)
    };
    for end in [32_767, 40_000, i32::MAX] {
        assert_eq!(read(end, 100), Err(DetectorError::Overload(Forward)));
        assert_eq!(read(10_000, end), Err(DetectorError::Overload(Reverse)));
    }
    for above in [30_001, 32_766] {
        assert_eq!(read(above, 100), Err(DetectorError::AboveTable(Forward)));
        assert_eq!(read(10_000, above), Err(DetectorError::AboveTable(Reverse)));
    }
    for below in [11, 0, -1, i32::MIN] {
        assert_eq!(read(below, 100), Err(DetectorError::BelowTable(Forward)));
        // A good match is no error, but a limit.
        assert_eq!(read(10_000, below), Ok(true));
    }
    // 13 counts are 0.05 V, 12 nothing.
    assert_eq!(read(12, 12), Err(DetectorError::TooWeak(Forward)));
    assert_eq!(read(13, 12), Ok(false));
    assert!(detector.read(13, 12).unwrap().quality().weak);
    // A table that does not begin at nothing: below it |Γ| is at most what its first point says, and may be 0.
    let late = LevelTable::new(points.get(3..).unwrap()).unwrap();
    let detector = ScalarDetector::new(sound, diode, late).unwrap();
    let (first, limit) = (
        detector.read(10_000, 28).unwrap(),
        detector.read(10_000, 20).unwrap(),
    );
    assert_eq!(limit.magnitude(), first.magnitude());
    assert!(limit.quality().upper_limit && !first.quality().upper_limit);
    assert!(limit.swr_interval().low.to_f64() == 1.0 && limit.magnitude_interval().0 == Component::<A>::ZERO);

    // Tables.
    let volts = word::<Volts<A>>;
    let table = |points: &[(i32, Volts<A>)]| LevelTable::<A>::new(points).map(|table| table.points().len());
    assert_eq!(table(&[]), Err(DetectorError::TableTooShort));
    assert_eq!(table(&[(5, volts(1.0))]), Err(DetectorError::TableTooShort));
    assert_eq!(table(&[(5, volts(1.0)), (6, volts(2.0))]), Ok(2));
    assert_eq!(
        table(&[(5, volts(1.0)), (5, volts(2.0))]),
        Err(DetectorError::TableNotMonotone(0))
    );
    assert_eq!(
        table(&[(5, volts(1.0)), (6, volts(2.0)), (7, volts(2.0))]),
        Err(DetectorError::TableNotMonotone(1))
    );
    assert_eq!(
        table(&[(5, volts(-1.0)), (6, volts(2.0))]),
        Err(DetectorError::TableNotMonotone(0))
    );
    // Every count from end to end of the numbers.
    let wide = [(i32::MIN, volts(0.0)), (0, volts(1.0)), (i32::MAX, volts(3.0))];
    let wide = LevelTable::<A>::new(&wide).unwrap();
    for (counts, want) in [
        (i32::MIN, 0.0),
        (-(1 << 30), 0.5),
        (0, 1.0),
        (1 << 30, 2.0),
        (i32::MAX, 3.0),
    ] {
        close(
            "level",
            wide.level(counts, Forward).unwrap(),
            want,
            3e-7 + half_unit::<Volts<A>>(),
        );
    }

    // Settings.
    let refused = |settings| ScalarDetector::<A>::new(settings, diode, diode).is_err();
    assert!(!refused(sound));
    for bad in [-1.0, 201.0] {
        assert!(refused(ScalarSettings {
            coupling: word(bad),
            ..sound
        }));
        assert!(refused(ScalarSettings {
            directivity: word(bad),
            ..sound
        }));
    }
    assert!(refused(ScalarSettings {
        directivity: Decibels::<A>::ZERO,
        ..sound
    }));
    assert!(refused(ScalarSettings {
        full_scale: 0,
        ..sound
    }));
    assert!(refused(ScalarSettings {
        weakest: Volts::<A>::ZERO,
        ..sound
    }));
}

#[test]
fn what_is_refused() {
    every_family!(refusals);
    let points = [(0, f32::NAN.into()), (1, 1.0.into())];
    assert_eq!(
        LevelTable::<f32>::new(&points),
        Err(DetectorError::TableNotMonotone(0))
    );
    let points = [(0, 0.0.into()), (1, f32::INFINITY.into())];
    assert_eq!(
        LevelTable::<f32>::new(&points),
        Err(DetectorError::TableNotMonotone(1))
    );
    let points = [(0, 0.0.into()), (1, 1.0.into())];
    let table = LevelTable::<f64>::new(&points).unwrap();
    for bad in [f64::NAN, f64::INFINITY] {
        for settings in [
            ScalarSettings {
                coupling: bad.into(),
                ..settings(30.0, 28.0, 50.0)
            },
            ScalarSettings {
                directivity: bad.into(),
                ..settings(30.0, 28.0, 50.0)
            },
            ScalarSettings {
                weakest: bad.into(),
                ..settings(30.0, 28.0, 50.0)
            },
        ] {
            assert!(ScalarDetector::new(settings, table, table).is_err());
        }
    }
}

/// A linear detector with a count for each 100 µV.
fn linear<A: Arithmetic>() -> [(i32, Volts<A>); 2] {
    [(0, Volts::<A>::ZERO), (30_000, word(3.0))]
}

/// How often the true |Γ| and SWR lie outside of the interval, when the coupler leaks `leak` dB below the forward port
/// and 26 dB are stated.
fn outside<A: Arithmetic>(leak: f64) -> u32 {
    let points = linear::<A>();
    let table = LevelTable::new(&points).unwrap();
    let detector = ScalarDetector::<A>::new(settings(20.0, 26.0, 50.0), table, table).unwrap();
    let mut random = Random::new(26);
    let mut count = 0;
    for _ in 0..20_000 {
        let (rho, phase) = (random.between(0.0, 1.0), random.between(0.0, TAU));
        let leak = 10f64.powf(-leak / 20.0);
        let shown = (rho + leak * phase.cos()).hypot(leak * phase.sin());
        let reading = detector.read(20_000, (20_000.0 * shown).round() as i32).unwrap();
        // Half a count of quantisation is not the coupler's.
        let slack = 0.6 / 20_000.0 + half_unit::<Component<A>>();
        let (low, high) = reading.magnitude_interval();
        let inside = low.to_f64() - slack <= rho && rho <= high.to_f64() + slack;
        let interval = reading.swr_interval();
        let swr = (1.0 + rho) / (1.0 - rho);
        let slack = 1e-4 * swr * swr;
        let below = interval.high.is_none_or(|high| swr <= high.to_f64() + slack);
        count += u32::from(!(inside && below && interval.low.to_f64() <= swr + slack));
        // Honest at the ends.
        assert!(high.to_f64() < 1.0 || interval.high.is_none(), "{rho}");
        assert!(high.to_f64() > 0.9999 || interval.high.is_some(), "{rho}");
        assert!(interval.low.to_f64() >= 1.0);
    }
    count
}

#[test]
fn the_interval_holds_the_truth_whatever_the_phase_of_the_leak() {
    for leak in [26.0, 30.0, 60.0] {
        assert_eq!(outside::<f64>(leak), 0);
        assert_eq!(outside::<Fixed32>(leak), 0);
        assert_eq!(outside::<Fixed16>(leak), 0);
    }
    // Control: a coupler that is worse than its data sheet.
    assert!(outside::<f64>(23.0) > 1_000);
}

proptest! {
    /// More counts never tell a smaller level, and between two points it is a straight line.
    #[test]
    fn levels_grow(one in 12i32..30_000, other in 12i32..30_000) {
        let points = diode::<Fixed32>();
        let table = LevelTable::<Fixed32>::new(&points).unwrap();
        let level = |counts| table.level(counts, Channel::Forward).unwrap();
        let (low, high) = (one.min(other), one.max(other));
        prop_assert!(level(low) <= level(high));
        let place = points.iter().position(|point| point.0 > low).unwrap();
        let ((c0, v0), (c1, v1)) = (points[place - 1], points[place]);
        let (v0, v1) = (v0.to_f64(), v1.to_f64());
        let want = v0 + (v1 - v0) * f64::from(low - c0) / f64::from(c1 - c0);
        prop_assert!((level(low).to_f64() - want).abs() <= 0.51 / 4096.0);
    }

    #[test]
    fn any_counts_at_all(forward in any::<i32>(), reverse in any::<i32>(), shift in 0u32..32) {
        let points = diode::<Fixed16>();
        let table = LevelTable::new(&points).unwrap();
        let detector = ScalarDetector::<Fixed16>::new(settings(200.0, 200.0, 0.001), table, table).unwrap();
        if let Ok(reading) = detector.read(forward >> shift, reverse >> shift) {
            let _ = (reading.forward(), reading.delivered(), reading.swr_interval(), reading.quality());
        }
    }
}
