//! The 16-bit family over its whole square: there are 2³² pairs of words, so one can go through all of them.
//!
//! Here every 61st row and 31st column is looked at, and the rim from both sides; with OHMWRIGHT_SEARCH=deep every pair. The
//! truth is computed in doubles from whole numbers, so what cancels is exact.

use ohmwright::arithmetic::accuracy::{Family, Readout, bound};
use ohmwright::arithmetic::{Fixed16, Quantity};
use ohmwright::fixed::types::{I2F14, I16F16, I20F12, U16F16};
use ohmwright::quantity::Readouts;
use ohmwright::small_fixed_point::{Reference, Reflection};

type Law = Result<(), String>;

/// The largest word is one below it.
const END: i32 = 1 << 15;
/// 1.
const UNIT: i32 = 1 << 14;
const WORDS: [&str; 9] = [
    "|Γ|",
    "SWR",
    "return loss",
    "mismatch loss",
    "R",
    "X",
    "|Z|",
    "phase",
    "Q",
];

/// The truth, with what a bound scales with, before it is held in a word.
fn truths(re: i32, im: i32, reference: f64) -> [(f64, f64); 9] {
    let one = (UNIT as i64) * (UNIT as i64);
    let square = re as i64 * re as i64 + im as i64 * im as i64;
    let twice = 2 * (UNIT as i64) * re as i64;
    let unit = one as f64;
    let (share, passive) = (square as f64 / unit, (one - square) as f64 / unit);
    let (away, towards) = (
        (one + square - twice) as f64 / unit,
        (one + square + twice) as f64 / unit,
    );
    let magnitude = share.sqrt();
    let up = 2.0 * im as f64 / UNIT as f64;
    let z = reference * (towards / away).sqrt();
    let itself = |value: f64| (value, value.abs());
    let total = passive <= 0.0;
    [
        itself(magnitude),
        itself(if total {
            f64::INFINITY
        } else {
            (1.0 + magnitude) * (1.0 + magnitude) / passive
        }),
        itself(-10.0 * share.log10()),
        itself(if total {
            f64::INFINITY
        } else {
            -10.0 * passive.log10()
        }),
        (reference * passive / away, z),
        (reference * up / away, z),
        itself(z),
        (
            if square == 0 {
                0.0
            } else {
                (im as f64).atan2(re as f64).to_degrees()
            },
            1.0,
        ),
        itself(if im == 0 { 0.0 } else { (up / passive).abs() }),
    ]
}

fn values(readouts: &Readouts<Fixed16>) -> [f64; 9] {
    [
        readouts.magnitude.to_f64(),
        readouts.swr.to_f64(),
        readouts.return_loss.to_f64(),
        readouts.mismatch_loss.to_f64(),
        readouts.resistance.to_f64(),
        readouts.reactance.to_f64(),
        readouts.impedance_magnitude.to_f64(),
        readouts.phase.to_f64(),
        readouts.q.to_f64(),
    ]
}

const READOUTS: [Readout; 9] = [
    Readout::Magnitude,
    Readout::Swr,
    Readout::ReturnLoss,
    Readout::MismatchLoss,
    Readout::Resistance,
    Readout::Reactance,
    Readout::ImpedanceMagnitude,
    Readout::Phase,
    Readout::Q,
];

fn ends<Q: Quantity>() -> (f64, f64) {
    (Q::MIN.to_f64(), Q::MAX.to_f64())
}

/// Every readout is its true value, held in its word, to the table of bounds; SWR is at least 1 and an angle in
/// (−180°, 180°].
fn word_law(re: i32, im: i32, reference: f64, got: &[f64; 9]) -> Law {
    let ohms = ends::<I20F12>();
    let (ratio, decibels) = (ends::<U16F16>(), ends::<I16F16>());
    let held = [
        ends::<I2F14>(),
        ratio,
        decibels,
        decibels,
        ohms,
        ohms,
        ohms,
        decibels,
        ratio,
    ];
    for (index, (want, scale)) in truths(re, im, reference).into_iter().enumerate() {
        let (low, high) = held[index];
        let mut off = (got[index] - want.clamp(low, high)).abs();
        if READOUTS[index] == Readout::Phase {
            off = off.min(360.0 - off);
        }
        let scale = if scale.is_finite() { scale } else { 0.0 };
        let allowed = bound(READOUTS[index], Family::Fixed16).allowance(scale, 1.0);
        if off.is_nan() || off > allowed {
            return Err(format!(
                "{re} {im}: {} is {}, want {want}, off by {off:e}, allowed {allowed:e}",
                WORDS[index], got[index]
            ));
        }
    }
    if got[1] < 1.0 || got[7] <= -180.0 || got[7] > 180.0 {
        return Err(format!("{re} {im}: SWR {} at {}°", got[1], got[7]));
    }
    Ok(())
}

/// Each readout by itself gives the bits it has among all of them.
fn same_law(gamma: Reflection, reference: Reference, all: &Readouts<Fixed16>) -> Law {
    let z = gamma.impedance(reference);
    let mut single = *all;
    single.magnitude = gamma.magnitude();
    single.swr = gamma.swr();
    single.return_loss = gamma.return_loss();
    single.mismatch_loss = gamma.mismatch_loss();
    single.resistance = z.resistance();
    single.reactance = z.reactance();
    single.impedance_magnitude = gamma.impedance_magnitude(reference);
    single.phase = gamma.phase();
    single.q = gamma.q();
    // An impedance with a part at the end of its word is an open, and its parts are not told.
    if single == *all || z.is_open() && (single.swr, single.q) == (all.swr, all.q) {
        Ok(())
    } else {
        Err(format!("{gamma:?}: {single:?}, together {all:?}"))
    }
}

fn check(re: i32, im: i32, reference: Reference) -> Law {
    let gamma = Reflection::from_bits(re as i16, im as i16);
    let all = gamma.readouts(reference);
    word_law(re, im, reference.ohms().to_f64(), &values(&all))?;
    same_law(gamma, reference, &all)
}

fn references() -> Vec<Reference> {
    [50.0, 75.0, 0.25, 5000.0, 1.0, 500_000.0]
        .map(|ohms| Reference::try_from_f64(ohms).unwrap())
        .to_vec()
}

fn rows(rows: impl Iterator<Item = i32>, step: usize) {
    let references = references();
    for (turn, im) in rows.enumerate() {
        let first = -END + (turn * 7 % step) as i32;
        for re in (first..END).step_by(step).chain([-END, END - 1]) {
            check(re, im, references[turn % references.len()]).unwrap();
        }
    }
}

#[test]
fn every_value_is_documented() {
    rows((-END..END).step_by(61).chain([-1, 0, 1, END - 1]), 31);
}

#[test]
fn the_rim_from_both_sides() {
    let references = references();
    let one = UNIT as i64 * UNIT as i64;
    for re in (-UNIT..=UNIT).step_by(3) {
        let on = (one - re as i64 * re as i64).isqrt() as i32;
        for im in on - 2..=on + 2 {
            for im in [im, -im] {
                check(re, im, references[re.unsigned_abs() as usize % references.len()]).unwrap();
            }
        }
    }
}

#[test]
fn every_pair() {
    // Some minutes, in a release build.
    if std::env::var_os("OHMWRIGHT_SEARCH").is_none_or(|mode| mode != "deep") {
        return;
    }
    rows(-END..END, 1);
}

/// SWR and |Γ| grow with |Γ|² along each axis, up to the rim, on it and beyond.
#[test]
fn swr_does_not_fall_along_an_axis() {
    let mut last = (0.0, 0.0);
    for size in 0..=END {
        let gamma = Reflection::from_bits(0, (-size) as i16);
        let now = (gamma.swr().to_f64(), gamma.magnitude().to_f64());
        assert!(
            now.0 >= last.0 * (1.0 - 1e-4) && now.1 >= last.1,
            "{size}: {now:?} {last:?}"
        );
        last = now;
    }
    assert_eq!(last.0, U16F16::MAX.to_f64());
}

/// Control: what is three bounds off is refused, and so is what a wrapped word would show.
#[test]
fn a_wrong_word_is_noticed() {
    let fifty = Reference::fifty();
    for (re, im) in [(3000, 4000), (-20_000, 11_000), (15, -30_000), (-32_000, -32_000)] {
        let gamma = Reflection::from_bits(re as i16, im as i16);
        let all = gamma.readouts(fifty);
        let right = values(&all);
        word_law(re, im, 50.0, &right).unwrap();
        let truths = truths(re, im, 50.0);
        for index in 0..9 {
            let scale = if truths[index].1.is_finite() {
                truths[index].1
            } else {
                1.0
            };
            let off = 3.0 * bound(READOUTS[index], Family::Fixed16).allowance(scale, 1.0);
            for wrong in [right[index] + off, right[index] - off, -right[index], f64::NAN] {
                let mut got = right;
                got[index] = wrong;
                assert!(word_law(re, im, 50.0, &got).is_err(), "{}", WORDS[index]);
            }
        }
        let mut other = all;
        other.q = U16F16::from_bits(other.q.get().to_bits() ^ 1).into();
        assert!(same_law(gamma, fifty, &other).is_err());
    }
}
