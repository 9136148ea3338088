//! A resistor and three voltmeters: mpmath, bounds with voltages that are off, and the sign by a second reading.

use core::f64::consts::TAU;

use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::detector::{
    Channel, DetectorError, LevelTable, Sign, ThreeVoltageDetector, ThreeVoltageReading, ThreeVoltageSettings,
};
use ohmwright::quantity::{Hertz, Ohms, Ratio, Reference, Volts};

use super::{close, half_unit};
use crate::common::complex::{C, c};
use crate::common::impedances::word;
use crate::common::{Random, Table};

/// A count for each 2⁻¹² V, up to 2²⁴ counts.
fn linear<A: Arithmetic>() -> [(i32, Volts<A>); 2] {
    [(0, Volts::<A>::ZERO), (1 << 24, word(4096.0))]
}

fn settings<A: Arithmetic>(resistor: f64, tolerance: f64) -> ThreeVoltageSettings<A> {
    ThreeVoltageSettings {
        resistor: word(resistor),
        tolerance: word(tolerance),
        full_scale: 1 << 24,
        weakest: word(0.01),
    }
}

fn vectors<A: Arithmetic>(spoil: f64) {
    let points = linear::<A>();
    let table = LevelTable::new(&points).unwrap();
    let rows = Table::parse(include_str!("../../data/detector_three_voltages.csv"));
    let mut seen = 0;
    for row in rows.rows() {
        let detector =
            ThreeVoltageDetector::<A>::new(settings(row.number("resistor_ohm"), 0.001), [table; 3]).unwrap();
        let [source, load, across] = ["source", "load", "across"].map(|name| row.bits(name));
        let reading = detector.read(source, load, across);
        seen += 1;
        if row.text("kind") == "none" {
            assert_eq!(reading, Err(DetectorError::NoTriangle));
            continue;
        }
        if across < 41 {
            assert_eq!(reading, Err(DetectorError::TooWeak(Channel::Across)));
            continue;
        }
        let reading = reading.unwrap();
        // Each ratio is right to a few units of the working number; the sizes are those of the squares.
        let unit = match A::FAMILY {
            Family::F64 => 1e-15,
            Family::F32 | Family::SoftF32 => 6e-7,
            _ => 2e-8,
        };
        let square = |counts: i32| (f64::from(counts) / f64::from(across)).powi(2);
        let size = row.number("resistor_ohm") * (square(source) + square(load) + 1.0);
        let (r, x) = (row.number("resistance_ohm"), row.number("reactance_ohm"));
        let half = 1.01 * half_unit::<Ohms<A>>();
        close("R", reading.resistance(), r + spoil, unit * size + half);
        // Of |X| the square is right: where the triangle is flat, the root makes much of a rounding.
        let slack = unit * size + unit * size * size / (x + unit.sqrt() * size);
        close("|X|", reading.reactance_size(), x, slack + half);
        // Only without a reactance its sign does not matter.
        let none = reading.reactance_size() == Ohms::<A>::ZERO;
        assert_eq!(reading.impedance(Sign::Undecided).is_some(), none);
        assert!(!none || x < slack + half);
        assert_eq!(
            reading.quality().above_unity,
            reading.resistance() < Ohms::<A>::ZERO
        );
        assert!(reading.quality().phase_ambiguous);
        // Both signs, and one SWR.
        let z0 = Reference::<A>::fifty();
        let swr = |sign| reading.impedance(sign).unwrap().reflection(z0).swr();
        assert_eq!(swr(Sign::Inductive), swr(Sign::Capacitive));
        assert_eq!(reading.swr(z0), swr(Sign::Inductive));
        let (low, high) = reading.reactance_interval();
        assert!(low <= reading.reactance_size() && reading.reactance_size() <= high);
    }
    assert_eq!(seen, 170);
}

#[test]
fn as_mpmath_has_it() {
    every_family!(vectors(0.0));
}

#[test]
#[should_panic(expected = "R:")]
fn the_law_can_fail() {
    vectors::<Fixed32>(0.01);
}

/// The counts of the three voltages of a load, each off by a part `off` of itself.
fn counts(load: C, resistor: f64, current: f64, off: [f64; 3]) -> [i32; 3] {
    let volts = [(load + c(resistor, 0.0)).size(), load.size(), resistor];
    [0, 1, 2].map(|k| (volts[k] * current * 4096.0 * (1.0 + off[k])).round() as i32)
}

fn any_load(random: &mut Random) -> C {
    c(random.decades(1.0, 1000.0).abs(), random.decades(1.0, 1000.0))
}

/// In how many of 20 000 loads the truth is outside of the bounds, with voltages `factor` times as far off as stated.
fn outside<A: Arithmetic>(factor: f64) -> u32 {
    let points = linear::<A>();
    let table = LevelTable::new(&points).unwrap();
    let tolerance = 0.01;
    let detector = ThreeVoltageDetector::<A>::new(settings(50.0, tolerance), [table; 3]).unwrap();
    let mut random = Random::new(33);
    let mut count = 0;
    for _ in 0..20_000 {
        let load = any_load(&mut random);
        // Often all the way; rounding to counts is a ten-thousandth of the tolerance.
        let off = [0; 3].map(|_| match random.bits() % 3 {
            0 => 0.99 * tolerance,
            1 => -0.99 * tolerance,
            _ => random.between(-0.99 * tolerance, 0.99 * tolerance),
        });
        let [s, l, a] = counts(load, 50.0, 1.0, off.map(|off| factor * off));
        match detector.read(s, l, a) {
            Ok(reading) => {
                let half = half_unit::<Ohms<A>>();
                let far = (reading.resistance().to_f64() - load.re).abs();
                let (low, high) = reading.reactance_interval();
                let inside = far <= reading.resistance_error().to_f64() + 2.0 * half
                    && low.to_f64() - half <= load.im.abs()
                    && load.im.abs() <= high.to_f64() + half;
                count += u32::from(!inside);
            }
            Err(DetectorError::NoTriangle) => count += 1,
            Err(error) => panic!("{error}"),
        }
    }
    count
}

#[test]
fn the_bounds_hold_the_truth() {
    assert_eq!(outside::<f64>(1.0), 0);
    assert_eq!(outside::<f32>(1.0), 0);
    assert_eq!(outside::<Fixed32>(1.0), 0);
    assert_eq!(outside::<Fixed16>(1.0), 0);
    // Control: voltages that are off by twice as much.
    assert!(outside::<f64>(2.0) > 100);
}

/// (right, undecided, wrong) decisions.
type Score = [u32; 3];

fn note(score: &mut Score, sign: Sign, x: f64) {
    let right = if x > 0.0 {
        Sign::Inductive
    } else {
        Sign::Capacitive
    };
    let place = match sign {
        Sign::Undecided => 1,
        sign if sign == right => 0,
        _ => 2,
    };
    score[place] += 1;
}

fn shunted(load: C, x: f64) -> C {
    load * c(0.0, x) / (load + c(0.0, x))
}

/// Decisions over many loads: in series, across, and the sign of the added reactance mistaken.
fn decisions<A: Arithmetic>(tolerance: f64) -> [Score; 3] {
    let points = linear::<A>();
    let table = LevelTable::new(&points).unwrap();
    let detector = ThreeVoltageDetector::<A>::new(settings(50.0, tolerance), [table; 3]).unwrap();
    let mut random = Random::new(34);
    let mut scores = [[0; 3]; 3];
    for _ in 0..4_000 {
        let load = any_load(&mut random);
        let mut read = |load: C| -> Option<ThreeVoltageReading<A>> {
            let off = [0; 3].map(|_| random.between(-0.98 * tolerance, 0.98 * tolerance));
            let [s, l, a] = counts(load, 50.0, 1.0, off);
            // A resonance with what is across the load may be too much for the converters.
            detector.read(s, l, a).ok()
        };
        let (first, x) = (read(load).unwrap(), load.im.abs());
        let known = Ohms::<A>::try_from_f64(x).unwrap();
        let second = read(load + c(0.0, x)).unwrap();
        let sign = first.sign_with_series(&second, known);
        note(&mut scores[0], sign.unwrap(), load.im);
        if let Some(second) = read(shunted(load, x)) {
            let sign = first.sign_with_shunt(&second, known);
            note(&mut scores[1], sign.unwrap(), load.im);
        }
        let second = read(load - c(0.0, x)).unwrap();
        // The control: a coil is taken for a capacitor.
        let mistaken = first.sign_with_series(&second, known);
        note(&mut scores[2], mistaken.unwrap(), load.im);
    }
    scores
}

fn decides<A: Arithmetic>() {
    let [series, shunt, mistaken] = decisions::<A>(0.002);
    println!("series {series:?}, across {shunt:?}, mistaken {mistaken:?}");
    assert_eq!((series[2], shunt[2]), (0, 0), "never wrong");
    assert!(series[0] > 2_500 && shunt[0] > 1_800, "{series:?} {shunt:?}");
    assert!(mistaken[2] > 2_500 && mistaken[0] == 0, "{mistaken:?}");
    // With coarse voltages it says more often that it cannot tell, and is not wrong either.
    let [coarse, across, _] = decisions::<A>(0.03);
    assert!(
        coarse[2] == 0 && coarse[1] > series[1] && across[2] == 0,
        "{coarse:?} {across:?}"
    );
}

#[test]
fn a_known_reactance_decides_the_sign() {
    decides::<f64>();
    decides::<Fixed32>();
}

#[test]
fn a_step_in_frequency_decides_the_sign() {
    let points = linear::<Fixed32>();
    let table = LevelTable::new(&points).unwrap();
    let detector = ThreeVoltageDetector::<Fixed32>::new(settings(50.0, 0.002), [table; 3]).unwrap();
    let mut random = Random::new(35);
    let (mut score, mut swapped) = ([0; 3], [0; 3]);
    for _ in 0..4_000 {
        // A series resonator, anywhere about its resonance.
        let (r, l) = (random.between(5.0, 80.0), random.between(0.2e-6, 3e-6));
        let farads = random.between(3e-12, 60e-12);
        let resonance = 1.0 / (TAU * (l * farads).sqrt());
        let at = |f: f64| c(r, TAU * f * l - 1.0 / (TAU * f * farads));
        let f1 = resonance * random.between(0.8, 1.25);
        let f2 = f1 * random.between(0.9, 1.1);
        let mut read = |load: C| {
            let off = [0; 3].map(|_| random.between(-0.0019, 0.0019));
            let [s, l, a] = counts(load, 50.0, 1.0, off);
            detector.read(s, l, a).unwrap()
        };
        let (first, second) = (read(at(f1)), read(at(f2)));
        let hertz = |f: f64| Hertz::new(f as u64);
        let signs = first.signs_by_step(hertz(f1), &second, hertz(f2));
        note(&mut score, signs.first, at(f1).im);
        note(&mut score, signs.second, at(f2).im);
        // Told from the other side it is the same.
        let back = second.signs_by_step(hertz(f2), &first, hertz(f1));
        assert_eq!((signs.first, signs.second), (back.second, back.first));
        // Control: the frequencies mistaken for each other.
        let signs = first.signs_by_step(hertz(f2), &second, hertz(f1));
        note(&mut swapped, signs.first, at(f1).im);
        note(&mut swapped, signs.second, at(f2).im);
        // No step, no answer.
        let signs = first.signs_by_step(hertz(f1), &second, hertz(f1));
        assert_eq!((signs.first, signs.second), (Sign::Undecided, Sign::Undecided));
    }
    println!("{score:?}, mistaken {swapped:?}");
    // One of the two is decided, as a rule, and never wrongly.
    assert!(score[2] == 0 && score[0] > 3_000, "{score:?}");
    assert!(swapped[0] == 0 && swapped[2] > 3_000, "{swapped:?}");
}

fn refusals<A: Arithmetic>() {
    let points = linear::<A>();
    let table = LevelTable::new(&points).unwrap();
    let sound = settings::<A>(50.0, 0.01);
    let detector = ThreeVoltageDetector::new(sound, [table; 3]).unwrap();
    let read = |s, l, a| {
        detector
            .read(s, l, a)
            .map(|reading| reading.resistance().to_f64())
    };
    let (end, v) = (1 << 24, 4096);
    assert_eq!(read(end, v, v), Err(DetectorError::Overload(Channel::Source)));
    assert_eq!(read(v, end, v), Err(DetectorError::Overload(Channel::Load)));
    assert_eq!(
        read(v, v, i32::MAX),
        Err(DetectorError::Overload(Channel::Across))
    );
    assert_eq!(read(-1, v, v), Err(DetectorError::BelowTable(Channel::Source)));
    assert_eq!(read(v, -1, v), Err(DetectorError::BelowTable(Channel::Load)));
    assert_eq!(
        read(v, v, i32::MIN),
        Err(DetectorError::BelowTable(Channel::Across))
    );
    // An open load draws no current.
    assert_eq!(read(v, v, 0), Err(DetectorError::TooWeak(Channel::Across)));
    assert_eq!(read(v, v, 40), Err(DetectorError::TooWeak(Channel::Across)));
    // A triangle that cannot be: one voltage is wrong.
    for (s, l, a) in [(3 * v, v, v), (v, 3 * v, v), (v, v, 3 * v), (0, 0, v)] {
        assert_eq!(read(s, l, a), Err(DetectorError::NoTriangle));
    }
    // Too flat by less than the tolerance.
    assert!(
        read(2 * v + 40, v, v).is_ok()
            && detector.read(2 * v + 40, v, v).unwrap().reactance_size() == Ohms::<A>::ZERO
    );
    // A short.
    close("a short", detector.read(v, 0, v).unwrap().resistance(), 0.0, 1e-4);
    let short = LevelTable::<A>::new(&points[..1]);
    assert_eq!(short, Err(DetectorError::TableTooShort));
    let low = [(0, Volts::<A>::ZERO), (5_000, word(1.25))];
    let low = LevelTable::new(&low).unwrap();
    let detector = ThreeVoltageDetector::new(sound, [table, low, table]).unwrap();
    assert_eq!(
        detector.read(v, 5_001, v),
        Err(DetectorError::AboveTable(Channel::Load))
    );
    // Settings.
    let refused = |settings| ThreeVoltageDetector::<A>::new(settings, [table; 3]).is_err();
    assert!(!refused(sound));
    assert!(refused(ThreeVoltageSettings {
        tolerance: Ratio::<A>::ZERO,
        ..sound
    }));
    assert!(refused(ThreeVoltageSettings {
        tolerance: word(0.26),
        ..sound
    }));
    assert!(refused(ThreeVoltageSettings {
        resistor: Ohms::<A>::ZERO,
        ..sound
    }));
    assert!(refused(ThreeVoltageSettings {
        resistor: word(-50.0),
        ..sound
    }));
    assert!(refused(ThreeVoltageSettings {
        resistor: Ohms::<A>::MAX,
        ..sound
    }));
    assert!(refused(ThreeVoltageSettings {
        full_scale: 0,
        ..sound
    }));
    assert!(refused(ThreeVoltageSettings {
        weakest: Volts::<A>::ZERO,
        ..sound
    }));
}

#[test]
fn what_is_refused() {
    every_family!(refusals);
    let points = linear::<f64>();
    let table = LevelTable::new(&points).unwrap();
    let detector = ThreeVoltageDetector::<f64>::new(settings(50.0, 0.001), [table; 3]).unwrap();
    for settings in [
        ThreeVoltageSettings {
            tolerance: f64::NAN.into(),
            ..settings::<f64>(50.0, 0.01)
        },
        ThreeVoltageSettings {
            resistor: f64::NAN.into(),
            ..settings::<f64>(50.0, 0.01)
        },
        ThreeVoltageSettings {
            weakest: f64::NAN.into(),
            ..settings::<f64>(50.0, 0.01)
        },
    ] {
        assert!(ThreeVoltageDetector::new(settings, [table; 3]).is_err());
    }
    let read = |load: C| {
        let [s, l, a] = counts(load, 50.0, 1.0, [0.0; 3]);
        detector.read(s, l, a).unwrap()
    };
    let (first, other) = (read(c(25.0, 30.0)), read(c(70.0, 200.0)));
    // Not the same load, whatever the sign.
    assert_eq!(
        first.sign_with_series(&other, 30.0),
        Err(DetectorError::Contradictory)
    );
    assert!(first.sign_with_series(&other, f64::NAN).is_err());
    assert!(first.sign_with_shunt(&other, 0.0).is_err());
    // Without a change, nothing is decided.
    assert_eq!(first.sign_with_series(&first, 0.0), Ok(Sign::Undecided));
}
