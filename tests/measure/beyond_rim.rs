//! Raw readings beyond 1, as of an open through a bridge with more than full output: calibrated and corrected in every
//! family, from raw Γ and from the counts of a converter.

use crate::common::Random;
use crate::common::complex::{C, ONE, ZERO, c, polar};
use crate::common::fixture::{Fixture, distort};
use crate::common::impedances::{gamma_held as held, gamma_word as word};
use crate::common::law::{Law, require};
use ohmwright::arithmetic::accuracy::Family;
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::measure::calibration::{CalibrationPoint, ErrorTerms, Kit, Recording, Role};
use ohmwright::measure::detector::{Iq, VectorDetector, VectorSettings};
use ohmwright::quantity::{Decibels, Hertz, Reference, Reflection};

/// |raw open| and |raw short|: the first is a value seen on a bench (common practice, no source), the others are larger.
const SIZES: [(f64, f64); 6] = [
    (1.0087, 0.97),
    (1.2, 0.97),
    (1.2, 1.1),
    (0.97, 1.1),
    (1.0087, 1.1),
    (1.0, 1.0),
];

/// The fixture through which an open reads `open`, a short `short` and a load `load`: m·(1 − e11·Γ) = e00 + (t −
/// e00·e11)·Γ for Γ = 1, −1 and 0.
fn fixture(open: C, short: C, load: C) -> Fixture {
    let (a, b) = (open - load, load - short);
    // t = a·(1 − s) = b·(1 + s).
    let source_match = (a - b) / (a + b);
    [load, source_match, a * (ONE - source_match)]
}

/// Turned anywhere, the short up to 10° from opposite the open.
fn any_fixture(random: &mut Random, (open, short): (f64, f64)) -> Fixture {
    let turn = random.between(-3.2, 3.2);
    let opposite = turn + core::f64::consts::PI + random.between(-0.17, 0.17);
    let load = polar(random.between(0.0, 0.1), random.between(-3.2, 3.2));
    let fixture = fixture(polar(open, turn), polar(short, opposite), load);
    assert!((distort(fixture, ONE).size() - open).abs() < 1e-12);
    assert!((distort(fixture, c(-1.0, 0.0)).size() - short).abs() < 1e-12);
    fixture
}

fn any_load(random: &mut Random) -> C {
    polar(random.between(0.0, 1.0), random.between(-3.2, 3.2))
}

/// The largest error of a component by its word, of one of a solved term, and of a correction before it is a word.
struct Losses {
    word: f64,
    term: f64,
    correction: f64,
}

fn losses<A: Arithmetic>() -> Losses {
    let (word, term, correction) = match A::FAMILY {
        Family::F64 => (2.3e-16, 2e-15, 2e-15),
        Family::Fixed32 => (2f64.powi(-31), 5e-9, 2.5e-8),
        Family::Fixed16 => (2f64.powi(-15), 3.1e-5, 2.5e-8),
        _ => (1.2e-7, 6e-7, 1.5e-6),
    };
    Losses {
        word,
        term,
        correction,
    }
}

/// The largest error of a corrected Γ, to the first order and a twentieth more, where each part of each reading is off by
/// up to `reading`.
///
/// With M(Γ) the error model, what errors of readings do to Γ is a parabola in Γ: the field of a Möbius map. So those of
/// the standards, each over M', are interpolated from 1, −1 and 0 (Lagrange). The roundings of the terms follow from the
/// model by its derivatives.
fn allowed<A: Arithmetic>([_, source_match, tracking]: Fixture, load: C, reading: f64) -> f64 {
    let Losses {
        word,
        term,
        correction,
    } = losses::<A>();
    let pull = |gamma: C| (ONE - source_match * gamma).size();
    let slope = |gamma: C| tracking.size() / pull(gamma).powi(2);
    let weights = [
        (ONE, (load * (load + ONE)).size() / 2.0),
        (c(-1.0, 0.0), (load * (load - ONE)).size() / 2.0),
        (ZERO, (ONE - load * load).size()),
    ];
    let standards: f64 = weights.iter().map(|(gamma, weight)| weight / slope(*gamma)).sum();
    let readings = reading * (1.0 / slope(load) + standards);
    let size = load.size();
    let terms = term * ((1.0 + size / pull(load)) / slope(load) + size * size);
    let correction = correction * pull(load) / tracking.size();
    1.05 * (core::f64::consts::SQRT_2 * (readings + terms + word) + correction)
}

fn right<A: Arithmetic>(got: Reflection<A>, load: C, allowed: f64) -> Result<f64, String> {
    let off = (held(got) - load).size();
    require(off <= allowed, || {
        format!(
            "{:?}: {got:?} for {load:?}, off by {off:e}, allowed {allowed:e}",
            A::FAMILY
        )
    })
    .map(|()| off / allowed)
}

fn solved<A: Arithmetic>(raw: [Reflection<A>; 3]) -> ErrorTerms<A> {
    ErrorTerms::solve(&Kit::IDEAL, Hertz::from_megahertz(71), Reference::fifty(), &raw).unwrap()
}

/// Standards and load as raw Γ. The worst error as a part of what is allowed.
fn from_raw_readings<A: Arithmetic>(spoil: f64) -> Result<f64, String> {
    let mut random = Random::new(1_008);
    let mut worst = 0f64;
    let mut furthest = 0f64;
    for turn in 0..12_000 {
        let fixture = any_fixture(&mut random, SIZES[turn % SIZES.len()]);
        let read = |gamma: C| {
            let raw = distort(fixture, gamma);
            Reflection::<A>::try_from_f64(raw.re, raw.im).map_err(|error| format!("{:?}: {error}", A::FAMILY))
        };
        let terms = solved([read(ONE)?, read(c(-1.0, 0.0))?, read(ZERO)?]);
        let load = any_load(&mut random);
        let raw = read(load)?;
        furthest = furthest.max(held(raw).size());
        let allowed = allowed::<A>(fixture, load, losses::<A>().word);
        let told = right(terms.correct(raw), load + c(spoil, 0.0), allowed)?;
        let checked = terms.checked_correct(raw).ok_or("no answer")?;
        worst = worst
            .max(told)
            .max(right(checked, load + c(spoil, 0.0), allowed)?);
    }
    println!(
        "{:?}: {worst:.3} of what is allowed, raw up to {furthest:.3}",
        A::FAMILY
    );
    assert!(furthest > 1.1);
    Ok(worst)
}

#[test]
fn raw_readings_beyond_1_are_corrected() {
    let worst = every_family!(from_raw_readings(0.0).unwrap());
    assert!(worst.into_iter().all(|worst| worst > 0.05), "{worst:?}");
    // The law can fail.
    assert!(from_raw_readings::<Fixed32>(2e-7).is_err() && from_raw_readings::<Fixed16>(1e-3).is_err());
}

/// The same from the counts of two receivers, through the recorded table of a sweep.
fn from_counts<A: Arithmetic>(bits: u32, spoil: f64) -> Result<f64, String> {
    let mut random = Random::new(1_200 + u64::from(bits));
    let detector = VectorDetector::<A>::new(VectorSettings::for_bits(bits).unwrap()).unwrap();
    let full = f64::from((1u32 << (bits - 1)) - 2);
    // Such that 1.2 of it is within the converter too.
    let amplitude = (full / 1.3).floor();
    let grid = [60, 70, 80].map(Hertz::from_megahertz);
    let (mut worst, mut beyond) = (0f64, 0);
    for turn in 0..1_500 {
        let fixture = any_fixture(&mut random, SIZES[turn % SIZES.len()]);
        let mut read = |gamma: C| {
            let raw = distort(fixture, gamma);
            let reference = polar(amplitude, random.between(-3.2, 3.2));
            let counts = |wave: C| Iq::new(wave.re.round() as i32, wave.im.round() as i32);
            let reading = detector
                .read_counts(counts(reference), counts(reference * raw))
                .map_err(|error| format!("{:?} of {:.4}: {error}", A::FAMILY, raw.size()))?;
            // Beyond 1 by more than the counts may be off, it is marked.
            if (raw.size() - 1.0).abs() > 3.0 / amplitude {
                assert_eq!(reading.quality().above_unity, raw.size() > 1.0, "{raw:?}");
            }
            beyond += u32::from(raw.size() > 1.0);
            Ok::<_, String>(reading.reflection())
        };
        let mut buffer = [CalibrationPoint::EMPTY; 3];
        let mut recording = Recording::<A>::new(&mut buffer);
        for (role, standard) in [(Role::Open, ONE), (Role::Short, c(-1.0, 0.0)), (Role::Load, ZERO)] {
            for frequency in grid {
                recording.push(role, frequency, read(standard)?).unwrap();
            }
        }
        let load = polar(0.05 + 0.9 * (turn % 97) as f64 / 97.0, turn as f64);
        let raw = read(load)?;
        let table = recording
            .solve(&Kit::IDEAL, Reference::fifty(), Decibels::whole::<0>())
            .map_err(|error| error.to_string())?;
        let got = table
            .corrector()
            .correct(Hertz::from_megahertz(65), raw)
            .map_err(|error| error.to_string())?;
        // Half a count of each part of both channels, and the word.
        let reading = 0.5 * (1.0 + core::f64::consts::SQRT_2 * 1.2) / amplitude + losses::<A>().word;
        worst = worst.max(right(
            got,
            load + c(spoil, 0.0),
            allowed::<A>(fixture, load, reading),
        )?);
    }
    println!(
        "{:?}, {bits} bits: {worst:.3} of what is allowed, {beyond} raw readings beyond 1",
        A::FAMILY
    );
    assert!(beyond > 2_000);
    Ok(worst)
}

#[test]
fn counts_beyond_1_are_corrected() -> Law {
    for bits in [10, 12, 16] {
        every_family!(from_counts(bits, 0.0)?);
    }
    assert!(from_counts::<Fixed16>(12, 0.02).is_err());
    Ok(())
}

/// A load that gives power, behind the same fixtures: corrected, it is active, in every family.
#[test]
fn an_active_load_is_told_to_be_one() {
    fn check<A: Arithmetic>() {
        let mut random = Random::new(5);
        for turn in 0..2_000 {
            let fixture = any_fixture(&mut random, SIZES[turn % SIZES.len()]);
            let standards = [ONE, c(-1.0, 0.0), ZERO].map(|gamma| word::<A>(distort(fixture, gamma)));
            let load = polar(random.between(1.01, 1.3), random.between(-3.2, 3.2));
            let got = solved(standards).correct(word(distort(fixture, load)));
            assert!(got.is_active() && got.is_total(), "{got:?} for {load:?}");
            assert!(got.return_loss() < Decibels::<A>::ZERO);
            assert!(!got.is_saturated());
        }
    }
    every_family!(check);
}
